"""What is written on a strake's template."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.clear_space import ClearSpace
from templates_gen.drawing.marks import arrow, letters_width
from templates_gen.drawing.piece import Label, Path
from templates_gen.geometry.strake_marks import Datum, Edge, Tick
from templates_gen.notation import Notation
from templates_gen.templates.cards import Row, broken
from templates_gen.templates.strakes.geralds import across_geralds, write_geralds
from templates_gen.templates.strakes.keel_edge import KeelEdge
from templates_gen.templates.strakes.leaders import NamedLines
from templates_gen.templates.strakes.lettering import ALONG, Lettering
from templates_gen.templates.strakes.lines import RING, StrakeLines
from templates_gen.words import hand_and_face, on_sheet

Array = NDArray[np.float64]

EVERY = 600.0
"""From one repetition to the next of words that must be found on every sheet, mm."""

NEXT_TO_RING = 9.0
"""How far over or under the middle of its ring a timber's name may stand next to it, mm."""

WIDEST_BLOCK = 105.0
"""Width of a block of words, mm: a sheet of A4 or Letter shows more than twice as much of a strake."""

SMALL = (3.0, 2.5)
"""Heights of capitals that figures are tried in, mm."""

_SMALLEST = (*SMALL, 2.0)
"""Heights that a tick's name is tried in that finds no room at either edge, mm."""

NEAR_TICK = 75.0
"""How far from a tick words keep clear of lines that are whole there, mm: as far as its figures run."""

_ROUND_RIVET = 2.5
"""mm to either side of a rivet where no leader ends, if there is another way."""

EDGE_NAMES = (4.0, 3.0, 2.5)
"""Heights of capitals that the names of edges are tried in, mm."""


def ordinate_cell(ordinate: float, notation: Notation) -> str:
    """Return "up 61.5" or "down 48" from the datum, under a heading that names the unit."""
    return f"{'down' if ordinate < 0.0 else 'up'} {notation.fine(abs(ordinate))}"


def format_ordinate(ordinate: float, notation: Notation) -> str:
    """Return the same on a pattern, with the unit where lengths are in inches: "up 2 13/32 in"."""
    unit = "" if notation.units == "mm" else f" {notation.fine_units}"
    return f"{ordinate_cell(ordinate, notation)}{unit}"


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
    _write_ticks(notation, lines, letters)
    _write_points(lines, letters)
    if lines.keel_edge is not None:
        _write_keel_edge(notation, lines, lines.keel_edge, letters)
    for text, line in lines.named:
        letters.next_to(text, line[[0, -1]], SMALL, 60.0) or letters.next_to(text, line[[-1, 0]], SMALL)
    for edge in (lines.upper, lines.lower):
        if edge is not None:
            _write_turns(edge, letters, edge is lines.upper)
    _write_timbers(lines, letters)
    _write_datum(notation, lines, letters)
    middle = lines.middle
    left, right = float(middle[0, 0]), float(middle[-1, 0])
    for text, end, line in lines.outside:
        sides = (1.0, -1.0) if end == "fore" else (-1.0, 1.0)
        if any(letters.to_one_side(text, line, SMALL, side, ()) for side in sides):
            letters.labels[-1] = replace(letters.labels[-1], kind="instruction")
    arrows = _write_ends(letters, left, right)
    for x in _spread(left, right, EVERY):
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
    return [datum, *_round_datum(lines)]


def _round_datum(lines: StrakeLines) -> list[Array]:
    """The same but for the datum."""
    along = [edge.inner_line for edge in (lines.upper, lines.lower) if edge is not None]
    if lines.rivets is not None:
        corners = _ROUND_RIVET * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0]])
        along += [lines.rivets.centres, *(lines.rivets.centres[:, None] + corners)]
    return [*along, *across_geralds(lines), *(np.stack([mark.lower, mark.upper]) for mark in lines.ticks)]


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


def _spread(left: float, right: float, every: float) -> Array:
    """Evenly spread places from end to end, no further apart than `every`, half as far from the ends."""
    count = max(1, math.ceil((right - left) / every))
    return left + (np.arange(count) + 0.5) * (right - left) / count


def _write_ticks(notation: Notation, lines: StrakeLines, letters: Lettering) -> None:
    """Each tick's name, distance along the datum and ordinate, at both edges; what a hollow land takes off inside."""
    for mark in lines.ticks:
        ways = (np.stack([mark.lower, mark.upper]), np.stack([mark.upper, mark.lower]))
        is_named = [_write_tick(notation, lines.datum, mark, line, letters) for line in ways]
        if not any(is_named):
            others = [*(path.points for path in lines.scarfs), *across_geralds(lines)]
            any(letters.to_one_side(on_sheet(mark.place), ways[1], _SMALLEST, side, others) for side in (1.0, -1.0))
    for mark, depth in zip(lines.ticks, lines.hollow_depths, strict=True):
        if depth > 0.0:
            text = f"hollow: inside off {notation.depths_of(float(depth))} at the edge"
            line = np.stack([mark.lower, mark.upper])
            if letters.next_to(text, line, SMALL):
                letters.labels[-1] = letters.labels[-1].next_to(line)


