"""The file of a table of offsets, CSV or a workbook, next to its hull file: read within bounds into rows of cells.

Of a workbook it is the sheet that holds the table, formulas without a stored value among its cells.
"""

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from pathlib import Path, PurePosixPath, PureWindowsPath
from typing import Any

from templates_gen.hull.offsets.unpacking import CellPlace, TooLargeError, Unpacked, cell_name, unpacked
from templates_gen.hull.text import LARGEST, shortened

FORMATS = (".csv", ".xlsx", ".ods")
MOST_ROWS, MOST_COLUMNS = 500, 220
SEPARATORS = (",", ";", "\t")
_POINT, _COMMA = re.compile(r"[0-9]\.[0-9]"), re.compile(r"(?<=[0-9]),(?=[0-9])")

HEADING = ("measure", "line")
"""What the first two columns of a table are called."""

MOST_SHEETS = 20
"""The table is looked for on so many sheets."""


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


def table_path(hull_file: Path, name: str) -> Path:
    """Return the path of a table that a hull file names. Raises TableError if it is not in the hull file's folder."""
    outside = TableError(
        "[lines] table leads out of the hull file's folder; put the table into that folder",
        "the name of a file in the hull file's folder",
    )
    if PurePosixPath(name).is_absolute() or PureWindowsPath(name).drive or "\\" in name:
        raise outside
    path = hull_file.parent / name
    try:
        folder, resolved = hull_file.parent.resolve(), path.resolve()
    except (OSError, RuntimeError) as reason:
        raise TableError(f"the table cannot be found: {reason}") from None
    if folder != resolved.parent and folder not in resolved.parents:
        raise outside
    if path.suffix.lower() not in FORMATS:
        raise TableError(
            "[lines] table is not a CSV, XLSX or ODS file; save it as one", "a file that ends in .csv, .xlsx or .ods"
        )
    return path


def table_bytes(path: Path) -> bytes:
    """Return the file's bytes. Raises TableError when it cannot be read, or is too large."""
    try:
        if path.exists() and not path.is_file():
            raise TableError("[lines] table is not an ordinary file; name a CSV, XLSX or ODS file")
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except FileNotFoundError:
        text = "[lines] table: there is no such file in the hull file's folder; check its name"
        raise TableError(text, "the name of a file in the hull file's folder") from None
    except OSError as reason:
        raise TableError(f"[lines] table cannot be read: {reason.strerror or reason}") from None
    if len(data) > LARGEST:
        raise TableError(
            "the file is too large for a table of offsets; check that it is one", f"at most {LARGEST} bytes"
        )
    return data


def cell_rows(data: bytes, path: Path) -> tuple[CellRow, ...]:
    """Return the rows of a table's file that are neither empty nor remarks.

    Raises
    ------
    TableError
        When the file is not of the kind that its name says, or is larger than any table of offsets.
    """
    rows = _csv_rows(data) if path.suffix.lower() == ".csv" else _workbook_rows(data, path)
    kept = _kept(rows)
    if len(kept) > MOST_ROWS or any(len(row.cells) > MOST_COLUMNS for row in kept):
        raise TableError(f"the table has more than {MOST_ROWS} rows or {MOST_COLUMNS} columns; give only its offsets")
    return kept


def _kept(rows: Iterable[CellRow]) -> tuple[CellRow, ...]:
    """Return the rows that are neither empty nor remarks."""
    return tuple(row for row in rows if row.cells and not is_remark(row))


def _csv_rows(data: bytes) -> list[CellRow]:
    """Return the rows of a CSV file, its cells parted by commas, semicolons or tabs.

    The mark that parts measure from line in the table's first row parts the others too. Where that is no comma, a
    comma between digits is a decimal comma, unless some figure of the file has a decimal point.
    """
    text = _text_of(data)
    tried = [(mark, _rows_of(text, mark)) for mark in SEPARATORS]
    chosen = next((one for one in tried if is_headed(_kept(one[1][0]))), None)
    if chosen is None:
        first = next((line for line in text.splitlines() if line.strip() and not line.startswith("#")), "")
        chosen = max(tried, key=lambda one: first.count(one[0]))
    mark, (rows, fault) = chosen
    if fault is not None:
        raise fault
    if mark != "," and not any(_POINT.search(cell.text) for row in _kept(rows) for cell in row.cells):
        rows = [CellRow(row.number, tuple(Cell(_COMMA.sub(".", cell.text)) for cell in row.cells)) for row in rows]
    return rows


