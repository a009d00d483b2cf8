"""The list of what is on which page: in columns, pieces of one name and following numbers in one line."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from templates_gen.paper.sheet import Rectangle
from templates_gen.render.pdf.content import FINE, Content
from templates_gen.render.pdf.letters import text_width, wrapped
from templates_gen.render.pdf.page import Drawer, Numbers, Page
from templates_gen.render.pdf.text import PITCH

_LIST = 2.0
"""Height of capitals in the list of pages, mm."""

_MOST_COLUMNS = 5

_SMALL_LIST = 1.8
"""The same where it spares a page, mm: the smallest of the heights of ISO 3098-1."""

_LIST_TOP = 6.0
"""mm above the first entry of the list, for its heading."""

_BETWEEN = 6.0
"""mm between the columns of the list."""

_PAGES_WIDTH = 18.0
"""mm kept for the page numbers at the right of the list."""


@dataclass(frozen=True)
class Entry:
    """A line of the list: what it is, its first and its last page, and the file they are in.

    Pages of another file are counted from its beginning; those of the file with the list, file "", from the first
    page after the list.
    """

    text: str
    first: int
    last: int
    file: str = ""


@dataclass(frozen=True)
class _Row:
    """One row of the list; the last row of an entry has its pages."""

    text: str
    entry: Entry | None = None


@dataclass(frozen=True)
class _List:
    """Columns of rows at one height of letters and one width, mm; to begin with, each entry is one of `columns`."""

    height: float
    width: float
    columns: tuple[tuple[_Row, ...], ...]

    def filled(self, count: int, room: float) -> "_List":
        """Return `count` columns of as many entries as fit `room` mm of height, no entry broken, evenly deep."""
        most = max(0, int((room - _LIST_TOP) / (PITCH * self.height)))
        rows = sum(len(block) for block in self.columns)
        for deep in range(min(most, math.ceil(rows / count)), most + 1):
            columns = self._in_columns(count, deep)
            if sum(len(column) for column in columns) == rows:
                break
        else:
            columns = self._in_columns(count, most)
        return replace(self, columns=tuple(tuple(column) for column in columns if column))

    def _in_columns(self, count: int, deep: int) -> list[list[_Row]]:
        """Return columns filled one after another with entries in their order, as far as they go."""
        columns: list[list[_Row]] = [[]]
        for block in self.columns:
            if len(columns[-1]) + len(block) > deep:
                columns.append([])
            if len(columns) > count or len(block) > deep:
                break
            columns[-1] += block
        return columns[:count]

    def left_by(self, filled: "_List") -> tuple[tuple[_Row, ...], ...]:
        """Return the entries that found no room in `filled`."""
        done = sum(row.entry is not None for column in filled.columns for row in column)
        return self.columns[done:]


def contents_lists(entries: Sequence[Entry], area: Rectangle, top: float) -> list[_List]:
    """Return the list of pages, page by page, the first page's from `top` down.

    More columns or smaller letters are taken where they spare a page.
    """
    count = _column_count(entries, area)
    for height, number in itertools.product((_LIST, _SMALL_LIST), range(count, _MOST_COLUMNS + 1)):
        setting = _List(height, _column_width(area, number), _blocks(entries, _column_width(area, number), height))
        first = setting.filled(number, top - area.bottom)
        if not setting.left_by(first):
            return [first]
    setting = _List(_LIST, _column_width(area, count), _blocks(entries, _column_width(area, count), _LIST))
    pages = [setting.filled(count, top - area.bottom)]
    while rest := setting.left_by(pages[-1]):
        setting = replace(setting, columns=rest)
        page = setting.filled(count, area.height)
        pages.append(page if page.columns else replace(setting, columns=rest[:1]))
    return pages


def _blocks(entries: Sequence[Entry], width: float, height: float) -> tuple[tuple[_Row, ...], ...]:
    """Return each entry's rows, its pages on the last of them."""
    blocks, file = [], ""
    for entry in entries:
        *lines, last = wrapped(entry.text, width - _PAGES_WIDTH, height)
        head = (_Row(""), _Row(entry.file)) if entry.file != file else ()
        file = entry.file
        blocks.append((*head, *(_Row(line) for line in lines), _Row(last, entry)))
    return tuple(blocks)


