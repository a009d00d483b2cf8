"""Lining off: limits, fairness and widths, judged on the shell and with a spline that is not the program's."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from templates_gen.about import EndName
from templates_gen.geometry.hanging import hang
from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.lining_off import marking as module
from templates_gen.geometry.lining_off.laps import laps_of, run_of
from templates_gen.geometry.lining_off.marking import LiningOff, lined_off, lining_off
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.hull.model import Hull, Lands, Stem
from templates_gen.hull.reader import read_hull
from templates_gen.numerics.directions import angle_between
from tests import boats, round_hulls
from tests.flow import shell_of
from tests.shapes.seeded import seeded_hull
from tests.sweep import more

Array = NDArray[np.float64]

HULLS = Path(__file__).parents[2] / "hulls"
SHAPES = Path(__file__).parents[1] / "data" / "shapes"
WORKED: dict[str, Callable[[], Hull]] = {"A": boats.dinghy, "B": boats.double_ender, "C": boats.pram}
FILES = {path.stem: path for path in sorted(HULLS.glob("*.toml"))}
EVEN = Lands("even", {})


def even(hull: Hull) -> Hull:
    """The hull with its lands left to the tool."""
    return replace(hull, lands=EVEN)


def marked(hull: Hull) -> LiningOff:
    return lining_off(hull, rabbet_line(hull))


def shown_widths(hull: Hull, lands: LiningOff) -> Array:
    """Widths between laps at every place, shape (N, p); on a stem the garboard's from the 45 degrees up."""
    lower = np.concatenate([lands.places.start[None], lands.girths[:-1] - hull.planking.lap])
    upper = np.concatenate([lands.girths[:-1] - hull.planking.lap, lands.girths[-1:]])
    return np.asarray(upper - lower)


def roughness(shell: PlankedShell) -> float:
    """The integral of the squared third derivative along every land, by a spline of its own, summed, 1/mm³."""
    total = 0.0
    for edge in shell.hung.edges[:-1]:
        marks = edge.batten.marks
        along = np.r_[0, np.cumsum(np.linalg.norm(np.diff(marks, axis=0), axis=1))]
        third = CubicSpline(along, marks, bc_type="not-a-knot")((along[1:] + along[:-1]) / 2, 3)
        total += float(np.sum(np.sum(third**2, axis=1) * np.diff(along)))
    return total


def every_ruling(shell: PlankedShell) -> Array:
    return np.linspace(shell.u_fore, shell.u_aft, 401)


def greatest_bevel(shell: PlankedShell) -> float:
    u = every_ruling(shell)
    return max(float(np.abs(shell.bevel(land, u)).max()) for land in range(1, shell.planking.strakes))


def shortages(shell: PlankedShell) -> Array:
    """By how much each land's edge falls short somewhere of the least edge of the strake it is planed on, mm."""
    u = every_ruling(shell)
    least = np.array(shell.planking.least_edge)
    found = []
    for land in range(1, shell.planking.strakes):
        is_lower = shell.lapping(land, u).slope >= 0.0
        wanted = np.where(is_lower, least[land - 1], least[land])
        found.append(float(np.max(wanted - shell.edge_left(land, u))))
    return np.array(found)


def test_roughness_of_a_parabola_is_none_and_of_a_cubic_is_its_own() -> None:
    x = np.linspace(0.0, 1000.0, 7)
    for third in (0.0, 1e-7):
        marks = np.stack([x, 0 * x, third * x**3 / 6], axis=1)
        along = np.r_[0, np.cumsum(np.linalg.norm(np.diff(marks, axis=0), axis=1))]
        shell: PlankedShell = type("Shell", (), {"hung": type("Hung", (), {"edges": [edge_of(marks), None]})})  # type: ignore[assignment]
        assert roughness(shell) == pytest.approx(third**2 * along[-1], rel=0.03)


def edge_of(marks: Array) -> object:
    return type("Edge", (), {"batten": type("Batten", (), {"marks": marks})})


@pytest.mark.parametrize("name", [*WORKED, *more(*FILES)])
def test_lined_off_the_lands_leave_every_least_edge_but_where_a_flush_end_is_hollow(name: str) -> None:
    shell = shell_of(even(WORKED[name]() if name in WORKED else read_hull(FILES[name])))
    short = shortages(shell)
    # At a flush end each strake has given half its thickness to the gerald, and a hollow has nothing left to take:
    # only there may an edge fall short, and only as far as the gerald reaches.
    for land in (np.flatnonzero(short > 0.02) + 1).tolist():
        u = every_ruling(shell)
        lapping = shell.lapping(land, u)
        at_fault = shell.edge_left(land, u) < shell.planking.least_edge[land] - 0.02
        assert np.all(lapping.slope[at_fault] < 0.0)
        assert np.all(lapping.gerald[at_fault] > 0.5)
    for strake in range(1, shell.planking.strakes + 1):
        assert shell.width(strake, every_ruling(shell)).min() > shell.planking.lap


