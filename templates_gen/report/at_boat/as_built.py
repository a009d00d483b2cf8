"""What a builder should know of the boat as built: against the drawing, its two sides, its stock and its rebates; and
what is next: the marks of the next strake, and whether the rest comes fair to the sheer.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, About, EndName, Place
from templates_gen.geometry.as_built.boat import PARTED, Relined, drawn_widths, places_along, sides_apart
from templates_gen.geometry.as_built.moulds import humps
from templates_gen.geometry.as_built.still_to_hang import recut_sentences, recuts
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import SIDES, AsBuilt, Side, place_names
from templates_gen.notation import Notation
from templates_gen.report.at_boat.figures import figures_used, mistake_findings, slip_findings, stand_ins_for
from templates_gen.report.at_boat.moulds import mould_findings
from templates_gen.report.finding import Finding
from templates_gen.report.places import at_named, named, places_by_name, spoken_at, stops_of

Array = NDArray[np.float64]

THICKNESS_SLIP = 1.0
"""Stock that is off its drawn thickness by more than this is a warning, mm."""

SHOWN = 0.1
"""A strake made narrower or wider by more than this share looks different from its neighbours (common practice)."""

LEAST_SHARE = 0.005
"""A smaller share of its width is not written: it rounds to 0 %."""

KINK = 2.0
"""A land bent by more than this, beyond what was drawn, between the moulds on either side is seen, mm (common
practice)."""


def as_built_findings(
    drawn: PlankedShell, measured: AsBuilt, relined: Relined, is_parted: bool = True
) -> tuple[Finding, ...]:
    """Return the findings about a boat as built; `key` is a key of the as-built file.

    Parameters
    ----------
    drawn : PlankedShell
    measured : AsBuilt
    relined : Relined
        The same boat, its lands above lined off anew.
    is_parted : bool
        Whether they say what is next, too; of one side they do not where one serves both.
    """
    every = [
        *mistake_findings(drawn, measured, relined),
        *slip_findings(drawn, measured, relined),
        *mould_findings(drawn, relined),
        *(() if measured.side == "starboard" else _stock_findings(drawn, measured)),
        *(what_is_next(drawn, relined) if is_parted else ()),
        *(_strake_note(drawn, measured, relined, k) for k in range(1, relined.hung + 1)),
    ]
    return tuple(sorted(every, key=lambda finding: finding.severity != "warning"))


def on_side(finding: Finding, side: Side) -> Finding:
    """Return a finding that says on which side it is."""
    return replace(finding, text=f"{side} side: {finding.text}")


def each_side(found: Mapping[Side, Sequence[Finding]]) -> list[Finding]:
    """Return what is found on both sides alike once, and the rest with its side."""
    texts = [{finding.text for finding in findings} for findings in found.values()]
    alike = set.intersection(*texts) if len(texts) == len(SIDES) else set()
    both = [finding for finding in found.get("port", ()) if finding.text in alike]
    return both + [
        on_side(one, side) for side, findings in found.items() for one in findings if one.text not in alike
    ]


def side_findings(
    drawn: PlankedShell, measured: AsBuilt, sides: Mapping[Side, Relined], is_parted: bool
) -> Iterator[Finding]:
    """Yield how far the two sides differ, strake by strake, and what is made of it."""
    places, notation = stops_of(drawn.hull), drawn.hull.notation
    port, starboard = sides["port"], sides["starboard"]
    for strake in measured.strakes:
        if not strake.sides:
            continue
        apart = sides_apart(port, starboard, strake.number)
        worst = int(np.argmax(np.abs(apart)))
        by = float(apart[worst])
        text = f"strake {strake.number}: port and starboard are alike"
        if notation.fine(by) != notation.fine(0.0):
            text = (
                f"strake {strake.number}: port is {notation.spoken_fine(abs(by))} {_nearer(by)} than starboard "
                f"{at_named(places[worst])}, where they differ most"
            )
        key = ("strake", str(strake.number))
        yield Finding("note", "land", text, About("strake", strake.number), by, 0.0, key)
    if port.hung < drawn.planking.strakes:
        yield _parted_note(drawn, sides, is_parted)


def _nearer(by: float) -> str:
    return "nearer the sheer" if by > 0.0 else "nearer the keel"


def _parted_note(drawn: PlankedShell, sides: Mapping[Side, Relined], is_parted: bool) -> Finding:
    """Whether one pattern serves both sides, and on which the sheer strake changes the more."""
    about, notation = About("boat"), drawn.hull.notation
    little = notation.spoken_fine(PARTED)
    if not is_parted:
        text = f"the two sides are alike within {little} when the figures are weighed: one pattern serves both"
        return Finding("note", "land", text, about)
    sheer = {
        side: float(np.abs(np.diff(one.moved[-2:], axis=0)).max()) if one.hung < len(one.moved) else 0.0
        for side, one in sides.items()
    }
    side = max(sheer, key=lambda one: sheer[one])
    text = (
        f"the two sides differ by more than {little}: each is lined off by itself to the same sheer, and the next "
        "strake is made for port and for starboard"
    )
    if notation.fine(sheer[side]) != notation.fine(0.0):
        most = notation.spoken_fine(sheer[side])
        text += f". It shows most in the sheer strake to {side}, which is {most} off its drawn width at most"
    return Finding("note", "land", text, about)


def _stock_findings(drawn: PlankedShell, measured: AsBuilt) -> Iterator[Finding]:
    for strake in measured.strakes:
        wanted = drawn.planking.thickness[strake.number - 1]
        if strake.thickness is not None and abs(strake.thickness - wanted) > THICKNESS_SLIP:
            text = (
                f"strake {strake.number}: its stock is {drawn.hull.notation.spoken_thickness(strake.thickness)} "
                f"thick and was drawn as {drawn.hull.notation.spoken_thickness(wanted)}. Rebates and geralds that "
                "are already cut do not fit it; fit them by hand"
            )
            key = ("strake", str(strake.number), "thickness")
            yield Finding("warning", "strake", text, About("strake", strake.number), strake.thickness, wanted, key)


def rebate_findings(drawn: PlankedShell, built: PlankedShell, measured: AsBuilt) -> Iterator[Finding]:
    """Yield each timber whose rebate, cut as drawn, does not fit the strakes still to be hung."""
    found = recuts(drawn, built, measured.hung)
    for end, text in recut_sentences(found, drawn.hull.notation):
        worst = max((one for one in found if one.end == end), key=lambda one: abs(one.built - one.drawn))
        about = About("keel") if end is None else About("stem", end=end)
        yield Finding("warning", "rebate", text, about, worst.drawn, worst.built, _cause_of(measured, end))


def _cause_of(measured: AsBuilt, end: EndName | None) -> tuple[str, ...]:
    """The key of the as-built file that a rebate does not fit by: the stock, its own end, the strakes, or a mould."""
    names = [mould.name for mould in measured.moulds]
    if measured.stock is not None:
        return ("stock",)
    if end in names:
        return ("end", end or "")
    if measured.hung:
        return ("strake", str(measured.hung))
    return ("end" if names[0] in ENDS else "mould", names[0]) if names else ()


def _strake_note(drawn: PlankedShell, measured: AsBuilt, relined: Relined, strake: int) -> Finding:
    """One hung strake as built against drawn."""
    places, notation, record = stops_of(drawn.hull), drawn.hull.notation, measured.strakes[strake - 1]
    is_used = relined.is_measured[strake - 1]
    figures, at = (
        relined.figures[strake - 1][is_used],
        tuple(p for p, used in zip(places, is_used, strict=True) if used),
    )
    remade = ", taken off and hung again" if record.is_remade else ""
    parts = [f"strake {strake} as built{remade}: {_edge_words(figures, at, notation)}"]
    if record.thickness is not None:
        thickness = notation.spoken_thickness(drawn.planking.thickness[strake - 1])
        parts.append(f"stock {notation.spoken_thickness(record.thickness)} (drawn {thickness})")
    if record.lap is not None:
        drawn_lap = notation.spoken_length(drawn.planking.lap_on(strake))
        parts.append(f"lap set off at {notation.spoken_length(record.lap)} (drawn {drawn_lap})")
    parts += _not_used(drawn, measured, relined, strake)
    worst = float(figures[np.argmax(np.abs(figures))]) if len(figures) else 0.0
    return Finding("note", "land", ", ".join(parts), About("strake", strake), worst, 0.0, ("strake", str(strake)))


def _not_used(drawn: PlankedShell, measured: AsBuilt, relined: Relined, strake: int) -> Iterator[str]:
    """Yield where a hung strake has no figure, or one that is left out, and which figures are used there."""
    used, given = figures_used(drawn.hull, measured, relined, strake), measured.strakes[strake - 1].above_mark
    known = places_by_name(drawn.hull)
    stops = place_names(drawn.hull)
    lacking = [name for name in stops if name not in given]
    left_out = [name for name in used if name in given and not used[name]]
    for what, names in (("not measured", lacking), ("left out as a slip", left_out)):
        by_figures: dict[str, list[str]] = {}
        for name in names:
            by_figures.setdefault(stand_ins_for(name, used), []).append(named(known[name]))
        for figures, where in by_figures.items():
            of = figures if len(where) == 1 else figures.replace("of it", "of them")
            yield f"{what} at {', '.join(where)}: {of} used"


def _edge_words(moved: Array, places: tuple[Place, ...], notation: Notation) -> str:
    """How far a hung strake's upper edge was measured off its marks, the most to either hand."""
    if not places:
        return "none of its figures is used"
    low, high = int(np.argmin(moved)), int(np.argmax(moved))
    least, most = (notation.toward(float(moved[at])) for at in (low, high))
    if least == most:
        is_on = least == notation.toward(0.0)
        where = "all along" if len(places) > 1 else at_named(places[0])
        return f"its upper edge is {'on' if is_on else f'{least} of'} its marks {where}"
    return f"its upper edge is off its marks by {least} {at_named(places[low])} to {most} {at_named(places[high])}"


