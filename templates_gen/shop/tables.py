"""Tables of the work: blanks, what to buy, fastenings, widths of the strakes, and the steps of the work."""

from itertools import pairwise

import numpy as np

from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Hull
from templates_gen.shop.blanks import APART, Blank, blanks, purchases
from templates_gen.shop.buying import Buying
from templates_gen.shop.fastenings import clamps_for, fastenings, glue_of
from templates_gen.shop.land_steps import Depth
from templates_gen.shop.order_of_work import StrakeWork
from templates_gen.shop.thickness_words import format_thickness
from templates_gen.units import format_angle, format_depth, format_length, spoken_length


def shop_tables(boat: Boat, stock: Buying) -> tuple[Table, ...]:
    """Return the tables of timber and fastenings: blanks, what to buy, fastenings strake by strake and in all."""
    made = blanks(boat, stock)
    return (
        _blank_table(boat.hull, made, stock),
        _purchase_table(boat.hull, made, stock),
        _fastening_table(boat, stock),
        _fastening_sums(boat, stock),
    )


def _unit_words(hull: Hull) -> str:
    return {"mm": "mm", "in": "inches", "ft-in-8": "feet-inches-eighths"}[hull.units]


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


def _blank_table(hull: Hull, made: tuple[Blank, ...], stock: Buying) -> Table:
    title = "Blanks for the strakes, port and starboard alike: get out two of each"
    rows = tuple(_blank_row(blank, hull) for blank in made)
    return Table(title, _BLANK_COLUMNS, rows, _blank_notes(hull, made, stock))


def _blank_row(blank: Blank, hull: Hull) -> tuple[str, ...]:
    units = hull.units
    lists = (blank.lengths, blank.widths, blank.scarfs)
    return (
        str(blank.strake),
        format_thickness(blank.thickness, units),
        str(len(blank.lengths)),
        *(" + ".join(format_length(one, units) for one in some) or "–" for some in lists),
        *(format_length(one, units) for one in (*blank.whole, blank.sweep)),
        "" if blank.fits else "stock too small",
    )


def _blank_notes(hull: Hull, made: tuple[Blank, ...], stock: Buying) -> tuple[str, ...]:
    units, left = hull.units, hull.allowances
    kind = "Sheets" if stock.is_sheet else "Boards of at most"
    hood, aft, top = (spoken_length(one, units) for one in (left.hood, left.transom, left.sheer))
    notes = (
        f"Lengths in {_unit_words(hull)}. {kind} {format_length(stock.length, units)} × "
        f"{format_length(stock.width, units)}. Allowed for: {hood} at a stem, {aft} at a transom, {top} above "
        f"the sheer, {spoken_length(stock.edge, units)} along each edge, scarfs of {stock.scarf:g} to 1.",
        *_long_ends_note(hull, made),
        "Widths hold the sweep: they are of the straight-sided pieces that the curved plank comes out of.",
    )
    if not any(blank.scarfs for blank in made):
        return notes
    apart = (
        f"Scarfs of adjoining strakes should stand {spoken_length(APART, units)} or more apart (old Lloyd's yacht "
        f"rules); here the nearest stand {spoken_length(_nearest_scarfs(made), units)} apart."
    )
    return (*notes, apart)


def _long_ends_note(hull: Hull, made: tuple[Blank, ...]) -> tuple[str, ...]:
    """What the blanks of strakes that are bent with steam hold at their ends; nothing where all go cold."""
    some = [blank for blank in made if blank.long_ends]
    if not some:
        return ()
    numbers = ", ".join(str(blank.strake) for blank in some)
    longer = spoken_length(max(blank.long_ends for blank in some), hull.units)
    return (
        f"Strake{'s' if len(some) > 1 else ''} {numbers}, bent with steam: {longer} more is allowed for at each end, "
        "to be cut off when the plank has been bent into place.",
    )


def _nearest_scarfs(made: tuple[Blank, ...]) -> float:
    """The least distance between scarfs of adjoining strakes; infinity is never asked for."""
    gaps = [abs(one - other) for below, above in pairwise(made) for one in below.scarfs for other in above.scarfs]
    return min(gaps, default=APART)


def _purchase_table(hull: Hull, made: tuple[Blank, ...], stock: Buying) -> Table:
    rows = []
    for buy in purchases(made, stock):
        rows.append(
            (
                format_thickness(buy.thickness, hull.units),
                str(buy.pieces),
                f"{buy.net:.2f}",
                f"{buy.gross:.2f}",
                str(buy.sheets) if stock.is_sheet else "–",
                f"{buy.gross * buy.thickness / 1000:.3f}",
            )
        )
    columns = ("Thickness", "Blanks,\nboth sides", "Strakes,\nnet m²", "To buy,\nm²", "Sheets", "Volume\nto buy, m³")
    note = (
        "Sheets: so many hold all blanks laid side by side as straight-sided pieces; nested they want fewer."
        if stock.is_sheet
        else "Volume at the planed thickness: add what sawing and planing take."
    )
    return Table(
        "Planking to buy, both sides",
        columns,
        tuple(rows),
        (f"To buy: blanks and {stock.waste * 100:.0f} % for knots, splits and a plank spoilt. {note}",),
    )


