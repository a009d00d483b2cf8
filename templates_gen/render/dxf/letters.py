"""Plain ASCII for the words of a DXF drawing: no encoding is read alike by every program."""

import unicodedata
from functools import lru_cache

REPLACEMENTS = {
    "°": " deg",
    "′": "'",
    "″": '"',
    "×": "x",
    "÷": "/",
    "·": ".",
    "±": "+/-",
    "−": "-",
    "‐": "-",
    "‑": "-",
    "–": "-",
    "—": "-",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "„": '"',
    "«": '"',
    "»": '"',
    "…": "...",
    "•": "-",
    "→": "->",
    "←": "<-",
    "↑": "up",
    "↓": "down",
    "≤": "<=",
    "≥": ">=",
    "≈": "about ",
    "√": "root ",
    "⌀": "dia ",
    "α": "alpha",
    "β": "beta",
    "δ": "delta",
    "λ": "lambda",
    "ρ": "rho",
    "µ": "u",
    "№": "No",
    "Æ": "AE",
    "æ": "ae",
    "Œ": "OE",
    "œ": "oe",
    "Ø": "O",
    "ø": "o",
    "Ł": "L",
    "ł": "l",
    "Đ": "D",
    "đ": "d",
    "Ð": "D",
    "ð": "d",
    "Þ": "Th",
    "þ": "th",
    "ß": "ss",
    "ẞ": "SS",
    "ı": "i",
}


@lru_cache(maxsize=20_000)
def plain_ascii(text: str) -> str:
    """Return `text` in printable ASCII: accents dropped, signs spelt out, fractions as 1/8, "?" for what is left."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_plain(letter, before) for letter, before in zip(text, " " + text, strict=False))


def _plain(letter: str, before: str) -> str:
    """Return one character in ASCII; `before` is the one that stands before it."""
    if letter in REPLACEMENTS:
        return REPLACEMENTS[letter]
    spelt = unicodedata.normalize("NFKD", letter).replace("\N{FRACTION SLASH}", "/")
    if unicodedata.category(letter) == "No" and "/" in spelt:
        return f" {spelt}" if before.isdigit() else spelt
    kept = "".join(part for part in spelt if part.isascii() and part.isprintable())
    if kept or unicodedata.combining(letter):
        return kept
    return " " if letter.isspace() else "?"
