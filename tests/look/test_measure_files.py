"""Files opened in the Measure view: saved again they are the same, or they are refused in words."""

from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from selenium.webdriver.common.by import By

from templates_gen.hull.measured.as_built import AsBuilt
from templates_gen.hull.scaffold import log_to_start
from templates_gen.look.page import page_html
from templates_gen.pipeline import check_as_built
from tests.flow import boat_of
from tests.look.measuring import HAND, HULLS, Measuring, hull_named, read


def test_a_file_is_opened_saved_opened_again_and_saved_the_same(view: Measuring, tmp_path: Path) -> None:
    view.open("pram")
    view.send_file(HAND)
    hull, saved = hull_named("pram"), view.save()
    assert read(hull, tmp_path / "saved.toml", saved) == read(hull, tmp_path / "hand.toml", HAND)
    view.open("pram")
    assert "nothing yet" in view.label("port, mould 1")
    view.send_file(saved)
    assert view.one(".saved").text == "The file is open."
    assert view.one("h2").text == "Strake 2 of 8"
    assert view.save() == saved
    view.reopen("pram")
    assert view.save() == saved


@pytest.fixture(scope="module")
def marked(view: Measuring) -> Measuring:
    """The pram's page with one figure, for files of which each must leave it as it is."""
    view.open("pram")
    view.mark(1.0)
    return view


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('hull = "00000000"\n', "of another drawing, 00000000"),
        ('units = "eighths"\n', "The units of this file are “eighths”. This page reads files in “mm”."),
        ("stock = 9.0625\n", "stock is 9.0625. This page takes mm with at most three decimals."),
        ("stock = -6\n", "stock is -6. A length without a minus is expected."),
        ("[strake.1]\nlap = [5]\n", "lap of [strake.1] is no single figure."),
        ("strake = 1\n[upper]\nfore = [-3, 20]\n", "fore of [upper] is -3. A length without a minus"),
        ("format = 1\n[strake.1\nthickness = 9\n", "cannot read line 3"),
        ("[strake.99]\nabove_mark = { fore = 1 }\n", "no strake 99"),
        ('[strake.1]\nabove_mark = { "<b>" = 1 }\n', "no field for a place called “<b>”"),
        ("strake = 1\n[lower]\nfore = [[1, 2], [3, 4]]\n", "not arcs"),
        ("\x00\x01", "cannot read line 1"),
        ("strake = 1\nradius = 900\n", "does not know radius, and would lose it"),
        ("strake = 1\n[middle]\nfore = [1, 2]\n", "does not know [middle], and would lose it"),
        ("[strake.1]\nabove_mrk = { fore = 1 }\n", "does not know above_mrk of [strake.1]"),
        ("[mould.9]\nup = 2\n", "no mould called “9”"),
        ("[end.middle]\nup = 2\n", "no end called “middle”"),
        ("[mould.1]\nout = 2\nin = 1\n", "[mould.1] has two figures for across."),
        ("[mould.1.port]\nup = 2\n[mould.1]\ndown = 1\n", "has height for both sides and for port."),
        ("[mould.1]\nup = -2\n", "up of [mould.1] is -2. A length without a minus"),
        ("[strake.1.again]\nlap = 20\n", "no table [strake.1.again]"),
        ("[strake.1.port.remade]\nlap = 20\n", "no table [strake.1.port.remade]"),
        ("[strakes.1]\nlap = 20\n", "no table [strakes.1]"),
        ("[strake.1]\n[strake.1]\n", "cannot read line 2"),
        ("[strake.1]\nlap = 20\nlap = 21\n", "cannot read line 3"),
        (
            "[strake.1]\nabove_mark = { fore = 1 }\n[strake.1.port]\nabove_mark = { fore = 1 }\n",
            "[strake.1.port] has figures for both sides and for each.",
        ),
        ('[strake.1]\nabove_mark = { "" = 1 }\n', "no field for a place called “”"),
        ("[strake.1]\nabove_mark = 3\n", "cannot read the file"),
    ],
)
def test_a_file_that_cannot_be_opened_changes_nothing(marked: Measuring, text: str, message: str) -> None:
    fields = marked.fields()
    marked.send_file(text)
    assert message in marked.one(".saved").text
    assert marked.label("port, fore transom") == "port, fore transom: 1, toward sheer"
    assert marked.fields() == fields


