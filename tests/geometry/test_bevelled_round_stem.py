"""Planks on a bevelled stem that runs round into the keel: trimmed flush, the garboard along its foot too."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import Polygon

from templates_gen.about import EndName
from templates_gen.geometry.ends import end_surface, run_on
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.strake_marks import outline_of
from templates_gen.hull.model import Hull, Stem
from tests.boats import dinghy
from tests.flow import shell_of
from tests.geometry.end_for_end import turned

Array = NDArray[np.float64]


def bevelled(hull: Hull) -> Hull:
    """Return a hull with its stems bevelled."""
    ends = (replace(end, joint="bevel") if isinstance(end, Stem) else end for end in (hull.fore, hull.aft))
    fore, aft = ends
    return replace(hull, fore=fore, aft=aft)


CASES: list[tuple[Hull, EndName]] = [
    (bevelled(dinghy()), "fore"),
    (turned(bevelled(dinghy())), "aft"),
]


@pytest.fixture(scope="module", params=CASES, ids=["stem", "sternpost"])
def case(request: pytest.FixtureRequest) -> tuple[PlankedShell, EndName]:
    """Return a shell on a bevelled stem, and the stem's end."""
    hull, end = request.param
    return shell_of(hull), end


@pytest.fixture(scope="module")
def garboard(case: tuple[PlankedShell, EndName]) -> FlatStrake:
    """Return the garboard laid flat."""
    return flat_strake(case[0], 1)


def test_the_outer_face_ends_on_the_rabbet_line_and_the_inner_one_further_on(
    case: tuple[PlankedShell, EndName],
) -> None:
    """In the section square to the rabbet line a face t out of the other runs on by t times the angle's tangent."""
    shell, end = case
    for strake in range(1, shell.planking.strakes + 1):
        normal = shell.hung.stems[end].normals[strake - 1]
        tangent = np.hypot(normal[0], normal[2]) / normal[1]
        thickness = shell.planking.thickness[strake - 1]
        for out in (0.0, thickness / 3, thickness):
            assert run_on(shell, strake, end, out) == pytest.approx((thickness - out) * tangent, abs=1e-6)


def test_every_row_of_a_strake_runs_on_to_the_fore_face_but_a_garboard_ends_on_one_ruling(
    case: tuple[PlankedShell, EndName], garboard: FlatStrake
) -> None:
    shell, end = case
    column = 0 if end == "fore" else 1
    v = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
    for strake in (2, 3):
        half = shell.planking.thickness[strake - 1] / 2
        u = flat_strake(shell, strake).ends[column]
        past = end_surface(shell, strake, end).past(shell.face(strake, u, v, half))
        assert past == pytest.approx(run_on(shell, strake, end, half), abs=1e-5)
        assert np.ptp(u) > 1e-3
    u, half = garboard.ends[column], shell.planking.thickness[0] / 2
    assert np.ptp(u) == 0.0
    upper = shell.face(1, u[-1:], np.ones(1), half)
    assert end_surface(shell, 1, end).past(upper) == pytest.approx(run_on(shell, 1, end, half), abs=1e-5)


def test_a_garboard_s_edge_and_its_ends_meet_in_its_corners(garboard: FlatStrake) -> None:
    lower, upper, fore, aft = (
        garboard.edge("lower"),
        garboard.edge("upper"),
        garboard.end("fore"),
        garboard.end("aft"),
    )
    for corner, same in ((lower[0], fore[0]), (lower[-1], aft[0]), (upper[0], fore[-1]), (upper[-1], aft[-1])):
        assert corner == pytest.approx(same, abs=1e-6)
    assert Polygon(outline_of(lower, aft, upper, fore)).is_valid


def test_wood_to_be_trimmed_is_left_outside_the_edge_from_the_foot_on_more_and_more(
    case: tuple[PlankedShell, EndName], garboard: FlatStrake
) -> None:
    shell, end = case
    plain, edge, upper = garboard.line(0.0), garboard.edge("lower"), garboard.edge("upper")
    if end == "aft":
        plain, edge, upper = plain[::-1], edge[::-1], upper[::-1]
    foot = shell.hung.rulings_on_rabbet(np.array(shell.hung.stems[end].rabbet.foot))
    at_foot = garboard.at(foot, np.array(0.0))
    left = edge - plain
    size = np.linalg.norm(left, axis=1)
    from_end = np.abs(plain[:, 0] - plain[0, 0])
    inside = from_end[: len(plain) // 2] > abs(at_foot[0] - plain[0, 0]) + 1.0
    ramp = int(np.argmax(inside))
    length = abs(plain[-1, 0] - plain[0, 0])
    # it starts at the foot, or a fiftieth of the length before the end where the foot lies nearer to it
    assert size[: len(plain) // 2][
        from_end[: len(plain) // 2] > max(from_end[ramp], 0.021 * length)
    ] == pytest.approx(0.0)
    on = size > 1e-9
    on[len(plain) // 2 :] = False
    assert on.sum() >= 3
    assert (np.diff(size[on]) < 0.0).all()
    # off the wood: never toward the upper edge; where it begins, square to the edge
    along = np.gradient(plain, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    across = upper - plain
    across -= np.sum(across * along, axis=1, keepdims=True) * along
    assert (np.sum(left[on] * across[on], axis=1) <= 1e-9).all()
    start = np.flatnonzero(on & (size < 0.05 * size[0]))
    assert len(start) > 0
    assert np.abs(np.sum(left[start] * along[start], axis=1) / size[start]) == pytest.approx(0.0, abs=0.25)
