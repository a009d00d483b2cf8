"""Gauges of a stem or sternpost: dummy plank ends for a rebate, or an L for a stem that is bevelled."""

import numpy as np

from templates_gen.drawing.marks import hanging_hole, line
from templates_gen.drawing.piece import Hole, Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebate_places import stem_gauge_places, stem_of
from templates_gen.geometry.rebates import bevelled_section, rebate_section
from templates_gen.hull.model import EndName
from templates_gen.templates.rebates_card import (
    BODY,
    FINGER,
    Row,
    direction,
    dummy_plank_outline,
    ell_outline,
    fitted,
    plank_length,
    rows_of_text,
)
from templates_gen.templates.rebates_sharing import SharedCard, card_name, held_at, name_rows, shared_cards
from templates_gen.units import format_angle, format_depth, format_length

MEMBER: dict[EndName, str] = {"fore": "Stem", "aft": "Sternpost"}

STOCK = 60.0
"""Length of the stock across the fore face of a bevelled stem, mm (common practice)."""

_LEAST_BLADE = 40.0
_PAST_BEVEL = 25.0
_STEEP = np.radians(45.0)

_REBATE_NOTES = (
    "Hold the card with its flat along its short line on the stem, square to the rabbet line, the finger hard on the "
    "side. Turn it over for the other side.",
    "The finger is the depth stop. All three edges touch when the rebate is right: finger, plank end, seat.",
    "Chop a notch to the card at each line, then fair from notch to notch with chisel and rabbet plane. "
    "The seat is faired through from strake to strake, never stepped.",
    "Then try an offcut of the real stock: its end tight, its outer face meeting the rabbet line, "
    "its far end pointing at the next mould's mark. The offcut has the last word.",
    "Good work keeps a rebate's depth within 0.3 mm.",
)
_BEVEL_NOTES = (
    "Hold the stock square across the fore face on the gauge's short line, the blade down the bevel. "
    "Turn it over for the other side.",
    "Plane from the corner of the fore face until no light shows under the blade; fair from line to line.",
    "The planks run past, are trimmed flush with the fore face, and the false stem covers their ends.",
)


def rebate_gauge_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the gauges of every stem and sternpost, from the foot up: "rebate fore strake 3", "rebate aft …"."""
    return tuple(piece for end in boat.shell.hung.stems for piece in stem_gauges(boat, end))


def stem_gauges(boat: Boat, end: EndName) -> tuple[Piece, ...]:
    """Return the gauges of the stem at one end, from the foot up; neighbours within half a degree share a card."""
    is_bevelled = stem_of(boat.shell, end).joint == "bevel"
    places = stem_gauge_places(boat.shell, end, boat.rebates)
    cards = shared_cards(boat, places, [place.rebate.angle for place in places])
    draw = _bevel_gauge if is_bevelled else _rebate_gauge
    return tuple(draw(boat, end, card) for card in cards)


def figures(boat: Boat, card: SharedCard) -> tuple[Row, ...]:
    """Return angle and depth, seat and end cut, and bearding line of a rebate's card, in their wordings."""
    units, angle = boat.hull.units, format_angle(card.angle)
    depth, _, bearding, seat = rebate_section(card.angle, card.thickness)
    seat_text, end_text = format_length(seat, units), format_length(card.thickness, units)
    return (
        (f"{angle}, depth {format_depth(depth, units)}", f"{angle}"),
        (f"seat {seat_text}, end {end_text}", f"seat {seat_text}"),
        (f"bearding {format_length(bearding, units)}",),
    )


def _rebate_gauge(boat: Boat, end: EndName, card: SharedCard) -> Piece:
    member, side = MEMBER[end], "FORWARD" if end == "fore" else "AFT"
    name = card_name(boat, card)
    where = "; ".join(held_at(boat, place) for place in card.places)
    is_shallow = rebate_section(card.angle, card.thickness)[3] < 2.0 * card.thickness
    rows: list[Row] = [
        *name_rows(boat, card, member),
        *([(where,)] if len(card.places) == 1 else []),
        *figures(boat, card),
    ]
    labels, hole = plank_card_text(rows, card, f"finger: {'FORE' if end == 'fore' else 'AFT'}")
    labels += plank_word("needs an apron" if is_shallow else "plank", card)
    title = (
        f"{member}, {name}: rebate gauge",
        f"held {where} along the rabbet, square to it",
        f"finger on the side {side} of the rabbet line",
        f"both sides: turn over; angle {format_angle(card.angle)}",
    )
    return Piece(
        f"rebate {end} {name}",
        "rebates",
        title,
        (Path(dummy_plank_outline(card.angle, card.thickness), Role.CUT, closed=True), outer_face_line(card)),
        (hole,),
        labels,
        _REBATE_NOTES,
    )


