"""What is drawn round a stem's profile: names of its lines, base line, level, first mould and sheer.

Lettering that follows a stem's bearding line, on the wood where there is room for it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.drawing.marks import letters_width, line
from templates_gen.drawing.piece import Label, Path, PrintSet, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.stem_side import StemSide, outer_edge
from templates_gen.notation import Notation
from templates_gen.numerics.chains import points_at, running
from templates_gen.templates.moulds.writing import Writing

Array = NDArray[np.float64]
Drawn = tuple[list[Path], list[Label]]

_START: Literal["start"] = "start"
_END: Literal["end"] = "end"
_HEIGHT = 3.0
_SPACING = 8.0
_CLOSEST = 5.0
"""mm from one leader to the next along the stem: as it ought to be, and the least."""

_OFF_MARKS = 3.0
"""mm along the stem that leaders keep from the marks of lands and gauges."""

_LEADERS = (9.0, 25.0, 40.0, 55.0)
"""mm that leaders run on over the fore face, the least first."""

_SHEER_SHOWN = 90.0
_SHEER_POINTS = 31
_STUB_OUT = 25.0
_STUBS = tuple(_STUB_OUT + 6.0 * k for k in range(30))
"""mm that a level line runs on past the wood to its name, the least first."""

_CLEAR_OF_LETTERS = 2.0
_PAST_FOOT = 3.0
_SHORTEST = 3.0
_ROUND_LEVEL = 50.0
FORE = "← FORE"
"""The way to the bow, which is to the left: one label, so that no joint of sheets parts arrow and word."""

_SHORT = 60.0
"""mm of base line and keel that the bench set shows past the foot: enough to lay a straightedge to."""


def write_legend(
    notation: Notation, side: StemSide, end: EndName, cut_at_rabbet: bool, marks: Array, writing: Writing
) -> list[str]:
    """Write the name of each line of the profile, led over the fore face, and of the inner edge.

    Returned are the names for which there is no room.

    Leaders keep clear of words and of `marks`, shape (n,): distances from the foot of the lines across the stem, mm.
    """
    bevelled = side.stem.joint == "bevel"
    face, outer = outer_edge(side), "fore" if end == "fore" else "after"
    names: list[tuple[str, str]] = []
    if face is not None:
        names.append(("face", f"{outer} face" if not bevelled else f"{outer} face of the false stem"))
    rabbet = f"rabbet line: the corner of the {outer} face" if bevelled else "rabbet line"
    names.append(("rabbet", rabbet if bevelled or not cut_at_rabbet else f"rabbet line; no {outer} face is given"))
    if not bevelled:
        names.append(("apex", "apex: bottom of the cut, not scribed"))
    apron = "" if side.stem.apron is None else f"; behind it the apron, {notation.length(side.stem.apron)} wide"
    names.append(("bearding", f"{'bevel ends on the side' if bevelled else 'bearding line'}{apron}"))
    start = _clear_distance(side, _SPACING * (len(names) - 1))
    wanted, least, missing = start, 0.0, []
    for kind, name in names:
        for further, distance in product(_LEADERS, _round(side, marks, wanted, least)):
            point, _, into = side.side(np.array(distance))
            out = face_distance(face, point, into) if face is not None else 0.0
            inside = {"face": -out, "rabbet": 0.0, "bearding": side.bearding_at(distance)}.get(
                kind, float(np.interp(distance, side.along, side.apex))
            )
            if _lead(name, point + inside * into, point - (out + further) * into, end == "aft", writing):
                wanted, least = distance + _SPACING, distance + _CLOSEST
                break
        else:
            missing.append(name)
    known = side.stem.wood_inside is not None
    text = "inner edge of the wood" if known else "edge of this pattern only"
    for distance in _round(side, marks, start, 0.0):
        edge, into = side.inside(np.array(distance), side.wood), side.side(np.array(distance))[2]
        if _lead(text, edge, edge + 22.0 * into, end == "fore", writing):
            return missing
    return [*missing, text]


def _round(side: StemSide, marks: Array, wanted: float, least: float) -> list[float]:
    """Distances along a stem from `least` on, the nearest to `wanted` first, off the marks across it."""
    first, last = max(10.0, least), float(side.along[-1]) - 10.0
    places = np.array([wanted, *np.arange(first, last, 2.0)])
    off = np.abs(places[:, None] - marks).min(axis=1)
    places = places[(places >= first) & (places <= last) & (off > _OFF_MARKS)]
    return [float(place) for place in places[np.argsort(np.abs(places - wanted), kind="stable")]]


def _lead(text: str, from_point: Array, to_point: Array, rightward: bool, writing: Writing) -> bool:
    """Return whether words found room at the end of a leader; then they are written and it is drawn."""
    (x0, y0), (x1, y1) = from_point.tolist(), to_point.tolist()
    leader = line(Role.NOTE, (x0, y0), (x1, y1))
    if not writing.is_clear_of_words(leader) or not writing.add([_beyond(text, to_point, rightward)]):
        return False
    writing.draw([leader])
    return True


def _clear_distance(side: StemSide, span: float) -> float:
    """Where up the stem the leaders start: in the quarter of a strake's end above its gauge, near the middle."""
    strake = len(side.lands) // 2
    low, high = side.lands[strake - 1 : strake + 1]
    middle = low + 0.75 * (high - low)
    return float(np.clip(middle - span / 2, side.along[0] + 10.0, side.along[-1] - span - 10.0))


