"""The marks across a stem's rabbet line, of lands and of gauges, each with its words at the end of its short line."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.drawing.marks import block_at, letters_width, line, tick
from templates_gen.drawing.piece import Label, Path, PrintSet, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebate_places import GaugePlace, stem_gauge_places
from templates_gen.geometry.stem_side import StemSide, outer_edge
from templates_gen.templates.moulds.writing import Writing
from templates_gen.templates.rebates.cards import SharedCard, place_name, run_names
from templates_gen.templates.rebates.stem.gauges import stem_cards
from templates_gen.templates.rebates.stem.surroundings import face_distance
from templates_gen.units import format_angle

Array = NDArray[np.float64]

_LAND_REACH = 10.0
_GAUGE_REACH = 15.0
"""mm that the marks of lands and of gauges reach outside the rabbet line; a land's as far inside it."""

_NEAR = 1e-3
_ON_EDGE = 1.0
"""A short line that leaves the outline by this or less is not drawn over it, mm."""

_HEIGHTS = (3.0, 2.5)
_PITCH = 1.5
"""From row to row, in heights of capitals."""

_GAP = 1.8
"""mm from the end of a short line to its words."""

_OFF_LINE = 1.3
"""mm from a line that words stand next to, to the room of their rows."""

_OFF_WOOD = 3.0
"""mm from the edge of the wood to words that stand off it."""

_LED = (0.0, 10.0, 20.0, 30.0, 45.0, 60.0)
"""mm past the edge of the wood at which words at the end of a leader are tried."""

_CLEAR_OF_MARKS = 4.0
"""mm along the stem that words written along it keep from the marks of others."""

_ASIDES = (0.0, 1.0, -1.0)
"""Whether the first row of words stands on the line that their mark's goes on in, or all to its left or right."""

_MAY_MOVE = 25.0
"""How far words may be moved off a joint of sheets, mm; a leader then leads to them."""