def test_fractions_of_an_inch_are_in_lowest_terms(view: Measuring) -> None:
    view.open("double_ender")
    counts = [(count, parts) for parts in (16, 32, 64) for count in range(3 * parts + 1)]
    texts = view.driver.execute_script("return arguments[0].map((one) => inchesOf(...one))", counts)
    for (count, parts), text in zip(counts, texts, strict=True):
        whole, rest = divmod(Fraction(count, parts), 1)
        assert text == (" ".join(str(one) for one in (whole, rest) if one) or "0")


INCHES = """units = "in"
stock = 0.375
[strake.1]
lap = "5/8"
toward_sheer = { fore = 1.984375, 1 = 0, 2 = "1-1/2", 3 = 0.015625 }
toward_keel = { 4 = 0.0625, aft = 2 }
"""


def test_a_file_in_inches_is_opened_without_a_change(view: Measuring, tmp_path: Path) -> None:
    hull = hull_named("double_ender")
    view.open("double_ender")
    view.send_file(f"format = 1\n{INCHES}")
    assert view.label("both sides, stem") == "both sides, stem: 1 63/64, toward sheer"
    assert view.one(".saved").text == "The file is open."
    saved = read(hull, tmp_path / "saved.toml", view.save())
    assert saved == read(hull, tmp_path / "hand.toml", f"format = 1\n{INCHES}")


def test_a_figure_that_no_field_can_hold_is_refused_by_name(view: Measuring) -> None:
    view.open("double_ender")
    for figure in ("0.005", "1.004", "0.995", "0.3", "0.35433071", "9999999", '"3/7"', '"64/64"'):
        of_edge = f"[strake.2.port]\ntoward_keel = {{ fore = {figure} }}\n"
        for text, named in (
            (f"stock = {figure}\n", "stock"),
            (of_edge, "fore in toward_keel of [strake.2.port]"),
        ):
            view.send_file(f'units = "in"\n{text}')
            message = f"{named} is {figure.strip(chr(34))}. This page takes inches with fractions to 1/64."
            assert view.one(".saved").text.startswith(message)
            assert all(label.endswith("nothing yet") for label in view.fields())


LOG = """[strake.1]
toward_sheer = { fore = "0-0-1", 1 = "0-0-0", 2 = "0-1-2+", 3 = "3/32", 4 = 0, 5 = "0-1-0-" }
above_mark = { aft = "-0-0-3+" }
thickness = "0-0-3"
"""


def test_a_log_in_feet_inches_and_eighths_is_opened(view: Measuring, tmp_path: Path) -> None:
    hull = hull_named("double_ender")
    log = log_to_start(hull) + LOG
    assert 'units = "ft-in-8"' in log
    view.open("double_ender")
    view.send_file(log)
    assert view.one(".saved").text == "The file is open."
    assert view.label("both sides, mould 2").startswith("both sides, mould 2: 1 5/16, toward sheer")
    assert view.label("both sides, sternpost").startswith("both sides, sternpost: 7/16, toward keel")
    (tapped,) = read(hull, tmp_path / "saved.toml", view.save()).strakes
    (written,) = read(hull, tmp_path / "hand.toml", log).strakes
    assert tapped.above_mark == pytest.approx(written.above_mark)
    assert tapped.thickness == pytest.approx(written.thickness)
    view.send_file('units = "ft-in-8"\n[strake.1]\ntoward_sheer = { fore = 3 }\n')
    assert "fore in toward_sheer of [strake.1] is 3. This page takes feet-inches-eighths" in view.one(".saved").text
    view.send_file('units = "cm"\n')
    assert "are “cm”. This page reads files in “in” or “ft-in-8” or “eighths”." in view.one(".saved").text


