"""A hull with its fore stem sheared to another rake, and how its measures change from rake to rake."""

import copy
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from templates_gen.geometry.lining_off.marking import lined_off
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.hull.model import Hull, Stem

Array = NDArray[np.float64]
Record = dict[str, Any]

RAKES = tuple(range(-15, 66, 5))
"""Degrees from upright at the head, positive where the head leans out of the boat."""


def with_fixed_lands(hull: Hull) -> Hull:
    """Return a hull with the lands that the program lines off for it, so that a sweep moves nothing else."""
    return lined_off(hull, rabbet_line(hull)) if hull.lands.by == "even" else hull


def raked(hull: Hull, rake: float) -> Hull:
    """Return a hull whose fore stem is sheared along x, in proportion to the height over its foot.

    Parameters
    ----------
    rake : float
        Of the rabbet line at the head, degrees.

    Notes
    -----
    A level tangent at the foot stays level, so a rounded forefoot stays rounded; heights on the stem do not change.
    """
    stem = hull.fore
    assert isinstance(stem, Stem)
    (x_low, low), (x_high, high) = stem.rabbet[-2:]
    more = np.tan(np.radians(rake)) - (x_low - x_high) / (high - low)
    foot = float(stem.rabbet[0, 1])

    def sheared(points: Array) -> Array:
        moved = copy.deepcopy(points)
        moved[:, 0] -= more * (points[:, 1] - foot)
        return moved

    face = None if stem.face is None else sheared(stem.face)
    return replace(hull, fore=replace(stem, rabbet=sheared(stem.rabbet), face=face))


def measures(record: Record) -> dict[str, float]:
    """Return what a sweep follows: hood ends, bevels at the fore end, and the strakes' lengths and areas, by name."""
    found: dict[str, float] = {}
    for land in record["lands"]:
        fore = land["at"][0]
        for axis, value in zip("xyz", fore["point"], strict=True):
            found[f"land {land['below']} fore {axis}"] = value
        found[f"land {land['below']} fore bevel"] = fore["bevel"]
        found[f"land {land['below']} fore edge left"] = fore["edge_left"]
    for strake in record["strakes"]:
        outline = {name: np.array(points) for name, points in strake["outline"].items()}
        ring = np.concatenate(
            [outline["lower"], outline["aft"][1:], outline["upper"][::-1][1:], outline["fore"][::-1][1:-1]]
        )
        found[f"strake {strake['number']} length"] = strake["length"]
        found[f"strake {strake['number']} area"] = Polygon(ring).area
    return found


@dataclass(frozen=True)
class Kink:
    """A measure that does not change smoothly: its second difference at a rake, and what was allowed."""

    measure: str
    rake: float
    second: float
    allowed: float

    def __str__(self) -> str:
        return f"{self.measure} at {self.rake:g}°: second difference {self.second:.3g} (allowed {self.allowed:.3g})"


SHARE = 0.6
"""A second difference may be this share of the larger first difference next to it."""

SLACK = {"x": 1.0, "y": 0.3, "z": 0.3, "bevel": 0.5, "left": 0.2, "length": 1.0, "area": 500.0}
"""And this much more: mm, degrees, and square mm."""


def kinks(rakes: Sequence[float], found: Sequence[dict[str, float]]) -> Iterator[Kink]:
    """Yield the measures that jump or kink in a sweep of evenly spaced rakes.

    Notes
    -----
    Over 5 degrees tan(rake) changes its slope by less than a fifth up to 65 degrees, so a smooth measure's second
    difference stays well within `SHARE` of its first; a jump from one reading to another does not.
    """
    for name in found[0]:
        values = np.array([one[name] for one in found])
        first = np.diff(values)
        allowed = SHARE * np.maximum(np.abs(first[1:]), np.abs(first[:-1])) + SLACK[name.rsplit(maxsplit=1)[-1]]
        second = np.diff(first)
        for index in np.flatnonzero(~(np.abs(second) <= allowed)).tolist():
            yield Kink(name, float(rakes[index + 1]), float(second[index]), float(allowed[index]))
