"""Hulls turned end for end."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.hull.model import Hull, Stem, Transom

Array = NDArray[np.float64]

ABOUT = 4000.0
"""x of a boat turned end for end is so much less its own x, mm."""

OTHER: dict[EndName, EndName] = {"fore": "aft", "aft": "fore"}
OTHER_END: dict[str, str] = {str(one): str(other) for one, other in OTHER.items()}


def turned(hull: Hull) -> Hull:
    """Return a hull turned end for end."""

    def along(points: Array) -> Array:
        return np.column_stack([ABOUT - points[:, 0], points[:, 1]])

    def member(one: Stem | Transom) -> Stem | Transom:
        if isinstance(one, Transom):
            return replace(one, profile=along(one.profile))
        return replace(one, rabbet=along(one.rabbet), face=None if one.face is None else along(one.face))

    lands, planking, given = hull.lands, hull.planking, hull.fastenings
    return replace(
        hull,
        stations=tuple(replace(station, at=ABOUT - station.at) for station in reversed(hull.stations)),
        fore=member(hull.aft),
        aft=member(hull.fore),
        planking=replace(planking, gerald_fore=planking.gerald_aft, gerald_aft=planking.gerald_fore),
        fastenings=None if given is None or given.at is None else replace(given, at=ABOUT - given.at),
        lands=replace(
            lands,
            at={OTHER_END.get(name, name): row for name, row in lands.at.items()},
            pins={OTHER_END.get(name, name): row for name, row in lands.pins.items()},
        ),
    )
