"""Sheets of paper: their sizes, and the parts of them that may be drawn on.

Affine maps of the plane, as PDF and tiles.json write them: x' = a·x + c·y + e, y' = b·x + d·y + f.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from templates_gen.errors import DrawingError
from templates_gen.units import MM_PER_INCH

SIZES: dict[str, tuple[float, float]] = {
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
    "a2": (420.0, 594.0),
    "a1": (594.0, 841.0),
    "a0": (841.0, 1189.0),
    "letter": (8.5 * MM_PER_INCH, 11 * MM_PER_INCH),
    "tabloid": (11 * MM_PER_INCH, 17 * MM_PER_INCH),
}
"""Width and height upright, mm. Source: ISO 216 for a0 to a4; ASME Y14.1 sizes A and B for letter and tabloid."""

DEFAULT_MARGIN = 10.0
"""mm. Printers leave 4 to 7 mm unprinted along the edges (common practice)."""

TITLE_HEIGHT = 9.0
"""mm kept for the title strip along the lower edge of every page, inside the margin."""

_OVER_TITLE = 3.0
"""mm kept between that strip and the last line of what is read."""

LEAST_DRAWING = 140.0
"""mm: a sheet that leaves less than this to draw on is refused."""

LONGEST_PAGE = 5000.0
"""mm cut from a roll at most. A PDF page may be 14 400 units, 5080 mm, long (ISO 32000-1, annex C)."""

NARROWEST_ROLL = 200.0
"""mm: a page to read needs as much."""

WIDEST_ROLL = 2000.0
"""mm: a wider roll is taken for a mistake; the widest plotters take 1626 mm, 64 in (from memory)."""


@dataclass(frozen=True)
class Rectangle:
    """An upright rectangle, mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Return the width, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Return the height, mm."""
        return self.top - self.bottom

    def holds(self, points: "Array") -> NDArray[np.bool_]:
        """Return which of `points`, shape (…, 2), lie in it or on its edges, shape (…)."""
        x, y = points[..., 0], points[..., 1]
        held: NDArray[np.bool_] = (x >= self.left) & (x <= self.right) & (y >= self.bottom) & (y <= self.top)
        return held

    def inset(self, distance: float) -> "Rectangle":
        """Return the rectangle `distance` mm inside this one."""
        return Rectangle(self.left + distance, self.bottom + distance, self.right - distance, self.top - distance)

    def stretched(self, across: float, up: float) -> "Rectangle":
        """Return the rectangle stretched about the origin, by a factor across and one up."""
        return Rectangle(across * self.left, up * self.bottom, across * self.right, up * self.top)


@dataclass(frozen=True)
class Sheet:
    """A sheet of paper as it lies in front of the reader.

    Attributes
    ----------
    name : str
        As in `SIZES`, or "roll 610".
    width, height : float
        Of the paper, mm.
    margin : float
        Left white on all four sides, mm.
    roll : float
        Width of the roll that it is cut from, mm; 0 for a sheet of a fixed size.
    """

    name: str
    width: float
    height: float
    margin: float = DEFAULT_MARGIN
    roll: float = 0.0

    @cached_property
    def usable(self) -> Rectangle:
        """Return what lies inside the margins."""
        return Rectangle(self.margin, self.margin, self.width - self.margin, self.height - self.margin)

    @cached_property
    def title(self) -> Rectangle:
        """Return the title strip, along the lower edge."""
        return replace(self.usable, top=self.usable.bottom + TITLE_HEIGHT)

    @cached_property
    def drawing(self) -> Rectangle:
        """Return what templates may be drawn on: all inside the margins but the title strip."""
        return replace(self.usable, bottom=self.usable.bottom + TITLE_HEIGHT)

    @cached_property
    def text(self) -> Rectangle:
        """Return what text and tables may stand on: the same, a little above the title strip."""
        return replace(self.drawing, bottom=self.drawing.bottom + _OVER_TITLE)

    @cached_property
    def is_turned(self) -> bool:
        """Return whether it lies turned by a quarter: its long side, or the roll's width, is not where it was."""
        if self.roll:
            return self.height == self.roll and self.width != self.roll
        return self.width > self.height

    @cached_property
    def upright(self) -> "Sheet":
        """Return the sheet with its short side below, or with the width of its roll below."""
        return self.turned if self.is_turned else self

    @cached_property
    def turned(self) -> "Sheet":
        """Return the same sheet turned by a quarter, with the title strip below again."""
        return replace(self, width=self.height, height=self.width)

    def cut_to(self, length: float) -> "Sheet":
        """Return the sheet no longer than `length` mm along its roll; a sheet of a fixed size stays as it is."""
        if not self.roll:
            return self
        if self.is_turned:
            return replace(self, width=min(self.width, length))
        return replace(self, height=min(self.height, length))

    @cached_property
    def page(self) -> "Sheet":
        """Return the sheet for a page to read, upright: from a roll only as much as such a page wants."""
        return self.upright.cut_to(_PAGE_LENGTH if self.roll >= _WIDE_ROLL else _LONG_PAGE_LENGTH)


