"""The Measure view of the page in headless Chromium: figures tapped there are read as if written by hand."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.ui import WebDriverWait

from templates_gen.at_boat import as_built
from templates_gen.at_boat.as_built import as_built_files
from templates_gen.geometry.as_built.boat import drawn_widths
from templates_gen.geometry.spiling.overlay import strake_points
from templates_gen.hull.measured.as_built import AsBuilt, place_names, read_as_built
from templates_gen.hull.measured.spiling import read_spiling
from templates_gen.hull.model import Hull
from templates_gen.look.measure.figures import measuring_data
from templates_gen.look.page import page_html
from templates_gen.paper.sheet import sheet
from templates_gen.pipeline import check_as_built
from templates_gen.sheets import Printing
from tests.at_boat.batten import offsets_text, read_off
from tests.flow import boat_of, shell_of
from tests.look.browser import browser
from tests.look.measuring import HAND, HULLS, Measuring, hull_named
from tests.look.test_page import with_station_named

BOXES = """
return [".field[aria-current]", ".keypad"].map((selector) => {
  const box = document.querySelector(`#panel-measure ${selector}`).getBoundingClientRect();
  return [box.top, box.bottom];
});
"""
RECTS = """
const every = [...document.querySelectorAll(`#panel-measure ${arguments[0]} button`)];
return every.filter((one) => one.offsetParent).map((one) => one.getBoundingClientRect().toJSON());
"""
SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desk": (1440, 900)}


@pytest.fixture(scope="module")
def view(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Measuring]:
    """One browser that the tests share; it keeps what it downloads in a folder."""
    folder = tmp_path_factory.mktemp("measure")
    with browser(*SIZES["tablet"], "--disable-3d-apis") as driver:
        driver.execute_cdp_cmd("Browser.setDownloadBehavior", {"behavior": "allow", "downloadPath": str(folder)})
        yield Measuring(driver, folder)
        told = [entry["message"] for entry in driver.get_log("browser")]
        assert [text for text in told if "WebGL" not in text] == []


def read(hull: Hull, path: Path, text: str) -> AsBuilt:
    """What the program reads in a file, less what its bytes alone decide."""
    path.write_text(text, encoding="utf-8")
    measured = read_as_built(path, hull, drawn_widths(shell_of(hull)))
    return replace(measured, fingerprint="", source=None)


def tap_hand(view: Measuring, hull: Hull) -> None:
    """Tap the figures of HAND, in the order in which one walks round the boat."""
    one = read(hull, view.folder / "by hand.txt", HAND)
    places = place_names(hull)
    for strake in one.strakes:
        for side, order in (("port", places), ("starboard", places[::-1])):
            for place in order:
                if place in strake.sides[side].above_mark:  # type: ignore[index]
                    view.mark(strake.sides[side].above_mark[place])  # type: ignore[index]
                else:
                    view.driver.switch_to.active_element.send_keys(Keys.ARROW_DOWN)
        if strake.number == 1:
            view.tap(view.field("lap set off"))
            view.key(["1", "7", ".", "5"])
            view.tap(view.field("stock still"))
            view.key(["6", ".", "5"])
        view.tap('[aria-label="the strake above"]')


def test_a_boat_is_tapped_kept_and_made_as_from_a_file_written_by_hand(
    view: Measuring, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hull = hull_named("pram")
    view.open("pram")
    tap_hand(view, hull)
    view.reopen("pram")
    assert view.one("h2").text == "Strake 2 of 8"
    view.tap('[aria-label="the strake below"]')
    assert "measure again" in view.label("port, mould 1")
    view.tap("[data-sure]")
    assert view.label("port, mould 1") == "port, mould 1: 10.5, toward sheer"
    view.reopen("pram")
    assert view.fields()[:4] == [
        "port, fore transom: 1.5, toward sheer",
        "starboard, fore transom: 1.5, toward keel",
        "port, mould 1: 2, toward sheer",
        "starboard, mould 1: 1.5, toward keel",
    ]
    text = view.save()
    assert "It is not complete" not in view.one(".saved").text
    assert f'hull = "{hull.fingerprint}"' in text
    assert read(hull, tmp_path / "tapped.toml", text) == read(hull, tmp_path / "hand.toml", HAND)
    # The sheets bear digits of the as-built file's own bytes: the same are given to both.
    monkeypatch.setattr(as_built, "read_as_built", lambda *given: replace(read_as_built(*given), fingerprint="0"))
    printing = Printing(sheet("a4", 10.0), to_print="bench")
    made = [
        as_built_files(check_as_built(hull, HULLS / "pram.toml", tmp_path / name), printing).files
        for name in ("tapped.toml", "hand.toml")
    ]
    assert made[0] == made[1]


def test_a_saved_file_is_opened_again_and_saved_the_same(view: Measuring) -> None:
    view.open("pram")
    tap_hand(view, hull_named("pram"))
    saved = view.save()
    view.open("pram")
    assert "nothing yet" in view.label("port, mould 1")
    view.send_file(saved)
    assert view.one(".saved").text == "The file is open."
    assert view.one("h2").text == "Strake 2 of 8"
    assert view.save() == saved
    view.reopen("pram")
    assert view.save() == saved


def as_built_page(folder: Path, text: str) -> bytes:
    """The page of the pram as built, by an as-built file with this text."""
    path = folder / "built.toml"
    path.write_text(text, encoding="utf-8")
    hull = hull_named("pram")
    result = check_as_built(replace(hull, edition="first"), HULLS / "pram.toml", path)
    assert result.boat is not None
    return page_html(result.boat, (), boat_of(hull), result.measured.measured)


def test_the_page_of_a_boat_as_built_begins_with_what_hangs(view: Measuring, tmp_path: Path) -> None:
    hull = hull_named("pram")
    view.open("pram", as_built_page(tmp_path, HAND))
    by_id = view.driver.find_element
    assert "first edition, as built to strake 2" in by_id(By.ID, "sub").text
    assert by_id(By.ID, "hung").get_property("value") == "2"
    assert by_id(By.ID, "hung-words").get_property("textContent") == "Hung: strake 2 of 8"
    by_id(By.ID, "tab-work").click()
    assert by_id(By.ID, "stage-title").text.startswith("Strake 2")
    ticks = [one.is_selected() for one in view.driver.find_elements(By.CSS_SELECTOR, "#steps input")]
    assert ticks == [True] * (len(ticks) - 1) + [False]  # it hangs; what is left is the bevel for the next one
    by_id(By.ID, "stage-before").click()
    assert all(one.is_selected() for one in view.driver.find_elements(By.CSS_SELECTOR, "#steps input"))
    view.driver.find_element(By.CSS_SELECTOR, "#steps input").click()  # a tick that is taken away stays away
    view.reopen("pram")
    by_id(By.ID, "tab-work").click()
    assert by_id(By.ID, "stage-title").text.startswith("Strake 1")
    by_id(By.ID, "tab-measure").click()
    assert view.one("h2").text == "Strake 2 of 8"
    assert not view.every(".without")
    assert read(hull, tmp_path / "saved.toml", view.save()) == read(hull, tmp_path / "hand.toml", HAND)


def test_figures_in_the_browser_that_are_newer_than_the_file_stay(view: Measuring, tmp_path: Path) -> None:
    mould = '[mould.2]\nout = 2\n[strake.1]\ntoward_sheer = { fore = 1, 1 = 2, "half-way 1-2" = 1, aft = 1 }\n'
    html = as_built_page(tmp_path, f'format = 1\nunits = "mm"\n{mould}')
    view.open("pram", html)
    assert "has half-way 1-2, [mould.2] too" in view.one(".without").text
    view.tap('[aria-label="the strake above"]')
    view.mark(3.0)
    view.reopen("pram")
    assert view.one("h2").text == "Strake 2 of 8"
    assert view.label("port, fore transom") == "port, fore transom: 3, toward sheer"
    view.open("pram")  # with nothing kept, and made without a file
    view.mark(4.0)
    (view.folder / "pram.html").write_bytes(as_built_page(tmp_path, HAND))
    view.reopen("pram")  # the file has two strakes, the browser one
    assert view.one("h2").text == "Strake 2 of 8"
    view.tap('[data-clear=""]', '[data-clear="sure"]')
    view.mark(4.0)
    view.tap('[data-clear=""]', '[data-clear="sure"]')
    view.reopen("pram")  # what was cleared on purpose does not come back
    assert view.one("h2").text == "Strake 1 of 8"
    assert view.label("port, mould 1") == "port, mould 1: 10.5, toward sheer"


def test_a_file_written_by_hand_is_opened(view: Measuring, tmp_path: Path) -> None:
    view.open("pram")
    view.send_file(HAND)
    hull = hull_named("pram")
    assert read(hull, tmp_path / "saved.toml", view.save()) == read(hull, tmp_path / "hand.toml", HAND)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('hull = "00000000"\n', "of another drawing, 00000000"),
        ('units = "eighths"\n', "in eighths, and this page in mm"),
        ("format = 1\n[strake.1\nthickness = 9\n", "cannot read line 3"),
        ("[strake.99]\nabove_mark = { fore = 1 }\n", "no strake 99"),
        ('[strake.1]\nabove_mark = { "<b>" = 1 }\n', "no place called “<b>”"),
        ("strake = 1\n[lower]\nfore = [[1, 2], [3, 4]]\n", "not arcs"),
        ("\x00\x01", "cannot read line 1"),
        ("[mould.1]\nup = 2\n", "no field for [mould.1]"),
        ("[strake.1]\nabove_mark = 3\n", "cannot read the file"),
    ],
)
def test_a_file_that_cannot_be_opened_changes_nothing(view: Measuring, text: str, told: str) -> None:
    view.open("pram")
    view.mark(1.0)
    view.send_file(text)
    assert told in view.one(".saved").text
    assert view.label("port, fore transom") == "port, fore transom: 1, toward sheer"


def test_figures_of_an_inch_boat_are_tapped_in_sixteenths(view: Measuring, tmp_path: Path) -> None:
    hull = hull_named("double_ender")
    view.open("double_ender")
    view.tap('[data-apart="false"]')
    figures = ("1/16", "3/16", "1/8", "1 1/4")
    for text in figures:
        view.key(text.split(" "))
        view.tap('[data-way="keel"]')
    (strake,) = read(hull, tmp_path / "built.toml", view.save()).strakes
    wanted = [-1.5875, -4.7625, -3.175, -31.75]
    assert list(strake.above_mark.values()) == pytest.approx(wanted)
    assert list(strake.above_mark) == list(place_names(hull)[:4])


def test_a_spiling_is_tapped_as_it_would_be_written(view: Measuring, tmp_path: Path) -> None:
    shell = shell_of(hull_named("pram"))
    taken = read_off(shell, 3)
    view.open("pram")
    view.tap('[data-mode="spiling"]', '[aria-label="the strake above"]', '[aria-label="the strake above"]')
    assert view.one("h2").text == "Strake 3 of 8"
    view.tap('[data-side="port"]')
    for edge in ("lower", "upper"):
        for place, (along, off) in taken.points[edge].items():
            title = {"fore": "fore transom", "aft": "after transom"}.get(place, f"mould {place}")
            view.tap(view.field(f"{edge} edge, {title}, along"))
            view.key(f"{along:.1f}".replace(".0", "").replace(".5", "½"))
            view.tap('[data-way="next"]')
            view.key(f"{abs(off):.1f}".replace(".0", "").replace(".5", "½"))
            view.tap(f'[data-way="{"up" if off > 0.0 else "down"}"]')
    view.tap(view.field("thickness of the batten"))
    view.key("3")
    text = view.save()
    assert view.one(".saved").text.startswith("Saved as spiling-3-")
    assert "not complete" not in view.one(".saved").text
    by_hand = offsets_text(taken).replace("strake = 3", 'strake = 3\nside = "port"')
    found = [spiled(tmp_path / name, one) for name, one in (("tapped.toml", text), ("hand.toml", by_hand))]
    assert found[0] == found[1]


def spiled(path: Path, text: str) -> tuple[Any, ...]:
    """What the program reads in a spiling file of the pram's strake 3."""
    path.write_text(text, encoding="utf-8")
    boat = boat_of(hull_named("pram"))
    places = tuple(strake_points(boat.strakes[2])["lower"])
    one = read_spiling(path, boat.hull, 3, places)
    points = {edge: {place: point.tolist() for place, point in at.items()} for edge, at in one.points.items()}
    return one.strake, points, one.batten, one.side, one.step


