"""Take-off strips: lengths and depths against the strake and the shell, hatching, ticks, geralds and hollows."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from templates_gen.drawing.piece import Array, Piece, Role
from templates_gen.geometry.places import hollow_runs
from templates_gen.paper.ink import ink_of
from templates_gen.paper.packing import packed
from templates_gen.paper.sheet import sheet
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.template_pages import small
from templates_gen.templates.bevels.edge_lines import LONGEST, cut_places, edge_line
from templates_gen.templates.bevels.facts import all_land_facts
from templates_gen.templates.bevels.strip import FLAP, TOUCH
from tests.templates.bevel_boats import THREE, boat, pieces
from tests.templates.drawn import take_off_strip_pieces

ALL = pytest.mark.parametrize("name", THREE)


def lengths(name: str, land: int, hollow: bool = False) -> list[Piece]:
    """The lengths of one strip, fore to aft."""
    begins = f"land {land} strip hollow " if hollow else f"land {land} strip "
    found = [p for p in pieces(name) if p.name.startswith(begins) and p.name.removeprefix(begins).isdecimal()]
    return sorted(found, key=lambda p: int(p.name.split()[-1]))


def strip(name: str, land: int, hollow: bool = False) -> Piece:
    """All lengths of one strip laid one against another, as one piece."""
    parts = lengths(name, land, hollow)
    return replace(
        parts[0],
        paths=tuple(path for part in parts for path in part.paths),
        labels=tuple(label for part in parts for label in part.labels),
    )


def strips(name: str) -> list[Piece]:
    """Every strip of a boat, each whole."""
    wanted = [(facts.land, hollow) for facts in all_land_facts(boat(name)) for hollow in (False, True)]
    return [strip(name, land, hollow) for land, hollow in wanted if lengths(name, land, hollow)]


def lines(drawn: Piece, role: Role) -> list[Array]:
    return [path.points for path in drawn.paths if path.role is role]


def depth_line(drawn: Piece) -> Array:
    """The scribed line that is no tick: distance along, and height above the fold."""
    return np.concatenate([points for points in lines(drawn, Role.SCRIBE) if points[-1, 0] - points[0, 0] > 1.0])


def ticks(drawn: Piece) -> Array:
    return np.sort([points[0, 0] for points in lines(drawn, Role.SCRIBE) if np.ptp(points[:, 0]) == 0.0])


@ALL
def test_a_strip_is_as_wide_as_the_plank_s_edge_and_the_flap_and_as_long_as_the_flat_strake_s_edge(name: str) -> None:
    for land in range(1, len(boat(name).strakes)):
        drawn = strip(name, land)
        left, bottom, right, top = drawn.bounds()
        edge = boat(name).strakes[land - 1].edge("upper")
        length = float(np.linalg.norm(np.diff(edge, axis=0), axis=1).sum())
        assert (left, bottom) == pytest.approx((0.0, -FLAP))
        assert top == pytest.approx(boat(name).hull.planking.thickness[land - 1])
        assert right == pytest.approx(length, abs=0.05)


@ALL
def test_ticks_lie_as_far_apart_as_the_strake_s_own_marks_along_its_edge(name: str) -> None:
    for strake in boat(name).strakes[:-1]:
        edge = strake.edge("upper")
        run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(edge, axis=0), axis=1))])
        found = ticks(strip(name, strake.number))
        for station in boat(name).hull.stations:
            _, mark = strake.mark(station.at)
            along = float(np.interp(mark[0], edge[:, 0], run))
            assert np.abs(found - along).min() < 0.05


@ALL
def test_at_a_mould_clear_of_the_geralds_the_depth_is_the_lap_times_the_slope_of_the_planed_face(name: str) -> None:
    """The slope is the bevel's tangent but for the few hundredths by which a full bow parts them."""
    shell = boat(name).shell
    for land in range(1, shell.planking.strakes):
        line, found = depth_line(strip(name, land)), ticks(strip(name, land))
        thickness = shell.planking.thickness[land - 1]
        for station in boat(name).hull.stations:
            bevel = float(shell.bevel(land, np.array([station.at]))[0])
            if bevel < np.radians(1.5):
                continue
            near = shell.length_along(land, np.array([station.at]))[0]
            along = float(found[np.argmin(np.abs(found - near))])
            off = thickness - float(np.interp(along, line[:, 0], line[:, 1]))
            assert off == pytest.approx(shell.planking.lap * np.tan(bevel), rel=0.06, abs=0.03)


@pytest.mark.parametrize("name", ["dinghy", "double ender"])
def test_at_a_flush_end_half_the_thickness_is_off_at_the_edge_and_written_as_the_shoulder(name: str) -> None:
    for facts in all_land_facts(boat(name)):
        drawn = strip(name, facts.land)
        line, thickness = depth_line(drawn), boat(name).hull.planking.thickness[facts.land - 1]
        assert line[[0, -1], 1] == pytest.approx(thickness / 2, abs=0.06)
        edge = edge_line(boat(name), facts, hollow=False)
        assert edge is not None
        for label in drawn.labels:
            if label.text.startswith("shoulder"):
                assert edge.is_in_gerald(label.at[0]) or label.at[0] < 15 or label.at[0] > line[-1, 0] - 15
        assert sum(label.text == "gerald from here" for label in drawn.labels) == 2


def test_the_gerald_s_arrow_is_where_the_hull_file_starts_the_gerald() -> None:
    planking = boat("dinghy").hull.planking
    for land in (1, 5):
        arrows = [p for p in lines(strip("dinghy", land), Role.NOTE) if len(p) == 5]
        tips = sorted(float(points[1, 0]) for points in arrows)
        right = strip("dinghy", land).bounds()[2]
        # along the mid-thickness: not just as long as along the inner corner, where the gerald is measured
        assert planking.gerald_fore == pytest.approx(tips[0], abs=5.0)
        assert planking.gerald_aft == pytest.approx(right - tips[1], abs=5.0)


