"""Where the strakes' upper edges run: through their marks, and to ends that depend on how the strakes lie there.

A strake's end on a stem depends on the direction of its edges, which depends on where it ends; and marks on the
outside are brought in along normals of strakes that hang on them. Both are fixed points, found by rounds.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, About, EndName
from templates_gen.geometry.garboard import Forefoot, GarboardEdges, forefoot_of
from templates_gen.geometry.land_marks import HangingError, Marks, StemEnd, first_stem_end, turned_to_edges
from templates_gen.geometry.rabbet_line import RabbetLine, TransomFace, transom_face
from templates_gen.geometry.rulings import Edge, EndPlanes, Rulings, edge_through, rulings_of
from templates_gen.geometry.shell import Frame, Trace, trace
from templates_gen.hull.model import Hull, Stem, Transom

Array = NDArray[np.float64]

_ROUNDS = 300
_PATIENCE = 25
_LEAST_STEP = 0.4
_SETTLED = 1e-7
_SHARES = np.array([0.0, 0.002, 0.004, 0.02, 0.05, 0.1, 0.17, 0.27, 0.4, 0.6, 0.8])


@dataclass(frozen=True)
class Hung:
    """The strakes' upper edges and all that rulings need.

    Attributes
    ----------
    rabbet_line : RabbetLine
    rabbet : Edge
        The part of it that the garboard's lower edge follows.
    edges : tuple of Edge
        P_1 … P_N.
    rulings : Rulings
    forefeet : tuple of Forefoot
    stems : dict of end name to StemEnd
    faces : dict of end name to TransomFace
        The outer faces of transoms.
    end_faces : dict of end name to TransomFace
        Where the planks end: the outer face, or a lip inboard of it on a rebated transom.
    """

    rabbet_line: RabbetLine
    rabbet: Edge
    edges: tuple[Edge, ...]
    rulings: Rulings
    forefeet: tuple[Forefoot, ...]
    stems: dict[EndName, StemEnd]
    faces: dict[EndName, TransomFace]
    end_faces: dict[EndName, TransomFace]

    def rulings_on_rabbet(self, t: Array) -> Array:
        """Return u of the rulings that start at parameters of the rabbet line, shape of t."""
        return self.rulings.at_length(self.rabbet, self.rabbet.batten.length_to(t))

    def trace(self, u: Array, breaks: Array, hull: Hull) -> Trace:
        """Return the shell at rulings u, which hold both ends, the first and last stations and the breaks."""
        planes = self._end_planes("fore"), self._end_planes("aft")
        return trace(u, breaks, Frame(hull.planking, self.rulings, self.rabbet, self.edges, self.forefeet, planes))

    def _end_planes(self, end: EndName) -> EndPlanes:
        """The planes of the strakes' ends: across a stem's rabbet, or touching a transom's face at the land below."""
        if end in self.stems:
            return EndPlanes(self.stems[end].points[:-1], self.stems[end].ahead(end))
        upper = np.stack([edge.batten.marks[0 if end == "fore" else -1] for edge in self.edges])
        below = np.concatenate([upper[:1], upper[:-1]])
        return EndPlanes(below, self.faces[end].normal(below))


@dataclass(frozen=True)
class _Timbers:
    """What the planks end on, whatever their edges: the attributes of `Hung` of the same names."""

    rabbet_line: RabbetLine
    faces: dict[EndName, TransomFace]
    end_faces: dict[EndName, TransomFace]


def hang(marks: Marks) -> Hung:
    """Return where the strakes' upper edges run, through the marks of their lands.

    Raises
    ------
    HangingError
        When the garboard's end on a stem is no wider than its lap, or the rounds do not settle to 1e-7 mm, which no
        boat that can be planked has shown.
    """
    hull = marks.hull
    timbers = _timbers(hull, marks.rabbet)
    stems = {end: first_stem_end(marks, end) for end in ENDS if isinstance(hull.end(end), Stem)}
    points = np.concatenate([marks.fore[:, None], marks.stations, marks.aft[:, None]], axis=1)
    for end, stem in stems.items():
        points[:, 0 if end == "fore" else -1] = stem.inside(hull)
    moved, sizes, step = np.zeros(points.shape), [np.inf], 1.0
    while len(sizes) <= _ROUNDS and not _has_stalled(sizes):
        hung = _hung_through(points, stems, timbers, hull)
        stems, wanted = _next_round(hung, marks, points)
        moved = np.abs(wanted - points)
        moved[0] = np.maximum(moved[0], _low_movement(hung.stems, stems))
        if not np.isfinite(moved).all():
            break
        sizes.append(float(moved.max()))
        if sizes[-1] < _SETTLED:
            return _hung_through(wanted, stems, timbers, hull)
        step = _LEAST_STEP if sizes[-1] > 0.8 * sizes[-2] else min(1.0, 1.5 * step)
        points = points + step * (wanted - points)
    raise _unsettled(np.nan_to_num(moved, nan=np.inf), hull.planking.lap)


def _timbers(hull: Hull, line: RabbetLine) -> _Timbers:
    transoms = {end: member for end in ENDS if isinstance(member := hull.end(end), Transom)}
    faces = {end: transom_face(member, end) for end, member in transoms.items()}
    return _Timbers(line, faces, {end: face.inboard(transoms[end].lip) for end, face in faces.items()})


