"""Rebate gauges, keel gauges, a flat bottom and their tables, on the three boats and their variants."""

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from shapely import Polygon

from templates_gen.about import ENDS
from templates_gen.drawing.piece import Piece, PrintSet, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_bottom import flat_bottom
from templates_gen.geometry.rebate_places import GaugePlace, stem_gauge_places
from templates_gen.geometry.rebates import hog_bearing, hog_runs_out, rebate_section
from templates_gen.hull.model import Stem
from templates_gen.hull.reader import read_hull
from templates_gen.templates.cards import NEAR
from templates_gen.templates.folios import rebate_pieces
from templates_gen.templates.rebates.cards import card_name, name_rows, place_name, shared_cards
from templates_gen.templates.rebates.flat_bottom import flat_bottom_pieces
from templates_gen.templates.rebates.keel_gauges import bottom_bevels, keel_gauge_pieces, no_hog_at
from templates_gen.templates.rebates.stem.gauges import stem_cards, stem_gauges
from templates_gen.templates.rebates.stem.profile import stem_piece
from templates_gen.templates.rebates.tables import rebate_tables
from templates_gen.units import format_angle, format_length
from tests.sweep import more
from tests.templates.drawn import rebate_gauge_pieces
from tests.templates.label_clearance import crowded_labels
from tests.templates.rebate_boats import EVERY, bare_boat, boat, direction_angle

CANOE = Path(__file__).parents[1] / "data" / "american_cruising_canoe.toml"

every_boat = pytest.mark.parametrize("name", EVERY)


def cut(piece: Piece) -> np.ndarray:
    """The one outline that is cut."""
    (outline,) = [path.points for path in piece.paths if path.role is Role.CUT]
    return outline


def named(pieces: tuple[Piece, ...], name: str) -> Piece:
    (piece,) = [piece for piece in pieces if piece.name == name]
    return piece


@every_boat
def test_every_piece_is_cut_along_one_closed_outline_and_has_a_name_of_its_own(name: str) -> None:
    pieces = rebate_pieces(boat(name))
    assert len({piece.name for piece in pieces}) == len(pieces)
    for piece in pieces:
        assert piece.kind == "rebates"
        assert [path.closed for path in piece.paths if path.role is Role.CUT] == [True]
        assert Polygon(cut(piece)).is_valid
        assert np.linalg.norm(np.diff(cut(piece), axis=0), axis=1).min() > 0.01
        assert all(np.isfinite(path.points).all() for path in piece.paths)


@every_boat
def test_no_lettering_collides_or_lies_over_a_line(name: str) -> None:
    assert [words for piece in rebate_pieces(boat(name)) for words in crowded_labels(piece)] == []


@every_boat
def test_lettering_on_a_card_stays_on_the_card(name: str) -> None:
    for piece in (*rebate_gauge_pieces(boat(name)), *keel_gauge_pieces(boat(name))):
        body = Polygon(cut(piece))
        for label in piece.labels:
            along = np.array([np.cos(label.angle), np.sin(label.angle)])
            up = np.array([-along[1], along[0]])
            assert body.buffer(-1.0).covers(Polygon([label.at, label.at + along, label.at + up * label.height]))
        assert any(label.height >= 3.0 for label in piece.labels)


@every_boat
def test_every_card_names_its_place_and_has_a_hole_well_inside_it(name: str) -> None:
    for piece in (*rebate_gauge_pieces(boat(name)), *keel_gauge_pieces(boat(name))):
        place = piece.name_in_print.split(" gauge ", 1)[1]
        written = " ".join(label.text for label in piece.labels)
        assert all(part in written for part in place.split(" to "))
        for hole in piece.holes:
            body = Polygon(cut(piece))
            assert body.exterior.distance(Polygon([hole.centre] * 3).centroid) > hole.diameter / 2 + 5.0


def places_of(found: Boat, run: tuple[GaugePlace, ...]) -> list[str]:
    """Patterns that a card must bear for a run of neighbours: all its strakes or both its ends, and each distance."""
    names = [place_name(found, run[0]), *[place_name(found, place) for place in run[1:]][-1:]]
    if run[0].is_at_end_of_strake and len(run) > 1:
        names = [f"strakes {run[0].rebate.strake}-{run[-1].rebate.strake}"]
    patterns = [" " + " ?(to|–) ?".join(map(re.escape, names)) + " "]
    for place in run:
        if place.is_at_end_of_strake and place.distance:
            start = "the foot" if place.mark.number is None else f"land {place.mark.number}"
            distance = re.escape(found.hull.notation.length(place.distance))
            patterns.append(
                f" {distance} up the rabbet from {start} | up the rabbet: .*(?<= ){distance} from {start} "
            )
    return patterns


