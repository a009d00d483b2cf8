"""A boat hung on paper, strake by strake, with seeded errors, by the route that a builder has.

The as-built file is written by hand, the program reads it, the next strake is cut from its pattern, and its marks
are taken as they are printed. Each strake is clamped with its lap on the strake below. Where its upper edge then
comes is the mark it was meant for, plus what its pattern is too wide or too narrow for the boat as it really is, plus
errors of its own. Nothing here asks the program how it weighs what was measured.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.as_built.boat import Relined, as_built_boat, drawn_widths, hull_with_edges, places_along
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.lengths import parse_printed_length
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, place_names, read_as_built
from templates_gen.hull.model import Hull
from templates_gen.notation import notation_of
from templates_gen.units import UnitName
from tests.flow import shell_of

Array = NDArray[np.float64]

EIGHTH = 3.175
"""An eighth of an inch, mm."""


@dataclass(frozen=True)
class Trade:
    """What goes wrong in a shop, mm.

    Attributes
    ----------
    run : float
        Standard deviation of a land's smooth error, with a correlation length of a third of the land.
    mark : float
        Standard deviation of what is added to it at each place.
    stock, lap : float
        Stock and laps are off by this much at most, either way, a strake at a time.
    reading : float
        Standard deviation of a reading before it is rounded.
    step : float
        What readings are rounded to.
    """

    run: float = 1.0
    mark: float = 0.3
    stock: float = 0.2
    lap: float = 0.5
    reading: float = 0.25
    step: float = 0.5

    def land(self, random: np.random.Generator, along: Array) -> Array:
        """The error of one upper edge at places along it, shape (p,), its lap's included, mm."""
        reach = np.ptp(along) / 3.0
        covariance = self.run**2 * np.exp(-0.5 * ((along[:, None] - along) / reach) ** 2)
        smooth = random.multivariate_normal(np.zeros(len(along)), covariance, method="eigh")
        return np.asarray(smooth + random.normal(0.0, self.mark, len(along)) - random.uniform(-1.0, 1.0) * self.lap)

    def read(self, random: np.random.Generator, true: Array) -> Array:
        """What is written down for edges that really stand so far above their marks."""
        return np.asarray(np.round((true + random.normal(0.0, self.reading, len(true))) / self.step) * self.step)


MM = Trade()
IN_EIGHTHS = Trade(step=EIGHTH)


@dataclass(frozen=True)
class Hanging:
    """A boat hung.

    Attributes
    ----------
    edges : Array, shape (N, p)
        How far each upper edge really stands above its drawn mark, mm.
    misses : Array, shape (N, q)
        How much wider each strake was cut than the boat wanted with its upper edge on the mark it was meant for: with
        the edge held there its lap is off by this much, mm. At the ends, the stations and half-way between them.
    left_out : int
        How many honest readings were left out as slips.
    """

    edges: Array
    misses: Array
    left_out: int = 0


def flat_widths(strake: FlatStrake) -> Array:
    """The net width of a flat strake at the fore end, every station, the after end, then half-way, shape (q,)."""
    fore, aft = strake.end("fore"), strake.end("aft")
    at = np.array([station.at for station in strake.shell.hull.stations])
    pairs = [
        (fore[0], fore[-1]),
        *(strake.mark(float(x)) for x in at),
        (aft[0], aft[-1]),
        *(strake.mark(float(x)) for x in (at[:-1] + at[1:]) / 2.0),
    ]
    return np.array([np.linalg.norm(high - low) for low, high in pairs])


def as_built_text(strakes: list[HungStrake], step: float = 0.5) -> str:
    """The file that a builder would write, in mm or in eighths of an inch."""
    is_mm = step != EIGHTH
    lines = ["format = 1", f'units = "{"mm" if is_mm else "eighths"}"']
    for strake in strakes:
        written = {place: value if is_mm else value / EIGHTH for place, value in strake.above_mark.items()}
        figures = ", ".join(f'"{place}" = {value:.1f}' for place, value in written.items())
        lines += [f"[strake.{strake.number}]", f"above_mark = {{ {figures} }}"]
        thickness = strake.thickness
        lines += [] if thickness is None else [f"thickness = {thickness if is_mm else thickness / EIGHTH:.3f}"]
    return "\n".join(lines) + "\n"


def hung_with_errors(hull: Hull, seed: int, path: Path | None, trade: Trade = MM) -> Hanging:
    """Hang every strake; patterns come from the file at `path`, measured as she goes, or from the drawing (None)."""
    random = np.random.default_rng(seed)
    drawn = shell_of(hull)
    count, names, along = hull.planking.strakes, place_names(hull), places_along(drawn)
    widths, places = drawn_widths(drawn), len(names)
    edges, misses, left_out = np.zeros((count, places)), [], 0
    true: list[HungStrake] = []
    measured: list[HungStrake] = []
    for strake in range(1, count + 1):
        error = trade.land(random, along[strake - 1])
        stock = hull.planking.thickness[strake - 1] + random.uniform(-1.0, 1.0) * trade.stock
        meant, pattern = np.zeros(places), drawn
        if path is not None and measured:
            path.write_text(as_built_text(measured, trade.step), encoding="utf-8")
            relined = as_built_boat(drawn, read_as_built(path, hull, widths))
            meant, pattern = printed_marks(relined, strake, hull.units), shell_of(relined.hull)
            left_out = len(relined.left_out)
        there = shell_of(true_hull(drawn, edges, meant, AsBuilt((*true, HungStrake(strake, {}, stock)))))
        miss = flat_widths(flat_strake(pattern, strake)) - flat_widths(flat_strake(there, strake))
        misses.append(miss)
        edges[strake - 1] = meant + miss[:places] + error
        true.append(HungStrake(strake, {}, stock))
        read = trade.read(random, edges[strake - 1])
        measured.append(HungStrake(strake, dict(zip(names, read, strict=True)), round(stock, 1)))
    return Hanging(edges, np.array(misses), left_out)


def printed_marks(relined: Relined, strake: int, units: UnitName) -> Array:
    """How far the marks of a strake are shifted, as the sheet gives them, mm."""
    notation = notation_of(units)
    cells = [notation.signed(float(by)) for by in relined.moved[strake - 1]]
    return np.array([parse_printed_length(cell.removeprefix("+"), notation.fine_units) for cell in cells])


def true_hull(drawn: PlankedShell, edges: Array, meant: Array, built: AsBuilt) -> Hull:
    """The boat as it really is, with the next strake's upper edge where it is meant to come; stock up to it."""
    moved, number = edges.copy(), built.hung
    moved[number - 1 :] = meant * np.linspace(1.0, 0.0, len(edges) - number + 1)[:, None]
    return hull_with_edges(drawn, moved, built)
