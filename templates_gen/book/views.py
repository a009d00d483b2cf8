"""The boat in profile, in plan and in body plan, with its strakes, to scale."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.book.picture import draw_boat, widest_mould
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Stem
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.render.pdf.book import Leaf
from templates_gen.render.pdf.content import FINE, MIDDLE, THIN, WIDE, Content, Pen
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import Numbers, Page

Array = NDArray[np.float64]
Line = tuple[Array, Pen]

SCALES = (1, 2, 2.5, 3, 4, 5, 6, 7.5, 8, 10, 12, 15, 20, 25, 30, 40, 50)
_DASHED = Pen(0.18, (4.0, 1.5))
_SAMPLES = 241
_APART = 2.6
_NAME = 2.5
_ROOM = 45.0
"""mm of height on the page of the views in which the boat is drawn once more, as it is seen."""


def scale_for(size: Array, area: Rectangle) -> float:
    """Return the largest of the usual scales, as 1 to so much, at which a size (2,) in mm fits an area."""
    needed = float(max(size[0] / area.width, size[1] / area.height))
    return next((scale for scale in SCALES if scale >= needed), float(np.ceil(needed / 10.0) * 10.0))


def view_leaves(boat: Boat, sheet: Sheet) -> list[Leaf]:
    """Return the page with profile, half plan and body plan."""
    way = sheet.page
    area = way.drawing
    views = Rectangle(area.left, area.bottom + 0.4 * area.height, area.right, area.top - 12.0)

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw profile and half plan, the body plan, and the boat in space where there is room."""
        with content.tagged("H1"):
            content.text(area.left, area.top - 5.0, "The boat", 4.0)
        with content.tagged("Figure", "The boat from the port side, and half of it from below, with all strakes"):
            low = _profile_and_plan(boat, content, views)
        with content.tagged("Figure", "Body plan: sections at the stations, after half left, fore half right"):
            high = _body_plan(boat, content, Rectangle(area.left, area.bottom, area.right, low - 8.0))
        if low - high > _ROOM:
            with content.tagged("Figure", "The boat from the port bow and from below"):
                draw_boat(boat, content, Rectangle(area.left + 30.0, high + 10.0, area.right - 30.0, low - 8.0))

    return [Leaf(Page(way, ("The boat",), draw, bookmarks=("The boat",)), "The boat")]


def seen_edges(boat: Boat) -> list[Array]:
    """Return what is seen from outside: every strake's lower outer edge but the garboard's, and the sheer, (m, 3)."""
    shell = boat.shell
    u = np.linspace(shell.u_fore, shell.u_aft, _SAMPLES)
    zero = np.zeros_like(u)
    thickness = shell.planking.thickness
    edges = [shell.face(k, u, zero, thickness[k - 1]) for k in range(2, shell.planking.strakes + 1)]
    return [*edges, shell.upper(shell.planking.strakes, u)]


def _profile_lines(boat: Boat) -> list[Line]:
    """The boat from its port side, bow to the left: (x, z)."""
    lines: list[Line] = [(edge[:, [0, 2]], MIDDLE) for edge in seen_edges(boat)[:-1]]
    lines.append((seen_edges(boat)[-1][:, [0, 2]], WIDE))
    batten = boat.shell.hung.rabbet_line.keel
    t = np.linspace(0.0, float(batten.knots[-1]), _SAMPLES)
    lines.append((batten.point(t)[:, [0, 2]], MIDDLE))
    for end, member in (("fore", boat.hull.fore), ("aft", boat.hull.aft)):
        if isinstance(member, Stem):
            rabbet = boat.shell.hung.stems[end].rabbet  # type: ignore[index]
            run = np.linspace(rabbet.foot, rabbet.head, 81)
            lines.append((rabbet.batten.point(run)[:, [0, 2]], MIDDLE))
            if member.face is not None:
                lines.append((member.face, WIDE))
        else:
            lines.append((member.profile, WIDE))
    return lines


def _plan_lines(boat: Boat) -> list[Line]:
    """Half of the boat from below: (x, y)."""
    edges = seen_edges(boat)
    lines: list[Line] = [(edge[:, :2], MIDDLE) for edge in edges[:-1]]
    lines.append((edges[-1][:, :2], WIDE))
    u = np.linspace(boat.shell.u_fore, boat.shell.u_aft, _SAMPLES)
    _, rabbet, _ = boat.shell.hung.rulings.points(boat.shell.hung.rabbet, u)
    lines.append((rabbet[:, :2], THIN))
    return lines


