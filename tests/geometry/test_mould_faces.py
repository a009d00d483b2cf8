"""A mould's two faces on a boat whose lands are straight lines in space, and on the worked boats."""

from dataclasses import replace

import numpy as np
import pytest

from templates_gen.geometry.moulds import mould_faces, mould_shape, planking_corners
from templates_gen.hull.model import Array, Hull, Moulds
from tests.boats import dinghy, pram
from tests.flow import shell_of
from tests.geometry.straight_boats import CLOSING, marks_at, straight_boat


def test_a_mould_stands_on_the_side_toward_which_the_planking_closes() -> None:
    closing, opening = straight_boat(np.full(4, -0.1)), straight_boat(np.full(4, 0.1))
    assert mould_faces(closing, mould_shape(closing, 1)).wood == "aft"
    assert mould_faces(opening, mould_shape(opening, 1)).wood == "fore"


@pytest.mark.parametrize("closing", [np.full(4, -0.1), np.full(4, 0.12), np.array([-0.02, -0.06, -0.1, -0.12])])
def test_what_comes_off_each_flat_is_what_its_marks_move_over_the_mould_s_thickness(closing: Array) -> None:
    shell = straight_boat(closing)
    faces = mould_faces(shell, mould_shape(shell, 1))
    x = 1018.0 if faces.wood == "aft" else 982.0
    here, there = marks_at(1000.0, closing), marks_at(x, closing)
    for k in range(1, 4):  # the flats between marks; the garboard's lower corner has no closed form here
        np.testing.assert_allclose(faces.far[k], there[k - 1 : k + 1], atol=1e-6)
        along = here[k] - here[k - 1]
        inward = np.array([-along[1], along[0]]) / np.linalg.norm(along)
        moved = (there[k - 1 : k + 1] - here[k - 1 : k + 1]).mean(axis=0) @ inward
        assert faces.taken[k] == pytest.approx(moved, abs=1e-6)
        assert 18.0 * np.tan(faces.bevels[k]) == pytest.approx(moved, abs=1e-6)


def test_a_flat_that_opens_away_from_the_wood_has_a_negative_figure() -> None:
    shell = straight_boat(np.array([-0.1, -0.1, -0.1, 0.05]))
    faces = mould_faces(shell, mould_shape(shell, 1))
    assert faces.wood == "aft"
    assert faces.taken[1] > 0.5
    shell = straight_boat(np.array([-0.06, -0.06, 0.015, 0.025]))
    assert mould_faces(shell, mould_shape(shell, 1)).taken[3] < 0.0


def test_a_smooth_mould_s_far_face_runs_through_the_same_corners() -> None:
    straight, smooth = straight_boat(CLOSING), straight_boat(CLOSING, "smooth")
    faceted = mould_faces(straight, mould_shape(straight, 1))
    fair = mould_faces(smooth, mould_shape(smooth, 1))
    for flat, curve in zip(faceted.far, fair.far, strict=True):
        np.testing.assert_allclose(curve[[0, -1]], flat, atol=1e-9)
        assert len(curve) > 2


@pytest.mark.parametrize("hull", [dinghy(), pram()], ids=["dinghy", "pram"])
def test_corners_beyond_the_last_station_still_lie_in_their_plane(hull: Hull) -> None:
    shell = shell_of(hull)
    x = hull.stations[0].at - 30.0
    corners = planking_corners(shell, x)
    for strake in range(1, hull.planking.strakes + 1):
        u = np.linspace(shell.u_fore, hull.stations[0].at, 4000)
        edge = shell.upper(strake, u)
        there = [np.interp(x, edge[:, 0], edge[:, axis]) for axis in (1, 2)]
        np.testing.assert_allclose(corners[strake], there, atol=1e-3)


@pytest.mark.parametrize("hull", [dinghy(), pram()], ids=["dinghy", "pram"])
def test_a_flat_s_bevel_is_near_that_of_the_planking_on_it(hull: Hull) -> None:
    # A flat runs from corner to corner and the strake on it stands off the lower one, so they part by about a degree.
    shell = shell_of(hull)
    for index in range(len(hull.stations)):
        shape = mould_shape(shell, index)
        faces = mould_faces(shell, shape)
        sign = 1.0 if faces.wood == "aft" else -1.0
        np.testing.assert_allclose(sign * faces.bevels, shape.face_bevels, atol=np.radians(1.5))


def test_a_thicker_mould_loses_more() -> None:
    hull = dinghy()
    thin, thick = (shell_of(replace(hull, moulds=Moulds(t, "faceted", 900.0))) for t in (9.0, 18.0))
    first = mould_faces(thin, mould_shape(thin, 4)).taken
    second = mould_faces(thick, mould_shape(thick, 4)).taken
    np.testing.assert_allclose(second, 2.0 * first, rtol=0.05)
