"""How hard a strake is to hang: twist, bend and stretch, and whether it bends cold."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.hull.model import Planking
from templates_gen.numerics.chains import running
from templates_gen.numerics.directions import angle_between, reject, unit

Array = NDArray[np.float64]

STRETCH_RUN = 300.0
"""Length of edge over which stretch is averaged, mm: a local peak at a corner is not felt in the hand."""

BEND_RUN = 150.0
"""Length of the middle line over which a bend is averaged, mm: shorter ones, as where a gerald starts, are planed."""

COLD_RADIUS = 100.0
"""Least bend radius of solid timber, in thicknesses, that bends cold (common practice, 80 to 100)."""

STEAM_RADIUS = 25.0
"""Least bend radius of solid timber, in thicknesses, that steam reaches (common practice, from memory)."""

PLYWOOD_RADII = np.array([[6.35, 7.94, 9.53, 12.7, 15.88, 19.05], [1524.0, 1829.0, 2438.0, 3658.0, 4877.0, 6096.0]])
"""Thickness, and least radius along the face grain that dry plywood takes, mm.

Source: American Plywood Association's table: 1/4 in 5 ft, 5/16 6, 3/8 8, 1/2 12, 5/8 16, 3/4 20.
"""

WET_PLYWOOD = 0.5
"""Share of the dry radius that plywood reaches with hot water (common practice, from memory)."""

COLD_TWIST = np.radians(45.0)
"""Twist over a metre that bends cold (common practice, from memory)."""

STEAM_TWIST = np.radians(120.0)
"""Twist over a metre that steam or hot water reaches (common practice, from memory)."""

COLD_STRETCH = 0.003
"""Mean stretch or squeeze of an edge over its worst 300 mm that bends cold (common practice, from memory)."""

STEAM_STRETCH = 0.010
"""The same with steam: solid timber takes 0.6 to 1 % (common practice)."""

METRE = 1000.0

_ALONG = 601


@dataclass(frozen=True)
class Bending:
    """How hard a strake is to hang.

    Attributes
    ----------
    twist_per_metre : float
        Turn of its face over the worst metre, radians.
    least_bend_radius : float
        Of its middle face along its middle line, over its worst 150 mm, mm; infinite when flat.
    edge_stretch : float
        Mean stretch (+) or squeeze (-) of the edge that takes most, over its worst 300 mm, as a fraction: how much
        longer the bent plank is there than the flat one.
    verdict : str
        "bends cold", "needs steam" or "will not bend".
    """

    twist_per_metre: float
    least_bend_radius: float
    edge_stretch: float
    verdict: str


def bending(strake: FlatStrake) -> Bending:
    """Return how hard a strake is to hang."""
    shell, number = strake.shell, strake.number
    thickness = shell.planking.thickness[number - 1]
    u, s, line = _middle_line(strake)
    twist = _twisted(strake, u, s, line)
    bend = _worst_bend(np.sum(np.asarray(line(s, 2)) * shell.normal(number, u, np.full_like(u, 0.5)), axis=1), s)
    radius = float("inf") if bend < 1e-9 else 1.0 / bend
    stretch = max((_edge_stretch(strake, v) for v in (0.0, 1.0)), key=abs)
    worst = float(np.max(np.abs(_over_runs(twist.turned, twist.s, twist.span)))) * METRE / twist.span
    return Bending(worst, radius, stretch, _verdict(shell.planking, thickness, radius, worst, abs(stretch)))


@dataclass(frozen=True)
class RunningTwist:
    """How far a strake's rulings have turned about its middle line, free of the line's own bending.

    Attributes
    ----------
    u, s, turned : Array, shape (m,)
        Rulings; running length of the middle line there, mm; the turn up to there, radians.
    """

    u: Array
    s: Array
    turned: Array

    @property
    def span(self) -> float:
        """Return the length over which twist is given: a metre, or the whole of a shorter strake, mm."""
        return min(METRE, float(self.s[-1]))

    def per_metre(self, u: Array) -> Array:
        """Return the twist over the metre about rulings u, or over the first or last one, radians per metre."""
        start = np.clip(np.interp(u, self.u, self.s) - self.span / 2, 0.0, self.s[-1] - self.span)
        turn = np.interp(start + self.span, self.s, self.turned) - np.interp(start, self.s, self.turned)
        return np.asarray(np.abs(turn) * METRE / self.span)


def running_twist(strake: FlatStrake) -> RunningTwist:
    """Return how far a strake's rulings turn about its middle line, from its fore end on."""
    return _twisted(strake, *_middle_line(strake))


