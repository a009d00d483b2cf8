"""A page to measure a printer by: baselines as long as the sheet allows, both ways, marked every 50 mm."""

import math
from collections.abc import Sequence

from templates_gen.paper.correction import MOST, Correction
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.content import Content, Segment
from templates_gen.render.pdf.page import Numbers, Page
from templates_gen.render.pdf.pens import MIDDLE, THIN
from templates_gen.render.pdf.text import HEADING, Line, item, paragraph, set_lines

STEP = 50.0
"""mm from mark to mark."""

_WHOLE = 10.0
"""mm: baselines are a whole number of these long."""

_CLEAR = 2.0
"""mm between the baselines and the margins or the title block, at least."""

_FROM_A_ROLL = 1100.0
"""mm of a roll for this page."""

_TICK, _CORNER_TICK = 3.0, 6.0

_FIGURE = 2.5
"""Height of the figures at the marks, mm."""

_INSIDE = 26.0
"""mm between the left baseline and the text."""


def scale_page(sheet: Sheet, correction: Correction) -> Page:
    """Return the page to measure by, on a sheet that is planned for `correction`."""
    way = (sheet.upright.cut_to(_FROM_A_ROLL)) if sheet.roll else sheet.upright
    box = _baselines(way)
    lines = _lines(box, correction)

    def draw(content: Content, numbers: Numbers) -> None:
        content.rectangle(box.left, box.bottom, box.width, box.height, MIDDLE)
        content.segments(_ticks(box), THIN)
        _write_figures(content, box)
        content.text(box.left + _INSIDE, box.top - _INSIDE, "Page to measure by", HEADING)
        set_lines(content, lines, box.left + _INSIDE, box.top - _INSIDE - 4.0)

    return Page(way, ("One page; no template",), draw, bookmarks=("Page to measure by",), has_bars=False)


def _baselines(sheet: Sheet) -> Rectangle:
    """Return the rectangle of baselines, the largest of whole centimetres, in the middle of the sheet's free part."""
    usable, title = sheet.usable, sheet.title
    width = _WHOLE * math.floor((usable.width - 2 * _CLEAR) / _WHOLE + 1e-9)
    height = _WHOLE * math.floor((usable.top - title.top - 2 * _CLEAR) / _WHOLE + 1e-9)
    left = (usable.left + usable.right - width) / 2
    bottom = (title.top + usable.top - height) / 2
    return Rectangle(left, bottom, left + width, bottom + height)


def _marks(length: float) -> Sequence[float]:
    """Return the distances to mark along a baseline, mm."""
    return [STEP * k for k in range(1, math.ceil(length / STEP))]


def _ticks(box: Rectangle) -> list[Segment]:
    """Return the ticks inward from all four baselines."""
    segments: list[Segment] = []
    for distance in _marks(box.width):
        x = box.left + distance
        segments += [(x, box.bottom, x, box.bottom + _TICK), (x, box.top, x, box.top - _TICK)]
    for distance in _marks(box.height):
        y = box.bottom + distance
        segments += [(box.left, y, box.left + _TICK, y), (box.right, y, box.right - _TICK, y)]
    return segments


def _write_figures(content: Content, box: Rectangle) -> None:
    """Write the distance at every mark from the lower left corner, and a letter in every corner."""
    for distance in _marks(box.width):
        x = box.left + distance
        content.text(x, box.bottom + _TICK + 1.5, f"{distance:g}", _FIGURE, "middle")
        content.text(x, box.top - _TICK - 1.5 - _FIGURE, f"{distance:g}", _FIGURE, "middle")
    for distance in _marks(box.height):
        y = box.bottom + distance - _FIGURE / 2
        content.text(box.left + _TICK + 1.5, y, f"{distance:g}", _FIGURE)
        content.text(box.right - _TICK - 1.5, y, f"{distance:g}", _FIGURE, "end")
    for letter, x, y in (
        ("A", box.left + _CORNER_TICK, box.bottom + _CORNER_TICK),
        ("B", box.right - _CORNER_TICK, box.bottom + _CORNER_TICK),
        ("C", box.right - _CORNER_TICK, box.top - _CORNER_TICK - HEADING),
        ("D", box.left + _CORNER_TICK, box.top - _CORNER_TICK - HEADING),
    ):
        content.text(x, y, letter, HEADING, "middle")


def _lines(box: Rectangle, correction: Correction) -> list[Line]:
    """Return what is to be measured, and what to do with it."""
    width = box.width - 2 * _INSIDE
    across, up, diagonal = f"{box.width:g}", f"{box.height:g}", f"{math.hypot(box.width, box.height):.1f}"
    blank = "mm; measured ____________ mm"
    lines = paragraph(
        "Print at 100 % (“actual size”, never “fit to page”). Measure from the middle of one line to the middle of "
        "the other, with a steel rule, on the flat:",
        width,
    )
    for text in (
        f"across, A to B: {across} {blank}",
        f"across, D to C: {across} {blank}",
        f"up, A to D: {up} {blank}",
        f"up, B to C: {up} {blank}",
        f"A to C: {diagonal} {blank}",
        f"B to D: {diagonal} {blank}",
    ):
        lines += item(text, width, above=3.0)
    if correction.is_none:
        lines += paragraph(
            f"Work out 100 × across ÷ {across} and 100 × up ÷ {up}, and make the templates with both, such as "
            "--square 99.4x100.3.",
            width,
            above=4.0,
        )
    else:
        lines += paragraph(
            f"This page is corrected for a printer whose square of 100 mm measured {correction.across:g} mm across "
            f"and {correction.up:g} mm up. On that printer every length must now be right.",
            width,
            above=4.0,
        )
    return lines + paragraph(
        f"More than {MOST:g} % out is a print dialog, not a printer. If the two diagonals differ, the printer draws "
        "askew, which no correction cures: feed the paper straight.",
        width,
        above=3.0,
    )
