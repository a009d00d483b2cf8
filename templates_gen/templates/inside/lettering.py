"""Lettering of the patterns: words in the largest column that has room, figures along an edge where they fit."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Hand
from templates_gen.drawing.marks import letters_width
from templates_gen.drawing.piece import Facing, Label, Piece
from templates_gen.geometry.boat import Boat
from templates_gen.notation import Notation
from templates_gen.templates.cards import CardDrawing, Row, broken, set_down
from templates_gen.templates.moulds.edge import Flat
from templates_gen.templates.moulds.writing import Writing
from templates_gen.words import piece_name

Array = NDArray[np.float64]

NAME, TEXT = 4.5, 3.0
"""Heights of the capitals of a piece's name and of the words under it, mm."""

PLANKS_VARY = (
    "Planks never lie quite as drawn. Cut the pattern from thin ply or card first and try it in the boat. Where it "
    "stands off the planks, scribe it to them."
)

_HEIGHTS = (3.0, 2.5, 2.0)
_WIDTHS = (150.0, 110.0, 80.0, 60.0)
"""mm: columns in which words are set, the widest first."""

_STEP = 12.0


def pattern(
    about: About,
    title: tuple[str, ...],
    drawing: CardDrawing,
    notes: tuple[str, ...],
    facing: Facing | None = None,
    is_paper: bool = False,
) -> Piece:
    """Return the piece of what is put inside the planking, under its own name."""
    return Piece(
        piece_name(about),
        "inside",
        title,
        drawing.paths,
        drawing.holes,
        drawing.labels,
        notes,
        is_paper,
        about=about,
        facing=facing,
    )


def hand_of(boat: Boat, drawn: Hand) -> Hand:
    """Return the side that a pattern is for, which is drawn of the side `drawn` where one serves both.

    A boat as built, both sides of which are not alike, names its own in its hull; the pattern is then of that hand.
    """
    return boat.hull.side or drawn


def for_hand(boat: Boat, both: str, each: str) -> str:
    """Return how one pattern serves both sides, or what is done where each side has its own."""
    return both if boat.hull.side is None else f"{boat.hull.side.upper()} side only; {each}"


def sentence(text: str) -> str:
    """Return words as a sentence: its first letter a capital, and a full stop after it."""
    return f"{text[0].upper()}{text[1:]}."


def word_rows(name: str, texts: Sequence[str]) -> tuple[Row, ...]:
    """Return a piece's name and what to do with it, as rows to be broken."""
    return (Row(name.upper(), NAME), *(Row(text, TEXT, kind="instruction") for text in texts))


def write_words(writing: Writing, closed: Array, rows: Sequence[Row], from_top: bool) -> None:
    """Write rows where they have room within the bounds of a closed outline; fewer of them where there is not enough.

    `from_top`: whether the highest place is tried first, else the lowest.
    """
    left, low = closed.min(axis=0)
    right, high = closed.max(axis=0)
    heights = np.arange(high - 4.0, low, -_STEP)
    for some in (rows, rows[:3], rows[:1]):
        for width in _WIDTHS:
            set_rows = broken(some, width)
            for y in heights if from_top else heights[::-1]:
                for x in np.arange(left + 4.0, right - width / 2, _STEP):
                    if writing.add(set_down(set_rows, (float(x), float(y)))):
                        return


def write_on_flat(writing: Writing, flat: Flat, texts: Sequence[str], inside: float) -> bool:
    """Write the first of some texts that has room along an edge, `inside` mm and a little more from it.

    Returns whether one of them had.
    """
    for text in texts:
        for height in _HEIGHTS:
            wide = letters_width(text, height)
            room = flat.length - wide - 3.0
            for share in (0.5, 0.7, 0.3, 0.9, 0.1) if room > 0.0 else ():
                for over in (1.6, 4.5):
                    at = flat.ends[0] + (1.5 + share * room + wide / 2) * flat.along
                    x, y = at + (inside + over + 0.35 * height) * flat.inward
                    slides = min(share, 1.0 - share) * room
                    label = Label(
                        text, (float(x), float(y)), height, flat.angle, "middle", kind="measure", room=slides
                    )
                    if writing.add([label]):
                        return True
    return False


def far_cell(notation: Notation, inside: float) -> str:
    """Return how far a far or bottom face is inside the drawn one, mm, as a table has it: "2.4", "2.4 OUTSIDE"."""
    cell = notation.depth_cell(abs(inside))
    return f"{cell} OUTSIDE" if inside < 0.0 and cell != notation.depth_cell(0.0) else cell


def far_words(notation: Notation, *depths: float) -> str:
    """Return the same of some places in words: "2.4 / 2.6 inside", "0.6 inside / 2.9 OUTSIDE"."""
    if min(depths) < 0.0 < max(depths):
        return " / ".join(far_words(notation, depth) for depth in depths)
    return f"{notation.depths_of(*map(abs, depths))} {'OUTSIDE' if min(depths) < 0.0 else 'inside'}"
