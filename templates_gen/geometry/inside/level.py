"""Thwarts: where a level board ends on the inside of the planking, in plan, on its top and its bottom face.

A plane that is square to the centreplane cuts each ruling of a strake in one point, which needs no search. Where a
land crosses the end between the two faces, the end goes on along the next strake, and is notched for the step.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.geometry.ends import rulings_at_planes
from templates_gen.geometry.inside.room import SPOKEN, check_transoms, leaves_edge, refusal, stem_up_to
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Thwart
from templates_gen.units import spoken_length
from templates_gen.words import timber

Array = NDArray[np.float64]

_STEP = 2.0
_BEYOND = 60.0
"""mm of rulings either side of a piece: where they lean, they reach it from outside its own x."""

_KEPT = 5.0
_KEPT_ON_LAND = 20.0
_LEAST = 1.0
"""mm: a land that crosses for less only touches a corner of the end."""


@dataclass(frozen=True)
class RuledCut:
    """Where a plane square to the centreplane cuts the rulings of a strake's inner face.

    Attributes
    ----------
    u : Array, shape (m,)
    share : Array, shape (m,)
        Across the strake from its lower edge; the plane misses the strake where it is not from 0 to 1.
    points : Array, shape (m, 3)
        No farther than a width outside the strake.
    """

    u: Array
    share: Array
    points: Array


def ruled_cut(shell: PlankedShell, strake: int, point: Array, normal: Array, u: Array) -> RuledCut:
    """Return where the plane through a point with a normal cuts a strake's rulings u; they are straight."""
    ends = shell.face(strake, u[:, None], np.array([0.0, 1.0]))
    low, across = ends[:, 0], ends[:, 1] - ends[:, 0]
    share = (point - low) @ normal / (across @ normal)
    return RuledCut(u, share, low + np.clip(share, -1.0, 2.0)[:, None] * across)


@dataclass(frozen=True)
class EndPart:
    """A part of a thwart's end that lies on one strake.

    Attributes
    ----------
    strake : int
    line : Array, shape (p, 2)
        (x, half-breadth) of the top face's edge, going aft.
    bevels : (float, float)
        At its forward and its after end, square to the edge: the angle of the plank's inner face to the top face
        less a right angle, radians, positive where the top face is the larger.
    """

    strake: int
    line: Array
    bevels: tuple[float, float]


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


@dataclass(frozen=True)
class ThwartShape:
    """A half of a thwart in plan, (x, half-breadth).

    Attributes
    ----------
    piece : Thwart
    parts, under_parts : tuple of EndPart
        Of the top and of the bottom face's end, fore to aft; from one to the next that face steps over a land.
    lands : tuple of CrossedLand
        The lands that lie between the two faces, for which the end is notched.
    end, under : Array, shape (p, 2)
        The end's line on the top and on the bottom face, from the forward edge to the after edge.
    """

    piece: Thwart
    parts: tuple[EndPart, ...]
    under_parts: tuple[EndPart, ...]
    lands: tuple[CrossedLand, ...]
    end: Array
    under: Array

    @property
    def about(self) -> About:
        """Return what it is."""
        return About(self.piece.kind, self.piece.number)


def thwart_shape(shell: PlankedShell, piece: Thwart) -> ThwartShape:
    """Return a thwart.

    Raises
    ------
    BoatError
        Where it does not fit into the boat, with the key of the hull file that it is about.
    """
    _check_stems(shell, piece)
    top = _end_parts(shell, piece, piece.height)
    under = _end_parts(shell, piece, piece.height - piece.thickness)
    lines = [np.concatenate([part.line for part in parts]) for parts in (top, under)]
    for line, height in zip(lines, (piece.height, piece.height - piece.thickness), strict=True):
        check_transoms(shell, piece, "aft", np.column_stack([line, np.full(len(line), height)]))
    lands = crossed_lands(shell, (piece.fore, piece.aft), (piece.height - piece.thickness, piece.height))
    return ThwartShape(piece, top, under, tuple(lands), lines[0], lines[1])


def _check_stems(shell: PlankedShell, piece: Thwart) -> None:
    """Refuse a thwart that crosses a stem or sternpost."""
    for end in shell.hung.stems:
        x = piece.fore if end == "fore" else piece.aft
        if stem_up_to(shell, end, x) > piece.height - piece.thickness + SPOKEN:
            side = "aft" if end == "fore" else "forward"
            at = spoken_length(x, shell.hull.units)
            raise refusal(
                piece, end, f"crosses the {timber(end)} at {at}; move that edge farther {side}, or raise it"
            )


def _end_parts(shell: PlankedShell, piece: Thwart, height: float) -> tuple[EndPart, ...]:
    """One face's end, strake by strake, fore to aft.

    At each x it lies on the lowest strake that reaches so high there: the level line from the centreline meets that
    one first. Where the topsides tumble home, a strake's square edge reaches higher than its inner corner.
    """
    units, count = shell.hull.units, shell.planking.strakes
    low, high = (min(max(x, shell.u_fore), shell.u_aft) for x in (piece.fore - _BEYOND, piece.aft + _BEYOND))
    u = np.linspace(low, high, int((high - low) / _STEP) + 2)
    up = np.array([0.0, 0.0, 1.0])
    cuts = [ruled_cut(shell, k, height * up, up, u) for k in range(1, count + 1)]
    x = np.unique(np.concatenate([np.linspace(piece.fore, piece.aft, 3), np.arange(piece.fore, piece.aft, _KEPT)]))
    over = [_over(shell, k, cut) for k, cut in enumerate(cuts, start=1)]
    stops = np.unique(
        np.concatenate([x, *(_zeros(cut.points[:, 0], past) for cut, past in zip(cuts, over, strict=True))])
    )
    stops = stops[(stops >= piece.fore) & (stops <= piece.aft)]
    middles = (stops[:-1] + stops[1:]) / 2
    reach = np.array([np.interp(middles, cut.points[:, 0], past) for cut, past in zip(cuts, over, strict=True)])
    if (reach[-1] > 0.0).any():
        raise refusal(piece, "height", f"is at {spoken_length(height, units)}, above the sheer there; make it lower")
    owner = np.argmax(reach <= 0.0, axis=0)
    shares = [np.interp(middles[owner == k], cut.points[:, 0], cut.share) for k, cut in enumerate(cuts)]
    if min(float(one.min(initial=1.0)) for one in shares) < 0.0:
        text = f"reaches down to {spoken_length(height, units)}, below the inside of the planking; raise it"
        raise refusal(piece, "height", text)
    return tuple(_parts(shell, cuts, stops, owner))


