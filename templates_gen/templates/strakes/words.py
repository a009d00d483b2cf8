"""What is written on a strake's template."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from templates_gen.drawing.clear_space import ClearSpace
from templates_gen.drawing.marks import arrow, letters_width
from templates_gen.drawing.piece import Label, Path
from templates_gen.notation import Notation
from templates_gen.templates.cards import Row, broken
from templates_gen.templates.strakes.at_marks import (
    round_datum,
    write_datum,
    write_keel_edge,
    write_points,
    write_ticks,
    write_timbers,
    write_turns,
)
from templates_gen.templates.strakes.geralds import write_geralds
from templates_gen.templates.strakes.leaders import NamedLines
from templates_gen.templates.strakes.lettering import ALONG, EVERY, SMALL, Array, Lettering, spread
from templates_gen.templates.strakes.lines import StrakeLines
from templates_gen.words import hand_and_face

WIDEST_BLOCK = 105.0
"""Width of a block of words, mm: a sheet of A4 or Letter shows more than twice as much of a strake."""

EDGE_NAMES = (4.0, 3.0, 2.5)
"""Heights of capitals that the names of edges are tried in, mm."""

NEAR_TICK = 75.0
"""How far from a tick words keep clear of lines that are whole there, mm: as far as its figures run."""


def strake_words(
    notation: Notation, lines: StrakeLines, facts: Sequence[Sequence[str]], kept_whole: Sequence[Array] = ()
) -> tuple[tuple[Label, ...], tuple[Path, ...]]:
    """Return the labels of a strake, and its arrows and leaders.

    Parameters
    ----------
    facts : sequence of sequences of str
        Blocks of lines about its size and how hard it bends, set in the field once, to be read on paper.
    kept_whole : sequence of Array, shape (n, 2) each
        Lines, drawn later, that words keep clear of near ticks.
    """
    letters = Lettering(_clear_space(lines, kept_whole), NamedLines(_with_names(lines)))
    write_geralds(notation, lines, letters)
    write_ticks(notation, lines, letters)
    write_points(lines, letters)
    if lines.keel_edge is not None:
        write_keel_edge(notation, lines, lines.keel_edge, letters)
    for text, line in lines.named:
        letters.next_to(text, line[[0, -1]], SMALL, 60.0) or letters.next_to(text, line[[-1, 0]], SMALL)
    for edge in (lines.upper, lines.lower):
        if edge is not None:
            write_turns(edge, letters, edge is lines.upper)
    write_timbers(lines, letters)
    write_datum(notation, lines, letters)
    middle = lines.middle
    left, right = float(middle[0, 0]), float(middle[-1, 0])
    for text, end, line in lines.outside:
        sides = (1.0, -1.0) if end == "fore" else (-1.0, 1.0)
        if any(letters.to_one_side(text, line, SMALL, side, ()) for side in sides):
            letters.labels[-1] = replace(letters.labels[-1], kind="instruction")
    arrows = _write_ends(letters, left, right)
    for x in spread(left, right, EVERY):
        _write_hand(lines, letters, float(x))
    _write_edge_names(lines, letters, kept_whole)
    _write_facts(facts, letters, (left + right) / 2, right - left)
    for end in lines.forefoots:
        x = left + 110.0 if end == "fore" else right - 110.0
        part = "forefoot" if end == "fore" else "heel"
        letters.free([(f"the edge round the {part} is net", 3.0)], x, 100.0)
    arrows += _write_grain(letters, left, right)
    _write_line_names(lines, letters, left, right)
    return tuple(letters.labels), (*arrows, *letters.leaders)


def _with_names(lines: StrakeLines) -> list[Array]:
    """What leaders go round: the datum, ticks, laps' lines, what is across geralds, the rivets and their line."""
    datum = np.array([[lines.datum.start, lines.datum.height], [lines.datum.stop, lines.datum.height]])
    return [datum, *round_datum(lines)]


def _half_width(lines: StrakeLines) -> float:
    lower, upper = lines.low, lines.high
    return float(np.linalg.norm(upper - lower, axis=1).max()) / 2 + 5.0