@pytest.mark.parametrize("name", [*EVERY, "faering", *more("canoe")])
@pytest.mark.parametrize("to_print", ["bench", "full"])
def test_every_stem_s_card_carries_all_places_that_it_serves(name: str, to_print: PrintSet) -> None:
    found = bare_boat(read_hull(CANOE)) if name == "canoe" else boat(name)
    for end in found.shell.hung.stems:
        cards, pieces = stem_cards(found, end, to_print), stem_gauges(found, end, to_print)
        for card, piece in zip(cards, pieces, strict=True):
            written = f" {' '.join(label.text for label in piece.labels)} "
            for run in card.runs:
                assert [wanted for wanted in places_of(found, run) if not re.search(wanted, written)] == [], written


def test_every_card_names_its_timber_first() -> None:
    # the faering's sternpost has names too long for its cards in letters of 2.5 mm
    for name, end, timber in (
        ("faering", "fore", "Stem"),
        ("faering", "aft", "Sternpost"),
        ("dinghy", "fore", "Stem"),
    ):
        for to_print in ("bench", "full"):
            for card in stem_gauges(boat(name), end, to_print):  # type: ignore[arg-type]
                assert card.labels[0].text.split()[0] == timber
                assert card.labels[0].height >= 2.0
    places = stem_gauge_places(boat("faering").shell, "aft", boat("faering").rebates)[-1:]
    (shared,) = shared_cards(boat("faering"), places, [0.8])
    assert name_rows(boat("faering"), shared, "Sternpost", 20.0)[:2] == [("Sternpost",), ("strake 4",)]


def test_each_strakes_gauge_is_cut_to_its_angle_and_thickness() -> None:
    for name, end in (
        ("dinghy", "fore"),
        ("double_ender", "fore"),
        ("double_ender", "aft"),
        ("two thicknesses", "fore"),
    ):
        found = boat(name)
        pieces = rebate_gauge_pieces(found)
        angles = {r.strake: r.angle for r in found.rebates if r.on == end and r.place == "lower"}
        single = [piece for piece in pieces if piece.name.startswith(f"rebate {end} strake ")]
        assert single
        for piece in single:
            strake = int(piece.name.rsplit(" ", 1)[1])
            _, rabbet, apex, seat_end = cut(piece)[:4]
            assert direction_angle(apex, seat_end) == pytest.approx(angles[strake], abs=1e-9)
            assert np.linalg.norm(apex - rabbet) == pytest.approx(found.hull.planking.thickness[strake - 1])
            assert any(format_angle(angles[strake]) in label.text for label in piece.labels)


@every_boat
def test_cards_are_shared_only_within_half_a_degree_and_no_two_neighbours_could_still_share(name: str) -> None:
    found = boat(name)
    for end in found.shell.hung.stems:
        places = stem_gauge_places(found.shell, end, found.rebates)
        cards = shared_cards(found, places, [place.rebate.angle for place in places])
        assert [place for card in cards for place in card.places] == list(places)
        for card in cards:
            assert all(abs(place.rebate.angle - card.angle) <= NEAR / 2 + 1e-12 for place in card.places)
        for card, following in pairwise(cards):
            angles = [place.rebate.angle for place in (*card.places, following.places[0])]
            assert np.ptp(angles) > NEAR or card.thickness != following.thickness


def test_strakes_that_share_a_card_are_named_together() -> None:
    found = boat("double_ender")
    places = stem_gauge_places(found.shell, "fore", found.rebates)
    cards = shared_cards(found, places, [0.4, 0.5, 0.6, 0.6, 0.605, 0.7])
    assert [card_name(found, card) for card in cards] == ["strake 1", "strake 2", "strakes 3-5", "strake 6"]


def test_a_double_ender_has_gauges_for_stem_and_sternpost_and_a_pram_for_neither() -> None:
    names = [piece.name for piece in rebate_pieces(boat("double_ender"))]
    assert names.index("stem fore") < names.index("stem aft") < names.index("rebate keel mould 1")
    assert names.index("stem fore") < names.index("rebate fore strake 1") < names.index("stem aft")
    pram = rebate_pieces(boat("pram"))
    assert all(piece.name.startswith("rebate keel ") for piece in pram)
    assert {f"rebate keel mould {n}" for n in (1, 2, 3, 4)} <= {piece.name for piece in pram}


