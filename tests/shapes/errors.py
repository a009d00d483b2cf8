"""How much the measurements move when the shell is worked out with finer rulings."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.boat import boat_on
from templates_gen.hull.model import Hull
from templates_gen.report.measurements import measurements
from tests.flow import shell_of

Array = NDArray[np.float64]
Record = dict[str, Any]

BEVEL_LIMIT, LENGTH_LIMIT = 0.01, 0.02
"""Degrees and mm: what a shell of the default rulings may be out by."""


@dataclass(frozen=True)
class Difference:
    """The greatest differences of two sets of measurements: degrees and mm, each with its place."""

    bevel: tuple[float, str]
    take_off: tuple[float, str]
    outline: tuple[float, str]

    @property
    def over(self) -> list[str]:
        """What is over its limit, in words."""
        parts = (
            ("bevel", self.bevel, BEVEL_LIMIT),
            ("take-off", self.take_off, LENGTH_LIMIT),
            ("outline", self.outline, LENGTH_LIMIT),
        )
        return [f"{name} {value:.3f} at {where}" for name, (value, where), limit in parts if not value <= limit]


def finer_measurements(hull: Hull, fineness: int = 3) -> Record:
    """Return the measurements of a hull with every step between rulings divided by `fineness`."""
    with np.errstate(all="ignore"):
        return measurements(boat_on(shell_of(hull, fineness)))


def difference(coarse: Record, fine: Record) -> Difference:
    """Return by how much two sets of measurements of one hull differ."""
    bevels, depths, outlines = [(0.0, "")], [(0.0, "")], [(0.0, "")]
    for one, two in zip(coarse["lands"], fine["lands"], strict=True):
        for at, other in zip(one["at"], two["at"], strict=True):
            bevels.append((abs(at["bevel"] - other["bevel"]), f"land {one['below']} {at['place']}"))
        depths.append(_depths(one, two))
    for one, two in zip(coarse["strakes"], fine["strakes"], strict=True):
        away = _moved(_points(one), _points(two))
        outlines.append((float(away.max()), f"strake {one['number']}"))
    return Difference(_worst(bevels), _worst(depths), _worst(outlines))


def reported_error(record: Record) -> Difference | None:
    """Return the program's own estimate of its error as it stands in measurements.json, None where there is none."""
    own = record.get("numerical_error")
    if own is None:
        return None
    return Difference(
        (own["bevel"], "own estimate"), (own["take_off"], "own estimate"), (own["outline"], "own estimate")
    )


def _worst(found: list[tuple[float, str]]) -> tuple[float, str]:
    return max(found, key=lambda one: np.inf if np.isnan(one[0]) else one[0])


def _depths(one: Record, two: Record) -> tuple[float, str]:
    """The greatest difference of two take-off lines, at the first one's places."""
    lines = np.array(one["take_off_line"]), np.array(two["take_off_line"])
    s = lines[0][:, 0] * lines[1][-1, 0] / lines[0][-1, 0]
    other = np.stack([np.interp(s, lines[1][:, 0], column) for column in lines[1][:, 1:].T], axis=1)
    away = np.max(np.abs(lines[0][:, 1:] - other), axis=1)
    at = int(np.argmax(away))
    return float(away[at]), f"land {one['below']} s {s[at]:.0f}"


def _points(strake: Record) -> Array:
    """Corners and station marks of a flat strake, shape (n, 2)."""
    outline = strake["outline"]
    corners = [outline[edge][index] for edge in ("lower", "upper") for index in (0, -1)]
    return np.array(corners + [mark[edge] for mark in strake["marks"] for edge in ("lower", "upper")])


def _moved(one: Array, two: Array) -> Array:
    """Distances of two sets of points laid on one another as well as they go (Kabsch's least squares), mm."""
    a, b = one - one.mean(axis=0), two - two.mean(axis=0)
    left, _, right = np.linalg.svd(b.T @ a)
    turn = left @ np.diag([1.0, np.sign(np.linalg.det(left @ right))]) @ right
    return np.asarray(np.linalg.norm(a - b @ turn, axis=1))
