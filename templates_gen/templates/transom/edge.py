"""What is known of a transom before it is drawn: its lines, which face is the larger at each strake, where to saw,
and the wood left at its foot to be fitted to the keel or hog.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.drawing.piece import Path, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rabbet_line import TransomFace
from templates_gen.geometry.transoms import RebatedEdge, TransomShape, rebated_edge
from templates_gen.hull.model import Transom

Array = NDArray[np.float64]

SAW = 2.0
"""Wood left outside the larger face's line when a transom is sawn, mm (common practice)."""

_ALONG_TOP = 41
"""Points along the top of a bowed transom."""

_BELOW = 4.0
"""mm of rough wood below the rabbet and the height 0: their lines are clear of the line to saw to."""


@dataclass(frozen=True)
class TransomSheet:
    """A transom's half, ready to be drawn.

    Attributes
    ----------
    shape : TransomShape
    wood : Transom
    face : TransomFace
        Its outer face.
    outer, inner : Array, shape (p, 2)
        The net outlines of the two faces' edges, from the bottom to the sheer. The outer one of a rebated transom
        runs to the outside of the planking.
    rebate : Array or None
        The bottom of a rebate's cut, seen square to the face.
    corners : Array, shape (N + 1, 2)
        On the outer face's bench: the outline's lower end, then every land's mark.
    saw : Array, shape (N + 1, 2)
        Where to saw, square through, corner by corner.
    """

    shape: TransomShape
    wood: Transom
    face: TransomFace
    outer: Array
    inner: Array
    rebate: Array | None
    corners: Array
    saw: Array

    @property
    def end(self) -> EndName:
        """Return the end of the boat that it is at."""
        return self.shape.end

    @property
    def distances(self) -> Array:
        """Return thickness times the tangent of each strake's bevel, shape (N,), mm."""
        return np.asarray(self.wood.thickness * np.tan(self.shape.bevels))

    @property
    def top(self) -> Array:
        """Return its top from the sheer to the centreline, level at the sheer's height, shape (q, 2).

        Laid flat, that line bends where the face is raked and bowed: it rises toward the centreline.
        """
        if not self.wood.radius:
            return np.array([[0.0, self.outer[-1, 1]]])
        _, y, z = self.face.point(self.outer[-1])
        across = np.linspace(y, 0.0, _ALONG_TOP)[1:]
        return self.face.bench(self.face.point_at(np.stack([across, np.full_like(across, z)], axis=-1)))

    @property
    def highest(self) -> float:
        """Return how far up the rake the wood is wanted: to the top line, or to the top of the profile, mm."""
        profile = self.face.bench(self.face.point_at(np.array([0.0, self.wood.profile[1, 1]])))
        return max(float(self.top[:, 1].max()), float(self.outer[-1, 1]), float(profile[1]))

    @property
    def is_rebated(self) -> bool:
        """Return whether it is rebated to take the planks' ends."""
        return self.rebate is not None


def transom_sheets(boat: Boat) -> tuple[TransomSheet, ...]:
    """Return the boat's transoms, ready to be drawn."""
    return tuple(_sheet(boat, shape) for shape in boat.transoms)


def _sheet(boat: Boat, shape: TransomShape) -> TransomSheet:
    wood = boat.hull.end(shape.end)
    assert isinstance(wood, Transom)
    edge: RebatedEdge | None = rebated_edge(boat.shell, shape.end) if wood.joint == "rebate" else None
    outer = shape.face_outer if edge is None else edge.outside
    corners = np.vstack([shape.face_outer[:1], shape.land_marks])
    return TransomSheet(
        shape,
        wood,
        boat.shell.hung.faces[shape.end],
        outer,
        shape.face_inner,
        None if edge is None else edge.rebate,
        corners,
        saw_line(corners, (outer, carried_out(shape.face_inner, wood))),
    )


def carried_out(inner: Array, wood: Transom) -> Array:
    """Return points of the inner face carried square through the wood on to the outer face's bench, shape (p, 2).

    Source: derived here; the faces of a bowed transom are concentric, so its breadths grow as their radii.
    """
    if not wood.radius:
        return inner
    return np.asarray(inner * np.array([wood.radius / (wood.radius - wood.thickness), 1.0]))


