"""Gauges of the bench set: fewer cards, none a quarter of a degree off, every place named on its card."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from templates_gen.drawing.piece import PrintSet
from templates_gen.geometry.rebate_places import stem_gauge_places
from templates_gen.render.pdf.table import without_empty_columns
from templates_gen.templates.cards import MOST_RUNS, are_near, merged, runs
from templates_gen.templates.rebates.cards import place_name, run_names, shared_cards
from templates_gen.templates.rebates.keel_gauges import keel_cards, keel_gauge_pieces
from templates_gen.templates.rebates.stem.gauges import stem_cards
from templates_gen.templates.rebates.tables import REMARK, rebate_tables, without_idle_cards
from templates_gen.templates.transom.edge import transom_sheets
from templates_gen.templates.transom.gauges import edge_gauge_about, edge_gauges, transom_gauges
from templates_gen.units import format_angle
from tests.flow import folio
from tests.templates.label_clearance import crowded_labels
from tests.templates.test_moulds import ALL, boat

WITHIN = np.radians(0.25) + 1e-6


def test_runs_that_are_no_neighbours_share_a_card_when_their_angles_do() -> None:
    degrees = [10.0, 14.0, 14.2, 10.4, 20.0, 10.2, 14.4, 10.1, 10.3]
    angles = [float(value) for value in np.radians(degrees)]

    def share(group: Sequence[int]) -> bool:
        return are_near([angles[k] for k in group])

    cards = merged(runs(range(len(angles)), share), angles, share)
    assert sorted(run for card in cards for run in card if len(run) > 1) == [(1, 2), (7, 8)]
    assert sorted(k for card in cards for run in card for k in run) == list(range(len(angles)))
    assert all(len(card) <= MOST_RUNS for card in cards)
    assert all(share([k for run in card for k in run]) for card in cards)
    assert ((1, 2), (6,)) in cards
    assert ((4,),) in cards
    assert [card[0] for card in cards] == sorted(card[0] for card in cards)


@ALL
def test_a_card_of_the_keel_or_a_stem_is_a_quarter_of_a_degree_from_each_of_its_places_at_most(name: str) -> None:
    one = boat(name)
    for places in (
        one.keel_gauges,
        *(stem_gauge_places(one.shell, end, one.rebates) for end in one.shell.hung.stems),
    ):
        angles = [place.rebate.angle for place in places]
        bench, full = (shared_cards(one, places, angles, to_print) for to_print in ("bench", "full"))
        assert len(bench) <= len(full)
        served = [place_name(one, place) for card in bench for place in card.places]
        assert sorted(served) == sorted(place_name(one, place) for place in places)
        for card in bench:
            assert all(abs(place.rebate.angle - card.angle) <= WITHIN for place in card.places)
            assert len({one.hull.planking.thickness[place.rebate.strake - 1] for place in card.places}) == 1


@pytest.mark.parametrize("name", ["dinghy", "pram"])
def test_a_card_of_a_transom_s_edge_is_a_quarter_of_a_degree_from_each_of_its_strakes_at_most(name: str) -> None:
    for sheet in transom_sheets(boat(name)):
        gauges = edge_gauges(boat(name), sheet, "bench")
        assert len(gauges) <= len(edge_gauges(boat(name), sheet))
        strakes = [k for gauge in gauges for first, last in gauge.strakes for k in range(first, last + 1)]
        assert sorted(strakes) == list(range(1, boat(name).hull.planking.strakes + 1))
        for gauge in gauges:
            own = [sheet.shape.bevels[k - 1] for first, last in gauge.strakes for k in range(first, last + 1)]
            if gauge.on_outer:
                assert max(abs(float(bevel) - gauge.bevel) for bevel in own) <= WITHIN
                least, most = (format_angle(float(bevel)) for bevel in (min(own), max(own)))
                assert gauge.spread == ("" if least == most else f"{least} to {most}")
        pieces = {piece.about: piece for piece in transom_gauges(boat(name), sheet, "bench")}
        for gauge in gauges:
            words = " ".join(label.text for label in pieces[edge_gauge_about(sheet, gauge)].labels)
            assert f"for {gauge.spread}" in words or not gauge.spread


@ALL
def test_every_place_that_a_shared_card_serves_is_written_on_it_and_nothing_is_crowded(name: str) -> None:
    one = boat(name)
    made = folio(one, "rebates", "bench")
    texts = [" | ".join(label.text for label in piece.labels) for piece in made.pieces if piece.about.part == "gauge"]
    places = one.keel_gauges
    for card in shared_cards(one, places, [place.rebate.angle for place in places], "bench"):
        if one.hull.keel.joint == "hog" and len(card.runs) > 1:
            ends = [place_name(one, place) for run in card.runs for place in (run[0], run[-1])]
            assert any(all(end in text for end in ends) for text in texts)
    for piece in made.pieces:
        if piece.about.part == "gauge":
            assert crowded_labels(piece) == []
    assert made.cut is not None
    assert len(made.cut) >= len(made.pieces)


@ALL
@pytest.mark.parametrize("to_print", ["bench", "full"])
def test_a_table_of_rebates_says_on_whose_card_each_place_is(name: str, to_print: PrintSet) -> None:
    one = boat(name)
    *stems, keel = [table for table in rebate_tables(one, to_print) if "Flat bottom: its" not in table.title]
    rows = [(keel, keel_cards(one, to_print), [(row[0], row) for row in keel.rows])]
    for table, end in zip(stems, one.shell.hung.stems, strict=True):
        places = [(f"strake {row[0]}" if row[1].endswith(" end") else row[1], row) for row in table.rows]
        rows.append((table, stem_cards(one, end, to_print), places))
    for table, cards, places in rows:
        titles = {place_name(one, place): run_names(one, card)[0][0] for card in cards for place in card.places}
        shared = {place: title for place, title in titles.items() if place != title}
        has_column = "On the\ncard of" in table.columns
        assert has_column == bool(shared)
        for place, row in places:
            if has_column:
                assert row[table.columns.index("On the\ncard of")] == shared.get(place, "")


def test_a_table_of_which_no_row_left_shares_a_card_says_nothing_of_shared_cards() -> None:
    table = next(one for one in rebate_tables(boat("dinghy"), "bench") if "On the\ncard of" in one.columns)
    at = table.columns.index("On the\ncard of")
    alone = [k for k, row in enumerate(table.rows) if not row[at]]
    assert 0 < len(alone) < len(table.rows)
    assert without_idle_cards(table) == table
    left = without_idle_cards(replace(table, rows=tuple(table.rows[k] for k in alone), rows_about=()))
    assert left.columns == tuple(name for name in table.columns if name != "On the\ncard of")
    assert [(*row[:at], "", *row[at:]) for row in left.rows] == [table.rows[k] for k in alone]
    assert not [note for note in left.notes if "several places" in note]
    assert [left.columns[k] for k in left.word_columns] == [table.columns[k] for k in table.word_columns if k != at]


@ALL
def test_a_column_of_remarks_is_printed_where_there_are_some_and_the_keel_s_cards_come_fore_to_aft(name: str) -> None:
    one = boat(name)
    for table in rebate_tables(one, "bench"):
        has_remarks = table.columns[-1] == REMARK and any(row[-1] for row in table.rows)
        assert (REMARK in without_empty_columns(table).columns) == has_remarks
    order = {place.about: number for number, place in enumerate(one.keel_gauges)}
    for to_print in PRINT_SETS:
        firsts = [order[card.places[0].about] for card in keel_cards(one, to_print)]
        assert firsts == sorted(firsts)
        assert [piece.about.place for piece in keel_gauge_pieces(one, to_print)] == [
            card.places[0].about.place for card in keel_cards(one, to_print)
        ]


PRINT_SETS: tuple[PrintSet, ...] = ("bench", "full")