def _write_tick(notation: Notation, datum: Datum, mark: Tick, line: Array, letters: Lettering) -> bool:
    """Write a tick's name and figures at one edge, where its `line` begins; return whether its name found room.

    Figures without a name next to them could be read as the other edge's, or as another tick's: they stay away.
    """
    name, (along, ordinate) = on_sheet(mark.place), datum.measured(line[0])
    figures = f"at {notation.length(along)}, {format_ordinate(ordinate, notation)}"
    deep = float(np.linalg.norm(line[1] - line[0])) / 2  # past it they could be read as the other edge's
    if mark.place.kind == "measured":  # such a name is long, and a joint of sheets would take both away
        if not letters.next_to(name, line, SMALL, 60.0):
            return False
        letters.labels[-1] = letters.labels[-1].next_to(line)
        if letters.next_to(figures, line, SMALL, min(60.0, deep)):
            letters.labels[-1] = letters.labels[-1].next_to(line)
        return True
    if letters.next_to(f"{name} {figures}", line, SMALL, min(45.0, deep)):
        letters.labels[-1] = letters.labels[-1].next_to(line, name)
    elif letters.next_to(name, line, SMALL, 60.0):
        letters.labels[-1] = letters.labels[-1].next_to(line)
    else:
        return False
    return True


def _write_points(lines: StrakeLines, letters: Lettering) -> None:
    """The number of each point between the places, as the table of ordinates has it."""
    out = lines.setting_out
    for number, line in zip([*out.numbers("lower"), *out.numbers("upper")], lines.between, strict=True):
        any(letters.next_to(text, line, SMALL[1:], 16.0) for text in (f"point {number}", str(number)))


def _write_keel_edge(notation: Notation, lines: StrakeLines, planed: KeelEdge, letters: Lettering) -> None:
    """How far the inner arris is planed back, at the ticks and along its line, and where the edge stays square."""
    for k, side, member in zip((0, -1), (1.0, -1.0), planed.rebate_in, strict=True):
        if member:
            way = "forward" if side > 0.0 else "aft"
            line = np.stack([planed.edge[k], planed.line[k]])
            text = f"KEEL edge square from here {way}: rebate in the {member}"
            any(letters.to_one_side(text, line, SMALL, one, ()) for one in (side, -side))
    for mark in lines.ticks:
        off = planed.planed_at(float(mark.lower[0]))
        line = np.stack([mark.lower, mark.upper])
        if off and letters.next_to(f"inner arris: off {notation.depths_of(off)} across the INNER face", line, SMALL):
            letters.labels[-1] = letters.labels[-1].next_to(line)
    for x in _spread(float(planed.line[0, 0]), float(planed.line[-1, 0]), EVERY):
        letters.along(
            "far face: plane the KEEL edge's inner arris back to this line", planed.line, float(x), SMALL[0]
        )


def _write_timbers(lines: StrakeLines, letters: Lettering) -> None:
    """The number of each ringed rivet's timber."""
    if lines.rivets is None:
        return
    for number, centre, way in zip(
        lines.rivets.timber_numbers.tolist(), lines.rivets.centres, lines.rivets.directions, strict=True
    ):
        if number:
            _write_timber(f"timber {number}", centre, way, (lines.rivets.diameter + RING) / 2, letters)


def _write_timber(text: str, centre: Array, way: Array, radius: float, letters: Lettering) -> None:
    """Put a name next to its ring, over or under the line of rivets; where there is no room, over the ring."""
    inward = np.array([-way[1], way[0]])
    for up, side in ((1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)):
        begin = centre + side * (radius - 1.5) * way
        if letters.next_to(
            text, np.stack([begin, begin + up * NEXT_TO_RING * inward]), SMALL[1:], NEXT_TO_RING, (side,)
        ):
            return
    letters.next_to(text, np.stack([centre, centre + 40.0 * inward]), SMALL[1:], 40.0)


def _write_turns(edge: Edge, letters: Lettering, is_upper: bool) -> None:
    """Which edge is planed at a hollow land, where it turns hollow and again where the run is long."""
    strake = edge.land + 1
    if is_upper:
        full, short = f"LEAVE THIS EDGE, plane strake {strake} INSIDE", "LEAVE THIS EDGE"
    else:
        full, short = "plane THIS EDGE INSIDE", "plane INSIDE"
    starts = [gerald.start for gerald in edge.geralds]
    for line, to_hollow in edge.turns:
        way, side = ("aft", 1.0) if to_hollow else ("forward", -1.0)
        way = "to the gerald" if _stops_at_gerald(edge, line, side) else way
        texts = (
            f"land {edge.land} hollow: from here {way} {full}",
            f"from here {way} {full}",
            f"hollow {way}: {short}",
        )
        if any(
            letters.to_one_side(text, line, SMALL, one, starts)
            for text in texts
            for one in (side, -side)
            if _is_clear_of_geralds(text, line, one, starts)
        ):
            letters.labels[-1] = replace(letters.labels[-1], short=texts[-1], listed=f"land {edge.land}")
    text = f"land {edge.land} hollow: {full}"
    half = letters_width(text, SMALL[0]) / 2 + 2.0
    for start, stop in _hollow_runs(edge):
        for x in _spread(start, stop, EVERY).tolist() if stop - start > EVERY / 2 else ():
            room = min(x - start, stop - x) - half
            letters.along(text, edge.inner_line, x, SMALL[0], reach=min(ALONG, room)) or letters.free(
                [(text, SMALL[1])], x, min(90.0, room)
            )


