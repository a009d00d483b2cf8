"""What a builder should know of his lines: figures that are not fair, what was made of them, what fairing moved."""

from collections.abc import Iterator
from pathlib import Path

from templates_gen.hull.fairness import Suspect, suspects
from templates_gen.hull.model import Change, Hull
from templates_gen.hull.offsets_crossings import Crossing, crossings
from templates_gen.hull.reader import hull_despite_faults
from templates_gen.report.finding import Finding, Severity
from templates_gen.units import UnitName, format_length, spoken_length

MOST_APART = 4.0
"""Two lines that part by less where they cross are not told, mm (common practice: a land mark is good to 1 mm)."""

DOUBTS = 3.0
"""... nor if they part by less than this many times what battens of another stiffness would."""


def offsets_findings(hull: Hull, severity: Severity = "warning", tried: bool = True) -> tuple[Finding, ...]:
    """Return what is to be said of a hull's lines, the likeliest first.

    Parameters
    ----------
    hull : Hull
    severity : Severity
        Of figures that are not fair: "error" when the boat cannot be built, so that they come before what follows
        from them.
    tried : bool
        Whether to try the figures for fairness, which takes a second or so; else only what was made of them is told.
    """
    given = hull.given or hull
    found = [_unfair(given, one, severity) for one in suspects(given)] if tried else []
    apart = _disagreements(given) if tried else ()
    return (*found, *apart, *_notes(hull), *_changes(hull))


def findings_despite_faults(path: Path) -> tuple[Finding, ...]:
    """Return the figures that are not fair of a hull file that has faults; () if it cannot be read so far.

    A slip in a table may make a section that no hull can have: the fault says what follows, the first of these, an
    error like it, says from what. The others are warnings.
    """
    hull = hull_despite_faults(path)
    if hull is None:
        return ()
    return tuple(_unfair(hull, one, "warning" if place else "error") for place, one in enumerate(suspects(hull)))


def _unfair(hull: Hull, suspect: Suspect, severity: Severity) -> Finding:
    """Return what is said of one figure that is not fair."""
    named, units = suspect.named, _units(suspect, hull)
    where = f'{named.row}, station "{named.column}"'
    cause = suspect.cause.words if suspect.cause is not None else ""
    side = "more" if suspect.miss > 0 else "less"
    off = spoken_length(abs(suspect.miss), units)
    if suspect.place is not None:
        y, z = suspect.place
        want = f"({format_length(y, units)}, {format_length(z, units)})"
        text = f"{where} is not fair; the others want it at {want} or so, {off} away{_hint(suspect, hull)}"
        place = f'station "{named.column}", {named.row}'
        expected = f"{want} {units}"
        return Finding(
            severity, "offsets", text, place, None, expected, named.key, "", "", "", 0, suspect.miss, cause
        )
    value = named.text or spoken_length(named.value, units)
    want = spoken_length(suspect.expected, units)
    text = f"{where}: {value} is not fair; the others want {want} or so, it is {off} {side}{_hint(suspect, hull)}"
    difference = named.value - suspect.expected
    if named.line:
        file = _file(hull)
        said = (named.value, suspect.expected)
        return Finding(
            severity, "offsets", text, "", *said, (), named.row, named.column, file, named.line, difference, cause
        )
    spot = f'station "{named.column}", {named.row} {named.measure}'
    figures = (named.value, suspect.expected, named.key)
    return Finding(severity, "offsets", text, spot, *figures, "", "", "", 0, difference, cause)


def _file(hull: Hull) -> str:
    return hull.offsets.file if hull.offsets is not None else ""


def _units(suspect: Suspect, hull: Hull) -> UnitName:
    """Return the units that a figure is printed in: those of the file, or feet-inches-eighths in a file in inches."""
    return "ft-in-8" if hull.units == "in" and suspect.named.text.count("-") > 1 else hull.units


def _hint(suspect: Suspect, hull: Hull) -> str:
    """Return the likely cause in words, with what the figure then was."""
    cause = suspect.cause
    if cause is None:
        return ""
    was = f" ({spoken_length(cause.corrected, _units(suspect, hull))})" if cause.corrected is not None else ""
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
    return Finding("warning", "section", text, f"{both}, {between}", *places, (), "", "", _file(hull),
                   crossing.waterline.row, crossing.apart)  # fmt: skip


def _notes(hull: Hull) -> Iterator[Finding]:
    """Yield what was made of a table's figures."""
    for note in hull.offsets_notes:
        whole = not (note.title and note.station)
        row, column = ("", "") if whole else (note.title, note.station)
        place = note.title or f'station "{note.station}"' if whole else ""
        yield Finding("note", "offsets", note.text, place, note.value or None, None, (), row, column, _file(hull),
                      note.row, note.difference)  # fmt: skip


def _changes(hull: Hull) -> Iterator[Finding]:
    """Yield every change that fairing made, each old and new."""
    for change in hull.changes:
        row, column, file = (change.row, change.column, _file(hull)) if change.line else ("", "", "")
        old, new = change.old[0], change.new[0]
        yield Finding("note", "offsets", _spoken_change(change), _place(change), old, new, (), row, column, file,
                      change.line, old - new)  # fmt: skip


def _place(change: Change) -> str:
    return "" if change.line else f'station "{change.column}", {change.row}'


def _spoken_change(change: Change) -> str:
    """Return one change in words, to a tenth of a millimetre."""
    old, new = (", ".join(f"{number:.1f}" for number in figures) for figures in (change.old, change.new))
    what = change.row if change.line or change.measure == "point" else f"{change.row} {change.measure}"
    return f'faired: {what}, station "{change.column}", from {old} to {new} mm (moved {change.moved:+.1f})'


def change_records(hull: Hull) -> list[dict[str, object]]:
    """Return the changes that fairing made as plain data, mm, for measurements."""
    return [
        {
            "row": change.row,
            "station": change.column,
            "measure": change.measure,
            "old": list(change.old),
            "new": list(change.new),
            "moved": change.moved,
        }
        for change in hull.changes
    ]
