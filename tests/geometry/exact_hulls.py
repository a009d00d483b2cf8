"""Boats whose every figure is known from plane geometry, and that geometry, worked here apart from the program."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.model import Allowances, Hull, Keel, Lands, Moulds, Planking, Station, Stem, Transom

Array = NDArray[np.float64]


def hull_of(
    name: str, stations: tuple[Station, ...], fore: Stem | Transom, aft: Transom, planking: Planking, lands: Lands
) -> Hull:
    """A hull in mm to the inside of its planking, with nothing else of note."""
    return Hull(
        name,
        "mm",
        "inside",
        stations,
        Keel("rebate", 44.0),
        fore,
        aft,
        planking,
        Moulds(18.0, "faceted", 900.0),
        Allowances(),
        lands,
    )


def planking_of(strakes: int, thickness: float, lap: float, gerald: float | None = None) -> Planking:
    """Planking with the same geralds at both ends."""
    return Planking("riveted", strakes, (thickness,) * strakes, lap, (thickness / 2,) * strakes, 60.0, gerald, gerald)


def unit(vector: Array) -> Array:
    """A vector at length one."""
    return np.asarray(vector / np.linalg.norm(vector))


@dataclass(frozen=True)
class Plane:
    """A plane square to the centreplane, by its profile line from `bottom` to `top`, (x, height)."""

    bottom: Array
    top: Array

    @property
    def origin(self) -> Array:
        return np.array([self.bottom[0], 0.0, self.bottom[1]])

    @property
    def up(self) -> Array:
        return unit(np.array([self.top[0] - self.bottom[0], 0.0, self.top[1] - self.bottom[1]]))

    @property
    def aftward(self) -> Array:
        """Its unit normal, pointing aft."""
        return np.array([self.up[2], 0.0, -self.up[0]])

    def meets(self, point: Array, direction: Array, shift: float = 0.0) -> Array:
        """Where a line meets the plane, or a parallel one `shift` mm further aft."""
        far = (self.origin + shift * self.aftward - point) @ self.aftward / (direction @ self.aftward)
        return np.asarray(point + far * direction)

    def bench(self, point: Array) -> Array:
        """(half-breadth, distance up the rake) of a point in it or in a parallel plane."""
        return np.array([point[1], (point - self.origin) @ self.up])


# ---- an oblique prism ----------------------------------------------------------------------------------------------

ALONG = unit(np.array([1.0, 0.2, 0.08]))
"""The direction that every land of the prism runs in."""

ACROSS = np.stack([unit(np.array([0.0, 1.0, 0.0]) - ALONG[1] * ALONG), np.zeros(3)])
ACROSS[1] = np.cross(ALONG, ACROSS[0])
"""Two directions, outward and upward, square to one another and to the lands."""

RABBET = np.array([22.0, 60.0])
MARKS = np.array([[100.0, 101.0], [198.0, 121.0], [296.0, 158.0], [380.0, 217.0], [444.0, 297.0]])
"""Half-breadths and heights at x = 0. The first land is hollow, the others are convex."""

THICKNESS, LAP, GERALD = 9.0, 19.0, 300.0
STATIONS = (450.0, 1000.0, 1650.0, 2200.0)
FORE = Plane(np.array([110.0, 20.0]), np.array([10.0, 420.0]))
AFT = Plane(np.array([2700.0, 150.0]), np.array([2810.0, 600.0]))
TRANSOM_THICKNESS = 20.0


def in_space(section: Array, x: float = 0.0) -> Array:
    """Points (..., 3) of a plane of equal x whose lines along the prism pass through (..., 2) at x = 0."""
    offsets = section + x * ALONG[1:] / ALONG[0]
    return np.concatenate([np.full((*offsets.shape[:-1], 1), x), offsets], axis=-1)


UNEVEN = replace(
    planking_of(5, THICKNESS, LAP),
    thickness=(9.0, 8.0, 10.0, 7.0, 9.5),
    least_edge=(4.5, 6.5, 6.0, 3.0, 5.0),
    laps=(19.0, 17.0, 21.0, 18.0),
)
"""Planking with a thickness, a least edge and a lap of its own for every strake and land."""


def oblique_prism(gerald: float | None = None, planking: Planking | None = None) -> Hull:
    """One polygon carried along a direction that is not the boat's own, between two flat raked transoms."""

    def transom(plane: Plane) -> Transom:
        corners = np.array([plane.meets(p, ALONG)[1:] for p in in_space(np.vstack([RABBET, MARKS]))])
        return Transom(np.stack([plane.bottom, plane.top]), TRANSOM_THICKNESS, 0.0, corners[0], corners[1:])

    stations = tuple(
        Station(str(i), x, True, in_space(RABBET, x)[1:], in_space(MARKS, x)[:, 1:])
        for i, x in enumerate(STATIONS, start=1)
    )
    fore, aft = transom(FORE), transom(AFT)
    lands = {s.name: s.section for s in stations} | {"fore": fore.section, "aft": aft.section}
    planking = planking or planking_of(5, THICKNESS, LAP, gerald)
    return hull_of("prism", stations, fore, aft, planking, Lands("offsets", lands))


