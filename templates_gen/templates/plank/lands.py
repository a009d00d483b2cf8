"""What is laid on the lands of a measured plank: gerald cards and end views, gerald blocks, take-off strips.

They are those of a drawn boat, for the strake that is made: its own card of each gerald that is drawn, and the strip
of the edge that is planed on it.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.drawing.piece import Piece
from templates_gen.geometry.plank.lands import (
    PlankGerald,
    PlankLand,
    lapping_near,
    losses_of,
    lower_thickness,
    own_losses,
    take_off,
)
from templates_gen.geometry.plank.marks import marked_edge
from templates_gen.geometry.shell import GERALD_EASE
from templates_gen.numerics.chains import running
from templates_gen.templates.bevels.edge_lines import EdgeLine, EdgeTick
from templates_gen.templates.bevels.facts import Gerald, GeraldOutline, levelled
from templates_gen.templates.bevels.gerald_cards import gerald_blocks, gerald_card
from templates_gen.templates.bevels.gerald_views import views_piece
from templates_gen.templates.bevels.strip import edge_strips
from templates_gen.templates.rebates.cards import marks_of
from templates_gen.words import on_sheet

Array = NDArray[np.float64]

_AT_A_PLACE, _AT_A_TURN, _AT_A_GERALD = 0, 1, 3
"""Ranks of ticks, as in `EdgeTick`."""


def land_pieces(lands: Sequence[PlankLand]) -> tuple[Piece, ...]:
    """Return the gerald blocks, the cards, the end views and the take-off strips of a plank's lands.

    All are of paper, so that a file to cut from holds the plank alone.
    """
    if not lands:
        return ()
    measured = lands[0].plank.measured
    drawn = [(land, _card_gerald(land, one), one) for land in lands for one in land.geralds if not one.missing]
    geralds = [gerald for _, gerald, _ in drawn]
    laps = {gerald.land: land.lap for land, gerald, _ in drawn}
    blocks = [replace(one, is_paper=True) for one in gerald_blocks(measured, laps.__getitem__, geralds)]
    cards = [
        gerald_card(measured, gerald, {land.side == "below": _outline(land, one.end)}) for land, gerald, one in drawn
    ]
    views = [
        views_piece(gerald, land.lap, marks_of(measured)[1], measured.notation)
        for land, gerald, _ in drawn
        if np.isfinite(gerald.upper_thickness)
    ]
    edges = [edge for land in lands if (edge := edge_line(land)) is not None]
    return (*blocks, *cards, *views, *(strip for edge in edges for strip in edge_strips(measured, edge)))


def _card_gerald(land: PlankLand, one: PlankGerald) -> Gerald:
    """A gerald as its card needs it; the upper strake's thickness is nan where it was not measured."""
    thickness = lower_thickness(land)
    assert one.lapping is not None
    assert thickness is not None
    upper = land.plank.measured.thickness if land.side == "below" else np.nan
    return Gerald(
        land.land,
        one.end,
        one.length,
        np.zeros(len(one.at_edge)),
        losses_of(land, one.lapping),
        one.lapping,
        thickness,
        upper,
    )


def _outline(land: PlankLand, end: EndName) -> GeraldOutline:
    """Where a gerald that is drawn lies on the plank, from its start to the plank's end."""
    marks = marked_edge(land)
    own = next(one for one in marks.geralds if one.end == end)
    quarters = np.stack([own.start, *(mark.line for mark in own.quarters)])
    chord = quarters[-1, 0] - quarters[0, 0]
    lines = [
        _stretch(line, quarters[0, side], quarters[-1, side])
        for side, line in enumerate((land.plank.edge(land.which), marks.inner_line))
    ]
    edge, inner, across = (levelled(points, chord) for points in (*lines, quarters))
    return GeraldOutline(edge, inner, across)


def _stretch(line: Array, start: Array, stop: Array) -> Array:
    """The part of a line (p, 2), which runs fore to aft, from one of its points to another, each (2,)."""
    low, high = sorted((float(start[0]), float(stop[0])))
    inside = line[(line[:, 0] > low + 1e-6) & (line[:, 0] < high - 1e-6)]
    return np.concatenate([start[None], inside if start[0] < stop[0] else inside[::-1], stop[None]])


