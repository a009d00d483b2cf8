"""What is physically possible: one table of the bounds that every printed figure of a boat must keep.

A figure outside its bounds is never drawn without a word: an error or a warning names it, its place and its cure.
"""

from collections.abc import Collection
from math import inf, radians

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.stem_side import MOST_WOOD
from templates_gen.report import cures
from templates_gen.report.finding import Finding
from templates_gen.report.possible import of_boat, of_shell
from templates_gen.report.possible.bounds import Row, broken

MARKS = (
    Row(
        "inner step", of_shell.inner_steps, 1.0, inf, 0.05, "error", "land", ("planking", "strakes"),
        "{subject} is only {value} above {below} {place}; they must lie a lap, {bound}, or more apart. From land 1 "
        "to the sheer there is {reference} for {strakes} strakes",
        "use fewer strakes or a narrower lap, or mark the lands further apart", cures.of_steps,
    ),
    Row(
        "sheer step", of_shell.sheer_steps, of_shell.SHEER_STEP, inf, 0.05, "error", "land", ("planking", "strakes"),
        "{subject} is only {value} below the sheer {place}; it must lie at least {bound}, a tenth of a lap, below it",
        "use fewer strakes or a narrower lap, or mark the land lower", cures.of_steps,
    ),
)  # fmt: skip

SHELL = (
    Row(
        "rabbet miss", of_shell.rabbet_misses, 0.0, 1.0, 0.05, "error", "rebate", ("end", "rabbet"),
        "{subject} misses its rebate {place}: the rabbet line curves {value} away from the straight end of the "
        "strake; it may curve away by at most the thickness, {bound}",
        "make the rabbet line straighter from the foot to land 1, or use more strakes", cures.of_misses,
    ),
    Row(
        "edge step", of_shell.edge_steps, 0.1, inf, 0.05, "error", "land", ("lands",),
        "{subject} rises {signed} above {below} {place}; it must rise at least {bound}, a tenth of a lap",
        "check the marks of its two lands there, or use fewer strakes", cures.of_steps,
    ),
    Row(
        "open lap", of_shell.gaps_at_lap_line, -inf, 0.0, 0.05, "error", "bevel", ("planking", "lap"),
        "{subject} stays open by {value} at its lap line {place}: a lap of this width cannot take the bevel of "
        "{angle} there",
        "use a narrower lap or thicker stock, or move the land to where the section is rounder", cures.of_laps,
    ),
    Row(
        "loss", of_shell.losses, 0.0, 1.0, 0.05, "error", "bevel", ("planking", "lap"),
        "{subject}: {signed} comes off {place}; it must be between 0 and the thickness, {reference}",
        "use more strakes, a narrower lap or thicker stock", cures.of_laps,
    ),
    Row(
        "sum of losses", of_shell.overlaps_missed, 0.0, 0.0, 0.02, "error", "bevel", ("lands",),
        "what comes off the two strakes of {subject} differs from their overlap by {value} {place}; they must be "
        "equal",
        "check the marks of the land there",
    ),
    Row(
        "edge left", of_shell.edges_left, 0.0, 1.0, 0.05, "error", "bevel", ("planking", "least_edge"),
        "{subject} leaves {signed} at its planed edge {place}; it must leave between 0 and the thickness, "
        "{reference}",
        "use more strakes, a narrower lap or thicker stock", cures.of_laps,
    ),
    Row(
        "gap before planing", of_shell.gaps_before, -1.0, 1.0, 0.05, "warning", "bevel", ("lands",),
        "{subject} has a gap of {value} before planing {place}; a gap wider than the lap, {bound}, is unlikely",
        "check the marks of the land and of its neighbours there",
    ),
    Row(
        "bevel", of_shell.bevels, radians(-60.0), radians(60.0), 1e-3, "error", "bevel", ("lands",),
        "{subject} has a bevel of {value} {place}; a lap can have {bound} at most",
        "check the marks of the land and of its neighbours there", is_angle=True,
    ),
    Row(
        "jump of bevel", of_shell.bevel_jumps, 0.0, radians(15.0), 1e-3, "warning", "bevel", ("lands",),
        "the bevel of {subject} changes by {value} {place}, where it is {angle}; a change of up to {bound} is usual",
        "check the end's profile and the section there, or hold gauges at more places between the two", is_angle=True,
    ),
)  # fmt: skip

