"""What makes one lining-off better than another: residuals whose squares are summed, and their slopes.

Residuals stand in N groups, one for each strake and the land above it; strake k's group feels the marks of lands
k - 2 to k + 1 only, its window, so that slopes are small blocks and the normal equations a band.

Each residual is a plain number, about 1 where a good eye would begin to mind; the weights are our own judgement
(tried on the three worked boats), not a rule of the trade.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.lining_off.laps import Laps, Run, laps_of
from templates_gen.geometry.lining_off.places import Places
from templates_gen.geometry.sections import even_shares
from templates_gen.hull.model import Hull
from templates_gen.numerics.directions import cross

Array = NDArray[np.float64]

FAIR = 0.12
"""On the third derivative of a land, taken over its length, in girths of the boat."""

SWEEP = 1.0
"""On how a land bends in the strakes' faces, over its length: what makes a strake sweep, and asks for edge-set."""

TWIST = 1.0
"""On how a strake's face turns from place to place, radians."""

BEVEL = 2.0
"""On the cube of a bevel over what a lap carries that planes half of the stock away."""

STEEP = 1.4
"""From about this ratio up it is no longer its cube that counts, but the ratio itself."""

EVEN, NEIGHBOURS, ENDS = 1.5, 4.0, 10.0
"""On a strake's width over its even share, on how much that differs from strake to strake, and the same at ends."""

GRADUAL, STEADY = 2.0, 1.0
"""On how that width bends along a strake, and on how it differs, from place to place."""

ONE_GREATEST = 40.0
"""On how much a strake widens again where it should taper from its greatest width, over its even share."""

SHORT, MARGIN, YIELDS = 18.0, 0.012, 6.0
"""On what planing takes too much, over the thickness, counted from a little before.

It weighs less where an edge of more than half the thickness is asked for: a tenth of a mm then asks for much. Past
YIELDS it pulls no harder: a shortage without an easy cure must not drag every land with it.
"""

NARROW, LEAST_SHARE = 30.0, 0.3
"""On what a strake lacks of this share of its even width."""

PEAK = 0.02
"""Places with girths alike within about this share are all taken for the widest."""

WINDOW = 4
BELOW = 2
"""Lands in a group's window, and how many of them lie below the group's own."""

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
    """

    hull: Hull
    places: Places
    even: Array

    def widths(self, girths: Array) -> Array:
        """Return how much wider than its even share every strake shows, as a fraction, shape (N, p)."""
        return np.diff(girths - self.even, axis=0, prepend=0.0) / self.shares

    @cached_property
    def shares(self) -> Array:
        """Even shown widths, shape (N, p), mm."""
        shares = even_shares(self.hull)
        shown = self.places.girth - self.places.start - self.hull.lands.rubbing_strip
        return np.asarray(shares[:, None] / shares.sum() * shown)


Term = tuple[Array, Array]
"""Residuals (N or N - 1, ...), and their slopes by the marks in the window, (N or N - 1, ..., WINDOW, p).

