"""What a builder should know about a plank measured on the boat; `key` is a key of the plank file."""

from collections.abc import Iterator

import numpy as np

from templates_gen.about import About
from templates_gen.geometry.fastenings import SPACING
from templates_gen.geometry.plank.lands import LEAST_ODD, PlankLand, edges_left
from templates_gen.geometry.plank.marks import fastenings_along
from templates_gen.geometry.plank.outline import FlatPlank
from templates_gen.geometry.plank.runs import FEWEST_JUDGED
from templates_gen.hull.measured.spiling import EDGES, EdgeName
from templates_gen.report.finding import GRAVITY, Finding
from templates_gen.units import DEG_PER_RAD
from templates_gen.words import at_place

LEAST_LEFT = 0.5
"""What planing must leave of an edge, in thicknesses (common practice)."""

_ROUNDING = 0.05
"""An edge that is short of that by less than it is measured to is no finding, mm."""

_WIDER = 1.1
"""So many times the usual greatest distance is worth a word: an even spacing does not come out to the millimetre."""

_NEAR_HOLES, _FAR_HOLES, _FEWEST_GAPS = 0.5, 1.6, 4
"""Neighbouring old holes are odd that are nearer, or farther apart, than so many times the usual distance of as many
gaps or more: a hole that was missed makes about two. Usual is the lower quartile, because a miss only lengthens."""

LONG_BAY = 1.5
"""The first or the last two points of an edge are too far apart where they lie so many times as far as two neighbours
usually do. On strakes of the demonstration boats the fair edge was off there by 0.5 mm, root mean square; elsewhere
by 0.2 mm."""


def plank_findings(plank: FlatPlank, lands: tuple[PlankLand, ...]) -> tuple[Finding, ...]:
    """Return the findings about a plank, the gravest first."""
    every = [
        *(finding for edge in EDGES for finding in _edge_findings(plank, edge)),
        *_apart_findings(plank),
        *(finding for land in lands for finding in _land_findings(land)),
        *_missing_findings(plank, lands),
        *(finding for land in lands if land.side == "below" for finding in _fastening_findings(land)),
        _summary(plank),
    ]
    return tuple(sorted(every, key=lambda finding: GRAVITY[finding.severity]))


def _edge_findings(plank: FlatPlank, edge: EdgeName) -> Iterator[Finding]:
    """Points that all others of their edge do not bear out; an edge of too few points to find them."""
    measured, fair = plank.measured, plank.edges[edge]
    for slip in fair.run.slips:
        name = fair.places[slip.index]
        miss = float(fair.run.values[slip.index]) - slip.expected
        far, way = measured.notation.spoken_length(abs(miss)), "above" if miss > 0.0 else "below"
        text = (
            f"strake {measured.strake}, {edge} edge {at_place(plank.place(name))}: the point lies {far} {way} "
            "where the rest of its edge leads; it is left out of the outline; read the offset again"
        )
        if name in ("fore", "aft"):
            text += ". It is a corner: the edge is run on to it, so do not cut this end before you have measured it"
        about = About("strake", measured.strake, place=plank.place(name))
        yield Finding("warning", "strake", text, about, abs(miss), 0.0, (measured.table_of(name, edge), name))
    if not fair.run.is_judged:
        text = (
            f"strake {measured.strake}: the {edge} edge has {len(fair.places)} points, too few to find a slip of "
            f"measuring; measure {FEWEST_JUDGED} or more, one at each timber"
        )
        about = About("strake", measured.strake)
        yield Finding("warning", "strake", text, about, len(fair.places), f"{FEWEST_JUDGED} or more", (edge,))
    yield from _long_bays(plank, edge)


def _long_bays(plank: FlatPlank, edge: EdgeName) -> Iterator[Finding]:
    """Ends of an edge at which the corner and the next point lie too far apart: an edge bends most there."""
    measured, fair = plank.measured, plank.edges[edge]
    kept = np.flatnonzero(~fair.run.is_left_out)
    bays = np.diff(fair.run.along[kept])
    usual = float(np.median(bays))
    for end, number in (("fore", 0), ("aft", -1)):
        if fair.run.is_left_out[number] or bays[number] <= LONG_BAY * usual:
            continue
        near = fair.places[kept[1 if end == "fore" else -2]]
        far, most = (measured.notation.spoken_length(size) for size in (float(bays[number]), LONG_BAY * usual))
        corner = "fore" if end == "fore" else "after"
        text = (
            f"strake {measured.strake}: on the {edge} edge no point was measured between the {corner} corner and "
            f"{near}, which lie {far} apart; an edge bends most near its ends, and a stretch of at most {most} is "
            "wanted there; measure a point of this edge half-way"
        )
        about = About("strake", measured.strake, place=plank.place(end))
        yield Finding("warning", "strake", text, about, float(bays[number]), f"at most {most}", (edge,))