def draw_list(some: _List, area: Rectangle, top: float, before: int) -> Drawer:
    """Return what writes one page's columns; `before` pages stand before the first that is counted."""
    height, width = some.height, some.width

    def draw(content: Content, numbers: Numbers) -> None:
        """Write the rows, each with its pages at the end of a rule."""
        if some.columns:
            content.text(area.left, top - 3.0, "Pages", 3.0)
        for number, column in enumerate(some.columns):
            left = area.left + (width + _BETWEEN) * number
            for k, row in enumerate(column):
                y = top - _LIST_TOP - PITCH * height * (k + 1) + 1.0
                content.text(left, y, row.text, height)
                if row.entry:
                    shift = 0 if row.entry.file else before
                    first, last = row.entry.first + shift, row.entry.last + shift
                    pages = str(first) if first == last else f"{first} to {last}"
                    content.text(left + width, y, pages, height, "end")
                    content.line(left, y - 0.8, left + width, y - 0.8, FINE)

    return draw


def _column_count(entries: Sequence[Entry], area: Rectangle) -> int:
    """Return how many columns the list has: two to five, as hold four in five of the entries in one row."""
    widths = sorted(text_width(entry.text, _LIST) for entry in entries) or [area.width]
    wanted = widths[math.ceil(0.8 * (len(widths) - 1))] + _PAGES_WIDTH
    return max(2, min(_MOST_COLUMNS, int((area.width + _BETWEEN) / (wanted + _BETWEEN))))


def _column_width(area: Rectangle, count: int) -> float:
    """Return the width of one of `count` columns of the list, mm."""
    return (area.width - _BETWEEN * (count - 1)) / count


def condensed(entries: Sequence[Entry]) -> list[Entry]:
    """Return entries in fewer lines: three or more gauges or cards of one kind in one, with how many they are.

    Of one kind are neighbours whose names go on after the same two words, several of them on a page. They are packed
    as they fit: the first of them need not be on the first of their pages, nor the last on the last.
    """
    lines: list[Entry] = []
    for _, group in itertools.groupby(
        entries, key=lambda entry: (*entry.text.split(" ")[:2], entry.text.count(" ") > 1)
    ):
        run = list(group)
        first, last = min(entry.first for entry in run), max(entry.last for entry in run)
        if len(run) < 3 or last - first + 1 >= len(run):
            lines += run
        else:
            text = f"{' '.join(_common([entry.text.split(' ') for entry in run]))} … ({len(run)})"
            lines.append(replace(run[0], text=text, first=first, last=last))
    return lines


def _common(texts: Sequence[Sequence[str]]) -> list[str]:
    """Return the words with which all of some texts begin."""
    same = itertools.takewhile(lambda words: len(set(words)) == 1, zip(*texts, strict=False))
    return [words[0] for words in same]


_LONG_RUN = 12
"""Pieces of one name and following numbers that are listed together."""


def entries_of(body: Sequence[Page], names: Sequence[str]) -> list[Entry]:
    """Return the list of what is on which page, a line for each bookmark: pieces in their order, the rest round them.

    Pages without bookmarks belong to the last one before them. Tables of one kind, each on its own piece's sheets,
    have one line together.
    """
    own: dict[str, list[int]] = {}
    found: dict[str, Entry] = {}
    latest = ""
    for number, page in enumerate(body, start=1):
        for bookmark in page.bookmarks:
            found[bookmark] = Entry(bookmark, number, number)
            latest = bookmark
        for text in page.inserts:
            if page.subject and text.endswith(page.subject):
                own.setdefault(text.removesuffix(page.subject).rstrip(": "), []).append(number)
            else:
                found[text] = Entry(text, number, number)
        if not page.bookmarks and latest:
            found[latest] = replace(found[latest], last=number)
    found |= {stem: Entry(f"{stem} … ({len(at)})", min(at), max(at)) for stem, at in own.items()}
    pieces = [found.pop(name) for name in names if name in found]
    first = min((piece.first for piece in pieces), default=0)
    before, after = ([e for e in found.values() if (e.first < first) == is_before] for is_before in (True, False))
    return [*before, *(entry for run in _runs(pieces) for entry in _listed(run)), *after]


def _runs(entries: Sequence[Entry]) -> list[list[Entry]]:
    """Return entries in runs, whose texts differ only in a number at the end that counts on, their pages in order."""
    runs: list[list[Entry]] = []
    for entry in entries:
        stem, _, number = entry.text.rpartition(" ")
        last = runs[-1][-1] if runs else None
        if last and number.isdigit() and last.text == f"{stem} {int(number) - 1}" and last.last <= entry.first:
            runs[-1].append(entry)
        else:
            runs.append([entry])
    return runs


def _listed(run: Sequence[Entry]) -> Sequence[Entry]:
    """Return one line for a long run of which several stand on each page, else a line for each."""
    first, last = run[0], run[-1]
    if len(run) < _LONG_RUN or 2 * (last.last - first.first + 1) > len(run):
        return run
    return [Entry(f"{first.text} to {last.text.rpartition(' ')[2]}", first.first, last.last)]
