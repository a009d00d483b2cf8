"""Which neighbouring gauges of a rebate share one card, and how they are called."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from templates_gen.about import About, Place
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebate_places import GaugePlace
from templates_gen.templates.shared_cards import are_near, midway, runs
from templates_gen.units import format_length
from templates_gen.words import served

_SAME_WIDTH = 0.5


@dataclass(frozen=True)
class SharedCard:
    """A card for one place or for several neighbours.

    Attributes
    ----------
    places : tuple of GaugePlace
    angle : float
        Midway between the least and the greatest of them, radians.
    thickness : float
        Of the planking there, mm.
    """

    places: tuple[GaugePlace, ...]
    angle: float
    thickness: float


def shared_cards(
    boat: Boat, places: Sequence[GaugePlace], angles: Sequence[float], by_breadth: bool = False
) -> tuple[SharedCard, ...]:
    """Return cards for places in their order; neighbours of one thickness within half a degree share one.

    Parameters
    ----------
    angles : sequence of float
        One for each place, radians: what the card is cut to.
    by_breadth : bool
        Whether the timber must also be equally wide there, within 0.5 mm over both sides.
    """

    def share(group: Sequence[int]) -> bool:
        return are_near([angles[i] for i in group]) and _is_alike(boat, [places[i] for i in group], by_breadth)

    thickness = boat.hull.planking.thickness
    return tuple(
        SharedCard(
            tuple(places[i] for i in group),
            midway([angles[i] for i in group]),
            thickness[places[group[0]].rebate.strake - 1],
        )
        for group in runs(range(len(places)), share)
    )


def _is_alike(boat: Boat, group: Sequence[GaugePlace], by_breadth: bool) -> bool:
    """Whether planks are of one thickness and, if it matters, the timber equally wide."""
    stock = {boat.hull.planking.thickness[place.rebate.strake - 1] for place in group}
    breadths = [2.0 * float(place.rebate.point[1]) for place in group]
    return len(stock) == 1 and (not by_breadth or round(max(breadths) - min(breadths), 6) <= _SAME_WIDTH)


def place_name(boat: Boat, place: GaugePlace) -> str:
    """Return what a gauge is called by: "strake 3", "foot + 50", "mould 2", "mould 2 + 100"."""
    return served(place.about, boat.hull.units)[0]


def card_about(card: SharedCard) -> About:
    """Return what a card is about: its place, or its first and last place or strake."""
    first, last = card.places[0].about, card.places[-1].about
    if first == last:
        return first
    if last.end is None:
        return replace(first, last_place=last.place)
    if first.place is None:
        return replace(first, last=last.number)
    end = Place("end", last.end)
    return replace(first, last=last.number, last_place=end if last.place is None else last.place)


def card_name(boat: Boat, card: SharedCard) -> str:
    """Return what a card is called by: the name of its place, or its first and last place."""
    return " to ".join(served(card_about(card), boat.hull.units))


def stations_served(card: SharedCard) -> tuple[Place, ...]:
    """Return the stations at which a keel's card is held; a station that it is only measured from is none of them."""
    return tuple(place.mark.place for place in card.places if place.distance == 0.0 and place.mark.place is not None)


def name_rows(boat: Boat, card: SharedCard, member: str) -> list[tuple[str, ...]]:
    """Return the rows that name a card: one, or two where a shared card goes from one place to another."""
    first, *last = served(card_about(card), boat.hull.units)
    return [(f"{member} {first}", first), *((f"to {name}",) for name in last)]


def sign_row(card: SharedCard) -> list[tuple[str, ...]]:
    """Return the row that says which way a keel's card is measured from its mould; none for a card at a mould."""
    rows: list[tuple[str, ...]] = []
    for sign, way, is_meant in (
        ("+", "AFT", any(place.distance > 0.0 for place in card.places)),
        ("-", "FORWARD", any(place.distance < 0.0 for place in card.places)),
    ):
        if is_meant:
            rows.append(
                (f"{sign} is {way} of it, along base line", f"{sign}: {way}, along base line", f"{sign}: {way}")
            )
    return rows


def marked(boat: Boat) -> tuple[str, ...]:
    """Return the boat's name and the hull file's fingerprint, for a card, the fullest wording first."""
    name, fingerprint = boat.hull.name, boat.hull.fingerprint
    return (f"{name} {fingerprint}".strip(), fingerprint or name)


def held_at(boat: Boat, place: GaugePlace) -> str:
    """Return where a stem's gauge is held: "at land 2 + 38" of rabbet line, "at foot + 176" or "at the foot"."""
    if place.distance == 0.0:
        return f"at the {place.after}"
    return f"at {place.after} + {format_length(place.distance, boat.hull.units)}"
