"""The views of the page: hanging, one strake alone, the work, what goes inside, paper, sizes, what is missing."""

import base64
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from selenium.webdriver import Chrome
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

from templates_gen.geometry.inside.gunwales import TimbersShape
from templates_gen.geometry.inside.level import ThwartShape
from templates_gen.hull.model import CornerPiece, CrossPiece, Fastenings, Gunwale, Thwart, TimberList, Transom
from templates_gen.look.page import page_html
from templates_gen.shop.before_planking import before_planking
from templates_gen.shop.steps import gauges_of
from templates_gen.words import few_names, name_in_list
from tests.look.pages import complaints, is_shown, made, page, picture, rows, text, wait_until
from tests.sweep import more

SIZES = ((390, 844), (820, 1180), (1440, 900))
TABS = ("boat", "section", "work")


def changed(one: np.ndarray, other: np.ndarray) -> float:
    """The share of points of a picture that are not those of another."""
    return float((np.abs(one - other).max(axis=2) > 20).mean())


# The boat as it is hung


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


def test_a_lost_drawing_context_is_reported_and_comes_back(opened: Chrome) -> None:
    driver = opened
    driver.execute_script("tabs.show('boat'); pick({}); scene.look('quarter')")
    before = picture(driver)
    driver.execute_script("window.taken = scene.renderer.getContext().getExtension('WEBGL_lose_context')")
    driver.execute_script("taken.loseContext()")
    wait_until(driver, "!byId('lost').hidden")
    assert "stopped drawing" in text(driver, "lost-words")
    driver.execute_script("taken.restoreContext()")
    wait_until(driver, "byId('lost').hidden")
    assert changed(picture(driver), before) < 0.001
    driver.execute_script("taken.loseContext()")
    wait_until(driver, "!byId('lost').hidden")
    colours = (
        "return [2, 3].map(land => scene.lands.find(line => line.userData.land === land).material.color.getHex())"
    )
    driver.execute_script("sayLost('gone', true); hang(3); pick({ land: 2 })")
    picked = driver.execute_script(colours)
    assert picked[0] != picked[1]
    driver.find_element(By.ID, "again").click()
    assert not is_shown(driver, "lost")
    assert driver.execute_script(colours) == picked
    driver.execute_script("hang(9); pick({})")
    assert changed(picture(driver), before) < 0.001
    logged = [entry["message"] for entry in driver.get_log("browser")]
    assert all("CONTEXT_LOST" in message or "Context" in message for message in logged)


# The order of work


def test_ticks_are_remembered_for_this_boat_only(plain: Chrome, tmp_path: Path) -> None:
    (tmp_path / "dinghy.html").write_bytes(page("dinghy"))
    other = replace(made("dinghy"), hull=replace(made("dinghy").hull, fingerprint="0ther000"))
    (tmp_path / "other.html").write_bytes(page_html(other, ()))
    plain.get((tmp_path / "dinghy.html").as_uri())
    plain.execute_script("tabs.show('work'); showStage(2)")
    ticks = plain.find_elements(By.CSS_SELECTOR, "#steps .step input")
    for tick in ticks[:2]:
        tick.click()
    assert text(plain, "work-done").startswith("2 of ")
    plain.refresh()
    plain.execute_script("tabs.show('work'); showStage(2)")
    kept = [tick.is_selected() for tick in plain.find_elements(By.CSS_SELECTOR, "#steps .step input")]
    assert kept == [True, True] + [False] * (len(ticks) - 2)
    assert plain.execute_script("return shown.hung") == 0  # as the boat stands: no strake is done
    plain.execute_script(
        "[...document.querySelectorAll('#steps .step input')].slice(2).forEach(tick => tick.click())"
    )
    plain.refresh()
    assert plain.execute_script("return shown.hung") == 2
    assert plain.execute_script("return working.stage") == 0  # what comes before is not ticked
    plain.execute_script("tabs.show('work'); showStage(2)")
    plain.find_elements(By.CSS_SELECTOR, "#steps .step")[0].click()
    assert text(plain, "work-done").startswith(f"{len(ticks) - 1} of ")
    plain.execute_script("localStorage.setItem('templates-gen ticks 0ther000', 'no ticks at all')")
    plain.get((tmp_path / "other.html").as_uri())
    plain.execute_script("tabs.show('work')")
    assert text(plain, "work-done").startswith("0 of ")
    assert complaints(plain) == []


