"""What the builder may set for the list of timber, sheets and fastenings."""

from dataclasses import dataclass

from templates_gen.errors import StockError
from templates_gen.hull.model import Planking

SHEET = (2440.0, 1220.0)
"""Length and width of a sheet of marine plywood, mm (BS 1088)."""

BOARD = (4000.0, 300.0)
"""Length and width of the largest board that is easily had, mm (common practice, from memory)."""

GLUED_SCARF, SOLID_SCARF = 8.0, 6.0
"""Length of a plank's scarf in thicknesses: 8 to 1 glued plywood, 6 to 1 or more solid (common practice)."""

_LIMITS: dict[str, tuple[str, float, float, float]] = {
    "length": ("the length of a board or sheet, mm,", 1.0, 500.0, 20_000.0),
    "width": ("the width of a board or sheet, mm,", 1.0, 50.0, 5_000.0),
    "scarf": ("a scarf's length over the thickness", 1.0, 1.0, 50.0),
    "edge": ("the wood left on each long edge, mm,", 1.0, 0.0, 100.0),
    "spare": ("the share of spare fastenings, per cent,", 100.0, 0.0, 500.0),
    "waste": ("the share of waste, per cent,", 100.0, 0.0, 500.0),
    "timber_depth": ("the depth of the timbers, mm,", 1.0, 1.0, 200.0),
}
"""What each figure is called, its factor to what the builder sees, and between which values it makes a list."""


@dataclass(frozen=True)
class Buying:
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
        for name, (words, scale, least, most) in _LIMITS.items():
            value = getattr(self, name)
            if value is not None and not least <= value * scale <= most:
                raise StockError(f"{words} is {value * scale:g}; give {least:g} to {most:g}")


def usual_buying(planking: Planking) -> Buying:
    """Return what is usual for a boat's planking: sheets for glued plywood, boards for riveted planks."""
    if planking.method == "glued":
        return Buying(*SHEET, is_sheet=True, scarf=GLUED_SCARF, waste=0.10)
    return Buying(*BOARD, is_sheet=False, scarf=SOLID_SCARF)
