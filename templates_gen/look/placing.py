"""Where on the boat a finding is shown: the point that its land, strake, station, end or piece inside stands for.

Only typed values are read, never a sentence.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.ends import rulings_at_planes
from templates_gen.hull.model import CornerPiece, CrossPiece, Gunwale, Inside, Thwart, TimberList
from templates_gen.look.planking import Body
from templates_gen.report.finding import Finding
from templates_gen.report.places import places_of, ruling_at
from templates_gen.words import on_sheet

Array = NDArray[np.float64]

_WHOLE = ("boat", "offsets", "stock", "file")
_INSIDE = ("bulkhead", "frame", "floor", "thwart", "breasthook", "knee", "gunwale", "timbers")


def placed(boat: Boat, finding: Finding) -> dict[str, Any]:
    """Return a finding as plain data, with the land or strake that it is about and the point to show it at."""
    record: dict[str, Any] = {"severity": finding.severity, "about": finding.about, "text": finding.text}
    where = finding.where
    if where is None:
        return record
    point = point_of(boat, where)
    if point is not None:
        record["at"] = (np.round(point, 1) + 0.0).tolist()
    strakes = boat.hull.planking.strakes
    if where.thing in ("land", "bevel") and where.number and where.number < strakes:
        record["land"] = where.number
    elif where.thing not in _INSIDE and where.number and where.number <= strakes:
        record["strake"] = where.number
    return record


def point_of(boat: Boat, where: About) -> Array | None:
    """Return the point (3,) at which a thing is shown, port side, mm; None for what has no place on the boat."""
    if where.thing in _WHOLE and where.place is None:
        return None
    if where.thing in _INSIDE:
        return _inside_point(boat, where)
    if where.thing == "transom" and where.end in boat.shell.hung.faces:
        return _on_transom(boat, where.end, where.number)
    if where.thing in ("stem", "rebate") and where.end in boat.shell.hung.stems:
        return _on_stem(boat, where.end, where)
    return _on_planking(boat, where)


def _ruling(boat: Boat, where: About) -> float:
    """The ruling of a place; that of its end, or amidships, where it has no place."""
    if where.place is None and where.end is not None:
        return boat.shell.u_end(where.end)
    place = None if where.place is None else replace(where.place, offset=0.0)
    return ruling_at(boat.shell, place) + (where.place.offset if where.place else 0.0)


def _on_planking(boat: Boat, where: About) -> Array | None:
    """On a land's mark, the middle of a strake, the rabbet line, or the middle of a section."""
    shell, u = boat.shell, np.array([np.clip(_ruling(boat, where), boat.shell.u_fore, boat.shell.u_aft)])
    strakes, number = boat.hull.planking.strakes, where.number
    if number is not None and number > strakes:
        return None
    if number is not None and where.thing in ("land", "bevel"):
        return np.asarray(shell.upper(number, u)[0])
    if number is not None:
        return np.asarray(shell.face(number, u, np.array([0.5]), boat.hull.planking.thickness[number - 1])[0])
    if where.thing in ("keel", "bottom", "rebate"):
        return np.asarray(shell.face(1, u, np.array([0.0]), boat.hull.planking.thickness[0])[0])
    if where.place is None and where.end is None:
        return None
    return np.asarray(shell.upper((strakes + 1) // 2, u)[0])


def _on_stem(boat: Boat, end: EndName, where: About) -> Array:
    """On the rabbet line of a stem: the middle of a strake's end, a distance from the foot, or half-way up."""
    stem = boat.shell.hung.stems[end]
    if where.place is not None and where.place.kind == "foot":
        t = stem.rabbet.along(stem.rabbet.foot, where.place.offset)
        return np.asarray(stem.rabbet.batten.point(np.array([t]))[0])
    if where.number is not None:
        return np.asarray(stem.points[where.number - 1 : where.number + 1].mean(axis=0))
    return np.asarray(stem.points[len(stem.points) // 2])


def _on_transom(boat: Boat, end: EndName, strake: int | None) -> Array:
    """On the outer face of a transom: at a strake's mark, or on the centreline half-way up."""
    marks = boat.shell.hung.edges
    column = 0 if end == "fore" else -1
    if strake is not None:
        return np.asarray(marks[strake - 1].batten.marks[column])
    heights = boat.shell.hung.faces[end].bench(np.stack([edge.batten.marks[column] for edge in marks]))[:, 1]
    return np.asarray(boat.shell.hung.faces[end].point(np.array([0.0, heights[-1] / 2])))


def _inside_point(boat: Boat, where: About) -> Array | None:
    """On the sheer or the centreplane where a piece inside the planking stands."""
    of_kind: list[Inside] = [one for one in boat.hull.inside if one.kind == where.thing]
    piece = next((one for one in of_kind if one.number == (where.number or 1)), None)
    match piece:
        case CrossPiece():
            return _sheer_at(boat, piece.at)
        case Thwart():
            return np.array([(piece.fore + piece.aft) / 2, 0.0, piece.height])
        case CornerPiece():
            return _sheer_at(boat, boat.shell.u_end(piece.end))
        case Gunwale() | TimberList():
            return _sheer_at(boat, (boat.shell.u_fore + boat.shell.u_aft) / 2)
    return None


def _sheer_at(boat: Boat, x: float) -> Array:
    u = np.array([np.clip(x, boat.shell.u_fore, boat.shell.u_aft)])
    return np.asarray(boat.shell.upper(boat.hull.planking.strakes, u)[0])


def marks_of(boat: Boat, bodies: Sequence[Body]) -> list[dict[str, Any]]:
    """Return the marks that the page measures between: both corners of every land at each place, fore to aft, mm.

    "inside" holds the garboard's lower corner and every strake's upper inside corner, "outside" every strake's lower
    outside corner and the sheer's; both from the keel up. Between the first and the last station the corners lie in
    the place's transverse plane, beyond these where the strakes' ticks come, and at the ends on the strakes' ends.
    """
    every = list(places_of(boat.shell).items())
    found = [(place, *_corners(boat, u)) for place, u in every[1:-1]]
    for index, at in ((0, 0), (len(every) - 1, -1)):
        nodes = np.stack([body.nodes[at] for body in bodies])
        inside, outside = np.vstack([nodes[:1, 7], nodes[:, 4]]), np.vstack([nodes[:, 0], nodes[-1:, 3]])
        found.insert(index, (every[index][0], inside, outside))
    return [
        {"name": on_sheet(place), "inside": np.round(inside, 2).tolist(), "outside": np.round(outside, 2).tolist()}
        for place, inside, outside in found
    ]


def _corners(boat: Boat, ruling: float) -> tuple[Array, Array]:
    """The inside and the outside corners of all lands at a station or half-way, each shape (N + 1, 3)."""
    shell, thickness = boat.shell, boat.hull.planking.thickness
    rulings, strakes = shell.hung.rulings, len(boat.hull.planking.thickness)
    is_plane = rulings.x_first <= ruling <= rulings.x_last
    u, low, high = np.array([ruling]), np.zeros(1), np.ones(1)
    inside = [shell.lower(1, u), *(shell.upper(k, u) for k in range(1, strakes + 1))]
    outside: list[Array] = []
    for k in (*range(1, strakes + 1), strakes):
        v = high if len(outside) == strakes else low
        met = u if v is high or k == 1 else shell.over(k - 1, u)
        if is_plane:
            met = rulings_at_planes(shell, k, u, v, thickness[k - 1])
        outside.append(shell.face(k, met, v, thickness[k - 1]))
    return np.concatenate(inside), np.concatenate(outside)
