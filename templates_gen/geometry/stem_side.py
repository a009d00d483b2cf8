"""A stem or sternpost in side view: rabbet, bearding and apex lines faired through the lands, edges of the wood."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from templates_gen.about import EndName
from templates_gen.geometry.land_marks import StemEnd
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebate_places import stem_of
from templates_gen.geometry.rebates import Rebate
from templates_gen.hull.model import Stem
from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]

UNKNOWN_WOOD = 25.0
"""Wood drawn inside the deepest bearding line where the hull file does not say how much there is, mm."""

MOST_WOOD = 4.0
"""Where the hull file does not say how much wood there is, lines are drawn no more sidings than this inside the
rabbet line (our own judgement): planking nearly flat on the timber's side would have it a metre away."""

_STEP = 4.0
_TOO_NEAR = 20.0
_FACE_POINTS = 241


@dataclass(frozen=True)
class StemSide:
    """A stem in side view, (x, height): what lies square to the rabbet line is given by its distance from the foot.

    Attributes
    ----------
    stem : Stem
    rabbet : StemEnd
    lands : Array, shape (N + 1,)
        Distances along the rabbet line from the foot to the garboard's lower point and to every land's mark, mm.
    along : Array, shape (p,)
        Distances from the foot to the head, at which `bearding` and `apex` stand, mm.
    bearding, apex : Array, shape (p,)
        Faired distances of bearding line and apex inside the rabbet line, along the side, mm. On a bevelled stem the
        bearding line is where the bevel ends on the side, and the apex is 0.
    wood : float
        How far inside the rabbet line the inner edge is drawn, mm.
    """

    stem: Stem
    rabbet: StemEnd
    lands: Array
    along: Array
    bearding: Array
    apex: Array
    wood: float

    def side(self, distance: Array) -> tuple[Array, Array, Array]:
        """Return points, unit directions toward the head and unit directions into the wood, each (..., 2)."""
        stem = self.rabbet.rabbet
        t = stem.at_distance(np.asarray(distance, dtype=np.float64))
        point, slope = stem.batten.point(t)[..., [0, 2]], stem.batten.slope(t)[..., [0, 2]]
        aft = slope / np.linalg.norm(slope, axis=-1, keepdims=True)
        return point, stem.toward_head * aft, np.stack([-aft[..., 1], aft[..., 0]], axis=-1)

    def inside(self, distance: Array, inside: Array | float) -> Array:
        """Return the points (..., 2) that lie `inside` mm inside the rabbet line at distances from the foot."""
        point, _, inward = self.side(distance)
        return np.asarray(point + np.asarray(inside)[..., None] * inward)

    def bearding_at(self, distance: float) -> float:
        """Return how far inside the rabbet line the bearding line stands at a distance from the foot, mm."""
        return float(np.interp(distance, self.along, self.bearding))


def stem_side(shell: PlankedShell, end: EndName, found: tuple[Rebate, ...]) -> StemSide:
    """Return the side view of the stem at one end.

    Parameters
    ----------
    found : tuple of Rebate
        The boat's rebates.

    Notes
    -----
    Computed strake by strake, bearding and apex jump at each land; the lines are a batten through the mean of both
    strakes at each land, the outermost strakes' own figures at the ends, and the figures round a rounded forefoot.
    """
    stem, rabbet = stem_of(shell, end), shell.hung.stems[end]
    lands = rabbet.rabbet.distance_from_foot(rabbet.parameters)
    here = [r for r in found if r.on == end]
    knots = [(float(r.place), r.bearding, r.apex) for r in here if not isinstance(r.place, str)]
    knots = [knot for knot in knots if knot[0] < lands[0] - _TOO_NEAR]
    ends = np.array([[r.bearding, r.apex] for r in here if r.place == "lower"])
    at_lands = np.concatenate([ends[:1], (ends[:-1] + ends[1:]) / 2, ends[-1:]])
    marks = np.array([*knots, *np.column_stack([lands, at_lands])])
    most = MOST_WOOD * stem.siding if stem.wood_inside is None else stem.wood_inside
    marks[:, 1:] = np.minimum(marks[:, 1:], most)
    along = np.union1d(np.linspace(marks[0, 0], lands[-1], int(np.ceil(lands[-1] / _STEP - 1e-6)) + 1), lands)
    fair = np.clip(CubicSpline(marks[:, 0], marks[:, 1:])(along), 0.0, most)
    wood = stem.wood_inside if stem.wood_inside is not None else float(fair[:, 0].max()) + UNKNOWN_WOOD
    return StemSide(stem, rabbet, lands, along, fair[:, 0], fair[:, 1], wood)


def inner_edge(side: StemSide) -> Array:
    """Return the wood's inner edge, shape (p, 2), from the foot to the head, without the loops of a tight bend."""
    rabbet, _, inward = side.side(side.along)
    edge = rabbet + side.wood * inward
    away = np.linalg.norm(edge[:, None] - rabbet[None], axis=-1).min(axis=1)
    return np.asarray(edge[away > side.wood - 1e-6])


def outer_edge(side: StemSide) -> Array | None:
    """Return the fore face in profile from the foot to the head, shape (p, 2); None if the hull file has none."""
    if side.stem.face is None:
        return None
    batten = Batten(side.stem.face)
    return batten.point(np.linspace(0.0, batten.knots[-1], _FACE_POINTS))


def stem_outline(side: StemSide) -> tuple[Array, bool]:
    """Return the wood's outline, closed, shape (p, 2), and whether its outer edge is the rabbet line itself.

    It is where the hull file gives no face, and on a bevelled stem, whose face is that of the false stem.
    """
    face = outer_edge(side) if side.stem.joint == "rebate" else None
    rabbet = side.inside(side.along, 0.0)
    inner = inner_edge(side)
    if face is None:
        return np.concatenate([rabbet, inner[::-1]]), True
    return np.concatenate([face, rabbet[-1:], inner[::-1], rabbet[:1]]), False
