"""A strake taken off with a spiling batten, laid over the computed one, and the outline that follows from both."""

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.strake_marks import ticks_of
from templates_gen.hull.lengths import spread_of
from templates_gen.hull.measured.spiling import EDGES, Arcs, EdgeName, Spiling
from templates_gen.words import written

Array = NDArray[np.float64]

LEFT_OUT = 20.0
"""A point further than this from the computed one, once laid over it, is no point of this strake, mm."""

FEWEST_AGREED = 3
"""Fewer points that agree with one another and with the computed strake tell nothing."""

MOST_LEFT_OUT = 0.2
"""A spiling of which a larger share does not fit is measured again (common practice)."""

_LONG_BASE = 0.35


def meeting(arcs: Arcs, upper: bool) -> Array:
    """Return where two arcs of one radius meet, shape (2,): the meeting above the line of their centres or below it.

    The centres are at most two radii apart. Source: Pythagoras; half the chord and the height on it.
    """
    middle, half = (arcs.first + arcs.second) / 2, (arcs.second - arcs.first) / 2
    height = np.sqrt(max(arcs.radius**2 - float(half @ half), 0.0))
    aside = np.array([-half[1], half[0]]) / np.linalg.norm(half)
    return np.asarray(middle + (height if upper else -height) * aside)


def spiled_points(spiling: Spiling, more_radius: float = 0.0, far: bool = False) -> dict[EdgeName, dict[str, Array]]:
    """Return every point on the batten, (along, offset), mm.

    `more_radius` is added to the radius of all arcs; `far` asks for their other meeting, inside the strake.
    """
    return {
        edge: spiling.points[edge]
        | {
            place: meeting(replace(arcs, radius=arcs.radius + more_radius), (edge == "upper") != far)
            for place, arcs in spiling.arcs[edge].items()
        }
        for edge in EDGES
    }


def strake_points(strake: FlatStrake) -> dict[EdgeName, dict[str, Array]]:
    """Return a flat strake's corners, stations and half-ways by name, fore to aft, on both edges, each shape (2,)."""
    fore, aft = strake.end("fore"), strake.end("aft")
    found: dict[EdgeName, dict[str, Array]] = {"lower": {"fore": fore[0]}, "upper": {"fore": fore[-1]}}
    for tick in ticks_of(strake):
        name = written(tick.place)
        found["lower"][name], found["upper"][name] = tick.lower, tick.upper
    found["lower"]["aft"], found["upper"]["aft"] = aft[0], aft[-1]
    return found


def batten_strake(shell: PlankedShell, number: int, batten: float) -> FlatStrake:
    """Return a strake laid flat at the middle of a batten that lies where its inner face will."""
    thickness = list(shell.planking.thickness)
    thickness[number - 1] = batten
    planking = replace(shell.planking, thickness=tuple(thickness))
    return flat_strake(replace(shell, hull=replace(shell.hull, planking=planking)), number)


@dataclass(frozen=True)
class Laid:
    """A spiling laid over the computed strake.

    Attributes
    ----------
    places : tuple of (edge, place)
    computed : Array, shape (n, 2)
        Where the net outline has them, flat at mid-thickness.
    off : Array, shape (n, 2)
        How far each spiled point lies from the computed one: aft, and up, mm.
    is_left_out : array of bool, shape (n,)
        All of them where fewer than 3 points agree: then no strake can be drawn.
    spread, computed_spread : float
        From the foremost point to the aftermost along the batten, as measured and as computed, mm.
    is_other_side : array of bool, shape (n,)
        Whether its arcs' other meeting is taken than that of arcs swung from between both edges.
    noise : float
        Standard deviation of an honest point, along and across, from reading and rounding, mm.
    share : float
        How far apart the points are over how far apart they are computed, the median of all pairs far apart.
    """

    places: tuple[tuple[EdgeName, str], ...]
    computed: Array
    off: Array
    is_left_out: NDArray[np.bool_]
    spread: float
    computed_spread: float
    share: float
    is_other_side: NDArray[np.bool_]
    noise: float = spread_of(0.5)

    def leaving_out(self, is_odd: NDArray[np.bool_]) -> "Laid":
        """Return the same without some points, shape (n,), laid over the computed strake again by the others."""
        out = self.is_left_out | is_odd
        again = laid_on(self.computed + self.off, self.computed, ~out)
        return replace(self, off=again - self.computed, is_left_out=out)

    @property
    def loses_too_much(self) -> bool:
        """Whether more than one point in five is left out, or every point of an end."""
        ends = (min, max)
        along = self.computed[:, 0]
        places = [self.places[int(along.tolist().index(end(along)))][1] for end in ends]
        at_ends = [self.is_left_out[[place == name for _, place in self.places]] for name in places]
        return float(self.is_left_out.mean()) > MOST_LEFT_OUT or any(bool(out.all()) for out in at_ends)

    def of_edge(self, edge: EdgeName) -> NDArray[np.intp]:
        """Return the indices of one edge's points, fore to aft."""
        return np.array([i for i, (one, _) in enumerate(self.places) if one == edge], dtype=np.intp)

    def kept_of(self, edge: EdgeName) -> int:
        """Return how many of one edge's points are kept."""
        return int(np.sum(~self.is_left_out[self.of_edge(edge)]))

    @property
    def rms(self) -> float:
        """The root mean square of what the points kept are off by, mm."""
        kept = self.off[~self.is_left_out]
        return float(np.sqrt(np.mean(np.sum(kept**2, axis=1))))


