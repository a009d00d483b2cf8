"""Lands that cross the end of a level board between its faces: where the end must be notched for the step.

From its forward to its after edge such a board lies on one strake below the land and on the next one above it.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.ends import rulings_at_planes
from templates_gen.geometry.inside.section import leaves_edge
from templates_gen.geometry.planking import PlankedShell

Array = NDArray[np.float64]

_STEP = 2.0
_BEYOND = 60.0
"""mm of rulings either side: where they lean, they reach the board from outside its own x."""

_KEPT = 20.0
_LEAST = 1.0
"""mm: a land that crosses for less only touches a corner of the end."""


@dataclass(frozen=True)
class CrossedLand:
    """A run over which a land lies between the bottom and the top face of a board.

    Attributes
    ----------
    land : int
    corner : Array, shape (p, 3)
        The upper inside corner of the strake below, fore to aft, (x, half-breadth, height).
    begins : Array, shape (p, 3)
        Where, in the same transverse planes, the inner face of the strake above begins.
    above_bottom : Array, shape (p,)
        How far the corner is above the bottom face, mm.
    bevels : (float, float) twice
        Of the strake below and of the one above, each at the forward and the after end of the run: the angle of the
        plank's inner face to the top face less a right angle, radians, positive where the top is the larger.
    """

    land: int
    corner: Array
    begins: Array
    above_bottom: Array
    bevels: tuple[tuple[float, float], tuple[float, float]]

    @property
    def steps(self) -> Array:
        """Return the depth of the step, from the corner to where the face above begins, mm, shape (p,)."""
        return np.asarray(np.linalg.norm(self.begins - self.corner, axis=1))


def crossed_lands(shell: PlankedShell, x: tuple[float, float], heights: tuple[float, float]) -> list[CrossedLand]:
    """Return the runs over which lands cross a board's end, fore to aft.

    Parameters
    ----------
    x : (float, float)
        The forward and the after edge of the board.
    heights : (float, float)
        Of its bottom and its top face.
    """
    found = [run for land in range(1, shell.planking.strakes) for run in _runs(shell, land, x, heights)]
    return sorted(found, key=lambda run: float(run.corner[0, 0]))


def _runs(
    shell: PlankedShell, land: int, x: tuple[float, float], heights: tuple[float, float]
) -> Iterator[CrossedLand]:
    low, high = (min(max(one, shell.u_fore), shell.u_aft) for one in (x[0] - _BEYOND, x[1] + _BEYOND))
    line = shell.upper(land, np.linspace(low, high, int((high - low) / _STEP) + 2))
    at = np.unique(np.concatenate([x, *(_crossings(line, height) for height in heights)]))
    at = at[(at >= x[0]) & (at <= x[1])]
    middle = np.interp((at[:-1] + at[1:]) / 2, line[:, 0], line[:, 2])
    for first, last, height in zip(at[:-1], at[1:], middle, strict=True):
        if heights[0] < height < heights[1] and last - first > _LEAST:
            yield _run(shell, land, np.linspace(first, last, int((last - first) / _KEPT) + 2), heights[0])


def _crossings(line: Array, height: float) -> Array:
    """The x at which a line in space passes a height."""
    over = line[:, 2] - height
    k = np.flatnonzero(over[:-1] * over[1:] < 0.0)
    return np.asarray(line[k, 0] + over[k] / (over[k] - over[k + 1]) * (line[k + 1, 0] - line[k, 0]))


def _run(shell: PlankedShell, land: int, x: Array, bottom: float) -> CrossedLand:
    shares = np.array([leaves_edge(shell, land, float(one)) for one in x])
    u_below = rulings_at_planes(shell, land, x, np.ones(len(x)))
    u_above = rulings_at_planes(shell, land + 1, x, shares)
    corner = shell.face(land, u_below, np.ones(len(x)))
    below, above = shell.normal(land, u_below, np.ones(len(x))), shell.normal(land + 1, u_above, shares)
    (b0, b1), (a0, a1) = (np.arcsin(-normals[[0, -1], 2]).tolist() for normals in (below, above))
    return CrossedLand(
        land, corner, shell.face(land + 1, u_above, shares), corner[:, 2] - bottom, ((b0, b1), (a0, a1))
    )
