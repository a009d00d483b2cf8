"""How lands lap that are lined off where those of the oblique prism lie: every figure is plane geometry."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.geometry.lining_off.laps import Laps, Run, laps_of, run_of
from templates_gen.geometry.lining_off.places import Places, places_of
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.geometry.sections import Section, station_section, transom_section
from templates_gen.hull.model import Hull
from tests.boats import dinghy, double_ender, rabbet_in_battens
from tests.geometry.exact_hulls import ALONG, LAP, MARKS, UNEVEN, Face, in_space, oblique_prism, prism_faces

Array = NDArray[np.float64]

PLANKING = replace(UNEVEN, laps=())
"""Lands are lined off with one lap."""

HULL = rabbet_in_battens(oblique_prism(planking=PLANKING))
"""Its sections bend from the rabbet itself, without a corner at land 1."""


def girths_of_marks(section: Section) -> Array:
    """Return the girths of the marks that a section runs through."""
    return np.asarray(section.straight + section.batten.length_to(section.batten.knots))[-len(MARKS) :]


@pytest.fixture(scope="module")
def worked() -> tuple[Places, Run, Laps]:
    """Return the places of the prism, how its lands run, and how they lap."""
    places = places_of(HULL, rabbet_line(HULL), np.arange(len(HULL.stations)))
    sections = [station_section(HULL, index) for index in range(len(HULL.stations))]
    ends = [transom_section(HULL, end)[0] for end in ("fore", "aft")]  # type: ignore[arg-type]
    girths = np.stack([girths_of_marks(one) for one in (ends[0], *sections, ends[1])], axis=1)
    run = run_of(places, HULL, girths)
    return places, run, laps_of(places, HULL, run, girths[None])


@pytest.fixture(scope="module")
def faces() -> tuple[Face, ...]:
    """Return the strakes of the prism in the plane square to its lands."""
    return prism_faces(PLANKING)


def test_marks_lie_on_the_lands_and_lands_run_along_the_prism(worked: tuple[Places, Run, Laps]) -> None:
    places, run, laps = worked
    for column, x in enumerate(laps.upper[0, 0, :, 0]):
        if 0 < column < len(places.names) - 1:
            assert laps.upper[0, :, column] == pytest.approx(in_space(MARKS, x), abs=1e-3)
    assert run.tangent == pytest.approx(np.broadcast_to(ALONG, run.tangent.shape), abs=1e-5)
    assert run.offset == pytest.approx(0.0)
    assert (run.gerald == 0.0).all()


def test_bevels_and_normals_are_those_of_the_faces(worked: tuple[Places, Run, Laps], faces: tuple[Face, ...]) -> None:
    _, run, laps = worked
    for strake, face in enumerate(faces):
        normal = np.broadcast_to(face.normal, run.normal[strake].shape)
        assert laps.normal[0, strake] == pytest.approx(normal, abs=2e-4)
        assert run.normal[strake] == pytest.approx(normal, abs=1e-3)
    for land, (below, above) in enumerate(pairwise(faces)):
        a, b = below.out, above.out
        assert laps.bevel[0, land] == pytest.approx(np.arctan2(a[0] * b[1] - a[1] * b[0], a @ b), abs=1e-3)


def test_an_edge_lacks_what_planing_leaves_it_less_than_its_own_least(
    worked: tuple[Places, Run, Laps], faces: tuple[Face, ...]
) -> None:
    """A convex land is planed off the strake below, a hollow one off the strake above."""
    for land, (below, above) in enumerate(pairwise(faces), start=1):
        thickness, step = PLANKING.thickness[land - 1], above.upper - below.upper
        y, z = step @ below.up, step @ below.out
        is_hollow = land == 1
        off = LAP * (z - thickness) / y if is_hollow else thickness - (z + (thickness - z) * y / (y + LAP))
        planed = land if is_hollow else land - 1
        lacks = PLANKING.least_edge[planed] - (PLANKING.thickness[planed] - off)
        assert worked[2].shortage[0, land - 1] == pytest.approx(lacks, abs=0.02)


@pytest.mark.parametrize("hull", [dinghy(), double_ender()], ids=["dinghy", "double-ender"])
def test_slopes_of_places_are_how_their_points_move_with_the_girth(hull: Hull) -> None:
    places = places_of(hull, rabbet_line(hull), np.arange(len(hull.stations)))
    girths = places.girth * np.linspace(0.02, 0.97, 23)[:, None]
    points, slopes = places.points(girths)
    moved = (places.points(girths + 0.01)[0] - places.points(girths - 0.01)[0]) / 0.02
    assert slopes == pytest.approx(moved, abs=2e-4)
    # girths are lengths, so a point moves by as much as its girth
    assert np.linalg.norm(slopes, axis=-1) == pytest.approx(1.0, abs=2e-2)
    assert np.linalg.norm(np.diff(points, axis=0), axis=-1).sum(axis=0) == pytest.approx(
        0.95 * places.girth, rel=2e-3
    )
