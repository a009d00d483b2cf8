"""The tables of the lands: every bevel, what it takes off, and which gauge to use."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Place
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import LandExtremes, hollow_runs, land_extremes, spoken_hollow, written_bevel
from templates_gen.hull.model import Hull
from templates_gen.notation import Notation
from templates_gen.templates.bevels.facts import (
    Gerald,
    LandFacts,
    all_land_facts,
    geralds_of,
)
from templates_gen.templates.bevels.gauges import set_gauge, shared_cards
from templates_gen.templates.bevels.gerald_sheet import gerald_table
from templates_gen.templates.cards import tenths
from templates_gen.units import format_angle
from templates_gen.words import on_sheet, short

Array = NDArray[np.float64]


def _columns(notation: Notation) -> tuple[str, ...]:
    """The headings of one land's table."""
    unit = notation.depth_unit
    return (
        "Place",
        "Bevel,\ntrue",
        "in\nsection",
        f"Take-off\n({unit})",
        f"Gerald\n({unit})",
        f"All off\n({unit})",
        "Planed\non",
        f"Edge left\n({unit})",
        f"Gap before\n({unit})",
        "Gauge",
        "Of the\nset",
    )


BEVEL_TOLERANCE = np.radians(0.5)
"""Good work on a bevel (common practice)."""


def bevel_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the lands in one view, a table for each land, and the geralds by quarters."""
    return land_tables(boat, all_land_facts(boat))


_OF_CARDS = ("Gauge", "Cards")
"""Columns that are about the cards of the full set."""


def tables_without_cards(boat: Boat) -> tuple[Table, ...]:
    """Return the same tables for those who use the bevel set: no column is about the cards of single places."""
    return tuple(map(_without_cards, bevel_tables(boat)))


def _without_cards(table: Table) -> Table:
    kept = [k for k, heading in enumerate(table.columns) if heading not in _OF_CARDS]
    return replace(
        table,
        columns=tuple(table.columns[k] for k in kept),
        rows=tuple(tuple(row[k] for k in kept) for row in table.rows),
        word_columns=tuple(place for place, k in enumerate(kept) if k in table.word_columns),
    )


def land_tables(boat: Boat, all_facts: Sequence[LandFacts]) -> tuple[Table, ...]:
    """Return the tables of lands whose facts are known."""
    if not all_facts:
        return ()
    geralds = [geralds_of(boat.shell, facts) for facts in all_facts]
    every = [gerald for own in geralds for gerald in own]
    return (
        _overview(boat, all_facts),
        *(_land_table(boat, facts, own) for facts, own in zip(all_facts, geralds, strict=True)),
        *([gerald_table(every, boat.hull.notation)] if every else []),
    )


def bench_tables(boat: Boat, all_facts: Sequence[LandFacts]) -> tuple[Table, ...]:
    """Return one table of all lands, three rows for each, one column for each place; none without lands."""
    if not all_facts:
        return ()
    places = _columns_fore_to_aft(all_facts)
    rows = [row for facts in all_facts for row in _bench_rows(facts, places, boat.hull.notation)]
    hollows = [(facts.land, _hollow_words(boat, facts)) for facts in all_facts]
    unit, has_geralds = boat.hull.notation.depth_words, any(facts.has_geralds for facts in all_facts)
    with_gerald = "; where a gerald starts, bevel and gerald together" if has_geralds else ""
    in_gerald = " –: in a gerald; see the gerald sheet." if has_geralds else ""
    notes = (
        "bevel: true, square to the land, to half a degree: take the gauge of the set, or the line on the bevel "
        f"board. {_UNDER_1} "
        f"off: {unit} planed off at the plank's edge{with_gerald}. left: {unit} left there.{in_gerald} "
        "Minus: HOLLOW, planed INSIDE the upper strake at its lower edge.",
        *(f"Land {land} is hollow {words}: plane strake {land + 1} there." for land, words in hollows if words),
        _work_to(boat.hull),
    )
    return (
        Table(
            "Lands: bevels, depths and edges left, fore to aft",
            ("Land", *(_heading(place) for place in places)),
            tuple(row for _, row in rows),
            notes,
            rows_about=tuple(About("land", land) for land, _ in rows),
            rows_together=3,
        ),
    )


def _columns_fore_to_aft(all_facts: Sequence[LandFacts]) -> list[Place]:
    """Return the places of all lands once each, so that in no land's row a figure stands out of order.

    Geralds start at other places on each land: their column is where the one nearest to its end starts. What a row
    has between there and its own start lies in its gerald and is a dash.
    """
    nearest: dict[Place, Place] = {}
    for place in (place.place for facts in all_facts for place in facts.places):
        other = nearest.setdefault(place, place)
        if place < other if place.station == "fore" else other < place:
            nearest[place] = place
    return sorted(nearest.values())


def _bench_rows(facts: LandFacts, places: Sequence[Place], notation: Notation) -> list[tuple[int, tuple[str, ...]]]:
    """One land's bevels, and what comes off and is left at the edge, with the number of the land."""
    at = {place.place: i for i, place in enumerate(facts.places)}

    def row(name: str, texts: Sequence[str]) -> tuple[int, tuple[str, ...]]:
        cells = (texts[i] if (i := at.get(place)) is not None else "" for place in places)
        shown = ("–" if place in at and facts.is_in_gerald[at[place]] else "" for place in places)
        return facts.land, (name, *(dash or cell for dash, cell in zip(shown, cells, strict=True)))

    stock = zip(facts.off + facts.edge_left, facts.off, strict=True)
    left = np.array([notation.rest(float(whole), float(off)) for whole, off in stock])
    return [
        row(f"{facts.land} bevel", [written_bevel(float(bevel)) for bevel in facts.bevel]),
        row(f"{facts.land} off", [notation.depth_cell(float(off)) for off in facts.off]),
        row(f"{facts.land} left", [notation.depth_cell(one) for one in left.tolist()]),
    ]


