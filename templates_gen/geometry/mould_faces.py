"""A mould's two faces: which of them stands on the station, and where the planking's inside meets the other."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.crossings import rulings_at_planes
from templates_gen.geometry.moulds import MouldShape
from templates_gen.geometry.planking import PlankedShell
from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]

_LEVEL = 1e-6
"""Radians: planking that closes in by less is level, as amidships in a boat that is alike at both ends."""

_SMOOTH = 17


@dataclass(frozen=True)
class MouldFaces:
    """How a mould's wood stands to its station, and what its edge loses on the far face.

    Attributes
    ----------
    wood : "fore" or "aft"
        The side of the station that the wood stands on: that toward which the planking closes in. At a midship
        section that the planks end at the wood stands forward of it, where the planks are.
    far : tuple of Array, each of shape (p, 2)
        For each flat, the inside of the planking at the far face, from corner to corner.
    taken : Array, shape (N,)
        For each flat, at its middle, how far it is planed inward from the station's outline on the far face, mm;
        negative where the planking opens away from the edge, which is then left square.
    bevels : Array, shape (N,)
        The angle at which each flat is planed, atan(taken / thickness), radians.
    """

    wood: EndName
    far: tuple[Array, ...]
    taken: Array
    bevels: Array


def mould_faces(shell: PlankedShell, shape: MouldShape) -> MouldFaces:
    """Return how a mould stands and what its edge loses.

    The flats are straight between the planking's corners at either face, because a plank bears on the mould at its
    corners only; so an edge planed from one outline to the other touches every strake along its upper inside corner.
    """
    widths = np.linalg.norm(np.diff(_corners(shape), axis=0), axis=1)
    is_at_end = shape.station.at > shell.hull.stations[-1].at
    closes_in_aft = float(shape.face_bevels @ widths) > _LEVEL * float(widths.sum())
    wood: EndName = "aft" if closes_in_aft and not is_at_end else "fore"
    thickness = shell.hull.moulds.thickness
    x = shape.station.at + (thickness if wood == "aft" else -thickness)
    corners = planking_corners(shell, x)
    here = _corners(shape)
    across = np.diff(here, axis=0)
    inward = np.stack([-across[:, 1], across[:, 0]], axis=1) / widths[:, None]
    moved = corners - here
    taken = np.sum((moved[1:] + moved[:-1]) / 2 * inward, axis=1)
    return MouldFaces(wood, _flats(corners, shell.hull.moulds.edge == "smooth"), taken, np.arctan(taken / thickness))


def planking_corners(shell: PlankedShell, x: float) -> Array:
    """Return the garboard's lower and every strake's upper inside corner in a transverse plane, shape (N + 1, 2)."""
    corners = [_crossing(shell, 1, 0.0, x)]
    corners += [_crossing(shell, strake, 1.0, x) for strake in range(1, shell.planking.strakes + 1)]
    return np.stack(corners)


def _corners(shape: MouldShape) -> Array:
    return np.vstack([shape.outline[:1], shape.land_marks])


def _crossing(shell: PlankedShell, strake: int, v: float, x: float) -> Array:
    """Where an edge of a strake's inner face, at v = 0 or 1, crosses a transverse plane, (half-breadth, height)."""
    share = np.array([v])
    return shell.face(strake, rulings_at_planes(shell, strake, np.array([x]), share), share)[0, 1:]


def _flats(corners: Array, is_smooth: bool) -> tuple[Array, ...]:
    """Each flat's line from corner to corner: straight, or its part of the fair curve through all of them."""
    if not is_smooth:
        return tuple(corners[k : k + 2] for k in range(len(corners) - 1))
    fair = Batten(corners)
    spans = zip(fair.knots[:-1], fair.knots[1:], strict=True)
    return tuple(fair.point(np.linspace(start, stop, _SMOOTH)) for start, stop in spans)