def test_a_step_names_its_templates_as_the_book_does(read: tuple[str, Chrome]) -> None:
    name, driver = read
    steps = before_planking(made(name), gauges_of(made(name)))
    driver.execute_script("tabs.show('work'); showStage(0)")
    cards = driver.find_elements(By.CSS_SELECTOR, "#steps .card")
    for card, step in zip(cards, steps, strict=True):
        names = few_names(step.pieces, lambda about: name_in_list(about, made(name).hull.units))
        shown = [one.text for one in card.find_elements(By.CSS_SELECTOR, ".gauges")]
        assert shown == ([f"With: {', '.join(names)}"] if names else [])


def test_where_storage_is_refused_ticks_hold_until_the_page_is_closed(plain: Chrome, own_page: Path) -> None:
    own_page.write_bytes(page("pram"))
    refused = "Object.defineProperty(window, 'localStorage', { get() { throw new Error('refused'); } });"
    added = plain.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": refused})
    plain.get(own_page.as_uri())
    plain.execute_cdp_cmd("Page.removeScriptToEvaluateOnNewDocument", added)
    plain.execute_script("tabs.show('work'); showStage(1)")
    plain.find_element(By.CSS_SELECTOR, "#steps .step input").click()
    plain.execute_script("showStage(2); showStage(1)")
    assert plain.find_element(By.CSS_SELECTOR, "#steps .step input").is_selected()
    assert is_shown(plain, "work-kept")
    assert complaints(plain) == []


# What goes inside, and paper


def test_what_goes_inside_is_drawn_and_cut_where_it_stands(opened: Chrome, small: Chrome, own_page: Path) -> None:
    boat = made("dinghy")
    pieces = (
        CrossPiece("bulkhead", 0, 1, 900.0, 12.0, top=450.0, side="aft"),
        CrossPiece("frame", 1, 1, 2500.0, 20.0, width=45.0, side="aft"),
        Thwart(2, 1, 1500.0, 1720.0, 360.0, 22.0),
        CornerPiece("breasthook", 3, 1, "fore", 25.0, 200.0, 90.0, 30.0),
        CornerPiece("knee", 4, 1, "aft", 22.0, 180.0, 70.0, 30.0, transom_arm=120.0),
        Gunwale(5, 1, "inwale", 18.0, 30.0),
    )
    hull = replace(boat.hull, inside=pieces)
    fitted = replace(boat, hull=hull, shell=replace(boat.shell, hull=hull))
    assert fitted.inside_refused == ()
    own_page.write_bytes(page_html(fitted, ()))
    small.get(own_page.as_uri())
    assert not opened.execute_script("return byId('inside-label').checkVisibility()")
    small.execute_script("hang(3)")
    small.find_element(By.ID, "inside").click()
    assert text(small, "hung-words").startswith("Hung: strake 9 of 9")
    assert not small.find_element(By.ID, "moulds").is_selected()
    drawn = small.execute_script("return scene.timbers.filter(m => m.visible).map(m => m.userData.kind)")
    assert drawn.count("inside") == len(pieces)
    assert "mould" not in drawn
    cut = "return timbersAt(arguments[0]).filter(t => t.kind === 'inside').map(t => t.outline)"
    thwart = np.array(small.execute_script(cut, 1600.0)[0])
    assert thwart[:, 1].min() == pytest.approx(338.0, abs=0.05)
    assert thwart[:, 1].max() == pytest.approx(360.0, abs=0.05)
    (shape,) = [one for one in fitted.inside if isinstance(one, ThwartShape)]
    assert thwart[:, 0].max() == pytest.approx(np.interp(1600.0, *shape.end.T), abs=1.0)
    assert len(small.execute_script(cut, 906.0)) == 1 + 2  # the bulkhead, and the inwale on either side
    assert len(small.execute_script(cut, 2510.0)) == 2 + 2
    assert len(small.execute_script(cut, 2000.0)) == 2
    assert small.get_log("browser") == []