_UNDER_1 = "Under 1°, written to a tenth, there is no gauge: plane to the depth and try it with a straightedge."


def _heading(place: Place) -> str:
    """A place over a narrow column, broken between words."""
    name = short(place) if place.kind == "gerald" else on_sheet(place)
    return "\n".join(name.split(" ", 1))


def _overview(boat: Boat, all_facts: Sequence[LandFacts]) -> Table:
    """For each land, clear of its geralds, its greatest bevel, most taken off, least edge, and where it is hollow."""
    extremes = [land_extremes(boat.shell, facts.land) for facts in all_facts]
    clear = "" if all(one.is_whole for one in extremes) else ", clear of the geralds"
    return Table(
        f"Lands in one view{clear}",
        (
            "Land",
            "Greatest\nbevel",
            "at",
            f"Most taken\noff ({boat.hull.notation.depth_unit})",
            "at",
            f"Least edge\nleft ({boat.hull.notation.depth_unit})",
            "at",
            "Hollow",
            "Cards",
        ),
        tuple(_overview_row(boat, facts, one) for facts, one in zip(all_facts, extremes, strict=True)),
        _tolerances(boat.hull),
        word_columns=(2, 4, 6, 7),
        rows_about=tuple(About("land", facts.land) for facts in all_facts),
    )


def _overview_row(boat: Boat, facts: LandFacts, extremes: LandExtremes) -> tuple[str, ...]:
    return (
        str(facts.land),
        written_bevel(extremes.bevel.value),
        extremes.bevel.where,
        boat.hull.notation.depth_cell(extremes.take_off.value),
        extremes.take_off.where,
        boat.hull.notation.depth_cell(extremes.left.value),
        extremes.left.where,
        _hollow_words(boat, facts) or "–",
        str(len(shared_cards(facts))),
    )


def _hollow_words(boat: Boat, facts: LandFacts) -> str:
    """Where a land is hollow, in words; "" where it is nowhere."""
    return "; ".join(spoken_hollow(boat.shell, run) for run in hollow_runs(boat.shell, facts.land))


def _tolerances(hull: Hull) -> tuple[str, ...]:
    return (
        _work_to(hull),
        f"Angles are to half a degree, depths to {'1/64 in' if hull.notation.is_in_64ths else '0.1 mm'}. Bevels are "
        "true angles, square to the land; gauges are cut to them and held square. The angle in the plane of a mould "
        "is another one, listed as 'in section'. Minus "
        "means hollow: planed on the upper strake.",
        "Take-off is the bevel's part at the edge and Gerald the gerald's; together they are All off. All off and "
        f"Edge left make up the thickness of the strake under Planed on. {_UNDER_1}",
        "Gap before is what shows at the lap line under a straight scrap laid on the unplaned corner and the next "
        "mark. It is more than the take-off; do not plane to it. In a hollow it is negative; stems have none.",
    )


def _work_to(hull: Hull) -> str:
    """How fine to work."""
    notation = hull.notation
    lap = max(hull.planking.lap_on(land) for land in range(1, hull.planking.strakes))
    miss = lap * np.tan(BEVEL_TOLERANCE)
    over = notation.finer_depth(miss)
    mark, edge = notation.within(1.0), notation.within(0.5)
    return (
        f"Work to: bevels ±0.5° ({over} over a lap of {notation.spoken_length(lap)}); land marks and laps ±{mark}; "
        f"plank edges ±{edge} on bevelled faces, ±{mark} elsewhere."
    )


