"""How far every figure of a hull's lines lies from where all others want it: what pictures of the rows show."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from templates_gen.fairness.curves import studied_curve
from templates_gen.fairness.figures import CurveFigure, Named, lines_figures
from templates_gen.fairness.square import LAYOUTS, square_data
from templates_gen.fairness.surface import fitted
from templates_gen.hull.model import Hull

LEAST_RATE = 0.05


@dataclass(frozen=True)
class Residual:
    """One figure with what the others say of it.

    Attributes
    ----------
    named : Named
    x, value : float
        Where along the boat, and the figure itself, mm; of a section's point its half-breadth.
    expected, spread : float
        What the others want and how sure they are, mm.
    """

    named: Named
    x: float
    value: float
    expected: float
    spread: float


def residuals(hull: Hull) -> tuple[Residual, ...]:
    """Return every figure of a hull's lines with what all others say of it, row by row."""
    lines = lines_figures(hull)
    found = [*_of_curves(lines.curves, lines.step)] if len(lines.x) >= 3 else []
    if len(lines.x) < 3 or len(lines.surface) < 6:
        return tuple(found)
    data = square_data(lines, lines.rabbet, lines.sheer, LAYOUTS[0])
    surface = fitted(data, lines.step)
    mean, spread = surface.left_out()
    for index, figure in enumerate(data.figures):
        if figure.named is None or figure.role == "rabbet":
            continue
        rate = figure.direction[0] - float(data.slopes[index]) * figure.direction[1]
        rate = rate if abs(rate) > LEAST_RATE else float(np.copysign(LEAST_RATE, rate))
        off = float(surface.values[index] - mean[index]) / rate
        sure = float(spread[index]) / abs(rate)
        found.append(Residual(figure.named, float(lines.x[figure.station]), figure.named.value,
                              figure.named.value - off, sure))  # fmt: skip
    return tuple(found)


def _of_curves(curves: dict[str, tuple[CurveFigure, ...]], step: float) -> Iterator[Residual]:
    """Yield the figures of the rows that are curves by themselves."""
    for curve in curves.values():
        studied = studied_curve(curve, step)
        for left in studied.left_out:
            figure = studied.figures[left.place]
            if figure.named is not None:
                yield Residual(figure.named, figure.x, figure.value, left.expected, left.spread)
