"""Gauges of a stem or sternpost: dummy plank ends for a rebate, or an L for a stem that is bevelled."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.drawing.marks import hanging_hole, line
from templates_gen.drawing.piece import Hole, Label, Path, Piece, PrintSet, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebate_places import apron_step, seat_with_apron, stem_gauge_places, stem_of
from templates_gen.geometry.rebates import bevelled_section, rebate_section
from templates_gen.hull.model import Stem
from templates_gen.notation import Notation
from templates_gen.templates.rebates.cards import (
    BODY,
    FINGER,
    PAST_SEAT,
    TOP_ROW,
    Row,
    SharedCard,
    body_for,
    card_about,
    card_name,
    direction,
    dummy_plank_outline,
    ell_outline,
    engraved_rows,
    fitted,
    held_at,
    marked,
    name_rows,
    place_rows,
    plank_length,
    rows_of_text,
    rows_that_fit,
    shared_cards,
)
from templates_gen.units import format_angle
from templates_gen.words import gauge_in_print, piece_name

Array = NDArray[np.float64]

MEMBER: dict[EndName, str] = {"fore": "Stem", "aft": "Sternpost"}

STOCK = 60.0
"""Length of the stock across the fore face of a bevelled stem, mm (common practice)."""

TURN_OVER: Row = ("both sides: turn over", "turn over: 2 sides", "turn over")
"""What is written on every card that serves both sides of the boat."""

_LEAST_BLADE = 40.0
_PAST_BEVEL = 25.0
_STEEP = np.radians(45.0)
_THICK_ENOUGH = 5.5

_REBATE_NOTES = (
    "Hold the card with its flat along its short line on the stem, square to the rabbet line, the finger hard on the "
    "side. Turn it over for the other side.",
    "The finger is the depth stop. The rebate is right when all three edges touch: finger, plank end, seat.",
    "Chop a notch to the card at each line, then fair from notch to notch with chisel and rabbet plane. "
    "Fair the seat through from strake to strake; leave no steps.",
    "Then try an offcut of the real stock: its end tight, its outer face at the rabbet line, its far end pointing at "
    "the next mould's mark. Where card and offcut differ, trust the offcut.",
)
_BEVEL_NOTES = (
    "Hold the stock square across the fore face on the gauge's short line, the blade down the bevel. "
    "Turn it over for the other side.",
    "Plane from the corner of the fore face until no light shows under the blade; fair from line to line.",
    "Let the planks run past and trim them flush with the fore face; the false stem covers their ends.",
)


def apron_words(notation: Notation, stem: Stem) -> tuple[str, ...]:
    """Return how an apron wider than the stem goes on with its seat or bevel; nothing without one."""
    if stem.apron is None:
        return ()
    line, face = ("bevel's edge", "bevel") if stem.joint == "bevel" else ("bearding line", "seat")
    return (
        f"Behind the {line} is the apron, {notation.spoken_length(stem.apron)} wide. Bevel it on in one plane with "
        f"the {face}: the planks' ends bear on both.",
    )


def stem_gauges(boat: Boat, end: EndName, to_print: PrintSet = "full") -> tuple[Piece, ...]:
    """Return the gauges of the stem at one end, from the foot up; those within half a degree share a card."""
    is_bevelled = stem_of(boat.shell, end).joint == "bevel"
    draw = _bevel_gauge if is_bevelled else _rebate_gauge
    return tuple(draw(boat, end, card) for card in stem_cards(boat, end, to_print))


def stem_cards(boat: Boat, end: EndName, to_print: PrintSet = "full") -> tuple[SharedCard, ...]:
    """Return what each gauge of the stem at one end serves, from the foot up."""
    places = stem_gauge_places(boat.shell, end, boat.rebates)
    return shared_cards(boat, places, [place.rebate.angle for place in places], to_print)


def figures(boat: Boat, card: SharedCard, more: str = "") -> tuple[Row, ...]:
    """Return angle and depth, seat and end cut, and bearding line of a rebate's card, in their wordings.

    `more`: what the plank's end bears on besides the seat, as the card names it.
    """
    notation, angle = boat.hull.notation, format_angle(card.angle)
    depth, _, bearding, seat = rebate_section(card.angle, card.thickness)
    seat_text, end_text = notation.length(seat), notation.length(card.thickness)
    return (
        (f"{angle}, depth {notation.depths_of(depth)}", f"{angle}"),
        (f"seat {seat_text}{more}, end {end_text}", f"seat {seat_text}{more}", f"seat {seat_text}"),
        (f"bearding {notation.length(bearding)}",),
    )


def _rebate_gauge(boat: Boat, end: EndName, card: SharedCard) -> Piece:
    member, side, stem = MEMBER[end], "FORWARD" if end == "fore" else "AFT", stem_of(boat.shell, end)
    name, room = card_name(boat, card), min(row_rooms(card, 1))
    where = "; ".join(held_at(boat, place) for place in card.places)
    seat = rebate_section(card.angle, card.thickness)[3]
    seat = seat_with_apron(card.angle, seat, apron_step(stem))
    is_shallow = seat < 2.0 * card.thickness
    rows: list[Row] = [
        *name_rows(boat, card, member, room),
        *place_rows(boat, card, room),
        *figures(boat, card, " and apron" if stem.apron is not None else ""),
        TURN_OVER,
    ]
    outline, labels, hole = plank_card(
        boat, rows, card, f"finger: {'FORE' if end == 'fore' else 'AFT'}", "needs an apron" if is_shallow else "plank"
    )
    title = (
        f"{member} {name}: rebate gauge {format_angle(card.angle)}",
        f"{where}, square to the rabbet, finger {side} of it",
    )
    about = card_about(card)
    return Piece(
        piece_name(about, boat.hull.units),
        "rebates",
        title,
        (Path(outline, Role.CUT, closed=True), outer_face_line(card)),
        (hole,),
        labels,
        (*_REBATE_NOTES, f"Keep the depth of a rebate within {boat.hull.notation.tolerance(0.3)}."),
        about=about,
        engraved=engraved_rows(boat, card),
        called=gauge_in_print(about, boat.hull.units),
    )


def plank_card(
    boat: Boat, rows: list[Row], card: SharedCard, finger: str, word: str, beyond: float = PAST_SEAT
) -> tuple[Array, tuple[Label, ...], Hole]:
    """Return a dummy plank end wide enough for its rows: outline, lettering with the boat's mark, and the hole."""
    rows = marked_rows(boat, rows, card)
    body = body_for(len(rows), card.angle)
    labels, hole = plank_card_text(boat, rows, card, finger, body, beyond)
    labels += plank_word(boat, (word,), card, beyond)
    return dummy_plank_outline(card.angle, card.thickness, beyond, body), labels, hole