def test_a_spiled_point_that_cannot_be_is_marked(view: Measuring) -> None:
    view.open("pram")
    view.tap('[data-mode="spiling"]')
    for along, off, way in (("100", "50", "down"), ("90", "40", "down")):
        view.key(along)
        view.tap('[data-way="next"]')
        view.key(off)
        view.tap(f'[data-way="{way}"]')
    label = view.label("lower edge, half-way fore-1, along")
    assert label.endswith("90, read again")
    assert "not aft of fore transom" in view.one(".doubts").text


def test_what_is_not_complete_is_told_when_it_is_saved(view: Measuring) -> None:
    view.open("dinghy")
    view.mark(1.0)
    view.key("3")
    view.save()
    told = view.one(".saved").text
    assert "Strake 1, port: measured at 1 place; measure at 3 or more." in told
    assert "Strake 1, port, mould 1: the direction is missing." in told
    assert "Strake 1, starboard: measured at 0 places" in told
    view.tap("[data-clear]")
    assert view.label("port, stem") == "port, stem: 1, toward sheer"
    view.tap("[data-clear]")
    assert view.label("port, stem") == "port, stem: nothing yet"


def test_a_figure_needs_its_direction(view: Measuring) -> None:
    view.open("dinghy")
    view.tap('[data-way="sheer"]')
    assert view.one(".shown").text.endswith("How far? Tap the figure first.")
    view.key("2")
    assert view.label("port, stem") == "port, stem: 2, which way?"
    view.tap('[data-way="sheer"]')
    view.tap(view.field("port, stem"))
    view.key("3")
    assert view.label("port, stem") == "port, stem: 3, which way?"


