"""The general set of bevel gauges by half degrees: it serves every land of every boat, with the table of lands.

Gauges for the bevel of each land: which places share a card, and the cards.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import hanging_hole, line
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Hull
from templates_gen.notation import Notation
from templates_gen.templates.bevels.card import NICK, LandCard, card_drawing, legs, long_leg
from templates_gen.templates.bevels.facts import LandFacts, gauge_about
from templates_gen.templates.cards import ALIKE, NEAR, runs, tenths
from templates_gen.units import DEG_PER_RAD, MM_PER_INCH, format_angle
from templates_gen.words import on_sheet, piece_name

Array = NDArray[np.float64]

HALF_DEGREES = tuple(range(2, 41))
"""The set's bevels in half degrees: 1 to 20 degrees."""

_KEEL_LEG = 50.0
_SHEER_LEG = 40.0
_BODY = 34.0
_DIVIDER_CLEAR = 7.0
_LOW, _PLAIN, _BEVEL, _SMALL = 1.5, 3.0, 5.0, 2.5
_LONG_TICK, _SHORT_TICK = 4.0, 2.5


def _notes(notation: Notation) -> tuple[str, ...]:
    """How the set is used."""
    return (
        "The set serves instead of the land gauges, for this boat and any other: look up the place in the table of "
        "lands and take the corner with that bevel.",
        "Each card has two working corners, at opposite edges, half a degree apart; each figure is next to its own "
        "corner. "
        "The last card has one.",
        "Convex land: work from OUTSIDE, the keel leg hard on the unplaned face of the lower strake, the nick on the "
        f"lap line. Where less of the strake shows than the keel leg is long, saw the leg off {notation.about(5.0)} "
        "shorter than that.",
        "Hollow land: work on the INNER face of the upper strake, the leg marked KEEL toward the sheer, the nick one "
        "lap up "
        "from the lower edge.",
        "The ticks on the sheer leg are distances from the nick; the tick at the lap's width must be over the edge "
        "of the "
        "plank.",
        f"Paste them on {_thin(notation)} or hard card with a glue that does not swell paper (spray or contact); cut "
        "to the middle of the line.",
    )


def _thin(notation: Notation) -> str:
    """What gauges are pasted on."""
    return f"{'3 to 4 mm' if notation.units == 'mm' else notation.about(3.0)} plywood"


def bevel_set_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the general set, 1 to 20 degrees, two neighbouring half degrees to a card.

    It is the same for every boat; only the ticks are in the units of the hull file.
    """
    pairs = [HALF_DEGREES[i : i + 2] for i in range(0, len(HALF_DEGREES), 2)]
    return tuple(_card(pair, boat.hull.notation) for pair in pairs)


def set_gauge(bevel: float) -> str | None:
    """Return the bevel of the set's gauge for a bevel, as it is written on the card; None when the set has none."""
    half_degrees = round(abs(bevel) * DEG_PER_RAD * 2)
    return format_angle(half_degrees / 2 / DEG_PER_RAD) if half_degrees in HALF_DEGREES else None


def set_about(bevel: float) -> About | None:
    """Return what the card of the set is about that serves a bevel, radians; None when the set has none."""
    half_degrees = round(abs(bevel) * DEG_PER_RAD * 2)
    if half_degrees not in HALF_DEGREES:
        return None
    first = half_degrees - half_degrees % 2
    pair = (half for half in (first, first + 1) if half in HALF_DEGREES)
    return About("land", part="set", which=tuple(half / 2 for half in pair))


