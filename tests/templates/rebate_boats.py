"""Boats for the tests of rebates: the three hull files and their variants, without strakes laid flat or moulds."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_bottom import flat_bottom
from templates_gen.geometry.rebates import rebates
from templates_gen.hull.model import Hull, Stem
from templates_gen.hull.reader import read_hull
from tests.flow import shell_of
from tests.geometry.skiffs import round_rocker, skiff, straight_rocker
from tests.sweep import more

HULLS = Path(__file__).resolve().parents[2] / "hulls"


def bare_boat(hull: Hull) -> Boat:
    """The boat with all that rebates need and nothing else."""
    shell = shell_of(hull)
    bottom = flat_bottom(shell) if hull.keel.joint == "flat" else None
    return Boat(hull, shell, (), (), (), (), (), rebates(shell), bottom)


def _read(name: str) -> Hull:
    return read_hull(HULLS / f"{name}.toml")


def _with_fore(hull: Hull, **changes: object) -> Hull:
    assert isinstance(hull.fore, Stem)
    return replace(hull, fore=replace(hull.fore, **changes))  # type: ignore[arg-type]


def _hull(name: str) -> Hull:
    dinghy = _read("dinghy")
    if name == "bevelled stem":
        return _with_fore(replace(dinghy, waterline=None), joint="bevel")
    if name == "bare stem":
        return _with_fore(dinghy, face=None, wood_inside=None)
    if name == "no waterline":
        return replace(dinghy, waterline=None)
    if name == "rebated keel":
        return replace(dinghy, keel=replace(dinghy.keel, joint="rebate"))
    if name == "rebated keel of a double-ender":
        double_ender = _read("double_ender")
        thickness = (double_ender.planking.thickness[0] + 2.0, *double_ender.planking.thickness[1:])
        two = replace(double_ender, planking=replace(double_ender.planking, thickness=thickness))
        return replace(two, keel=replace(two.keel, joint="rebate"))
    if name == "rebated keel of a pram":
        pram = _read("pram")
        return replace(pram, keel=replace(pram.keel, joint="rebate"))
    if name == "two thicknesses":
        thickness = (12.0, *dinghy.planking.thickness[1:])
        return replace(dinghy, planking=replace(dinghy.planking, thickness=thickness))
    if name == "skiff":
        return skiff(straight_rocker)
    if name == "skiff with rocker":
        return skiff(round_rocker, 1500.0)
    return _read(name)


EVERY = (
    "dinghy",
    "double_ender",
    "pram",
    "bevelled stem",
    "rebated keel of a double-ender",
    "skiff with rocker",
    *more("bare stem", "no waterline", "rebated keel", "rebated keel of a pram", "two thicknesses", "skiff"),
)
"""Every boat. Those in the sweep differ from one of the first six in one part."""


@cache
def boat(name: str) -> Boat:
    """One of the boats, by its name."""
    return bare_boat(_hull(name))


def direction_angle(start: np.ndarray, end: np.ndarray) -> float:
    """Angle of the direction from one point to another from +x, radians."""
    step = np.asarray(end) - np.asarray(start)
    return float(np.arctan2(step[1], step[0]))
