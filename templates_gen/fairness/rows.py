"""Rows of a table that are wrong as wholes: under another line's label, a station out of place, or exchanged."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import LinesFigures
from templates_gen.fairness.left_out_rows import (
    FEWEST_IN_ROW,
    ROW_GAIN,
    Row,
    RowsLeftOut,
    RowSuspect,
    rows_left_out,
    without_rows,
)
from templates_gen.fairness.square import SquareData
from templates_gen.numerics.regression import Surface

Array = NDArray[np.float64]

FEWEST_ROWS = 3
"""With fewer rows, none is tested as a whole."""

ROUGH = 2.0
"""A row is tried if its figures, all left out together, miss by so many times the variance to be expected."""

_TRIED = 4


def wrong_row(lines: LinesFigures, rabbet: Array, sheer: Array, data: SquareData, whole: Surface,
              is_metric: bool) -> RowSuspect | None:  # fmt: skip
    """Return the row that is the likeliest to be wrong as a whole, None if all are in their right places.

    Parameters
    ----------
    rabbet, sheer : Array, shape (m,)
        The heights that are trusted, mm.
    data, whole : SquareData, Surface
        The figures as given, and their surface.

    Notes
    -----
    Each rough row is left out as a whole, the surface is fitted again, and the row's figures are compared in all the
    places where they may belong, by their joint likelihood on that surface. As given, the worst of them does not
    count: one slip does not make a wrong row.
    """
    rows = list(_rows(lines))
    if len(rows) < FEWEST_ROWS:
        return None

    def rest_of(*left: Row) -> RowsLeftOut:
        return rows_left_out(lines, rabbet, sheer, data.square.layout, left, whole.scale)

    rests = [(row, rest_of(row)) for row in rows if len(row.places) >= FEWEST_IN_ROW]
    rough = {row.title: rest.roughness(row) for row, rest in rests}
    tried = sorted((pair for pair in rests if rough[pair[0].title] > ROUGH), key=lambda pair: -rough[pair[0].title])
    found: list[RowSuspect | None] = []
    for row, rest in tried[:_TRIED]:
        found += [rest.label(row, is_metric), rest.shift(row)]
        found += [rest_of(row, other).swap(row, other) for other in _neighbours(row, rows)]
    suspects = sorted((one for one in found if one is not None), key=lambda one: -one.likelihood)
    return _with_rival(suspects) if suspects else None


def _with_rival(suspects: list[RowSuspect]) -> RowSuspect:
    """Return the likeliest of some suspects; with the other row whose label explains the figures nearly as well."""
    best, *others = suspects
    if best.fault != "label":
        return best
    near = (one for one in others if one.fault == "label" and best.likelihood - one.likelihood < ROW_GAIN)
    return replace(best, rival=next((one for one in near if one.row != best.row), None))


def with_row_mended(lines: LinesFigures, row: RowSuspect) -> LinesFigures:
    """Return the figures with a row's, and the other row's if two are exchanged, where they belong."""
    left = without_rows(lines, (row.row, row.other))
    return replace(left, surface=(*left.surface, *row.belong))


def _rows(lines: LinesFigures) -> Iterator[Row]:
    """Yield the waterlines, buttocks and diagonals of a table, and the sheer's half-breadths."""
    places: dict[str, list[int]] = {}
    for place, figure in enumerate(lines.surface):
        if figure.named is not None and figure.named.line and figure.role not in ("rabbet", "point"):
            places.setdefault(figure.named.row, []).append(place)
    for title, found in places.items():
        first = lines.surface[found[0]]
        assert first.named is not None
        level = first.half_breadth if first.role == "buttock" else first.height
        if first.role == "diagonal":
            level = first.height - first.half_breadth * first.direction[1] / max(first.direction[0], 1e-9)
        yield Row(title, first.role, level, first.named.line, tuple(found))


def _neighbours(row: Row, rows: list[Row]) -> Iterator[Row]:
    """Yield the next lines of the same kind below and above a row."""
    if row.role == "sheer":
        return
    alike = sorted((one for one in rows if one.role == row.role), key=lambda one: one.level)
    place = alike.index(row)
    yield from (alike[at] for at in (place - 1, place + 1) if 0 <= at < len(alike) and alike[at].level != row.level)
