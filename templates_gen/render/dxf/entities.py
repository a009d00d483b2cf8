"""The entities of a DXF drawing as text: closed and open LWPOLYLINEs of arcs and lines, and CIRCLEs.

ezdxf makes the rest of the file (header, layers, objects). It spends 60 µs on a polyline and 7 µs on each of its
points, most of it on checks of what we have checked already; a drawing with engraved lettering holds tens of
thousands of short lines. Written here they cost 3 µs each, and ezdxf and GDAL read them back in the tests.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from templates_gen.drawing.piece import Array
from templates_gen.render.dxf.polylines import BULGE_DECIMALS, Flags, Indices, Polylines

# Handles are hexadecimal numbers. Ours are counted with decimal digits, which are hexadecimal digits too, from a
# number that is greater than any of the handles of the empty drawing.
FIRST_HANDLE = 10_000
BULGE = f" 42\n%.{BULGE_DECIMALS}f\n"


@dataclass(frozen=True)
class Pen:
    """What a line is drawn with: its layer, its line type (by the layer if empty) and how finely it is placed."""

    layer: str
    line_type: str = ""
    decimals: int = 4


def polyline_entities(lines: Polylines, pens: Sequence[Pen], owner: str, handle: int) -> str:
    """Return one LWPOLYLINE for each of `lines`, with handles from `handle` on; `owner` is the model space."""
    if not len(lines.counts):
        return ""
    numbers = np.arange(len(lines.counts))
    is_arc = lines.bulges != 0.0 if lines.bulges is not None else np.zeros(len(lines.points), dtype=np.bool_)
    widths = 2 + is_arc  # figures of each point
    places = np.cumsum(widths) - widths + lines.owners + 1  # one more for each head
    values = np.empty(len(numbers) + int(widths.sum()))
    values[places[lines.starts] - 1] = handle + numbers
    values[places], values[places + 1] = lines.points.T
    if lines.bulges is not None:
        values[places[is_arc] + 2] = lines.bulges[is_arc]
    return _form(lines, is_arc, pens, owner) % tuple(values.tolist())


def _form(lines: Polylines, is_arc: Flags, pens: Sequence[Pen], owner: str) -> str:
    """Return the text of all lines with a place for each handle, coordinate and bulge."""
    forms: dict[tuple[int, int, bool, bytes], str] = {}
    parts = []
    curved = np.logical_or.reduceat(is_arc, lines.starts).tolist()
    table = zip(lines.pens.tolist(), lines.starts.tolist(), lines.counts.tolist(), lines.closed.tolist(), strict=True)
    for has_arcs, (pen, start, count, closed) in zip(curved, table, strict=True):
        arcs = is_arc[start : start + count].tobytes() if has_arcs else b""
        key = pen, count, closed, arcs
        if key not in forms:
            head = _head("LWPOLYLINE", pens[pen], owner)
            straight = " 10\n%.{0}f\n 20\n%.{0}f\n".format(pens[pen].decimals)
            points = [straight + (BULGE if arc else "") for arc in arcs] if arcs else [straight] * count
            forms[key] = f"{head}100\nAcDbPolyline\n 90\n{count}\n 70\n{int(closed)}\n{''.join(points)}"
        parts.append(forms[key])
    return "".join(parts)


def circle_entities(circles: Array, pen: Pen, owner: str, handle: int) -> str:
    """Return one CIRCLE for each row (x, y, radius) of `circles`, shape (n, 3), mm, with handles from `handle` on."""
    numbers: Indices = np.arange(len(circles))
    values = np.column_stack([handle + numbers, circles])
    form = _head("CIRCLE", pen, owner) + "100\nAcDbCircle\n 10\n%.4f\n 20\n%.4f\n 30\n0.0\n 40\n%.4f\n"
    return len(circles) * form % tuple(values.ravel().tolist())


def _head(kind: str, pen: Pen, owner: str) -> str:
    """Return what every entity begins with, with a place for its handle."""
    line_type = f"  6\n{pen.line_type}\n" if pen.line_type else ""
    return f"  0\n{kind}\n  5\n%d\n330\n{owner}\n100\nAcDbEntity\n  8\n{pen.layer}\n{line_type}"