def outer_face_line(card: SharedCard, beyond: float = 40.0) -> Path:
    """Return the plank's outer face as a line to scribe, from the rabbet line at (0, 0) to the card's end."""
    tip = plank_length(card.angle, card.thickness, beyond) * direction(card.angle)
    return line(Role.SCRIBE, (0.0, 0.0), (float(tip[0]), float(tip[1])))


def plank_card_text(
    rows: list[Row], card: SharedCard, finger: str, beyond: float = 40.0
) -> tuple[tuple[Label, ...], Hole]:
    """Return the lettering along the plank's outer face, the word on the finger, and the hole to hang it by."""
    up, out = direction(card.angle), direction(card.angle + np.pi / 2)
    length = plank_length(card.angle, card.thickness, beyond)
    room = [length - 6.0] * len(rows)
    hole = hanging_hole(-FINGER + 16.0, BODY / 2)
    if card.angle > _STEEP:
        centre = (length - 9.0) * up + (BODY - 9.0) * out
        hole = hanging_hole(float(centre[0]), float(centre[1]))
        room[:3] = [length - 19.0] * len(room[:3])
    labels = rows_of_text(rows, 4.0 * up + (BODY - 6.5) * out, card.angle, room)
    word = fitted((finger,), (-FINGER + 1.5, 1.8), FINGER - 4.0, (2.5,))
    return (labels if word is None else (*labels, word)), hole


def plank_word(text: str, card: SharedCard, beyond: float = 40.0, start: float = 4.0) -> tuple[Label, ...]:
    """Return a word written on the dummy plank itself, between its two faces, where it is thick enough.

    `start`: how far from the rabbet line it begins, along the plank, mm.
    """
    if card.thickness < 5.5:
        return ()
    height = 3.0 if card.thickness >= 6.5 else 2.5
    at = start * direction(card.angle) - (card.thickness + height) / 2 * direction(card.angle + np.pi / 2)
    room = plank_length(card.angle, card.thickness, beyond) - start - 2.0
    label = fitted((text,), (float(at[0]), float(at[1])), room, (height, 2.5), card.angle)
    return () if label is None else (label,)


def _bevel_gauge(boat: Boat, end: EndName, card: SharedCard) -> Piece:
    units, name, member = boat.hull.units, card_name(boat, card), MEMBER[end]
    on_face, _, on_side, width = bevelled_section(card.angle, card.thickness)
    where = "; ".join(held_at(boat, place) for place in card.places)
    inside = format_angle(np.pi / 2 + card.angle)
    rows: list[Row] = [
        *name_rows(boat, card, member),
        *([(where,)] if len(card.places) == 1 else []),
        (f"{format_angle(card.angle)}, inside angle {inside}", inside),
        (f"bevel {format_length(width, units)} wide: {format_depth(on_face, units)} off the face,", inside),
        (f"{format_length(on_side, units)} off the side. Stock on FACE",),
    ]
    title = (
        f"{member}, {name}: bevel gauge",
        f"held {where} along the rabbet, square to it",
        f"stock across the {'FORE' if end == 'fore' else 'AFTER'} FACE, blade on the bevel",
        f"both sides: turn over; inside angle {inside}",
    )
    blade = max(_LEAST_BLADE, width + _PAST_BEVEL)
    outline, labels, hole = ell_card(rows, STOCK, blade, card.angle)
    return Piece(f"rebate {end} {name}", "rebates", title, (outline,), (hole,), labels, _BEVEL_NOTES)


def ell_card(rows: list[Row], stock: float, blade: float, turn: float) -> tuple[Path, tuple[Label, ...], Hole]:
    """Return an L's outline, its lettering along the stock, and the hole in its blade."""
    labels = rows_of_text(rows, np.array([2.0 - stock, BODY - 6.5]), 0.0, stock - 1.0)
    centre = 0.6 * blade * direction(turn - np.pi / 2) + BODY / 2 * direction(turn)
    hole = hanging_hole(float(centre[0]), float(centre[1]))
    return Path(ell_outline(stock, blade, turn), Role.CUT, closed=True), labels, hole