def test_a_bevelled_stems_gauge_is_an_ell_of_90_degrees_and_the_planking_angle() -> None:
    found = boat("bevelled stem")
    for rebate in found.rebates:
        if rebate.on != "fore" or rebate.place != "lower":
            continue
        outline = cut(named(rebate_gauge_pieces(found), f"rebate fore strake {rebate.strake}"))
        stock, blade = outline[0] - outline[1], outline[2] - outline[1]
        assert np.linalg.norm(stock) == pytest.approx(60.0)
        # the bevel's width: the two legs that the inner face cuts off, t / cos on the face and t / sin on the side
        width = np.hypot(9.0 / np.cos(rebate.angle), 9.0 / np.sin(rebate.angle))
        assert np.linalg.norm(blade) >= width + 25.0 - 1e-9
        inside = np.arccos(stock @ blade / (np.linalg.norm(stock) * np.linalg.norm(blade)))
        assert inside == pytest.approx(np.pi / 2 + rebate.angle, abs=1e-9)


def test_a_hogs_gauge_stands_at_the_planking_angle_to_the_keels_side() -> None:
    for name in ("dinghy", "double_ender", "pram"):
        found = boat(name)
        thickness = found.hull.planking.thickness[0]
        pieces = {piece.name: piece for piece in keel_gauge_pieces(found)}
        for rebate in found.rebates:
            piece = pieces.get(f"rebate keel mould {rebate.place}") if rebate.on == "keel" else None
            if piece is None:
                continue
            assert any(label.text.endswith(found.hull.fingerprint) for label in piece.labels)
            finger, corner, tip = cut(piece)[:3]
            assert direction_angle(corner, tip) - direction_angle(finger, corner) == pytest.approx(rebate.angle)
            assert corner[0] == pytest.approx(thickness / np.sin(rebate.angle))
            assert any(format_angle(np.pi / 2 - rebate.angle) in label.text for label in piece.labels)


def test_where_the_hog_has_run_out_the_gauge_is_a_plank_s_end_in_the_deadwood_and_the_table_says_so() -> None:
    found = boat("double_ender")
    places = found.keel_gauges
    outs = hog_runs_out([p.rebate for p in places], found.hull.keel.hog, found.hull.planking.thickness[0])
    assert outs[0]
    assert outs[-1]
    assert not any(outs[2:-2])
    pieces = keel_gauge_pieces(found)
    first, thickness = pieces[0], found.hull.planking.thickness[0]
    assert first.name == "rebate keel mould 1 forward 1-0-0"
    _, rabbet, apex, seat_end = cut(first)[:4]
    assert np.linalg.norm(apex - rabbet) == pytest.approx(thickness)
    assert direction_angle(apex, seat_end) == pytest.approx(places[0].rebate.angle)
    assert any(label.text.startswith("NO HOG") for label in first.labels)
    (table,) = [table for table in rebate_tables(found) if table.title == "Keel and hog"]
    bearing = next(k for k, heading in enumerate(table.columns) if heading.startswith("Bearing"))
    for row, place, out in zip(table.rows, places, outs, strict=True):
        assert (row[-1] == "cut a rebate in the deadwood here") == out
        assert (row[bearing] == "–") == out
        if not out:
            assert row[bearing] == format_length(hog_bearing(place.rebate, found.hull.keel.hog or (0, 0)), "ft-in-8")


@pytest.mark.parametrize("name", ["dinghy", "double_ender"])
@pytest.mark.parametrize("to_print", ["bench", "full"])
def test_every_hog_gauge_says_the_same_things_in_the_same_words(name: str, to_print: PrintSet) -> None:
    found = boat(name)
    notation, hog, thickness = found.hull.notation, found.hull.keel.hog, found.hull.planking.thickness[0]
    assert hog is not None
    pieces = {piece.name: piece for piece in keel_gauge_pieces(found, to_print) if "hog gauge" in piece.title[0]}
    there = [one for one, out in zip(found.keel_gauges, no_hog_at(found, found.keel_gauges), strict=True) if not out]
    cards = shared_cards(found, there, [place.rebate.angle for place in there], to_print)
    assert len(cards) == len(pieces) > 3
    for card, piece in zip(cards, pieces.values(), strict=True):
        words = [label.text.split(" · ")[0] for label in piece.labels]
        start = f"{notation.length(thickness / np.sin(card.angle))} above"
        assert {f"starts {start} the rabbet", f"starts {start} rabbet", f"{start} rabbet"} & set(words)
        widths = [notation.length(hog_bearing(place.rebate, hog)) for place in card.places]
        least = notation.length(min(hog_bearing(place.rebate, hog) for place in card.places))
        assert (f"bears {least}" if len(set(widths)) == 1 else f"bears {least} or more") in words
        _, _, _, planed = rebate_section(card.angle, thickness)
        arris = f"{notation.depths_of(max(planed, 0.0))} across INNER face"
        assert sum("arris" in text and text.endswith(arris) for text in words) == 1


