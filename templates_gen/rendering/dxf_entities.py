"""The entities of a DXF drawing as text: closed and open LWPOLYLINEs, and CIRCLEs.

ezdxf makes the rest of the file (header, layers, objects). It spends 60 µs on a polyline and 7 µs on each of its
points, most of it on checks of what we have checked already; a drawing with engraved lettering holds tens of
thousands of short lines. Written here they cost 3 µs each, and ezdxf and GDAL read them back in the tests.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from templates_gen.drawing.piece import Array
from templates_gen.rendering.dxf_polylines import Indices, Polylines

# Handles are hexadecimal numbers. Ours are counted with decimal digits, which are hexadecimal digits too, from a
# number that is greater than any of the handles of the empty drawing.
FIRST_HANDLE = 10_000


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
    values = np.empty(len(lines.counts) + 2 * len(lines.points))
    heads = 2 * lines.starts + numbers
    is_head = np.zeros(len(values), dtype=np.bool_)
    is_head[heads] = True
    values[heads] = handle + numbers
    values[~is_head] = lines.points.ravel()
    return _form(lines, pens, owner) % tuple(values.tolist())


def _form(lines: Polylines, pens: Sequence[Pen], owner: str) -> str:
    """Return the text of all lines with a place for each handle and coordinate."""
    forms: dict[tuple[int, int, bool], str] = {}
    parts = []
    for key in zip(lines.pens.tolist(), lines.counts.tolist(), lines.closed.tolist(), strict=True):
        if key not in forms:
            pen, count, closed = key
            head = _head("LWPOLYLINE", pens[pen], owner)
            point = " 10\n%.{0}f\n 20\n%.{0}f\n".format(pens[pen].decimals)
            forms[key] = f"{head}100\nAcDbPolyline\n 90\n{count}\n 70\n{int(closed)}\n" + count * point
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