@dataclass(frozen=True)
class Face:
    """A strake of the prism in the plane square to its lands, from its lower to its upper inside corner."""

    lower: Array
    upper: Array

    @property
    def up(self) -> Array:
        return unit(self.upper - self.lower)

    @property
    def out(self) -> Array:
        return np.array([self.up[1], -self.up[0]])

    @property
    def normal(self) -> Array:
        """The outward normal in space."""
        return np.asarray(self.out @ ACROSS)


def prism_faces(planking: Planking | None = None) -> tuple[Face, ...]:
    """Every strake of the prism, clear of geralds, by ruler and compasses in the plane square to the lands.

    The garboard's inner face touches the circle of the plank's thickness about the rabbet. Each other inner face is
    the straight from its upper mark to the lap line of the strake below or, in a hollow, to its outer corner.
    """
    planking = planking or planking_of(5, THICKNESS, LAP)
    rabbet, marks = in_space(RABBET) @ ACROSS.T, in_space(MARKS) @ ACROSS.T
    span, garboard = marks[0] - rabbet, planking.thickness[0]
    lean = np.arctan2(span[1], span[0]) - np.arcsin(garboard / np.linalg.norm(span))
    out = np.array([np.sin(lean), -np.cos(lean)])
    faces = [Face(rabbet - garboard * out, marks[0])]
    for land, mark in enumerate(marks[1:], start=1):
        below, lap = faces[-1], planking.lap_on(land)
        corner = below.upper + planking.thickness[land - 1] * below.out
        lap_line = corner - lap * below.up
        step, ahead = mark - lap_line, below.up
        if ahead[0] * step[1] - ahead[1] * step[0] > 0.0:
            foot = lap_line
        else:
            slope = (mark - corner) @ below.out / ((mark - corner) @ below.up)
            foot = lap_line - lap * slope * below.out
        faces.append(Face(foot, mark))
    return tuple(faces)


def on_line(section_point: Array) -> Array:
    """The point in space of the plane square to the lands through the origin, from its two co-ordinates."""
    return np.asarray(section_point @ ACROSS)


# ---- a flat side on a raked straight stem --------------------------------------------------------------------------

STEM_SIDING, RAKE, OPENING = 36.0, 0.35, 0.42
"""The stem's siding; how far it runs forward for a mm of height; how far the waterline opens for a mm of length."""

STEM_FOOT, SHEER_AT_STEM = 60.0, 430.0


def stem_x(height: float) -> float:
    """x of the rabbet line on the stem."""
    return 300.0 - RAKE * (height - STEM_FOOT)


def side_normal() -> Array:
    """The outward normal of the flat side's plane."""
    return unit(np.array([-OPENING, 1.0, -OPENING * RAKE]))


def on_side(x: float, height: float, inside: float = 0.0) -> Array:
    """The point of the side's outer face at x and height, or of the parallel plane `inside` mm within."""
    half_breadth = STEM_SIDING / 2 + OPENING * (x - stem_x(height))
    return np.array([x, half_breadth - inside / side_normal()[1], height])


SIDE_AFT = Plane(np.array([1500.0, 80.0]), np.array([1560.0, 520.0]))


