"""The outline of every strake, laid flat, with all that is marked on it."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Hand
from templates_gen.drawing.piece import Facing, Hole, Label, Path, Piece
from templates_gen.geometry.bending import STRETCH_RUN, Bending
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import Rivets
from templates_gen.geometry.flat_strakes import Extent, FlatStrake
from templates_gen.hull.model import Hull
from templates_gen.notation import Notation
from templates_gen.stock.rough import FLAT_BOTTOM_PROUD, net_forefoots, rough_board, sawn_lines, steam_ends
from templates_gen.templates.strakes.geralds import GERALD_NOTE, unlettered_notes
from templates_gen.templates.strakes.keel_edge import KEEL_EDGE_NOTE
from templates_gen.templates.strakes.lines import (
    Clear,
    StrakeLines,
    strake_lines,
)
from templates_gen.templates.strakes.words import strake_words
from templates_gen.words import piece_name

Array = NDArray[np.float64]


def strake_piece(
    boat: Boat,
    strake: FlatStrake,
    clear: Clear = (),
    scarfs: Sequence[Path] = (),
    hand: Hand | None = None,
    kept_whole: Sequence[Array] = (),
) -> Piece:
    """Return the template of one strake, its rivets' holes clear of the feather edges of scarfs, reaches of x, mm.

    `scarfs` are the lines of its own scarfs. `hand` is the side that it is for, if it does not serve both. Near ticks
    the words keep clear of the lines `kept_whole`, each (n, 2), which are drawn later.
    """
    hull, index = boat.hull, strake.number - 1
    lines = strake_lines(hull, strake, boat.settings_out[index], clear, scarfs, boat)
    facts = _Facts(strake, lines, boat.extents[index], boat.bendings[index], _boards(boat, strake, lines))
    labels, arrows = strake_words(hull.notation, lines, _field(hull, facts), kept_whole)
    about = About("strake", strake.number)
    return Piece(
        piece_name(about),
        "strakes",
        _title(hull, strake, hand),
        (*lines.paths, *arrows),
        fastening_holes(lines.rivets),
        labels,
        (*_notes(hull, facts, hand), *unlettered_notes(lines, labels), *_outside_notes(lines, labels)),
        about=about,
        facing=Facing("port", "this face OUT"),
        figures=_figures(lines.rivets, hull.notation),
    )


def _outside_notes(lines: StrakeLines, labels: Sequence[Label]) -> tuple[str, ...]:
    """Return what would stand at an end of the rough line, where there is no room for it."""
    written = Counter(label.text for label in labels)
    missing = Counter(text for text, _, _ in lines.outside) - written
    return tuple(f"At the {end} end of the rough line: {text}." for text, end, _ in lines.outside if missing[text])


def _boards(boat: Boat, strake: FlatStrake, lines: StrakeLines) -> tuple[tuple[float, float], ...]:
    """The board that holds the rough line, and where the strake is bent with steam, that with its longer ends."""
    boards = [rough_board(strake, lines.rough)]
    if steam_ends(boat, strake.number) > 0.0:
        boards.append(rough_board(strake, sawn_lines(boat, strake)))
    return tuple(boards)


@dataclass(frozen=True)
class _Facts:
    """The facts of one strake: its lines, its measure, how it bends, and the boards that it is sawn from."""

    strake: FlatStrake
    lines: StrakeLines
    measure: Extent
    hang: Bending
    boards: tuple[tuple[float, float], ...]


def _title(hull: Hull, strake: FlatStrake, hand: Hand | None) -> tuple[str, ...]:
    count = hull.planking.strakes
    called = {1: " (garboard)", count: " (sheer strake)"}.get(strake.number, "")
    if hand is not None:
        return (
            f"Strake {strake.number} of {count}{called}: outline, {hand.upper()} side only",
            f"{hand.upper()}, this face OUT",
            f"FORE {'left' if hand == 'port' else 'right'}, SHEER edge up",
            "with the writing upright, KEEL edge down",
            "make one",
        )
    return (
        f"Strake {strake.number} of {count}{called}: outline",
        "PORT, this face OUT; turn over for starboard",
        "with the writing upright: FORE left, SHEER edge up, KEEL edge down",
        "make one and its mirror",
    )


def _field(hull: Hull, facts: _Facts) -> tuple[tuple[str, ...], ...]:
    """What is written in the strake's field once: its size, and how hard it bends."""
    strake = facts.strake
    thickness = hull.notation.spoken_length(hull.planking.thickness[strake.number - 1])
    name = f"{hull.name} {hull.fingerprint}".strip()
    edges = "edges square" if facts.lines.keel_edge is None else "edges sawn square, the KEEL edge then planed"
    return (
        (
            f"{name}, strake {strake.number}",
            _net_size(hull, facts.measure),
            _board(hull, facts.boards),
            f"{thickness} thick, {edges}; the line is the size half-way through the thickness",
        ),
        (
            f"strake {strake.number}: {_bend(hull, strake, facts.hang)}: {facts.hang.verdict}",
            _stretch(hull, strake, facts.hang),
        ),
    )


def _net_size(hull: Hull, measure: Extent) -> str:
    length, width = (hull.notation.spoken_length(value) for value in (measure.length, measure.greatest_width))
    return f"net length {length}, greatest net width {width}, net board {_size(hull, measure.blank)}"


def _board(hull: Hull, boards: Sequence[tuple[float, float]]) -> str:
    rough, *sawn = (_size(hull, board) for board in boards)
    return f"board over the rough line {rough}" + "".join(f", {size} with longer ends to steam it" for size in sawn)


