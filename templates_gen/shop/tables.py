"""Tables of the work: blanks, what to buy, fastenings, widths of the strakes, and the steps of the work."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from templates_gen.about import ENDS
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Hull, Midship, Stem, Transom
from templates_gen.shop.buying import (
    LEAST_END_SPACING,
    Buying,
    Fastening,
    Purchase,
    clamps_for,
    fastenings,
    purchases,
    still_to_drive,
)
from templates_gen.shop.glue import glue_of
from templates_gen.shop.order_of_work import StrakeWork
from templates_gen.shop.steps import Depth
from templates_gen.stock.blanks import Blank, blanks
from templates_gen.stock.plan import PlankingPlan, nearest_joints
from templates_gen.stock.scarfs import APART
from templates_gen.templates.bevels.facts import QUARTER_NAMES, QUARTERS, geralds_of, land_facts
from templates_gen.templates.bevels.gerald_cards import block_words


def shop_tables(boat: Boat, plan: PlankingPlan, buying: Buying, hung: int = 0) -> tuple[Table, ...]:
    """Return the tables of timber and fastenings: blanks, what to buy, fastenings in all and strake by strake.

    Where `hung` strakes hang they hold what is still to be bought and driven; a table of which nothing is left is
    left out.
    """
    cut, fixed = blanks(boat, plan)[hung:], still_to_drive(fastenings(boat, plan, buying), hung)
    wood: list[Table] = []
    if cut:
        bought = purchases(boat, plan, buying, hung)
        wood = [_blank_table(boat.hull, cut, plan), _purchase_table(boat.hull, bought, plan, buying)]
    metal = [_fastening_sums(boat, fixed, buying, hung)] if cut or fixed else []
    metal += [_fastening_table(boat.hull, fixed, buying)] if fixed else []
    if not hung:
        return (*wood, *metal)
    left, timbers = _left_words(boat.hull.planking.strakes, hung), ""
    if any(one.is_on_timber for one in fixed):
        timbers = " Rivets through timbers are those of every land: the timbers come when all planks are on."
    return (*_headed(wood, left), *_headed(metal, left + timbers))


def _headed(tables: Sequence[Table], note: str) -> list[Table]:
    """Tables with one more note before their own."""
    return [replace(table, notes=(note, *table.notes)) for table in tables]


def _left_words(count: int, hung: int) -> str:
    """What the tables hold where some strakes hang already."""
    if hung == count:
        return "Every strake hangs: this is what is still to be done."
    hanging = "Strake 1 hangs" if hung == 1 else f"Strakes 1 to {hung} hang"
    if hung + 1 == count:
        return f"{hanging}: this is what strake {count} still needs."
    return f"{hanging}: this is what strakes {hung + 1} to {count} still need."


_BLANK_COLUMNS = (
    "Strake",
    "Thick",
    "Pieces\na side",
    "Lengths,\nfore to aft",
    "Widths",
    "Scarfs from\nfore end",
    "In one:\nlength",
    "In one:\nwidth",
    "Sweep",
    "Remark",
)


def _blank_table(hull: Hull, cut: Sequence[Blank], plan: PlankingPlan) -> Table:
    title = "Blanks for the strakes: cut two of each"
    rows = tuple(_blank_row(blank, hull) for blank in cut)
    return Table(title, _BLANK_COLUMNS, rows, _blank_notes(hull, cut, plan), word_columns=(3, 4, 5, 9))


def _blank_row(blank: Blank, hull: Hull) -> tuple[str, ...]:
    notation = hull.notation
    lists = (blank.lengths, blank.widths, blank.scarfs)
    return (
        str(blank.strake),
        notation.thickness(blank.thickness),
        str(len(blank.lengths)),
        *(" + ".join(notation.length(one) for one in some) or "–" for some in lists),
        *(notation.length(one) for one in (*blank.whole, blank.sweep)),
        "" if blank.fits else "stock too small",
    )


def _blank_notes(hull: Hull, cut: Sequence[Blank], plan: PlankingPlan) -> tuple[str, ...]:
    notation = hull.notation
    notes = (
        f"Lengths in {notation.length_words}. For {plan.words}.{_allowed_for(hull)}",
        *_long_ends_note(hull, cut),
        "Widths are those of the straight-sided pieces that the curved planks are cut from: they include the sweep.",
    )
    if not any(plan.joints):
        return notes
    nearest = nearest_joints(plan)
    apart = "" if math.isinf(nearest) else f" Here the nearest are {notation.spoken_length(nearest)} apart."
    rule = (
        f"Scarfs of neighbouring strakes should be {notation.spoken_length(APART)} or more apart (common "
        f"practice).{apart} They are measured along the strake's middle line to the middle of the scarf."
    )
    return (*notes, rule)


def _allowed_for(hull: Hull) -> str:
    """What wood the blanks hold outside the net line, at the ends that the boat has and above its sheer."""
    left, members = hull.allowances, [hull.end(end) for end in ENDS]
    places = (
        (any(isinstance(member, Stem) for member in members), left.hood, "at a stem"),
        (any(type(member) is Transom for member in members), left.transom, "at a transom"),
        (any(isinstance(member, Midship) for member in members), left.transom, "at the midship section"),
        (True, left.sheer, "above the sheer"),
    )
    words = [f"{hull.notation.spoken_length(wood)} {where}" for is_there, wood, where in places if is_there and wood]
    return f" Also allowed for: {', '.join(words)}." if words else ""


def _long_ends_note(hull: Hull, cut: Sequence[Blank]) -> tuple[str, ...]:
    """What the blanks of strakes that are bent with steam hold at their ends; nothing where all go cold."""
    some = [blank for blank in cut if blank.long_ends]
    if not some:
        return ()
    numbers = ", ".join(str(blank.strake) for blank in some)
    longer = hull.notation.spoken_length(max(blank.long_ends for blank in some))
    plural = len(some) > 1
    return (
        f"Strake{'s' if plural else ''} {numbers} {'are' if plural else 'is'} bent with steam: each end is "
        f"{longer} longer. Cut that off when the plank has been bent into place.",
    )


def _purchase_table(hull: Hull, bought: Sequence[Purchase], plan: PlankingPlan, buying: Buying) -> Table:
    notation = hull.notation
    rows = []
    for buy in bought:
        rows.append(
            (
                notation.thickness(buy.thickness),
                str(buy.pieces),
                notation.area(buy.net),
                notation.area(buy.gross),
                str(buy.sheets) if buy.sheets else "–",
                notation.volume(buy.gross * buy.thickness / 1000),
            )
        )
    columns = (
        "Thickness",
        "Blanks,\nboth sides",
        f"Strakes,\nnet {notation.area_unit}",
        f"To buy,\n{notation.area_unit}",
        "Sheets",
        f"Volume\nto buy, {notation.volume_unit}",
    )
    note = (
        f"Sheets: of {plan.stock.text}, the planks laid out as `make --stock` draws them."
        if plan.stock.is_sheet
        else "Volume at the planed thickness: add the wood lost to sawing and planing."
    )
    return Table(
        "Planking to buy, both sides",
        columns,
        tuple(rows),
        (f"To buy: blanks and {buying.waste * 100:.0f} % for knots, splits and a spoilt plank. {note}",),
        word_columns=(),
    )


def _fastening_table(hull: Hull, fixed: Sequence[Fastening], buying: Buying) -> Table:
    notation = hull.notation
    rows = [
        (
            f.where,
            f.kind,
            notation.length(f.length),
            notation.length(f.spacing),
            str(f.counted),
            str(f.bought),
        )
        for f in fixed
    ]
    return Table(
        "Fastenings, both sides",
        ("Where", "Kind", "Length", "Apart", "Counted", "To buy"),
        tuple(rows),
        (
            f"To buy: {buying.spare * 100:.0f} % above the count. All by common practice: rivets at most 6 "
            f"thicknesses apart where the hull file does not say how many stand between timbers, as "
            f"long as the wood is thick plus {notation.about(6.0)} for rove and clenching; "
            "screws two and a half thicknesses long, or shorter into a thin hog, 4 thicknesses apart or more at the "
            "ends, never closer than "
            f"{notation.about(LEAST_END_SPACING)}, and 6 at most along the keel. Apart: the usual distance.",
        ),
        word_columns=(0, 1),
    )


def _fastening_sums(boat: Boat, fixed: Sequence[Fastening], buying: Buying, hung: int) -> Table:
    notation = boat.hull.notation
    sums: dict[tuple[str, float], tuple[int, int]] = {}
    for f in fixed:
        counted, bought = sums.get((f.kind, f.length), (0, 0))
        sums[f.kind, f.length] = (counted + f.counted, bought + f.bought)
    rows = []
    for (kind, length), (counted, bought) in sorted(sums.items()):
        rows.append((f"{kind}s", notation.length(length), str(counted), str(bought)))
        if kind == "rivet":
            rows.append(("roves for them", "–", str(counted), str(bought)))
    most = max((clamps_for(boat, k) for k in range(hung + 1, boat.hull.planking.strakes + 1)), default=0)
    notes = [*_gauge_words(boat.hull, fixed)]
    notes += [f"Clamps for one strake: {most}; for a pair at once, twice as many."] if most else []
    glue = glue_of(boat, buying, hung) if most else None
    if glue is not None:
        laps, keel, ends = (f"{notation.area(one)} {notation.area_unit}" for one in (glue.laps, glue.keel, glue.ends))
        along_keel = "" if hung else f"garboards along the keel {keel}, "
        notes.append(
            f"Glue, both sides: laps of {laps}, {along_keel}plank ends {ends}; "
            f"{glue.weight:.1f} kg mixed at {notation.glue_rate} (common practice)."
        )
    return Table("Fastenings in all", ("What", "Length", "Counted", "To buy"), tuple(rows), tuple(notes))


def _gauge_words(hull: Hull, fixed: Sequence[Fastening]) -> list[str]:
    """What is not known of the fastenings, and what holes are drawn; nothing where none are left."""
    if not fixed:
        return []
    kinds = [f"{kind}s" for kind in dict.fromkeys(f.kind for f in fixed)]
    words = f"Only lengths are given here. Choose the gauge of {' and '.join(kinds)} for your stock"
    holes = sorted({round(f.hole, 2) for f in fixed if f.hole is not None})
    if not holes:
        return [f"{words}, and a drill that fits them."]
    given = hull.fastenings is not None and hull.fastenings.hole is not None
    why = "as the hull file has them" if given else "a quarter of the plank's thickness, common practice"
    sizes = " and ".join(hull.notation.spoken_depth(hole) for hole in holes)
    return [
        f"{words}, roves that fit the rivets, and a drill that fits each.",
        f"The templates and the router's drawings show holes of {sizes} ({why}) for the rivets along the lands, "
        "in the upper strake only. If your rivets take another drill, leave out the router's layers DRILL. Screws "
        "have no holes there.",
    ]


def width_table(boat: Boat) -> Table:
    """Return each strake's width at every station, laps included, and what of it shows."""
    hull, shell = boat.hull, boat.shell
    u = np.array([station.at for station in hull.stations])
    rows = []
    for k in range(1, hull.planking.strakes + 1):
        widths = shell.width(k, u)
        shown = widths - (hull.planking.lap_on(k) if k < hull.planking.strakes else 0.0)
        cells = [
            f"{hull.notation.length(float(w))} / {hull.notation.length(float(s))}"
            for w, s in zip(widths, shown, strict=True)
        ]
        rows.append((str(k), *cells))
    names = tuple(f"mould {s.name}" if s.mould else f"station {s.name}" for s in hull.stations)
    note = (
        "Whole width, lower lap included, square to the upper edge on the inner face; and what shows when the lap "
        f"above is covered. In {hull.notation.length_words}."
    )
    title = "Widths of the strakes: whole / shown outside"
    return Table(title, ("Strake", *names), tuple(rows), (note,), word_columns=())