@dataclass(frozen=True)
class StemMarks:
    """The places of lands and gauges on a stem.

    Attributes
    ----------
    side : StemSide
    gauges : tuple of (GaugePlace, float, SharedCard)
        Each with its distance from the foot along the rabbet line, mm, and the card that serves it.
    cut_at_rabbet : bool
        Whether the wood ends at the rabbet line, so that no mark reaches outside it.
    """

    side: StemSide
    gauges: tuple[tuple[GaugePlace, float, SharedCard], ...]
    cut_at_rabbet: bool

    @property
    def distances(self) -> Array:
        """Return how far from the foot the marks are along the rabbet line, shape (n,), mm."""
        return np.array([*self.side.lands, *(at for _, at, _ in self.gauges)])

    @property
    def paths(self) -> list[Path]:
        """Return a short line across the rabbet line at the garboard's lower end, at each land and for each gauge."""
        reach, gauge_reach = (0.0, 0.0) if self.cut_at_rabbet else (_LAND_REACH, _GAUGE_REACH)
        lands = [path for at in self.side.lands for path in self._across(float(at), reach, _LAND_REACH)]
        for _, at, _ in self.gauges:
            lands += self._across(at, 0.0 if self._is_on_outline(at) else gauge_reach, self.side.bearding_at(at))
        return lands

    def _is_at_end(self, distance: float) -> bool:
        return distance < _NEAR or distance > self.side.along[-1] - _NEAR

    def _is_on_outline(self, distance: float) -> bool:
        """Return whether the outline, at head or foot, lies where a gauge's line would, outside the rabbet line."""
        face = outer_edge(self.side)
        if face is None or not self._is_at_end(distance):
            return False
        point, _, inward = self.side.side(np.array(distance))
        corner = face[0 if distance < _NEAR else -1] - point
        sine = abs(corner[0] * inward[1] - corner[1] * inward[0]) / np.linalg.norm(corner)
        return bool(sine * _GAUGE_REACH < _ON_EDGE)

    def _across(self, distance: float, outside: float, inside: float) -> list[Path]:
        """A straight across the rabbet line; at head and foot the outline goes on inside in its place."""
        point, _, inward = self.side.side(np.array(distance))
        inside = 0.0 if self._is_at_end(distance) else inside
        return [tick(point, inward, outside, inside)] if outside + inside > 0.0 else []

    def write(self, boat: Boat, writing: Writing) -> None:
        """Write what each mark is at the end of its short line: lands outside the rabbet line, gauges inside."""
        inwards = self.side.side(np.array([at for _, at, _ in self.gauges]))[2]
        reads_inward = bool(inwards[:, 0].sum() >= 0.0)
        for (place, at, card), inward in zip(self.gauges, inwards, strict=True):
            wordings = gauge_wordings(place_name(boat, place), boat, card, self._is_at_end(at))
            places = product(self._sides(at, reads_inward), self._inside(at), wordings)
            _write(writing, [_Flag(rows, *where, inward, reads_inward, sides) for sides, where, rows in places])
        for land, at in enumerate(map(float, self.side.lands)):
            self._write_land(boat, land, at, writing)

    def _sides(self, distance: float, reads_inward: bool) -> Sequence[Sequence[float]]:
        """On which side of a mark's line its words may stand; of one at the wood's end, on the wood if they can."""
        if not self._is_at_end(distance):
            return (_ASIDES,)
        _, head, inward = self.side.side(np.array(distance))
        up = np.array([-inward[1], inward[0]]) * (1.0 if reads_inward else -1.0)
        toward_wood = head if distance < _NEAR else -head
        return (float(np.sign(up @ toward_wood)),), _ASIDES

    def _inside(self, distance: float) -> Iterator[tuple[Array, float]]:
        """Where the words of a gauge may begin: the end of its line, and how far from it, mm."""
        bearding = self.side.bearding_at(distance)
        tip = self.side.inside(np.array(distance), bearding)
        yield tip, _GAP
        yield tip, 2 * _GAP
        for far in _LED:
            yield tip, self.side.wood - bearding + _OFF_WOOD + far

    def _write_land(self, boat: Boat, land: int, distance: float, writing: Writing) -> None:
        """Write a land's name and height at its tick's end, or along the stem or off the wood for want of room."""
        point, head, inward = self.side.side(np.array(distance))
        count = len(self.side.lands) - 1
        height = boat.hull.notation.length(float(point[1]))
        name = "garboard's end" if land == 0 else "sheer" if land == count else f"land {land}"
        reach = 0.0 if self.cut_at_rabbet else _LAND_REACH
        tip, rows = point - reach * inward, (name, f"height {height}")
        reads_outward = bool(inward[0] <= 0.0)
        if _write(writing, [_Flag(rows, tip, _GAP, -inward, reads_outward)]):
            return
        for words in ((f"{name}: height {height}",), rows):
            along = _along(words, point, head, inward, reach)
            if any(self._is_clear(labels, distance) and writing.add(labels) for labels in along):
                return
        face = outer_edge(self.side)
        off = _OFF_WOOD - reach + (0.0 if face is None else max(face_distance(face, point, inward), 0.0))
        if _write(writing, [_Flag(rows, tip, off + far, -inward, reads_outward) for far in _LED]):
            return
        for text in (name, "garboard" if land == 0 else str(land)):
            along = _along((text,), point, head, inward, reach)
            if any(self._is_clear(labels, distance) and writing.add(labels) for labels in along):
                return

    def _is_clear(self, labels: Sequence[Label], distance: float) -> bool:
        """Return whether words along the stem at one land's mark keep clear of the marks of others."""
        label = max(labels, key=lambda one: letters_width(one.text, one.height))
        half = letters_width(label.text, label.height) / 2 + _CLEAR_OF_MARKS
        points = self.side.inside(self.distances[np.abs(self.distances - distance) > _NEAR], 0.0)
        along = (points - label.at) @ np.array([np.cos(label.angle), np.sin(label.angle)])
        return not np.any(np.abs(along) < half)


def stem_marks(boat: Boat, end: EndName, side: StemSide, cut_at_rabbet: bool, to_print: PrintSet) -> StemMarks:
    """Return the marks of the stem at one end; each gauge's is that of the card which serves it in the set."""
    card_of = {place.about: card for card in stem_cards(boat, end, to_print) for place in card.places}
    places = stem_gauge_places(boat.shell, end, boat.rebates)
    return StemMarks(side, tuple((one, _from_foot(side, one), card_of[one.about]) for one in places), cut_at_rabbet)


def _from_foot(side: StemSide, place: GaugePlace) -> float:
    """How far a gauge's place lies from the foot, along the rabbet line, mm."""
    land = place.mark.number
    return place.distance if land is None else float(side.lands[land]) + place.distance


