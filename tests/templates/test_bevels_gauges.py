"""Land bevel gauges: their angle, what they touch on the boat, which places share a card, how they can be held."""

from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, Polygon

from templates_gen.about import Place
from templates_gen.drawing.piece import Piece, Role
from templates_gen.geometry.places import RuledPlace
from templates_gen.hull.model import Array
from templates_gen.templates.bevels.facts import LandFacts, all_land_facts, gauge_about
from templates_gen.templates.bevels.gauges import bevel_set_pieces, set_gauge, shared_cards
from templates_gen.words import on_sheet, piece_name
from tests.templates.bevel_boats import EVERY, THREE, boat, piece, pieces
from tests.templates.drawn import land_gauge_pieces
from tests.templates.label_clearance import crowded_labels

ALL = pytest.mark.parametrize("name", THREE)
QUARTER = np.radians(0.25) + 1e-12


def outline(drawn: Piece) -> Array:
    (path,) = (p for p in drawn.paths if p.role is Role.CUT)
    assert path.closed
    return path.points


def turn(edge: Array) -> tuple[float, Array]:
    """The turn from one leg to the other and where their straights meet, from the five points of a working edge."""
    first, second = edge[1] - edge[0], edge[4] - edge[3]
    angle = -float(np.arctan2(first[0] * second[1] - first[1] * second[0], first @ second))
    share = np.linalg.solve(np.column_stack([first, -second]), edge[3] - edge[0])
    return angle, edge[0] + share[0] * first


@cache
def gauges(name: str) -> dict[str, Piece]:
    return {p.name: p for p in land_gauge_pieces(boat(name))}


def facts_of(bevels: list[float], hollow: list[bool] | None = None) -> LandFacts:
    """A made-up land with these bevels, degrees, at stations."""
    count = len(bevels)
    places = tuple(RuledPlace(Place("station", str(i)), float(i)) for i in range(count))
    none, no = np.zeros(count), np.zeros(count, dtype=bool)
    is_hollow = no if hollow is None else np.array(hollow)
    bevel = np.radians(bevels) * np.where(is_hollow, -1.0, 1.0)
    return LandFacts(1, places, bevel, bevel, none, none, none, none, is_hollow, no, none + 90, none + 90)


@ALL
def test_a_card_is_cut_to_the_bevel_of_the_place_it_is_named_after(name: str) -> None:
    count = 0
    for facts in all_land_facts(boat(name)):
        for card in shared_cards(facts):
            own = facts.places[card.own]
            angle, corner = turn(outline(gauges(name)[piece_name(gauge_about(facts.land, own))]))
            bevel = float(boat(name).shell.bevel(facts.land, np.array([own.u]))[0])
            assert angle == pytest.approx(-bevel if facts.is_hollow[card.own] else bevel, abs=1e-9)
            assert corner == pytest.approx([0.0, 0.0], abs=1e-9)
            count += 1
    assert count == len(gauges(name)) > 20


@ALL
def test_every_place_outside_a_gerald_with_a_degree_of_bevel_has_one_card_within_a_quarter_of_a_degree(
    name: str,
) -> None:
    for facts in all_land_facts(boat(name)):
        members = sorted(i for card in shared_cards(facts) for i in card.members)
        wanted = [
            i for i, bevel in enumerate(facts.bevel) if abs(bevel) >= np.radians(1.0) and not facts.is_in_gerald[i]
        ]
        assert members == wanted
        for card in shared_cards(facts):
            assert card.own in card.members
            assert all(abs(facts.bevel[i] - facts.bevel[card.own]) <= QUARTER for i in card.members)


@pytest.mark.parametrize("name", ["dinghy", "double ender"])
def test_no_gauge_of_two_legs_stands_inside_a_gerald(name: str) -> None:
    planking = boat(name).hull.planking
    for facts in all_land_facts(boat(name)):
        u = np.array([facts.places[i].u for card in shared_cards(facts) for i in card.members])
        along = boat(name).shell.length_along(facts.land, u)
        assert planking.gerald_fore is not None
        assert planking.gerald_aft is not None
        assert along.min() >= planking.gerald_fore - 1e-6
        whole = float(boat(name).shell.hung.edges[facts.land - 1].batten.length)
        assert along.max() <= whole - planking.gerald_aft + 1e-6


