"""Text set in lines: paragraphs, items, names in few words, columns, and pages that hold nothing else."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, repeat

from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.content import Content
from templates_gen.render.pdf.letters import text_width, wrapped
from templates_gen.render.pdf.page import Drawer, Numbers, Page

BODY = 2.5
"""Height of capitals in running text, mm: the smallest but one of the heights of ISO 3098-1."""

HEADING = 4.0
"""Height of capitals in the heading of a page, mm."""

PITCH = 1.8
"""Distance from line to line, in heights of capitals."""

WIDEST = 200.0
"""mm: running text is not set wider than this on large sheets."""


@dataclass(frozen=True)
class Line:
    """One line to be set: text, height of its capitals, indent and the white above it, mm.

    `tag` is what begins with it, "P" or "H2"; "" for a line that goes on. `key` is that of the page that the line
    leads to; "{page}" in its text becomes that page's number.
    """

    text: str
    height: float = BODY
    indent: float = 0.0
    above: float = 0.0
    tag: str = ""
    key: str = ""


def paragraph(text: str, width: float, height: float = BODY, above: float = 0.0, tag: str = "P") -> list[Line]:
    """Return one paragraph as lines."""
    lines = wrapped(text, min(width, WIDEST), height)
    first = Line(lines[0], height, 0.0, above, tag)
    return [first, *(Line(part, height) for part in lines[1:])]


def item(text: str, width: float, height: float = BODY, above: float = 1.0) -> list[Line]:
    """Return one item of a list as lines, with a dash before it."""
    indent = 1.8 * height
    lines = wrapped(text, min(width, WIDEST) - indent, height)
    first = Line("–", height, 0.0, above, "P")
    return [first, *(Line(part, height, indent, -PITCH * height if k == 0 else 0.0) for k, part in enumerate(lines))]


def shortened(texts: Sequence[str], width: float, heights: Sequence[float]) -> tuple[str, float]:
    """Return the first of `texts`, and the first of `heights`, that fit one line of `width` mm.

    All texts are tried at the first height, then the last of them at the others; what fits at none is cut short.
    """
    for text in texts:
        if text_width(text, heights[0]) <= width:
            return text, heights[0]
    text = texts[-1] if texts else ""
    for height in heights:
        if text_width(text, height) <= width:
            return text, height
    height = heights[-1]
    while text and text_width(f"{text}…", height) > width:
        text = text[:-1]
    return (f"{text.rstrip()}…" if text else ""), height


def names_text(names: Sequence[str]) -> str:
    """Return names in one line, what neighbours begin with only once: "land 3 strip 1 to 14; land 4 station 1, 3"."""
    groups: list[tuple[str, list[str]]] = []
    for name in names:
        stem, _, last = name.rpartition(" ")
        if groups and stem and groups[-1][0] == stem:
            groups[-1][1].append(last)
        else:
            groups.append((stem, [last]))
    return "; ".join(f"{stem} {', '.join(_runs(lasts))}".strip() for stem, lasts in groups)


def _runs(lasts: Sequence[str]) -> list[str]:
    """Return whole numbers that follow one upon another, three or more, as one: "1 to 14"."""
    runs: list[list[str]] = []
    for last in lasts:
        if runs and last.isdecimal() and runs[-1][-1].isdecimal() and int(last) == int(runs[-1][-1]) + 1:
            runs[-1].append(last)
        else:
            runs.append([last])
    return [part for run in runs for part in ([f"{run[0]} to {run[-1]}"] if len(run) > 2 else run)]


def depth(lines: Sequence[Line]) -> float:
    """Return how far down `lines` reach, mm."""
    return sum(line.above + PITCH * line.height for line in lines)


def set_lines(
    content: Content, lines: Sequence[Line], left: float, top: float, numbers: Numbers | None = None
) -> None:
    """Write `lines` down from `top`; `numbers` are those of the pages that lines lead to."""
    y = top
    starts = [k for k, line in enumerate(lines) if line.tag or k == 0]
    for start, stop in pairwise([*starts, len(lines)]):
        with content.tagged(lines[start].tag or "P"):
            for line in lines[start:stop]:
                y -= line.above + PITCH * line.height
                text, x = line.text, left + line.indent
                if line.key and numbers is not None:
                    text = text.replace("{page}", str(numbers[line.key]))
                    content.link(x, y, x + text_width(text, line.height), y + PITCH * line.height, line.key)
                content.text(x, y + 0.4 * line.height, text, line.height)


def columns(lines: Sequence[Line], rooms: Iterator[float]) -> list[list[Line]]:
    """Return `lines` shared out over columns, each as deep as the next of `rooms`.

    A paragraph stays whole, and a heading, in larger letters, with what follows it, where a column is deep enough.
    """
    result: list[list[Line]] = []
    column: list[Line] = []
    left = next(rooms)
    for block in _blocks(lines):
        if column and depth(block) > left:
            result.append(column)
            column, left = [], next(rooms)
        for line in block:
            wants = line.above + PITCH * line.height
            if column and wants > left and wants > 0:
                result.append(column)
                column, left = [], next(rooms)
            column.append(line)
            left -= wants
    return [*result, column]


def _blocks(lines: Sequence[Line]) -> list[list[Line]]:
    """Return lines paragraph by paragraph, headings with the paragraph after them."""
    blocks: list[list[Line]] = []
    for line in lines:
        is_first = bool(line.tag) or not blocks
        if is_first and not (blocks and blocks[-1][-1].height > line.height):
            blocks.append([line])
        else:
            blocks[-1].append(line)
    return blocks


def text_pages(
    sheet: Sheet, title: tuple[str, ...], heading: str, lines: Sequence[Line], bookmarks: tuple[str, ...] = ()
) -> list[Page]:
    """Return pages that hold nothing but `lines` under a heading."""
    area = sheet.text
    room = area.height - PITCH * HEADING - 4.0
    parts = columns(lines, repeat(room))
    return [
        Page(sheet, title, _text_page(area, heading, part), bookmarks=bookmarks if k == 0 else ())
        for k, part in enumerate(parts)
    ]


def _text_page(area: Rectangle, heading: str, lines: Sequence[Line]) -> Drawer:
    """Return what draws one page of text."""

    def draw(content: Content, numbers: Numbers) -> None:
        with content.tagged("H1"):
            content.text(area.left, area.top - HEADING, heading, HEADING)
        set_lines(content, lines, area.left, area.top - PITCH * HEADING - 4.0, numbers)

    return draw


def fitting(notes: Sequence[Line], room: float) -> int:
    """Return how many of the lines fit `room` mm."""
    count = 0
    for line in notes:
        room -= line.above + PITCH * line.height
        if room < 0:
            break
        count += 1
    return count
