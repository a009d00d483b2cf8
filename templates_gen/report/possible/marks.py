"""The marks of the lands before any plank is hung on them, and the figures that must be possible there."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName, Place
from templates_gen.geometry.land_marks import Marks
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Hull, Stem
from templates_gen.report.places import stops_of
from templates_gen.report.possible.bounds import Figure
from templates_gen.words import timber

Array = NDArray[np.float64]

SHEER_STEP = 0.1
"""At least this share of a lap lies between the last land and the sheer."""


@dataclass(frozen=True)
class Marked:
    """The lands' marks before any plank is hung: at both ends and the stations, shape (N, n + 2, 3), fore to aft."""

    hull: Hull
    points: Array

    def rows(self) -> Iterator[tuple[Place, str, Array]]:
        """Yield every place, its words where it lies on a stem ("" elsewhere), and its marks, shape (N, 3)."""
        for index, place in enumerate(stops_of(self.hull)):
            yield place, _on_timber(self.hull, place), self.points[:, index]


def _on_timber(hull: Hull, place: Place) -> str:
    if place.kind != "end":
        return ""
    end: EndName = "fore" if place.station == "fore" else "aft"
    return f"on the {timber(end)}, along its rabbet line" if isinstance(hull.end(end), Stem) else ""


def marked(marks: Marks) -> Marked:
    """Return the marks of a hull's lands, fore to aft."""
    return Marked(marks.hull, np.concatenate([marks.fore[:, None], marks.stations, marks.aft[:, None]], axis=1))


def marks_of(shell: PlankedShell) -> Marked:
    """Return the marks that a shell hangs on; on stems the points of the rabbet line."""
    points = np.stack([edge.batten.marks for edge in shell.hung.edges])
    for end, stem in shell.hung.stems.items():
        points[:, 0 if end == "fore" else -1] = stem.points[1:]
    return Marked(shell.hull, points)


def inner_steps(marks: Marked) -> Iterator[Figure]:
    """Yield the distance from each land's mark to the next land's; `reference`: from land 1 to the sheer."""
    every = tuple(range(1, len(marks.points)))
    for place, words, row in marks.rows():
        steps = np.linalg.norm(np.diff(row, axis=0), axis=-1)
        for land, step in enumerate(steps[:-1], start=2):
            lap, where = marks.hull.planking.lap_on(land), About("land", land, place=place)
            yield Figure(float(step), where, words, lap, every, float(steps.sum()))


def sheer_steps(marks: Marked) -> Iterator[Figure]:
    """Yield the distance from the last land's mark to the sheer; `reference`: from land 1 to the sheer."""
    last = len(marks.points) - 1
    for place, words, row in marks.rows() if last else ():
        step, lap = float(np.linalg.norm(row[-1] - row[-2])), marks.hull.planking.lap_on(last)
        room = float(np.linalg.norm(np.diff(row, axis=0), axis=-1).sum())
        yield Figure(step, About("land", last, place=place), words, lap, (last,), room)
