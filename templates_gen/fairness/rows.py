"""Rows of a table that are wrong as wholes: under another line's label, a station out of place, or exchanged.

A row is left out as a whole, and its figures are compared in the other places where they may belong.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import STEEPEST, LinesFigures, SurfaceFigure
from templates_gen.fairness.square import Layout, SquareData, square_data, variance_multiples
from templates_gen.fairness.surface import ROUNDING, fitted
from templates_gen.numerics.regression import Search, Surface, fitted_surface
from templates_gen.units import MM_PER_INCH

Array = NDArray[np.float64]
RowFault = Literal["label", "shift", "swap"]

FEWEST_IN_ROW = 4
"""A row with fewer figures cannot be judged as a whole."""

ROW_GAIN = 12.0
"""A row is wrong if its figures are likelier elsewhere by this logarithm than as given, the worst one not counted."""

LEAST_LABEL = 6.0
"""Labels are off by this or more, mm (common practice: the finest slip is a quarter of an inch or a centimetre)."""

_LADDERS = {
    False: tuple(MM_PER_INCH * inches for inches in (0.5, 1, 2, 3, 6, 9, 12, 24)),
    True: (10.0, 20.0, 30.0, 50.0, 100.0, 200.0, 300.0, 500.0),
}
_SCANNED = 61
_NARROW = 40

FEWEST_ROWS = 3
"""With fewer rows, none is tested as a whole."""

ROUGH = 2.0
"""A row is tried if its figures, all left out together, miss by so many times the variance to be expected."""

_TRIED = 4


@dataclass(frozen=True)
class RowSuspect:
    """A row that is wrong as a whole.

    Attributes
    ----------
    row : str
        As the table names it.
    line : int
        In the table's file, from 1.
    fault : "label", "shift" or "swap"
    amount : float
        Of a label: the label less that of the line that the figures fit, mm. Of a shift: by how many columns the
        figures are too far right.
    other : str
        Of a swap, the row that it is exchanged with.
    gain : float
        By how much the figures are likelier in their right place, logarithm.
    likelihood : float
        Of all figures then, logarithm less a constant, to compare explanations.
    belong : tuple of SurfaceFigure
        Its figures, and the other row's, where they belong, without their names.
    count : int
        How many figures the row has.
    rival : RowSuspect or None
        Of a label, another row whose label explains the figures nearly as well if it is wrong instead.
    """

    row: str
    line: int
    fault: RowFault
    amount: float
    other: str
    gain: float
    likelihood: float
    belong: tuple[SurfaceFigure, ...]
    count: int
    rival: "RowSuspect | None" = None


@dataclass(frozen=True)
class Row:
    """The figures of a row, by their places among all of the surface's."""

    title: str
    role: str
    level: float
    line: int
    places: tuple[int, ...]


@dataclass(frozen=True)
class _Claim:
    """That a row's figures belong elsewhere: as given, and where they belong; the rest as in RowSuspect."""

    fault: RowFault
    amount: float
    other: str
    given: list[SurfaceFigure]
    belong: list[SurfaceFigure]


