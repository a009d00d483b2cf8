"""What is written on a strake's geralds: where each starts, and what comes off at each line across it."""

from dataclasses import replace

from templates_gen.geometry.strake_marks import Gerald
from templates_gen.notation import Notation
from templates_gen.templates.bevels.facts import QUARTER_NAMES
from templates_gen.templates.strakes.lettering import Array, Lettering
from templates_gen.templates.strakes.lines import Shape

_HEIGHTS = (3.0, 2.5)
"""Heights of capitals that figures are tried in, mm."""

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
                letters.to_one_side(f"{name}: {face} {depths}", quarter.line, _HEIGHTS, side, others)
            _write_start(notation, gerald, face, letters)


def _lines(gerald: Gerald) -> list[Array]:
    return [gerald.start, *(quarter.line for quarter in gerald.quarters)]


def _write_start(notation: Notation, gerald: Gerald, face: str, letters: Lettering) -> None:
    """Where a gerald starts, and what its two figures are, outside it if there is room."""
    inner = "lap line" if face == "off" else "dashed line"
    sides = (1.0, -1.0) if gerald.end == "fore" else (-1.0, 1.0)
    figures = f"{face}: edge{notation.between_depths}{inner}, {notation.depth_unit}"
    tries = [(deepest, side) for deepest in (30.0, 60.0) for side in sides]
    any(letters.next_to("gerald starts", gerald.start, _HEIGHTS, deepest, (side,)) for deepest, side in tries)
    if any(letters.next_to(figures, gerald.start, _HEIGHTS, 30.0, (side,)) for side in sides):
        letters.labels[-1] = replace(letters.labels[-1], kind="name")  # true of the whole gerald, not at one place
