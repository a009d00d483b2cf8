"""Gauges of the keel: bridges over a rebated keel, hog gauges, and an L for the edge of a flat bottom."""

from itertools import groupby

import numpy as np

from templates_gen.drawing.marks import hanging_hole, line
from templates_gen.drawing.piece import Path, Piece, PrintSet, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_bottom import edge_bevels
from templates_gen.geometry.rebate_places import GaugePlace
from templates_gen.geometry.rebates import LEAST_BEARING, hog_bearing, hog_runs_out, rebate_section
from templates_gen.notation import Notation
from templates_gen.templates.cards import CardDrawing
from templates_gen.templates.rebates.cards import (
    BODY,
    FINGER,
    ON_HOG,
    PAST_SEAT,
    TOP_ROW,
    Row,
    SharedCard,
    along_row,
    body_for,
    bridge_outline,
    card_about,
    card_name,
    direction,
    engraved_rows,
    hog_outline,
    marked,
    name_rows,
    plank_length,
    rows_of_text,
    shared_cards,
    stations_served,
)
from templates_gen.templates.rebates.stem.gauges import (
    TURN_OVER,
    ell_card,
    figures,
    marked_rows,
    outer_face_line,
    plank_card,
    plank_card_text,
    plank_word,
)
from templates_gen.units import format_angle
from templates_gen.words import gauge_in_print, piece_name

DEEPEST_BRIDGE = 130.0
"""Deepest slot of a bridge that is still handy, mm; where a deeper one is needed the gauge is for one side."""

BOTTOM_STOCK, BOTTOM_BLADE = 40.0, 60.0
"""Of the gauge for a flat bottom's edge, mm: the blade reaches 25 past a bottom of 35."""

_CLEARANCE = 6.0

_PLACE_NOTE = "Measure a card's place from its mould along the base line, aft or forward as it says."
_REBATE_NOTES = (
    "Hold it square to the rabbet line. The rebate is right when all edges touch: keel's sides, plank ends, seats.",
    "Where the floor is flat the seat in the keel's side is short. There the garboard also lies on the hog, and the "
    "card's edge continues over it.",
    "Fair from notch to notch. Then try an offcut of the real stock: its far end must point at the next mould's "
    "mark.",
)
_BRIDGE_NOTES = (
    "A bridge checks both sides of the keel at once. Its tongues are too long to pass over the keel: saw the card "
    "apart "
    "on its centreline and bring the halves in from both sides. They must meet on the centreline; if they do not, "
    "the "
    "keel is out of square or a rebate is not deep enough.",
)
_DEADWOOD_NOTES = (
    "Toward the ends of the boat the hog runs out: the garboard has no bearing on it there. Cut a rebate in the "
    "deadwood "
    "instead. This card has the shape of the plank's end in that rebate.",
    "Hold it square to the rabbet line, its finger on the side below the rabbet line. The rebate is right when "
    "finger, "
    "plank end and seat all touch. Between this card and the next one with a hog, fair the rebate into the planed "
    "arris.",
)
_HOG_NOTES = (
    "The keel is not rebated. Hold the finger on the keel's side, the start of the scribed line on the rabbet line, "
    "square to the rabbet line; plane the hog's underside until no light shows under the blade. "
    "Turn it over for the other side.",
    "'starts … above the rabbet': from the rabbet line up the keel's side to where the planed face begins. 'bears': "
    "how wide the garboard lies on it.",
    "The scribed line is the garboard's outer face. Plane the garboard's inner arris back until its edge lies on the "
    "keel's side; at the rabbet line the edge stays square.",
)
_FLAT_NOTES = (
    "Hold the stock on the UNDERSIDE of the bottom and the blade on its edge, square to the EDGE. "
    "Turn it over for the other side.",
)


def _single_notes(notation: Notation) -> tuple[str, ...]:
    return (
        f"The finger lies on the keel's side below the rabbet line. Where less than {notation.about(FINGER)} of the "
        "side is below the line, shorten the finger.",
        "Turn it over for the other side.",
    )


def _hog_bearing_note(notation: Notation) -> str:
    return (
        f"The garboard should bear on {notation.about(LEAST_BEARING)} of the hog or more (common practice). "
        f"Where less than {notation.about(FINGER)} of the keel's side is below the rabbet line, shorten the finger."
    )


def _flat_edge_note(notation: Notation) -> str:
    return (
        "Bevel the edge to the garboard's inner face. "
        f"Leave the garboard {notation.about(6.0)} proud and plane it flush."
    )


def keel_gauge_pieces(boat: Boat, to_print: PrintSet = "full") -> tuple[Piece, ...]:
    """Return the keel's gauges from forward to aft: "rebate keel mould 2", "rebate keel mould 2 + 100" …"""
    cards = keel_cards(boat, to_print)
    if boat.hull.keel.joint == "flat":
        return tuple(_bottom_gauge(boat, card) for card in cards)
    if boat.hull.keel.joint == "rebate":
        return tuple(_bridge(boat, card) if _drop(card) <= DEEPEST_BRIDGE else _single(boat, card) for card in cards)
    outs = zip(boat.keel_gauges, no_hog_at(boat, boat.keel_gauges), strict=True)
    without_hog = {place.about for place, is_out in outs if is_out}
    return tuple(
        _deadwood(boat, card) if card.places[0].about in without_hog else _hog_gauge(boat, card) for card in cards
    )


