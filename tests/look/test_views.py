"""The views of the page: hanging, one strake alone, sections, the order of work, the tape, what is missing."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from templates_gen.about import About, Place
from templates_gen.geometry.moulds import plank_sections
from templates_gen.geometry.planking import PlankedShell
from templates_gen.look.bodies import strake_bodies
from templates_gen.look.page import page_html
from templates_gen.look.placing import marks_of, point_of
from templates_gen.notation import Notation
from tests.look.pages import made, page, picture, rows

SIZES = ((390, 844), (820, 1180), (1440, 900))
TABS = ("boat", "section", "work")


def text(driver: Chrome, name: str) -> str:
    return driver.find_element(By.ID, name).text


def is_shown(driver: Chrome, name: str) -> bool:
    return driver.find_element(By.ID, name).is_displayed()


def changed(one: np.ndarray, other: np.ndarray) -> float:
    """The share of points of a picture that are not those of another."""
    return float((np.abs(one - other).max(axis=2) > 20).mean())


# The boat as she is hung


def test_the_boat_is_hung_strake_by_strake_by_slider_button_and_key(opened: Chrome) -> None:
    driver = opened
    driver.execute_script("tabs.show('boat'); pick({}); scene.look('quarter')")
    whole = picture(driver)
    for _ in range(9):
        driver.find_element(By.ID, "hang-less").click()
    assert text(driver, "hung-words").startswith("Moulds and backbone")
    assert not driver.find_element(By.ID, "hang-less").is_enabled()
    bare = picture(driver)
    assert changed(bare, whole) > 0.02
    driver.find_element(By.ID, "hung").send_keys(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT)
    assert text(driver, "hung-words") == "Hung: strake 2 of 9"
    visible = driver.execute_script("return scene.strakes.filter(m => m.visible).map(m => m.userData.strake)")
    assert sorted(visible) == [1, 1, 2, 2]
    assert changed(picture(driver), bare) > 0.002
    driver.find_element(By.ID, "moulds").click()
    assert changed(picture(driver), bare) > 0.02
    driver.find_element(By.ID, "moulds").click()
    driver.execute_script("hang(9)")
    assert changed(picture(driver), whole) == 0.0


def test_one_strake_stands_alone_inside_and_outside(opened: Chrome) -> None:
    driver = opened
    driver.execute_script("tabs.show('boat'); pick({}); scene.look('quarter')")
    whole = picture(driver)
    choice = driver.find_element(By.ID, "choose")
    choice.send_keys("strake 6")
    assert text(driver, "what") == "Strake 6 of 9"
    faded = driver.execute_script(
        "return scene.strakes.filter(m => m.material.opacity < 1).map(m => m.userData.strake)"
    )
    assert set(faded) == {1, 2, 3, 4, 5, 7, 8, 9}
    assert changed(picture(driver), whole) > 0.02
    seen = []
    for side in ("outside", "inside"):
        driver.find_element(By.CSS_SELECTOR, f'[data-see="{side}"]').click()
        seen.append(driver.execute_script("return [scene.camera.position.y, scene.camera.position.z]"))
    assert seen[0][0] > 500.0 > -500.0 > seen[1][0]  # from port, and then through the boat from starboard
    assert len(driver.find_elements(By.CSS_SELECTOR, "#figures .flat")) == 2
    driver.find_element(By.ID, "all").click()
    assert not driver.execute_script("return scene.strakes.some(m => m.material.opacity < 1)")
    assert not is_shown(driver, "alone")


def test_the_wanted_least_edge_is_marked_in_the_legend(opened: Chrome) -> None:
    driver = opened
    driver.execute_script("tabs.show('boat'); pick({}); colour('left')")
    (mark,) = driver.find_elements(By.CSS_SELECTOR, "#ramp .least")
    ramp = driver.find_element(By.ID, "ramp").rect
    share = (mark.rect["x"] + mark.rect["width"] / 2 - ramp["x"]) / ramp["width"]
    ticks = [float(tick.text) for tick in driver.find_elements(By.CSS_SELECTOR, "#ticks span")]
    assert ticks[0] + share * (ticks[-1] - ticks[0]) == pytest.approx(4.5, abs=0.1)
    assert "4.5 mm" in text(driver, "legend-note")
    driver.execute_script("colour('twist')")
    assert not is_shown(driver, "legend-note")
    driver.execute_script("colour('wood')")


def test_keys_turn_the_boat(opened: Chrome) -> None:
    driver = opened
    driver.execute_script("tabs.show('boat'); pick({}); scene.look('quarter')")
    before = picture(driver)
    canvas = driver.find_element(By.ID, "scene")
    for key in (Keys.ARROW_LEFT, Keys.ARROW_UP, "+"):
        canvas.send_keys(key)
        after = picture(driver)
        assert changed(after, before) > 0.02
        before = after


def test_a_lost_drawing_context_is_said_and_comes_back(opened: Chrome) -> None:
    driver = opened
    driver.execute_script("tabs.show('boat'); pick({}); scene.look('quarter')")
    before = picture(driver)
    wait = "const done = arguments[0]; setTimeout(done, 300);"
    driver.execute_script("window.taken = scene.renderer.getContext().getExtension('WEBGL_lose_context')")
    driver.execute_async_script(f"taken.loseContext(); {wait}")
    assert "stopped drawing" in text(driver, "lost-words")
    driver.execute_async_script(f"taken.restoreContext(); {wait}")
    assert not is_shown(driver, "lost")
    assert changed(picture(driver), before) < 0.001
    driver.execute_async_script(f"taken.loseContext(); {wait}")
    driver.execute_script("sayLost('gone', true); hang(3)")
    driver.find_element(By.ID, "again").click()
    assert not is_shown(driver, "lost")
    driver.execute_script("hang(9)")
    assert changed(picture(driver), before) < 0.001
    logged = [entry["message"] for entry in driver.get_log("browser")]
    assert all("CONTEXT_LOST" in message or "Context" in message for message in logged)


# The section


def ruling_at(shell: PlankedShell, land: int, x: float) -> float:
    """The ruling at which a land's mark lies at x, by halving."""
    low, high = shell.u_fore, shell.u_aft
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if shell.upper(land, np.array([middle]))[0, 0] < x else (low, middle)
    return (low + high) / 2


