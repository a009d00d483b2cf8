"""The places where lands are marked, each as a curve in space up which a mark is moved by its girth."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from templates_gen.about import EndName
from templates_gen.geometry.rabbet_line import RabbetLine
from templates_gen.geometry.sections import even_shares, flat_length, station_section, transom_section
from templates_gen.hull.model import Hull, Stem
from templates_gen.numerics.directions import unit

Array = NDArray[np.float64]

_PIECES = 64
_ROOM, _MORE_ROOM = 0.7, 0.2


@dataclass(frozen=True)
class Places:
    """Both ends and the stations between them, fore to aft; p places in all.

    A mark is given by its girth: at a station or a transom from the rabbet, on a stem along the rabbet line from
    its foot, mm.

    Attributes
    ----------
    names : tuple of str
        "fore", the stations' names, "aft".
    girth : Array, shape (p,)
        That of the sheer.
    start : Array, shape (p,)
        From where on the widths shown are shared out: 0, but on a stem from where it stands at 45 degrees.
    is_stem, is_cornered : NDArray of bool, shape (p,)
    rabbet, rabbet_tangent : Array, shape (p, 3)
        The rabbet line's point at girth 0, and the keel's unit tangent there, pointing aft.
    nodes, slopes : Array, shape (p, pieces + 1, 3)
        Points at even steps of girth, and the derivatives there by the number of steps.
    """

    names: tuple[str, ...]
    girth: Array
    start: Array
    is_stem: NDArray[np.bool_]
    is_cornered: NDArray[np.bool_]
    rabbet: Array
    rabbet_tangent: Array
    nodes: Array
    slopes: Array

    def points(self, girths: Array) -> tuple[Array, Array]:
        """Return points and their derivatives by girth, both (..., p, 3), at girths (..., p)."""
        step = self.girth / _PIECES
        along = girths / step
        piece = np.clip(np.floor(along).astype(np.intp), 0, _PIECES - 1)
        share = (along - piece)[..., None]
        place = np.arange(len(self.girth))
        first, last = self.nodes[place, piece], self.nodes[place, piece + 1]
        leaving, arriving = self.slopes[place, piece], self.slopes[place, piece + 1]
        square = 3.0 * (last - first) - 2.0 * leaving - arriving
        cube = 2.0 * (first - last) + leaving + arriving
        points = first + share * (leaving + share * (square + share * cube))
        return points, (leaving + share * (2.0 * square + 3.0 * share * cube)) / step[:, None]


def places_of(hull: Hull, line: RabbetLine, chosen: NDArray[np.intp]) -> Places:
    """Return both ends and the chosen stations (indices, growing) as places."""
    kinds = ["fore", *chosen.tolist(), "aft"]
    curves = [_curve(hull, line, kind) for kind in kinds]
    girth = np.array([length for length, _ in curves])
    shares = np.linspace(0.0, 1.0, _PIECES + 1)
    nodes = np.stack([curve(shares * length) for length, curve in curves])
    slopes = np.asarray(CubicSpline(shares, nodes, axis=1)(shares, 1)) / _PIECES
    stems = [line.fore, *[None] * len(chosen), line.aft]
    keel = line.keel
    knots = keel.knots[np.argmin(np.abs(keel.marks[:, 0] - nodes[:, :1, 0]), axis=1)]
    return Places(
        ("fore", *(hull.stations[i].name for i in chosen), "aft"),
        girth,
        np.array([0.0 if stem is None else flat_length(stem) for stem in stems]),
        np.array([stem is not None for stem in stems]),
        np.array([stem is not None and stem.cornered for stem in stems]),
        nodes[:, 0],
        unit(keel.slope(knots)),
        nodes,
        slopes,
    )


def _curve(hull: Hull, line: RabbetLine, place: str | int) -> tuple[float, Callable[[Array], Array]]:
    """The girth of the sheer at a place, and what gives the points at girths."""
    if isinstance(place, int):
        section, at = station_section(hull, place), hull.stations[place].at
        return section.girth, lambda g: np.column_stack([np.full(len(g), at), section.point(g)])
    end: EndName = "fore" if place == "fore" else "aft"
    if isinstance(hull.end(end), Stem):
        stem = line.stem(end)
        assert stem is not None
        return float(stem.distance_from_foot(stem.head)), lambda g: stem.batten.point(stem.at_distance(g))
    on_bench, face = transom_section(hull, end)
    return on_bench.girth, lambda g: face.point(on_bench.point(g))


def even_marks(places: Places, hull: Hull) -> Array:
    """Return the girths that show strakes alike at every place, shape (N, p); the last row is the sheer.

    A mark stands a lap above the edge that shows, but never above the sheer: where a lap comes near to what the
    sheer strake shows there, marks stand less and less above.
    """
    shares = even_shares(hull)
    strip = hull.lands.rubbing_strip
    shown = (places.girth - places.start - strip)[None] * np.cumsum(shares / shares.sum())[:, None]
    marks = places.start + shown
    marks[-1] = places.girth
    if len(marks) > 1:
        marks[:-1] += _lap_with_room(hull.planking.lap, places.girth - marks[-2])
    return np.asarray(marks)


def _lap_with_room(lap: float, room: Array) -> Array:
    """A lap, eased so that it stays less than the room that there is for it."""
    over = np.maximum(lap / room - _ROOM, 0.0) / _MORE_ROOM
    return np.asarray(np.minimum(lap, _ROOM * room) + _MORE_ROOM * room * np.tanh(over))
