"""The file of a table of offsets, beside its hull file: read within bounds into rows of cells."""

import csv
import io
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from pathlib import Path, PurePosixPath, PureWindowsPath

from templates_gen.hull.offsets.workbook import formulas_without_value
from templates_gen.hull.text import LARGEST, shortened

FORMATS = (".csv", ".xlsx", ".ods")
LARGEST_UNPACKED = 30_000_000
"""A workbook that unpacks to more bytes than this is refused."""

MOST_ROWS, MOST_COLUMNS = 500, 220


class TableError(ValueError):
    """A table's file cannot be read; the text says why, `expected` and `line` what was wanted and where."""

    def __init__(self, text: str, expected: str = "", line: int = 0) -> None:
        super().__init__(text)
        self.expected = expected
        self.line = line


@dataclass(frozen=True)
class Cell:
    """One cell as text; `reason` says why it can be no figure, if it is of another type than text or number."""

    text: str
    reason: str = ""


@dataclass(frozen=True)
class CellRow:
    """One row of cells and its number in the file, from 1; cells that were left out at its end are not there."""

    number: int
    cells: tuple[Cell, ...]


def table_path(hull_file: Path, name: str) -> Path:
    """Return the path of a table that a hull file names. Raises TableError if it is not in the hull file's folder."""
    outside = TableError(
        "[lines] table leads out of the hull file's folder; put the table beside the hull file and name it only",
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
        raise TableError("[lines] table is of a kind that is not read", "a file that ends in .csv, .xlsx or .ods")
    return path


def table_bytes(path: Path) -> bytes:
    """Return the file's bytes. Raises TableError when it cannot be read, or is too large."""
    try:
        if path.exists() and not path.is_file():
            raise TableError("[lines] table is not an ordinary file")
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except FileNotFoundError:
        text = "[lines] table: there is no such file beside the hull file; is its name right?"
        raise TableError(text, "the name of a file in the hull file's folder") from None
    except OSError as reason:
        raise TableError(f"[lines] table cannot be read: {reason.strerror or reason}") from None
    if len(data) > LARGEST:
        raise TableError("the table is too large for a table of offsets", f"at most {LARGEST} bytes")
    return data


def cell_rows(data: bytes, path: Path) -> tuple[CellRow, ...]:
    """Return the rows of a table's file that hold anything.

    Raises
    ------
    TableError
        When the file is not what its name says, or longer and wider than any table of offsets.
    """
    rows = _csv_rows(data) if path.suffix.lower() == ".csv" else _workbook_rows(data, path)
    kept = tuple(row for row in rows if row.cells and not _is_remark(row))
    if len(kept) > MOST_ROWS or any(len(row.cells) > MOST_COLUMNS for row in kept):
        raise TableError(f"more than {MOST_ROWS} rows or {MOST_COLUMNS} columns are no table of offsets")
    return kept


def _csv_rows(data: bytes) -> list[CellRow]:
    """Return the rows of a CSV file, parted by commas, or by semicolons or tabs if its first row is."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = data.count(b"\n", 0, reason.start) + 1
        raise TableError("the table is not plain text in UTF-8; save it as such", "UTF-8", line) from None
    if "\0" in text:
        raise TableError(
            "the table holds bytes that are no text", "plain text", text.count("\n", 0, text.index("\0")) + 1
        )
    first = next((line for line in text.splitlines() if line.strip() and not line.startswith("#")), "")
    parted = max(",;\t", key=first.count) if first else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=parted, strict=True)
    rows, begun = [], 1
    try:
        for cells in reader:
            stripped = [cell.strip() for cell in cells]
            if any(stripped):
                rows.append(CellRow(begun, tuple(Cell(cell) for cell in stripped)))
            begun = reader.line_num + 1
    except csv.Error as reason:
        raise TableError(f"this is not CSV: {reason}; a quote that is not closed is likely", line=begun) from None
    return rows


def _workbook_rows(data: bytes, path: Path) -> list[CellRow]:
    """Return the rows of a workbook's first sheet, empty cells at their ends left out."""
    try:
        from python_calamine import CalamineError, CalamineWorkbook
    except ImportError:
        raise TableError(
            f"{path.suffix} tables are read by the library python-calamine, which is not here; "
            "pip install python-calamine, or save the table as CSV"
        ) from None
    damaged = TableError(f"this is no {path.suffix[1:].upper()} workbook, or it is damaged; save it anew, or as CSV")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > LARGEST_UNPACKED:
                raise TableError("the workbook unpacks to more than any table of offsets holds")
            hollow = formulas_without_value(packed)
        sheet = CalamineWorkbook.from_filelike(io.BytesIO(data)).get_sheet_by_index(0)
        grid = sheet.to_python(skip_empty_area=False)
    except TableError:
        raise
    except (CalamineError, zipfile.BadZipFile, ValueError, KeyError, OSError, EOFError, SyntaxError):
        raise damaged from None
    except (NotImplementedError, RuntimeError, MemoryError, IndexError):
        raise damaged from None
    return _filled_rows(grid, hollow)


def _filled_rows(grid: Sequence[Sequence[object]], hollow: dict[tuple[int, int], str]) -> list[CellRow]:
    """Return the rows that hold anything; `hollow` are formula cells without a value, by row and column from 1."""
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
    """Return the rows as wide as the first that is no remark: a workbook leaves out empty cells at a row's end."""
    width = next((len(row.cells) for row in rows if not _is_remark(row)), 0)
    return [CellRow(row.number, row.cells + (Cell(""),) * (width - len(row.cells))) for row in rows]


def _is_remark(row: CellRow) -> bool:
    return row.cells[0].text.startswith("#")


def _hollow_cell(formula: str) -> Cell:
    return Cell(
        shortened(formula, 40), "a formula whose value is not stored; open the table, let it compute, save it"
    )


def _cell(value: object) -> Cell:
    """Return a workbook's cell; a whole number is written without a decimal point."""
    if isinstance(value, bool):
        return Cell(str(value).upper(), "true or false is no length")
    if isinstance(value, int | float):
        return Cell(f"{int(value)}" if float(value).is_integer() and abs(value) < 1e15 else repr(float(value)))
    if isinstance(value, date | time | timedelta):
        reason = "the workbook has taken this figure for a date or a time; make the column text and write it again"
        return Cell(str(value), reason)
    return Cell(shortened(str(value).strip(), 200))
