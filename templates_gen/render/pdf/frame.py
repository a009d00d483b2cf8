"""What stands round every page: the title block, and scale bars both ways."""

import math
from collections.abc import Sequence
from functools import lru_cache

from templates_gen.paper.correction import MOST, Correction
from templates_gen.paper.sheet import GUTTER, Rectangle, Sheet
from templates_gen.render.pdf.content import MIDDLE, THIN, Content, Segment
from templates_gen.render.pdf.letters import text_width, wrapped
from templates_gen.render.pdf.page import (
    HEADING,
    PITCH,
    Header,
    Line,
    Numbers,
    Page,
    fitted,
    item,
    paragraph,
    set_lines,
)
from templates_gen.units import MM_PER_INCH

RIGHT_CELL = 44.0
"""Width of the cell with the tile's name and the page number, mm."""

LEAST = 2.0
"""Height of capitals in the title block, mm, that no title of ours goes below: read at arm's length, on the floor."""

_TITLE_ROOM = 11.6
"""mm between the boat's name and the last line of the title block."""

_CLOSE = 1.5
"""Distance from line to line of a full title block, in heights of capitals (ISO 3098-1 asks for 1.4 or more)."""

_BETWEEN = " · "


def draw_frame(content: Content, sheet: Sheet, header: Header, correction: Correction, has_bars: bool = True) -> None:
    """Draw what all pages of one sheet size share: box, boat, edition, fingerprints, correction, scale bars."""
    box = sheet.title
    divide = box.right - RIGHT_CELL
    content.rectangle(box.left, box.bottom, box.width, box.height, MIDDLE)
    content.line(divide, box.bottom, divide, box.top, THIN)
    edition = header.edition_words
    corrected = correction_text(correction)
    taken = text_width(corrected, LEAST) + 4.0 if corrected else 0.0
    content.text(divide - 2, box.top - 4.5, corrected, LEAST, "end")
    boat, height = fitted([header.boat], divide - box.left - 4 - taken, 3.5, (3.0, 2.5, 2.0, 1.8, 1.5, 1.2))
    for k, line in enumerate(boat):
        content.text(box.left + 2, box.top - 1.8 - height - PITCH * height * k, line, height)
    content.text(
        box.left + 2,
        box.bottom + 1.3,
        "Print at 100 % (actual size). Sizes are to the middle of the line.",
        LEAST,
    )
    if header.drawing_words:
        content.text(box.right - 2, box.bottom + 1.5, header.drawing_words, LEAST, "end")
    lines, small = fitted([edition] if edition else [], RIGHT_CELL - 4, 3.5, (LEAST, 1.8, 1.5, 1.2, 1.0))
    for k, line in enumerate(lines):
        content.text(box.right - 2, box.bottom + 5 + PITCH * small * (len(lines) - 1 - k), line, small, "end")
    if has_bars:
        _scale_bars(content, sheet, header)


def correction_text(correction: Correction) -> str:
    """Return what every sheet says of its correction; "" if there is none."""
    if correction.is_none:
        return ""
    return f"CORRECTED: 100 mm measured {correction.across:g} across, {correction.up:g} up"


def draw_title(content: Content, page: Page, number: int, count: int) -> None:
    """Write into the title block what belongs to one page."""
    box = page.sheet.title
    width = box.width - RIGHT_CELL - 4
    lines, height, pitch = title_lines(page.title, width)
    for k, line in enumerate(lines):
        content.text(box.left + 2, box.top - 6.2 - height - pitch * k, line, height)
    content.text(box.right - 2, box.top - 4.5, f"page {number} of {count}", 2.5, "end")
    content.text(box.right - RIGHT_CELL + 2, box.top - 12.5, page.tile, 6.0 if len(page.tile) < 5 else 4.5)


@lru_cache(maxsize=256)
def title_lines(title: tuple[str, ...], width: float) -> tuple[list[str], float, float]:
    """Return a title as lines that fit the title block, the height of their capitals and their distance, mm.

    Each part has a line of its own where letters of `LEAST` or more allow it; else short parts share a line. Only
    what does not fit even so, such as a very long name of a station, is set smaller.
    """
    lines, height, pitch = list(title), LEAST, _CLOSE * LEAST
    for is_shared, heights in ((False, (2.5, 2.2, LEAST)), (True, (LEAST, 1.8, 1.5, 1.2, 1.0))):
        texts = _shared(title, width, LEAST) if is_shared else title
        for height in heights:
            lines = [part for text in texts for part in wrapped(text, width, height)]
            for pitch in (PITCH * height, _CLOSE * height):
                if pitch * (len(lines) - 1) + height <= _TITLE_ROOM:
                    return lines, height, pitch
    return lines, height, pitch


def _shared(title: Sequence[str], width: float, height: float) -> list[str]:
    """Return the parts of a title, neighbours joined as long as they fit one line together."""
    lines: list[str] = []
    for text in title:
        joined = f"{lines[-1]}{_BETWEEN}{text}" if lines else text
        if lines and text_width(joined, height) <= width:
            lines[-1] = joined
        else:
            lines.append(text)
    return lines


def _scale_bars(content: Content, sheet: Sheet, header: Header) -> None:
    """Draw 50 mm across and up at the lower left and, for inches, 2 in at the lower right and the upper left."""
    left, bottom, right, top = sheet.drawing.left, sheet.drawing.bottom, sheet.drawing.right, sheet.drawing.top
    level, upright = bottom - GUTTER / 2, left - GUTTER / 2
    _bar(content, (left, level), (1.0, 0.0), 10.0, 5)
    _bar(content, (upright, bottom), (0.0, 1.0), 10.0, 5)
    content.text(left + 52, level - 0.9, "50 mm", 1.8)
    content.text(upright + 0.9, bottom + 52, "50 mm", 1.8, angle=math.pi / 2)
    if header.units != "mm":
        _bar(content, (right, level), (-1.0, 0.0), MM_PER_INCH / 2, 4)
        _bar(content, (upright, top), (0.0, -1.0), MM_PER_INCH / 2, 4)
        content.text(right - 2 * MM_PER_INCH - 2, level - 0.9, "2 in", 1.8, "end")
        content.text(upright + 0.9, top - 2 * MM_PER_INCH - 2, "2 in", 1.8, "end", math.pi / 2)


def _bar(content: Content, start: tuple[float, float], way: tuple[float, float], step: float, count: int) -> None:
    """Draw a line of `count` steps with a tick at each, longer ticks at its ends."""
    (x, y), (dx, dy) = start, way
    segments: list[Segment] = [(x, y, x + dx * step * count, y + dy * step * count)]
    for k in range(count + 1):
        arm = 1.5 if k in (0, count) else 0.9
        px, py = x + dx * step * k, y + dy * step * k
        segments.append((px - dy * arm, py - dx * arm, px + dy * arm, py + dx * arm))
    content.segments(segments, THIN)


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
            f"This page is corrected for a printer on which the 100 mm square measured {correction.across:g} mm "
            f"across and {correction.up:g} mm up. On that printer every length must now be true.",
            width,
            above=4.0,
        )
    return lines + paragraph(
        f"More than {MOST:g} % out is the print dialog, not the printer. If the two diagonals differ, the printer "
        "draws askew. No correction helps: feed the paper straight.",
        width,
        above=3.0,
    )