def _apart_findings(plank: FlatPlank) -> Iterator[Finding]:
    """Places whose two points lie too far apart along the batten."""
    number = plank.measured.strake
    for name in plank.apart:
        text = (
            f"strake {number} {at_place(plank.place(name))}: the two points lie farther apart along the batten, or "
            "nearer, than at the places next to it; no tick is drawn there; read both distances along again"
        )
        yield Finding(
            "warning", "strake", text, About("strake", number, place=plank.place(name)), key=("upper", name)
        )


def _land_findings(land: PlankLand) -> Iterator[Finding]:
    """Bevels that all others of their land do not bear out, and those read inside a gerald."""
    table, measured = _table(land), land.plank.measured
    for slip in land.run.slips if land.run is not None else ():
        yield _misread(
            land,
            (slip.index, slip.expected),
            "a bevel of {read:.1f} degrees where the others lead to {expected:.1f}; it is left out; read it again",
        )
    yield from _odd_bevels(land)
    yield from _thin_edges(land, table)
    yield from _thin_geralds(land, table)
    inside = [name for name in measured.bevels[land.side] if name not in land.places]
    if inside:
        text = (
            f"land {land.land}: bevels inside a gerald are not used: {', '.join(inside)}; the land is not at its own "
            "bevel there"
        )
        yield Finding("note", "bevel", text, About("land", land.land), key=(table, inside[0]))


def _odd_bevels(land: PlankLand) -> Iterator[Finding]:
    """Bevels outside the geralds that are used and do not fit their neighbours."""
    if land.run is None:
        return
    clear = [one for one in land.run.odd(LEAST_ODD) if not land.is_in_gerald(float(land.run.along[one.index]))]
    for odd in clear:
        yield _misread(
            land,
            (odd.index, odd.expected),
            "a bevel of {read:.1f} degrees does not fit its neighbours, which lead to {expected:.1f}; it is used, "
            "and the fair bevel leans toward it; read it again before you plane",
        )


def _misread(land: PlankLand, one: tuple[int, float], words: str) -> Finding:
    """Return a warning about a bevel: its index and what its neighbours lead to, rad, with both put into `words`."""
    index, lead = one
    name = land.places[index]
    place = land.plank.place(name)
    read, expected = land.read[index].angle * DEG_PER_RAD, lead * DEG_PER_RAD
    text = f"land {land.land} {at_place(place)}: " + words.format(read=read + 0.0, expected=expected)
    key = (_table(land), name)
    return Finding("warning", "bevel", text, About("land", land.land, place=place), read, expected, key)


def _table(land: PlankLand) -> str:
    """Return the table of the file that a land's bevels stand in."""
    return "bevel" if land.side == "above" else "bevel_below"


def _thin_edges(land: PlankLand, table: str) -> Iterator[Finding]:
    """The place where a land's bevel leaves least of the edge, if that is less than half the thickness."""
    thinnest = min(edges_left(land), key=lambda edge: edge.left / edge.thickness, default=None)
    if thinnest is None or thinnest.left >= LEAST_LEFT * thinnest.thickness - _ROUNDING:
        return
    notation, place = land.plank.measured.notation, land.plank.place(thinnest.place)
    wanted = LEAST_LEFT * thinnest.thickness
    left, least = (notation.spoken_depth(size) for size in (thinnest.left, wanted))
    bevel, is_hollow = abs(thinnest.bevel) * DEG_PER_RAD, thinnest.bevel < 0.0
    strake = land.land + is_hollow
    cure = (
        "read it again; if it is right, use thicker stock or a narrower lap"
        if strake == land.plank.measured.strake
        else f"read it again; if it is right, plane nothing more off strake {strake}"
    )
    text = (
        f"land {land.land} {at_place(place)}: a bevel of {bevel:.1f} degrees{', hollow,' if is_hollow else ''} "
        f"leaves only {left} of strake {strake} at its edge; at least {least}, half the thickness, is wanted; {cure}"
    )
    key = (table, thinnest.place) if thinnest.place in land.places else (table,)
    yield Finding(
        "warning", "bevel", text, About("land", land.land, place=place), thinnest.left, f"at least {least}", key
    )


def _thin_geralds(land: PlankLand, table: str) -> Iterator[Finding]:
    """The geralds that leave less than half the plank's thickness somewhere, its bevel with it; each where least."""
    measured = land.plank.measured
    notation, wanted = measured.notation, LEAST_LEFT * measured.thickness
    for gerald in land.geralds:
        if gerald.missing:
            continue
        off = {
            "at its edge": float(gerald.at_edge.max()),
            "one lap in from its edge": float(gerald.at_inner_line.max()),
        }
        where = max(off, key=lambda name: off[name])
        left = measured.thickness - off[where]
        if left >= wanted - _ROUNDING:
            continue
        place = land.plank.place(gerald.end)
        text = (
            f"land {land.land} {at_place(place)}: gerald and bevel together leave only {notation.spoken_depth(left)} "
            f"of strake {measured.strake} {where}; at least {notation.spoken_depth(wanted)}, half the thickness, is "
            "wanted. The gerald draws the upper strake in, which makes the land hollow there; read the bevel of "
            f"[{table}] nearest that end again, and fit the strakes to each other before you plane to the full depth"
        )
        about = About("land", land.land, place=place)
        yield Finding("note", "bevel", text, about, left, f"at least {wanted}", (gerald.end, "gerald"))


