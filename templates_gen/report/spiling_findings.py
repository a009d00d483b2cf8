"""What the differences of a spiling from the computed strake mean; `key` is a key of the spiling file."""

from collections.abc import Iterator

import numpy as np

from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.spiling import LEFT_OUT, Laid
from templates_gen.geometry.spiling_causes import EDGE_SET, OddPoint, better_radius, bow, odd_points
from templates_gen.hull.measured.spiling import EDGES, EdgeName, Spiling
from templates_gen.report.finding import GRAVITY, Finding
from templates_gen.report.measured_places import spoken_place
from templates_gen.units import UnitName, spoken_length

_FEWEST_SWUNG = 3

GOOD = 1.5
"""A spiling within this of the computed strake agrees with it, root mean square, mm (common practice)."""


def spiling_findings(strake: FlatStrake, spiling: Spiling, laid: Laid) -> tuple[Finding, ...]:
    """Return what is to be said of a spiling laid over the computed strake, the gravest first."""
    units = strake.shell.hull.units
    found: list[Finding] = []
    more = better_radius(strake, spiling)
    if more is not None:
        found.append(_radius_finding(spiling, more, units))
    odd = [one for one in odd_points(strake, laid) if more is None or one.is_left_out]
    found += [_point_finding(one, strake.number, units) for one in odd]
    if more is None:
        found += _bow_findings(laid, strake.number, units)
    is_doubted = bool(found)
    found += _other_side_findings(spiling, laid)
    found.append(_agreement(laid, strake.number, units, is_doubted))
    return tuple(sorted(found, key=lambda finding: GRAVITY[finding.severity]))


def _radius_finding(spiling: Spiling, more: float, units: UnitName) -> Finding:
    radius = next(a.radius for edge in ("lower", "upper") for a in spiling.arcs[edge].values())
    text = (
        f"strake {spiling.strake}: the arcs fit the boat far better with a radius of "
        f"{spoken_length(radius + more, units)} than with {spoken_length(radius, units)}: was the compass set "
        "otherwise, or did it slip? Measure it, and write down what it was set to"
    )
    where = f"strake {spiling.strake}"
    return Finding("warning", "strake", text, where, radius, radius + more, ("radius",))


def _point_finding(odd: OddPoint, number: int, units: UnitName) -> Finding:
    where = f"strake {number}, {odd.edge} edge, {spoken_place(odd.place)}"
    aft, up = float(odd.off[0]), float(odd.off[1])
    parts = [
        f"{spoken_length(abs(by), units)} {words[0] if by > 0.0 else words[1]}"
        for by, words in ((aft, ("aft", "forward")), (up, ("up", "down")))
        if abs(by) >= 0.5
    ]
    text = f"{where}: the point lies {' and '.join(parts)} of where the rest of its edge leads to expect it"
    if odd.other_place:
        text += f"; it fits {spoken_place(odd.other_place)}: was the wrong station written down?"
    elif abs(aft) > 3.0 * abs(up):
        text += ": the distance along the batten, or the station, is likely wrong"
    else:
        text += ": read the offset again"
    text += "; it is left out of the outline" if odd.is_left_out else "; the outline runs through it"
    expected = f"within {LEFT_OUT:g} mm" if odd.is_left_out else None
    miss = float(np.hypot(aft, up))
    return Finding("warning", "strake", text, where, miss, expected, (odd.edge, odd.place))


def _bow_findings(laid: Laid, number: int, units: UnitName) -> Iterator[Finding]:
    by = bow(laid)
    if abs(by) < EDGE_SET:
        return
    way = "more" if by > 0.0 else "less"
    text = (
        f"strake {number}: both edges bow alike, {spoken_length(abs(by), units)} {way} upward in the middle than "
        "computed: the batten was edge-set (forced sideways) when it was fastened. Let it lie as it will, and read "
        "it again; if it comes the same, the boat has moved"
    )
    yield Finding("warning", "strake", text, f"strake {number}", by, f"within {EDGE_SET:g} mm", ("strake",))


def _other_side_findings(spiling: Spiling, laid: Laid) -> Iterator[Finding]:
    """Edges all of whose arcs fit by their other meeting only; which of the two it is, their figures do not say."""
    swung: list[EdgeName] = []
    for edge in EDGES:
        arcs = len(spiling.arcs[edge])
        if arcs >= _FEWEST_SWUNG and int(np.sum(laid.is_other_side[laid.of_edge(edge)])) == arcs:
            swung.append(edge)
    if not swung:
        return
    whose = "of both edges" if len(swung) == len(EDGES) else "of one edge"
    text = (
        f"strake {spiling.strake}: arcs swung from the other side: those {whose} were not swung from between both "
        "edges. They are drawn so, and fit; offer the pattern up before wood is cut"
    )
    where, count = f"strake {spiling.strake}", sum(len(spiling.arcs[edge]) for edge in swung)
    yield Finding("warning", "strake", text, where, float(count), key=("radius",))


def _agreement(laid: Laid, number: int, units: UnitName, is_doubted: bool) -> Finding:
    """How far the points that are kept are off; what is doubted does not agree, however near they are."""
    kept = laid.off[~laid.is_left_out]
    far = float(np.linalg.norm(kept, axis=1).max())
    word = "agrees with" if laid.rms <= GOOD and not is_doubted else "departs from"
    text = (
        f"strake {number}: the spiling {word} the computed outline: {spoken_length(far, units)} at most, "
        f"{laid.rms:.1f} mm in the mean, over {len(kept)} points"
    )
    if len(kept) < len(laid.off):
        text += f" of {len(laid.off)}; the others are left out"
    return Finding("note", "strake", text, f"strake {number}", far, 0.0, ("strake",))
