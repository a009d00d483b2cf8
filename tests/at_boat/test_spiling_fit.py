"""Spilings that cannot be of their strake are refused: wrong units, figures that disagree, a wrong radius."""

from copy import deepcopy
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from templates_gen.at_boat.spiling import StrakeToSpile, spiled_strake
from templates_gen.errors import Fault, HullFileError
from templates_gen.geometry.flat_strakes import flat_strake
from templates_gen.hull.measured.spiling import EDGES
from tests import boats
from tests.at_boat.batten import Reading, arcs_text, offsets_text, read_off
from tests.flow import shell_of

DRAWN = shell_of(boats.dinghy())
FIFTH = StrakeToSpile(flat_strake(DRAWN, 5))
READING = read_off(DRAWN, 5)


def faults_of(text: str, tmp_path: Path) -> tuple[Fault, ...]:
    path = tmp_path / "spiling.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(HullFileError) as refused:
        spiled_strake(FIFTH, path)
    assert {fault.file for fault in refused.value.faults} == {str(path)}
    return refused.value.faults


def times(factor: float) -> Reading:
    """Every figure multiplied."""
    points: dict[str, Any] = {
        edge: {place: point * factor for place, point in READING.points[edge].items()} for edge in EDGES
    }
    return Reading(5, points)


def exact_text(reading: Reading) -> str:
    """The spiling file with as many decimals as there are."""
    lines = ["format = 1", 'units = "mm"', f"strake = {reading.strake}"]
    for edge in EDGES:
        lines.append(f"[{edge}]")
        lines += [f'"{place}" = [{float(x)!r}, {float(y)!r}]' for place, (x, y) in reading.points[edge].items()]
    return "\n".join(lines) + "\n"


# Read in one unit, taken for mm: an inch is 25.4 mm, a centimetre 10, a foot 304.8, an eighth of an inch 3.175;
# and eighths taken for inches. The spread is the strake's, taken over.
@pytest.mark.parametrize("factor", [1 / 25.4, 1 / 10, 1 / 304.8, 1 / 3.175, 8.0, 10.0, 25.4])
def test_figures_in_another_unit_are_refused_and_units_doubted(factor: float, tmp_path: Path) -> None:
    (fault,) = faults_of(exact_text(times(factor)), tmp_path)
    assert (fault.key, fault.line) == ("units", 2)
    assert "is units right?" in fault.text
    along = [point[0] for edge in EDGES for point in READING.points[edge].values()]
    true = max(along) - min(along)
    assert float(fault.value.removesuffix(" mm")) == pytest.approx(true * factor, rel=0.02)
    low, high = (float(words.removesuffix(" mm")) for words in fault.expected.removeprefix("from ").split(" to "))
    assert (low, high) == pytest.approx((0.6 * true, 1.4 * true), rel=0.01)


@pytest.mark.parametrize("factor", [0.55, 1.5])
def test_a_spiling_of_another_length_is_refused_without_doubting_units(factor: float, tmp_path: Path) -> None:
    (fault,) = faults_of(offsets_text(times(factor)), tmp_path)
    assert (fault.key, fault.line) == ("strake", 3)
    assert "another strake or boat" in fault.text


def test_an_edge_that_keeps_fewer_than_four_points_is_refused(tmp_path: Path) -> None:
    spoilt = deepcopy(READING)
    for place, by in (("1", 60.0), ("2", 90.0), ("3", 70.0), ("4", 110.0)):
        spoilt.points["upper"][place][1] += by
    (fault,) = faults_of(offsets_text(spoilt), tmp_path)
    assert (fault.key, fault.value, fault.expected) == ("upper", "3 of 7", "4 at least")
    assert "read these again: mould 1, mould 2, mould 3, mould 4" in fault.text


@pytest.mark.parametrize(
    "lost",
    [
        [("lower", "aft"), ("upper", "aft")],
        [(edge, place) for edge in EDGES for place in ("4", "5", "aft")],
        [("lower", "2"), ("upper", "3"), ("lower", "4")],
    ],
)
def test_a_whole_end_or_more_than_one_point_in_five_that_does_not_fit_is_refused(
    lost: list[tuple[str, str]], tmp_path: Path
) -> None:
    spoilt = deepcopy(READING)
    for number, (edge, place) in enumerate(lost):
        spoilt.points[edge][place][1] += (60.0 + 7.0 * number) * (1.0 if edge == "upper" else -1.0)
    (fault,) = faults_of(offsets_text(spoilt), tmp_path)
    assert fault.value == f"{len(lost)} of 14"
    listed = dict(part.split(" edge: ") for part in fault.text.split(": ", 2)[2].split(". ")[0].split("; "))
    for edge, place in lost:
        assert {"aft": "aft end"}.get(place, f"mould {place}") in listed[edge]


def test_figures_of_which_no_three_agree_are_refused(tmp_path: Path) -> None:
    random = np.random.default_rng(3)
    spoilt = deepcopy(READING)
    for place, point in spoilt.points["lower"].items():
        point[1] += random.uniform(-1200.0, -200.0)
        spoilt.points["upper"][place][1] += random.uniform(200.0, 1200.0)
    faults = faults_of(offsets_text(spoilt), tmp_path)
    assert all(fault.value and fault.expected and fault.line for fault in faults)
    assert any("together" in fault.text for fault in faults)


def test_a_radius_so_wrong_that_nothing_agrees_is_reported_with_the_right_one(tmp_path: Path) -> None:
    (fault,) = faults_of(arcs_text(READING, 110.0, 85.0), tmp_path)
    assert (fault.key, fault.value) == ("radius", "85.0")
    assert float(fault.expected.removeprefix("about ").removesuffix(" mm")) == pytest.approx(110.0, abs=1.0)


@pytest.mark.parametrize("factor", [0.995, 1.005])
def test_a_spiling_a_little_out_of_scale_is_drawn(factor: float, tmp_path: Path) -> None:
    path = tmp_path / "spiling.toml"
    path.write_text(offsets_text(times(factor)), encoding="utf-8")
    assert not spiled_strake(FIFTH, path).laid.is_left_out.any()