_PAGE_LENGTH, _LONG_PAGE_LENGTH, _WIDE_ROLL = 300.0, 440.0, 400.0
"""mm of a roll for a page to read: on a wide roll, on a narrow one, and where wide begins."""


def sheet(name: str, margin: float = DEFAULT_MARGIN) -> Sheet:
    """Return an upright sheet of a size in `SIZES`, or of a roll of any width in mm, such as "roll 610".

    A sheet of a roll is as long as a page may be; each page is cut to the length that it needs.

    Raises
    ------
    DrawingError
        If there is no such size, or the margin leaves too little to draw on.
    """
    word, _, figure = name.partition(" ")
    roll = _roll_width(figure) if word == "roll" else 0.0
    name = f"roll {roll:g}" if roll else name
    if not roll and name not in SIZES:
        raise DrawingError(
            f'there is no paper called "{name}": choose one of {", ".join(SIZES)}, or a roll by its width in mm, '
            'such as "roll 610"'
        )
    width, height = (roll, LONGEST_PAGE) if roll else SIZES[name]
    most = (min(width, height) - TITLE_HEIGHT - LEAST_DRAWING) / 2
    if not math.isfinite(margin) or not 0 <= margin <= most:
        raise DrawingError(
            f"a margin of {margin:g} mm leaves too little of {name} to draw on: give 0 to {most:.0f} mm"
        )
    return Sheet(name, width, height, margin, roll)


def _roll_width(figure: str) -> float:
    """Return the width of a roll, mm, from its text in plain digits."""
    if not figure:
        raise DrawingError('a roll needs its width: give it in mm, such as "roll 610"')
    is_plain = figure.isascii() and figure.replace(".", "", 1).isdigit()
    width = float(figure) if is_plain else math.nan
    if not NARROWEST_ROLL <= width <= WIDEST_ROLL:
        raise DrawingError(
            f'"{figure}" is not the width of a roll: give it in mm, from {NARROWEST_ROLL:g} to {WIDEST_ROLL:g}, such '
            'as "roll 610"'
        )
    return width


TOUCH = 1e-9
"""mm: sizes that differ by no more are alike, because sums of figures end in stray last digits."""


def fits(size: float, room: float) -> bool:
    """Return whether something `size` mm wide or high has `room`; it may fill it exactly."""
    return size <= room + TOUCH


Array = NDArray[np.float64]


class Affine(NamedTuple):
    """The six numbers of an affine map, in the order of PDF (ISO 32000-1, 8.3.3)."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    def apply(self, points: Array) -> Array:
        """Return the images of `points`, shape (n, 2)."""
        x, y = points.T  # not a matrix product: the libraries behind it share such small work out over all processors
        images = np.empty((len(points), 2))
        images[:, 0] = self.a * x + self.c * y + self.e
        images[:, 1] = self.b * x + self.d * y + self.f
        return images

    def undo(self, points: Array) -> Array:
        """Return the points whose images are `points`, shape (n, 2)."""
        x, y = points[:, 0] - self.e, points[:, 1] - self.f
        area = self.a * self.d - self.b * self.c
        return np.stack([(self.d * x - self.c * y) / area, (self.a * y - self.b * x) / area], axis=1)

    def scaled(self, factor: float) -> "Affine":
        """Return this map followed by a change of unit: every number times `factor`."""
        return Affine(*(factor * number for number in self))

    def stretched(self, across: float, up: float) -> "Affine":
        """Return this map followed by a stretch about the origin, by a factor for x' and one for y'."""
        return Affine(across * self.a, up * self.b, across * self.c, up * self.d, across * self.e, up * self.f)


def turn(angle: float) -> Affine:
    """Return the rotation about the origin by `angle` radians, anticlockwise; quarter turns are exact."""
    cosine, sine = math.cos(angle), math.sin(angle)
    quarter = round(angle / (math.pi / 2))
    if abs(angle - quarter * math.pi / 2) < 1e-12:
        cosine, sine = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[quarter % 4]
    return Affine(cosine, sine, -sine, cosine, 0.0, 0.0)


def turn_and_shift(angle: float, shift: tuple[float, float]) -> Affine:
    """Return the rotation by `angle` radians followed by a move of `shift` mm."""
    return Affine(*turn(angle)[:4], *shift)
