"""Gauges as cards: which places one card serves, as many as its angle fits to within a quarter of a degree."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from templates_gen.drawing.piece import Hole, Label, Path

NEAR = float(np.radians(0.5))
"""Angles that part by no more than this share a card (common practice: angles are worked to half a degree)."""

ALIKE = 6
"""Digits of angles that are compared, radians: a boat alike at both ends has the same cards on any processor."""


@dataclass(frozen=True)
class CardDrawing:
    """A card drawn, ready to become a piece."""

    paths: tuple[Path, ...]
    holes: tuple[Hole, ...]
    labels: tuple[Label, ...]


def runs(order: Sequence[int], share: Callable[[Sequence[int]], bool]) -> tuple[tuple[int, ...], ...]:
    """Return the fewest runs of `order` all of whose members share a card.

    Parameters
    ----------
    order : sequence of int
        Places by number, as they follow one another along the timber or by the size of their angles.
    share : callable
        Whether some places share one card; where it holds for a run it holds for every part of it.
    """
    found: list[list[int]] = []
    for place in order:
        if found and share([*found[-1], place]):
            found[-1].append(place)
        else:
            found.append([place])
    return tuple(tuple(run) for run in found)


def are_near(angles: Sequence[float]) -> bool:
    """Return whether angles, radians, are near enough for a card that is cut to the one midway between them."""
    return round(max(angles) - min(angles), ALIKE) <= round(NEAR, ALIKE)


def midway(angles: Sequence[float]) -> float:
    """Return the angle midway between the least and the greatest, radians."""
    return (min(angles) + max(angles)) / 2
