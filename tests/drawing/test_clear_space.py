"""Room for lettering on a long piece: what is taken, what is off the wood, what is nearest."""

import numpy as np
import pytest

from templates_gen.drawing.clear_space import ClearSpace

SPINE = np.array([[0.0, 0.0], [1000.0, 100.0]])
OUT = np.array([0.0, 50.0])


@pytest.fixture
def space() -> ClearSpace:
    """A straight plank 100 mm wide along a spine that rises one in ten, with square ends."""
    made = ClearSpace(SPINE, 70.0)
    lower, upper = SPINE - OUT, SPINE + OUT
    made.keep_within(lower, upper, np.stack([lower[0], upper[0]]), np.stack([lower[1], upper[1]]))
    return made


def test_a_box_can_be_taken_once(space: ClearSpace) -> None:
    assert space.take(100.0, 150.0, -10.0, 10.0)
    assert not space.take(100.0, 150.0, -10.0, 10.0)
    assert not space.take(140.0, 180.0, 5.0, 15.0)
    assert space.take(160.0, 180.0, -10.0, 10.0)


@pytest.mark.parametrize(
    "box",
    [(100.0, 150.0, 45.0, 55.0), (100.0, 150.0, -60.0, -45.0), (-20.0, 20.0, 0.0, 5.0), (990.0, 1010.0, 0.0, 5.0)],
)
def test_nothing_is_put_off_the_wood_unless_it_may(space: ClearSpace, box: tuple[float, float, float, float]) -> None:
    assert not space.take(*box)
    assert space.take(*box, on_wood=False)


def test_nothing_is_put_over_a_line(space: ClearSpace) -> None:
    space.block(np.array([[300.0, -20.0]]), np.array([[310.0, 80.0]]))
    assert not space.take(280.0, 330.0, 0.0, 4.0)
    assert space.take(315.0, 345.0, 0.0, 4.0)


def test_the_nearest_room_is_as_near_as_may_be(space: ClearSpace) -> None:
    assert space.nearest(500.0, 200.0, 0.0, 60.0, 20.0) == pytest.approx((500.0, 0.0), abs=2.0)
    second = space.nearest(500.0, 200.0, 0.0, 60.0, 20.0)
    assert second is not None
    assert abs(second[0] - 500.0) <= 66.0
    assert not space.take(second[0] - 29.0, second[0] + 29.0, second[1] - 9.0, second[1] + 9.0)


def test_where_there_is_no_room_none_is_found(space: ClearSpace) -> None:
    assert space.nearest(500.0, 200.0, 0.0, 60.0, 110.0) is None
    assert space.nearest_on_lane(500.0, 200.0, SPINE + 0.94 * OUT, 1.0, 60.0, 5.0) is None


def test_room_along_a_line_lies_on_it(space: ClearSpace) -> None:
    lane = SPINE + 0.4 * OUT
    found = space.nearest_on_lane(400.0, 200.0, lane, 1.0, 60.0, 5.0)
    assert found == pytest.approx(400.0, abs=2.0)
    assert not space.take(380.0, 420.0, 22.0, 25.0)
    assert space.take(380.0, 420.0, 10.0, 18.0)
