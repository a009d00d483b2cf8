"""A small change of any figure moves no land by much, and the marks do not depend on where the search begins."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.geometry.lining_off.energy import Aim
from templates_gen.geometry.lining_off.marking import best_marks, lining_off
from templates_gen.geometry.lining_off.places import even_marks, places_of
from templates_gen.geometry.rabbet_line import rabbet_line
from templates_gen.hull.model import Hull, Lands, Planking, Transom
from templates_gen.hull.reader import read_hull
from tests.sweep import more

Array = NDArray[np.float64]

ROOT = Path(__file__).parents[2]
MOST_MOVED = 3.0
"""mm, for each 0.1 mm by which a figure changes (common practice: lands show when they are 3 mm out)."""

HULLS = {
    "dinghy": ROOT / "hulls" / "dinghy.toml",
    "pram": ROOT / "hulls" / "pram.toml",
    "double_ender": ROOT / "hulls" / "double_ender.toml",
    "firm_bilge": ROOT / "tests" / "data" / "firm_bilge.toml",
}


def hull_of(name: str) -> Hull:
    hull = read_hull(HULLS[name])
    return replace(hull, lands=Lands("even", {}, hull.lands.garboard, hull.lands.sheer))


def with_planking(hull: Hull, **changes: float | tuple[float, ...]) -> Hull:
    planking: Planking = replace(hull.planking, **changes)  # type: ignore[arg-type]
    return replace(hull, planking=planking)


def edge(hull: Hull, least: float) -> Hull:
    return with_planking(hull, least_edge=(least,) * hull.planking.strakes)


def lap(hull: Hull, width: float) -> Hull:
    return with_planking(hull, lap=width)


def thickness(hull: Hull, stock: float) -> Hull:
    return with_planking(hull, thickness=(stock,) * hull.planking.strakes)


def garboard(hull: Hull, factor: float) -> Hull:
    return replace(hull, lands=replace(hull.lands, garboard=factor))


def section_point(hull: Hull, moved: float) -> Hull:
    section = hull.stations[2].section.copy()
    section[3, 1] += moved
    stations = list(hull.stations)
    stations[2] = replace(stations[2], section=section)
    return replace(hull, stations=tuple(stations))


def transom_point(hull: Hull, moved: float) -> Hull:
    assert isinstance(hull.aft, Transom)
    section = hull.aft.section.copy()
    section[1, 1] += moved
    return replace(hull, aft=replace(hull.aft, section=section))


@dataclass(frozen=True)
class Sweep:
    """A figure of a hull from a value to another, and what change of it stands for 0.1 mm."""

    name: str
    change: Callable[[Hull, float], Hull]
    start: float
    stop: float
    tenth: float
    also: Sequence[float] = ()

    @property
    def values(self) -> Array:
        """Every tenth from start to stop, and the values that are asked for besides."""
        count = round((self.stop - self.start) / self.tenth)
        return np.union1d(np.linspace(self.start, self.stop, count + 1), np.array(self.also))


SWEEPS = (
    # At 3.75 mm and at a transom drawn as it is the land either went past the transom's hollow or into it.
    Sweep("dinghy", edge, 3.5, 4.3, 0.1, (3.726, 3.762)),
    Sweep("dinghy", thickness, 8.8, 9.2, 0.1),
    # The garboard shows about 100 mm, so that 0.1 mm is a thousandth; each step here is a hundredth and more.
    Sweep("dinghy", garboard, 1.1, 1.15, 0.0125),
    Sweep("dinghy", transom_point, -0.2, 0.4, 0.1),
    Sweep("dinghy", section_point, -0.2, 0.2, 0.1),
    Sweep("pram", lap, 18.7, 19.4, 0.1, (18.96, 19.0)),
    Sweep("pram", edge, 3.0, 3.9, 0.1),
    Sweep("pram", thickness, 5.8, 6.2, 0.1),
    Sweep("double_ender", edge, 5.8, 6.3, 0.1),
    Sweep("firm_bilge", edge, 4.0, 4.8, 0.1),
    Sweep("firm_bilge", lap, 18.8, 19.2, 0.1),
)


def marks(hull: Hull) -> Array:
    return lining_off(hull, rabbet_line(hull)).girths


def greatest_movement(rows: Iterable[Array]) -> float:
    """By how much any mark moves from one lining-off to the next, mm."""
    return float(np.abs(np.diff(np.stack(list(rows)), axis=0)).max())


every_sweep = [*SWEEPS[::4], *more(*(one for k, one in enumerate(SWEEPS) if k % 4))]


@pytest.mark.parametrize("sweep", every_sweep, ids=lambda sweep: f"{sweep.name} {sweep.change.__name__}")
def test_a_tenth_of_a_millimetre_moves_no_mark_by_more_than_three(sweep: Sweep) -> None:
    hull = hull_of(sweep.name)
    assert greatest_movement(marks(sweep.change(hull, float(v))) for v in sweep.values) <= MOST_MOVED


def test_a_land_that_jumps_is_seen() -> None:
    rows = [np.full((2, 3), 0.1 * step) for step in range(5)]
    assert greatest_movement(rows) == pytest.approx(0.1)
    rows[3][1, 2] += 5.0
    assert greatest_movement(rows) > MOST_MOVED


@pytest.mark.parametrize("name", ["dinghy", "firm_bilge", *more("double_ender", "pram")])
def test_the_marks_do_not_depend_on_where_the_search_begins(name: str) -> None:
    hull = hull_of(name)
    places = places_of(hull, rabbet_line(hull), np.arange(len(hull.stations)))
    even = even_marks(places, hull)
    held = np.zeros((len(even) - 1, even.shape[1]), dtype=bool)
    found = marks(hull)
    random = np.random.default_rng(5)
    for _ in range(2):
        share = np.cumsum(random.uniform(0.6, 1.6, even.shape), axis=0)
        start = even[-1] * share / share[-1]
        with np.errstate(all="ignore"):
            assert best_marks(Aim(hull, places, even), start, held)[1] == pytest.approx(found, abs=0.2)
