"""The steps and tables of geralds in the order of work: depths and distances from the end, the ridge left outside."""

from itertools import pairwise

import numpy as np
import pytest

from templates_gen.about import EndName
from templates_gen.geometry.boat import Boat
from templates_gen.shop.tables import gerald_table
from tests.flow import usual_work
from tests.shop.test_order_of_work import NAMES, made


def from_end(boat: Boat, land: int, end: EndName, quarter: str, edge: str) -> float:
    """How far a quarter of a gerald is from the end, along an edge of the shell as it hangs, mm."""
    shell, last = boat.shell, boat.shell.u_end(end)
    at_end = float(shell.length_along(land, np.array(last)))
    length = boat.hull.planking.gerald_fore if end == "fore" else boat.hull.planking.gerald_aft
    assert length is not None
    left = length * (1.0 - ("start", "1/4", "1/2", "3/4", "end").index(quarter) / 4)
    if edge == "Upper edge" or quarter == "end":
        return left
    start = shell.rulings_at_lengths(land, np.array([at_end + (left if end == "fore" else -left)]))
    u = np.linspace(float(shell.over(land, start)[0]), last, 400)
    return float(np.linalg.norm(np.diff(shell.lower(land + 1, u), axis=0), axis=1).sum())


@pytest.mark.parametrize("name", NAMES)
def test_a_strakes_table_of_geralds_has_the_depths_at_both_its_edges(name: str) -> None:
    boat = made(name)
    ends: tuple[EndName, EndName] = ("fore", "aft")
    losses = {(land, end) for land in range(1, boat.hull.planking.strakes) for end in ends}
    for work in usual_work(boat):
        table = gerald_table(work, boat)
        if table is None:
            continue
        for row in table.rows:
            end_name, quarter = row[0].split(", ")
            end = ends[("fore", "aft").index(end_name)]
            groups = {heading.split(",")[0]: k for k, heading in enumerate(table.columns) if "edge, " in heading}
            assert set(groups) <= {"Lower edge", "Upper edge"}
            for edge, at in groups.items():
                if row[at] == "–":
                    continue
                land = work.strake if edge == "Upper edge" else work.strake - 1
                losses.discard((land, end))
                (depth,) = [
                    depth
                    for step in work.steps
                    for depth in step.depths
                    if depth.about.number == land and depth.place.startswith(f"{end} gerald, {quarter}:")
                ]
                assert depth.from_end is not None
                # the flat shows the middle of the plank, the shell its inner corner
                assert depth.from_end == pytest.approx(from_end(boat, land, end, quarter, edge), abs=2.5)
                assert row[at] == boat.hull.notation.length(depth.from_end)
                if quarter != "end":
                    continue
                off = boat.shell.losses(land, np.array([boat.shell.u_end(end)]))
                pair = (off.lower_at_edge, off.lower_at_lap_line)  # the edge first, as on the pattern
                pair = pair if edge == "Upper edge" else (off.upper_at_lap_line, off.upper_at_edge)
                assert [row[at + 1], row[at + 3]] == [boat.hull.notation.depths_of(float(one[0])) for one in pair]
    # every gerald of the boat has been met, but at ends without any
    assert all(not boat.shell.lapping(land, np.array([boat.shell.u_end(end)])).gerald.any() for land, end in losses)


@pytest.mark.parametrize("name", NAMES)
def test_the_ridge_that_both_strakes_leave_outside_is_planed_off_when_they_are_fastened(name: str) -> None:
    # what both strakes keep at the lap line is more than the stock by the ridge, or in a hollow less
    boat, seen = made(name), 0
    works = usual_work(boat)
    for lower, upper in pairwise(works):
        stock = boat.hull.planking.thickness[lower.strake - 1]
        below, above = (
            {depth.place: depth for step in work.steps for depth in step.depths} for work in (lower, upper)
        )
        titles = [step.title for step in upper.steps]
        texts = [" ".join(step.text) for step in upper.steps if step.title == "Plane off the ridge"]
        geralds = " ".join(text for step in upper.steps if step.kind == "geralds" for text in step.text)
        assert "flush outside" not in geralds
        for end in ("fore", "aft"):
            edge = below.get(f"{end} gerald, end: upper edge outside")
            if edge is None:
                continue
            assert edge.inner_left is not None
            height = edge.inner_left + above[f"{end} gerald, end: lower edge inside"].left - stock
            high = boat.hull.notation.spoken_depth(abs(height))
            strakes = f"the lower edge of strake {upper.strake}", f"strake {lower.strake}"
            out, under = strakes if height > 0 else strakes[::-1]
            sentences = [
                text
                for text in "".join(texts).rstrip(".").replace(": ", "; ").split("; ")
                if text.startswith(f"{out} stands ")
            ]
            is_there = any(f"{high} at the {end} end" in text and text.endswith(under) for text in sentences)
            assert is_there == (abs(height) >= 0.5)
            seen += is_there
        if texts:
            assert titles.index("Plane off the ridge") == titles.index("Fasten") + 1
            assert "Leave the ridge outside" in geralds
    assert bool(seen) == (name != "pram")  # both her transoms take full laps


def test_geralds_are_measured_from_the_net_end_line_which_is_drawn_first() -> None:
    boat = made("dinghy")
    for work in usual_work(boat):
        steps = {step.title: " ".join(step.text) for step in work.steps}
        assert "Draw the net end lines." in steps["Mark both"]
        assert "Measure from the NET end line" in steps["Cut the geralds"]
        table = gerald_table(work, boat)
        assert table is not None
        assert all(heading.endswith("from the net end") for heading in table.columns if "from the" in heading)
