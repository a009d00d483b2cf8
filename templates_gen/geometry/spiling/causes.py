"""What the differences of a spiling from the computed strake look like: edge-set, a wrong radius, a wrong station."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.polynomial import Polynomial
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.spiling.overlay import LEFT_OUT, Laid, laid_over, strake_points
from templates_gen.hull.measured.spiling import EDGES, EdgeName, Spiling
from templates_gen.numerics.leave_one_out import misses

Array = NDArray[np.float64]

SCATTER = 1.0
"""How far honest points stand off a smooth run along the computed edge, standard deviation, mm (common practice)."""

BAR = 3.0
"""A point further than this from what the others of its edge say is looked at again, mm."""

EDGE_SET = 2.0
"""A bow of the whole spiling by more than this is reported, mm."""

RADIUS = 0.75
"""A radius that is wrong by less than this is not told of, mm."""

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
        How far from where the rest of its edge leads to expect it: aft, and up, mm.
    is_left_out : bool
        Whether it is too far off to belong to the strake.
    other_place : str
        The place that the point fits, "" when it fits none.
    """

    edge: EdgeName
    place: str
    off: Array
    is_left_out: bool
    other_place: str


def bow(laid: Laid) -> float:
    """Return how far the whole spiling is bowed edgewise against the computed strake, mm, positive up in the middle.

    Both edges must go alike: a parabola through their mean differences, its rise over the strake's length; 0 when it
    does not account for most of what they are off by.
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


def odd_points(strake: FlatStrake, laid: Laid) -> tuple[OddPoint, ...]:
    """Return the points that do not fit, the lower edge's first, fore to aft."""
    laid, found = _without_bow(laid), []
    for edge in EDGES:
        index = laid.of_edge(edge)
        kept = [int(i) for i in index if not laid.is_left_out[i]]
        odd = {int(i): laid.off[i] for i in index if laid.is_left_out[i]} | _misses(laid, kept)
        for i in sorted(odd):
            place, out = laid.places[i][1], bool(laid.is_left_out[i])
            other = _other_place(strake, laid, i) if out or np.linalg.norm(odd[i]) > _NEAR_PLACE else ""
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


def _other_place(strake: FlatStrake, laid: Laid, index: int) -> str:
    """The place of the same edge, or of the other, that a point lies at."""
    edge, own = laid.places[index]
    at = laid.computed[index] + laid.off[index]
    best, least = "", _NEAR_PLACE
    for other in EDGES:
        for place, point in strake_points(strake)[other].items():
            miss = float(np.linalg.norm(point - at))
            if miss < least and (other, place) != (edge, own):
                best, least = (place if other == edge else f"{place}, {other} edge"), miss
    return best