def test_with_full_laps_aft_the_hollow_of_boat_a_is_no_hindrance() -> None:
    hull = even(boats.dinghy())
    assert shortages(shell_of(hull)).max() > 1.0
    full = replace(hull, planking=replace(hull.planking, gerald_aft=None))
    assert shortages(shell_of(full)).max() <= 0.02


@pytest.mark.parametrize("name", WORKED)
def test_lands_are_fairer_and_bevels_less_than_with_strakes_of_equal_girth(name: str) -> None:
    equal = shell_of(WORKED[name]())
    lined = shell_of(even(WORKED[name]()))
    assert roughness(lined) < 0.95 * roughness(equal)
    assert greatest_bevel(lined) < greatest_bevel(equal)


@pytest.mark.parametrize("name", WORKED)
def test_each_strake_has_one_greatest_width(name: str) -> None:
    hull = even(WORKED[name]())
    for width in shown_widths(hull, marked(hull)):
        widest = int(np.argmax(width))
        taper = np.concatenate([-np.diff(width[: widest + 1]), np.diff(width[widest:])])
        assert np.all(taper < 0.5)  # the finest that sheets print


@pytest.mark.parametrize("name", WORKED)
def test_strakes_show_alike_at_the_ends_and_grade_from_one_to_the_next(name: str) -> None:
    hull = even(WORKED[name]())
    width = shown_widths(hull, marked(hull))
    ends: tuple[tuple[EndName, int], ...] = (("fore", 0), ("aft", -1))
    for end, column in ends:
        first = 1 if isinstance(hull.end(end), Stem) else 0  # a stem's garboard ends below its lap, in the forefoot
        assert width[first:, column] == pytest.approx(
            np.full(len(width) - first, width[first:, column].mean()), rel=0.2
        )
    assert np.all(np.abs(np.log(width[2:] / width[1:-1])) < np.log(1.25))


def test_the_same_hull_is_lined_off_the_same_again() -> None:
    hull = even(boats.dinghy())
    first, second = (marked(hull).girths for _ in range(2))
    assert np.array_equal(first, second)


@pytest.mark.parametrize("name", WORKED)
def test_the_bevels_that_were_aimed_at_are_those_of_the_shell(name: str) -> None:
    hull = even(WORKED[name]())
    lands, shell = marked(hull), shell_of(hull)
    u = np.array([shell.u_fore, *(station.at for station in hull.stations), shell.u_aft])
    for land in range(1, hull.planking.strakes):
        is_flush = shell.lapping(land, u).gerald > 0.5
        miss = np.degrees(np.abs(lands.bevel[land - 1] - shell.bevel(land, u)))
        # Half a degree is what gauges are cut to. At a stem the aim takes the garboard for flat, as a cornered foot
        # does not leave it, and every strake for straight to its end; rougher there, where geralds do the work.
        assert miss[~is_flush].max() < 0.5
        assert miss[is_flush].max(initial=0.0) < 2.0


@pytest.mark.parametrize("name", WORKED)
def test_the_faces_that_were_aimed_at_on_a_stem_are_those_of_the_planks_there(name: str) -> None:
    hull = even(WORKED[name]())
    lands, shell = marked(hull), shell_of(hull)
    run = run_of(lands.places, hull, lands.girths)
    normals = laps_of(lands.places, hull, run, lands.girths[None]).normal[0]
    for end, column in (("fore", 0), ("aft", -1)):
        if end in shell.hung.stems:  # the aim takes every strake for straight to its end
            cosine = np.sum(normals[:, column] * shell.hung.stems[end].normals, axis=1)
            assert np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))).max() < 1.5


def test_a_pinned_mark_stays_and_its_neighbours_make_way() -> None:
    hull = even(boats.dinghy())
    free = marked(hull).girths
    wanted = float(free[3, 3]) + 20.0
    pinned = marked(replace(hull, lands=Lands("even", {}, pins={"3": {4: wanted}}))).girths
    assert pinned[3, 3] == wanted
    moved = pinned - free
    assert np.all(moved[[2, 4], 3] > 4.0)
    assert np.all(moved[3, [2, 4]] > 4.0)
    assert np.all(np.diff(pinned, axis=0) > hull.planking.lap)


def test_pins_at_both_ends_are_heights_on_a_stem_and_girths_on_a_transom() -> None:
    hull = replace(boats.dinghy(), lands=Lands("even", {}, pins={"fore": {2: 300.0}, "aft": {1: 120.0, 8: 600.0}}))
    at = lined_off(hull, rabbet_line(hull)).lands.at
    assert at["fore"][1] == pytest.approx(300.0, abs=1e-6)
    assert at["aft"][[0, 7]] == pytest.approx([120.0, 600.0], abs=1e-9)