def what_is_next(drawn: PlankedShell, relined: Relined) -> Iterator[Finding]:
    """Yield where the next strake's marks go, and whether what is left comes fair to the sheer."""
    if relined.hung == drawn.planking.strakes:
        text = "every strake is hung: nothing is left to make"
        if drawn.hull.inside:
            text = "every strake is hung: what fits inside is left to make"
        yield Finding("note", "land", text, About("boat"))
        return
    if relined.hung == 0:
        text = "no strake is hung yet: the marks stay where they are drawn, and strake 1 is next"
        has_shifts = bool(relined.moved.any())
        yield _marks_note(drawn, relined) if has_shifts else Finding("note", "land", text, About("strake", 1))
        return
    yield _marks_note(drawn, relined)
    yield _width_finding(drawn, relined)
    yield from _kink_findings(drawn, relined)


def _marks_note(drawn: PlankedShell, relined: Relined) -> Finding:
    """By how much the next strake's marks are shifted before it is lined off."""
    places, notation, strake = stops_of(drawn.hull), drawn.hull.notation, relined.hung + 1
    by = relined.moved[strake - 1]
    shifts = []
    for way, turn in (("sheer", 1.0), ("keel", -1.0)):
        cells = [
            f"{notation.spoken_fine(turn * float(one))} {at_named(place)}"
            for place, one in zip(places, by, strict=True)
            if turn * one > 0.0 and notation.fine(one) != notation.fine(0.0)
        ]
        shifts += [f"toward the {way} by {', '.join(cells)}"] if cells else []
    text = f"strake {strake} is next: its marks stay where they are drawn"
    if shifts:
        text = f"strake {strake} is next: shift its marks {'; '.join(shifts)}"
    return Finding("note", "land", text, About("strake", strake), key=("strake", str(relined.hung)))


