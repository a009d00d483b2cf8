"""DXF drawings for a router, a laser or a drawing program: full size, in millimetres, one layer for each operation.

`layers` says what each layer is for. Curves are arcs and lines within 0.02 mm, cut into spans so short that a
reader which drops arcs or coarsens them is still within 0.05 mm. What is to be read is TEXT, which no machine
follows; only the name of each piece is engraved, in single strokes, because machines' programs drop TEXT or set it in
another typeface.

A sheet of stock is drawn with its lower left corner at the origin and nothing outside it. Each of its pieces is a
block under its name, inserted once, so that a person can pick, move or leave out a piece in any drafting program.
Drawings of templates have no blocks: some readers give all lines of a block one layer.

The format is that of AutoCAD 2000 (AC1015), or that of release 12 for old controllers. Release 12 says nothing of
units and of what a layer is for, and its outlines are chains of separate vertices. Nothing is outside ASCII. Only
LWPOLYLINE (in release 12 POLYLINE), CIRCLE and TEXT entities are used: no splines, which some programs refuse.
"""

import io
import logging
from collections.abc import Iterator, Sequence
from configparser import Error as ConfigParserError
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import count

import numpy as np

from templates_gen.drawing.piece import Array, Folio, Label
from templates_gen.errors import DrawingError
from templates_gen.render.dxf.drawn import Drawn, DrawnLine, DrawnPiece, drawn
from templates_gen.render.dxf.faults import drawing_faults
from templates_gen.render.dxf.layers import DASHED, INFO, USES, Pen, Release, colour_of, layer_name, use_of
from templates_gen.render.dxf.layout import Layout, laid_out, on_sheet
from templates_gen.render.dxf.names import LONGEST_NAME, block_names
from templates_gen.render.dxf.polylines import BULGE_DECIMALS

try:
    from ezdxf._options import options
    from ezdxf.document import Drawing
    from ezdxf.filemanagement import new
except ConfigParserError as fault:
    reason = " ".join(str(fault).split())
    raise DrawingError(f"ezdxf cannot read its own settings file; correct or remove it: {reason}") from fault

MARGIN = 10.0  # of the view, mm
FAULTS_SHOWN = 20
ENTITIES = "  2\nENTITIES\n"
END_OF_BLOCK = "  0\nENDBLK\n"
KEPT_BLOCKS = 2
"""Blocks of every drawing that come before ours: those of its model and paper space."""

FIRST_HANDLE = 0x10000
"""Greater than any handle of the empty drawing."""

POINT = " 10\n%.4f\n 20\n%.4f\n"
BULGE = f" 42\n%.{BULGE_DECIMALS}f\n"
ANCHORS = {"start": 0, "middle": 1, "end": 2}


@dataclass(frozen=True)
class Owner:
    """Where entities go: the handle of a block or of the model space, the release, and the handles still free."""

    handle: str
    release: Release
    handles: Iterator[int]

    def polyline(self, pen: Pen, points: Array, bulges: Array, closed: bool) -> str:
        """Return a line through points, shape (n, 2), mm, with the bulge of each span, shape (n,)."""
        rows = zip(points.tolist(), bulges.tolist(), strict=True)
        if self.release == "r2000":
            placed = (POINT % (x, y) + (BULGE % bulge if bulge else "") for (x, y), bulge in rows)
            head = self._head("LWPOLYLINE", pen, "AcDbPolyline")
            return f"{head} 90\n{len(points)}\n 70\n{int(closed)}\n{''.join(placed)}"
        layer = Pen(pen.layer)
        vertices = (
            self._head("VERTEX", layer, "") + POINT % (x, y) + " 30\n0.0\n" + (BULGE % bulge if bulge else "")
            for (x, y), bulge in rows
        )
        head = self._head("POLYLINE", pen, "") + " 66\n1\n 10\n0.0\n 20\n0.0\n 30\n0.0\n"
        return f"{head} 70\n{int(closed)}\n{''.join(vertices)}{self._head('SEQEND', layer, '')}"

    def circle(self, layer: str, x: float, y: float, radius: float) -> str:
        """Return a circle, mm."""
        return (
            self._head("CIRCLE", Pen(layer_name(layer, self.release)), "AcDbCircle")
            + POINT % (x, y)
            + f" 30\n0.0\n 40\n{radius:.4f}\n"
        )

    def words(self, label: Label, at: tuple[float, float]) -> str:
        """Return a line of words to read, in plain ASCII, standing at `at`, mm."""
        text = label.text.replace("%%", "% %").replace("^", "^ ")
        x, y = at
        second = self._subclass("AcDbText")
        anchored = f" 72\n{ANCHORS[label.anchor]}\n 11\n{x:.2f}\n 21\n{y:.2f}\n 31\n0.0\n"
        return (
            f"{self._head('TEXT', Pen(INFO), 'AcDbText')} 10\n{x:.2f}\n 20\n{y:.2f}\n 30\n0.0\n"
            f" 40\n{label.height:.2f}\n  1\n{text}\n"
            f" 50\n{_degrees(label.angle):.3f}\n{anchored if label.anchor != 'start' else ''}{second}"
        )

    def _head(self, kind: str, pen: Pen, subclass: str) -> str:
        """Return what every entity begins with."""
        line_type = f"  6\n{pen.line_type}\n" if pen.line_type else ""
        number = f"  0\n{kind}\n  5\n{next(self.handles):X}\n"
        if self.release == "r12":
            return f"{number}  8\n{pen.layer}\n{line_type}"
        return f"{number}330\n{self.handle}\n100\nAcDbEntity\n  8\n{pen.layer}\n{line_type}{self._subclass(subclass)}"

    def _subclass(self, name: str) -> str:
        return f"100\n{name}\n" if self.release == "r2000" else ""


