"""A land in section, square to its edge: how it is planed, with the gauge in place, and how the next strake lies."""

from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from templates_gen.book.picture import PICKED
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import written_bevel
from templates_gen.paper.sheet import Rectangle
from templates_gen.render.pdf.content import FINE, MIDDLE, Content, Pen
from templates_gen.templates.bevels.card import legs
from templates_gen.templates.bevels.facts import LandFacts, land_facts
from templates_gen.templates.bevels.gauges import set_gauge
from templates_gen.templates.cards import ALIKE
from templates_gen.words import on_sheet

Array = NDArray[np.float64]

_GAUGE = Pen(0.35)
_BODY = 11.0
_LEGS = (20.0, 14.0)
_SHOWN = (0.9, 1.0)
"""How much of the lower and of the upper strake is shown beyond the land, in laps."""

_SCALES = (1.5, 2.0, 2.5, 3.0, 4.0, 5.0)
"""As 1 to so much: never full size, because nothing in the book is."""
_HATCHES = 6


@dataclass(frozen=True)
class LandSection:
    """A land at one place, in the plane square to its edge: x out from the lower strake's inner face, y up it, mm.

    Attributes
    ----------
    land, place : int, str
    bevel : float
        Radians, negative in a hollow.
    lower, upper : Array
        Outlines of the strakes as they lie finished.
    planed_off : Array
        Outline of the wood that comes off, of the lower strake, or in a hollow of the upper one.
    gauge : Array
        Outline of the gauge in place.
    off, left : float
        At the edge, mm.
    gauge_name : str
        Of the general set's corner; "straightedge" where the bevel is small.
    """

    land: int
    place: str
    bevel: float
    lower: Array
    upper: Array
    planed_off: Array
    gauge: Array
    off: float
    left: float
    gauge_name: str


def steepest(facts: LandFacts) -> int:
    """Return the index of the place with the greatest bevel outside the geralds, or anywhere if all lie in them."""
    size = np.abs(facts.bevel).round(ALIKE)
    outside = np.where(facts.is_in_gerald, -1.0, size)
    return int(np.argmax(outside if (outside >= 0.0).any() else size))


@dataclass(frozen=True)
class _Cut:
    """The two strakes of a land in the plane square to its edge, before any planing of a bevel.

    Attributes
    ----------
    lap, thick, upper_thick : float
        mm.
    stand_off : float
        Of the upper strake's inner face over the lower one's upper corner, mm.
    along : Array, shape (2,)
        Up the upper strake's inner face.
    outward : Array, shape (2,)
        Square to it.
    """

    lap: float
    thick: float
    upper_thick: float
    stand_off: float
    along: Array
    outward: Array

    def inner(self, height: float) -> Array:
        """Return the point of the upper strake's inner face at a height, (2,)."""
        return np.array([self.stand_off + self.along[0] / self.along[1] * height, height])

    @property
    def lower(self) -> Array:
        """Return the lower strake's outline, (4, 2)."""
        low = -(1.0 + _SHOWN[0]) * self.lap
        return np.array([[0.0, low], [self.thick, low], [self.thick, 0.0], [0.0, 0.0]])

    @property
    def upper(self) -> Array:
        """Return the upper strake's outline from its lower edge, one lap down, (4, 2)."""
        foot, head, through = self.inner(-self.lap), self.inner(_SHOWN[1] * self.lap), self.outward * self.upper_thick
        return np.array([foot, head, head + through, foot + through])


def land_section(boat: Boat, land: int) -> LandSection:
    """Return a land in section at its greatest bevel outside the geralds."""
    facts = land_facts(boat.shell, land)
    i = steepest(facts)
    at = boat.shell.lapping(land, np.array([facts.places[i].u]))
    planking, slope, bevel = boat.shell.planking, float(at.slope[0]), float(facts.bevel[i])
    along = np.array([-slope, 1.0]) / np.hypot(slope, 1.0)
    thick, upper_thick = planking.thickness[land - 1 : land + 1]
    stand_off, outward = float(at.stand_off[0]), np.array([along[1], -along[0]])
    cut = _Cut(planking.lap_on(land), thick, upper_thick, stand_off, along, outward)
    shapes = _hollow(cut, bevel) if facts.is_hollow[i] else _convex(cut, bevel)
    name = set_gauge(bevel)
    words = "a straightedge" if facts.is_straight(i) or name is None else f"gauge {name} of the set"
    place, off, left = on_sheet(facts.places[i].place), float(facts.off[i]), float(facts.edge_left[i])
    return LandSection(land, place, bevel, *shapes, off, left, words)


def _convex(cut: _Cut, bevel: float) -> tuple[Array, Array, Array, Array]:
    """The lower strake planed, the upper one, what comes off at the lower one's edge, and the gauge outside it."""
    lap_line, edge = np.array([cut.thick, -cut.lap]), np.array([min(cut.stand_off, cut.thick), 0.0])
    planed = np.array([*cut.lower[:2], lap_line, edge, [0.0, 0.0]])
    off = np.array([lap_line, [cut.thick, 0.0], edge])
    return planed, cut.upper, off, _in_place(bevel, lap_line, np.array([0.0, -1.0]), np.array([1.0, 0.0]))