def marked_rows(boat: Boat, rows: list[Row], card: SharedCard) -> list[Row]:
    """The rows of a card, and the boat's mark with them where neither finger nor plank has room for it."""
    return [*rows, marked(boat)] if card.angle > _STEEP and card.thickness < _THICK_ENOUGH else rows


def outer_face_line(card: SharedCard, beyond: float = PAST_SEAT) -> Path:
    """Return the plank's outer face as a line to scribe, from the rabbet line at (0, 0) to the card's end."""
    tip = plank_length(card.angle, card.thickness, beyond) * direction(card.angle)
    return line(Role.SCRIBE, (0.0, 0.0), (float(tip[0]), float(tip[1])))


def plank_card_text(
    boat: Boat, rows: list[Row], card: SharedCard, finger: str, body: float, beyond: float = PAST_SEAT
) -> tuple[tuple[Label, ...], Hole]:
    """Return the lettering along the plank's outer face, the words on the finger, and the hole to hang it by.

    On a card that is not steep the boat's mark is written on the finger.
    """
    up, out = direction(card.angle), direction(card.angle + np.pi / 2)
    length = plank_length(card.angle, card.thickness, beyond)
    hole = hanging_hole(-FINGER + 16.0, body / 2 + 2.0)
    words = [fitted((finger,), (-FINGER + 1.5, 1.8), FINGER - 4.0, (2.5,))]
    if card.angle > _STEEP:
        centre = (length - 9.0) * up + (body - 9.0) * out
        hole = hanging_hole(float(centre[0]), float(centre[1]))
    else:
        words.append(fitted(marked(boat), (-FINGER + 1.5, 5.8), FINGER - 6.0, (2.5,)))
    fit = rows_that_fit(body)
    labels = rows_of_text(
        rows[:fit], 4.0 * up + (body - TOP_ROW) * out, card.angle, row_rooms(card, len(rows), beyond)[:fit]
    )
    return (*labels, *(word for word in words if word is not None)), hole


