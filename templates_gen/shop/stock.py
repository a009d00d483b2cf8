"""What the builder may set for the list of timber, sheets and fastenings."""

from dataclasses import dataclass

from templates_gen.errors import TemplatesGenError
from templates_gen.hull.model import Planking

SHEET = (2440.0, 1220.0)
"""Length and width of a sheet of marine plywood, mm (BS 1088)."""

BOARD = (4000.0, 300.0)
"""Length and width of the largest board that is easily had, mm (common practice, from memory)."""

GLUED_SCARF, SOLID_SCARF = 8.0, 6.0
"""Length of a plank's scarf in thicknesses: 8 to 1 glued plywood, 6 to 1 or more solid (common practice)."""


class StockError(TemplatesGenError, ValueError):
    """A figure of the stock or an allowance that cannot be worked with."""


@dataclass(frozen=True)
class Stock:
    """The wood to be bought and what is allowed for, mm.

    Attributes
    ----------
    length, width : float
        Of the sheets or of the largest boards.
    is_sheet : bool
        Whether it comes as sheets; else as boards.
    scarf : float
        Length of a scarf in thicknesses.
    edge : float
        Wood left on each long edge of a blank.
    spare : float
        Share of fastenings bought above those counted.
    waste : float
        Share of wood bought above that of the blanks, for knots, splits and a plank spoilt.
    timber_depth : float or None
        Moulded depth of the steamed timbers that lands are riveted through; None: as deep as the plank is thick.
    """

    length: float
    width: float
    is_sheet: bool
    scarf: float
    edge: float = 5.0
    spare: float = 0.10
    waste: float = 0.25
    timber_depth: float | None = None

    def __post_init__(self) -> None:
        """Refuse figures that make no list."""
        for name, least in (("length", 500.0), ("width", 50.0), ("scarf", 1.0)):
            if not getattr(self, name) >= least:
                raise StockError(f"stock: {name} is {getattr(self, name):g}; give {least:g} or more")
        for name, most in (("edge", 100.0), ("spare", 5.0), ("waste", 5.0)):
            if not 0.0 <= getattr(self, name) <= most:
                raise StockError(f"stock: {name} is {getattr(self, name):g}; give 0 to {most:g}")
        if self.timber_depth is not None and not 0.0 < self.timber_depth <= 200.0:
            raise StockError(f"stock: timber_depth is {self.timber_depth:g}; give more than 0, up to 200")


def usual_stock(planking: Planking) -> Stock:
    """Return what is usual for a boat's planking: sheets for glued plywood, boards for riveted planks."""
    if planking.method == "glued":
        return Stock(*SHEET, is_sheet=True, scarf=GLUED_SCARF, waste=0.10)
    return Stock(*BOARD, is_sheet=False, scarf=SOLID_SCARF)