def _twisted(strake: FlatStrake, u: Array, s: Array, line: CubicSpline) -> RunningTwist:
    tangent = unit(np.asarray(line(s, 1)))
    ruling = unit(strake.shell.upper(strake.number, u) - strake.shell.lower(strake.number, u))
    return RunningTwist(u, s, _carried(unit(reject(ruling, tangent)), tangent))


def _middle_line(strake: FlatStrake) -> tuple[Array, Array, CubicSpline]:
    """Rulings, running length and course of the line half-way across, at mid-thickness."""
    u = np.linspace(strake.end_ruling("fore", 0.5), strake.end_ruling("aft", 0.5), _ALONG)
    thickness = strake.shell.planking.thickness[strake.number - 1]
    middle = strake.shell.face(strake.number, u, np.full_like(u, 0.5), thickness / 2)
    s = running(middle)
    return u, s, CubicSpline(s, middle)


def bend_limits(planking: Planking, thickness: float) -> tuple[float, float]:
    """Return the least radius that bends cold and the least that goes with steam or hot water, mm.

    Glued planking is taken to be plywood with its face grain along the strake, riveted to be solid timber.
    """
    if planking.method == "riveted":
        return COLD_RADIUS * thickness, STEAM_RADIUS * thickness
    sizes, radii = PLYWOOD_RADII
    if thickness < sizes[0]:
        cold = float(radii[0] * thickness / sizes[0])
    else:
        cold = float(np.interp(thickness, sizes, radii)) * max(1.0, thickness / float(sizes[-1]))
    return cold, WET_PLYWOOD * cold


def _verdict(planking: Planking, thickness: float, radius: float, twist: float, stretch: float) -> str:
    cold, steam = bend_limits(planking, thickness)
    if radius < steam or twist > STEAM_TWIST or stretch > STEAM_STRETCH:
        return "will not bend"
    if radius < cold or twist > COLD_TWIST or stretch > COLD_STRETCH:
        return "needs steam"
    return "bends cold"


def _worst_bend(curvature: Array, s: Array) -> float:
    """The mean curvature over the run where it is greatest either way, 1/mm."""
    turned = np.concatenate([[0.0], np.cumsum((curvature[1:] + curvature[:-1]) / 2 * np.diff(s))])
    span = min(BEND_RUN, float(s[-1]))
    return float(np.max(np.abs(_over_runs(turned, s, span)))) / span


def _edge_stretch(strake: FlatStrake, v: float) -> float:
    """The mean stretch of one edge over the run where it is greatest: bent against flat, both at mid-thickness."""
    number = strake.number
    half = strake.shell.planking.thickness[number - 1] / 2
    u = np.linspace(strake.end_ruling("fore", v), strake.end_ruling("aft", v), _ALONG)
    across = np.full_like(u, v)
    bent, flat = running(strake.shell.face(number, u, across, half)), running(strake.at(u, across))
    span = min(STRETCH_RUN, float(flat[-1]))
    over = _over_runs(bent, flat, span) / span - 1.0
    return float(over[np.argmax(np.abs(over))])


def _over_runs(values: Array, s: Array, span: float) -> Array:
    """How much running values grow over every run of a given length that starts or ends at a sample."""
    starts = np.clip(np.union1d(s, s - span), 0.0, s[-1] - span)
    return np.asarray(np.interp(starts + span, s, values) - np.interp(starts, s, values))


def _carried(square: Array, tangent: Array) -> Array:
    """Running twist of directions about a line, free of the line's own bending, radians."""
    axis = unit(tangent[:-1] + tangent[1:])
    first, second = unit(reject(square[:-1], axis)), unit(reject(square[1:], axis))
    turn = angle_between(first, second) * np.sign(np.sum(axis * np.cross(first, second), axis=1))
    return np.concatenate([[0.0], np.cumsum(turn)])