def _stops_at_gerald(edge: Edge, line: Array, side: float) -> bool:
    """Return whether a hollow land runs from a line to a gerald, aft for side +1, and not only to another line."""
    ahead = [turn for turn, _ in edge.turns if side * (turn[0, 0] - line[0, 0]) > 0.0]
    return not ahead and any((gerald.end == "aft") == (side > 0.0) for gerald in edge.geralds)


def _is_clear_of_geralds(text: str, line: Array, side: float, starts: Sequence[Array]) -> bool:
    """Return whether a text on one side of a line, small, ends before a gerald starts there."""
    room = [side * (float(start[:, 0].mean()) - float(line[0, 0])) for start in starts]
    return all(far < 0.0 or far > letters_width(text, SMALL[-1]) + 10.0 for far in room)


def _hollow_runs(edge: Edge) -> list[tuple[float, float]]:
    """From where to where along x an edge's land is hollow, between its turns, its geralds and the strake's ends."""
    left, right = (float(edge.inner_line[k, 0]) for k in (0, -1))
    for gerald in edge.geralds:
        if gerald.end == "fore":
            left = max(left, float(gerald.start[:, 0].max()))
        else:
            right = min(right, float(gerald.start[:, 0].min()))
    if edge.is_hollow:
        return [(left, right)]
    turns = sorted((float(line[0, 0]), to_hollow) for line, to_hollow in edge.turns)
    runs, start = [], left if turns and not turns[0][1] else None
    for x, to_hollow in turns:
        if to_hollow:
            start = x
        elif start is not None:
            runs.append((start, x))
            start = None
    return runs if start is None else [*runs, (start, right)]


def _write_datum(notation: Notation, lines: StrakeLines, letters: Lettering) -> None:
    """The distance at every mark of the datum, over it or under it, with no other line in between.

    In a gerald, where bare figures are depths, there is none.
    """
    height = lines.datum.height
    others = NamedLines(_round_datum(lines))
    for x in lines.datum_marks:
        text = notation.length(float(x) - lines.datum.start)
        for size in SMALL:
            aside = letters_width(text, size) / 2 + 2.0
            bases = [base for far in (3.6, 7.6, 11.6) for base in (height + far + 0.35 * size, height - far - size)]
            places = [(shift, base) for shift in (0.0, aside, -aside) for base in bases]
            middles = np.array([(x + shift, base + size / 2) for shift, base in places])
            ways = np.stack([np.broadcast_to([float(x), height], middles.shape), middles], axis=1)
            own = [
                place
                for place, middle, over in zip(places, middles, others.crossed_by(ways), strict=True)
                if not over and not _is_in_gerald(lines, middle)
            ]
            if any(letters.level(text, size, float(x) + shift, base) for shift, base in own):
                letters.labels[-1] = replace(letters.labels[-1], listed="datum")
                break


def _is_in_gerald(lines: StrakeLines, place: Array) -> bool:
    """Return whether a place, shape (2,), lies on a lap, between the start of a gerald and the strake's end."""
    x, y = place.tolist()
    for edge, up in ((lines.upper, 1.0), (lines.lower, -1.0)):
        if edge is not None and up * (y - float(np.interp(x, *edge.inner_line.T))) > 0.0:
            for gerald in edge.geralds:
                ahead = 1.0 if gerald.end == "aft" else -1.0
                if ahead * (x - float(gerald.start[:, 0].mean())) > 0.0:
                    return True
    return False


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
    for x in _spread(float(lines.middle[0, 0]), float(lines.middle[-1, 0]), EVERY):
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
    for x in _spread(left, right, 2.0 * EVERY):
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
        for x in _spread(left, right, 1.5 * EVERY):
            if letters.along(text, line, float(x), 3.0) or letters.along(text, line, float(x), 2.5):
                letters.labels[-1] = replace(letters.labels[-1], room=ALONG)
    datum = np.array([[lines.datum.start, lines.datum.height], [lines.datum.stop, lines.datum.height]])
    for x in _spread(left, right, 2.0 * EVERY):
        if letters.along("datum", datum, float(x), 3.0):
            letters.labels[-1] = replace(letters.labels[-1], room=ALONG)
