"""Flat-bottomed boats whose sides are planes, so that all of their bottom is known exactly."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.model import Allowances, Hull, Keel, Lands, Moulds, Planking, Station, Transom

Array = NDArray[np.float64]

THICKNESS = 12.0
OUTWARD = np.array([-0.12, 0.9, -0.4]) / np.linalg.norm([-0.12, 0.9, -0.4])
"""Of the starboard side: it flares, and opens going aft."""

OFFSET = 170.0
"""The side's outer face is where OUTWARD . p = OFFSET."""

STATIONS = (500.0, 1000.0, 1500.0, 2000.0)
BOW, STERN = 120.0, 2400.0

Rocker = Callable[[float], float]


def half_breadth(x: float, z: float, inside: float = 0.0) -> float:
    """Of the outer face, or of a plane that lies `inside` mm inside it."""
    return float((OFFSET - inside - OUTWARD[0] * x - OUTWARD[2] * z) / OUTWARD[1])


def skiff(rocker: Rocker, radius: float = 0.0) -> Hull:
    """One strake a side, a transom at either end, the after one bowed to a radius if it is not 0."""

    def member(x: float, rake: float, bow: float) -> Transom:
        low = rocker(x)
        top = low + 320.0
        profile = np.array([[x, low], [x + rake * 320.0, top]])

        def on_face(height: Rocker, inside: float) -> list[float]:
            """(half-breadth, height) of a side's plane on the face, its height given as a function of x there."""
            y, face = 0.0, x
            for _ in range(200):
                back = (bow - np.sqrt(bow**2 - y**2)) * np.hypot(1.0, rake) if bow else 0.0
                face = x + rake * (height(face) - low) - back
                y = half_breadth(face, height(face), inside)
            return [y, height(face)]

        def level(height: float) -> Rocker:
            return lambda _: height

        section = np.array([on_face(level(z), THICKNESS) for z in (low + 40.0, low + 180.0, top - 20.0)])
        return Transom(profile, 18.0, bow, np.array(on_face(rocker, 0.0)), section)

    stations = []
    for number, x in enumerate(STATIONS, start=1):
        z = rocker(x)
        section = [[half_breadth(x, z + up, THICKNESS), z + up] for up in (40.0, 180.0, 300.0)]
        stations.append(Station(str(number), x, True, np.array([half_breadth(x, z), z]), np.array(section)))
    return Hull(
        "skiff",
        "mm",
        "inside",
        tuple(stations),
        Keel("flat"),
        member(BOW, -0.2, 0.0),
        member(STERN, 0.25, radius),
        Planking("glued", 1, (THICKNESS,), 36.0, (6.0,), 60.0),
        Moulds(15.0, "faceted", 800.0),
        Allowances(),
        Lands("even", {}),
    )


def straight_rocker(x: float) -> float:
    """A bottom that is a plane, rising aft."""
    return 60.0 + 0.05 * (x - 1000.0)


ROCKER_RADIUS = 3000.0


def round_rocker(x: float) -> float:
    """A bottom that is part of a cylinder, lowest amidships."""
    return float(50.0 + ROCKER_RADIUS - np.sqrt(ROCKER_RADIUS**2 - (x - 1250.0) ** 2))


def narrow_skiff() -> Hull:
    """A bottom narrower at station 3 than the garboard is thick along the level."""
    hull = skiff(straight_rocker)
    middle = hull.stations[2]
    pinched = replace(middle, rabbet=np.array([10.0, middle.rabbet[1]]))
    return replace(hull, stations=(*hull.stations[:2], pinched, hull.stations[3]))
