"""Strips along the sheer strake: their length, the curve that they take laid flat, bevels and the cuts of their ends.

The lengths of timbers that are bent in over the laps.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from templates_gen.about import About, EndName, Place
from templates_gen.geometry.ends import ahead_of_stem
from templates_gen.geometry.fastenings import timbers
from templates_gen.geometry.inside.room import StemInside, inner_faces, inside_section, refusal
from templates_gen.geometry.places import station_place
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Gunwale, TimberList, Transom
from templates_gen.numerics.chains import running
from templates_gen.numerics.directions import cross, unit
from templates_gen.units import spoken_length

Array = NDArray[np.float64]

_SAMPLES = 1201
_UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class GunwalePlace:
    """A place along a strip.

    Attributes
    ----------
    place : Place
    length : float
        Along its upper edge from its fore end, mm.
    rise : float
        How far its upper edge laid flat stands above the straight between its ends, mm.
    bevel : float
        How far the plank leans out from the upright, square to the strip, radians; negative where it leans in.
    """

    place: Place
    length: float
    rise: float
    bevel: float


@dataclass(frozen=True)
class EndCut:
    """How the end of a strip is cut, off square, radians.

    Attributes
    ----------
    face : float
        On the face that lies on the plank; positive where the upper edge is the longer.
    through : float
        Square to that face; positive where the outboard side is the longer.
    """

    face: float
    through: float


@dataclass(frozen=True)
class GunwaleShape:
    """A strip along the sheer strake.

    Attributes
    ----------
    piece : Gunwale
    flat : Array, shape (p, 2)
        Its upper edge laid flat with its face on the plank: along the straight between its ends, fore to aft, and up.
    length : float
        Of its upper edge, mm.
    sweep : float
        How far the edge laid flat leaves the straight between its ends, mm.
    places : tuple of GunwalePlace
        Both ends and the stations between them, fore to aft.
    cuts : dict of end name to EndCut
    """

    piece: Gunwale
    flat: Array
    length: float
    sweep: float
    places: tuple[GunwalePlace, ...]
    cuts: dict[EndName, EndCut]

    @property
    def about(self) -> About:
        """Return what it is."""
        return About(self.piece.kind, self.piece.number)


def gunwale_shape(shell: PlankedShell, piece: Gunwale) -> GunwaleShape:
    """Return a strip along the sheer strake.

    A narrow strip that is bent on to a face keeps, laid flat, the geodesic curvature of its line on that face.

    Raises
    ------
    BoatError
        Where it does not fit on the sheer strake.
    """
    _check_strake(shell, piece, np.linspace(shell.u_fore, shell.u_aft, _SAMPLES))
    surfaces = _ends(shell, piece)
    line = _line_between(shell, piece, surfaces)
    _check_bevel(shell, piece, line.bevels)
    flat = _laid_flat(line.run, line.curvature)
    ends: tuple[EndName, EndName] = ("fore", "aft")
    cuts = {
        end: _cut(end, surface.normal(line.points[[k]])[0], line.along[k], line.up[k], line.normals[k])
        for end, surface, k in zip(ends, surfaces, (0, -1), strict=True)
    }
    places = _places(shell, line, flat)
    return GunwaleShape(piece, flat, float(line.run[-1]), float(np.abs(flat[:, 1]).max()), places, cuts)


@dataclass(frozen=True)
class _StripLine:
    """The upper edge of a strip on its plank, fore to aft: points, the plank's outward normals, lengths from its fore
    end, unit vectors along it and up the plank, and its geodesic curvature, 1/mm.
    """

    points: Array
    normals: Array
    run: Array
    along: Array
    up: Array
    curvature: Array

    @property
    def bevels(self) -> Array:
        """How far the plank leans out from the upright, square to the strip, radians, shape (p,)."""
        level = unit(cross(np.broadcast_to(_UP, self.along.shape), self.along))
        rising = cross(self.along, level)
        return np.asarray(np.arctan2(-(self.normals * rising).sum(axis=1), (self.normals * level).sum(axis=1)))


def _line_between(shell: PlankedShell, piece: Gunwale, surfaces: "list[_Surface]") -> _StripLine:
    """The upper edge of a strip from one surface to the other."""
    strake = shell.planking.strakes
    out = 0.0 if piece.part == "inwale" else shell.planking.thickness[strake - 1]

    def shares(u: Array) -> Array:
        return np.asarray(1.0 - piece.below / shell.width(strake, u))

    u = np.linspace(shell.u_fore, shell.u_aft, _SAMPLES)
    first, last = (_crossing(u, surface.distance(shell.face(strake, u, shares(u), out))) for surface in surfaces)
    u = np.concatenate([[first], u[(u > first + 1e-6) & (u < last - 1e-6)], [last]])
    points, normals = shell.face(strake, u, shares(u), out), shell.normal(strake, u, shares(u))
    run = running(points)
    line = CubicSpline(run, points)
    along = unit(line(run, 1))
    up = cross(along, normals)
    return _StripLine(points, normals, run, along, up, np.einsum("ij,ij->i", line(run, 2), up))


def _check_strake(shell: PlankedShell, piece: Gunwale, u: Array) -> None:
    """Refuse a strip that reaches below the sheer strake: inside to the land, outside to its lower edge."""
    strake = shell.planking.strakes
    low = np.zeros(len(u))
    if strake > 1 and piece.part == "inwale":
        lap = shell.planking.lap_on(strake - 1)
        low = lap / (shell.lapping(strake - 1, u).y + lap)
    room = float(((1.0 - low) * shell.width(strake, u)).min())
    if piece.below + piece.depth > room:
        text = f"reaches below the sheer strake, which has room for {spoken_length(room, shell.hull.units)} of it"
        raise refusal(piece, "depth", f"{text} where it is narrowest; make depth or below less")


def _check_bevel(shell: PlankedShell, piece: Gunwale, bevels: Array) -> None:
    """Refuse a strip of which as much comes off for a level top, or must be added, as it is deep."""
    slope, units = float(np.tan(np.abs(bevels)).max()), shell.hull.units
    if piece.width * slope >= piece.depth:
        off, deep, width = (
            spoken_length(one, units) for one in (piece.width * slope, piece.depth, piece.depth / slope)
        )
        text = f"needs a bevel of {off} over its width for a level top, and is only {deep} deep"
        raise refusal(piece, "width", f"{text}; make it less than {width} wide, or deeper")


class _Surface:
    """A surface that a strip ends on: how far points lie past it, and its outward normals."""

    def __init__(self, distance: Callable[[Array], Array], normal: Callable[[Array], Array]) -> None:
        self.distance, self.normal = distance, normal


def _ends(shell: PlankedShell, piece: Gunwale) -> list[_Surface]:
    """What a strip ends on, fore and aft: inside on stem or transom, outside where the planks end."""
    inner = {end: face for end, _, face in inner_faces(shell)}
    found = []
    for end in ("fore", "aft"):
        name: EndName = "fore" if end == "fore" else "aft"
        member = shell.hull.end(name)
        if isinstance(member, Transom):
            face = inner[name] if piece.part == "inwale" else shell.hung.faces[name]
            found.append(_Surface(face.distance, face.normal))
        elif piece.part == "inwale":
            if member.wood_inside is None:
                words = f"bears on the inside of the stem, which is not known; give wood_inside in [{name}]"
                raise refusal(piece, "part", words)
            inside = StemInside(shell, name)
            found.append(_Surface(inside.distance, inside.normal))
        else:
            found.append(_planks_end(shell, name))
    return found


def _planks_end(shell: PlankedShell, end: EndName) -> _Surface:
    """The plane in which the sheer strake ends on a stem."""
    ahead = ahead_of_stem(shell, shell.planking.strakes, end)
    point = shell.upper(shell.planking.strakes, np.array([shell.u_end(end)]))[0]
    return _Surface(lambda points: (points - point) @ ahead, lambda points: np.broadcast_to(ahead, points.shape))


def _crossing(u: Array, past: Array) -> float:
    """The ruling at which a line comes in from past a surface, or goes out to it; its end where it never does."""
    at = np.flatnonzero((past[:-1] > 0.0) != (past[1:] > 0.0))
    if len(at) == 0:
        return float(u[0] if abs(past[0]) < abs(past[-1]) else u[-1])
    k = int(at[0])
    return float(u[k] + past[k] / (past[k] - past[k + 1]) * (u[k + 1] - u[k]))


def _laid_flat(run: Array, curvature: Array) -> Array:
    """The plane curve with a curvature along its length, from end to end along its chord, (p, 2)."""
    turn = CubicSpline(run, curvature).antiderivative()
    flat = np.column_stack([CubicSpline(run, wave(turn(run))).antiderivative()(run) for wave in (np.cos, np.sin)])
    chord = flat[-1] / np.linalg.norm(flat[-1])
    return np.column_stack([flat @ chord, flat @ np.array([-chord[1], chord[0]])])


def _cut(end: EndName, normal: Array, along: Array, up: Array, out: Array) -> EndCut:
    """The cut of an end by a surface with an outward normal.

    Source: derived here; a plane square to e holds the points that lie -(e·w)/(e·τ) farther along for each mm of w.
    """
    sign = -1.0 if end == "fore" else 1.0
    slopes = [float(np.arctan(-sign * (normal @ way) / (normal @ along))) for way in (up, out)]
    return EndCut(slopes[0], slopes[1])


def _places(shell: PlankedShell, line: _StripLine, flat: Array) -> tuple[GunwalePlace, ...]:
    """Both ends and the stations between them."""
    run, bevels = line.run, line.bevels
    fore, *_, aft = shell.hull.stops
    stations = [
        (station_place(shell.hull, s), float(np.interp(s.at, line.points[:, 0], run))) for s in shell.hull.stations
    ]
    between = [(place, length) for place, length in stations if 0.0 < length < run[-1]]
    return tuple(
        GunwalePlace(place, length, float(np.interp(length, run, flat[:, 1])), float(np.interp(length, run, bevels)))
        for place, length in [(fore, 0.0), *between, (aft, float(run[-1]))]
    )


@dataclass(frozen=True)
class Timber:
    """A timber: its number, how far aft of the datum it stands, its length from the centreline to the sheer, mm.

    `line`, shape (p, 2), is the (half-breadth, height) of the side that lies on the keel and the planking.
    """

    number: int
    x: float
    half: float
    line: Array = field(compare=False, repr=False)


@dataclass(frozen=True)
class TimbersShape:
    """The timbers that cross the keel, fore to aft."""

    piece: TimberList
    timbers: tuple[Timber, ...]

    @property
    def about(self) -> About:
        """Return what they are."""
        return About(self.piece.kind, self.piece.number)


def timbers_shape(shell: PlankedShell, piece: TimberList) -> TimbersShape:
    """Return the lengths of the timbers that cross the keel clear of stems and transoms.

    A timber lies on the hog, or crosses the keel at the garboards' lower corners, and runs from one upper inside
    corner of a strake to the next.
    """
    found = []
    for number, x in enumerate(timbers(shell.hull).tolist(), start=1):
        if not _is_clear_of_stems(shell, x):
            continue
        corners = inside_section(shell, x).corners
        line = np.vstack([_over_keel(shell, corners), corners[1:]])
        points = np.column_stack([np.full(len(line), x), line])
        if all(float(face.distance(points).max()) < 0.0 for *_, face in inner_faces(shell)):
            found.append(Timber(number, x, float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()), line))
    if not found:
        raise refusal(piece, "kind", "has no timber that crosses the keel; check timbers and at in [fastenings]")
    return TimbersShape(piece, tuple(found))


def _is_clear_of_stems(shell: PlankedShell, x: float) -> bool:
    """Whether a plane lies between the feet of the stems."""
    feet = {end: float(shell.hull.end(end).rabbet[0, 0]) for end in shell.hung.stems}
    return feet.get("fore", -np.inf) < x < feet.get("aft", np.inf)


def _over_keel(shell: PlankedShell, corners: Array) -> Array:
    """Where a timber crosses the keel or hog: on the centreline, and at its edge, (2, 2)."""
    hog = shell.hull.keel.hog
    if hog is None:
        return np.array([[0.0, corners[0, 1]], corners[0]])
    top = float(corners[0, 1]) + hog[1]
    return np.array([[0.0, top], [min(hog[0] / 2, float(corners[1, 0])), top]])
