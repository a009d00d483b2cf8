"""Which gauges of a rebate share one card, and how they are called.

Outlines and lettering of the cards that rebates and bevelled edges are tried with.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Place
from templates_gen.drawing.marks import block_at, letters_width
from templates_gen.drawing.piece import Label, PrintSet
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebate_places import GaugePlace
from templates_gen.notation import Marked
from templates_gen.templates.cards import are_near, merged, midway, runs
from templates_gen.words import served, served_in_letters, timber

_SAME_WIDTH = 0.5


@dataclass(frozen=True)
class SharedCard:
    """A card for one place, for several neighbours, or for several runs of these.

    Attributes
    ----------
    runs : tuple of tuple of GaugePlace
        Each of one place or of several neighbours.
    angle : float
        Midway between the least and the greatest of them, radians.
    thickness : float
        Of the planking there, mm.
    """

    runs: tuple[tuple[GaugePlace, ...], ...]
    angle: float
    thickness: float

    @property
    def places(self) -> tuple[GaugePlace, ...]:
        """Return every place that it serves."""
        return tuple(place for run in self.runs for place in run)


def shared_cards(
    boat: Boat,
    places: Sequence[GaugePlace],
    angles: Sequence[float],
    to_print: PrintSet = "full",
    by_breadth: bool = False,
) -> tuple[SharedCard, ...]:
    """Return cards for places in their order; neighbours of one thickness within half a degree share one.

    In the bench set others share it, too, wherever they are along the timber.

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
    found = runs(range(len(places)), share)
    groups: tuple[tuple[tuple[int, ...], ...], ...] = tuple((run,) for run in found)
    if to_print == "bench":
        groups = tuple(part for group in merged(found, angles, share) for part in _named_in_two_rows(group))
    return tuple(
        SharedCard(
            tuple(tuple(places[i] for i in run) for run in group),
            midway([angles[i] for run in group for i in run]),
            thickness[places[group[0][0]].rebate.strake - 1],
        )
        for group in groups
    )


def _named_in_two_rows(group: tuple[tuple[int, ...], ...]) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """A card's runs of places, or a card for each where their names take more rows than there is room for."""
    return (group,) if len(group[0]) == 1 else tuple((run,) for run in group)


def _is_alike(boat: Boat, group: Sequence[GaugePlace], by_breadth: bool) -> bool:
    """Whether planks are of one thickness and, if it matters, the timber equally wide."""
    stock = {boat.hull.planking.thickness[place.rebate.strake - 1] for place in group}
    breadths = [2.0 * float(place.rebate.point[1]) for place in group]
    return len(stock) == 1 and (not by_breadth or round(max(breadths) - min(breadths), 6) <= _SAME_WIDTH)


def place_name(boat: Boat, place: GaugePlace) -> str:
    """Return what a gauge is called by: "strake 3", "50 up the rabbet", "mould 2", "100 aft of mould 2"."""
    return served(place.about, boat.hull.units)[0]


def card_about(card: SharedCard) -> About:
    """Return what a card is about: its place, or its first and last place or strake, run by run."""
    first, *others = (_run_about(run) for run in card.runs)
    return replace(first, also=tuple(others))


def _run_about(run: Sequence[GaugePlace]) -> About:
    first, last = run[0].about, run[-1].about
    if first == last:
        return first
    if last.end is None:
        return replace(first, last_place=last.place)
    if first.place is None:
        return replace(first, last=last.number)
    end = Place("end", last.end)
    return replace(first, last=last.number, last_place=end if last.place is None else last.place)


def run_names(boat: Boat, card: SharedCard) -> list[tuple[str, ...]]:
    """Return for each run of places of a card the name of its place, or of its first and last place."""
    return [served(_run_about(run), boat.hull.units) for run in card.runs]


def card_name(boat: Boat, card: SharedCard) -> str:
    """Return what a card is called by: the name of its place, or the first and last place of each run."""
    return ", ".join(" to ".join(names) for names in run_names(boat, card))


def engraved_rows(boat: Boat, card: SharedCard) -> tuple[str, ...]:
    """Return the rows of a card's short name: its timber, and what it serves."""
    return (
        timber(card.places[0].about.end),
        *(served_in_letters(_run_about(run), boat.hull.units) for run in card.runs),
    )


def stations_served(card: SharedCard) -> tuple[Place, ...]:
    """Return the stations at which a keel's card is held; a station that it is only measured from is none of them."""
    return tuple(place.mark.place for place in card.places if place.distance == 0.0 and place.mark.place is not None)


