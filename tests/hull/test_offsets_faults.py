"""Bad tables of offsets, each with the exact list of faults that reading its hull file gives."""

from pathlib import Path

import pytest

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.reader import UnsoundHullError, read_hull
from tests.hull.tables import HULL, TABLE, replaced, written

SHEER = "height,sheer,500,450,440,470"
WATERLINE = "half-breadth,waterline 150,120,260,290,200"

# Each case: what is replaced in the sound table; then for each fault its line, row, column, value, words of its text.
Expected = tuple[int, str, str, str, str]
CASES: dict[str, tuple[list[tuple[str, str]], list[Expected]]] = {
    "a row that lacks a station": (
        [(SHEER, "height,sheer,500,450,440")],
        [(3, "height sheer", "4", "", "has 3 figures for 4 stations; add those from station 4 on")],
    ),
    "a row that has a figure too many": (
        [(SHEER, SHEER + ",480")],
        [(3, "height sheer", "", "480", "has 5 figures for 4 stations; look for a comma too many")],
    ),
    "cells that are no lengths, all at once": (
        [(SHEER, "height,sheer,500,4x0,440,nan"), (WATERLINE, "half-breadth,waterline 150,120,1-2-3,290,200")],
        [
            (3, "height sheer", "2", "4x0", "not a number of mm"),
            (3, "height sheer", "4", "nan", "not a number of mm"),
            (7, "half-breadth waterline 150", "2", "1-2-3", "not a number of mm"),
        ],
    ),
    "a decimal comma": (
        [(SHEER, 'height,sheer,500,"450,5",440,470')],
        [(3, "height sheer", "2", "450,5", "write a decimal point, not a comma")],
    ),
    "an empty cell that nobody explains": (
        [(SHEER, "height,sheer,500,,440,470")],
        [(3, "height sheer", "2", "", "the cell is empty")],
    ),
    "a half-breadth on the base line": (
        [(WATERLINE, "half-breadth,waterline 150,.,260,290,200")],
        [(7, "half-breadth waterline 150", "1", ".", "a half-breadth cannot be on the base line")],
    ),
    "a half-breadth below nothing": (
        [(WATERLINE, "half-breadth,waterline 150,-120,260,290,200")],
        [(7, "half-breadth waterline 150", "1", "-120", "across the centreplane")],
    ),
    "a measure that is none": (
        [("height,rabbet", "hight,rabbet")],
        [(4, "hight rabbet", "", "hight", "did you mean height?")],
    ),
    "a line that its measure does not have": (
        [("height,buttock 200", "height,waterline 200")],
        [(9, "height waterline 200", "", "waterline 200", "there is no line")],
    ),
    "a waterline without its height": (
        [("waterline 150", "waterline")],
        [(7, "half-breadth waterline", "", "waterline", "the height of this waterline: not a number of mm")],
    ),
    "a diagonal that stands on its head": (
        [("A 480 45", "A 480 90")],
        [(10, "diagonal A 480 90", "", "A 480 90", "more than 0 and less than 90")],
    ),
    "two rows that measure the same": (
        [("waterline 300", "waterline 150.0")],
        [(8, "half-breadth waterline 150.0", "", "waterline 150.0", "measures the same as row")],
    ),
    "two stations of one name": (
        [("measure,line,1,2,3,4", "measure,line,1,2,2,4")],
        [(1, "line", "2", "2", "another column has the same name")],
    ),
    "stations out of order": (
        [("500,1000,1500,2000", "500,1000,900,2000")],
        [(2, "distance", "3", "900", 'station "3" is not aft of station "2"')],
    ),
    "a row that no table can do without": (
        [("height,rabbet,60,50,.,62\n", "")],
        [(0, "", "", "", "the table has no row height,rabbet")],
    ),
    "a heading that is none": (
        [("measure,line,1,2,3,4", "what,line,1,2,3,4")],
        [(1, "", "", "what, line, 1", "does not begin with measure and line")],
    ),
    "a sheer that is not reached": (
        [(SHEER, "height,sheer,500,-,440,470")],
        [(3, "height sheer", "2", "-", "is not reached (-); a section needs it")],
    ),
    "a waterline over the sheer": (
        [("waterline 300,220", "waterline 600,220")],
        [
            (8, "half-breadth waterline 600", name, value, "is above the sheer")
            for name, value in (("1", "220"), ("2", "390"), ("3", "415"), ("4", "310"))
        ],
    ),
    "a quote that is not closed": (
        [(SHEER, 'height,sheer,"500,450,440,470')],
        [(3, "", "", "", "this is not CSV")],
    ),
}


def faults_of(path: Path) -> tuple[Fault, ...]:
    """Return the faults of a hull file that cannot be read."""
    with pytest.raises(HullFileError) as raised:
        read_hull(path)
    return raised.value.faults


