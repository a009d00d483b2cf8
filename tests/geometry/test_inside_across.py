"""Bulkheads, frames and floors against plane geometry, and in space on the demonstration hulls."""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from templates_gen.errors import BoatError
from templates_gen.geometry.inside.across import across_shape, between
from templates_gen.geometry.inside.room import inside_section
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import CrossPiece
from tests.boats import dinghy, double_ender, faering, pram
from tests.flow import shell_of
from tests.geometry.exact_hulls import (
    ALONG,
    STATIONS,
    THICKNESS,
    Array,
    oblique_prism,
    on_line,
    prism_faces,
)
from tests.geometry.tapered import inside_at, strakes, tapered_boat
from tests.sweep import more

CLOSE = 0.005
"""mm: what plane geometry must be met to."""


def bulkhead(at: float, thickness: float = 18.0, **others: object) -> CrossPiece:
    return CrossPiece("bulkhead", 0, 1, at, thickness, **others)  # type: ignore[arg-type]


def prism_facets(x: float) -> list[tuple[Array, Array]]:
    """Each facet of the prism's inside at x, from ruler and compasses in the plane square to its lands."""

    def at(point: Array) -> Array:
        in_space = on_line(point)
        return np.asarray(in_space + (x - in_space[0]) / ALONG[0] * ALONG)[1:]

    faces = prism_faces()
    found = [(at(faces[0].lower), at(faces[0].upper))]
    for below, face in pairwise(faces):
        # the straight out along the edge of the strake below meets the straight up the face
        out, _ = np.linalg.solve(np.column_stack([below.out, -face.up]), face.lower - below.upper)
        assert -1e-9 < out < THICKNESS + 1e-9
        found.append((at(below.upper + out * below.out), at(face.upper)))
    return found


def apart(line: Array, facets: list[tuple[Array, Array]]) -> float:
    """How far the corners of a line are from those of facets, in order."""
    return float(np.abs(line - np.concatenate([np.array(one) for one in facets])).max())


@pytest.mark.parametrize("side", ["fore", "aft"])
@pytest.mark.parametrize("at", [STATIONS[1] + 60.0, 1400.0])
def test_both_faces_of_a_bulkhead_in_a_prism_are_plane_geometry(at: float, side: str) -> None:
    shape = across_shape(shell_of(oblique_prism()), bulkhead(at, side=side))
    far = at + 18.0 if side == "aft" else at - 18.0
    assert shape.far.x == far
    assert apart(shape.edge, prism_facets(at)) < CLOSE
    assert apart(shape.near.joggled, prism_facets(at)) < CLOSE
    assert apart(shape.far.joggled, prism_facets(far)) < CLOSE


@pytest.mark.parametrize("side", ["fore", "aft"])
def test_bevels_and_steps_of_a_bulkhead_in_a_prism(side: str) -> None:
    shape = across_shape(shell_of(oblique_prism()), bulkhead(1300.0, side=side))
    facets = prism_facets(1300.0)
    sign = 1.0 if side == "aft" else -1.0
    for k, (drawn, face) in enumerate(zip(shape.facets, prism_faces(), strict=True)):
        assert drawn.bevel == pytest.approx(sign * np.arcsin(face.normal[0]), abs=np.radians(0.02))
        assert drawn.inside == pytest.approx(18.0 * np.tan(drawn.bevel), abs=CLOSE)
        step = 0.0 if k == 0 else float(np.linalg.norm(facets[k][0] - facets[k - 1][1]))
        assert drawn.step == pytest.approx(step, abs=CLOSE)
        assert drawn.far_step == pytest.approx(step, abs=CLOSE)  # alike all along a prism


