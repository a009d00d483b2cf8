"""What carries a computed flat strake on to a spiled one: the differences at its points, faired and shared out."""

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.spiling.overlay import Laid
from templates_gen.hull.measured.spiling import EDGES, EdgeName
from templates_gen.numerics.chains import nearest_places
from templates_gen.numerics.regression import Surface

Array = NDArray[np.float64]
Warp = Callable[[Array], Array]
"""Points (n, 2) of the computed flat strake in, the same points on the spiled strake out."""

Run = Callable[[Array], Array]
"""Places along an edge in, shape (m,), what it is off there out, aft and up, shape (m, 2)."""

_TREND = 1.0
"""Size of a run's level and lean from end to end: ten times this, mm."""

_REACHES = (0.2, 0.35, 0.7)
_AMPLITUDES = (0.1, 0.3, 0.8, 2.0, 5.0)
"""What a run's wiggles may be: their correlation length as a share of the edge, their standard deviation, mm."""


def warp_of(strake: FlatStrake, laid: Laid) -> Warp:
    """Return what carries the computed flat strake on to the spiled one.

    On each edge a smooth run is laid between the differences, as near to each as it can be read; across the strake
    they are shared out from edge to edge. Past the first and the last point they stay as they are there.
    """
    runs = _runs(strake, laid)
    edges = [(strake.edge(edge), runs[edge]) for edge in EDGES]

    def warped(points: Array) -> Array:
        (low, off_low), (high, off_high) = ((nearest_places(points, line), off) for line, off in edges)
        share = (low[1] / np.maximum(low[1] + high[1], 1e-9))[:, None]
        return np.asarray(points + (1.0 - share) * off_low(low[0]) + share * off_high(high[0]))

    return warped


def _runs(strake: FlatStrake, laid: Laid) -> dict[EdgeName, Run]:
    """The differences along each edge, as a function of the distance along it."""
    every = {edge: laid.of_edge(edge) for edge in EDGES}
    places = {edge: nearest_places(laid.computed[index], strake.edge(edge))[0] for edge, index in every.items()}
    kept = {edge: ~laid.is_left_out[index] for edge, index in every.items()}
    given = {edge: (places[edge][kept[edge]], laid.off[index[kept[edge]]]) for edge, index in every.items()}
    return {
        edge: _clipped(run, (float(places[edge].min()), float(places[edge].max())))
        for edge, run in zip(given, smooth_runs(list(given.values()), laid.noise), strict=True)
    }


def _clipped(run: Run, bounds: tuple[float, float]) -> Run:
    return lambda at: run(np.clip(at, *bounds))


def smooth_runs(edges: Sequence[tuple[Array, Array]], noise: float) -> list[Run]:
    """Return the smooth runs of differences along edges, each as a function of places along it, (m,) to (m, 2).

    Parameters
    ----------
    edges : sequence of (Array, shape (n,), Array, shape (n, 2)), n >= 3
        Places along an edge, and differences there, aft and up, mm.
    noise : float
        Standard deviation of an honest difference about its run, mm.

    Notes
    -----
    Gaussian processes with a straight trend. How much they bend, and over what length, is what makes the differences
    of all edges the likeliest, aft and up each for itself: a boat that is fair is averaged, one that is not is
    followed.
    """
    chosen = [_likeliest([(s, off[:, part]) for s, off in edges], noise) for part in range(2)]

    def run_of(edge: int) -> Run:
        s = edges[edge][0]
        return lambda at: np.stack([runs[edge].at(_inputs(at, s)).reshape(np.shape(at)) for runs in chosen], axis=-1)

    return [run_of(edge) for edge in range(len(edges))]


def _likeliest(edges: Sequence[tuple[Array, Array]], noise: float) -> list[Surface]:
    """Return the runs of figures, each given with its places, with the bend that makes them the likeliest."""
    empty = np.empty(0)
    tried = [
        [
            Surface(
                empty, empty, empty, _TREND, amplitude, noise, np.array([reach]), empty, empty, is_endless=True
            ).of(_inputs(s, s), values, np.ones(len(s)))
            for s, values in edges
        ]
        for reach in _REACHES
        for amplitude in _AMPLITUDES
    ]
    return min(tried, key=lambda runs: sum(run.negative_log_likelihood() for run in runs))


def _inputs(at: Array, s: Array) -> Array:
    """Return places along an edge as inputs of the regression, shape (m, 1): from -0.5 at the first of `s` to 0.5."""
    return np.asarray((np.ravel(at) - s.min()) / np.ptp(s) - 0.5)[:, None]