@every_boat
def test_the_keel_s_table_says_where_there_are_cards_at_moulds_only_and_the_angle_hardly_changes_there(
    name: str,
) -> None:
    found = boat(name)
    places = found.keel_gauges
    table = next(one for one in rebate_tables(found) if one.title.startswith(("Keel", "Flat bottom: the bevel")))
    gaps = [note for note in table.notes if note.startswith("Between ")]
    bare = [
        (one, other)
        for one, other in pairwise(places)
        if one.distance == 0.0
        and other.distance == 0.0
        and abs(np.degrees(one.rebate.angle - other.rebate.angle)) <= 5.0
    ]
    assert bool(gaps) == bool(bare)
    if bare:
        assert f"Between {bare[0][0].after} and " in gaps[0]
        assert f" and {bare[-1][1].after} there are cards at moulds and stations only" in gaps[0]


@every_boat
def test_each_gauge_carries_the_boat_s_fingerprint_and_says_that_it_serves_both_sides(name: str) -> None:
    found = boat(name)
    for piece in (*rebate_gauge_pieces(found), *keel_gauge_pieces(found)):
        words = " ".join(label.text for label in piece.labels)
        assert found.hull.fingerprint in words
        assert "turn over" in words or "both sides" in words
        if " keel " in piece.name:
            assert bool(re.search(" (aft|forward) of ", words)) == ("along base line" in words)


@every_boat
def test_a_gauge_says_in_words_which_way_it_is_from_a_mould_or_the_foot(name: str) -> None:
    found = boat(name)
    pieces = [*rebate_gauge_pieces(found), *keel_gauge_pieces(found)]
    away = [piece for piece in pieces if re.search(r" [+-] | aft \d| forward \d", piece.name)]
    assert bool(away) != name.startswith("skiff")
    for piece in away:
        assert re.search("(aft|forward) of mould|up the rabbet", piece.name_in_print)
    for piece in pieces:
        words = (piece.name_in_print, *piece.title, *piece.engraved, *(label.text for label in piece.labels))
        assert not [text for text in words if re.search(r"(^| )[+-][ :]", text)]
    (keel,) = [table for table in rebate_tables(found) if table.title.startswith(("Keel", "Flat bottom: the bevel"))]
    assert not [text for text in (*keel.columns, *(row[0] for row in keel.rows)) if re.search("[+-] ", text)]


@pytest.mark.parametrize("name", ["rebated keel of a double-ender", *more("rebated keel")])
def test_a_rebated_keels_bridge_is_as_wide_as_the_keel_and_clears_its_underside(name: str) -> None:
    found = boat(name)
    bridges = [piece for piece in keel_gauge_pieces(found) if len(cut(piece)) == 14]
    assert bridges
    for station in found.hull.stations:
        piece = next((p for p in bridges if p.name == f"rebate keel mould {station.name}"), None)
        if piece is not None:
            outline = cut(piece)
            assert outline[0, 0] - outline[-1, 0] == pytest.approx(2 * station.rabbet[0])
            assert -outline[0, 1] > station.rabbet[1]
            assert any(path.role is Role.CENTRELINE for path in piece.paths)


def test_past_the_last_card_the_keel_s_table_gives_the_angle_at_the_transom() -> None:
    found = boat("pram")
    (table,) = [table for table in rebate_tables(found) if table.title == "Keel and hog"]
    notes = " ".join(table.notes)
    for end, other, (whose, way) in zip(ENDS, ENDS[::-1], (("fore", "forward"), ("after", "aft")), strict=True):
        # The angle of the garboard's face to the keel's side, square to the rabbet line, a millimetre from the end.
        u = np.array([found.shell.u_end(end) * (1.0 - 1e-4) + 1e-4 * found.shell.u_end(other)])
        lower, upper = (found.shell.face(1, u, np.array([v]))[0] for v in (0.0, 0.02))
        along = found.shell.face(1, u + 0.01, np.array([0.0]))[0] - lower
        along /= np.linalg.norm(along)
        across = upper - lower - (upper - lower) @ along * along
        side = np.array([0.0, 0.0, 1.0]) - along[2] * along
        angle = np.degrees(np.arccos(across @ side / np.linalg.norm(across) / np.linalg.norm(side)))
        stated = re.search(
            rf"card {way} the angle changes from ([0-9.]+)° to ([0-9.]+)° at the {whose} transom", notes
        )
        assert stated is not None
        assert float(stated[2]) == pytest.approx(angle, abs=0.4)
        assert stated[1] == table.rows[0 if end == "fore" else -1][1].rstrip("°")


