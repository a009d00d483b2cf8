"""Where the strakes' upper edges run: through their marks, and to ends that depend on how the strakes lie there.

A strake's end on a stem depends on the direction of its edges, which depends on where it ends; and marks on the
outside are brought in along normals of strakes that hang on them. Both are fixed points, found by rounds.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from templates_gen.about import About, EndName, Place
from templates_gen.errors import BoatError
from templates_gen.geometry.land_marks import Marks
from templates_gen.geometry.last_rulings import EndPlanes
from templates_gen.geometry.rabbet_line import RabbetLine, StemRabbet
from templates_gen.geometry.rulings import Edge, Rulings, edge_through, rulings_of
from templates_gen.geometry.shell import Forefoot, Trace, forefoot_start, garboard_normals, trace
from templates_gen.geometry.transom_face import TransomFace, transom_face
from templates_gen.hull.model import Hull, Planking, Stem, Transom
from templates_gen.hull.parts import usual_hood
from templates_gen.numerics.directions import angle_between, reject, unit

Array = NDArray[np.float64]

ENDS: tuple[EndName, EndName] = ("fore", "aft")

GARBOARD_LAPS = 2.0
"""A garboard's straight end on a rounded stem is made at least this many laps wide (common practice)."""

LEAST_GARBOARD_LAPS = 1.05
"""A garboard's end that is narrower than so many laps cannot carry the lap of strake 2."""

MOST_SAG = 0.5
"""A garboard's straight end is made no longer than takes it so many thicknesses off the curve of its rabbet line (our
own judgement): a plank that stands further off than that cannot be let in by fairing the rebate's face to it."""

_ROUNDS = 300
_PROFILE = 33
_PATIENCE = 25
_LEAST_STEP = 0.4
_SETTLED = 1e-7
_SHARES = np.array([0.0, 0.002, 0.004, 0.02, 0.05, 0.1, 0.17, 0.27, 0.4, 0.6, 0.8])
_SEARCH = 97


class HangingError(BoatError):
    """The strakes cannot be hung on their marks."""


@dataclass(frozen=True)
class StemEnd:
    """How the strakes end on a stem.

    Attributes
    ----------
    rabbet : StemRabbet
    parameters : Array, shape (N + 1,)
        Of the rabbet points r_0 … r_N on the rabbet's batten: the garboard's lower point, then every land's mark.
    points : Array, shape (N + 1, 3)
        r_0 … r_N.
    along : Array, shape (N, 3)
        T_k, unit, up each strake's end from r_{k-1} to r_k.
    normals : Array, shape (N, 3)
        n_k, the outward normal of each strake's faces at its end.
    """

    rabbet: StemRabbet
    parameters: Array
    points: Array
    along: Array
    normals: Array

    def ahead(self, end: EndName) -> Array:
        """Return the directions in the strakes' faces square to their ends, out of the boat, unit, shape (N, 3)."""
        across = np.cross(self.along, self.normals)
        return np.asarray(across if end == "fore" else -across)


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
        return trace(u, self.rulings, self.rabbet, self.edges, hull.planking, self.forefeet, planes, breaks)

    def _end_planes(self, end: EndName) -> EndPlanes:
        """The planes of the strakes' ends: across a stem's rabbet, or touching a transom's face at the land below."""
        if end in self.stems:
            return EndPlanes(self.stems[end].points[:-1], self.stems[end].ahead(end))
        upper = np.stack([edge.batten.marks[0 if end == "fore" else -1] for edge in self.edges])
        below = np.concatenate([upper[:1], upper[:-1]])
        return EndPlanes(below, self.faces[end].normal(below))


def hang(marks: Marks) -> Hung:
    """Return where the strakes' upper edges run, through the marks of their lands.

    Raises
    ------
    HangingError
        When the garboard's end on a stem is no wider than its lap, or the rounds do not settle to 1e-7 mm, which no
        boat that can be planked has shown.
    """
    hull, line = marks.hull, marks.rabbet
    stems = {end: _stem_end(hull, end, line, marks) for end in ENDS if isinstance(hull.end(end), Stem)}
    faces = {end: transom_face(m, end) for end in ENDS if isinstance(m := hull.end(end), Transom)}
    end_faces = {end: _end_face(hull, end, face) for end, face in faces.items()}
    points = np.concatenate([marks.fore[:, None], marks.stations, marks.aft[:, None]], axis=1)
    for end, stem in stems.items():
        points[:, 0 if end == "fore" else -1] = stem.points[1:] - _thickness(hull)[:, None] * stem.normals
    moved, sizes, step = np.zeros(points.shape), [np.inf], 1.0
    while len(sizes) <= _ROUNDS and not _has_stalled(sizes):
        hung = _with_edges(hull, line, points, stems, faces, end_faces)
        stems, wanted = _next_round(hull, hung, marks, points)
        moved = np.abs(wanted - points)
        moved[0] = np.maximum(moved[0], _low_movement(hung.stems, stems))
        if not np.isfinite(moved).all():
            break
        sizes.append(float(moved.max()))
        if sizes[-1] < _SETTLED:
            return _with_edges(hull, line, wanted, stems, faces, end_faces)
        step = _LEAST_STEP if sizes[-1] > 0.8 * sizes[-2] else min(1.0, 1.5 * step)
        points = points + step * (wanted - points)
    raise _unsettled(np.nan_to_num(moved, nan=np.inf), hull.planking.lap)


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
            f"strake {strake} cannot be hung on its marks: its edge runs away from round to round; fair its land and "
            f"those next to it, and make it wider than its lap of {lap:g} mm",
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


