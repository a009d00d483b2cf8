"""What a section must be, on a station or on a transom."""

from collections.abc import Iterator

import numpy as np

from templates_gen.hull.model import Array
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, spoken
from templates_gen.units import UnitName

DISTINCT = 0.01
"""Points nearer than this to each other are one point, mm."""

SHARPEST_TURN = np.cos(np.radians(150.0))
"""From the cosine of this turn a section doubles back on itself; a chine turns by less than 90° (common practice)."""


def section_problems(
    path: KeyPath, label: str, rabbet: Array, section: Array, units: UnitName, about: str = "section"
) -> Iterator[Problem]:
    """Yield what is wrong with the section of the station or transom at `path`, called `label` in messages."""
    for index, half_breadth in enumerate(section[:, 0]):
        if half_breadth < 0:
            text = f"{label}: point {index + 1} of the section lies across the centreplane; give one side only"
            yield Problem((*path, "section", index, 0), text, "0 or more", about)
    if section[-1, 1] <= rabbet[1]:
        text = f"{label}: the sheer, which is the section's last point, is not above the rabbet"
        expected = f"a height of more than {spoken(float(rabbet[1]), units)}"
        yield Problem((*path, "section", len(section) - 1, 1), text, expected, about)
    doubled = np.flatnonzero(np.linalg.norm(np.diff(section, axis=0), axis=1) < DISTINCT).tolist()
    for index in doubled:
        text = f"{label}: points {index + 1} and {index + 2} of the section are the same; take one out"
        yield Problem((*path, "section", index + 1), text, "another point", about)
    if not doubled:
        # a sheer below the rabbet mostly turns the section back at the point before it: one fault, the sheer's
        told = len(section) - 2 if section[-1, 1] <= rabbet[1] else -1
        yield from _turning_problems((*path, "section"), label, rabbet, section, about, told)


def _turning_problems(
    path: KeyPath, label: str, rabbet: Array, section: Array, about: str, told: int
) -> Iterator[Problem]:
    """Yield where a section of distinct points doubles back, save where it was `told`, or else crosses itself."""
    along = np.diff(section, axis=0)
    along /= np.linalg.norm(along, axis=1)[:, None]
    turned = np.flatnonzero(np.sum(along[:-1] * along[1:], axis=1) < SHARPEST_TURN) + 1
    for index in turned[turned != told]:
        text = f"{label}: the section turns back on itself at point {index + 1}; are its points in order?"
        yield Problem((*path, int(index)), text, "points in order from the rabbet to the sheer", about)
    crossed = crossing(np.concatenate([rabbet[None], section])) if not len(turned) else None
    if crossed is not None:
        first, second = crossed
        before = "the straight from the rabbet" if first == 0 else f"the piece from point {first} to {first + 1}"
        text = f"{label}: the section crosses itself: {before} and that from point {second} to {second + 1}"
        yield Problem((*path, second), text, "points in order from the rabbet to the sheer", about)


def crossing(points: Array) -> tuple[int, int] | None:
    """Return the numbers of the first two pieces of a chain of points that cross, or None.

    Parameters
    ----------
    points : Array, shape (n, 2)
        Piece i runs from point i to point i + 1. Pieces that only touch do not cross.

    Source
    ------
    Derived here: two pieces cross when the ends of each lie on both sides of the other's line, which the signs of
    four cross products tell.
    """
    start, stop = points[:-1], points[1:]
    sides_start = _side(start[:, None], stop[:, None], start[None])
    sides_stop = _side(start[:, None], stop[:, None], stop[None])
    parted = sides_start * sides_stop < 0
    first, second = np.nonzero(np.triu(parted & parted.T, k=2))
    return (int(first[0]), int(second[0])) if len(first) else None


def _side(start: Array, stop: Array, point: Array) -> Array:
    """Return the sign of the side of the line start → stop on which a point lies, + on its left."""
    line, away = stop - start, point - start
    return np.asarray(np.sign(line[..., 0] * away[..., 1] - line[..., 1] * away[..., 0]))
