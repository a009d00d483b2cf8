"""Strakes laid flat at mid-thickness, with every mark on them, and their measure.

A flat strake's measure, and the narrowest board that holds an outline.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PPoly

from templates_gen.about import ENDS, EndName
from templates_gen.errors import FlatteningError
from templates_gen.geometry.ends import end_bulge, end_rulings, end_surface, rulings_at_planes, run_on
from templates_gen.geometry.planking import PlankedShell
from templates_gen.numerics.curves import cubic
from templates_gen.numerics.flattening import FlatStrip, flatten

Array = NDArray[np.float64]
EdgeName = Literal["lower", "upper"]

TRUE_OUTLINE = 0.02
"""Greatest error of a flat outline that is let pass, mm."""

_COLUMNS = 65
_TRUE = 0.002
_MOST_HALVINGS = 12
_LEAST_STEP = 1.5e-4
"""Columns no further apart than this share of the length are not halved: splines on closer ones lose to rounding."""

_MISS_TO_ERROR = 5.0
_LEAST_RAMP = 0.02
_ACROSS = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
_POWERS = np.arange(len(_ACROSS))
_WEIGHTS = np.linalg.inv(np.power(_ACROSS[:, None], _POWERS))
"""Coefficients of the five quartics that are 1 at their own share across and 0 at the others, by powers of it."""

_ALONG_EDGE = 12.0
"""Greatest distance between points of an outline, mm."""

_ACROSS_END = 17


@dataclass(frozen=True)
class FlatStrake:
    """A strake laid flat: fore end left, upper edge up, so the outer face of the port strake.

    Attributes
    ----------
    shell : PlankedShell
    number : int
        From 1, the garboard.
    shares : Array, shape (m,)
        Of the way from end to end, at which the flat shape was computed.
    ends : Array, shape (2, 5)
        u of the fore and the after end, at the five shares across.
    strip : FlatStrip
    error : float
        How far any point of the outline may be from where closer columns would bring it, mm.
    """

    shell: PlankedShell
    number: int
    shares: Array
    ends: Array
    strip: FlatStrip
    error: float = 0.0

    @cached_property
    def _rows(self) -> PPoly:
        return cubic(self.shares, self.strip.points)

    def at(self, u: Array, v: Array) -> Array:
        """Return flat positions (..., 2) of points at rulings u and shares v across; shapes broadcast."""
        u, v = np.broadcast_arrays(np.asarray(u, dtype=np.float64), np.asarray(v, dtype=np.float64))
        across = _lagrange(v)
        start, stop = across @ self.ends[0], across @ self.ends[1]
        rows = self._rows((u - start) / (stop - start))
        return np.asarray(np.einsum("...r,...rc->...c", across, rows))

    def edge(self, which: EdgeName) -> Array:
        """Return the net edge, fore to aft, both corners included, shape (p, 2), not to be written to."""
        return self._edges[which]

    @cached_property
    def _edges(self) -> dict[EdgeName, Array]:
        return {"lower": _fixed(self._edge(0.0)), "upper": _fixed(self._edge(1.0))}

    def _edge(self, v: float) -> Array:
        points = self.line(v)
        if self.number > 1 or v > 0.0:
            return points
        return points + sum(self._trimmed_later(end, points) for end in ENDS)

    @cached_property
    def _run_on(self) -> dict[EndName, float]:
        half = self.shell.planking.thickness[self.number - 1] / 2
        return {end: run_on(self.shell, self.number, end, half) for end in ENDS}

    def _trimmed_later(self, which: EndName, edge: Array) -> Array:
        """How far out a garboard's lower edge (p, 2) is moved where it runs up a bevelled stem to be trimmed flush.

        From nothing at the foot, or a fiftieth of the length before the end, to the end's own `run_on`: square to the
        edge, and at the end square to that.
        """
        stem = self.shell.hung.stems.get(which)
        if stem is None or stem.rabbet.cornered or self._run_on[which] == 0.0:
            return np.zeros_like(edge)
        row = self.ends[:, 0]
        foot, last = float(self.shell.hung.rulings_on_rabbet(np.array(stem.rabbet.foot))), row[ENDS.index(which)]
        least = _LEAST_RAMP * (row[1] - row[0])
        foot = max(foot, last + least) if which == "fore" else min(foot, last - least)
        u = row[0] + self._line_shares(len(edge)) * (row[1] - row[0])
        share = np.clip((u - foot) / (last - foot), 0.0, 1.0)[:, None]
        along = np.gradient(edge, axis=0)
        down = np.stack([along[:, 1], -along[:, 0]], axis=1) / np.linalg.norm(along, axis=1, keepdims=True)
        corner = self.end(which)[0] - edge[0 if which == "fore" else -1]
        turned = (1.0 - share) * down * float(np.linalg.norm(corner)) + share * corner
        return np.asarray(share**2 * (3.0 - 2.0 * share) * turned)

    def _line_shares(self, count: int) -> Array:
        """Shares of the way of `count` points along a line from end to end."""
        even = np.linspace(0.0, 1.0, count)
        return np.interp(even, np.linspace(0.0, 1.0, len(self.shares)), self.shares)

    def line(self, v: float) -> Array:
        """Return the line at a share v across, from end to end, shape (p, 2)."""
        steps = np.linalg.norm(np.diff(self.strip.points, axis=0), axis=-1)
        count = int(np.ceil(len(steps) * float(steps.max()) / _ALONG_EDGE - 1e-6)) + 1
        share = self._line_shares(count)
        start, stop = (_lagrange(np.array(v)) @ row for row in self.ends)
        return self.at(start + share * (stop - start), np.full(count, v))

    def end(self, which: EndName) -> Array:
        """Return the net end, from lower to upper edge, both corners included, shape (p, 2), not to be written to.

        On a stem it is cut to the profile; how far that stands ahead of the five rows' own end is laid off flat.
        """
        return self._net_ends[which]

    @cached_property
    def _net_ends(self) -> dict[EndName, Array]:
        return {end: _fixed(self._end(end)) for end in ENDS}

    def _end(self, which: EndName) -> Array:
        ends = self.ends[0 if which == "fore" else 1]
        corners = self.at(ends[[0, -1]], np.array([0.0, 1.0]))
        long = float(np.linalg.norm(corners[1] - corners[0]))
        v = np.linspace(0.0, 1.0, max(_ACROSS_END, int(np.ceil(long / _ALONG_EDGE - 1e-6)) + 1))
        u = _lagrange(v) @ ends
        half = self.shell.planking.thickness[self.number - 1] / 2
        straight = self.at(u, v)
        points = self.shell.face(self.number, u, v, half)
        past = end_surface(self.shell, self.number, which).past(points)
        bulge = end_bulge(self.shell, self.number, which, points) + self._run_on[which] - past
        along = np.gradient(straight, axis=0)
        along = along / np.linalg.norm(along, axis=1, keepdims=True)
        ahead = np.stack([-along[:, 1], along[:, 0]], axis=1) * (1.0 if which == "fore" else -1.0)
        return np.asarray(straight + bulge[:, None] * ahead)

    def end_ruling(self, which: EndName, v: float) -> float:
        """Return u of an end at a share v across."""
        return float(_lagrange(np.array(v)) @ self.ends[0 if which == "fore" else 1])

    def crossings(self, x: Array, which: EdgeName) -> Array:
        """Return u where the mid-thickness edge crosses transverse planes at x, shape (n,)."""
        half = self.shell.planking.thickness[self.number - 1] / 2
        return rulings_at_planes(self.shell, self.number, x, np.array(0.0 if which == "lower" else 1.0), half)

    def crossing(self, x: float, which: EdgeName) -> float:
        """Return u where the mid-thickness edge crosses a transverse plane."""
        return float(self.crossings(np.array([x]), which)[0])

    def mark(self, x: float) -> tuple[Array, Array]:
        """Return where a transverse plane crosses the lower and the upper net edge, each shape (2,)."""
        lower = self.at(np.array(self.crossing(x, "lower")), np.array(0.0))
        upper = self.at(np.array(self.crossing(x, "upper")), np.array(1.0))
        return lower, upper


def flat_strake(shell: PlankedShell, number: int, fineness: int = 1) -> FlatStrake:
    """Return one strake laid flat, with the least in-plane strain of its middle face.

    Parameters
    ----------
    fineness : int
        Divides every step between the columns once more, to show that nothing depends on them.

    Notes
    -----
    Columns are halved until a spline through them keeps to the middle face within 0.002 mm half-way between them.
    What is laid flat is off by up to 4.2 times this miss (the worst of some thirty seeded hulls, against columns
    three times closer), so five times the miss is the estimate of the error.
    """
    half = shell.planking.thickness[number - 1] / 2
    ends = np.stack([end_rulings(shell, number, end, _ACROSS, half) for end in ("fore", "aft")])

    def surface(shares: Array) -> Array:
        u = ends[0] + shares[:, None] * (ends[1] - ends[0])
        return shell.face(number, u, np.broadcast_to(_ACROSS, u.shape), half)

    shares, miss = _true_columns(surface)
    if miss * _MISS_TO_ERROR > TRUE_OUTLINE:
        raise FlatteningError(
            f"its outline is off by {miss * _MISS_TO_ERROR:.2f} mm (at most {TRUE_OUTLINE:g} mm); fair its lands"
        )
    if fineness > 1:
        steps = np.arange(fineness) / fineness
        shares = np.append((shares[:-1, None] + np.diff(shares)[:, None] * steps).ravel(), shares[-1])
    return FlatStrake(shell, number, shares, ends, flatten(surface(shares)), _MISS_TO_ERROR * miss)


def _true_columns(surface: Callable[[Array], Array]) -> tuple[Array, float]:
    """Shares of the way at which columns must stand, and how far a spline through them leaves the surface, mm."""
    even = np.linspace(0.0, 1.0, _COLUMNS)
    shares = 0.15 * even + 0.425 * (1.0 - np.cos(np.pi * even))
    points = surface(shares)
    for halving in range(_MOST_HALVINGS + 1):
        middles = (shares[:-1] + shares[1:]) / 2
        true = surface(middles)
        misses = np.linalg.norm(cubic(shares, points)(middles) - true, axis=-1).max(axis=-1)
        rough = (misses > _TRUE) & (np.diff(shares) > _LEAST_STEP)
        if halving == _MOST_HALVINGS or not rough.any():
            break
        order = np.argsort(np.append(shares, middles[rough]), kind="stable")
        shares = np.append(shares, middles[rough])[order]
        points = np.concatenate([points, true[rough]])[order]
    return shares, float(misses.max())


def _fixed(points: Array) -> Array:
    """The same points, guarded against being written to, for all who ask share them."""
    points.setflags(write=False)
    return points


def _lagrange(v: Array) -> Array:
    """Weights of the five rows at shares v across, shape v.shape + (5,)."""
    return np.asarray(np.power(np.asarray(v)[..., None], _POWERS) @ _WEIGHTS)


@dataclass(frozen=True)
class Extent:
    """A flat strake's measure, mm.

    `length` along its middle line, `greatest_width` square to it, `blank` (length, width) of the narrowest board that
    holds the net outline, `sweep` how far its middle line leaves the straight between its ends.
    """

    length: float
    greatest_width: float
    blank: tuple[float, float]
    sweep: float


def extent(strake: FlatStrake) -> Extent:
    """Return a flat strake's measure."""
    middle = strake.line(0.5)
    steps = np.diff(middle, axis=0)
    chord = middle[-1] - middle[0]
    chord = chord / np.linalg.norm(chord)
    off = (middle - middle[0]) @ np.array([-chord[1], chord[0]])
    outline = np.concatenate([strake.edge("lower"), strake.edge("upper"), strake.end("fore"), strake.end("aft")])
    return Extent(
        float(np.linalg.norm(steps, axis=1).sum()),
        _greatest_width(strake),
        narrowest_board(outline),
        float(np.max(np.abs(off))),
    )


def _greatest_width(strake: FlatStrake) -> float:
    lower, upper = strake.edge("lower"), strake.edge("upper")
    middle = (lower + upper) / 2
    tangent = np.gradient(middle, axis=0)
    tangent = tangent / np.linalg.norm(tangent, axis=1, keepdims=True)
    across = upper - lower
    return float(np.max(np.abs(tangent[:, 0] * across[:, 1] - tangent[:, 1] * across[:, 0])))


def narrowest_board(points: Array) -> tuple[float, float]:
    """Return length and width of the narrowest rectangle round points (n, 2), mm.

    Source: one side of it lies along a side of the convex hull (Freeman and Shapira, 1975; from memory).
    """
    from scipy.spatial import ConvexHull

    hull = points[ConvexHull(points).vertices]
    sides = np.roll(hull, -1, axis=0) - hull
    sides = sides / np.linalg.norm(sides, axis=1, keepdims=True)
    widths = np.ptp(hull @ np.stack([-sides[:, 1], sides[:, 0]]), axis=0)
    best = int(np.argmin(widths.round(6)))
    return float(np.ptp((hull @ sides.T)[:, best])), float(widths[best])
