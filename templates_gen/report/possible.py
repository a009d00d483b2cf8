"""What is physically possible: one table of the bounds that every printed figure of a boat must keep.

A figure outside its bounds is never drawn without a word: an error or a warning names it, its place and its cure.
"""

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from math import degrees, inf, isfinite, radians

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.stem_side import MOST_WOOD
from templates_gen.hull.model import Hull
from templates_gen.report import cures, figures
from templates_gen.report.figures import Figure, Marked
from templates_gen.report.finding import Cure, Finding, Severity
from templates_gen.units import format_angle, spoken_depth, spoken_length

Key = tuple[str | int, ...]


@dataclass(frozen=True)
class Row:
    """One row of the table.

    Attributes
    ----------
    name : str
    figures : callable
        Yields the figures that the row is about, of marks, of a shell or of a boat.
    low, high : float
        What is possible, in multiples of the figure's scale; both bounds are possible.
    slack : float
        How far outside a bound counts as on it, mm or radians.
    severity : "error" or "warning"
    about : str
        A word of the trade, as in `Finding`.
    key : tuple
        The hull file's key; "end" in it stands for the figure's end.
    text : str
        What is wrong and what was expected. It may name {subject}, {where}, {value} (a length without its sign),
        {signed} (with it), {bound}, {reference}, {angle} (the reference as an angle) and {strakes}.
    otherwise : str
        One thing to do where the program has found no cure that works.
    proposed : callable or None
        From hull and figure to the changes of the hull file that may cure it.
    is_angle : bool
        Whether value and bounds are radians.
    """

    name: str
    figures: Callable[..., Iterator[Figure]]
    low: float
    high: float
    slack: float
    severity: Severity
    about: str
    key: Key
    text: str
    otherwise: str
    proposed: Callable[[Hull, Figure], Iterable[Cure]] | None = None
    is_angle: bool = False


MARKS = (
    Row(
        "inner step", figures.inner_steps, 1.0, inf, 0.05, "error", "land", ("planking", "strakes"),
        "{subject} is only {value} above the land below it {where}, and a lap takes {bound}: {strakes} strakes have "
        "{reference} there from land 1 to the sheer",
        "use fewer strakes or a narrower lap, or mark the lands further apart", cures.of_steps,
    ),
    Row(
        "sheer step", figures.sheer_steps, cures.SHEER_STEP, inf, 0.05, "error", "land", ("planking", "strakes"),
        "{subject} is only {value} below the sheer {where}; at least {bound}, a tenth of a lap, is wanted",
        "use fewer strakes or a narrower lap, or mark the land lower", cures.of_steps,
    ),
)  # fmt: skip

