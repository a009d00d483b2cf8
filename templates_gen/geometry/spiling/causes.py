"""What the differences of a spiling from the computed strake look like: edge-set, a wrong radius, a wrong place.

Whether a spiling can be of its strake at all: its length, its units, and how many of its points agree.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.polynomial import Polynomial
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.spiling.overlay import (
    FEWEST_AGREED,
    LEFT_OUT,
    MOST_LEFT_OUT,
    Laid,
    laid_over,
    strake_points,
)
from templates_gen.hull.measured.as_built import place_title
from templates_gen.hull.measured.spiling import EDGES, FEWEST, EdgeName, Spiling
from templates_gen.hull.model import Hull
from templates_gen.hull.problem import Problem, spoken
from templates_gen.numerics.misfits import misses
from templates_gen.units import UnitName

Array = NDArray[np.float64]

SCATTER = 1.0
"""How far honest points stand off a smooth run along the computed edge, standard deviation, mm (common practice)."""

BAR = 3.0
"""A point further than this from what the others of its edge say is looked at again, mm."""

EDGE_SET = 2.0
"""A bow of the whole spiling by more than this is reported, mm."""

RADIUS = 0.75
"""A radius that is wrong by less than this is not named, mm."""

_SPREADS, _BETTER, _NEAR_PLACE = 1.75, 0.5, 15.0
_TRIES = 31


@dataclass(frozen=True)
class OddPoint:
    """A point that does not fit.

    Attributes
    ----------
    edge : "lower" or "upper"
    place : str
    off : Array, shape (2,)
        How far from where the rest of its edge leads to expect it: aft, and toward the sheer, mm.
    is_far : bool
        Whether it is too far off to belong to the strake.
    fits : tuple of an edge and a place, or None
        Where else on the strake the point fits; None when it fits nowhere.
    """

    edge: EdgeName
    place: str
    off: Array
    is_far: bool
    fits: tuple[EdgeName, str] | None


def bow(laid: Laid) -> float:
    """Return how far the whole spiling is bowed edgewise against the computed strake, mm.

    Positive where its middle lies nearer the sheer. Both edges must go alike: a parabola through their mean
    differences, its rise over the strake's length; 0 when it does not account for most of what they are off by.
    """
    fit = _parabola(laid)
    return 0.0 if fit is None else float(-fit.coef[2])


def _parabola(laid: Laid) -> Polynomial | None:
    both = [_by_place(laid, edge) for edge in EDGES]
    shared = [place for place in both[0] if place in both[1]]
    if len(shared) < 4:
        return None
    pairs = np.array([[*both[0][place], *both[1][place]] for place in shared])
    x, up = (pairs[:, 0] + pairs[:, 2]) / 2, (pairs[:, 1] + pairs[:, 3]) / 2
    fit = Polynomial.fit(x, up, 2, domain=[float(x.min()), float(x.max())], window=[-1.0, 1.0])
    rest, whole = up - fit(x), up - Polynomial.fit(x, up, 1)(x)
    return fit if float(np.sum(rest**2)) <= _BETTER**2 * float(np.sum(whole**2)) else None


def _without_bow(laid: Laid) -> Laid:
    """The same with the bow that both edges share taken away, if it is one to tell of."""
    fit = _parabola(laid)
    if fit is None or abs(float(fit.coef[2])) < EDGE_SET:
        return laid
    up = np.where(laid.is_left_out, 0.0, fit(laid.computed[:, 0]))
    return replace(laid, off=laid.off - np.stack([np.zeros_like(up), up], axis=1))


def _by_place(laid: Laid, edge: EdgeName) -> dict[str, tuple[float, float]]:
    """The x and the upward difference of one edge's points that are kept, by place."""
    kept = [i for i in laid.of_edge(edge) if not laid.is_left_out[i]]
    return {laid.places[i][1]: (float(laid.computed[i, 0]), float(laid.off[i, 1])) for i in kept}


def better_radius(strake: FlatStrake, spiling: Spiling) -> float | None:
    """Return by how much another radius of all arcs would bring them nearer, mm; None when none would by half.

    No radius is reported that leaves a point out: the rest would fit any number of things.
    """
    if not any(spiling.arcs[edge] for edge in EDGES):
        return None
    arcs = [a for edge in EDGES for a in spiling.arcs[edge].values()]
    half_chord = max(float(np.linalg.norm(a.second - a.first)) / 2 for a in arcs)
    least = min(a.radius for a in arcs)
    low, high = half_chord - least + 0.5, 0.4 * least
    if low >= high:
        return None
    tried = np.linspace(max(low, -0.4 * least), high, _TRIES)
    near = tried[int(np.argmin([_badness(strake, spiling, float(more)) for more in tried]))]
    step = float(tried[1] - tried[0])
    found = minimize_scalar(
        lambda more: _badness(strake, spiling, float(more)),
        bounds=(near - step, near + step),
        method="bounded",
        options={"xatol": 0.02},
    )
    more = float(found.x)
    is_better = float(found.fun) < _BETTER * _badness(strake, spiling, 0.0) and abs(more) >= RADIUS
    return more if is_better and not laid_over(strake, spiling, more).is_left_out.any() else None


