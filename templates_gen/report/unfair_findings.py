"""Figures of the lines that are not fair, and lines that part where they cross."""

from collections.abc import Iterator
from dataclasses import replace

from templates_gen.errors import HullFileError
from templates_gen.fairness.rows import RowSuspect
from templates_gen.fairness.suspects import Suspect, unfair
from templates_gen.hull.model import Hull
from templates_gen.hull.offsets.crossings import Crossing, crossings
from templates_gen.hull.reader import UnsoundHullError
from templates_gen.report.finding import Finding, Severity
from templates_gen.report.offsets_findings import table_file
from templates_gen.units import UnitName, format_length, spoken_length

MOST_APART = 4.0
"""Two lines that part by less where they cross are not told, mm (common practice: a land mark is good to 1 mm)."""

DOUBTS = 3.0
"""... nor if they part by less than this many times what battens of another stiffness would."""


GROSS = 12.7
"""A figure that is not fair is an error only if it is off by this much, mm, and the boat cannot be built: less does
not make a boat impossible (common practice: half an inch is a misreading, less may be drawing)."""


def unfair_findings(hull: Hull, severity: Severity = "warning") -> tuple[Finding, ...]:
    """Return the figures that are not fair, the likeliest first, then the lines that part where they cross.

    Parameters
    ----------
    hull : Hull
        Judged as her file gives her, not as she was faired.
    severity : Severity
        Of the likeliest row or figure, if it is off by GROSS: "error" when the boat cannot be built, so that it comes
        before what may follow from it. The others are warnings.
    """
    given = hull.given or hull
    return (*_unfair_figures(given, severity), *_disagreements(given))


def findings_despite_faults(error: HullFileError) -> tuple[Finding, ...]:
    """Return the figures that are not fair of a hull file that was refused; () if there is no hull to look at.

    A slip in a table may make a section that no hull can have: the fault says what follows, the first of these, an
    error like it, says from what. The others are warnings.
    """
    if not isinstance(error, UnsoundHullError):
        return ()
    found = _unfair_figures(error.hull, "error")
    return tuple(one if one.file else replace(one, line=error.hull.line_of(one.key)) for one in found)


def _unfair_figures(hull: Hull, first: Severity) -> tuple[Finding, ...]:
    """Return the rows that are wrong as wholes, then the figures of other rows that are not fair."""
    found = unfair(hull)
    rows = [_wrong_row(hull, row) for row in found.rows]
    figures = [_unfair(hull, one, "warning") for one in found.figures]
    if rows and _is_gross(found.rows[0]):
        rows[0] = replace(rows[0], severity=first)
    elif not rows and figures and abs(found.figures[0].miss) >= GROSS:
        figures[0] = replace(figures[0], severity=first)
    return (*rows, *figures)


def _is_gross(row: RowSuspect) -> bool:
    """Whether a row stands out of place, or under a label that is off by GROSS."""
    return row.fault != "label" or abs(row.amount) >= GROSS


def _wrong_row(hull: Hull, row: RowSuspect) -> Finding:
    """Return what is wrong with a row as a whole, and where its figures belong."""
    assert hull.offsets is not None
    line = next(one for one in hull.offsets.lines if one.row == row.line)
    file = table_file(hull)
    if row.fault == "swap":
        text = (
            f"{row.row} and {row.other} are not fair; each fits in the other's place; exchange their figures, or "
            "their labels"
        )
        return Finding("warning", "offsets", text, row=row.row, file=file, line=row.line, cause="two rows exchanged")
    if row.fault == "shift":
        wrong, right = ("aft", "left") if row.amount > 0 else ("forward", "right")
        text = (
            f"{row.row} is not fair: its figures stand one station too far {wrong}; they fit one column to the "
            f"{right}; see whether a figure was left out or written twice"
        )
        return Finding("warning", "offsets", text, row=row.row, file=file, line=row.line,
                       cause="a row shifted by one station")  # fmt: skip
    units = printed_units(line.name, hull)
    level = line.level - row.amount
    label, fits, off = (spoken_length(one, units) for one in (line.level, level, abs(row.amount)))
    text = (
        f"{row.row}: its {row.count} figures do not fit a {line.kind} at {label}; they fit one at {fits}; see "
        f"whether the label is wrong by {off}, or the figures are another line's"
    )
    return Finding("warning", "offsets", text, "", line.level, level, (), row.row, "", file, row.line, row.amount,
                   "a wrong label")  # fmt: skip


