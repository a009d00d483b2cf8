"""The edge of a rebated transom on boats of one section throughout, whose outsides are parallel to their insides."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString

from templates_gen.geometry.transoms import rebated_edge
from templates_gen.hull.model import Array, Hull, Transom
from tests.boats import dinghy, pram
from tests.flow import shell_of
from tests.geometry.straight_boats import LIP, THICKNESS, prism


def rows_of(outline: Array, strakes: int, drop_first: bool) -> list[Array]:
    """Points of each strake; where flush, the first of every strake but the garboard is the last of the one below."""
    if not drop_first:
        return np.split(outline, strakes)
    return [outline[:9], *np.split(outline[9:], strakes - 1)]


def off(points: Array, start: Array, end: Array) -> Array:
    """Distance of points from the straight through two others, to its right."""
    along = (end - start) / np.linalg.norm(end - start)
    return (points - start) @ np.array([along[1], -along[0]])


@pytest.mark.parametrize("gerald", [None, 300.0], ids=["full laps", "flush"])
def test_on_an_upright_transom_the_outside_lies_one_thickness_out(gerald: float | None) -> None:
    edge = rebated_edge(prism(0.0, gerald), "aft")
    inside = rows_of(edge.rebate, 4, gerald is not None)
    outside = rows_of(edge.outside, 4, False)
    for inner, outer in zip(inside, outside, strict=True):
        # within the lip a gerald of half-laps lifts a strake by up to thickness * lip / length; full laps by nothing
        tolerance = 1e-6 if gerald is None else THICKNESS * LIP / gerald
        np.testing.assert_allclose(off(outer, inner[0], inner[-1]), THICKNESS, atol=tolerance)


def test_on_a_raked_transom_of_one_section_up_the_rake_is_longer_by_its_secant() -> None:
    rake = np.radians(20.0)
    upright, raked = (rebated_edge(prism(angle, None), "aft") for angle in (0.0, rake))
    for name in ("outside", "rebate"):
        one, other = getattr(upright, name), getattr(raked, name)
        np.testing.assert_allclose(other[:, 0], one[:, 0], atol=1e-6)
        # the rebate's wall lies a lip inboard, square through; its v counts from the bottom carried square through
        shift = -LIP * np.tan(rake) if name == "rebate" else 0.0
        np.testing.assert_allclose(other[:, 1], one[:, 1] / np.cos(rake) + shift, atol=1e-6)


def test_where_flush_strakes_meet_in_a_hollow_the_outside_does_not_cross_itself() -> None:
    hull = dinghy()  # her first land is hollow at the transom
    assert isinstance(hull.aft, Transom)
    shell = shell_of(replace(hull, aft=replace(hull.aft, joint="rebate", lip=LIP)))
    assert float(shell.bevel(1, np.array([shell.u_aft]))[0]) < -0.1
    assert LineString(rebated_edge(shell, "aft").outside).is_simple


@pytest.mark.parametrize("hull", [dinghy(), pram()], ids=["flush", "full laps, bowed"])
def test_the_outside_of_a_worked_boat_s_transom_lies_outside_the_planks_insides(hull: Hull) -> None:
    assert isinstance(hull.aft, Transom)
    rebated = replace(hull, aft=replace(hull.aft, joint="rebate", lip=LIP))
    edge = rebated_edge(shell_of(rebated), "aft")
    thickness = hull.planking.thickness[0]
    # the inner face of the planking runs out by the lip's share of the bevel, 36 degrees at most here
    for point in edge.outside:
        nearest = np.min(np.linalg.norm(edge.rebate - point, axis=1))
        assert nearest > thickness - LIP * np.tan(np.radians(36.0))
