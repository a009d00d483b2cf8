"""The order of work as pages to be read at the bench."""

from collections.abc import Hashable, Sequence
from dataclasses import replace

from templates_gen.about import About
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.paper.sheet import Sheet
from templates_gen.render.pdf.book import Leaf
from templates_gen.render.pdf.letters import NO_BREAK
from templates_gen.render.pdf.page import HEADING, PITCH, Line, depth, item, paragraph, text_pages
from templates_gen.render.pdf.table import table_pages
from templates_gen.report.finding import Finding
from templates_gen.shop.after_planking import after_planking
from templates_gen.shop.before_planking import Step, before_planking, gauges_of
from templates_gen.shop.buying import Buying
from templates_gen.shop.order_of_work import order_of_work
from templates_gen.shop.tables import work_tables
from templates_gen.stock.plan import PlankingPlan
from templates_gen.units import UnitName
from templates_gen.words import piece_name

_HEIGHTS = (2.5, 2.35, 2.2, 2.1)
"""Heights of capitals to choose from, mm: still read at arm's length."""

MOST_NAMES = 6
"""Names of one kind of gauge that are written out; more are given as the first, the last and their number."""


Block = list[Line]
"""Lines that stay on one page."""


def work_leaves(boat: Boat, plan: PlankingPlan, buying: Buying, sheet: Sheet) -> list[Leaf]:
    """Return the order of work: what comes before planking, each pair of strakes with its depths, what follows."""
    way = sheet.upright
    first, units, gauges = "Before planking", boat.hull.units, gauges_of(boat)
    leaves = _block_leaves(way, first, _blocks(before_planking(boat, gauges), way, units), bookmarks=(first,))
    for work in order_of_work(boat, plan, buying, gauges):
        leaves += _block_leaves(way, work.title, _blocks(work.steps, way, units), bookmarks=(work.title,))
        leaves += table_leaves(work_tables(work, boat.hull), sheet, work.title, marked=False)
    last = "After the sheer strake"
    return leaves + _block_leaves(
        way, last, _blocks(after_planking(boat, plan, buying), way, units), bookmarks=(last,)
    )


def _block_leaves(
    sheet: Sheet, heading: str, blocks: Sequence[Block], title: str = "", bookmarks: tuple[str, ...] = ()
) -> list[Leaf]:
    """Pages of text that break between blocks."""
    pages: list[list[Line]] = [[]]
    for block in blocks:
        if pages[-1] and depth([*pages[-1], *block]) > _room(sheet):
            pages.append([])
        pages[-1] += block
    leaves = []
    for number, lines in enumerate(pages):
        shown = f"{heading}, continued" if number else heading
        some = text_pages(sheet, (title or heading,), shown, lines, () if number else bookmarks)
        leaves += [Leaf(page) for page in some]
    return leaves


def _room(sheet: Sheet) -> float:
    """How deep the text of a page may be, mm."""
    return sheet.drawing.height - PITCH * HEADING - 4.0


def table_leaves(tables: Sequence[Table], sheet: Sheet, title: str, marked: bool = True) -> list[Leaf]:
    """Return tables as pages; unmarked, without bookmarks of their own."""
    pages = table_pages(tables, sheet, title)
    return [Leaf(page if marked else replace(page, bookmarks=())) for page in pages]


def finding_leaves(findings: Sequence[Finding], sheet: Sheet) -> list[Leaf]:
    """Return what to know before wood is cut, warnings before notes."""
    way = sheet.upright
    blocks: list[Block] = []
    for severity, heading in (("error", "Errors"), ("warning", "Warnings"), ("note", "Notes")):
        texts = [finding.text for finding in findings if finding.severity == severity]
        some = [item(f"{text[0].upper()}{text[1:]}.", way.drawing.width) for text in texts]
        if some:
            some[0] = [*paragraph(heading, way.drawing.width, 3.0, above=3.0), *some[0]]
            blocks += some
    blocks = blocks or [paragraph("Nothing to report.", way.drawing.width)]
    return _block_leaves(way, "Before you cut wood", blocks)


def _blocks(steps: Sequence[Step], sheet: Sheet, units: UnitName) -> list[Block]:
    """Steps in the largest letters in which they fill no more than a page; in the largest of all if none do."""
    for height in _HEIGHTS:
        blocks = _set(steps, sheet.drawing.width, height, units)
        if depth([line for block in blocks for line in block]) <= _room(sheet):
            return blocks
    return _set(steps, sheet.drawing.width, _HEIGHTS[0], units)


def _set(steps: Sequence[Step], width: float, height: float, units: UnitName) -> list[Block]:
    """Steps in letters of one height: a numbered heading, sentences, templates."""
    blocks: list[Block] = []
    for number, step in enumerate(steps, start=1):
        lines = paragraph(f"{number}. {step.title}", width, height + 0.5, above=0.6 * height)
        for text in step.text:
            lines += item(text, width, height, above=0.3)
        deep = " How deep: in the table that follows." if step.depths else ""
        if step.pieces:
            lines += item(f"With: {', '.join(few_names(step.pieces, units))}.{deep}", width, height, above=0.3)
        blocks.append(lines)
    return blocks


def few_names(pieces: Sequence[About], units: UnitName) -> list[str]:
    """Return names of templates: long runs of one kind as first, last and how many."""
    kinds: dict[Hashable, list[About]] = {}
    for about in pieces:
        kinds.setdefault(_kind(about), []).append(about)
    shown = []
    for some in kinds.values():
        names = [piece_name(about, units).replace(" ", NO_BREAK) for about in some]
        shown += names if len(names) <= MOST_NAMES else [f"{names[0]} to {names[-1]} ({len(names)} gauges)"]
    return shown


def _kind(about: About) -> Hashable:
    """Return what templates that may be named together have in common."""
    number = about.number if about.thing in ("land", "strake") else None
    return about.thing, about.end, number, about.part if about.thing == "land" else ""