def _text_of(data: bytes) -> str:
    """Return a CSV file's text, which is UTF-8, or UTF-16 with its byte order mark. Raises TableError."""
    coding = "utf-16" if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else "utf-8-sig"
    try:
        text = data.decode(coding)
    except UnicodeDecodeError as reason:
        line = data.count(b"\n", 0, reason.start) + 1
        raise TableError("the table is not plain text in UTF-8; save it as UTF-8", "UTF-8", line) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise TableError("the table contains a zero byte; save it as plain text in UTF-8", "plain text", line)
    return text


def _rows_of(text: str, separator: str) -> tuple[list[CellRow], TableError | None]:
    """Return the rows of a text that are not empty, and what is wrong with it; those before a fault are sound."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows, begun = [], 1
    try:
        for cells in reader:
            stripped = [cell.strip() for cell in cells]
            if any(stripped):
                rows.append(CellRow(begun, tuple(Cell(cell) for cell in stripped)))
            begun = reader.line_num + 1
    except csv.Error as reason:
        return rows, TableError(f"this is not CSV: {reason}; look for a quote that is not closed", line=begun)
    return rows, None


def is_headed(rows: Sequence[CellRow]) -> bool:
    """Return whether the first row that is no remark begins with measure and line."""
    first = next((row for row in rows if not is_remark(row)), None)
    return first is not None and tuple(cell.text.lower() for cell in first.cells[:2]) == HEADING


def is_remark(row: CellRow) -> bool:
    """Return whether a row is a remark: its first cell starts with #."""
    return row.cells[0].text.startswith("#")


def _workbook_rows(data: bytes, path: Path) -> list[CellRow]:
    """Return the rows of a workbook's table, empty cells at their ends left out.

    The table is on the first sheet that begins with the columns measure and line; if there is none, the first sheet
    that holds anything is returned. Raises TableError for whatever is not a workbook that can be read.
    """
    try:
        import defusedxml  # noqa: F401 (needed to unpack)
        from python_calamine import CalamineWorkbook
    except ImportError as reason:
        raise TableError(
            f"{path.suffix} tables need the libraries python-calamine and defusedxml, and {reason.name} is missing; "
            "pip install python-calamine defusedxml, or save the table as CSV"
        ) from None
    try:
        book = unpacked(data)
        filled: list[CellRow] = []
        for rows in _sheets(book, CalamineWorkbook):
            if is_headed(rows):
                return rows
            filled = filled or rows
    except TableError:
        raise
    except TooLargeError:
        raise TableError(
            "the workbook unpacks to more than any table of offsets holds; save the table as CSV"
        ) from None
    except BaseException as reason:  # a panic inside the library is no Exception
        if isinstance(reason, KeyboardInterrupt | SystemExit | GeneratorExit):
            raise
        kind = path.suffix[1:].upper()
        text = (
            f"this is not a workbook of the kind {kind}, or it is damaged or has a password; save it again, or as CSV"
        )
        raise TableError(text, f"a sound {kind} workbook") from None
    return filled


def _sheets(book: Unpacked, reader: Any) -> Iterator[list[CellRow]]:
    """Yield the rows of each sheet of a workbook. Raises TableError at one with a value far off."""
    opened = None
    for index, sheet in enumerate(book.sheets[:MOST_SHEETS]):
        if sheet.far is not None:
            name, cell = shortened(sheet.name, 40), cell_name(sheet.far)
            text = (
                f'sheet "{name}" has a value in cell {cell}, far from any table of offsets; '
                "delete what is in that row and column, or copy the table to a new workbook"
            )
            raise TableError(text, "a table of at most 500 rows and 220 columns")
        opened = opened or reader.from_filelike(io.BytesIO(book.data))
        yield _filled_rows(opened.get_sheet_by_index(index).to_python(skip_empty_area=False), sheet.hollow)


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


def _hollow_cell(formula: str) -> Cell:
    return Cell(shortened(formula, 40), "a formula without a stored value; open the table, compute it and save it")


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
