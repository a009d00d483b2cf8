"""What stands round every page: the title block, and scale bars both ways."""

import math

from templates_gen.paper.correction import Correction
from templates_gen.paper.sheet import GUTTER, Sheet
from templates_gen.rendering.pdf_content import Content, Segment
from templates_gen.rendering.pdf_letters import text_width
from templates_gen.rendering.pdf_page import Header, Page
from templates_gen.rendering.pdf_pens import MIDDLE, THIN
from templates_gen.rendering.pdf_text import PITCH, fitted
from templates_gen.units import MM_PER_INCH

_RIGHT_CELL = 44.0
"""Width of the cell with the tile's name and the page number, mm."""


def draw_frame(content: Content, sheet: Sheet, header: Header, correction: Correction, has_bars: bool = True) -> None:
    """Draw what all pages of one sheet size share: box, boat, edition, fingerprint, correction, scale bars."""
    box = sheet.title
    divide = box.right - _RIGHT_CELL
    content.rectangle(box.left, box.bottom, box.width, box.height, MIDDLE)
    content.line(divide, box.bottom, divide, box.top, THIN)
    edition = f"edition {header.edition}" if header.edition else ""
    corrected = correction_text(correction)
    taken = text_width(corrected, 1.8) + 4.0 if corrected else 0.0
    content.text(divide - 2, box.top - 4.5, corrected, 1.8, "end")
    boat, height = fitted([header.boat], divide - box.left - 4 - taken, 3.5, (3.0, 2.5, 2.0, 1.8, 1.5, 1.2))
    for k, line in enumerate(boat):
        content.text(box.left + 2, box.top - 1.8 - height - PITCH * height * k, line, height)
    content.text(
        box.left + 2, box.bottom + 1.3, "Print at 100 % (actual size). Every size is to the middle of its line.", 1.8
    )
    if header.fingerprint:
        content.text(box.right - 2, box.bottom + 1.5, f"hull file {header.fingerprint}", 1.8, "end")
    lines, small = fitted([edition] if edition else [], _RIGHT_CELL - 4, 3.5, (1.8, 1.5, 1.2, 1.0))
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
    width = box.width - _RIGHT_CELL - 4
    lines, height = fitted(page.title, width, 11.6, (2.5, 2.2, 2.0, 1.8, 1.5, 1.2, 1.0))
    for k, line in enumerate(lines):
        content.text(box.left + 2, box.top - 6.2 - height - PITCH * height * k, line, height)
    content.text(box.right - 2, box.top - 4.5, f"page {number} of {count}", 2.5, "end")
    content.text(box.right - _RIGHT_CELL + 2, box.top - 12.5, page.tile, 6.0 if len(page.tile) < 5 else 4.5)


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
