"""What a builder should know of his boat as she is: against the drawing, slips of measuring, the way to the sheer."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.as_built import Relined, drawn_widths, places_along
from templates_gen.geometry.measuring_slips import Slip
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import AsBuilt, place_names
from templates_gen.report.finding import Finding, Severity
from templates_gen.report.measured_places import spoken_place
from templates_gen.units import MM_PER_INCH, format_signed, spoken_length

Array = NDArray[np.float64]

SHOWN = 0.1
"""A strake made narrower or wider by more than this share shows beside its fellows (common practice)."""

KINK = 2.0
"""A land bent by more than this, beyond what was drawn, between the moulds beside it is seen, mm (common
practice)."""

THICKNESS_SLIP = 1.0
"""Stock that is off its drawn thickness by more than this is told of as a warning, mm."""

_NEAR = 0.8


def as_built_findings(drawn: PlankedShell, measured: AsBuilt, relined: Relined) -> tuple[Finding, ...]:
    """Return what is to be said of a boat as built; `key` is a key of the as-built file.

    Parameters
    ----------
    drawn : PlankedShell
    measured : AsBuilt
    relined : Relined
        The same boat, its lands above lined off anew.
    """
    found = [
        *_slip_findings(drawn, relined),
        *_stock_findings(drawn, measured),
        *_sheer_findings(drawn, relined),
        *(_strake_note(drawn, measured, relined, k) for k in range(1, relined.hung + 1)),
    ]
    return tuple(sorted(found, key=lambda finding: finding.severity != "warning"))


def _key(strake: int, place: str) -> tuple[str, ...]:
    return ("strake", str(strake), "above_mark", place)


def _slip_findings(drawn: PlankedShell, relined: Relined) -> Iterator[Finding]:
    names, units = place_names(drawn.hull), drawn.hull.units
    for slip in relined.slips:
        name = names[slip.place]
        where = f"strake {slip.strake}, {spoken_place(name)}"
        value, expected = format_signed(slip.value, units), format_signed(slip.expected, units)
        figures = f"{value} where the rest of its edge says {expected}"
        if slip.is_shared:
            text = f"{where}: {figures}; the strake beside it stands off in the same way, so it was built so"
            yield _slip_finding("note", text, where, slip, name)
            continue
        if slip not in relined.left_out:
            yield _slip_finding("note", f"{where}: {figures}; you are sure of it, so it is used", where, slip, name)
            continue
        text = (
            f"{where}: {figures}; this looks like a slip of measuring{_hint(slip)}: measure it again. It is left "
            f'out, and taken from the figures beside it; if it is right, write sure = ["{name}"] under '
            f"[strake.{slip.strake}]"
        )
        yield _slip_finding("warning", text, where, slip, name)


def _slip_finding(severity: Severity, text: str, where: str, slip: Slip, name: str) -> Finding:
    key, miss = _key(slip.strake, name), slip.value - slip.expected
    return Finding(severity, "offsets", text, where, slip.value, slip.expected, key, difference=miss)


def _hint(slip: Slip) -> str:
    """A likely cause, where the figure fits one."""
    miss = slip.value - slip.expected
    if abs(slip.value + slip.expected) < _NEAR < abs(slip.expected):
        return " (a sign exchanged?)"
    for length, words in ((MM_PER_INCH, "an inch"), (10.0, "10 mm"), (100.0, "100 mm")):
        if abs(abs(miss) - length) < _NEAR:
            return f" ({words} {'too much' if miss > 0.0 else 'too little'}?)"
    return ""


def _stock_findings(drawn: PlankedShell, measured: AsBuilt) -> Iterator[Finding]:
    for strake in measured.strakes:
        wanted = drawn.planking.thickness[strake.number - 1]
        if strake.thickness is not None and abs(strake.thickness - wanted) > THICKNESS_SLIP:
            text = (
                f"strake {strake.number}: the stock is {strake.thickness:.1f} mm thick, drawn as {wanted:.1f} mm: "
                "rebates and geralds that are already cut do not fit it"
            )
            key = ("strake", str(strake.number), "thickness")
            yield Finding("warning", "strake", text, f"strake {strake.number}", strake.thickness, wanted, key)


def _strake_note(drawn: PlankedShell, measured: AsBuilt, relined: Relined, strake: int) -> Finding:
    """One hung strake as built against drawn."""
    names, units, moved = place_names(drawn.hull), drawn.hull.units, relined.moved[strake - 1]
    low, high = int(np.argmin(moved)), int(np.argmax(moved))
    least, most = (format_signed(float(moved[at]), units) for at in (low, high))
    if least == most:
        edge = f"its upper edge {least} throughout, against its marks"
    else:
        edge = f"its upper edge from {least} at {spoken_place(names[low])} to {most} at {spoken_place(names[high])}"
        edge += " of its marks"
    parts = [f"strake {strake} as built: {edge}"]
    record = measured.strakes[strake - 1]
    if record.thickness is not None:
        parts.append(f"stock {record.thickness:.1f} mm (drawn {drawn.planking.thickness[strake - 1]:.1f} mm)")
    if record.lap is not None:
        drawn_lap = spoken_length(drawn.planking.lap, units)
        parts.append(f"lap set off at {spoken_length(record.lap, units)} (drawn {drawn_lap})")
    lacking = [name for name in names if name not in record.above_mark]
    left_out = [names[slip.place] for slip in relined.left_out if slip.strake == strake]
    for what, some in (("not measured", lacking), ("left out as a slip", left_out)):
        if some:
            parts.append(f"{what} at {', '.join(spoken_place(n) for n in some)}: taken from the figures beside")
    worst = float(moved[np.argmax(np.abs(moved))])
    return Finding("note", "land", ", ".join(parts), f"strake {strake}", worst, 0.0, ("strake", str(strake)))


def _sheer_findings(drawn: PlankedShell, relined: Relined) -> Iterator[Finding]:
    """Whether what is left comes fair to the sheer, and how far it has to move."""
    count, hung = drawn.planking.strakes, relined.hung
    if hung == count:
        yield Finding("note", "land", "every strake is hung: nothing is left to make", "sheer")
        return
    yield _marks_note(drawn, relined)
    yield from _width_findings(drawn, relined)
    yield from _kink_findings(drawn, relined)


def _marks_note(drawn: PlankedShell, relined: Relined) -> Finding:
    """By how much the next strake's marks are shifted before it is lined off."""
    names, units, strake = place_names(drawn.hull), drawn.hull.units, relined.hung + 1
    shifts = ", ".join(
        f"{spoken_place(name)} {format_signed(float(by), units)}"
        for name, by in zip(names, relined.moved[strake - 1], strict=True)
    )
    text = f"strake {strake} is next: shift its marks by, up + and down -: {shifts}"
    return Finding("note", "land", text, f"strake {strake}", key=("strake", str(relined.hung)))