@pytest.mark.parametrize("case", CASES)
def test_a_spoilt_table_gives_exactly_the_faults_that_it_has(tmp_path: Path, case: str) -> None:
    changes, expected = CASES[case]
    faults = faults_of(written(tmp_path, replaced(TABLE, *changes)))
    found = [(one.line, one.row, one.column, one.value, one.about) for one in faults]
    assert found == [(line, row, column, value, "offsets") for line, row, column, value, _ in expected]
    for fault, (*_, words) in zip(faults, expected, strict=True):
        assert words in fault.text
        assert fault.text.isprintable()
        assert fault.file == str(tmp_path / "offsets.csv")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("../offsets.csv", "leads out of the hull file's folder"),
        ("/etc/passwd", "leads out of the hull file's folder"),
        ("C:\\\\offsets.csv", "leads out of the hull file's folder"),
        ("a/../../offsets.csv", "leads out of the hull file's folder"),
        ("link.csv", "leads out of the hull file's folder"),
        ("nowhere.csv", "no such file in the hull file's folder"),
        ("folder.csv", "not an ordinary file"),
        ("boat.toml", "not a CSV, XLSX or ODS file"),
        (" ", "the name is empty"),
    ],
)
def test_a_table_is_read_from_the_hull_files_own_folder_only(tmp_path: Path, name: str, words: str) -> None:
    (tmp_path / "offsets.csv").write_text(TABLE)
    inside = tmp_path / "yard"
    inside.mkdir()
    (inside / "folder.csv").mkdir()
    (inside / "link.csv").symlink_to(tmp_path / "offsets.csv")
    path = inside / "boat.toml"
    path.write_text(HULL.replace("offsets.csv", name))
    (fault,) = faults_of(path)
    assert words in fault.text
    assert (fault.line, fault.key) == (6, "lines.table")
    assert fault.expected or "ordinary" in fault.text


def test_faults_of_hull_file_and_table_are_reported_together(tmp_path: Path) -> None:
    hull = replaced(HULL, ("siding = 36.0", "siding = -36.0"))
    faults = faults_of(written(tmp_path, replaced(TABLE, (SHEER, "height,sheer,500,x,440,470")), hull))
    assert [(one.key, one.row, one.column) for one in faults] == [("fore.siding", "", ""), ("", "height sheer", "2")]


def test_a_station_that_the_table_lacks_and_what_stands_there_twice_are_faults_of_the_hull_file(
    tmp_path: Path,
) -> None:
    hull = replaced(
        HULL, ('name = "2"', 'name = "2a"'), ('name = "3"\n', 'name = "3"\nat = 1510.0\nrabbet = [1.0, 2.0]\n')
    )
    faults = faults_of(written(tmp_path, hull=hull))
    assert [one.key for one in faults] == ["station[2].name", "station[3].at", "station[3].rabbet"]
    assert "did you mean 2?" in faults[0].text
    assert faults[1].expected == "1500 mm"


def test_a_section_that_a_figure_makes_cross_itself_is_reported_at_that_figure(tmp_path: Path) -> None:
    path = written(tmp_path, replaced(TABLE, ("waterline 300,220,390", "waterline 300,220,3900")))
    fault = faults_of(path)[0]
    assert (fault.row, fault.column, fault.line) == ("half-breadth waterline 300", "2", 8)
    assert "turns back on itself" in fault.text
    with pytest.raises(UnsoundHullError) as raised:
        read_hull(path)
    assert raised.value.hull.offsets is not None


def test_a_hull_file_that_cannot_be_read_at_all_is_no_hull_despite_its_faults(tmp_path: Path) -> None:
    for path in (written(tmp_path, replaced(TABLE, (SHEER, "height,sheer,x,x,x,x"))), tmp_path / "nowhere.toml"):
        with pytest.raises(HullFileError) as raised:
            read_hull(path)
        assert not isinstance(raised.value, UnsoundHullError)


@pytest.mark.parametrize("fair", ["0", "-1.0", "30.0", '"much"'])
def test_fairing_moves_marks_by_more_than_nothing_and_no_more_than_an_inch(tmp_path: Path, fair: str) -> None:
    (fault,) = faults_of(written(tmp_path, hull=replaced(HULL, ("to =", f"fair = {fair}\nto ="))))
    assert fault.key == "lines.fair"


def test_a_table_in_another_alphabet_or_too_large_is_refused(tmp_path: Path) -> None:
    (fault,) = faults_of(written(tmp_path, TABLE.encode().replace(b"sheer", b"sh\xffer", 1)))
    assert (fault.line, fault.expected) == (3, "UTF-8")
    (fault,) = faults_of(written(tmp_path, TABLE + "#" * 1_000_000))
    assert "too large" in fault.text


def test_semicolons_a_byte_order_mark_and_remarks_are_read(tmp_path: Path) -> None:
    plain = read_hull(written(tmp_path))
    text = "\ufeff# a remark\n" + TABLE.replace(",", ";").replace("\n", ";;\r\n")
    other = read_hull(written(tmp_path, text))
    assert [s.section.tolist() for s in plain.stations] == [s.section.tolist() for s in other.stations]


def test_the_fingerprint_changes_with_the_table(tmp_path: Path) -> None:
    first = read_hull(written(tmp_path)).fingerprint
    assert read_hull(written(tmp_path, replaced(TABLE, ("500,450,440", "501,450,440")))).fingerprint != first