def _fastening_table(boat: Boat, stock: Buying) -> Table:
    units = boat.hull.units
    rows = [
        (
            f.where,
            f.kind,
            format_length(f.length, units),
            format_length(f.spacing, units),
            str(f.counted),
            str(f.bought),
        )
        for f in fastenings(boat, stock)
    ]
    return Table(
        "Fastenings, both sides",
        ("Where", "Kind", "Length", "Apart", "Counted", "To buy"),
        tuple(rows),
        (
            f"To buy: {stock.spare * 100:.0f} % above the count. Rivets at most 6 thicknesses apart; rivets as "
            "long as the wood and 6 mm for rove and clenching; screws two and a half thicknesses long, 3 thicknesses "
            "apart at the ends and 6 along the keel (all common practice; lengths and ends from memory).",
        ),
    )


def _fastening_sums(boat: Boat, stock: Buying) -> Table:
    units = boat.hull.units
    sums: dict[tuple[str, float], tuple[int, int]] = {}
    for f in fastenings(boat, stock):
        counted, bought = sums.get((f.kind, f.length), (0, 0))
        sums[f.kind, f.length] = (counted + f.counted, bought + f.bought)
    rows = []
    for (kind, length), (counted, bought) in sorted(sums.items()):
        rows.append((f"{kind}s", format_length(length, units), str(counted), str(bought)))
        if kind == "rivet":
            rows.append(("roves for them", "–", str(counted), str(bought)))
    most = max(clamps_for(boat, k) for k in range(1, boat.hull.planking.strakes + 1))
    notes = [f"Clamps for one strake: {most}; for a pair at once, twice as many."]
    area, glue = glue_of(boat, stock)
    if glue:
        notes.append(f"Glue: laps of {area:.2f} m², both sides; {glue:.1f} kg mixed at 400 g/m² (from memory).")
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
            f"{format_length(float(w), hull.units)} / {format_length(float(s), hull.units)}"
            for w, s in zip(widths, shown, strict=True)
        ]
        rows.append((str(k), *cells))
    names = tuple(f"mould {s.name}" if s.mould else f"station {s.name}" for s in hull.stations)
    note = (
        f"Whole width, lower lap included, square to the upper edge on the inner face; and what shows when the lap "
        f"of {spoken_length(hull.planking.lap, hull.units)} above is covered. In {_unit_words(hull)}."
    )
    return Table("Widths of the strakes: whole / shown outside", ("Strake", *names), tuple(rows), (note,))


def depth_table(title: str, depths: tuple[Depth, ...], hull: Hull) -> Table:
    """Return what comes off at each place, in a gerald at both its sides, with which gauge."""
    has_bevels = any(depth.bevel is not None for depth in depths)
    is_gerald = any(depth.inner_off is not None for depth in depths)
    rows = tuple(
        (
            depth.place,
            *(("–" if depth.bevel is None else format_angle(depth.bevel),) if has_bevels else ()),
            *(_inner_cells(depth, hull) if is_gerald else ()),
            format_depth(depth.off, hull.units),
            format_depth(depth.left, hull.units),
            depth.gauge,
        )
        for depth in depths
    )
    inner = ("Off one\nlap in", "Left\nthere") if is_gerald else ()
    columns = ("Place", *(("Bevel",) if has_bevels else ()), *inner, "Off at\nthe edge", "Left\nthere", "With")
    lap_line = "One lap in: on the outside of an upper edge the lap line. " if is_gerald else ""
    return Table(title, columns, rows, (f"{lap_line}Off: all of it, gerald and bevel together.",))


def _inner_cells(depth: Depth, hull: Hull) -> tuple[str, str]:
    if depth.inner_off is None or depth.inner_left is None:
        return "–", "–"
    return format_depth(depth.inner_off, hull.units), format_depth(depth.inner_left, hull.units)


def work_tables(work: StrakeWork, hull: Hull) -> tuple[Table, ...]:
    """Return the depths of one strake's steps, a table for each step that has them."""
    return tuple(
        depth_table(
            f"Strake {work.strake}, step {number}: {step.title[0].lower()}{step.title[1:]}", step.depths, hull
        )
        for number, step in enumerate(work.steps, start=1)
        if step.depths
    )
