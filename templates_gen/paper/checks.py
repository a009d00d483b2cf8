"""Distances between registration crosses that prove a taped-up piece."""

import itertools
import math
from dataclasses import dataclass

import numpy as np

from templates_gen.paper.affine import turn
from templates_gen.paper.crosses import Cross
from templates_gen.paper.tiling import Tiling

_WIDE = 0.4
"""A piece whose crosses spread to the sides by this part of their spread lengthwise is checked across as well."""

SPAN = 1000.0
"""mm: about the length in which a row is checked piece by piece, so that a joint that is out is found."""


@dataclass(frozen=True)
class Check:
    """Two crosses and the distance between them, mm."""

    first: Cross
    second: Cross
    distance: float


def check_distances(layout: Tiling) -> tuple[Check, ...]:
    """Return the distances over the whole of a piece.

    The two crosses that lie farthest apart come first. On a wide piece the two farthest out to either side of them
    follow, and the sides of the quadrilateral between; on a narrow one, the distances from and to their partners on
    the same two joints: along both edges, and the other diagonal. Where there is one joint only, one distance.
    """
    crosses = [(cross, joint.crosses) for joint in layout.joints for cross in joint.crosses]
    if not crosses:
        return ()
    places = np.array([cross.at for cross, _ in crosses])
    spans = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    first, last = divmod(int(np.argmax(spans)), len(crosses))
    (a, near), (b, far) = crosses[first], crosses[last]
    along = (places[last] - places[first]) / spans[first, last]
    aside = (places - places[first]) @ np.array([-along[1], along[0]])
    spread = np.ptp(turn(layout.angle).apply(places), axis=0)
    if spread.min() > _WIDE * spread.max():
        c, d = crosses[int(np.argmin(aside))][0], crosses[int(np.argmax(aside))][0]
        return _checks((a, b), (c, d), (a, c), (a, d), (b, c), (b, d))
    if near == far:
        return _checks((a, b))
    c, d = (near[0] if near[0] != a else near[-1]), (far[0] if far[0] != b else far[-1])
    return _checks((a, b), (c, d), (a, d), (c, b))


def span_checks(layout: Tiling) -> tuple[tuple[Check, ...], ...]:
    """Return for each metre or so of a row the distances along both its edges and on a diagonal.

    None where the row is no longer than that, or the piece does not lie in a row.
    """
    joints = layout.joints
    if not layout.is_row or len(joints) < 2:
        return ()
    length = math.dist(joints[0].crosses[0].at, joints[-1].crosses[0].at)
    count = min(round(length / SPAN), len(joints) - 1)
    if count < 2:
        return ()
    ends = [joints[round(k * (len(joints) - 1) / count)].crosses for k in range(count + 1)]
    return tuple(_checks((a[0], b[0]), (a[-1], b[-1]), (a[0], b[-1])) for a, b in itertools.pairwise(ends))


def _checks(*pairs: tuple[Cross, Cross]) -> tuple[Check, ...]:
    """Return pairs of crosses with their distances, the lower number first, none twice."""
    ordered = dict.fromkeys((p, q) if p.number < q.number else (q, p) for p, q in pairs if p != q)
    return tuple(Check(p, q, math.dist(p.at, q.at)) for p, q in ordered)