def places_to_cut(name: str) -> list[float]:
    """The stations, and two places between each pair of neighbours."""
    at = [station.at for station in made(name).hull.stations]
    return [*at, *(a + share * (b - a) for a, b in pairwise(at) for share in (0.13, 0.62))]


def test_sections_are_those_of_the_program_within_a_tenth_of_a_millimetre(read: tuple[str, Chrome]) -> None:
    name, driver = read
    for x in places_to_cut(name):
        cut = driver.execute_script("return sectionAt(arguments[0])", x)
        for outline, plank in zip(cut, plank_sections(made(name).shell, x), strict=True):
            off = np.linalg.norm(np.array(outline)[:, None] - plank.outline[None], axis=2)
            assert off.min(axis=0).max() < 0.1
            assert off.min(axis=1).max() < 0.1 or plank.strake in (1, len(cut))  # bodies have spare corners there


def test_figures_of_lands_between_stations_are_those_of_the_program(read: tuple[str, Chrome]) -> None:
    name, driver = read
    shell = made(name).shell
    for x in (*places_to_cut(name), made(name).hull.stations[0].at - 150.0, made(name).hull.stations[-1].at + 150.0):
        for land in range(1, shell.planking.strakes):
            u = np.array([ruling_at(shell, land, x)])
            shown = driver.execute_script("return landFigures(arguments[0], arguments[1])", land, x)
            assert shown["bevel"] == pytest.approx(np.degrees(shell.bevel(land, u)[0]), abs=0.05)
            assert shown["take_off"] == pytest.approx(shell.take_off(land, u)[0], abs=0.1)
            assert shown["edge_left"] == pytest.approx(shell.edge_left(land, u)[0], abs=0.1)
            assert shown["gap_before"] == pytest.approx(shell.gap_before(land, u)[0], abs=0.1)


def test_beyond_the_end_of_a_strake_nothing_is_cut(read: tuple[str, Chrome]) -> None:
    name, driver = read
    for number, body in enumerate(strake_bodies(made(name)), start=1):
        x = body.nodes[..., 0]
        for beyond in (x.min() - 1.0, x.max() + 1.0):
            assert driver.execute_script("return sectionAt(arguments[0])", beyond)[number - 1] is None
        part = driver.execute_script("return sectionAt(arguments[0])", float(x[0].mean()))[number - 1]
        assert len(part) >= 3  # an end that slopes across the plane is cut along itself


VIEW_BOX = "return byId('section').getAttribute('viewBox')"