def test_full_laps_at_a_transom_get_gauges_at_the_very_end() -> None:
    kinds = {
        on_sheet(facts.places[i].place)
        for facts in all_land_facts(boat("pram"))
        for c in shared_cards(facts)
        for i in c.members
    }
    assert {"fore end", "aft end", "mould 1", "half-way 4–aft"} <= kinds


@given(st.lists(st.floats(1.0, 4.0), min_size=1, max_size=7))
def test_no_fewer_cards_would_do(bevels: list[float]) -> None:
    size = sorted(bevels)

    def serves(low: int, high: int) -> bool:
        return any(max(size[high] - c, c - size[low]) <= 0.25 for c in size[low : high + 1])

    least = [0]
    for stop in range(1, len(size) + 1):
        least.append(min(least[start] + 1 for start in range(stop) if serves(start, stop - 1)))
    cards = shared_cards(facts_of(bevels))
    assert len(cards) in (least[-1], least[-1] + 1)  # equal, but for sums that rounding puts on either side of 0.25
    if all(abs(abs(a - b) - 0.25) > 1e-9 for a in size for b in size):
        assert len(cards) == least[-1]


def test_hollow_and_convex_places_never_share_a_card() -> None:
    cards = shared_cards(facts_of([2.0, 2.0, 2.1], [False, True, False]))
    assert sorted(card.members for card in cards) == [(0, 2), (1,)]


def test_a_place_of_less_than_a_degree_is_left_to_the_straightedge() -> None:
    assert shared_cards(facts_of([0.99, -0.99, 1.01]))[0].members == (2,)


@ALL
def test_at_a_mould_amidships_the_sheer_leg_carried_on_meets_the_next_land_mark(name: str) -> None:
    """Built from the boat's own points, not from how bevels are computed (common practice)."""
    shell = boat(name).shell
    stations = shell.hull.stations[1:-1]
    lap, checked = shell.planking.lap, 0
    for land in range(1, shell.planking.strakes):
        for station in stations:
            u = np.array([station.at])
            if shell.lapping(land, u).slope[0] < np.tan(np.radians(1.0)):
                continue
            mark, above = shell.upper(land, u)[0], shell.upper(land + 1, u)[0]
            ahead = shell.upper(land, u + 0.5)[0] - shell.upper(land, u - 0.5)[0]
            ahead /= np.linalg.norm(ahead)
            out = shell.normal(land, u, np.array([1.0]))[0]
            up = np.cross(ahead, out)
            y, z = (above - mark) @ up, (above - mark) @ out
            angle = float(shell.bevel(land, u)[0])
            thickness = shell.planking.thickness[land - 1]
            miss = thickness - (y + lap) * np.tan(angle) - z
            assert abs(miss) < 0.5, (land, station.name, miss)
            checked += 1
    assert checked > 10


@ALL
def test_the_keel_leg_stays_on_the_strake_and_the_sheer_leg_runs_past_the_plank_s_edge(name: str) -> None:
    shell = boat(name).shell
    for facts in all_land_facts(boat(name)):
        for card in shared_cards(facts):
            edge = outline(gauges(name)[piece_name(gauge_about(facts.land, facts.places[card.own]))])[:5]
            strake = facts.land + 1 if facts.is_hollow[card.own] else facts.land
            for i in card.members:
                u = np.array([facts.places[i].u])
                width = float(np.linalg.norm(shell.upper(strake, u) - shell.lower(strake, u)))
                assert -edge[0, 0] <= width - shell.planking.lap - 5.0 + 1e-9
            assert 12.0 <= -edge[0, 0] <= 70.0
            assert np.linalg.norm(edge[4]) >= max(40.0, shell.planking.lap + 10.0) - 1e-9


