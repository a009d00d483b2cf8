"""Where a land counts as hollow, and how its place is written."""

from dataclasses import replace

import numpy as np
import pytest

from templates_gen.geometry.places import gerald_start, hollow_runs, spoken_hollow
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull
from tests import boats
from tests.flow import shell_of


@pytest.fixture(scope="module")
def dinghy() -> PlankedShell:
    return shell_of(boats.dinghy())


def test_the_dinghy_s_garboard_land_is_hollow_from_where_the_bevel_is_nothing_to_the_gerald(
    dinghy: PlankedShell,
) -> None:
    """The worked boat's garboard land is convex at the fourth mould and hollow at the fifth."""
    (run,) = hollow_runs(dinghy, 1)
    assert (run.fore.limit, run.aft.limit) == ("nothing", "gerald")
    assert dinghy.lapping(1, np.array([run.fore.u])).slope[0] == pytest.approx(0.0, abs=1e-3)
    assert 2400.0 < run.fore.u < 3000.0
    assert run.fore.x == pytest.approx(dinghy.upper(1, np.array([run.fore.u]))[0, 0])
    assert run.aft.u == gerald_start(dinghy, 1, "aft")


def test_the_place_is_written_from_the_nearest_mould_along_the_land(dinghy: PlankedShell) -> None:
    (run,) = hollow_runs(dinghy, 1)
    assert run.fore.near.station == "5"
    u = np.linspace(run.fore.u, 3000.0, 2001)
    length = np.linalg.norm(np.diff(dinghy.upper(1, u), axis=0), axis=1).sum()
    assert run.fore.beyond == pytest.approx(-length, abs=0.01)
    words = spoken_hollow(dinghy, run)
    written = float(words.removeprefix("from ").split(" mm forward of mould 5 to ")[0])
    assert written == pytest.approx(length, abs=0.25)
    assert words.endswith(" to the start of the after gerald")


def test_with_full_laps_a_hollow_runs_to_the_end() -> None:
    hull = boats.dinghy()
    shell = shell_of(replace(hull, planking=replace(hull.planking, gerald_aft=None)))
    (run,) = hollow_runs(shell, 1)
    assert run.aft.limit == "end"
    assert run.aft.u == shell.u_aft
    assert spoken_hollow(shell, run).endswith(" to the after end")


@pytest.mark.parametrize("hull", [boats.dinghy(), boats.double_ender(), boats.pram()], ids=lambda hull: hull.name)
def test_a_land_counts_as_hollow_just_where_its_bevel_is_half_a_degree_clear_of_geralds(
    hull: Hull,
) -> None:
    shell = shell_of(hull)
    u = np.linspace(shell.u_fore, shell.u_aft, 3001)
    for land in range(1, hull.planking.strakes):
        at = shell.lapping(land, u)
        counts = (at.gerald == 0.0) & (shell.bevel(land, u) <= np.radians(-0.5)) & (at.slope < 0.0)
        runs = hollow_runs(shell, land)
        assert bool(runs) == bool(counts.any())
        inside = np.zeros(len(u), dtype=bool)
        for run in runs:
            inside |= (u >= run.fore.u) & (u <= run.aft.u)
        assert not (counts & ~inside).any()
        assert not (inside & (at.slope > 1e-3)).any()
