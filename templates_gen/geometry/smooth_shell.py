"""The shell made smooth: from the rulings at which it was computed to piecewise cubics between them."""

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline, PPoly

from templates_gen.about import About
from templates_gen.errors import BoatError
from templates_gen.geometry.hanging import Hung
from templates_gen.geometry.planking import PlankedShell, StrakeFields
from templates_gen.geometry.shell import Trace
from templates_gen.hull.model import Hull
from templates_gen.numerics.curves import piecewise

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
    over = np.asarray(CubicSpline(met[grows], grid[grows])(own))
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
    across = np.cross(ruling, lower_slope)
    weight = np.linalg.norm(across[:, 0], axis=-1, keepdims=True)
    across[:, 0] = weight * shell.garboard_normal
    return np.asarray(across)


def _upper_normals(shell: Trace) -> Array:
    ruling = shell.upper - shell.lower
    return np.moveaxis(np.cross(ruling, shell.upper_slope), 0, 1)
