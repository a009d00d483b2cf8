"""What measurements.json holds, against the contract's words and geometry that does not come from the same code."""

import json
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from templates_gen.report.measurements import measurements
from tests import boats
from tests.flow import boat_of
from tests.geometry.exact_hulls import LAP, THICKNESS, oblique_prism, prism_faces

NAMES = ("dinghy", "double_ender", "pram", "faering")


@cache
def made(name: str) -> Any:
    """The measurements of one worked boat, through JSON and back."""
    return json.loads(json.dumps(measurements(boat_of(getattr(boats, name)())), allow_nan=False))


@pytest.mark.parametrize("name", NAMES)
def test_every_key_that_others_rely_on_is_there(name: str) -> None:
    data = made(name)
    assert {"format", "hull", "stations", "lands", "strakes", "rebates", "transoms", "moulds"} <= data.keys()
    assert data["format"] == 1
    station_names = [s["name"] for s in data["stations"]]
    for number, land in enumerate(data["lands"], start=1):
        assert (land["below"], land["above"]) == (number, number + 1)
        assert [at["place"] for at in land["at"]] == ["fore", *station_names, "aft"]
        for at in land["at"]:
            assert at["planed_on"] in ("lower", "upper")
            assert ("bevel_in_section" in at) == (at["place"] not in ("fore", "aft"))
            assert {"x", "point", "bevel", "take_off", "edge_left", "gap_before", "gerald_depth"} <= at.keys()
    for number, strake in enumerate(data["strakes"], start=1):
        assert strake["number"] == number
        assert [mark["station"] for mark in strake["marks"]] == station_names
        assert {"length", "greatest_width", "blank", "stretch", "sweep", "twist_per_metre", "least_bend_radius"} <= (
            strake.keys()
        )


@pytest.mark.parametrize("name", NAMES)
def test_take_off_lines_run_from_end_to_end_in_steps_of_50_mm_or_less(name: str) -> None:
    for land in made(name)["lands"]:
        line = np.array(land["take_off_line"])
        points = np.array([at["point"] for at in land["at"]])
        assert line[0, 0] == 0.0
        assert line[-1, 0] > np.linalg.norm(np.diff(points, axis=0), axis=1).sum() - 1e-6
        assert np.all(np.diff(line[:, 0]) <= 50.0)
        assert np.all(line[:, 1:] >= -1e-9)


def test_what_comes_off_both_strakes_of_a_prism_s_lands_adds_up_to_their_overlap() -> None:
    # By ruler and compasses in the plane square to the lands: where the upper strake's face stands over the lower's.
    data = measurements(boat_of(oblique_prism()))
    for land, (below, above) in zip(data["lands"], pairwise(prism_faces()), strict=True):
        ends = np.stack([above.lower - below.upper, above.upper - below.upper]) @ np.stack([below.up, below.out]).T
        line = np.array(land["take_off_line"])
        for at, columns in ((0.0, [1, 3]), (-LAP, [2, 4])):
            stand_off = np.interp(at, ends[:, 0], ends[:, 1])
            assert line[:, columns].sum(axis=1) == pytest.approx(np.full(len(line), THICKNESS - stand_off), abs=0.02)


@pytest.mark.parametrize("name", NAMES)
def test_outlines_share_their_corners_and_run_as_the_contract_says(name: str) -> None:
    for strake in made(name)["strakes"]:
        edges = {key: np.array(points) for key, points in strake["outline"].items()}
        assert edges["fore"][0] == pytest.approx(edges["lower"][0], abs=1e-6)
        assert edges["fore"][-1] == pytest.approx(edges["upper"][0], abs=1e-6)
        assert edges["aft"][0] == pytest.approx(edges["lower"][-1], abs=1e-6)
        assert edges["aft"][-1] == pytest.approx(edges["upper"][-1], abs=1e-6)
        assert edges["lower"][0, 0] < edges["lower"][-1, 0]
        middle = len(edges["lower"]) // 2
        assert edges["lower"][middle, 1] < edges["upper"][middle, 1]


@pytest.mark.parametrize("name", NAMES)
def test_lands_pass_through_their_stations_planes_and_moulds_carry_the_same_marks(name: str) -> None:
    data = made(name)
    marks = {mould["station"]: np.array(mould["land_marks"]) for mould in data["moulds"]}
    at = {s["name"]: s["at"] for s in data["stations"]}
    for land in data["lands"]:
        for place in land["at"][1:-1]:
            assert place["x"] == pytest.approx(at[place["place"]], abs=1e-6)
            if place["place"] not in marks:
                continue  # no mould stands there
            assert marks[place["place"]][land["below"] - 1] == pytest.approx(place["point"][1:], abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_a_rebate_s_numbers_are_one_triangle(name: str) -> None:
    data = made(name)
    for rebate in data["rebates"]:
        # apex distance / depth, depth / seat and bearding all follow from the angle (square to the rabbet line)
        angle = np.radians(rebate["angle"])
        assert rebate["apex"] / rebate["depth"] == pytest.approx(np.tan(angle))
        assert rebate["bearding"] * np.cos(angle) == pytest.approx(rebate["seat"])
        assert rebate["apex"] * rebate["bearding"] == pytest.approx(rebate["apex"] ** 2 + rebate["depth"] ** 2)


def test_plank_ends_on_a_stem_stand_a_thickness_inside_the_rabbet_line_square_to_the_land_s_run() -> None:
    data = made("dinghy")
    uppers = {
        r["strake"]: np.array(r["point"]) for r in data["rebates"] if r["on"] == "fore" and r["place"] == "upper"
    }
    lowers = {
        r["strake"]: np.array(r["point"]) for r in data["rebates"] if r["on"] == "fore" and r["place"] == "lower"
    }
    angles = {r["strake"]: r["angle"] for r in data["rebates"] if r["on"] == "fore" and r["place"] == "upper"}
    for land in data["lands"]:
        k, corner = land["below"], np.array(land["at"][0]["point"])
        inward = uppers[k] - corner
        assert np.linalg.norm(inward) == pytest.approx(9.0, abs=1e-6)
        assert inward @ (uppers[k] - lowers[k]) == pytest.approx(0.0, abs=1e-4)
        assert np.degrees(np.arccos(inward[1] / 9.0)) == pytest.approx(angles[k], abs=1e-4)
