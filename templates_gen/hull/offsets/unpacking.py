"""A workbook's parts, unpacked within bounds: its sheets, formulas without a value, and cells far from any table.

The library that reads workbooks trusts what it is given: one value in the last cell of a sheet makes it ask for more
memory than there is. It therefore gets a copy that holds only parts which were counted and looked through here.
"""

import io
import re
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from typing import Any

LARGEST_UNPACKED = 20_000_000
"""A workbook that unpacks to more bytes than this is refused."""

MOST_ELEMENTS = 600_000
"""... or one that has more XML elements in all; five hundred rows of two hundred cells have about 200 000."""

FARTHEST_ROW, FARTHEST_COLUMN = 700, 250
"""A value in a cell beyond these is no part of a table of offsets."""

MOST_CELLS = 200_000
"""The rectangles from the first cell to the last value of all sheets hold no more cells than this in all."""

_CELL_NAME = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_SPREADSHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_CELLS = (f"{_SPREADSHEET}c", f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")
_KEPT = (".xml", ".rels", "mimetype")

CellPlace = tuple[int, int]


class TooLargeError(ValueError):
    """A workbook unpacks to more than any table of offsets holds."""


@dataclass
class SheetScan:
    """What one sheet holds besides figures.

    Attributes
    ----------
    name : str
    hollow : dict of CellPlace to str
        Formulas and errors that have no value stored, by row and column from 1.
    far : CellPlace or None
        The first value beyond the farthest row or column.
    rows, columns : int
        The last row and column that hold a value.
    """

    name: str = ""
    hollow: dict[CellPlace, str] = field(default_factory=dict)
    far: CellPlace | None = None
    rows: int = 0
    columns: int = 0

    def note(self, row: int, column: int, formula: str | None) -> None:
        """Take down a cell that is not empty, and its formula where the formula's value is not stored."""
        if row > FARTHEST_ROW or column > FARTHEST_COLUMN:
            self.far = self.far or (row, column)
            return
        self.rows, self.columns = max(self.rows, row), max(self.columns, column)
        if formula is not None:
            self.hollow[row, column] = formula


@dataclass(frozen=True)
class Unpacked:
    """A workbook: its sheets in their order, and a copy of it without what must not be read, as a ZIP file."""

    sheets: tuple[SheetScan, ...]
    data: bytes


def unpacked(data: bytes) -> Unpacked:
    """Return the sheets of an XLSX or ODS workbook.

    Raises
    ------
    TooLargeError
    KeyError, ValueError, SyntaxError, RuntimeError, OSError, zlib.error, zipfile.BadZipFile …
        When the file is not a workbook, or is damaged.

    Source
    ------
    ECMA-376 part 1, 18.3.1.4 (a cell c holds its formula f and its value v) and OpenDocument 1.2 part 1, 9.1.2 to
    9.1.4 (repeated rows and cells, table:formula and office:value).
    """
    parts = _parts(data)
    counted = _Counter()
    if "content.xml" in parts:
        sheets = _bounded(_document_sheets(parts["content.xml"], counted))
        if any(sheet.far for sheet in sheets):
            del parts["content.xml"]
        return Unpacked(tuple(sheets), _packed(parts))
    scans = {name: _spreadsheet_scan(part, counted) for name, part in parts.items() if name != "mimetype"}
    named = _targets(parts["xl/workbook.xml"], parts["xl/_rels/workbook.xml.rels"])
    found = _bounded(replace(scans[target], name=name) for name, target in named)
    kept = {name: part for name, part in parts.items() if name not in scans or scans[name].far is None}
    return Unpacked(tuple(found), _packed(kept))


def _bounded(sheets: Iterable[SheetScan]) -> list[SheetScan]:
    """Return the sheets. Raises TooLargeError when they have too many cells in all."""
    found, cells = [], 0
    for sheet in sheets:
        cells += sheet.rows * sheet.columns
        if cells > MOST_CELLS:
            raise TooLargeError
        found.append(sheet)
    return found


def _parts(data: bytes) -> dict[str, bytes]:
    """Return the parts of a workbook that hold text, unpacked, whatever the ZIP file says of their sizes."""
    parts: dict[str, bytes] = {}
    left = LARGEST_UNPACKED
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        for entry in packed.infolist():
            if not entry.filename.endswith(_KEPT):
                continue
            if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                raise ValueError("packed in a way that workbooks are not")
            if entry.file_size > left:
                raise TooLargeError
            with packed.open(entry) as stream:
                parts[entry.filename] = stream.read(left + 1)
            left -= len(parts[entry.filename])
    return parts


def _packed(parts: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as packed:
        for name, part in parts.items():
            packed.writestr(name, part)
    return stream.getvalue()


@dataclass
class _Counter:
    """How many elements were read so far, in all parts."""

    count: int = 0

    def events(self, part: bytes) -> Iterator[tuple[str, Any]]:
        """Yield the starts and ends of a part's elements; only a cell's still has what it holds when it ends."""
        from defusedxml.ElementTree import iterparse

        parents: list[Any] = []
        cells = 0
        for event, element in iterparse(io.BytesIO(part), ("start", "end"), forbid_dtd=True):
            if event == "start":
                self.count += 1
                if self.count > MOST_ELEMENTS:
                    raise TooLargeError
                parents.append(element)
                cells += element.tag in _CELLS
                yield event, element
                continue
            parents.pop()
            cells -= element.tag in _CELLS
            yield event, element
            if not cells and parents:
                del parents[-1][:]


def _targets(book: bytes, relations: bytes) -> Iterator[tuple[str, str]]:
    """Yield the name of each sheet of a spreadsheet, and the name of its part."""
    from defusedxml.ElementTree import fromstring

    targets: dict[str | None, str] = {}
    for relation in fromstring(relations, forbid_dtd=True):
        target = str(relation.get("Target"))
        targets[relation.get("Id")] = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    for sheet in fromstring(book, forbid_dtd=True).iterfind(f"{_SPREADSHEET}sheets/{_SPREADSHEET}sheet"):
        yield str(sheet.get("name", "")), targets[sheet.get(_RELATION)]


def _spreadsheet_scan(part: bytes, counted: _Counter) -> SheetScan:
    """Return what a part of a spreadsheet holds, if it is a sheet; cells without a name follow those before them."""
    scan = SheetScan()
    row = column = 0
    for event, element in counted.events(part):
        if event == "start" and element.tag == f"{_SPREADSHEET}row":
            row, column = _count(element.get("r"), row + 1), 0
        elif event == "end" and element.tag == f"{_SPREADSHEET}c":
            place = _place(element.get("r")) if "r" in element.keys() else (row, column + 1)  # noqa: SIM118
            row, column = place
            if len(element):
                scan.note(*place, _formula(element))
    return scan


def _place(name: str) -> CellPlace:
    """Return a cell's row and column, from 1. Raises ValueError if it is no cell's name."""
    found = _CELL_NAME.fullmatch(name.upper())
    if found is None:
        raise ValueError("no cell has such a name")
    column = 0
    for letter in found[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(found[2]), column


def cell_name(place: CellPlace) -> str:
    """Return the name of a cell, such as "B3", by its row and column from 1."""
    row, column = place
    letters = ""
    while column:
        column, letter = divmod(column - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return f"{letters}{row}"


def _formula(cell: Any) -> str | None:
    """Return a spreadsheet's formula or error, if it has no value stored."""
    formula, value = cell.find(f"{_SPREADSHEET}f"), cell.find(f"{_SPREADSHEET}v")
    held = value.text if value is not None else None
    if cell.get("t") == "e":
        return str(held or "an error")
    return f"={formula.text or ''}" if formula is not None and not held else None


def _document_sheets(part: bytes, counted: _Counter) -> Iterator[SheetScan]:
    """Yield the sheets of an open document."""
    scan = SheetScan()
    row = rows = column = 0
    for event, element in counted.events(part):
        kind = element.tag.removeprefix(_TABLE)
        if event == "start" and kind == "table":
            scan, row, rows = SheetScan(element.get(f"{_TABLE}name", "")), 0, 0
        elif event == "start" and kind == "table-row":
            row, column = row + rows, 0
            rows = _count(element.get(f"{_TABLE}number-rows-repeated"), 1)
        elif event == "end" and element.tag in _CELLS:
            columns = _count(element.get(f"{_TABLE}number-columns-repeated"), 1)
            if len(element) or any(key.startswith((_OFFICE, f"{_TABLE}formula")) for key in element.keys()):  # noqa: SIM118
                formula = element.get(f"{_TABLE}formula")
                scan.note(row + rows, column + columns, None if _holds_value(element) else formula)
            column += columns
        elif event == "end" and kind == "table":
            yield scan


def _count(text: str | None, otherwise: int) -> int:
    """Return a whole number from 1; `otherwise` where there is none. Raises ValueError."""
    if text is None:
        return otherwise
    if not (text.isascii() and text.isdigit() and len(text) <= 9 and int(text) > 0):
        raise ValueError("not a whole number from 1")
    return int(text)


def _holds_value(cell: Any) -> bool:
    """Return whether a cell of an open document stores what its formula gave, an error not counted."""
    shown = "".join(text for one in cell.iter(f"{_TEXT}p") for text in one.itertext())
    kind = cell.get(f"{_OFFICE}value-type")
    if shown.startswith(("#", "Err:")):
        return False
    if kind == "string":
        return bool(shown)
    return any(cell.get(f"{_OFFICE}{key}") for key in ("value", "date-value", "time-value", "boolean-value"))
