"""How the strakes lap at each place for many trial markings at once: true bevels and what planing leaves.

The same relations as the shell's, ruling by ruling, with the lands' directions along the boat held from the round
before; so the laps at a place depend on the marks at that place alone.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.garboard import garboard_normals
from templates_gen.geometry.lining_off.places import Places
from templates_gen.geometry.shell import EASE, Lapping, gerald_share, lapped
from templates_gen.hull.model import Hull, Planking
from templates_gen.numerics.directions import cross, unit

Array = NDArray[np.float64]

_SETTLING = 2


@dataclass(frozen=True)
class Run:
    """How the lands run along the boat, from the marks of the round before.

    Attributes
    ----------
    offset : Array, shape (N, p, 3)
        From a mark to P_k there: 0 where marks lie on the inside, else the plank's thickness and a slide along the
        land back to the station.
    tangent, normal : Array, shape (N, p, 3)
        Of P_k, unit, pointing aft; and of strake k's inner face, outward.
    knots : Array, shape (N, p)
        Running chord length of P_k.
    gerald : Array, shape (N, p)
        g of the land.
    second, third : Array, shapes (N, p, p) and (N, p - 1, p)
        What gives a batten's second derivative at its marks, and its third between them times the square root of
        the chord there: the squares of the latter sum to the integral of the squared third derivative.
    """

    offset: Array
    tangent: Array
    normal: Array
    knots: Array
    gerald: Array
    second: Array
    third: Array


@dataclass(frozen=True)
class Laps:
    """The laps of b trial markings.

    Attributes
    ----------
    bevel : Array, shape (b, N - 1, p)
        True bevels, negative in a hollow, radians.
    shortage : Array, shape (b, N - 1, p)
        By how much what is left of the planed strake falls short of its least edge, mm; negative when it does not.
    normal, upper : Array, shape (b, N, p, 3)
        Of the strakes' inner faces, and P_k.
    """

    bevel: Array
    shortage: Array
    normal: Array
    upper: Array


def run_of(places: Places, hull: Hull, girths: Array, before: Run | None = None) -> Run:
    """Return how lands through marks run; without a round before, a few rounds are made to settle."""
    if before is None:
        before = _first_run(places, hull, girths)
        for _ in range(_SETTLING):
            before = run_of(places, hull, girths, before)
        return before
    normal = laps_of(places, hull, before, girths[None]).normal[0]
    return _run(places, hull, girths, before.tangent, normal)


def _first_run(places: Places, hull: Hull, girths: Array) -> Run:
    points, slopes = places.points(girths)
    along = np.gradient(points, axis=1)
    return _run(places, hull, girths, unit(along), unit(cross(slopes, along)))


def _run(places: Places, hull: Hull, girths: Array, tangent: Array, normal: Array) -> Run:
    offset = _inward(places, hull, tangent, normal)
    upper = places.points(girths)[0] + offset
    chords = np.linalg.norm(np.diff(upper, axis=1), axis=-1)
    knots = np.concatenate([np.zeros((len(upper), 1)), np.cumsum(chords, axis=1)], axis=1)
    first, second, third = batten_operators(knots)
    third = third * np.sqrt(chords)[..., None]
    return Run(offset, unit(first @ upper), normal, knots, _geralds(hull, knots), second, third)


def batten_operators(knots: Array) -> tuple[Array, Array, Array]:
    """Return what gives the derivatives of battens, cubic splines not-a-knot, from their marks.

    Parameters
    ----------
    knots : Array, shape (N, p), p >= 4

    Returns
    -------
    tuple of Array, shapes (N, p, p), (N, p, p) and (N, p - 1, p)
        First and second derivatives at the knots, third ones between them.

    Source: de Boor, A Practical Guide to Splines (1978), chapter IV, the equations for the slopes at the knots.
    """
    h = np.diff(knots, axis=1)[..., None]
    count = knots.shape[1]
    inner = np.arange(1, count - 1)
    chord = np.diff(np.eye(count), axis=0) / h
    left, right = np.zeros((2, len(knots), count, count))
    left[:, inner, inner - 1], left[:, inner, inner + 1] = h[:, 1:, 0], h[:, :-1, 0]
    left[:, inner, inner] = 2.0 * (h[:, 1:, 0] + h[:, :-1, 0])
    right[:, 1:-1] = 3.0 * (h[:, 1:] * chord[:, :-1] + h[:, :-1] * chord[:, 1:])
    for end, step in ((0, 1), (-1, -1)):
        near, next_one = h[:, end, 0], h[:, end + step, 0]
        both = near + next_one
        left[:, end, end], left[:, end, end + step] = next_one, both
        first, second = chord[:, end], chord[:, end + step]
        right[:, end] = (((near + 2.0 * both) * next_one)[:, None] * first + near[:, None] ** 2 * second) / both[
            :, None
        ]
    slopes: Array = np.linalg.solve(left, right).astype(np.float64)
    square = (3.0 * chord - 2.0 * slopes[:, :-1] - slopes[:, 1:]) / h
    cube = (slopes[:, :-1] + slopes[:, 1:] - 2.0 * chord) / h**2
    last = square[:, -1:] + 3.0 * cube[:, -1:] * h[:, -1:]
    return slopes, 2.0 * np.concatenate([square, last], axis=1), 6.0 * cube


def _inward(places: Places, hull: Hull, tangent: Array, normal: Array) -> Array:
    """From marks on the outside, or on a stem's rabbet line, to P_k; at a station slid back into its plane."""
    is_outside = places.is_stem | (hull.lines_to == "outside")
    thickness = np.array(hull.planking.thickness)[:, None, None]
    inward = -thickness * is_outside[:, None] * normal
    slide = inward[..., :1] / tangent[..., :1] * tangent
    return np.asarray(inward - np.where(places.is_stem[:, None], 0.0, slide))