def test_past_the_last_card_of_a_flat_bottom_the_table_gives_the_bevel_of_its_edge() -> None:
    found = boat("skiff with rocker")
    (table,) = [table for table in rebate_tables(found) if table.title.startswith("Flat bottom: the bevel")]
    stated = re.search(
        r"the bevel of the edge changes from ([0-9.]+)° to ([0-9.]+)° at the after transom", str(table)
    )
    assert stated is not None
    # The underside is level across: its normal is square to y and to the rabbet, the garboard's to two chords.
    u = np.array([found.shell.u_end("aft")])
    lower, upper = (found.shell.face(1, u, np.array([v]))[0] for v in (0.0, 0.02))
    along = found.shell.face(1, u - 0.01, np.array([0.0]))[0] - lower
    normal, down = np.cross(upper - lower, along), np.cross([0.0, 1.0, 0.0], along)
    bevel = np.degrees(np.arcsin(abs(normal @ down) / np.linalg.norm(normal) / np.linalg.norm(down)))
    assert float(stated[2]) == pytest.approx(bevel, abs=0.5)
    assert stated[1] == table.rows[-1][2].rstrip("°")


def test_without_gauges_the_keel_s_table_has_no_rows_and_says_nothing_of_transoms() -> None:
    found = replace(boat("pram"))
    vars(found)["keel_gauges"] = ()
    (table,) = [table for table in rebate_tables(found) if table.title == "Keel and hog"]
    assert table.rows == ()
    assert "transom" not in " ".join(table.notes)


def test_a_deep_keels_gauge_is_for_one_side() -> None:
    pieces = keel_gauge_pieces(boat("rebated keel of a pram"))
    assert {len(cut(piece)) for piece in pieces} == {7, 14}, "the pram's rabbet stands 140 above base at mould 1"
    assert len(cut(named(pieces, "rebate keel mould 1"))) == 7


def test_a_flat_bottoms_gauges_are_ells_of_90_degrees_and_the_edges_bevel() -> None:
    found = boat("skiff with rocker")
    bevels = dict(zip([p.after for p in found.keel_gauges], bottom_bevels(found, found.keel_gauges), strict=True))
    pieces = keel_gauge_pieces(found)
    for after, bevel in bevels.items():
        outline = cut(named(pieces, f"rebate keel {after}"))
        stock, blade = outline[0] - outline[1], outline[2] - outline[1]
        assert np.linalg.norm(stock) == pytest.approx(40.0)
        inside = np.arccos(stock @ blade / (np.linalg.norm(stock) * np.linalg.norm(blade)))
        assert inside == pytest.approx(np.pi / 2 + bevel, abs=1e-9)


def test_a_flat_bottom_is_cut_to_its_true_shape_with_every_station_squared_across() -> None:
    found = boat("skiff with rocker")
    (piece,) = flat_bottom_pieces(found)
    bottom = flat_bottom(found.shell)
    np.testing.assert_array_equal(cut(piece), bottom.outline)
    lines = [path.points for path in piece.paths if path.role is Role.SCRIBE]
    np.testing.assert_allclose([points[1] for points in lines], bottom.stations)
    assert all(points[0][0] == points[1][0] and points[0][1] == 0.0 for points in lines)
    assert flat_bottom_pieces(boat("dinghy")) == ()


def test_a_boat_without_a_flat_bottom_has_no_template_of_one() -> None:
    found = replace(boat("skiff"), flat_bottom=None)
    assert flat_bottom_pieces(found) == ()
    assert len(rebate_tables(found)) == len(rebate_tables(boat("skiff"))) - 1


def without_aprons(found: Boat) -> Boat:
    """The same boat, its stems no wider behind than their siding."""
    both: dict[str, Any] = {"fore": found.hull.fore, "aft": found.hull.aft}
    stems: dict[str, Any] = {end: replace(one, apron=None) for end, one in both.items() if isinstance(one, Stem)}
    bare = replace(found.hull, **stems)
    return replace(found, shell=replace(found.shell, hull=bare))


