"""Tables of every rebate: angle, depth, lines, seat and height, and what a seat that is too short needs."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from templates_gen.about import About, EndName
from templates_gen.drawing.piece import PrintSet, Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_bottom import edge_bevels
from templates_gen.geometry.rebate_places import (
    TURNS,
    GaugePlace,
    apron_step,
    bays_without_gauges,
    is_deep_enough,
    seat_with_apron,
    stem_gauge_places,
    stem_of,
    transom_rebates,
)
from templates_gen.geometry.rebates import LEAST_BEARING, Rebate, hog_bearing
from templates_gen.notation import Notation
from templates_gen.templates.rebates.cards import SharedCard, place_name, run_names
from templates_gen.templates.rebates.flat_bottom import flat_bottom_tables
from templates_gen.templates.rebates.keel_gauges import bottom_bevels, keel_cards, no_hog_at
from templates_gen.templates.rebates.stem.gauges import MEMBER, apron_words, stem_cards
from templates_gen.units import format_angle
from templates_gen.words import timber


def _good_work(notation: Notation) -> str:
    """How fine to work, and where to measure from."""
    return (
        f"Keep the depth of a rebate within {notation.tolerance(0.3)}. Measure apex and bearding line along the "
        "timber's side from the rabbet "
        "line, the depth square to that side, the seat along the cut."
    )


_ALONG = "Measure places from the mould along the base line."
_UP = "Measure 'up the rabbet' along the rabbet line from its foot."


def _no_cards(boat: Boat) -> tuple[str, ...]:
    """Where along the keel there are cards at the moulds only, and why."""
    bays = [f"{one.after} and {other.after}" for one, other in bays_without_gauges(boat.keel_gauges)]
    between = (
        f"Between {' and between '.join(bays)} there are cards at moulds and stations only: from one to the next the "
        f"angle changes by {format_angle(TURNS)} or less. Fair the wood from card to card.",
    )
    return (*(between if bays else ()), *_to_transoms(boat))


def _to_transoms(boat: Boat) -> tuple[str, ...]:
    """How the angle of the cards, or the bevel of a flat bottom's edge, changes from the last card to a transom."""
    if not boat.keel_gauges:
        return ()
    is_flat = boat.hull.keel.joint == "flat"
    what = "bevel of the edge" if is_flat else "angle"
    notes = []
    for end, rebate in transom_rebates(boat.shell).items():
        last = boat.keel_gauges[0 if end == "fore" else -1].rebate
        way, whose = ("forward", "fore") if end == "fore" else ("aft", "after")
        x = np.array([last.point[0], rebate.point[0]])
        angles = edge_bevels(boat.shell, x).tolist() if is_flat else (last.angle, rebate.angle)
        before, there = map(format_angle, angles)
        if before != there:
            notes.append(
                f"From the last card {way} the {what} changes from {before} to {there} at the {whose} transom: fair "
                "the wood to it."
            )
    return tuple(notes)


_NO_HOG = "cut a rebate in the deadwood here"
_HOG_NOTES = (
    "The keel is not rebated: the garboard lies on the hog's underside, its planed edge on the keel's side.",
    "The garboard bears on the hog as far as the hog's side or top, whichever the planed face meets first.",
)
_NO_HOG_NOTE = (
    "Where the hog runs out, the garboard's edge stays square and goes into a rebate in the deadwood. Its depth, "
    "bearding and seat are on the card of that place.",
)


def rebate_tables(boat: Boat, to_print: PrintSet = "full") -> tuple[Table, ...]:
    """Return a table for each stem and sternpost, one for the keel, and one of a flat bottom's true shape.

    They say of each place whose card serves it in the set, where that is another's.
    """
    stems = tuple(
        _with_cards(_stem_table(boat, end), _stem_cards(boat, end, to_print)) for end in boat.shell.hung.stems
    )
    keels = {"rebate": _keel_table, "hog": _hog_table, "flat": _bottom_table}
    keel = _with_cards(keels[boat.hull.keel.joint](boat), _keel_cards(boat, to_print))
    return (*stems, *flat_bottom_tables(boat), keel)


_OTHERS_CARD = "On the\ncard of"
_MIDWAY = "A card of several places is cut midway between their angles, a quarter of a degree off at most."


def _others_card(boat: Boat, place: GaugePlace, cards: Sequence[SharedCard]) -> str:
    """What the card of a place is called by, if that is another place; else ""."""
    first = next(run_names(boat, card)[0][0] for card in cards if place.about in [one.about for one in card.places])
    return "" if first == place_name(boat, place) else first


