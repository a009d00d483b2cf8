"""Boats whose sides are planes on a stem that leans, with every corner worked from plane geometry alone."""

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.hull.model import Hull, Lands, Station, Stem, Transom
from tests.geometry.exact_hulls import Plane, hull_of, planking_of, unit

Array = NDArray[np.float64]

THICKNESS, LAP, SIDING, OPENING = 9.0, 19.0, 36.0, 0.3
FOOT, HEAD_HEIGHT = np.array([300.0, SIDING / 2, 60.0]), 430.0
STATIONS = (600.0, 900.0, 1200.0)
AFT = Plane(np.array([1500.0, 0.0]), np.array([1560.0, 900.0]))

FLUSH = 1e9
"""A gerald so long that its planking is flush all the way: inner faces meet in the corners P_k, so in one plane."""


@dataclass(frozen=True)
class FlatSide:
    """A side in one plane: its strakes' outer faces hold the foot, the stem's line and the keel's.

    Attributes
    ----------
    rake : float
        Of the stem from the upright, radians, positive where its head leans forward.
    strakes : int
    """

    rake: float
    strakes: int

    @property
    def up_stem(self) -> Array:
        return np.array([-np.sin(self.rake), 0.0, np.cos(self.rake)])

    @property
    def keel(self) -> Array:
        """The keel's direction in the side's plane, going aft."""
        return np.array([1.0, OPENING, 0.02])

    @property
    def outward(self) -> Array:
        return unit(np.cross(self.up_stem, self.keel))

    def on_stem(self, k: int) -> Array:
        """r_k: the lands stand at even heights."""
        rise = (HEAD_HEIGHT - FOOT[2]) * k / self.strakes
        return np.asarray(FOOT + rise / self.up_stem[2] * self.up_stem)

    def land(self, k: int) -> tuple[Array, Array]:
        """A point and the direction, going aft, of the line over P_k on the outer faces; for k = 0 the keel's."""
        if k == 0:
            return FOOT, self.keel
        x, height = 1500.0, 90.0 + 340.0 * k / self.strakes
        across = self.outward
        y = ((FOOT - np.array([x, 0.0, height])) @ across) / across[1]
        return self.on_stem(k), np.array([x, y, height]) - self.on_stem(k)

    def lower_edge(self, k: int) -> tuple[Array, Array]:
        """The same of strake k's lower edge: the lap below the land under it, in the plane."""
        point, along = self.land(k - 1)
        if k == 1:
            return point, along
        return point - LAP * np.cross(unit(along), self.outward), along

    def moved_in(self, line: tuple[Array, Array], depth: float) -> tuple[Array, Array]:
        return line[0] - depth * self.outward, line[1]

    def corners(self, k: int, end: Plane | None = None) -> Array:
        """Corners of strake k's middle face, (4, 3), from the lower fore one round by the after end.

        Its fore end is square to its faces along the stem's line, or flush with the plane `end`.
        """
        square = np.cross(self.up_stem, self.outward)
        lines = [self.moved_in(line, THICKNESS / 2) for line in (self.lower_edge(k), self.land(k))]
        aft = [AFT.meets(*line) for line in lines]
        if end is None:
            fore = [point - (point - FOOT) @ square / (along @ square) * along for point, along in lines]
        else:
            fore = [end.meets(*line) for line in lines]
        return np.array([fore[0], aft[0], aft[1], fore[1]])

    def hull(self, joint: Literal["rebate", "bevel"] = "rebate") -> Hull:
        """The boat, lines to the inside of the planking."""

        def at(line: tuple[Array, Array], x: float) -> Array:
            point, along = line
            return np.asarray(point + (x - point[0]) / along[0] * along)

        inner = [self.moved_in(self.land(k), THICKNESS) for k in range(1, self.strakes + 1)]
        keel = self.land(0)
        stations = tuple(
            Station(str(i), x, True, at(keel, x)[1:], np.array([at(line, x)[1:] for line in inner]))
            for i, x in enumerate(STATIONS, start=1)
        )
        marks = np.array([AFT.meets(*line)[1:] for line in inner])
        aft = Transom(np.stack([AFT.bottom, AFT.top]), 20.0, 0.0, AFT.meets(*keel)[1:], marks)
        on_stem = np.array([self.on_stem(k) for k in range(self.strakes + 1)])
        rabbet = np.vstack([on_stem, on_stem[-1] + 80.0 * self.up_stem])[:, [0, 2]]
        lands = {s.name: s.section for s in stations} | {"fore": on_stem[1:, 2], "aft": marks}
        planking = replace(planking_of(self.strakes, THICKNESS, LAP), gerald_fore=FLUSH)
        return hull_of("flat side", stations, Stem(joint, SIDING, rabbet), aft, planking, Lands("offsets", lands))


def with_round_stem(side: FlatSide, radius: float) -> tuple[Hull, Array]:
    """A side of one strake on a stem that is an arc bowed forward from foot to head, and that arc, (p, 3)."""
    foot, head = FOOT, side.on_stem(side.strakes)
    half = np.linalg.norm(head - foot) / 2
    inward = np.array([side.up_stem[2], 0.0, -side.up_stem[0]])
    centre = (foot + head) / 2 + np.sqrt(radius**2 - half**2) * inward
    turn = np.arcsin(half / radius) * np.linspace(-1.0, 1.0, 81)
    arc = centre + radius * (np.sin(turn)[:, None] * side.up_stem - np.cos(turn)[:, None] * inward)
    hull = side.hull()
    return replace(hull, fore=Stem("rebate", SIDING, arc[:, [0, 2]])), arc
