"""What makes one lining-off better than another: residuals whose squares are summed, and their slopes.

Each residual is a plain number, about 1 where a good eye would begin to mind; the weights are our own judgement
(tried on the three worked boats), not a rule of the trade.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.lining_off_laps import Laps, Run, cross, laps_of
from templates_gen.geometry.lining_off_places import Places
from templates_gen.geometry.sections import even_shares
from templates_gen.hull.model import Hull

Array = NDArray[np.float64]

FAIR = 0.12
"""On the third derivative of a land, taken over its length, in girths of the boat."""

SWEEP = 1.0
"""On how a land bends in the strakes' faces, over its length: what makes a strake sweep, and asks for edge-set."""

TWIST = 1.0
"""On how a strake's face turns from place to place, radians."""

BEVEL = 2.0
"""On the cube of a bevel over the greatest that its lap carries."""

EVEN, NEIGHBOURS, ENDS = 1.5, 4.0, 10.0
"""On a strake's width over its even share, on how much that differs from strake to strake, and the same at ends."""

GRADUAL, STEADY = 2.0, 1.0
"""On how that width bends along a strake, and on how it differs, from place to place."""

ONE_GREATEST = 40.0
"""On how much a strake widens again where it should taper from its greatest width, over its even share."""

SHORT, MARGIN = 18.0, 0.012
"""On what planing takes too much, over the thickness; it is minded from a little before."""

_COLOURS = 4
_STEP = 0.05


@dataclass(frozen=True)
class Aim:
    """What marks are judged by, but for the marks themselves.

    Attributes
    ----------
    hull : Hull
    places : Places
    even : Array, shape (N, p)
        The marks that show strakes alike.
    firmness : Array, shape (N - 1, p)
        How many times its usual weight a shortage has.
    """

    hull: Hull
    places: Places
    even: Array
    firmness: Array

    def widths(self, girths: Array) -> Array:
        """Return how much wider than its even share every strake shows, as a fraction, shape (N, p)."""
        return np.diff(girths - self.even, axis=0, prepend=0.0) / self.shares

    @cached_property
    def width_slopes(self) -> Array:
        """Their slopes by the marks of the lands, shape (N, p, (N - 1) p)."""
        strakes, places = self.even.shape
        slopes = np.zeros((strakes, places, strakes - 1, places))
        land, place = np.ogrid[: strakes - 1, :places]
        slopes[land, place, land, place] = 1.0 / self.shares[:-1]
        slopes[land + 1, place, land, place] = -1.0 / self.shares[1:]
        return slopes.reshape(strakes, places, -1)

    @property
    def shares(self) -> Array:
        """Even shown widths, shape (N, p), mm."""
        shares = even_shares(self.hull)
        shown = self.places.girth - self.places.start - self.hull.lands.rubbing_strip
        return np.asarray(shares[:, None] / shares.sum() * shown)


Term = tuple[Array, Array]
"""Residuals (m,), and their slopes by the marks of the lands, (m, (N - 1) p)."""


def residuals(aim: Aim, run: Run, girths: Array) -> Term:
    """Return every residual of marks (N, p), with their slopes."""
    trials = np.repeat(girths[None], 1 + _COLOURS, axis=0)
    for colour in range(_COLOURS):
        trials[1 + colour, colour:-1:_COLOURS] += _STEP
    laps = laps_of(aim.places, aim.hull, run, trials)
    terms = [
        *_lap_terms(aim, laps),
        _twist_term(run, laps),
        *_edge_terms(aim, run, girths, laps),
        *_width_terms(aim, run, girths),
    ]
    return np.concatenate([value for value, _ in terms]), np.concatenate([slope for _, slope in terms])


def _weight_of_place(places: int) -> float:
    """Fewer or more places than five stations and two ends make no difference to the balance."""
    return float(np.sqrt(7.0 / places))


def _lap_terms(aim: Aim, laps: Laps) -> Iterator[Term]:
    planking = aim.hull.planking
    thickness = np.array(planking.thickness[:-1])
    carried = np.arctan((thickness - np.array(planking.least_edge[:-1])) / planking.lap)[:, None]
    weight = BEVEL * _weight_of_place(aim.even.shape[1])
    yield _by_place(weight * (laps.bevel / carried) ** 3)
    too_much = laps.shortage / thickness[:, None] + MARGIN
    yield _by_place(SHORT * aim.firmness * np.maximum(too_much, 0.0))


def _by_place(trials: Array) -> Term:
    """Residuals (b, N - 1, p) that hang on the marks of their own place."""
    slopes = _local_slopes(trials[..., None], trials.shape[1])
    return trials[0].ravel(), slopes.reshape(trials[0].size, -1)