EIGHTHS = """format = 1
units = "eighths"
stock = 3.125
[strake.1]
toward_sheer = { fore = 2, 1 = 0, 2 = "3/16", 3 = "1 5/32", 4 = 1.5 }
above_mark = { aft = "-1/8" }
"""


def test_a_file_in_eighths_is_opened_without_a_change(view: Measuring, tmp_path: Path) -> None:
    hull = hull_named("double_ender")
    view.open("double_ender")
    view.send_file(EIGHTHS)
    assert view.one(".saved").text == "The file is open."
    assert view.label("both sides, mould 4").startswith("both sides, mould 4: 3/16, toward sheer")
    tapped, written = (
        read(hull, tmp_path / name, text) for name, text in (("saved.toml", view.save()), ("hand.toml", EIGHTHS))
    )
    assert tapped.strakes[0].above_mark == pytest.approx(written.strakes[0].above_mark, abs=1e-9)
    assert (tapped.stock, tapped.step) == (written.stock, written.step)
    view.send_file('units = "eighths"\n[strake.1]\ntoward_sheer = { fore = "3/4" }\n')
    assert "fore in toward_sheer of [strake.1] is 3/4. This page takes eighths of an inch" in view.one(".saved").text


@pytest.mark.parametrize("table", ["[end.fore]\nout = 2\n", "[end.fore.port]\nforward = 2\n"])
def test_a_stem_has_no_sides(view: Measuring, table: str) -> None:
    view.open("dinghy")
    view.send_file(table)
    words = "The stem stands on the centreline. Remove its out, in, port and starboard from the file."
    assert words in view.one(".saved").text
    view.tap(".moulds summary", '[aria-label="stem"]')
    assert not view.every("[data-mould-apart]")
    assert not view.every(view.field("stem, both sides, across"))
    assert view.every(view.field("stem, both sides, along"))


EVERYTHING = """format = 1
units = "mm"
[mould.2]
forward = 3
[mould.2.port]
in = 1.5
[mould.3]
out = 2
up = 0
[end.fore.port]
in = 1
[end.aft]
down = 2.5
aft = 4
[strake.1]
thickness = 6.5
[strake.1.starboard]
toward_sheer = { fore = 1, 1 = 1, 2 = 1, aft = 2 }
[strake.1.port]
toward_sheer = { fore = 1, 1 = 1, "half-way 1-2" = 1.5, 2 = 1, 3 = 0.5, aft = 2 }
[strake.1.remade]
lap = 17
toward_keel = { fore = 1, 1 = 1, "half-way fore-1" = 9, 2 = 1, "half-way 2-3" = 0, 3 = 0.5, aft = 2 }
sure = ["half-way fore-1"]
[strake.2.remade.port]
above_mark = { fore = 0, 2 = -1, aft = 0.5 }
[strake.2.remade.starboard]
above_mark = { fore = 0, 2 = -1, aft = 0.5, "half-way 4-aft" = 1 }
"""
"""Every table and key that an as-built file has."""


def first_hung(measured: AsBuilt) -> dict[str, float]:
    """What was measured on strake 1 to port before it was hung again."""
    assert measured.table is not None
    port = measured.table.strake["1"].port
    assert port is not None
    return port.figures


