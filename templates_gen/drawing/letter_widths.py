"""How wide the letters run, for laying lettering out before it is known who will draw it."""

from functools import lru_cache

CAPITAL = 1493
"""Height of a capital, in units of which 2048 make the size of the type."""

_ASCII = """
    651 821 942 1716 1303 1946 1597 563 799 799 1024 1716 651 739 651 690 1303 1303 1303 1303 1303 1303 1303
    1303 1303 1303 690 690 1716 1716 1716 1087 2048 1401 1405 1430 1577 1294 1178 1587 1540 604 604 1343 1141
    1767 1532 1612 1235 1612 1423 1300 1251 1499 1401 2025 1403 1251 1403 799 690 799 1716 1024 1024 1255 1300
    1126 1300 1260 721 1300 1298 569 569 1186 569 1995 1298 1253 1300 1300 842 1067 803 1298 1212 1675 1212 1212
    1075 1303 690 1303 1716
"""
"""From the space to the tilde, in the same units. Source: the advance widths in DejaVu Sans's own hmtx table."""

_OTHERS = {
    "°": 1024,
    "±": 1716,
    "·": 651,
    "×": 1716,
    "–": 1024,
    "½": 1985,
    "¼": 1985,
    "¾": 1985,
    "⅛": 1985,
    "⅜": 1985,
    "⅝": 1985,
    "⅞": 1985,
    "−": 1716,
}
_UNKNOWN = 2048

_WIDTHS = dict(zip(map(chr, range(32, 127)), map(int, _ASCII.split()), strict=True)) | _OTHERS


@lru_cache(maxsize=10_000)
def _run(text: str) -> float:
    return sum(_WIDTHS.get(letter, _UNKNOWN) for letter in text) / CAPITAL


def letters_width(text: str, height: float) -> float:
    """Return how wide a line of text runs in DejaVu Sans, mm, from the height of its capitals.

    A letter that is not in the table counts as wide as the widest.
    """
    return _run(text) * height
