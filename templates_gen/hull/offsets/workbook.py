"""Workbooks: the cells of the sheet that holds the table, formulas without a stored value among them."""

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from pathlib import Path
from typing import Any

from templates_gen.hull.offsets.unpacking import CellPlace, TooLargeError, Unpacked, cell_name, unpacked
from templates_gen.hull.text import shortened

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


def workbook_rows(data: bytes, path: Path) -> list[CellRow]:
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


def is_headed(rows: Sequence[CellRow]) -> bool:
    """Return whether the first row that is no remark begins with measure and line."""
    first = next((row for row in rows if not is_remark(row)), None)
    return first is not None and tuple(cell.text.lower() for cell in first.cells[:2]) == HEADING


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
