"""Tables of offsets in workbooks: XLSX as openpyxl writes it, ODS as the standard describes it."""

import datetime
import io
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.offsets import unpacking
from templates_gen.hull.reader import read_hull
from tests.hull.tables import HULL, TABLE, written

CELLS = [line.split(",") for line in TABLE.splitlines()]
OFFICE = "urn:oasis:names:tc:opendocument:xmlns:"


def value_of(cell: str) -> str | float:
    """Return a cell as a person types it: numbers as numbers."""
    try:
        return float(cell)
    except ValueError:
        return cell


def xlsx(changes: dict[str, object] | None = None) -> bytes:
    """Return the sound table as an XLSX workbook, some cells changed by their names."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in CELLS:
        sheet.append([value_of(cell) for cell in row])
    for name, value in (changes or {}).items():
        sheet[name] = value
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def ods(changes: dict[tuple[int, int], str] | None = None) -> bytes:
    """Return the sound table as an ODS workbook (OpenDocument 1.2 part 1, 3.1 and 9.1), some cells as given XML."""
    rows = []
    for number, row in enumerate(CELLS, 1):
        cells = [(changes or {}).get((number, column), ods_cell(cell)) for column, cell in enumerate(row, 1)]
        rows.append(f"<table:table-row>{''.join(cells)}</table:table-row>")
    spaces = " ".join(f'xmlns:{name}="{OFFICE}{name}:1.0"' for name in ("office", "table", "text"))
    content = (
        f'<?xml version="1.0"?><office:document-content {spaces} office:version="1.2">'
        "<office:body><office:spreadsheet>"
        f'<table:table table:name="lines">{"".join(rows)}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    manifest = (
        '<?xml version="1.0"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/></manifest:manifest>'
    )
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        packed.writestr("mimetype", kind)
        packed.writestr("content.xml", content)
        packed.writestr("META-INF/manifest.xml", manifest)
    return stream.getvalue()


def ods_cell(cell: str) -> str:
    """Return a cell as XML."""
    if isinstance(value_of(cell), float):
        return f'<table:table-cell office:value-type="float" office:value="{cell}"/>'
    return f'<table:table-cell office:value-type="string"><text:p>{cell}</text:p></table:table-cell>'


def faults_of(path: Path) -> tuple[Fault, ...]:
    """Return the faults of a hull file that cannot be read."""
    with pytest.raises(HullFileError) as raised:
        read_hull(path)
    return raised.value.faults


@pytest.mark.parametrize(("name", "data"), [("offsets.xlsx", xlsx()), ("offsets.ods", ods())])
def test_a_workbook_gives_the_same_sections_as_the_same_table_in_csv(tmp_path: Path, name: str, data: bytes) -> None:
    plain = read_hull(written(tmp_path))
    hull = read_hull(written(tmp_path, data, name=name))
    assert [s.section.tolist() for s in hull.stations] == [s.section.tolist() for s in plain.stations]
    assert hull.offsets is not None
    assert hull.offsets.lines[1].row == 3


def test_a_formula_without_a_stored_value_is_a_fault_not_an_empty_cell(tmp_path: Path) -> None:
    hull = HULL.replace("to =", 'blank = "not reached"\nto =')
    (fault,) = faults_of(written(tmp_path, xlsx({"D7": "=C7+1"}), hull, "offsets.xlsx"))
    assert (fault.row, fault.column, fault.value, fault.line) == ("half-breadth waterline 150", "2", "=C7+1", 7)
    assert "a formula without a stored value" in fault.text
    hollow = '<table:table-cell table:formula="of:=[.C7]+1"/>'
    (fault,) = faults_of(written(tmp_path, ods({(7, 4): hollow}), hull, "offsets.ods"))
    assert (fault.row, fault.column, fault.value, fault.line) == ("half-breadth waterline 150", "2", "of:=[.C7]+1", 7)


def test_a_formula_with_a_stored_value_is_read(tmp_path: Path) -> None:
    full = '<table:table-cell table:formula="of:=[.C7]+140" office:value-type="float" office:value="260"/>'
    hull = read_hull(written(tmp_path, ods({(7, 4): full}), name="offsets.ods"))
    assert [260.0, 150.0] in hull.stations[1].section.tolist()


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (datetime.date(2001, 4, 4), "has turned this figure into a date"),
        (True, "true and false are not lengths"),
        ("#N/A", "a formula without a stored value"),
        ("eleven", "not a number of mm"),
    ],
)
def test_a_cell_of_another_kind_is_a_fault_with_its_place(tmp_path: Path, value: object, words: str) -> None:
    (fault,) = faults_of(written(tmp_path, xlsx({"E3": value}), name="offsets.xlsx"))
    assert (fault.row, fault.column, fault.line) == ("height sheer", "3", 3)
    assert words in fault.text


def test_a_file_that_is_no_workbook_is_refused(tmp_path: Path) -> None:
    for data in (b"not a workbook", xlsx()[:-200], xlsx()[:900]):
        (fault,) = faults_of(written(tmp_path, data, name="offsets.xlsx"))
        assert "it is damaged" in fault.text
    empty = io.BytesIO()
    with zipfile.ZipFile(empty, "w") as packed:
        packed.writestr("hello", "x")
    (fault,) = faults_of(written(tmp_path, empty.getvalue(), name="offsets.ods"))
    assert "it is damaged" in fault.text


def test_a_workbook_that_unpacks_without_end_is_refused(tmp_path: Path) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("content.xml", b" " * 40_000_000)
    (fault,) = faults_of(written(tmp_path, stream.getvalue(), name="offsets.ods"))
    assert "unpacks to more" in fault.text


def test_without_the_library_a_workbook_is_refused_with_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "python_calamine", None)
    (fault,) = faults_of(written(tmp_path, xlsx(), name="offsets.xlsx"))
    assert "pip install python-calamine defusedxml," in fault.text
    assert "or save the table as CSV" in fault.text
    assert read_hull(written(tmp_path)).name == "Small"


def test_a_remark_above_the_stations_does_not_cut_rows_short_that_end_in_empty_cells(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["# lengths in mm"])
    for row in CELLS:
        sheet.append([value_of(cell) for cell in row])
    sheet["F10"] = None  # of the buttock, at the last station
    stream = io.BytesIO()
    book.save(stream)
    hull = HULL.replace("[lines]\n", '[lines]\nblank = "not reached"\n')
    read = read_hull(written(tmp_path, stream.getvalue(), hull, "offsets.xlsx"))
    assert read.offsets is not None
    assert [line.figures[-1].mark for line in read.offsets.lines if line.kind == "buttock"] == ["not reached"]


def xlsx_with(changes: dict[str, object], sheets: dict[str, list[list[object]]] | None = None) -> bytes:
    """Return the sound table on the last sheet of a workbook, some of its cells changed, after other sheets."""
    book = openpyxl.Workbook()
    assert book.active is not None
    book.remove(book.active)
    for name, rows in (sheets or {}).items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    lines = book.create_sheet("lines")
    for cells in CELLS:
        lines.append([value_of(cell) for cell in cells])
    for place, value in changes.items():
        lines[place] = value
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


@pytest.mark.parametrize("cell", ["Z100000", "XFD1048576", "A1001", "KO5"])
def test_a_stray_value_in_a_far_cell_is_named_before_the_sheet_is_loaded(tmp_path: Path, cell: str) -> None:
    (fault,) = faults_of(written(tmp_path, xlsx_with({cell: "x"}), name="offsets.xlsx"))
    assert f'sheet "lines" has a value in cell {cell}, far from any table' in fault.text
    assert "delete what is in that row and column" in fault.text


def test_a_far_cell_that_is_only_formatted_does_no_harm(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(io.BytesIO(xlsx()))
    book.worksheets[0]["XFD1048576"].number_format = "0.00"
    book.save(tmp_path / "changed.xlsx")
    assert (
        len(read_hull(written(tmp_path, (tmp_path / "changed.xlsx").read_bytes(), name="offsets.xlsx")).stations) == 4
    )


def with_content(data: bytes, old: str, new: str) -> bytes:
    """Return an ODS workbook with a piece of its content replaced."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as packed, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as changed:
        for name in packed.namelist():
            part = packed.read(name).decode()
            if name == "content.xml":
                assert old in part
                part = part.replace(old, new)
            changed.writestr(name, part)
    return stream.getvalue()