def _card(pair: tuple[int, ...], notation: Notation) -> Piece:
    bevels = [math.radians(half / 2) for half in pair]
    edges = [legs(bevel, _KEEL_LEG, _SHEER_LEG) for bevel in bevels]
    right = float(edges[0][-1, 0])
    far = _turned(edges[1]) if len(edges) == 2 else np.array([[right, _BODY], [-_KEEL_LEG, _BODY]])
    middle = (_SHEER_LEG - _KEEL_LEG) / 2
    paths = [Path(np.concatenate([edges[0], far]), Role.CUT, closed=True)]
    labels: list[Label] = []
    for number, bevel in enumerate(bevels):
        marks, words = _corner(bevel, notation)
        paths += [Path(_turned(path.points), path.role) for path in marks] if number else marks
        labels += [_turned_label(label) for label in words] if number else words
    if len(bevels) == 2:
        half = _BODY / 2
        paths.append(line(Role.NOTE, (-_KEEL_LEG + 2.0, half), (middle - _DIVIDER_CLEAR, half)))
        paths.append(line(Role.NOTE, (middle + _DIVIDER_CLEAR, half), (right - 2.0, half)))
    written = " and ".join(format_angle(bevel) for bevel in bevels)
    about = About("land", part="set", which=tuple(half / 2 for half in pair))
    return Piece(
        piece_name(about),
        "bevels",
        (f"Bevel set {written}", "any land, any boat"),
        tuple(paths),
        (hanging_hole(middle, _BODY / 2),),
        tuple(labels),
        _notes(notation),
        about=about,
    )


def _turned(points: Array) -> Array:
    """Points turned half round about the card's middle, so that both corners' legs end at the same two sides."""
    return np.asarray(np.array([_SHEER_LEG - _KEEL_LEG, _BODY]) - points)


def _turned_label(label: Label) -> Label:
    x, y = _turned(np.array(label.at)).tolist()
    return replace(label, at=(x, y), angle=math.pi)


def _corner(bevel: float, notation: Notation) -> tuple[list[Path], list[Label]]:
    """The marks and words of one working corner, as they are when it is below."""
    along, square = np.array([math.cos(bevel), -math.sin(bevel)]), np.array([math.sin(bevel), math.cos(bevel)])
    marks = [line(Role.SCRIBE, (0.0, NICK), (0.0, 9.0))]
    step, count, numbered = (5.0, 7, 2) if notation.units == "mm" else (MM_PER_INCH / 4, 6, 4)
    labels = [
        Label("KEEL", (-_KEEL_LEG + 1.5, _LOW), _PLAIN, engraved="K"),
        Label("SHEER", (float(_SHEER_LEG * along[0]) - 1.5, 11.0), _PLAIN, anchor="end", engraved="S"),
        Label(format_angle(bevel), (-_KEEL_LEG + 20.0, 3.0), _BEVEL, engraved=f"{math.degrees(bevel):.4g}"),
    ]
    for k in range(1, count + 1):
        at = k * step * along
        tall = k % numbered == 0
        marks.append(Path(np.stack([at, at + (_LONG_TICK if tall else _SHORT_TICK) * square]), Role.SCRIBE))
        if tall:
            x, y = (at + (_LONG_TICK + 1.2) * square).tolist()
            text = notation.length(k * step) if notation.units == "mm" else notation.spoken_length(k * step)
            labels.append(Label(text, (x, y), _SMALL, -bevel, "middle", kind="measure"))
    return marks, labels


SHARED_WITHIN = NEAR / 2
"""A card serves places whose bevels lie within this of its own, so within half a degree of one another."""


def _cutting(notation: Notation) -> tuple[str, ...]:
    """How a card is made, and what is on it."""
    return (
        f"Paste it on {_thin(notation)} or hard card with a glue that does not swell paper (spray or contact) and "
        "cut to the middle of the line. It serves both sides of the boat: turn it over.",
        "A card is cut to the bevel of the place it is named after. The other places on it differ by a quarter of a "
        "degree at most. For each place the card gives what comes off at the edge and what is left there. 'In the "
        "set' names the gauge of the general set that you may use instead.",
    )


_CONVEX_NOTES = (
    "Hold it from OUTSIDE, square to the land by the short line at the nick: keel leg hard on the unplaned face of "
    "the lower strake, nick on the scribed lap line.",
    "Plane until no light shows under the sheer leg and the tick is over the edge of the plank.",
    "At a mould, lay a straightedge along the sheer leg: it must just touch the next land mark. No other check is as "
    "good.",
)

_HOLLOW_NOTES = (
    "For a HOLLOW land, and for the UPPER strake only: use it on the bench, before you hang the strake, on the INNER "
    "face at the lower edge. One corner is cut off so that you cannot take this card for one of the others.",
    "Hold the nick one lap up from the lower edge, where the lower strake's upper edge will be. The long leg lies on "
    "the inner face above it, square to the edge by the short line.",
    "Plane until no light shows under the short leg and the tick is over the lower edge. That edge will be SEEN: the "
    "card gives what is left of it.",
)


