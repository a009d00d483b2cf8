"""The three worked boats: figures from a separate calculation, and what must hold whatever the figures are."""

from collections.abc import Callable

import numpy as np
import pytest

from templates_gen.geometry.bending import bending
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import extent
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull
from tests.boats import Array, dinghy, double_ender, pram, rabbet_in_battens
from tests.flow import boat_of, shell_of

MAKERS: dict[str, Callable[[], Hull]] = {"dinghy": dinghy, "double-ender": double_ender, "pram": pram}
HALF_DEGREE, MILLIMETRE = 0.5, 1.0


@pytest.fixture(scope="module", params=list(MAKERS))
def shell(request: pytest.FixtureRequest) -> PlankedShell:
    return shell_of(MAKERS[request.param]())


@pytest.fixture(scope="module")
def worked() -> dict[str, Boat]:
    """The boats as the separate calculation had them."""
    return {name: boat_of(rabbet_in_battens(make())) for name, make in MAKERS.items()}


def stations(shell: PlankedShell) -> Array:
    return np.array([s.at for s in shell.hull.stations])


def lands(shell: PlankedShell) -> range:
    return range(1, shell.planking.strakes)


# ---- what must hold ----


def test_twice_as_many_rulings_move_nothing(shell: PlankedShell) -> None:
    fine = shell_of(shell.hull, 2)
    u = np.linspace(shell.u_fore, shell.u_aft, 301)
    for strake in range(1, shell.planking.strakes + 1):
        for v in (0.0, 0.5, 1.0):
            share = np.full_like(u, v)
            assert np.max(np.linalg.norm(shell.face(strake, u, share) - fine.face(strake, u, share), axis=1)) < 0.02
    for land in lands(shell):
        assert np.max(np.abs(shell.bevel(land, u) - fine.bevel(land, u))) < np.radians(0.01)
        for name in ("take_off", "edge_left", "gap_before"):
            assert np.max(np.abs(getattr(shell, name)(land, u) - getattr(fine, name)(land, u))) < 0.02


def test_what_both_strakes_lose_is_their_overlap(shell: PlankedShell) -> None:
    u = np.linspace(shell.u_fore, shell.u_aft, 401)
    for land in lands(shell):
        at, off, thickness = shell.lapping(land, u), shell.losses(land, u), shell.planking.thickness[land - 1]
        assert off.lower_at_edge + off.upper_at_edge == pytest.approx(thickness - at.stand_off, abs=1e-9)
        assert off.lower_at_lap_line + off.upper_at_lap_line == pytest.approx(thickness - at.stand_off_lap, abs=1e-9)
        for part in (off.upper_at_edge, off.upper_at_lap_line, off.lower_at_edge):
            assert part.min() > -1e-9


def test_corners_rebuilt_from_the_lay_of_the_strakes_are_the_corners(shell: PlankedShell) -> None:
    """From P_k, its face and edge, h and T alone: the face above runs from (-lap, h + lap T) through (y, h - T y)."""
    u = np.linspace(shell.u_fore, shell.u_aft, 301)
    for land in lands(shell):
        corner, at = shell.upper(land, u), shell.lapping(land, u)
        edges = shell.strakes[land - 1]
        tangent = _unit(np.asarray(edges.slopes(u)[:, 1]))
        outward = shell.normal(land, u, np.ones_like(u))
        up = np.cross(tangent, outward)
        for point, reach in (
            (shell.lower(land + 1, shell.over(land, u)), np.full_like(u, -shell.planking.lap)),
            (shell.upper(land + 1, u), at.y),
        ):
            offset = point - corner
            rebuilt = reach[:, None] * up + (at.stand_off - at.slope * reach)[:, None] * outward
            across = offset - np.sum(offset * tangent, axis=1, keepdims=True) * tangent
            assert np.max(np.linalg.norm(across - rebuilt, axis=1)) < 0.05


