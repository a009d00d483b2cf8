"""The line of depth on each strake of the bench set, measured from its lap line; its comb; what a router cuts."""

from functools import cache

import numpy as np
import pytest
from shapely import LineString, MultiLineString, Point, Polygon

from templates_gen.drawing.piece import Folio, PrintSet, Role
from templates_gen.notation import Notation
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.render.pdf.letters import text_width
from templates_gen.templates.bevels.depth_lines import SHALLOWEST, TIMES, depth_runs, take_off_comb, times_depth
from tests.flow import folio, measurements
from tests.sweep import more
from tests.templates.bevel_boats import THREE, boat
from tests.templates.label_clearance import crowded_labels, label_box

WITHIN = 0.05
"""mm of depth."""


@cache
def strakes(name: str, to_print: PrintSet) -> Folio:
    return folio(boat(name), "strakes", to_print)


@pytest.mark.parametrize("name", THREE)
def test_the_line_is_so_many_times_the_depth_from_the_lap_line_between_the_geralds(name: str) -> None:
    made, times, seen = boat(name), times_depth(boat(name)), 0
    for land, record in enumerate(measurements(made)["lands"], start=1):
        drawn = MultiLineString([*depth_runs(made, land, times)])
        rows = np.array(record["take_off_line"])
        u = made.shell.rulings_at_lengths(land, rows[:, 0])
        clear = (made.shell.lapping(land, u).gerald < 1e-9) & (rows[:, 0] > 12.0) & (rows[:, 0] < rows[-1, 0] - 12.0)
        lap_line = made.strakes[land - 1].at(u, made.shell.lap_share(land, u))
        for off, point in zip(rows[clear, 1], lap_line[clear], strict=True):
            if off > 3 * SHALLOWEST:
                assert drawn.distance(Point(point)) / times == pytest.approx(off, abs=WITHIN)
                seen += 1
    assert seen > 20


@pytest.mark.parametrize("name", ["dinghy", *more("double ender", "pram")])
def test_the_line_keeps_between_lap_line_and_edge_and_is_as_far_spread_as_it_can_be(name: str) -> None:
    made, times = boat(name), times_depth(boat(name))
    deepest = []
    for land in range(1, made.shell.planking.strakes):
        points = np.concatenate(depth_runs(made, land, times))
        outline = Polygon(next(p.points for p in strakes(name, "full").pieces[land - 1].paths if p.role is Role.CUT))
        assert all(outline.contains(Point(point)) for point in points)
        u = np.linspace(made.shell.u_fore, made.shell.u_aft, 500)
        clear = made.shell.lapping(land, u).gerald < 1e-9
        deepest.append(float(made.shell.losses(land, u[clear]).lower_at_edge.max()))
    room = made.shell.planking.lap / max(deepest)
    assert times <= room
    larger = [one for one in TIMES if one > times]
    assert not larger or larger[-1] > 0.75 * room


@pytest.mark.parametrize("name", ["dinghy", *more("double ender", "pram")])
def test_no_lettering_lies_on_the_line_and_its_own_names_lie_over_nothing(name: str) -> None:
    full, bench = strakes(name, "full"), strakes(name, "bench")
    named = 0
    for before, after in zip(full.pieces, bench.pieces, strict=True):
        boxes = [Polygon(label_box(label, text_width)) for label in after.labels]
        new = after.paths[len(before.paths) :]
        assert bool(new) == (before is not full.pieces[-1])
        assert {path.role for path in new} <= {Role.NOTE}
        assert not [1 for path in new for box in boxes if box.intersects(LineString(path.points))]
        assert crowded_labels(after) == crowded_labels(before)
        named += len(after.labels) - len(before.labels)
    assert named > 3 * len(full.pieces)


def test_a_router_cuts_the_strakes_without_the_line() -> None:
    full, bench = strakes("dinghy", "full"), strakes("dinghy", "bench")
    assert dxf_bytes(bench.for_router) == dxf_bytes(full.for_router)


@pytest.mark.parametrize("name", [*THREE, *more("narrow laps", "inches")])
def test_the_comb_s_teeth_are_as_many_times_apart_as_the_line(name: str) -> None:
    comb, times = take_off_comb(boat(name)), times_depth(boat(name))
    teeth = sorted(float(path.points[0, 1]) for path in comb.paths if path.role is Role.SCRIBE)
    unit = 1.0 if boat(name).hull.notation == Notation() else 25.4 / 64
    assert (teeth[0] / times / unit) in (pytest.approx(0.5), pytest.approx(1.0), pytest.approx(2.0))
    assert teeth == pytest.approx([teeth[0] * k for k in range(1, len(teeth) + 1)])
    figures = [label for label in comb.labels if label.text.isdigit()]
    assert len(figures) > 1
    for label in figures:
        assert label.at[1] + label.height / 2 == pytest.approx(times * unit * int(label.text))
    assert any(boat(name).hull.notation.depth_words in label.text for label in comb.labels)
    assert teeth[-1] >= times * max(float(p[1]) for p in _depths(name))
    assert crowded_labels(comb, {Role.CUT, Role.SCRIBE}) == []


def _depths(name: str) -> list[tuple[int, float]]:
    shell = boat(name).shell
    u = np.linspace(shell.u_fore, shell.u_aft, 300)
    clear = {land: shell.lapping(land, u).gerald < 1e-9 for land in range(1, shell.planking.strakes)}
    return [(land, float(shell.losses(land, u[one]).lower_at_edge.max())) for land, one in clear.items()]
