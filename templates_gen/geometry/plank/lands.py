"""The lands of a measured plank: bevels made fair, what they take off, geralds, lap lines and fastenings.

What was not measured is not drawn: no bevel past the first and the last reading, no gerald without its length, none
whose depths depend on a strake that was not measured.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName
from templates_gen.geometry.flat_strakes import EdgeName
from templates_gen.geometry.plank.outline import FlatPlank
from templates_gen.geometry.plank.runs import Run, fair_run
from templates_gen.geometry.shell import Lapping, Losses, gerald_share, land_losses, lapped
from templates_gen.hull.measured.plank import LandSide, ReadBevel
from templates_gen.numerics.chains import running

Array = NDArray[np.float64]

LEAST_SLIP = float(np.radians(3.0))
"""A bevel that is nearer than this to the run of its land is never left out."""

LEAST_ODD = 2.0 * LEAST_SLIP
"""A bevel that is nearer than this to the line between its neighbours is not odd: no honest reading of the four
demonstration boats is farther off at places 350 mm apart, outside the geralds."""

QUARTERS = (0.0, 0.25, 0.5, 0.75, 1.0)
EDGE_OF: dict[LandSide, EdgeName] = {"above": "upper", "below": "lower"}


@dataclass(frozen=True)
class PlankGerald:
    """A gerald on one edge of the plank.

    Attributes
    ----------
    end : EndName
    length : float
        mm.
    missing : tuple of str
        What was not measured, so that it is not drawn; empty where it is.
    at_edge, at_inner_line : Array, shape (5,)
        What comes off the plank at its edge and one lap in, from the gerald's start to the plank's end; empty where
        it is not drawn, mm.
    lapping : Lapping or None
        How the upper strake lies over the lower one at the same places; None where it is not drawn.
    """

    end: EndName
    length: float
    missing: tuple[str, ...]
    at_edge: Array
    at_inner_line: Array
    lapping: Lapping | None = None


@dataclass(frozen=True)
class PlankLand:
    """One land of a measured plank.

    Attributes
    ----------
    plank : FlatPlank
    side : "above" or "below"
        The strake above laps over it, or it laps over the strake below.
    land : int
        Its number: land k lies between strakes k and k + 1.
    lap : float
        mm.
    places : tuple of str
        Where bevels were read, fore to aft.
    read : tuple of ReadBevel
    run : Run or None
        Their fair run by the distance along the batten; None where no bevel was read.
    """

    plank: FlatPlank
    side: LandSide
    land: int
    lap: float
    places: tuple[str, ...]
    read: tuple[ReadBevel, ...]
    run: Run | None

    @property
    def which(self) -> EdgeName:
        """The edge of the plank that it is on."""
        return EDGE_OF[self.side]

    def bevels(self, along: Array) -> Array:
        """Return the fair bevels at distances along the batten, radians, shape (m,); nan outside the readings."""
        if self.run is None:
            return np.full(np.shape(along), np.nan)
        first, last = self.run.reach
        inside = (along >= first - 1e-6) & (along <= last + 1e-6)
        return np.where(inside, self.run.at(np.clip(along, first, last)), np.nan)

    @cached_property
    def geralds(self) -> tuple[PlankGerald, ...]:
        """The geralds whose length was measured, fore before aft."""
        return tuple(_gerald(self, end) for end in ENDS if self.plank.measured.ends[end].gerald is not None)

    def along_at(self, end: EndName, lengths: Array) -> Array:
        """Return the distances along the batten that lie at lengths of the edge from an end, shape (m,)."""
        line = self.plank.edge(self.which)
        run = running(line)
        fair = self.plank.edges[self.which]
        along = np.linspace(fair.along("fore"), fair.along("aft"), len(line))
        return np.asarray(np.interp(lengths if end == "fore" else run[-1] - lengths, run, along))

    def gerald_at(self, along: float) -> tuple[EndName, float] | None:
        """Return the end whose gerald a distance along the batten lies in, and how deep it is there: 0 to 1."""
        for end in ENDS:
            length = self.plank.measured.ends[end].gerald
            if length is None:
                continue
            start = float(self.along_at(end, np.array([length]))[0])
            if (along < start - 1e-6) if end == "fore" else (along > start + 1e-6):
                last = float(self.along_at(end, np.array([0.0]))[0])
                share = float(np.clip((along - last) / (start - last), 0.0, 1.0))
                return end, float(gerald_share(np.array(share * length), length))
        return None

    def is_in_gerald(self, along: float) -> bool:
        """Return whether a distance along the batten lies nearer an end than that end's gerald starts."""
        return self.gerald_at(along) is not None

    def upper_width(self, end: EndName, along: Array) -> Array | None:
        """Return the width of the land's upper strake past the lap near an end, (m,), mm; None where unmeasured."""
        if self.side == "above":
            width = self.plank.measured.ends[end].width_above
            return None if width is None else np.full(len(along), width)
        edges = self.plank.edges
        return np.maximum(edges["upper"].run.at(along) - edges["lower"].run.at(along) - self.lap, self.lap / 2)


def lands_of(plank: FlatPlank) -> tuple[PlankLand, ...]:
    """Return the lands that the plank has: that below it, then that above it."""
    measured = plank.measured
    sides: list[LandSide] = []
    sides += ["below"] if measured.strake > 1 else []
    sides += [] if measured.is_sheer else ["above"]
    return tuple(_land(plank, side) for side in sides)


