"""For each land a page of charts: bevel, and what comes off, along its length."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.book.work_pages import table_leaves
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import UnitName
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.book import Leaf
from templates_gen.render.pdf.charts import Chart, Series
from templates_gen.render.pdf.content import Content
from templates_gen.render.pdf.page import Numbers, Page
from templates_gen.templates.bevels.tables import bevel_tables
from templates_gen.units import MM_PER_INCH, format_angle, format_length, spoken_depth

Array = NDArray[np.float64]

_SAMPLES = 241
"""Points of a chart, evenly along the land: rulings stand far apart where a stem leans."""


def land_leaves(boat: Boat, sheet: Sheet) -> list[Leaf]:
    """Return the lands in one view, for each land its charts and its table, and the geralds by quarters."""
    tables = bevel_tables(boat)
    count = boat.hull.planking.strakes - 1
    leaves = table_leaves(tables[:1], sheet, "Lands")
    for land, table in enumerate(tables[1 : count + 1], start=1):
        leaves.append(_leaf(boat, land, sheet))
        leaves += table_leaves((table,), sheet, "Lands", marked=False)
    return leaves + table_leaves(tables[count + 1 :], sheet, "Lands")


def land_charts(boat: Boat, land: int) -> tuple[Chart, Chart]:
    """Return the charts of one land: its bevel, degrees, and what comes off both strakes, mm, along P_k."""
    shell = boat.shell
    s = np.linspace(0.0, float(shell.length_along(land, np.array([shell.u_aft]))[0]), _SAMPLES)
    u = shell.rulings_at_lengths(land, s)
    at = np.array([shell.u_fore, *(station.at for station in boat.hull.stations), shell.u_aft])
    places = ["fore", *(station.name for station in boat.hull.stations), "aft"]
    along = shell.length_along(land, at)
    named = tuple((name, float(x)) for name, x in zip(places, along, strict=True))
    bevel, off = np.degrees(shell.bevel(land, u)), shell.losses(land, u)
    step = _step(float(s[-1]), boat.hull.units)

    def spoken(value: float) -> str:
        return format_length(float(value), boat.hull.units)

    return (
        Chart(
            "Bevel, degrees (minus: hollow)",
            (_series("bevel", s, bevel),),
            named,
            step,
            spoken,
            _points(along, np.degrees(shell.bevel(land, at))),
        ),
        Chart(
            "Off, mm",
            (
                _series("take-off of the bevel", s, shell.take_off(land, u)),
                _series(f"off strake {land} at its edge", s, off.lower_at_edge),
                _series(f"off strake {land + 1} at its edge", s, off.upper_at_lap_line),
            ),
            named,
            step,
            spoken,
            _points(along, shell.take_off(land, at)),
        ),
    )


def _step(length: float, units: UnitName) -> float:
    """A round distance from figure to figure along a land."""
    unit = 100.0 if units == "mm" else 6.0 * MM_PER_INCH
    return next(unit * k for k in (1, 2, 5, 10, 20, 50, 100) if length / (unit * k) <= 20 or k == 100)


def _points(x: Array, y: Array) -> tuple[tuple[float, float], ...]:
    return tuple((float(a), float(b)) for a, b in zip(x, y, strict=True))


def _series(name: str, x: Array, y: Array) -> Series:
    return Series(name, _points(x, y))


def _leaf(boat: Boat, land: int, sheet: Sheet) -> Leaf:
    way = sheet.upright.turned
    area = way.drawing
    title = f"Land {land}: strake {land + 1} over strake {land}"
    bevel, off = land_charts(boat, land)
    shell = boat.shell
    u = np.linspace(shell.u_fore, shell.u_aft, _SAMPLES)
    most, least = float(np.max(np.abs(shell.bevel(land, u)))), float(np.min(shell.edge_left(land, u)))
    middle = area.bottom + (area.height - 18.0) / 2

    def draw(content: Content, numbers: Numbers) -> None:
        content.text(area.left, area.top - 5.0, title, 4.0)
        words = (
            f"Greatest bevel {format_angle(most)}; least edge left {spoken_depth(least)}. Dots: moulds and ends. "
            "A fair land runs without a lump; geralds turn sharply where they start."
        )
        content.text(area.left, area.top - 11.5, words, 2.2)

    charts = (
        (bevel, Rectangle(area.left, middle + 1.0, area.right, area.top - 15.0)),
        (off, Rectangle(area.left, area.bottom - 4.0, area.right, middle - 1.0)),
    )
    return Leaf(Page(way, (title,), draw, bookmarks=(title,)), "", charts)