SHELL = (
    Row(
        "rabbet miss", figures.rabbet_misses, 0.0, 1.0, 0.05, "error", "rebate", ("end", "rabbet"),
        "{subject} cannot lie in its rebate {where}: straight across its end, it misses the rabbet line, which is "
        "curved there, by {value}, and its thickness is {bound}",
        "make the rabbet line straighter from the foot to land 1, or use more strakes", cures.of_misses,
    ),
    Row(
        "edge step", figures.edge_steps, 0.1, inf, 0.05, "error", "land", ("lands",),
        "{subject} rises {signed} above the strake below it {where}; at least {bound}, a tenth of a lap, "
        "is wanted",
        "check the marks of its two lands there, or use fewer strakes", cures.of_steps,
    ),
    Row(
        "open lap", figures.gaps_at_lap_line, -inf, 0.0, 0.05, "error", "bevel", ("planking", "lap"),
        "{subject} stays open by {value} at its lap line {where}: the bevel there is {angle}, more than so wide "
        "a lap carries",
        "use a narrower lap or thicker stock, or move the land to where the section is rounder", cures.of_laps,
    ),
    Row(
        "loss", figures.losses, 0.0, 1.0, 0.05, "error", "bevel", ("planking", "lap"),
        "{subject} takes {signed} off {where}; 0 to {reference}, all of the stock, is possible",
        "use more strakes, a narrower lap or thicker stock", cures.of_laps,
    ),
    Row(
        "sum of losses", figures.overlaps_missed, 0.0, 0.0, 0.02, "error", "bevel", ("lands",),
        "what comes off the two strakes of {subject} differs by {value} from their overlap {where}",
        "check the marks of the land there",
    ),
    Row(
        "edge left", figures.edges_left, 0.0, 1.0, 0.05, "error", "bevel", ("planking", "least_edge"),
        "{subject} leaves {signed} at its planed edge {where}; 0 to {reference} is possible",
        "use more strakes, a narrower lap or thicker stock", cures.of_laps,
    ),
    Row(
        "gap before planing", figures.gaps_before, -1.0, 1.0, 0.05, "warning", "bevel", ("lands",),
        "{subject} shows a gap of {value} {where} before planing, more than the lap's own width, {bound}",
        "check the marks of the land and of its neighbours there",
    ),
    Row(
        "bevel", figures.bevels, radians(-60.0), radians(60.0), 1e-3, "error", "bevel", ("lands",),
        "{subject} has a bevel of {value} {where}; {bound} is the most that a lap can have",
        "check the marks of the land and of its neighbours there", is_angle=True,
    ),
    Row(
        "jump of bevel", figures.bevel_jumps, 0.0, radians(15.0), 1e-3, "warning", "bevel", ("lands",),
        "the bevel of {subject} changes by {value} {where} ({angle} at the end; up to {bound} is usual)",
        "check the end's profile and the section there, or plane the last bay to more gauges", is_angle=True,
    ),
)  # fmt: skip

BOAT = (
    Row(
        "stem's rebate", figures.stem_rebates, 0.0, inf, 0.05, "error", "rebate", ("end", "rabbet"),
        "{subject}'s rebate cannot be cut {where}: the planking stands {angle} to the centreplane there, and "
        "a rebate needs less than 90°",
        "check the end's profile and the section at the nearest station",
    ),
    Row(
        "stem's bearding", figures.stem_beardings, -inf, MOST_WOOD, 0.5, "warning", "rebate", ("end", "siding"),
        "{subject}'s bearding line lies {value} inside the rabbet line {where}: the planking stands only {angle} to "
        "the centreplane there, nearly flat on the timber's side; it is drawn {bound} inside at most",
        "check the section at the nearest station and the siding, or plane as far as the timber goes",
    ),
    Row(
        "keel's rebate", figures.keel_rebates, 0.0, inf, 0.05, "error", "rebate", ("keel", "joint"),
        "{subject}'s rebate cannot be cut {where}: the planking stands {angle} to the centreplane there, and "
        "a rebate needs less than 90°",
        'use a keel with a hog (joint = "hog"), or raise the first land there', cures.of_keel,
    ),
    Row(
        "edge on the hog", figures.edges_on_hog, 0.0, inf, 0.05, "warning", "rebate",
        ("lands",),
        "{subject} lies past the level {where} ({angle} to the centreplane): its edge, left square, stands "
        "{value} off the keel at its inner corner",
        "leave the edge wider there and plane its outer corner back, or raise the first land",
    ),
    Row(
        "hog bearing", figures.hog_bearings, 0.0, inf, 0.05, "warning", "rebate", ("keel", "hog"),
        "{subject} does not reach the garboard {where}: its side is {value} inside the rabbet line",
        "use a wider hog",
    ),
    Row(
        "transom bevel", figures.transom_bevels, -inf, radians(60.0), 1e-3, "warning", "transom", ("end", "profile"),
        "{subject}: the edge's bevel is {value} {where} (up to {bound} is usual): the planks there are "
        "nearly parallel to its face and cross it at a long slant",
        "check the transom's profile and section, or saw that edge to a pattern taken from the planks", is_angle=True,
    ),
    Row(
        "transom bevel outward", figures.transom_bevels, 0.0, inf, 1e-3, "warning", "transom", ("end", "section"),
        "{subject}: the edge's bevel is {value} {where}: the planks spread toward the face there, so the outer face "
        "is the larger",
        "saw to the outer face's outline there", is_angle=True,
    ),
    Row(
        "flat bottom's bevel", figures.bottom_bevels, radians(-60.0), radians(60.0), 1e-3, "warning", "section",
        ("keel", "joint"),
        "{subject} has a bevel of {value} {where} (up to {bound} is usual): the garboard lies nearly flat there",
        "stand the garboard steeper, or use a keel with a hog", is_angle=True,
    ),
    Row(
        "outline", figures.outline_crossings, 0.0, 0.0, 0.5, "error", "strake", ("end",),
        "{subject}: the outline crosses itself {where}", "check the lands and the end's profile there", cures.of_ends,
    ),
)  # fmt: skip