def _size(hull: Hull, board: tuple[float, float]) -> str:
    return " × ".join(hull.notation.spoken_length(value) for value in board)


def _bend(hull: Hull, strake: FlatStrake, hang: Bending) -> str:
    times = hang.least_bend_radius / hull.planking.thickness[strake.number - 1]
    radius = hull.notation.spoken_length(float(np.round(hang.least_bend_radius))) if times < 1000.0 else ""
    bend = f"tightest bend: radius {radius} ({times:.0f} × thickness)" if radius else "almost no bend"
    return f"twist {np.degrees(hang.twist_per_metre):.0f}° over the worst {hull.notation.metre}, {bend}"


def _stretch(hull: Hull, strake: FlatStrake, hang: Bending) -> str:
    """The stretch that the verdict goes by, and the greatest anywhere, which may sit in a corner."""
    does = "stretch" if hang.edge_stretch >= 0.0 else "shorten"
    most, least = (f"{value * 100.0:+.2f}".replace("-", "−") for value in (strake.strip.most, strake.strip.least))
    return (
        f"edges {does} at most {abs(hang.edge_stretch) * 100.0:.2f} % over "
        f"{hull.notation.spoken_length(STRETCH_RUN)} (judged by this); greatest anywhere {most}/{least} %"
    )


def _notes(hull: Hull, facts: _Facts, hand: Hand | None = None) -> tuple[str, ...]:
    lines, strake = facts.lines, facts.strake
    notes = [
        "Cut to the middle of the net line, edges square. The long dashes outside it are the rough line: leave "
        f"that wood until the plank is fitted. Keep edges true within {hull.notation.within(0.5)} where they lie "
        f"on a bevel, {hull.notation.within(1.0)} elsewhere.",
        *_forefoot_notes(hull, strake),
        "Scribe ticks and lines of long dashes with short gaps on the face you look at, the outer face of the "
        f"{(hand or 'port').upper()} strake; short dashes are on the far face. "
        f"{'Turn the pattern over for starboard.' if hand is None else 'The other side has a pattern of its own.'}",
        "Without paper: strike the datum line on the board, and a line square to it for the foremost point of the "
        "net line. Lay off, from the strake's table of ordinates, the distances along the datum from that line, and "
        "the ordinates square to it, up toward the SHEER edge. Run a batten through the points. A named tick "
        "shows its own figures where there is room: of two rows the one farther up is for the SHEER edge; for "
        "which edge a single row is, the table says. A short tick with a number is the point with that number in "
        "the table.",
    ]
    if lines.upper is not None or lines.lower is not None:
        notes.append(_lap_note(hull, strake, lines))
    if lines.rivets is not None:
        notes += [
            "Move rivets that would meet a mould or a scarf's feather edge. They are marked on this strake only, "
            "along its lower edge: drill both planks together when it hangs.",
            _on_timbers(lines.rivets),
        ]
    return (*notes, *_keel_notes(hull, strake))


def fastening_holes(fastened: Rivets | None) -> tuple[Hole, ...]:
    """Return the holes to drill when the strake hangs; none where nothing is fastened along the lower edge."""
    if fastened is None:
        return ()
    drilled = fastened.centres[fastened.timber_numbers == 0]
    return tuple(Hole((float(x), float(y)), fastened.diameter) for x, y in drilled)


def _on_timbers(fastened: Rivets) -> str:
    if fastened.on_timber.any():
        return (
            "There is a rivet on every timber, and the rest are evenly between. Those on timbers have a ring with "
            "the timber's number: mark the ring, and drill when the timbers are in."
        )
    return "Move rivets on to the timbers."


def _figures(fastened: Rivets | None, notation: Notation) -> tuple[tuple[str, str], ...]:
    """How many rivets there are, and how far they are apart."""
    if fastened is None:
        return ()
    return (
        (
            "Rivets along the lower edge",
            f"{len(fastened.centres)}, at most {notation.spoken_length(fastened.greatest_gap)} apart",
        ),
    )


def _forefoot_notes(hull: Hull, strake: FlatStrake) -> tuple[str, ...]:
    return tuple(
        f"Round the {'forefoot' if end == 'fore' else 'heel of the sternpost'} the lower edge is NET: there is no "
        "allowance outside it there. The allowance at the hood runs down to its corner."
        for end in net_forefoots(hull, strake)
    )


def _lap_note(hull: Hull, strake: FlatStrake, lines: StrakeLines) -> str:
    has_geralds = any(edge is not None and edge.geralds for edge in (lines.upper, lines.lower))
    depths = ""
    if has_geralds:
        depths = (
            f" The figures in the geralds are depths in {hull.notation.depth_words}, bevel and gerald together: "
            f"first what comes off at the edge, then what comes off at the line along the lap. {GERALD_NOTE}"
        )
    above, below = (hull.planking.lap_on(land) for land in (strake.number, max(strake.number - 1, 1)))
    wide = f"The lap is {hull.notation.spoken_length(above)} wide"
    if abs(above - below) > 1e-6:
        wide += f", on strake {strake.number - 1} below it {hull.notation.spoken_length(below)}"
    return f"{wide}.{depths}"


def _keel_notes(hull: Hull, strake: FlatStrake) -> tuple[str, ...]:
    if strake.number > 1:
        return ()
    if hull.keel.joint == "hog":
        return (KEEL_EDGE_NOTE,)
    if hull.keel.joint == "flat":
        proud = hull.notation.spoken_length(FLAT_BOTTOM_PROUD)
        return (f"Leave the lower edge {proud} proud of the flat bottom and plane it flush when hung.",)
    return ()
