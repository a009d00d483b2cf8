"""What is written on a strake's geralds: where each starts, and what comes off at each line across it."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from templates_gen.drawing.piece import Label, Role
from templates_gen.geometry.strake_marks import Edge, Gerald
from templates_gen.notation import Notation
from templates_gen.templates.bevels.facts import QUARTER_NAMES
from templates_gen.templates.strakes.lettering import SMALL, Array, Lettering
from templates_gen.templates.strakes.lines import StrakeLines

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


def write_geralds(notation: Notation, lines: StrakeLines, letters: Lettering) -> None:
    """Write each line's name and depths on its side toward the middle of the strake, or at a leader from there.

    Where there is no room for the depths, the name alone stands next to the line.
    """
    edges = _edges(lines)
    across = across_geralds(lines)
    across += [path.points for path in lines.paths if path.closed and path.role is Role.SCRIBE]  # timbers' rings
    across += [np.stack([mark.lower, mark.upper]) for mark in lines.ticks]
    for edge, face in edges:
        beyond = [lines.middle, *(other.inner_line for other, _ in edges if other is not edge)]
        for gerald in edge.geralds:
            side = 1.0 if gerald.end == "fore" else -1.0
            for name, quarter in zip(QUARTER_NAMES[1:], gerald.quarters, strict=True):
                depths = notation.depths_of(quarter.at_edge, quarter.at_inner_line)
                others = [*beyond, *(line for line in across if line is not quarter.line)]
                if letters.to_one_side(f"{name}: {face} {depths}", quarter.line, SMALL, side, others):
                    letters.labels[-1] = replace(letters.labels[-1], listed=_whose(gerald, face))
                elif letters.next_to(name, quarter.line, SMALL, abs(float(np.ptp(quarter.line[:, 1])))):
                    letters.labels[-1] = letters.labels[-1].next_to(quarter.line)
            others = [*beyond, *(line for line in across if line is not gerald.start)]
            _write_start(notation, gerald, face, letters, others)


def unlettered_notes(lines: StrakeLines, labels: Sequence[Label]) -> tuple[str, ...]:
    """Return of which lines across geralds the depths are not among the labels, for there is no room for them."""
    written = {(label.listed, label.text.partition(":")[0]) for label in labels}
    missing = []
    for edge, face in _edges(lines):
        for gerald in edge.geralds:
            whose = _whose(gerald, face)
            names = [name for name in QUARTER_NAMES[1:] if (whose, name) not in written]
            missing += [f"{whose}: {', '.join(names)}"] if names else []
    if not missing:
        return ()
    return (f"No room on the wood for these depths, which are on the gerald's own sheet: {'; '.join(missing)}.",)


def _edges(lines: StrakeLines) -> list[tuple[Edge, str]]:
    """The edges that a land lies along, each with the words before its depths."""
    return [(edge, face) for edge, face in ((lines.upper, "off"), (lines.lower, "inside off")) if edge is not None]


def across_geralds(lines: StrakeLines) -> list[Array]:
    """Return the lines across the geralds of both edges, shape (2, 2) each."""
    return [line for edge, _ in _edges(lines) for gerald in edge.geralds for line in _lines(gerald)]


def _whose(gerald: Gerald, face: str) -> str:
    return f"gerald {gerald.end}, {'upper' if face == 'off' else 'lower'} edge"


def _lines(gerald: Gerald) -> list[Array]:
    return [gerald.start, *(quarter.line for quarter in gerald.quarters)]


def _write_start(notation: Notation, gerald: Gerald, face: str, letters: Lettering, others: Sequence[Array]) -> None:
    """Where a gerald starts, next to its line or led to it, and what its two figures are, outside it if they fit."""
    inner = "lap line" if face == "off" else "short dashes"
    sides = (1.0, -1.0) if gerald.end == "fore" else (-1.0, 1.0)
    figures = f"{face}: edge{notation.between_depths}{inner}, {notation.depth_unit}"
    start, text = gerald.start, "gerald starts"
    deep = abs(float(start[1, 1] - start[0, 1]))
    texts = (f"{text}: plane to its depths", text) if gerald.hollow > 0.0 else (text,)
    for text in texts:
        if any(letters.next_to(text, start, SMALL, deep, (side,)) for side in sides):
            letters.labels[-1] = letters.labels[-1].next_to(start)
            break
        if any(letters.to_one_side(text, start, SMALL, side, others) for side in sides):
            break
    if gerald.hollow > 0.0 and face != "off":
        text = f"hollow: {face} {notation.depths_of(gerald.hollow)} at the edge"
        any(letters.to_one_side(text, start, SMALL, side, others) for side in reversed(sides))
    if any(letters.next_to(figures, gerald.start, SMALL, 30.0, (side,)) for side in sides):
        letters.labels[-1] = replace(letters.labels[-1], kind="name")  # true of the whole gerald, not at one place