def face_distance(face: Array, point: Array, inward: Array) -> float:
    """Return how far the fore face (p, 2) lies outside a point of the rabbet line, square to it, mm."""
    offset = face - point
    along = offset @ np.array([-inward[1], inward[0]])
    order = np.argsort(along)
    return float(np.interp(0.0, along[order], -(offset @ inward)[order]))


def _beyond(text: str, tip: Array, rightward: bool) -> Label:
    x, anchor = float(tip[0]) + (2.0 if rightward else -2.0), _START if rightward else _END
    return Label(text, (x, float(tip[1]) - _HEIGHT / 2), _HEIGHT, 0.0, anchor, has_leader=True)


def _centred(text: str, x: float, y: float) -> Label:
    return Label(text, (x, y), _HEIGHT, 0.0, "middle", kind="measure")


def _over_base(text: str, x_foot: float, end: EndName) -> Label:
    """Words over the base line from the line up to the foot on: under it they would take more paper.

    They are held by their far end: what begins by the datum line counts as one of its figures.
    """
    past = _PAST_FOOT + letters_width(text, _HEIGHT)
    x, anchor = (x_foot + past, _END) if end == "fore" else (x_foot - past, _START)
    return Label(text, (x, 2.0), _HEIGHT, 0.0, anchor, kind="measure")


def surroundings(boat: Boat, end: EndName, side: StemSide, to_print: PrintSet) -> Drawn:
    """Return base line, keel's rabbet to the nearest mould, and the sheer; in the bench set no more than their start.

    How far the mould is from the foot is written.
    """
    paths, labels = _setting(boat, end, side, _SHORT if to_print == "bench" else np.inf)
    more_paths, more_labels = _sheer(boat, end)
    return paths + more_paths, labels + more_labels


def _setting(boat: Boat, end: EndName, side: StemSide, shown: float) -> Drawn:
    """The base line and the keel's rabbet from the foot to the nearest station, with the distance between them.

    `shown`: how much of them is drawn, mm.
    """
    notation = boat.hull.notation
    station = boat.hull.stations[0 if end == "fore" else -1]
    foot = side.inside(np.array(0.0), 0.0)
    x_foot, z_foot = float(foot[0]), float(foot[1])
    edge = boat.shell.hung.rabbet.batten
    reach = float(np.clip(station.at - x_foot, -shown, shown))
    is_whole = abs(reach) == abs(station.at - x_foot)
    keel = edge.point(edge.at_x(np.linspace(x_foot, x_foot + reach, 25)))[:, [0, 2]]
    name = f"{'mould' if station.mould else 'station'} {station.name}"
    top = float(station.rabbet[1]) + 50.0
    between = notation.length(abs(station.at - x_foot))
    side_of = "forward" if end == "fore" else "aft"
    out = -40.0 if end == "fore" else 40.0
    paths = [
        line(Role.NOTE, (x_foot + out, 0.0), (x_foot + reach - out, 0.0)),
        *([line(Role.NOTE, (station.at, 0.0), (station.at, top))] if is_whole else []),
        line(Role.DATUM, (x_foot, 0.0), (x_foot, z_foot)),
        Path(keel, Role.NOTE),
    ]
    middle = x_foot + reach / 2
    labels = [
        *([_centred(f"{name}: {notation.along(station.at)}", station.at, top + 2.0)] if is_whole else []),
        _over_base(f"base line; foot of the rabbet {between} {side_of} of {name}", x_foot, end),
        Label("rabbet line of the keel", (middle, float(keel[:, 1].min()) - 6.0), _HEIGHT, 0.0, "middle"),
    ]
    return paths, labels


def level_line(boat: Boat, outline: Array, writing: Writing) -> None:
    """Draw a level line across the wood, the waterline or a level at a round height, and the way to the bow.

    The line is broken where it would run through what is written, and runs on to where there is room for its name.
    """
    notation = boat.hull.notation
    height, name = boat.hull.waterline, "waterline"
    if height is None:
        height, name = float(np.round(outline[:, 1].mean() / _ROUND_LEVEL) * _ROUND_LEVEL), "level"
    ends = np.concatenate([outline, outline[:1]])
    above = ends[:, 1] - height
    at = np.flatnonzero(above[:-1] * above[1:] < 0.0)
    if len(at) < 2:
        return
    share = above[at] / (above[at] - above[at + 1])
    x = ends[at, 0] + share * (ends[at + 1, 0] - ends[at, 0])
    low, high = float(x.min()), float(x.max())
    written, stub = list(writing.labels), _STUB_OUT
    text = f"{name}: {notation.length(height)} above base"
    for stub in _STUBS:
        begin = high + stub
        if writing.add([_beyond(text, np.array([begin, height]), True), Label(FORE, (begin, height + 7.0), 4.0)]):
            break
    gaps = sorted(gap for label in written if (gap := _lettered(label, height)) is not None)
    edges = [low - _STUB_OUT, *(x for gap in _joined(gaps) for x in gap), high + stub]
    writing.draw(
        [
            line(Role.SCRIBE, (start, height), (stop, height))
            for start, stop in zip(edges[::2], edges[1::2], strict=True)
            if stop - start > _SHORTEST
        ]
    )


