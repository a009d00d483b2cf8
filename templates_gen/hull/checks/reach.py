"""How far sections reach, for bounds on marks, and what rows of marks may be called."""

from math import atan2, cos, tan

import numpy as np

from templates_gen.hull.checks.ends import ENDS
from templates_gen.hull.checks.sections import section_problems
from templates_gen.hull.checks.stations import RESERVED
from templates_gen.hull.model import Array, Station, Transom
from templates_gen.hull.names import station_name_fault
from templates_gen.hull.parts import Parts

ROUNDER = 1.05
"""A fair curve through a section's points is not longer than this times the straights between them. A gross bound:
through three points of a quarter circle it is 2.6 % longer, pi/2 over 4 sin(pi/8), through more of them less."""


def reach_of(one: Station | Transom, parts: Parts) -> Array | None:
    """Return the chain of points from the rabbet to the sheer, or None if it is no section to measure along."""
    if any(section_problems((), "", one.rabbet, one.section, parts.units)):
        return None
    return np.concatenate([one.rabbet[None], one.section])


def row_names(parts: Parts) -> list[str] | None:
    """Return the names that rows may have, the stations' and the given ends'; None if stations are wrongly named."""
    listed = parts.raw.get("station")
    tables = listed if isinstance(listed, list) else []
    names = [table.get("name") if isinstance(table, dict) else None for table in tables]
    if any(station_name_fault(name) is not None or name in RESERVED for name in names) or len(set(names)) < len(
        names
    ):
        return None
    ends = ENDS if parts.half is None else ENDS[:1]
    return [str(name) for name in names] + list(ends)


def on_bench(name: str, transom: Transom, points: Array) -> Array:
    """Return (half-breadth, height) points of a transom's outer face as they lie on the bench, in true shape."""
    (bottom_x, bottom), (top_x, top) = transom.profile
    rake = atan2(top_x - bottom_x if name == "aft" else bottom_x - top_x, top - bottom)
    arc, bow = points[:, 0], np.zeros(len(points))
    if transom.radius > np.abs(arc).max():
        around = np.arcsin(arc / transom.radius)
        arc, bow = transom.radius * around, transom.radius * (1 - np.cos(around))
    return np.column_stack([arc, (points[:, 1] - bottom) / cos(rake) - bow * tan(rake)])
