"""The page, opened from disk in headless Chromium without a network, and clicked."""

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By

from templates_gen.about import About
from templates_gen.checking import findings
from templates_gen.hull.model import Hull, Lands
from templates_gen.look.page import page_html
from templates_gen.look.placing import placed
from templates_gen.look.planking import strake_bodies
from templates_gen.report.finding import Finding
from templates_gen.report.lands.fair import fair_findings
from templates_gen.units import format_length
from tests import boats
from tests.flow import boat_of, measurements
from tests.geometry.skiffs import skiff
from tests.look.pages import (
    NAMES,
    asked_of_a_network,
    choose,
    click_on_body_plan,
    complaints,
    heading,
    made,
    page,
    picture,
    rows,
)
from tests.sweep import more, sweep

each_boat = pytest.mark.parametrize("name", ["dinghy", *more(*(name for name in NAMES if name != "dinghy"))])


def assert_drawn(driver: Chrome, name: str) -> None:
    """The boat's name stands over a canvas on which something is drawn."""
    assert driver.find_element(By.TAG_NAME, "h1").text == made(name).hull.name
    assert not driver.find_element(By.ID, "lost").is_displayed()
    image = picture(driver)
    ground = image[image.shape[0] // 4, 5]
    different = (np.abs(image - ground).max(axis=2) > 12).mean()
    assert 0.05 < different < 0.9


def test_the_boat_is_drawn(opened: Chrome) -> None:
    assert_drawn(opened, "dinghy")


@sweep
def test_another_boat_is_drawn(small: Chrome, tmp_path: Path) -> None:
    path = tmp_path / "boat.html"
    path.write_bytes(page("double_ender"))
    small.get(path.as_uri())
    assert_drawn(small, "double_ender")
    assert small.get_log("browser") == []
    assert asked_of_a_network(small, path) == []


def test_a_tap_on_the_boat_shows_a_strakes_figures(opened: Chrome) -> None:
    driver = opened
    driver.find_element(By.CSS_SELECTOR, '[data-view="side"]').click()
    canvas = driver.find_element(By.ID, "scene")
    seen = set()
    for down in range(-30, 31, 10):
        ActionChains(driver).move_to_element_with_offset(canvas, 3, down).click().perform()
        seen.add(heading(driver))
        strakes = {int(found[1]) for text in seen if (found := re.match(r"Strake (\d+) of", text))}
        if len(strakes) >= 3:
            break
    assert len(strakes) >= 3
    assert strakes <= set(range(1, made("dinghy").hull.planking.strakes + 1))


def least_edge_left(name: str, strake: int) -> tuple[str, str]:
    """The row of a strake's least edge: of both its lands, at either edge and the lap lines, clear of the geralds."""
    shell, u, left, is_whole = made(name).shell, np.linspace(0.0, 1.0, 2001), [], True
    u = shell.u_fore + u * (shell.u_aft - shell.u_fore)
    for land in {strake - 1, strake} & set(range(1, shell.planking.strakes)):
        whole = shell.length_along(land, u[-1:])[0]
        starts = np.array([shell.planking.gerald_fore or 0.0, whole - (shell.planking.gerald_aft or 0.0)])
        u = np.union1d(u, shell.rulings_at_lengths(land, starts))
        along = shell.length_along(land, u)
        clear = (along >= (shell.planking.gerald_fore or 0.0) - 1e-6) & (
            along <= along[-1] - (shell.planking.gerald_aft or 0.0) + 1e-6
        )
        is_whole &= bool(clear.all())
        off = shell.losses(land, u[clear])
        own = (
            (off.lower_at_edge, off.lower_at_lap_line)
            if land == strake
            else (off.upper_at_edge, off.upper_at_lap_line)
        )
        left.append(shell.planking.thickness[strake - 1] - max(float(one.max()) for one in own))
    words = "least edge left" if is_whole else "least edge left, clear of the geralds"
    return words, made(name).hull.notation.spoken_depth(min(left))


def test_every_strakes_figures_are_those_of_the_measurements(read: tuple[str, Chrome]) -> None:
    name, driver = read
    units = made(name).hull.units
    unit = " mm" if units == "mm" else ""
    for strake in measurements(made(name))["strakes"]:
        click_on_body_plan(driver, f'#body .plank[data-strake="{strake["number"]}"]')
        assert heading(driver).startswith(f"Strake {strake['number']} of ")
        shown = dict(rows(driver))
        for word, key in (("length", "length"), ("greatest width", "greatest_width"), ("sweep", "sweep")):
            assert shown[word] == format_length(strake[key], units) + unit
        assert shown["board"] == " × ".join(format_length(size, units) + unit for size in strake["blank"])
        assert shown["twist, worst metre"] == f"{strake['twist_per_metre']:.1f}°"
        assert shown["bending"] == strake["verdict"]
        words, least = least_edge_left(name, strake["number"])
        assert shown[words] == least
        flat = driver.find_element(By.CSS_SELECTOR, "#figures .flat").get_attribute("d")
        assert flat is not None
        numbers = np.array([float(text) for text in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", flat)]).reshape(-1, 2)
        lower = np.array(strake["outline"]["lower"])
        assert np.allclose(numbers[: len(lower)], lower * [1.0, -1.0], atol=1e-6)


def test_every_lands_figures_are_those_of_the_measurements(read: tuple[str, Chrome]) -> None:
    name, driver = read
    for land in measurements(made(name))["lands"]:
        click_on_body_plan(driver, f'#body .land[data-land="{land["below"]}"]')
        assert heading(driver) == f"Land {land['below']}: strake {land['above']} over strake {land['below']}"
        for row, at in zip(rows(driver), land["at"], strict=True):
            assert row[0] == at["place"]
            assert row[3] == at["planed_on"]
            assert float(row[1].rstrip("°")) == pytest.approx(at["bevel"], abs=0.0501)
            depths = [
                made(name).hull.notation.depth_cell(at[key])
                for key in ("take_off", "edge_left", "gap_before", "gerald_depth")
            ]
            assert [row[2], *row[4:]] == depths
        assert driver.find_elements(By.CSS_SELECTOR, "#figures .flat")


@pytest.mark.parametrize("way", ["left", *more("twist")])
def test_colours_change_with_their_legend(opened: Chrome, way: str) -> None:
    name, driver = "dinghy", opened
    choose(driver, "wood")
    plain = picture(driver)
    assert not driver.find_element(By.ID, "legend").is_displayed()
    choose(driver, way)
    assert np.abs(picture(driver) - plain).max() > 60
    ticks = [float(tick.text) for tick in driver.find_elements(By.CSS_SELECTOR, "#ticks span")]
    assert ticks == sorted(ticks)
    if way == "twist":
        worst = max(strake["twist_per_metre"] for strake in measurements(made(name))["strakes"])
        assert ticks[-1] == pytest.approx(max(worst, 1.0), abs=0.3)
    else:
        assert ticks[-1] == pytest.approx(max(made(name).hull.planking.thickness), abs=0.05)
    choose(driver, "wood")


def test_dragging_turns_the_boat(opened: Chrome) -> None:
    driver = opened
    driver.find_element(By.CSS_SELECTOR, '[data-view="quarter"]').click()
    before = picture(driver)
    canvas = driver.find_element(By.ID, "scene")
    ActionChains(driver).move_to_element(canvas).click_and_hold().move_by_offset(150, 30).release().perform()
    assert (np.abs(picture(driver) - before).max(axis=2) > 20).mean() > 0.02


def warned(name: str) -> list[Finding]:
    """The warnings about a boat."""
    return [finding for finding in findings(made(name)) if finding.severity == "warning"]


def leads_to(driver: Chrome, finding: Finding) -> bool:
    """Whether the heading is that of the land or strake that a finding is about."""
    where = finding.where
    if where is None or where.number is None:
        return True
    return heading(driver).startswith(f"{'Land' if where.thing == 'land' else 'Strake'} {where.number}")


def test_warnings_are_listed_and_lead_to_their_figures(read: tuple[str, Chrome]) -> None:
    name, driver = read
    buttons = driver.find_elements(By.CSS_SELECTOR, "#findings button")
    assert [button.text for button in buttons] == [finding.text for finding in warned(name)]
    for button, finding in zip(buttons, warned(name), strict=True):
        button.click()
        assert leads_to(driver, finding)


def test_warnings_turn_the_boat_to_their_place(opened: Chrome) -> None:
    driver = opened
    buttons = driver.find_elements(By.CSS_SELECTOR, "#findings button")
    seen = set()
    for button, finding in zip(buttons, warned("dinghy"), strict=True):
        driver.find_element(By.CSS_SELECTOR, '[data-view="quarter"]').click()
        middle = driver.execute_script("return scene.controls.target.toArray()")
        button.click()
        assert leads_to(driver, finding)
        target = driver.execute_script("return scene.controls.target.toArray()")
        assert target == pytest.approx(placed(made("dinghy"), finding)["at"], abs=1e-3)
        assert target != pytest.approx(middle, abs=100.0)
        seen.add(tuple(target))
    assert len(seen) > 2  # several warnings may be about one place


def test_a_tablet_is_served_by_touch(tmp_path: Path, small: Chrome) -> None:
    path = tmp_path / "boat.html"
    path.write_bytes(page("dinghy"))
    screen = {"width": 820, "height": 1180, "deviceScaleFactor": 1, "mobile": True}
    small.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", screen)
    small.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 5})
    try:
        small.get(path.as_uri())
        assert small.execute_script("return document.documentElement.scrollWidth <= window.innerWidth")
        for button in small.find_elements(By.CSS_SELECTOR, "#tools button, #findings button"):
            assert button.size["height"] >= 44
        box = small.find_element(By.ID, "scene").rect
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        for down in (0, 10, 20, 30, 40):
            touch = [{"x": x, "y": y + down}]
            small.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": touch})
            small.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
            if re.match(r"(Strake|Land) \d", heading(small)):
                break
        assert re.match(r"(Strake|Land) \d", heading(small))
        before = picture(small)
        for kind, gap in (("touchStart", 40), ("touchMove", 80), ("touchMove", 130)):
            fingers = [{"x": x - gap, "y": y, "id": 0}, {"x": x + gap, "y": y, "id": 1}]
            small.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": fingers})
        small.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        assert (np.abs(picture(small) - before).max(axis=2) > 20).mean() > 0.02
        assert small.get_log("browser") == []
    finally:
        small.execute_cdp_cmd("Emulation.setTouchEmulationEnabled", {"enabled": False})
        small.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_without_three_dimensions_the_figures_still_show(tmp_path: Path, browser_without_3d: Chrome) -> None:
    path = tmp_path / "boat.html"
    path.write_bytes(page("pram"))
    browser_without_3d.get(path.as_uri())
    assert "WebGL" in browser_without_3d.find_element(By.ID, "lost").text
    click_on_body_plan(browser_without_3d, '#body .land[data-land="2"]')
    assert heading(browser_without_3d).startswith("Land 2")


def test_a_script_error_would_be_seen(tmp_path: Path, plain: Chrome) -> None:
    path = tmp_path / "boat.html"
    path.write_bytes(page("pram").replace(b"bodyPlan(byId", b"noSuchPlan(byId"))
    plain.get(path.as_uri())
    assert any("noSuchPlan" in one for one in complaints(plain))


def test_a_page_that_asks_for_a_network_would_be_seen(tmp_path: Path, plain: Chrome) -> None:
    # with its policy taken out, or the browser would ask for nothing
    address = "https://example.invalid/a.png"
    asking = page("pram").replace(b"<header>", f'<header><img src="{address}" alt="">'.encode())
    open_to_all = re.sub(rb'<meta http-equiv="Content-Security-Policy"[^>]*>', b"", asking)
    assert len(open_to_all) < len(asking)
    path = tmp_path / "boat.html"
    path.write_bytes(open_to_all)
    plain.get(path.as_uri())
    assert asked_of_a_network(plain, path) == [address]


def test_the_page_forbids_itself_to_ask_for_a_network(tmp_path: Path, plain: Chrome) -> None:
    path = tmp_path / "boat.html"
    path.write_bytes(page("pram").replace(b"<header>", b'<header><img src="https://example.invalid/a.png" alt="">'))
    plain.get(path.as_uri())
    assert any("Content Security Policy" in entry["message"] for entry in plain.get_log("browser"))


def test_names_and_findings_cannot_break_out_of_the_page(tmp_path: Path, plain: Chrome) -> None:
    wicked = '</script><script>document.title = "taken"</script><b>&"/*DATA*/'
    boat = replace(made("pram"), hull=replace(made("pram").hull, name=wicked))
    path = tmp_path / "boat.html"
    path.write_bytes(page_html(boat, (Finding("warning", "strake", wicked, About("strake", 2)),)))
    plain.get(path.as_uri())
    assert plain.find_element(By.TAG_NAME, "h1").text == wicked
    assert plain.find_element(By.CSS_SELECTOR, "#findings button").text == wicked
    assert plain.title.startswith(wicked[:9])


@each_boat
def test_the_file_is_small_whole_and_licensed(name: str) -> None:
    text = page(name).decode()
    assert len(page(name)) < 6_000_000
    assert "Permission is hereby granted, free of charge" in text
    assert not re.search(r'(src|href)\s*=\s*["\']?(https?:)?//', text.split("<script")[0])
    assert "default-src 'none'" in text


@each_boat
def test_bodies_are_planks_of_their_thickness_and_lie_where_the_marks_are(name: str) -> None:
    boat = made(name)
    for number, body in enumerate(strake_bodies(boat), start=1):
        nodes = body.nodes
        thickness = boat.hull.planking.thickness[number - 1]
        across = np.linalg.norm(nodes[:, 1] - nodes[:, 2], axis=1)
        assert across.max() <= thickness + 0.2
        upper = nodes[1:-1, 4]
        marks = np.stack([shape.land_marks[number - 1] for shape in boat.moulds])
        for station, mark in zip(boat.hull.stations, marks, strict=True):
            order = np.argsort(upper[:, 0])
            found = [np.interp(station.at, upper[order, 0], upper[order, axis]) for axis in (1, 2)]
            assert np.allclose(found, mark, atol=1.0)  # columns stand up to 60 mm apart along a curve
        assert body.left.max() <= thickness + 1e-9
        assert body.twist.max() == pytest.approx(np.degrees(boat.bendings[number - 1].twist_per_metre), abs=0.5)


def test_one_strake_on_a_flat_bottom_has_its_page_too(tmp_path: Path, plain: Chrome) -> None:
    boat = boat_of(skiff(lambda x: 60.0 + 4e-5 * (x - 1300.0) ** 2))
    path = tmp_path / "boat.html"
    path.write_bytes(page_html(boat, findings(boat)))
    plain.get(path.as_uri())
    click_on_body_plan(plain, '#body .plank[data-strake="1"]')
    assert heading(plain) == "Strake 1 of 1"
    assert dict(rows(plain))["bending"] == boat.bendings[0].verdict
    assert complaints(plain) == []


def data_of(html: bytes) -> dict[str, Any]:
    """The data that a page carries."""
    element = re.search(r'<script type="application/json" id="data">(.*?)</script>', html.decode(), re.DOTALL)
    assert element is not None
    return json.loads(element[1])  # type: ignore[no-any-return]


def with_station_named(hull: Hull, old: str, new: str) -> Hull:
    """The hull with one of its stations, and its row of lands, under another name."""
    stations = tuple(replace(s, name=new) if s.name == old else s for s in hull.stations)
    rows = {new if name == old else name: row for name, row in hull.lands.at.items()}
    return replace(hull, stations=stations, lands=replace(hull.lands, at=rows))


@pytest.mark.parametrize("name", ["aft", *more("fore peak", "3 to 4", "half-way 1–2")])
def test_a_warning_lies_at_its_place_whatever_the_station_is_called(name: str) -> None:
    hull = boats.pram()
    rows = {station: row.copy() for station, row in hull.lands.at.items()}
    rows["3"][3] += 10.0  # the mark of land 4
    hull = with_station_named(replace(hull, lands=Lands("girth", rows)), "3", f"{name} b" if name == "aft" else name)
    boat = boat_of(hull)
    first = next(fair_findings(boat.shell))
    (shown,) = data_of(page_html(boat, (first,)))["findings"]
    assert shown["land"] == 4
    mark = boat.shell.upper(4, np.array([hull.stations[2].at]))[0]
    assert shown["at"] == pytest.approx(mark, abs=0.06)


def test_a_warning_of_twist_lies_where_the_strake_twists_most() -> None:
    boat = made("dinghy")
    (hard,) = [f for f in findings(boat) if "twists" in f.text]
    assert hard.where is not None
    assert hard.where.number == 1
    (shown,) = data_of(page_html(boat, (hard,)))["findings"]
    body = strake_bodies(boat)[0]
    x = body.nodes[:, 4, 0]
    worst = x[body.twist >= body.twist.max() - 0.5]
    stops = np.array([boat.shell.u_fore, *(s.at for s in boat.hull.stations), boat.shell.u_aft])
    assert worst.min() - np.diff(stops).max() / 2 < shown["at"][0] < worst.max() + np.diff(stops).max() / 2
