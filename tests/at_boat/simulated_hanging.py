"""A boat hung on paper, strake by strake, with seeded errors; measured as she goes, or built from the drawing alone.

Each strake is cut exactly to its pattern and clamped with its lap right on the strake below. Where its upper edge
then comes is the mark it was meant for, plus what its pattern is too wide or too narrow for the boat as she really
is, plus an error of its own.
"""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.as_built.boat import Relined, as_built_boat, drawn_widths
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, place_names, read_as_built
from templates_gen.hull.model import Hull
from tests.flow import shell_of

Array = NDArray[np.float64]

ALONG_LAND, IN_THICKNESS = 1.0, 0.2
"""Errors of hanging, mm either way."""

MEASURING = 0.5
"""The measuring error, mm at most: a rule read within 0.25 mm, and written to the nearest 0.5 mm."""


@dataclass(frozen=True)
class Hanging:
    """A boat hung.

    Attributes
    ----------
    edges : Array, shape (N, p)
        How far each upper edge really stands above its drawn mark, mm.
    misses : Array, shape (N, p)
        How much wider each strake was cut than the boat wanted with its upper edge where it was meant to be: with the
        edge held there its lap is off by this much, mm.
    """

    edges: Array
    misses: Array


def flat_widths(strake: FlatStrake) -> Array:
    """The net width of a flat strake at the fore end, every station and the after end, shape (p,)."""
    fore, aft = strake.end("fore"), strake.end("aft")
    marks = [strake.mark(station.at) for station in strake.shell.hull.stations]
    pairs = [(fore[0], fore[-1]), *marks, (aft[0], aft[-1])]
    return np.array([np.linalg.norm(high - low) for low, high in pairs])


def as_built_text(strakes: list[HungStrake]) -> str:
    """The file that a builder would write, in mm."""
    lines = ["format = 1", 'units = "mm"']
    for strake in strakes:
        figures = ", ".join(f'"{place}" = {value:.1f}' for place, value in strake.above_mark.items())
        lines += [f"[strake.{strake.number}]", f"above_mark = {{ {figures} }}"]
        lines += [] if strake.thickness is None else [f"thickness = {strake.thickness:.1f}"]
    return "\n".join(lines) + "\n"


def hung_with_errors(hull: Hull, seed: int, path: Path | None) -> Hanging:
    """Hang every strake; patterns come from the file at `path`, measured as she goes, or from the drawing (None)."""
    random = np.random.default_rng(seed)
    drawn = shell_of(hull)
    count, places = hull.planking.strakes, place_names(hull)
    widths = drawn_widths(drawn)
    edges, misses = np.zeros((2, count, len(places)))
    true: list[HungStrake] = []
    measured: list[HungStrake] = []
    for strake in range(1, count + 1):
        error = random.uniform(-ALONG_LAND, ALONG_LAND, len(places))
        stock = hull.planking.thickness[strake - 1] + random.uniform(-IN_THICKNESS, IN_THICKNESS)
        reading = random.uniform(-0.25, 0.25, len(places))
        meant, pattern = np.zeros(len(places)), drawn
        if path is not None and measured:
            path.write_text(as_built_text(measured), encoding="utf-8")
            relined = as_built_boat(drawn, read_as_built(path, hull, widths))
            meant, pattern = relined.moved[strake - 1], with_stock(relined, strake, round(stock, 1))
        there = shell_of(_true_hull(drawn, true, strake, meant, stock))
        misses[strake - 1] = flat_widths(flat_strake(pattern, strake)) - flat_widths(flat_strake(there, strake))
        edges[strake - 1] = meant + misses[strake - 1] + error
        true.append(HungStrake(strake, dict(zip(places, edges[strake - 1], strict=True)), stock))
        read = np.round(2.0 * (edges[strake - 1] + reading)) / 2.0
        measured.append(HungStrake(strake, dict(zip(places, read, strict=True)), round(stock, 1)))
    return Hanging(edges, misses)


def with_stock(relined: Relined, strake: int, thickness: float) -> PlankedShell:
    """The shell as built, the next strake of stock that is already measured."""
    planking = relined.hull.planking
    all_stock = [*planking.thickness]
    all_stock[strake - 1] = thickness
    return shell_of(replace(relined.hull, planking=replace(planking, thickness=tuple(all_stock))))


def _true_hull(drawn: PlankedShell, hung: list[HungStrake], strake: int, meant: Array, stock: float) -> Hull:
    """The boat as she really is, with the next strake's upper edge where it is meant to come."""
    places = place_names(drawn.hull)
    next_one = HungStrake(strake, dict(zip(places, meant, strict=True)), stock)
    return as_built_boat(drawn, AsBuilt((*hung, next_one))).hull
