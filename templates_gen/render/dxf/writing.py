"""DXF drawings for a router, a laser or a drawing program: full size, in millimetres, one layer for each operation.

Layers
------
cut
    Net outlines (role CUT): closed, to be cut to the middle of the line.
rough
    Rough outlines with the allowances (ROUGH): cut these instead of the net ones where wood is to be left on.
scribe
    Lines to be scribed or engraved on the face you look at: stations, laps, geralds (SCRIBE, CENTRELINE, FOLD).
datum
    The datum line and its distances (DATUM), apart because not everyone wants it seen on the finished plank.
letter
    The numbers and words that stand on the piece: single strokes, to be engraved.
drill
    Holes, as circles.
note
    What is read and never cut: what lies on the far face, sections, hatching (FAR, NOTE, HATCH), and under each
    piece its name and title.

One operation to a layer: a machine's program takes or leaves each of them whole. The same table stands at the foot of
every drawing, and each layer carries its line of it as its description.

The format is that of AutoCAD 2000 (AC1015). The older release 12 is read by still older programs, but says nothing
of units, and its outlines are chains of separate vertices; every program that we know to read closed LWPOLYLINEs with
bulges, as this has, reads AC1015. Only LWPOLYLINE and CIRCLE entities are used; no splines, which some programs
refuse; no text, so that every reader shows the same; nothing outside ASCII. Curves are arcs within 0.02 mm, none
shorter than 1 mm, so that a machine runs through them without a stutter; see `numerics.arcs`.

Letters as strokes cost more than TEXT entities would: about 3 µs and 0.2 kB a stroke, where a whole line of TEXT
takes 40 µs. They are worth it because machines' programs drop TEXT or put another typeface in its place.
"""

import io
from collections.abc import Iterator
from configparser import Error as ConfigParserError
from contextlib import contextmanager
from dataclasses import replace

import numpy as np

from templates_gen.drawing.piece import Array, Folio, Role
from templates_gen.errors import DrawingError
from templates_gen.render.dxf.faults import drawing_faults
from templates_gen.render.dxf.layout import Layout, laid_out, left_in_place
from templates_gen.render.dxf.polylines import (
    DECIMALS,
    FIRST_HANDLE,
    Pen,
    Polylines,
    circle_entities,
    curved,
    distinct,
    joined,
    polyline_entities,
)
from templates_gen.render.dxf.stroke_font import text_strokes

try:
    from ezdxf._options import options
    from ezdxf.document import Drawing
    from ezdxf.filemanagement import new
except ConfigParserError as fault:
    reason = " ".join(str(fault).split())
    raise DrawingError(f"ezdxf cannot read its own settings file; correct or remove it: {reason}") from fault

LAYERS = {
    "cut": "net outlines: cut through; sizes are to the middle of the line",
    "rough": "rough outlines with allowances: cut these instead of the net ones to leave wood on",
    "scribe": "lines to scribe or engrave on the face you look at",
    "datum": "datum line and its distances: engrave it only if it may show on the finished piece",
    "letter": "numbers and words on the wood, in single strokes: engrave",
    "drill": "holes",
    "note": "lines and words to read: never cut or engrave",
}
COLOURS = {"cut": 7, "rough": 9, "scribe": 5, "datum": 4, "letter": 6, "drill": 3, "note": 8}
"""Numbers of the format's own palette."""

DASHED = "DASHED"
PENS = {
    Role.CUT: Pen("cut"),
    Role.ROUGH: Pen("rough", DASHED),
    Role.SCRIBE: Pen("scribe"),
    Role.CENTRELINE: Pen("scribe"),
    Role.BEVEL: Pen("note"),
    Role.FOLD: Pen("scribe", DASHED),
    Role.DATUM: Pen("datum"),
    Role.FAR: Pen("note", DASHED),
    Role.NOTE: Pen("note"),
    Role.HATCH: Pen("note"),
}
LETTERS = Pen("letter", decimals=2)
WORDS = Pen("note", decimals=2)
HOLES = Pen("drill")
MARGIN = 10.0  # of the view, mm
FAULTS_SHOWN = 20
ENTITIES = "  2\nENTITIES\n"


def dxf_bytes(folio: Folio, in_place: bool = False) -> bytes:
    """Return `folio` as a DXF drawing; the same folio gives the same bytes.

    Each piece that a machine may cut is there once, moved by whole millimetres (`laid_out`) and never turned.
    Curves are arcs and lines within 0.02 mm; positions are rounded to 0.0001 mm, those of letters to 0.01 mm.

    Parameters
    ----------
    folio : Folio
    in_place : bool
        Leave the pieces where they are, as a sheet of stock wants: its corner is then the drawing's origin.

    Raises
    ------
    DrawingError
        If something in the folio cannot be drawn true.
    """
    folio = replace(folio, pieces=tuple(piece for piece in folio.pieces if not piece.is_paper))
    faults = drawing_faults(folio)
    if faults:
        more = [f"and {len(faults) - FAULTS_SHOWN} more"] if len(faults) > FAULTS_SHOWN else []
        raise DrawingError("; ".join([*faults[:FAULTS_SHOWN], *more]))
    layout = (left_in_place if in_place else laid_out)(folio.pieces, legend(folio))
    with _fixed_dates():
        document = _empty_drawing(layout)
        entities, next_handle = _entities(layout, document.modelspace().layout_key)
        document.entitydb.handles.reset(str(next_handle))
        return _assembled(document, entities).encode("ascii")