def _local_slopes(trials: Array, lands: int) -> Array:
    """Slopes (rows, p, d, lands, p) of quantities (b, rows, p, d) by the marks at the same place.

    One land in four is moved at a time: a row feels those from two lands below it to one above.
    """
    _, rows, places, size = trials.shape
    slopes = np.zeros((rows, places, size, lands, places))
    change = (trials[1:] - trials[0]) / _STEP
    place = np.arange(places)
    for row in range(rows):
        for land in range(max(0, row - 2), min(lands, row + 2)):
            slopes[row, place, :, land, place] = change[land % _COLOURS, row]
    return slopes


def _twist_term(run: Run, laps: Laps) -> Term:
    lands = laps.bevel.shape[1]
    chords = np.diff(run.knots, axis=1)
    weight = TWIST * np.sqrt(run.knots[:, -1:] / chords / chords.shape[1])[..., None]
    turn = weight * np.diff(laps.normal[0], axis=1)
    slopes = _local_slopes(laps.normal, lands)
    slopes = weight[..., None, None] * np.diff(slopes, axis=1)
    return turn.ravel(), slopes.reshape(turn.size, -1)


def _edge_terms(aim: Aim, run: Run, girths: Array, laps: Laps) -> Iterator[Term]:
    """How fair the lands are in space, and how they bend in the strakes' faces."""
    slopes, upper = aim.places.points(girths)[1][:-1], laps.upper[0, :-1]
    length = run.knots[:-1, -1, None, None]
    third = FAIR / float(np.mean(aim.places.girth)) * length**2.5 * run.third[:-1]
    yield _by_land(np.einsum("kmi,kid->kmd", third, upper), np.einsum("kmi,kid->kmdi", third, slopes))
    across = cross(run.normal, run.tangent)[:-1]
    second = SWEEP * _weight_of_place(girths.shape[1]) * length * run.second[:-1]
    yield _by_land(
        np.einsum("kmi,kid,kmd->km", second, upper, across), np.einsum("kmi,kid,kmd->kmi", second, slopes, across)
    )


def _by_land(value: Array, slopes: Array) -> Term:
    """Residuals (lands, ...) that hang on the marks of their own land, from slopes (lands, ..., p)."""
    lands = np.arange(len(value))
    jacobian = np.zeros((*slopes.shape[:-1], len(value), slopes.shape[-1]))
    jacobian[lands, ..., lands, :] = slopes
    return value.ravel(), jacobian.reshape(value.size, -1)


def _width_terms(aim: Aim, run: Run, girths: Array) -> Iterator[Term]:
    """How even the strakes show, from strake to strake and from place to place."""
    width, slopes = aim.widths(girths), aim.width_slopes
    by_place = _weight_of_place(width.shape[1])
    yield _linear(EVEN * by_place * np.eye(len(width)), width, slopes, axis=0)
    firm = np.full((len(width) - 1, width.shape[1]), NEIGHBOURS * by_place)
    firm[:, [0, -1]] = ENDS
    firm[0, aim.places.is_stem] = NEIGHBOURS * by_place
    yield (firm * np.diff(width, axis=0)).ravel(), (firm[..., None] * np.diff(slopes, axis=0)).reshape(firm.size, -1)
    yield _linear(_along_strake(run), width, slopes, axis=1)
    yield _taper_term(aim, width)


def _taper_term(aim: Aim, width: Array) -> Term:
    """Strakes that widen toward an end, from where they would be widest if all showed alike; in widths, not shares."""
    shares = aim.shares
    toward_end = np.where(np.arange(shares.shape[1] - 1) < np.argmax(shares, axis=1)[:, None], -1.0, 1.0)
    weight = ONE_GREATEST * _weight_of_place(shares.shape[1]) * toward_end / shares.mean(axis=1, keepdims=True)
    widening = weight * np.diff((1.0 + width) * shares, axis=1)
    slopes = weight[..., None] * np.diff(aim.width_slopes * shares[..., None], axis=1)
    slopes[widening <= 0.0] = 0.0
    return np.maximum(widening, 0.0).ravel(), slopes.reshape(widening.size, -1)


def _linear(operator: Array, width: Array, slopes: Array, axis: int) -> Term:
    """Residuals operator (m, N or p) times widths (N, p), from strake to strake (axis 0) or place to place (1)."""
    value = np.tensordot(operator, width, axes=(1, axis))
    return value.ravel(), np.tensordot(operator, slopes, axes=(1, axis)).reshape(value.size, -1)


def _along_strake(run: Run) -> Array:
    """What gives second and first differences from place to place, shape (2 p - 3, p); a mean bay counts as 1."""
    places = run.knots.shape[1]
    along = run.knots.mean(axis=0)
    bays = np.diff(along) / along[-1] * (places - 1)
    first = np.diff(np.eye(places), axis=0)
    return np.concatenate([GRADUAL * np.diff(first / bays[:, None], axis=0), STEADY * first])
