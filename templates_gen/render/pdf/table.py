"""Tables, typeset over as many pages as they need, with their headings repeated."""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from templates_gen.drawing.piece import EVERY_FEW, Table
from templates_gen.paper.sheet import Sheet
from templates_gen.render.pdf.content import FINE, MIDDLE, Content
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import Drawer, Numbers, Page
from templates_gen.render.pdf.text import PITCH, Line, depth, fitting, paragraph, set_lines

_HEIGHTS = (2.5, 2.2, 2.0, 1.8)
"""Heights of capitals to choose from, mm, the largest that fits first."""

_TITLE = 3.5
_SPACE = 1.8
"""White between columns, in heights of capitals."""

_ROWS = (2.0, 1.9, 1.8, 1.7)
"""Distances from row to row to choose from, in heights of capitals: the widest at which tables break least."""

_FOOT = 0.55
"""Share of the white between two rows' letters that is under them: descenders are there, too."""

_FORM_ROW = 3.4
"""The same where figures are to be written in by hand."""

_KEPT = 3
"""Rows at least that go overleaf, with notes that do not fit under a table's last row or as the rest of a table."""

_TOGETHER = 5
"""Rows that are the fewest to stand on a page by themselves, where the table might begin on the next page."""


@dataclass(frozen=True)
class _Setting:
    """A table, or some of its columns, at one height of letters, with the widths of its columns, mm."""

    table: Table
    height: float
    widths: tuple[float, ...]
    row: float = _ROWS[0]

    @property
    def step(self) -> float:
        """Return the distance from row to row, mm."""
        return (_FORM_ROW if self.table.is_form else self.row) * self.height

    @property
    def foot(self) -> float:
        """Return how far the letters of a row stand over its lower edge, mm."""
        return (0.5 if self.table.is_form else _FOOT * (self.row - 1.0)) * self.height

    @property
    def width(self) -> float:
        """Return the width of the whole, mm."""
        return sum(self.widths)

    @property
    def head(self) -> float:
        """Return the height of the heading row, mm."""
        lines = max(heading.count("\n") for heading in self.table.columns) + 1
        return (_ROWS[0] + PITCH * (lines - 1)) * self.height + 1.0


@dataclass(frozen=True)
class _Part:
    """Some rows of a setting at one place on a page: `top`, mm, heading and notes as needed."""

    setting: _Setting
    top: float
    title: str
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[Line, ...]


def table_pages(tables: Sequence[Table], sheet: Sheet, title: str, is_turned: bool = True) -> list[Page]:
    """Return the pages of all `tables`, short ones one under another; wide ones on the sheet turned, if it may be."""
    pages: list[Page] = []
    by_sheet: list[tuple[Sheet, list[_Setting]]] = []
    for table in map(without_empty_columns, tables):
        way, settings = _settings(table, (sheet.page, sheet.page.turned) if is_turned else (sheet.page,))
        if by_sheet and by_sheet[-1][0] == way:
            by_sheet[-1][1].extend(settings)
        else:
            by_sheet.append((way, settings))
    for way, settings in by_sheet:
        for parts in _best_paged(settings, way):
            titles = dict.fromkeys(part.setting.table.title for part in parts)
            begun = tuple(
                dict.fromkeys(part.setting.table.title for part in parts if not part.title.endswith("continued"))
            )
            pages.append(Page(way, (title, ", ".join(titles)), _draw_parts(parts, way), bookmarks=begun))
    return pages


def without_empty_columns(table: Table) -> Table:
    """Return a table without the columns that hold nothing in any row; a form keeps them, to be filled in."""
    if table.is_form or not table.rows:
        return table
    kept = [k for k in range(len(table.columns)) if any(row[k] for row in table.rows)]
    return _of_columns(table, kept) if len(kept) < len(table.columns) else table


def _of_columns(table: Table, kept: Sequence[int]) -> Table:
    """Return a table of some of its columns, in their order."""
    return replace(
        table,
        columns=tuple(table.columns[k] for k in kept),
        rows=tuple(tuple(row[k] for k in kept) for row in table.rows),
        word_columns=tuple(place for place, k in enumerate(kept) if k in table.word_columns),
    )


def _settings(table: Table, ways: Sequence[Sheet]) -> tuple[Sheet, list[_Setting]]:
    """Return the sheet and the settings for a table: whole at the largest letters that fit, else split by columns."""
    for height in _HEIGHTS:
        setting = _set(table, height)
        for way in ways:
            if setting.width <= way.drawing.width:
                return way, [setting]
    way = max(ways, key=lambda way: way.drawing.width)
    return way, [_set(part, _HEIGHTS[-2]) for part in _split(table, _HEIGHTS[-2], way.drawing.width)]


