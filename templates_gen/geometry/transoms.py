"""Transoms in their true shape: outlines of both faces, bevels of the edge, and where lands and sheer come."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.crossings import rulings_at_end
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.transom_face import TransomFace
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