def laid_over(strake: FlatStrake, spiling: Spiling, more_radius: float = 0.0) -> Laid:
    """Return a spiling turned and shifted, not stretched, to lie over the computed strake as well as it can.

    Parameters
    ----------
    strake : FlatStrake
        The computed strake, flat at mid-thickness.
    spiling : Spiling
    more_radius : float
        Added to the radius of all arcs, mm.

    Notes
    -----
    The batten bends about its own middle and the plank about its, so figures are compared at the batten's, and their
    differences laid off on the plank. Points that cannot belong to the strake do not turn it: the pair of
    points far apart that brings most of the others near decides which are kept. Two arcs meet twice: where a swept
    strake leaves the batten to one side, the meeting nearer to the computed point is taken; and the other one
    of all arcs of an edge, or of both, where only then every point belongs to the strake.
    """
    given, others = (spiled_points(spiling, more_radius, far) for far in (False, True))
    net = strake_points(strake)
    on_batten = strake_points(batten_strake(strake.shell, strake.number, spiling.batten))
    places = tuple((edge, place) for edge in EDGES for place in net[edge] if place in given[edge])
    measured, other, reference, computed = (
        np.array([points[edge][place] for edge, place in places]) for points in (given, others, on_batten, net)
    )
    chosen, kept = _chosen(measured, other, reference)
    if more_radius == 0.0 and not kept.all():
        chosen, kept = _from_other_side(measured, other, reference, places, (chosen, kept))
    is_other_side = (chosen != measured).any(axis=1)
    measured, is_left_out = chosen, ~kept
    if kept.sum() < FEWEST_AGREED:
        kept, is_left_out = np.ones_like(kept), np.ones_like(kept)
    off = (laid_on(measured, reference, kept) - reference) @ _turn(reference, computed).T
    spread, computed_spread = (float(np.ptp(points[:, 0])) for points in (measured, reference))
    return Laid(
        places,
        computed,
        off,
        is_left_out,
        spread,
        computed_spread,
        _share(measured, reference),
        is_other_side,
        spread_of(spiling.step),
    )


def _turn(start: Array, goal: Array) -> Array:
    """The rotation, shape (2, 2), that brings points (n, 2) nearest to others (Kabsch 1976; from memory)."""
    a, b = start - start.mean(axis=0), goal - goal.mean(axis=0)
    angle = np.arctan2(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]), np.sum(a * b))
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])


def laid_on(points: Array, goal: Array, kept: NDArray[np.bool_]) -> Array:
    """Return points (n, 2) turned and shifted, not stretched, so that those `kept` lie on theirs of `goal` (n, 2)."""
    turn = _turn(points[kept], goal[kept])
    return np.asarray((points - points[kept].mean(axis=0)) @ turn.T + goal[kept].mean(axis=0))


Chosen = tuple[Array, NDArray[np.bool_]]
"""Of every point the meeting that is taken, shape (n, 2), and which points can belong to the strake."""


def _chosen(points: Array, others: Array, goal: Array) -> Chosen:
    kept = _likely(points, goal)
    nearer = _nearer(points, others, goal, kept if kept.sum() >= FEWEST_AGREED else np.ones_like(kept))
    return (points, kept) if np.array_equal(nearer, points) else (nearer, _likely(nearer, goal))


def _from_other_side(
    points: Array, others: Array, goal: Array, places: tuple[tuple[EdgeName, str], ...], first: Chosen
) -> Chosen:
    """What is chosen with all arcs of one edge or of both swung from the other side, where every point fits then."""
    for edges in (("lower",), ("upper",), EDGES):
        is_swung = np.array([edge in edges for edge, _ in places])[:, None]
        swung = np.where(is_swung, others, points)
        if not np.array_equal(swung, points):
            found = _chosen(swung, np.where(is_swung, points, others), goal)
            if found[1].all():
                return found
    return first


def _nearer(points: Array, others: Array, goal: Array, kept: NDArray[np.bool_]) -> Array:
    """Of each point and its alternative, the one nearer to where it is computed."""
    moved = laid_on(points, goal, kept)
    turn, shift = _turn(points[kept], goal[kept]), points[kept].mean(axis=0)
    alternatives = (others - shift) @ turn.T + goal[kept].mean(axis=0)
    is_nearer = np.linalg.norm(alternatives - goal, axis=1) < np.linalg.norm(moved - goal, axis=1)
    return np.where(is_nearer[:, None], others, points)


def _far_pairs(goal: Array) -> list[tuple[int, int]]:
    """Every two points far apart along the strake."""
    least = _LONG_BASE * float(np.ptp(goal[:, 0]))
    return [(i, j) for i, j in combinations(range(len(goal)), 2) if abs(goal[i, 0] - goal[j, 0]) >= least]


def _share(points: Array, goal: Array) -> float:
    first, second = np.array(_far_pairs(goal)).T
    apart, computed = (np.linalg.norm(one[second] - one[first], axis=1) for one in (points, goal))
    return float(np.median(apart / computed))


def _likely(points: Array, goal: Array) -> NDArray[np.bool_]:
    """Which points can belong to the strake; fewer than `FEWEST_AGREED` are none at all."""
    best, least = np.ones(len(points), dtype=np.bool_), np.inf
    for pair in _far_pairs(goal):
        both = np.zeros(len(points), dtype=np.bool_)
        both[list(pair)] = True
        miss = np.linalg.norm(laid_on(points, goal, both) - goal, axis=1)
        if float(np.median(miss)) < least:
            best, least = miss <= LEFT_OUT, float(np.median(miss))
    for _ in range(3):
        if best.sum() < FEWEST_AGREED:
            break
        best = np.linalg.norm(laid_on(points, goal, best) - goal, axis=1) <= LEFT_OUT
    return best
