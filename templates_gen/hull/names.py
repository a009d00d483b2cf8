"""Names: what a boat, a station or a land may be called, and how messages show a name or a key of the file."""

import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches

LONGEST_BOAT_NAME = 60
LONGEST_STATION_NAME = 20
LONGEST_SHOWN = 40
"""Keys are cut to this many letters in messages."""

_BARE_LETTERS = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-")
_FORMULA_LETTERS = ("=", "+", "-", "@")


def station_name_fault(value: object) -> str | None:
    """Return why a value cannot be a station's name, or None if it can."""
    return name_fault(value, LONGEST_STATION_NAME, in_paths=True)


def tidy(name: str) -> str:
    """Return a name without blanks around it, accents joined to their letters: names that look alike are one name."""
    return unicodedata.normalize("NFC", name).strip()


def name_fault(value: object, longest: int, in_paths: bool) -> str | None:
    """Return why a value cannot be a name, or None if it can.

    Parameters
    ----------
    value : object
    longest : int
        The most letters that it may have.
    in_paths : bool
        Whether it may become part of a file's name: then it has no slash and is not only dots.

    Notes
    -----
    Letters outside ASCII are allowed; whether the font has them is checked by what prints them.
    """
    if not isinstance(value, str):
        return "a name is text; put it in quotes"
    if not value.strip():
        return "the name is empty; give it at least one letter or digit"
    if not value.isprintable():
        return "the name contains a letter that cannot be printed (a new line, a tab, a control character …)"
    if in_paths and ("/" in value or "\\" in value):
        return "the name contains a slash, which the name of a file cannot have"
    if in_paths and not value.strip(". "):
        return "the name is only dots, which the name of a file cannot be"
    if len(value) > longest:
        return f"the name is {len(value)} letters long; at most {longest} fit on the sheets"
    return None


def land_number(text: str) -> int | None:
    """Return the number, 1 to 999, that names a land, or None if the text is not one."""
    is_number = text.isascii() and text.isdigit() and len(text) <= 3 and text[0] != "0"
    return int(text) if is_number else None


def harmless(name: str) -> str:
    """Return a station's name for a table, an apostrophe before it if a spreadsheet would take it for a formula."""
    return f"'{name}" if _is_formula(name) else name


def plain(cell: str) -> str:
    """Return the station's name in a table's cell: `harmless` undone."""
    return cell[1:] if cell.startswith("'") and _is_formula(cell) else cell


def _is_formula(name: str) -> bool:
    """Return whether a name starts like a formula, after any apostrophes."""
    return name.lstrip("'").startswith(_FORMULA_LETTERS)


def shown_key(key: str) -> str:
    """Return a key of the file for a message: in quotes where the file needs them, cut to 40 letters."""
    if key and len(key) <= LONGEST_SHOWN and _BARE_LETTERS.issuperset(key):
        return key
    key = key if len(key) <= LONGEST_SHOWN else key[: LONGEST_SHOWN - 1] + "…"
    return f'"{key}"' if key.isprintable() else f'"{ascii(key)[1:-1]}"'


def nearest_word(word: str, choices: Iterable[str]) -> str | None:
    """Return the choice most like a word, or None if none is like it; capitals count as small letters."""
    matches = get_close_matches(word.lower()[:60], list(choices), n=1, cutoff=0.6)
    return matches[0] if matches else None


def hint(nearest: str | None) -> str:
    """Return the end of a message that asks whether the nearest word is meant; "" if there is none."""
    return f"; did you mean {nearest}?" if nearest else ""
