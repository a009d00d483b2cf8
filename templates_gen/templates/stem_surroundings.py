"""What stands round a stem's profile on the paper: names of its lines, base line, level, first mould and sheer."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import line
from templates_gen.drawing.piece import Label, Path, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.stem_side import StemSide, outer_edge
from templates_gen.hull.model import EndName
from templates_gen.units import format_length

Array = NDArray[np.float64]
Drawn = tuple[list[Path], list[Label]]

_HEIGHT = 3.0
_SPACING = 8.0
_SHEER_SHOWN = 90.0
_STUB_OUT, _STUB_IN = 25.0, 5.0
_ROUND_LEVEL = 50.0


def legend(side: StemSide, end: EndName, cut_at_rabbet: bool) -> Drawn:
    """Return a leader with its name for each line of the profile, over the fore face, and one for the inner edge."""
    bevelled = side.stem.joint == "bevel"
    face = outer_edge(side)
    names: list[tuple[str, str]] = []
    if face is not None:
        names.append(("face", "fore face" if not bevelled else "fore face of the false stem"))
    rabbet = "rabbet line: the corner of the fore face" if bevelled else "rabbet line"
    names.append(("rabbet", rabbet if bevelled or not cut_at_rabbet else "rabbet line; no fore face is given"))
    if not bevelled:
        names.append(("apex", "apex: bottom of the cut, not scribed"))
    names.append(("bearding", "bevel ends on the side" if bevelled else "bearding line"))
    start = _clear_distance(side, _SPACING * (len(names) - 1))
    distances = np.array([start + _SPACING * index for index in range(len(names))])
    points, _, inward = side.side(distances)
    paths, labels = [], []
    for (kind, name), distance, point, into in zip(names, distances, points, inward, strict=True):
        out = _face_distance(face, point, into) if face is not None else 0.0
        inside = {"face": -out, "rabbet": 0.0, "bearding": side.bearding_at(float(distance))}.get(
            kind, float(np.interp(distance, side.along, side.apex))
        )
        from_point, to_point = point + inside * into, point - (out + 9.0) * into
        paths.append(
            line(Role.NOTE, (float(from_point[0]), float(from_point[1])), (float(to_point[0]), float(to_point[1])))
        )
        labels.append(_beyond(name, to_point, end == "aft"))
    edge = side.inside(np.array(start), side.wood)
    tip = edge + 22.0 * inward[0]
    paths.append(line(Role.NOTE, (float(edge[0]), float(edge[1])), (float(tip[0]), float(tip[1]))))
    known = side.stem.wood_inside is not None
    labels.append(_beyond("inner edge of the wood" if known else "edge of this pattern only", tip, end == "fore"))
    return paths, labels


def _clear_distance(side: StemSide, span: float) -> float:
    """Where up the stem the leaders start: in the quarter of a strake's end above its gauge, near the middle."""
    strake = len(side.lands) // 2
    low, high = side.lands[strake - 1 : strake + 1]
    middle = low + 0.75 * (high - low)
    return float(np.clip(middle - span / 2, side.along[0] + 10.0, side.along[-1] - span - 10.0))


def _face_distance(face: Array, point: Array, inward: Array) -> float:
    """How far the fore face lies outside the rabbet line, square to it, mm."""
    offset = face - point
    along = offset @ np.array([-inward[1], inward[0]])
    order = np.argsort(along)
    return float(np.interp(0.0, along[order], -(offset @ inward)[order]))


def _beyond(text: str, tip: Array, rightward: bool) -> Label:
    x = float(tip[0]) + (2.0 if rightward else -2.0)
    return Label(text, (x, float(tip[1]) - _HEIGHT / 2), _HEIGHT, 0.0, "start" if rightward else "end")


def surroundings(boat: Boat, end: EndName, side: StemSide, outline: Array) -> Drawn:
    """Return base line, keel's rabbet to the nearest mould, a level line's ends on the wood, and the sheer."""
    paths, labels = _setting(boat, end, side)
    for more_paths, more_labels in (_level(boat, outline), _sheer(boat, end)):
        paths += more_paths
        labels += more_labels
    return paths, labels


def _setting(boat: Boat, end: EndName, side: StemSide) -> Drawn:
    """The base line and the keel's rabbet from the foot to the nearest station, with the distance between them."""
    units = boat.hull.units
    station = boat.hull.stations[0 if end == "fore" else -1]
    foot = side.inside(np.array(0.0), 0.0)
    x_foot, z_foot = float(foot[0]), float(foot[1])
    edge = boat.shell.hung.rabbet.batten
    keel = edge.point(edge.at_coordinate(0, np.linspace(x_foot, station.at, 25)))[:, [0, 2]]
    name = f"{'mould' if station.mould else 'station'} {station.name}"
    top = float(station.rabbet[1]) + 50.0
    between = format_length(abs(station.at - x_foot), units)
    side_of = "forward" if end == "fore" else "aft"
    out = -40.0 if end == "fore" else 40.0
    paths = [
        line(Role.NOTE, (x_foot + out, 0.0), (station.at - out, 0.0)),
        line(Role.NOTE, (station.at, 0.0), (station.at, top)),
        line(Role.DATUM, (x_foot, 0.0), (x_foot, z_foot)),
        Path(keel, Role.NOTE),
    ]
    middle = (x_foot + station.at) / 2
    labels = [
        Label(f"{name}: {format_length(station.at, units)}", (station.at, top + 2.0), _HEIGHT, 0.0, "middle"),
        Label(f"base line; foot of the rabbet {between} {side_of} of {name}", (middle, -5.0), _HEIGHT, 0.0, "middle"),
        Label("rabbet line of the keel", (middle, float(keel[:, 1].min()) - 6.0), _HEIGHT, 0.0, "middle"),
    ]
    return paths, labels


def _level(boat: Boat, outline: Array) -> Drawn:
    """Both ends of a level line across the wood: the waterline, or a level at a round height."""
    units = boat.hull.units
    height, name = boat.hull.waterline, "waterline"
    if height is None:
        height, name = float(np.round(outline[:, 1].mean() / _ROUND_LEVEL) * _ROUND_LEVEL), "level"
    ends = np.concatenate([outline, outline[:1]])
    above = ends[:, 1] - height
    at = np.flatnonzero(above[:-1] * above[1:] < 0.0)
    if len(at) < 2:
        return [], []
    share = above[at] / (above[at] - above[at + 1])
    x = ends[at, 0] + share * (ends[at + 1, 0] - ends[at, 0])
    low, high = float(x.min()), float(x.max())
    paths = [
        line(Role.SCRIBE, (low - _STUB_OUT, height), (low + _STUB_IN, height)),
        line(Role.SCRIBE, (high - _STUB_IN, height), (high + _STUB_OUT, height)),
    ]
    text = f"{name}: {format_length(height, units)} above base"
    return paths, [_beyond(text, np.array([high + _STUB_OUT, height]), True)]


def _sheer(boat: Boat, end: EndName) -> Drawn:
    """The sheer's last stretch to the stem."""
    shell, strakes = boat.shell, boat.hull.planking.strakes
    start = shell.hull.stations[0].at if end == "fore" else shell.hull.stations[-1].at
    points = shell.upper(strakes, np.linspace(shell.u_end(end), start, 60))[:, [0, 2]]
    length = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    shown = points[length < _SHEER_SHOWN]
    return [Path(shown, Role.NOTE)], [_beyond("sheer", shown[-1], end == "fore")]
