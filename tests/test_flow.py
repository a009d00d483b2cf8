"""What the tests keep for each other: no test can spoil it."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from tests import boats
from tests.flow import boat_of, folio, shell_of

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
