"""A boat of plane strakes that all taper: each face is a plane, so what fits inside it is plane geometry.

Strake 1's outer face is a plane through the rabbet line. Each further inner face is a plane through the lap line of
the strake below, turned about it by that land's bevel; every upper edge is a straight line drawn in its strake's
plane, nearer to the land below at one end than at the other. Worked here apart from the program.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.model import Hull, Lands, Station, Transom
from tests.geometry.exact_hulls import hull_of, planking_of, unit

Array = NDArray[np.float64]

THICKNESS, LAP, STRAKES = 9.0, 20.0, 4
STATIONS = (500.0, 1000.0, 1500.0, 2000.0)
FORE, AFT = 100.0, 2400.0
RABBET = np.array([0.0, 22.0, 60.0])
ALONG_RABBET = unit(np.array([1.0, 0.01, 0.03]))
RISE = np.radians(20.0)
BEVELS = np.radians([9.0, 14.0, 12.0])
WIDTHS = (130.0, 120.0, 115.0, 110.0)
"""Of the inner faces at x = 0, about, mm."""

TAPERS = (0.03, 0.02, 0.035, 0.025)
"""How much wider each strake grows for a mm of length."""


@dataclass(frozen=True)
class PlaneStrake:
    """A strake's inner face: its outward normal, and a point and the direction of its upper inside corner."""

    normal: Array
    corner: Array
    along: Array

    @property
    def up(self) -> Array:
        """In the face, square to its upper edge."""
        return np.cross(self.along, self.normal)

    def corner_at(self, x: float) -> Array:
        """(half-breadth, height) of the upper inside corner at x."""
        return np.asarray(self.corner + (x - self.corner[0]) / self.along[0] * self.along)[1:]


def strakes() -> tuple[PlaneStrake, ...]:
    """Every strake, by plane geometry."""
    across = np.array([0.0, np.cos(RISE), np.sin(RISE)])
    normal = unit(np.cross(across, ALONG_RABBET))
    normal = normal if normal[2] < 0.0 else -normal
    corner = RABBET - THICKNESS * normal + WIDTHS[0] * across
    found = [PlaneStrake(normal, corner, unit(ALONG_RABBET + TAPERS[0] * across))]
    for bevel, width, taper in zip(BEVELS, WIDTHS[1:], TAPERS[1:], strict=True):
        below = found[-1]
        lap_line = below.corner + THICKNESS * below.normal - LAP * below.up
        normal = np.cos(bevel) * below.normal + np.sin(bevel) * below.up
        up = np.cross(below.along, normal)
        found.append(PlaneStrake(normal, lap_line + (width + LAP) * up, unit(below.along + taper * up)))
    return tuple(found)


def inside_at(x: float) -> list[tuple[Array, Array]]:
    """Each facet of the planking's inside at x, (half-breadth, height) of its lower and its upper end."""
    every = strakes()
    facets = []
    for k, strake in enumerate(every):
        if k == 0:
            low = (RABBET - THICKNESS * strake.normal) + (x - RABBET[0]) * ALONG_RABBET / ALONG_RABBET[0]
            low = low + (x - low[0]) / ALONG_RABBET[0] * ALONG_RABBET
        else:
            below = every[k - 1]
            # square out from the corner of the strake below as far as this strake's plane, and along the edge to x
            out = (strake.corner - below.corner) @ strake.normal / (below.normal @ strake.normal)
            low = below.corner + out * below.normal
            low = low + (x - low[0]) / below.along[0] * below.along
        facets.append((low[1:], strake.corner_at(x)))
    return facets


def tapered_boat() -> Hull:
    """The boat, between two upright transoms."""
    every = strakes()

    def marks(x: float) -> Array:
        return np.array([strake.corner_at(x) for strake in every])

    def rabbet(x: float) -> Array:
        return np.asarray(RABBET + (x - RABBET[0]) / ALONG_RABBET[0] * ALONG_RABBET)[1:]

    stations = tuple(Station(str(i), x, True, rabbet(x), marks(x)) for i, x in enumerate(STATIONS, start=1))
    fore, aft = (Transom(np.array([[x, 50.0], [x, 500.0]]), 20.0, 0.0, rabbet(x), marks(x)) for x in (FORE, AFT))
    lands = {s.name: s.section for s in stations} | {"fore": fore.section, "aft": aft.section}
    return hull_of("tapered", stations, fore, aft, planking_of(STRAKES, THICKNESS, LAP), Lands("offsets", lands))
