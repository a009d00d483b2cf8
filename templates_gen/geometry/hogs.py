"""How wide a garboard bears on its hog, and where the hog runs out toward the boat's ends."""

from collections.abc import Sequence

import numpy as np

from templates_gen.geometry.rebates import Rebate

LEAST_SEAT = 15.0
"""A hog that bears the garboard on less than this, mm, has run out (common practice)."""

LEAST_BEARING = 25.0
"""A hog should bear the garboard on this or more, mm (common practice)."""

_LEVEL = 1e-6

MOST_PLANED = 2.0
"""So has one on which the garboard's arris would be planed back by more thicknesses than this (common practice)."""


def hog_bearing(rebate: Rebate, hog: tuple[float, float]) -> float:
    """Return how wide the garboard can bear on the hog, square to the rabbet line, mm; nothing or less: not at all.

    The hog's underside is planed from the keel's side until it comes out of the hog's own side or through its top;
    where the garboard lies level or falls away from the keel, the face never rises to the top.

    Parameters
    ----------
    rebate : Rebate
        On the keel.
    hog : (float, float)
        Width and depth, mm.

    Source: derived here; the planed face stands at the planking's angle to the upright, so its run out is the
    half-width beyond the keel over the angle's sine, its run up the depth over the cosine.
    """
    width, depth = hog
    to_side = (width / 2 - float(rebate.point[1])) / np.sin(rebate.angle)
    return float(min(to_side, depth_bearing(rebate, depth)))


def depth_bearing(rebate: Rebate, depth: float) -> float:
    """Return how wide the planed face is where it comes out through the top of a hog, mm; infinite where it does not.

    A face within a millionth of the level counts as level.
    """
    rise = float(np.cos(rebate.angle))
    return depth / rise if rise > _LEVEL else float("inf")


def hog_runs_out(rebates: Sequence[Rebate], hog: tuple[float, float] | None, thickness: float) -> tuple[bool, ...]:
    """Return for places of the keel, fore to aft, whether there is no hog to bear on: a rebate is cut instead.

    So it is where the hog bears less than `LEAST_SEAT`, where the arris would be planed back by more than
    `MOST_PLANED` thicknesses, and everywhere nearer the end than such a place. A hog that bears too little even where
    the floor is flattest is too narrow, and has not run out.

    Parameters
    ----------
    hog : (float, float) or None
        Width and depth, mm; None: not known.
    thickness : float
        Of the garboard, mm.
    """
    if not rebates:
        return ()
    flattest = int(np.argmax([round(rebate.angle, 6) for rebate in rebates]))
    planed = np.array([rebate.seat > MOST_PLANED * thickness for rebate in rebates])
    short = np.array([hog is not None and hog_bearing(rebate, hog) < LEAST_SEAT for rebate in rebates])
    out = planed | (short & ~short[flattest])
    fore = np.logical_or.accumulate(out[: flattest + 1][::-1])[::-1]
    aft = np.logical_or.accumulate(out[flattest:])
    return tuple(bool(one) for one in np.concatenate([fore, aft[1:]]))
