"""The order of work as text to be read at the bench, and what to know before wood is cut."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from templates_gen.about import About
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.paper.sheet import Sheet
from templates_gen.render.pdf.book import Leaf
from templates_gen.render.pdf.letters import NO_BREAK
from templates_gen.render.pdf.table import table_pages
from templates_gen.render.pdf.text import HEADING, PITCH, Line, depth, item, paragraph, text_pages
from templates_gen.report.finding import Finding
from templates_gen.shop.steps import Step, StepKind
from templates_gen.units import UnitName
from templates_gen.words import few_names, name_in_list

HEIGHTS = (2.5, 2.35, 2.2, 2.1, 2.0)
"""Heights of capitals to choose from, mm: still read at arm's length."""

Block = list[Line]
"""Lines that stay on one page."""


def step_leaves(steps: Sequence[Step], sheet: Sheet, heading: str, units: UnitName) -> list[Leaf]:
    """Return steps of the work as pages of text."""
    way = sheet.page
    return _fewest_pages(way, heading, lambda height: step_blocks(steps, way.drawing.width, height, units))


def _fewest_pages(sheet: Sheet, heading: str, blocks_in: Callable[[float], list[Block]]) -> list[Leaf]:
    """Blocks as the fewest pages that they fill in letters to be read at arm's length, the largest of these."""
    every = [block_leaves(sheet, heading, blocks_in(height)) for height in HEIGHTS]
    return min(every, key=len)


def block_leaves(sheet: Sheet, heading: str, blocks: Sequence[Block]) -> list[Leaf]:
    """Pages of text that break between blocks; the first has the heading as its bookmark."""
    pages: list[list[Line]] = [[]]
    for block in blocks:
        if pages[-1] and depth([*pages[-1], *block]) > room_of(sheet):
            pages.append([])
        pages[-1] += block
    leaves = []
    for number, lines in enumerate(pages):
        shown = f"{heading}, continued" if number else heading
        some = text_pages(sheet, (heading,), shown, lines, () if number else (heading,))
        leaves += [Leaf(page) for page in some]
    return leaves


def room_of(sheet: Sheet) -> float:
    """Return how deep the text of a page under a heading may be, mm."""
    return sheet.drawing.height - PITCH * HEADING - 4.0


def table_leaves(tables: Sequence[Table], sheet: Sheet, title: str) -> list[Leaf]:
    """Return tables as pages, all upright; each is a bookmark where it begins."""
    leaves, begun = [], set[str]()
    for page in table_pages(tables, sheet, title, is_turned=False):
        new = tuple(name for name in page.bookmarks if name not in begun)
        begun.update(new)
        leaves.append(Leaf(replace(page, bookmarks=new)))
    return leaves


def finding_leaves(boat: Boat, findings: Sequence[Finding], sheet: Sheet) -> list[Leaf]:
    """Return what to know before wood is cut: what wood does, then warnings before notes."""
    way = sheet.page
    return _fewest_pages(
        way, "Before you cut wood", lambda height: _finding_blocks(boat, findings, way.drawing.width, height)
    )


def _finding_blocks(boat: Boat, findings: Sequence[Finding], width: float, height: float) -> list[Block]:
    """What to know before wood is cut, in letters of one height."""
    blocks = [_wood(boat, width, height)]
    for severity, heading in (("error", "Errors"), ("warning", "Warnings"), ("note", "Notes")):
        some = [item(finding.sentence, width, height) for finding in findings if finding.severity == severity]
        if some:
            some[0] = [*paragraph(heading, width, 3.0, above=3.0, tag="H2"), *some[0]]
            blocks += some
    return blocks


def _wood(boat: Boat, width: float, height: float) -> Block:
    """What wood does that no figure includes (common practice; the springing by judgement, not measured)."""
    notation = boat.hull.notation
    swelling = (
        "Plywood hardly swells in its plane. Solid wood does across the grain: by 1 to 2 per cent of its width "
        "between a dry shop and the water."
        if boat.hull.planking.method == "glued"
        else "Across the grain planks swell and shrink with the damp, by 1 to 2 per cent of their width between a "
        "dry shop and the water; hardly at all along the grain. Keep the stock as dry as it will be on the moulds. "
        "Do not leave cut planks in the sun."
    )
    texts = (
        "The figures in this book are geometry. They do not include what wood does, and that is more than the last "
        "digit of any figure.",
        "The sides of a boat spring when it comes off the moulds: in boats of this kind usually by "
        f"{notation.about(5.0)} to {notation.about(20.0)} at the sheer (common practice). Spalls hold them until "
        "thwarts and knees do.",
        swelling,
        "Measure each strake when it hangs, and write into the as-built file how far its upper edge lies from its "
        "marks. The lands above are then lined off from the boat as it stands. After the last strake, fit what goes "
        "inside to the boat, not to the drawing.",
    )
    heading = paragraph("What wood does", width, 3.0, above=1.0, tag="H2")
    return [*heading, *(line for text in texts for line in item(text, width, height))]


Reference = tuple[str, str]
"""Where the depths of a step are: words, and the key of the page, "" for none."""


def step_blocks(
    steps: Sequence[Step],
    width: float,
    height: float,
    units: UnitName,
    references: Mapping[StepKind, Reference] | None = None,
) -> list[Block]:
    """Return steps in letters of one height, a block for each heading with its first sentence, and for each other.

    `references` say for kinds of steps where their depths are.
    """
    blocks: list[Block] = []
    named: set[tuple[About, ...]] = set()
    for number, step in enumerate(steps, start=1):
        head = paragraph(f"{number}. {step.title}", width, height + 0.4, above=0.6 * height, tag="H3")
        lines = [item(text, width, height, above=0.2) for text in step.text]
        if step.pieces and step.pieces not in named:
            named.add(step.pieces)
            names = few_names(step.pieces, lambda about: name_in_list(about, units).replace(" ", NO_BREAK))
            lines.append(item(f"With: {', '.join(names)}.", width, height, above=0.2))
        words, key = (references or {}).get(step.kind, ("", ""))
        if step.depths and words:
            lines.append([_led(line, key) for line in item(words, width, height, above=0.2)])
        blocks += [[*head, *lines[0]], *lines[1:]]
    return blocks


def _led(line: Line, key: str) -> Line:
    """A line that leads to the page of a key; the dash before an item, which has no indent, leads nowhere."""
    return replace(line, key=key if line.indent else "")