def _width_finding(drawn: PlankedShell, relined: Relined) -> Finding:
    """How much wider or narrower than drawn a strake still to be made becomes, where that is most.

    From mark to mark along the moulds and ends as they stand, which is how it is cut.
    """
    places, notation, hung = stops_of(drawn.hull), drawn.hull.notation, relined.hung
    widths = np.stack(list(drawn_widths(drawn).values()), axis=1)[hung:]
    change = np.diff(relined.moved[hung - 1 :], axis=0)
    row, at = np.unravel_index(int(np.argmax(np.abs(change) / widths)), change.shape)
    by, about = float(change[row, at]), About("strake", hung + int(row) + 1, place=places[at])
    share, key = by / float(widths[row, at]), ("strake", str(hung))
    what = (
        f"{spoken_at(about)} becomes {notation.spoken_fine(abs(by))} {'wider' if by > 0.0 else 'narrower'} than drawn"
    )
    if abs(share) >= LEAST_SHARE:
        what += f", {abs(share) * 100.0:.0f} % of its width"
    if abs(share) > SHOWN:
        text = (
            f"{what}; more than {SHOWN * 100.0:.0f} % shows. The sheer is where it was drawn; bring the edge back, "
            "or line off by eye"
        )
        return Finding("warning", "land", text, about, by, f"within {SHOWN:.0%}", key)
    moves = notation.spoken_fine(float(np.abs(relined.off_lands[hung:]).max()))
    is_as_drawn = relined.moulds is None or not relined.moulds.out_of_place
    text = (
        f"the lands above strake {hung} move by {moves} at most and run fair to the sheer, which stays where it was "
        "drawn"
    )
    if not is_as_drawn:
        text = f"seen from the side, {text}"
    if notation.fine(by) != notation.fine(0.0):
        text += f"; the greatest change: {what}"
    return Finding("note", "land", text, about, by, None, key)


def _kink_findings(drawn: PlankedShell, relined: Relined) -> Iterator[Finding]:
    """Lands bent, by what was built, off the straight between the moulds on either side."""
    places, notation, along = stops_of(drawn.hull), drawn.hull.notation, places_along(drawn)
    for land in range(relined.hung, drawn.planking.strakes):
        kink = _kinks(relined, land, along[land - 1])
        worst = int(np.argmax(np.abs(kink)))
        if abs(kink[worst]) <= KINK:
            continue
        by, about = float(kink[worst]), About("land", land, place=places[worst + 1])
        cure = "line it off by eye"
        if land == relined.hung:
            cure = "sight along it and plane it fair before the next strake"
        text = (
            f"{spoken_at(about)} is not fair: it is {notation.spoken_fine(abs(by))} too near the "
            f"{'sheer' if by > 0.0 else 'keel'} between the places on either side; {cure}"
        )
        yield Finding("warning", "land", text, about, by, 0.0, ("strake", str(relined.hung)))


def _kinks(relined: Relined, land: int, s: Array) -> Array:
    """How far a land is bent at each station, mm; 0 where nothing is known of the mark there."""
    kink = humps(s[None], relined.off_lands[land - 1 : land])[0, 1:-1]
    for slip in relined.left_out:
        if slip.strake == land and 0 < slip.place < len(s) - 1:
            kink[slip.place - 1] = 0.0
    return kink