def test_the_section_is_moved_by_slider_button_and_key(read: tuple[str, Chrome]) -> None:
    name, driver = read
    driver.execute_script("tabs.show('section'); cutAt(data.stations[2].x)")
    assert text(driver, "cut-words").startswith("mould 3 · ")
    lands = made(name).hull.planking.strakes - 1
    cells = (
        "return [...document.querySelectorAll('#cut-figures tbody tr')].map(r => [...r.cells].map(c => c.innerText))"
    )
    shown, notation = driver.execute_script(cells), made(name).hull.notation
    at = np.array([made(name).hull.stations[2].at])
    for land, row in enumerate(shown, start=1):
        assert row[0] == str(land)
        assert row[2] == notation.depth_cell(float(made(name).shell.take_off(land, at)[0]))
    assert len(shown) == lands
    driver.find_element(By.ID, "cut-aft").click()
    assert text(driver, "cut-words").startswith("mould 4 · ")
    driver.find_element(By.ID, "cut").send_keys(Keys.ARROW_LEFT, Keys.ARROW_LEFT, Keys.ARROW_LEFT)
    assert " forward of mould 4 · " in text(driver, "cut-words")
    whole = driver.execute_script(VIEW_BOX)
    driver.find_element(By.CSS_SELECTOR, "#cut-figures button").click()
    assert driver.execute_script(VIEW_BOX) != whole
    driver.find_element(By.ID, "cut-whole").click()
    assert driver.execute_script(VIEW_BOX) == whole


# The order of work


def test_ticks_are_remembered_for_this_boat_only(small: Chrome, tmp_path: Path) -> None:
    (tmp_path / "dinghy.html").write_bytes(page("dinghy"))
    other = replace(made("dinghy"), hull=replace(made("dinghy").hull, fingerprint="0ther000"))
    (tmp_path / "other.html").write_bytes(page_html(other, ()))
    small.get((tmp_path / "dinghy.html").as_uri())
    small.execute_script("tabs.show('work'); showStage(2)")
    ticks = small.find_elements(By.CSS_SELECTOR, "#steps .step input")
    for tick in ticks[:2]:
        tick.click()
    assert text(small, "work-done").startswith("2 of ")
    small.refresh()
    small.execute_script("tabs.show('work'); showStage(2)")
    kept = [tick.is_selected() for tick in small.find_elements(By.CSS_SELECTOR, "#steps .step input")]
    assert kept == [True, True] + [False] * (len(ticks) - 2)
    small.find_elements(By.CSS_SELECTOR, "#steps .step")[0].click()
    assert text(small, "work-done").startswith("1 of ")
    small.get((tmp_path / "other.html").as_uri())
    small.execute_script("tabs.show('work')")
    assert text(small, "work-done").startswith("0 of ")
    assert small.get_log("browser") == []


def test_where_storage_is_refused_ticks_hold_until_the_page_is_closed(small: Chrome, own_page: Path) -> None:
    own_page.write_bytes(page("pram"))
    refused = "Object.defineProperty(window, 'localStorage', { get() { throw new Error('refused'); } });"
    added = small.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": refused})
    small.get(own_page.as_uri())
    small.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)
    small.execute_script("tabs.show('work'); showStage(1)")
    small.find_element(By.CSS_SELECTOR, "#steps .step input").click()
    small.execute_script("showStage(2); showStage(1)")
    assert small.find_element(By.CSS_SELECTOR, "#steps .step input").is_selected()
    assert is_shown(small, "work-kept")
    assert small.get_log("browser") == []


# The tape


def test_the_tape_measures_between_marks_in_the_notation_of_the_boat(read: tuple[str, Chrome]) -> None:
    name, driver = read
    boat = made(name)
    driver.execute_script("byId('tape-card').open = true")
    marks = marks_of(boat, strake_bodies(boat))
    assert [mark["name"] for mark in marks][:3] == ["fore end", "half-way fore–1", "mould 1"]
    for number, (place, corner, side) in enumerate(
        (("mould 2", "sheer, inside", "port"), ("mould 4", "sheer, inside", "starboard"))
    ):
        lists = driver.find_elements(By.CSS_SELECTOR, f"#tape-{number} select")
        for one, choice in zip(lists, (place, corner, side), strict=True):
            one.send_keys(choice)
    first, second = boat.moulds[1], boat.moulds[3]
    (y0, z0), (y1, z1) = first.land_marks[-1], second.land_marks[-1]
    step = np.array([second.station.at - first.station.at, y0 + y1, z1 - z0])
    shown = driver.execute_script(
        "return [...document.querySelectorAll('#tape-figures td:last-child')].map(c => c.innerText)"
    )
    notation = boat.hull.notation
    assert shown == [notation.spoken_length(abs(float(one))) for one in (np.linalg.norm(step), *step)]