def test_a_keyboard_reaches_everything(view: Measuring) -> None:
    view.open("dinghy")
    view.driver.get((view.folder / "dinghy.html").as_uri())
    keys = ActionChains(view.driver)
    for tab in ("boat", "section", "work"):
        view.driver.find_element(By.ID, f"tab-{tab}").send_keys(Keys.ARROW_RIGHT)
    assert view.one(".work").is_displayed()
    for _ in range(12):
        ActionChains(view.driver).send_keys(Keys.TAB).perform()
        if "field" in (view.driver.switch_to.active_element.get_attribute("class") or ""):
            break
    keys.send_keys("1,5s").send_keys("1s").send_keys("0").send_keys(Keys.ENTER).send_keys("13").send_keys(
        Keys.BACKSPACE
    )
    keys.send_keys("s").send_keys(Keys.ARROW_UP).send_keys(Keys.DELETE).send_keys("1k").perform()
    assert [label for label in view.fields() if "nothing" not in label] == [
        "port, stem: 1.5, toward sheer",
        "port, mould 1: 1, toward sheer",
        "port, mould 2: 0, on its mark",
        "port, mould 3: 1, toward keel",
    ]
    save = view.one("[data-save]")
    for _ in range(60):
        if view.driver.switch_to.active_element == save:
            break
        ActionChains(view.driver).send_keys(Keys.TAB).perform()
    for old in view.folder.glob("*.toml"):
        old.unlink()
    ActionChains(view.driver).send_keys(Keys.ENTER).perform()
    WebDriverWait(view.driver, 20).until(lambda _: [*view.folder.glob("*.toml")])


