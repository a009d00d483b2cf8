"""The file of a table of offsets, in the folder of its hull file: read within bounds into rows of cells."""

import csv
import io
from pathlib import Path, PurePosixPath, PureWindowsPath

from templates_gen.hull.offsets.workbook import Cell, CellRow, TableError, is_remark, workbook_rows
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
    kept = tuple(row for row in rows if row.cells and not is_remark(row))
    if len(kept) > MOST_ROWS or any(len(row.cells) > MOST_COLUMNS for row in kept):
        raise TableError(f"the table has more than {MOST_ROWS} rows or {MOST_COLUMNS} columns; give only its offsets")
    return kept


def _csv_rows(data: bytes) -> list[CellRow]:
    """Return the rows of a CSV file, separated by commas, or by semicolons or tabs if its first row is."""
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = data.count(b"\n", 0, reason.start) + 1
        raise TableError("the table is not plain text in UTF-8; save it as UTF-8", "UTF-8", line) from None
    if "\0" in text:
        raise TableError(
            "the table contains a zero byte; save it as plain text",
            "plain text",
            text.count("\n", 0, text.index("\0")) + 1,
        )
    first = next((line for line in text.splitlines() if line.strip() and not line.startswith("#")), "")
    separator = max(",;\t", key=first.count) if first else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    rows, begun = [], 1
    try:
        for cells in reader:
            stripped = [cell.strip() for cell in cells]
            if any(stripped):
                rows.append(CellRow(begun, tuple(Cell(cell) for cell in stripped)))
            begun = reader.line_num + 1
    except csv.Error as reason:
        raise TableError(f"this is not CSV: {reason}; look for a quote that is not closed", line=begun) from None
    return rows
