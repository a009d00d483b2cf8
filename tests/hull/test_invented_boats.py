"""The four hull files of the project: their figures are what their remarks say they are."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from pydantic import BaseModel
from scipy.integrate import quad
from scipy.interpolate import CubicSpline

from templates_gen.hull import schema
from templates_gen.hull.model import Hull, Stem, Transom
from templates_gen.hull.reader import read_hull

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
    lengths = {"dinghy": 3640, "double_ender": (15 * 12 + 9) * 25.4, "pram": 2620, "faering": 5160}
    for name, length in lengths.items():
        hull = read_hull(HULLS / f"{name}.toml")
        ends = [end.profile if isinstance(end, Transom) else end.rabbet for end in (hull.fore, hull.aft)]
        assert ends[1][:, 0].max() - ends[0][:, 0].min() == pytest.approx(length, abs=10)


@pytest.fixture(scope="module")
def faering() -> Hull:
    return read_hull(HULLS / "faering.toml")


def rabbet_from_amidships_aft(hull: Hull) -> NDArray[np.float64]:
    """(distance, height) of the rabbet from the midship station up to the sternpost's head."""
    assert isinstance(hull.aft, Stem)
    keel = np.array([[s.at, s.rabbet[1]] for s in hull.stations[len(hull.stations) // 2 :]])
    return np.vstack([keel, hull.aft.rabbet])


def test_the_faerings_two_ends_are_alike(faering: Hull) -> None:
    assert isinstance(faering.fore, Stem)
    assert isinstance(faering.aft, Stem)
    length = faering.aft.rabbet[-1, 0]
    assert faering.aft.rabbet * [-1, 1] + [length, 0] == pytest.approx(faering.fore.rabbet)
    assert faering.lands.at["fore"] == pytest.approx(faering.lands.at["aft"])
    for one, other in zip(faering.stations, reversed(faering.stations), strict=True):
        assert one.at + other.at == pytest.approx(length)
        assert np.vstack([one.rabbet, one.section]) == pytest.approx(np.vstack([other.rabbet, other.section]))


def test_the_faerings_stem_sweeps_up_from_the_keel_in_one_curve_and_leans_53_degrees(faering: Hull) -> None:
    """Its batten turns one way all along, never more sharply than on a radius of 1.8 m, and runs on from the keel."""
    rabbet = rabbet_from_amidships_aft(faering)
    marks = np.r_[0, np.cumsum(np.linalg.norm(np.diff(rabbet, axis=0), axis=1))]
    batten = CubicSpline(marks, rabbet)
    lean = np.degrees(np.arctan2(*batten(marks[-1], 1)))
    assert lean == pytest.approx(53, abs=0.5)
    at = np.linspace(marks[1], marks[-1], 400)
    (dx, dz), (ddx, ddz) = batten(at, 1).T, batten(at, 2).T
    turn = (dx * ddz - dz * ddx) / np.hypot(dx, dz) ** 3
    assert turn.min() > 0
    assert 1 / turn.max() > 1800


def test_the_faerings_garboard_lies_flat_amidships_and_steep_at_its_ends(faering: Hull) -> None:
    """Straights from the rabbet to land 1; at every station each strake shows over four laps."""
    rise = [np.degrees(np.arctan2(*(s.section[0] - s.rabbet)[::-1])) for s in faering.stations]
    middle = len(rise) // 2
    assert rise[middle] < 26
    assert min(rise[0], rise[-1]) > 45
    assert np.all(np.diff(rise[: middle + 1]) < 0)
    for station in faering.stations:
        assert station.section == pytest.approx(faering.lands.at[station.name])
        chords = np.linalg.norm(np.diff(np.vstack([station.rabbet, station.section]), axis=0), axis=1)
        assert chords.min() > 4 * faering.planking.lap


def test_the_faerings_lap_of_two_thicknesses_carries_the_turn_of_every_section(faering: Hull) -> None:
    """Land 1 also turns by one thickness over the garboard's width: the garboard's outer face lies on the rabbet."""
    stock = faering.planking
    assert stock.lap == 2 * stock.thickness[0]
    carried = np.degrees(np.arctan2(stock.thickness[0] - stock.least_edge[0], stock.lap))
    for station in faering.stations:
        chords = np.diff(np.vstack([station.rabbet, station.section]), axis=0)
        width = np.linalg.norm(chords, axis=1)
        turn = np.degrees(np.diff(np.arctan2(chords[:, 1], chords[:, 0])))
        kick = np.degrees(stock.thickness[0] / width[:-1] * [1, 0, 0])
        assert np.all(turn + kick < carried)


def test_the_files_of_dinghy_and_pram_show_every_key_that_a_hull_file_may_have() -> None:
    text = (HULLS / "dinghy.toml").read_text() + (HULLS / "pram.toml").read_text()
    tables: list[type[BaseModel]] = [schema.RowsTable]
    tables += [one for one in vars(schema).values() if isinstance(one, type) and issubclass(one, schema.Table)]
    for table in tables:
        for key in table.model_fields:
            assert f"{key} = " in text or f"[{key}]" in text or f".{key}]" in text, key
