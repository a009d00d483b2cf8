"""Boats whose lands are straight lines in space, so that what is drawn of them has closed forms."""

from dataclasses import replace

import numpy as np

from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Allowances, Array, Hull, Keel, Lands, Moulds, Planking, Station, Transom
from tests.flow import shell_of

MIDDLE = np.array([[60.0, 70.0], [150.0, 90.0], [230.0, 160.0], [270.0, 250.0], [290.0, 350.0]])
"""Half-breadths and heights at x = 1000: the rabbet's neighbour, then four lands' marks."""

CLOSING = np.array([0.01, 0.00, -0.02, 0.005])
"""How fast the marks move in half-breadth going aft, mm per mm."""

RISING = np.array([0.03, 0.02, 0.015, 0.01])


def marks_at(x: float, closing: Array) -> Array:
    return MIDDLE[1:] + (x - 1000.0) * np.column_stack([closing, RISING])


def straight_boat(closing: Array, edge: str = "faceted") -> PlankedShell:
    """A boat between two upright transoms whose lands run straight: their battens are exact lines."""
    rabbet = np.array([20.0, 60.0])
    stations = tuple(
        Station(str(i), x, True, rabbet, np.vstack([MIDDLE[:1], marks_at(x, closing)]))
        for i, x in enumerate((500.0, 1000.0, 1500.0), start=1)
    )
    ends = {
        name: Transom(
            np.array([[x, 50.0], [x, 400.0]]), 20.0, 0.0, rabbet, np.vstack([MIDDLE[:1], marks_at(x, closing)])
        )
        for name, x in (("fore", 0.0), ("aft", 2000.0))
    }
    lands = {s.name: marks_at(s.at, closing) for s in stations}
    lands |= {"fore": marks_at(0.0, closing), "aft": marks_at(2000.0, closing)}
    return shell_of(
        Hull(
            "straight",
            "mm",
            "inside",
            stations,
            Keel("rebate", 40.0),
            ends["fore"],
            ends["aft"],
            Planking("glued", 4, (6.0,) * 4, 15.0, (3.0,) * 4, 60.0),
            Moulds(18.0, edge, 500.0),  # type: ignore[arg-type]
            Allowances(),
            Lands("offsets", lands),
        )
    )


RABBET = np.array([20.0, 60.0])
SECTION = np.array([[60.0, 70.0], [150.0, 90.0], [230.0, 160.0], [270.0, 250.0], [290.0, 350.0]])
THICKNESS, LIP = 8.0, 5.0


def prism(rake: float, gerald: float | None = None, joint: str = "rebate") -> PlankedShell:
    """A boat of one section throughout, its after transom raked."""
    stations = tuple(
        Station(str(i), x, True, RABBET, SECTION) for i, x in enumerate((500.0, 1000.0, 1500.0), start=1)
    )
    fore = Transom(np.array([[0.0, 50.0], [0.0, 400.0]]), 20.0, 0.0, RABBET, SECTION)
    top = 2000.0 + 350.0 * np.tan(rake)
    aft = Transom(np.array([[2000.0, 50.0], [top, 400.0]]), 20.0, 0.0, RABBET, SECTION)
    if joint == "rebate":
        aft = replace(aft, joint="rebate", lip=LIP)
    lands = dict.fromkeys(("1", "2", "3", "fore", "aft"), SECTION[1:])
    planking = Planking("riveted", 4, (THICKNESS,) * 4, 16.0, (4.0,) * 4, 60.0, None, gerald)
    keel, moulds = Keel("rebate", 40.0), Moulds(18.0, "faceted", 500.0)
    return shell_of(
        Hull(
            "prism",
            "mm",
            "inside",
            stations,
            keel,
            fore,
            aft,
            planking,
            moulds,
            Allowances(),
            Lands("offsets", lands),
        )
    )
