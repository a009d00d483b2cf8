"""The words on a mould: which face, which hand, what to measure, how it is made.

Moulds: a half of each, able to be set up, with both faces, land marks and the planking drawn in section on it.
"""

import textwrap
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, zip_longest

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import OTHER_HAND, About, Hand
from templates_gen.drawing.marks import LINE_PITCH, Point, arrow, line, stack, text_width
from templates_gen.drawing.piece import Facing, Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import station_place
from templates_gen.hull.model import Station
from templates_gen.templates.moulds.band import WOOD, band_marks, band_outline, check_lengths
from templates_gen.templates.moulds.edge import (
    SQUARE,
    far_face,
    flats_of,
    land_ticks,
    planking_in_section,
    taken_off,
    unlettered_edges,
)
from templates_gen.templates.moulds.legs import legs_about, legs_piece
from templates_gen.templates.moulds.outline import NOTCH, Mould, diagonals, half_breadth_at, moulds_of
from templates_gen.templates.moulds.surroundings import below, bottom_words, keel_in_section, levels, scribed_levels
from templates_gen.words import piece_name

Array = NDArray[np.float64]

_HEIGHT = 3.0
_NAME = 5.0
_MARGIN = 10.0
_EDGE_PLAN = 60.0
_WIDEST = 165.0
"""mm: words are set in no wider a column, so that they stay whole on one sheet of A4."""

_PAPER_TEXT, _SHEER_TEXT = 130.0, 170.0


MAKE_TWO = "Make two, one the mirror image of the other."
"""Left out where both halves are cut."""


def _sentences(boat: Boat, mould: Mould, half: Hand) -> tuple[str, ...]:
    """What is written on one half, one sentence to a paragraph."""
    notation = boat.hull.notation
    widest = mould.shape.outline[int(np.argmax(mould.shape.outline[:, 0].round(6)))]
    first, second, joined = (notation.spoken_length(d) for d in diagonals(boat, mould))
    return (
        f"THIS IS THE {mould.face} FACE. Set it on the station line; {side_of_line(mould)}.",
        f"Drawn as {mould.seen}: {half.upper()} half.",
        MAKE_TWO,
        "Join the two halves on the centreline.",
        *(
            f"Make the same again for station {one.name}; turn it end for end there."
            for one in mirrored_stations(boat, mould)
        ),
        "Saw square to the net line, then plane to the short dashes of the far face.",
        f"Next to each flat: the bevel of the edge, and how many {notation.depth_words} inside this face the far "
        "face is.",
        f"Widest: half-breadth {notation.spoken_length(float(widest[0]))}, at "
        f"{notation.spoken_length(float(widest[1]))} above the base line.",
        f"Diagonals: building line at the centreline to sheer {first}; {NOTCH} to top corner {second}; "
        f"with the halves joined, sheer to the opposite top corner {joined}, the same both ways.",
        f"Bottom: {bottom_words(boat, mould)}.",
        f"{boat.hull.name} {boat.hull.fingerprint}".strip(),
    )


def _halves(mould: Mould) -> tuple[Hand, Hand]:
    """The half that is drawn, and its mirror image."""
    return mould.half, OTHER_HAND[mould.half]


def side_of_line(mould: Mould) -> str:
    """Return on which side of the station line the mould is: "the mould is on the FORWARD side of the line"."""
    return f"the mould is on the {'AFTER' if _side(mould) == 'AFT' else 'FORWARD'} side of the line"


def _side(mould: Mould) -> str:
    return "FORWARD" if mould.faces.wood == "fore" else "AFT"


def mirrored_stations(boat: Boat, mould: Mould) -> tuple[Station, ...]:
    """Return the other stations for which the same mould is made, to be turned end for end."""
    return tuple(one for one in boat.hull.stations if one.mirrors == mould.name and one.mould)