class _Placed:
    """Points of a view put on the page: scaled, its lower left corner at a place."""

    def __init__(self, content: Content, corner: tuple[float, float], low: Array, scale: float) -> None:
        self.content, self.corner, self.low, self.scale = content, np.array(corner), low, scale

    def at(self, points: Array) -> Array:
        """Return points on the page, mm."""
        return np.asarray((points - self.low) / self.scale + self.corner)

    def draw(self, lines: list[Line]) -> None:
        """Draw lines."""
        for points, pen in lines:
            self.content.paths([(self.at(points), False)], pen)

    def text(
        self, at: tuple[float, float], text: str, height: float = 2.2, anchor: str = "start", up: float = 0.0
    ) -> None:
        """Write at a point of the view, `up` mm higher on the page."""
        x, y = self.at(np.array(at))
        self.content.text(float(x), float(y) + up, text, height, anchor)


def _bounds(lines: list[Line]) -> tuple[Array, Array]:
    points = np.concatenate([line for line, _ in lines])
    return points.min(axis=0), points.max(axis=0)


def _profile_and_plan(boat: Boat, content: Content, area: Rectangle) -> float:
    """Draw profile and half plan down from the top of an area; return where they end, mm."""
    side, plan = _profile_lines(boat), _plan_lines(boat)
    low, high = _bounds(side)
    low[1] = min(low[1], 0.0)
    half = float(_bounds(plan)[1][1])
    room = Rectangle(area.left, area.bottom, area.right, area.top - 28.0)
    scale = scale_for(np.array([high[0] - low[0], high[1] - low[1] + half]), room)
    notation = boat.hull.notation
    sheer = seen_edges(boat)[-1]
    length, wide = float(np.ptp(sheer[:, 0])), 2.0 * float(sheer[:, 1].max())
    words = (
        f"Profile and half plan, 1 : {scale:g}. Sheer {notation.spoken_length(length)} long, "
        f"{notation.spoken_length(wide)} wide inside the planking; {boat.hull.planking.strakes} strakes a side."
    )
    content.text(area.left, area.top - 2.5, words, 2.5)
    base = area.top - 11.0 - float(high[1] - low[1]) / scale
    view = _Placed(content, (area.left, base), low, scale)
    view.draw(side)
    _stations(boat, view, float(low[1]), float(high[1]))
    view.draw([(np.array([[low[0], 0.0], [high[0], 0.0]]), FINE)])
    view.text((float(high[0]), 0.0), "base line", anchor="end", up=1.0)
    if boat.hull.waterline is not None:
        level = boat.hull.waterline
        view.draw([(np.array([[low[0], level], [high[0], level]]), _DASHED)])
    _number_strakes(boat, view, [0, 2])
    bottom = base - 8.0 - half / scale
    below = _Placed(content, (area.left, bottom), np.array([low[0], 0.0]), scale)
    below.draw(plan)
    below.draw([(np.array([[low[0], 0.0], [high[0], 0.0]]), _DASHED)])
    below.draw([(np.array([[one.at, 0.0], [one.at, half]]), FINE) for one in boat.hull.stations])
    _number_strakes(boat, below, [0, 1])
    return bottom


def _stations(boat: Boat, view: _Placed, low: float, high: float) -> None:
    """Station lines with their names and distances."""
    for station in boat.hull.stations:
        view.draw([(np.array([[station.at, low], [station.at, high]]), FINE)])
        name = f"{station.name}: {boat.hull.notation.along(station.at)}"
        view.text((station.at, high), name, 2.2, "middle", up=1.5)


def _number_strakes(boat: Boat, view: _Placed, axes: list[int]) -> None:
    """The strakes' numbers, half-way between two stations amidships, where they stand clear of each other."""
    stations = boat.hull.stations
    middle = len(stations) // 2
    u = np.array([(stations[middle - 1].at + stations[middle].at) / 2])
    last = -np.inf
    for k in range(1, boat.hull.planking.strakes + 1):
        x, y = boat.shell.face(k, u, np.array([0.55]))[0][axes]
        if (y - last) / view.scale >= _APART:
            view.text((float(x), float(y)), str(k), 1.8, "middle", up=-0.9)
            last = y


