"""Figures of the lines that are not fair, and lines that part where they cross."""

from collections.abc import Iterator
from dataclasses import replace

from templates_gen.about import About, Place
from templates_gen.errors import HullFileError
from templates_gen.fairness.causes import SLIPS, Cause
from templates_gen.fairness.figures import Named
from templates_gen.fairness.rows import RowSuspect
from templates_gen.fairness.suspects import Suspect, unfair
from templates_gen.hull.model import Hull
from templates_gen.hull.offsets.crossings import Crossing, crossings
from templates_gen.hull.reader import UnsoundHullError
from templates_gen.report.finding import Finding, Severity
from templates_gen.report.lines.table import table_file
from templates_gen.units import UnitName, format_length, spoken_length

MOST_APART = 4.0
"""Two lines that part by less where they cross are not named, mm (common practice: a land mark is good to 1 mm)."""

DOUBTS = 3.0
"""... nor if they part by less than this many times what battens of another stiffness do."""

GROSS = 12.7
"""A figure that is not fair is an error only if it is off by this much, mm, and the boat cannot be built: less does
not make a boat impossible (common practice: half an inch is a misreading, less may be drawing)."""


def unfair_findings(hull: Hull, severity: Severity = "warning") -> tuple[Finding, ...]:
    """Return the figures that are not fair, the likeliest first, then the lines that part where they cross.

    Parameters
    ----------
    hull : Hull
        Judged as its file gives it, not as it was faired.
    severity : Severity
        Of the likeliest row or figure, if it is off by GROSS: "error" when the boat cannot be built, so that it comes
        before what may follow from it. The others are warnings.
    """
    given = hull.given or hull
    return (*_unfair_figures(given, severity), *_disagreements(given))


def findings_despite_faults(error: HullFileError) -> tuple[Finding, ...]:
    """Return the figures that are not fair of a hull file that was refused; () if there is no hull to look at.

    A slip in a table may make a section that no hull can have: the fault names what follows, the first of these, an
    error like it, names the cause. The others are warnings.
    """
    if not isinstance(error, UnsoundHullError):
        return ()
    found = _unfair_figures(error.hull, "error")
    return tuple(one if one.file else replace(one, line=error.hull.line_of(one.key)) for one in found)


def _unfair_figures(hull: Hull, first: Severity) -> tuple[Finding, ...]:
    """Return the rows that are wrong as wholes, then the figures of other rows that are not fair."""
    suspects = unfair(hull)
    rows = [_wrong_row(hull, row) for row in suspects.rows]
    figures = [_unfair(hull, suspect) for suspect in suspects.figures]
    if rows and _is_gross(suspects.rows[0]):
        rows[0] = replace(rows[0], severity=first)
    elif not rows and figures and abs(suspects.figures[0].miss) >= GROSS:
        figures[0] = replace(figures[0], severity=first)
    return (*rows, *figures)


def _is_gross(row: RowSuspect) -> bool:
    """Whether a row stands out of place, or under a label that is off by GROSS."""
    return row.fault != "label" or abs(row.amount) >= GROSS


def _wrong_row(hull: Hull, row: RowSuspect) -> Finding:
    """Return what is wrong with a row as a whole, and where its figures belong."""
    if row.fault == "swap":
        text = (
            f"{row.row} and {row.other} are not fair, and each row fits in the other's place; exchange their "
            "figures, or their labels"
        )
        return _of_row(hull, row, text, "two rows exchanged")
    if row.fault == "shift":
        wrong, right = ("aft", "left") if row.amount > 0 else ("forward", "right")
        text = (
            f"{row.row} is not fair: its figures are one station too far {wrong}, and fit one column to the {right}; "
            "check whether a figure was left out or written twice"
        )
        return _of_row(hull, row, text, "a row shifted by one station")
    return _wrong_label(hull, row)


def _wrong_label(hull: Hull, row: RowSuspect) -> Finding:
    """Return that a row's figures fit a waterline or a buttock other than its label's."""
    assert hull.offsets is not None
    line = next(line for line in hull.offsets.lines if line.row == row.line)
    units, level = printed_units(line.name, hull), line.level - row.amount
    label, fits, off = (spoken_length(length, units) for length in (line.level, level, abs(row.amount)))
    text = (
        f"{row.row}: its {row.count} figures do not fit a {line.kind} at {label}, but fit one at {fits}; check "
        f"whether the label is wrong by {off}, or the figures belong to another line"
    )
    if row.rival is not None:
        rival = spoken_length(abs(row.rival.amount), units)
        text += f". The figures fit nearly as well if the label of {row.rival.row} is wrong by {rival} instead"
    finding = _of_row(hull, row, text, "a wrong label")
    return replace(finding, value=line.level, expected=level, difference=row.amount)


def _of_row(hull: Hull, row: RowSuspect, text: str, cause: str) -> Finding:
    return Finding(
        "warning",
        "offsets",
        text,
        row=row.row,
        file=table_file(hull),
        line=row.line,
        cause=cause,
        where=About("offsets"),
    )


