"""Gerald cards, laid on the land from the strake's end, and the block that tries the finished gerald."""

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import hanging_hole, letters_width
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.notation import Marked
from templates_gen.templates.bevels.edge_lines import LONGEST
from templates_gen.templates.bevels.facts import (
    QUARTER_NAMES,
    Gerald,
    GeraldOutline,
    LandFacts,
    gerald_outline,
    geralds_of,
)
from templates_gen.templates.bevels.gerald_views import views_piece
from templates_gen.templates.cards import Row, depth, set_down
from templates_gen.templates.rebates.cards import marks_of
from templates_gen.words import piece_name

Array = NDArray[np.float64]

_SMALL = 2.5
_SIDE = 1.6
_BETWEEN = 5.0
"""Between the cards of a piece, mm."""

_BLOCK = 80.0
_MIDDLE_ROW_FROM = 15.0
"""Least width of a card that has room for a row of lettering between those at its two edges, mm."""

_NOTES = (
    "Cut the cards apart and lay each on its land from the end of the strake: the side 'lap line' on the lap line, "
    "the "
    "side 'edge' on the plank's edge, 'start' where the gerald begins. Prick the quarters through. Lay a card in "
    "parts "
    "part against part; you need not join them.",
    "LOWER strake, OUTSIDE: PORT as drawn. UPPER strake, INSIDE: STARBOARD as drawn. Turn over for the other side.",
    "The figures are what comes off square to the face, gerald and bevel together, at the plank's edge (with what is "
    "left there) and at the lap line. Plane fair from quarter to quarter. Check the depths; at the very end also try "
    "the gerald block where it fits (see the block and the table of geralds).",
)

_MAKE_BLOCK = "Make the block of any hard wood, planed to the thickness written on it."


def gerald_pieces(boat: Boat, all_facts: Sequence[LandFacts]) -> tuple[Piece, ...]:
    """Return the gerald cards of lands whose facts are known."""
    geralds = [gerald for facts in all_facts for gerald in geralds_of(boat.shell, facts)]
    outlines = [{upper: gerald_outline(boat, gerald, upper) for upper in (False, True)} for gerald in geralds]
    cards = [gerald_card(boat.hull, *one) for one in zip(geralds, outlines, strict=True)]
    mark, notation = marks_of(boat.hull)[1], boat.hull.notation
    views = [views_piece(gerald, boat.shell.planking.lap_on(gerald.land), mark, notation) for gerald in geralds]
    return (*gerald_blocks(boat.hull, boat.shell.planking.lap_on, geralds), *cards, *views)


def gerald_blocks(owner: Marked, lap_on: Callable[[int], float], geralds: Sequence[Gerald]) -> tuple[Piece, ...]:
    """Return a block for each thickness of the geralds' lower strakes, as wide as the widest lap of theirs, mm."""
    stock = sorted({gerald.lower_thickness for gerald in geralds})
    own = [(thickness, [g for g in geralds if g.lower_thickness == thickness]) for thickness in stock]
    return tuple(_block(owner, max(lap_on(g.land) for g in some), thickness, some) for thickness, some in own)


def block_notes(geralds: Sequence[Gerald]) -> tuple[str, ...]:
    """Return in words where a block of half the thickness of some geralds' lower strakes fits, and where not.

    It is laid in at the strake's end, where the gerald's own depth is half the thickness.
    """
    lower = [g for g in geralds if g.block_fits_lower]
    only_edge = [g for g in geralds if not g.block_fits_lower]
    upper = [g for g in geralds if g.block_fits_upper]
    notes = [_MAKE_BLOCK]
    if lower:
        where = f"every land but {_listed(only_edge)}" if only_edge else "every land"
        notes.append(
            "LOWER strake, outside: lay it in the finished gerald at the very end of the strake. It must be flush "
            "with "
            f"the unplaned face over the whole width of the land, on {where if len(lower) > 1 else _listed(lower)}."
        )
    if only_edge:
        notes.append(
            f"LOWER strake of {_listed(only_edge)}: the land is hollow there and more comes off at the lap line, so "
            f"the "
            "block fits at the plank's edge only. Use the depths."
        )
    notes.append(
        "UPPER strake, inside: it fits one lap in from the edge only; at its edge use the depths"
        + (f". On {_listed(upper)} it fits the whole width." if upper else ".")
    )
    return tuple(notes)


def _listed(geralds: Sequence[Gerald]) -> str:
    """Geralds by land and end: "land 1 aft, land 3 fore"."""
    return ", ".join(f"land {gerald.land} {gerald.end}" for gerald in geralds)


def block_words(gerald: Gerald) -> str:
    """Return in which strake's end the block lies flush, after "block fits": in that one's edge only, if no more."""
    if gerald.block_fits_lower:
        return "both strakes" if gerald.block_fits_upper else "lower strake"
    return "lower edge only"