def gauge_wordings(name: str, boat: Boat, card: SharedCard, is_at_end: bool = False) -> tuple[tuple[str, ...], ...]:
    """Return what is written at the mark of a place with a `name`, in rows, the widest first.

    The place, if the card is called by another one, then the name that the card begins with, and its angle:
    ("gauge strake 3: 25°",), ("250 up the rabbet:", "gauge 150 up the rabbet: 25°") … At the wood's end they also say
    that there is no other line.
    """
    called = run_names(boat, card)[0][0]
    own = () if name == called else (f"{name}:",)
    angle, here = format_angle(card.angle), ("its line is", "this end") if is_at_end else ()
    return (
        (*own, f"gauge {called}: {angle}", *here),
        (*own, f"gauge {called}", angle, *here),
        *(() if own else (("gauge", called, angle, *here),)),
    )


@dataclass(frozen=True)
class _Flag:
    """Rows of words in the direction of a mark's short line, `gap` mm beyond its end at `tip`."""

    rows: Sequence[str]
    tip: Array
    gap: float
    direction: Array
    reads_outward: bool
    asides: Sequence[float] = _ASIDES

    def labels(self, height: float, aside: float) -> list[Label]:
        """Return the rows as one block: the first on its line at an `aside` of 0, all left of it at 1, right at -1.

        A leader that is drawn when the block is moved begins where the first row was, so only a block on its line has
        one.
        """
        reading = self.direction if self.reads_outward else -self.direction
        up, pitch, count = np.array([-reading[1], reading[0]]), _PITCH * height, len(self.rows)
        off = aside * (count * pitch / 2 + _OFF_LINE) if aside else (1 - count) * pitch / 2
        middle = self.tip + self.gap * self.direction + off * up
        labels = []
        for row, text in enumerate(self.rows):
            x, y = middle + (((count - 1) / 2 - row) * pitch - height / 2) * up
            labels.append(
                Label(
                    text,
                    (float(x), float(y)),
                    height,
                    float(np.arctan2(reading[1], reading[0])),
                    "start" if self.reads_outward else "end",
                    kind="measure",
                    block=block_at((float(middle[0]), float(middle[1]))),
                )
            )
        labels[0] = replace(labels[0], has_leader=not aside, room=_MAY_MOVE)
        return labels

    @property
    def leader(self) -> list[Path]:
        """Return what leads from the short line to the words, where they do not begin at its end."""
        if self.gap <= 2 * _GAP:
            return []
        (x0, y0), (x1, y1) = (self.tip + at * self.direction for at in (0.0, self.gap - 1.0))
        return [line(Role.NOTE, (float(x0), float(y0)), (float(x1), float(y1)))]


def _write(writing: Writing, flags: Sequence[_Flag]) -> bool:
    """Return whether one of some flags found room, the first that does; then it is written and its leader drawn."""
    tries = ((flag, height, aside) for flag in flags for height in _HEIGHTS for aside in flag.asides)
    for flag, height, aside in tries:
        if flag.leader and (aside or not writing.is_clear_of_words(flag.leader[0])):
            continue
        if writing.add(flag.labels(height, aside)):
            writing.draw(flag.leader)
            return True
    return False


def _along(rows: Sequence[str], at: Array, head: Array, inward: Array, reach: float) -> Iterator[list[Label]]:
    """Yield where rows of words may stand outside the rabbet line, along it, the nearest to their tick first."""
    reading = -head if head[0] < 0.0 else head
    up = np.array([-reading[1], reading[0]])
    angle = float(np.arctan2(reading[1], reading[0]))
    for height, gap, along in product(_HEIGHTS, (reach + 1.5, 1.5), (0.0, 1.0, -1.0)):
        shift = along * (max(letters_width(text, height) for text in rows) / 2 + 2.0) * reading
        is_below = up @ inward > 0.0
        nearest = 1.2 * height if is_below else 0.35 * height
        labels = []
        for row, text in enumerate(rows):
            away = gap + nearest + _PITCH * height * (row if is_below else len(rows) - 1 - row)
            x, y = at - away * inward + shift
            labels.append(Label(text, (float(x), float(y)), height, angle, "middle", kind="measure"))
        block = block_at(labels[0].at) if len(labels) > 1 else ""
        yield [replace(label, block=block) for label in labels]
