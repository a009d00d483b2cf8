"""The point of a curve that leaves the run of the others: each is compared with a cubic through four of them.

Arrays in, arrays out. For curves of few points, drawn by hand, that turn gradually.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.numerics.chains import nearest_point

Array = NDArray[np.float64]

FEWEST = 5
"""With fewer points than this nothing is known of their run."""

ROUGH = 3.5
"""A point is odd if it misses by this many times the most that any other near it misses once it is gone."""

SHARE = 0.05
"""... and by this share of the distance to the nearest other point."""

TURN = np.radians(8.0)
"""A curve may turn into its end by so much more or less than it did before."""

NEAR = 3
"""How many points on either side count as near."""

_FINE = np.linspace(0.0, 1.0, 33)


@dataclass(frozen=True)
class OddPoint:
    """A point that leaves the run of the others.

    Attributes
    ----------
    place : int
    expected : Array, shape (2,)
        The nearest point of the curve of the others.
    miss : float
        The distance from there.
    rest : float
        The most that another point near it misses without it.
    """

    place: int
    expected: Array
    miss: float
    rest: float


def odd_point(points: Array, least: float) -> OddPoint | None:
    """Return the point of a curve, its ends left out, that leaves the run of the others the most clearly, or None.

    Parameters
    ----------
    points : Array, shape (n, 2)
        In order along the curve.
    least : float
        A smaller miss is not reported.

    Notes
    -----
    A wrong point also makes its neighbours miss: that point is odd without which the others near it agree best. The
    cubic is Lagrange's, through two points on either side, by chord length; next to an end through one and three.
    """
    if len(points) < FEWEST:
        return None
    found = [_tried(points, place) for place in range(1, len(points) - 1)]
    odd = [
        one
        for one in found
        if one.miss >= max(least, SHARE * _gap(points, one.place))
        and one.miss >= ROUGH * max(one.rest, least / ROUGH)
    ]
    return max(odd, key=lambda one: one.miss / max(one.rest, least / ROUGH), default=None)


def odd_turn(points: Array) -> float:
    """Return by how much more or less than usual a curve turns into its first point, radians; 0 or less: as usual.

    Parameters
    ----------
    points : Array, shape (n, 2), n >= 4
        In order from the end in question.

    Notes
    -----
    It may turn into its last point as it turned before, twice as much, or not at all, TURN more or less.
    """
    chords = points[:3] - points[1:4]
    length = np.linalg.norm(chords, axis=1)
    last, before = (
        float(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b))
        for a, b in ((chords[1], chords[0]), (chords[2], chords[1]))
    )
    usual = before * (length[1] + length[0]) / max(length[2] + length[1], 1e-9)
    low, high = min(0.0, 2.0 * usual), max(0.0, 2.0 * usual)
    return float(max(low - last, last - high) - TURN)


def odd_run(along: Array, values: Array, at: float, value: float, share: float) -> tuple[float, float, float]:
    """Return the bounds between which a line is expected to end, and by how much it ends outside them.

    Parameters
    ----------
    along, values : Array, shape (n,), n >= 3
        The line's figures near that end, the nearest first.
    at, value : float
        Where it ends.
    share : float
        Of the distance that it runs on.

    Notes
    -----
    The last is 0 or less inside them. It is expected between its tangent and its parabola run on, and as far again
    to either side, and so great a share of the distance that it runs on.
    """
    straight = values[0] + (values[0] - values[1]) / (along[0] - along[1]) * (at - along[0])
    bent = float(_lagrange(along[:3], values[:3, None], np.array([at]))[0, 0])
    wide = abs(bent - straight) + share * abs(at - along[0])
    low, high = min(straight, bent) - wide, max(straight, bent) + wide
    return float(low), float(high), float(max(low - value, value - high))


def _tried(points: Array, place: int) -> OddPoint:
    expected, miss = _left_out(points, place)
    others = np.delete(points, place, axis=0)
    near = range(max(place - NEAR, 0), min(place + NEAR, len(others)))
    inner = [at for at in near if 0 < at < len(others) - 1]
    rest = max((_left_out(others, at)[1] for at in inner), default=0.0)
    return OddPoint(place, expected, miss, rest)


def miss_of(points: Array, place: int, point: Array) -> float:
    """Return how far a point is off the curve of the others, if it stood in one place of a chain."""
    moved = points.copy()
    moved[place] = point
    return _left_out(moved, place)[1]


def _gap(points: Array, place: int) -> float:
    others = np.delete(points, place, axis=0)
    return float(np.min(np.linalg.norm(others - points[place], axis=1)))


def _left_out(points: Array, place: int) -> tuple[Array, float]:
    """Return where the curve of the points near one place, that one left out, is nearest to it, and how far off."""
    others = np.delete(points, place, axis=0)
    low = int(np.clip(place - 2, 0, max(len(others) - 4, 0)))
    four = others[low : low + 4]
    chord = np.maximum(np.linalg.norm(np.diff(four, axis=0), axis=1), 1e-9)
    along = np.concatenate([[0.0], np.cumsum(chord)])
    at = place - low
    where = along[at - 1] + (along[at] - along[at - 1]) * _FINE
    curve = _lagrange(along, four, where)
    return nearest_point(curve, points[place])


def _lagrange(along: Array, points: Array, where: Array) -> Array:
    """Return the polynomial through points at `where`, shape (m, 2)."""
    shares = np.ones((len(where), len(along)))
    for row in range(len(along)):
        for other in range(len(along)):
            if other != row:
                shares[:, row] *= (where - along[other]) / (along[row] - along[other])
    return np.asarray(shares @ points)
