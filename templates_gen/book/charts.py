"""Pages of drawings and charts along the boat: each strake laid flat, each land's bevel and take-off."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.book.views import scale_for
from templates_gen.book.work_pages import table_leaves
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.strake_marks import datum_of, outline_of, ticks_of
from templates_gen.notation import Notation
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.book import Chart, Leaf, Series
from templates_gen.render.pdf.content import FINE, MIDDLE, WIDE, Content, Pen
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import Numbers, Page
from templates_gen.stock.plan import PlankingPlan
from templates_gen.stock.scarf_marks import plan_lines
from templates_gen.templates.bevels.tables import tables_without_cards
from templates_gen.units import MM_PER_INCH, format_angle

Array = NDArray[np.float64]

_DATUM = Pen(0.18, (9.0, 1.2, 0.6, 1.2))
_FIGURE = 2.0
_STRETCH = (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.5, 1.0)


def flat_leaves(boat: Boat, plan: PlankingPlan, sheet: Sheet) -> list[Leaf]:
    """Return a page for each strake, with both lines of each of its scarfs."""
    every = zip(boat.strakes, plan_lines(plan), strict=True)
    return [_flat_leaf(boat, strake, scarfs, sheet) for strake, scarfs in every]


def _flat_leaf(boat: Boat, strake: FlatStrake, scarfs: Sequence[Array], sheet: Sheet) -> Leaf:
    way = sheet.upright.turned
    area = way.drawing
    outline = outline_of(strake.edge("lower"), strake.end("aft"), strake.edge("upper"), strake.end("fore"))
    datum = datum_of(strake.line(0.5), outline)
    origin = np.array([datum.start, datum.height])
    points = outline - origin
    size = np.ptp(points, axis=0)
    scale = scale_for(np.array([size[0], 0.0]), Rectangle(area.left, area.bottom, area.right, area.top))
    room = area.height - 80.0 - float(size[1]) / scale
    stretch = next((s for s in _STRETCH if float(size[1]) * s / scale <= room), 1.0)
    edges = (strake.edge("lower") - origin, strake.edge("upper") - origin)
    title = f"Strake {strake.number} laid flat"
    ticks = [(t.place.station, t.lower, t.upper) for t in ticks_of(strake) if t.place.kind == "station"]
    ticks = [(name, low - origin, up - origin) for name, low, up in ticks]

    def draw(content: Content, numbers: Numbers) -> None:
        content.text(area.left, area.top - 5.0, f"{title}: port strake from outside, bow left", 4.0)
        for line, text in enumerate(_words(boat, strake)):
            content.text(area.left, area.top - 12.0 - 4.8 * line, text, 2.5)
        for name, factor, top in (
            (f"1 : {scale:g}", 1.0, area.top - 27.0),
            (f"the same, breadth {stretch:g} times as large", stretch, area.top - 38.0 - float(size[1]) / scale),
        ):
            content.text(area.left, top, name, 2.2)
            shift = np.array(
                [area.left, top - (2.0 if factor == 1.0 else 16.0) - float(points[:, 1].max()) * factor / scale]
            )
            put = np.array([1.0, factor]) / scale
            content.paths([(points * put + shift, True)], WIDE if factor == 1.0 else MIDDLE)
            _cross_lines(content, ticks, put, shift)
            content.paths([((line - origin) * put + shift, False) for line in scarfs], MIDDLE)
            if factor > 1.0:
                run = np.array([[0.0, 0.0], [datum.stop - datum.start, 0.0]])
                content.paths([(run * put + shift, False)], _DATUM)
                _figures(boat, content, ticks, edges, put, shift)

    return Leaf(Page(way, (title,), draw, bookmarks=(title,)))


def _words(boat: Boat, strake: FlatStrake) -> tuple[str, str]:
    notation, index = boat.hull.notation, strake.number - 1
    measure, hang = boat.extents[index], boat.bendings[index]
    length, width, sweep = (notation.length(v) for v in (measure.length, measure.greatest_width, measure.sweep))
    board = " × ".join(notation.length(v) for v in measure.blank)
    thick = notation.thickness(boat.hull.planking.thickness[index])
    return (
        f"Net length {length}, greatest width {width}, net board {board}, sweep {sweep}, {thick} thick.",
        f"Twist {np.degrees(hang.twist_per_metre):.0f}° over the worst metre: {hang.verdict}. "
        "Distances and ordinates from the datum line are in the tables.",
    )


def _cross_lines(content: Content, ticks: list[tuple[str, Array, Array]], put: Array, shift: Array) -> None:
    content.paths([(np.stack([low, up]) * put + shift, False) for _, low, up in ticks], FINE)


def _figures(
    boat: Boat,
    content: Content,
    ticks: list[tuple[str, Array, Array]],
    edges: tuple[Array, Array],
    put: Array,
    shift: Array,
) -> None:
    """Names, distances and ordinates clear of both edges of the stretched drawing."""
    notation = boat.hull.notation
    low_edge, high_edge = (edge * put + shift for edge in edges)
    for name, low, up in ticks:
        for point, edge, above in ((up, high_edge, True), (low, low_edge, False)):
            text = f"{notation.length(float(point[0]))}; {notation.fine(float(point[1]))}"
            x = float(point[0] * put[0] + shift[0])
            reach = text_width(text, _FIGURE) / 2 + 1.0
            heights = np.interp(np.linspace(x - reach, x + reach, 9), *edge.T)
            y = float(heights.max()) + 1.5 if above else float(heights.min()) - 1.5 - _FIGURE
            content.text(x, y, text, _FIGURE, "middle")
            if above:
                content.text(x, y + 2.0 * _FIGURE, f"mould {name}", _FIGURE, "middle")


_SAMPLES = 241
"""Points of a chart, evenly along the land: rulings stand far apart where a stem leans."""


def land_leaves(boat: Boat, sheet: Sheet) -> list[Leaf]:
    """Return the lands in one view, for each land its charts and its table, and the geralds by quarters."""
    tables = tables_without_cards(boat)
    count = boat.hull.planking.strakes - 1
    leaves = table_leaves(tables[:1], sheet, "Lands")
    for land, table in enumerate(tables[1 : count + 1], start=1):
        leaves.append(_land_leaf(boat, land, sheet))
        leaves += table_leaves((table,), sheet, "Lands", marked=False)
    return leaves + table_leaves(tables[count + 1 :], sheet, "Lands")


def land_charts(boat: Boat, land: int) -> tuple[Chart, Chart]:
    """Return the charts of one land: its bevel, degrees, and what comes off both strakes, mm or 64ths, along P_k."""
    shell = boat.shell
    s = np.linspace(0.0, float(shell.length_along(land, np.array([shell.u_aft]))[0]), _SAMPLES)
    u = shell.rulings_at_lengths(land, s)
    at = np.array([shell.u_fore, *(station.at for station in boat.hull.stations), shell.u_aft])
    places = ["fore", *(station.name for station in boat.hull.stations), "aft"]
    along = shell.length_along(land, at)
    named = tuple((name, float(x)) for name, x in zip(places, along, strict=True))
    bevel, off = np.degrees(shell.bevel(land, u)), shell.losses(land, u)
    step, unit = _step(float(s[-1]), boat.hull.notation), boat.hull.notation.depth_step

    def spoken(value: float) -> str:
        return boat.hull.notation.length(float(value))

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
            f"Off, {boat.hull.notation.depth_words}",
            (
                _series("take-off of the bevel", s, shell.take_off(land, u) / unit),
                _series(f"off strake {land} at its edge", s, off.lower_at_edge / unit),
                _series(f"off strake {land + 1} at its edge", s, off.upper_at_lap_line / unit),
            ),
            named,
            step,
            spoken,
            _points(along, shell.take_off(land, at) / unit),
        ),
    )


def _step(length: float, notation: Notation) -> float:
    """A round distance from figure to figure along a land."""
    unit = 100.0 if notation.units == "mm" else 6.0 * MM_PER_INCH
    return next(unit * k for k in (1, 2, 5, 10, 20, 50, 100) if length / (unit * k) <= 20 or k == 100)


def _points(x: Array, y: Array) -> tuple[tuple[float, float], ...]:
    return tuple((float(a), float(b)) for a, b in zip(x, y, strict=True))


def _series(name: str, x: Array, y: Array) -> Series:
    return Series(name, _points(x, y))


def _land_leaf(boat: Boat, land: int, sheet: Sheet) -> Leaf:
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
            f"Greatest bevel {format_angle(most)}; least edge left {boat.hull.notation.spoken_depth(least)}. Dots: "
            "moulds and ends. A fair land runs without a lump; geralds turn sharply where they start."
        )
        content.text(area.left, area.top - 11.5, words, 2.2)

    charts = (
        (bevel, Rectangle(area.left, middle + 1.0, area.right, area.top - 15.0)),
        (off, Rectangle(area.left, area.bottom - 4.0, area.right, middle - 1.0)),
    )
    return Leaf(Page(way, (title,), draw, bookmarks=(title,)), "", charts)