def words(boat: Boat, mould: Mould) -> tuple[list[Path], list[Label]]:
    """The mould's name and what to do with it, in the widest band of its wood that holds it; a plan of its edge."""
    sentences = tuple(zip(*(_sentences(boat, mould, half) for half in _halves(mould)), strict=True))
    held = [
        (width, low, high, rows)
        for low, high, width in _clear_bands(boat, mould)
        if len(rows := _rows(sentences, width)) <= (high - low - _NAME - 4.0) / (LINE_PITCH * _HEIGHT)
    ]
    if not held:
        return [], list(_on_paper(boat, mould))
    width, low, high, rows = max(held, key=lambda band: band[:2])
    labels = _stacked(mould, rows, (_MARGIN, high - _NAME - 2.0))
    under = labels[-1].at[1] - 12.0
    thickness = boat.hull.moulds.thickness
    if width < _EDGE_PLAN + 60.0 or under - thickness - 14.0 < low + 6.0:
        return [], list(labels)
    paths, more = _edge_plan(mould, thickness, (_MARGIN + 4.0, under))
    return paths, [*labels, *more]


_Rows = list[tuple[str, str, str | None]]
"""What stands on the half that is drawn, on its mirror image, and, where it is another, where both are cut."""


def _rows(sentences: Sequence[tuple[str, ...]], width: float) -> _Rows:
    """Sentences for both halves broken into rows that fit into a width, each beginning a row of its own."""
    letters = max(int((min(width, _WIDEST) - 2 * _MARGIN) / text_width("n", _HEIGHT)), 12)
    rows: _Rows = []
    for drawn, mirrored in sentences:
        here, there = textwrap.wrap(drawn, letters), textwrap.wrap(mirrored, letters)
        there = [*there[: len(here) - 1], " ".join(there[len(here) - 1 :])]
        is_for_one_half = drawn == MAKE_TWO
        rows += [(*row, "" if is_for_one_half else None) for row in zip_longest(here, there, fillvalue="")]
    return rows


def _stacked(mould: Mould, rows: _Rows, at: Point) -> tuple[Label, ...]:
    """A mould's name with rows under it, those of its mirror image with them."""
    name = f"MOULD {mould.name}"
    drawn, mirrored = [name, *(row[0] for row in rows)], [name, *(row[1] for row in rows)]
    labels = stack(drawn, at, _HEIGHT, _NAME, mirrored)
    return tuple(
        label if one is None else replace(label, on_one_hand=one)
        for label, one in zip(labels, [None, *(row[2] for row in rows)], strict=True)
    )


def _on_paper(boat: Boat, mould: Mould) -> tuple[Label, ...]:
    """The same words on the paper to the left of a mould that is too small for them, below what is already there."""
    rows = _rows(tuple(zip(*(_sentences(boat, mould, half) for half in _halves(mould)), strict=True)), _PAPER_TEXT)
    top = boat.hull.moulds.base - 12.0 - _NAME
    return _stacked(mould, rows, (-_SHEER_TEXT - _PAPER_TEXT, top))


def _clear_bands(boat: Boat, mould: Mould) -> list[tuple[float, float, float]]:
    """The bands between level lines, clear of their labels and of the edge's: bottom, top and width of each, mm."""
    base, sheer = boat.hull.moulds.base, float(mould.sheer[1])
    heights = {mould.notch.top, sheer, base - 6.0}
    heights |= {z for z in (0.0, boat.hull.waterline) if z is not None and mould.notch.top < z < sheer}
    bands = []
    for low, high in pairwise(sorted(heights)):
        clear = low + 1.5 + 1.5 * _HEIGHT
        at_edge = half_breadth_at(mould.shape, clear) - 40.0
        bands.append((clear, high, mould.outline.leg - 30.0 if low >= sheer else at_edge))
    return bands


