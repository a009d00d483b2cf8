"""The lettering of the PDF files: which letters can be printed, how wide they run, how they are encoded."""

import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

FONT_NAME = "DejaVuSans"
FONT_FILE = Path(__file__).with_name("DejaVuSans.ttf")

EM_PER_CAPITAL = 2048 / 1493
"""Size of the type for capitals 1 high. Source: the font's own H, 1493 of 2048 units high."""

NO_BREAK = "\u00a0"
"""A space that lines do not break at."""

_RIGHT_TO_LEFT = {"R", "AL", "AN"}


def unprintable(text: str) -> str:
    """Return the letters of `text` that cannot be printed, each once, in order; "" when all can.

    Notes
    -----
    Refused are letters that the font lacks, scripts written from right to left, and marks that a shaping engine would
    have to set over another letter (a letter with its mark in one, such as é, is fine). A text of plain ASCII is
    answered without loading the font.
    """
    if text.isascii() and text.isprintable():
        return ""
    composed = unicodedata.normalize("NFC", text)
    return "".join(letter for letter in dict.fromkeys(composed) if not _is_printable(letter))


def _is_printable(letter: str) -> bool:
    """Return whether one letter prints by itself."""
    if letter.isascii():
        return letter.isprintable()
    if unicodedata.category(letter)[0] in "CM" or unicodedata.category(letter) in ("Zl", "Zp"):
        return False
    if unicodedata.bidirectional(letter) in _RIGHT_TO_LEFT:
        return False
    return ord(letter) in font().face.charToGlyph


@lru_cache(maxsize=1)
def font() -> "TTFont":
    """Return the font, read once for all files."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    loaded = TTFont(FONT_NAME, str(FONT_FILE), validate=0, asciiReadable=True, shapable=False)
    pdfmetrics.registerFont(loaded)
    return loaded


@lru_cache(maxsize=20_000)
def _width_per_capital(text: str) -> float:
    """Return the width of `text` for capitals 1 high."""
    composed = text if text.isascii() else unicodedata.normalize("NFC", text)
    return sum(map(_advances().__getitem__, map(ord, composed))) / 1000 * EM_PER_CAPITAL


class _Advances(dict[int, float]):
    """How far it is from each letter to the next, 1/1000 of the type's size, by the letter's number."""

    def __missing__(self, _: int) -> float:
        return float(font().face.defaultWidth or 0)


@lru_cache(maxsize=1)
def _advances() -> _Advances:
    return _Advances(font().face.charWidths)


def text_width(text: str, height: float) -> float:
    """Return the width of `text` when its capitals are `height` high, in the unit of `height`."""
    return _width_per_capital(text) * height


def wrapped(text: str, width: float, height: float) -> list[str]:
    """Return `text` in lines no wider than `width`, capitals `height` high, at least one; long words are cut.

    A line does not break at a no-break space, which is written as a plain one.
    """
    lines: list[str] = []
    line, reach, space = "", 0.0, text_width(" ", height)
    for word in (part.replace(NO_BREAK, " ") for part in text.replace("\n", " ").split(" ") if part):
        wants = text_width(word, height)
        if line and reach + space + wants <= width:
            line, reach = f"{line} {word}", reach + space + wants
            continue
        if line:
            lines.append(line)
        while text_width(word, height) > width and len(word) > 1:
            count = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or text_width(word[:n], height) <= width)
            lines.append(word[:count])
            word = word[count:]
        line, reach = word, text_width(word, height)
    return [*lines, line]


class Lettering:
    """Texts encoded for one document, whose own subset of the font grows with what is written."""

    def __init__(self, canvas: "Canvas") -> None:
        self._document = canvas._doc  # type: ignore[attr-defined]  # the font keeps a subset for each document
        self._font = font()
        self._encoded: dict[str, list[tuple[str, str, float]]] = {}
        ((subset, _),) = self._font.splitString("A", self._document)
        self._ascii_name = self._font.getSubsetInternalName(subset, self._document)
        """The font resource in which every ASCII letter has its own code, see `asciiReadable`."""

    def encoded(self, text: str) -> list[tuple[str, str, float]]:
        """Return `text` as runs (font resource, hexadecimal string, width for capitals 1 high)."""
        runs = self._encoded.get(text)
        if runs is None and text.isascii():
            runs = [(self._ascii_name, text.encode().hex(), _width_per_capital(text))]
            self._encoded[text] = runs
        elif runs is None:
            composed = unicodedata.normalize("NFC", text)
            runs, start = [], 0
            for subset, codes in self._font.splitString(composed, self._document):
                name = self._font.getSubsetInternalName(subset, self._document)
                part = composed[start : start + len(codes)]
                runs.append((name, codes.hex(), _width_per_capital(part)))
                start += len(codes)
            self._encoded[text] = runs
        return runs
