"""What the differences of a spiling from the computed strake mean; `key` is a key of the spiling file."""

from collections.abc import Iterator

import numpy as np

from templates_gen.about import About
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.spiling.causes import EDGE_SET, Doubts, OddPoint, bow
from templates_gen.geometry.spiling.overlay import LEFT_OUT, Laid
from templates_gen.hull.measured.spiling import EDGES, EdgeName, Spiling
from templates_gen.hull.model import Hull
from templates_gen.notation import Notation
from templates_gen.report.finding import GRAVITY, Finding
from templates_gen.report.places import at_named, named, places_by_name

_FEWEST_SWUNG = 3

GOOD = 1.5
"""A spiling within this of the computed strake agrees with it, root mean square, mm (common practice)."""


def spiling_findings(strake: FlatStrake, spiling: Spiling, laid: Laid, doubts: Doubts) -> tuple[Finding, ...]:
    """Return the findings about a spiling laid over the computed strake, the gravest first.

    `laid` is without the points that `doubts` names.
    """
    hull, notation = strake.shell.hull, strake.shell.hull.notation
    doubted: list[Finding] = []
    if doubts.more_radius is not None:
        doubted.append(_radius_finding(spiling, doubts.more_radius, notation))
    doubted += [_point_finding(point, strake.number, hull) for point in doubts.odd]
    if doubts.more_radius is None:
        doubted += _bow_findings(laid, strake.number, notation)
    agreement = _agreement(laid, strake.number, notation, is_doubted=bool(doubted))
    every = [*doubted, *_other_side_findings(spiling, laid), agreement]
    return tuple(sorted(every, key=lambda finding: GRAVITY[finding.severity]))


def _radius_finding(spiling: Spiling, more: float, notation: Notation) -> Finding:
    radius = next(a.radius for edge in ("lower", "upper") for a in spiling.arcs[edge].values())
    better, given = notation.spoken_length(radius + more), notation.spoken_length(radius)
    text = (
        f"strake {spiling.strake}: the arcs fit the boat far better with a radius of {better} than with {given}. The "
        "compass may have been set otherwise, or slipped; measure it and write down its radius"
    )
    return Finding("warning", "strake", text, About("strake", spiling.strake), radius, radius + more, ("radius",))


def _point_finding(odd: OddPoint, number: int, hull: Hull) -> Finding:
    """A point that does not fit the rest of its edge, and what is likely wrong with it."""
    place, miss = places_by_name(hull)[odd.place], float(np.hypot(*odd.off))
    about = About("strake", number, place=place)
    text = (
        f"strake {number}, {odd.edge} edge {at_named(place)}: the point lies {_off_words(odd, hull.notation)} of "
        f"where the rest of its edge leads; {_likely(odd, hull)}; it is left out of the outline"
    )
    expected = f"within {LEFT_OUT:g} mm" if odd.is_far else None
    return Finding("warning", "strake", text, about, miss, expected, (odd.edge, odd.place),
                   spot=f"{odd.edge} edge, {named(place)}")  # fmt: skip


def _off_words(odd: OddPoint, notation: Notation) -> str:
    """How far off a point is: "12 mm aft and 3 mm toward the keel"."""
    ways = (("aft", "forward"), ("toward the sheer", "toward the keel"))
    parts = [
        f"{notation.spoken_length(abs(by))} {words[0] if by > 0.0 else words[1]}"
        for by, words in zip(odd.off.tolist(), ways, strict=True)
        if abs(by) >= 0.5
    ]
    return " and ".join(parts)


def _likely(odd: OddPoint, hull: Hull) -> str:
    """What is likely wrong with a point."""
    if odd.fits is not None:
        edge, name = odd.fits
        fits = named(places_by_name(hull)[name])
        if edge != odd.edge:
            return f"it fits the {edge} edge at {fits}, so check which edge and place were written down"
        return f"it fits {fits}, so check which place was written down"
    if abs(float(odd.off[0])) > 3.0 * abs(float(odd.off[1])):
        return "check the distance along the batten, and the place"
    return "read the offset again"


def _bow_findings(laid: Laid, number: int, notation: Notation) -> Iterator[Finding]:
    by = bow(laid)
    if abs(by) < EDGE_SET:
        return
    text = (
        f"strake {number}: in the middle both edges lie {notation.spoken_length(abs(by))} nearer the "
        f"{'sheer' if by > 0.0 else 'keel'} than computed. The batten was probably edge-set (forced "
        "sideways) when it was fastened. Let it lie free, and read it again; if the figures are the same, the boat "
        "has moved"
    )
    about = About("strake", number)
    yield Finding("warning", "strake", text, about, by, f"within {EDGE_SET:g} mm", ("strake",))


def _other_side_findings(spiling: Spiling, laid: Laid) -> Iterator[Finding]:
    """Edges all of whose arcs fit by their other meeting only; which of the two it is, their figures do not say."""
    swung: list[EdgeName] = []
    for edge in EDGES:
        arcs = len(spiling.arcs[edge])
        if arcs >= _FEWEST_SWUNG and int(np.sum(laid.is_other_side[laid.of_edge(edge)])) == arcs:
            swung.append(edge)
    if not swung:
        return
    which = "both edges" if len(swung) == len(EDGES) else "one edge"
    text = (
        f"strake {spiling.strake}: the arcs of {which} meet on the other side: they were not swung from between the "
        "two edges. They are drawn that way, and fit; offer the pattern up before you cut wood"
    )
    count = sum(len(spiling.arcs[edge]) for edge in swung)
    yield Finding("warning", "strake", text, About("strake", spiling.strake), float(count), key=("radius",))


def _agreement(laid: Laid, number: int, notation: Notation, is_doubted: bool) -> Finding:
    """How far the points that are kept are off; what is doubted does not agree, however near they are."""
    kept = laid.off[~laid.is_left_out]
    far = float(np.linalg.norm(kept, axis=1).max())
    word = "agrees with" if laid.rms <= GOOD and not is_doubted else "differs from"
    text = (
        f"strake {number}: the spiling {word} the computed outline: {notation.spoken_fine(far)} off at most, "
        f"{notation.spoken_depth(laid.rms)} root mean square, over {len(kept)} points"
    )
    if len(kept) < len(laid.off):
        text += f" of {len(laid.off)}; the others are left out"
    return Finding("note", "strake", text, About("strake", number), far, 0.0, ("strake",))