def _low_movement(before: dict[EndName, StemEnd], after: dict[EndName, StemEnd]) -> float:
    """How far a garboard's lower point has moved on a stem, mm; 0 without stems."""
    return max((float(np.linalg.norm(after[end].points[0] - before[end].points[0])) for end in before), default=0.0)


def _has_stalled(sizes: list[float]) -> bool:
    """Whether the last rounds have brought nothing nearer."""
    return len(sizes) > _PATIENCE and sizes[-1] > 0.5 * sizes[-_PATIENCE]


def _unsettled(moved: Array, lap: float) -> HangingError:
    """Say which strake's edge does not converge."""
    strake = int(np.argmax(moved.max(axis=(1, 2)))) + 1
    if not np.isfinite(moved).all():
        return HangingError(
            f"strake {strake} cannot be hung on its marks: its edge moves farther away in each round; fair its land "
            f"and those next to it, and make it wider than its lap of {lap:g} mm",
            ("lands",),
            "land",
            About("strake", strake),
        )
    return HangingError(
        f"the planking does not converge: strake {strake} still moves by {moved.max():.3g} mm from "
        f"round to round; fair its land and those next to it, and make it wider than its lap of {lap:g} mm",
        ("lands",),
        "land",
        About("strake", strake),
    )


def _hung_through(points: Array, stems: dict[EndName, StemEnd], timbers: _Timbers, hull: Hull) -> Hung:
    """The strakes hung through points (N, n + 2, 3), their ends included."""
    line = timbers.rabbet_line
    rabbet = _rabbet_edge(hull, line, stems)
    edges = tuple(edge_through(row) for row in points)
    rulings = rulings_of([rabbet, *edges], hull.stations[0].at, hull.stations[-1].at)
    garboard = GarboardEdges(rulings, rabbet, edges[0], hull.planking.thickness[0])
    rounded = [(end, stem) for end, stem in stems.items() if not stem.rabbet.cornered]
    forefeet = [forefoot_of(garboard, end, stem.normals[0]) for end, stem in rounded]
    turned = tuple(forefoot for forefoot in forefeet if forefoot is not None)
    return Hung(line, rabbet, edges, rulings, turned, stems, timbers.faces, timbers.end_faces)


def _rabbet_edge(hull: Hull, line: RabbetLine, stems: dict[EndName, StemEnd]) -> Edge:
    knots, x = line.keel.knots, line.keel.marks[:, 0]
    first = int(np.argmin(np.abs(x - hull.stations[0].at)))
    last = int(np.argmin(np.abs(x - hull.stations[-1].at)))
    ends = {"fore": 0.0, "aft": float(knots[-1])}
    for end, stem in stems.items():
        if not stem.rabbet.cornered:
            ends[end] = float(stem.parameters[0])
    return Edge(line.keel, ends["fore"], float(knots[first]), float(knots[last]), ends["aft"])


def _next_round(hung: Hung, marks: Marks, points: Array) -> tuple[dict[EndName, StemEnd], Array]:
    """The stems' normals and the strakes' inner marks that follow from the present edges."""
    hull = marks.hull
    x, near = np.array([s.at for s in hull.stations]), len(_SHARES)
    fore = hung.rulings.u_fore + hung.rulings.reach_fore * _SHARES
    aft = hung.rulings.u_aft - hung.rulings.reach_aft * _SHARES[::-1]
    u = np.concatenate([fore, x, aft])
    shell = hung.trace(u, u[[0, near, -near - 1, -1]], hull)
    wanted = points.copy()
    stems: dict[EndName, StemEnd] = {}
    for end, column in zip(ENDS, (0, -1), strict=True):
        if end in hung.stems:
            lower = shell.lower[:, :3] if end == "fore" else shell.lower[:, :-4:-1]
            stems[end] = turned_to_edges(hung.stems[end], hull, lower, shell.upper_slope[:, column])
            wanted[:, column] = stems[end].inside(hull)
        elif hull.lines_to == "outside":
            inside = marks.end(end) - _thickness(hull)[:, None] * shell.upper_normal[:, column]
            slid = [
                _slid_to_face(edge, row, hung.faces[end], end) for edge, row in zip(hung.edges, inside, strict=True)
            ]
            wanted[:, column] = slid
    if hull.lines_to == "outside":
        inside = marks.stations - _thickness(hull)[:, None, None] * shell.upper_normal[:, near:-near]
        wanted[:, 1:-1] = _slid_to_stations(inside, wanted, x)
    return stems, wanted


def _thickness(hull: Hull) -> Array:
    return np.array(hull.planking.thickness)


def _slid_to_stations(inside: Array, ends: Array, x: Array) -> Array:
    """Marks brought in along the planks' normals, then along their own curves back into the stations' planes."""
    slid = np.empty_like(inside)
    for k, row in enumerate(inside):
        batten = edge_through(np.concatenate([ends[k, :1], row, ends[k, -1:]])).batten
        slid[k] = batten.point(batten.at_x(x))
        slid[k, :, 0] = x
    return slid


def _slid_to_face(edge: Edge, mark: Array, face: TransomFace, end: EndName) -> Array:
    """A mark brought in along its plank's normal, then along the edge's direction on to the transom's face."""
    tangent = edge.batten.tangent(edge.fore if end == "fore" else edge.aft)
    point: Array = mark
    for _ in range(20):
        distance = face.distance(point)
        if abs(float(distance)) < 1e-10:
            break
        point = point - distance / (tangent @ face.normal(point)) * tangent
    return point
