"""How one strake laps over another: where it lies in the section square to the edge, geralds, and what comes off."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.rulings import Edge
from templates_gen.hull.model import Planking

Array = NDArray[np.float64]

EASE = float(np.tan(np.radians(1.0)))
"""Slope within which a land changes over from convex to hollow."""

GERALD_EASE = 0.2
"""A gerald's start is eased over this share of its length to either side."""


@dataclass(frozen=True)
class Lapping:
    """How strake k + 1 lies over strake k at rulings u (every array of shape (m,), mm and slopes).

    Attributes
    ----------
    y, z : Array
        Where P_{k+1} lies from P_k, up the face and outward, in the section square to the edge.
    slope_lap : Array
        T_L, slope of the straight from P_{k+1} over the lap line.
    ease : Array
        w, the change-over from convex (0) to hollow (-T_L).
    stand_off : Array
        h, stand-off of the upper strake's inner face over the corner P_k.
    slope : Array
        T, slope of that face.
    stand_off_lap : Array
        e, its stand-off at the lap line.
    gerald : Array
        g, 0 clear of the geralds, 1 at a flush end.
    """

    y: Array
    z: Array
    slope_lap: Array
    ease: Array
    stand_off: Array
    slope: Array
    stand_off_lap: Array
    gerald: Array


@dataclass(frozen=True)
class Losses:
    """What comes off the two strakes of a land, square to their faces, mm; arrays of one shape.

    Each pair (…_at_edge, …_at_lap_line) adds up to the strakes' overlap there.
    """

    lower_at_edge: Array
    lower_at_lap_line: Array
    upper_at_edge: Array
    upper_at_lap_line: Array


def gerald_share(distance: Array, length: float) -> Array:
    """Return g at distances along the land from the flush end, for a gerald of a given length, mm.

    Evenly from 0 at `length` to 1 at the end, eased at its start with continuous curvature. Past the end it runs on.
    """
    along = 1.0 - distance / length
    q = np.clip(along / GERALD_EASE, -1.0, 1.0)
    eased = GERALD_EASE * (3.0 / 16.0 + q / 2.0 + 3.0 / 8.0 * q**2 - q**4 / 16.0)
    return np.where(along < GERALD_EASE, eased, along)


def gerald_at(edge: Edge, t: Array, planking: Planking) -> Array:
    """Return g along an edge at its parameters t, from the geralds at both ends."""
    length = edge.batten.length_to(t)
    share = np.zeros_like(t)
    if planking.gerald_fore is not None:
        share = share + gerald_share(length - edge.lengths[0], planking.gerald_fore)
    if planking.gerald_aft is not None:
        share = share + gerald_share(edge.lengths[3] - length, planking.gerald_aft)
    return share


def lapped(y: Array, z: Array, gerald: Array, thickness: float, lap: float) -> Lapping:
    """Return how the next strake lies, from where its upper corner stands in the section square to the edge."""
    slope_lap = (thickness - z) / (y + lap)
    near = (EASE - slope_lap) ** 2 / (4.0 * EASE)
    ease = np.where(slope_lap >= EASE, 0.0, np.where(slope_lap <= -EASE, -slope_lap, near))
    stand_off = (1.0 - gerald) * (thickness - lap * (slope_lap + ease))
    slope = (stand_off - z) / y
    return Lapping(y, z, slope_lap, ease, stand_off, slope, stand_off + lap * slope, gerald)


def land_losses(at: Lapping, thickness: float, lap: float) -> Losses:
    """Return what comes off both strakes of a land; each pair adds up to the strakes' overlap."""
    half_lap = at.gerald * thickness / 2
    bevel = (1.0 - at.gerald) * lap * (at.slope_lap + at.ease)
    share = at.gerald * (thickness + lap * np.maximum(0.0, -at.slope)) / 2
    overlap = thickness - at.stand_off_lap
    upper = np.maximum(overlap - share, 0.0)
    return Losses(bevel + half_lap, overlap - upper, half_lap, upper)
