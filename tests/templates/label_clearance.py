"""What a piece's labels lie over: one another, or cut and scribed lines. Text is measured as it is printed."""

from collections.abc import Collection
from itertools import combinations

from shapely import LineString, Polygon

from templates_gen.drawing.piece import Piece, Role
from templates_gen.paper.ink import label_box
from templates_gen.render.pdf.letters import text_width

MARKED = frozenset({Role.CUT, Role.SCRIBE})


def crowded_labels(piece: Piece, roles: Collection[Role] = MARKED) -> list[str]:
    """Return, in words, each pair of labels that overlap and each label that lies over a line of the given roles."""
    boxes = [(label.text, Polygon(label_box(label, text_width))) for label in piece.labels]
    found = [
        f"{piece.name}: {first!r} overlaps {second!r}"
        for (first, box), (second, other) in combinations(boxes, 2)
        if box.intersects(other)
    ]
    lines = []
    for path in piece.paths:
        if path.role in roles:
            points = [*path.points, path.points[0]] if path.closed else path.points
            lines.append((path.role.name, LineString(points)))
    for hole in piece.holes:
        circle = LineString([hole.centre, (hole.centre[0] + 1e-6, hole.centre[1])]).buffer(hole.diameter / 2)
        lines.append(("hole", circle))
    return found + [
        f"{piece.name}: {text!r} lies over a {name} line"
        for text, box in boxes
        for name, shape in lines
        if box.intersects(shape)
    ]