def _degrees(angle: float) -> float:
    """Return an angle in radians as degrees from 0 up to 360."""
    return round(float(angle) * 57.29577951308232, 3) % 360.0 + 0.0


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
    with _fixed_dates():
        document = _empty_drawing(drawing, release)
        handles = count(FIRST_HANDLE)
        space = Owner(document.modelspace().layout_key, release, handles)
        blocks: list[str] = []
        entities = "".join(space.words(label, label.at) for label in drawing.words)
        if drawing.layout.is_sheet:
            entities += _frame(drawing.layout, space)
            blocks = _blocks(document, drawing, Owner("", release, handles))
        else:
            entities += "".join(_entities(piece, space) for piece in drawing.pieces)
        document.entitydb.handles.reset(f"{next(handles):X}")
        return _assembled(document, entities, blocks).encode("ascii")


def _entities(piece: DrawnPiece, owner: Owner, origin: tuple[float, float] = (0.0, 0.0)) -> str:
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


def _blocks(document: Drawing, drawing: Drawn, owner: Owner) -> list[str]:
    """Add a block for each piece to a document, inserted once, and return the text of the entities of each."""
    is_old = owner.release == "r12"
    names = block_names([placed.piece for placed in drawing.layout.placed], LONGEST_NAME if is_old else None)
    texts = []
    for name, piece in zip(names, drawing.pieces, strict=True):
        block = document.blocks.new(name)
        document.modelspace().add_blockref(name, piece.corner)
        texts.append(_entities(piece, replace(owner, handle=block.block_record_handle), piece.corner))
    return texts


def _frame(layout: Layout, owner: Owner) -> str:
    """Return the edges of a sheet of stock, to be read."""
    corners = np.array([[0.0, 0.0], [layout.width, 0.0], [layout.width, layout.height], [0.0, layout.height]])
    frame = DrawnLine(Pen(INFO), corners, np.zeros(4), True)
    return owner.polyline(frame.pen, frame.points, frame.bulges, frame.closed)


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Make ezdxf write a fixed date and identity instead of today's and a random one, whatever its settings say."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _empty_drawing(drawing: Drawn, release: Release) -> Drawing:
    """Return a drawing with its units, layers and view, and no entity yet."""
    logging.getLogger("ezdxf").setLevel(logging.ERROR)  # it warns that release 12 has no units
    document = new(release.upper(), setup=False)
    if release == "r2000":
        document.units = 4
        document.header["$MEASUREMENT"] = 1
    document.linetypes.add(DASHED, [4.5, 3.0, -1.5], description="Dashed __ __ __")
    for layer in dict.fromkeys([*USES, *drawing.layers]):
        document.layers.add(layer_name(layer, release), color=colour_of(layer)).description = use_of(layer)
    layout = drawing.layout
    # a view takes in the whole of a drawing on a screen half as high as it is wide
    view = max(layout.height, layout.width / 2)
    left, bottom = layout.corner
    right, top = left + layout.width, bottom + layout.height
    document.set_modelspace_vport(view, center=((left + right) / 2, (bottom + top) / 2))
    space, margin = document.modelspace(), 0.0 if layout.is_sheet else MARGIN
    low, high = (left - margin, bottom - margin), (right + margin, top + margin)
    space.reset_extents((*low, 0.0), (*high, 0.0))
    space.reset_limits(low, high)
    # ezdxf leaves extents that begin at the origin out of the file's head
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (*low, 0.0), (*high, 0.0)
    return document


def _assembled(document: Drawing, entities: str, blocks: Sequence[str]) -> str:
    """Return the whole file: what ezdxf writes of the empty drawing, with our entities in their sections."""
    stream = io.StringIO()
    document.write(stream)
    parts = stream.getvalue().split(ENTITIES)
    definitions = parts[0].split(END_OF_BLOCK)
    if len(parts) != 2 or len(definitions) != KEPT_BLOCKS + len(blocks) + 1:
        raise DrawingError(
            "this version of ezdxf writes files in an order that is not known here: install ezdxf 1.3 or 1.4"
        )
    filled = [text + block for text, block in zip(definitions[KEPT_BLOCKS:], blocks, strict=False)]
    head = END_OF_BLOCK.join([*definitions[:KEPT_BLOCKS], *filled, definitions[-1]])
    return entities.join([head + ENTITIES, parts[1]])
