"""Tables of thwarts: where each end lies on which strake, with its bevels, and the lands that cross it."""

from collections.abc import Iterator

import numpy as np

from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.level import EndPart, ThwartShape
from templates_gen.notation import Notation
from templates_gen.units import format_angle
from templates_gen.words import piece_name


def thwart_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the half-breadths and bevels of each thwart's end, and the lands that cross it."""
    return tuple(table for shape in boat.inside if isinstance(shape, ThwartShape) for table in _tables(boat, shape))


def _tables(boat: Boat, shape: ThwartShape) -> Iterator[Table]:
    """Yield the half-breadths and bevels of an end, and the lands that cross it, where some do."""
    notation = boat.hull.notation
    breadths = [notation.heading(name) for name in ("half-breadth,\ntop", "half-breadth,\nbottom")]
    title, datum = f"{piece_name(shape.about).capitalize()}: ", notation.heading("aft of\nthe datum")
    yield Table(
        f"{title}its end, fore to aft",
        ("strake", datum, *breadths, "bevel"),
        tuple(_end_rows(notation, shape)),
        (
            "The bevel is square to the end's edge, less than 0 where the bottom face is the larger. A half-breadth "
            "is left out where that face lies on another strake.",
        ),
        word_columns=(),
    )
    if shape.lands:
        corner = notation.heading("half-breadth\nof its corner")
        above = notation.depth_heading("above the\nbottom face")
        yield Table(
            f"{title}lands that cross its end",
            ("land", datum, corner, above, notation.depth_heading("step")),
            tuple(_land_rows(notation, shape)),
            (
                "The corner is the upper inside corner of the strake below the land. The step is from the corner out "
                "to where the face of the strake above begins: notch the end for it.",
            ),
            word_columns=(),
            rows_together=2,
        )


def _end_rows(notation: Notation, shape: ThwartShape) -> Iterator[tuple[str, ...]]:
    """Yield a row for each end of the parts of either face, strake by strake."""
    order = dict.fromkeys(part.strake for part in (*shape.parts, *shape.under_parts))
    for strake in order:
        faces = [[p for p in parts if p.strake == strake] for parts in (shape.parts, shape.under_parts)]
        bevels = {
            round(float(x), 3): bevel
            for part in (*faces[1], *faces[0])
            for x, bevel in zip(part.line[[0, -1], 0], part.bevels, strict=True)
        }
        for x, bevel in sorted(bevels.items()):
            breadths = (_breadth(notation, parts, x) for parts in faces)
            yield str(strake), notation.length(x), *breadths, format_angle(bevel)


def _breadth(notation: Notation, parts: list[EndPart], x: float) -> str:
    """The half-breadth at x of the part that reaches it, nothing where none does."""
    for part in parts:
        if part.line[0, 0] - 0.01 < x < part.line[-1, 0] + 0.01:
            return notation.length(float(np.interp(x, *part.line.T)))
    return ""


def _land_rows(notation: Notation, shape: ThwartShape) -> Iterator[tuple[str, ...]]:
    """Yield a row for the forward and the after end of each run in which a land crosses the end."""
    for land in shape.lands:
        for k in (0, -1):
            x, out = (notation.length(float(one)) for one in land.corner[k, :2])
            depths = (notation.depth_cell(float(one[k])) for one in (land.above_bottom, land.steps))
            yield str(land.land), x, out, *depths
