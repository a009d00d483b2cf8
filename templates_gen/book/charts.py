"""Pages of drawings and charts along the boat: each strake laid flat, each land's bevel and take-off."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.book.picture import PICKED
from templates_gen.book.views import scale_for
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.places import land_extremes, written_bevel
from templates_gen.geometry.strake_marks import outline_of, ticks_of
from templates_gen.notation import Notation
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.book import Leaf
from templates_gen.render.pdf.chart import Chart, Series
from templates_gen.render.pdf.content import FINE, MIDDLE, Content, Pen
from templates_gen.render.pdf.letters import NO_BREAK, text_width, wrapped
from templates_gen.render.pdf.page import Numbers, Page
from templates_gen.templates.strakes.at_marks import ordinate_cell
from templates_gen.units import MM_PER_INCH
from templates_gen.words import on_sheet

Array = NDArray[np.float64]

_DATUM = Pen(0.18, (9.0, 1.2, 0.6, 1.2))
_WORDS, _FIGURE = 2.0, 1.8
_STRETCH = (10.0, 8.0, 6.0, 5.0, 4.0, 3.5, 3.0, 2.5, 2.0, 1.5, 1.0)


def draw_flat(boat: Boat, content: Content, area: Rectangle, strake: FlatStrake, scarfs: Sequence[Array]) -> None:
    """Draw a strake laid flat into an area, mm: to scale, and with its breadth stretched and its figures on it."""
    outline = outline_of(strake.edge("lower"), strake.end("aft"), strake.edge("upper"), strake.end("fore"))
    datum = boat.settings_out[strake.number - 1].datum
    origin = np.array([datum.start, datum.height])
    points = outline - origin
    size = np.ptp(points, axis=0)
    scale = scale_for(np.array([size[0], 0.0]), area)
    flat = float(size[1]) / scale
    room = area.height - 21.0 - flat - 4.0 * _FIGURE - 6.0
    stretch = next((s for s in _STRETCH if flat * s <= room), 1.0)
    edges = (strake.edge("lower") - origin, strake.edge("upper") - origin)
    every = [(on_sheet(t.place), t.lower, t.upper) for t in ticks_of(strake) if t.place.kind == "station"]
    ticks = [(name, low - origin, up - origin) for name, low, up in every]
    words = wrapped(_words(boat, strake, scale, stretch), area.width, _WORDS)
    for line, text in enumerate(words):
        content.text(area.left, area.top - 2.5 - 3.8 * line, text, _WORDS)
    top = area.top - 4.0 - 3.8 * len(words)
    figured = top - 4.0 * _FIGURE - 3.0
    views = ((1.0, top), (stretch, figured - flat)) if stretch > 1.0 else ((1.0, figured),)
    for factor, high in views:
        shift = np.array(
            [area.left - float(points[:, 0].min()) / scale, high - float(points[:, 1].max()) * factor / scale]
        )
        put = np.array([1.0, factor]) / scale
        if factor == 1.0:
            content.fill(points * put + shift, PICKED)
        content.paths([(points * put + shift, True)], MIDDLE)
        _cross_lines(content, ticks, put, shift)
        content.paths([((line - origin) * put + shift, False) for line in scarfs], MIDDLE)
    run = np.array([[0.0, 0.0], [datum.stop - datum.start, 0.0]])
    content.paths([(run * put + shift, False)], _DATUM)
    _figures(boat, content, ticks, edges, put, shift)


def _words(boat: Boat, strake: FlatStrake, scale: float, stretch: float) -> str:
    notation, index = boat.hull.notation, strake.number - 1
    measure, hang = boat.extents[index], boat.bendings[index]
    length, width, sweep = (notation.length(v) for v in (measure.length, measure.greatest_width, measure.sweep))
    board = " × ".join(notation.length(v) for v in measure.blank)
    thick = notation.thickness(boat.hull.planking.thickness[index]).replace(" ", NO_BREAK)
    below = (
        f"Below, the breadth at {100.0 * stretch:.0f} %: at each station," if stretch > 1.0 else "At each station:"
    )
    return (
        f"Laid flat, port from outside, bow left, 1 : {scale:g}: net length {length}, greatest width {width}, net "
        f"board {board}, sweep {sweep}, {thick} thick. "
        f"{below} distance; ordinate from the datum line. "
        f"Twist {np.degrees(hang.twist_per_metre):.0f}° over the worst {notation.metre}: {hang.verdict}."
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
    written = {True: -np.inf, False: -np.inf}
    for name, low, up in ticks:
        for point, edge, above in ((up, high_edge, True), (low, low_edge, False)):
            text = f"{notation.length(float(point[0]))}; {ordinate_cell(float(point[1]), notation)}"
            x = float(point[0] * put[0] + shift[0])
            reach = text_width(text, _FIGURE) / 2 + 1.0
            if x - reach < written[above]:
                continue  # all of them are in the table
            written[above] = x + reach
            heights = np.interp(np.linspace(x - reach, x + reach, 9), *edge.T)
            y = float(heights.max()) + 1.5 if above else float(heights.min()) - 1.5 - _FIGURE
            content.text(x, y, text, _FIGURE, "middle")
            if above:
                content.text(x, y + 1.8 * _FIGURE, name, _FIGURE, "middle")


_SAMPLES = 241
"""Points of a chart, evenly along the land: rulings stand far apart where a stem leans."""


_LANDS_A_PAGE = 2


def land_leaves(boat: Boat, sheet: Sheet) -> list[Leaf]:
    """Return the charts of the lands, two lands to a page; a last one stands with the two before it."""
    lands = range(1, boat.hull.planking.strakes)
    firsts = list(range(0, len(lands), _LANDS_A_PAGE))
    if len(firsts) > 1 and len(lands) % _LANDS_A_PAGE:
        firsts.pop()
    return [_land_leaf(boat, lands[first:stop], sheet) for first, stop in pairwise([*firsts, len(lands)])]


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
            f"Off at the edge, {boat.hull.notation.depth_words}",
            (
                _series("the bevel's part", s, shell.take_off(land, u) / unit),
                _series(f"strake {land}", s, off.lower_at_edge / unit),
                _series(f"strake {land + 1}", s, off.upper_at_lap_line / unit),
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


def _land_leaf(boat: Boat, lands: Sequence[int], sheet: Sheet) -> Leaf:
    way = sheet.page
    area = way.drawing
    deep = area.height / max(_LANDS_A_PAGE, len(lands))
    tops = [area.top - place * deep for place in range(len(lands))]
    titles = tuple(f"Chart of land {land}: strake {land + 1} over strake {land}" for land in lands)
    charts = []
    for land, top in zip(lands, tops, strict=True):
        half = (deep - 19.5) / 2
        for place, chart in enumerate(land_charts(boat, land)):
            high = top - 14.5 - place * half
            charts.append((chart, Rectangle(area.left, high - half + 2.0, area.right, high)))

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw the heading of each land and what is written of it; the charts stand below."""
        for land, title, top in zip(lands, titles, tops, strict=True):
            with content.tagged("H2"):
                content.text(area.left, top - 4.0, title, 3.5)
            with content.tagged("P"):
                for row, words in enumerate(_land_words(boat, land)):
                    content.text(area.left, top - 9.0 - 3.5 * row, words, 2.0)

    return Leaf(Page(way, titles, draw, bookmarks=titles), "", tuple(charts))


def _land_words(boat: Boat, land: int) -> tuple[str, str]:
    """Its greatest bevel and its least edge; how a chart is read."""
    extremes = land_extremes(boat.shell, land)
    bevel, left = extremes.bevel, extremes.left
    most = "Greatest bevel" if extremes.is_whole else "Clear of the geralds: greatest bevel"
    return (
        f"{most} {written_bevel(bevel.value)} ({bevel.where}), least edge left "
        f"{boat.hull.notation.spoken_depth(left.value)} ({left.where}).",
        "Dots: stations and ends. A fair land runs without a lump; geralds turn sharply.",
    )