def _is_on_stem(boat: Boat, place: Place) -> bool:
    """Whether a place is where the planks end on a stem: no gap can be measured there before planing."""
    return place.kind == "end" and place.station in boat.shell.hung.stems


def _planed_on(facts: LandFacts, index: int) -> str:
    """Which strake of a land is planed at a place; "–" where too little comes off."""
    strake = facts.planed_on(index)
    if strake is None:
        return "–"
    return f"{'upper' if strake > facts.land else 'lower'} {strake}"


def _land_table(boat: Boat, facts: LandFacts, geralds: Sequence[Gerald]) -> Table:
    """One land's places, fore to aft."""
    land, notation = facts.land, boat.hull.notation
    gauges = _gauge_names(facts)
    rows = tuple(
        (
            on_sheet(place.place),
            written_bevel(float(facts.bevel[i])),
            "–" if place.kind == "end" else written_bevel(float(facts.bevel_in_section[i])),
            notation.depth_cell(float(facts.take_off[i])),
            notation.depth_cell(notation.rest(float(facts.off[i]), float(facts.take_off[i]))),
            notation.depth_cell(float(facts.off[i])),
            _planed_on(facts, i),
            notation.depth_cell(notation.rest(float(facts.off[i] + facts.edge_left[i]), float(facts.off[i]))),
            "–" if _is_on_stem(boat, place.place) else notation.depth_cell(float(facts.gap_before[i])),
            gauges[i],
            _set_words(facts, i),
        )
        for i, place in enumerate(facts.places)
    )
    extremes = land_extremes(boat.shell, land)
    clear = "" if extremes.is_whole else " clear of the geralds"
    notes = [f"Greatest bevel{clear}: {written_bevel(extremes.bevel.value)} ({extremes.bevel.where})."]
    hollow = _hollow_words(boat, facts)
    if hollow:
        notes.append(
            f"Hollow {hollow}, along the land: there the bevel is planed on the inner face of strake {land + 1}."
        )
    for gerald in geralds:
        if gerald.is_thinnest_at_lap_line:
            left = (float(one.min()) for one in (gerald.lower_left_at_lap_line, gerald.upper_left))
            lower, upper = map(notation.spoken_depth, left)
            notes.append(
                f"Hollow in the gerald {gerald.end}: {lower} left of strake {land}, at its lap line, and {upper} of "
                f"strake {land + 1}, at its lower edge."
            )
    notes += two_angles(boat, facts)
    title = f"Land {land}: strake {land + 1} over strake {land}"
    rows_about = tuple(About("land", land, place=place.place) for place in facts.places)
    about = About("land", land)
    return Table(
        title, _columns(notation), rows, tuple(notes), word_columns=(0, 6, 9, 10), about=about, rows_about=rows_about
    )


def two_angles(boat: Boat, facts: LandFacts) -> list[str]:
    """Return why geralds' depths make another angle than the bevel of their rows; nothing where both are alike.

    The bevel is in the section square to the edge. The depths hold from corner to lap line along the ruling, at an
    end along the plank's end: there the upper strake has come nearer by what the gerald takes in on that way.
    """
    ends = [
        f"{format_angle(along)} at the {gerald.end} end"
        for gerald in geralds_of(boat.shell, facts)
        for along in [float(np.arctan(gerald.lapping.slope[-1]))]
        if abs(along - float(boat.shell.bevel(facts.land, gerald.u[-1:])[0])) > BEVEL_TOLERANCE
    ]
    if not ends:
        return []
    return [
        f"In a gerald plane by its depths: along the plank's end they make {' and '.join(ends)}. The bevel is the "
        "angle square to the edge; the strakes also close on each other along the land."
    ]


def _gauge_names(facts: LandFacts) -> list[str]:
    """Which card serves each place, in the words written on it: "mould 2, 5.8°"."""
    names = ["gerald card" if inside else "straightedge" for inside in facts.is_in_gerald]
    for card in shared_cards(facts):
        for i in card.members:
            names[i] = f"{on_sheet(facts.places[card.own].place)}, {tenths(abs(float(facts.bevel[card.own])))}"
    return names


def _set_words(facts: LandFacts, index: int) -> str:
    """Which gauge of the general set serves a place."""
    if facts.is_in_gerald[index] or facts.is_straight(index):
        return "–"
    return set_gauge(float(facts.bevel[index])) or "none"