def flat_side() -> tuple[Hull, Array]:
    """A boat of one plane strake a side on a straight raked stem, and the corners of its middle face in space.

    The corners go round from the lower fore one: (4, 3). Keel and sheer are straight lines in the plane.
    """
    half = THICKNESS / 2

    def keel(x: float) -> Array:
        return on_side(x, STEM_FOOT + 0.01 * (x - 300.0))

    def sheer(x: float) -> Array:
        return on_side(x, SHEER_AT_STEM - 0.05 * (x - stem_x(SHEER_AT_STEM)), THICKNESS)

    head = on_side(stem_x(SHEER_AT_STEM), SHEER_AT_STEM)
    inner_head = head - THICKNESS * side_normal()
    line = sheer(1000.0) - inner_head
    at = {x: inner_head + line * (x - inner_head[0]) / line[0] for x in (600.0, 900.0, 1200.0)}
    stations = tuple(
        Station(str(i), x, True, keel(x)[1:], np.stack([keel(x)[1:] + np.array([1.0, 5.0]), point[1:]]))
        for i, (x, point) in enumerate(at.items(), start=1)
    )
    rabbet_end = SIDE_AFT.meets(keel(600.0), keel(1200.0) - keel(600.0))
    sheer_end = SIDE_AFT.meets(inner_head, line)
    aft = Transom(
        np.stack([SIDE_AFT.bottom, SIDE_AFT.top]),
        20.0,
        0.0,
        rabbet_end[1:],
        np.stack([rabbet_end[1:], sheer_end[1:]]),
    )
    heights = np.array([STEM_FOOT, 200.0, 340.0, 470.0])
    stem = Stem("rebate", STEM_SIDING, np.column_stack([[stem_x(z) for z in heights], heights]))
    lands = {s.name: s.section[-1:] for s in stations} | {
        "fore": np.array([SHEER_AT_STEM]),
        "aft": sheer_end[None, 1:],
    }
    hull = hull_of("flat side", stations, stem, aft, planking_of(1, THICKNESS, LAP, GERALD), Lands("offsets", lands))
    normal = side_normal()
    low = [p - half * normal for p in (keel(300.0), keel(1200.0))]
    high = [p + half * normal for p in (inner_head, inner_head + line)]
    corners = [low[0], SIDE_AFT.meets(low[1], low[1] - low[0]), SIDE_AFT.meets(high[1], high[1] - high[0]), high[0]]
    return hull, np.array(corners)


# ---- surfaces that bend: a vertical cylinder and a twisted strip ---------------------------------------------------


def bent_hull(
    name: str, x: Array, rabbet: Array, marks: Array, ends: tuple[Plane, Plane], end_points: Array, thickness: float
) -> Hull:
    """A boat of one strake through rabbet points and marks (n, 2) at stations x; `end_points`: (2, 2, 2).

    `end_points` holds for the fore and the after transom the rabbet's point and the mark, (half-breadth, height).
    """
    stations = tuple(
        Station(str(i), float(at), True, low, np.stack([low, high]))
        for i, (at, low, high) in enumerate(zip(x, rabbet, marks, strict=True), start=1)
    )
    fore, aft = (
        Transom(np.stack([plane.bottom, plane.top]), 20.0, 0.0, points[0], points)
        for plane, points in zip(ends, end_points, strict=True)
    )
    lands = {s.name: s.section[-1:] for s in stations}
    lands |= {"fore": end_points[0, 1:], "aft": end_points[1, 1:]}
    return hull_of(name, stations, fore, aft, planking_of(1, thickness, 2.0 * thickness), Lands("offsets", lands))


Edge = Literal["lower", "upper"]