def _thickness(hull: Hull) -> Array:
    return np.array(hull.planking.thickness)


def _end_face(hull: Hull, end: EndName, face: TransomFace) -> TransomFace:
    member = hull.end(end)
    assert isinstance(member, Transom)
    return face.inboard(member.lip)


def _stem_end(hull: Hull, end: EndName, line: RabbetLine, marks: Marks) -> StemEnd:
    """The stem's rabbet points, and a first guess of the normals there, from chords to the nearest station."""
    rabbet = line.stem(end)
    assert rabbet is not None
    lands = marks.on_stems[end]
    first = rabbet.batten.point(lands)
    chord = marks.stations[:, 0] - first if end == "fore" else first - marks.stations[:, -1]
    land = float(lands[0])
    low = _garboard_low(hull, rabbet, land, rabbet.batten.tangent(land), chord[0])
    points = rabbet.batten.point(np.concatenate([[low], lands]))
    _refuse_narrow_garboard(hull, end, points[:2], chord[0])
    up = unit(np.diff(points, axis=0))
    return _with_low(StemEnd(rabbet, lands, points, up, unit(np.cross(up, chord))), low)


def _with_low(stem: StemEnd, low: float) -> StemEnd:
    """The stem's end with the garboard's lower point at another parameter of its rabbet line."""
    parameters = np.concatenate([[low], stem.parameters[-len(stem.normals) :]])
    points = stem.rabbet.batten.point(parameters)
    return replace(stem, parameters=parameters, points=points, along=unit(np.diff(points, axis=0)))


def _garboard_low(hull: Hull, rabbet: StemRabbet, land: float, up: Array, along: Array) -> float:
    """The parameter at which the garboard's straight end begins: at a corner the foot.

    Round a forefoot it lies `hood` below land 1, less where the rabbet line curves too much for that, or so much more
    that the end is `GARBOARD_LAPS` laps wide square to the strake, which runs `along` there; `up` is the direction of
    the end. Up a raked stem it runs nearly along the strake. For that alone it lies no lower than the foot.
    """
    if rabbet.cornered:
        return rabbet.foot
    planking = hull.planking
    wanted = GARBOARD_LAPS * planking.lap_on(1) if planking.strakes > 1 else 0.0
    longest = float(rabbet.distance_from_foot(land))
    wide = wanted / float(np.sin(angle_between(up, along)))
    return rabbet.along(land, -max(_followed_hood(planking, rabbet, land), min(longest, wide)))


def _followed_hood(planking: Planking, rabbet: StemRabbet, land: float) -> float:
    """The hull file's `hood`, made shorter, but no shorter than the usual one, until its sag is allowed, mm."""
    usual = usual_hood(planking.lap)
    allowed = MOST_SAG * planking.thickness[0]

    def excess(hood: float) -> float:
        return _sag(rabbet, land, hood) - allowed

    if planking.hood <= usual or excess(planking.hood) <= 0.0:
        return planking.hood
    return usual if excess(usual) >= 0.0 else float(brentq(excess, usual, planking.hood, xtol=1e-9))


def _sag(rabbet: StemRabbet, land: float, hood: float) -> float:
    """How far the rabbet line leaves the straight between a land and the point `hood` below it, mm."""
    points = rabbet.batten.point(np.linspace(rabbet.along(land, -hood), land, _PROFILE))
    off = reject(points - points[0], unit(points[-1] - points[0]))
    return float(np.max(np.linalg.norm(off, axis=1)))


def _refuse_narrow_garboard(hull: Hull, end: EndName, points: Array, along: Array) -> None:
    """Raise HangingError where the garboard's end is too narrow, square to the strake, to carry its lap."""
    lap = hull.planking.lap_on(1)
    width = float(np.linalg.norm(reject(points[1] - points[0], unit(along))))
    if hull.planking.strakes == 1 or width > LEAST_GARBOARD_LAPS * lap:
        return
    name = "stem" if end == "fore" else "sternpost"
    text = (
        f"the garboard ends {width:.1f} mm wide on the {name}, square to its edge; its lap of {lap:g} mm needs more "
        f"than {LEAST_GARBOARD_LAPS * lap:.1f} mm; "
    )
    where = About("strake", 1, end=end, place=Place("end", end))
    raise HangingError(f"{text}put land 1 higher there, or make the lap narrower", ("planking", "lap"), "land", where)


