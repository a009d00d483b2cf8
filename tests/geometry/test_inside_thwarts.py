"""Thwarts against plane geometry, and in space on the demonstration hulls."""

from collections.abc import Callable

import numpy as np
import pytest

from templates_gen.errors import BoatError
from templates_gen.geometry.inside.level import thwart_shape
from templates_gen.hull.model import Thwart
from tests.boats import dinghy, double_ender, faering, pram
from tests.flow import shell_of
from tests.geometry.exact_hulls import ALONG, Array, oblique_prism, on_line, prism_faces
from tests.geometry.tapered import inside_at, strakes, tapered_boat
from tests.geometry.test_inside_across import on_planking, prism_facets
from tests.sweep import more

CLOSE = 0.005
Facets = Callable[[float], list[tuple[Array, Array]]]
FORE, AFT, HEIGHT, THICKNESS = 1100.0, 1500.0, 330.0, 20.0


def level_end(facets: list[tuple[Array, Array]], height: float) -> tuple[int, float]:
    """The lowest facet that reaches a height, from 1, and the half-breadth there."""
    for number, (low, high) in enumerate(facets, start=1):
        if high[1] >= height:
            return number, float(low[0] + (height - low[1]) / (high[1] - low[1]) * (high[0] - low[0]))
    raise AssertionError("above the sheer")


def apart(line: Array, facets_at: Facets, height: float) -> float:
    """How far a line (x, half-breadth) is from the level cut of facets, more than a millimetre from its steps."""
    steps = line[:-1][np.diff(line[:, 0]) < 1e-9, 0]
    every = np.linspace(line[0, 0], line[-1, 0], 41)
    clear = [x for x in every.tolist() if np.abs(steps - x).min(initial=np.inf) > 1.0]
    assert len(clear) > 35
    return max(abs(level_end(facets_at(x), height)[1] - float(np.interp(x, *line.T))) for x in clear)


def test_both_faces_of_a_thwart_in_a_prism_are_level_cuts_of_its_planes() -> None:
    shape = thwart_shape(shell_of(oblique_prism()), Thwart(0, 1, FORE, AFT, HEIGHT, THICKNESS))
    assert len(shape.parts) == 2  # the lands rise, so that the end steps over one of them
    assert apart(shape.end, prism_facets, HEIGHT) < CLOSE
    assert apart(shape.under, prism_facets, HEIGHT - THICKNESS) < CLOSE
    for part in shape.parts:
        exact = np.arcsin(-prism_faces()[part.strake - 1].normal[2])
        assert part.bevels == pytest.approx((exact, exact), abs=np.radians(0.02))


def test_the_end_steps_where_the_corner_of_the_lower_strake_is_as_high_as_the_thwart() -> None:
    shape = thwart_shape(shell_of(oblique_prism()), Thwart(0, 1, FORE, AFT, HEIGHT, THICKNESS))
    upper, lower = shape.parts  # going aft the lands rise
    assert upper.strake == lower.strake + 1
    corner = on_line(prism_faces()[lower.strake - 1].upper)
    x = corner[0] + (HEIGHT - corner[2]) * ALONG[0] / ALONG[2]
    assert upper.line[-1, 0] == pytest.approx(x, abs=0.05)
    assert lower.line[0, 0] == pytest.approx(x, abs=0.05)
    # the lower strake's corner is there, and the upper one's face beyond it
    assert lower.line[0, 1] == pytest.approx(corner[1] + (x - corner[0]) * ALONG[1] / ALONG[0], abs=0.05)
    assert upper.line[-1, 1] - lower.line[0, 1] > 3.0