def _hollow(cut: _Cut, bevel: float) -> tuple[Array, Array, Array, Array]:
    """The lower strake, the upper one planed, what comes off at its lower edge, and the gauge inside it."""
    nick, lap_line = cut.inner(0.0), np.array([cut.thick, -cut.lap])
    foot, head, head_out, foot_out = cut.upper
    upper = np.array([head, nick, lap_line, foot_out, head_out])
    return cut.lower, upper, np.array([nick, lap_line, foot]), _in_place(bevel, nick, cut.along, -cut.outward)


def _in_place(bevel: float, nick: Array, long_leg: Array, body: Array) -> Array:
    """The gauge's outline with its nick at a place; unit vectors say where its long leg and its body point."""
    edge = legs(abs(bevel), *_LEGS)
    around = np.vstack([edge, [edge[-1, 0], _BODY], [-_LEGS[0], _BODY]])
    return np.asarray(nick - np.outer(around[:, 0], long_leg) + np.outer(around[:, 1], body))


def draw_land(boat: Boat, content: Content, area: Rectangle, section: LandSection, is_above: bool) -> None:
    """Draw a land into an area, mm: planed with the gauge in place, and with the next strake on it.

    `is_above` says whether the lower strake is the one that the page is about; it is coloured, else the upper one.
    """
    is_hollow = section.bevel < 0.0
    planed = section.land + 1 if is_hollow else section.land
    first = [section.upper if is_hollow else section.lower, section.gauge, section.planed_off]
    second = [section.lower, section.upper]
    top = _words(boat, content, area, section)
    caption = 6.0
    gap = 4.0
    sizes = [np.ptp(np.concatenate(view), axis=0) for view in (first, second)]
    room = np.array([area.width - gap, top - area.bottom - caption])
    needed = max(float(sizes[0][0] + sizes[1][0]) / room[0], max(float(size[1]) for size in sizes) / room[1])
    scale = next((one for one in _SCALES if one >= needed), float(np.ceil(needed)))
    left = area.left
    texts = (
        f"plane strake {planed}, {'inside' if is_hollow else 'outside'}",
        f"strake {section.land + 1} laid over it",
    )
    for view, text in zip((first, second), texts, strict=True):
        low = np.concatenate(view).min(axis=0)
        shift = np.array([left, area.bottom + caption]) - low / scale
        at = [points / scale + shift for points in view]
        if view is first:
            _draw_gauge(content, at, is_picked=is_above != is_hollow)
        else:
            content.fill(at[0 if is_above else 1], PICKED)
            content.paths([(points, True) for points in at], MIDDLE)
        content.text(left, area.bottom + 1.0, text, 2.0)
        left += (area.width + gap) / 2
    share = Fraction(scale)
    content.text(area.right, top - 1.0, f"{share.denominator} : {share.numerator}", 2.0, "end")


def _draw_gauge(content: Content, at: list[Array], is_picked: bool) -> None:
    """The strake that is planed, the gauge on it, and the wood that comes off."""
    if is_picked:
        content.fill(at[0], PICKED)
    content.paths([(at[0], True)], MIDDLE)
    _hatch(content, at[2])
    content.paths([(at[1], True)], _GAUGE)
    x, y = at[1].mean(axis=0).tolist()
    content.text(x + 2.2, y, "gauge", 1.8, "middle", np.pi / 2)


def _hatch(content: Content, corners: Array) -> None:
    """Strokes across the triangle of wood that comes off, and its outline."""
    content.paths([(corners, True)], FINE)
    share = np.linspace(0.0, 1.0, _HATCHES + 2)[1:-1, None]
    one, other = corners[0] + share * (corners[1] - corners[0]), corners[0] + share * (corners[2] - corners[0])
    content.segments([(a, b, c, d) for a, b, c, d in np.hstack([one, other]).tolist()], FINE)


def _words(boat: Boat, content: Content, area: Rectangle, section: LandSection) -> float:
    """Title and figures of a land; return where the drawing may begin below them, mm."""
    notation = boat.hull.notation
    off = notation.spoken_depth(section.off)
    left = notation.spoken_depth(notation.rest(section.off + section.left, section.off))
    lap = notation.spoken_length(boat.shell.planking.lap_on(section.land))
    lines = (
        (f"Land {section.land} at {section.place}, the greatest bevel of its table", 2.2),
        (f"{written_bevel(section.bevel)}: {section.gauge_name}; lap {lap}", 2.0),
        (f"off {off} at the edge, left {left}", 2.0),
    )
    for number, (text, height) in enumerate(lines):
        content.text(area.left, area.top - 2.5 - 3.8 * number, text, height)
    return area.top - 12.0
