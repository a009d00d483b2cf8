"""What was measured of one strake on a boat that has no drawing, mm and radians. Nothing left out is supplied."""

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from templates_gen.about import EndName, Hand
from templates_gen.hull.measured.spiling import AllArcs, EdgeName, Points
from templates_gen.hull.model import Array
from templates_gen.hull.text import SourceFile
from templates_gen.notation import DepthName, Notation, notation_of
from templates_gen.units import UnitName

LiesOn = Literal["stem", "transom", "scarf", "butt"]
LandSide = Literal["above", "below"]

READ_TO = np.radians(0.4)
"""Standard deviation of a sliding bevel carried from an old boat to a protractor, radians (common practice)."""

GAP_READ_TO = 0.3
"""Standard deviation of a gap measured with a rule, mm (common practice)."""


@dataclass(frozen=True)
class ReadBevel:
    """A bevel as it was found at the boat.

    Attributes
    ----------
    angle : float
        Radians, negative in a hollow.
    spread : float
        Standard deviation of an honest reading, radians.
    gap, width : float or None
        The gap under a straight scrap and how far from the touching point it was measured, mm; None where the angle
        was read with a sliding bevel.
    """

    angle: float
    spread: float
    gap: float | None = None
    width: float | None = None


@dataclass(frozen=True)
class PlankEnd:
    """What an end of the plank lies on; lengths in mm, None where they were not measured.

    Attributes
    ----------
    on : "stem", "transom", "scarf" or "butt"
    gerald : float or None
        Length of the gerald.
    scarf : float or None
        Length of the scarf to the old plank.
    allowance : float or None
        Wood to leave past the net end.
    width_above : float or None
        From this plank's upper edge to that of the strake above, on the inside.
    points : Array, shape (k, 2)
        Points of a curved end between its two corners, from the lower one up; k may be 0.
    """

    on: LiesOn
    gerald: float | None
    scarf: float | None
    allowance: float | None
    width_above: float | None
    points: Array

    @property
    def lacks_gerald(self) -> bool:
        """Whether it is an end that has a gerald, and none was measured."""
        return self.on in ("stem", "transom") and self.gerald is None


@dataclass(frozen=True)
class Fastened:
    """How the land below is fastened, mm.

    Attributes
    ----------
    hole : float
        Diameter.
    first : float or None
        Distance of the first and the last from the plank's ends.
    between : int or None
        How many stand between two measured places, each of which has one; or `spacing` is given.
    spacing : float or None
        The greatest distance from one to the next.
    old_holes : tuple of float
        Distances along the batten of the old holes in the strake below, fore to aft, through which the plank is
        fastened again. With them `first`, `between` and `spacing` are None.
    """

    hole: float
    first: float | None
    between: int | None
    spacing: float | None
    old_holes: tuple[float, ...]


@dataclass(frozen=True)
class MeasuredPlank:
    """One strake as it was measured on the boat, mm and radians.

    Attributes
    ----------
    name, units, depths, edition, fingerprint
        What stands on every sheet.
    strake : int
        Counted from the garboard, 1.
    side : Hand
    is_sheer : bool
        Whether no strake laps over it.
    thickness : float
    thickness_below : float or None
        Of the strake below.
    lap, lap_below : float
        Of the land above and of that below.
    turn : float or None
        How far the batten turned from end to end, radians.
    batten : float
        Its thickness; 0 where it is too thin to matter.
    places : tuple of str
        Fore to aft, "fore" and "aft" among them.
    points, arcs
        As in a spiling file.
    bevels : dict of LandSide to dict of place to ReadBevel
    ends : dict of EndName to PlankEnd
    fastened : Fastened or None
    step : float
        What figures are rounded to.
    by_widths : tuple of str
        Places that were measured as widths.
    source : SourceFile
    """

    name: str
    units: UnitName
    depths: DepthName | None
    fingerprint: str
    strake: int
    side: Hand
    is_sheer: bool
    thickness: float
    thickness_below: float | None
    lap: float
    lap_below: float
    turn: float | None
    batten: float
    places: tuple[str, ...]
    points: Points
    arcs: AllArcs
    bevels: dict[LandSide, dict[str, ReadBevel]]
    ends: dict[EndName, PlankEnd]
    fastened: Fastened | None
    step: float
    by_widths: tuple[str, ...]
    source: SourceFile = field(compare=False, repr=False)
    edition: str | None = None

    @property
    def notation(self) -> Notation:
        """Return how figures about this plank are written."""
        return notation_of(self.units, self.depths)

    def of_side(self, text: str) -> str:
        """Return a heading with the plank's side after it."""
        return f"{text} {self.side.upper()}"

    @property
    def has_own_lap_below(self) -> bool:
        """Whether the lap of the land below was measured by itself."""
        return ("lap_below",) in self.source.places

    @property
    def reuses_holes(self) -> bool:
        """Whether the old holes of the strake below were measured, through which the plank is fastened again."""
        return self.fastened is not None and bool(self.fastened.old_holes)

    def table_of(self, place: str, edge: EdgeName = "lower") -> str:
        """Return the table of the file that holds a place's point of an edge."""
        if place in self.by_widths:
            return "widths"
        return edge if place in self.points[edge] or place in self.arcs[edge] else "upper"

    def lap_on(self, land: int) -> float:
        """Return the lap of the land above, numbered as the strake, or of that below, mm."""
        return self.lap if land == self.strake else self.lap_below
