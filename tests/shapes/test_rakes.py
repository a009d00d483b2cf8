"""The fore stem of the demonstration boats at every rake: all build, and nothing jumps from rake to rake.

`python -m tests.bench.bench_shapes --rakes` sweeps all of them every 5 degrees.
"""

from pathlib import Path

import numpy as np
import pytest

from templates_gen.hull.reader import read_hull
from templates_gen.report.strakes import strake_findings
from tests.flow import boat_of, measurements, shell_errors, shell_of
from tests.shapes.figures import Planks, impossible_figures
from tests.shapes.rakes import Kink, kinks, measures, raked, with_fixed_lands
from tests.sweep import more

HULLS = Path(__file__).parents[2] / "hulls"


def test_a_sheared_stem_has_the_rake_that_was_asked_for() -> None:
    hull = raked(read_hull(HULLS / "dinghy.toml"), 40.0)
    (x_low, low), (x_high, high) = hull.fore.rabbet[-2:]
    assert np.degrees(np.arctan2(x_low - x_high, high - low)) == pytest.approx(40.0)
    assert hull.fore.rabbet[0].tolist() == [420.0, 63.5]


@pytest.mark.parametrize(
    ("name", "lands", "rake"),
    [
        *(("dinghy", "its own", -15.0), ("double_ender", "its own", 65.0), ("double_ender", "kept", 25.0)),
        *more(("dinghy", "kept", 65.0), ("faering", "its own", 65.0)),
        *more(("dinghy", "its own", 25.0), ("dinghy", "its own", 65.0), ("dinghy", "kept", -15.0)),
        *more(("dinghy", "kept", 25.0), ("double_ender", "its own", -15.0), ("double_ender", "its own", 25.0)),
        *more(("double_ender", "kept", -15.0), ("double_ender", "kept", 65.0)),
        *more(("faering", "its own", -15.0), ("faering", "its own", 25.0)),
    ],
)
def test_a_stem_of_any_rake_can_be_planked(name: str, lands: str, rake: float) -> None:
    hull = read_hull(HULLS / f"{name}.toml")
    hull = raked(hull if lands == "its own" else with_fixed_lands(hull), rake)
    shell = shell_of(hull)
    assert [finding.text for finding in shell_errors(shell)] == []
    planking = hull.planking
    laps = [planking.lap_on(land) for land in range(1, planking.strakes)]
    record = measurements(boat_of(hull))
    assert [str(figure) for figure in impossible_figures(record, Planks(planking.thickness, laps))] == []


@pytest.mark.parametrize(
    ("name", "rakes"),
    [("double_ender", range(25, 50, 5)), *more(("dinghy", range(15, 40, 5)), ("faering", range(5, 40, 5)))],
)
def test_nothing_jumps_from_rake_to_rake_while_the_lands_are_kept(name: str, rakes: range) -> None:
    hull = with_fixed_lands(read_hull(HULLS / f"{name}.toml"))
    hulls = [raked(hull, rake) for rake in rakes]
    shells = [shell_of(one) for one in hulls]
    assert [finding.text for shell in shells for finding in shell_errors(shell)] == []
    found = [measures(measurements(boat_of(one))) for one in hulls]
    cornered = dict(zip(rakes, [shell.hung.stems["fore"].rabbet.cornered for shell in shells], strict=True))

    def has_another_end(kink: Kink) -> bool:
        """Whether the garboard's straight end begins at the foot at one rake and above it at the next.

        That end is longer or shorter at a stroke, and so is the garboard; its face at land 1 turns with it.
        """
        flags = {cornered[int(kink.rake) + step] for step in (-5, 0, 5)}
        return len(flags) > 1 and kink.measure.startswith(("strake 1 length", "land 1 "))

    assert [str(kink) for kink in kinks(rakes, found) if not has_another_end(kink)] == []


@pytest.mark.parametrize("rake", [5.0, *more(10.0, 15.0)])
def test_a_straight_end_is_no_longer_than_its_forefoot_allows_and_a_note_says_so(rake: float) -> None:
    hull = raked(read_hull(HULLS / "faering.toml"), rake)
    boat = boat_of(hull)
    stem = boat.shell.hung.stems["fore"]
    low, high = stem.parameters[:2]
    profile = stem.rabbet.batten.point(np.linspace(low, high, 2001))[:, [0, 2]]
    x, z = profile[-1] - profile[0]
    sag = np.max(np.abs((profile - profile[0]) @ [-z, x])) / np.hypot(x, z)
    assert sag == pytest.approx(hull.planking.thickness[0] / 2, abs=0.01)
    notes = [finding for finding in strake_findings(boat) if finding.key == ("planking", "hood")]
    assert len(notes) == 1
    assert notes[0].value == pytest.approx(float(np.ptp(stem.rabbet.distance_from_foot(stem.parameters[:2]))))
    assert "with the hood of 260 mm it would leave the rabbet line's curve" in notes[0].text


def test_a_measure_that_jumps_in_a_sweep_is_found() -> None:
    rakes = np.arange(0.0, 41.0, 5.0).tolist()
    smooth = [{"land 1 fore bevel": float(np.tan(np.radians(rake)) * 20.0)} for rake in rakes]
    assert list(kinks(rakes, smooth)) == []
    smooth[4]["land 1 fore bevel"] += 4.0
    assert [kink.rake for kink in kinks(rakes, smooth)] == [15.0, 20.0, 25.0]