def _width_findings(drawn: PlankedShell, relined: Relined) -> Iterator[Finding]:
    names, units, hung = place_names(drawn.hull), drawn.hull.units, relined.hung
    widths = np.stack(list(drawn_widths(drawn).values()), axis=1)[hung:]
    change = np.diff(relined.moved[hung - 1 :], axis=0)
    row, place = np.unravel_index(int(np.argmax(np.abs(change) / widths)), change.shape)
    by, strake, where = float(change[row, place]), hung + int(row) + 1, spoken_place(names[place])
    share = by / float(widths[row, place])
    what = (
        f"strake {strake} becomes {spoken_length(abs(by), units)} {'wider' if by > 0.0 else 'narrower'} than drawn "
        f"at {where}, {abs(share) * 100.0:.0f} % of its width"
    )
    key = ("strake", str(hung))
    if abs(share) > SHOWN:
        text = f"the sheer still comes where it is drawn, but it will show: {what}; bring the edge back, or go by eye"
        yield Finding("warning", "land", text, f"strake {strake}, {where}", by, f"within {SHOWN:.0%}", key)
        return
    moves = float(np.abs(relined.moved[hung:]).max())
    text = (
        f"the lands above strake {hung} move by {spoken_length(moves, units)} at most and come fair to the sheer, "
        f"which stays; at the most {what}"
    )
    yield Finding("note", "land", text, f"strake {strake}, {where}", by, None, key)


def _kink_findings(drawn: PlankedShell, relined: Relined) -> Iterator[Finding]:
    """Lands bent, by what was built, off the straight between the moulds on either side."""
    names, units, along = place_names(drawn.hull), drawn.hull.units, places_along(drawn)
    for land in range(relined.hung, drawn.planking.strakes):
        moved, s = relined.moved[land - 1], along[land - 1]
        share = (s[1:-1] - s[:-2]) / (s[2:] - s[:-2])
        kink = moved[1:-1] - (moved[:-2] + share * (moved[2:] - moved[:-2]))
        for slip in relined.left_out:
            if slip.strake == land and 0 < slip.place < len(s) - 1:
                kink[slip.place - 1] = 0.0  # nothing is known of the mark there
        worst = int(np.argmax(np.abs(kink)))
        if abs(kink[worst]) <= KINK:
            continue
        where, by = spoken_place(names[worst + 1]), float(kink[worst])
        hung_already = land == relined.hung
        cure = "sight along it and plane it fair before the next strake" if hung_already else "line it off by eye"
        text = (
            f"land {land} is not fair at {where}: {spoken_length(abs(by), units)} too "
            f"{'high' if by > 0.0 else 'low'} between the places beside it; {cure}"
        )
        yield Finding("warning", "land", text, f"land {land}, {where}", by, 0.0, ("strake", str(relined.hung)))