def _stem_cards(boat: Boat, end: EndName, to_print: PrintSet) -> list[str]:
    """Whose card serves each row of a stem's table."""
    cards = stem_cards(boat, end, to_print)
    places = stem_gauge_places(boat.shell, end, boat.rebates)
    whole = {place.rebate.strake: place for place in places if place.is_at_end_of_strake}
    round_foot = {place.rebate.place: place for place in places if not place.is_at_end_of_strake}
    rows = [rebate for rebate in boat.rebates if rebate.on == end]
    held = [whole[row.strake] if isinstance(row.place, str) else round_foot[row.place] for row in rows]
    return [_others_card(boat, place, cards) for place in held]


def _keel_cards(boat: Boat, to_print: PrintSet) -> list[str]:
    """Whose card serves each row of the keel's table."""
    cards = keel_cards(boat, to_print)
    return [_others_card(boat, place, cards) for place in boat.keel_gauges]


def _with_cards(table: Table, cards: Sequence[str]) -> Table:
    """A table with a column for whose card serves each row, and what that means; without it if no card is shared."""
    if not any(cards):
        return table
    at = table.word_columns[0] + 1
    return replace(
        table,
        columns=(*table.columns[:at], _OTHERS_CARD, *table.columns[at:]),
        rows=tuple((*row[:at], card, *row[at:]) for row, card in zip(table.rows, cards, strict=True)),
        notes=(*table.notes, _MIDWAY),
        word_columns=(*table.word_columns[:1], at, *(place + 1 for place in table.word_columns[1:])),
    )


def without_idle_cards(table: Table) -> Table:
    """Return a table of which rows were taken out without the column of shared cards, if no row left shares one."""
    if _OTHERS_CARD not in table.columns:
        return table
    at = table.columns.index(_OTHERS_CARD)
    if any(row[at] for row in table.rows):
        return table
    return replace(
        table,
        columns=(*table.columns[:at], *table.columns[at + 1 :]),
        rows=tuple((*row[:at], *row[at + 1 :]) for row in table.rows),
        notes=tuple(note for note in table.notes if note != _MIDWAY),
        word_columns=tuple(k - (k > at) for k in table.word_columns if k != at),
    )


REMARK = "Remark"
"""The heading of a last column that few rows have anything in; where none has, it is not printed."""


def _section(boat: Boat, rebate: Rebate) -> tuple[str, ...]:
    """Depth, apex, bearding, seat and height above base, as they are written."""
    notation = boat.hull.notation
    return (
        notation.depth_cell(rebate.depth),
        notation.depth_cell(rebate.apex),
        notation.length(rebate.bearding),
        notation.length(rebate.seat),
        notation.height(float(rebate.point[2])),
    )


def _section_columns(boat: Boat) -> tuple[str, ...]:
    """The headings over them."""
    notation = boat.hull.notation
    return (
        f"Depth\n({notation.depth_unit})",
        f"Apex\n({notation.depth_unit})",
        notation.heading("Bearding"),
        notation.heading("Seat"),
        notation.heading("Height\nabove base"),
    )


def _stem_table(boat: Boat, end: EndName) -> Table:
    """Every strake's end, at its lower and upper land, and the forefoot every 50 mm."""
    notation, thickness = boat.hull.notation, boat.hull.planking.thickness
    stem = stem_of(boat.shell, end)
    is_bevelled, apron = stem.joint == "bevel", apron_step(stem)
    rows, abouts = [], []
    for rebate in boat.rebates:
        if rebate.on != end:
            continue
        short = not is_bevelled and not is_deep_enough(rebate, thickness[rebate.strake - 1], apron)
        place = f"{rebate.place} end"
        if not isinstance(rebate.place, str):
            place = f"{notation.length(rebate.place)} up the rabbet" if rebate.place > 0.0 else "foot"
        figures = (str(rebate.strake), place, format_angle(rebate.angle), *_section(boat, rebate))
        rows.append((*figures, "needs an apron" if short else ""))
        abouts.append(About("rebate", rebate.strake, end=end))
    columns = ("Strake", "Place", "Angle", *_section_columns(boat), REMARK)
    up = (_UP,) if any("up the rabbet" in row[1] for row in rows) else ()
    if not is_bevelled:
        return Table(
            f"{MEMBER[end]}: the rebate",
            columns,
            tuple(rows),
            (" ".join([_good_work(notation), *up]), *apron_words(notation, stem), *_seat_on_apron(boat, end)),
            word_columns=(1, len(columns) - 1),
            about=About("stem", end=end),
            rows_about=tuple(abouts),
        )
    names = (
        "Strake",
        "Place",
        "Angle",
        f"On the fore\nface ({notation.depth_unit})",
        notation.heading("On the side"),
        notation.heading("Bevel's\nwidth"),
        notation.heading("Height\nabove base"),
    )
    return Table(
        f"{MEMBER[end]}: the bevel",
        names,
        tuple((*row[:4], *row[5:8]) for row in rows),
        (*up, *apron_words(notation, stem)),
        word_columns=(1,),
        about=About("stem", end=end),
        rows_about=tuple(abouts),
    )


