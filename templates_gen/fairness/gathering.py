"""From a hull to the figures that are tested for fairness: those of its table if it has one, else of its sections."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import FINEST, CurveFigure, EndPoints, LinesFigures, Named, Role, SurfaceFigure
from templates_gen.hull.model import Hull, Stem, Transom
from templates_gen.hull.offsets.sections import line_points
from templates_gen.hull.offsets.table import Figure, Line, OffsetsTable
from templates_gen.hull.positions import KeyPath

Array = NDArray[np.float64]

_STEPS = {"mm": (5.0, 1.0), "in": (6.35, 3.175, 1.5875, 1.0), "ft-in-8": (6.35, 3.175, 1.5875)}
_ON_STEM = 7


def lines_figures(hull: Hull) -> LinesFigures:
    """Return the figures of a hull's lines: of its table if it has one, else of its sections."""
    x = np.array([station.at for station in hull.stations])
    rabbet = np.array([station.rabbet[1] for station in hull.stations])
    sheer = np.array([station.section[-1, 1] for station in hull.stations])
    ends = {"fore": _end_points(hull.fore, 1.0), "aft": _end_points(hull.aft, -1.0)}
    table = hull.offsets
    used = table is not None and all(station.name in table.stations for station in hull.stations)
    if table is not None and used:
        surface = tuple(_table_surface(hull, table))
        curves = _table_curves(hull, table)
        values = [figure.value for line in table.lines for figure in line.figures if figure.mark == "length"]
    else:
        surface = tuple(_section_surface(hull))
        curves = _section_curves(hull)
        values = [float(number) for station in hull.stations for number in station.section.ravel()]
    with_ends = {name: _with_ends(name, curve, ends) for name, curve in curves.items() if curve}
    distances = tuple(_distances(hull, table if used else None))
    fore, aft = ends["fore"], ends["aft"]
    return LinesFigures(x, rabbet, sheer, surface, with_ends, fore, aft, _step(values, hull), distances)


def _distances(hull: Hull, table: OffsetsTable | None) -> Iterator[Named]:
    """Yield the stations' distances as figures of the table, or of the hull file."""
    line = None if table is None else table.line("distance", "distance")
    for number, station in enumerate(hull.stations):
        index = None if table is None else table.stations.index(station.name)
        if table is not None and line is not None and index is not None and line.figures[index].is_known:
            yield _named(table, line, index)
        else:
            key: KeyPath = ("station", number, "at")
            yield Named("distance", station.name, "", station.at, "distance", (), 0, key)


def _step(values: list[float], hull: Hull) -> float:
    """Return the coarsest step of the file's units that all figures are whole numbers of, mm."""
    numbers = np.array(values)
    for step in _STEPS[hull.units]:
        if len(numbers) and np.all(np.abs(numbers / step - np.round(numbers / step)) < 0.01):
            return max(step, FINEST)
    return FINEST


def _end_points(end: Stem | Transom, inward: float) -> EndPoints:
    """Return an end's points from foot to head; `inward` is +1 at the fore end."""
    if isinstance(end, Stem):
        heights = np.linspace(end.rabbet[0, 1], end.rabbet[-1, 1], _ON_STEM)
        along = np.interp(heights, end.rabbet[:, 1], end.rabbet[:, 0])
        return EndPoints(np.column_stack([along, np.full(_ON_STEM, end.siding / 2), heights]), True)
    points = np.vstack([end.rabbet, end.section])
    (bottom_x, bottom), (top_x, top) = end.profile
    rise = top - bottom
    along = bottom_x + (top_x - bottom_x) * (points[:, 1] - bottom) / rise
    if end.radius:
        bow = end.radius - np.sqrt(np.maximum(end.radius**2 - points[:, 0] ** 2, 0.0))
        along = along + inward * bow * np.hypot(top_x - bottom_x, rise) / rise
    return EndPoints(np.column_stack([along, points]))


def _with_ends(name: str, curve: tuple[CurveFigure, ...], ends: dict[str, EndPoints]) -> tuple[CurveFigure, ...]:
    """Return a curve along the boat with its points at both ends, where they are known."""
    if name not in ("sheer height", "rabbet height", "rabbet half-breadth"):
        return curve
    at, column = (-1 if name.startswith("sheer") else 0), (2 if name.endswith("height") else 1)
    fore, aft = (
        CurveFigure(float(ends[end].points[at, 0]), float(ends[end].points[at, column]), -1, None)
        for end in ("fore", "aft")
    )
    return (fore, *curve, aft)


def _named(table: OffsetsTable, line: Line, index: int) -> Named:
    """Return the name and place of one figure of a table."""
    neighbours = [line.figures[i] for i in (index - 1, index + 1) if 0 <= i < len(line.figures)]
    figure = line.figures[index]
    return Named(
        line.title,
        table.stations[index],
        figure.text,
        figure.value,
        line.measure,
        tuple(one.value for one in neighbours if one.mark == "length"),
        line.row,
    )


def _known(line: Line | None, index: int) -> Figure | None:
    return None if line is None or not line.figures[index].is_known else line.figures[index]


