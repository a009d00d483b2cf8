"""Spiling: points from arcs, the outline that comes back from a batten, and what differences are put down to."""

from copy import deepcopy
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely.geometry import Polygon

from templates_gen.geometry.as_built.boat import as_built_boat
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.spiling.causes import better_radius, doubts_of, without_odd_points
from templates_gen.geometry.spiling.overlay import Laid, laid_over, meeting, strake_points
from templates_gen.geometry.spiling.warp import warp_of
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, place_names
from templates_gen.hull.measured.spiling import EDGES, Arcs, Spiling, read_spiling
from templates_gen.hull.reader import read_hull
from templates_gen.report.at_boat.spiling import spiling_findings
from templates_gen.report.finding import Finding
from tests import boats
from tests.at_boat.batten import Reading, arcs_text, offsets_text, read_off
from tests.at_boat.outlines import farthest, net_outline
from tests.flow import shell_of
from tests.sweep import more

Array = NDArray[np.float64]
HULLS = Path(__file__).resolve().parents[2] / "hulls"
DRAWN = shell_of(boats.dinghy())
FIFTH = flat_strake(DRAWN, 5)

# Where two arcs of one radius meet; exact by Pythagoras, in double precision.
TWO_ARCS = [
    ((100.0, 0.0), (160.0, 0.0), 50.0, (130.0, 40.0), (130.0, -40.0)),
    ((100.0, 0.0), (172.0, 5.0), 60.0, (132.679189, 50.319684), (139.320811, -45.319684)),
]


@pytest.mark.parametrize(("first", "second", "radius", "upper", "lower"), TWO_ARCS)
def test_two_arcs_meet_above_and_below(
    first: tuple[float, float],
    second: tuple[float, float],
    radius: float,
    upper: tuple[float, float],
    lower: tuple[float, float],
) -> None:
    arcs = Arcs(np.array(first), np.array(second), radius)
    assert meeting(arcs, upper=True) == pytest.approx(upper, abs=1e-4)
    assert meeting(arcs, upper=False) == pytest.approx(lower, abs=1e-4)


def read(text: str, tmp_path: Path, strake: FlatStrake) -> Spiling:
    path = tmp_path / "spiling.toml"
    path.write_text(text, encoding="utf-8")
    return read_spiling(path, strake.shell.hull, strake.number, tuple(strake_points(strake)["lower"]))


def built_otherwise(drawn: PlankedShell, strake: int, seed: int) -> PlankedShell:
    """The boat as she really is: every edge up to the strake's own up to 2 mm off its mark at every place."""
    random = np.random.default_rng(seed)
    names = place_names(drawn.hull)
    hung = [
        HungStrake(k, dict(zip(names, random.uniform(-2.0, 2.0, len(names)), strict=True)))
        for k in range(1, strake + 1)
    ]
    return shell_of(as_built_boat(drawn, AsBuilt(tuple(hung))).hull)


@pytest.mark.parametrize(("name", "number"), [("dinghy", 8), *more(("double_ender", 5), ("pram", 2))])
def test_a_strake_comes_back_from_a_batten_within_a_millimetre(name: str, number: int, tmp_path: Path) -> None:
    drawn = shell_of(read_hull(HULLS / f"{name}.toml"))
    true = built_otherwise(drawn, number, number)
    computed, real = flat_strake(drawn, number), flat_strake(true, number)
    spiling = read(offsets_text(read_off(true, number)), tmp_path, computed)
    carry = warp_of(computed, laid_over(computed, spiling))
    found, wanted = (move(net_outline(s)) for s, move in ((computed, carry), (real, np.asarray)))
    assert Polygon(found).is_valid
    assert farthest(found, wanted) < 1.0


def test_the_computed_outline_itself_would_not_have_done(tmp_path: Path) -> None:
    true = built_otherwise(DRAWN, 5, 5)
    computed, real = FIFTH, flat_strake(true, 5)
    found, wanted = (net_outline(s) for s in (computed, real))
    assert farthest(found, wanted) > 1.0


def messages_and_fit(reading_text: str, tmp_path: Path) -> tuple[list[str], Laid]:
    spiling = read(reading_text, tmp_path, FIFTH)
    found, laid = judged(FIFTH, spiling)
    return [f.text for f in found if f.severity == "warning"], laid