@dataclass(frozen=True)
class RowsLeftOut:
    """The surface of all figures but some rows', and how likely it makes theirs in other places."""

    lines: LinesFigures
    sheer: Array
    data: SquareData
    surface: Surface

    @property
    def figures(self) -> tuple[SurfaceFigure, ...]:
        """All figures, those of the rows among them."""
        return self.lines.surface

    def roughness(self, row: Row) -> float:
        """Return the mean squared miss of a row's figures, all judged together by the others, in spreads."""
        figures = [self.figures[place] for place in row.places]
        joined = self.surface.of(*self._with(figures))
        own = np.arange(len(joined.values) - len(figures), len(joined.values))
        pulls = joined.weights[own]
        return float(pulls @ np.linalg.solve(joined.inverse[np.ix_(own, own)], pulls)) / len(own)

    def label(self, row: Row, is_metric: bool) -> RowSuspect | None:
        """Return that a row has a wrong label, if its figures fit another line by enough better."""
        if row.role == "sheer":
            return None
        figures = [self.figures[place] for place in row.places]
        offs = np.linspace(*self._offs(row), _SCANNED)
        likely = [self._likelihood([_raised(one, off) for one in figures]) for off in offs]
        best = int(np.argmax(likely))
        off, width = self._refined(figures, offs, best)
        for one in _LADDERS[is_metric]:
            if abs(abs(off) - one) <= max(3.0 * width, self.lines.step):
                off = float(np.copysign(one, off))
                break
        if abs(off) < max(LEAST_LABEL, 2.0 * self.lines.step):
            return None
        return self._suspect(row, _Claim("label", -off, "", figures, [_raised(one, off) for one in figures]))

    def _offs(self, row: Row) -> tuple[float, float]:
        """Return from where to where a row is moved in the search for its line, mm.

        No farther than the boat is deep; a waterline stays between rabbet and sheer, a buttock on its own side.
        """
        square = self.data.square
        far = float(np.median(square.sheer - square.rabbet))
        bottom, top = -np.inf, np.inf
        if row.role == "waterline":
            bottom, top = float(square.rabbet.min()), float(square.sheer.max())
        elif row.role == "buttock":
            bottom = 0.0
        return min(max(-far, bottom - row.level), 0.0), max(min(far, top - row.level), 0.0)

    def _refined(self, figures: list[SurfaceFigure], offs: Array, best: int) -> tuple[float, float]:
        """Return how far a row goes to be the likeliest, mm, and the standard deviation of that."""
        low, high = offs[max(best - 1, 0)], offs[min(best + 1, len(offs) - 1)]
        fine = np.linspace(low, high, _NARROW)
        likely = np.array([self._likelihood([_raised(one, off) for one in figures]) for off in fine])
        top = int(np.clip(np.argmax(likely), 1, _NARROW - 2))
        step = float(fine[1] - fine[0])
        bend = float(likely[top - 1] - 2 * likely[top] + likely[top + 1]) / step**2
        slope = float(likely[top + 1] - likely[top - 1]) / (2 * step)
        if bend >= 0.0:
            return float(fine[top]), step
        return float(fine[top] + np.clip(-slope / bend, -step, step)), float(1.0 / np.sqrt(-bend))

    def shift(self, row: Row) -> RowSuspect | None:
        """Return that a row is a column out of place, if its figures fit the next stations by enough better."""
        found = []
        for way in (-1, 1):
            stay = [self.figures[place] for place in row.places]
            stay = [one for one in stay if 0 <= one.station + way < len(self.lines.x)]
            moved = [replace(one, station=one.station + way) for one in stay]
            if row.role == "sheer":
                moved = [replace(one, height=float(self.sheer[one.station])) for one in moved]
            if len(stay) >= FEWEST_IN_ROW:
                found.append(self._suspect(row, _Claim("shift", float(-way), "", stay, moved)))
        return max((one for one in found if one is not None), key=lambda one: one.likelihood, default=None)

    def swap(self, row: Row, other: Row) -> RowSuspect | None:
        """Return that two rows are exchanged, if their figures fit by enough better the other way round."""
        own = [self.figures[place] for place in row.places]
        others = [self.figures[place] for place in other.places]
        rise = other.level - row.level
        exchanged = [*(_raised(one, rise) for one in own), *(_raised(one, -rise) for one in others)]
        return self._suspect(row, _Claim("swap", 0.0, other.title, [*own, *others], exchanged))

    def _suspect(self, row: Row, claim: _Claim) -> RowSuspect | None:
        """Return what is wrong with a row if its figures are likelier by enough where the claim puts them."""
        belong = claim.belong
        gain = self._likelihood(belong) - self._free(claim.given)
        if gain < ROW_GAIN:
            return None
        inputs, values, variances = self._with(belong)
        unnamed = tuple(replace(one, named=None) for one in belong)
        there = fitted_surface(inputs, values, self.lines.step * ROUNDING, variances,
                               Search(start=self.surface, scale=self.surface.scale))  # fmt: skip
        likelihood, count = -there.negative_log_likelihood(), len(claim.given)
        return RowSuspect(
            row.title, row.line, claim.fault, claim.amount, claim.other, gain, likelihood, unnamed, count
        )

    def _likelihood(self, figures: list[SurfaceFigure]) -> float:
        """Return the logarithm of the likelihood of all others with a row's figures in some places."""
        return -self.surface.negative_log_likelihood_of(*self._with(figures))

    def _free(self, figures: list[SurfaceFigure]) -> float:
        """Return the same without the worst of the row's figures.

        Source
        ------
        Rasmussen and Williams (2006), equation 5.12: given all others, one figure adds its normal density.
        """
        joined = self.surface.of(*self._with(figures))
        own = np.arange(len(joined.values) - len(figures), len(joined.values))
        misses = joined.weights[own] ** 2 / np.diag(joined.inverse)[own]
        return self._likelihood(figures) + float(np.max(misses)) / 2

    def _with(self, figures: list[SurfaceFigure]) -> tuple[Array, Array, Array]:
        """Return inputs, values and variances of all others and, after them, of a row's figures."""
        station = np.array([one.station for one in figures], dtype=np.int64)
        heights = np.array([one.height for one in figures])
        inputs, above = (self.data.square.inputs(station, heights + rise) for rise in (0.0, 1.0))
        slopes = np.clip(self.surface.at(above) - self.surface.at(inputs), -STEEPEST, STEEPEST)
        return (
            np.vstack([self.data.inputs, inputs]),
            np.concatenate([self.data.values, [one.half_breadth for one in figures]]),
            np.concatenate([self.data.variances, variance_multiples(tuple(figures), slopes)]),
        )


def rows_left_out(
    lines: LinesFigures, rabbet: Array, sheer: Array, layout: Layout, rows: tuple[Row, ...], scale: float
) -> RowsLeftOut:
    """Return the surface of all figures but those of some rows."""
    left = without_rows(lines, tuple(row.title for row in rows))
    data = square_data(left, rabbet, sheer, layout)
    return RowsLeftOut(lines, sheer, data, fitted(data, lines.step, scale=scale))


def _raised(figure: SurfaceFigure, off: float) -> SurfaceFigure:
    """Return a row's figure with its line moved by so much: a waterline or a diagonal up, a buttock out, mm."""
    if figure.role == "buttock":
        return replace(figure, half_breadth=figure.half_breadth + off)
    return replace(figure, height=figure.height + off)


def without_rows(lines: LinesFigures, titles: tuple[str, ...]) -> LinesFigures:
    """Return the figures without those of some rows."""
    kept = tuple(one for one in lines.surface if one.named is None or one.named.row not in titles)
    return replace(lines, surface=kept)


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