def test_an_apron_is_asked_for_exactly_where_the_seat_is_under_twice_the_thickness() -> None:
    remarks = []
    for name in ("dinghy", "double_ender", "two thicknesses"):
        found = without_aprons(boat(name))
        tables = [table for table in rebate_tables(found) if "Remark" in table.columns and "Strake" in table.columns]
        rows = [row for table in tables for row in table.rows]
        angles = [row[table.columns.index("Angle")] for table in tables for row in table.rows]
        on_stems = [r for r in found.rebates if r.on != "keel"]
        assert len(rows) == len(on_stems)
        for row, angle, rebate in zip(rows, angles, on_stems, strict=True):
            thickness = found.hull.planking.thickness[rebate.strake - 1]
            short = thickness / np.tan(rebate.angle) < 2 * thickness
            assert (row[-1] == "needs an apron") == short
            assert row[0] == str(rebate.strake)
            assert angle == format_angle(rebate.angle)
            remarks.append(row[-1])
    assert {"", "needs an apron"} == set(remarks)


def test_over_an_apron_wide_enough_no_seat_asks_for_one() -> None:
    for name in ("dinghy", "double_ender"):
        found = boat(name)
        stem = found.hull.fore
        assert isinstance(stem, Stem)
        assert stem.apron is not None
        thickness = found.hull.planking.thickness[-1]
        angle = max(rebate.angle for rebate in found.rebates if rebate.on == "fore")
        # t cos a deep at the apex and as far beyond the side as the apron stands, at the angle a to it
        assert (thickness * np.cos(angle) + (stem.apron - stem.siding) / 2) / np.sin(angle) > 2 * thickness
        assert thickness / np.tan(angle) < 2 * thickness
        words = [label.text for piece in rebate_gauge_pieces(found) for label in piece.labels]
        cells = [cell for table in rebate_tables(found) for row in table.rows for cell in row]
        assert "needs an apron" not in {*words, *cells}


def test_an_apron_is_named_on_profile_cards_and_tables_and_the_table_gives_the_seat_with_it() -> None:
    for name in ("dinghy", "double_ender"):
        found, notation = boat(name), boat(name).hull.notation
        stem, thickness = found.hull.fore, found.hull.planking.thickness
        assert isinstance(stem, Stem)
        assert stem.apron is not None
        words = f"Behind the bearding line is the apron, {notation.spoken_length(stem.apron)} wide."
        profile = stem_piece(found, "fore")
        assert f"apron {notation.length(stem.apron)} wide" in " ".join(profile.title)
        table = rebate_tables(found)[0]
        assert any(
            label.has_leader and label.text.endswith(f"apron, {notation.length(stem.apron)} wide")
            for label in profile.labels
        )
        cards = [" ".join(label.text for label in card.labels) for card in stem_gauges(found, "fore")]
        assert all(" and apron" in words for words in cards)
        for notes in (profile.notes, table.notes):
            assert any(note.startswith(words) for note in notes)
        step = (stem.apron - stem.siding) / 2
        seats = [
            (thickness[r.strake - 1] * np.cos(r.angle) + step) / np.sin(r.angle)
            for r in found.rebates
            if r.on == "fore"
        ]
        least, most = notation.spoken_length(min(seats)), notation.spoken_length(max(seats))
        assert any(f"With the apron it is from {least} to {most} wide" in note for note in table.notes)
        bare = without_aprons(found)
        written = [*stem_piece(bare, "fore").title, *stem_piece(bare, "fore").notes, *rebate_tables(bare)[0].notes]
        assert not any("apron" in text for text in written)


@every_boat
def test_a_stem_s_table_says_that_places_up_the_rabbet_are_measured_along_it(name: str) -> None:
    for table in rebate_tables(boat(name)):
        has_places = any("up the rabbet" in cell for row in table.rows for cell in row)
        assert has_places == any("along the rabbet line from its foot" in note for note in table.notes)


@every_boat
def test_tables_are_whole(name: str) -> None:
    found = boat(name)
    tables = rebate_tables(found)
    assert tables
    for table in tables:
        assert table.rows
        assert {len(row) for row in table.rows} == {len(table.columns)}
        assert "nan" not in str(table)
    stems = sum(isinstance(found.hull.end(end), Stem) for end in ("fore", "aft"))  # type: ignore[arg-type]
    assert len(tables) == stems + (2 if found.hull.keel.joint == "flat" else 1)
