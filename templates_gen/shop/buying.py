"""What to buy: the wood and fastenings that the builder may set, and the planking that it comes to."""

from collections.abc import Sequence
from dataclasses import dataclass

from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Planking
from templates_gen.stock.blanks import Blank
from templates_gen.stock.plan import EDGE, PlankingPlan, planking_plan
from templates_gen.stock.scarfs import usual_slope
from templates_gen.stock.sizes import Size, Stock, usual_size

_LIMITS: dict[str, tuple[str, float, float, float]] = {
    "length": ("the length of a board or sheet, mm,", 1.0, 500.0, 20_000.0),
    "width": ("the width of a board or sheet, mm,", 1.0, 50.0, 5_000.0),
    "scarf": ("a scarf's length over the thickness", 1.0, 4.0, 30.0),
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
    edge: float = EDGE
    spare: float = 0.10
    waste: float = 0.25
    timber_depth: float | None = None

    def __post_init__(self) -> None:
        """Refuse figures that make no list."""
        for name, (words, scale, least, most) in _LIMITS.items():
            value = getattr(self, name)
            if value is not None and not least <= value * scale <= most:
                raise StockError(f"{words} is {value * scale:g}; give {least:g} to {most:g}")

    def planned(self, boat: Boat) -> PlankingPlan:
        """Return where the strakes of a boat are scarfed in this wood."""
        return planking_plan(boat, Stock((Size(self.length, self.width),)), self.scarf, self.edge)


def usual_buying(planking: Planking) -> Buying:
    """Return what is usual for a boat's planking: sheets for glued plywood, boards for riveted planks."""
    size, slope, is_sheet = usual_size(planking), usual_slope(planking), planking.method == "glued"
    return Buying(size.length, size.width, is_sheet, slope, waste=0.10 if is_sheet else 0.25)


@dataclass(frozen=True)
class Purchase:
    """What to buy of one thickness, both sides of the boat.

    Attributes
    ----------
    thickness : float
    pieces : int
        Blanks.
    net, gross : float
        Area of the strakes, and of the blanks with the builder's waste, m2.
    sheets : int
        Sheets that hold all blanks laid next to each other; 0 for boards.
    """

    thickness: float
    pieces: int
    net: float
    gross: float
    sheets: int


def purchases(cut: Sequence[Blank], buying: Buying) -> tuple[Purchase, ...]:
    """Return what to buy, thickness by thickness; two of every blank, port and starboard."""
    bought = []
    for thickness in sorted({blank.thickness for blank in cut}):
        some = [blank for blank in cut if blank.thickness == thickness]
        sizes = [size for blank in some for size in zip(blank.lengths, blank.widths, strict=True) for _ in (1, 2)]
        gross = sum(length * width for length, width in sizes) * (1.0 + buying.waste) / 1e6
        net = 2.0 * sum(blank.area for blank in some) / 1e6
        sheets = sheets_for(sizes, buying) if buying.is_sheet else 0
        bought.append(Purchase(thickness, len(sizes), net, gross, sheets))
    return tuple(bought)


def sheets_for(sizes: Sequence[tuple[float, float]], buying: Buying) -> int:
    """Return how many sheets hold straight-sided blanks laid lengthwise, the widest first, each in the first row or
    sheet that has room."""
    rows: list[list[float]] = []  # length left and width of each row
    for length, width in sorted(sizes, key=lambda size: (-size[1], -size[0])):
        row = next((row for row in rows if row[0] >= length and row[1] >= width), None)
        if row is None:
            row = [buying.length, width]
            rows.append(row)
        row[0] -= length
    sheets: list[float] = []  # width left of each
    for _, width in sorted(rows, key=lambda row: -row[1]):
        place = next((i for i, left in enumerate(sheets) if left >= width), None)
        if place is None:
            sheets.append(buying.width)
            place = len(sheets) - 1
        sheets[place] -= width
    return len(sheets)