def name_rows(boat: Boat, card: SharedCard, member: str, room: float = math.inf) -> list[tuple[str, ...]]:
    """Return the rows that name a card: one, or two where a shared card goes from one place to another.

    Where a row has no `room`, mm, for timber and place, each has its own. A row for each other run of places follows.
    """
    (first, *last), *others = run_names(boat, card)
    whole = f"{member} {first}"
    is_short = letters_width(whole, _NAME_HEIGHTS[-1]) <= room
    named: list[tuple[str, ...]] = [(whole, first)] if is_short else [(member,), (first,)]
    rows = [*named, *((f"to {name}",) for name in last)]
    return [*rows, *((f"and {' to '.join(names)}", f"and {'–'.join(names)}") for names in others)]


def along_row(card: SharedCard) -> list[tuple[str, ...]]:
    """Return the row that says along what a keel's card is measured from its mould; none for a card at a mould."""
    return [("measured along base line", "along base line")] if any(place.distance for place in card.places) else []


def marked(boat: Boat) -> tuple[str, ...]:
    """Return the boat's name and the hull file's fingerprint, for a card, the fullest wording first."""
    return marks_of(boat.hull)


def marks_of(owner: Marked) -> tuple[str, str]:
    """Return the same of a drawn boat or a measured plank."""
    whole = owner.of_side(f"{owner.name} {owner.fingerprint}".strip())
    return whole, owner.of_side(owner.fingerprint or owner.name)


def held_at(boat: Boat, place: GaugePlace) -> str:
    """Return where a stem's gauge is held: "38 up the rabbet from land 2", "at the foot"."""
    return " ".join(_held(boat, place))


def _held(boat: Boat, place: GaugePlace) -> tuple[str, ...]:
    """Return the same in two parts, how far up and from what; in one at a land or the foot itself."""
    start = place.after if place.mark.place is None else f"the {place.after}"
    if not place.distance:
        return (f"at {start}",)
    return f"{boat.hull.notation.length(place.distance)} up the rabbet", f"from {start}"


def place_rows(boat: Boat, card: SharedCard, room: float) -> list[tuple[str, ...]]:
    """Return the rows of a stem's card that say where it is held, as far as its name does not.

    ("300 up the rabbet", "from the foot"), ("up the rabbet:", "99.5 from land 2", "93.5 from land 3"). `room`: how
    long a row may be, mm.
    """
    strakes = [place for place in card.places if place.is_at_end_of_strake]
    if not strakes:
        return [("from the foot",)] if card.places[0].distance else []
    if len(strakes) == 1:
        parts = _held(boat, strakes[0])
        whole = " ".join(parts)
        return [(whole,)] if letters_width(whole, _HEIGHTS[-1]) <= room else [(part,) for part in parts]
    places = [held_at(boat, place).replace(" up the rabbet", "") for place in strakes]
    return [("up the rabbet:",), *((place,) for place in places)]


Array = NDArray[np.float64]

FINGER = 35.0
"""Length of the finger that lies on the timber's side, mm (common practice)."""

PAST_SEAT = 40.0
"""How far the seat runs on outside the wood, mm."""

BODY = 30.0
"""Least width of the card outside its working edge and outside the plank end that it has the shape of, mm."""

TOP_ROW = 5.2
"""From the card's back to its first baseline, mm."""

ON_HOG = 60.0
"""How far a keel's gauge is carried on over the hog, mm; 25 or more."""

_PITCH = 4.75
_LOW_ROW = 2.9
_NAME_HEIGHTS = (4.0, 3.5, 3.0, 2.5, 2.25, 2.0)
_HEIGHTS = (3.0, 2.5)
_SMALL = (2.25, 2.0)
"""Heights of the shortest wording of a row where it fits in no greater one, mm."""

Row = tuple[str, ...]
"""The wordings of one row, the fullest first."""


def direction(angle: float) -> Array:
    """Return the unit direction at an angle from +x, radians anticlockwise, shape (2,)."""
    return np.array([np.cos(angle), np.sin(angle)])


def offset_line(points: Array, distance: float) -> Array:
    """Return an open polyline (n, 2) moved square to itself to its left, its corners mitred, mm."""
    along = np.diff(points, axis=0)
    along /= np.linalg.norm(along, axis=1, keepdims=True)
    left = np.column_stack([-along[:, 1], along[:, 0]])
    ahead = np.concatenate([left, left[-1:]])
    behind = np.concatenate([left[:1], left])
    middle = ahead + behind
    return np.asarray(points + distance * 2.0 * middle / np.sum(middle * middle, axis=1, keepdims=True))


def body_for(rows: int, turn: float = 0.0) -> float:
    """Return how wide a card must be for rows of lettering, mm.

    `turn`: angle of the finger to the card, radians; too wide a card leaves nothing of the back of the finger.
    """
    wanted = TOP_ROW + _PITCH * (rows - 1) + _LOW_ROW
    return float(max(BODY, min(wanted, 0.97 * FINGER / max(np.tan(turn / 2), 1e-6))))


