"""The moulds and ends as they stand: where the drawn lands lie above their marks, how far they push the planking out.

A mould is cut as drawn and stands out of its place, and its marks with it. Of that, what goes along its edge is taken
back by shifting the marks; what goes square to it stays, as a hump or a hollow of the planking. An end that stands
out of its place is carried whole, as drawn; the keel stays, and its rabbet line is led to the foot where that is now.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.bending import bend_limits
from templates_gen.geometry.fastenings import timbers
from templates_gen.geometry.land_marks import StemEnd
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import AsBuilt, place_names
from templates_gen.hull.model import Hull, Lands, Station, Stem, Transom
from templates_gen.numerics.curves import Batten

Array = NDArray[np.float64]

CLEAR = 0.5
"""A plank that stands farther off a mould than this does not lie on it, mm."""


LEAST_CROSSING = 0.05
"""Sine of the least angle, as seen from the side, at which a land is taken to cross a stem's rabbet line: of one that
runs nearly along it nobody can say where they meet (our choice)."""


@dataclass(frozen=True)
class MouldsAsTheyStand:
    """How the moulds stand, N lands and p places: the fore end, every station and the after end.

    Attributes
    ----------
    shifts : Array, shape (p, 3)
        Aft, out and up of their places, mm.
    drawn_lands : Array, shape (N, p)
        How far the drawn lands lie above the drawn marks, along the edge of the mould as it stands, mm; as seen
        from the side where the edge is steep.
    proud : Array, shape (N, p)
        How far the mould's edge stands outside the drawn planking there, mm; negative inside.
    """

    shifts: Array
    drawn_lands: Array
    proud: Array

    @property
    def out_of_place(self) -> tuple[int, ...]:
        """The places of the moulds that do not stand as drawn."""
        return tuple(np.flatnonzero(self.shifts.any(axis=1)).tolist())


def standing(shell: PlankedShell, measured: AsBuilt) -> MouldsAsTheyStand:
    """Return how the moulds and ends of a drawn shell stand by what was measured."""
    shifts = shifts_of(shell.hull, measured)
    edges = shell.hung.edges
    drawn_lands, proud = np.zeros((2, len(edges), len(shifts)))
    for index in np.flatnonzero(shifts.any(axis=1)).tolist():
        if index in (0, len(shifts) - 1):
            of = _on_end(shell, "fore" if index == 0 else "aft", shifts[index])
        else:
            of = _on_mould(shell, index, shifts[index])
        drawn_lands[:, index], proud[:, index] = of
    return MouldsAsTheyStand(shifts, drawn_lands, proud)


def _on_mould(shell: PlankedShell, index: int, shift: Array) -> tuple[Array, Array]:
    """How far the lands lie above the marks of a mould, and it outside them, by its place, shape (N,) each, mm."""
    station, edges = shell.hull.stations[index - 1], shell.hung.edges
    corners = np.stack([edge.batten.marks[index, 1:] for edge in edges])
    lands = np.stack([_at_x(edge.batten, station.at + shift[0]) for edge in edges])
    section = Batten(np.vstack([station.rabbet, corners]))
    return _off_edge(lands - corners - shift[1:], section.tangent(section.knots[1:]))


def _off_edge(off: Array, up: Array) -> tuple[Array, Array]:
    """How far lands `off` their marks lie along an edge and inside it, both in its plane, (N, 2), `up` unit, mm."""
    return _along_edge(off, up), np.asarray(off[:, 1] * up[:, 0] - off[:, 0] * up[:, 1])


def _on_end(shell: PlankedShell, end: EndName, shift: Array) -> tuple[Array, Array]:
    """The same for an end of the boat: its lands run on, straight, until they meet it where it stands.

    On a transom in the plane of its face. A stem is met as seen from the side, along its rabbet line.
    """
    battens = [edge.batten for edge in shell.hung.edges]
    last = 0 if end == "fore" else -1
    corners = np.stack([batten.marks[last] for batten in battens])
    ahead = np.stack([batten.tangent(batten.knots[last]) for batten in battens])
    if end in shell.hung.stems:
        return _on_stem(shell.hung.stems[end], ahead, shift)
    face, bottom = shell.hung.faces[end], shell.hung.rabbet
    low = bottom.batten.point(bottom.fore if end == "fore" else bottom.aft)
    square = face.normal(corners)
    run = (square @ shift) / np.sum(ahead * square, axis=1)
    bench = face.bench(corners)
    section = Batten(np.vstack([face.bench(low), bench]))
    off = face.bench(corners + run[:, None] * ahead - shift) - bench
    return _off_edge(off, section.tangent(section.knots[1:]))


def _on_stem(stem: StemEnd, ahead: Array, shift: Array) -> tuple[Array, Array]:
    up = stem.rabbet.batten.tangent(stem.parameters[1:])
    up = up * np.sign(up[:, 2])[:, None]
    wide = up[:, 0] * ahead[:, 2] - up[:, 2] * ahead[:, 0]
    wide = np.copysign(np.maximum(np.abs(wide), LEAST_CROSSING), wide)
    above = (shift[2] * ahead[:, 0] - shift[0] * ahead[:, 2]) / wide
    run = (shift[2] * up[:, 0] - shift[0] * up[:, 2]) / wide
    off = run[:, None] * ahead - above[:, None] * up - shift
    return above, np.asarray(-np.sum(off * stem.normals, axis=1))


def _along_edge(off: Array, up: Array) -> Array:
    """How far along the mould's edge, `up` (N, 2), a line lies that is `off` (N, 2) from its mark, shape (N,), mm.

    Where the edge is as steep as 45 degrees or more, to the height of the line: so a land, and the sheer, keep their
    run as seen from the side. On a level floor to the point nearest to it, and in between to in between.
    """
    share = np.minimum(1.0, 2.0 * up[:, 1] ** 2)[:, None]
    seen = (1.0 - share) * up + share * np.array([0.0, 1.0])
    return np.asarray(np.sum(off * seen, axis=1) / np.sum(up * seen, axis=1))


def shifts_of(hull: Hull, measured: AsBuilt) -> Array:
    """Return how far every place stands aft, out and up of where it was drawn, shape (p, 3), mm."""
    off = {mould.name: mould.off(measured.side) for mould in measured.moulds}
    return np.array([off.get(name, (0.0, 0.0, 0.0)) for name in place_names(hull)])


def _at_x(batten: Batten, x: float) -> Array:
    """The half-breadth and the height of a line along the boat at x, shape (2,)."""
    return np.asarray(batten.point(batten.at_x(x))[1:])


def with_moulds_as_they_stand(shell: PlankedShell, hull: Hull, shifts: Array) -> Hull:
    """Return a hull with lands by offsets, its stations, its ends and their marks carried to where they stand.

    The keel stands as drawn: where a station moves along it, its rabbet follows the rabbet line of `shell`. The
    timbers stand as drawn too, and keep their numbers.
    """
    if not shifts.any():
        return hull
    places = dict(zip(place_names(hull), shifts, strict=True))
    rows = {
        name: row + (places[name][1:] if row.ndim == 2 else places[name][2])  # heights only, on a stem
        for name, row in hull.lands.at.items()
    }
    stations = tuple(_carried(shell, station, places[station.name]) for station in hull.stations)
    fore, aft = (_carried_end(hull.end(end), places[end]) for end in ("fore", "aft"))
    fastenings = hull.fastenings and replace(hull.fastenings, stand=tuple(timbers(shell.hull).tolist()))
    lands = Lands("offsets", rows)
    return replace(hull, stations=stations, fore=fore, aft=aft, lands=lands, fastenings=fastenings)


def _carried_end(member: Stem | Transom, off: Array) -> Stem | Transom:
    """An end of the boat where it stands, aft, out and up of its place by `off`."""
    if not off.any():
        return member
    along, across = off[[0, 2]], off[1:]
    if isinstance(member, Stem):
        face = None if member.face is None else member.face + along
        return replace(member, rabbet=member.rabbet + along, face=face)
    rabbet, section = member.rabbet + across, member.section + across
    return replace(member, profile=member.profile + along, rabbet=rabbet, section=section)


def _carried(shell: PlankedShell, station: Station, off: Array) -> Station:
    if not off.any():
        return station
    at, rabbet = station.at + float(off[0]), station.rabbet
    if off[0]:
        rabbet = _at_x(shell.hung.rabbet_line.keel, at)
    return replace(station, at=at, rabbet=rabbet, section=station.section + off[1:])


def humps(along: Array, proud: Array) -> Array:
    """Return how far each place stands outside the straight between its neighbours, shape (N, p), mm; 0 at ends.

    Parameters
    ----------
    along : Array, shape (N, p)
        Where the places lie along each land.
    proud : Array, shape (N, p)
    """
    share = (along[:, 1:-1] - along[:, :-2]) / (along[:, 2:] - along[:, :-2])
    found = np.zeros_like(proud)
    found[:, 1:-1] = proud[:, 1:-1] - (1.0 - share) * proud[:, :-2] - share * proud[:, 2:]
    return found


@dataclass(frozen=True)
class TooFar:
    """A mould that stands too far out of its place to plank over.

    Attributes
    ----------
    mould : int
        Its place, from 0 at the fore end.
    land : int
        From 1: the worst, of the strake's upper edge.
    cure : float
        How far the mould's edge is to come out, mm; negative in.
    clear_of : int or None
        The place of a mould that the plank stands off; None: the plank bends too sharply over it.
    by : float
        How far off, or the radius of that bend, mm.
    """

    mould: int
    land: int
    cure: float
    clear_of: int | None
    by: float


def too_far(shell: PlankedShell, stand: MouldsAsTheyStand, along: Array, first: int) -> tuple[TooFar, ...]:
    """Return the moulds that cannot be planked over, for the lands from `first` up; each with its worst land.

    Notes
    -----
    Where a land was drawn round it is to stay round: a plank stands off a mould that is left inside the straight
    between its neighbours, because one of these is out, or itself is in. And a plank is not to bend more sharply over
    a mould than it bends cold.
    """
    normals = _outward(shell)
    points = np.stack([edge.batten.marks for edge in shell.hung.edges])
    off_chords = np.stack([humps(along, part) for part in np.moveaxis(points, 2, 0)], axis=2)
    drawn = np.sum(off_chords * normals, axis=2)
    rise = humps(along, stand.proud)
    found: dict[int, TooFar] = {}
    for k in range(first - 1, len(drawn)):
        every = (
            *_clear(along[k], stand.proud[k], drawn[k], rise[k], k + 1),
            *_sharp(shell, along[k], drawn[k], rise[k], k + 1),
        )
        for one in every:
            if one.mould not in found or abs(one.cure) > abs(found[one.mould].cure):
                found[one.mould] = one
    return tuple(found[place] for place in sorted(found))


def _clear(along: Array, proud: Array, drawn: Array, rise: Array, land: int) -> Iterator[TooFar]:
    """Yield moulds that make a plank stand off one; `drawn` and `rise` off the straights between neighbours, mm."""
    now = drawn + rise
    for i in range(1, len(now) - 1):
        if drawn[i] > 0.0 and now[i] < -CLEAR:
            mould, share = _culprit(along, proud, i)
            yield TooFar(mould, land, -float(now[i]) / share, i, -float(now[i]))


def _sharp(shell: PlankedShell, along: Array, drawn: Array, rise: Array, land: int) -> Iterator[TooFar]:
    """Yield moulds over which a plank bends too sharply.

    A circle through three points has a curvature of 2 h / (a b), h the middle one's height over the straight between
    the others, a and b far; a plank lifted by h over its middle support bends there by 3 h / (a b). Source: S. P.
    Timoshenko, Strength of Materials, a beam on two supports with one load.
    """
    cold, _ = bend_limits(shell.planking, shell.planking.thickness[land - 1])
    for i in np.flatnonzero(rise[1:-1]) + 1:
        spans = float((along[i] - along[i - 1]) * (along[i + 1] - along[i]))
        bend, added = 2.0 * float(drawn[i]), 3.0 * float(rise[i])
        sharpest = max(spans / cold, abs(bend))
        if abs(bend + added) > sharpest:
            turn = float(np.sign(bend + added))
            cure = (turn * sharpest - bend - added) / 3.0
            yield TooFar(int(i), land, cure, None, spans / abs(bend + added))


def _culprit(along: Array, proud: Array, i: int) -> tuple[int, float]:
    """The place that leaves place i inside the most, and what share of its movement place i gains by."""
    share = float((along[i] - along[i - 1]) / (along[i + 1] - along[i - 1]))
    gains = {i - 1: -(1.0 - share), i: 1.0, i + 1: -share}
    worst = min(gains, key=lambda j: gains[j] * proud[j])
    return worst, gains[worst]


def _outward(shell: PlankedShell) -> Array:
    """Unit normals of the sections at every mark, out of the boat, shape (N, p, 3); 0 at the ends."""
    edges = shell.hung.edges
    found = np.zeros((len(edges), len(shell.hull.stations) + 2, 3))
    for index, station in enumerate(shell.hull.stations, start=1):
        section = Batten(np.vstack([station.rabbet, [edge.batten.marks[index, 1:] for edge in edges]]))
        up = section.tangent(section.knots[1:])
        found[:, index, 1], found[:, index, 2] = up[:, 1], -up[:, 0]
    return found
