"""All ways to place the joints of one plank so that no part is longer than the stock yields."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.stock.planks import Plank

Array = NDArray[np.float64]
Indices = NDArray[np.int64]

MOST = 20_000
"""Where there are more ways than these, so many of them are drawn by lot, always the same."""


@dataclass(frozen=True)
class Ways:
    """The ways to place a plank's joints.

    Attributes
    ----------
    places : tuple of Array
        For each joint, fore to aft, the running lengths where it may be, mm, rising.
    every : Array, shape (n, joints)
        The ways in which the parts between joints are no longer than the stock yields.
    """

    places: tuple[Array, ...]
    every: Array


def fitting_ways(plank: Plank, places: Sequence[Array], length: float, longest: float) -> Ways:
    """Return the ways that put each joint at one of its places and leave no part too long or all scarf.

    Parameters
    ----------
    plank : Plank
    places : sequence of Array
        Within each of which the first and the last part are short enough.
    length : float
        Of a scarf, mm.
    longest : float
        Length of the longest part, mm.
    """
    picked = _products([len(one) for one in places])
    fits = np.ones(len(picked), dtype=np.bool_)
    for joint, (before, after) in enumerate(pairwise(places)):
        limit = _limits(plank, before, after, length, longest)[picked[:, joint]]
        fits &= picked[:, joint + 1] < limit
        fits &= after[picked[:, joint + 1]] - before[picked[:, joint]] > 2 * length
    picked = picked[fits]
    columns = [one[picked[:, joint]] for joint, one in enumerate(places)]
    every = np.stack(columns, axis=1) if columns else np.zeros((1, 0))
    return Ways(tuple(places), every)


def _products(counts: Sequence[int]) -> Indices:
    """Return every way to take one of each, or MOST of them, shape (n, joints)."""
    if not counts:
        return np.zeros((1, 0), dtype=np.int64)
    if np.prod(counts, dtype=np.float64) <= MOST:
        return np.asarray(np.indices(tuple(counts)).reshape(len(counts), -1).T, dtype=np.int64)
    random = np.random.default_rng(1)
    share = np.concatenate(
        [random.random((MOST, len(counts))), np.tile(np.linspace(0, 1, 200)[:, None], len(counts))]
    )
    return np.asarray(np.minimum((share * counts).astype(np.int64), np.array(counts) - 1))


def _limits(plank: Plank, before: Array, after: Array, length: float, longest: float) -> Indices:
    """Return for each place of a joint how many of the next one's are near enough."""
    limits = []
    near = int(np.searchsorted(after, before[0] + 0.95 * longest - length))
    for place in before:
        while near < len(after) and plank.reach(place - length / 2, float(after[near]) + length / 2) <= longest:
            near += 1
        limits.append(near)
    return np.array(limits, dtype=np.int64)
