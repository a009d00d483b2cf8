"""What is wrong with a folio that is to be cut by a machine: found before a byte is written."""

from collections.abc import Iterator
from math import isfinite

import numpy as np

from templates_gen.drawing.piece import Array, Folio, Hole, Label, Path, Piece, Role

FARTHEST = 1e6  # mm: a kilometre
LEAST_LETTER = 0.5  # mm: nobody can read a smaller one
LEAST_AREA = 0.01  # mm²


def drawing_faults(folio: Folio) -> tuple[str, ...]:
    """Return every reason why `folio` cannot be drawn true, each naming its piece; none if it can.

    Outlines that cross themselves are found before there are pieces (`report.possible.of_boat`).
    """
    faults = [f"{piece.name}: {fault}" for piece in folio.pieces for fault in _piece_faults(piece)]
    names = [piece.name for piece in folio.pieces]
    faults += [
        f"{name}: more than one piece has this name" for name in sorted({n for n in names if names.count(n) > 1})
    ]
    if not folio.pieces:
        faults.append(f"{folio.title or folio.kind}: there is no piece to draw")
    return tuple(faults)


def _piece_faults(piece: Piece) -> Iterator[str]:
    """Yield the faults of one piece."""
    if not piece.paths and not piece.holes:
        yield "it holds no line and no hole"
    for number, path in enumerate(piece.paths, 1):
        fault = _path_fault(path)
        if fault:
            yield f"line {number} ({path.role.name.lower()}) {fault}"
    for number, hole in enumerate(piece.holes, 1):
        fault = _hole_fault(hole)
        if fault:
            yield f"hole {number} {fault}"
    for label in piece.labels:
        fault = _label_fault(label)
        if fault:
            yield f"the words {label.text[:40]!r} {fault}"


def _path_fault(path: Path) -> str:
    """Return what is wrong with one line, or nothing."""
    points = np.asarray(path.points)
    if points.ndim != 2 or points.shape[1] != 2 or len(points) < 2:
        return f"has points of shape {points.shape} where (n, 2) with n of 2 or more was expected"
    if not (np.abs(points) < FARTHEST).all():  # not true of NaN either
        number = int(np.argmin((np.abs(points) < FARTHEST).all(axis=1)))
        return f"has a point that is not finite or is too far out: point {number + 1} is {_at(points[number])}"
    if path.role is not Role.CUT:
        return ""
    if not path.closed:
        return f"is open: it begins at {_at(points[0])} and ends at {_at(points[-1])}"
    return f"encloses nothing, at {_at(points[0])}" if abs(enclosed_area(points)) < LEAST_AREA else ""


def _hole_fault(hole: Hole) -> str:
    """Return what is wrong with one hole, or nothing."""
    if not all(abs(value) < FARTHEST for value in hole.centre):
        return f"is not finite or is too far out: its centre is {_at(hole.centre)}"
    if not 0.01 <= hole.diameter < FARTHEST:
        return f"cannot be drilled: its diameter is {hole.diameter}"
    return ""


def _label_fault(label: Label) -> str:
    """Return what is wrong with one label, or nothing."""
    if not (all(abs(value) < FARTHEST for value in label.at) and isfinite(label.angle)):
        return f"are not finite or are too far out: at {_at(label.at)}, angle {label.angle}"
    if not LEAST_LETTER <= label.height < FARTHEST:
        return f"cannot be read: their height is {label.height} mm"
    return "run over more than one line" if "\n" in label.text or "\r" in label.text else ""


def _at(point: Array | tuple[float, float]) -> str:
    """Return a point for a message."""
    return f"({float(point[0]):g}, {float(point[1]):g})"


def enclosed_area(points: Array) -> float:
    """Return the area inside a closed line, shape (n, 2), mm²: positive anticlockwise (the surveyor's formula)."""
    x, y = (points - points[0]).T
    return float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])) / 2
