"""A boat whose two sides differ, hung on paper: measured once for both sides, or each side by itself.

With mishaps one of its moulds stands out of its place, and one strake comes so high that it is taken off, made again
and hung again. The as-built file is written by hand, strake by strake, and every pattern is cut from what the program
makes of it. Nothing here asks the program where a land was drawn or how far a mould carries it.
"""

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.at_boat.as_built import MeasuredBoat, measured_boat
from templates_gen.geometry.as_built.boat import Relined, hull_with_edges, places_along
from templates_gen.geometry.flat_strakes import flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import SIDES, AsBuilt, HungStrake, Side, place_names
from templates_gen.hull.measured.moulds import Offset, StandingMould
from templates_gen.hull.model import Hull
from tests.at_boat.simulated_hanging import MM, flat_widths, printed_marks, true_hull
from tests.flow import shell_of

Array = NDArray[np.float64]
How = Literal["each", "both", "not"]

TOO_HIGH = 6.0
"""How far the strake that is taken off came too high, mm."""

WAYS: dict[str, dict[Side, Offset]] = {
    "up": {"port": (0.0, 0.0, 1.0), "starboard": (0.0, 0.0, 1.0)},
    "down": {"port": (0.0, 0.0, -1.0), "starboard": (0.0, 0.0, -1.0)},
    "forward": {"port": (-1.0, 0.0, 0.0), "starboard": (-1.0, 0.0, 0.0)},
    "aft": {"port": (1.0, 0.0, 0.0), "starboard": (1.0, 0.0, 0.0)},
    "to port": {"port": (0.0, 1.0, 0.0), "starboard": (0.0, -1.0, 0.0)},
    "to starboard": {"port": (0.0, -1.0, 0.0), "starboard": (0.0, 1.0, 0.0)},
}
"""Where a whole mould may stand: aft, out and up of its place, on each side, for each mm."""


@dataclass(frozen=True)
class Mishaps:
    """A mould that stands out of its place, by `off` mm in one of `WAYS`, and the strake that is made again."""

    mould: str
    way: str
    off: float
    remade: int

    def on(self, side: Side) -> tuple[StandingMould, ...]:
        """The mould as one side has it."""
        aft, out, up = (self.off * one for one in WAYS[self.way][side])
        return (StandingMould(self.mould, (aft, out, up), (aft, out, up)),)

    def text(self, is_each: bool) -> str:
        """What the builder writes of the mould; measured for both sides at once nobody sees it stand to one side."""
        if self.way in ("up", "down", "forward", "aft"):
            return f'[mould."{self.mould}"]\n{self.way} = {self.off}\n'
        if not is_each:
            return ""
        ways = ("out", "in") if self.way == "to port" else ("in", "out")
        pairs = zip(SIDES, ways, strict=True)
        return "".join(f'[mould."{self.mould}".{side}]\n{way} = {self.off}\n' for side, way in pairs)


def mishaps_of(hull: Hull, seed: int, off: float = 5.0) -> Mishaps:
    """The mishaps of one seeded boat."""
    random = np.random.default_rng(1000 + seed)
    moulds = [station.name for station in hull.stations if station.mould]
    way = str(random.choice(list(WAYS)))
    return Mishaps(str(random.choice(moulds)), way, off, int(random.integers(2, hull.planking.strakes)))


