"""The shell made smooth: from the rulings at which it was computed to piecewise cubics between them.

The planked shell refined until it is true: rulings are halved where halving still changes what is printed.

The shell is exact at each ruling that is computed, and cubic between them. So every interval between rulings is
halved once, and what that changes is the error of the coarser shell there; the finer one, which is kept, errs less.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PPoly

from templates_gen.about import About, stops
from templates_gen.errors import BoatError
from templates_gen.geometry.hanging import Hung, hang
from templates_gen.geometry.land_marks import Marks
from templates_gen.geometry.planking import NumericalError, PlankedShell, StrakeFields
from templates_gen.geometry.shell import Trace
from templates_gen.hull.model import Hull
from templates_gen.numerics.curves import cubic, piecewise
from templates_gen.numerics.directions import cross
from templates_gen.words import in_message

Array = NDArray[np.float64]


class ImpossibleShellError(BoatError):
    """A strake cannot be laid over the one below it."""


def shell_on(hull: Hull, hung: Hung, grid: Array, breaks: Array) -> PlankedShell:
    """Return the planked shell computed at rulings `grid` (m,), some of which are `breaks`."""
    shell = hung.trace(grid, breaks, hull)
    _refuse_impossible(shell)
    edges = piecewise(grid, np.moveaxis(np.stack([shell.lower, shell.upper]), 2, 0), breaks)
    slopes = _slopes(edges, breaks)
    lower_slope = np.asarray(slopes(grid)[:, 0])
    normals = piecewise(grid, np.stack([_lower_normals(shell, lower_slope), _upper_normals(shell)], axis=1), breaks)
    values = [
        np.stack([at.y, at.z, at.gerald, _over(crossing, grid) - grid], axis=-1)
        for at, crossing in zip(shell.lappings, shell.crossings, strict=True)
    ]
    lands = piecewise(grid, np.stack(values, axis=1), breaks) if values else None
    return PlankedShell(
        hull,
        hung,
        grid,
        breaks,
        tuple(
            StrakeFields(_strake_of(edges, k), _strake_of(slopes, k), _strake_of(normals, k))
            for k in range(hull.planking.strakes)
        ),
        () if lands is None else tuple(_land_of(lands, k) for k in range(len(values))),
    )


def _refuse_impossible(shell: Trace) -> None:
    """Raise ImpossibleShellError where a strake's edges are no curves."""
    finite = np.isfinite(np.concatenate([shell.lower, shell.upper_normal], axis=-1)).all(axis=(1, 2))
    if not finite.all():
        strake = int(np.argmin(finite)) + 1
        raise ImpossibleShellError(
            f"strake {strake} cannot be laid over the strake below it; fair the land between them to both ends, and "
            "make both wider than the lap",
            ("lands",),
            "land",
            About("strake", strake),
        )


def _land_of(fields: PPoly, index: int) -> PPoly:
    return PPoly(np.ascontiguousarray(fields.c[:, :, index]), fields.x)


def _strake_of(fields: PPoly, index: int) -> PPoly:
    return PPoly(np.ascontiguousarray(fields.c[:, :, :, index]), fields.x)


def _over(crossing: Array, grid: Array) -> Array:
    """The rulings of the upper strake that meet the lap line where those of the lower strake cross it, shape (m,)."""
    own, met = crossing
    grows = np.append(True, np.diff(np.maximum.accumulate(met)) > 0.0)
    if grows.sum() < 2:
        return np.full_like(grid, np.nan)
    over = np.asarray(cubic(met[grows], grid[grows])(own))
    return np.where(own == met, grid, over)


def _slopes(edges: PPoly, breaks: Array) -> PPoly:
    """Derivatives of the edges by u, made continuous: at a break both sides take their mean."""
    slope = edges.derivative()
    grid = edges.x
    values = np.asarray(slope(grid))
    at = np.searchsorted(grid, breaks[1:-1])
    step = grid[at] - grid[at - 1]
    before = slope.c[0, at - 1]
    for power in slope.c[1:, at - 1]:
        before = before * step.reshape(-1, *[1] * (before.ndim - 1)) + power
    values[at] = (values[at] + before) / 2
    return piecewise(grid, values, breaks)


def _lower_normals(shell: Trace, lower_slope: Array) -> Array:
    """Normals at the lower edges, as long as the ruled face's weight there, shape (m, N, 3)."""
    ruling = np.moveaxis(shell.upper - shell.lower, 0, 1)
    across = cross(ruling, lower_slope)
    weight = np.linalg.norm(across[:, 0], axis=-1, keepdims=True)
    across[:, 0] = weight * shell.garboard_normal
    return np.asarray(across)


def _upper_normals(shell: Trace) -> Array:
    ruling = shell.upper - shell.lower
    return np.moveaxis(cross(ruling, shell.upper_slope), 0, 1)


PAST_END = 0.08
"""How far past f = 1 the shell is computed, as a share of the reach, for planks that run on past their ends."""

TRUE_BEVEL = np.radians(0.01)
"""Greatest error of a bevel that is let pass, radians."""

TRUE_LENGTH = 0.02
"""Greatest error of an edge or a take-off that is let pass, mm."""

_AIM = 0.4
"""Rulings are halved where halving changes a figure by more than this share of what is let pass."""

_END_STEPS = 24
_STEPS = 60
_LEAST_STEPS = 4

_WHOLE = 1e-6
"""Of a step: less is rounding, which differs from one processor to the next and may add no ruling."""
_MOST_HALVINGS = 7


class UnrefinedError(BoatError):
    """A strake's shape still changes when its rulings are set 128 times closer."""


