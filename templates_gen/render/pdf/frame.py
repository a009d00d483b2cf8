"""What stands round every page: the title strip with its scale, and the page to measure by."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from templates_gen.paper.correction import MOST, Correction
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.content import MIDDLE, THIN, Content, Segment
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import Header, Numbers, Page, Pointer
from templates_gen.render.pdf.scales import SIDE, draw_height_check, draw_scales, scale_words
from templates_gen.render.pdf.text import HEADING, Line, item, paragraph, set_lines, shortened

LEAST = 2.0
"""Height of capitals in the title strip, mm, that no usual title goes below: read at arm's length, on the floor."""

NAME = 6.0
"""Height of capitals in the names of the piece and of the tile, mm."""

_NAME_SHARE, _NAMES_SHARE = 0.42, 0.57
"""Part of the strip that the name of a piece may take at most, and that of several, which have no tile or arrow."""

_NAME_HEIGHTS = (NAME, 5.0, 4.0, 3.0, 2.5)
"""Heights of capitals in names, mm."""

_SMALL = (LEAST, 1.8, 1.5, 1.2)
"""Heights of capitals in the two rows of the strip, mm: the first at which the text fits."""

_UPPER, _LOWER, _BASE = 4.9, 1.4, 0.9
"""mm from the strip's lower edge to the baselines of its two rows, and of the names."""

_IN_TWO_ROWS, _NAMES_UPPER = 2.5, 4.45
"""mm: height of capitals in names that stand in two rows, and from the strip's edge to the upper row's baseline."""

_ARROW = 6.0
"""mm: length of the arrow in the strip, where it lies level."""

_OVER_WORD = 0.6
"""mm between its word and the arrow."""

_BELOW_TICKS = 7.5
"""mm from the strip's lower edge to the lower ends of the scales' ticks."""

_BETWEEN = " · "


def draw_frame(content: Content, sheet: Sheet, header: Header, has_bars: bool = True) -> None:
    """Draw what all pages of one sheet size share: the strip's box, and the scales on its upper edge."""
    box = sheet.title
    content.rectangle(box.left, box.bottom, box.width, box.height, MIDDLE)
    if has_bars:
        draw_scales(content, sheet, header.units)


def correction_text(correction: Correction) -> str:
    """Return what every sheet says of its correction; "" if there is none."""
    if correction.is_none:
        return ""
    return f"CORRECTED: 100 mm measured {correction.across:g} across, {correction.up:g} up"


def draw_title(content: Content, page: Page, of: tuple[int, int], header: Header, correction: Correction) -> None:
    """Write into the title strip what belongs to one page, the first of `of` so many.

    From left to right: the piece; over two rows its hand and face, and boat, edition, correction and what the scale
    and the tick are; an arrow that points FORE or to the SHEER; the tile. The page's number and the drawing's end the
    rows. Of a page's names the first is taken that leaves the rows letters of LEAST or more.
    """
    box = page.sheet.title
    left, right = box.left + SIDE, box.right - SIDE
    if page.tile:
        content.text(right, box.bottom + _BASE, page.tile, NAME, "end")
        right -= text_width(page.tile, NAME) + 2 * SIDE
    if page.pointer is not None:
        right -= _draw_pointer(content, page.pointer, (right, box.bottom))
    scale = tuple(scale_words(draw_height_check(content, page, header.units), header.units)) if page.has_bars else ()
    ends = (f"page {of[0]} of {of[1]}", header.drawing_words)
    rooms = [right - left - (text_width(end, LEAST) + 2 * SIDE if end else 0.0) for end in ends]
    boat = _BETWEEN.join(filter(None, (header.boat, header.edition_words, correction_text(correction))))
    words = page.words if page.tile or page.hand else (*page.words, "")
    settings = []
    for first in range(max(1, len(page.names))):
        names, height = strip_name(replace(page, names=page.names[first:]))
        taken = max(text_width(name, height) for name in names) + 2 * SIDE
        settings.append((names, height, taken, _strip_rows(words, boat, scale, [room - taken for room in rooms])))
        if min(high for _, high in settings[-1][-1]) >= LEAST:
            break
    else:
        settings.reverse()
    names, height, taken, rows = settings[-1]
    for name, level in zip(names, (_BASE,) if len(names) == 1 else (_NAMES_UPPER, _LOWER), strict=True):
        content.text(left, box.bottom + level, name, height)
    for level, end, (text, high) in zip((_UPPER, _LOWER), ends, rows, strict=True):
        content.text(right, box.bottom + level, end, LEAST, "end")
        content.text(left + taken, box.bottom + level, text, high)