def test_the_empty_rows_and_columns_that_spreadsheets_write_to_the_end_do_no_harm(tmp_path: Path) -> None:
    empty = '<table:table-cell table:number-columns-repeated="16384"/>'
    rows = f'<table:table-row table:number-rows-repeated="1048000">{empty}</table:table-row>'
    data = with_content(ods(), "</table:table-row>", f"{empty}</table:table-row>")
    assert len(read_hull(written(tmp_path, data, name="offsets.ods")).stations) == 4
    data = with_content(ods(), "</table:table>", f"{rows}</table:table>")
    assert len(read_hull(written(tmp_path, data, name="offsets.ods")).stations) == 4


def test_a_row_that_is_repeated_a_million_times_is_named(tmp_path: Path) -> None:
    row = f'<table:table-row table:number-rows-repeated="1000000">{ods_cell("x")}</table:table-row></table:table>'
    (fault,) = faults_of(written(tmp_path, with_content(ods(), "</table:table>", row), name="offsets.ods"))
    assert 'sheet "lines" has a value in cell A1000010' in fault.text


def test_too_many_elements_and_an_entity_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(unpacking, "MOST_ELEMENTS", 5_000)
    many = with_content(ods(), "</table:table>", "<table:x/>" * 5_000 + "</table:table>")
    (fault,) = faults_of(written(tmp_path, many, name="offsets.ods"))
    assert "unpacks to more" in fault.text
    entity = with_content(ods(), "<office:document-content", '<!DOCTYPE a [<!ENTITY a "b">]><office:document-content')
    (fault,) = faults_of(written(tmp_path, entity, name="offsets.ods"))
    assert "it is damaged" in fault.text


