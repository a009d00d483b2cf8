"""A land's greatest bevel and least edge: looked for everywhere clear of its geralds, and given their true place."""

from dataclasses import replace

import numpy as np
import pytest

from templates_gen.geometry.places import land_extremes, land_places, outside_geralds
from templates_gen.hull.model import Hull
from tests import boats
from tests.flow import shell_of

FULL_LAPS = replace(boats.dinghy(), planking=replace(boats.dinghy().planking, gerald_aft=None))


@pytest.mark.parametrize(
    "hull", [boats.dinghy(), FULL_LAPS, boats.double_ender(), boats.pram()], ids=lambda h: h.name
)
def test_nothing_clear_of_the_geralds_is_worse(hull: Hull) -> None:
    shell = shell_of(hull)
    u = np.linspace(shell.u_fore, shell.u_aft, 4003)
    for land in range(1, hull.planking.strakes):
        worst, clear = land_extremes(shell, land), u[outside_geralds(shell, land, u)]
        # The named place may be a little off the extreme, as long as both are written alike: to half a degree, 0.1 mm
        # or a 64th of an inch.
        assert abs(worst.bevel.value) == pytest.approx(np.abs(shell.bevel(land, clear)).max(), abs=np.radians(0.5))
        assert worst.take_off.value == pytest.approx(shell.take_off(land, clear).max(), abs=0.4)
        assert worst.left.value == pytest.approx(shell.edge_left(land, clear).min(), abs=0.4)
        assert worst.is_whole == (len(clear) == len(u))


def test_between_moulds_the_place_is_given_by_its_distance_along_the_land() -> None:
    """The first land of the dinghy is left thinnest between the first mould and the half-way abaft it."""
    shell = shell_of(boats.dinghy())
    names = {place.station: place.u for place in land_places(shell, 1) if place.kind == "station"}
    left = land_extremes(shell, 1).left
    far, near = left.where.split(" mm aft of mould ")
    u = np.linspace(names[near], names[near] + 400.0, 4001)
    points = shell.upper(1, u)
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    at = int(np.argmin(np.abs(run - float(far))))
    assert shell.edge_left(1, u)[at] == pytest.approx(left.value, abs=0.005)
    assert left.value == pytest.approx(shell.edge_left(1, u).min(), abs=0.001)
