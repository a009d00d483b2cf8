"""What stands round every page: the title block, and scale bars both ways."""

import math
from collections.abc import Sequence
from functools import lru_cache

from templates_gen.paper.correction import Correction
from templates_gen.paper.sheet import GUTTER, Sheet
from templates_gen.render.pdf.content import Content, Segment
from templates_gen.render.pdf.letters import text_width, wrapped
from templates_gen.render.pdf.page import Header, Page
from templates_gen.render.pdf.pens import MIDDLE, THIN
from templates_gen.render.pdf.text import PITCH, fitted
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
    """Draw what all pages of one sheet size share: box, boat, edition, fingerprint, correction, scale bars."""
    box = sheet.title
    divide = box.right - RIGHT_CELL
    content.rectangle(box.left, box.bottom, box.width, box.height, MIDDLE)
    content.line(divide, box.bottom, divide, box.top, THIN)
    edition = f"edition {header.edition}" if header.edition else ""
    corrected = correction_text(correction)
    taken = text_width(corrected, LEAST) + 4.0 if corrected else 0.0
    content.text(divide - 2, box.top - 4.5, corrected, LEAST, "end")
    boat, height = fitted([header.boat], divide - box.left - 4 - taken, 3.5, (3.0, 2.5, 2.0, 1.8, 1.5, 1.2))
    for k, line in enumerate(boat):
        content.text(box.left + 2, box.top - 1.8 - height - PITCH * height * k, line, height)
    content.text(
        box.left + 2,
        box.bottom + 1.3,
        "Print at 100 % (actual size). Every size is to the middle of its line.",
        LEAST,
    )
    if header.fingerprint:
        content.text(box.right - 2, box.bottom + 1.5, f"hull file {header.fingerprint}", LEAST, "end")
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
