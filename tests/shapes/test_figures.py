"""The walk of measurements.json finds every kind of figure that cannot be, and nothing on a sound boat."""

import copy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from templates_gen.report.measurements import measurements
from tests.flow import checked
from tests.shapes.campaign import planks_of
from tests.shapes.errors import BEVEL_LIMIT, difference
from tests.shapes.figures import Planks, impossible_figures

Record = dict[str, Any]
DINGHY = Path(__file__).parents[2] / "hulls" / "dinghy.toml"


@pytest.fixture(scope="module")
def sound() -> Record:
    boat = checked(DINGHY).boat
    assert boat is not None
    return measurements(boat)


@pytest.fixture(scope="module")
def planks() -> Planks:
    return planks_of(DINGHY)


def found(record: Record, planks: Planks) -> set[str]:
    return {figure.what for figure in impossible_figures(record, planks)}


def test_the_dinghys_figures_can_all_be(sound: Record, planks: Planks) -> None:
    assert found(sound, planks) == set()


def steep_bevel(record: Record) -> None:
    record["lands"][2]["at"][1]["bevel"] = 71.0


def lost_below_nothing(record: Record) -> None:
    record["lands"][0]["take_off_line"][0][2] = -8.6


def lost_more_than_the_stock(record: Record) -> None:
    record["lands"][0]["take_off_line"][9][1] = 9.4


def nothing_at_a_flush_end(record: Record) -> None:
    record["lands"][1]["take_off_line"][0][1] = 4.0


def more_than_all_left(record: Record) -> None:
    record["lands"][3]["at"][2]["edge_left"] = 31.1


def no_number(record: Record) -> None:
    record["strakes"][0]["sweep"] = float("nan")


def lands_together(record: Record) -> None:
    record["lands"][3]["at"][0]["point"] = [v + 1.0 for v in record["lands"][2]["at"][0]["point"]]


def crossed(record: Record) -> None:
    outline = record["strakes"][4]["outline"]
    outline["lower"][20], outline["upper"][20] = outline["upper"][20], outline["lower"][20]


def jogged(record: Record) -> None:
    record["strakes"][0]["outline"]["lower"][5][1] -= 3.0


def apart_at_a_corner(record: Record) -> None:
    record["strakes"][0]["outline"]["fore"][0] = [-5.0, -5.0]


def marks_exchanged(record: Record) -> None:
    marks = record["strakes"][3]["marks"]
    marks[1]["lower"], marks[2]["lower"] = marks[2]["lower"], marks[1]["lower"]


def mark_off_its_edge(record: Record) -> None:
    record["strakes"][3]["marks"][1]["upper"][1] += 0.4


def seat_below_nothing(record: Record) -> None:
    record["rebates"][0]["seat"] = -0.4


def steep_transom(record: Record) -> None:
    record["transoms"][0]["bevels"][0]["bevel"] = 71.0


def crossed_mould(record: Record) -> None:
    outline = record["moulds"][0]["outline"]
    outline[1], outline[-2] = outline[-2], outline[1]


@pytest.mark.parametrize(
    ("spoil", "what"),
    [
        (steep_bevel, "bevel"),
        (lost_below_nothing, "loss of the lower strake at the lap line"),
        (lost_more_than_the_stock, "loss of the lower strake at its edge"),
        (nothing_at_a_flush_end, "overlap at a flush end"),
        (more_than_all_left, "edge left"),
        (no_number, "not finite"),
        (lands_together, "distance of marks"),
        (crossed, "outline"),
        (jogged, "jog"),
        (apart_at_a_corner, "gap of the outline at its fore lower corner"),
        (marks_exchanged, "lower marks"),
        (mark_off_its_edge, "upper marks off their edge"),
        (seat_below_nothing, "seat"),
        (steep_transom, "transom's bevel"),
        (crossed_mould, "outline"),
    ],
)
def test_a_figure_that_cannot_be_is_found(
    sound: Record, planks: Planks, spoil: Callable[[Record], None], what: str
) -> None:
    record = copy.deepcopy(sound)
    spoil(record)
    assert what in found(record, planks)


def test_two_measurements_that_differ_are_distinguished(sound: Record) -> None:
    other = copy.deepcopy(sound)
    assert difference(sound, other).over == []
    other["lands"][0]["at"][0]["bevel"] += 2 * BEVEL_LIMIT
    other["lands"][1]["take_off_line"][4][1] += 0.05
    other["strakes"][2]["marks"][0]["lower"][1] += 0.05
    assert [words.split()[0] for words in difference(sound, other).over] == ["bevel", "take-off", "outline"]


def test_a_strake_that_only_lies_turned_on_its_sheet_is_the_same(sound: Record) -> None:
    other = copy.deepcopy(sound)
    for strake in other["strakes"]:
        for name in strake["outline"]:
            strake["outline"][name] = [[7.0 - y, 3.0 + x] for x, y in strake["outline"][name]]
        for mark in strake["marks"]:
            for edge in ("lower", "upper"):
                mark[edge] = [7.0 - mark[edge][1], 3.0 + mark[edge][0]]
    assert difference(sound, other).outline[0] < 1e-9
