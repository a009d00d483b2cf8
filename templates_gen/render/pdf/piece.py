"""A piece as a form: drawn once, then placed on every page that shows some of it."""

import math

from templates_gen.drawing.piece import Hole, Label, Piece, Role
from templates_gen.render.pdf.content import Content
from templates_gen.render.pdf.pens import FINE, PENS

_LARGE = 8.0
"""mm: labels this high or higher are printed grey, so that what lies over them stays legible."""

_GREY = 0.55


def draw_piece(content: Content, piece: Piece) -> None:
    """Draw all of `piece` in its own millimetres."""
    for label in piece.labels:
        if label.height >= _LARGE:
            content.ink(_GREY)
            _draw_label(content, label)
            content.ink(0)
    for role, pen in PENS.items():
        paths = [(path.points, path.closed) for path in piece.paths if path.role is role]
        if paths:
            content.paths(paths, pen)
    for hole in piece.holes:
        _draw_hole(content, hole)
    for label in piece.labels:
        if label.height < _LARGE:
            _draw_label(content, label)


def _draw_label(content: Content, label: Label) -> None:
    """Write one label."""
    content.text(*label.at, label.text, label.height, label.anchor, math.remainder(label.angle, 2 * math.pi))


def _draw_hole(content: Content, hole: Hole) -> None:
    """Draw a hole as it is cut, with a fine cross over its centre."""
    x, y = hole.centre
    reach = hole.diameter / 2 + 1.5
    content.segments([(x - reach, y, x + reach, y), (x, y - reach, x, y + reach)], FINE)
    content.circle(x, y, hole.diameter / 2, PENS[Role.CUT])
