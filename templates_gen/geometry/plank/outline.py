"""A plank as measured on the boat, flat: its edges made fair, its ends, its ticks, its setting out.

It is laid flat as the batten lay: each point has its distance along the batten and its offset from it. Nothing is
known of the plank's twist; a twisted plank that can be bent on is nearly developable, and so was the batten.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName, Place
from templates_gen.geometry.plank.runs import Run, fair_run
from templates_gen.geometry.setting_out import SettingOut, batten_points
from templates_gen.geometry.spiling.overlay import meeting
from templates_gen.geometry.strake_marks import Tick, datum_of, outline_of
from templates_gen.hull.lengths import spread_of
from templates_gen.hull.measured.plank import MeasuredPlank
from templates_gen.hull.measured.spiling import EDGES, EdgeName
from templates_gen.numerics.chains import running
from templates_gen.numerics.curves import cubic

Array = NDArray[np.float64]

LEAST_SLIP = 3.0
"""A point that is nearer than this to the run of its edge is never left out, mm."""

LEAST_SLIP_ALONG = 6.0
"""... and of how far apart along the batten the two points of a place lie, mm."""

_ALONG_EDGE = 8.0
_ACROSS_END = 17


@dataclass(frozen=True)
class FairEdge:
    """One edge: its places, fore to aft, and the fair run of its offsets along the batten."""

    places: tuple[str, ...]
    run: Run

    def points(self, along: Array) -> Array:
        """Return points of the edge at distances along the batten, shape (m, 2)."""
        return np.stack([along, self.run.at(along)], axis=-1)

    def along(self, place: str) -> float:
        """Return the distance along the batten of one of its places, mm."""
        return float(self.run.along[self.places.index(place)])

    @property
    def left_out(self) -> tuple[str, ...]:
        """The places that are left out."""
        return tuple(self.places[slip.index] for slip in self.run.slips)


@dataclass(frozen=True)
class FlatPlank:
    """A measured plank laid flat, fore end left, upper edge up: the outer face to port.

    Attributes
    ----------
    measured : MeasuredPlank
    edges : dict of EdgeName to FairEdge
        Along the batten.
    angle : float
        By which all is turned from the batten's straight edge so that the plank lies level, radians.
    lower, upper : Array, shape (p, 2)
        Net edges, fore to aft, both corners included, mm.
    ends : dict of EndName to Array, shape (q, 2)
        Net ends, from the lower corner to the upper one.
    apart : tuple of str
        Places with two points that lie farther apart along the batten than their neighbours': not ticked across.
    scale : float
        How many times as long as on the batten it is.
    """

    measured: MeasuredPlank
    edges: dict[EdgeName, FairEdge]
    angle: float
    lower: Array
    upper: Array
    ends: dict[EndName, Array]
    apart: tuple[str, ...]
    scale: float = 1.0

    def edge(self, which: EdgeName) -> Array:
        """Return a net edge, shape (p, 2)."""
        return self.lower if which == "lower" else self.upper

    def at(self, which: EdgeName, along: Array) -> Array:
        """Return points of an edge at distances along the batten, shape (m, 2)."""
        return _turned(self.edges[which].points(np.atleast_1d(along)), self.angle)

    def along(self, point: Array) -> float:
        """Return the distance along the batten of a point of the plank, (2,), mm."""
        return float(self.distances(point))

    def distances(self, points: Array) -> Array:
        """Return the distances along the batten of points of the plank, (..., 2) to (...), mm."""
        return np.asarray(_turned(points, -self.angle)[..., 0])

    @property
    def outline(self) -> Array:
        """The net outline, closed without repeating a point, anticlockwise, shape (n, 2)."""
        return outline_of(self.lower, self.ends["aft"], self.upper, self.ends["fore"])

    def moved_end(self, end: EndName, by: float) -> Array:
        """Return a net end moved along the plank's edges, out of it for a positive distance, mm, shape (q, 2)."""
        net = self.ends[end]
        ways = []
        for line in (self.lower, self.upper):
            step = line[0] - line[1] if end == "fore" else line[-1] - line[-2]
            ways.append(step / np.linalg.norm(step))
        share = np.linspace(0.0, 1.0, len(net))[:, None]
        return np.asarray(net + by * ((1.0 - share) * ways[0] + share * ways[1]))

    @property
    def rough(self) -> Array | None:
        """The outline with the wood that is left past the ends, (n, 2), closed; None where no allowance was given."""
        left = {end: self.measured.ends[end].allowance or 0.0 for end in ENDS}
        if not any(left.values()):
            return None
        fore, aft = (self.moved_end(end, left[end]) for end in ENDS)
        return np.concatenate([fore, self.upper[1:-1], aft[::-1], self.lower[-2:0:-1]])

    @property
    def middle(self) -> Array:
        """The line half-way between the edges, fore to aft, shape (p, 2)."""
        return np.asarray((self.lower + self.upper) / 2)

    def place(self, name: str) -> Place:
        """Return a place as a typed value."""
        order = float(self.measured.places.index(name))
        return Place("end", name) if name in ENDS else Place("measured", name, order=order)

    def setting_out(self) -> SettingOut:
        """Return the datum, the ticks, and the points that a batten needs between them to fall true."""
        ticks = self.ticks()
        between = [
            batten_points(edge, np.concatenate([edge[:1], knots.reshape(-1, 2), edge[-1:]]))
            for edge, knots in (
                (self.lower, np.array([tick.lower for tick in ticks])),
                (self.upper, np.array([tick.upper for tick in ticks])),
            )
        ]
        return SettingOut(datum_of(self.middle, self.outline), ticks, *between)

    def ticks(self) -> tuple[Tick, ...]:
        """Return the places that both edges have, fore to aft; their rulings are distances along the batten."""
        low, high = (self.edges[edge] for edge in EDGES)
        ticks = []
        for name in self.measured.places:
            if name in ENDS or name in self.apart or name not in low.places or name not in high.places:
                continue
            at_low, at_high = low.along(name), high.along(name)
            points = self.at("lower", np.array(at_low))[0], self.at("upper", np.array(at_high))[0]
            ticks.append(Tick(self.place(name), *points, at_low, at_high))
        return tuple(ticks)


