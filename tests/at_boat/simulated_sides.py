"""A boat whose two sides differ, hung on paper: measured once for both sides, or each side by itself."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from templates_gen.at_boat.as_built import MeasuredBoat, measured_boat
from templates_gen.geometry.as_built.boat import Relined, places_along
from templates_gen.geometry.flat_strakes import flat_strake
from templates_gen.hull.measured.as_built import SIDES, HungStrake, Side, place_names
from templates_gen.hull.model import Hull
from tests.at_boat.simulated_hanging import MM, flat_widths, printed_marks, true_hull
from tests.flow import shell_of

Array = NDArray[np.float64]


def hung_on_both_sides(hull: Hull, seed: int, path: Path, apart: float, is_each: bool) -> tuple[Array, Array]:
    """Hang a boat whose garboards come `apart` mm port from starboard, every strake with errors of its own.

    Returns
    -------
    Array, shape (2, N, q)
        What every lap is off by, port and starboard; see `simulated_hanging.Hanging`.
    Array, shape (2, p)
        How far the sheer is off its marks, mm.
    """
    random, drawn = np.random.default_rng(seed), shell_of(hull)
    names, along, count = place_names(hull), places_along(drawn), hull.planking.strakes
    edges: dict[Side, Array] = {side: np.zeros(along.shape) for side in SIDES}
    misses: dict[Side, list[Array]] = {side: [] for side in SIDES}
    stock: list[HungStrake] = []
    text = 'format = 1\nunits = "mm"\n'
    for strake in range(1, count + 1):
        stock.append(HungStrake(strake, {}, hull.planking.thickness[strake - 1]))
        path.write_text(text, encoding="utf-8")
        boat = measured_boat(drawn, path) if strake > 1 else None
        readings = []
        for side, sign in zip(SIDES, (0.5, -0.5), strict=True):
            relined = None if boat is None else _of_side(boat, side)
            meant = np.zeros(len(names)) if relined is None else printed_marks(relined, strake, hull.units)
            pattern = flat_strake(drawn if relined is None else shell_of(relined.hull), strake)
            there = flat_strake(shell_of(true_hull(drawn, edges[side], meant, stock)), strake)
            miss = flat_widths(pattern) - flat_widths(there)
            misses[side].append(miss)
            own = MM.land(random, along[strake - 1]) + (sign * apart if strake == 1 else 0.0)
            edges[side][strake - 1] = meant + miss[: len(names)] + own
            readings.append(MM.read(random, edges[side][strake - 1]))
        text += _each(strake, names, readings) if is_each else _both(strake, names, readings)
    return np.array([misses[side] for side in SIDES]), np.array([edges[side][-1] for side in SIDES])


def _of_side(boat: MeasuredBoat, side: Side) -> Relined:
    return boat.relined if side == "port" or boat.starboard is None else boat.starboard


def _figures(names: tuple[str, ...], read: Array) -> str:
    return "above_mark = { " + ", ".join(f'"{name}" = {by}' for name, by in zip(names, read, strict=True)) + " }\n"


def _each(strake: int, names: tuple[str, ...], readings: list[Array]) -> str:
    pairs = zip(SIDES, readings, strict=True)
    return "".join(f"[strake.{strake}.{side}]\n{_figures(names, read)}" for side, read in pairs)


def _both(strake: int, names: tuple[str, ...], readings: list[Array]) -> str:
    """One figure for both: the mean, to 0.5 mm."""
    mean = np.round(np.mean(readings, axis=0) * 2.0) / 2.0
    return f"[strake.{strake}]\n{_figures(names, mean)}"