def legend(folio: Folio) -> tuple[str, ...]:
    """Return the words that stand at the foot of a drawing: what it is, its scale, and what each layer is for."""
    layers = [f"Layer {name}: {use}." for name, use in LAYERS.items()]
    return (
        folio.title,
        "Full size, in millimetres. Sizes are to the middle of the line.",
        f"{folio.kind}.pdf explains how to use the pieces; templates used as paper are only there.",
        *layers,
    )


def _entities(layout: Layout, owner: str) -> tuple[str, int]:
    """Return the text of all entities of a drawing, and the first handle that is still free."""
    roles = list(PENS)
    pens = [PENS[role] for role in roles]
    number = {role: position for position, role in enumerate(roles)}
    paths = [(path, placed.shift) for placed in layout.placed for path in placed.piece.paths]
    lines = joined(
        [np.asarray(path.points, dtype=np.float64) + shift for path, shift in paths],
        [path.closed for path, _ in paths],
        [number[path.role] for path, _ in paths],
    )
    texts, handle = [], FIRST_HANDLE
    for batch, batch_pens in ((curved(distinct(lines)), pens), (_letters(layout), [LETTERS, WORDS])):
        texts.append(polyline_entities(batch, batch_pens, owner, handle))
        handle += len(batch.counts)
    circles = _circles(layout)
    texts.append(circle_entities(circles, HOLES, owner, handle))
    return "".join(texts), handle + len(circles)


def _letters(layout: Layout) -> Polylines:
    """Return all words of a drawing as strokes: those on the pieces with pen 0, those next to them with pen 1."""
    on_wood = [(label, placed.shift) for placed in layout.placed for label in placed.labels]
    next_to = [(label, placed.shift) for placed in layout.placed for label in placed.caption]
    next_to += [(label, (0.0, 0.0)) for label in layout.legend]
    strokes = [
        (*text_strokes(*zip(*words, strict=True)), pen) for pen, words in enumerate((on_wood, next_to)) if words
    ]
    counts = np.concatenate([counts for _, counts, _ in strokes])
    pens = np.concatenate([np.full(len(counts), pen, dtype=np.int64) for _, counts, pen in strokes])
    points = np.round(np.concatenate([points for points, _, _ in strokes]), LETTERS.decimals) + 0.0
    return Polylines(points, counts, np.zeros(len(counts), dtype=np.bool_), pens)


def _circles(layout: Layout) -> Array:
    """Return the holes as rows (x, y, radius), shape (n, 3), mm, none twice."""
    rows = [
        (hole.centre[0] + placed.shift[0], hole.centre[1] + placed.shift[1], hole.diameter / 2)
        for placed in layout.placed
        for hole in placed.piece.holes
    ]
    rounded = np.round(np.array(rows).reshape(-1, 3), DECIMALS) + 0.0
    return np.array(list(dict.fromkeys(map(tuple, rounded.tolist())))).reshape(-1, 3)


@contextmanager
def _fixed_dates() -> Iterator[None]:
    """Make ezdxf write a fixed date and identity instead of today's and a random one, whatever its settings say."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _empty_drawing(layout: Layout) -> Drawing:
    """Return a drawing with its units, layers and view, and no entity yet."""
    document = new("R2000", setup=False, units=4)
    document.header["$MEASUREMENT"] = 1
    document.linetypes.add(DASHED, [4.5, 3.0, -1.5], description="Dashed __ __ __")
    for name, colour in COLOURS.items():
        document.layers.add(name, color=colour).description = LAYERS[name]
    # a view takes in the whole of a drawing on a screen half as high as it is wide
    view = max(layout.height, layout.width / 2)
    left, bottom = layout.corner
    right, top = left + layout.width, bottom + layout.height
    document.set_modelspace_vport(view, center=((left + right) / 2, (bottom + top) / 2))
    space = document.modelspace()
    # with a margin: ezdxf leaves extents out that begin at the origin
    space.reset_extents((left - MARGIN, bottom - MARGIN, 0.0), (right + MARGIN, top + MARGIN, 0.0))
    space.reset_limits((left - MARGIN, bottom - MARGIN), (right + MARGIN, top + MARGIN))
    return document


def _assembled(document: Drawing, entities: str) -> str:
    """Return the whole file: what ezdxf writes of the empty drawing, with our entities in their section."""
    stream = io.StringIO()
    document.write(stream)
    parts = stream.getvalue().split(ENTITIES)
    if len(parts) != 2:
        raise DrawingError(
            "this version of ezdxf writes files in an order that is not known here: install ezdxf 1.3 or 1.4"
        )
    return entities.join([parts[0] + ENTITIES, parts[1]])
