"""Gauges for the bevel of each land: which places share a card, and the cards."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from templates_gen.drawing.piece import Piece
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Hull
from templates_gen.templates.bevels.card import LandCard, card_drawing, long_leg
from templates_gen.templates.bevels.facts import LandFacts, gauge_about
from templates_gen.templates.bevels.general_set import set_gauge
from templates_gen.templates.lettering import tenths
from templates_gen.templates.shared_cards import ALIKE, NEAR, runs
from templates_gen.units import format_depth
from templates_gen.words import on_sheet, piece_name

SHARED_WITHIN = NEAR / 2
"""A card serves places whose bevels lie within this of its own, so within half a degree of one another."""

_CUTTING = (
    "Paste it on 3 to 4 mm plywood or hard card with a glue that does not swell paper (spray or contact) and cut "
    "to the middle of the line. It serves both sides of the boat: turn it over.",
    "A card is cut to the bevel of the place it is named after. The other places on it differ by a quarter of a "
    "degree at most. For each place the card gives what comes off at the edge and what is left there. 'In the set' "
    "names the gauge of the general set that you may use instead.",
)

_CONVEX_NOTES = (
    "Hold it from OUTSIDE, square to the land by the short line at the nick: keel leg hard on the unplaned face of "
    "the lower strake, nick on the scribed lap line.",
    "Plane until no light shows under the sheer leg and the tick is over the edge of the plank.",
    "At a mould, lay a straightedge along the sheer leg: it must just touch the next land mark. No other check is as "
    "good.",
    *_CUTTING,
)

_HOLLOW_NOTES = (
    "For a HOLLOW land, and for the UPPER strake only: use it on the bench, before you hang the strake, on the INNER "
    "face at the lower edge. One corner is cut off so that you cannot take this card for one of the others.",
    "Hold the nick one lap up from the lower edge, where the lower strake's upper edge will be. The long leg lies on "
    "the inner face above it, square to the edge by the short line.",
    "Plane until no light shows under the short leg and the tick is over the lower edge. That edge will be SEEN: the "
    "card gives what is left of it.",
    *_CUTTING,
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
            f"{where[1]} · {boat.hull.name} {boat.hull.fingerprint}".strip(),
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
        _HOLLOW_NOTES if hollow else _CONVEX_NOTES,
        serves=tuple(facts.places[i].place for i in members if facts.places[i].kind == "station"),
        about=about,
    )


def _where(land: int, hollow: bool) -> tuple[str, str]:
    """Which strake and face the card is for, and the other strake of the land."""
    if hollow:
        return f"UPPER STRAKE {land + 1}, INSIDE, LOWER EDGE", f"over strake {land}"
    return f"LOWER STRAKE {land}, OUTSIDE", f"under strake {land + 1}"


def _place_row(hull: Hull, facts: LandFacts, index: int) -> str:
    off = format_depth(float(facts.off[index]), "mm")
    left = format_depth(float(facts.edge_left[index]), "mm")
    return f"{on_sheet(facts.places[index].place)}: off {off}, left {left} mm"