def _badness(strake: FlatStrake, spiling: Spiling, more: float) -> float:
    """What all points are off by with another radius, root mean square, each counted as `LEFT_OUT` at most, mm."""
    laid = laid_over(strake, spiling, more)
    return float(np.sqrt(np.mean(np.minimum(np.sum(laid.off**2, axis=1), LEFT_OUT**2))))


@dataclass(frozen=True)
class Doubts:
    """What is doubtful about a spiling.

    Attributes
    ----------
    more_radius : float or None
        By how much another radius of all arcs fits better, mm. Points that only do not fit are then not looked for.
    odd : tuple of OddPoint
    """

    more_radius: float | None
    odd: tuple[OddPoint, ...]


def doubts_of(strake: FlatStrake, spiling: Spiling, laid: Laid) -> Doubts:
    """Return what is doubtful about a spiling laid over the computed strake."""
    more = better_radius(strake, spiling)
    return Doubts(more, tuple(one for one in odd_points(strake, laid) if more is None or one.is_far))


def without_odd_points(laid: Laid, odd: tuple[OddPoint, ...]) -> Laid:
    """Return a spiling without the points that do not fit, laid over the computed strake again by the others."""
    names = {(one.edge, one.place) for one in odd}
    return laid.leaving_out(np.array([place in names for place in laid.places])) if names else laid


def odd_points(strake: FlatStrake, laid: Laid) -> tuple[OddPoint, ...]:
    """Return the points that do not fit, the lower edge's first, fore to aft."""
    laid, found = _without_bow(laid), []
    for edge in EDGES:
        index = laid.of_edge(edge)
        kept = [int(i) for i in index if not laid.is_left_out[i]]
        odd = {int(i): laid.off[i] for i in index if laid.is_left_out[i]} | _misses(laid, kept)
        for i in sorted(odd):
            place, out = laid.places[i][1], bool(laid.is_left_out[i])
            other = _other_place(strake, laid, i) if out or np.linalg.norm(odd[i]) > _NEAR_PLACE else None
            found.append(OddPoint(edge, place, odd[i], out, other))
    return tuple(found)


def _misses(laid: Laid, kept: list[int]) -> dict[int, Array]:
    """Points that miss what the others of their edge say, the worst taken out until the rest agree."""
    found: dict[int, Array] = {}
    while len(kept) >= 4:
        x = laid.computed[kept, 0]
        order = np.argsort(x)
        kept = [kept[i] for i in order]
        across = misses(x[order], laid.off[kept, 1], SCATTER)
        along = misses(x[order], laid.off[kept, 0], SCATTER)
        off = laid.off[kept] - np.stack([along.expected, across.expected], axis=1)
        far = np.abs(off).max(axis=1)
        score = np.where(far >= BAR, far / across.spread, 0.0)
        worst = int(np.argmax(score))
        if score[worst] < _SPREADS:
            break
        found[kept[worst]] = off[worst]
        kept = [one for i, one in enumerate(kept) if i != worst]
    return found


def _other_place(strake: FlatStrake, laid: Laid, index: int) -> tuple[EdgeName, str] | None:
    """The edge and the place of the strake, not its own, that a point lies at; None where it is near none."""
    at = laid.computed[index] + laid.off[index]
    points = {(edge, place): point for edge in EDGES for place, point in strake_points(strake)[edge].items()}
    far = {key: float(np.linalg.norm(point - at)) for key, point in points.items() if key != laid.places[index]}
    nearest = min(far, key=lambda key: far[key])
    return nearest if far[nearest] < _NEAR_PLACE else None


SHORTEST, LONGEST = 0.6, 1.4
"""A spiling outside these shares of the computed length is of another strake (common practice)."""

_UNIT_FACTORS = (25.4, 10.0, 304.8, 8.0, 25.4 / 8.0)
"""Inches, centimetres and feet in mm, and eighths of an inch in inches and in mm."""

_NEAR = 0.1


def fit_problems(strake: FlatStrake, spiling: Spiling, laid: Laid) -> list[Problem]:
    """Return why a strake cannot be drawn from a spiling laid over it; none where it can.

    Paths are keys of the spiling file.
    """
    units = strake.shell.hull.units
    if not SHORTEST <= laid.share <= LONGEST:
        return [_length_problem(laid, strake.number, units)]
    few = [*_few_problems(laid, strake)]
    more = better_radius(strake, spiling) if few else None
    return few if more is None else [_radius_problem(spiling, more, few[0], units)]


