"""Where there is room inside the planking: how far stems and transoms reach in, and how a misfit is refused."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.errors import BoatError
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rabbet_line import TransomFace
from templates_gen.hull.model import Inside, Midship, Stem, Transom
from templates_gen.units import spoken_length
from templates_gen.words import spoken

Array = NDArray[np.float64]

SPOKEN = 0.5
"""mm: lengths are spoken to so much, and what a message asks for must pass."""

_PROFILE = 241
_NEAR = 1e-6
_RUN_ON = 300.0


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