def judged(strake: FlatStrake, spiling: Spiling) -> tuple[tuple[Finding, ...], Laid]:
    """The findings about a spiling, and how it is laid without the points that do not fit."""
    laid = laid_over(strake, spiling)
    doubts = doubts_of(strake, spiling, laid)
    laid = without_odd_points(laid, doubts.odd)
    return spiling_findings(strake, spiling, laid, doubts), laid


def moved(reading: Reading, edge: str, place: str, by: tuple[float, float]) -> Reading:
    changed = deepcopy(reading)
    changed.points[edge][place] += np.array(by)
    return changed


READING = read_off(DRAWN, 5)


def test_a_true_spiling_is_not_doubted(tmp_path: Path) -> None:
    texts, laid = messages_and_fit(offsets_text(READING), tmp_path)
    assert texts == []
    assert np.abs(laid.off).max() < 0.6  # half of a 0.5 mm step in each of two directions, and the fit


def test_an_edge_set_batten_is_reported_with_its_bow(tmp_path: Path) -> None:
    # A parabola of 6 mm over the length of the strake, both edges alike: what forcing the batten sideways does.
    bent = deepcopy(READING)
    x = np.array([point[0] for edge in EDGES for point in bent.points[edge].values()])
    middle, half = (x.max() + x.min()) / 2, (x.max() - x.min()) / 2
    for edge in EDGES:
        for point in bent.points[edge].values():
            point[1] += 6.0 * (1.0 - ((point[0] - middle) / half) ** 2)
    (text,), _ = messages_and_fit(offsets_text(bent), tmp_path)
    assert "edge-set" in text
    assert any(f"both edges lie {bow} mm nearer the sheer" in text for bow in ("5.5", "6", "6.5"))


@pytest.mark.parametrize("wrong_by", [-2.0, *more(1.5)])
def test_a_wrong_radius_is_reported_with_the_right_one(wrong_by: float, tmp_path: Path) -> None:
    text = arcs_text(READING, 60.0, 60.0 + wrong_by)
    spiling = read(text, tmp_path, FIFTH)
    more = better_radius(FIFTH, spiling)
    assert more == pytest.approx(-wrong_by, abs=0.4)
    (message,), _ = messages_and_fit(text, tmp_path)
    assert "with a radius of" in message
    assert "60 mm than" in message or "60.5 mm than" in message or "59.5 mm than" in message


def test_no_radius_is_judged_by_the_points_that_remain(tmp_path: Path) -> None:
    spoilt = moved(READING, "upper", "2", (0.0, 45.0))
    assert better_radius(FIFTH, read(arcs_text(spoilt, 60.0, 57.0), tmp_path, FIFTH)) is None


def test_a_right_radius_is_left_alone(tmp_path: Path) -> None:
    texts, _ = messages_and_fit(arcs_text(READING, 60.0, 60.0), tmp_path)
    assert texts == []


def test_a_wrong_station_is_reported_and_left_out(tmp_path: Path) -> None:
    there = read_off(DRAWN, 5, half_ways=True).points["upper"]["half-way 2-3"]
    wrong = deepcopy(READING)
    wrong.points["upper"]["2"] = there.copy()
    (text,), laid = messages_and_fit(offsets_text(wrong), tmp_path)
    assert "upper edge at mould 2" in text
    assert "it fits half-way 2–3, so check which place was written down" in text
    assert [laid.places[i] for i in np.flatnonzero(laid.is_left_out)] == [("upper", "2")]


def test_a_point_of_the_other_edge_is_reported_as_that(tmp_path: Path) -> None:
    wrong = deepcopy(READING)
    wrong.points["lower"]["2"] = wrong.points["upper"]["2"] - np.array([0.0, 1.0])
    (text,), _ = messages_and_fit(offsets_text(wrong), tmp_path)
    assert "it fits the upper edge at mould 2, so check which edge and place were written down" in text


