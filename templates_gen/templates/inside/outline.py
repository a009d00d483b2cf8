"""The outline of a piece across the boat: notched over keel or hog, with its hole for water, and where to saw it."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.errors import DrawingError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.across import AcrossShape, between
from templates_gen.geometry.moulds import MouldShape
from templates_gen.hull.model import Station
from templates_gen.numerics.chains import crossing
from templates_gen.templates.moulds.band import distances, inside_of, without_needless
from templates_gen.templates.moulds.edge import SQUARE
from templates_gen.templates.moulds.outline import Notch, OnTheLine, above_notch, notch_of
from templates_gen.templates.transom.edge import carried_on, saw_line

Array = NDArray[np.float64]

GAP = 1.0
"""mm: where the far face reaches outside by no more, at the walls of steps that lean inward, the gap is left (our own
judgement)."""

_TURN = math.radians(5.0)
_LEAST = 1.0
_FAR = 60.0


@dataclass(frozen=True)
class AcrossSheet(OnTheLine):
    """A half of a piece across the boat, ready to be drawn, in the (half-breadth, height) of its face on the line.

    Attributes
    ----------
    shape : AcrossShape
    notch : Notch or None
        None where it begins above the keel.
    closed : Array, shape (p, 2)
        The net outline of the face on the line: from the centreline, or a frame's inner edge, out along the bottom,
        up the planked edge and back.
    edge, far : Array, shape (p, 2)
        The planked edge of the face on the line and of the far face, clear of notch and hole.
    saw : Array or None, shape (p, 2)
        Where to saw, closed, if the far face reaches outside the outline anywhere.
    """

    shape: AcrossShape
    notch: Notch | None
    closed: Array
    edge: Array
    far: Array
    saw: Array | None

    @property
    def wood(self) -> EndName:
        """Return on which side of the line the wood is."""
        return self.shape.wood

    @property
    def to_centreline(self) -> bool:
        """Return whether the wood reaches to the centreline, so that both halves are one piece."""
        return self.shape.piece.width is None


def across_sheets(boat: Boat) -> tuple[AcrossSheet, ...]:
    """Return the pieces across the boat, ready to be drawn. Raises DrawingError."""
    return tuple(across_sheet(boat, shape) for shape in boat.inside if isinstance(shape, AcrossShape))


def across_sheet(boat: Boat, shape: AcrossShape) -> AcrossSheet:
    """Return one piece across the boat, ready to be drawn.

    Raises
    ------
    DrawingError
        If the notch leaves nothing of it, or its hole for water does not fit.
    """
    notch = _notch(boat, shape) if shape.piece.bottom is None else None
    edge, far, start = shape.edge, shape.far_edge, np.zeros((0, 2))
    if notch is not None:
        edge, corner = above_notch(edge, notch)
        far, _ = above_notch(far, notch)
        if len(edge) < 2 or notch.top >= shape.top:
            raise _refusal(shape, f"is no higher than its {notch.words}; make its top higher")
        start = np.array([[0.0, notch.top], *([corner] if corner is not None else [])])
    marks = _marks(shape, edge)
    if shape.piece.limber:
        start, edge, far = _with_limber(boat, shape, start, edge, far)
    back = _back(boat, shape, start, marks)
    closed = np.vstack([start, edge, back] if shape.piece.width is None or notch is not None else [edge, back])
    saw = None
    if reach_outside(far, closed) > GAP or any(facet.inside < -SQUARE for facet in shape.facets):
        saw = np.vstack([start, _saw(marks, edge, far, shape.top), back])
    return AcrossSheet(shape, notch, closed, edge, far, saw)


def _notch(boat: Boat, shape: AcrossShape) -> Notch:
    """What is cut out of it for keel, hog or flat bottom."""
    x = shape.near.x
    batten = boat.shell.hung.rabbet.batten
    rabbet = batten.point(batten.at_x(np.array([x])))[0, 1:]
    station = Station("", x, True, rabbet, shape.near.corners)
    corners = shape.near.corners[1:]
    return notch_of(boat, MouldShape(station, shape.edge, corners, np.zeros(len(corners)), np.zeros(len(corners))))


def _marks(shape: AcrossShape, edge: Array) -> Array:
    """The edge's lower end, the strakes' upper inside corners on it, and its upper end, shape (m, 2)."""
    inner = [
        corner
        for corner in shape.near.corners[1:]
        if edge[0, 1] < corner[1] < edge[-1, 1] and distances(corner[None], edge)[0] < _LEAST
    ]
    return np.stack([edge[0], *inner, edge[-1]])


def _back(boat: Boat, shape: AcrossShape, start: Array, marks: Array) -> Array:
    """The outline from the planked edge's upper end back to where it begins."""
    piece, top = shape.piece, shape.top
    if piece.width is None:
        first = [] if piece.bottom is None else [[0.0, piece.bottom]]
        return np.array([[0.0, top], *first])
    on = marks[-1] + 3.0 * piece.width * (marks[-1] - marks[-2]) / np.linalg.norm(marks[-1] - marks[-2])
    under = marks[0] - 3.0 * piece.width * (marks[1] - marks[0]) / np.linalg.norm(marks[1] - marks[0])
    chain = np.vstack([start if len(start) else under[None], marks, on[None]])
    inner = inside_of(chain.round(6), piece.width)
    inner = between(inner[inner[:, 0] > 0.0], piece.bottom, top)
    if len(inner) < 2:
        words = f"is {boat.hull.notation.spoken_length(piece.width)} wide, which leaves nothing open inside it"
        raise _refusal(shape, f"{words}; make its width less, or make it a bulkhead")
    if piece.bottom is None:
        inner = np.vstack([[0.0, inner[0, 1]], inner])
        inner[:, 1] = np.maximum.accumulate(inner[:, 1])
    return without_needless(inner)[::-1]