def _set(table: Table, height: float) -> _Setting:
    """Return a table set in letters of one height."""
    columns = list(zip(*table.rows, strict=True)) if table.rows else [()] * len(table.columns)
    widths = [
        max([text_width(part, height) for part in heading.split("\n")] + [text_width(cell, height) for cell in cells])
        + _SPACE * height
        for heading, cells in zip(table.columns, columns, strict=True)
    ]
    return _Setting(table, height, tuple(widths))


def _split(table: Table, height: float, width: float) -> list[Table]:
    """Return the table as several that are no wider than `width`, each beginning with the first column."""
    widths = _set(table, height).widths
    groups: list[list[int]] = [[0]]
    room = width - widths[0]
    for k in range(1, len(widths)):
        if widths[k] > room and len(groups[-1]) > 1:
            groups.append([0])
            room = width - widths[0]
        groups[-1].append(k)
        room -= widths[k]
    last = len(groups) - 1
    return [
        replace(_of_columns(table, group), notes=table.notes if number == last else ())
        for number, group in enumerate(groups)
    ]


def _best_paged(settings: Sequence[_Setting], sheet: Sheet) -> list[list[_Part]]:
    """Return the parts of the tables page by page: fewest pages, then fewest tables broken, then airiest."""
    best: list[list[_Part]] = []
    least: tuple[int, int] | None = None
    notes = [
        [line for note in setting.table.notes for line in paragraph(note, sheet.drawing.width, above=1.0)]
        for setting in settings
    ]
    for row in _ROWS:
        spaced = [replace(setting, row=row) for setting in settings]
        for is_kept_whole in (True, False):
            pages = list(_paged(spaced, notes, sheet, is_kept_whole))
            cost = len(pages), sum(len(page) for page in pages)
            if least is None or cost < least:
                best, least = pages, cost
    return best


def _is_one_page(setting: _Setting, notes: Sequence[Line], sheet: Sheet) -> bool:
    """Return whether a table with its notes fits a page by itself."""
    rows = setting.head + setting.step * len(setting.table.rows)
    return PITCH * _TITLE + 2.0 + rows + depth(notes) <= sheet.text.height


def _paged(
    settings: Sequence[_Setting], all_notes: Sequence[list[Line]], sheet: Sheet, is_kept_whole: bool
) -> Iterator[list[_Part]]:
    """Yield the parts of the tables page by page, those that fit a page whole if they are to be."""
    area = sheet.text
    page: list[_Part] = []
    top = area.top
    for setting, notes in zip(settings, all_notes, strict=True):
        rows, title = setting.table.rows, setting.table.title
        step, whole = setting.step, is_kept_whole and _is_one_page(setting, notes, sheet)
        while True:
            fixed = PITCH * _TITLE + 2.0 + setting.head
            count = min(len(rows), int((top - area.bottom - fixed) / step))
            if page and whole and (count < len(rows) or depth(notes) > top - fixed - step * count - area.bottom):
                yield page
                page, top = [], area.top
                continue
            if page and (count < min(len(rows), _TOGETHER) or len(rows) - _TOGETHER < count < len(rows)):
                yield page
                page, top = [], area.top
                continue
            notes_fit = depth(notes) <= top - fixed - step * count - area.bottom
            count = _whole_groups(setting.table, count, len(rows))
            if len(rows) > _KEPT and (0 < len(rows) - count < _KEPT or (count == len(rows) and not notes_fit)):
                count = _whole_groups(setting.table, len(rows) - _KEPT, len(rows))
            bottom = top - fixed - step * count
            here = fitting(notes, bottom - area.bottom) if count == len(rows) else 0
            page.append(_Part(setting, top, title, rows[:count], tuple(notes[:here])))
            rows, notes, title = rows[count:], notes[here:], f"{setting.table.title}, continued"
            if not rows and not notes:
                top = bottom - depth(page[-1].notes) - 8.0
                break
            yield page
            page, top = [], area.top
    if page:
        yield page


def _whole_groups(table: Table, count: int, left: int) -> int:
    """Return how many of the rows that are left go on a page with room for `count`: none is parted from its group."""
    if count >= left or not 1 < table.rows_together < EVERY_FEW:
        return count
    return count - count % table.rows_together or count