@dataclass(frozen=True)
class SharedCard:
    """The places that one card serves: indices into a land's facts, and the one whose bevel it is cut to."""

    own: int
    members: tuple[int, ...]


def shared_cards(facts: LandFacts) -> tuple[SharedCard, ...]:
    """Return the cards of one land, fore to aft by the places they are named after.

    As few as possible, the bevels taken in order of size. Of those that could give a card its bevel, a mould comes
    first, then the one nearest the middle.
    """
    size = np.abs(facts.bevel).round(ALIKE).tolist()
    wanted = [i for i in range(len(size)) if not facts.is_straight(i) and not facts.is_in_gerald[i]]

    def within_reach(members: Sequence[int]) -> list[int]:
        """Those whose own bevel is near enough for all the others."""
        return [i for i in members if _farthest(size, i, members) <= SHARED_WITHIN]

    def own(members: Sequence[int]) -> int:
        """A mould, if one is within reach of all, and the one nearest the middle."""
        reach = within_reach(members)
        return min(reach, key=lambda i: (facts.places[i].kind != "station", _farthest(size, i, members)))

    cards = []
    for hollow in (False, True):
        order = sorted((i for i in wanted if facts.is_hollow[i] == hollow), key=lambda i: size[i])
        for members in runs(order, lambda members: bool(within_reach(members))):
            cards.append(SharedCard(own(members), tuple(sorted(members))))
    return tuple(sorted(cards, key=lambda card: card.own))


def _farthest(size: Sequence[float], i: int, members: Sequence[int]) -> float:
    """How far the size of one is from that of any other."""
    return max(abs(size[i] - size[j]) for j in members)


def gauge_pieces(boat: Boat, all_facts: Sequence[LandFacts]) -> tuple[Piece, ...]:
    """Return the bevel gauges of lands whose facts are known."""
    return tuple(_gauge(boat, facts, card) for facts in all_facts for card in shared_cards(facts))


def _gauge(boat: Boat, facts: LandFacts, shared: SharedCard) -> Piece:
    members, land = list(shared.members), facts.land
    hollow = bool(facts.is_hollow[shared.own])
    room = facts.room_upper if hollow else facts.room_lower
    own = facts.places[shared.own]
    about = gauge_about(land, own)
    bevel = abs(float(facts.bevel[shared.own]))
    where = _where(land, hollow)
    card = LandCard(
        bevel,
        long_leg(float(room[members].min())),
        boat.shell.planking.lap_on(land),
        hollow,
        set_gauge(bevel) or "",
        f"Land {land}, {on_sheet(own.place)}{', HOLLOW' if hollow else ''}",
        (
            where[0],
            f"{where[1]} · {boat.hull.mark}",
        ),
        tuple(_place_row(boat.hull, facts, i) for i in members),
    )
    drawn = card_drawing(card)
    return Piece(
        piece_name(about),
        "bevels",
        (
            f"Land {land}, {on_sheet(own.place)}: bevel gauge {tenths(bevel)}",
            f"strake {land + 1} INSIDE, HOLLOW" if hollow else f"strake {land} OUTSIDE",
        ),
        drawn.paths,
        drawn.holes,
        drawn.labels,
        (*(_HOLLOW_NOTES if hollow else _CONVEX_NOTES), *_cutting(boat.hull.notation)),
        serves=tuple(facts.places[i].place for i in members if facts.places[i].kind == "station"),
        about=about,
    )


def _where(land: int, hollow: bool) -> tuple[str, str]:
    """Which strake and face the card is for, and the other strake of the land."""
    if hollow:
        return f"UPPER STRAKE {land + 1}, INSIDE, LOWER EDGE", f"over strake {land}"
    return f"LOWER STRAKE {land}, OUTSIDE", f"under strake {land + 1}"


def _place_row(hull: Hull, facts: LandFacts, index: int) -> str:
    notation, off = hull.notation, float(facts.off[index])
    left = notation.spoken_depth(notation.rest(off + float(facts.edge_left[index]), off))
    return f"{on_sheet(facts.places[index].place)}: off {notation.depth(off)}, left {left}"