def keel_cards(boat: Boat, to_print: PrintSet = "full") -> tuple[SharedCard, ...]:
    """Return what each gauge of the keel serves, fore to aft by the first place of each.

    A hog gauge, and one for a rebate in the deadwood where the hog has run out, are two cards.
    """
    places, joint = boat.keel_gauges, boat.hull.keel.joint
    if joint == "flat":
        return shared_cards(boat, places, bottom_bevels(boat, places), to_print)
    angles = [place.rebate.angle for place in places]
    if joint == "rebate":
        return shared_cards(boat, places, angles, to_print, by_breadth=True)
    pairs = list(zip(places, no_hog_at(boat, places), strict=True))
    if to_print == "bench":
        stretches = [[pair for pair in pairs if pair[1] == is_out] for is_out in (False, True)]
    else:
        stretches = [list(run) for _, run in groupby(pairs, key=lambda pair: pair[1])]
    cards: list[SharedCard] = []
    for stretch in stretches:
        there = [place for place, _ in stretch]
        cards += shared_cards(boat, there, [place.rebate.angle for place in there], to_print)
    order = {place.about: number for number, place in enumerate(places)}
    return tuple(sorted(cards, key=lambda card: order[card.places[0].about]))


def no_hog_at(boat: Boat, places: tuple[GaugePlace, ...]) -> tuple[bool, ...]:
    """Return for each place of a keel with a hog whether the hog has run out there."""
    keel, thickness = boat.hull.keel, boat.hull.planking.thickness[0]
    return hog_runs_out([place.rebate for place in places], keel.hog, thickness)


def _named(boat: Boat, card: SharedCard, member: str, otherwise: Row) -> list[Row]:
    """The rows that name a shared card, or its name and another row."""
    rows = name_rows(boat, card, member)
    return rows if len(rows) > 1 else [*rows, otherwise]


def _drop(card: SharedCard) -> float:
    """How deep a bridge's slot must be to clear the keel's underside, which is no lower than the base line, mm."""
    highest = max(float(place.rebate.point[2]) for place in card.places)
    return max(highest, FINGER - _CLEARANCE) + _CLEARANCE


def _gauge(
    boat: Boat,
    card: SharedCard,
    title: tuple[str, str],
    drawn: CardDrawing,
    notes: tuple[str, ...],
) -> Piece:
    """The piece that each of the keel's gauges is."""
    about = card_about(card)
    return Piece(
        piece_name(about, boat.hull.units),
        "rebates",
        title,
        drawn.paths,
        drawn.holes,
        drawn.labels,
        (*notes, _PLACE_NOTE),
        serves=stations_served(card),
        about=about,
        engraved=engraved_rows(boat, card),
        called=gauge_in_print(about, boat.hull.units),
    )


def _bridge(boat: Boat, card: SharedCard) -> Piece:
    name, notation = card_name(boat, card), boat.hull.notation
    half = float(np.mean([p.rebate.point[1] for p in card.places]))
    drop = _drop(card)
    outline = bridge_outline(card.angle, card.thickness, half, drop)
    tip = np.array([half, 0.0]) + plank_length(card.angle, card.thickness, ON_HOG) * direction(np.pi / 2 - card.angle)
    faces = [line(Role.SCRIBE, (side * half, 0.0), (side * float(tip[0]), float(tip[1]))) for side in (1.0, -1.0)]
    room = half + BODY - 5.0
    words: list[Row] = [
        *_named(boat, card, "Keel", ("rebate, both sides", "rebate")),
        (f"keel {notation.length(2 * half)} thick",),
        ("saw apart on centre",),
        *along_row(card),
    ]
    facts: list[Row] = [*figures(boat, card), ("both sides at once", "both sides"), marked(boat)]
    left = rows_of_text(words, np.array([-half - BODY + 2.5, -drop - TOP_ROW]), 0.0, room)
    right = rows_of_text(facts, np.array([3.0, -drop - TOP_ROW]), 0.0, room, named=False)
    title = (
        f"Keel {name}: rebate gauge over both sides, {format_angle(card.angle)}",
        "KEEL at the closed end, planks at the tongues",
    )
    centreline = line(Role.CENTRELINE, (0.0, -drop), (0.0, -drop - BODY))
    paths = (Path(outline, Role.CUT, closed=True), *faces, centreline)
    holes = tuple(hanging_hole(side * (half + BODY / 2), -drop / 2 - BODY / 4) for side in (1.0, -1.0))
    return _gauge(boat, card, title, CardDrawing(paths, holes, left + right), _REBATE_NOTES + _BRIDGE_NOTES)


