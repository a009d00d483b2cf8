"""DXF drawings for a router, a laser or a drawing program: full size, in millimetres, one layer for each operation.

`layers` says what each layer is for. Curves are arcs and lines within 0.02 mm, cut into spans so short that a
reader which drops arcs or coarsens them is still within 0.05 mm. What is to be read is TEXT, which no machine
follows; only the name of each piece is engraved, in single strokes, because machines' programs drop TEXT or set it in
another typeface.

A sheet of stock is drawn with its lower left corner at the origin and nothing outside it. Each of its pieces is a
block under its name, inserted once, so that a person can pick, move or leave out a piece in any drafting program.
Drawings of templates have no blocks: some readers give all lines of a block one layer.

The format is that of AutoCAD 2000 (AC1015), or that of release 12 for old controllers. Release 12 says nothing of
units and of what a layer is for, and its outlines are chains of separate vertices. Nothing is outside ASCII.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import count

import numpy as np

from templates_gen.drawing.piece import Folio
from templates_gen.errors import DrawingError
from templates_gen.render.dxf.blank import MODEL_SPACE, Block, blocks_of, filled, layers_of
from templates_gen.render.dxf.drawn import Drawn, DrawnLine, DrawnPiece, drawn
from templates_gen.render.dxf.entities import FIRST_HANDLE, Owner, Release
from templates_gen.render.dxf.faults import drawing_faults
from templates_gen.render.dxf.layers import INFO, USES, Pen
from templates_gen.render.dxf.layout import Layout, laid_out, on_sheet
from templates_gen.render.dxf.names import LONGEST_NAME, block_names

FAULTS_SHOWN = 20


def dxf_bytes(folio: Folio, release: Release = "r2000") -> bytes:
    """Return `folio` as a DXF drawing; the same folio gives the same bytes.

    Each piece that a machine may cut is there once, moved by whole millimetres (`laid_out`) and never turned.
    Positions are rounded to 0.0001 mm, those of letters to 0.01 mm.

    Raises
    ------
    DrawingError
        If something in the folio cannot be drawn true.
    """
    folio = _checked(folio)
    return written(drawn(laid_out(folio.pieces, legend(folio))), release)


def sheet_drawing(folio: Folio, size: tuple[float, float]) -> Drawn:
    """Return the drawing of a sheet of stock, `size` mm, whose pieces are in their places.

    Raises
    ------
    DrawingError
        If something in the folio cannot be drawn true.
    """
    return drawn(on_sheet(_checked(folio).pieces, folio.title, size))


def _checked(folio: Folio) -> Folio:
    """Return a folio without what is used as paper. Raises DrawingError."""
    folio = replace(folio, pieces=tuple(piece for piece in folio.pieces if not piece.is_paper))
    faults = drawing_faults(folio)
    if faults:
        more = [f"and {len(faults) - FAULTS_SHOWN} more"] if len(faults) > FAULTS_SHOWN else []
        raise DrawingError("; ".join([*faults[:FAULTS_SHOWN], *more]))
    return folio


def legend(folio: Folio) -> tuple[str, ...]:
    """Return the words that stand at the foot of a drawing: what it is, its scale, and what each layer is for."""
    layers = [f"Layer {name}: {use}." for name, use in USES.items()]
    return (
        folio.title,
        "Full size, in millimetres. Sizes are to the middle of the line.",
        f"{folio.kind}.pdf explains how to use the pieces; templates used as paper are only there.",
        *layers,
        "Layers DRILL-: holes, one layer for each diameter in mm.",
    )


def written(drawing: Drawn, release: Release = "r2000") -> bytes:
    """Return a drawing as a file; a sheet's pieces as blocks."""
    space = Owner(MODEL_SPACE, release, count(FIRST_HANDLE))
    layers, blocks = layers_of(drawing.layers), list[tuple[Block, str]]()
    entities = "".join(space.words(label, label.at) for label in drawing.words)
    if drawing.layout.is_sheet:
        entities += frame_of(drawing.layout, space)
        blocks = _blocks(drawing, layers, space)
    else:
        entities += "".join(entities_of(piece, space) for piece in drawing.pieces)
    return filled(drawing.layout, layers, blocks, entities, space).encode("ascii")


def entities_of(piece: DrawnPiece, owner: Owner, origin: tuple[float, float] = (0.0, 0.0)) -> str:
    """Return the text of all entities of a piece, their places counted from `origin`, mm."""
    x, y = origin
    is_moved = origin != (0.0, 0.0)
    lines = [line.moved(-x, -y) if is_moved else line for line in piece.lines]
    parts = [owner.polyline(line.pen, line.points, line.bulges, line.closed) for line in lines]
    parts += [owner.circle(hole.layer, hole.x - x, hole.y - y, hole.radius) for hole in piece.holes]
    parts += [
        owner.words(label, (label.at[0] - x, label.at[1] - y) if is_moved else label.at) for label in piece.words
    ]
    return "".join(parts)


def _blocks(drawing: Drawn, layers: Sequence[str], space: Owner) -> list[tuple[Block, str]]:
    """Return a block for each piece, and the text of its entities."""
    longest = LONGEST_NAME if space.release == "r12" else None
    names = block_names([placed.piece for placed in drawing.layout.placed], longest)
    blocks = blocks_of(names, [piece.corner for piece in drawing.pieces], layers, space.release)
    return [
        (block, entities_of(piece, replace(space, handle=block.handle), piece.corner))
        for block, piece in zip(blocks, drawing.pieces, strict=True)
    ]


def frame_of(layout: Layout, owner: Owner) -> str:
    """Return the edges of a sheet of stock, to be read."""
    corners = np.array([[0.0, 0.0], [layout.width, 0.0], [layout.width, layout.height], [0.0, layout.height]])
    frame = DrawnLine(Pen(INFO), corners, np.zeros(4), True)
    return owner.polyline(frame.pen, frame.points, frame.bulges, frame.closed)