def _block(owner: Marked, lap: float, thickness: float, geralds: Sequence[Gerald]) -> Piece:
    """The block's outline, as wide as the lap but with room for a hole and its letters."""
    notation, wide = owner.notation, max(lap, 18.0)
    half = notation.depths_of(thickness / 2)
    outline = np.array([[0.0, 0.0], [_BLOCK, 0.0], [_BLOCK, wide], [0.0, wide]])
    rows = [
        Row(f"GERALD BLOCK, {half} thick", 3.0),
        Row(f"half of {notation.depths_of(thickness)}: lower strake", _SMALL),
    ]
    about = About("land", part="gerald block", which=(thickness / 2,))
    return Piece(
        piece_name(about, owner.units),
        "bevels",
        (f"Gerald block, {half} thick", "LOWER strake, at its end; either hand, both ends"),
        (Path(outline, Role.CUT, closed=True),),
        (hanging_hole(_BLOCK - 9.0, wide / 2),),
        set_down(rows, (3.0, (wide + depth(rows)) / 2)),
        block_notes(geralds),
        about=about,
    )


def gerald_card(owner: Marked, gerald: Gerald, outlines: Mapping[bool, GeraldOutline]) -> Piece:
    """Return the cards of a gerald's two strakes, or of one of them, each in parts that go on any sheet.

    The lower strake's are below, the part with the start lowest, all with the fore end left.

    Parameters
    ----------
    owner : Marked
    gerald : Gerald
    outlines : mapping of bool to GeraldOutline
        Where it lies on its upper strake (True) and on its lower one (False); a strake that is left out has no card.
    """
    land, end = gerald.land, gerald.end
    paths: list[Path] = []
    labels: list[Label] = []
    level = 0.0
    for upper, outline in sorted(outlines.items()):
        for first, last in _parts(outline):
            part = _moved(outline, first, last, level)
            paths += _lines(part, first, last)
            words = _words(owner, outline, gerald, upper)
            labels += _lettering(owner, part, gerald, upper, words, range(first + (first > 0), last + 1))
            level = float(max(part.edge[:, 1].max(), part.inner[:, 1].max())) + _BETWEEN
    about = About("land", land, end=end, part="gerald card")
    return Piece(
        piece_name(about),
        "bevels",
        (
            f"Land {land}, gerald {end}: {'cards' if len(outlines) > 1 else 'card'}",
            *([f"LOWER strake {land}, OUTSIDE, upper edge: PORT as drawn"] if False in outlines else []),
            *([f"UPPER strake {land + 1}, INSIDE, lower edge: STARBOARD as drawn"] if True in outlines else []),
            "with the writing upright: FORE left, KEEL below, SHEER above",
        ),
        tuple(paths),
        (),
        tuple(labels),
        _NOTES,
        is_paper=True,
        about=about,
    )


def _parts(outline: GeraldOutline) -> tuple[tuple[int, int], ...]:
    """From which quarter to which each part of a card goes: as few parts as go on any sheet."""
    whole = float(np.ptp(np.concatenate([outline.edge, outline.inner])[:, 0]))
    each = 4 if whole <= LONGEST else 2
    return tuple((first, first + each) for first in range(0, 4, each))


def _moved(outline: GeraldOutline, first: int, last: int, level: float) -> GeraldOutline:
    """The part of a card between two quarters, its lower left corner at the height `level`; all quarters go along."""
    edge, inner = (
        _between(points, outline.quarters[first, side], outline.quarters[last, side])
        for side, points in enumerate((outline.edge, outline.inner))
    )
    by = np.array([0.0, level]) - np.concatenate([edge, inner]).min(axis=0)
    return GeraldOutline(edge + by, inner + by, outline.quarters + by)


def _between(points: Array, start: Array, stop: Array) -> Array:
    """A line's points between two of its own, with these two."""
    low, high = sorted((float(start[0]), float(stop[0])))
    inside = (points[:, 0] > low + 1e-6) & (points[:, 0] < high - 1e-6)
    return np.concatenate([start[None], points[inside], stop[None]])


def _lines(outline: GeraldOutline, first: int, last: int) -> tuple[Path, ...]:
    """A card's outline and the lines at the quarters within it; its ends are the outline's own sides."""
    around = np.concatenate([outline.edge, outline.inner[::-1]])
    quarters = (Path(line, Role.SCRIBE) for line in outline.quarters[first + 1 : last])
    return (Path(around, Role.CUT, closed=True), *quarters)