def _edge_plan(mould: Mould, thickness: float, at: tuple[float, float]) -> tuple[list[Path], list[Label]]:
    """A plan of the mould's edge, FORE up: the station's line, the wood to one side of it, its bevel."""
    x, top = at
    fore = mould.faces.wood == "fore"
    station = top - thickness if fore else top
    far = top if fore else top - thickness
    long = _EDGE_PLAN
    bevel = min(max(float(mould.faces.taken.max()), 0.0), 0.6 * thickness)
    paths = [
        line(Role.NOTE, (x + 8.0, station), (x + 8.0, far), (x + long - 8.0 - bevel, far), (x + long - 8.0, station)),
        line(Role.NOTE, (x, station), (x + long, station)),
        arrow((x, top - thickness), (x, top + 4.0)),
    ]
    middle = (top + top - thickness) / 2 - 0.5 * _HEIGHT
    return paths, [
        Label("FORE", (x + 2.5, top + 1.5), _HEIGHT),
        Label("wood", (x + long / 2 - 4.0, middle), _HEIGHT, 0.0, "middle"),
        Label(f"station {mould.name}", (x + long + 2.0, station - 1.5), _HEIGHT),
        Label("edge, looking down on it as drawn", (x, top - thickness - 7.0), _HEIGHT),
    ]


def notes(boat: Boat, mould: Mould) -> tuple[str, ...]:
    """How a mould is made, and what to mind of this one."""
    lines = [
        "Net line: the face on the station line. Short dashes: the far face. Saw square, then plane to both.",
        "Ticks across the edge mark the lands: the upper inside edge of each strake. Square them across the edge.",
        "The strakes are drawn in section outside the edge. Lay two offcuts on them to check a bevel gauge, the "
        "take-off and the mark of the next land before you cut wood.",
    ]
    flats = flats_of(mould.shape, mould.outline.foot)
    taken = taken_off(mould.faces, mould.shape, flats)
    square = [str(k) for k, (flat, off) in enumerate(zip(flats, taken, strict=True), 1) if flat and off < SQUARE]
    if square:
        lines.append(
            f"Edge at strake {', '.join(square)}: leave it square; less than {boat.hull.notation.tolerance(SQUARE)} "
            "comes off there."
        )
    proud = [(k, d) for k, d in enumerate(mould.shape.proud, start=1) if d >= 0.5]
    lines += [
        f"This smooth edge holds strake {k} off its marks by {boat.hull.notation.depths_of(float(d))}: "
        "plane a flat there from mark to mark."
        for k, d in proud
    ]
    around = boat.hull.notation.about(80.0)
    lines.append(f"You may cut the middle away: leave {around} all round and a cross-piece at the building line.")
    return tuple(lines)


def band_notes(boat: Boat, mould: Mould) -> tuple[str, ...]:
    """How an edge band becomes a mould, and what else is to be known of this one."""
    notation = boat.hull.notation
    general, of_this = notes(boat, mould)[:3], notes(boat, mould)[3:-1]
    return (
        f"The sheets show the planked edge and {notation.spoken_length(WOOD)} of wood inside it. Only the planked "
        "edge and the notch must be true. The inner edge need not be true: leave more wood inside if you have it.",
        "Legs, cross-piece and building line: see the drawing to scale of the mould's legs.",
        "By each land: its half-breadth from the centreline (out) and its height above the base line (up). The thin "
        "lines are a grid of the same distances: strike it on a floor or board and lay each sheet on it.",
        *general,
        *(f"{row[0].upper()}{row[1:]}." for row in _hand_rows(boat, mould)),
        *of_this,
    )


def mould_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return one piece, "mould NAME", for each station with a mould; its millimetres are the station's (y, z).

    The mirrored stations of half a boat have none of their own: their moulds are the given ones, turned end for end.
    """
    return tuple(_piece(boat, mould) for mould in moulds_of(boat) if not mould.shape.station.mirrors)


def _piece(boat: Boat, mould: Mould) -> Piece:
    paths, labels = _edge(boat, mould, mould.outline.closed)
    more_paths, more_labels = words(boat, mould)
    level_paths, level_labels = levels(boat, mould, [*labels, *more_labels])
    paths += [*more_paths, *level_paths]
    said = (*notes(boat, mould), *unlettered_edges(boat, mould, labels))
    return _named(boat, mould, paths, [*labels, *more_labels, *level_labels], said)


def band_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return one piece, "mould NAME", for each mould: its planked edge with some wood inside it, in the same mm; then
    how each stands on its legs, to scale.

    A router cuts `mould_pieces` all the same.
    """
    moulds = [mould for mould in moulds_of(boat) if not mould.shape.station.mirrors]
    outlines = [band_outline(mould, boat.hull.moulds.base) for mould in moulds]
    drawn = list(zip(moulds, outlines, strict=True))
    return (*(_band(boat, *one) for one in drawn), *(legs_piece(boat, *one) for one in drawn))


