"""A strake laid flat as it is cut from stock: its edges, their places along the boat, and the board of each part."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake, narrowest_board
from templates_gen.numerics.chains import points_at, running
from templates_gen.stock.rough import WoodLeft, rough_end, wood_left

Array = NDArray[np.float64]
Board = tuple[float, float]
"""Length and width, mm."""

LineName = Literal["lower", "middle", "upper"]

_SHARES: dict[LineName, float] = {"lower": 0.0, "middle": 0.5, "upper": 1.0}
_ALONG = 301
_ROUNDS = 16


@dataclass(frozen=True)
class Plank:
    """A strake laid flat, fore end left.

    Attributes
    ----------
    number : int
        Of the strake, from 1.
    thickness : float
        mm.
    lines : dict of LineName to Array, shape (m, 2)
        Its edges and its middle line, fore to aft, mm.
    x : dict of LineName to Array, shape (m,)
        Where along the boat each of their points comes, mm.
    ends : (Array, Array)
        The fore and the after end, each from lower to upper edge.
    rough : (Array, Array)
        The ends as they are sawn, with what is left there.
    left : WoodLeft
        Wood that its boards hold outside the net outline.
    """

    number: int
    thickness: float
    lines: dict[LineName, Array]
    x: dict[LineName, Array]
    ends: tuple[Array, Array]
    rough: tuple[Array, Array]
    left: WoodLeft

    @cached_property
    def run(self) -> Array:
        """Running length of the middle line at each of its points, shape (m,), from 0."""
        return running(self.lines["middle"])

    @property
    def length(self) -> float:
        """Length of the middle line, mm."""
        return float(self.run[-1])

    def place(self, run: float) -> tuple[Array, Array]:
        """Return the point of the middle line at a running length, and its unit tangent pointing aft."""
        middle = self.lines["middle"]
        run = min(max(run, 0.0), self.length)
        runs = np.array([run - 20.0, run, run + 20.0])
        before, point, after = points_at(middle, self.run, runs)
        way = after - before
        return point, way / np.linalg.norm(way)

    def x_at(self, run: Array | float) -> Array:
        """Return where along the boat running lengths of the middle line come, mm."""
        return np.asarray(np.interp(run, self.run, self.x["middle"]))

    def run_at(self, x: Array | float) -> Array:
        """Return the running length of the middle line at places along the boat."""
        return np.asarray(np.interp(x, self.x["middle"], self.run))

    def cut(self, run: float, beyond: float) -> tuple[Array, Array]:
        """Return a point of a straight cut, `beyond` mm aft of the one square across at `run`, and the way aft.

        Cuts about one place are parallel, so that a scarf is as long at one edge as at the other.
        """
        point, way = self.place(run)
        return point + beyond * way, way

    def x_where(self, line: LineName, run: float, beyond: float) -> float:
        """Return where along the boat a cut comes at one of the plank's edges."""
        point, way = self.cut(run, beyond)
        return float(np.interp(0.0, (self.lines[line] - point) @ way, self.x[line]))

    def board(self, first: float, last: float) -> tuple[float, float]:
        """Return length and width of the board for the part between two running lengths, its ends level, mm.

        The wood left outside the net outline is included.
        """
        points, way = self._part(first, last)
        along, across = points @ way, points @ np.array([-way[1], way[0]])
        return float(np.ptp(along)), float(np.ptp(across)) + self.left.edges

    def narrowest(self, first: float, last: float) -> tuple[float, float]:
        """Return length and width of the narrowest board for the part between two running lengths, mm."""
        length, width = narrowest_board(self._part(first, last)[0])
        return length, width + self.left.edges

    def fits(self, first: float, last: float, boards: Sequence[Board]) -> bool:
        """Return whether one of some boards, (length, width) in mm, holds the part between two running lengths."""
        length, width = self.board(first, last)
        wide = max((board[1] for board in boards if length <= board[0]), default=0.0)
        # a plank that tapers lies askew in its narrowest board, which is seldom worth looking for
        return width <= wide or (wide > 0.0 and self.narrowest(first, last)[1] <= wide)

    def furthest(self, first: float, boards: Sequence[Board]) -> float:
        """Return the greatest running length to which a part that begins at `first` may go."""
        if self.fits(first, self.length, boards):
            return self.length
        low, high = first, self.length
        for _ in range(_ROUNDS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.fits(first, middle, boards) else (low, middle)
        return low

    def nearest_start(self, last: float, boards: Sequence[Board]) -> float:
        """Return the least running length at which a part that goes to `last` may begin."""
        if self.fits(0.0, last, boards):
            return 0.0
        low, high = 0.0, last
        for _ in range(_ROUNDS):
            middle = (low + high) / 2
            low, high = (low, middle) if self.fits(middle, last, boards) else (middle, high)
        return high

    def _part(self, first: float, last: float) -> tuple[Array, Array]:
        """Return points of the outline between two running lengths, (n, 2), and the unit vector from end to end."""
        (start, start_way), (stop, stop_way) = self.place(first), self.place(last)
        points = []
        for edge in (self.lines["lower"], self.lines["upper"]):
            after, before = (edge - start) @ start_way, (edge - stop) @ stop_way
            points.append(edge[(after >= 0.0) & (before <= 0.0)])
            points += [points_at(edge, off, np.zeros(1)) for off in (after, before)]
        points += [self.ends[0], self.rough[0]] if first <= 0.0 else []
        points += [self.ends[1], self.rough[1]] if last >= self.length else []
        way = stop - start
        return np.concatenate(points), way / np.linalg.norm(way)


def plank_of(boat: Boat, strake: FlatStrake, edge: float = 0.0) -> Plank:
    """Return a flat strake as it is cut from stock, `edge` mm of wood left along each of its edges."""
    shell, number = strake.shell, strake.number
    thickness, left = shell.planking.thickness[number - 1], wood_left(boat, number, edge)
    lines: dict[LineName, Array] = {}
    x: dict[LineName, Array] = {}
    for name, v in _SHARES.items():
        u = np.linspace(strake.end_ruling("fore", v), strake.end_ruling("aft", v), _ALONG)
        across = np.full_like(u, v)
        lines[name] = strake.at(u, across)
        x[name] = shell.face(number, u, across, thickness / 2)[:, 0]
    ends = strake.end("fore"), strake.end("aft")
    rough = rough_end(boat.hull, strake, "fore", left.steam), rough_end(boat.hull, strake, "aft", left.steam)
    return Plank(number, thickness, lines, x, ends, rough, left)