def _words(owner: Marked, outline: GeraldOutline, gerald: Gerald, upper: bool) -> tuple[tuple[str, ...], ...]:
    """What is written after each quarter's name, the fullest wording first."""
    land = f"Land {gerald.land}"
    level, number = ("UPPER", gerald.land + 1) if upper else ("LOWER", gerald.land)
    strake = f"{level} STRAKE {number}"
    face, other = ("INSIDE, STARBOARD", "PORT") if upper else ("OUTSIDE, PORT", "STARBOARD")
    run = float(np.linalg.norm(np.diff(outline.edge, axis=0), axis=1).sum())
    long, end = f"{owner.notation.spoken_length(run)} long", gerald.end.upper()
    marks = marks_of(owner)
    return (
        _sides_served(owner, other),
        (land,),
        (*(f"{strake} · {mark}" for mark in marks), strake),
        (f"{land}, {strake}, {long}", f"{land}, {level} {number}, {long}", f"{level} {number}, {long}", long),
        (f"{end}: {face} · {marks[1]}", f"{end}: {face}", end),
    )


def _sides_served(owner: Marked, other: str) -> tuple[str, ...]:
    """Which sides of the boat a card serves, and whether it is turned over for `other`, which is not drawn."""
    if owner.side is None:
        return f"both sides: turn over for {other}", "both sides: turn over", "turn over"
    side = owner.side.upper()
    return (f"{side} only: turn over", "turn over") if side == other else (f"{side} only", side)


def _lettering(
    owner: Marked,
    outline: GeraldOutline,
    gerald: Gerald,
    upper: bool,
    words: Sequence[tuple[str, ...]],
    quarters: Sequence[int],
) -> list[Label]:
    """What is written next to some quarters, on the side toward the start (at the start itself: toward the end).

    Each figure is where it holds: by the plank's edge or by the lap line; names and words are in the middle.
    """
    labels: list[Label] = []
    notation = owner.notation
    unit = notation.depth_suffix
    figures = gerald.depths(upper, notation)
    for k in quarters:
        name, spot = QUARTER_NAMES[k], _Spot(outline, k)
        edge, stays, lap, stays_at_lap = (notation.depth(float(figure[k])) for figure in figures)
        by_edge = [f"edge {edge}, left {stays}{unit}", f"edge {edge}{unit}", edge]
        by_lap = [
            f"lap line {lap}, left {stays_at_lap}{unit}",
            f"lap {lap}, left {stays_at_lap}{unit}",
            f"lap line {lap}{unit}",
            lap,
        ]
        middle = [*(f"{name}  {text}" for text in words[k]), name]
        labels += [spot.label(by_edge, "edge"), spot.label(by_lap, "inner")]
        if spot.width >= _MIDDLE_ROW_FROM:
            labels.append(spot.label(middle, "middle"))
    return labels


class _Spot:
    """The room next to one quarter of a card, and how lettering is set in it."""

    def __init__(self, outline: GeraldOutline, quarter: int) -> None:
        quarters = outline.quarters
        self.edge, inner = quarters[quarter]
        neighbour = quarters[1] if quarter == 0 else quarters[quarter - 1]
        along = neighbour[0] - self.edge
        share = 0.48 if quarter <= 1 else 1.0
        by_edge, by_inner = (share * float(np.linalg.norm(neighbour[i] - quarters[quarter][i])) for i in (0, 1))
        self._spans = {"edge": by_edge, "inner": by_inner, "middle": min(by_edge, by_inner)}
        self._toward_right = bool(along[0] > 0)
        self._along = along / np.linalg.norm(along)
        direction = self._along if self._toward_right else -self._along
        self._angle = float(np.arctan2(direction[1], direction[0]))
        self._up = np.array([-direction[1], direction[0]])
        self._across = inner - self.edge
        self.width = abs(float(self._across @ self._up))
        self._inner_is_above = bool(self._across @ self._up > 0)

    def label(self, choices: Sequence[str], where: str) -> Label:
        """Return the first of some texts that fits, near the edge, near the inner line or between them."""
        shares = {"edge": _SIDE / self.width, "inner": 1.0 - _SIDE / self.width, "middle": 0.5}
        lean = abs(float(self._across @ self._along)) / self.width
        room = self._spans[where] - 3.0 - 2.0 * lean * _SMALL
        text = next((t for t in choices if letters_width(t, _SMALL) <= room), choices[-1])
        on_line = self.edge + shares[where] * self._across
        below = (where == "inner") == self._inner_is_above and where != "middle"
        drop = _SMALL / 2 if where == "middle" else _SMALL if below else 0.0
        place = on_line + 1.5 * self._along - drop * self._up
        place = place + lean * _SMALL * self._along
        return Label(
            text,
            (float(place[0]), float(place[1])),
            _SMALL,
            self._angle,
            "start" if self._toward_right else "end",
            kind="name" if where == "middle" else "measure",
        )