@ALL
def test_the_tick_stands_a_lap_from_the_corner_on_the_sheer_leg(name: str) -> None:
    lap = boat(name).hull.planking.lap
    for drawn in gauges(name).values():
        edge = outline(drawn)
        along = (edge[4] - edge[3]) / np.linalg.norm(edge[4] - edge[3])
        starts = [p.points[0] for p in drawn.paths if p.role is Role.SCRIBE]
        assert min(float(np.linalg.norm(start - lap * along)) for start in starts) < 1e-9


def widest_that_breaks(drawn: Piece) -> float:
    """How wide the narrowest part of a card is, mm: of its wood, its hole bored."""
    wood = Polygon(outline(drawn))
    for hole in drawn.holes:
        wood = wood.difference(Point(hole.centre).buffer(hole.diameter / 2, quad_segs=64))
    low, high = 0.0, 40.0
    while high - low > 0.01:
        middle = (low + high) / 2
        left = wood.buffer(-middle / 2)
        whole = isinstance(left, Polygon) and not left.is_empty and len(left.interiors) == len(drawn.holes)
        low, high = (middle, high) if whole else (low, middle)
    return low


@pytest.mark.parametrize("name", EVERY)
def test_no_part_of_a_gauge_is_narrower_than_twelve_millimetres(name: str) -> None:
    for drawn in (*gauges(name).values(), *bevel_set_pieces(boat(name))):
        assert widest_that_breaks(drawn) >= 11.98, drawn.name


def test_a_hole_too_near_the_edge_is_found() -> None:
    sound = next(iter(gauges("pram").values()))
    hole = sound.holes[0]
    moved = type(hole)((hole.centre[0] + 1.0, hole.centre[1]), hole.diameter)
    spoilt = Piece(sound.name, sound.kind, sound.title, sound.paths, (moved,))
    assert widest_that_breaks(spoilt) < 11.98


def test_a_card_for_a_hollow_has_another_outline_and_says_which_plank() -> None:
    facts = all_land_facts(boat("dinghy"))[0]
    cards = shared_cards(facts)
    for card in cards:
        drawn = gauges("dinghy")[piece_name(gauge_about(1, facts.places[card.own]))]
        words = " ".join(label.text for label in drawn.labels)
        hollow = bool(facts.is_hollow[card.own])
        assert len(outline(drawn)) == (8 if hollow else 7)
        assert ("UPPER STRAKE 2, INSIDE, LOWER EDGE" in words) == hollow
        assert ("LOWER STRAKE 1, OUTSIDE" in words) != hollow
    assert {bool(facts.is_hollow[card.own]) for card in cards} == {False, True}


def test_a_shared_card_names_every_place_it_serves_with_its_own_depths() -> None:
    facts = all_land_facts(boat("double ender"))[1]
    card = max(shared_cards(facts), key=lambda card: len(card.members))
    assert len(card.members) > 1
    drawn = gauges("double ender")[piece_name(gauge_about(2, facts.places[card.own]))]
    words = " ".join(label.text for label in drawn.labels)
    for i in card.members:
        place = facts.places[i].place
        spoken = {
            "station": f"mould {place.station}",
            "gerald": f"start of gerald {place.station}",
            "half-way": f"half-way {place.station}–{place.following}",
        }[place.kind]
        # as the strip has it: all that comes off the lower strake's edge, the gerald's part too
        off = float(boat("double ender").shell.losses(2, np.array([facts.places[i].u])).lower_at_edge[0])
        assert off + facts.edge_left[i] == pytest.approx(boat("double ender").hull.planking.thickness[1])
        depth, left = boat("double ender").hull.notation.depth, float(facts.edge_left[i])
        assert f"{spoken}: off {depth(off)}, left {depth(left)} in" in words


@pytest.mark.parametrize("name", EVERY)
def test_no_lettering_lies_over_other_lettering_or_a_line(name: str) -> None:
    assert [found for drawn in pieces(name) for found in crowded_labels(drawn)] == []