def _table_surface(hull: Hull, table: OffsetsTable) -> Iterator[SurfaceFigure]:
    """Yield the points that a table's lines have at the hull's stations."""
    breadths = {"rabbet": table.line("half-breadth", "rabbet"), "sheer": table.sheer("half-breadth")}
    for number, station in enumerate(hull.stations):
        index = table.stations.index(station.name)
        for role, height in (("rabbet", station.rabbet[1]), ("sheer", station.section[-1, 1])):
            line = breadths[role]
            figure = _known(line, index)
            if line is not None and figure is not None:
                named = _named(table, line, index)
                yield SurfaceFigure(number, figure.value, float(height), _role(role), (1.0, 0.0), named)
            elif line is None:
                yield SurfaceFigure(number, float(station.rabbet[0]), float(height), "rabbet", (1.0, 0.0), None)
        for mark in line_points(table, index):
            if mark.line is not None:
                yield _line_figure(table, mark.line, index, number, mark.half_breadth, mark.height)


def _role(word: str) -> Role:
    return "sheer" if word == "sheer" else "rabbet"


def _line_figure(table: OffsetsTable, line: Line, index: int, number: int, y: float, z: float) -> SurfaceFigure:
    """Return the point of a waterline, buttock or diagonal at one station."""
    named = _named(table, line, index)
    if line.kind == "waterline":
        return SurfaceFigure(number, y, z, "waterline", (1.0, 0.0), named)
    if line.kind == "buttock":
        return SurfaceFigure(number, y, z, "buttock", (0.0, 1.0), named)
    direction = (float(np.cos(line.angle)), -float(np.sin(line.angle)))
    return SurfaceFigure(number, y, z, "diagonal", direction, named)


def _table_curves(hull: Hull, table: OffsetsTable) -> dict[str, tuple[CurveFigure, ...]]:
    """Return the rows of a table that are curves along the boat, at the hull's stations."""
    rows: dict[str, Line | None] = {
        "sheer height": table.sheer("height"),
        "rabbet height": table.line("height", "rabbet"),
        "rabbet half-breadth": table.line("half-breadth", "rabbet"),
    }
    taken = [*rows.values(), table.sheer("half-breadth")]
    others = [line for line in table.lines if line.kind in ("keel", "deck") and line not in taken]
    rows |= {line.title: line for line in others}
    curves: dict[str, tuple[CurveFigure, ...]] = {}
    for name, line in rows.items():
        found = []
        for number, station in enumerate(hull.stations):
            index = table.stations.index(station.name)
            figure = _known(line, index)
            if line is not None and figure is not None:
                found.append(CurveFigure(station.at, figure.value, number, _named(table, line, index)))
        curves[name] = tuple(found)
    return curves


def _section_surface(hull: Hull) -> Iterator[SurfaceFigure]:
    """Yield the points of the sections of a hull without a table."""
    for number, station in enumerate(hull.stations):
        points = np.vstack([station.rabbet, station.section])
        distinct = 1 if np.hypot(*(points[1] - points[0])) < 0.01 else 0
        normals = _normals(points[distinct:])
        last = len(points) - 1
        for place in range(distinct, last + 1):
            y, z = (float(number) for number in points[place])
            role: Role = "sheer" if place == last else "rabbet" if place == distinct else "point"
            direction = (1.0, 0.0) if role != "point" else normals[place - distinct]
            key: KeyPath = ("station", number, "section", place - 1)
            key = ("station", number, "rabbet") if place == 0 else key
            measure = "point" if role == "point" else "half-breadth"
            row = "rabbet" if role == "rabbet" else "sheer" if role == "sheer" else f"point {place}"
            neighbours = _neighbours(hull, number, place)
            yield SurfaceFigure(
                number, y, z, role, direction, Named(row, station.name, "", y, measure, neighbours, 0, key)
            )


def _neighbours(hull: Hull, number: int, place: int) -> tuple[float, ...]:
    """Return the half-breadths of the same point at the stations next to one, mm."""
    near = [hull.stations[i] for i in (number - 1, number + 1) if 0 <= i < len(hull.stations)]
    stacked = [np.vstack([one.rabbet, one.section]) for one in near]
    return tuple(float(points[place, 0]) for points in stacked if len(points) > place)


def _normals(points: Array) -> list[tuple[float, float]]:
    """Return the unit normals of a section at its points, outward and down."""
    slopes = np.gradient(points, axis=0)
    length = np.maximum(np.hypot(slopes[:, 0], slopes[:, 1]), 1e-9)
    return [(float(dz / size), float(-dy / size)) for (dy, dz), size in zip(slopes, length, strict=True)]


def _section_curves(hull: Hull) -> dict[str, tuple[CurveFigure, ...]]:
    """Return sheer and rabbet of a hull without a table as curves along the boat."""
    curves: dict[str, list[CurveFigure]] = {"sheer height": [], "rabbet height": [], "rabbet half-breadth": []}
    for number, station in enumerate(hull.stations):
        neighbours = [hull.stations[i] for i in (number - 1, number + 1) if 0 <= i < len(hull.stations)]
        last = len(station.section) - 1
        for name, value, others, key in (
            ("sheer height", station.section[-1, 1], [one.section[-1, 1] for one in neighbours], ("section", last)),
            ("rabbet height", station.rabbet[1], [one.rabbet[1] for one in neighbours], ("rabbet",)),
            ("rabbet half-breadth", station.rabbet[0], [one.rabbet[0] for one in neighbours], ("rabbet",)),
        ):
            row, measure = name.split(" ", 1)
            near = tuple(float(one) for one in others)
            named = Named(row, station.name, "", float(value), measure, near, 0, ("station", number, *key))
            curves[name].append(CurveFigure(station.at, float(value), number, named))
    return {name: tuple(curve) for name, curve in curves.items()}