def _missing_findings(plank: FlatPlank, lands: tuple[PlankLand, ...]) -> Iterator[Finding]:
    """What was not measured and therefore is not drawn."""
    for land in lands:
        table = _table(land)
        if land.run is None:
            text = (
                f"land {land.land}: no bevel was measured, so none is drawn; read it at each place and add [{table}]"
            )
            yield Finding("note", "bevel", text, About("land", land.land))
        for gerald in land.geralds:
            if gerald.missing:
                text = (
                    f"land {land.land}: the gerald at the {'fore' if gerald.end == 'fore' else 'after'} end is not "
                    f"drawn: {', '.join(gerald.missing)} was not measured; measure it and add it to the file"
                )
                yield Finding("note", "land", text, About("land", land.land), key=(gerald.end, "gerald"))
    for end, given in plank.measured.ends.items():
        if given.lacks_gerald:
            text = f"[{end}] has no gerald, so none is drawn; measure its length at the old plank and add gerald = …"
            yield Finding("note", "land", text, About("strake", plank.measured.strake), key=(end,))


def _fastening_findings(land: PlankLand) -> Iterator[Finding]:
    """What is odd about the fastenings of the land below."""
    if land.plank.measured.reuses_holes:
        yield from _odd_holes(land)
    else:
        yield from _wide_fastenings(land)


def _odd_holes(land: PlankLand) -> Iterator[Finding]:
    """Old holes that stand much farther apart than most, or much nearer."""
    measured = land.plank.measured
    assert measured.fastened is not None
    holes = measured.fastened.old_holes
    gaps = np.diff(holes)
    if len(gaps) < _FEWEST_GAPS:
        return
    usual = float(np.quantile(gaps, 0.25))
    for k, gap in enumerate(gaps.tolist()):
        if _NEAR_HOLES * usual <= gap <= _FAR_HOLES * usual:
            continue
        before, after, apart, most = (
            measured.notation.spoken_length(size) for size in (holes[k], holes[k + 1], gap, usual)
        )
        missed = round(gap / usual) - 1
        some = "a hole between them was" if missed == 1 else f"about {missed} holes between them were"
        cure = f"check whether {some} missed" if gap > usual else "check that both are there"
        text = (
            f"land {land.land}: the old holes at {before} and {after} are {apart} apart, where {most} is usual on "
            f"this land; {cure}, and measure them again"
        )
        key = ("fastenings", "old_holes", k + 1)
        yield Finding("warning", "strake", text, About("land", land.land), gap, f"about {most}", key)


def _wide_fastenings(land: PlankLand) -> Iterator[Finding]:
    """Fastenings that stand farther apart than is usual, as where the places skip timbers."""
    fastened, measured = fastenings_along(land), land.plank.measured
    most = SPACING * measured.thickness
    if fastened is None or fastened.greatest_gap <= _WIDER * most:
        return
    gap, usual = (measured.notation.spoken_length(size) for size in (fastened.greatest_gap, most))
    is_spaced = measured.fastened is not None and measured.fastened.spacing is not None
    key = "spacing" if is_spaced else "between"
    cure = "give a smaller spacing" if is_spaced else "let between include those on timbers that were not measured"
    text = (
        f"land {land.land}: the fastenings are up to {gap} apart; {SPACING:g} thicknesses, {usual}, are usual at most"
        f"; measure the old ones, and {cure}"
    )
    yield Finding("note", "strake", text, About("land", land.land), fastened.greatest_gap, most, ("fastenings", key))


def _summary(plank: FlatPlank) -> Finding:
    """How far the points that are kept lie from the fair edges."""
    measured = plank.measured
    kept = np.concatenate([fair.run.off[~fair.run.is_left_out] for fair in plank.edges.values()])
    far, mean = float(np.abs(kept).max()), float(np.sqrt(np.mean(kept**2)))
    count = sum(len(fair.places) for fair in plank.edges.values())
    text = (
        f"strake {measured.strake}: the fair edges pass {measured.notation.spoken_fine(far)} from the points at most"
        f", {measured.notation.spoken_depth(mean)} root mean square, over {len(kept)} points of {count}"
    )
    return Finding("note", "strake", text, About("strake", measured.strake), far, 0.0, ("strake",))