def _strip_rows(
    words: Sequence[str], boat: str, scale: Sequence[str], rooms: Sequence[float]
) -> tuple[tuple[str, float], tuple[str, float]]:
    """Return the two rows of the strip and their letters' heights, given what each may say, the longest first.

    What the scale is follows the boat, or stands alone under both, or follows hand and face: the first way that both
    rows have room for, and letters are set smaller before any of it is left out.
    """
    for height in _SMALL:
        for ways in _ways(words, boat, scale):
            found = [
                next((row for row in rows if text_width(row, height) <= room), None)
                for rows, room in zip(ways, rooms, strict=True)
            ]
            if found[0] is not None and found[1] is not None:
                return (found[0], height), (found[1], height)
    last = _BETWEEN.join(filter(None, (boat, *scale[-1:])))
    return shortened(words, rooms[0], _SMALL), shortened((last,), rooms[1], _SMALL)


def _ways(words: Sequence[str], boat: str, scale: Sequence[str]) -> Iterator[tuple[Sequence[str], Sequence[str]]]:
    """Yield what the upper and the lower row of the strip may say, those ways first that say most of the scale."""
    for part in scale or ("",):
        yield words, (_BETWEEN.join(filter(None, (boat, part))),)
    for part in scale:
        yield [_BETWEEN.join(filter(None, (text, boat))) for text in words], (part,)
    for part in scale:
        yield [_BETWEEN.join(filter(None, (text, part))) for text in words], (boat,)


def strip_name(page: Page) -> tuple[tuple[str, ...], float]:
    """Return what the strip names in large letters, in one row or two, and the letters' height, mm.

    Rows that name more come before rows in larger letters.
    """
    width = page.sheet.title.width
    for text in page.names:
        least, most = _NAME_SHARE * width, _NAMES_SHARE * width
        ways: list[tuple[tuple[str, ...], float, float]] = [((text,), high, least) for high in _NAME_HEIGHTS]
        ways += [(rows, _IN_TWO_ROWS, most) for rows in _two_rows(text)]
        for rows, height, room in (*ways, ((text,), _NAME_HEIGHTS[-1], most)):
            if max(text_width(row, height) for row in rows) <= room:
                return rows, height
    names = page.names[-1:] or ((page.name or page.title[0]).upper(),)
    text, height = shortened(names, (_NAMES_SHARE if page.names else _NAME_SHARE) * width, _NAME_HEIGHTS)
    return (text,), height


def _two_rows(text: str) -> Iterator[tuple[str, str]]:
    """Yield names in one row as two rows, about equally long; nothing for one name."""
    ways = []
    for between in (_BETWEEN, ": "):
        parts = text.split(between)
        ways += [
            (between.join(parts[:k]) + between.strip(" ·"), between.join(parts[k:])) for k in range(1, len(parts))
        ]
    if ways:
        yield min(ways, key=lambda rows: max(text_width(row, _IN_TWO_ROWS) for row in rows))


def _draw_pointer(content: Content, pointer: Pointer, corner: tuple[float, float]) -> float:
    """Draw an arrow over its word, ending at the lower right `corner`; return the room that they take, mm."""
    right, bottom = corner
    width = max(text_width(pointer.word, LEAST), _ARROW)
    content.text(right - width / 2, bottom + _LOWER, pointer.word, LEAST, "middle")
    low, high = _LOWER + LEAST + _OVER_WORD, _BELOW_TICKS
    x, y = right - width / 2, bottom + (low + high) / 2
    half = min(_ARROW, (high - low) / max(abs(math.sin(pointer.angle)), 1e-9)) / 2
    dx, dy = half * math.cos(pointer.angle), half * math.sin(pointer.angle)
    segments: list[Segment] = [(x - dx, y - dy, x + dx, y + dy)]
    for barb in (math.radians(150.0), math.radians(-150.0)):
        a, b = 2.0 * math.cos(pointer.angle + barb), 2.0 * math.sin(pointer.angle + barb)
        segments.append((x + dx, y + dy, x + dx + a, y + dy + b))
    content.segments(segments, MIDDLE)
    return width + 2 * SIDE


STEP = 50.0
"""mm from mark to mark."""

_WHOLE = 10.0
"""mm: baselines are a whole number of these long."""

_CLEAR = 2.0
"""mm between the baselines and the margins or the title strip, at least."""

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
        """Draw the baselines with their ticks and figures, and how they are used."""
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