def rows_that_fit(body: float) -> int:
    """Return how many rows of lettering a card takes."""
    return int((body - TOP_ROW - _LOW_ROW) / _PITCH + 1e-9) + 1


def plank_length(angle: float, thickness: float, beyond: float = PAST_SEAT) -> float:
    """Return the length of the plank's outer face on a card, from the rabbet line, mm."""
    return float(thickness / np.tan(angle) + beyond)


def dummy_plank_outline(angle: float, thickness: float, beyond: float = PAST_SEAT, body: float = BODY) -> Array:
    """Return the outline of a dummy plank end, shape (7, 2), the wood below its first four points, mm.

    x runs along the timber's side into the wood from the rabbet line at (0, 0), y out of it: the finger's end, the
    rabbet line, the apex, the seat's end, and the card's back.
    """
    up, out = direction(angle), direction(angle + np.pi / 2)
    length = plank_length(angle, thickness, beyond)
    outer_face = np.array([[-FINGER, 0.0], [0.0, 0.0], length * up])
    apex = -thickness * out
    return np.concatenate([outer_face[:2], [apex, apex + length * up], offset_line(outer_face, body)[::-1]])


def hog_outline(angle: float, thickness: float, body: float = BODY) -> Array:
    """Return the outline of a hog's gauge, shape (6, 2): a finger up the keel's side, a blade under the hog, mm.

    x runs up the keel's side from the rabbet line at (0, 0), y out of it; the blade begins thickness / sin above.
    """
    up = direction(angle)
    outer_face = np.array([[-FINGER, 0.0], [0.0, 0.0], plank_length(angle, thickness, ON_HOG) * up])
    corner = np.array([thickness / np.sin(angle), 0.0])
    return np.concatenate([outer_face[:1], [corner, corner + ON_HOG * up], offset_line(outer_face, body)[::-1]])


def ell_outline(stock: float, blade: float, turn: float, body: float = BODY) -> Array:
    """Return the outline of an L, shape (6, 2): a stock, and a blade at 90 degrees + `turn` within the wood, mm.

    The wood's corner is at (0, 0), the stock lies on its face along -x, the blade goes down its edge.
    """
    working = np.array([[-stock, 0.0], [0.0, 0.0], blade * direction(turn - np.pi / 2)])
    return np.concatenate([working, offset_line(working, body)[::-1]])


def bridge_outline(angle: float, thickness: float, half: float, drop: float) -> Array:
    """Return the outline of a card over the keel and both its sides, shape (14, 2), (breadth, height), mm.

    Height counts from the rabbet lines at (±half, 0); the slot for the keel goes down by `drop`.
    """
    up, out = direction(np.pi / 2 - angle), direction(-angle)
    length = plank_length(angle, thickness, ON_HOG)
    outer_face = np.array([[half, -drop - BODY], [half, 0.0], [half, 0.0] + length * up])
    back = offset_line(outer_face, -BODY)
    apex = np.array([half, 0.0]) - thickness * out
    starboard = np.concatenate([[[half, -drop], [half, 0.0], apex, apex + length * up], back[::-1]])
    port = starboard[::-1] * np.array([-1.0, 1.0])
    return np.concatenate([starboard, port])


def rows_of_text(
    rows: Sequence[Row], at: Array, angle: float, room: Sequence[float] | float, named: bool = True
) -> tuple[Label, ...]:
    """Return rows of one block, in the widest wording and greatest height that fit; what never fits is left out.

    Parameters
    ----------
    at : Array, shape (2,)
        Start of the first baseline.
    room : float or one for each row
        Width at hand, mm.
    named : bool
        Whether the first row is the card's name, larger.
    """
    down = direction(angle - np.pi / 2)
    rooms = [room] * len(rows) if isinstance(room, float) else list(room)
    labels = []
    for index, (row, width) in enumerate(zip(rows, rooms, strict=True)):
        heights = _NAME_HEIGHTS if named and index == 0 else _HEIGHTS
        place = at + _PITCH * index * down
        start = (float(place[0]), float(place[1]))
        label = fitted(row, start, width, heights, angle) or fitted(row[-1:], start, width, _SMALL, angle)
        if label is not None:
            labels.append(replace(label, block=block_at((float(at[0]), float(at[1])))))
    return tuple(labels)


def fitted(
    row: Row, at: tuple[float, float], room: float, heights: Sequence[float] = _HEIGHTS, angle: float = 0.0
) -> Label | None:
    """Return the fullest wording that fits into `room` mm, as high as it can be; None if none does."""
    for text in row:
        for height in heights:
            if letters_width(text, height) <= room:
                return Label(text, at, height, angle)
    return None