def test_a_land_between_the_faces_of_a_thwart_in_a_prism_is_plane_geometry() -> None:
    """Where it enters and leaves the end, how high it is there and how deep its step is, from planes alone."""
    shape = thwart_shape(shell_of(oblique_prism()), Thwart(0, 1, FORE, AFT, HEIGHT, THICKNESS))
    assert shape.lands
    for run in shape.lands:
        corner = on_line(prism_faces()[run.land - 1].upper)
        # the lands rise going aft: this one enters at the bottom face and leaves at the top one, or at an edge
        enters, leaves = (corner[0] + (z - corner[2]) * ALONG[0] / ALONG[2] for z in (HEIGHT - THICKNESS, HEIGHT))
        assert run.corner[0, 0] == pytest.approx(max(FORE, enters), abs=0.05)
        assert run.corner[-1, 0] == pytest.approx(min(AFT, leaves), abs=0.05)
        height = corner[2] + (run.corner[:, 0] - corner[0]) * ALONG[2] / ALONG[0]
        assert run.above_bottom == pytest.approx(height - (HEIGHT - THICKNESS), abs=CLOSE)
        for x, at, begins in zip(run.corner[:, 0], run.corner, run.begins, strict=True):
            facets = prism_facets(float(x))
            assert at[1:] == pytest.approx(facets[run.land - 1][1], abs=CLOSE)
            assert begins[1:] == pytest.approx(facets[run.land][0], abs=CLOSE)
        exact = tuple(float(np.arcsin(-prism_faces()[k].normal[2])) for k in (run.land - 1, run.land))
        for bevels, one in zip(run.bevels, exact, strict=True):
            assert bevels == pytest.approx((one, one), abs=np.radians(0.02))
    # and no land is between the faces anywhere else
    for x in np.linspace(FORE, AFT, 81):
        here = {run.land for run in shape.lands if run.corner[0, 0] + 1.0 < x < run.corner[-1, 0] - 1.0}
        near = {run.land for run in shape.lands if run.corner[0, 0] - 1.0 < x < run.corner[-1, 0] + 1.0}
        heights = [high[1] for _, high in prism_facets(float(x))[:-1]]
        exact_lands = {k for k, z in enumerate(heights, start=1) if HEIGHT - THICKNESS < z < HEIGHT}
        assert here <= exact_lands <= near


@pytest.mark.parametrize("height", [230.0, 300.0])
def test_a_thwart_in_a_boat_of_tapering_plane_strakes(height: float) -> None:
    shape = thwart_shape(shell_of(tapered_boat()), Thwart(0, 1, 1200.0, 1450.0, height, 18.0))
    assert apart(shape.end, inside_at, height) < CLOSE
    assert apart(shape.under, inside_at, height - 18.0) < CLOSE
    for part in shape.parts:
        exact = np.arcsin(-strakes()[part.strake - 1].normal[2])
        assert part.bevels == pytest.approx((exact, exact), abs=np.radians(0.02))


BOATS = {"dinghy": dinghy, "double-ender": double_ender, "pram": pram, "faering": faering}


@pytest.mark.parametrize("name", ["dinghy", *more(*(name for name in BOATS if name != "dinghy"))])
def test_both_edges_of_a_thwart_s_end_lie_on_the_planking_in_space(name: str) -> None:
    shell = shell_of(BOATS[name]())
    stations = shell.hull.stations
    for before, station in ((stations[0], stations[1]), (stations[-2], stations[-1])):
        sheer = min(float(one.section[-1, 1]) for one in (before, station))
        low = max(float(one.rabbet[1]) for one in (before, station))
        height = low + 0.7 * (sheer - low)
        middle = (before.at + station.at) / 2
        shape = thwart_shape(shell, Thwart(0, 1, middle - 110.0, middle + 110.0, height, 24.0))
        for line, level in ((shape.end, height), (shape.under, height - 24.0)):
            lands = np.flatnonzero(np.abs(np.diff(line[:, 0])) < 1e-9)
            points = np.column_stack([line, np.full(len(line), level)])
            assert on_planking(shell, points).max() < 0.05
            assert len(lands) <= 2
        assert (shape.end[[0, -1], 0] == [middle - 110.0, middle + 110.0]).all()


REFUSED = {
    "the sheer": ({"height": 660.0}, "height", "is at 660 mm, above the sheer there; make it lower"),
    "the keel": ({"height": 70.0}, "height", "below the inside of the planking; raise it"),
    "a stem": ({"fore": 150.0, "height": 150.0}, "fore", "crosses the stem at 150 mm; move that edge farther aft"),
    "a transom": ({"aft": 3600.0, "height": 420.0}, "aft", "crosses the after transom by"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_thwart_that_does_not_fit_is_refused_with_its_key(case: str) -> None:
    changes, key, words = REFUSED[case]
    given: dict[str, float] = {"fore": 1500.0, "aft": 1700.0, "height": 380.0, "thickness": 20.0} | changes
    with pytest.raises(BoatError, match=words) as refused:
        thwart_shape(
            shell_of(dinghy()), Thwart(4, 2, given["fore"], given["aft"], given["height"], given["thickness"])
        )
    assert refused.value.key == ("inside", 4, key)
    assert str(refused.value).startswith("thwart 2 ")
