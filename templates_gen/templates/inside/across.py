"""Bulkheads, frames and floors as templates: a half of each with both faces, bevels, steps and words."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import line, tick
from templates_gen.drawing.piece import Facing, Label, Path, Piece, Role, Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.across import PlankedFacet
from templates_gen.geometry.inside.room import Facet
from templates_gen.templates.cards import CardDrawing
from templates_gen.templates.inside.lettering import (
    PLANKS_VARY,
    far_cell,
    for_hand,
    hand_of,
    pattern,
    sentence,
    word_rows,
    write_on_flat,
    write_words,
)
from templates_gen.templates.inside.outline import AcrossSheet, across_sheets
from templates_gen.templates.moulds.band import across
from templates_gen.templates.moulds.edge import SQUARE, TICK_INSIDE, Flat, across_edge
from templates_gen.templates.moulds.writing import Writing
from templates_gen.units import format_angle
from templates_gen.words import piece_name

Array = NDArray[np.float64]

_SMALL = 2.2
_PAST = 15.0


def across_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return "bulkhead 1", "frame 1", "floor 1" …, in the order of the hull file, in the (y, z) of the boat."""
    return tuple(_piece(boat, sheet) for sheet in across_sheets(boat))


def across_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the bevels, steps and offsets of each piece across the boat."""
    return tuple(_table(boat, sheet) for sheet in across_sheets(boat))


def name_of(sheet: AcrossSheet) -> str:
    """Return what a piece is called: "bulkhead 1"."""
    return piece_name(sheet.shape.about)


def _piece(boat: Boat, sheet: AcrossSheet) -> Piece:
    paths = [Path(sheet.closed, Role.CUT, closed=True), Path(sheet.far, Role.FAR)]
    if sheet.saw is not None:
        paths.append(Path(sheet.saw, Role.ROUGH, closed=True))
    if sheet.to_centreline or sheet.notch is not None:
        on_it = sheet.closed[np.abs(sheet.closed[:, 0]) < 1e-6, 1]
        low, high = float(sheet.closed[:, 1].min()), float(on_it.max())
        paths.append(line(Role.CENTRELINE, (0.0, low - _PAST), (0.0, high + _PAST)))
    paths += [tick(mark, inward, 0.0, TICK_INSIDE) for _, mark, inward in _marks(sheet)]
    labels = _lettering(boat, sheet, paths)
    face = f"{sheet.face} face, {sheet.seen}"
    title = (
        name_of(sheet).capitalize(),
        f"with the writing upright: {sheet.seen}, {hand_of(boat, sheet.half).upper()} half, SHEER up",
        f"{sheet.face} face, on the line {boat.hull.notation.spoken_length(sheet.shape.piece.at)} aft of the datum; "
        f"{_side(sheet)}",
        _halves(boat, sheet),
    )
    drawing = CardDrawing(tuple(paths), (), tuple(labels))
    return pattern(sheet.shape.about, title, drawing, _notes(boat, sheet), Facing(sheet.half, face))


def _side(sheet: AcrossSheet) -> str:
    side = "FORWARD" if sheet.shape.wood == "fore" else "AFTER"
    return f"the wood is on the {side} side of the line"


def _halves(boat: Boat, sheet: AcrossSheet) -> str:
    if sheet.to_centreline:
        both = "cut both halves in one piece: turn the pattern over on the centreline"
        own = "cut both halves in one piece, by both patterns: they meet on the centreline"
    else:
        joined = "; join them over the keel" if sheet.notch else ""
        both, own = f"make two, one the mirror image of the other{joined}", f"make one by each pattern{joined}"
    return for_hand(boat, both, own)


def _facets(sheet: AcrossSheet) -> Iterator[tuple[PlankedFacet, Facet, Flat]]:
    """Yield the facets that are drawn, with the part of each that the edge has."""
    cuts = {facet.strake: facet for facet in sheet.shape.near.facets}
    low, high = sheet.edge[0], sheet.edge[-1]
    for planked in sheet.shape.facets:
        facet = cuts[planked.strake]
        along = facet.along
        first, last = facet.line[0], facet.line[-1]
        start = first + max(float((low - first) @ along), 0.0) * along
        stop = last - max(float((last - high) @ along), 0.0) * along
        if float((stop - start) @ along) > 2.0:
            yield planked, facet, Flat(np.stack([start, stop]), along, facet.inward)


def _marks(sheet: AcrossSheet) -> Iterator[tuple[int, Array, Array]]:
    """Yield each land on the edge: its number, the upper inside corner of its lower strake, and the way inward."""
    drawn = {planked.strake: facet for planked, facet, _ in _facets(sheet)}
    for strake, facet in drawn.items():
        if strake + 1 in drawn:
            inward = facet.inward + drawn[strake + 1].inward
            yield strake, facet.line[-1], inward / np.linalg.norm(inward)


def _lettering(boat: Boat, sheet: AcrossSheet, paths: list[Path]) -> list[Label]:
    """All lettering, each where there is room for it; the level line is added to `paths`."""
    writing = Writing(paths, [])
    steps = {planked.strake: planked for planked in sheet.shape.facets}
    for land, mark, inward in _marks(sheet):
        step = boat.hull.notation.depths_of(steps[land + 1].step, steps[land + 1].far_step)
        is_stepped = sheet.shape.piece.edge == "joggled"
        steps_first = (f"land {land}: step {step}", f"land {land}: {step}") if is_stepped else ()
        texts = (*steps_first, f"land {land}")
        any(writing.add([across_edge(text, mark, inward, 0.8, height)]) for height in (2.5, 2.0) for text in texts)
    if sheet.shape.piece.edge == "joggled":
        for planked, _, flat in _facets(sheet):
            _write_bevel(boat, planked, flat, writing)
    write_words(
        writing, sheet.closed, word_rows(boat.hull.of_side(name_of(sheet)), _words(boat, sheet)), sheet.to_centreline
    )
    for span, texts in _levels(boat, sheet):
        writing.add_along(span, texts, _SMALL)
        paths += [Path(np.stack(part), Role.SCRIBE) for part in writing.unbroken(*span)]
    return writing.labels


def _write_bevel(boat: Boat, planked: PlankedFacet, flat: Flat, writing: Writing) -> None:
    """Write along a facet its strake, the bevel of the edge and where the far face is, in the fullest wording."""
    off = abs(planked.inside)
    angle, where = format_angle(abs(planked.bevel)), "inside" if planked.inside > 0.0 else "OUTSIDE"
    depth = boat.hull.notation.depths_of(off)
    texts = (
        (
            f"strake {planked.strake}: edge {angle}, far face {depth} {where}",
            f"{planked.strake}: {angle}, {depth} {where}",
        )
        if off >= SQUARE
        else (f"strake {planked.strake}: edge square", f"{planked.strake}: square")
    )
    write_on_flat(writing, flat, texts, abs(planked.inside))


def _words(boat: Boat, sheet: AcrossSheet) -> list[str]:
    notation, piece = boat.hull.notation, sheet.shape.piece
    return [
        f"THIS IS THE {sheet.face} FACE. Set it on the line {notation.spoken_length(piece.at)} aft of the datum; "
        f"{_side(sheet)}.",
        f"Drawn as {sheet.seen}: {hand_of(boat, sheet.half).upper()} half. {sentence(_halves(boat, sheet))}",
        f"{notation.spoken_thickness(piece.thickness)} thick.",
        _saw_words(sheet),
        f"{boat.hull.name} {boat.hull.fingerprint}".strip(),
    ]


def _saw_words(sheet: AcrossSheet) -> str:
    if sheet.saw is None:
        return "Saw square to the net line, then plane to the short dashes of the far face."
    return (
        "Saw square to the rough line, then cut to the net line on this face and to the short dashes on the far face."
    )


def _levels(boat: Boat, sheet: AcrossSheet) -> Iterator[tuple[Array, tuple[str, ...]]]:
    """Yield the waterline across the wood, and what is written on it."""
    height = boat.hull.waterline
    if height is not None:
        words = f"waterline, {boat.hull.notation.spoken_length(height)} up"
        yield from ((span, (words, "waterline")) for span in across(sheet.closed, 1, height))


def _notes(boat: Boat, sheet: AcrossSheet) -> tuple[str, ...]:
    piece = sheet.shape.piece
    thickness = boat.hull.notation.spoken_thickness(piece.thickness)
    lines = [
        f"Net line: the {sheet.face} face, on the line. Short dashes: the far face, {thickness} from it. "
        + _saw_words(sheet),
    ]
    if piece.edge == "joggled":
        lines += [
            "Next to each strake: the bevel of the edge, and how far inside this face's line the far face is. Next "
            "to each land: the depth of the step, on this face and on the far face.",
            PLANKS_VARY,
        ]
    else:
        lines.append(
            "The edge touches each strake at its upper inside corner, where the ticks are, and is clear of the rest."
        )
    if sheet.notch is not None:
        lines.append(f"Bottom: {sheet.notch.words}.")
    if piece.limber:
        radius = boat.hull.notation.spoken_length(piece.limber)
        lines.append(f"The hole at the keel lets water through: {radius} radius.")
    return tuple(lines)


def _table(boat: Boat, sheet: AcrossSheet) -> Table:
    notation, is_joggled = boat.hull.notation, sheet.shape.piece.edge == "joggled"
    steps = (notation.depth_heading("step\nbelow"), notation.depth_heading("on the\nfar face"))
    corners = {f.strake: f.line[-1] for f in sheet.shape.near.facets}
    rows = tuple(
        (
            str(facet.strake),
            format_angle(facet.bevel),
            far_cell(notation, facet.inside),
            *(_step_cells(boat, facet) if is_joggled else ()),
            *(notation.length(float(length)) for length in corners[facet.strake]),
        )
        for facet in sheet.shape.facets
    )
    return Table(
        f"{name_of(sheet).capitalize()}: {'bevels, steps' if is_joggled else 'bevels'} and offsets",
        (
            "strake",
            "bevel",
            notation.depth_heading("far face\ninside"),
            *(steps if is_joggled else ()),
            *(notation.heading(name) for name in ("corner\nout", "corner\nup")),
        ),
        rows,
        (
            "The bevel is square to the edge, less than 0 where the far face is the larger. "
            + ("The step is from the strake below. " if is_joggled else "The edge is fair: cut no steps. ")
            + "Corners are the upper inside corners of the strakes at the face on the line.",
        ),
        word_columns=(),
    )


def _step_cells(boat: Boat, facet: PlankedFacet) -> tuple[str, str]:
    """The step below a facet on both faces; nothing for the lowest."""
    near, far = (boat.hull.notation.depth_cell(step) for step in (facet.step, facet.far_step))
    return (near, far) if facet.step else ("", "")
