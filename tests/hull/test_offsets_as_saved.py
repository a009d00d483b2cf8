"""Tables as spreadsheets and word processors save them, and names that look alike."""

import unicodedata
from pathlib import Path

import pytest

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.reader import read_hull
from tests.hull.tables import HULL, TABLE, written

HALVES = TABLE.replace("500,450,440,470", "500.5,450,440.25,470")
NBSP, DASH = "\u00a0", "\u2013"


def european(table: str, separator: str = ";") -> str:
    """Return a table with decimal commas and another separator."""
    return table.replace(",", separator).replace(".5", ",5").replace(".25", ",25")


@pytest.mark.parametrize(
    "data",
    [
        HALVES.encode("utf-8-sig"),
        HALVES.encode("utf-16"),
        b"\xfe\xff" + HALVES.encode("utf-16-be"),
        HALVES.replace("\n", "\r\n").encode(),
        HALVES.replace("\n", "\r").encode(),
        european(HALVES).encode(),
        european(HALVES, "\t").encode(),
        ("# lofted; in spring, again; by hand\n" + european(HALVES)).encode(),
        ('"# lofted, in spring"\n' + HALVES.replace("waterline 150", '"waterline 150"')).encode(),
        european(HALVES).replace("sheer;", '"sheer";').encode(),
        HALVES.replace("waterline 150", f"waterline{NBSP}150").replace(",500.5", f",{NBSP}500.5").encode(),
        HALVES.replace("half-breadth", f"half{DASH}breadth").encode(),
    ],
)
def test_a_table_is_read_alike_however_it_was_saved(tmp_path: Path, data: bytes) -> None:
    plain = read_hull(written(tmp_path, HALVES))
    hull = read_hull(written(tmp_path, data))
    assert [s.section.tolist() for s in hull.stations] == [s.section.tolist() for s in plain.stations]
    assert hull.stations[0].section[-1].tolist() == [300.0, 500.5]


def test_a_dash_of_a_word_processor_is_a_minus_or_not_reached(tmp_path: Path) -> None:
    table = TABLE.replace("rabbet,60,", f"rabbet,{DASH}60,").replace("buttock 200,265", f"buttock 200,{DASH}")
    hull = read_hull(written(tmp_path, table))
    assert hull.stations[0].rabbet.tolist() == [20.0, -60.0]
    assert hull.offsets is not None
    assert hull.offsets.lines[-2].figures[0].mark == "not reached"


def faults_of(path: Path) -> tuple[Fault, ...]:
    """Return the faults of a hull file that cannot be read."""
    with pytest.raises(HullFileError) as raised:
        read_hull(path)
    return raised.value.faults


def test_commas_are_not_taken_for_decimal_where_points_are(tmp_path: Path) -> None:
    table = HALVES.replace(",", ";").replace("470;390", "1,470;390")
    (fault,) = faults_of(written(tmp_path, table))
    assert "write a decimal point, not a comma" in fault.text
    assert fault.value == "1,470"


def test_a_quote_that_is_not_closed_and_a_zero_byte_are_named(tmp_path: Path) -> None:
    (fault,) = faults_of(written(tmp_path, TABLE.replace("height,rabbet", '"height,rabbet')))
    assert "look for a quote that is not closed" in fault.text
    assert fault.line == 4
    (fault,) = faults_of(written(tmp_path, TABLE.encode("utf-16-le")))
    assert "zero byte" in fault.text


def test_a_control_character_in_a_table_is_shown_as_an_escape(tmp_path: Path) -> None:
    (fault,) = faults_of(written(tmp_path, TABLE.replace("diagonal", "\x1b[31mdiagonal")))
    assert fault.value == "\\x1b[31mdiagonal"


COMPOSED, APART = (unicodedata.normalize(form, "é") for form in ("NFC", "NFD"))


def test_names_that_look_alike_are_one_name(tmp_path: Path) -> None:
    table = TABLE.replace("line,1,2", f"line,{COMPOSED},2 ")
    hull = HULL.replace('name = "1"', f'name = "{APART}"').replace('name = "2"', 'name = " 2"')
    assert [station.name for station in read_hull(written(tmp_path, table, hull)).stations] == [
        COMPOSED,
        "2",
        "3",
        "4",
    ]
    twice = HULL.replace('name = "2"', 'name = "1 "')
    assert any("both called" in fault.text for fault in faults_of(written(tmp_path, TABLE, twice)))
    pins = HULL.replace('by = "even"', 'by = "even"\n[lands.pins]\n"2" = {}\n"2 " = {}')
    (fault,) = faults_of(written(tmp_path, TABLE, pins))
    assert "differ only in blanks or accents: 2; take one out" in fault.text


def test_keys_of_another_lining_off_are_named_as_that(tmp_path: Path) -> None:
    hull = HULL.replace('by = "even"', 'by = "girth"\ngarboard = 1.2')
    faults = faults_of(written(tmp_path, TABLE, hull))
    assert any(
        fault.text == '[lands] garboard is for by = "even" alone; take it out, or change by' for fault in faults
    )


def test_an_empty_name_of_the_boat_is_named_once(tmp_path: Path) -> None:
    (fault,) = faults_of(written(tmp_path, TABLE, HULL.replace('"Small"', '""')))
    assert (fault.key, fault.text) == ("name", "the boat's name is empty; give it at least one letter or digit")
