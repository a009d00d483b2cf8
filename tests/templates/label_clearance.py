"""What a piece's labels lie over: one another, or cut and scribed lines. Text is measured as it is printed."""

from collections.abc import Collection

import numpy as np
from shapely import Geometry, LineString, Polygon, STRtree

from templates_gen.drawing.marks import TextWidth, label_boxes
from templates_gen.drawing.piece import Array, Label, Piece, Role
from templates_gen.render.pdf.letters import text_width

MARKED = frozenset({Role.CUT, Role.SCRIBE})


def label_box(label: Label, width_of: TextWidth) -> Array:
    """Return the corners of the box that a label fills, shape (4, 2), mm: letters may hang a third below the line."""
    box: Array = label_boxes([label], width_of)[0]
    return box


def crowded_labels(piece: Piece, roles: Collection[Role] = MARKED) -> list[str]:
    """Return, in words, each pair of labels that overlap and each label that lies over a line of the given roles."""
    texts = [label.text for label in piece.labels]
    boxes = STRtree([Polygon(label_box(label, text_width)) for label in piece.labels])
    firsts, others = boxes.query(boxes.geometries, predicate="intersects")
    found = [
        f"{piece.name}: {texts[k]!r} overlaps {texts[n]!r}" for k, n in zip(firsts, others, strict=True) if k < n
    ]
    lines: list[tuple[str, Geometry]] = []
    for path in piece.paths:
        if path.role in roles:
            points = [*path.points, path.points[0]] if path.closed else path.points
            lines.append((path.role.name, LineString(points)))
    for hole in piece.holes:
        circle = LineString([hole.centre, (hole.centre[0] + 1e-6, hole.centre[1])]).buffer(hole.diameter / 2)
        lines.append(("hole", circle))
    crossed, under = boxes.query(np.array([shape for _, shape in lines], dtype=object), predicate="intersects")
    return found + [
        f"{piece.name}: {texts[n]!r} lies over a {lines[k][0]} line" for k, n in zip(crossed, under, strict=True)
    ]