def impossible_marks(marks: Marked) -> tuple[Finding, ...]:
    """Return the faults of marks that no strake can be hung on."""
    return tuple(_faults(MARKS, marks, marks.hull, set()))


def impossible_shell(shell: PlankedShell, skipped: Collection[int] = ()) -> tuple[Finding, ...]:
    """Return what is impossible or strange in a shell, the causes before what follows from them.

    Parameters
    ----------
    skipped : collection of int
        Lands of which a fault has been found already.
    """
    at_fault = set(skipped)
    marks = _faults(MARKS, figures.marks_of(shell), shell.hull, at_fault)
    return (*marks, *_faults(SHELL, shell, shell.hull, at_fault))


def impossible_boat(boat: Boat) -> tuple[Finding, ...]:
    """Return what is impossible or strange in what is taken from a shell."""
    return tuple(_faults(BOAT, boat, boat.hull, set()))


def _faults(
    rows: tuple[Row, ...], subject: Marked | PlankedShell | Boat, hull: Hull, at_fault: set[int]
) -> Iterator[Finding]:
    """Yield a finding for each row that is broken, of its worst figure; lands `at_fault` are left out, and added."""
    for row in rows:
        broken = [one for one in row.figures(subject) if _excess(row, one) > 0.0 and not at_fault & set(one.lands)]
        if not broken:
            continue
        worst = max(broken, key=lambda one: _excess(row, one))
        if row.severity == "error":
            at_fault |= {land for one in broken for land in one.lands}
        others = [one.subject for one in broken if one.subject != worst.subject]
        yield _finding(row, worst, tuple(dict.fromkeys(others)), hull)


def _excess(row: Row, figure: Figure) -> float:
    """By how much a figure lies outside its bounds and the slack, in mm or radians; 0 or less inside."""
    if not isfinite(figure.value):
        return inf
    outside = max(row.low * figure.scale - figure.value, figure.value - row.high * figure.scale)
    return outside - row.slack


def _finding(row: Row, figure: Figure, others: tuple[str, ...], hull: Hull) -> Finding:
    is_low = figure.value < row.low * figure.scale
    bound = (row.low if is_low else row.high) * figure.scale
    text = row.text.format(
        subject=figure.subject,
        where=figure.where,
        value=_words(figure.value if row.is_angle else abs(figure.value), row, hull),
        signed=_words(figure.value, row, hull),
        bound=_words(bound, row, hull),
        reference=_words(figure.reference, row, hull) if not row.is_angle else "",
        angle=format_angle(figure.reference),
        strakes=hull.planking.strakes,
    )
    if others:
        text += f" (also {', '.join(others[:3])}{' and others' if len(others) > 3 else ''})"
    key = tuple(part if part != "end" else figure.end for part in row.key)
    return Finding(
        row.severity,
        row.about,
        text,
        ", ".join(part for part in (figure.subject, figure.where) if part),
        _number(figure.value, row),
        None,
        key if "" not in key else (),
        rule=row.name,
        proposed=tuple if row.proposed is None else partial(row.proposed, hull, figure),
        otherwise=row.otherwise,
    )


def _number(value: float, row: Row) -> float | None:
    """A figure for programs, mm or degrees; None where it is no finite number."""
    if not isfinite(value):
        return None
    return degrees(value) if row.is_angle else value


def _words(value: float, row: Row, hull: Hull) -> str:
    if not isfinite(value):
        return "no finite number"
    if row.is_angle:
        return format_angle(value)
    return spoken_depth(value) if abs(value) < 100.0 else spoken_length(value, hull.units)