def _unit(vectors: Array) -> Array:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=1, keepdims=True))


def test_the_gap_runs_over_the_take_off_by_the_lap_over_the_width(shell: PlankedShell) -> None:
    """Two straights from the next mark, one by the corner and one by the lap line: similar triangles."""
    x = stations(shell)
    for land in lands(shell):
        at = shell.lapping(land, x)
        plain = (at.slope_lap > 0.02) & (at.gerald == 0.0)
        expected = shell.take_off(land, x) * (1.0 + shell.planking.lap / at.y)
        assert shell.gap_before(land, x)[plain] == pytest.approx(expected[plain], abs=1e-6)


# ---- figures of the separate calculation, good to half a degree and a millimetre ----

WORST_BEVELS = {
    "dinghy": [7.0, 4.9, 5.8, 7.2, 8.2, 10.0, 11.1, 12.2],
    "double-ender": [8.1, 5.9, 7.3, 9.1, 9.9],
    "pram": [8.5, 6.0, 6.5, 7.2, 7.3, 8.5, 9.3],
}


def everywhere(shell: PlankedShell) -> Array:
    return np.linspace(shell.u_fore, shell.u_aft, 600)


@pytest.mark.parametrize("name", list(MAKERS))
def test_worst_bevels_of_every_land(worked: dict[str, Boat], name: str) -> None:
    """Land 1 of the dinghy is left out: test_worked_readings.py says why."""
    shell = worked[name].shell
    for land, bevel in enumerate(WORST_BEVELS[name], start=1):
        if (name, land) == ("dinghy", 1):
            continue
        found = np.degrees(shell.bevel(land, everywhere(shell)).max())
        assert found == pytest.approx(bevel, abs=HALF_DEGREE), land


def test_the_dinghy_s_garboard_turns_hollow_toward_the_heel(worked: dict[str, Boat]) -> None:
    shell = worked["dinghy"].shell
    aft = np.array([shell.u_aft])
    assert np.degrees(shell.bevel(1, aft)[0]) == pytest.approx(-11.3, abs=HALF_DEGREE)
    fourth, fifth = np.degrees(shell.bevel(1, np.array([2400.0, 3000.0])))
    assert fourth > 0.0 > fifth
    assert shell.bevel(2, np.array([3000.0]))[0] > 0.0
    abaft = np.degrees(shell.bevel(2, np.linspace(3000.0, shell.u_aft, 100)))
    assert abaft.min() == pytest.approx(-0.6, abs=HALF_DEGREE)
    assert shell.edge_left(1, aft)[0] == pytest.approx(2.6, abs=0.3)


@pytest.mark.parametrize(
    ("name", "take_off", "left"), [("dinghy", 4.1, 4.5), ("double-ender", 4.4, 6.7), ("pram", 2.9, 3.1)]
)
def test_most_that_comes_off_and_least_that_is_left(
    worked: dict[str, Boat], name: str, take_off: float, left: float
) -> None:
    """Clear of the geralds, where half is left whatever the bevel."""
    shell = worked[name].shell
    x = everywhere(shell)
    clear = [x[shell.lapping(land, x).gerald < 1e-9] for land in lands(shell)]
    off = max(shell.take_off(land, u).max() for land, u in enumerate(clear, start=1))
    least = min(shell.edge_left(land, u).min() for land, u in enumerate(clear, start=1))
    assert off == pytest.approx(take_off, abs=0.2)
    assert least == pytest.approx(left, abs=0.2) if name != "dinghy" else least > left