def _unfair(hull: Hull, suspect: Suspect) -> Finding:
    """Return the warning of one figure that is not fair."""
    named, cause = suspect.named, _cause(suspect, hull)
    finding = Finding(
        "warning",
        "offsets",
        _unfair_text(hull, suspect),
        About("section", place=_column(named.column)),
        difference=suspect.miss,
        cause=cause.words if cause is not None else "",
    )
    if suspect.place is not None:
        y, z = (format_length(length, printed_units(named.text, hull)) for length in suspect.place)
        expected = f"({y}, {z}) {printed_units(named.text, hull)}"
        return replace(finding, expected=expected, key=named.key, spot=f'station "{named.column}", {named.row}')
    finding = replace(
        finding, value=named.value, expected=suspect.expected, difference=named.value - suspect.expected
    )
    if named.line:
        return replace(finding, row=named.row, column=named.column, file=table_file(hull), line=named.line)
    return replace(finding, key=named.key, spot=_spot(named))


def _spot(named: Named) -> str:
    """The place of a figure of the hull file in one line."""
    what = named.row if named.row == named.measure else f"{named.row} {named.measure}"
    return f'station "{named.column}", {what}'


def _column(name: str) -> Place:
    """The place of a table's column."""
    return Place("end" if name in ("fore", "aft") else "station", name)


def _unfair_text(hull: Hull, suspect: Suspect) -> str:
    """What is wrong with a figure, where the others put it, and the likely slip."""
    named, units = suspect.named, printed_units(suspect.named.text, hull)
    place, off = f'{named.row}, station "{named.column}"', spoken_length(abs(suspect.miss), units)
    if suspect.place is not None:
        return f"{place} is not fair; {wanted(suspect, hull)}, {off} away{_hint(suspect, hull)}"
    value, side = named.text or spoken_length(named.value, units), "more" if suspect.miss > 0 else "less"
    return f"{place}: {value} is not fair; {wanted(suspect, hull)}, and it is {off} {side}{_hint(suspect, hull)}"


def wanted(suspect: Suspect, hull: Hull) -> str:
    """Return what is expected of a figure that is not fair: "the other figures lead to about 0-3-6+"."""
    units = printed_units(suspect.named.text, hull)
    if suspect.place is None:
        return f"the other figures lead to about {spoken_length(suspect.expected, units)}"
    y, z = suspect.place
    return f"the other points lead to about ({format_length(y, units)}, {format_length(z, units)})"


def printed_units(text: str, hull: Hull) -> UnitName:
    """Return the units that a figure is printed in: those of the file, or feet-inches-eighths in a file in inches."""
    return "ft-in-8" if hull.units == "in" and text.count("-") > 1 else hull.units


def _cause(suspect: Suspect, hull: Hull) -> Cause | None:
    """The likely slip; nobody slips by half an inch in a boat drawn in millimetres."""
    is_of_inches = suspect.cause is not None and suspect.cause.words in dict(SLIPS)
    return None if is_of_inches and hull.units == "mm" else suspect.cause


def _hint(suspect: Suspect, hull: Hull) -> str:
    """Return the likely cause in words, with the corrected figure; or else that it should be checked."""
    cause = _cause(suspect, hull)
    if cause is None:
        return "; check it"
    if cause.corrected is None:
        return f"; likely {cause.words}"
    corrected = spoken_length(cause.corrected, printed_units(suspect.named.text, hull))
    return f"; likely {cause.words} (for {corrected})"


def _disagreements(hull: Hull) -> Iterator[Finding]:
    """Yield the waterlines and buttocks that cross at different places, those farthest apart first."""
    if hull.offsets is None:
        return
    used = [station.name for station in hull.stations]
    far = [c for c in crossings(hull.offsets, used) if c.apart > max(MOST_APART, DOUBTS * c.doubt)]
    for crossing in sorted(far, key=lambda crossing: -crossing.apart):
        yield _disagreement(hull, crossing)


def _disagreement(hull: Hull, crossing: Crossing) -> Finding:
    waterline, buttock = crossing.waterline.name, crossing.buttock.name
    first, second, apart = (
        spoken_length(x, hull.units) for x in (crossing.by_waterline, crossing.by_buttock, crossing.apart)
    )
    between = f'between stations "{crossing.fore}" and "{crossing.aft}"'
    text = (
        f"{waterline} and {buttock} disagree {between}: the waterline crosses the buttock at {first}, the buttock "
        f"crosses the waterline at {second}, {apart} apart; check the figures of both there"
    )
    where = About("section", place=Place("half-way", crossing.fore, crossing.aft))
    return Finding("warning", "section", text, where, crossing.by_waterline, crossing.by_buttock,
                   file=table_file(hull), line=crossing.waterline.row, difference=crossing.apart,
                   spot=f"{waterline} and {buttock}, {between}")  # fmt: skip
