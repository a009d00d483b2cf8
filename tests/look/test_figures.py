"""The figures of the page: sections, lands at any place, the tape, notation, and where findings are shown."""

from dataclasses import replace
from itertools import pairwise
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
from templates_gen.look.placing import marks_of, point_of
from templates_gen.look.planking import strake_bodies
from templates_gen.notation import Notation
from tests.look.pages import made, text, wait_until

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


def test_sections_are_those_of_the_program(read: tuple[str, Chrome]) -> None:
    name, driver = read
    for x in places_to_cut(name):
        cut = driver.execute_script("return sectionAt(arguments[0])", x)
        for outline, plank in zip(cut, plank_sections(made(name).shell, x), strict=True):
            off = np.linalg.norm(np.array(outline)[:, None] - plank.outline[None], axis=2)
            assert off.min(axis=0).max() < 0.04
            assert off.min(axis=1).max() < 0.04 or plank.strake in (1, len(cut))  # bodies have spare corners there


CORNER = "insideCorner(arguments[0])"


def test_figures_of_lands_between_stations_are_those_of_the_program(read: tuple[str, Chrome]) -> None:
    name, driver = read
    shell = made(name).shell
    for x in (*places_to_cut(name), made(name).hull.stations[0].at - 150.0, made(name).hull.stations[-1].at + 150.0):
        for land in range(1, shell.planking.strakes):
            u = np.array([ruling_at(shell, land, x)])
            shown = driver.execute_script("return landFigures(arguments[0], arguments[1])", land, x)
            corner = driver.execute_script(f"cutting.x = arguments[1]; return {CORNER}", land, x)
            assert corner == pytest.approx(shell.upper(land, u)[0, 1:], abs=0.02)
            assert shown["bevel"] == pytest.approx(np.degrees(shell.bevel(land, u)[0]), abs=0.02)
            assert shown["take_off"] == pytest.approx(shell.take_off(land, u)[0], abs=0.02)
            assert shown["edge_left"] == pytest.approx(shell.edge_left(land, u)[0], abs=0.02)
            assert shown["gap_before"] == pytest.approx(shell.gap_before(land, u)[0], abs=0.02)


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


def test_keys_leave_a_station_that_lies_at_half_a_millimetre(read: tuple[str, Chrome]) -> None:
    _, driver = read
    driver.execute_script("tabs.show('section'); data.stations.push({ name: 'half', x: 1250.5 }); cutAt(1250.5)")
    driver.find_element(By.ID, "cut").send_keys(Keys.ARROW_LEFT, Keys.ARROW_LEFT, Keys.ARROW_LEFT)
    assert driver.execute_script("return cutting.x") == pytest.approx(1248.0, abs=0.51)
    driver.execute_script("data.stations.pop(); cutAt(1250.4)")


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
    wait_until(driver, "tape.on")
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
    wait_until(driver, "!tape.on")


def test_the_tape_snaps_to_no_mark_of_a_side_that_is_hidden(opened: Chrome) -> None:
    driver = opened
    driver.execute_script("tabs.show('boat'); pick({}); scene.look('bow')")
    nearest = "return nearestCorner(...scene.onScreen(mirrored(data.marks[4].outside[6])))?.side ?? null"
    assert driver.execute_script(nearest) == "starboard"
    driver.execute_script("showPart('both', false)")
    assert driver.execute_script(nearest) != "starboard"
    driver.execute_script("showPart('both', true); scene.look('quarter')")


@pytest.mark.parametrize("units", ["mm", "in", "ft-in-8"])
@pytest.mark.parametrize("depths", ["mm", "64ths"])
def test_figures_are_written_as_on_the_sheets(browser_without_3d: Chrome, read: Any, units: Any, depths: Any) -> None:
    notation = Notation(units, depths)
    lengths = [
        0.0,
        0.24,
        0.25,
        1.0,
        1.74996,
        -3.2,
        12.7,
        118.5,
        304.8,
        1219.2,
        3641.7,
        -25.4,
        *np.linspace(3.0, 4000.0, 97),
    ]
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