Lands of a window that the boat does not have keep whatever slope stands there: nobody moves them.
"""


def residuals(aim: Aim, run: Run, girths: Array) -> Term:
    """Return every residual of marks (N, p), shape (N, m), with their slopes (N, m, WINDOW, p)."""
    trials = np.repeat(girths[None], 1 + WINDOW, axis=0)
    for colour in range(WINDOW):
        trials[1 + colour, colour:-1:WINDOW] += _STEP
    laps = laps_of(aim.places, aim.hull, run, trials)
    terms = [
        *_lap_terms(aim, laps),
        _twist_term(run, laps),
        *_edge_terms(aim, run, girths, laps),
        *_width_terms(aim, run, girths),
    ]
    strakes = len(girths)
    values = [_padded(value.reshape(len(value), -1), strakes) for value, _ in terms]
    slopes = [_padded(slope.reshape(len(slope), -1, *slope.shape[-2:]), strakes) for _, slope in terms]
    return np.concatenate(values, axis=1), np.concatenate(slopes, axis=1)


def _padded(groups: Array, strakes: int) -> Array:
    """Groups of lands, of which there is one less than there are strakes, with an empty one for the sheer."""
    lacking = strakes - len(groups)
    return np.concatenate([groups, np.zeros((lacking, *groups.shape[1:]))]) if lacking else groups


def _weight_of_place(places: int) -> float:
    """Fewer or more places than five stations and two ends make no difference to the balance."""
    return float(np.sqrt(7.0 / places))


def _lap_terms(aim: Aim, laps: Laps) -> Iterator[Term]:
    planking = aim.hull.planking
    thickness = np.array(planking.thickness[:-1])[:, None]
    ratio = laps.bevel / np.arctan(thickness / (2.0 * planking.lap))
    weight = BEVEL * _weight_of_place(aim.even.shape[1])
    yield _by_place(weight * ratio**3 / (1.0 + (ratio / STEEP) ** 8) ** 0.25)
    spare = thickness - np.array(planking.least_edge[:-1])[:, None]
    weight = SHORT * np.minimum(2.0 * spare / thickness, 1.0) ** 2
    yield _by_place(_yielding(weight * np.maximum(laps.shortage / thickness + MARGIN, 0.0)))


def _yielding(residual: Array) -> Array:
    """A residual, 0 or more, which past YIELDS pulls no harder; its square is then a straight, eased below."""
    return np.asarray(np.sqrt(2.0) * YIELDS * np.sqrt(np.sqrt(1.0 + (residual / YIELDS) ** 2) - 1.0))


def _by_place(trials: Array) -> Term:
    """Residuals (b, N - 1, p) that hang on the marks of their own place."""
    slopes = _local_slopes(trials)
    return trials[0], slopes[..., None] * np.eye(slopes.shape[1])[:, None]


def _local_slopes(trials: Array) -> Array:
    """Slopes (rows, ..., WINDOW) of quantities (b, rows, ...) by the marks at the same place.

    One land in four is moved at a time, so that a row's window holds each move once.
    """
    rows = np.arange(trials.shape[1])[:, None]
    change = (trials[1:] - trials[0]) / _STEP
    return np.moveaxis(change[(rows + np.arange(WINDOW) - BELOW) % WINDOW, rows], 1, -1)


def _twist_term(run: Run, laps: Laps) -> Term:
    chords = np.diff(run.knots, axis=1)
    weight = (TWIST * np.sqrt(run.knots[:, -1:] / chords / chords.shape[1]))[..., None]
    local = _local_slopes(laps.normal)[..., None]
    at = np.eye(local.shape[1])[:, None, None]
    slopes = weight[..., None, None] * (local[:, 1:] * at[1:] - local[:, :-1] * at[:-1])
    return weight * np.diff(laps.normal[0], axis=1), slopes


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
    """Residuals (N - 1, ...) that hang on the marks of their own land, with slopes (N - 1, ..., p)."""
    window = np.zeros((*slopes.shape[:-1], WINDOW, slopes.shape[-1]))
    window[..., BELOW, :] = slopes
    return value, window


def _width_terms(aim: Aim, run: Run, girths: Array) -> Iterator[Term]:
    """How even the strakes show, from strake to strake and from place to place."""
    width, slopes = aim.widths(girths), _by_edges(1.0 / aim.shares)
    places = width.shape[1]
    by_place, at = _weight_of_place(places), np.eye(places)
    for operator in (EVEN * by_place * at, _along_strake(run)):
        yield width @ operator.T, np.einsum("mi,ksi->kmsi", operator, slopes)
    firm = np.full((len(width) - 1, places), NEIGHBOURS * by_place)
    firm[:, [0, -1]] = ENDS
    firm[0, aim.places.is_stem] = NEIGHBOURS * by_place
    steps = np.roll(slopes[1:], 1, axis=1) - slopes[:-1]
    yield firm * np.diff(width, axis=0), firm[..., None, None] * np.einsum("ksi,ij->kisj", steps, at)
    lacking = np.maximum(LEAST_SHARE - 1.0 - width, 0.0)
    yield (
        NARROW * by_place * lacking,
        np.where(lacking > 0.0, -NARROW * by_place, 0.0)[:, :, None, None] * np.einsum("ksi,ij->kisj", slopes, at),
    )
    yield _taper_term(aim, width)


def _by_edges(weight: Array) -> Array:
    """Slopes (N, WINDOW, p) of weights (N, p) times widths: up with the land above, down with the one below."""
    slopes = np.zeros((len(weight), WINDOW, weight.shape[1]))
    slopes[:, BELOW], slopes[:, BELOW - 1] = weight, -weight
    return slopes


def _along_strake(run: Run) -> Array:
    """What gives second and first differences from place to place, shape (2 p - 3, p); a mean bay counts as 1."""
    places = run.knots.shape[1]
    along = run.knots.mean(axis=0)
    bays = np.diff(along) / along[-1] * (places - 1)
    first = np.diff(np.eye(places), axis=0)
    return np.concatenate([GRADUAL * np.diff(first / bays[:, None], axis=0), STEADY * first])


def _taper_term(aim: Aim, width: Array) -> Term:
    """Strakes that widen toward an end, from where they would be widest if all showed alike; in mm, not shares."""
    shares = aim.shares
    bays = shares.shape[1] - 1
    toward_end = _toward_end(shares)
    weight = ONE_GREATEST * _weight_of_place(bays + 1) * toward_end / shares.mean(axis=1, keepdims=True)
    widening = weight * np.diff((1.0 + width) * shares, axis=1)
    edges = _by_edges(np.ones_like(shares))[:, None]
    slopes = (
        np.where(widening > 0.0, weight, 0.0)[..., None, None] * edges * np.diff(np.eye(bays + 1), axis=0)[:, None]
    )
    return np.maximum(widening, 0.0), slopes


def _toward_end(shares: Array) -> Array:
    """For every bay 1 where it lies aft of the place of greatest width, -1 forward of it, shape (N, p - 1).

    Where several places have about the greatest width, the bays between them count less, down to 0.
    """
    height = shares / shares.max(axis=1, keepdims=True)
    likely = np.exp((height - 1.0) / PEAK * 4.0)
    before = np.cumsum(likely, axis=1)[:, :-1] / likely.sum(axis=1, keepdims=True)
    return np.asarray(2.0 * before - 1.0)