def _rabbet_edge(hull: Hull, line: RabbetLine, stems: dict[EndName, StemEnd]) -> Edge:
    knots, x = line.keel.knots, line.keel.marks[:, 0]
    first = int(np.argmin(np.abs(x - hull.stations[0].at)))
    last = int(np.argmin(np.abs(x - hull.stations[-1].at)))
    ends = {"fore": 0.0, "aft": float(knots[-1])}
    for end, stem in stems.items():
        if not stem.rabbet.cornered:
            ends[end] = float(stem.parameters[0])
    return Edge(line.keel, ends["fore"], float(knots[first]), float(knots[last]), ends["aft"])


def _with_edges(
    hull: Hull,
    line: RabbetLine,
    points: Array,
    stems: dict[EndName, StemEnd],
    faces: dict[EndName, TransomFace],
    end_faces: dict[EndName, TransomFace],
) -> Hung:
    rabbet = _rabbet_edge(hull, line, stems)
    edges = tuple(edge_through(row) for row in points)
    rulings = rulings_of([rabbet, *edges], hull.stations[0].at, hull.stations[-1].at)
    forefeet = [
        forefoot
        for end, stem in stems.items()
        if not stem.rabbet.cornered
        and (forefoot := _forefoot(hull, end, stem, rulings, rabbet, edges[0])) is not None
    ]
    return Hung(line, rabbet, edges, rulings, tuple(forefeet), stems, faces, end_faces)


def _forefoot(
    hull: Hull, end: EndName, stem: StemEnd, rulings: Rulings, rabbet: Edge, garboard: Edge
) -> Forefoot | None:
    middle = (rulings.x_first + rulings.x_last) / 2
    u = np.linspace(middle, rulings.u_fore if end == "fore" else rulings.u_aft, _SEARCH)
    thickness = hull.planking.thickness[0]
    start = forefoot_start(u, rulings, rabbet, garboard, thickness)
    if start is None:
        return None
    at = np.array([start])
    t, point, slope = rulings.points(rabbet, at)
    _, upper, _ = rulings.points(garboard, at)
    normal = garboard_normals(point, slope, upper, thickness)[0]
    t_end = rabbet.fore if end == "fore" else rabbet.aft
    return Forefoot(start, float(t[0]), t_end, normal, stem.normals[0])


def _next_round(hull: Hull, hung: Hung, marks: Marks, points: Array) -> tuple[dict[EndName, StemEnd], Array]:
    """The stems' normals and the strakes' inner marks that follow from the present edges."""
    x = np.array([s.at for s in hull.stations])
    near = len(_SHARES)
    fore = hung.rulings.u_fore + hung.rulings.reach_fore * _SHARES
    aft = hung.rulings.u_aft - hung.rulings.reach_aft * _SHARES[::-1]
    u = np.concatenate([fore, x, aft])
    shell = hung.trace(u, u[[0, near, -near - 1, -1]], hull)
    wanted = points.copy()
    stems: dict[EndName, StemEnd] = {}
    for end in ENDS:
        at = slice(0, 3) if end == "fore" else slice(-3, None)
        column = 0 if end == "fore" else -1
        if end in hung.stems:
            upward = shell.upper_slope[:, 0 if end == "fore" else -1]
            stem = hung.stems[end]
            low = _garboard_low(hull, stem.rabbet, float(stem.parameters[1]), stem.along[0], upward[0])
            lower = shell.lower[:, at][:, :: 1 if end == "fore" else -1]
            stems[end] = _turned_to_edges(_with_low(stem, low), lower, upward)
            wanted[:, column] = stems[end].points[1:] - _thickness(hull)[:, None] * stems[end].normals
        elif hull.lines_to == "outside":
            normal = shell.upper_normal[:, column]
            inside = marks.end(end) - _thickness(hull)[:, None] * normal
            wanted[:, column] = [
                _slid_to_face(edge, row, hung.faces[end], end) for edge, row in zip(hung.edges, inside, strict=True)
            ]
    if hull.lines_to == "outside":
        inside = marks.stations - _thickness(hull)[:, None, None] * shell.upper_normal[:, near:-near]
        wanted[:, 1:-1] = _slid_to_stations(inside, wanted, x)
    return stems, wanted


def _turned_to_edges(stem: StemEnd, lower: Array, along_upper: Array) -> StemEnd:
    """The stem's end with normals square to the mean direction of each strake's edges there.

    `lower` (N, 3, 3) holds points of the lower edges at the end and at one and two steps inside it.
    """
    inward = -3.0 * lower[:, 0] + 4.0 * lower[:, 1] - lower[:, 2]
    along_upper = unit(along_upper)
    along_lower = unit(inward * np.sign(np.sum(inward * along_upper, axis=-1, keepdims=True)))
    if not stem.rabbet.cornered:
        along_lower[0] = along_upper[0]
    direction = unit(along_lower + along_upper)
    return replace(stem, normals=unit(np.cross(stem.along, direction)))


def _slid_to_stations(inside: Array, ends: Array, x: Array) -> Array:
    """Marks brought in along the planks' normals, then along their own curves back into the stations' planes."""
    slid = np.empty_like(inside)
    for k, row in enumerate(inside):
        batten = edge_through(np.concatenate([ends[k, :1], row, ends[k, -1:]])).batten
        slid[k] = batten.point(batten.at_coordinate(0, x))
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