@pytest.mark.parametrize("at", [640.0, 1250.0, 1930.0])
def test_a_bulkhead_in_a_boat_of_tapering_plane_strakes_is_plane_geometry(at: float) -> None:
    shape = across_shape(shell_of(tapered_boat()), bulkhead(at))
    leans = [strake.normal[0] for strake in strakes()]
    assert min(leans) < -0.01 < 0.01 < max(leans)  # some strakes close in going aft, others open
    assert shape.wood == "aft"  # toward which most of the planking closes in
    assert apart(shape.near.joggled, inside_at(at)) < CLOSE
    assert apart(shape.far.joggled, inside_at(at + 18.0)) < CLOSE
    for drawn, strake in zip(shape.facets, strakes(), strict=True):
        assert drawn.bevel == pytest.approx(np.arcsin(strake.normal[0]), abs=np.radians(0.02))
        assert drawn.inside == pytest.approx(18.0 * np.tan(drawn.bevel), abs=CLOSE)
    far = inside_at(at + 18.0)
    steps = [float(np.linalg.norm(far[k][0] - far[k - 1][1])) for k in range(1, len(far))]
    assert [drawn.far_step for drawn in shape.facets[1:]] == pytest.approx(steps, abs=CLOSE)


def test_a_fair_edge_touches_each_strake_at_its_upper_inside_corner_and_enters_none() -> None:
    section = inside_section(shell_of(oblique_prism()), 1300.0)
    fair, facets = section.fair(), prism_facets(1300.0)
    for low, high in facets:
        assert np.linalg.norm(fair - high, axis=1).min() < CLOSE
        along = (high - low) / np.linalg.norm(high - low)
        inside = (fair - low) @ np.array([-along[1], along[0]])
        beyond = (fair - low) @ along
        within = (beyond > 0.0) & (beyond < np.linalg.norm(high - low))
        assert inside[within].min() > -CLOSE
    # clear of the middles of the upper strakes, where it follows no face
    clear = np.linalg.norm(fair[:, None] - np.array([low for low, _ in facets[2:]]), axis=2).min()
    assert clear > 1.0


def test_a_piece_between_two_heights_is_cut_level_at_both() -> None:
    line = np.array([[10.0, 0.0], [60.0, 20.0], [62.0, 16.0], [100.0, 50.0], [110.0, 90.0]])
    cut = between(line, 10.0, 70.0)
    assert cut[0] == pytest.approx([35.0, 10.0])
    assert cut[-1] == pytest.approx([105.0, 70.0])
    assert cut[1:-1] == pytest.approx(line[1:4])
    assert between(line, None, 200.0) == pytest.approx(line)
    assert between(line, 50.0, 90.0) == pytest.approx(line[3:])
    shape = across_shape(shell_of(oblique_prism()), bulkhead(1300.0, bottom=230.0, top=340.0))
    assert shape.edge[[0, -1], 1] == pytest.approx([230.0, 340.0])
    assert shape.far_edge[[0, -1], 1] == pytest.approx([230.0, 340.0])
    heights = [(low[1], high[1]) for low, high in prism_facets(1300.0)]
    strakes_cut = [k for k, (low, high) in enumerate(heights, start=1) if high > 230.0 and low < 340.0]
    assert [facet.strake for facet in shape.facets] == strakes_cut
    assert 1 < len(strakes_cut) < 5


def foot(surface: Callable[[Array, Array], Array], points: Array, u: Array, v: Array) -> tuple[Array, Array]:
    """How far points (n, 3) are from a surface of (u, v), mm, and v at their feet, which begin at `u` and `v`."""
    step = 1e-3
    for _ in range(25):
        here = surface(u, v)
        du, dv = (surface(u + step, v) - here) / step, (surface(u, v + step) - here) / step
        away = points - here
        a, b, c = (du * du).sum(-1), (du * dv).sum(-1), (dv * dv).sum(-1)
        d, e = (du * away).sum(-1), (dv * away).sum(-1)
        determinant = a * c - b * b
        u = u + np.clip((c * d - b * e) / determinant, -20.0, 20.0)
        v = v + (a * e - b * d) / determinant
    return np.linalg.norm(points - surface(u, v), axis=1), v


