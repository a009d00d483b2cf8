"""How a mould stands on its legs: a drawing to scale for each, with the figures from which the rest is made.

Nothing on it is measured with a rule; every length is written.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import Point, line
from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import station_place
from templates_gen.hull.model import Station
from templates_gen.templates.cards import Row, broken, set_down
from templates_gen.templates.moulds.band import WOOD
from templates_gen.templates.moulds.outline import NOTCH, Mould, diagonals
from templates_gen.templates.moulds.writing import Writing
from templates_gen.words import piece_name

Array = NDArray[np.float64]

CROSS_PIECE = 80.0
"""mm: depth of the cross-piece at the building line (common practice)."""

_SCALES = (5, 10, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200)
_WIDE, _HIGH = 80.0, 96.0
"""mm that the figure may be wide and high on paper: four to a sheet of A4."""

_FINE, _TITLE = 2.2, 3.5
_LEAST_WIDTH = 78.0


def legs_about(boat: Boat, station: Station) -> About:
    """Return what the drawing of a mould's legs is about."""
    return About("mould", place=station_place(boat.hull, station), part="legs")


def legs_piece(boat: Boat, mould: Mould, outline: Array) -> Piece:
    """Return the drawing to scale of a mould's legs and cross-piece, on paper only; its mm are the paper's.

    `outline`, shape (n, 2), mm, is that of its edge band.
    """
    base = boat.hull.moulds.base
    size = np.array([outline[:, 0].max(), base - min(0.0, float(outline[:, 1].min()))])
    scale = next((one for one in _SCALES if size[0] <= one * _WIDE and size[1] <= one * _HIGH), _SCALES[-1])
    about = legs_about(boat, mould.shape.station)
    paths = [replace(path, points=path.points / scale) for path in _timbers(mould, outline, base)]
    writing = Writing(paths, [])
    spans, left = _written(boat, mould, scale, writing)
    paths += [Path(np.stack(part), Role.NOTE) for span in spans for part in writing.unbroken(*span)]
    low = min(float(path.points[:, 1].min()) for path in paths)
    title, texts = f"MOULD {mould.name}: legs, 1 : {scale}", (*left, *_rows(boat, mould))
    rows = (Row(title, _TITLE), *(Row(text, _FINE, kind="instruction") for text in texts))
    labels = set_down(broken(rows, max(float(size[0]) / scale, _LEAST_WIDTH)), (0.0, low - 4.0))
    return Piece(
        piece_name(about),
        "moulds",
        ("drawn to scale: use the written figures",),
        tuple(paths),
        labels=(*writing.labels, *labels),
        is_paper=True,
        serves=(station_place(boat.hull, mould.shape.station),),
        about=about,
    )


def _timbers(mould: Mould, outline: Array, base: float) -> list[Path]:
    """The band, the leg and the cross-piece of the half, and the lines they stand on, full size."""
    leg, top = mould.outline.leg, float(outline[:, 1].max())
    inner, depth = max(leg - WOOD, 0.0), min(CROSS_PIECE, base - float(mould.sheer[1]))
    return [
        Path(outline, Role.NOTE, closed=True),
        line(Role.NOTE, (leg, top), (leg, base)),
        line(Role.NOTE, (inner, top), (inner, base - depth)),
        line(Role.NOTE, (0.0, base - depth), (leg, base - depth)),
        line(Role.NOTE, (0.0, base), (leg, base)),
        line(Role.CENTRELINE, (0.0, min(0.0, mould.notch.top)), (0.0, base)),
        line(Role.DATUM, (0.0, 0.0), (leg, 0.0)),
    ]


def _written(boat: Boat, mould: Mould, scale: int, writing: Writing) -> tuple[list[Array], list[str]]:
    """Write every length along a line of its own, on paper.

    Return those lines that are to be drawn, shape (2, 2) each, mm on paper, and the lengths that found no room.
    """
    base, notation = boat.hull.moulds.base, boat.hull.notation
    leg, notch = mould.outline.leg, mould.notch.top
    (y, z), inner = (float(v) for v in mould.sheer), max(mould.outline.leg - WOOD, 0.0)
    to_sheer, to_corner, _ = diagonals(boat, mould)
    below, down = notation.spoken_length(base), notation.spoken_length(base - z)
    to = notation.spoken_length(to_sheer)
    half, rise = notation.spoken_length(y), notation.spoken_length(base - notch)
    spans: tuple[tuple[Point, Point, tuple[str, ...], bool], ...] = (
        (
            (0.0, base),
            (leg, base),
            _shorter("building line: half-breadth", "building line:", notation.spoken_length(leg)),
            False,
        ),
        ((0.0, 0.0), (leg, 0.0), (f"base line, {below} from the building line", "base line"), False),
        ((0.0, notch), (0.0, base), _shorter("notch to building line", "notch to line", rise), False),
        ((inner, z), (inner, base), _shorter("sheer to building line", "sheer to line", down), True),
        ((0.0, z), (y, z), _shorter("half-breadth at sheer", "half-breadth", half), True),
        (
            (0.0, notch),
            (leg, base),
            _shorter(f"{NOTCH} to top corner", "to top corner", notation.spoken_length(to_corner)),
            True,
        ),
        ((0.0, base), (y, z), _shorter("centreline at the building line to sheer", "to sheer", to), True),
    )
    drawn, left = [], []
    for start, end, texts, is_drawn in spans:
        span = np.array([start, end]) / scale
        figure = texts[0].partition(", ")[2]
        if not writing.add_along(span, texts, _FINE) or figure not in writing.labels[-1].text:
            left.append(f"{texts[0][0].upper()}{texts[0][1:]}.")
        if is_drawn:
            drawn.append(span)
    return drawn, left


def _shorter(words: str, brief: str, figure: str) -> tuple[str, ...]:
    """What to write along a line, the longest first: no figure stands without words."""
    return (f"{words} {figure}", f"{brief} {figure}")


def _rows(boat: Boat, mould: Mould) -> tuple[str, ...]:
    """What is written under the drawing."""
    notation = boat.hull.notation
    widest = mould.shape.outline[int(np.argmax(mould.shape.outline[:, 0].round(6)))]
    across = notation.spoken_length(diagonals(boat, mould)[2])
    return (
        f"Halves joined: from the sheer to the opposite top corner {across}, the same both ways.",
        f"Widest: {notation.spoken_length(float(widest[0]))} out, {notation.spoken_length(float(widest[1]))} up.",
        f"Leg {notation.spoken_length(WOOD)} wide, cross-piece {notation.spoken_length(CROSS_PIECE)} deep, or as "
        "you like; their outer edges must be true.",
    )
