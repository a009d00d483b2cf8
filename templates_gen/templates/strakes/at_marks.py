"""What is written at a strake's marks: its ticks and points, its rivets, its datum, and where a land turns hollow."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from templates_gen.drawing.marks import letters_width
from templates_gen.geometry.strake_marks import Datum, Edge, Tick
from templates_gen.notation import Notation
from templates_gen.templates.strakes.geralds import across_geralds
from templates_gen.templates.strakes.keel_edge import KeelEdge
from templates_gen.templates.strakes.leaders import NamedLines
from templates_gen.templates.strakes.lettering import ALONG, EVERY, SMALL, Array, Lettering, spread
from templates_gen.templates.strakes.lines import RING, StrakeLines
from templates_gen.words import on_sheet

_NEXT_TO_RING = 9.0
"""How far over or under the middle of its ring a timber's name may stand next to it, mm."""

_SMALLEST = (*SMALL, 2.0)
"""Heights that a tick's name is tried in that finds no room at either edge, mm."""

_ROUND_RIVET = 2.5
"""mm to either side of a rivet where no leader ends, if there is another way."""


def ordinate_cell(ordinate: float, notation: Notation) -> str:
    """Return "up 61.5" or "down 48" from the datum, under a heading that names the unit."""
    return f"{'down' if ordinate < 0.0 else 'up'} {notation.fine(abs(ordinate))}"


def format_ordinate(ordinate: float, notation: Notation) -> str:
    """Return the same on a pattern, with the unit where lengths are in inches: "up 2 13/32 in"."""
    unit = "" if notation.units == "mm" else f" {notation.fine_units}"
    return f"{ordinate_cell(ordinate, notation)}{unit}"


def write_ticks(notation: Notation, lines: StrakeLines, letters: Lettering) -> None:
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


def write_points(lines: StrakeLines, letters: Lettering) -> None:
    """The number of each point between the places, as the table of ordinates has it."""
    out = lines.setting_out
    for number, line in zip([*out.numbers("lower"), *out.numbers("upper")], lines.between, strict=True):
        any(letters.next_to(text, line, SMALL[1:], 16.0) for text in (f"point {number}", str(number)))


def write_keel_edge(notation: Notation, lines: StrakeLines, planed: KeelEdge, letters: Lettering) -> None:
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
    for x in spread(float(planed.line[0, 0]), float(planed.line[-1, 0]), EVERY):
        letters.along(
            "far face: plane the KEEL edge's inner arris back to this line", planed.line, float(x), SMALL[0]
        )


def write_timbers(lines: StrakeLines, letters: Lettering) -> None:
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
            text, np.stack([begin, begin + up * _NEXT_TO_RING * inward]), SMALL[1:], _NEXT_TO_RING, (side,)
        ):
            return
    letters.next_to(text, np.stack([centre, centre + 40.0 * inward]), SMALL[1:], 40.0)


def write_turns(edge: Edge, letters: Lettering, is_upper: bool) -> None:
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
        for x in spread(start, stop, EVERY).tolist() if stop - start > EVERY / 2 else ():
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


def write_datum(notation: Notation, lines: StrakeLines, letters: Lettering) -> None:
    """The distance at every mark of the datum, over it or under it, with no other line in between.

    In a gerald, where bare figures are depths, there is none.
    """
    height = lines.datum.height
    others = NamedLines(round_datum(lines))
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


def round_datum(lines: StrakeLines) -> list[Array]:
    """Return what words of the datum keep off: laps' lines, what is across geralds, ticks, rivets and their line."""
    along = [edge.inner_line for edge in (lines.upper, lines.lower) if edge is not None]
    if lines.rivets is not None:
        corners = _ROUND_RIVET * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0]])
        along += [lines.rivets.centres, *(lines.rivets.centres[:, None] + corners)]
    return [*along, *across_geralds(lines), *(np.stack([mark.lower, mark.upper]) for mark in lines.ticks)]


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
