"""Formula cells of a workbook's first sheet that hold no value: readers give them as if they were empty."""

import re
import zipfile
from xml.etree import ElementTree

_CELL_NAME = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_SPREADSHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_FARTHEST = 2000

Place = tuple[int, int]


def formulas_without_value(packed: zipfile.ZipFile) -> dict[Place, str]:
    """Return the formulas, and errors shown as such, that stand without a value, by row and column from 1.

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


def _of_spreadsheet(sheet: ElementTree.Element) -> dict[Place, str]:
    found: dict[Place, str] = {}
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


def _place(named: re.Match[str]) -> Place:
    column = 0
    for letter in named[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(named[2]), column


def _of_open_document(content: ElementTree.Element) -> dict[Place, str]:
    found: dict[Place, str] = {}
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
