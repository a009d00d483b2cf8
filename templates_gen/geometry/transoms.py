"""Transoms in their true shape: outlines of both faces, bevels of the edge, and where lands and sheer come.

A rebated transom: its outline to the outside of the planking, and the rebate that takes the planks' ends.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.ends import rulings_at_end
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rabbet_line import TransomFace
from templates_gen.hull.model import Transom

Array = NDArray[np.float64]

_ACROSS = 9


@dataclass(frozen=True)
class TransomShape:
    """A transom's half, true shape, as (breadth along the face, height up the rake).

    Attributes
    ----------
    end : "fore" or "aft"
    face_outer, face_inner : Array, shape (p, 2)
        Where the planks' inner faces meet the two faces, from the rabbet to the sheer.
    land_marks : Array, shape (N, 2)
        P_k on the outer face.
    rabbet : Array, shape (2,)
        The rabbet line's end on the outer face.
    bevels : Array, shape (N,)
        For each strake, at its middle: the angle of the plank's inner face to the transom's outer face less a right
        angle, radians, positive where the inner face is the larger.
    is_stepped : bool
        Whether full laps make the edge stepped.
    """

    end: EndName
    face_outer: Array
    face_inner: Array
    land_marks: Array
    rabbet: Array
    bevels: Array
    is_stepped: bool


def transom_shape(shell: PlankedShell, end: EndName) -> TransomShape:
    """Return a transom's true shape."""
    transom = shell.hull.end(end)
    assert isinstance(transom, Transom)
    outer = shell.hung.faces[end]
    is_stepped = shell.planking.is_stepped(end)
    column = 0 if end == "fore" else -1
    marks = np.stack([edge.batten.marks[column] for edge in shell.hung.edges])
    rabbet = shell.hung.rabbet.batten.marks[column]
    return TransomShape(
        end,
        _outline(shell, end, outer, is_stepped),
        _outline(shell, end, outer.inboard(transom.thickness), is_stepped),
        outer.bench(marks),
        outer.bench(rabbet),
        edge_bevels(shell, end, outer),
        is_stepped,
    )


def edge_bevels(shell: PlankedShell, end: EndName, face: TransomFace) -> Array:
    """Return the bevels of a transom's edge at the middle of each strake, shape (N,), radians.

    Source: derived here; the faces' outward normals are 90 degrees less the bevel apart.
    """
    bevels = []
    for strake in range(1, shell.planking.strakes + 1):
        v = np.array([0.5])
        u = rulings_at_end(shell, strake, end, v, 0.0, face.distance)
        normal = shell.normal(strake, u, v)[0]
        outward = face.normal(shell.face(strake, u, v))[0]
        bevels.append(float(np.arcsin(np.clip(normal @ outward, -1.0, 1.0))))
    return np.array(bevels)


def _outline(shell: PlankedShell, end: EndName, face: TransomFace, is_stepped: bool) -> Array:
    """One face's outline on the bench, shape (p, 2): flush from mark to mark, or stepped at full laps."""
    rows: list[Array] = []
    for strake in range(1, shell.planking.strakes + 1):
        start = 0.0 if strake == 1 else corner_share(shell, strake - 1, end)
        v = np.linspace(start, 1.0, _ACROSS)
        points = shell.face(strake, rulings_at_end(shell, strake, end, v, 0.0, face.distance), v)
        rows.append(points if is_stepped or strake == 1 else points[1:])
    return face.bench(np.concatenate(rows))


def corner_share(shell: PlankedShell, land: int, end: EndName) -> float:
    """Return the share across strake k + 1, from its lower edge, at which its inner face leaves strake k's edge.

    Source: derived here; square to the edge the face runs straight from (-lap, e) over (0, h) to (y, z).
    """
    y = float(shell.lapping(land, np.array([shell.u_end(end)])).y[0])
    lap = shell.planking.lap_on(land)
    return lap / (y + lap)


@dataclass(frozen=True)
class RebatedEdge:
    """The edge of a rebated transom's half, true shape, as (breadth along its face, height up the rake).

    Attributes
    ----------
    outside : Array, shape (p, 2)
        Where the planks' outer faces, carried on, meet the transom's outer face: its net outline.
    rebate : Array, shape (p, 2)
        Where the planks' inner faces meet the face that their ends stand on, a lip inboard of the outer face.
    """

    outside: Array
    rebate: Array


def rebated_edge(shell: PlankedShell, end: EndName) -> RebatedEdge:
    """Return the edge of a rebated transom: it houses the planks' ends, so it reaches out to their outsides."""
    transom = shell.hull.end(end)
    assert isinstance(transom, Transom)
    outer = shell.hung.faces[end]
    is_stepped = shell.planking.is_stepped(end)
    return RebatedEdge(
        _outside(shell, end, outer, is_stepped),
        _inside(shell, end, outer.inboard(transom.lip), is_stepped),
    )


def _outside(shell: PlankedShell, end: EndName, face: TransomFace, is_stepped: bool) -> Array:
    """Full laps: each outer face from its lower edge to the next strake's. Flush: from corner to corner."""
    rows = []
    count = shell.planking.strakes
    for strake in range(1, count + 1):
        low = 0.0 if is_stepped or strake == 1 else corner_share(shell, strake - 1, end)
        high = 1.0
        if is_stepped and strake < count:
            high = float(shell.lap_share(strake, np.array([shell.u_end(end)]))[0])
        v = np.linspace(low, high, _ACROSS)
        rows.append(face.bench(_met(shell, strake, v, face, end, shell.planking.thickness[strake - 1])))
    return np.concatenate(rows if is_stepped else _joined(rows))


def _joined(rows: list[Array]) -> list[Array]:
    """Rows of neighbouring strakes, those that cross in a hollow cut off where they cross."""
    for below, above in pairwise(rows):
        first, last = below[-1] - below[-2], above[1] - above[0]
        cross = first[0] * last[1] - first[1] * last[0]
        if cross < 0.0:
            step = above[0] - below[-1]
            meeting = below[-1] + (step[0] * last[1] - step[1] * last[0]) / cross * first
            below[-1] = above[0] = meeting
    return [rows[0], *(row[1:] if np.array_equal(row[0], low[-1]) else row for low, row in pairwise(rows))]


def _inside(shell: PlankedShell, end: EndName, face: TransomFace, is_stepped: bool) -> Array:
    rows = []
    for strake in range(1, shell.planking.strakes + 1):
        v = np.linspace(0.0 if strake == 1 else corner_share(shell, strake - 1, end), 1.0, _ACROSS)
        points = _met(shell, strake, v, face, end, 0.0)
        rows.append(points if is_stepped or strake == 1 else points[1:])
    return face.bench(np.concatenate(rows))


def _met(shell: PlankedShell, strake: int, v: Array, face: TransomFace, end: EndName, out: float) -> Array:
    """The points of a strake's surface, `out` mm from its inner face and at shares v across, on a face, (p, 3)."""
    return shell.face(strake, rulings_at_end(shell, strake, end, v, out, face.distance), v, out)