def _body_plan(boat: Boat, content: Content, area: Rectangle) -> float:
    """Draw the body plan at the foot of an area; return how high it reaches, mm."""
    widest = widest_mould(boat)
    lines, ends = _body_lines(boat, widest)
    low, high = _bounds(lines)
    low[1] = min(float(low[1]), 0.0)
    room = Rectangle(area.left, area.bottom, area.right - 10.0, area.top - 18.0)
    scale = scale_for(high - low, room)
    top = area.bottom + 14.0 + float(high[1] - low[1]) / scale
    content.text(area.left, top, f"Body plan, 1 : {scale:g}; after half left, fore half right", 2.5)
    corner = (area.left + (area.width - float(high[0] - low[0]) / scale) / 2, area.bottom + 2.0)
    view = _Placed(content, corner, low, scale)
    view.draw(lines)
    view.draw([(np.array([[0.0, low[1]], [0.0, high[1]]]), _DASHED)])
    view.draw([(np.array([[low[0], 0.0], [high[0], 0.0]]), FINE)])
    if boat.hull.waterline is not None:
        level = boat.hull.waterline
        view.draw([(np.array([[low[0], level], [high[0], level]]), _DASHED)])
    _name_ends(view, ends)
    _number_flats(boat, view, widest)
    return top


def _body_lines(boat: Boat, widest: int) -> tuple[list[Line], list[tuple[Array, str]]]:
    """The planks in section at every station, the transoms, and what each is called at its sheer."""
    lines: list[Line] = []
    ends: list[tuple[Array, str]] = []
    for i, shape in enumerate(boat.moulds):
        for sign in _sides(i, widest):
            mirror = np.array([sign, 1.0])
            for plank in boat.plank_sections[shape.station.name]:
                closed = np.vstack([plank.outline, plank.outline[:1]])
                lines.append((closed * mirror, THIN))
            name = f"{'mould' if shape.station.mould else 'station'} {shape.station.name}"
            ends.append((shape.land_marks[-1] * mirror, name))
    for transom in boat.transoms:
        face = boat.shell.hung.faces[transom.end]
        sign = 1.0 if transom.end == "fore" else -1.0
        outline = face.point(transom.face_outer)[:, 1:] * np.array([sign, 1.0])
        lines.append((outline, _DASHED))
        ends.append((outline[-1], f"{transom.end} transom"))
    return lines, ends


def _name_ends(view: _Placed, ends: Sequence[tuple[Array, str]]) -> None:
    """The moulds' names over their sheer; one that would run into another stands above it."""
    taken: list[tuple[float, float, float]] = []
    for point, name in sorted(ends, key=lambda end: float(end[0][1])):
        x = float(view.at(point)[0])
        wide = text_width(name, _NAME)
        left = x - wide / 2
        heads = (view.at(head) for head, _ in ends)
        y = max(float(head[1]) for head in heads if left - 1.0 < head[0] < left + wide + 1.0) + 1.5
        while any(
            left < right + 1.0 and begin < left + wide + 1.0 and abs(y - at) < 1.4 * _NAME
            for begin, right, at in taken
        ):
            y += 0.2
        taken.append((left, left + wide, y))
        view.content.text(x, y, name, _NAME, "middle")


def _sides(index: int, widest: int) -> tuple[float, ...]:
    """On which sides of the body plan a station is drawn: the widest on both."""
    if index == widest:
        return (1.0, -1.0)
    return (1.0,) if index < widest else (-1.0,)


def _number_flats(boat: Boat, view: _Placed, widest: int) -> None:
    """The strakes' numbers outside the widest section."""
    shape = boat.moulds[widest]
    corners = np.vstack([shape.outline[:1], shape.land_marks])
    across = np.diff(corners, axis=0)
    outward = np.stack([across[:, 1], -across[:, 0]], axis=1) / np.linalg.norm(across, axis=1)[:, None]
    middles = (corners[1:] + corners[:-1]) / 2 + outward * 4.5 * view.scale
    for k, point in enumerate(middles, start=1):
        view.text((float(point[0]), float(point[1])), str(k), 2.5, "middle", up=-1.2)