def test_a_workbook_that_lies_about_its_sizes_is_refused(tmp_path: Path) -> None:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        packed.writestr("content.xml", b" " * 19_000_000)
    true, small = (19_000_000).to_bytes(4, "little"), (100).to_bytes(4, "little")
    assert stream.getvalue().count(true) == 2
    (fault,) = faults_of(written(tmp_path, stream.getvalue().replace(true, small), name="offsets.ods"))
    assert "it is damaged" in fault.text


@pytest.mark.parametrize("break_at", [1, 60, 200, 700, 1500, 3000])
@pytest.mark.parametrize(("name", "data"), [("offsets.xlsx", xlsx()), ("offsets.ods", ods())])
def test_whatever_is_damaged_is_refused_or_read(tmp_path: Path, name: str, data: bytes, break_at: int) -> None:
    path = written(tmp_path, data[:break_at] + b"\xa5" * 3 + data[break_at + 3 :], name=name)
    faults: tuple[Fault, ...] = ()
    try:
        read_hull(path)
    except HullFileError as error:
        faults = error.faults
    assert all(fault.file.endswith(name) for fault in faults)


def test_the_table_is_found_on_another_sheet_than_the_first(tmp_path: Path) -> None:
    data = xlsx_with({}, {"notes": [["lines of a small boat"], ["lofted in spring", 3]], "empty": []})
    assert len(read_hull(written(tmp_path, data, name="offsets.xlsx")).stations) == 4
    other = (
        '<table:table table:name="notes"><table:table-row>' + ods_cell("notes") + "</table:table-row></table:table>"
    )
    data = with_content(ods(), '<table:table table:name="lines">', f'{other}<table:table table:name="lines">')
    assert len(read_hull(written(tmp_path, data, name="offsets.ods")).stations) == 4
    data = xlsx_with({"A1": "what"}, {"notes": [["lines of a small boat"]]})
    (fault,) = faults_of(written(tmp_path, data, name="offsets.xlsx"))
    assert "does not begin with measure and line" in fault.text
    assert fault.value == "lines of a small boat"