def _lettered(label: Label, height: float) -> tuple[float, float] | None:
    """The x between which a level line at some height runs through a label; None if it is clear of it."""
    width, tall, clear = letters_width(label.text, label.height), label.height, _CLEAR_OF_LETTERS
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[label.anchor]
    corners = np.array([[left, -0.35 * tall], [left + width, -0.35 * tall], [left + width, tall], [left, tall]])
    corners += clear * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    cosine, sine = np.cos(label.angle), np.sin(label.angle)
    around = corners @ np.array([[cosine, sine], [-sine, cosine]]) + np.array(label.at)
    following = np.roll(around, -1, axis=0)
    above, below = around[:, 1] - height, following[:, 1] - height
    crossed = above * below < 0.0
    if not crossed.any():
        return None
    share = above[crossed] / (above[crossed] - below[crossed])
    x = around[crossed, 0] + share * (following[crossed, 0] - around[crossed, 0])
    return float(x.min()), float(x.max())


def _joined(gaps: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Gaps in order, those that meet made one."""
    joined: list[tuple[float, float]] = []
    for start, stop in gaps:
        if joined and start <= joined[-1][1]:
            start, stop = joined[-1][0], max(stop, joined.pop()[1])
        joined.append((start, stop))
    return joined


def _sheer(boat: Boat, end: EndName) -> Drawn:
    """The sheer's last stretch to the stem."""
    shell, strakes = boat.shell, boat.hull.planking.strakes
    start = shell.hull.stations[0].at if end == "fore" else shell.hull.stations[-1].at
    points = shell.upper(strakes, np.linspace(shell.u_end(end), start, 60))[:, [0, 2]]
    length = running(points)
    along = np.linspace(0.0, min(_SHEER_SHOWN, float(length[-1])), _SHEER_POINTS)
    shown = points_at(points, length, along)
    return [Path(shown, Role.NOTE)], [_beyond("sheer", shown[-1], end == "fore")]


_GAP = 2.5
_FROM_BEARDING = 10.5
"""mm from the bearding line to what is written on the wood: its name stands in between."""

_HEIGHTS = (3.0, 2.5)
_UPSIDE_DOWN = -0.5


@dataclass(frozen=True)
class Strip:
    """The strip of wood between bearding line and inner edge, by distance along the rabbet line from the foot.

    Attributes
    ----------
    along : Array, shape (p,)
    rabbet, toward_head, inward, bearding, inner : Array, shape (p, 2)
    run : Array, shape (p,)
        Length along the middle of the lettering, shorter than `along` inside a bend, mm.
    """

    along: Array
    rabbet: Array
    toward_head: Array
    inward: Array
    bearding: Array
    inner: Array
    run: Array

    def words(self, text: str, distance: float) -> Iterator[Label]:
        """Yield a text on the wood at a distance from the foot, the highest letters first; nothing without room."""
        low, high = float(self.run[0]) + _GAP, float(self.run[-1]) - _GAP
        at = float(np.interp(distance, self.along, self.run))
        for height in _HEIGHTS:
            width = letters_width(text, height)
            if width <= high - low:
                middle = float(np.clip(at, low + width / 2, high - width / 2))
                label = self._at(text, height, width, float(np.interp(middle, self.run, self.along)))
                if label is not None:
                    yield label

    def _at(self, text: str, height: float, width: float, middle: float) -> Label | None:
        point, head, inward = (self._interpolated(a, middle) for a in (self.rabbet, self.toward_head, self.inward))
        near = np.abs(self.along - middle) < width / 2 + 4.0
        start = float(((self.bearding[near] - point) @ inward).max()) + _FROM_BEARDING
        stop = float(((self.inner[near] - point) @ inward).min()) - _GAP
        if start + height > stop:
            return None
        reading = -head if head[0] < _UPSIDE_DOWN else head
        up = np.array([-reading[1], reading[0]])
        at = point + (start if up @ inward > 0.0 else start + height) * inward
        angle = float(np.arctan2(reading[1], reading[0]))
        return Label(text, (float(at[0]), float(at[1])), height, angle, "middle")

    def _interpolated(self, values: Array, distance: float) -> Array:
        return points_at(values, self.along, distance)


def strip_of(side: StemSide) -> Strip:
    """Return the strip of a stem's side that is lettered."""
    rabbet, head, inward = side.side(side.along)
    bearding = rabbet + side.bearding[:, None] * inward
    middle = bearding + (_GAP + max(_HEIGHTS)) * inward
    run = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(middle, axis=0), axis=1)))
    return Strip(side.along, rabbet, head, inward, bearding, rabbet + side.wood * inward, run)