def test_where_storage_is_refused_the_view_works_and_says_so(view: Measuring) -> None:
    refuse = (
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } })"
    )
    added = view.driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": refuse})
    try:
        view.reopen("dinghy")
        assert view.one(".kept").text == "This browser keeps nothing. Save the file before you close the page."
        view.tap('[data-apart="false"]')
        for figure in (1.0, 0.5, -0.5):
            view.mark(figure)
        assert "toward_sheer = { fore = 1, 1 = 0.5 }\ntoward_keel = { 2 = 0.5 }\n" in view.save()
    finally:
        view.driver.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)
    view.open("dinghy")
    assert view.one(".kept").text == "Kept in this browser as you type."


@pytest.mark.parametrize(
    "kept", ["{", "[]", "7", '{"strakes": [{"port": [{"text": 9, "way": {}}, null]}], "stock": "x"}']
)
def test_what_was_kept_and_cannot_be_read_is_put_aside(view: Measuring, kept: str) -> None:
    view.open("dinghy")
    key = "templates-gen measured " + hull_named("dinghy").fingerprint
    view.driver.execute_script("localStorage.setItem(arguments[0], arguments[1])", key, kept)
    view.reopen("dinghy")
    assert ("could not be read" in view.one(".kept").text) == (kept == "{")
    view.mark(1.0)
    assert view.label("port, stem") == "port, stem: 1, toward sheer"


