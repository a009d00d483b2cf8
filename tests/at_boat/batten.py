"""A spiling batten laid on a boat whose true strake is known, and read to half a millimetre."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.spiling.overlay import batten_strake, strake_points
from templates_gen.hull.measured.spiling import EDGES

Array = NDArray[np.float64]

BATTEN = 3.0


@dataclass(frozen=True)
class Reading:
    """Points on a batten, by edge and place, shape (2,), mm."""

    strake: int
    points: dict[str, dict[str, Array]]


def read_off(
    shell: PlankedShell,
    number: int,
    slope: float = 0.02,
    half_ways: bool = False,
    random: np.random.Generator | None = None,
) -> Reading:
    """The true strake's points as they come on a batten that lies askew by a slope, to 0.5 mm.

    With a generator of random numbers each figure is off by 0.25 mm, standard deviation, before it is rounded.
    """

    def off() -> Array:
        return np.zeros(2) if random is None else np.asarray(random.normal(0.0, 0.25, 2))

    points = strake_points(batten_strake(shell, number, BATTEN))
    turn = np.array([[np.cos(slope), -np.sin(slope)], [np.sin(slope), np.cos(slope)]])
    middle = np.concatenate([list(points[edge].values()) for edge in EDGES]).mean(axis=0)
    return Reading(
        number,
        {
            edge: {
                place: np.round(2.0 * (turn @ (point - middle) + np.array([1800.0, 4.0]) + off())) / 2.0
                for place, point in points[edge].items()
                if half_ways or not place.startswith("half-way")
            }
            for edge in EDGES
        },
    )


def offsets_text(reading: Reading) -> str:
    """The spiling file of a reading by offsets."""
    lines = ["format = 1", 'units = "mm"', f"strake = {reading.strake}", f"batten = {BATTEN}"]
    for edge in EDGES:
        lines.append(f"[{edge}]")
        lines += [f'"{place}" = [{x:.1f}, {y:.1f}]' for place, (x, y) in reading.points[edge].items()]
    return "\n".join(lines) + "\n"


def arcs_text(reading: Reading, set_to: float, written: float, wrong_side: tuple[str, ...] = ()) -> str:
    """The spiling file of a reading by arcs, their centres on the batten between both edges, read to 0.5 mm.

    `set_to` is the compass's radius in truth, `written` the one in the file; the arcs of edges in `wrong_side` have
    their centres on the far side of the edge.
    """
    lines = ["format = 1", 'units = "mm"', f"strake = {reading.strake}", f"batten = {BATTEN}", f"radius = {written}"]
    for edge in EDGES:
        inward = 0.8 if (edge == "lower") != (edge in wrong_side) else -0.8
        lines.append(f"[{edge}]")
        for place, point in reading.points[edge].items():
            reach = set_to * np.array([[-0.6, inward], [0.6, inward]])
            (x, y), (x_second, y_second) = np.round(2.0 * (point + reach)) / 2.0
            lines.append(f'"{place}" = [[{x}, {y}], [{x_second}, {y_second}]]')
    return "\n".join(lines) + "\n"
