"""The outline of every strake, laid flat, with all that is marked on it."""

import numpy as np

from templates_gen.drawing.piece import Piece
from templates_gen.geometry.bending import Bending
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import Extent, FlatStrake
from templates_gen.hull.model import Hull
from templates_gen.templates.strakes_lines import FLAT_BOTTOM_PROUD, StrakeLines, strake_lines
from templates_gen.templates.strakes_tables import strake_tables
from templates_gen.templates.strakes_words import strake_words
from templates_gen.units import format_length

__all__ = ["strake_pieces", "strake_tables"]

SHEET_LENGTH = 2440.0
"""Length of a sheet of marine plywood, mm (BS 1088: 2440 x 1220)."""


def strake_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the template of every strake, from the garboard."""
    return tuple(_piece(boat, strake) for strake in boat.strakes)


def _piece(boat: Boat, strake: FlatStrake) -> Piece:
    hull, index = boat.hull, strake.number - 1
    measure, hang = boat.extents[index], boat.bendings[index]
    lines = strake_lines(hull, strake)
    labels, arrows = strake_words(hull, lines, _facts(hull, strake, measure, hang))
    return Piece(
        f"strake {strake.number}",
        "strakes",
        _title(hull, strake),
        (*lines.paths, *arrows),
        (),
        labels,
        _notes(hull, lines, measure, hang),
    )


def _title(hull: Hull, strake: FlatStrake) -> tuple[str, ...]:
    count = hull.planking.strakes
    called = {1: " (garboard)", count: " (sheer strake)"}.get(strake.number, "")
    return (
        f"Strake {strake.number} of {count}{called}: outline",
        "PORT, this face OUT; turn over for starboard",
        "FORE end left, SHEER edge up, KEEL edge down",
        "make one and its mirror",
    )


def _facts(hull: Hull, strake: FlatStrake, measure: Extent, hang: Bending) -> tuple[str, ...]:
    thickness = format_length(hull.planking.thickness[strake.number - 1], hull.units)
    return (
        f"strake {strake.number}: {_size(hull, measure)}",
        f"{thickness} thick, edges square; the middle of the line is the size at mid-thickness",
        f"{_hardness(hull, strake, hang)}: {hang.verdict}",
    )


def _size(hull: Hull, measure: Extent) -> str:
    length, width = (format_length(value, hull.units) for value in (measure.length, measure.greatest_width))
    board = " × ".join(format_length(value, hull.units) for value in measure.blank)
    return f"net length {length}, greatest width {width}, board {board}"


def _hardness(hull: Hull, strake: FlatStrake, hang: Bending) -> str:
    times = hang.least_bend_radius / hull.planking.thickness[strake.number - 1]
    bend = f"least bend {times:.0f} t" if times < 1000.0 else "next to no bend"
    return (
        f"twist {np.degrees(hang.twist_per_metre):.0f}° over the worst metre, {bend}, "
        f"edges stretch {abs(hang.edge_stretch) * 100.0:.2f} %"
    )


def _notes(hull: Hull, lines: StrakeLines, measure: Extent, hang: Bending) -> tuple[str, ...]:
    strake = lines.strake
    notes = [
        "Cut to the middle of the full outline, edges square. The long dashes outside it are the rough line: leave "
        "that wood until the plank is fitted. Edges true within 0.5 mm where they lie on a bevel, 1 mm elsewhere.",
        "Full lines and ticks are scribed on the face you look at, the outer face of the PORT strake; dashed ones "
        "on the other face. Turn the pattern over for starboard.",
        f"{_size(hull, measure)[0].upper()}{_size(hull, measure)[1:]}; its middle line sweeps "
        f"{format_length(measure.sweep, hull.units)}. {_hardness(hull, strake, hang).capitalize()} "
        f"(in the worst 300 mm): {hang.verdict}.",
        "Without paper: strike the datum line on the board, lay off the distances along it and the ordinates square "
        "to it from the table, and run a batten through them. Every tick shows its own.",
    ]
    if lines.upper is not None or lines.lower is not None:
        notes.append(_lap_note(hull, strake, lines))
    if lines.nails is not None:
        notes.append(
            f"{len(lines.nails.places)} rivets {format_length(lines.nails.spacing, hull.units)} apart along the "
            "lower edge; pierce both planks together when this one is hung."
        )
    return (*notes, *_keel_notes(hull, strake), *_sheet_notes(hull, measure))


def _lap_note(hull: Hull, strake: FlatStrake, lines: StrakeLines) -> str:
    has_geralds = any(edge is not None and edge.geralds for edge in (lines.upper, lines.lower))
    depths = ""
    if has_geralds:
        depths = (
            " In the geralds the figures are what comes off at the edge and at the line along the lap, bevel and "
            "half-lap together, mm."
        )
    above, below = (hull.planking.lap_on(land) for land in (strake.number, max(strake.number - 1, 1)))
    wide = f"The lap is {format_length(above, hull.units)} wide"
    if abs(above - below) > 1e-6:
        wide += f", on strake {strake.number - 1} below it {format_length(below, hull.units)}"
    return f"{wide}.{depths}"


def _keel_notes(hull: Hull, strake: FlatStrake) -> tuple[str, ...]:
    if strake.number > 1:
        return ()
    if hull.keel.joint == "hog":
        return (
            "The lower edge is square where it meets the rabbet line; plane its inner arris back to lie against the "
            "keel's side by the keel gauges.",
        )
    if hull.keel.joint == "flat":
        proud = format_length(FLAT_BOTTOM_PROUD, hull.units)
        return (f"Leave the lower edge {proud} proud of the flat bottom and plane it flush when hung.",)
    return ()


def _sheet_notes(hull: Hull, measure: Extent) -> tuple[str, ...]:
    if hull.planking.method != "glued" or measure.blank[0] <= SHEET_LENGTH:
        return ()
    sheet = format_length(SHEET_LENGTH, hull.units)
    return (f"Longer than a sheet of {sheet}: one scarf of 8 to 1, its outside feather facing aft.",)