def _over(shell: PlankedShell, strake: int, cut: RuledCut) -> Array:
    """How far the plane passes over a strake, in shares of its width, at each ruling; more than 0: it clears it."""
    normals = shell.normal(strake, cut.u, np.ones(len(cut.u)))
    rise = shell.upper(strake, cut.u)[:, 2] - shell.lower(strake, cut.u)[:, 2]
    edge = shell.planking.thickness[strake - 1] * np.maximum(normals[:, 2], 0.0) / rise
    return np.asarray(cut.share - 1.0 - (edge if strake < shell.planking.strakes else 0.0))


def _zeros(x: Array, values: Array) -> Array:
    """The x at which values change their sign, found between neighbours."""
    at = np.flatnonzero(values[:-1] * values[1:] < 0.0)
    share = values[at] / (values[at] - values[at + 1])
    return np.asarray(x[at] + share * (x[at + 1] - x[at]))


def _parts(shell: PlankedShell, cuts: list[RuledCut], stops: Array, owner: NDArray[np.intp]) -> list[EndPart]:
    """The runs of neighbouring spans between stops that one strake owns."""
    starts = np.flatnonzero(np.diff(owner, prepend=-1))
    found = []
    for first, last in zip(starts, [*starts[1:], len(owner)], strict=True):
        k = int(owner[first])
        cut, x = cuts[k], stops[first : last + 1]
        share = np.interp(x, cut.points[:, 0], np.minimum(cut.share, 1.0))
        out = np.where(cut.share > 1.0, shell.upper(k + 1, cut.u)[:, 1], cut.points[:, 1])
        line = np.column_stack([x, np.interp(x, cut.points[:, 0], out)])
        at = np.interp(x[[0, -1]], cut.points[:, 0], cut.u)
        normals = shell.normal(k + 1, at, share[[0, -1]])
        bevels = np.arcsin(-normals[:, 2])
        found.append(EndPart(k + 1, line, (float(bevels[0]), float(bevels[1]))))
    return found


def crossed_lands(shell: PlankedShell, x: tuple[float, float], heights: tuple[float, float]) -> list[CrossedLand]:
    """Return the runs over which lands cross a board's end, fore to aft.

    Parameters
    ----------
    x : (float, float)
        The forward and the after edge of the board.
    heights : (float, float)
        Of its bottom and its top face.
    """
    found = [run for land in range(1, shell.planking.strakes) for run in _crossing_runs(shell, land, x, heights)]
    return sorted(found, key=lambda run: float(run.corner[0, 0]))


def _crossing_runs(
    shell: PlankedShell, land: int, x: tuple[float, float], heights: tuple[float, float]
) -> Iterator[CrossedLand]:
    low, high = (min(max(one, shell.u_fore), shell.u_aft) for one in (x[0] - _BEYOND, x[1] + _BEYOND))
    line = shell.upper(land, np.linspace(low, high, int((high - low) / _STEP) + 2))
    at = np.unique(np.concatenate([x, *(_crossings(line, height) for height in heights)]))
    at = at[(at >= x[0]) & (at <= x[1])]
    middle = np.interp((at[:-1] + at[1:]) / 2, line[:, 0], line[:, 2])
    for first, last, height in zip(at[:-1], at[1:], middle, strict=True):
        if heights[0] < height < heights[1] and last - first > _LEAST:
            yield _crossing_run(
                shell, land, np.linspace(first, last, int((last - first) / _KEPT_ON_LAND) + 2), heights[0]
            )


def _crossings(line: Array, height: float) -> Array:
    """The x at which a line in space passes a height."""
    over = line[:, 2] - height
    k = np.flatnonzero(over[:-1] * over[1:] < 0.0)
    return np.asarray(line[k, 0] + over[k] / (over[k] - over[k + 1]) * (line[k + 1, 0] - line[k, 0]))


def _crossing_run(shell: PlankedShell, land: int, x: Array, bottom: float) -> CrossedLand:
    shares = np.array([leaves_edge(shell, land, float(one)) for one in x])
    u_below = rulings_at_planes(shell, land, x, np.ones(len(x)))
    u_above = rulings_at_planes(shell, land + 1, x, shares)
    corner = shell.face(land, u_below, np.ones(len(x)))
    below, above = shell.normal(land, u_below, np.ones(len(x))), shell.normal(land + 1, u_above, shares)
    (b0, b1), (a0, a1) = (np.arcsin(-normals[[0, -1], 2]).tolist() for normals in (below, above))
    return CrossedLand(
        land, corner, shell.face(land + 1, u_above, shares), corner[:, 2] - bottom, ((b0, b1), (a0, a1))
    )