def test_the_tape_snaps_to_the_mark_that_is_tapped(opened: Chrome) -> None:
    driver = opened
    driver.execute_script("tabs.show('boat'); pick({}); scene.look('side'); byId('tape-card').open = true")
    driver.execute_async_script("const done = arguments[0]; setTimeout(done, 50);")
    canvas = driver.find_element(By.ID, "scene")
    for number, (place, corner) in enumerate(((4, 6), (10, 7))):
        x, y = driver.execute_script(
            "return scene.onScreen(data.marks[arguments[0]].outside[arguments[1]])", place, corner
        )
        ActionChains(driver).move_to_element_with_offset(
            canvas, round(x - canvas.size["width"] / 2) + 2, round(y - canvas.size["height"] / 2) + 1
        ).click().perform()
        end = driver.execute_script("return tape.ends[arguments[0]]", number)
        assert end == {"place": place, "face": "outside", "index": corner, "side": "port"}
    driver.execute_script("byId('tape-card').open = false; scene.look('quarter')")


@pytest.mark.parametrize("units", ["mm", "in", "ft-in-8"])
@pytest.mark.parametrize("depths", ["mm", "64ths"])
def test_figures_are_written_as_on_the_sheets(browser_without_3d: Chrome, read: Any, units: Any, depths: Any) -> None:
    notation = Notation(units, depths)
    lengths = [0.0, 0.24, 0.25, 1.0, -3.2, 12.7, 118.5, 304.8, 1219.2, 3641.7, -25.4, *np.linspace(3.0, 4000.0, 97)]
    call = (
        "const kept = data.notation; data.notation = arguments[1];"
        "const found = arguments[0].map(mm => [notation.length(mm), notation.spoken(mm), notation.depth(mm)]);"
        "data.notation = kept; return found;"
    )
    shown = read[1].execute_script(call, [float(one) for one in lengths], {"units": units, "depths": depths})
    for length, texts in zip(lengths, shown, strict=True):
        spoken = notation.spoken_length(length) if units != "ft-in-8" else notation.length(length)
        assert texts == [notation.length(length), spoken, notation.depth_cell(length)]


# Where findings are shown


def test_findings_are_placed_by_what_they_are_about() -> None:
    boat = made("dinghy")
    station = Place("station", "2", order=2.0)
    mark = boat.moulds[1].land_marks

    def at(where: About) -> np.ndarray:
        found = point_of(boat, where)
        assert found is not None
        return found

    assert at(About("land", 3, place=station)) == pytest.approx([1200.0, *mark[2]], abs=1e-6)
    assert at(About("mould", place=station)) == pytest.approx([1200.0, *mark[4]], abs=1e-6)
    assert at(About("section", place=replace(station, offset=100.0)))[0] == pytest.approx(1300.0, abs=1e-6)
    assert at(About("rebate", place=station))[1:] == pytest.approx(boat.hull.stations[1].rabbet, abs=0.5)
    assert at(About("stem", end="fore"))[0] < 300.0
    assert at(About("rebate", 9, end="fore"))[2] > at(About("rebate", 2, end="fore"))[2]
    assert at(About("transom", end="aft"))[1] == 0.0
    assert at(About("transom", 3, end="aft"))[0] > 3500.0
    assert point_of(boat, About("boat")) is None
    assert point_of(boat, About("bulkhead", 1)) is None


# What is missing, and at what size


def test_without_a_drawing_context_the_tools_that_need_it_are_gone(read: tuple[str, Chrome]) -> None:
    _, driver = read
    for name in ("tools", "stage", "hang", "stage-boat"):
        assert not driver.execute_script("return byId(arguments[0]).checkVisibility()", name)
    assert "WebGL" in text(driver, "lost-words")
    driver.execute_script("byId('choose').value = 'strake 2'; byId('choose').dispatchEvent(new Event('change'))")
    assert not is_shown(driver, "alone")
    assert dict(rows(driver))["bending"]
    driver.execute_script("tabs.show('section')")
    assert driver.find_elements(By.CSS_SELECTOR, "#section .cutting")
    driver.execute_script("tabs.show('work')")
    assert driver.find_elements(By.CSS_SELECTOR, "#steps .step")
    driver.execute_script("tabs.show('boat')")


