"""The three hull files of the project: their figures are what their remarks say they are."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.interpolate import CubicSpline

from templates_gen.hull.model import Hull, Transom
from templates_gen.hull.reader import read_hull
from templates_gen.hull.schema import TABLES

HULLS = Path(__file__).parents[2] / "hulls"


@pytest.fixture(scope="module")
def double_ender() -> Hull:
    return read_hull(HULLS / "double_ender.toml")


def girth(rabbet: NDArray[np.float64], section: NDArray[np.float64]) -> float:
    """Return the straight from rabbet to section and on along a cubic batten through the section, left long, mm."""
    marks = np.r_[0, np.cumsum(np.linalg.norm(np.diff(section, axis=0), axis=1))]
    along = CubicSpline(marks, section, bc_type="not-a-knot").derivative()
    pieces = [quad(lambda at: float(np.linalg.norm(along(at))), start, stop)[0] for start, stop in pairwise(marks)]
    return float(np.linalg.norm(section[0] - rabbet)) + sum(pieces)


def test_the_measure_of_girth_is_right_on_a_quarter_circle() -> None:
    angles = np.linspace(0, np.pi / 2, 9)
    arc = 500 * np.column_stack([np.sin(angles), 1 - np.cos(angles)])
    assert girth(np.array([0.0, -30.0]), arc) == pytest.approx(30 + 250 * np.pi, abs=0.05)


def test_the_double_ender_has_strakes_of_equal_girth_to_a_sixteenth(double_ender: Hull) -> None:
    for station in double_ender.stations:
        even = girth(station.rabbet, station.section) * np.arange(1, 7) / 6
        assert double_ender.lands.at[station.name] == pytest.approx(even, abs=25.4 / 32 + 0.01)


def test_the_double_enders_lands_rise_evenly_on_stem_and_post(double_ender: Hull) -> None:
    for name in ("fore", "aft"):
        row = double_ender.lands.at[name]
        assert row == pytest.approx(np.linspace(row[0], row[-1], 6), abs=25.4 / 32 + 0.01)


def test_the_boats_have_the_size_that_their_remarks_give() -> None:
    lengths = {"dinghy": 3640, "double_ender": (15 * 12 + 9) * 25.4, "pram": 2620}
    for name, length in lengths.items():
        hull = read_hull(HULLS / f"{name}.toml")
        ends = [end.profile if isinstance(end, Transom) else end.rabbet for end in (hull.fore, hull.aft)]
        assert ends[1][:, 0].max() - ends[0][:, 0].min() == pytest.approx(length, abs=10)


def test_the_files_of_dinghy_and_pram_show_every_key_that_a_hull_file_may_have() -> None:
    text = (HULLS / "dinghy.toml").read_text() + (HULLS / "pram.toml").read_text()
    for table in TABLES.values():
        for key in table.model_fields:
            assert f"{key} = " in text or f"[{key}]" in text or f".{key}]" in text, key
