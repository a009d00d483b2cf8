"""Moulds: the inside of the planking at a station, faceted or smooth, and the planking drawn in section on it.

A mould's two faces: which of them stands on the station, and where the planking's inside meets the other.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.ends import rulings_at_planes
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Station
from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]

_SMOOTH = 121


@dataclass(frozen=True)
class PlankSection:
    """A strake cut by a transverse plane, (half-breadth, height).

    Attributes
    ----------
    strake : int
    outline : Array, shape (p, 2)
        The plank as it lies finished, its corners in order round from the lower inside corner, closed.
    """

    strake: int
    outline: Array


@dataclass(frozen=True)
class MouldShape:
    """A mould's half at its station, (half-breadth, height).

    Attributes
    ----------
    station : Station
    outline : Array, shape (p, 2)
        The inside of the planking, from the garboard's lower inside corner up to the sheer.
    land_marks : Array, shape (N, 2)
        P_k.
    face_bevels : Array, shape (N,)
        For each flat, the angle of the planking's inner face to the station's plane less a right angle, radians:
        positive where the planking closes in going aft, so that an edge square to the station's plane would stand
        proud on a mould whose wood is aft of its station.
    proud : Array, shape (N,)
        How far a smooth edge would hold each strake off its marks, mm; 0 where it does not, and on a faceted mould.
    """

    station: Station
    outline: Array
    land_marks: Array
    face_bevels: Array
    proud: Array


def mould_shape(shell: PlankedShell, index: int) -> MouldShape:
    """Return the mould of one station, by its index from forward; a midship section at the end is the last."""
    station = shell.hull.moulded_stations[index]
    x = np.array([min(station.at, shell.u_aft)])
    marks = np.stack([edge.batten.marks[index + 1, 1:] for edge in shell.hung.edges])
    foot = in_plane(shell, 1, np.zeros(1), station.at, np.zeros(1))
    faceted = np.vstack([foot, marks])
    middles = [shell.normal(k, x, np.array([0.5]))[0] for k in range(1, shell.planking.strakes + 1)]
    bevels = np.array([float(np.arcsin(n[0])) for n in middles])
    if shell.hull.moulds.edge == "faceted":
        return MouldShape(station, faceted, marks, bevels, np.zeros(len(marks)))
    smooth = Batten(faceted)
    t = np.union1d(np.linspace(0.0, smooth.knots[-1], _SMOOTH), smooth.knots)
    outline = smooth.point(t)
    off_marks = np.array([proud(faceted[k : k + 2], smooth, smooth.knots[k : k + 2]) for k in range(len(marks))])
    return MouldShape(station, outline, marks, bevels, off_marks)


def proud(flat: Array, smooth: Batten, span: Array) -> float:
    """Return how far a smooth edge stands outside the straight between two marks, mm."""
    along = flat[1] - flat[0]
    along = along / np.linalg.norm(along)
    off = (smooth.point(np.linspace(span[0], span[1], 31)) - flat[0]) @ np.array([along[1], -along[0]])
    return float(max(off.max(), 0.0))


def plank_sections(shell: PlankedShell, x: float) -> tuple[PlankSection, ...]:
    """Return every strake cut by a transverse plane, as it lies finished with bevels, geralds and square edges.

    At a midship section that the planks end at, laps and bevels are those of their end.
    """
    return tuple(_plank_section(shell, strake, x) for strake in range(1, shell.planking.strakes + 1))


def _plank_section(shell: PlankedShell, strake: int, x: float) -> PlankSection:
    """Corners: inside from lower to upper edge, outer arris, lap line, and down the outer face to the lower edge."""
    thickness = shell.planking.thickness[strake - 1]
    here = np.array([min(x, shell.u_aft)])
    inside_low, outside_low = 0.0, thickness
    corners = []
    if strake > 1:
        off = shell.losses(strake - 1, here)
        inside_low = float(off.upper_at_lap_line[0])
        corner = float(off.upper_at_edge[0])
        y = float(shell.lapping(strake - 1, here).y[0])
        lap = shell.planking.lap_on(strake - 1)
        share = lap / (y + lap)
        corners = [(0.0, inside_low), (share, corner)] + ([(share, 0.0)] if corner > 1e-9 else [])
    else:
        corners = [(0.0, 0.0)]
    corners.append((1.0, 0.0))
    if strake < shell.planking.strakes:
        off = shell.losses(strake, here)
        lap_line = float(shell.lap_share(strake, here)[0])
        at_edge, at_lap = float(off.lower_at_edge[0]), float(off.lower_at_lap_line[0])
        corners += [(1.0, thickness - at_edge), (lap_line, thickness - at_lap)]
        corners += [(lap_line, thickness)] if at_lap > 1e-9 else []
    else:
        corners.append((1.0, thickness))
    corners.append((0.0, outside_low))
    shares, outs = np.array(corners).T
    return PlankSection(strake, in_plane(shell, strake, shares, x, outs))


def in_plane(shell: PlankedShell, strake: int, v: Array, x: float, out: Array) -> Array:
    """Return where lines at shares v, `out` mm from the inner face, cross a plane: (half-breadth, height), (p, 2)."""
    u = rulings_at_planes(shell, strake, np.array(x), v, out)
    return shell.face(strake, u, v, out)[:, 1:]


_LEVEL = 1e-6
"""Radians: planking that closes in by less is level, as amidships in a boat that is alike at both ends."""

_FAR_FACE = 17


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
    return tuple(fair.point(np.linspace(start, stop, _FAR_FACE)) for start, stop in spans)