def edge_line(land: PlankLand) -> EdgeLine | None:
    """Return what comes off along the plank's edge of a land; None where no bevel was read, or none is planed.

    Of the land above that is the outer arris of the upper edge; of the land below, the inner arris of the lower edge
    where that land is hollow. It reaches from the first reading to the last, and over geralds that are drawn, up to
    which the bevel is held.
    """
    if land.run is None:
        return None
    is_hollow = land.side == "below"
    line, fair = land.plank.edge(land.which), land.plank.edges[land.which]
    run = running(line)
    on_batten = np.linspace(fair.along("fore"), fair.along("aft"), len(line))
    ticks = _ticks(land, on_batten, run)
    geralds = {one.end: one for one in land.geralds if not one.missing}
    starts = {end: one.length if end == "fore" else run[-1] - one.length for end, one in geralds.items()}
    reach = np.interp(land.run.reach, on_batten, run)
    first, last = 0.0 if "fore" in geralds else reach[0], run[-1] if "aft" in geralds else reach[1]
    along = np.unique(np.concatenate([run, [first, last], [tick.along for tick in ticks], [*starts.values()]]))
    along = along[(along >= first - 1e-6) & (along <= last + 1e-6)]
    bevels = land.run.at(np.clip(np.interp(along, run, on_batten), *land.run.reach))
    bevel_part = np.where((bevels < 0.0) == is_hollow, take_off(bevels, land.lap), 0.0)
    off, shoulder = bevel_part.copy(), np.zeros(len(along))
    for end, one in geralds.items():
        lengths = along if end == "fore" else run[-1] - along
        near = lengths < one.length * (1.0 + GERALD_EASE)
        off[near], shoulder[near] = own_losses(land, lapping_near(land, end, lengths[near]))
    fore, aft = float(starts.get("fore", -np.inf)), float(starts.get("aft", np.inf))
    bevel_part = np.where((along >= fore) & (along <= aft), bevel_part, 0.0)
    thickness = land.plank.measured.thickness
    return _planed(EdgeLine(land.land, is_hollow, thickness, along, off, shoulder, bevel_part, ticks, fore, aft))


def _ticks(land: PlankLand, on_batten: Array, run: Array) -> tuple[EdgeTick, ...]:
    """The plank's ticks on the edge, and where its geralds start that are drawn."""
    ticks = [
        EdgeTick(
            on_sheet(tick.place),
            float(np.interp(tick.u_upper if land.which == "upper" else tick.u_lower, on_batten, run)),
            _AT_A_PLACE,
        )
        for tick in land.plank.ticks()
    ]
    for one in land.geralds:
        if not one.missing:
            start = one.length if one.end == "fore" else float(run[-1]) - one.length
            ticks.append(EdgeTick("", start, _AT_A_GERALD, one.end))
    return tuple(ticks)


def _planed(edge: EdgeLine) -> EdgeLine | None:
    """An edge with a tick where its bevel begins and runs out; None where nothing is planed clear of the geralds.

    The strip of a hollow land ends there, too.
    """
    clear = np.flatnonzero((edge.along >= edge.gerald_fore) & (edge.along <= edge.gerald_aft))
    planed = edge.bevel_part[clear] > 0.0
    if not planed.any():
        return None
    turns = np.flatnonzero(planed[1:] != planed[:-1])
    part = "" if edge.is_hollow else "bevel "
    words = {True: f"{part}from nothing here", False: f"{part}to nothing here"}
    added = tuple(
        EdgeTick(words[bool(planed[k + 1])], float(edge.along[clear[k + 1 if planed[k + 1] else k]]), _AT_A_TURN)
        for k in turns
    )
    edge = replace(edge, ticks=(*edge.ticks, *added))
    if not edge.is_hollow:
        return edge
    first, last = int(np.argmax(planed)), len(planed) - 1 - int(np.argmax(planed[::-1]))
    start = clear[first] if first else 0
    stop = clear[last] if last < len(planed) - 1 else len(edge.along) - 1
    kept = slice(start, stop + 1)
    return replace(
        edge,
        along=edge.along[kept],
        off=edge.off[kept],
        shoulder=edge.shoulder[kept],
        bevel_part=edge.bevel_part[kept],
        ticks=tuple(tick for tick in edge.ticks if edge.along[start] <= tick.along <= edge.along[stop]),
    )