def _land(plank: FlatPlank, side: LandSide) -> PlankLand:
    """A land with the fair run of its bevels."""
    measured = plank.measured
    number = measured.strake - (side == "below")
    bare = PlankLand(plank, side, number, measured.lap_on(number), (), (), None)
    edge = plank.edges[EDGE_OF[side]]
    other = plank.edges["upper" if side == "below" else "lower"]
    found = []
    for name in (one for one in measured.places if one in measured.bevels[side]):
        along = edge.along(name) if name in edge.places else other.along(name)
        angle = _clear_bevel(bare, along, measured.bevels[side][name].angle)
        if angle is not None:
            found.append((name, along, angle, measured.bevels[side][name]))
    if not found:
        return bare
    names, places, angles, read = zip(*found, strict=True)
    spreads = np.array([one.spread for one in read])
    run = fair_run(np.array(places), np.array(angles), spreads, LEAST_SLIP)
    return PlankLand(plank, side, number, bare.lap, names, read, run)


def lower_thickness(land: PlankLand) -> float | None:
    """Return the thickness of the land's lower strake, mm; None where it was not measured."""
    measured = land.plank.measured
    return measured.thickness if land.side == "above" else measured.thickness_below


def planed_thickness(land: PlankLand, is_hollow: bool) -> float | None:
    """Return the thickness of the strake that a land's bevel is planed on, mm; None where it was not measured.

    That is the lower strake, and the upper one where the land is hollow; the strake above is never measured.
    """
    if not is_hollow:
        return lower_thickness(land)
    return land.plank.measured.thickness if land.side == "below" else None


@dataclass(frozen=True)
class EdgeLeft:
    """What planing leaves of an edge at a place: the fair bevel (radians), what is left and the whole, mm."""

    place: str
    bevel: float
    left: float
    thickness: float


def edges_left(land: PlankLand) -> tuple[EdgeLeft, ...]:
    """Return what a land's bevel leaves at each place of its edge outside the geralds, fore to aft."""
    edge, found = land.plank.edges[land.which], []
    for place in edge.places:
        along = edge.along(place)
        bevel = float(land.bevels(np.array([along]))[0])
        thickness = planed_thickness(land, bevel < 0.0)
        if np.isfinite(bevel) and thickness is not None and not land.is_in_gerald(along):
            off = float(take_off(np.array(bevel), land.lap))
            found.append(EdgeLeft(place, bevel, thickness - off, thickness))
    return tuple(found)


def _clear_bevel(land: PlankLand, along: float, angle: float) -> float | None:
    """The bevel that a land would have without its gerald, radians; None where that is not known.

    Source: `shell.lapped` solved for its slope. In a gerald of share g the upper strake lies lower over the lap by g
    of the lower one's thickness t, so that with a width y past the lap its slope is (T (y + g lap) - g t) / y where
    the land is convex, and T - g t / y where it is hollow; T is the slope without the gerald.
    """
    inside, thickness = land.gerald_at(along), lower_thickness(land)
    if inside is None:
        return angle
    end, share = inside
    width = land.upper_width(end, np.array([along]))
    if width is None or thickness is None:
        return None
    y, slope = float(width[0]), float(np.tan(angle))
    level = slope * y + share * thickness
    return float(np.arctan2(level, y + (share * land.lap if level >= 0.0 else 0.0)))


def _gerald(land: PlankLand, end: EndName) -> PlankGerald:
    """A gerald by its quarters; past the readings the bevel is held.

    How the upper strake leans in a gerald depends on its width: without it the depths one lap in are not known.
    """
    length = land.plank.measured.ends[end].gerald
    assert length is not None
    missing = _missing(land, end)
    if missing or land.run is None:
        return PlankGerald(end, length, missing, np.empty(0), np.empty(0))
    lapping = lapping_near(land, end, length * (1.0 - np.array(QUARTERS)))
    return PlankGerald(end, length, (), *own_losses(land, lapping), lapping)


def _missing(land: PlankLand, end: EndName) -> tuple[str, ...]:
    """What a gerald cannot be drawn without and was not measured."""
    table = "bevel" if land.side == "above" else "bevel_below"
    found = [f"[{table}]"] if land.run is None else []
    if lower_thickness(land) is None:
        found.append("thickness_below")
    if land.side == "above" and land.plank.measured.ends[end].width_above is None:
        found.append(f"width_above of [{end}]")
    return tuple(found)


def lapping_near(land: PlankLand, end: EndName, lengths: Array) -> Lapping:
    """Return how a land's upper strake lies over the lower one at lengths of its edge from an end, shape (m,), mm.

    The end has a gerald that is drawn; past the readings the bevel is held. Source: `shell.lapped`, with the upper
    corner of the upper strake where the bevel brings it.
    """
    length, along = land.plank.measured.ends[end].gerald, land.along_at(end, lengths)
    thickness, y = lower_thickness(land), land.upper_width(end, along)
    assert land.run is not None
    assert length is not None
    assert thickness is not None
    assert y is not None
    bevels = land.run.at(np.clip(along, *land.run.reach))
    z = thickness - np.tan(bevels) * (y + np.where(bevels >= 0.0, land.lap, 0.0))
    return lapped(y, z, gerald_share(lengths, length), thickness, land.lap)


def own_losses(land: PlankLand, lapping: Lapping) -> tuple[Array, Array]:
    """Return what comes off the plank at its edge and one lap in, each shape (m,), mm."""
    off = losses_of(land, lapping)
    if land.side == "above":
        return off.lower_at_edge, off.lower_at_lap_line
    return off.upper_at_lap_line, off.upper_at_edge


def losses_of(land: PlankLand, lapping: Lapping) -> Losses:
    """Return what comes off both strakes of a land, mm."""
    thickness = lower_thickness(land)
    assert thickness is not None
    return land_losses(lapping, thickness, land.lap)


def take_off(bevels: Array, lap: float) -> Array:
    """Return what comes off an edge at bevels, square to the face, mm. Source: plane trigonometry, lap times tan."""
    return np.asarray(lap * np.tan(np.abs(bevels)))
