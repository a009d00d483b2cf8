"""The room inside the planking, as what is put into the boat meets it: its section by a transverse plane, how far
stems and transoms reach in, and how a misfit is refused.

Going up, the section follows a strake's inner face to its upper corner, steps out along that strake's edge, and goes
on up the inner face of the next strake.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.errors import BoatError
from templates_gen.geometry.moulds import in_plane
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rabbet_line import TransomFace
from templates_gen.hull.model import Inside, Midship, Stem, Transom
from templates_gen.numerics.curves import Batten
from templates_gen.units import spoken_length
from templates_gen.words import spoken

Array = NDArray[np.float64]

_ROUNDS = 30
_CLOSE = 1e-10
_ACROSS = 9
_STRAIGHT = 0.01
_ALONG = 17
SPOKEN = 0.5
"""mm: lengths are spoken to so much, and what a message asks for must pass."""

_PROFILE = 241
_NEAR = 1e-6
_RUN_ON = 300.0


@dataclass(frozen=True)
class Facet:
    """The inner face of one strake, cut by the plane.

    Attributes
    ----------
    strake : int
    line : Array, shape (p, 2)
        (half-breadth, height) from where the face leaves the edge of the strake below up to its own upper corner.
    low : float
        The share across the strake, from its lower edge, at which it begins.
    """

    strake: int
    line: Array
    low: float

    @property
    def along(self) -> Array:
        """Return the unit vector from its lower to its upper end, shape (2,)."""
        chord = self.line[-1] - self.line[0]
        return np.asarray(chord / np.linalg.norm(chord))

    @property
    def inward(self) -> Array:
        """Return the unit vector square to it, into the boat, shape (2,)."""
        return np.array([-self.along[1], self.along[0]])


@dataclass(frozen=True)
class InsideSection:
    """The inside of the planking in one transverse plane.

    Attributes
    ----------
    x : float
        Of the plane, mm.
    facets : tuple of Facet
        From the lowest strake that crosses the plane as a whole up to the sheer strake.
    """

    x: float
    facets: tuple[Facet, ...]

    @property
    def joggled(self) -> Array:
        """Return the line along every facet and step, shape (p, 2)."""
        return np.concatenate([facet.line for facet in self.facets])

    @property
    def corners(self) -> Array:
        """Return the lower end of the line, then every strake's upper inside corner, shape (facets + 1, 2)."""
        return np.stack([self.facets[0].line[0], *(facet.line[-1] for facet in self.facets)])

    @property
    def steps(self) -> Array:
        """Return how far each facet but the lowest begins out from the corner below it, mm, shape (facets - 1,)."""
        starts = np.array([facet.line[0] for facet in self.facets[1:]]).reshape(-1, 2)
        return np.asarray(np.linalg.norm(starts - self.corners[1:-1], axis=1))

    def fair(self) -> Array:
        """Return a fair line that touches each strake at its upper inside corner, shape (p, 2).

        It is the batten through these corners; where that would run into a strake, it follows the strake's face.
        """
        batten = Batten(self.corners)
        points = [batten.point(np.zeros(1))]
        for facet, low, high in zip(self.facets, batten.knots[:-1], batten.knots[1:], strict=True):
            part = batten.point(np.linspace(low, high, _ALONG)[1:])
            inside = (part - facet.line[-1]) @ facet.inward
            points.append(part - np.minimum(inside, 0.0)[:, None] * facet.inward)
        return np.concatenate(points)


def inside_section(shell: PlankedShell, x: float) -> InsideSection:
    """Return the inside of the planking in a transverse plane; a strake that a stem cuts short there is left out."""
    facets: list[Facet] = []
    for strake in range(1, shell.planking.strakes + 1):
        if _crosses(shell, strake, x):
            low = leaves_edge(shell, strake - 1, x) if facets else 0.0
            line = in_plane(shell, strake, np.linspace(low, 1.0, _ACROSS), x, np.zeros(_ACROSS))
            facets.append(Facet(strake, _ends_if_straight(line), low))
    return InsideSection(x, tuple(facets))


def _crosses(shell: PlankedShell, strake: int, x: float) -> bool:
    """Whether a strake's inner face reaches from edge to edge where a plane cuts it, clear of stem and sternpost."""
    clear = []
    for end in shell.hung.stems:
        at = shell.face(strake, np.full(2, shell.u_end(end)), np.array([0.0, 1.0]))[:, 0]
        clear.append(bool(at.max() < x if end == "fore" else at.min() > x))
    return all(clear)