def planked_shell(marks: Marks, fineness: int = 1) -> PlankedShell:
    """Return the shell planked to the marks of its lands, refined until it is true, with the estimate of its error.

    Parameters
    ----------
    marks : Marks
    fineness : int
        Divides every step between the refined rulings once more, to show that nothing depends on them.

    Raises
    ------
    UnrefinedError
        When halving every step seven times leaves more than 0.01 degrees or 0.02 mm to come.
    """
    hull, hung = marks.hull, hang(marks)
    grid, breaks = _first_rulings(hull, hung)
    shell = shell_on(hull, hung, grid, breaks)
    wanted: NDArray[np.bool_] = np.ones(len(grid) - 1, dtype=bool)
    worst = np.zeros(3)
    for _ in range(_MOST_HALVINGS):
        finer_grid, parents = _halved(shell.grid, wanted)
        finer = shell_on(hull, hung, finer_grid, breaks)
        change = _changes(shell, finer, parents, len(wanted))
        rough = np.any(change > _AIM * np.array([TRUE_BEVEL, TRUE_LENGTH, TRUE_LENGTH]), axis=(1, 2))
        kept = change[~rough].max(axis=(0, 1), initial=0.0)
        worst = np.maximum(worst, kept)
        wanted = np.asarray(rough[parents])
        shell = finer
        if not wanted.any():
            break
    else:
        worst = np.maximum(worst, change[rough].max(axis=(0, 1), initial=0.0))
        _refuse_untrue(hull, finer, parents, change)
    if fineness > 1:
        steps = np.arange(fineness) / fineness
        between = (shell.grid[:-1, None] + np.diff(shell.grid)[:, None] * steps).ravel()
        shell = shell_on(hull, hung, np.append(between, shell.grid[-1]), breaks)
    return replace(shell, error=NumericalError(*(float(value) for value in worst)))


def _halved(grid: Array, wanted: NDArray[np.bool_]) -> tuple[Array, NDArray[np.intp]]:
    """The rulings with some intervals halved, and of every new interval the old one that it lies in."""
    middles = (grid[:-1] + grid[1:])[wanted] / 2
    finer = np.sort(np.concatenate([grid, middles]))
    return finer, np.searchsorted(grid, finer[:-1], side="right") - 1


def _changes(shell: PlankedShell, finer: PlankedShell, parents: NDArray[np.intp], count: int) -> Array:
    """By how much bevel, take-off and edges change in each old interval: shape (count, N, 3), radians and mm."""
    u = np.clip(finer.grid, shell.u_fore, shell.u_aft)
    is_past = u != finer.grid
    strakes = shell.planking.strakes
    points = np.zeros((len(u), strakes, 3))
    for k in range(1, strakes + 1):
        edges = np.asarray(shell.strakes[k - 1].edges(u) - finer.strakes[k - 1].edges(u))
        points[:, k - 1, 2] = np.linalg.norm(edges, axis=-1).max(axis=-1)
        if k < strakes:
            points[:, k - 1, 0] = np.abs(shell.bevel(k, u) - finer.bevel(k, u))
            points[:, k - 1, 1] = np.abs(shell.take_off(k, u) - finer.take_off(k, u))
    points = np.nan_to_num(points, nan=np.inf, posinf=np.inf)
    points[is_past] = 0.0
    changes = np.zeros((count, strakes, 3))
    np.maximum.at(changes, parents, np.maximum(points[:-1], points[1:]))
    return changes


def _refuse_untrue(hull: Hull, shell: PlankedShell, parents: NDArray[np.intp], change: Array) -> None:
    """Raise UnrefinedError where what is left to come is more than is let pass."""
    excess = change / np.array([TRUE_BEVEL, TRUE_LENGTH, TRUE_LENGTH])
    interval, strake, _ = np.unravel_index(int(np.argmax(excess)), excess.shape)
    if excess.max() <= 1.0:
        return
    at = float(shell.grid[np.flatnonzero(parents == interval)[0]])
    places = stops([station.name for station in hull.stations])
    x = np.array([station.at for station in hull.stations])
    nearest = int(np.argmin(np.abs(x - at))) + 1
    place = places[0 if at < x[0] else -1 if at > x[-1] else nearest]
    raise UnrefinedError(
        f"the shape of strake {strake + 1} cannot be computed near {in_message(place)}: with rulings 128 times "
        f"closer its bevel still changes by {np.degrees(change[interval, strake, 0]):.2f}° and its edge by "
        f"{change[interval, strake, 2]:.2f} mm (at most 0.01° and 0.02 mm); check that the land below it and its own "
        "run fair there, and that both strakes are wider than the lap",
        ("lands",),
        "land",
        About("strake", int(strake) + 1, place=place),
    )


def _first_rulings(hull: Hull, hung: Hung) -> tuple[Array, Array]:
    """The first rulings and their breaks: stations, ends, and where a garboard begins to turn round a forefoot."""
    rulings = hung.rulings
    stations = [s.at for s in hull.stations]
    stops = sorted(
        {
            rulings.u_fore - PAST_END * rulings.reach_fore,
            rulings.u_fore,
            *stations,
            *(f.start for f in hung.forefeet),
            rulings.u_aft,
            rulings.u_aft + PAST_END * rulings.reach_aft,
        }
    )
    runs = []
    for start, stop in pairwise(stops):
        step = (rulings.u_aft - rulings.u_fore) / _STEPS
        if stop <= stations[0]:
            step = min(step, rulings.reach_fore / _END_STEPS)
        elif start >= stations[-1]:
            step = min(step, rulings.reach_aft / _END_STEPS)
        count = max(_LEAST_STEPS, int(np.ceil((stop - start) / step - _WHOLE)))
        runs.append(np.linspace(start, stop, count + 1)[:-1])
    return np.append(np.concatenate(runs), stops[-1]), np.array(stops)
