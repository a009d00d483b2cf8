"""What a builder should know of pieces inside the planking that take the same wood: which two, where, and what to do.

Every piece is cut by transverse planes; where the sections of two have an area in common, the pieces overlap.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.across import AcrossShape
from templates_gen.geometry.inside.corners import CornerShape
from templates_gen.geometry.inside.gunwales import GunwaleShape
from templates_gen.geometry.inside.level import ThwartShape
from templates_gen.geometry.planking import PlankedShell
from templates_gen.report.finding import Finding

Array = NDArray[np.float64]

_LEAST = 5.0
"""mm² of a section: pieces that have less in common only touch (our own judgement)."""

_TOUCH = 0.1
_PLACES = 7
_FAR = 1e5
_SAMPLES = 401

Shape = AcrossShape | CornerShape | GunwaleShape | ThwartShape


@dataclass(frozen=True)
class _Solid:
    """A piece: from where to where it runs along the boat, mm, and its half section (half-breadth, height) at x."""

    shape: Shape
    low: float
    high: float
    section: Callable[[float], shapely.Geometry]

    @property
    def name(self) -> str:
        """Its name in a message: "frame 1", "gunwale 1 (inwale)"."""
        piece = self.shape.piece
        part = f" ({self.shape.piece.part})" if isinstance(self.shape, GunwaleShape) else ""
        return f"{piece.kind} {piece.number}{part}"

    @property
    def is_inwale(self) -> bool:
        """Whether it is an inwale."""
        return isinstance(self.shape, GunwaleShape) and self.shape.piece.part == "inwale"


def overlap_findings(boat: Boat) -> Iterator[Finding]:
    """Yield a warning for each two pieces that take the same wood; one for all that an inwale meets."""
    solids = [_solid(boat.shell, s) for s in boat.inside if isinstance(s, Shape)]
    met: dict[int, list[_Solid]] = {}
    for one, other in combinations(solids, 2):
        place = _overlap(one, other)
        if place is None:
            continue
        inwale, rest = (one, other) if one.is_inwale else (other, one)
        if inwale.is_inwale and not isinstance(rest.shape, GunwaleShape):
            met.setdefault(inwale.shape.piece.index, []).append(rest)
        else:
            yield _warning(boat, other, f"{one.name} and {other.name} {_place_words(boat, place)}; ", one)
    for inwale in solids:
        if inwale.shape.piece.index in met:
            yield _inwale_warning(boat, inwale, met[inwale.shape.piece.index])


def _place_words(boat: Boat, x: float) -> str:
    """Where two pieces overlap, in words."""
    return f"overlap at {boat.hull.notation.spoken_length(x)} from the datum"


def _overlap(one: _Solid, other: _Solid) -> float | None:
    """The x at which two pieces have most in common; None where they do not overlap."""
    low, high = max(one.low, other.low), min(one.high, other.high)
    if high - low < _TOUCH:
        return None
    places = low + (high - low) * (np.arange(_PLACES) + 0.5) / _PLACES
    areas = [shapely.area(shapely.intersection(one.section(x), other.section(x))) for x in places.tolist()]
    return float(places[int(np.argmax(areas))]) if max(areas) > _LEAST else None


def _warning(boat: Boat, about: _Solid, text: str, other: _Solid) -> Finding:
    piece = about.shape.piece
    advice = _advice(boat, other, about)
    return Finding("warning", piece.kind, text + advice, about.shape.about, key=("inside", piece.index))


def _inwale_warning(boat: Boat, inwale: _Solid, met: list[_Solid]) -> Finding:
    assert isinstance(inwale.shape, GunwaleShape)
    piece, spoken = inwale.shape.piece, boat.hull.notation.spoken_length
    *first, last = (solid.name for solid in met)
    names, them = (f"{', '.join(first)} and {last}", "them") if first else (last, "it")
    text = (
        f"{inwale.name} overlaps {names}; let the inwale into {them}, "
        f"{spoken(piece.width)} × {spoken(piece.depth)}, before you fit {them}"
    )
    return Finding("warning", piece.kind, text, inwale.shape.about, key=("inside", piece.index))


def _advice(boat: Boat, one: _Solid, other: _Solid) -> str:
    """What to do about two pieces that overlap, the first in the order of the hull file first."""
    spoken = boat.hull.notation.spoken_length
    first, second = one.shape, other.shape
    if isinstance(first, GunwaleShape) and isinstance(second, GunwaleShape):
        free = first.piece.below + first.piece.depth
        return f"set below of {other.name} to {spoken(free)} or more"
    for across, thwart in ((one, other), (other, one)):
        if isinstance(across.shape, AcrossShape) and isinstance(thwart.shape, ThwartShape):
            under = thwart.shape.piece.height - thwart.shape.piece.thickness
            return f"notch the thwart round {across.name}, or set top of {across.name} to {spoken(under)} or less"
    if isinstance(first, AcrossShape) and isinstance(second, AcrossShape):
        common = min(one.high, other.high) - max(one.low, other.low)
        return f"move one of them by {spoken(common)} or more"
    return "let one into the other, or move one"


def _solid(shell: PlankedShell, shape: Shape) -> _Solid:
    match shape:
        case AcrossShape():
            section = _across(shape)
            low, high = sorted((shape.near.x, shape.far.x))
            return _Solid(shape, low, high, lambda x: section)
        case ThwartShape():
            piece = shape.piece
            return _Solid(shape, piece.fore, piece.aft, lambda x: _thwart(shape, x))
        case CornerShape():
            ends = sorted(shape.plane.point(shape.outline[:, :2])[:, 0])
            return _Solid(shape, float(ends[0]), float(ends[-1]), lambda x: _corner(shape, x))
        case _:
            strip = _Strip(shell, shape)
            return _Solid(shape, float(strip.sheer[0, 0]), float(strip.sheer[-1, 0]), strip.section)


def _across(shape: AcrossShape) -> shapely.Geometry:
    """The half section of a bulkhead, a frame or a floor."""
    edge = shape.edge
    if len(edge) < 2:
        return shapely.Polygon()
    whole = shapely.Polygon(np.vstack([[0.0, edge[0, 1]], edge, [0.0, edge[-1, 1]]])).buffer(0.0)
    width = shape.piece.width
    return whole if width is None else shapely.intersection(whole, shapely.LineString(edge).buffer(width))


def _thwart(shape: ThwartShape, x: float) -> shapely.Geometry:
    """The half section of a thwart at x: as wide as its top face."""
    piece = shape.piece
    return shapely.box(0.0, piece.height - piece.thickness, float(np.interp(x, *shape.end.T)), piece.height)


def _corner(shape: CornerShape, x: float) -> shapely.Geometry:
    """The half section of a breasthook or a knee at x: as wide as its top face there."""
    plane = shape.plane
    s = (x - plane.origin[0]) / plane.into[0]
    height = float(plane.origin[2] + s * plane.into[2])
    top = shapely.intersection(shapely.Polygon(shape.outline).buffer(0.0), shapely.LineString([(s, 0.0), (s, _FAR)]))
    if top.is_empty:
        return top
    _, inner, _, outer = top.bounds
    return shapely.box(inner, height - shape.piece.thickness, outer, height)


class _Strip:
    """A gunwale strip's half sections, from the sheer and the way in from it, square to it, in transverse planes."""

    def __init__(self, shell: PlankedShell, shape: GunwaleShape) -> None:
        strake, u = shell.planking.strakes, np.linspace(shell.u_fore, shell.u_aft, _SAMPLES)
        normals = shell.normal(strake, u, np.ones(len(u)))[:, 1:]
        self.sheer = shell.upper(strake, u)
        self._inward = -normals / np.linalg.norm(normals, axis=1, keepdims=True)
        self._piece, self._thickness = shape.piece, shell.planking.thickness[-1]

    def section(self, x: float) -> shapely.Geometry:
        """Return the half section of the strip at x, on the inside or the outside of the sheer strake."""
        lines = np.column_stack([self.sheer[:, 1:], self._inward])
        y, z, *way = (float(np.interp(x, self.sheer[:, 0], one)) for one in lines.T)
        piece, inward = self._piece, np.array(way)
        up = np.array([inward[1], -inward[0]])
        begin = np.array([y, z]) - piece.below * up - (0.0 if piece.part == "inwale" else self._thickness) * inward
        across = (piece.width if piece.part == "inwale" else -piece.width) * inward
        down = -piece.depth * up
        return shapely.Polygon([begin, begin + across, begin + across + down, begin + down])