BOAT = (
    Row(
        "stem's rebate", of_boat.stem_rebates, 0.0, inf, 0.05, "error", "rebate", ("end", "rabbet"),
        "{subject} cannot be cut: the planking lies at {angle} to the centreplane there, and a rebate needs less "
        "than 90°",
        "check the end's profile and the section at the nearest station",
    ),
    Row(
        "stem's bearding", of_boat.stem_beardings, -inf, MOST_WOOD, 0.5, "warning", "rebate", ("end", "siding"),
        "{subject}: the bearding line lies {value} inside the rabbet line, because the planking lies at only {angle} "
        "to the centreplane. It is drawn {bound} inside at most",
        "check the section at the nearest station and the siding, or plane as far as the timber goes",
    ),
    Row(
        "keel's rebate", of_boat.keel_rebates, 0.0, inf, 0.05, "error", "rebate", ("keel", "joint"),
        "{subject} cannot be cut {place}: the planking lies at {angle} to the centreplane there, and a rebate needs "
        "less than 90°",
        'use a keel with a hog (joint = "hog"), or raise the first land there', cures.of_keel,
    ),
    Row(
        "edge on the hog", of_boat.edges_on_hog, 0.0, inf, 0.05, "warning", "rebate",
        ("lands",),
        "{subject}, the garboard, slopes down and out from the keel {place}, at {angle} to the centreplane. A square "
        "edge would stand {value} off the keel at its inner corner",
        "leave the edge wider there and plane its outer corner back, or raise the first land",
    ),
    Row(
        "hog bearing", of_boat.hog_bearings, 0.0, inf, 0.05, "warning", "rebate", ("keel", "hog"),
        "the hog does not reach {subject}, the garboard, {place}: its side is {value} inside the rabbet line",
        "use a wider hog",
    ),
    Row(
        "transom bevel", of_boat.transom_bevels, -inf, radians(60.0), 1e-3, "warning", "transom", ("end", "profile"),
        "the edge bevel of {subject} is {value}; up to {bound} is usual. The planks are nearly parallel to its face "
        "there",
        "check the transom's profile and section, or saw that edge to a pattern taken from the planks", is_angle=True,
    ),
    Row(
        "transom bevel outward", of_boat.transom_bevels, 0.0, inf, 1e-3, "warning", "transom", ("end", "section"),
        "the edge bevel of {subject} is {value}: the planks spread toward its outer face, so that "
        "face is the larger",
        "saw to the outer face's outline there", is_angle=True,
    ),
    Row(
        "flat bottom's bevel", of_boat.bottom_bevels, radians(-60.0), radians(60.0), 1e-3, "warning", "section",
        ("keel", "joint"),
        "the flat bottom's edge has a bevel of {value} {place}; up to {bound} is usual. The garboard is nearly level "
        "there",
        "make the garboard steeper, or use a keel with a hog", is_angle=True,
    ),
    Row(
        "outline", of_boat.outline_crossings, 0.0, 0.0, 0.5, "error", "strake", ("end",),
        "the outline of {subject} crosses itself {place}", "check the lands and the end's profile there",
        cures.of_ends,
    ),
)  # fmt: skip


def impossible_marks(subject: of_shell.Marked) -> tuple[Finding, ...]:
    """Return the faults of marks that no strake can be hung on."""
    return tuple(broken(MARKS, subject, subject.hull, set()))


def impossible_shell(shell: PlankedShell, skipped: Collection[int] = ()) -> tuple[Finding, ...]:
    """Return what is impossible or strange in a shell, the causes before what follows from them.

    Parameters
    ----------
    skipped : collection of int
        Lands of which a fault has been found already.
    """
    at_fault = set(skipped)
    of_marks = broken(MARKS, of_shell.marks_of(shell), shell.hull, at_fault)
    return (*of_marks, *broken(SHELL, shell, shell.hull, at_fault))


def impossible_boat(boat: Boat) -> tuple[Finding, ...]:
    """Return what is impossible or strange in what is taken from a shell."""
    return tuple(broken(BOAT, boat, boat.hull, set()))