def _geralds(hull: Hull, knots: Array) -> Array:
    planking, share = hull.planking, np.zeros_like(knots)
    if planking.gerald_fore is not None:
        share = share + gerald_share(knots, planking.gerald_fore)
    if planking.gerald_aft is not None:
        share = share + gerald_share(knots[:, -1:] - knots, planking.gerald_aft)
    return share


def laps_of(places: Places, hull: Hull, run: Run, girths: Array) -> Laps:
    """Return the laps of trial markings, girths of shape (b, N, p)."""
    planking = hull.planking
    marks, _ = places.points(girths)
    upper = marks + run.offset
    across, stem_normal = _stem_ends(places, hull, run, girths, marks)
    is_stem = places.is_stem[:, None]
    garboard = garboard_normals(places.rabbet, places.rabbet_tangent, upper[:, 0], planking.thickness[0])
    lower = places.rabbet - planking.thickness[0] * garboard
    rulings, normals, shortages = [], [], []
    for k in range(planking.strakes):
        ruling = unit(upper[:, k] - lower)
        square = cross(ruling, run.tangent[k])
        sine = np.sqrt(dot(square, square))[..., None]
        outward = np.where(is_stem, stem_normal[:, k], square / sine)
        rulings.append(np.where(is_stem, across[:, k], ruling))
        normals.append(outward)
        if k + 1 < planking.strakes:
            lap = _lap(upper[:, k + 1] - upper[:, k], run, k, outward, planking)
            shortages.append(_shortage(lap, planking, k))
            lower = upper[:, k] - planking.lap / sine * ruling + lap.stand_off_lap[..., None] * outward
    bevels = _bevels(np.stack(rulings, axis=1), run.tangent)
    return Laps(bevels, np.stack(shortages, axis=1), np.stack(normals, axis=1), upper)


def _lap(step: Array, run: Run, k: int, outward: Array, planking: Planking) -> Lapping:
    """How the strake above lies over strake k (from 0), from where its upper corner stands."""
    up = cross(run.tangent[k], outward)
    return lapped(dot(step, up), dot(step, outward), run.gerald[k], planking.thickness[k], planking.lap)


def _shortage(at: Lapping, planking: Planking, k: int) -> Array:
    """What planing takes too much off the strake that the bevel is planed on, mm.

    What may be planed off changes evenly from the one strake's allowance to the other's where a land turns hollow.
    """
    thickness, upper_thickness = planking.thickness[k : k + 2]
    least, upper_least = planking.least_edge[k : k + 2]
    lower = (1.0 - at.gerald) * planking.lap * (at.slope_lap + at.ease) + at.gerald * thickness / 2
    share = at.gerald * (thickness + planking.lap * np.maximum(0.0, -at.slope)) / 2
    upper = thickness - at.stand_off_lap - share
    on_lower = np.clip(0.5 + at.slope / (2.0 * EASE), 0.0, 1.0)
    may = on_lower * (thickness - least) + (1.0 - on_lower) * (upper_thickness - upper_least)
    return np.asarray(np.where(at.slope >= 0.0, lower, upper) - may)


def _bevels(rulings: Array, tangent: Array) -> Array:
    """Turn from each strake's ruling to the next about the land between them."""
    first, second = (cross(part, tangent[:-1]) for part in (rulings[:, :-1], rulings[:, 1:]))
    return np.asarray(np.arctan2(dot(tangent[:-1], cross(first, second)), dot(first, second)))


def _stem_ends(places: Places, hull: Hull, run: Run, girths: Array, marks: Array) -> tuple[Array, Array]:
    """On stems the strakes' ends, straight across from land to land, and their normals; of no account elsewhere."""
    lowest = np.where(places.is_cornered, 0.0, girths[:, 0] - hull.planking.hood)
    below = np.concatenate([places.points(lowest)[0][:, None], marks[:, :-1]], axis=1)
    across = unit(marks - below)
    along = run.tangent.copy()
    along[1:] = unit(run.tangent[1:] + run.tangent[:-1])
    cornered = places.is_cornered
    along[0, cornered] = unit(run.tangent[0, cornered] + places.rabbet_tangent[cornered])
    return across, unit(cross(across, along))


def dot(first: Array, second: Array) -> Array:
    """Return the scalar product of vectors (..., 3)."""
    return np.asarray(np.einsum("...i,...i->...", first, second))