@pytest.mark.parametrize("name", EVERY)
def test_all_lettering_stands_on_its_piece(name: str) -> None:
    from templates_gen.render.pdf.letters import text_width
    from tests.templates.label_clearance import label_box

    for drawn in pieces(name):
        wood = [Polygon(p.points) for p in drawn.paths if p.role is Role.CUT]
        for label in drawn.labels:
            box = Polygon(label_box(label, text_width))
            assert any(piece.contains(box) for piece in wood), (drawn.name, label.text)


@pytest.mark.parametrize("name", EVERY)
def test_names_are_given_once(name: str) -> None:
    names = [drawn.name for drawn in pieces(name)]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("name", EVERY)
def test_cards_of_one_land_differ_in_words_and_bear_their_bevel_to_a_tenth_with_the_set_s_next_to_it(
    name: str,
) -> None:
    for facts in all_land_facts(boat(name)):
        seen = set()
        for card in shared_cards(facts):
            own = facts.places[card.own]
            drawn = gauges(name)[piece_name(gauge_about(facts.land, own))]
            words = [label.text for label in drawn.labels]
            size = abs(float(np.degrees(facts.bevel[card.own])))
            (figure,) = (text for text in words if text.endswith("°") and " " not in text)
            assert float(figure.rstrip("°")) == pytest.approx(size, abs=0.0501)
            assert f"in the set: {round(2 * size) / 2:g}°" in words
            assert drawn.title[0].startswith(f"Land {facts.land}, ")
            assert drawn.title[0].endswith(figure)
            seen.add(drawn.title[0])
        assert len(seen) == len(shared_cards(facts))


def test_a_station_by_itself_has_the_name_that_others_look_for() -> None:
    assert "land 7 station 2" in gauges("dinghy")


def test_the_set_has_a_corner_for_every_half_degree_from_one_to_twenty() -> None:
    found = []
    for drawn in bevel_set_pieces(boat("dinghy")):
        points = outline(drawn)
        corners = [points[:5], points[5:]] if len(points) == 10 else [points[:5]]
        for edge, figure in zip(corners, (la.text for la in drawn.labels if "°" in la.text), strict=True):
            angle, _ = turn(edge)
            assert figure == f"{np.degrees(angle):.1f}°".replace(".0°", "°")
            found.append(float(np.degrees(angle)))
    assert found == pytest.approx(np.arange(1.0, 20.25, 0.5), abs=1e-9)


def test_each_figure_of_the_set_stands_nearer_its_own_corner() -> None:
    for drawn in bevel_set_pieces(boat("dinghy"))[:-1]:
        points = outline(drawn)
        keel_legs = [(points[i] + points[i + 1]) / 2 for i in (0, 5)]
        figures = [np.array(label.at) for label in drawn.labels if "°" in label.text]
        for own, (figure, other) in enumerate(zip(figures, reversed(figures), strict=True)):
            assert np.linalg.norm(figure - keel_legs[own]) < np.linalg.norm(other - keel_legs[own])


def test_the_ticks_of_the_set_are_distances_from_the_nick() -> None:
    for of, step in (("dinghy", 5.0), ("inches", 25.4 / 4)):
        drawn = bevel_set_pieces(boat(of))[-1]
        starts = [float(np.linalg.norm(p.points[0])) for p in drawn.paths if p.role is Role.SCRIBE]
        assert [d for d in starts if d > 2.0] == pytest.approx(step * np.arange(1, len(starts)), abs=1e-9)


def test_the_set_s_gauge_is_the_nearest_half_degree_within_its_range() -> None:
    assert set_gauge(np.radians(7.3)) == "7.5°"
    assert set_gauge(np.radians(-3.1)) == "3°"
    assert set_gauge(np.radians(20.4)) is None
    assert set_gauge(np.radians(0.7)) is None


def test_cards_come_in_the_order_of_the_lands_and_fore_to_aft() -> None:
    lands = [int(p.name.split()[1]) for p in land_gauge_pieces(boat("dinghy"))]
    assert all(first <= second for first, second in pairwise(lands))
    assert [p.name for p in pieces("dinghy")][: len(lands)] == [p.name for p in land_gauge_pieces(boat("dinghy"))]
    assert piece("bevel set 1.0 1.5", "dinghy").kind == "bevels"