def _seat_on_apron(boat: Boat, end: EndName) -> tuple[str, ...]:
    """How much of the planks' ends bears on a rebate's seat and the apron together."""
    stem, notation = stem_of(boat.shell, end), boat.hull.notation
    if stem.apron is None:
        return ()
    seats = [seat_with_apron(r.angle, r.seat, apron_step(stem)) for r in boat.rebates if r.on == end]
    least, most = notation.spoken_length(min(seats)), notation.spoken_length(max(seats))
    return (f"The table has the seat on the {timber(end)} alone. With the apron it is from {least} to {most} wide.",)


def _keel_table(boat: Boat) -> Table:
    """A rebated keel at each of its gauges."""
    thickness = boat.hull.planking.thickness[0]
    rows = tuple(
        (
            place_name(boat, place),
            format_angle(place.rebate.angle),
            *_section(boat, place.rebate),
            "" if is_deep_enough(place.rebate, thickness) else "needs a hog or an apron",
        )
        for place in boat.keel_gauges
    )
    columns = ("Place", "Angle", *_section_columns(boat), REMARK)
    return Table(
        "Keel: the rebate",
        columns,
        rows,
        (_good_work(boat.hull.notation), _ALONG, *_no_cards(boat)),
        word_columns=(0, len(columns) - 1),
    )


def _hog_table(boat: Boat) -> Table:
    """A hog at each of its gauges."""
    notation, places = boat.hull.notation, boat.keel_gauges
    no_hog = no_hog_at(boat, places)
    rows = tuple(_hog_row(boat, place, is_out) for place, is_out in zip(places, no_hog, strict=True))
    columns = (
        "Place",
        "Angle to\nkeel's side",
        "Hog from\nthe level",
        notation.heading("Starts above\nrabbet"),
        f"Arris of garboard\nplaned back ({notation.depth_unit})",
        notation.heading("Bearing\non hog"),
        notation.heading("Rabbet\nabove base"),
        REMARK,
    )
    notes = (*_HOG_NOTES, _ALONG, *_no_cards(boat), *(_NO_HOG_NOTE if any(no_hog) else ()))
    return Table("Keel and hog", columns, rows, notes, word_columns=(0, len(columns) - 1))


def _hog_row(boat: Boat, place: GaugePlace, is_out: bool) -> tuple[str, ...]:
    """A row of that table; `is_out` where the hog has run out."""
    notation, hog, rebate = boat.hull.notation, boat.hull.keel.hog, place.rebate
    bearing = None if hog is None else hog_bearing(rebate, hog)
    narrow = bearing is not None and bearing < LEAST_BEARING
    on_hog = (
        format_angle(np.pi / 2 - rebate.angle),
        notation.length(rebate.bearding),
        notation.depth_cell(max(rebate.seat, 0.0)),
        "" if bearing is None else notation.length(max(bearing, 0.0)),
    )
    remark = f"bears less than {notation.length(LEAST_BEARING)}" if narrow else ""
    return (
        place_name(boat, place),
        format_angle(rebate.angle),
        *(("–",) * len(on_hog) if is_out else on_hog),
        notation.height(float(rebate.point[2])),
        _NO_HOG if is_out else remark,
    )


def _bottom_table(boat: Boat) -> Table:
    """The edge of a flat bottom at each of its gauges."""
    places, notation = boat.keel_gauges, boat.hull.notation
    rows = tuple(
        (
            place_name(boat, place),
            format_angle(place.rebate.angle),
            format_angle(bevel),
            notation.rise(bevel),
            notation.height(float(place.rebate.point[2])),
        )
        for place, bevel in zip(places, bottom_bevels(boat, places), strict=True)
    )
    columns = (
        "Place",
        "Planking's angle",
        "Edge's bevel",
        f"Upper face larger,\n{notation.rise_heading}",
        notation.heading("Rabbet\nabove base"),
    )
    return Table("Flat bottom: the bevel of its edge", columns, rows, (_ALONG, *_no_cards(boat)))