@pytest.mark.parametrize(
    ("name", "end", "angles", "depths", "seats"),
    [
        ("dinghy", "fore", (15.0, 41.0), (6.8, 8.7), (10.0, 35.0)),
        ("double-ender", "fore", (12.0, 33.0), (9.3, 10.9), (17.0, 52.0)),
        ("double-ender", "aft", (10.5, 29.5), (9.7, 10.9), (19.5, 60.0)),
    ],
)
def test_rebates_of_stem_and_post(
    worked: dict[str, Boat],
    name: str,
    end: str,
    angles: tuple[float, float],
    depths: tuple[float, float],
    seats: tuple[float, float],
) -> None:
    """At the strakes' ends; round the dinghy's forefoot, further down, the planking stands closer still."""
    found = [r for r in worked[name].rebates if r.on == end and r.place in ("lower", "upper")]
    degrees = np.degrees([r.angle for r in found])
    assert (degrees.min(), degrees.max()) == pytest.approx(angles, abs=HALF_DEGREE)
    assert (min(r.depth for r in found), max(r.depth for r in found)) == pytest.approx(depths, abs=0.1)
    assert (min(r.seat for r in found), max(r.seat for r in found)) == pytest.approx(seats, abs=MILLIMETRE)


def test_keel_rebates(worked: dict[str, Boat]) -> None:
    angles = {name: [np.degrees(r.angle) for r in boat.rebates if r.on == "keel"] for name, boat in worked.items()}
    assert angles["dinghy"] == pytest.approx([43, 64, 76, 74, 62], abs=HALF_DEGREE)
    assert (min(angles["pram"]), max(angles["pram"])) == pytest.approx((70, 78), abs=0.7)


def test_bevels_of_the_transoms(worked: dict[str, Boat]) -> None:
    """At the strakes' middles. The dinghy's greatest, given as 21, is in test_worked_readings.py."""
    found = {(name, t.end): np.degrees(t.bevels) for name, boat in worked.items() for t in boat.transoms}
    assert (found["pram", "fore"].min(), found["pram", "fore"].max()) == pytest.approx((31, 37), abs=HALF_DEGREE)
    assert (found["pram", "aft"].min(), found["pram", "aft"].max()) == pytest.approx((22, 33), abs=HALF_DEGREE)
    assert found["dinghy", "aft"].min() == pytest.approx(14, abs=HALF_DEGREE)


@pytest.mark.parametrize(("name", "strake", "width"), [("dinghy", 5, 119.0), ("double-ender", 4, 176.0)])
def test_the_strake_that_needs_the_widest_board(
    worked: dict[str, Boat], name: str, strake: int, width: float
) -> None:
    """The boards' own widths are in test_worked_readings.py."""
    found = [extent(flat) for flat in worked[name].strakes]
    widest = max(range(len(found)), key=lambda i: found[i].blank[1])
    assert widest + 1 == strake
    assert found[widest].greatest_width == pytest.approx(width, abs=MILLIMETRE)


@pytest.mark.parametrize(
    ("name", "shortest", "longest"), [("dinghy", 3400, 3850), ("double-ender", 4250, 5100), ("pram", 2510, 2600)]
)
def test_lengths_of_the_boards(worked: dict[str, Boat], name: str, shortest: float, longest: float) -> None:
    """Given to 10 and 50 mm."""
    lengths = [extent(flat).blank[0] for flat in worked[name].strakes]
    assert min(lengths) == pytest.approx(shortest, abs=20.0)
    assert max(lengths) == pytest.approx(longest, abs=20.0)


@pytest.mark.parametrize(("name", "first", "times"), [("dinghy", 2, 230), ("double-ender", 1, 250), ("pram", 1, 300)])
def test_nothing_bends_hard_but_the_dinghy_s_garboard_at_the_forefoot(
    worked: dict[str, Boat], name: str, first: int, times: float
) -> None:
    """Given as over 250 thicknesses (300 the pram's); where the dinghy's geralds start it is a little less."""
    boat = worked[name]
    for flat in boat.strakes[first - 1 :]:
        assert bending(flat).least_bend_radius / boat.hull.planking.thickness[flat.number - 1] > times
    assert max(np.degrees(bending(flat).twist_per_metre) for flat in boat.strakes) < 90.0