def test_names_with_any_letters_are_keys_of_the_file(view: Measuring, tmp_path: Path) -> None:
    hull = hull_named("pram")
    names = ('a"b', "<b>x</b>", "__proto__", "{é, 🚣} = #1'")
    for old, new in zip([station.name for station in hull.stations], names, strict=False):
        hull = with_station_named(hull, old, new)
    view.open("wicked", page_html(boat_of(replace(hull, name='</script>"<i>\\')), ()))
    view.tap('[data-apart="false"]')
    for figure in (1.0, 0.5, -0.5, 2.0, -1.0):
        view.mark(figure)
    assert not view.every(".fields b")
    (strake,) = read(hull, tmp_path / "built.toml", view.save()).strakes
    assert strake.above_mark == {"fore": 1.0, names[0]: 0.5, names[1]: -0.5, names[2]: 2.0, names[3]: -1.0}


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("hull", ["dinghy", "double_ender"])
def test_nothing_overlaps_and_nothing_is_too_small_to_tap(view: Measuring, size: str, hull: str) -> None:
    width, height = SIZES[size]
    screen = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 1000}
    view.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
    try:
        view.open(hull)
        for mode in ("hung", "spiling"):
            view.tap(f'[data-mode="{mode}"]')
            assert view.driver.execute_script("return document.documentElement.scrollWidth <= window.innerWidth")
            for group in (".work", ".keypad"):
                boxes = view.driver.execute_script(RECTS, group)
                assert len(boxes) > 5
                assert all(box["height"] >= 44 and box["width"] >= 40 for box in boxes)
                assert all(box["x"] >= 0 and box["x"] + box["width"] <= width for box in boxes)
                assert not [pair for pair in combinations(boxes, 2) if overlap(*pair)]
    finally:
        view.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def overlap(one: dict[str, float], other: dict[str, float]) -> bool:
    """Whether two boxes share more than their edges."""
    return all(
        one[at] + one[size] > other[at] + 0.5 and other[at] + other[size] > one[at] + 0.5
        for at, size in (("x", "width"), ("y", "height"))
    )


def test_the_field_that_is_next_is_never_under_the_keys(view: Measuring) -> None:
    screen = {"width": 390, "height": 844, "deviceScaleFactor": 1, "mobile": True}
    view.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
    try:
        view.open("dinghy")
        for figure in range(1, 13):
            view.mark(float(figure % 9 + 1))
            (top, bottom), (keys, _) = view.driver.execute_script(BOXES)
            assert 0 <= top < bottom <= keys + 1
    finally:
        view.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_the_data_of_the_view_are_the_boats() -> None:
    boat = boat_of(hull_named("dinghy"))
    data = measuring_data(boat)
    assert data["hull"] == {"name": "Tarnmoth", "fingerprint": boat.hull.fingerprint}
    assert data["places"] == place_names(boat.hull)
    assert np.allclose(np.array(data["least"])[-1, 0], drawn_widths(boat.shell)["fore"][-1], atol=1e-5)