def _unfair(hull: Hull, suspect: Suspect, severity: Severity) -> Finding:
    """Return what is said of one figure that is not fair."""
    named, units = suspect.named, printed_units(suspect.named.text, hull)
    where = f'{named.row}, station "{named.column}"'
    cause = suspect.cause.words if suspect.cause is not None else ""
    side = "more" if suspect.miss > 0 else "less"
    off = spoken_length(abs(suspect.miss), units)
    if suspect.place is not None:
        y, z = suspect.place
        want = f"({format_length(y, units)}, {format_length(z, units)})"
        text = f"{where} is not fair; the others {wanted(suspect, hull)} or so, {off} away{_hint(suspect, hull)}"
        place = f'station "{named.column}", {named.row}'
        expected = f"{want} {units}"
        return Finding(
            severity, "offsets", text, place, None, expected, named.key, "", "", "", 0, suspect.miss, cause
        )
    value = named.text or spoken_length(named.value, units)
    want = wanted(suspect, hull)
    text = f"{where}: {value} is not fair; the others {want} or so, it is {off} {side}{_hint(suspect, hull)}"
    difference = named.value - suspect.expected
    if named.line:
        file = table_file(hull)
        said = (named.value, suspect.expected)
        return Finding(
            severity, "offsets", text, "", *said, (), named.row, named.column, file, named.line, difference, cause
        )
    spot = f'station "{named.column}", {named.row} {named.measure}'
    figures = (named.value, suspect.expected, named.key)
    return Finding(severity, "offsets", text, spot, *figures, "", "", "", 0, difference, cause)


def wanted(suspect: Suspect, hull: Hull) -> str:
    """Return what the others want of a figure that is not fair, in words: "want 0-3-6+", "want it at (400, 300)"."""
    units = printed_units(suspect.named.text, hull)
    if suspect.place is None:
        return f"want {spoken_length(suspect.expected, units)}"
    y, z = suspect.place
    return f"want it at ({format_length(y, units)}, {format_length(z, units)})"


def printed_units(text: str, hull: Hull) -> UnitName:
    """Return the units that a figure is printed in: those of the file, or feet-inches-eighths in a file in inches."""
    return "ft-in-8" if hull.units == "in" and text.count("-") > 1 else hull.units


def _hint(suspect: Suspect, hull: Hull) -> str:
    """Return the likely cause in words, with what the figure then was."""
    cause = suspect.cause
    if cause is None:
        return ""
    was = (
        f" ({spoken_length(cause.corrected, printed_units(suspect.named.text, hull))})"
        if cause.corrected is not None
        else ""
    )
    return f"; likely {cause.words}{was}"


def _disagreements(hull: Hull) -> Iterator[Finding]:
    """Yield the waterlines and buttocks that cross at different places, those farthest apart first."""
    if hull.offsets is None:
        return
    used = [station.name for station in hull.stations]
    found = [one for one in crossings(hull.offsets, used) if one.apart > max(MOST_APART, DOUBTS * one.doubt)]
    for crossing in sorted(found, key=lambda one: -one.apart):
        yield _disagreement(hull, crossing)


def _disagreement(hull: Hull, crossing: Crossing) -> Finding:
    units = hull.units
    first, second = (spoken_length(x, units) for x in (crossing.by_waterline, crossing.by_buttock))
    both = f"{crossing.waterline.name} and {crossing.buttock.name}"
    between = f'between stations "{crossing.fore}" and "{crossing.aft}"'
    apart = spoken_length(crossing.apart, units)
    text = f"{both} cross {between} at {first} by the one and at {second} by the other: they part by {apart} there"
    places = (crossing.by_waterline, crossing.by_buttock)
    return Finding("warning", "section", text, f"{both}, {between}", *places, (), "", "", table_file(hull),
                   crossing.waterline.row, crossing.apart)  # fmt: skip