def odd_problems(strake: FlatStrake, laid: Laid, odd: tuple[OddPoint, ...]) -> list[Problem]:
    """Return why a strake cannot be drawn without the points that do not fit; none where it can.

    Parameters
    ----------
    strake : FlatStrake
    laid : Laid
        Without these points.
    odd : tuple of OddPoint
    """
    is_short = any(laid.kept_of(edge) < FEWEST for edge in EDGES)
    if not odd or not (laid.loses_too_much or is_short):
        return []
    points = _point_words(strake.shell.hull, [(one.edge, one.place) for one in odd])
    text = (
        f"strake {strake.number}: {len(odd)} points do not fit the run of their edges: {points}. Without them the "
        "strake cannot be drawn, because they are too many or a whole end; read them again"
    )
    expected = f"{int(MOST_LEFT_OUT * len(laid.places))} at most, and not both of an end"
    return [Problem(("strake",), text, expected, "strake", f"{len(odd)} of {len(laid.places)}")]


def _length_problem(laid: Laid, number: int, units: UnitName) -> Problem:
    """The points spread over far more or far less of the batten than the strake is long."""
    found, true = spoken(laid.spread, units), spoken(round(laid.computed_spread), units)
    text = f"strake {number}: the points spread over {found} of the batten, and the computed strake over {true}"
    fits = any(abs(laid.share * by - 1.0) < _NEAR for one in _UNIT_FACTORS for by in (one, 1.0 / one))
    text += "; is units right?" if fits else "; is this the spiling of another strake or boat?"
    low, high = (spoken(round(share * laid.computed_spread), units) for share in (SHORTEST, LONGEST))
    return Problem(("units",) if fits else ("strake",), text, f"from {low} to {high}", "strake", found)


def _few_problems(laid: Laid, strake: FlatStrake) -> Iterator[Problem]:
    """Too few points, of the strake or of one edge, that can belong to it."""
    number, units = strake.number, strake.shell.hull.units
    kept = int(np.sum(~laid.is_left_out))
    near = f"within {spoken(LEFT_OUT, units)} of the computed strake"
    if kept < FEWEST_AGREED:
        text = (
            f"strake {number}: of {len(laid.places)} points {kept} lie {near} together; were all measured from one "
            "straight edge, of this strake, in these units?"
        )
        yield Problem(("strake",), text, f"{FEWEST} on each edge", "strake", f"{kept} of {len(laid.places)}")
        return
    for edge in EDGES:
        yield from _edge_problems(strake.shell.hull, laid, edge, near)
    if laid.loses_too_much and all(laid.kept_of(edge) >= FEWEST for edge in EDGES):
        yield _lost_problem(strake, laid, near)


def _lost_problem(strake: FlatStrake, laid: Laid, near: str) -> Problem:
    """A whole end, or more points than a slip or two, that cannot belong to the strake."""
    lost = [place for place, out in zip(laid.places, laid.is_left_out, strict=True) if out]
    points = _point_words(strake.shell.hull, lost)
    text = (
        f"strake {strake.number}: {len(lost)} points are not {near}: {points}. Without them the strake "
        "cannot be drawn, because they are too many or a whole end. Check that the line is straight, the places are "
        "right, and these arcs were swung from between both edges"
    )
    most = int(MOST_LEFT_OUT * len(laid.places))
    expected = f"{most} at most, and not both of an end"
    return Problem(("strake",), text, expected, "strake", f"{len(lost)} of {len(laid.places)}")


def _point_words(hull: Hull, points: Sequence[tuple[EdgeName, str]]) -> str:
    """Points by their places: "lower edge: mould 2, aft end; upper edge: mould 2"."""
    by_edge = {edge: [place_title(hull, place) for its, place in points if its == edge] for edge in EDGES}
    return "; ".join(f"{edge} edge: {', '.join(titles)}" for edge, titles in by_edge.items() if titles)


def _edge_problems(hull: Hull, laid: Laid, edge: EdgeName, near: str) -> Iterator[Problem]:
    index = laid.of_edge(edge)
    lost = [place_title(hull, laid.places[i][1]) for i in index if laid.is_left_out[i]]
    kept = len(index) - len(lost)
    if kept < FEWEST:
        text = f"[{edge}] keeps {kept} points {near}; read these again: {', '.join(lost)}"
        yield Problem((edge,), text, f"{FEWEST} at least", "strake", f"{kept} of {len(index)}")


def _radius_problem(spiling: Spiling, more: float, few: Problem, units: UnitName) -> Problem:
    """The one cause of them all: another radius would bring the points near."""
    radius = next(arcs.radius for edge in EDGES for arcs in spiling.arcs[edge].values())
    fits = spoken(radius + more, units)
    text = f"{few.text}; the arcs fit the boat with a radius of {fits}: measure what the compass was set to"
    return Problem(("radius",), text, f"about {fits}", "strake")