def saw_line(corners: Array, outlines: tuple[Array, ...]) -> Array:
    """Return a line that runs strake by strake outside all outlines by `SAW` or more, shape (N + 1, 2).

    Parameters
    ----------
    corners : Array, shape (N + 1, 2)
        From the bottom to the sheer, the wood to their left.
    outlines : tuple of Array, each of shape (p, 2)
    """
    along = np.diff(corners, axis=0)
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    out = np.stack([along[:, 1], -along[:, 0]], axis=1)
    points = np.concatenate(outlines)
    reach = np.empty(len(along))
    for k, (start, stop) in enumerate(pairwise(corners)):
        at = (points - start) @ along[k]
        near = (at > -SAW) & (at < (stop - start) @ along[k] + SAW)
        reach[k] = max(((points[near] - start) @ out[k]).max(initial=0.0), 0.0) + SAW
    lines = [(corners[k] + reach[k] * out[k], along[k]) for k in range(len(along))]
    first, last = lines[0], lines[-1]
    middle = [_meeting(*lines[k], *lines[k + 1]) for k in range(len(lines) - 1)]
    end = last[0] + (corners[-1] - corners[-2]) @ along[-1] * along[-1]
    return np.stack([first[0], *middle, end])


def carried_on(point: Array, along: Array, height: float) -> Array:
    """Return where a line, run on past its end, reaches a height; square from the end where it hardly rises."""
    if abs(along[1]) < 0.2 * abs(along[0]):
        return np.array([point[0], height])
    return np.asarray(point + (height - point[1]) / along[1] * along)


def _meeting(point: Array, along: Array, other: Array, other_along: Array) -> Array:
    """Where two lines meet; if they hardly turn, halfway between the feet of their shared corner."""
    cross = along[0] * other_along[1] - along[1] * other_along[0]
    step = other - point
    if abs(cross) < 0.02:
        return np.asarray((point + (step @ along) * along + other) / 2 + SAW / 2 * np.array([along[1], -along[0]]))
    share = (step[0] * other_along[1] - step[1] * other_along[0]) / cross
    return np.asarray(point + share * along)


def saw_outline(boat: Boat, sheet: TransomSheet) -> Path:
    """Return where to saw, from the centreline below the foot round to the centreline above the sheer, closed."""
    bottoms = (float(sheet.outer[0, 1]) - SAW, float(sheet.inner[0, 1]) - SAW, float(sheet.saw[0, 1]))
    foot = carried_on(sheet.saw[0], sheet.saw[0] - sheet.saw[1], min(bottoms))
    low, high = min(*bottoms, _lowest_line(sheet) - _BELOW), sheet.highest + boat.hull.allowances.sheer
    corner = carried_on(sheet.saw[-1], sheet.saw[-1] - sheet.saw[-2], high)
    down = [[foot[0], low]] if low < min(bottoms) else np.empty((0, 2))
    return Path(np.vstack([[0.0, low], *down, foot, sheet.saw[1:-1], corner, [0.0, high]]), Role.ROUGH, closed=True)


def _lowest_line(sheet: TransomSheet) -> float:
    """The height of the lower of the two level lines at the foot: the rabbet's and that from which is measured."""
    return min(float(sheet.shape.rabbet[1]), 0.0)


def inner_outline(sheet: TransomSheet) -> Path:
    """Return the inner face's edge from the sheer down, and its bottom straight across to the centreline."""
    return Path(np.vstack([[0.0, sheet.inner[0, 1]], sheet.inner]), Role.FAR)


def rabbet_name(sheet: TransomSheet) -> str:
    """Return what the rabbet's height is called: that of the bottom, too, where the two are one."""
    is_bottom = abs(float(sheet.shape.rabbet[1] - sheet.outer[0, 1])) < 0.5
    return "rabbet and bottom" if is_bottom else "rabbet"
