"""Gerald cards, blocks and end views: lengths and widths on the strakes, depths that grow to half the thickness."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from templates_gen.drawing.piece import Array, Piece, Role
from templates_gen.geometry.strake_marks import lower_edge, upper_edge
from templates_gen.hull.reader import read_hull
from templates_gen.templates.bevels.edge_lines import LONGEST
from templates_gen.templates.bevels.facts import Gerald, all_land_facts, gerald_outline, geralds_of
from templates_gen.templates.bevels.gerald_cards import block_words
from templates_gen.templates.bevels.gerald_views import gerald_view
from templates_gen.templates.bevels.tables import bevel_tables
from templates_gen.units import spoken_length
from tests.flow import boat_of
from tests.templates.bevel_boats import boat, piece
from tests.templates.drawn import gerald_card_pieces

HULLS = Path(__file__).parents[2] / "hulls"
TWO = pytest.mark.parametrize("name", ["dinghy", "double ender"])


def geralds(name: str) -> list[Gerald]:
    return [g for facts in all_land_facts(boat(name)) for g in geralds_of(boat(name).shell, facts)]


def cuts(drawn: Piece) -> list[Array]:
    found = [path for path in drawn.paths if path.role is Role.CUT]
    assert all(path.closed for path in found)
    return [path.points for path in found]


def length(points: Array) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def test_a_boat_that_keeps_full_laps_has_no_gerald_cards() -> None:
    assert gerald_card_pieces(boat("pram")) == ()


@TWO
def test_each_land_has_cards_for_both_strakes_and_end_views_at_both_ends(name: str) -> None:
    names = {p.name for p in gerald_card_pieces(boat(name))}
    for land in range(1, len(boat(name).strakes)):
        for end in ("fore", "aft"):
            assert {f"land {land} gerald card {end}", f"land {land} gerald views {end}"} <= names
            found = cuts(piece(f"land {land} gerald card {end}", name))
            assert len(found) in (2, 4)
            assert all(float(np.ptp(points[:, 0])) <= LONGEST for points in found)


@TWO
def test_a_card_is_as_long_as_the_gerald_and_a_lap_wide(name: str) -> None:
    planking = boat(name).hull.planking
    for gerald in geralds(name):
        wanted = planking.gerald_fore if gerald.end == "fore" else planking.gerald_aft
        assert gerald.length == pytest.approx(wanted, abs=1e-3)
        for upper in (False, True):
            drawn = gerald_outline(boat(name), gerald, upper)
            # the gerald is measured along the lower strake's inner corner; a plank's middle and the upper strake's
            # edge, a lap lower on the raked end, are a few per cent longer or shorter
            assert length(drawn.edge) == pytest.approx(wanted, rel=0.04 if not upper else 0.12)
            inner = LineString(drawn.inner)
            middle = [inner.distance(Point(point)) for point in drawn.edge[3:-8]]
            assert middle == pytest.approx([planking.lap] * len(middle), abs=0.35)


@TWO
def test_the_parts_of_a_card_add_up_to_the_whole_and_each_says_which_strake_it_is_for(name: str) -> None:
    for gerald in geralds(name):
        drawn = piece(f"land {gerald.land} gerald card {gerald.end}", name)
        whole = [gerald_outline(boat(name), gerald, upper) for upper in (False, True)]
        area = sum(Polygon(np.concatenate([one.edge, one.inner[::-1]])).area for one in whole)
        parts = [Polygon(points) for points in cuts(drawn)]
        assert sum(part.area for part in parts) == pytest.approx(area, rel=2e-3)
        for part in parts:
            words = " ".join(label.text for label in drawn.labels if part.contains(Point(label.at)))
            assert f"Land {gerald.land}" in words
            assert ("LOWER" in words) != ("UPPER" in words)


@TWO
def test_quarters_stand_at_quarters_of_the_length_on_the_lower_card(name: str) -> None:
    for gerald in geralds(name):
        drawn = gerald_outline(boat(name), gerald, upper=False)
        along = [LineString(drawn.edge).project(Point(q[0])) / length(drawn.edge) for q in drawn.quarters]
        assert along == pytest.approx([0.0, 0.25, 0.5, 0.75, 1.0], abs=0.01)


@TWO
def test_the_gerald_alone_takes_nothing_at_its_start_and_half_the_thickness_at_the_end(name: str) -> None:
    """Half-lap, common practice: 0, t/8, t/4, 3t/8, t/2; the start is eased."""
    for gerald in geralds(name):
        t = gerald.lower_thickness
        assert gerald.lapping.gerald[1:] * t / 2 == pytest.approx([t / 8, t / 4, 3 * t / 8, t / 2], abs=1e-3)
        assert 0.0 < gerald.lapping.gerald[0] * t / 2 < t / 40
        assert gerald.losses.upper_at_edge == pytest.approx(gerald.lapping.gerald * t / 2)
        assert gerald.losses.lower_at_edge[-1] == pytest.approx(t / 2, abs=1e-3)


@TWO
def test_the_depths_written_on_a_card_are_those_of_its_quarters(name: str) -> None:
    for gerald in geralds(name)[:4]:
        labels = piece(f"land {gerald.land} gerald card {gerald.end}", name).labels
        words = [label.text.replace("lap line", "lap") for label in labels]
        depth, rest = boat(name).hull.notation.depth, boat(name).hull.notation.rest
        for k in range(5):
            t = gerald.lower_thickness  # both strakes are of one thickness
            for where, off in (
                ("lap", gerald.losses.lower_at_lap_line),
                ("lap", gerald.losses.upper_at_edge),
                ("edge", gerald.losses.lower_at_edge),
                ("edge", gerald.losses.upper_at_lap_line),
            ):
                assert f"{where} {depth(float(off[k]))}, left {depth(rest(t, float(off[k])))}" in words


@TWO
def test_both_finished_strakes_of_an_end_view_touch_over_the_whole_land_and_do_not_overlap(name: str) -> None:
    lap = boat(name).hull.planking.lap
    for gerald in geralds(name):
        for k in range(5):
            if gerald.lapping.slope[k] < 0.01:
                continue
            lower, upper = (Polygon(path.points) for path in gerald_view(gerald, k, lap)[:2])
            assert lower.is_valid
            assert upper.is_valid
            assert lower.intersection(upper).area < 0.02 * lap
            shared = lower.buffer(1e-6).intersection(upper.buffer(1e-6))
            assert shared.bounds[3] - shared.bounds[1] == pytest.approx(lap, abs=0.01)


def test_a_depth_is_written_alike_on_the_strake_and_on_the_gerald_sheet() -> None:
    # the faering's planks are 14 mm thick: a flush gerald takes 7 mm, and 1.75 and 5.25 at its quarters
    faering = boat_of(read_hull(HULLS / "faering.toml"))
    notation, compared = faering.hull.notation, 0
    for gerald in (g for facts in all_land_facts(faering) for g in geralds_of(faering.shell, facts)):
        off = gerald.losses
        for strake, edge_of, at_edge, at_inner in (
            (gerald.land, upper_edge, off.lower_at_edge, off.lower_at_lap_line),
            (gerald.land + 1, lower_edge, off.upper_at_lap_line, off.upper_at_edge),
        ):
            edge = edge_of(faering.strakes[strake - 1])
            assert edge is not None
            (marked,) = [one for one in edge.geralds if one.end == gerald.end]
            for k, quarter in enumerate(marked.quarters, start=1):
                pairs = (quarter.at_edge, at_edge[k]), (quarter.at_inner_line, at_inner[k])
                assert [notation.depth(one) for one, _ in pairs] == [notation.depth_cell(float(o)) for _, o in pairs]
                compared += 1
    assert compared == 3 * 2 * 2 * 4


@TWO
def test_at_a_flush_end_the_inner_faces_meet_and_the_ridge_stands_outside(name: str) -> None:
    lap = boat(name).hull.planking.lap
    for gerald in geralds(name):
        _, upper, *ridge = (path.points for path in gerald_view(gerald, 4, lap))
        assert np.abs(upper - np.array([0.0, 0.0])).sum(axis=1).min() < 1e-3  # both inner faces, in the corner P_k
        slope, thickness = float(gerald.lapping.slope[4]), gerald.upper_thickness
        proud = float(upper[-1, 0]) - gerald.lower_thickness
        lean = thickness * (1.0 - np.cos(np.arctan(slope)))
        assert proud == pytest.approx(lap * slope - lean, abs=1e-3)
        assert len(ridge) == (1 if abs(proud) >= 0.1 else 0)


def test_a_block_as_thick_as_half_the_planking_goes_with_the_cards() -> None:
    (block,) = (p for p in gerald_card_pieces(boat("dinghy")) if p.name.startswith("gerald block"))
    assert block.name == "gerald block 4.5"
    assert "GERALD BLOCK, 4.5 thick" in [label.text for label in block.labels]
    left, bottom, right, top = block.bounds()
    assert top - bottom == pytest.approx(boat("dinghy").hull.planking.lap)
    assert right - left >= 60.0


def test_a_block_of_a_boat_in_eighths_is_not_named_by_a_thickness_that_it_has_not() -> None:
    # 7/16 in planks: half is 7/32 in, as near to 0-0-1+ as to 0-0-2
    (block,) = (p for p in gerald_card_pieces(boat("double ender")) if p.name.startswith("gerald block"))
    assert block.name == "gerald block"
    assert "GERALD BLOCK, 14/64 thick" in [label.text for label in block.labels]


def test_a_block_fits_by_its_table_only_where_half_the_thickness_comes_off() -> None:
    """The block comes flush over a land only if half the thickness comes off at both its sides."""
    for gerald in geralds("dinghy"):
        off, half = gerald.losses, gerald.lower_thickness / 2
        lower = max(abs(off.lower_at_edge[-1] - half), abs(off.lower_at_lap_line[-1] - half))
        upper = max(abs(off.upper_at_edge[-1] - half), abs(off.upper_at_lap_line[-1] - half))
        words = block_words(gerald)
        assert (words in ("lower strake", "both strakes")) == (lower <= 0.2)
        assert (words == "both strakes") == (lower <= 0.2 and upper <= 0.2)
    (block,) = (p for p in gerald_card_pieces(boat("dinghy")) if p.name.startswith("gerald block"))
    notes = " ".join(block.notes)
    assert "every land but land 1 aft" in notes
    assert "fits at the plank's edge only" in notes
    assert "Both strakes" not in notes


def test_where_the_land_is_hollow_the_views_and_the_tables_tell_what_is_left_at_the_lap_line() -> None:
    """At the dinghy's land 1 aft the lower strake loses more at its lap line than at its edge."""
    gerald = next(g for g in geralds("dinghy") if (g.land, g.end) == (1, "aft"))
    left = 9.0 - float(gerald.losses.lower_at_lap_line[-1])
    assert left < 4.5
    words = [label.text for label in piece("land 1 gerald views aft", "dinghy").labels]
    assert f"lap line {left:.1f}" in words
    assert not any("lap line" in label.text for label in piece("land 1 gerald views fore", "dinghy").labels)
    tables = bevel_tables(boat("dinghy"))
    assert any(f"{left:.1f} mm left of strake 1, at its lap line, and" in note for note in tables[1].notes)
    (row,) = [row for row in tables[-1].rows if row[:2] == ("1 aft", "end")]
    assert row[5] == f"{left:.1f}"


