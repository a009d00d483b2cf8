"""The page in headless Firefox: at three sizes, by keyboard, without a drawing context, with Chromium's figures."""

from pathlib import Path

import pytest
from selenium.webdriver import Chrome

from tests import boats
from tests.look.firefox import Firefox
from tests.look.measuring import SIZES, read
from tests.look.pages import page
from tests.look.test_views import OVERLAPS, REACHABLE
from tests.sweep import sweep

pytestmark = sweep

TABS = ("boat", "section", "work", "measure")
FIGURES = """
tabs.show("section");
return [700.3, 1200, 1833.3, 2511, 3560].map((x) => {
  cutAt(x, false);
  const texts = [...document.querySelectorAll("#cut-figures td")].map((cell) => cell.textContent);
  return [byId("cut-words").textContent, texts, sectionAt(x), timbersAt(x)];
});
"""
VISITED = """
window.visited = [];
document.addEventListener("focusin", (event) => window.visited.push(event.target));
tabs.show("boat");
byId("tape-card").open = true;
byId("tab-boat").focus();
"""
LEFT_OUT = f"""
const reachable = (function () {{ {REACHABLE} }})();
return reachable.filter((one) => !window.visited.includes(one)).map((one) => one.outerHTML.slice(0, 80));
"""
TYPED = """format = 1
[strake.1.port]
above_mark = { fore = 1.5, 1 = 1, 2 = 0, 3 = -1, 4 = -0.5, 5 = -1.5, aft = -2 }
[strake.1.starboard]
above_mark = { aft = -2, 5 = -2, 4 = -1.5, 3 = -1.5, 2 = -0.5, 1 = 0, fore = 0.5 }
"""
KEYED = "1,5s 1s 0s 1k ,5k 1.5k 2k 2k 2k 1,5k 1,5k ,5k 0s ,5s"


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> str:
    path: Path = tmp_path_factory.mktemp("firefox") / "boat.html"
    path.write_bytes(page("dinghy"))
    return path.as_uri()


@pytest.mark.parametrize("size", SIZES)
def test_every_view_is_in_its_place_at_three_sizes(window: Firefox, address: str, size: str) -> None:
    window.errors.clear()
    window.resize(*SIZES[size])
    window.get(address)
    for tab in TABS:
        window.run("tabs.show(arguments[0])", tab)
        wide, overlapping, low, past = window.run(OVERLAPS)
        assert wide <= 0
        # the keys of the Measure view lie over its fields, which scroll under them
        assert (overlapping if tab != "measure" else [], low, past) == ([], [], [])
    assert window.errors == []


def test_the_keyboard_reaches_every_control(window: Firefox, address: str) -> None:
    window.resize(*SIZES["desk"])
    window.get(address)
    window.run(VISITED)
    for tab in TABS:
        assert window.run("return document.activeElement.dataset.tab") == tab
        count = len(window.run(LEFT_OUT))
        assert count > 3
        for _ in range(count + 4):
            window.press("Tab")
            if not window.run(LEFT_OUT):
                break
        assert window.run(LEFT_OUT) == []
        window.run("byId(arguments[0]).focus()", f"tab-{tab}")
        window.press("Right")


def test_a_section_has_the_figures_and_outlines_of_chromium(window: Firefox, address: str, opened: Chrome) -> None:
    window.get(address)
    figures = window.run(FIGURES)
    assert len(figures[2][1]) > 50
    assert figures == opened.execute_script(FIGURES)
    opened.execute_script("tabs.show('boat')")


def test_without_a_drawing_context_the_drawings_in_the_plane_are_there(window: Firefox, address: str) -> None:
    window.get(address)
    assert "WebGL" in window.run("return byId('lost-words').textContent")
    shown = "return ['tools', 'stage', 'hang', 'body'].map((name) => byId(name).checkVisibility())"
    assert window.run(shown) == [False, False, False, True]
    cuttings = "tabs.show('section'); return document.querySelectorAll('#section .cutting').length"
    assert window.run(cuttings) == 18


def test_figures_are_typed_with_keys_alone_and_saved_as_written_by_hand(
    window: Firefox, address: str, tmp_path: Path
) -> None:
    window.get(address)
    window.run("localStorage.clear()")
    window.get("about:blank")
    window.get(f"{address}#measure")
    window.run("document.querySelector('#panel-measure .field').focus()")
    for keys in KEYED.split():
        window.press(*keys)
    for _ in range(30):
        if window.run("return document.activeElement.dataset.save ?? ''"):
            break
        window.press("Tab")
    window.press("Enter")
    shown = window.run("return document.querySelector('#panel-measure textarea').value")
    hull = boats.dinghy()
    path = window.folder / f"as-built-{hull.fingerprint}.toml"
    window.wait_until(lambda: path.exists() and path.stat().st_size > 0)
    saved = path.read_text(encoding="utf-8")
    assert saved == shown
    assert read(hull, tmp_path / "saved.toml", saved) == read(hull, tmp_path / "hand.toml", TYPED)
    assert window.errors == []