def on_planking(shell: PlankedShell, points: Array) -> Array:
    """How far each of points (n, 3) is from the nearest inner face or square edge of a strake, mm.

    Feet are found by Gauss's rounds in the surfaces' own co-ordinates, without cutting anything by a plane.
    """
    nearest = np.full(len(points), np.inf)
    rulings = np.linspace(shell.u_fore, shell.u_aft, 121)
    for strake in range(1, shell.planking.strakes + 1):
        width, thickness = float(shell.width(strake, np.array([1000.0]))[0]), shell.planking.thickness[strake - 1]

        def face(u: Array, v: Array, strake: int = strake, width: float = width) -> Array:
            return shell.face(strake, u, v / width)

        def edge(u: Array, v: Array, strake: int = strake) -> Array:
            return shell.face(strake, u, np.ones_like(u), v)

        middle = shell.face(strake, rulings, np.full(121, 0.5))
        start = rulings[np.linalg.norm(points[:, None] - middle, axis=2).argmin(axis=1)]
        for surface, most in ((face, width), (edge, thickness)):
            with np.errstate(all="ignore"):
                off, v = foot(surface, points, start, np.full(len(points), most / 2))
            within = (v > -0.02) & (v < most + 0.02)
            nearest = np.where(within, np.fmin(nearest, off), nearest)
    return nearest


BOATS = {"dinghy": dinghy, "double-ender": double_ender, "pram": pram, "faering": faering}


@pytest.mark.parametrize("name", ["dinghy", "faering", *more("double-ender", "pram")])
def test_every_facet_lies_on_the_inside_of_the_planking_in_space(name: str) -> None:
    shell = shell_of(BOATS[name]())
    stations = [station.at for station in shell.hull.stations]
    for at in (stations[0] + 15.0, (stations[1] + stations[2]) / 2, stations[-1] + 25.0):
        shape = across_shape(shell, bulkhead(at))
        for section in (shape.near, shape.far):
            parts = [a + np.linspace(0.0, 1.0, 4)[:, None] * (b - a) for a, b in pairwise(section.joggled)]
            line = np.concatenate(parts)
            points = np.column_stack([np.full(len(line), section.x), line])
            assert on_planking(shell, points).max() < 0.05
        for facet in shape.facets:
            assert facet.inside == pytest.approx(18.0 * np.tan(facet.bevel), abs=0.1)


REFUSED = {
    "a stem": ({"at": 300.0}, "at", "move it, or give it a bottom of 132 mm or more, above the stem"),
    "a stem above its foot": (
        {"at": 300.0, "bottom": 100.0},
        "bottom",
        "reaches 132 mm high there; give it a bottom of 132 mm or more",
    ),
    "a transom": ({"at": 3550.0}, "at", "crosses the after transom"),
    "a far face beyond a transom": ({"at": 3500.0, "thickness": 60.0, "side": "aft"}, "at", "crosses the after"),
    "the sheer": ({"top": 800.0}, "top", "reaches 800 mm high, above the sheer"),
    "the planking": ({"bottom": 30.0}, "bottom", "below the inside of the planking"),
    "a top in the keel": ({"top": 30.0}, "top", "below the inside of the planking"),
    "a bottom above the sheer": ({"bottom": 700.0}, "bottom", "above the sheer at"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_does_not_fit_into_the_boat_is_refused_with_its_key(case: str) -> None:
    changes, key, words = REFUSED[case]
    piece = replace(bulkhead(1000.0), index=2, number=3, **changes)  # type: ignore[arg-type]
    with pytest.raises(BoatError, match=words) as refused:
        across_shape(shell_of(dinghy()), piece)
    assert refused.value.key == ("inside", 2, key)
    assert str(refused.value).startswith("bulkhead 3 ")


def test_what_a_refusal_asks_for_passes() -> None:
    shell = shell_of(dinghy())
    assert across_shape(shell, bulkhead(300.0, bottom=132.0)).facets[0].strake == 1
    assert across_shape(shell, bulkhead(420.5)).edge[0, 1] < 100.0