def _with_limber(boat: Boat, shape: AcrossShape, start: Array, edge: Array, far: Array) -> tuple[Array, Array, Array]:
    """The bottom and both edges with a round hole for water about the corner where the edge leaves the notch."""
    foot, radius = edge[0], shape.piece.limber
    before, after = _first_at(np.vstack([start, foot])[::-1], foot, radius), _first_at(edge, foot, radius)
    flat = float(np.linalg.norm(shape.near.facets[0].line[-1] - foot))
    over = min(shape.top - float(foot[1]), shape.piece.width or np.inf)
    if before is None or after is None or radius > min(0.5 * flat, over - _LEAST):
        words = f"has no room for a limber hole of {boat.hull.notation.spoken_length(radius)} radius at the keel"
        raise _refusal(shape, f"{words}; make it smaller")
    (left, on_start), (right, on_edge) = before, after
    first, last = (math.atan2(*(point - foot)[::-1]) for point in (left, right))
    first += 2 * math.pi if first < last else 0.0
    turn = np.linspace(first, last, max(3, math.ceil(abs(last - first) / _TURN)))[1:-1]
    arc = foot + radius * np.column_stack([np.cos(turn), np.sin(turn)])
    kept = start[: len(start) + 1 - on_start]
    clear = far[np.linalg.norm(far - foot, axis=1) > radius]
    return np.vstack([kept, left, arc]), np.vstack([right, edge[on_edge:]]), clear


def _first_at(line: Array, centre: Array, radius: float) -> tuple[Array, int] | None:
    """Where a line that begins at a circle's centre first leaves the circle, and the index of its next point."""
    away = np.linalg.norm(line - centre, axis=1)
    outside = np.flatnonzero(away > radius)
    if len(outside) == 0:
        return None
    k = int(outside[0])
    step = line[k] - line[k - 1]
    off = line[k - 1] - centre
    a, b, c = float(step @ step), float(off @ step), float(off @ off) - radius**2
    return line[k - 1] + (-b + math.sqrt(b * b - a * c)) / a * step, k


def reach_outside(line: Array, closed: Array) -> float:
    """Return how far a line reaches outside a closed outline, mm."""
    ring = np.vstack([closed, closed[:1]])
    outside = ~_is_inside(line, ring)
    return float(distances(line[outside], ring).max(initial=0.0)) if outside.any() else 0.0


def _is_inside(points: Array, ring: Array) -> NDArray[np.bool_]:
    """Which of points (n, 2) lie inside a closed ring, by the even-odd rule."""
    (x0, y0), (x1, y1) = ring[:-1].T, ring[1:].T
    x, y = points[:, :1], points[:, 1:]
    spans = (y0 > y) != (y1 > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = x < x0 + (y - y0) / (y1 - y0) * (x1 - x0)
    return np.asarray((spans & left).sum(axis=1) % 2 == 1)


def _saw(marks: Array, edge: Array, far: Array, top: float) -> Array:
    """Where to saw along the planked edge, strake by strake outside both faces, up to the top.

    Where a strake is too short for that, so that the line would cross itself or run far out, several are sawn as one.
    """
    while True:
        line = saw_line(marks, (edge, far))
        sawn = np.vstack([line[:-1], carried_on(line[-1], line[-1] - line[-2], top)])
        if len(marks) == 2 or (crossing(sawn) is None and distances(sawn, edge).max() < _FAR):
            return sawn
        marks = np.vstack([marks[:-1:2], marks[-1:]])


def _refusal(shape: AcrossShape, text: str) -> DrawingError:
    return DrawingError(f"{shape.piece.kind} {shape.piece.number} {text}", shape.about)
