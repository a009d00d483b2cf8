"""Whether a spiling can be of its strake at all: its length, its units, and how many of its points agree."""

from collections.abc import Iterator

import numpy as np

from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.spiling.causes import better_radius
from templates_gen.geometry.spiling.overlay import FEWEST_AGREED, LEFT_OUT, MOST_LEFT_OUT, Laid
from templates_gen.hull.measured.spiling import EDGES, FEWEST, EdgeName, Spiling
from templates_gen.hull.problem import Problem, spoken
from templates_gen.units import UnitName

SHORTEST, LONGEST = 0.6, 1.4
"""A spiling outside these shares of the computed length is of no such strake (common practice)."""

_UNIT_FACTORS = (25.4, 10.0, 304.8, 8.0, 25.4 / 8.0)
"""Inches, centimetres and feet in mm, and eighths of an inch in inches and in mm."""

_NEAR = 0.1


def fit_problems(strake: FlatStrake, spiling: Spiling, laid: Laid) -> list[Problem]:
    """Return why a strake cannot be drawn from a spiling laid over it; none where it can.

    Paths are keys of the spiling file.
    """
    units = strake.shell.hull.units
    if not SHORTEST <= laid.share <= LONGEST:
        return [_length_problem(laid, strake.number, units)]
    few = [*_few_problems(laid, strake.number, units)]
    more = better_radius(strake, spiling) if few else None
    return few if more is None else [_radius_problem(spiling, more, few[0], units)]


def _length_problem(laid: Laid, number: int, units: UnitName) -> Problem:
    """The points spread over far more or far less of the batten than the strake is long."""
    found, true = spoken(laid.spread, units), spoken(round(laid.computed_spread), units)
    text = f"strake {number}: the points spread over {found} of the batten, and the computed strake over {true}"
    fits = any(abs(laid.share * by - 1.0) < _NEAR for one in _UNIT_FACTORS for by in (one, 1.0 / one))
    text += "; is units right?" if fits else "; is this the spiling of another strake or boat?"
    low, high = (spoken(round(share * laid.computed_spread), units) for share in (SHORTEST, LONGEST))
    return Problem(("units",) if fits else ("strake",), text, f"from {low} to {high}", "strake", found)


def _few_problems(laid: Laid, number: int, units: UnitName) -> Iterator[Problem]:
    """Too few points, of the strake or of one edge, that can belong to it."""
    kept = int(np.sum(~laid.is_left_out))
    near = f"within {spoken(LEFT_OUT, units)} of the computed strake"
    if kept < FEWEST_AGREED:
        text = (
            f"strake {number}: of {len(laid.places)} points {kept} lie {near} together; were all measured from one "
            "straight edge, of this strake, in these units?"
        )
        yield Problem(("strake",), text, f"{FEWEST} on each edge", "strake", f"{kept} of {len(laid.places)}")
        return
    for edge in EDGES:
        yield from _edge_problems(laid, edge, near)
    if laid.loses_too_much and all(laid.kept_of(edge) >= FEWEST for edge in EDGES):
        yield _lost_problem(laid, number, near)


def _lost_problem(laid: Laid, number: int, near: str) -> Problem:
    """A whole end, or more points than a slip or two, that cannot belong to the strake."""
    lost = [f"{place} {edge}" for (edge, place), out in zip(laid.places, laid.is_left_out, strict=True) if out]
    text = (
        f"strake {number}: not {near}: {', '.join(lost)}; too many, or a whole end, to draw the strake without them. "
        "Is the straight line straight, the station right, were these arcs swung from between both edges?"
    )
    most = int(MOST_LEFT_OUT * len(laid.places))
    expected = f"{most} at most, and not both of an end"
    return Problem(("strake",), text, expected, "strake", f"{len(lost)} of {len(laid.places)}")


def _edge_problems(laid: Laid, edge: EdgeName, near: str) -> Iterator[Problem]:
    index = laid.of_edge(edge)
    lost = [laid.places[i][1] for i in index if laid.is_left_out[i]]
    kept = len(index) - len(lost)
    if kept < FEWEST:
        text = f"[{edge}] keeps {kept} points {near}; read again {', '.join(lost)}"
        yield Problem((edge,), text, f"{FEWEST} at least", "strake", f"{kept} of {len(index)}")


def _radius_problem(spiling: Spiling, more: float, few: Problem, units: UnitName) -> Problem:
    """The one cause of them all: another radius would bring the points near."""
    radius = next(arcs.radius for edge in EDGES for arcs in spiling.arcs[edge].values())
    fits = spoken(radius + more, units)
    text = f"{few.text}; the arcs fit the boat with a radius of {fits}: measure what the compass was set to"
    return Problem(("radius",), text, f"about {fits}", "strake")
