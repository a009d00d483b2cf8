"""Workbooks: the cells of the first sheet, and formulas whose value is not stored, which readers leave empty."""

import io
import re
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from pathlib import Path
from xml.etree import ElementTree

from templates_gen.hull.text import shortened

LARGEST_UNPACKED = 30_000_000
"""A workbook that unpacks to more bytes than this is refused."""

_CELL_NAME = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_SPREADSHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_FARTHEST = 2000

CellPlace = tuple[int, int]


class TableError(ValueError):
    """The file of a table cannot be read: the text says why, `expected` what was expected and `line` where."""

    def __init__(self, text: str, expected: str = "", line: int = 0) -> None:
        super().__init__(text)
        self.expected = expected
        self.line = line


@dataclass(frozen=True)
class Cell:
    """One cell as text; `reason` says why it cannot be a figure, if it is neither text nor a number."""

    text: str
    reason: str = ""


@dataclass(frozen=True)
class CellRow:
    """One row of cells and its number in the file, from 1; cells left out at its end are missing."""

    number: int
    cells: tuple[Cell, ...]


def workbook_rows(data: bytes, path: Path) -> list[CellRow]:
    """Return the rows of a workbook's first sheet, empty cells at their ends left out."""
    try:
        from python_calamine import CalamineError, CalamineWorkbook
    except ImportError:
        raise TableError(
            f"{path.suffix} tables need the library python-calamine, which is not installed; "
            "pip install python-calamine, or save the table as CSV"
        ) from None
    damaged = TableError(
        f"this is not a {path.suffix[1:].upper()} workbook, or it is damaged; save it again, or as CSV"
    )
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > LARGEST_UNPACKED:
                raise TableError(
                    "the workbook unpacks to more than any table of offsets holds; save the table as CSV"
                )
            hollow = _formulas_without_value(packed)
        sheet = CalamineWorkbook.from_filelike(io.BytesIO(data)).get_sheet_by_index(0)
        grid = sheet.to_python(skip_empty_area=False)
    except TableError:
        raise
    except (CalamineError, zipfile.BadZipFile, ValueError, KeyError, OSError, EOFError, SyntaxError):
        raise damaged from None
    except (NotImplementedError, RuntimeError, MemoryError, IndexError):
        raise damaged from None
    return _filled_rows(grid, hollow)


def _filled_rows(grid: Sequence[Sequence[object]], hollow: dict[CellPlace, str]) -> list[CellRow]:
    """Return the rows that are not empty; `hollow` are formulas without a value, by row and column from 1."""
    rows = []
    for number in range(1, max([len(grid), *(row for row, _ in hollow)], default=0) + 1):
        values = grid[number - 1] if number <= len(grid) else []
        width = max([len(values), *(column for row, column in hollow if row == number)], default=0)
        cells = []
        for column in range(1, width + 1):
            value = values[column - 1] if column <= len(values) else ""
            formula = hollow.get((number, column))
            cells.append(_cell(value) if formula is None else _hollow_cell(formula))
        while cells and cells[-1] == Cell(""):
            cells.pop()
        if any(cell.text for cell in cells):
            rows.append(CellRow(number, tuple(cells)))
    return _squared(rows)


def _squared(rows: list[CellRow]) -> list[CellRow]:
    """Return the rows as wide as the first that is not a remark: workbooks leave out empty cells at the end."""
    width = next((len(row.cells) for row in rows if not is_remark(row)), 0)
    return [CellRow(row.number, row.cells + (Cell(""),) * (width - len(row.cells))) for row in rows]


def is_remark(row: CellRow) -> bool:
    """Return whether a row is a remark: its first cell starts with #."""
    return row.cells[0].text.startswith("#")


def _hollow_cell(formula: str) -> Cell:
    return Cell(shortened(formula, 40), "a formula whose value is not stored; open the table, compute it and save it")