def test_a_mark_that_is_pinned_where_it_lies_changes_nothing() -> None:
    hull = even(boats.pram())
    free = marked(hull).girths
    pins = {"2": {3: float(free[2, 2])}, "aft": {5: float(free[4, -1])}}
    assert marked(replace(hull, lands=Lands("even", {}, pins=pins))).girths == pytest.approx(free, abs=0.5)


def test_every_mark_may_be_pinned() -> None:
    hull = boats.double_ender()
    pins = {name: dict(enumerate(row[:-1].tolist(), start=1)) for name, row in hull.lands.at.items()}
    at = lined_off(replace(hull, lands=Lands("even", {}, pins=pins)), rabbet_line(hull)).lands.at
    for name, row in hull.lands.at.items():
        assert at[name] == pytest.approx(row, abs=1e-6)


def test_a_rubbing_strip_widens_the_sheer_strake_by_about_as_much_as_it_hides() -> None:
    hull = even(boats.dinghy())
    strip = replace(hull, lands=Lands("even", {}, rubbing_strip=30.0))
    more = shown_widths(strip, marked(strip)) - shown_widths(hull, marked(hull))
    assert more[-1] == pytest.approx(np.full(7, 30.0 * 8 / 9), abs=6.0)
    assert np.all(more[1:-1] < 0.0)


def test_a_garboard_by_its_factor_is_wider_everywhere() -> None:
    hull = even(boats.pram())
    wide = replace(hull, lands=Lands("even", {}, garboard=1.4))
    ratio = shown_widths(wide, marked(wide))[0] / shown_widths(hull, marked(hull))[0]
    assert np.all(ratio > 1.2)
    assert np.all(ratio < 1.5)


def test_lands_of_a_prism_run_straight_past_stations_that_were_not_marked() -> None:
    hull = even(round_hulls.bilge(strakes=8, lap=18.0, stations=41))
    at = lined_off(hull, rabbet_line(hull)).lands.at
    rows = np.stack([at[station.name] for station in hull.stations])
    assert np.abs(np.diff(rows, n=2, axis=0)).max() < 0.2


def test_one_strake_has_no_lands_and_takes_it_all() -> None:
    hull = even(boats.pram())
    hull = replace(hull, planking=replace(hull.planking, strakes=1, thickness=(6.0,), least_edge=(3.0,)))
    at = lined_off(hull, rabbet_line(hull)).lands.at
    assert [len(row) for row in at.values()] == [1] * 6


@pytest.mark.parametrize("lap", [1.0, 60.0, 150.0])
def test_whatever_the_lap_the_marks_rise_and_are_finite(lap: float) -> None:
    hull = even(boats.dinghy())
    girths = marked(replace(hull, planking=replace(hull.planking, lap=lap))).girths
    assert np.all(np.isfinite(girths))
    assert np.all(np.diff(girths, axis=0, prepend=0.0) > 0.0)


def test_where_stations_are_many_the_three_next_to_each_end_are_marked_and_no_more_than_fourteen_in_all() -> None:
    hull = read_hull(SHAPES / "stations_41.toml")
    hull = replace(hull, lands=Lands("even", {}, 1.0, 1.0))
    names = [station.name for station in hull.stations]
    chosen = marked(hull).places.names[1:-1]
    assert [*chosen[:3], *chosen[-3:]] == [*names[:3], *names[-3:]]
    assert len(chosen) == 14
    at = np.array([names.index(name) for name in chosen])
    assert np.ptp(np.diff(at[2:-2])) <= 1


def test_land_1_meets_a_swept_stem_as_it_would_with_every_station_marked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Seed 1019 has 24 stations and a long last bay; with its last stations carried, land 1 met the sternpost at 9°.
    path = tmp_path / "hull.toml"
    path.write_text(seeded_hull(1019).text, encoding="utf-8")
    hull = read_hull(path)

    def angle_at_sternpost() -> float:
        hung = hang(land_marks(hull))
        stem, edge = hung.stems["aft"], hung.edges[0]
        up = stem.rabbet.batten.tangent(float(stem.parameters[1]))
        return float(np.degrees(angle_between(-up, edge.batten.tangent(edge.aft))))

    few = angle_at_sternpost()
    monkeypatch.setattr(module, "MOST_STATIONS", 100)
    assert few == pytest.approx(angle_at_sternpost(), abs=2.0)


def test_a_garboard_ends_wide_enough_for_its_lap_square_to_its_own_edge(tmp_path: Path) -> None:
    path = tmp_path / "hull.toml"
    path.write_text(seeded_hull(1019).text, encoding="utf-8")
    hung = hang(land_marks(hull := read_hull(path)))
    for end in ("fore", "aft"):
        edge, (low, high) = hung.edges[0], hung.stems[end].points[:2]
        along = edge.batten.tangent(edge.fore if end == "fore" else edge.aft)
        width = np.linalg.norm(np.cross(high - low, along))
        assert width > 1.4 * hull.planking.lap * 0.999  # its length is that of the curve
