"""A stem's or sternpost's profile: rabbet, bearding and apex lines, land marks, and the lines of its gauges."""

from collections.abc import Iterator
from itertools import product

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.drawing.piece import Facing, Label, Path, Piece, PrintSet, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.stem_side import StemSide, inner_edge, outer_edge, stem_outline, stem_side
from templates_gen.notation import Notation
from templates_gen.templates.moulds.writing import Writing
from templates_gen.templates.rebates.cards import rows_of_text
from templates_gen.templates.rebates.stem.gauges import MEMBER, apron_words
from templates_gen.templates.rebates.stem.marks import stem_marks
from templates_gen.templates.rebates.stem.surroundings import Strip, level_line, strip_of, surroundings, write_legend
from templates_gen.words import piece_name

Array = NDArray[np.float64]

_NAMED = 110.0
"""mm along the stem from one place where its lines are named to the next: every sheet shows one or more."""

_NAME_HEIGHTS = (2.5, 2.0)
"""Heights of capitals in such a name, mm."""

_NAME_SPANS = (25.0, 17.0, 13.0)
"""mm to either side of such a place within which a name stands, the widest first."""

_NAME_GAPS = (0.9, 2.2, 3.5)
"""mm between a line and its name; more where the line bends toward the name."""

_NAME_SHIFTS = (0.0, 12.0, -12.0, 24.0, -24.0, 36.0, -36.0, 48.0, -48.0)
"""mm along the stem by which such a place is moved to find room."""

_PIECE_SHIFTS = tuple(float(shift) for shift in range(0, 80, 4))
"""mm along the stem by which the piece's name, its hand and its ends are moved to find room."""

_RUN_ON = 60.0
"""Wood left above the sheer for gunwale and breasthook, mm (common practice)."""


def stem_piece(boat: Boat, end: EndName, to_print: PrintSet = "full") -> Piece:
    """Return the profile of the stem at one end, seen on the port side from outside: the bow to the left.

    Cut is the wood's outline from the foot to the head: fore face (the rabbet line itself where the hull file gives
    none or the stem is bevelled), straight across at head and foot, and the inner edge.
    """
    side = stem_side(boat.shell, end, boat.rebates)
    outline, cut_at_rabbet = stem_outline(side)
    paths = [Path(outline, Role.CUT, closed=True), *_lines(side, cut_at_rabbet)]
    marks = stem_marks(boat, end, side, cut_at_rabbet, to_print)
    labels: list[Label] = []
    for more_paths, more_labels in (
        (marks.paths, []),
        _run_on(side),
        surroundings(boat, end, side, to_print),
    ):
        paths += more_paths
        labels += more_labels
    writing = Writing(paths, labels)
    marks.write(boat, writing)
    missing = write_legend(boat.hull.notation, side, end, cut_at_rabbet, marks.distances, writing)
    strip = strip_of(side)
    _name_piece(end, side, strip, writing)
    _name_lines(side, strip, writing)
    level_line(boat, outline, writing)
    about, facing = About("stem", end=end), Facing("port", "side seen from outside")
    return Piece(
        piece_name(about),
        "rebates",
        _title(side, end, boat.hull.notation),
        tuple(writing.paths),
        (),
        tuple(writing.labels),
        (*_notes(boat, side), *([f"No room to lead names to their lines: {'; '.join(missing)}."] if missing else [])),
        about=about,
        facing=facing,
    )


def _lines(side: StemSide, cut_at_rabbet: bool) -> Iterator[Path]:
    """The lines along a stem: bearding, rabbet where it is not cut there, a false stem's face, apex."""
    yield Path(side.inside(side.along, side.bearding), Role.SCRIBE)
    if not cut_at_rabbet:
        yield Path(side.inside(side.along, 0.0), Role.SCRIBE)
    if side.stem.joint == "bevel" and (false_stem := outer_edge(side)) is not None:
        yield Path(false_stem, Role.NOTE)
    if side.stem.joint == "rebate":
        yield Path(side.inside(side.along, side.apex), Role.FAR)


def _title(side: StemSide, end: EndName, notation: Notation) -> tuple[str, ...]:
    wide = side.stem.apron
    apron = "" if wide is None else f", apron {notation.length(wide)} wide"
    return (
        f"{MEMBER[end]}: profile",
        "PORT side seen from outside; turn over for starboard",
        "the bow is where the arrow FORE points; heights are above base",
        f"sided {notation.length(side.stem.siding)} at the rabbet line{apron}; "
        "leave wood above the sheer (rough line)",
    )


