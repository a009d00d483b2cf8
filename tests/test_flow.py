"""What the tests keep for each other: no test can spoil it."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.refining import planked_shell
from templates_gen.hull.model import Thwart
from tests import boats
from tests.flow import boat_of, folio, forget, shell_of

ARRAYS: dict[str, Callable[[Boat], NDArray[np.float64]]] = {
    "hull": lambda boat: boat.hull.stations[0].section,
    "shell": lambda boat: boat.shell.grid,
    "strake": lambda boat: boat.strakes[0].strip.points,
    "path": lambda boat: folio(boat, "moulds").pieces[0].paths[0].points,
}


@pytest.mark.parametrize("name", ARRAYS)
def test_what_is_kept_is_read_only(name: str) -> None:
    hull = boats.pram()
    boat = boat_of(hull)
    assert boat_of(boats.pram()) is boat
    assert shell_of(hull) is boat.shell
    with pytest.raises(ValueError, match="read-only"):
        ARRAYS[name](boat)[...] = 0.0


def test_boats_that_are_planked_once_have_the_planks_of_their_own_hulls_and_their_own_names() -> None:
    plain = boats.pram()
    marked = replace(
        plain, name="Teasel", edition="2", fingerprint="0a1b2c3d", inside=(Thwart(0, 1, 1300.0, 1500.0, 330.0, 18.0),)
    )
    forget()  # what was kept for the shells of long ago may be gone
    first, second, anew = boat_of(plain), boat_of(marked), boat_on(planked_shell(land_marks(marked)))
    assert second.strakes is first.strakes
    assert (first.hull.name, first.shell.hull.name) == (plain.name, plain.name)
    assert (second.hull.name, second.shell.hull.name, second.hull.fingerprint) == ("Teasel", "Teasel", "0a1b2c3d")
    assert (len(first.inside), len(second.inside)) == (0, 1)
    for one, other in zip(second.strakes, anew.strakes, strict=True):
        assert (one.strip.points == other.strip.points).all()
    for shape, same in zip(second.moulds, anew.moulds, strict=True):
        assert (shape.land_marks == same.land_marks).all()
