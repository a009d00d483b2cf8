"""Running text: lines that fit a width, and pages of them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.content import Content
from templates_gen.render.pdf.letters import wrapped
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
    """One line to be set: text, height of its capitals, indent and the white above it, mm."""

    text: str
    height: float = BODY
    indent: float = 0.0
    above: float = 0.0


def paragraph(text: str, width: float, height: float = BODY, above: float = 0.0) -> list[Line]:
    """Return one paragraph as lines."""
    lines = wrapped(text, min(width, WIDEST), height)
    return [Line(part, height, 0.0, above if k == 0 else 0.0) for k, part in enumerate(lines)]


def item(text: str, width: float, height: float = BODY, above: float = 1.0) -> list[Line]:
    """Return one item of a list as lines, with a dash before it."""
    indent = 1.8 * height
    lines = wrapped(text, min(width, WIDEST) - indent, height)
    first = Line("–", height, 0.0, above)
    return [first, *(Line(part, height, indent, -PITCH * height if k == 0 else 0.0) for k, part in enumerate(lines))]


def fitted(texts: Sequence[str], width: float, room: float, heights: Sequence[float]) -> tuple[list[str], float]:
    """Return `texts` broken into lines and the first of `heights` at which they fit `room`, else the last."""
    lines: list[str] = []
    for height in heights:
        lines = [part for text in texts for part in wrapped(text, width, height)]
        if len(lines) * PITCH * height <= room + 0.8 * height:
            return lines, height
    return lines, heights[-1]


def names_text(names: Sequence[str]) -> str:
    """Return names in one line, what neighbours begin with said once: "land 3 strip 1 to 14; land 4 station 1, 3"."""
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


def set_lines(content: Content, lines: Sequence[Line], left: float, top: float) -> None:
    """Write `lines` down from `top`."""
    y = top
    for line in lines:
        y -= line.above + PITCH * line.height
        content.text(left + line.indent, y + 0.4 * line.height, line.text, line.height)


def columns(lines: Sequence[Line], rooms: Iterator[float]) -> list[list[Line]]:
    """Return `lines` shared out over columns, each as deep as the next of `rooms`; a dash stays with its text."""
    result: list[list[Line]] = []
    column: list[Line] = []
    room = next(rooms)
    left = room
    for line in lines:
        wants = line.above + PITCH * line.height
        if column and wants > left and wants > 0:
            result.append(column)
            column, left = [], next(rooms)
        column.append(line)
        left -= wants
    return [*result, column]


def text_pages(
    sheet: Sheet, title: tuple[str, ...], heading: str, lines: Sequence[Line], bookmarks: tuple[str, ...] = ()
) -> list[Page]:
    """Return pages that hold nothing but `lines` under a heading."""
    area = sheet.drawing
    room = area.height - PITCH * HEADING - 4.0
    parts = columns(lines, _always(room))
    return [
        Page(sheet, title, _text_page(area, heading, part), bookmarks=bookmarks if k == 0 else ())
        for k, part in enumerate(parts)
    ]


def _always(room: float) -> Iterator[float]:
    """Yield the same room for ever."""
    while True:
        yield room


def _text_page(area: Rectangle, heading: str, lines: Sequence[Line]) -> Drawer:
    """Return what draws one page of text."""

    def draw(content: Content, numbers: Numbers) -> None:
        content.text(area.left, area.top - HEADING, heading, HEADING)
        set_lines(content, lines, area.left, area.top - PITCH * HEADING - 4.0)

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