def test_directions_are_toward_sheer_and_keel_and_a_station_without_a_mould_is_no_mould(tmp_path: Path) -> None:
    hull = FIFTH.shell.hull
    bare = replace(hull, stations=tuple(replace(one, mould=one.name != "2") for one in hull.stations))
    strake = flat_strake(shell_of(bare), 5)
    for by, way in ((8.0, "8 mm toward the sheer of"), (-8.0, "8 mm toward the keel of")):
        text = offsets_text(moved(READING, "upper", "2", (0.0, by)))
        (message,) = (f.text for f in judged(strake, read(text, tmp_path, strake))[0] if f.severity == "warning")
        assert "upper edge at station 2: the point lies" in message
        assert way in message.replace("7.5 mm", "8 mm").replace("8.5 mm", "8 mm")


@pytest.mark.parametrize(
    ("number", "radius", "wrong_side"),
    [(5, 38.0, ("lower",)), *more((8, 38.0, EDGES), (5, 60.0, ("upper",)), (5, 60.0, EDGES))],
)
def test_arcs_swung_from_the_other_side_are_reported_and_fit(
    number: int, radius: float, wrong_side: tuple[str, ...], tmp_path: Path
) -> None:
    strake = flat_strake(DRAWN, number)
    spiling = read(arcs_text(read_off(DRAWN, number), radius, radius, wrong_side), tmp_path, strake)
    laid = laid_over(strake, spiling)
    assert not laid.is_left_out.any()
    assert np.abs(laid.off).max() < 1.0
    (text,) = (f.text for f in judged(strake, spiling)[0] if f.severity == "warning")
    assert "meet on the other side" in text
    assert ("of both edges meet" in text) == (wrong_side == EDGES)


def test_what_is_doubted_is_not_reported_to_agree(tmp_path: Path) -> None:
    # The bow is small enough, 2.5 mm, for the mean to be that of a spiling that agrees.
    bent, lost = deepcopy(READING), moved(READING, "upper", "2", (0.0, 60.0))
    x = np.array([point[0] for edge in EDGES for point in bent.points[edge].values()])
    for edge in EDGES:
        for point in bent.points[edge].values():
            point[1] += 2.5 * (1.0 - ((2.0 * point[0] - x.max() - x.min()) / np.ptp(x)) ** 2)
    for reading, word in ((bent, "edge-set"), (lost, "upper edge at mould 2")):
        spiling = read(offsets_text(reading), tmp_path, FIFTH)
        texts = [f.text for f in judged(FIFTH, spiling)[0]]
        assert any(word in text for text in texts)
        assert not any("agrees with" in text for text in texts)
    assert any("over 13 points of 14; the others are left out" in text for text in texts)


@pytest.mark.parametrize("by", [5.0, -8.0, 15.0])
def test_a_slip_at_one_point_is_named(by: float, tmp_path: Path) -> None:
    for edge in EDGES:
        for place in place_names(DRAWN.hull):
            texts, _ = messages_and_fit(offsets_text(moved(READING, edge, place, (0.0, by))), tmp_path)
            where = {"fore": "the fore end", "aft": "the after end"}.get(place, f"mould {place}")
            assert any(f"{edge} edge at {where}" in text for text in texts), (edge, place)


@pytest.mark.parametrize(
    ("edge", "place", "by"), [("upper", "fore", 6.0), ("lower", "3", -11.0), ("lower", "aft", 19.0)]
)
def test_the_outline_does_not_run_through_a_point_that_is_named_as_bad(
    edge: str, place: str, by: float, tmp_path: Path
) -> None:
    wanted = net_outline(FIFTH)
    _, laid = messages_and_fit(offsets_text(moved(READING, edge, place, (0.0, by))), tmp_path)
    assert [laid.places[i] for i in np.flatnonzero(laid.is_left_out)] == [(edge, place)]
    assert farthest(warp_of(FIFTH, laid)(wanted), wanted) < 0.6


def test_half_ways_bring_a_strake_nearer_to_the_boat(tmp_path: Path) -> None:
    # Four spilings of a boat that is as drawn, read with a spread of 0.25 mm and written to 0.5 mm.
    wanted, off = net_outline(FIFTH), {}
    for half_ways in (False, True):
        worst = []
        for seed in range(4):
            reading = read_off(DRAWN, 5, 0.02, half_ways, np.random.default_rng(seed))
            found = warp_of(FIFTH, messages_and_fit(offsets_text(reading), tmp_path)[1])(wanted)
            worst.append(farthest(found, wanted))
        off[half_ways] = np.mean(worst)
    assert off[True] < off[False] < 0.6