def _clear_space(lines: StrakeLines, kept_whole: Sequence[Array]) -> ClearSpace:
    lower, upper = lines.low, lines.high
    space = ClearSpace(lines.middle, _half_width(lines) + 10.0)
    space.keep_within(lower, upper, lines.fore, lines.aft)
    closed = [np.concatenate([path.points, path.points[:1]]) if path.closed else path.points for path in lines.paths]
    if lines.rivets is not None:
        across = lines.rivets.diameter / 2 * lines.rivets.directions
        closed += [*np.stack([lines.rivets.centres - across, lines.rivets.centres + across], axis=1)]
    at_ticks = np.array([float(mark.upper[0]) for mark in lines.ticks])
    for line in kept_whole:
        near = (np.abs(line[:-1, :1] - at_ticks) < NEAR_TICK).any(axis=1)
        closed += [*np.stack([line[:-1][near], line[1:][near]], axis=1)]
    space.block(np.concatenate([p[:-1] for p in closed]), np.concatenate([p[1:] for p in closed]))
    return space


def _write_ends(letters: Lettering, left: float, right: float) -> list[Path]:
    """FORE and AFT near the ends, each with an arrow toward its end."""
    paths = []
    for text, x, sign in (("FORE", left + 45.0, -1.0), ("AFT", right - 45.0, 1.0)):
        paths += _pointed(letters, text, x, sign, 6.0)
    return paths


def _pointed(letters: Lettering, text: str, x: float, sign: float, height: float) -> list[Path]:
    """A word with an arrow next to it that points forward for sign -1, aft for +1."""
    width, shaft = letters_width(text, height), 22.0
    found = letters.room(x, 200.0, width + shaft + 3.0, height * 1.45)
    if found is None:
        return []
    middle, y = found
    slope = letters.space.slope(middle)
    ahead = np.array([1.0, slope]) / math.hypot(1.0, slope)
    up = np.array([-ahead[1], ahead[0]])
    centre = np.array([middle, y])
    tip = centre + sign * (width + shaft + 3.0) / 2 * ahead
    start = centre - (width + shaft + 3.0) / 2 * ahead if sign > 0.0 else centre + ((shaft + 3.0 - width) / 2) * ahead
    base = start - 0.5 * height * up
    at = (float(base[0]), float(base[1]))
    letters.labels.append(Label(text, at, height, math.atan(slope), has_leader=True))
    tail = tip - sign * shaft * ahead
    return [arrow((float(tail[0]), float(tail[1])), (float(tip[0]), float(tip[1])))]


def _write_hand(lines: StrakeLines, letters: Lettering, x: float) -> None:
    """Hand and face, as large as there is room for."""
    number = lines.number
    drawn, mirrored = hand_and_face("port"), hand_and_face("starboard")
    for large, small in ((6.0, 3.5), (5.0, 3.0), (3.5, 3.0)):
        words = [
            (drawn, large),
            ("turn over for starboard", small),
            (f"strake {number}: make one and its mirror", small),
        ]
        if letters.free(words, x, EVERY / 2 - 30.0):
            hand, turn, make = letters.labels[-3:]
            letters.labels[-3:] = [
                replace(hand, on_mirror=mirrored),
                replace(turn, kind="instruction", on_one_hand=""),
                replace(make, kind="instruction", on_one_hand=f"strake {number}"),
            ]
            return
    if letters.free([(drawn, 3.0)], x, EVERY / 2):
        letters.labels[-1] = replace(letters.labels[-1], on_mirror=mirrored)


