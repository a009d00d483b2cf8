"""What is written on a strake's geralds: where each starts, and what comes off at each line across it."""

import math
from collections.abc import Sequence
from dataclasses import replace

from templates_gen.drawing.marks import letters_width
from templates_gen.geometry.strake_marks import Gerald
from templates_gen.notation import Notation
from templates_gen.templates.bevels.facts import QUARTER_NAMES
from templates_gen.templates.strakes.lettering import Array, Lettering
from templates_gen.templates.strakes.lines import Shape

_HEIGHTS = (3.0, 2.5)
"""Heights of capitals that figures are tried in, mm."""

_PAD = " " * 7
"""As wide as words are kept from the figures of another line: three times as wide as from their own line."""

GERALD_NOTE = (
    "1/4, 1/2, 3/4 and end name the line across the gerald that the figures are for, counted from where it starts. "
    "They stand next to that line on its side toward the middle of the strake; where there is no room, an arrow "
    "leads from them to the line."
)
"""How you tell which line the figures on a pattern are for."""

HELD_NOTE = (
    "Past the last reading the bevel that the land has without its gerald is held. The gerald draws the upper strake "
    "in, and that swings the bevel: near the end the land can be hollow, and more comes off than half the thickness."
)
"""How a measured plank's bevel runs on into a gerald."""


def write_geralds(notation: Notation, lines: Shape, letters: Lettering) -> None:
    """Write each line's name and depths on its side toward the middle of the strake, or at a leader from there."""
    edges = [(edge, face) for edge, face in ((lines.upper, "off"), (lines.lower, "inside off")) if edge is not None]
    across = [line for edge, _ in edges for gerald in edge.geralds for line in _lines(gerald)]
    for edge, face in edges:
        for gerald in edge.geralds:
            side = 1.0 if gerald.end == "fore" else -1.0
            for name, quarter in zip(QUARTER_NAMES[1:], gerald.quarters, strict=True):
                depths = notation.depths_of(quarter.at_edge, quarter.at_inner_line)
                others = [line for line in across if line is not quarter.line]
                if letters.to_one_side(f"{name}: {face} {depths}", quarter.line, _HEIGHTS, side, others):
                    whose = f"gerald {gerald.end}, {'upper' if face == 'off' else 'lower'} edge"
                    letters.labels[-1] = replace(letters.labels[-1], listed=whose)
            _write_start(notation, gerald, face, letters, [line for line in across if line is not gerald.start])


def _lines(gerald: Gerald) -> list[Array]:
    return [gerald.start, *(quarter.line for quarter in gerald.quarters)]


def _write_start(notation: Notation, gerald: Gerald, face: str, letters: Lettering, others: Sequence[Array]) -> None:
    """Where a gerald starts, next to its line or led to it, and what its two figures are, outside it if they fit."""
    inner = "lap line" if face == "off" else "short dashes"
    sides = (1.0, -1.0) if gerald.end == "fore" else (-1.0, 1.0)
    figures = f"{face}: edge{notation.between_depths}{inner}, {notation.depth_unit}"
    text, start = "gerald starts", gerald.start
    deep = abs(float(start[1, 1] - start[0, 1]))
    is_next = any(_is_set_apart(text, start, deep, side, letters) for side in sides) or any(
        letters.next_to(text, start, _HEIGHTS, deep, (side,)) for side in sides
    )
    is_next or any(letters.to_one_side(text, start, _HEIGHTS, side, others) for side in sides)
    if any(letters.next_to(figures, gerald.start, _HEIGHTS, 30.0, (side,)) for side in sides):
        letters.labels[-1] = replace(letters.labels[-1], kind="name")  # true of the whole gerald, not at one place


def _is_set_apart(text: str, line: Array, deep: float, side: float, letters: Lettering) -> bool:
    """Whether words found room on one side of a line, and farther from other lettering than from it.

    Figures of another line in the same row would else be read as theirs.
    """
    padded = f"{text}{_PAD}" if side > 0.0 else f"{_PAD}{text}"
    if not letters.next_to(padded, line, _HEIGHTS, deep, (side,)):
        return False
    label = letters.labels[-1]
    run = 0.0 if side > 0.0 else letters_width(_PAD, label.height)
    at = (label.at[0] + run * math.cos(label.angle), label.at[1] + run * math.sin(label.angle))
    letters.labels[-1] = replace(label, text=text, at=at)
    return True
