"""A land in section, square to its edge: how it is planed, with the gauge in place, and how the next strake lies."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.book.picture import PICKED
from templates_gen.geometry.boat import Boat
from templates_gen.paper.sheet import Rectangle
from templates_gen.render.pdf.content import FINE, MIDDLE, Content, Pen
from templates_gen.templates.bevels.card import legs
from templates_gen.templates.bevels.facts import LandFacts, land_facts
from templates_gen.templates.bevels.gauges import set_gauge
from templates_gen.templates.cards import ALIKE
from templates_gen.units import format_angle
from templates_gen.words import on_sheet

Array = NDArray[np.float64]

_GAUGE = Pen(0.35)
_BODY = 11.0
_LEGS = (20.0, 14.0)
_SHOWN = (0.9, 1.0)
"""How much of the lower and of the upper strake is shown beyond the land, in laps."""

_SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0)
_HATCHES = 6


@dataclass(frozen=True)
class LandSection:
    """A land at one place, in the plane square to its edge: x out from the lower strake's inner face, y up it, mm.

    Attributes
    ----------
    land, place : int, str
    bevel : float
        Radians, negative in a hollow.
    lower, lower_planed, upper : Array
        Outlines of the lower strake before and after planing, and of the upper one.
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
    lower_planed: Array
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


def land_section(boat: Boat, land: int) -> LandSection:
    """Return a land in section at its greatest bevel outside the geralds."""
    facts = land_facts(boat.shell, land)
    i = steepest(facts)
    at = boat.shell.lapping(land, np.array([facts.places[i].u]))
    planking = boat.shell.planking
    lap, (thick, upper_thick) = planking.lap_on(land), planking.thickness[land - 1 : land + 1]
    stand_off, slope = float(at.stand_off[0]), float(at.slope[0])
    low, high = -_SHOWN[0] * lap - lap, _SHOWN[1] * lap
    is_hollow = bool(facts.is_hollow[i])
    touch = (thick, -lap) if not is_hollow else (thick, 0.0)
    lower = np.array([[0.0, low], [thick, low], [thick, 0.0], [0.0, 0.0]])
    edge = min(stand_off, thick)
    planed = np.array([[0.0, low], [thick, low], [thick, -lap], [edge, 0.0], [0.0, 0.0]])
    along = np.array([-slope, 1.0]) / np.hypot(slope, 1.0)
    outward = np.array([along[1], -along[0]])
    foot, head = (np.array([stand_off - slope * y, y]) for y in (-lap, high))
    upper = np.array([foot, head, head + outward * upper_thick, foot + outward * upper_thick])
    if is_hollow:
        corner = np.array([stand_off, 0.0])
        off = np.array([corner, [thick, -lap], foot])
        gauge = _in_place(float(facts.bevel[i]), corner, along, -outward)
        upper = np.array([head, corner, [thick, -lap], foot + outward * upper_thick, head + outward * upper_thick])
        planed = lower
    else:
        off = np.array([[thick, -lap], [thick, 0.0], [edge, 0.0]])
        gauge = _in_place(float(facts.bevel[i]), np.array(touch), np.array([0.0, -1.0]), np.array([1.0, 0.0]))
    name = set_gauge(float(facts.bevel[i]))
    words = "a straightedge" if facts.is_straight(i) or name is None else f"gauge {name} of the set"
    return LandSection(
        land,
        on_sheet(facts.places[i].place),
        float(facts.bevel[i]),
        lower,
        planed,
        upper,
        off,
        gauge,
        float(facts.off[i]),
        float(facts.edge_left[i]),
        words,
    )


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
    first = [section.upper if is_hollow else section.lower_planed, section.gauge, section.planed_off]
    second = [section.lower_planed, section.upper]
    top = _words(boat, content, area, section)
    caption = 6.0
    gap = 4.0
    sizes = [np.ptp(np.concatenate(view), axis=0) for view in (first, second)]
    room = np.array([area.width - gap, top - area.bottom - caption])
    needed = max(float(sizes[0][0] + sizes[1][0]) / room[0], max(float(size[1]) for size in sizes) / room[1])
    scale = next((one for one in _SCALES if one >= needed), needed)
    left = area.left
    texts = (f"plane strake {planed}, {'inside' if is_hollow else 'outside'}", f"strake {section.land + 1} in place")
    for view, text in zip((first, second), texts, strict=True):
        low = np.concatenate(view).min(axis=0)
        shift = np.array([left, area.bottom + caption]) - low / scale
        _draw_view(content, view, scale, shift, view is first, is_above, is_hollow)
        content.text(left, area.bottom + 1.0, text, 2.0)
        left += (area.width + gap) / 2
    content.text(area.right, top - 1.0, f"1 : {scale:g}", 2.0, "end")


def _draw_view(
    content: Content, view: list[Array], scale: float, shift: Array, has_gauge: bool, is_above: bool, is_hollow: bool
) -> None:
    """One of the two views: strakes, and in the first the gauge and the wood that comes off."""
    at = [points / scale + shift for points in view]
    if has_gauge:
        if is_above != is_hollow:
            content.fill(at[0], PICKED)
        content.paths([(at[0], True)], MIDDLE)
        _hatch(content, at[2])
        content.paths([(at[1], True)], _GAUGE)
        x, y = at[1].mean(axis=0).tolist()
        content.text(x + 2.2, y, "gauge", 1.8, "middle", np.pi / 2)
        return
    content.fill(at[0 if is_above else 1], PICKED)
    content.paths([(points, True) for points in at], MIDDLE)


def _hatch(content: Content, corners: Array) -> None:
    """Strokes across the triangle of wood that comes off, and its outline."""
    content.paths([(corners, True)], FINE)
    share = np.linspace(0.0, 1.0, _HATCHES + 2)[1:-1, None]
    one, other = corners[0] + share * (corners[1] - corners[0]), corners[0] + share * (corners[2] - corners[0])
    content.segments([(a, b, c, d) for a, b, c, d in np.hstack([one, other]).tolist()], FINE)


def _words(boat: Boat, content: Content, area: Rectangle, section: LandSection) -> float:
    """Title and figures of a land; return where the drawing may begin below them, mm."""
    notation = boat.hull.notation
    off, left = notation.spoken_depth(section.off), notation.spoken_depth(section.left)
    lap = notation.spoken_length(boat.shell.planking.lap_on(section.land))
    lines = (
        (f"Land {section.land} at {section.place}, its greatest bevel", 2.2),
        (f"{format_angle(section.bevel)}: {section.gauge_name}; lap {lap}", 2.0),
        (f"off {off} at the edge, left {left}", 2.0),
    )
    for number, (text, height) in enumerate(lines):
        content.text(area.left, area.top - 2.5 - 3.8 * number, text, height)
    return area.top - 12.0