def test_every_table_and_key_is_opened_and_saved(view: Measuring, tmp_path: Path) -> None:
    hull = hull_named("pram")
    view.open("pram")
    view.send_file(EVERYTHING)
    assert view.one("h2").text == "Strake 2 of 8, hung again"
    assert view.label("starboard, half-way 4-aft") == "starboard, half-way 4-aft: 1, toward sheer"
    assert not view.every(view.field("starboard, half-way 3-4"))
    assert (
        view.one(".moulds summary").text == "Moulds and ends out of their places: 2, 3, fore transom, after transom"
    )
    by_hand = read(hull, tmp_path / "hand.toml", EVERYTHING)
    saved = view.save()
    opened = read(hull, tmp_path / "saved.toml", saved)
    assert opened == by_hand
    assert first_hung(opened) == first_hung(by_hand)
    view.reopen("pram")
    assert view.save() == saved
    view.open("pram", as_built_page(EVERYTHING))
    assert view.save() == saved
    view.tap('[aria-label="the strake below"]', ".tick input")
    assert view.one("h2").text == "Strake 1 of 8"
    assert view.label("port, mould 1") == "port, mould 1: 1, toward sheer"


def test_a_strake_that_was_measured_only_when_hung_again_keeps_its_first_thickness(
    view: Measuring, tmp_path: Path
) -> None:
    hull = hull_named("pram")
    text = """format = 1
    [strake.1]
    thickness = 6.5
    [strake.1.remade]
    above_mark = { fore = 1, 2 = 2, aft = 1 }
    """
    view.open("pram")
    view.send_file(text)
    assert read(hull, tmp_path / "saved.toml", view.save()) == read(hull, tmp_path / "hand.toml", text)


def test_half_ways_moulds_and_a_strake_hung_again_are_tapped_as_they_would_be_written(
    view: Measuring, tmp_path: Path
) -> None:
    hull = hull_named("pram")
    view.open("pram")
    view.tap('[data-apart="false"]')
    view.mark(1.0, 1.5, 1.0, 0.5, 1.0, 2.0)
    assert not view.every(view.field("both sides, half-way"))
    view.tap("[data-between]")
    view.mark(2.5)  # the first that is empty: half-way fore-1
    view.tap(view.field("both sides, half-way 2-3"))
    view.mark(-14.0)
    assert "measure again" in view.label("both sides, half-way 2-3")
    view.tap(".tick input", '[data-apart="true"]', "[data-between]")
    view.mark(*(1.0, 2.0, 2.5, 3.0, 2.0, 1.0) * 2)
    view.tap(".moulds summary", '[aria-label="mould 3"]')
    view.key("2")
    view.tap('[data-way="out"]')
    view.key(["as drawn", "3"])
    view.tap('[data-way="forward"]', '[aria-label="mould 1"]', '[data-mould-apart="true"]')
    for text, way in (("1", "in"), ("2", "keel")):
        view.key(text)
        view.tap(f'[data-way="{way}"]')
    view.tap(view.field("mould 1, starboard, along"))
    view.key("60")
    view.tap('[data-way="aft"]')
    assert view.label("mould 1, starboard, along").endswith("60, aft, too far")
    view.save()
    assert "Mould 1, starboard, along: too far out of its place" in view.one(".saved").text
    view.tap(view.field("mould 1, starboard, along"))
    view.key("6")
    view.tap('[data-way="aft"]', '[aria-label="after transom"]')
    view.key("4")
    view.tap('[data-way="out"]')
    hand = """format = 1
    [mould.1.port]
    in = 1
    down = 2
    [mould.1.starboard]
    aft = 6
    [mould.3]
    out = 2
    toward_sheer = 0
    forward = 3
    [end.aft]
    out = 4
    [strake.1]
    toward_sheer = { fore = 1, "half-way fore-1" = 2.5, 1 = 1.5, 2 = 1, 3 = 0.5, 4 = 1, aft = 2 }
    toward_keel = { "half-way 2-3" = 14 }
    [strake.1.remade.port]
    above_mark = { fore = 1, 1 = 2, 2 = 2.5, 3 = 3, 4 = 2, aft = 1 }
    [strake.1.remade.starboard]
    above_mark = { aft = 1, 4 = 2, 3 = 2.5, 2 = 3, 1 = 2, fore = 1 }
    """
    saved = view.save()
    assert "not complete" not in view.one(".saved").text
    assert read(hull, tmp_path / "tapped.toml", saved) == read(hull, tmp_path / "hand.toml", hand)
    view.tap('[data-clear=""]', '[data-clear="sure"]')
    view.save()
    assert "Strake 1, hung again, port: measured at 0 places" in view.one(".saved").text
    view.tap(".tick input")
    assert view.label("both sides, half-way 2-3").startswith("both sides, half-way 2-3: 14, toward keel")


