"""The Measure view of the page in headless Chromium: figures tapped there are read as if written by hand."""

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
from templates_gen.hull.measured.as_built import half_way_names, place_names, read_as_built
from templates_gen.hull.measured.spiling import read_spiling
from templates_gen.look.measure.figures import measuring_data
from templates_gen.look.page import page_html
from templates_gen.paper.sheet import sheet
from templates_gen.pipeline import check_as_built
from templates_gen.sheets import Printing
from tests.at_boat.batten import offsets_text, read_off
from tests.flow import boat_of, shell_of
from tests.look.measuring import HAND, HULLS, OFTEN, SIZES, Measuring, hull_named, read, tap_hand
from tests.look.test_page import with_station_named
from tests.sweep import more, sweep

BOXES = """
return [".field[aria-current]", ".keypad"].map((selector) => {
  const box = document.querySelector(`#panel-measure ${selector}`).getBoundingClientRect();
  return [box.top, box.bottom];
});
"""
RECTS = """
const every = [...document.querySelectorAll(`#panel-measure ${arguments[0]} button`)];
return every.filter((one) => one.checkVisibility()).map((one) => one.getBoundingClientRect().toJSON());
"""


def test_a_boat_is_tapped_kept_and_saved_as_in_a_file_written_by_hand(view: Measuring, tmp_path: Path) -> None:
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


@sweep
def test_the_sheets_of_a_tapped_file_are_those_of_a_file_written_by_hand(
    view: Measuring, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    hull = hull_named("pram")
    view.open("pram")
    tap_hand(view, hull)
    view.reopen("pram")
    view.tap('[aria-label="the strake below"]', "[data-sure]")
    for name, text in (("tapped.toml", view.save()), ("hand.toml", HAND)):
        (tmp_path / name).write_text(text, encoding="utf-8")
    # The sheets bear digits of the as-built file's own bytes: the same are given to both.
    monkeypatch.setattr(as_built, "read_as_built", lambda *given: replace(read_as_built(*given), fingerprint="0"))
    printing = Printing(sheet("a4", 10.0), to_print="bench")
    made = [
        as_built_files(check_as_built(hull, HULLS / "pram.toml", tmp_path / name), printing).files
        for name in ("tapped.toml", "hand.toml")
    ]
    assert made[0] == made[1]


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


def test_what_is_not_complete_is_reported_when_it_is_saved(view: Measuring) -> None:
    view.open("dinghy")
    view.mark(1.0)
    view.key("3")
    view.save()
    message = view.one(".saved").text
    assert "Strake 1, port: measured at 1 place; measure at 3 or more." in message
    assert "Strake 1, port, mould 1: the direction is missing." in message
    assert "Strake 1, starboard: measured at 0 places" in message
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
    WebDriverWait(view.driver, 20, OFTEN).until(lambda _: [*view.folder.glob("*.toml")])


def test_where_storage_is_refused_the_view_works_and_says_so(view: Measuring) -> None:
    refuse = (
        "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('no', 'SecurityError'); } })"
    )
    added = view.driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": refuse})
    try:
        view.reopen("dinghy")
        assert view.one(".kept").text == "This browser keeps nothing. Save the file before you close the page."
        view.tap('[data-apart="false"]')
        view.mark(1.0, 0.5, -0.5)
        assert "toward_sheer = { fore = 1, 1 = 0.5 }\ntoward_keel = { 2 = 0.5 }\n" in view.save()
    finally:
        view.driver.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)
    view.open("dinghy")
    assert view.one(".kept").text == "Kept in this browser as you type."


@pytest.mark.parametrize(
    "kept", ["{", '{"strakes": [{"port": [{"text": 9, "way": {}}, null]}], "stock": "x"}', *more("[]", "7")]
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
    view.mark(1.0, 0.5, -0.5, 2.0, -1.0)
    assert not view.every(".fields b")
    (strake,) = read(hull, tmp_path / "built.toml", view.save()).strakes
    assert strake.above_mark == {"fore": 1.0, names[0]: 0.5, names[1]: -0.5, names[2]: 2.0, names[3]: -1.0}


@pytest.mark.parametrize(
    ("hull", "size"),
    [
        ("double_ender", "phone"),
        ("dinghy", "desk"),
        *more(("dinghy", "phone"), ("dinghy", "tablet"), ("double_ender", "tablet"), ("double_ender", "desk")),
    ],
)
def test_nothing_overlaps_and_nothing_is_too_small_to_tap(view: Measuring, size: str, hull: str) -> None:
    width, height = SIZES[size]
    screen = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 1000}
    view.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
    try:
        view.open(hull)
        for mode in ("hung", "spiling"):
            view.tap(f'[data-mode="{mode}"]', *([".moulds summary", "[data-between]"] if mode == "hung" else []))
            assert view.driver.execute_script("return document.documentElement.scrollWidth <= window.innerWidth")
            for group in (".work", ".keypad"):
                boxes = view.driver.execute_script(RECTS, group)
                assert len(boxes) > (40 if group == ".work" and mode == "hung" else 5)
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


@pytest.mark.parametrize("size", [(320, 568), *more(((360, 740),))])
@pytest.mark.parametrize("hull", ["double_ender", *more("dinghy")])
def test_the_first_field_is_seen_as_soon_as_the_view_is_opened(
    view: Measuring, size: tuple[int, int], hull: str
) -> None:
    screen = {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": True}
    view.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
    try:
        view.open(hull)
        for mode in ("hung", "spiling"):
            view.one(f'[data-mode="{mode}"]').click()
            (top, bottom), (keys, _) = view.driver.execute_script(BOXES)
            assert 0 <= top < bottom <= keys
    finally:
        view.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_a_station_without_a_mould_is_called_a_station(view: Measuring) -> None:
    hull = hull_named("pram")
    bare = replace(hull, stations=tuple(replace(station, mould=False) for station in hull.stations))
    view.open("bare", page_html(boat_of(bare), ()))
    assert view.label("port, station 1") == "port, station 1: nothing yet"
    assert "mould" not in view.one(".work").text


def test_the_data_of_the_view_are_the_boats() -> None:
    boat = boat_of(hull_named("dinghy"))
    data = measuring_data(boat)
    assert data["hull"] == {"name": "Tarnmoth", "fingerprint": boat.hull.fingerprint}
    assert data["places"] == [*place_names(boat.hull), *half_way_names(boat.hull)]
    assert np.allclose(np.array(data["least"])[-1, 0], drawn_widths(boat.shell)["fore"][-1], atol=1e-5)