def _single(boat: Boat, card: SharedCard) -> Piece:
    is_shallow = rebate_section(card.angle, card.thickness)[3] < 2.0 * card.thickness
    word = "seat runs on over hog" if is_shallow else "plank"
    return _one_sided(
        boat,
        card,
        ("square to the rabbet", "square to it"),
        word,
        ON_HOG,
        _REBATE_NOTES + _single_notes(boat.hull.notation),
    )


def _deadwood(boat: Boat, card: SharedCard) -> Piece:
    """The gauge of a rebate where a keel has no hog left."""
    return _one_sided(boat, card, ("NO HOG: rebate", "NO HOG"), "plank in the deadwood", PAST_SEAT, _DEADWOOD_NOTES)


def _one_sided(
    boat: Boat, card: SharedCard, otherwise: Row, word: str, beyond: float, notes: tuple[str, ...]
) -> Piece:
    """A dummy plank end for one side of the keel at a time."""
    name = card_name(boat, card)
    rows = [*_named(boat, card, "Keel", otherwise), *figures(boat, card), TURN_OVER, *along_row(card)]
    outline, labels, hole = plank_card(boat, rows, card, "finger: KEEL", word, beyond)
    title = (
        f"Keel {name}: rebate gauge{', in the deadwood' if beyond == PAST_SEAT else ''}, {format_angle(card.angle)}",
        "square to the rabbet line, finger on the side BELOW it",
    )
    paths = (Path(outline, Role.CUT, closed=True), outer_face_line(card, beyond))
    return _gauge(boat, card, title, CardDrawing(paths, (hole,), labels), notes)


def _hog_gauge(boat: Boat, card: SharedCard) -> Piece:
    name, notation = card_name(boat, card), boat.hull.notation
    _, _, start, planed = rebate_section(card.angle, card.thickness)
    level = format_angle(np.pi / 2 - card.angle)
    start_text, planed_text = notation.length(start), notation.depths_of(max(planed, 0.0))
    rows: list[Row] = [
        *name_rows(boat, card, "Keel"),
        (f"HOG {level} from level", f"HOG {level}"),
        (f"starts {start_text} above the rabbet", f"starts {start_text} above rabbet", f"{start_text} above rabbet"),
        (
            f"plane garboard's arris {planed_text} across INNER face",
            f"plane arris {planed_text} across INNER face",
            f"arris: off {planed_text} across INNER face",
            f"arris {planed_text} across INNER face",
        ),
        TURN_OVER,
        *along_row(card),
    ]
    rows = marked_rows(boat, rows, card)
    body, hog = body_for(len(rows), card.angle), boat.hull.keel.hog
    labels, hole = plank_card_text(boat, rows, card, "finger: KEEL", body, ON_HOG)
    wording = "plank" if hog is None else _bears(card, hog, notation)
    labels += plank_word(boat, (wording,), card, ON_HOG, planed + 4.0)
    title = (
        f"Keel {name}: hog gauge, {level} from the level",
        "finger on the keel's side, square to the rabbet line",
    )
    outline = Path(hog_outline(card.angle, card.thickness, body), Role.CUT, closed=True)
    paths = (outline, outer_face_line(card, ON_HOG))
    return _gauge(boat, card, title, CardDrawing(paths, (hole,), labels), (*_HOG_NOTES, _hog_bearing_note(notation)))


def _bears(card: SharedCard, hog: tuple[float, float], notation: Notation) -> str:
    """How wide the garboard bears on the hog at a card's places: the least of them, and that it is the least."""
    widths = sorted(max(hog_bearing(place.rebate, hog), 0.0) for place in card.places)
    least, most = notation.length(widths[0]), notation.length(widths[-1])
    return f"bears {least}" if least == most else f"bears {least} or more"


def bottom_bevels(boat: Boat, places: tuple[GaugePlace, ...]) -> list[float]:
    """Return the bevels of a flat bottom's edge at places, radians, positive where the upper face is the larger."""
    x = np.array([place.rebate.point[0] for place in places])
    return [float(bevel) for bevel in edge_bevels(boat.shell, x)]


def _bottom_gauge(boat: Boat, card: SharedCard) -> Piece:
    """The L for the edge of a flat bottom; the card's angle is the bevel."""
    name = card_name(boat, card)
    bevel, inside = format_angle(card.angle), format_angle(np.pi / 2 + card.angle)
    rows: list[Row] = [
        *_named(boat, card, "Bottom", ("blade: the edge", "edge")),
        (f"bevel {bevel}",),
        (f"inside angle {inside}", inside),
        ("stock: UNDERSIDE", "UNDERSIDE"),
        TURN_OVER,
        *along_row(card),
        marked(boat),
    ]
    outline, labels, hole = ell_card(rows, BOTTOM_STOCK, BOTTOM_BLADE, card.angle)
    title = (
        f"Bottom {name}: gauge of the edge, bevel {bevel}",
        "stock on the UNDERSIDE, blade on the edge, square to the edge",
    )
    return _gauge(
        boat,
        card,
        title,
        CardDrawing((outline,), (hole,), labels),
        (*_FLAT_NOTES, _flat_edge_note(boat.hull.notation)),
    )