@dataclass
class _Boat:
    """A boat as it is hung, and the file of what was measured on it."""

    drawn: PlankedShell
    path: Path
    random: np.random.Generator
    mishaps: Mishaps | None
    text: str = 'format = 1\nunits = "mm"\n'
    stock: list[HungStrake] = field(default_factory=list)
    edges: dict[Side, Array] = field(default_factory=dict)
    misses: dict[Side, list[Array]] = field(default_factory=lambda: {side: [] for side in SIDES})

    def built(self, side: Side) -> AsBuilt:
        """Stock and moulds as they really are."""
        return AsBuilt(tuple(self.stock), moulds=() if self.mishaps is None else self.mishaps.on(side))

    def measured(self) -> MeasuredBoat | None:
        """What the program makes of the file so far."""
        if "[" not in self.text:
            return None
        self.path.write_text(self.text, encoding="utf-8")
        return measured_boat(self.drawn, self.path)

    def hang(self, side: Side, boat: MeasuredBoat | None, too_high: float) -> Array:
        """Hang the next strake on one side by its pattern, and return what is read off it."""
        hull, strake, along = self.drawn.hull, len(self.stock), places_along(self.drawn)
        relined = None if boat is None else _of_side(boat, side)
        meant = np.zeros(along.shape[1]) if relined is None else printed_marks(relined, strake, hull.units)
        pattern = flat_strake(self.drawn if relined is None else shell_of(relined.hull), strake)
        there = flat_strake(shell_of(true_hull(self.drawn, self.edges[side], meant, self.built(side))), strake)
        miss = flat_widths(pattern) - flat_widths(there)
        self.misses[side][strake - 1 :] = [miss]
        own = MM.land(self.random, along[strake - 1]) + too_high
        self.edges[side][strake - 1] = meant + miss[: along.shape[1]] + own
        return MM.read(self.random, self.edges[side][strake - 1])

    def sheer_off(self, side: Side) -> Array:
        """How far the sheer stands above where it was drawn, at the ends along the stem, shape (p,), mm."""
        sheer = shell_of(hull_with_edges(self.drawn, self.edges[side], self.built(side))).hung.edges[-1].batten.marks
        line = self.drawn.hung.edges[-1].batten
        drawn = line.point(line.at_x(sheer[1:-1, 0]))[:, 2]
        ends = self.edges[side][-1][[0, -1]]
        return np.concatenate([ends[:1], sheer[1:-1, 2] - drawn, ends[1:]])


def hung_on_both_sides(
    hull: Hull, seed: int, path: Path, apart: float, how: How, mishaps: Mishaps | None = None
) -> tuple[Array, Array]:
    """Hang a boat whose garboards come `apart` mm port from starboard, every strake with errors of its own.

    It is measured on each side, once for both, or not at all: then every strake is cut from the drawing.

    Returns
    -------
    Array, shape (2, N, q)
        What every lap is off by, port and starboard; see `simulated_hanging.Hanging`.
    Array, shape (2, p)
        How far the sheer stands above where it was drawn, mm.
    """
    boat, names = _Boat(shell_of(hull), path, np.random.default_rng(seed), mishaps), place_names(hull)
    boat.edges = {side: np.zeros((hull.planking.strakes, len(names))) for side in SIDES}
    boat.text += "" if mishaps is None or how == "not" else mishaps.text(how == "each")
    for strake in range(1, hull.planking.strakes + 1):
        boat.stock.append(HungStrake(strake, {}, hull.planking.thickness[strake - 1]))
        known = boat.measured()
        is_remade = mishaps is not None and strake == mishaps.remade
        for table, too_high in (("", TOO_HIGH), (".remade", 0.0)) if is_remade else (("", 0.0),):
            signs = (0.5 * apart, -0.5 * apart) if strake == 1 else (0.0, 0.0)
            read = [boat.hang(side, known, too_high + by) for side, by in zip(SIDES, signs, strict=True)]
            if how != "not":
                boat.text += (_each if how == "each" else _both)(f"strake.{strake}{table}", names, read)
    return np.array([boat.misses[side] for side in SIDES]), np.array([boat.sheer_off(side) for side in SIDES])


def _of_side(boat: MeasuredBoat, side: Side) -> Relined:
    return boat.relined if side == "port" or boat.starboard is None else boat.starboard


def _figures(names: tuple[str, ...], read: Array) -> str:
    return "above_mark = { " + ", ".join(f'"{name}" = {by}' for name, by in zip(names, read, strict=True)) + " }\n"


def _each(table: str, names: tuple[str, ...], readings: list[Array]) -> str:
    pairs = zip(SIDES, readings, strict=True)
    return "".join(f"[{table}.{side}]\n{_figures(names, read)}" for side, read in pairs)


def _both(table: str, names: tuple[str, ...], readings: list[Array]) -> str:
    """One figure for both: the mean, to 0.5 mm."""
    mean = np.round(np.mean(readings, axis=0) * 2.0) / 2.0
    return f"[{table}]\n{_figures(names, mean)}"