def _run_on(side: StemSide) -> tuple[list[Path], list[Label]]:
    """The wood left above the sheer, dashed, and what it is left for."""
    _, toward_head, _ = side.side(side.along[-1])
    face = outer_edge(side) if side.stem.joint == "rebate" else None
    outer = side.inside(side.along[-1], 0.0) if face is None else face[-1]
    ends = np.array([outer, inner_edge(side)[-1]])
    up = _RUN_ON * toward_head
    left, right = ends[np.argsort(ends[:, 0])]
    across = right - left
    width = float(np.linalg.norm(across))
    angle = float(np.arctan2(across[1], across[0]))
    start = left + 4.0 * across / width + (_RUN_ON - 9.0) * toward_head
    rows = [
        ("leave wood above the", "leave wood above"),
        ("sheer, for gunwale", "for gunwale"),
        ("and breasthook",),
    ]
    words = rows_of_text(rows, start, angle, width - 8.0, named=False)
    return [Path(np.array([ends[0], ends[0] + up, ends[1] + up, ends[1]]), Role.ROUGH)], list(words)


def _name_lines(side: StemSide, strip: Strip, writing: Writing) -> None:
    """Write the names of rabbet line and bearding line again and again along them."""
    inner = "bevel ends" if side.stem.joint == "bevel" else "bearding line"
    for line, text in ((side.inside(side.along, 0.0), "rabbet line"), (strip.bearding, inner)):
        for middle in np.arange(_NAMED / 2, float(side.along[-1]), _NAMED):
            _name_line(side, line, text, float(middle), writing)


def _name_line(side: StemSide, line: Array, text: str, middle: float, writing: Writing) -> bool:
    """Write a line's name next to it, about where it is `middle` mm from the foot; return whether there was room.

    Where the line bends hard only a short span of it is straight enough.
    """
    there = np.array([label.at for label in writing.labels if label.text == text]).reshape(-1, 2)
    for height, gap, half, shift in product(_NAME_HEIGHTS, _NAME_GAPS, _NAME_SPANS, _NAME_SHIFTS):
        near = np.abs(side.along - middle - shift) < half
        if np.count_nonzero(near) < 2:
            continue
        span = line[near][[0, -1]]
        if np.any(np.linalg.norm(there - span.mean(axis=0), axis=1) < _NAMED / 2):
            continue
        if writing.add_along(span if span[0, 0] <= span[1, 0] else span[::-1], (text,), height, gap):
            return True
    return False


def _name_piece(end: EndName, side: StemSide, strip: Strip, writing: Writing) -> None:
    """Write the piece's name, hand and ends on the wood, where there is room and nothing is drawn."""
    words = (
        (0.06, ("KEEL END", "KEEL")),
        (0.55, (f"{MEMBER[end].upper()}: PORT SIDE, THIS FACE OUT", f"{MEMBER[end].upper()}, PORT SIDE")),
        (0.78, ("turn over for starboard",)),
        (0.97, ("SHEER END", "SHEER")),
    )
    reach = float(side.along[-1])
    for share, wordings in words:
        inward = 1.0 if share < 0.5 else -1.0
        tries = (
            label
            for text in wordings
            for shift in _PIECE_SHIFTS
            for label in strip.words(text, share * reach + inward * shift)
        )
        any(writing.add([label]) for label in tries)


def _notes(boat: Boat, side: StemSide) -> tuple[str, ...]:
    """How the profile is used, and what it cannot tell."""
    foot, head = side.side(np.array([0.0, side.lands[-1]]))[0]
    length = boat.hull.notation.spoken_length(float(np.linalg.norm(head - foot)))
    bevelled = side.stem.joint == "bevel"
    scribed = "bevel's edge" if bevelled else "bearding line"
    notes = [
        f"Prick the rabbet line, the {scribed} and the short lines of the gauges through on to the wood.",
        "Turn it over for the other side. Compare the heights of the land marks, port and starboard, with a square "
        "across the fore face.",
        "Measure when the sheets are joined, in a straight line: rabbet line at the foot to rabbet line at the sheer "
        f"{length}.",
        "The siding of the fore face is not in the hull file.",
        *apron_words(boat.hull.notation, side.stem),
        f"The {scribed} is drawn fair through the lands; computed strake by strake it would jump at each land.",
        "Joints with keel and knee are not in the hull file: the pattern ends at the rabbet's foot. Draw them on.",
        "It also ends at the sheer: leave the wood above it, within the rough line, until gunwale and breasthook are "
        "fitted.",
    ]
    if not bevelled:
        notes.insert(1, "The apex line is the bottom of the cut. It lies inside the wood; do not scribe it.")
    if bevelled:
        notes.append("The fore face of the inner stem is the rabbet line; the planks are trimmed flush with it.")
    elif side.stem.face is None:
        notes.append(
            "The hull file gives no fore face, so the pattern ends at the rabbet line. Leave wood forward of it."
        )
    if side.stem.wood_inside is None:
        notes.append(
            "The hull file does not say how much wood is inside the rabbet line: the inner edge of the pattern is "
            "not "
            "the timber's."
        )
    return tuple(notes)