def test_a_transom_and_timbers_are_cut_where_the_plane_meets_them(plain: Chrome, own_page: Path) -> None:
    boat = made("pram")
    hull = replace(boat.hull, inside=(TimberList(0, 1),), fastenings=Fastenings(timbers=200.0))
    fitted = replace(boat, hull=hull, shell=replace(boat.shell, hull=hull))
    own_page.write_bytes(page_html(fitted, ()))
    plain.get(own_page.as_uri())
    cut = "return timbersAt(arguments[0]).filter(t => t.kind === arguments[1]).map(t => t.outline)"
    flat, bowed = (boat.shell.hung.faces[end] for end in ("fore", "aft"))
    assert (flat.radius, bowed.radius) == (0.0, 1800.0)
    fore, aft = hull.fore, hull.aft
    assert isinstance(fore, Transom)
    assert isinstance(aft, Transom)
    for face, member, x, count in ((flat, fore, 50.0, 1), (bowed, aft, 2520.0, 2), (bowed, aft, 2560.0, 1)):
        outlines = [np.array(one) for one in plain.execute_script(cut, x, "transom")]
        assert len(outlines) == count
        # every corner lies between the faces; a chord of 98 mm is 0.7 mm off an arc of 1800 mm
        off = np.concatenate([face.distance(np.column_stack([np.full(len(one), x), one])) for one in outlines])
        assert off.min() == pytest.approx(-member.thickness, abs=0.8)
        assert off.max() < 0.1
        assert off.max() > -0.8 or count == 2  # so far forward only corners of the bowed one are met
    # between two faces that lean it is as high as they are apart along the plane; the data are to 0.1 mm
    height = np.ptp(np.array(plain.execute_script(cut, 50.0, "transom")[0])[:, 1])
    assert height == pytest.approx(fore.thickness / abs(flat.outward[2]), abs=0.4)
    assert plain.execute_script(cut, 1000.0, "transom") == []
    (timbers,) = fitted.inside
    assert isinstance(timbers, TimbersShape)
    middle = timbers.timbers[3]
    port, starboard = (np.array(one) for one in plain.execute_script(cut, middle.x, "inside"))
    assert port[:, 0].max() == pytest.approx(middle.line[:, 0].max(), abs=0.1)
    assert port == pytest.approx(starboard * [-1.0, 1.0])
    assert plain.execute_script(cut, middle.x + 100.0, "inside") == []
    assert complaints(plain) == []


@pytest.mark.parametrize("size", [(8.27, 11.69), *more(((8.5, 11.0),))], ids=["A4", "Letter"])
def test_what_is_shown_is_printed_on_one_page(opened: Chrome, size: tuple[float, float]) -> None:
    driver, paper = opened, {"paperWidth": size[0], "paperHeight": size[1]}
    for tab, action in (
        ("boat", "hang(9); pick({ strake: 4 })"),
        ("boat", "pick({ land: 3 })"),
        ("section", "cutAt(1234)"),
        ("work", "showStage(0)"),
        ("work", "showStage(5)"),
    ):
        driver.execute_script(f"tabs.show('{tab}'); {action}")
        whole = driver.execute_script("return document.body.className")
        printed = driver.execute_cdp_cmd("Page.printToPDF", {"printBackground": True, **paper})
        with pypdfium2.PdfDocument(base64.b64decode(printed["data"])) as document:
            assert len(document) == 1, (tab, action)
            image = np.asarray(document[0].render(scale=1.0).to_pil().convert("L"), dtype=np.float64)
            words = document[0].get_textpage().get_text_range()
        assert made("dinghy").hull.name in words
        assert "Print" not in words
        inked = np.flatnonzero((image < 128.0).any(axis=1))
        assert inked[-1] > 0.5 * len(image)  # not smaller than it need be
        assert driver.execute_script("return document.body.className") == whole
        assert driver.execute_script("return document.body.style.width") == ""
    driver.execute_script("tabs.show('boat'); pick({})")


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


def test_the_page_of_a_boat_with_any_names_is_whole(plain: Chrome, own_page: Path) -> None:
    odd = "\"><i>'😀</script>&amp;"
    boat = made("pram")
    stations = tuple(replace(s, name=odd) if s.name == "2" else s for s in boat.hull.stations)
    moulds = tuple(
        replace(m, station=replace(m.station, name=odd)) if m.station.name == "2" else m for m in boat.moulds
    )
    lands = replace(boat.hull.lands, at={odd if k == "2" else k: v for k, v in boat.hull.lands.at.items()})
    hull = replace(boat.hull, name=odd, stations=stations, lands=lands)
    own_page.write_bytes(page_html(replace(boat, hull=hull, moulds=moulds, shell=replace(boat.shell, hull=hull)), ()))
    plain.get(own_page.as_uri())
    plain.execute_script("tabs.show('section'); cutAt(data.stations[1].x)")
    assert text(plain, "cut-words").startswith(f"mould {odd} · ")
    assert plain.find_element(By.TAG_NAME, "h1").text == odd
    assert plain.find_elements(By.TAG_NAME, "i") == []
    assert complaints(plain) == []
