"""What a boat or a station may be called, and how a land is named by its number."""

import re

LONGEST_BOAT_NAME = 60
LONGEST_STATION_NAME = 20
_FORMULA_LETTERS = ("=", "+", "-", "@")


def station_name_fault(value: object) -> str | None:
    """Return why a value cannot be a station's name, or None if it can."""
    return name_fault(value, LONGEST_STATION_NAME, in_paths=True)


def name_fault(value: object, longest: int, in_paths: bool) -> str | None:
    """Return why a value cannot be a name, or None if it can.

    Parameters
    ----------
    value : object
    longest : int
        The most letters that it may have.
    in_paths : bool
        Whether it may become part of a file's name: then it holds no slash and is not all dots.

    Notes
    -----
    A non-ASCII name is fine; whether its letters are in the font is for whoever prints them to say.
    """
    if not isinstance(value, str):
        return "names are text, in quotes"
    if not value.strip():
        return "it is empty; a name needs at least one letter or digit"
    if not value.isprintable():
        return "it holds a letter that cannot be printed (a new line, a tab, a control character …)"
    if in_paths and ("/" in value or "\\" in value):
        return "it holds a slash, which a file's name cannot have"
    if in_paths and not value.strip(". "):
        return "it is nothing but dots, which a file's name cannot be"
    if len(value) > longest:
        return f"it is {len(value)} letters long; at most {longest} fit on the sheets"
    return None


def land_number(text: str) -> int | None:
    """Return the number, from 1, that names a land, or None if a text is no such number."""
    return int(text) if re.fullmatch(r"[1-9][0-9]{0,2}", text) else None


def harmless(name: str) -> str:
    """Return a station's name for a table, an apostrophe before it if a spreadsheet would take it for a formula."""
    return f"'{name}" if _would_compute(name) else name


def plain(cell: str) -> str:
    """Return the station's name that a table's cell holds: `harmless` undone."""
    return cell[1:] if cell.startswith("'") and _would_compute(cell) else cell


def _would_compute(name: str) -> bool:
    """Return whether a name is a formula, or stands for one behind its own apostrophes."""
    return name.lstrip("'").startswith(_FORMULA_LETTERS)