def gerald_table(work: StrakeWork, boat: Boat) -> Table | None:
    """Return what comes off both edges of a strake at the quarters of its geralds; None where it has none."""
    depths = [depth for step in work.steps for depth in step.depths if depth.quarter is not None]
    if not depths:
        return None
    hull = boat.hull
    lands = sorted({depth.about.number for depth in depths if depth.about.number is not None})
    at = {(depth.about.end, depth.quarter, depth.about.number): depth for depth in depths}
    rows = tuple(
        (
            f"{end}, {QUARTER_NAMES[QUARTERS.index(quarter)]}",
            *(cell for land in lands for cell in _cells(at.get((end, quarter, land)), hull)),
        )
        for end in ENDS
        for quarter in QUARTERS
        if any((end, quarter, land) in at for land in lands)
    )
    headings = [
        heading
        for land in lands
        for heading in (
            f"{'Lower edge, inside' if land < work.strake else 'Upper edge, outside'}:\nfrom the net end",
            "off at\nthe edge",
            "left\nthere",
            "off one\nlap in" if land < work.strake else "off at\nlap line",
            "left\nthere",
        )
    ]
    note = f"Off: gerald and bevel together, in {hull.notation.depth_words}.{_where_block_fits(boat, lands)}"
    return Table(f"Geralds of strake {work.strake}", ("Gerald", *headings), rows, (note,))


def _where_block_fits(boat: Boat, lands: Sequence[int]) -> str:
    """In which strake the block lies flush at each gerald's end."""
    words = [
        f"land {land} {gerald.end}: {fits}"
        for land in lands
        for gerald in geralds_of(boat.shell, land_facts(boat.shell, land))
        if (fits := block_words(gerald))
    ]
    return f" The block fits: {'; '.join(words)}." if words else ""


def _cells(depth: Depth | None, hull: Hull) -> tuple[str, ...]:
    """How far a place is from the plank's end, and what comes off at the edge and one lap in, with what is left."""
    if depth is None or depth.from_end is None or depth.inner_off is None or depth.inner_left is None:
        return ("–",) * 5
    rest = hull.notation.rest
    pairs = ((depth.off, depth.left), (depth.inner_off, depth.inner_left))
    depths = [one for off, left in pairs for one in (off, rest(off + left, off))]
    return (hull.notation.length(depth.from_end), *map(hull.notation.depths_of, depths))
