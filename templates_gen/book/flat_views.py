"""Each strake laid flat, to scale and with its breadth stretched, with its dimensions."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.book.views import scale_for
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.strake_marks import datum_of, outline_of, ticks_of
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.rendering.pdf_book import Leaf
from templates_gen.rendering.pdf_content import Content
from templates_gen.rendering.pdf_letters import text_width
from templates_gen.rendering.pdf_page import Numbers, Page
from templates_gen.rendering.pdf_pens import FINE, MIDDLE, WIDE, Pen
from templates_gen.shop.thickness_words import format_thickness
from templates_gen.units import format_length

Array = NDArray[np.float64]

_DATUM = Pen(0.18, (9.0, 1.2, 0.6, 1.2))
_FIGURE = 2.0
_STRETCH = (10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.5, 1.0)


def flat_leaves(boat: Boat, sheet: Sheet) -> list[Leaf]:
    """Return a page for each strake."""
    return [_leaf(boat, strake, sheet) for strake in boat.strakes]


def _leaf(boat: Boat, strake: FlatStrake, sheet: Sheet) -> Leaf:
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
            if factor > 1.0:
                run = np.array([[0.0, 0.0], [datum.stop - datum.start, 0.0]])
                content.paths([(run * put + shift, False)], _DATUM)
                _figures(boat, content, ticks, edges, put, shift)

    return Leaf(Page(way, (title,), draw, bookmarks=(title,)))


def _words(boat: Boat, strake: FlatStrake) -> tuple[str, str]:
    units, index = boat.hull.units, strake.number - 1
    measure, hang = boat.extents[index], boat.bendings[index]
    length, width, sweep = (format_length(v, units) for v in (measure.length, measure.greatest_width, measure.sweep))
    board = " × ".join(format_length(v, units) for v in measure.blank)
    thick = format_thickness(boat.hull.planking.thickness[index], units)
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
    units = boat.hull.units
    low_edge, high_edge = (edge * put + shift for edge in edges)
    for name, low, up in ticks:
        for point, edge, above in ((up, high_edge, True), (low, low_edge, False)):
            text = f"{format_length(float(point[0]), units)}; {format_length(float(point[1]), units)}"
            x = float(point[0] * put[0] + shift[0])
            reach = text_width(text, _FIGURE) / 2 + 1.0
            heights = np.interp(np.linspace(x - reach, x + reach, 9), *edge.T)
            y = float(heights.max()) + 1.5 if above else float(heights.min()) - 1.5 - _FIGURE
            content.text(x, y, text, _FIGURE, "middle")
            if above:
                content.text(x, y + 2.0 * _FIGURE, f"mould {name}", _FIGURE, "middle")