def _write_edge_names(lines: StrakeLines, letters: Lettering, kept_whole: Sequence[Array]) -> None:
    """KEEL edge and SHEER edge, each close along it, with nothing between, or led to it; else left out.

    Never in a line that is to be kept whole, which would be broken there as for its own name; nor led over
    a line with a name of its own.
    """
    whole, others = letters.clear_of(kept_whole), _with_names(lines)
    for x in spread(float(lines.middle[0, 0]), float(lines.middle[-1, 0]), EVERY):
        for text, edge, side, shift in (
            ("KEEL edge", lines.low, 1.0, -60.0),
            ("SHEER edge", lines.high, -1.0, 60.0),
        ):
            at = float(x) + shift
            if any(whole.along(text, edge, at, high, (side,)) for high in EDGE_NAMES):
                letters.keep_off(letters.labels[-1])
                letters.labels[-1] = replace(letters.labels[-1], room=ALONG)
            elif text == "SHEER edge" or lines.keel_edge is not None:  # a line that runs inside it may be close
                begin = np.array([at, np.interp(at, *edge.T)])
                line = np.stack([begin, begin + np.array([0.0, side])])
                count = len(letters.leaders)
                if any(whole.to_one_side(text, line, EDGE_NAMES, one, others) for one in (1.0, -1.0)):
                    letters.keep_off(letters.labels[-1], letters.leaders[count:])


def _write_facts(facts: Sequence[Sequence[str]], letters: Lettering, middle: float, length: float) -> None:
    """Blocks of facts, no wider than most sheets have clear between their joints; as single lines where need be."""
    before = len(letters.labels)
    for block in facts:
        lines = [(row.text, row.height) for fact in block for row in _evenly_broken(fact)]
        if not letters.free(lines, middle, min(EVERY, length / 3)):
            for fact in block:
                letters.free([(fact, SMALL[0])], middle, length / 2)
    letters.labels[before:] = [replace(label, is_fine_print=True) for label in letters.labels[before:]]


def _evenly_broken(text: str) -> tuple[Row, ...]:
    """A text in the fewest rows that a block has room for, as even as may be: no word stands alone in the last."""
    row, width = [Row(text, SMALL[0])], WIDEST_BLOCK
    count = len(broken(row, width))
    while width > WIDEST_BLOCK / 2 and len(broken(row, width - 2.0)) == count:
        width -= 2.0
    return tuple(broken(row, width))


def _write_grain(letters: Lettering, left: float, right: float) -> list[Path]:
    """Arrows along the grain, one to every two repetitions of the hand."""
    paths = []
    for x in spread(left, right, 2.0 * EVERY):
        width, shaft = letters_width("grain", 3.5), 45.0
        found = letters.room(float(x), EVERY / 2, width + 2.0 * shaft + 6.0, 6.0)
        if found is None:
            continue
        slope = letters.space.slope(found[0])
        ahead = np.array([1.0, slope]) / math.hypot(1.0, slope)
        centre = np.array(found)
        base = centre - width / 2 * ahead - 1.75 * np.array([-ahead[1], ahead[0]])
        at = (float(base[0]), float(base[1]))
        letters.labels.append(Label("grain", at, 3.5, math.atan(slope), has_leader=True))
        for sign in (-1.0, 1.0):
            tail, tip = (centre + sign * (width / 2 + reach) * ahead for reach in (3.0, 3.0 + shaft))
            paths.append(arrow((float(tail[0]), float(tail[1])), (float(tip[0]), float(tip[1]))))
    return paths


def _write_line_names(lines: StrakeLines, letters: Lettering, left: float, right: float) -> None:
    """What each line along the strake is, on about every second sheet."""
    number = lines.number
    wanted: list[tuple[str, Array]] = []
    if lines.upper is not None:
        wanted.append((f"lap line: lower edge of strake {number + 1}", lines.upper.inner_line))
    if lines.lower is not None:
        wanted.append((f"on the inside: upper edge of strake {number - 1}", lines.lower.inner_line))
    if lines.rivets is not None:
        wanted.append((lines.rivets_name, lines.rivets.centres))
    for text, line in wanted:
        for x in spread(left, right, 1.5 * EVERY):
            if letters.along(text, line, float(x), 3.0) or letters.along(text, line, float(x), 2.5):
                letters.labels[-1] = replace(letters.labels[-1], room=ALONG)
    datum = np.array([[lines.datum.start, lines.datum.height], [lines.datum.stop, lines.datum.height]])
    for x in spread(left, right, 2.0 * EVERY):
        if letters.along("datum", datum, float(x), 3.0):
            letters.labels[-1] = replace(letters.labels[-1], room=ALONG)
