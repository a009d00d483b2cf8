"""What must be right with a folio before it is drawn."""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Folio, Piece, Role
from templates_gen.errors import DrawingError
from templates_gen.render.pdf.letters import unprintable
from templates_gen.render.pdf.page import Header

Array = NDArray[np.float64]

LARGEST = 100_000.0
"""mm: a coordinate beyond this is taken for a mistake."""


def check_folio(folio: Folio, header: Header) -> None:
    """Raise DrawingError if anything cannot be drawn true, naming the piece and what is wrong with it."""
    for piece in _pieces(folio):
        _check_piece(piece)
    if not unprintable(" ".join(text for _, text in _texts(folio, header))):
        return
    for place, text in _texts(folio, header):
        letters = unprintable(text)
        if letters:
            named = ", ".join(f'"{letter}" (U+{ord(letter):04X})' for letter in letters)
            raise DrawingError(f"{place}: cannot print {named} in {ascii(text)[1:-1]!r}: write it with other letters")


def _pieces(folio: Folio) -> tuple[Piece, ...]:
    """Return every piece that is drawn, the sketch too."""
    return folio.pieces if folio.sketch is None else (*folio.pieces, folio.sketch)


def _check_piece(piece: Piece) -> None:
    """Raise DrawingError if a path, hole or label of `piece` is not finite, or an outline to be cut is open."""
    if not piece.paths:
        raise DrawingError(f"{piece.name}: there is nothing to draw")
    for path in piece.paths:
        if path.points.ndim != 2 or path.points.shape[1] != 2 or len(path.points) < 2:
            raise DrawingError(f"{piece.name}: a line ({path.role.value}) needs two points or more, shape (n, 2)")
        if path.role is Role.CUT and not path.closed:
            raise DrawingError(f"{piece.name}: an outline to be cut is open; it must be closed")
    if not _are_drawable(np.concatenate([path.points for path in piece.paths])):
        path = next(path for path in piece.paths if not _are_drawable(path.points))
        raise DrawingError(f"{piece.name}: a line ({path.role.value}) has a point at {_worst(path.points)} mm")
    for hole in piece.holes:
        if not all(map(math.isfinite, (*hole.centre, hole.diameter))) or hole.diameter <= 0:
            raise DrawingError(f"{piece.name}: a hole of {hole.diameter:g} mm at {hole.centre} cannot be drawn")
    for label in piece.labels:
        if not all(map(math.isfinite, (*label.at, label.height, label.angle))) or label.height <= 0:
            raise DrawingError(f"{piece.name}: the label {label.text!r} at {label.at} cannot be written")


def _are_drawable(points: Array) -> bool:
    """Return whether all points are finite and none is absurdly far out (a NaN fails every comparison)."""
    return bool(points.min() >= -LARGEST and points.max() <= LARGEST)


def _worst(points: Array) -> str:
    """Return the first point that is not finite, or else the outermost, as text."""
    bad = ~np.isfinite(points).all(axis=1)
    index = int(np.argmax(bad)) if bad.any() else int(np.argmax(np.abs(points).max(axis=1)))
    return f"({points[index, 0]:g}, {points[index, 1]:g})"


def _texts(folio: Folio, header: Header) -> Iterator[tuple[str, str]]:
    """Yield every text that will be printed, with the place it comes from."""
    yield "name of the boat", header.boat
    yield "edition", header.edition or ""
    yield "fingerprint", header.fingerprint
    yield "title", folio.title
    for caution in header.cautions:
        yield "caution", caution
    for piece in _pieces(folio):
        for text in (piece.name, *piece.title, *piece.notes, *(label.text for label in piece.labels)):
            yield piece.name, text
    for table in (*folio.first_tables, *folio.tables):
        for text in (table.title, *table.notes, *(cell for row in table.rows for cell in row)):
            yield f'table "{table.title}"', text
        for heading in table.columns:
            yield f'table "{table.title}"', heading.replace("\n", " ")
