"""Prisms with a round bilge: a flat floor, an arc and a flat topside, so that the planks' whole turn is known."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.model import Allowances, Hull, Keel, Lands, Moulds, Planking, Station, Transom

Array = NDArray[np.float64]

TURN = np.radians(75.0)
FLOOR = np.radians(8.0)
THICKNESS = 9.0


RADIUS = 350.0
FLAT = 300.0


def girth() -> float:
    """The girth of the section without the straight to the rabbet: two flats and an arc, mm."""
    return 2 * FLAT + RADIUS * float(TURN)


def bilge(strakes: int, lap: float, stations: int = 5) -> Hull:
    """A prism whose sections turn 75 degrees from floor to topside, with flat transoms and full laps.

    The rabbet lies one thickness outside the floor, so that the garboard's inner face lies in it.
    """
    along, outward = np.array([np.cos(FLOOR), np.sin(FLOOR)]), np.array([np.sin(FLOOR), -np.cos(FLOOR)])
    start = np.array([30.0, 60.0])
    floor = start + np.linspace(20.0, FLAT, 8)[:, None] * along
    angles = np.linspace(0.0, TURN, 25)[1:]
    centre = floor[-1] - RADIUS * outward
    arc = centre + RADIUS * np.stack([np.sin(FLOOR + angles), -np.cos(FLOOR + angles)], axis=1)
    up = np.array([np.cos(FLOOR + TURN), np.sin(FLOOR + TURN)])
    section = np.concatenate([floor, arc, arc[-1] + np.linspace(0.0, FLAT, 8)[1:, None] * up])
    rabbet = start + THICKNESS * outward
    at = np.linspace(600.0, 3000.0, stations)
    return Hull(
        "prism",
        "mm",
        "inside",
        tuple(Station(str(i + 1), float(x), True, rabbet, section) for i, x in enumerate(at)),
        Keel("hog", 60.0, (90.0, 18.0)),
        _transom(0.0, rabbet, section),
        _transom(3600.0, rabbet, section),
        Planking("riveted", strakes, (THICKNESS,) * strakes, lap, (THICKNESS / 2,) * strakes, max(60.0, 3 * lap)),
        Moulds(18.0, "faceted", 1500.0),
        Allowances(),
        Lands("even", {}),
    )


def _transom(x: float, rabbet: Array, section: Array) -> Transom:
    return Transom(np.array([[x, 40.0], [x, 900.0]]), 20.0, 0.0, rabbet, section)