@dataclass(frozen=True)
class Cylinder:
    """A strake on an upright cylinder: its radius inside, its axis, and how its edges rise round it."""

    radius: float = 2400.0
    x: float = 1500.0
    y: float = -1900.0
    thickness: float = 9.0
    ends: tuple[Plane, Plane] = (
        Plane(np.array([180.0, 50.0]), np.array([130.0, 500.0])),
        Plane(np.array([2800.0, 50.0]), np.array([2860.0, 500.0])),
    )

    def height(self, edge: Edge, turn: Array) -> Array:
        """Height of an edge at an angle round the axis from straight out."""
        if edge == "lower":
            return np.asarray(180.0 + 60.0 * turn**2 + 15.0 * np.sin(2.0 * turn))
        return np.asarray(300.0 + 90.0 * turn**2)

    def point(self, radius: float, edge: Edge, turn: Array) -> Array:
        """Points (..., 3) at angles on a cylinder of another radius about the same axis."""
        turn = np.asarray(turn, dtype=np.float64)
        return np.stack(
            [self.x + radius * np.sin(turn), self.y + radius * np.cos(turn), self.height(edge, turn)], axis=-1
        )

    def turn_at(self, radius: float, x: Array) -> Array:
        """The angle at which a cylinder of a radius stands at x."""
        return np.asarray(np.arcsin((x - self.x) / radius))

    def end_turn(self, plane: Plane, radius: float, edge: Edge) -> float:
        """The angle at which an edge on a cylinder of a radius meets a raked plane."""
        low, high = -1.2, 1.2
        for _ in range(80):
            middle = (low + high) / 2
            past = (self.point(radius, edge, np.array(middle)) - plane.origin) @ plane.aftward
            low, high = (low, middle) if past > 0.0 else (middle, high)
        return (low + high) / 2

    def hull(self) -> Hull:
        """The boat with a single strake on the cylinder, its rabbet line on the planking's outside."""
        x = np.linspace(320.0, 2680.0, 25)
        outside = self.radius + self.thickness
        rabbet = self.point(outside, "lower", self.turn_at(outside, x))[:, 1:]
        marks = self.point(self.radius, "upper", self.turn_at(self.radius, x))[:, 1:]
        ends = [
            [
                self.point(outside, "lower", np.array(self.end_turn(plane, outside, "lower")))[1:],
                self.point(self.radius, "upper", np.array(self.end_turn(plane, self.radius, "upper")))[1:],
            ]
            for plane in self.ends
        ]
        return bent_hull("cylinder", x, rabbet, marks, self.ends, np.array(ends), self.thickness)

    def developed(self) -> Array:
        """The strake's outline unrolled at mid-thickness, (p, 2), anticlockwise from the lower fore corner."""
        middle = self.radius + self.thickness / 2
        sides: dict[Edge, Array] = {}
        for edge in ("lower", "upper"):
            first, last = (self.end_turn(plane, middle, edge) for plane in self.ends)
            turns = np.linspace(first, last, 2001)
            sides[edge] = np.column_stack([middle * turns, self.height(edge, turns)])
        ends = [
            self._end(plane, middle, *(sides[e][i, 1] for e in ("lower", "upper")))
            for i, plane in ((0, self.ends[0]), (-1, self.ends[1]))
        ]
        return np.concatenate([sides["lower"], ends[1], sides["upper"][::-1], ends[0][::-1]])

    def _end(self, plane: Plane, radius: float, low: float, high: float) -> Array:
        """A raked plane's cut through the cylinder, unrolled: a part of a sine curve, between two heights."""
        heights = np.linspace(low, high, 201)
        x = plane.origin[0] + (heights - plane.origin[2]) * plane.up[0] / plane.up[2]
        return np.column_stack([radius * self.turn_at(radius, x), heights])


def twisted_strip(width: float, twist: float, length: float) -> Hull:
    """A boat of one strake, as thin as can be, that is a straight strip twisted evenly by `twist` radians a mm."""
    thin = 1e-3
    upright = tuple(Plane(np.array([x, 50.0]), np.array([x, 600.0])) for x in (0.0, length))
    x = np.linspace(0.0, length, 25)
    turn = np.pi / 2 + twist * (x - length / 2)
    across = np.column_stack([np.cos(turn), np.sin(turn)]) * width / 2
    middle = np.array([400.0, 300.0])
    edges = np.stack([middle - across, middle + across], axis=1)
    return bent_hull(
        "twisted", x[1:-1], edges[1:-1, 0], edges[1:-1, 1], (upright[0], upright[1]), edges[[0, -1]], thin
    )
