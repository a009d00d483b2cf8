"""The card that a land is planed to: two legs that meet at the lap line, turned by the bevel."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import HANGING_HOLE, hanging_hole, letters_width, line, tick
from templates_gen.drawing.piece import Label, Path, Role
from templates_gen.templates.cards import CardDrawing, Row, broken, depth, set_down, tenths

Array = NDArray[np.float64]

LONG_LEG = 70.0
"""Length of the leg on the unplaned face, mm, where the strake is wide enough."""

CLEAR = 5.0
"""By how much that leg stays short of the shown width, mm."""

SHORT_LEG = 40.0
"""Least length of the leg on the planed face, mm."""

PAST_EDGE = 18.0
"""How far that leg runs past the plank's edge at least, mm."""

BODY = 35.0
"""Height of the body over the long leg, mm; more where there is much to write."""

NICK = 1.0
"""Depth of the nick at the corner, so that the wood's ridge cannot hold the card off, mm."""

LEAST = 12.0
"""No part of a card is narrower than this, mm."""

CUT_CORNER = 10.0
"""Cut off one corner of a card for a hollow, so that hand and eye tell it from the others, mm."""

_SIGHT = 10.0
_TICK = 5.0
_SMALL, _PLAIN, _NAME, _BEVEL = 2.5, 3.0, 4.0, 5.0
_MARGIN = 2.5
_LOWEST_ROW = 11.5
_HOLE_IN = LEAST + HANGING_HOLE / 2


@dataclass(frozen=True)
class LandCard:
    """What makes one card.

    Attributes
    ----------
    bevel : float
        Radians, positive for a hollow too: the legs are the same.
    long_leg : float
        On the unplaned face, mm.
    lap : float
        mm.
    is_hollow : bool
    set_gauge : str
        The bevel of the general set's gauge that may be used instead, "6°"; "" if there is none.
    name : str
        The largest words on it.
    rows : tuple of str
        What else is written, the first in plain height, the rest small.
    fine_print : tuple of str
        What is written under all that on paper only, small.
    """

    bevel: float
    long_leg: float
    lap: float
    is_hollow: bool
    set_gauge: str
    name: str
    rows: tuple[str, ...]
    fine_print: tuple[str, ...]

    @property
    def short_leg(self) -> float:
        """Return the length of the leg on the planed face, mm."""
        return max(SHORT_LEG, self.lap + PAST_EDGE)


def long_leg(room: float) -> float:
    """Return the length of the leg on the unplaned face where the strake shows `room` mm."""
    return float(min(LONG_LEG, max(room - CLEAR, LEAST)))


def legs(bevel: float, keel_leg: float, sheer_leg: float) -> Array:
    """Return the working edge from the long leg's end by the nick at (0, 0) to the short leg's, shape (5, 2), mm."""
    cosine, sine = np.cos(bevel), np.sin(bevel)
    return np.array(
        [
            [-keel_leg, 0.0],
            [-NICK, 0.0],
            [0.0, NICK],
            [NICK * cosine, -NICK * sine],
            [sheer_leg * cosine, -sheer_leg * sine],
        ]
    )


def card_drawing(card: LandCard) -> CardDrawing:
    """Return the card drawn, the wood below it, C at (0, 0), the long leg along -x, the short leg turned down."""
    edge = legs(card.bevel, card.long_leg, card.short_leg)
    right = float(edge[-1, 0])
    left = -card.long_leg + _MARGIN
    hole_x = right - _HOLE_IN
    wide = hole_x - HANGING_HOLE / 2 - 2.0 - left
    beside_bevel = right - _MARGIN - letters_width(tenths(card.bevel), _BEVEL) - 2.0 - left
    rows = _rows(card, min(wide, beside_bevel - (CUT_CORNER if card.is_hollow else 0.0)), wide)
    height = max(BODY, _LOWEST_ROW + depth(rows) + _MARGIN)
    corner = [(-card.long_leg + CUT_CORNER, height), (-card.long_leg, height - CUT_CORNER)]
    top = [(right, height), *(corner if card.is_hollow else [(-card.long_leg, height)])]
    outline = Path(np.concatenate([edge, top]), Role.CUT, closed=True)
    labels = (
        *_clear_of_corner(set_down(rows, (left, height - _MARGIN)), card.is_hollow),
        Label(tenths(card.bevel), (right - _MARGIN, height - _MARGIN - _BEVEL), _BEVEL, anchor="end"),
        *_leg_labels(card, right),
    )
    return CardDrawing((outline, *_marks(card)), (hanging_hole(hole_x, height / 2),), labels)


def _clear_of_corner(labels: tuple[Label, ...], is_hollow: bool) -> tuple[Label, ...]:
    """The first row moved in, clear of the corner that is cut off; the others are below it."""
    if not is_hollow:
        return labels
    first, *rest = labels
    x, y = first.at
    return (replace(first, at=(x + CUT_CORNER - 1.0, y)), *rest)


def _rows(card: LandCard, beside_bevel: float, width: float) -> Sequence[Row]:
    """All rows, broken: the first ones to the room that the figure of the bevel leaves."""
    first, *rest = card.rows
    fine = [f"in the set: {card.set_gauge}"] if card.set_gauge else []
    high = broken([Row(card.name, _NAME), Row(first, _PLAIN)], beside_bevel)
    small = [Row(text, _SMALL) for text in rest]
    small += [Row(text, _SMALL, is_fine_print=True) for text in (*fine, *card.fine_print)]
    return (*high, *broken(small, width))


def _marks(card: LandCard) -> tuple[Path, ...]:
    """The sighting line at the nick and the tick at the plank's edge."""
    along = np.array([np.cos(card.bevel), -np.sin(card.bevel)])
    square = np.array([-along[1], along[0]])
    return (
        line(Role.SCRIBE, (0.0, NICK), (0.0, _SIGHT)),
        tick(card.lap * along, square, 0.0, _TICK),
    )


def _leg_labels(card: LandCard, right: float) -> tuple[Label, ...]:
    """Which way each leg points, and what is written at the nick and at the tick."""
    ends = ("SHEER", "KEEL") if card.is_hollow else ("KEEL", "SHEER")
    edge = "lower edge here" if card.is_hollow else "edge of plank here"
    corner = "lap line" if not card.is_hollow else "lap"
    low = _MARGIN - 1.0
    return (
        Label(ends[0], (-card.long_leg + 1.5, low), _PLAIN, engraved=ends[0][0]),
        Label(ends[1], (right - 1.5, low), _PLAIN, anchor="end", engraved=ends[1][0]),
        Label(corner, (-1.2, _TICK + 1.8), _SMALL, anchor="end"),
        Label(edge, (1.2, _TICK + 1.8), _SMALL),
    )
