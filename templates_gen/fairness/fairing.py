"""Fairing: all rows and sections made fair together, no mark moved by more than a tolerance, every move listed."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import CurveFigure, LinesFigures, Named, SurfaceFigure
from templates_gen.fairness.gathering import lines_figures
from templates_gen.fairness.square import LEVEL, ROOT, Layout, SquareData, own_variances, square_data
from templates_gen.fairness.surface import COARSEST, FEWEST, ROUNDING, along
from templates_gen.hull.model import Array, Change, Hull, Station, read_only
from templates_gen.hull.offsets.half_boats import whole_hull
from templates_gen.hull.offsets.table import OffsetsTable
from templates_gen.hull.offsets.writing import hull_with_table, written
from templates_gen.numerics.regression import MANY, Search, Surface, fitted_surface

LEAST_MOVE = 0.05
"""A smaller move does not count, mm: it is a tenth of the finest figure on the sheets."""


Move = tuple[Named, tuple[float, float]]
"""A figure and how far it moves, mm: (half-breadth, height) along its own direction on the surface, (change, 0) on a
curve."""


def fair(hull: Hull) -> Hull:
    """Return the hull with its lines made fair as far as its file allows; as it is if the file does not ask for it.

    A half that is mirrored is faired before it is mirrored. A half that is cut is faired afterwards: its last section
    is then an end, which fairing leaves as it is.
    """
    if hull.fair is None:
        return hull
    if hull.half == "mirror" and hull.given is not None:
        return whole_hull(faired(hull.given, hull.fair))
    return faired(hull, hull.fair)


def faired(hull: Hull, tolerance: float) -> Hull:
    """Return the hull with its lines faired and every change listed in it.

    Parameters
    ----------
    hull : Hull
        As its file gives it, by a table or by sections.
    tolerance : float
        The most that a mark is moved, along its own direction, mm: a half-breadth level, a height upright, a figure
        of a diagonal along it, a section's point square to the section.

    Notes
    -----
    Heights of sheer and rabbet, and the rabbet's half-breadths, are faired along the boat first; then all others
    along and across at once, on the surface of the fairness test. Stems and transoms stay as they are. A mark that is
    wrong by more than the tolerance is moved by the tolerance, and stays unfair.
    """
    lines = lines_figures(hull)
    if len(lines.x) < 3 or len(lines.surface) < 6:
        return hull
    of_curves, lines = _faired_curves(lines, tolerance)
    moves = [*of_curves, *_faired_surface(lines, tolerance)]
    listed = [(named, way) for named, way in moves if np.hypot(*way) >= LEAST_MOVE]
    if not listed:
        return hull
    changed = _changed_table(hull, listed) if hull.offsets is not None else _changed_sections(hull, listed)
    return replace(changed, changes=tuple(_change(hull, named, way) for named, way in listed), given=hull)


def _faired_curves(lines: LinesFigures, tolerance: float) -> tuple[list[Move], LinesFigures]:
    """Return the moves of rows that are curves along the boat, and the figures with rabbet and sheer moved."""
    moves: list[Move] = []
    faired_to: dict[str, dict[int, float]] = {}
    for name, curve in lines.curves.items():
        pairs = list(zip(curve, _faired_curve(curve, lines.step, tolerance), strict=True))
        moves += [(one.named, (value - one.value, 0.0)) for one, value in pairs if one.named is not None]
        faired_to[name] = {one.station: value for one, value in pairs if one.named is not None}
    breadths = faired_to.get("rabbet half-breadth", {})
    surface = tuple(
        replace(figure, half_breadth=breadths.get(figure.station, figure.half_breadth), named=None)
        if figure.role == "rabbet"
        else figure
        for figure in lines.surface
    )
    rabbet, sheer = lines.rabbet.copy(), lines.sheer.copy()
    for heights, name in ((rabbet, "rabbet height"), (sheer, "sheer height")):
        for station, value in faired_to.get(name, {}).items():
            heights[station] = value
    return moves, replace(lines, surface=surface, rabbet=rabbet, sheer=sheer)


def _faired_curve(curve: Sequence[CurveFigure], step: float, tolerance: float) -> Array:
    """Return a curve's figures faired; those at the boat's ends, and curves of few points, as they are."""
    values = np.array([figure.value for figure in curve])
    if len(curve) < FEWEST:
        return values
    x = np.array([figure.x for figure in curve])
    surface = fitted_surface(along(curve, x), values, step * ROUNDING, search=Search(COARSEST))
    return surface.smoothed(np.array([0.0 if figure.named is None else tolerance for figure in curve]))


def _faired_surface(lines: LinesFigures, tolerance: float) -> list[Move]:
    """Return the moves of the surface's figures.

    Where the layout by plain levels is as likely as that by their roots, the mean of both moves is used: their errors
    are in different places, and their mean errs less than either (measured: see tests/bench/bench_fairness.py).
    """
    rooted, level = (square_data(lines, lines.rabbet, lines.sheer, Layout(power, False)) for power in (ROOT, LEVEL))
    surfaces = [(data, _fitted(lines, data)) for data in (rooted, level)]
    if surfaces[1][1].negative_log_likelihood() > surfaces[0][1].negative_log_likelihood():
        del surfaces[1]
    ways = np.mean([_ways(data, surface, tolerance) for data, surface in surfaces], axis=0)
    return [
        (figure.named, (float(way) * figure.direction[0], float(way) * figure.direction[1]))
        for figure, way in zip(rooted.figures, ways, strict=True)
        if figure.named is not None
    ]


def _fitted(lines: LinesFigures, data: SquareData) -> Surface:
    """Return the likeliest surface; of very many figures that of a sample spread evenly over the boat."""
    rounding, sample = lines.step * ROUNDING, _sample(len(data.values))
    inputs, values, variances = data.inputs[sample], data.values[sample], data.variances[sample]
    return fitted_surface(inputs, values, rounding, variances, is_endless=True)


def _sample(count: int) -> NDArray[np.int64]:
    """Return the numbers of at most MANY figures, evenly spread; all of them where they are no more."""
    return np.unique(np.linspace(0, count - 1, min(count, MANY)).astype(np.int64))


def _ways(data: SquareData, surface: Surface, tolerance: float) -> Array:
    """Return how far each figure moves along its own direction to be fair, mm, at most the tolerance."""
    surface = replace(surface, inputs=data.inputs, values=data.values, variances=own_variances(data))
    rates = np.array([_rate(figure, slope) for figure, slope in zip(data.figures, data.slopes, strict=True)])
    named = np.array([figure.named is not None for figure in data.figures])
    reach = np.concatenate([np.where(named, tolerance * np.abs(rates), 0.0), np.zeros(len(data.values) - len(rates))])
    gained = (surface.smoothed(reach) - data.values)[: len(rates)]
    return np.asarray(np.clip(gained / rates, -tolerance, tolerance))


def _rate(figure: SurfaceFigure, slope: float) -> float:
    """Return how fast a figure nears the surface, in half-breadth, for each mm along its own direction; never 0."""
    rate = figure.direction[0] - slope * figure.direction[1]
    return rate if abs(rate) > 0.05 else 0.05 * (1.0 if rate >= 0.0 else -1.0)


def _change(hull: Hull, named: Named, way: tuple[float, float]) -> Change:
    """Return one move as it is listed."""
    moved = float(way[0] + way[1]) if 0.0 in way else float(np.hypot(*way))
    if named.measure == "point":
        old = _point(hull, named)
        return Change(named.row, named.column, "point", old, (old[0] + way[0], old[1] + way[1]), moved, named.line)
    if named.measure == "diagonal":
        moved = float(np.hypot(*way)) * (1.0 if way[0] >= 0.0 else -1.0)
    return Change(named.row, named.column, named.measure, (named.value,), (named.value + moved,), moved, named.line)


def _point(hull: Hull, named: Named) -> tuple[float, float]:
    """Return the point of a section that a name is of, mm."""
    station = hull.stations[int(named.key[1])]
    point = station.section[int(named.key[3])]
    return float(point[0]), float(point[1])


def _changed_table(hull: Hull, listed: Sequence[tuple[Named, tuple[float, float]]]) -> Hull:
    """Return the hull with the figures of its table moved."""
    table = hull.offsets
    assert isinstance(table, OffsetsTable)
    new = {(named.line, named.column): _change(hull, named, way).new[0] for named, way in listed}
    units = "mm" if hull.units == "mm" else "ft-in-8"
    lines = []
    for line in table.lines:
        figures = tuple(
            replace(figure, value=value, mark="length", text=written(value, units))  # type: ignore[arg-type]
            if (value := new.get((line.row, station))) is not None
            else figure
            for station, figure in zip(table.stations, line.figures, strict=True)
        )
        lines.append(replace(line, figures=figures))
    return hull_with_table(hull, replace(table, lines=tuple(lines)))


def _changed_sections(hull: Hull, listed: Sequence[tuple[Named, tuple[float, float]]]) -> Hull:
    """Return the hull with points of its sections moved."""
    rabbets = [station.rabbet.copy() for station in hull.stations]
    sections = [station.section.copy() for station in hull.stations]
    for named, way in listed:
        number, key = int(named.key[1]), named.key[2]
        point = rabbets[number] if key == "rabbet" else sections[number][int(named.key[3])]
        if named.measure == "height":
            point[1] += way[0]
        else:
            point += np.array(way)
    stations = []
    for station, rabbet, section in zip(hull.stations, rabbets, sections, strict=True):
        stations.append(Station(station.name, station.at, station.mould, read_only(rabbet), read_only(section)))
    return replace(hull, stations=tuple(stations))
