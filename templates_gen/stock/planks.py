"""A strake laid flat as it is cut from stock: its edges, and where along the boat each point of them comes."""

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.flat_strakes import FlatStrake

Array = NDArray[np.float64]
LineName = Literal["lower", "middle", "upper"]

_SHARES: dict[LineName, float] = {"lower": 0.0, "middle": 0.5, "upper": 1.0}
_ALONG = 301
_ROUNDS = 14


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
    """

    number: int
    thickness: float
    lines: dict[LineName, Array]
    x: dict[LineName, Array]
    ends: tuple[Array, Array]

    @cached_property
    def run(self) -> Array:
        """Running length of the middle line at each of its points, shape (m,), from 0."""
        steps = np.linalg.norm(np.diff(self.lines["middle"], axis=0), axis=1)
        return np.concatenate([[0.0], np.cumsum(steps)])

    @property
    def length(self) -> float:
        """Length of the middle line, mm."""
        return float(self.run[-1])

    def place(self, run: float) -> tuple[Array, Array]:
        """Return the point of the middle line at a running length, and its unit tangent pointing aft."""
        middle = self.lines["middle"]
        run = min(max(run, 0.0), self.length)
        point = np.array([np.interp(run, self.run, middle[:, axis]) for axis in (0, 1)])
        near = [
            np.array([np.interp(run + step, self.run, middle[:, axis]) for axis in (0, 1)]) for step in (-20.0, 20.0)
        ]
        way = near[1] - near[0]
        return point, way / np.linalg.norm(way)

    def x_at(self, run: Array | float) -> Array:
        """Return where along the boat running lengths of the middle line come, mm."""
        return np.asarray(np.interp(run, self.run, self.x["middle"]))

    def run_at(self, x: Array | float) -> Array:
        """Return the running length of the middle line at places along the boat."""
        return np.asarray(np.interp(x, self.x["middle"], self.run))

    def cut(self, run: float, beyond: float) -> tuple[Array, Array]:
        """Return a point of a straight cut, `beyond` mm abaft the one square across at `run`, and the way aft.

        Cuts about one place are parallel, so that a scarf is as long at one edge as at the other.
        """
        point, way = self.place(run)
        return point + beyond * way, way

    def x_where(self, line: LineName, run: float, beyond: float) -> float:
        """Return where along the boat a cut comes at one of the plank's edges."""
        point, way = self.cut(run, beyond)
        return float(np.interp(0.0, (self.lines[line] - point) @ way, self.x[line]))

    def reach(self, first: float, last: float) -> float:
        """Return how long a sheet must be for the part between two running lengths, laid with its ends level, mm."""
        (start, start_way), (stop, stop_way) = self.place(first), self.place(last)
        way = (stop - start) / np.linalg.norm(stop - start)
        points = []
        for edge in (self.lines["lower"], self.lines["upper"]):
            points.append(edge[((edge - start) @ start_way >= 0.0) & ((edge - stop) @ stop_way <= 0.0)])
            for point, square in ((start, start_way), (stop, stop_way)):
                off = (edge - point) @ square
                points.append(np.array([[np.interp(0.0, off, edge[:, axis]) for axis in (0, 1)]]))
        points += [self.ends[0]] if first <= 0.0 else []
        points += [self.ends[1]] if last >= self.length else []
        return float(np.ptp(np.concatenate(points) @ way))

    def furthest(self, first: float, longest: float) -> float:
        """Return the greatest running length to which a part that begins at `first` may go: it is `longest` then."""
        if self.reach(first, self.length) <= longest:
            return self.length
        low, high = first + min(1.0, longest / 2), self.length
        low, high = max(low, first + longest * 0.9), min(high, first + longest * 1.1)
        for _ in range(_ROUNDS):
            middle = (low + high) / 2
            low, high = (middle, high) if self.reach(first, middle) <= longest else (low, middle)
        return low

    def nearest_start(self, last: float, longest: float) -> float:
        """Return the least running length at which a part that goes to `last` may begin."""
        if self.reach(0.0, last) <= longest:
            return 0.0
        low, high = max(0.0, last - longest * 1.1), last - longest * 0.9
        for _ in range(_ROUNDS):
            middle = (low + high) / 2
            low, high = (low, middle) if self.reach(middle, last) <= longest else (middle, high)
        return high


def plank_of(strake: FlatStrake) -> Plank:
    """Return a flat strake as it is cut from stock."""
    shell, number = strake.shell, strake.number
    thickness = shell.planking.thickness[number - 1]
    lines: dict[LineName, Array] = {}
    x: dict[LineName, Array] = {}
    for name, v in _SHARES.items():
        u = np.linspace(strake.end_ruling("fore", v), strake.end_ruling("aft", v), _ALONG)
        across = np.full_like(u, v)
        lines[name] = strake.at(u, across)
        x[name] = shell.face(number, u, across, thickness / 2)[:, 0]
    return Plank(number, thickness, lines, x, (strake.end("fore"), strake.end("aft")))
