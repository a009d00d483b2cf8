"""Points that stand for all that is drawn of a piece, close enough to decide which sheets hold some of it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.marks import TextWidth, label_boxes
from templates_gen.drawing.piece import Hole, Label, Path, Piece, Role
from templates_gen.paper.sheet import turn

Array = NDArray[np.float64]

HUNDREDTH = 2
"""Digits to which a piece's figures are rounded before its sheets are laid out, mm: another processor, whose last
digits differ, lays the same sheets."""

STEP = 2.0
"""mm: no point that is drawn lies farther than half of this from a point of `ink_points`."""


BY_THE_DATUM = 16.0
"""mm: a figure whose baseline begins no farther than this from a datum line belongs to it."""

_ROUND = np.stack([np.cos(np.arange(16) * math.pi / 8), np.sin(np.arange(16) * math.pi / 8)], axis=1)
_ROUND = _ROUND / math.cos(math.pi / 16)
"""Sixteen points round a circle of radius 1, outside it so that their sides do not cut it, shape (16, 2)."""


@dataclass(frozen=True)
class Ink:
    """All that is drawn of a piece, as points at most STEP apart.

    Attributes
    ----------
    needed : Array, shape (n, 2)
        What a sheet must show, mm.
    spare : Array, shape (m, 2)
        Of the datum lines and their figures, what lies off the wood: good to have where the sheet has room.
    labels : tuple of Label
    """

    needed: Array
    spare: Array
    labels: tuple[Label, ...] = ()

    @cached_property
    def every(self) -> Array:
        """Return both, shape (n + m, 2), mm."""
        return np.concatenate([self.needed, self.spare])

    @cached_property
    def _turned(self) -> dict[float, Array]:
        return {}

    def turned(self, angle: float) -> Array:
        """Return what a sheet must show, turned by an angle and in the order of x, shape (n, 2), mm."""
        if angle not in self._turned:
            points = turn(angle).apply(self.needed)
            self._turned[angle] = points[np.argsort(points[:, 0])]
        return self._turned[angle]

    @property
    def reading(self) -> tuple[float, float]:
        """Return the mean of the directions in which the labels read, each counted by its letters; level without any.

        It is of length 1 or less.
        """
        letters = sum(len(label.text) for label in self.labels)
        if not letters:
            return 1.0, 0.0
        along = sum(len(label.text) * math.cos(label.angle) for label in self.labels)
        up = sum(len(label.text) * math.sin(label.angle) for label in self.labels)
        return along / letters, up / letters


def for_laying_out(piece: Piece) -> Piece:
    """Return a piece with every figure rounded to a hundredth of a millimetre, angles to a millionth of a radian."""
    paths = tuple(Path(np.round(path.points, HUNDREDTH), path.role, path.closed) for path in piece.paths)
    holes = tuple(Hole(_rounded(hole.centre), round(hole.diameter, HUNDREDTH)) for hole in piece.holes)
    labels = tuple(label.moved_to(_rounded(label.at), round(label.angle, 6)) for label in piece.labels)
    return replace(piece, paths=paths, holes=holes, labels=labels)


def _rounded(point: tuple[float, float]) -> tuple[float, float]:
    """Return a point to a hundredth of a millimetre."""
    return round(point[0], HUNDREDTH), round(point[1], HUNDREDTH)


def ink_of(piece: Piece, text_width: TextWidth) -> Ink:
    """Return all that is drawn of `piece`, what its datum line runs past the wood set apart."""
    datum = [path for path in piece.paths if path.role is Role.DATUM]
    if not datum or not any(path.role is Role.CUT for path in piece.paths):
        return Ink(ink_points(piece, text_width), np.empty((0, 2)), piece.labels)
    labels, figures = _by_the_datum(piece.labels, datum)
    others = tuple(path for path in piece.paths if path.role is not Role.DATUM)
    needed = ink_points(replace(piece, paths=others, labels=labels), text_width)
    lines = ink_points(Piece(piece.name, piece.kind, (), tuple(datum), labels=figures), text_width)
    on_wood = _on_wood(piece, lines)
    return Ink(np.concatenate([needed, lines[on_wood]]), lines[~on_wood], piece.labels)


def ink_points(piece: Piece, text_width: TextWidth, step: float = STEP) -> Array:
    """Return points along every path, hole and label of `piece`, shape (n, 2), mm, at most `step` apart."""
    outlines = [(path.points, path.closed) for path in piece.paths]
    outlines += [(_circle(hole), True) for hole in piece.holes]
    outlines += [(box, True) for box in label_boxes(piece.labels, text_width)]
    starts = np.concatenate([points if closed else points[:-1] for points, closed in outlines])
    ends = np.concatenate([part for points, closed in outlines for part in (points[1:], points[:1][:closed])])
    lasts = np.array([points[-1] for points, closed in outlines if not closed]).reshape(-1, 2)
    return np.concatenate([_along(starts, ends, step), lasts])


def ink_corners(piece: Piece, text_width: TextWidth) -> Array:
    """Return the ends of all straight lines drawn, shape (n, 2), mm; they reach as far out as `ink_points`."""
    corners = [path.points for path in piece.paths]
    corners += [_circle(hole) for hole in piece.holes]
    return np.concatenate([*corners, label_boxes(piece.labels, text_width).reshape(-1, 2)])


def _by_the_datum(labels: Sequence[Label], datum: Sequence[Path]) -> tuple[tuple[Label, ...], tuple[Label, ...]]:
    """Return the labels that stand apart from the datum line, and those that stand close to it."""
    line = max(datum, key=lambda path: float(np.ptp(path.points, axis=0).max())).points
    (x, y), along = line[0], line[-1] - line[0]
    across = np.array([-along[1], along[0]]) / float(np.hypot(*along))
    off = [abs((label.at[0] - x) * across[0] + (label.at[1] - y) * across[1]) for label in labels]
    close = tuple(label for label, distance in zip(labels, off, strict=True) if distance <= BY_THE_DATUM)
    return tuple(label for label in labels if label not in close), close


def _on_wood(piece: Piece, points: Array) -> NDArray[np.bool_]:
    """Return which of `points` lie on what is cut of `piece`, shape (n,)."""
    inside = np.zeros(len(points), dtype=bool)
    for path in piece.paths:
        if path.role is Role.CUT:
            wood = shapely.Polygon(path.points)
            shapely.prepare(wood)
            inside |= shapely.contains_xy(wood, points)
    return inside


def _circle(hole: Hole) -> Array:
    """Return sixteen points round a hole, shape (16, 2), mm."""
    return np.asarray(hole.centre) + hole.diameter / 2 * _ROUND


def _along(starts: Array, ends: Array, step: float) -> Array:
    """Return points from each start toward its end, the start included, at most `step` apart, shape (n, 2)."""
    spans = ends - starts
    counts = np.maximum(1, np.ceil(np.hypot(spans[:, 0], spans[:, 1]) / step)).astype(np.intp)
    owners = np.repeat(np.arange(len(counts)), counts)
    order = np.arange(len(owners)) - np.repeat(np.cumsum(counts) - counts, counts)
    fractions: Array = order / counts[owners]
    points: Array = starts[owners] + fractions[:, None] * spans[owners]
    return points