def row_rooms(card: SharedCard, count: int, beyond: float = PAST_SEAT) -> list[float]:
    """Return how long each of the rows of lettering may be, mm: on a steep card the first end at the hole."""
    length = plank_length(card.angle, card.thickness, beyond)
    at_hole = min(count, 3) if card.angle > _STEEP else 0
    return [length - 19.0] * at_hole + [length - 6.0] * (count - at_hole)


def plank_word(
    boat: Boat, wordings: Row, card: SharedCard, beyond: float = PAST_SEAT, start: float = 4.0
) -> tuple[Label, ...]:
    """Return a word written on the dummy plank itself, between its two faces, where it is thick enough.

    On a steep card the boat's mark follows it. `start`: how far from the rabbet line it begins, along the plank, mm.
    """
    if card.thickness < _THICK_ENOUGH:
        return ()
    height = 3.0 if card.thickness >= 6.5 else 2.5
    at = start * direction(card.angle) - (card.thickness + height) / 2 * direction(card.angle + np.pi / 2)
    room = plank_length(card.angle, card.thickness, beyond) - start - 2.0
    if card.angle > _STEEP:
        full, short = marked(boat)
        wordings = (*(f"{word} · {mark}" for mark in (full, short) for word in wordings), short)
    label = fitted(wordings, (float(at[0]), float(at[1])), room, (height, 2.5), card.angle)
    return () if label is None else (label,)


def _bevel_gauge(boat: Boat, end: EndName, card: SharedCard) -> Piece:
    notation, name, member = boat.hull.notation, card_name(boat, card), MEMBER[end]
    on_face, _, on_side, width = bevelled_section(card.angle, card.thickness)
    where = "; ".join(held_at(boat, place) for place in card.places)
    inside = format_angle(np.pi / 2 + card.angle)
    rows: list[Row] = [
        *name_rows(boat, card, member),
        *place_rows(boat, card, STOCK - 1.0),
        (f"{format_angle(card.angle)}, inside angle {inside}", inside),
        (f"bevel {notation.length(width)} wide: {notation.depths_of(on_face)} off the face,", inside),
        (f"{notation.length(on_side)} off the side. Stock on FACE",),
        TURN_OVER,
        marked(boat),
    ]
    title = (
        f"{member} {name}: bevel gauge, inside angle {inside}",
        f"{where}, square to the rabbet",
        f"stock across the {'FORE' if end == 'fore' else 'AFTER'} FACE, blade on the bevel",
    )
    blade = max(_LEAST_BLADE, width + _PAST_BEVEL)
    outline, labels, hole = ell_card(rows, STOCK, blade, card.angle)
    about = card_about(card)
    return Piece(
        piece_name(about, notation.units),
        "rebates",
        title,
        (outline,),
        (hole,),
        labels,
        _BEVEL_NOTES,
        about=about,
        engraved=engraved_rows(boat, card),
        called=gauge_in_print(about, boat.hull.units),
    )


def ell_card(rows: list[Row], stock: float, blade: float, turn: float) -> tuple[Path, tuple[Label, ...], Hole]:
    """Return an L's outline, its lettering along the stock, and the hole in its blade."""
    body = body_for(len(rows))
    labels = rows_of_text(rows, np.array([2.0 - stock, body - TOP_ROW]), 0.0, stock - 1.0)
    centre = 0.6 * blade * direction(turn - np.pi / 2) + BODY / 2 * direction(turn)
    hole = hanging_hole(float(centre[0]), float(centre[1]))
    return Path(ell_outline(stock, blade, turn, body), Role.CUT, closed=True), labels, hole