def _cell(value: object) -> Cell:
    """Return a workbook's cell; a whole number is written without a decimal point."""
    if isinstance(value, bool):
        return Cell(str(value).upper(), "true and false are not lengths; write the length")
    if isinstance(value, int | float):
        return Cell(f"{int(value)}" if float(value).is_integer() and abs(value) < 1e15 else repr(float(value)))
    if isinstance(value, date | time | timedelta):
        reason = (
            "the workbook has turned this figure into a date or a time; format the column as text and write it again"
        )
        return Cell(str(value), reason)
    return Cell(shortened(str(value).strip(), 200))


def _formulas_without_value(packed: zipfile.ZipFile) -> dict[CellPlace, str]:
    """Return the formulas and errors that have no value stored, by row and column from 1.

    Parameters
    ----------
    packed : zipfile.ZipFile
        An XLSX or ODS workbook.

    Raises
    ------
    KeyError, SyntaxError, zipfile.BadZipFile
        When it is not one.

    Source
    ------
    ECMA-376 part 1, 18.3.1.4 (a cell c holds its formula f and its value v) and OpenDocument 1.2 part 1, 9.1.4
    (table:formula and office:value).
    """
    if "content.xml" in packed.namelist():
        return _of_open_document(ElementTree.fromstring(packed.read("content.xml")))
    return _of_spreadsheet(ElementTree.fromstring(packed.read(_first_sheet(packed))))


def _first_sheet(packed: zipfile.ZipFile) -> str:
    """Return the name of the first sheet's part."""
    book = ElementTree.fromstring(packed.read("xl/workbook.xml"))
    sheet = book.find(f"{_SPREADSHEET}sheets/{_SPREADSHEET}sheet")
    wanted = sheet.get(_RELATION) if sheet is not None else None
    for relation in ElementTree.fromstring(packed.read("xl/_rels/workbook.xml.rels")):
        if relation.get("Id") == wanted:
            target = str(relation.get("Target"))
            return target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    raise KeyError("no first sheet")


def _of_spreadsheet(sheet: ElementTree.Element) -> dict[CellPlace, str]:
    found: dict[CellPlace, str] = {}
    for cell in sheet.iter(f"{_SPREADSHEET}c"):
        formula, value = cell.find(f"{_SPREADSHEET}f"), cell.find(f"{_SPREADSHEET}v")
        held = value.text if value is not None else None
        named = _CELL_NAME.fullmatch(cell.get("r", ""))
        if named is None:
            continue
        if cell.get("t") == "e":
            found[_place(named)] = str(held or "an error")
        elif formula is not None and not held:
            found[_place(named)] = f"={formula.text or ''}"
    return found


def _place(named: re.Match[str]) -> CellPlace:
    column = 0
    for letter in named[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(named[2]), column


def _of_open_document(content: ElementTree.Element) -> dict[CellPlace, str]:
    found: dict[CellPlace, str] = {}
    sheet = content.find(f".//{_TABLE}table")
    row = 0
    for line in sheet.iter(f"{_TABLE}table-row") if sheet is not None else ():
        row += int(line.get(f"{_TABLE}number-rows-repeated", "1"))
        column = 0
        for cell in line:
            column += int(cell.get(f"{_TABLE}number-columns-repeated", "1"))
            formula = cell.get(f"{_TABLE}formula")
            if formula is not None and not _holds_value(cell) and row < _FARTHEST and column < _FARTHEST:
                found[row, column] = formula
    return found


def _holds_value(cell: ElementTree.Element) -> bool:
    """Return whether a cell of an open document stores what its formula gave, an error not counted."""
    shown = "".join(text for one in cell.iter(f"{_TEXT}p") for text in one.itertext())
    kind = cell.get(f"{_OFFICE}value-type")
    if shown.startswith(("#", "Err:")):
        return False
    if kind == "string":
        return bool(shown)
    return any(cell.get(f"{_OFFICE}{key}") for key in ("value", "date-value", "time-value", "boolean-value"))