REACHABLE = """
return [...document.querySelectorAll("main :is(button, select, input, summary, a[href], canvas[tabindex])")]
  .filter(e => e.checkVisibility() && !e.disabled);
"""


def test_the_keyboard_reaches_every_control(opened: Chrome) -> None:
    driver = opened
    driver.execute_script(
        "tabs.show('boat'); pick({ strake: 2 }); byId('tape-card').open = true; document.activeElement.blur()"
    )
    driver.find_element(By.ID, "tab-boat").send_keys(Keys.NULL)
    for tab in TABS:
        chosen = driver.switch_to.active_element
        assert chosen.get_attribute("data-tab") == tab
        left = set(driver.execute_script(REACHABLE))
        for _ in range(len(left) + 2):
            ActionChains(driver).send_keys(Keys.TAB).perform()
            left.discard(driver.switch_to.active_element)
            if not left:
                break
        assert left == set()
        chosen.send_keys(Keys.ARROW_RIGHT)
    driver.execute_script("tabs.show('boat'); pick({}); byId('tape-card').open = false")


OVERLAPS = """
const shown = [...document.querySelectorAll(":is(button, select, input, summary)")].filter(e => e.checkVisibility());
const name = (e) => e.outerHTML.slice(0, 80), boxes = shown.map(e => [e, e.getBoundingClientRect()]);
const found = [];
for (const [one, a] of boxes) for (const [other, b] of boxes) {
  if (one === other || one.contains(other) || other.contains(one)) continue;
  const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
  const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
  if (wide > 1 && high > 1) found.push([name(one), name(other)]);
}
const low = boxes.filter(([e, box]) => e.matches("button, select, summary") && box.height < 44);
const past = boxes.filter(([e, box]) => !e.closest("#tabs, .tablewrap") && box.right > innerWidth + 1);
const lists = [low, past].map(some => some.map(([e]) => name(e)));
return [document.documentElement.scrollWidth - innerWidth, found, ...lists];
"""


def test_phone_tablet_and_desk_show_every_control_in_its_place(small: Chrome, own_page: Path) -> None:
    own_page.write_bytes(page("double_ender"))
    small.get(own_page.as_uri())
    columns = []
    for width, height in SIZES:
        size = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
        small.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)
        for tab in TABS:
            small.execute_script("tabs.show(arguments[0]); pick({ strake: 2 }); byId('tape-card').open = true", tab)
            too_wide, overlaps, low, past = small.execute_script(OVERLAPS)
            assert too_wide <= 0, (width, tab)
            assert (overlaps, low, past) == ([], [], []), (width, tab)
        small.execute_script("tabs.show('boat')")
        places = [small.find_element(By.ID, name).rect for name in ("stage", "details", "plan", "tools")]
        columns.append(tuple((round(place["x"]), place["y"] > places[0]["y"]) for place in places))
        assert min(place["width"] for place in places) > 300
    small.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    assert len(set(columns)) == len(SIZES)  # three layouts
    assert small.get_log("browser") == []


def test_the_page_of_a_boat_with_any_names_is_whole(small: Chrome, own_page: Path) -> None:
    odd = "\"><i>'😀</script>&amp;"
    boat = made("pram")
    stations = tuple(replace(s, name=odd) if s.name == "2" else s for s in boat.hull.stations)
    moulds = tuple(
        replace(m, station=replace(m.station, name=odd)) if m.station.name == "2" else m for m in boat.moulds
    )
    lands = replace(boat.hull.lands, at={odd if k == "2" else k: v for k, v in boat.hull.lands.at.items()})
    hull = replace(boat.hull, name=odd, stations=stations, lands=lands)
    own_page.write_bytes(page_html(replace(boat, hull=hull, moulds=moulds, shell=replace(boat.shell, hull=hull)), ()))
    small.get(own_page.as_uri())
    small.execute_script("tabs.show('section'); cutAt(data.stations[1].x)")
    assert text(small, "cut-words").startswith(f"mould {odd} · ")
    assert small.find_element(By.TAG_NAME, "h1").text == odd
    assert small.find_elements(By.TAG_NAME, "i") == []
    assert small.get_log("browser") == []