def _draw_parts(parts: Sequence[_Part], sheet: Sheet) -> Drawer:
    """Return what draws the parts of one page."""

    def draw(content: Content, numbers: Numbers) -> None:
        for part in parts:
            y = _draw_title(content, part.title, sheet.drawing.left, part.top, sheet.drawing.width)
            bottom = _draw_rows(content, part.setting, part.rows, sheet.drawing.left, y)
            set_lines(content, part.notes, sheet.drawing.left, bottom)

    return draw


def _draw_title(content: Content, title: str, left: float, top: float, width: float) -> float:
    """Write a table's title, no wider than `width`; return where its heading begins, mm."""
    y = top - PITCH * _TITLE
    with content.tagged("H2"):
        content.text(left, y + 0.5 * _TITLE, title, min(_TITLE, _TITLE * width / text_width(title, _TITLE)))
    return y - 2.0


def _draw_rows(
    content: Content, setting: _Setting, rows: Sequence[tuple[str, ...]], left: float, top: float
) -> float:
    """Draw heading and rows down from `top`; return where they end, mm."""
    height, width = setting.height, setting.width
    edges = [left]
    for column in setting.widths:
        edges.append(edges[-1] + column)
    bottom, step = top - setting.head, setting.step
    with content.group("Table"):
        with content.group("TR"):
            for k, heading in enumerate(setting.table.columns):
                with content.tagged("TH"):
                    for up, text in enumerate(reversed(heading.split("\n"))):
                        _cell(content, setting, edges, k, bottom + 0.5 * height + 0.5 + PITCH * height * up, text)
        for number, row in enumerate(rows):
            with content.group("TR"):
                for k, text in enumerate(row):
                    with content.tagged("TD"):
                        _cell(content, setting, edges, k, bottom - step * (number + 1) + setting.foot, text)
    every, end = setting.table.rows_together, bottom - step * len(rows)
    between = [bottom - step * k for k in range(every, len(rows), every)]
    with content.decoration():
        content.segments([(left, y, left + width, y) for y in (top, bottom, end)], MIDDLE)
        content.segments([(left, y, left + width, y) for y in between], FINE) if between else None
    return end


def _cell(content: Content, setting: _Setting, edges: Sequence[float], column: int, y: float, text: str) -> None:
    """Write one cell: words from the left, figures from the right."""
    pad = _SPACE / 2 * setting.height
    if column in setting.table.word_columns:
        content.text(edges[column] + pad, y, text, setting.height)
    else:
        content.text(edges[column + 1] - pad, y, text, setting.height, "end")


_BETWEEN = 4.0
"""mm between the columns of a block."""

_MOST_COLUMNS = 3


@dataclass(frozen=True)
class Block:
    """A whole table set to stand in the room of another page, its rows in one column or several.

    Attributes
    ----------
    setting : _Setting
    deep : int
        Rows in each column but the last.
    count : int
        Columns of rows.
    """

    setting: _Setting
    deep: int
    count: int

    @property
    def width(self) -> float:
        """Return the width, mm."""
        return self.count * (self.setting.width + _BETWEEN) - _BETWEEN

    @property
    def height(self) -> float:
        """Return the height of title, heading, rows and notes, mm."""
        return PITCH * _TITLE + 2.0 + self.setting.head + self.deep * self.setting.step + depth(self.notes)

    @property
    def notes(self) -> list[Line]:
        """Return the notes under the table."""
        height = self.setting.height
        return [line for note in self.setting.table.notes for line in paragraph(note, self.width, height, above=1.0)]

    def drawer(self, left: float, top: float) -> Drawer:
        """Return what draws the table with its upper left corner at a place, mm on the page."""

        def draw(content: Content, numbers: Numbers) -> None:
            """Draw the title, the rows in their columns, and the notes under them."""
            rows = self.setting.table.rows
            y = _draw_title(content, self.setting.table.title, left, top, self.width)
            for column in range(self.count):
                some = rows[column * self.deep : (column + 1) * self.deep]
                _draw_rows(content, self.setting, some, left + column * (self.setting.width + _BETWEEN), y)
            bottom = y - self.setting.head - self.deep * self.setting.step
            set_lines(content, self.notes, left, bottom)

        return draw


def blocks_of(table: Table) -> Iterator[Block]:
    """Yield the ways of setting a whole table: largest letters first, then the airiest, then in fewest columns."""
    table = without_empty_columns(table)
    rows = len(table.rows)
    group = table.rows_together if table.rows_together < EVERY_FEW else 1
    for height, row in itertools.product(_HEIGHTS, _ROWS):
        setting = replace(_set(table, height), row=row)
        for count in range(1, min(_MOST_COLUMNS, max(rows // _KEPT, 1)) + 1):
            yield Block(setting, group * math.ceil(rows / group / count), count)
