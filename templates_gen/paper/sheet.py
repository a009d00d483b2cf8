"""Sheets of paper: their sizes, and the parts of them that may be drawn on."""

import math
from dataclasses import dataclass, replace

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

TITLE_HEIGHT = 22.0
"""mm kept for the title block along the lower edge of every page, inside the margin."""

GUTTER = 5.0
"""mm kept on the other three sides for the names of neighbours and the scale bars."""

LEAST_DRAWING = 140.0
"""mm: a sheet that leaves less than this to draw on is refused."""


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

    def inset(self, distance: float) -> "Rectangle":
        """Return the rectangle `distance` mm inside this one."""
        return Rectangle(self.left + distance, self.bottom + distance, self.right - distance, self.top - distance)


@dataclass(frozen=True)
class Sheet:
    """A sheet of paper as it lies in front of the reader.

    Attributes
    ----------
    name : str
        As in `SIZES`.
    width, height : float
        Of the paper, mm.
    margin : float
        Left white on all four sides, mm.
    """

    name: str
    width: float
    height: float
    margin: float = DEFAULT_MARGIN

    @property
    def usable(self) -> Rectangle:
        """Return what lies inside the margins."""
        return Rectangle(self.margin, self.margin, self.width - self.margin, self.height - self.margin)

    @property
    def title(self) -> Rectangle:
        """Return the strip of the title block, along the lower edge."""
        usable = self.usable
        return Rectangle(usable.left, usable.bottom, usable.right, usable.bottom + TITLE_HEIGHT)

    @property
    def drawing(self) -> Rectangle:
        """Return what templates may be drawn on: clear of the title block and of the gutters."""
        usable = self.usable
        return Rectangle(
            usable.left + GUTTER, usable.bottom + TITLE_HEIGHT + GUTTER, usable.right - GUTTER, usable.top - GUTTER
        )

    @property
    def upright(self) -> "Sheet":
        """Return the sheet with its short side below."""
        return self if self.width <= self.height else self.turned

    @property
    def turned(self) -> "Sheet":
        """Return the same sheet turned by a quarter, with the title block below again."""
        return replace(self, width=self.height, height=self.width)


def sheet(name: str, margin: float = DEFAULT_MARGIN) -> Sheet:
    """Return an upright sheet of a size in `SIZES`.

    Raises
    ------
    DrawingError
        If there is no such size, or the margin leaves too little to draw on.
    """
    if name not in SIZES:
        raise DrawingError(f'there is no paper called "{name}": choose one of {", ".join(SIZES)}')
    width, height = SIZES[name]
    most = (min(width, height) - TITLE_HEIGHT - 2 * GUTTER - LEAST_DRAWING) / 2
    if not math.isfinite(margin) or not 0 <= margin <= most:
        raise DrawingError(f"a margin of {margin:g} mm cannot be used on {name}: give 0 to {most:.0f} mm")
    return Sheet(name, width, height, margin)