def leaves_edge(shell: PlankedShell, land: int, x: float) -> float:
    """Return the share across strake k + 1 at which its inner face leaves the square edge of strake k, in a plane.

    Source: derived here; the edge's trace is the straight from the strake's inner to its outer corner.
    """
    corner = in_plane(shell, land, np.ones(1), x, np.zeros(1))[0]
    outer = in_plane(shell, land, np.ones(1), x, np.array([shell.planking.thickness[land - 1]]))[0]
    square = np.array([corner[1] - outer[1], outer[0] - corner[0]])

    def past(share: float) -> float:
        point = in_plane(shell, land + 1, np.array([share]), x, np.zeros(1))[0]
        return float((point - corner) @ square)

    before, share = 0.0, 0.5
    miss_before, miss = past(before), past(share)
    for _ in range(_ROUNDS):
        if abs(miss - miss_before) < _CLOSE:
            break
        before, share, miss_before = share, share - miss * (share - before) / (miss - miss_before), miss
        miss = past(share)
    return share


def _ends_if_straight(line: Array) -> Array:
    """A line's two ends if it is straight between them, else all of it."""
    chord = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
    off = (line - line[0]) @ np.array([-chord[1], chord[0]])
    return line[[0, -1]] if np.abs(off).max() < _STRAIGHT else line


def refusal(piece: Inside, key: str, text: str) -> BoatError:
    """Return the error of a piece that does not fit, about one of its keys in the hull file."""
    about = About(piece.kind, piece.number)
    return BoatError(f"{piece.kind} {piece.number} {text}", ("inside", piece.index, key), piece.kind, about)


def stem_up_to(shell: PlankedShell, end: EndName, x: float) -> float:
    """Return the height up to which a stem's wood reaches at x, mm; minus infinity where it has none.

    It is taken from the rabbet line and, as far as the hull file knows it, the wood inside that.
    """
    points, edge = stem_profile(shell, end)
    before, after = np.concatenate([points[:-1], edge[:-1]]), np.concatenate([points[1:], edge[1:]])
    crossed = (before[:, 0] - x) * (after[:, 0] - x) <= 0.0
    return float(np.maximum(before, after)[crossed, 1].max(initial=-np.inf))


def stem_profile(shell: PlankedShell, end: EndName) -> tuple[Array, Array]:
    """Return the rabbet line of a stem and the inner edge of its wood, (x, height), from the foot to the head."""
    stem, rabbet = shell.hull.end(end), shell.hung.stems[end].rabbet
    assert isinstance(stem, Stem)
    t = np.linspace(rabbet.foot, rabbet.head, _PROFILE)
    points, slope = rabbet.batten.point(t)[:, [0, 2]], rabbet.batten.slope(t)[:, [0, 2]]
    inward = np.stack([-slope[:, 1], slope[:, 0]], axis=1) / np.linalg.norm(slope, axis=1)[:, None]
    return points, points + (stem.wood_inside or 0.0) * inward


class StemInside:
    """The inner edge of a stem's wood, a face square to the centreplane, run on straight above its head."""

    def __init__(self, shell: PlankedShell, end: EndName) -> None:
        edge = stem_profile(shell, end)[1]
        step = edge[-1] - edge[-2]
        self.edge = np.vstack([edge, edge[-1] + _RUN_ON * step / np.linalg.norm(step)])
        self._sign = 1.0 if end == "fore" else -1.0

    def distance(self, points: Array) -> Array:
        """Return how far points (n, 3) lie past it along the boat, toward its end, mm."""
        return np.asarray(self._sign * (np.interp(points[:, 2], self.edge[:, 1], self.edge[:, 0]) - points[:, 0]))

    def normal(self, points: Array) -> Array:
        """Return its unit normals at the heights of points (n, 3), toward the end of the boat."""
        at = np.clip(np.searchsorted(self.edge[:, 1], points[:, 2]), 1, len(self.edge) - 1)
        along = self.edge[at] - self.edge[at - 1]
        along = along / np.linalg.norm(along, axis=1, keepdims=True)
        return self._sign * np.column_stack([-along[:, 1], np.zeros(len(at)), along[:, 0]])


def inner_faces(shell: PlankedShell) -> Iterator[tuple[EndName, str, TransomFace]]:
    """Yield the inner face of each transom, or a midship section at which the planks end, with its end and name."""
    for end, face in shell.hung.faces.items():
        member = shell.hull.end(end)
        assert isinstance(member, Transom)
        if isinstance(member, Midship):
            yield end, "the midship section", face
        else:
            yield end, spoken(About("transom", end=end)), face.inboard(member.thickness)


def check_transoms(shell: PlankedShell, piece: Inside, key: str, points: Array) -> None:
    """Refuse a piece if any of its points (n, 3), or of these carried to the centreplane, is not inside a transom."""
    centre = points * np.array([1.0, 0.0, 1.0])
    for end, name, inner in inner_faces(shell):
        past = float(inner.distance(np.concatenate([points, centre])).max())
        if past > _NEAR:
            side = "aft" if end == "fore" else "forward"
            text = f"crosses {name} by {spoken_length(past, shell.hull.units)}; move it {side} by that or more"
            raise refusal(piece, key, text)