def flat_plank(measured: MeasuredPlank) -> FlatPlank:
    """Return a measured plank laid flat.

    Notes
    -----
    A plank thicker than the batten bends about a middle further out: it is longer by half the difference times the
    angle that it turns through. Where that angle was measured it is spread evenly over the length.
    """
    read = read_points(measured)
    length = max(float(one["aft"][0] - one["fore"][0]) for one in read.values())
    scale = 1.0 + longer(measured) * (measured.turn or 0.0) / length
    points = {edge: {place: point * (scale, 1.0) for place, point in one.items()} for edge, one in read.items()}
    edges = {edge: _fair_edge(points[edge], measured) for edge in EDGES}
    bounds = {edge: (edges[edge].along("fore"), edges[edge].along("aft")) for edge in EDGES}
    longest = max(stop - start for start, stop in bounds.values())
    count = max(int(np.ceil(longest / _ALONG_EDGE)) + 1, 33)
    low, high = (edges[edge].points(np.linspace(*bounds[edge], count)) for edge in EDGES)
    chord = (low[-1] + high[-1] - low[0] - high[0]) / 2
    angle = -float(np.arctan2(chord[1], chord[0]))
    corners = {"fore": (low[0], high[0]), "aft": (low[-1], high[-1])}
    ends = {end: _end(measured.ends[end].points * (scale, 1.0), *corners[end]) for end in ENDS}
    return FlatPlank(
        measured,
        edges,
        angle,
        _turned(low, angle),
        _turned(high, angle),
        {end: _turned(line, angle) for end, line in ends.items()},
        _apart(points, measured),
        scale,
    )


def _turned(points: Array, angle: float) -> Array:
    cosine, sine = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[cosine, sine], [-sine, cosine]]))


def longer(measured: MeasuredPlank) -> float:
    """Return by how much the plank is longer than the batten for each radian that it turns, mm."""
    return (measured.thickness - measured.batten) / 2


def read_points(measured: MeasuredPlank) -> dict[EdgeName, dict[str, Array]]:
    """Every point that was read, by edge and place, fore to aft: along the batten and across it, mm."""
    found: dict[EdgeName, dict[str, Array]] = {}
    for edge in EDGES:
        arcs = {place: meeting(one, edge == "upper") for place, one in measured.arcs[edge].items()}
        read = measured.points[edge] | arcs
        found[edge] = {place: read[place] for place in measured.places if place in read}
    return found


def _fair_edge(points: dict[str, Array], measured: MeasuredPlank) -> FairEdge:
    read = np.array([*points.values()])
    spreads = np.full(len(read), spread_of(measured.step))
    return FairEdge(tuple(points), fair_run(read[:, 0], read[:, 1], spreads, LEAST_SLIP))


def _apart(points: dict[EdgeName, dict[str, Array]], measured: MeasuredPlank) -> tuple[str, ...]:
    """Places whose two points are a slip apart along the batten."""
    low, high = (points[edge] for edge in EDGES)
    both = [place for place in low if place in high and place not in measured.by_widths and place not in ENDS]
    if len(both) < 2:
        return ()
    along = np.array([low[place][0] for place in both])
    apart = np.array([high[place][0] - low[place][0] for place in both])
    run = fair_run(along, apart, np.full(len(both), 2.0 * spread_of(measured.step)), LEAST_SLIP_ALONG)
    return tuple(both[slip.index] for slip in run.slips)


def _end(between: Array, low: Array, high: Array) -> Array:
    """An end from its lower corner to its upper one, through the points that were measured of it, (k, 2)."""
    corners = np.concatenate([low[None], between, high[None]])
    run = running(corners)
    at = np.linspace(0.0, run[-1], _ACROSS_END)
    return np.asarray(cubic(run, corners)(at))