@ALL
def test_hatching_fills_what_comes_off_and_nothing_else(name: str) -> None:
    for drawn in strips(name):
        line, top = depth_line(drawn), drawn.bounds()[3]
        hatched = lines(drawn, Role.HATCH)
        assert hatched
        for points in hatched:
            off = top - np.interp(points[:, 0], line[:, 0], line[:, 1])
            assert (off >= TOUCH - 1e-6).all()
            assert (points[:, 1] <= top + 1e-9).all()
            assert (top - points[:, 1] <= off + 1e-6).all()
            assert np.abs(top - points[::2, 1] - off[::2]).max() < 1e-6


@ALL
def test_figures_are_written_at_every_tick_s_distance_and_add_up_to_the_thickness(name: str) -> None:
    for drawn in strips(name):
        top = drawn.bounds()[3]
        off = {label.at[0]: label.text for label in drawn.labels if label.text.startswith("off ")}
        left = {label.at[0]: label.text for label in drawn.labels if label.text.startswith("left ")}
        assert len(left) >= (drawn.bounds()[2] - drawn.bounds()[0]) / 200
        for x, text in off.items():
            parts, step = [one.split()[1] for one in (text, left[x])], boat(name).hull.notation.depth_step
            sizes = [float(one.removesuffix("/64")) * step for one in parts]
            assert sum(sizes) == pytest.approx(top, abs=0.11 if step == 1.0 else 1.01 * step)


@ALL
def test_every_mould_and_half_way_is_named_on_the_strip(name: str) -> None:
    for land in range(1, len(boat(name).strakes)):
        drawn = strip(name, land)
        words = {label.text for label in drawn.labels}
        stations = [s.name for s in boat(name).hull.stations]
        assert {f"mould {s}" for s in stations} <= words
        assert {f"half-way {a}–{b}" for a, b in zip(["fore", *stations], [*stations, "aft"], strict=True)} <= words


def test_where_a_land_turns_hollow_both_strakes_get_a_strip_that_starts_from_nothing() -> None:
    lower, upper = strip("dinghy", 1), strip("dinghy", 1, hollow=True)
    facts = all_land_facts(boat("dinghy"))[0]
    (run,) = hollow_runs(boat("dinghy").shell, facts.land)
    assert boat("dinghy").hull.stations[3].at < run.fore.u < boat("dinghy").hull.stations[4].at
    assert any(label.text == "bevel to nothing here" for label in lower.labels)
    assert any(label.text == "from nothing here" for label in upper.labels)
    assert upper.bounds()[3] - depth_line(upper)[0, 1] < 0.2
    assert "OUTSIDE" in " ".join(upper.title)
    assert "INSIDE" in " ".join(lower.title)


@ALL
def test_every_strip_carries_the_boat_s_mark_and_says_that_it_serves_both_sides(name: str) -> None:
    hull = boat(name).hull
    for drawn in take_off_strip_pieces(boat(name)):
        words = [label.text for label in drawn.labels]
        (title,) = (text for text in words if text.startswith("Land "))
        assert (hull.fingerprint or hull.name) in title
        assert "STARBOARD" in title
        assert {"FORE", "AFT"} <= set(words)
        assert any(text.startswith("both sides: for PORT turn over") for text in words)


@ALL
def test_no_length_is_longer_than_small_paper_holds_and_they_follow_one_upon_another(name: str) -> None:
    for facts in all_land_facts(boat(name)):
        for hollow in (False, True):
            ends = [(drawn.bounds()[0], drawn.bounds()[2]) for drawn in lengths(name, facts.land, hollow)]
            assert all(right - left <= LONGEST + 1e-6 for left, right in ends)
            assert all(before[1] == after[0] for before, after in pairwise(ends))


@ALL
def test_four_lengths_go_on_a_sheet_of_a4_or_letter(name: str) -> None:
    sizes = [small(drawn, ink_of(drawn, text_width).every).box for drawn in take_off_strip_pieces(boat(name))]
    for paper in ("a4", "letter"):
        assert len(packed(sizes, sheet(paper))) <= len(sizes) / 4 + 2


def test_a_strip_is_cut_clear_of_ticks_and_of_what_a_gerald_s_start_says() -> None:
    kept = [(180.0, 260.0), (420.0, 436.0)]
    cuts = cut_places(0.0, 640.0, kept)
    assert len(cuts) == 5
    assert all(after - before <= LONGEST for before, after in pairwise(cuts))
    assert not any(low < place < high for place in cuts for low, high in kept)
    assert cut_places(0.0, 900.0, [(1.0, 899.0)]) == [0.0, 225.0, 450.0, 675.0, 900.0]


def test_strips_are_paper_and_no_machine_cuts_them() -> None:
    assert all(drawn.is_paper for drawn in take_off_strip_pieces(boat("dinghy")))


def test_a_land_that_is_nowhere_hollow_gets_no_strip_for_its_upper_strake() -> None:
    assert not [p for p in take_off_strip_pieces(boat("double ender")) if "hollow" in p.name]


def test_less_than_half_a_millimetre_is_only_touched() -> None:
    drawn = strip("dinghy", 1, hollow=True)
    line, top = depth_line(drawn), drawn.bounds()[3]
    touched = [label.at[0] for label in drawn.labels if label.text == "touch only"]
    assert touched
    for x in touched[1:]:
        assert top - float(np.interp(x, line[:, 0], line[:, 1])) < TOUCH
