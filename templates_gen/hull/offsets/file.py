"""The file of a table of offsets, in the folder of its hull file: read within bounds into rows of cells."""

import codecs
import csv
import io
import re
from collections.abc import Iterable
from pathlib import Path, PurePosixPath, PureWindowsPath

from templates_gen.hull.offsets.workbook import Cell, CellRow, TableError, is_headed, is_remark, workbook_rows
from templates_gen.hull.text import LARGEST

FORMATS = (".csv", ".xlsx", ".ods")
MOST_ROWS, MOST_COLUMNS = 500, 220


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
    rows = _csv_rows(data) if path.suffix.lower() == ".csv" else workbook_rows(data, path)
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


SEPARATORS = (",", ";", "\t")
_POINT, _COMMA = re.compile(r"[0-9]\.[0-9]"), re.compile(r"(?<=[0-9]),(?=[0-9])")


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