def band_abouts(boat: Boat) -> tuple[About, ...]:
    """Return what each piece of `band_pieces` is about, in the same order, without drawing any."""
    stations = [shape.station for shape in boat.moulds if shape.station.mould and not shape.station.mirrors]
    return (*(_about(boat, one) for one in stations), *(legs_about(boat, one) for one in stations))


def _about(boat: Boat, station: Station) -> About:
    """What a mould's piece is about."""
    return About("mould", place=station_place(boat.hull, station))


def _band(boat: Boat, mould: Mould, outline: Array) -> Piece:
    flats = flats_of(mould.shape, mould.outline.foot)
    paths, labels = _edge(boat, mould, outline)
    more_paths, more_labels, crowded = band_marks(boat, mould, flats, outline, (paths, labels))
    said = [*band_notes(boat, mould), *unlettered_edges(boat, mould, labels)]
    if crowded:
        lands = f"land{'s' * (len(crowded) > 1)} {', '.join(map(str, crowded))}"
        said.append(f"No room at the mark for out and up of {lands}: see the tables of half-breadths and heights.")
    piece = _named(boat, mould, [*paths, *more_paths], [*labels, *more_labels], tuple(said))
    checks = "; ".join(
        f"{between} {boat.hull.notation.spoken_length(length)}" for between, length in check_lengths(mould, flats)
    )
    return replace(piece, figures=(("Measure when the sheets are joined", checks),))


def _edge(boat: Boat, mould: Mould, outline: Array) -> tuple[list[Path], list[Label]]:
    """What a mould has along its edge, and an outline of its wood."""
    shape = mould.shape
    flats = flats_of(shape, mould.outline.foot)
    paths, labels = [Path(outline, Role.CUT, closed=True), _centreline(mould)], []
    for more_paths, more_labels in (
        land_ticks(shape, flats),
        far_face(boat, shape, mould.faces, flats, mould.notch, scribed_levels(boat, mould)),
        planking_in_section(boat, shape),
        keel_in_section(boat, mould),
    ):
        paths += more_paths
        labels += more_labels
    return paths, labels


def _hand_rows(boat: Boat, mould: Mould) -> tuple[str, ...]:
    """Which face and half is drawn, where the mould stands, and how many are made: in the same words everywhere."""
    return (
        f"{mould.half.upper()} half, {mould.face} face, {mould.seen}",
        f"set on the station line; {side_of_line(mould)}",
        "SHEER up with the writing upright",
        "make two, one the mirror image of the other; join them on the centreline",
        *(
            f"make two more for station {one.name}; turn them end for end there"
            for one in mirrored_stations(boat, mould)
        ),
    )


def _named(boat: Boat, mould: Mould, paths: list[Path], labels: list[Label], notes: tuple[str, ...]) -> Piece:
    """A mould's piece, of what is drawn on it."""
    hull, station = boat.hull, mould.shape.station
    about = _about(boat, station)
    return Piece(
        piece_name(about),
        "moulds",
        (f"Mould {mould.name}", *_hand_rows(boat, mould)),
        tuple(paths),
        (),
        tuple(labels),
        notes,
        serves=tuple(station_place(hull, one) for one in (station, *mirrored_stations(boat, mould))),
        about=about,
        facing=Facing(mould.half, f"{mould.face} face", f"mould {_side(mould)} of the line"),
        engraved=(piece_name(about), f"{mould.face} face"),
    )


def _centreline(mould: Mould) -> Path:
    """The centreline carried down from the mould's bottom past the keel."""
    return line(Role.CENTRELINE, (0.0, mould.notch.top), (0.0, below(mould)))