@cache
def as_built_page(text: str) -> bytes:
    """The page of the pram as built, by an as-built file with this text."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "built.toml"
        path.write_text(text, encoding="utf-8")
        result = check_as_built(replace(hull_named("pram"), edition="first"), HULLS / "pram.toml", path)
    assert result.boat is not None
    return page_html(result.boat, (), result.measured.drawn, result.measured.measured)


def test_the_page_of_a_boat_as_built_begins_with_what_hangs(view: Measuring, tmp_path: Path) -> None:
    hull = hull_named("pram")
    view.open("pram", as_built_page(HAND))
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
    assert read(hull, tmp_path / "saved.toml", view.save()) == read(hull, tmp_path / "hand.toml", HAND)


def test_the_page_of_one_side_says_so_and_shows_no_mirror_image(view: Measuring) -> None:
    html = as_built_page('format = 1\nunits = "mm"\n[mould.3.port]\nout = 4\n')
    view.open("pram", html)
    assert "the port side alone" in view.driver.find_element(By.ID, "sub").text
    view.driver.find_element(By.ID, "tab-boat").click()
    assert not view.driver.find_element(By.ID, "both").is_displayed()
    assert not view.driver.find_element(By.ID, "both").is_selected()
    sides = "return [...byId('tape-0').lastElementChild.options].map(option => option.value)"
    assert view.driver.execute_script(sides) == ["port"]
    view.driver.find_element(By.ID, "tab-section").click()
    drawn = "return [...document.querySelectorAll('#section .cutting')].map(path => path.getBBox().x)"
    assert len(view.driver.execute_script(drawn)) == 8
    assert min(view.driver.execute_script(drawn)) > 0.0


def test_a_page_of_the_starboard_side_alone_measures_that_side(view: Measuring) -> None:
    boat = boat_of(hull_named("pram"))
    one_side = replace(boat, hull=replace(boat.hull, side="starboard"))
    view.open("pram", page_html(one_side, ()))
    ends = "return [tape.ends.map(end => end.side), tape.ends.map(taped), data.marks[tape.ends[0].place].inside]"
    sides, points, corners = view.driver.execute_script(ends)
    assert sides == ["starboard", "starboard"]
    assert points == [corners[0], corners[-1]]  # where the boat is drawn, not mirrored


def test_figures_in_the_browser_that_are_newer_than_the_file_stay(view: Measuring) -> None:
    one = '[strake.1]\ntoward_sheer = { fore = 1, 1 = 2, "half-way 1-2" = 1, aft = 1 }\n'
    html = as_built_page(f'format = 1\nunits = "mm"\n{one}')
    view.open("pram", html)
    view.tap('[aria-label="the strake above"]')
    view.mark(3.0)
    view.reopen("pram")
    assert view.one("h2").text == "Strake 2 of 8"
    assert view.label("port, fore transom") == "port, fore transom: 3, toward sheer"
    view.open("pram")  # with nothing kept, and made without a file
    view.mark(4.0)
    (view.folder / "pram.html").write_bytes(as_built_page(HAND))
    view.reopen("pram")  # the file has two strakes, the browser one
    assert view.one("h2").text == "Strake 2 of 8"
    view.tap('[data-clear=""]', '[data-clear="sure"]')
    view.mark(4.0)
    view.tap('[data-clear=""]', '[data-clear="sure"]')
    view.reopen("pram")  # what was cleared on purpose does not come back
    assert view.one("h2").text == "Strake 1 of 8"
    assert view.label("port, mould 1") == "port, mould 1: 10.5, toward sheer"