@TWO
def test_a_card_tells_its_own_length_its_boat_and_that_it_serves_both_sides(name: str) -> None:
    hull = boat(name).hull
    for gerald in geralds(name):
        drawn = piece(f"land {gerald.land} gerald card {gerald.end}", name)
        words = [label.text for label in drawn.labels]
        for upper in (False, True):
            along = spoken_length(length(gerald_outline(boat(name), gerald, upper).edge), hull.units)
            assert any(f"{along} long" in text for text in words)
        assert sum((hull.fingerprint or hull.name) in text for text in words) >= 2
        assert sum("turn over" in text for text in words) == 2


def test_cards_say_which_strake_face_edge_and_hand() -> None:
    card = piece("land 3 gerald card fore", "dinghy")
    words = " ".join(label.text for label in card.labels)
    assert "LOWER STRAKE 3" in words
    assert "UPPER STRAKE 4" in words
    assert "OUTSIDE, PORT" in words
    assert "INSIDE, STARBOARD" in words
    assert any("LOWER strake 3, OUTSIDE, upper edge" in line for line in card.title)


def test_a_gerald_block_is_as_wide_as_the_widest_lap_that_it_tries() -> None:
    drawn = read_hull(HULLS / "faering.toml")
    laps = (20.0, 31.0, 24.0)
    wider = boat_of(replace(drawn, planking=replace(drawn.planking, laps=laps)))
    (block,) = [one for one in gerald_card_pieces(wider) if one.about.part == "gerald block"]
    (outline,) = [path.points for path in block.paths if path.role is Role.CUT]
    assert float(np.ptp(outline[:, 1])) == max(laps)


@pytest.mark.parametrize("name", ["dinghy", "double ender"])
def test_what_is_off_and_what_is_left_make_up_the_stock_as_they_are_written(name: str) -> None:
    """Half-way along a gerald a quarter of 9 mm comes off: 2.25 reads 2.3, so that 6.7 and not 6.8 is left."""
    notation = boat(name).hull.notation
    step = 1.0 if notation.is_in_64ths else 0.1
    table = bevel_tables(boat(name))[-1]
    for row, gerald in zip(table.rows, [one for one in geralds(name) for _ in range(5)], strict=True):
        stock = round(float(notation.depth_cell(gerald.lower_thickness)) / step)
        for off, left in ((2, 3), (4, 5), (6, 7)):
            assert round(float(row[off]) / step) + round(float(row[left]) / step) == stock
    if name == "dinghy":
        halves = [row[4:6] for row in table.rows if row[1] == "1/2"]
        assert ("2.3", "6.7") in halves
        assert ("2.3", "6.8") not in halves
