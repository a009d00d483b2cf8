"""Lands and bevels that are not fair along the boat: each mark and each bevel left out, the others asked."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.planking import PlankedShell
from templates_gen.numerics.misfits import Misfit, misfits
from templates_gen.report.finding import Finding
from templates_gen.units import format_angle, spoken_length

Array = NDArray[np.float64]

LEAST_MARK = 3.0
"""A land's mark that is off by less is not told, mm (common practice: lands are good to 1 mm, and show at 3)."""

LEAST_BEVEL = 1.5
"""A bevel that is off by less is not told, degrees (common practice: a gauge is good to half a degree)."""

SURE = (9.0, 3.3)
"""A mark is named if the others are likelier without it by this logarithm, and it misses by so many spreads."""

SURE_BEVEL = (12.0, 4.0)
"""The same of bevels, which change faster where a land turns hollow or nears an end."""

_MARK_ROUNDING = 0.3
_BEVEL_ROUNDING = 0.1


def fair_findings(shell: PlankedShell) -> Iterator[Finding]:
    """Yield the lands' marks and the bevels that are not fair, the likeliest first.

    Notes
    -----
    Marks are tried by their share of the girth from the rabbet up, along the boat and from land to land at once,
    ends included; bevels in the same way, at the stations clear of the geralds. Lands that the tool lines off around
    no pins are fair as they come, and are not tried; unfair lines under them are found by `unfair_findings`.
    """
    lands = shell.hull.lands
    if lands.by == "even" and not lands.pins:
        return
    if shell.planking.strakes < 3 or len(shell.hull.stations) < 3:
        return
    yield from _mark_findings(shell)
    yield from _bevel_findings(shell)


def _places(shell: PlankedShell) -> tuple[Array, list[str]]:
    """Return the rulings of both ends and all stations, fore to aft, and what people call them."""
    stations = shell.hull.stations
    u = np.array([shell.u_fore, *(station.at for station in stations), shell.u_aft])
    return u, ["the fore end", *(f"mould {station.name}" for station in stations), "the after end"]


def _mark_findings(shell: PlankedShell) -> Iterator[Finding]:
    u, names = _places(shell)
    count = shell.planking.strakes
    points = np.stack([shell.lower(1, u), *(shell.upper(strake, u) for strake in range(1, count + 1))])
    girths = np.concatenate(
        [np.zeros((1, len(u))), np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=-1), axis=0)]
    )
    middling = float(np.mean(girths[-1]))
    values = (girths[1:-1] / girths[-1] * middling).ravel()
    inputs = _inputs(u, count)
    for misfit in misfits(inputs, values, _MARK_ROUNDING, LEAST_MARK, SURE):
        land, place = misfit.index // len(u) + 1, misfit.index % len(u)
        share = float(girths[-1, place]) / middling
        value, expected = float(values[misfit.index]) * share, misfit.expected * share
        yield _mark_finding(shell, land, names[place], value, expected)


def _inputs(u: Array, count: int) -> Array:
    """Return where the lands' marks stand: their share of the way along the boat and from the first land up."""
    along = (u - u[0]) / (u[-1] - u[0])
    up = np.arange(1, count) / count
    return np.column_stack([np.tile(along, count - 1), np.repeat(up, len(u))])


def _mark_finding(shell: PlankedShell, land: int, where: str, value: float, expected: float) -> Finding:
    units = shell.hull.units
    off, side = spoken_length(abs(value - expected), units), "high" if value > expected else "low"
    text = f"land {land} is not fair at {where}: its mark is {off} too {side} for the lands about it"
    return Finding("warning", "land", text, f"land {land}, {where}", value, expected, ("lands",),
                   difference=value - expected)  # fmt: skip


def _bevel_findings(shell: PlankedShell) -> Iterator[Finding]:
    u, names = _places(shell)
    count = shell.planking.strakes
    bevels = np.degrees(np.stack([shell.bevel(land, u) for land in range(1, count)])).ravel()
    gerald = np.stack([shell.lapping(land, u).gerald for land in range(1, count)]).ravel()
    clear = np.flatnonzero(gerald <= 0.0)
    found: tuple[Misfit, ...] = tuple(
        misfits(_inputs(u, count)[clear], bevels[clear], _BEVEL_ROUNDING, LEAST_BEVEL, SURE_BEVEL)
    )
    for misfit in found:
        index = int(clear[misfit.index])
        land, place = index // len(u) + 1, index % len(u)
        value = float(bevels[index])
        said, want = (format_angle(float(np.radians(angle))) for angle in (value, misfit.expected))
        text = (
            f"land {land} has a bevel of {said} at {names[place]}, which is not fair: those about it want {want}; "
            "a land's mark or the section there is likely wrong"
        )
        yield Finding("warning", "bevel", text, f"land {land}, {names[place]}", value, misfit.expected, (),
                      difference=value - misfit.expected)  # fmt: skip
