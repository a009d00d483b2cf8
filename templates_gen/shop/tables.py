"""Tables of the work: blanks, what to buy, fastenings, widths of the strakes, and the steps of the work."""

import math
from collections.abc import Sequence

import numpy as np

from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Hull
from templates_gen.shop.before_planking import Depth
from templates_gen.shop.buying import Buying, Fastening, Purchase, clamps_for, fastenings, glue_of, purchases
from templates_gen.shop.order_of_work import StrakeWork
from templates_gen.stock.blanks import Blank, blanks
from templates_gen.stock.plan import PlankingPlan, nearest_joints
from templates_gen.stock.scarfs import APART
from templates_gen.units import format_angle
from templates_gen.words import piece_name


def shop_tables(boat: Boat, plan: PlankingPlan, buying: Buying) -> tuple[Table, ...]:
    """Return the tables of timber and fastenings: blanks, what to buy, fastenings strake by strake and in all."""
    cut, fixed = blanks(boat, plan), fastenings(boat, plan, buying)
    bought = purchases(boat, plan, buying)
    return (
        _blank_table(boat.hull, cut, plan),
        _purchase_table(boat.hull, bought, plan, buying),
        _fastening_table(boat.hull, fixed, buying),
        _fastening_sums(boat, fixed, buying),
    )


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
    title = "Blanks for the strakes, port and starboard alike: cut two of each"
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
    notation, left = hull.notation, hull.allowances
    hood, aft, top = (notation.spoken_length(one) for one in (left.hood, left.transom, left.sheer))
    notes = (
        f"Lengths in {notation.length_words}. For {plan.words}. Also allowed for: {hood} at a stem, {aft} at a "
        f"transom, {top} above the sheer.",
        *_long_ends_note(hull, cut),
        "Widths are those of the straight-sided pieces that the curved planks are cut from: they include the sweep.",
    )
    if not any(plan.joints):
        return notes
    nearest = nearest_joints(plan)
    apart = "" if math.isinf(nearest) else f" Here the nearest are {notation.spoken_length(nearest)} apart."
    rule = (
        f"Scarfs of neighbouring strakes should be {notation.spoken_length(APART)} or more apart (old Lloyd's rules "
        f"for yachts).{apart} They are measured along the strake's middle line to the middle of the scarf."
    )
    return (*notes, rule)


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
            f"thicknesses apart, as long as the wood is thick plus {notation.about(6.0)} for rove and clenching; "
            "screws two and a half thicknesses long, 3 thicknesses apart at the ends and 6 along the keel.",
        ),
        word_columns=(0, 1),
    )


def _fastening_sums(boat: Boat, fixed: Sequence[Fastening], buying: Buying) -> Table:
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
    most = max(clamps_for(boat, k) for k in range(1, boat.hull.planking.strakes + 1))
    notes = [f"Clamps for one strake: {most}; for a pair at once, twice as many."]
    area, glue = glue_of(boat, buying)
    if glue:
        laps, rate = f"{notation.area(area)} {notation.area_unit}", notation.glue_rate
        notes.append(f"Glue: laps of {laps}, both sides; {glue:.1f} kg mixed at {rate} (common practice).")
    return Table("Fastenings in all", ("What", "Length", "Counted", "To buy"), tuple(rows), tuple(notes))


def width_table(boat: Boat) -> Table:
    """Return each strake's width at every station, laps included, and what of it shows."""
    hull, shell = boat.hull, boat.shell
    u = np.array([station.at for station in hull.stations])
    rows = []
    for k in range(1, hull.planking.strakes + 1):
        widths = shell.width(k, u)
        shown = widths - (hull.planking.lap if k < hull.planking.strakes else 0.0)
        cells = [
            f"{hull.notation.length(float(w))} / {hull.notation.length(float(s))}"
            for w, s in zip(widths, shown, strict=True)
        ]
        rows.append((str(k), *cells))
    names = tuple(f"mould {s.name}" if s.mould else f"station {s.name}" for s in hull.stations)
    note = (
        f"Whole width, lower lap included, square to the upper edge on the inner face; and what shows when the lap "
        f"of {hull.notation.spoken_length(hull.planking.lap)} above is covered. In {hull.notation.length_words}."
    )
    title = "Widths of the strakes: whole / shown outside"
    return Table(title, ("Strake", *names), tuple(rows), (note,), word_columns=())


def depth_table(title: str, depths: tuple[Depth, ...], hull: Hull) -> Table:
    """Return what comes off at each place, in a gerald at both its sides, with which gauge."""
    has_bevels = any(depth.bevel is not None for depth in depths)
    is_gerald = any(depth.inner_off is not None for depth in depths)
    rows = tuple(
        (
            depth.place,
            *(("–" if depth.bevel is None else format_angle(depth.bevel),) if has_bevels else ()),
            *(_inner_cells(depth, hull) if is_gerald else ()),
            hull.notation.depths_of(depth.off),
            hull.notation.depths_of(depth.left),
            "straightedge" if depth.gauge is None else piece_name(depth.gauge, hull.units),
        )
        for depth in depths
    )
    inner = ("Off one\nlap in", "Left\nthere") if is_gerald else ()
    columns = ("Place", *(("Bevel",) if has_bevels else ()), *inner, "Off at\nthe edge", "Left\nthere", "With")
    lap_line = "One lap in: on the outside of an upper edge the lap line. " if is_gerald else ""
    note = f"{lap_line}Off: all of it, gerald and bevel together."
    return Table(title, columns, rows, (note,), word_columns=(0, len(columns) - 1))


def _inner_cells(depth: Depth, hull: Hull) -> tuple[str, str]:
    if depth.inner_off is None or depth.inner_left is None:
        return "–", "–"
    return hull.notation.depths_of(depth.inner_off), hull.notation.depths_of(depth.inner_left)


def work_tables(work: StrakeWork, hull: Hull) -> tuple[Table, ...]:
    """Return the depths of one strake's steps, a table for each step that has them."""
    return tuple(
        depth_table(
            f"Strake {work.strake}, step {number}: {step.title[0].lower()}{step.title[1:]}", step.depths, hull
        )
        for number, step in enumerate(work.steps, start=1)
        if step.depths
    )
