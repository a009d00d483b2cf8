"""What was made of a table's figures, and what fairing moved."""

from collections.abc import Iterator, Sequence

from templates_gen.about import About, Place
from templates_gen.hull.model import Change, Hull
from templates_gen.report.finding import Finding, Severity
from templates_gen.report.lines.section_gaps import section_gap_findings
from templates_gen.units import MM_PER_INCH, UnitName, format_length, spoken_length

_SMALL = 0.095
_FRACTIONS = {MM_PER_INCH / 8: "eighths", MM_PER_INCH / 16: "sixteenths"}
"""What printed tables are rounded to, mm, the coarser first: whole quarters are eighths too."""


def offsets_findings(hull: Hull) -> tuple[Finding, ...]:
    """Return what was made of a table's figures, where sections have too few, and every change that fairing made."""
    return (*section_gap_findings(hull), *_notes(hull), *_rounded(hull), *_changes(hull))


def table_file(hull: Hull) -> str:
    """Return the file of the hull's table of offsets, "" where there is none."""
    return hull.offsets.file if hull.offsets is not None else ""


def _notes(hull: Hull) -> Iterator[Finding]:
    """Yield what was made of a table's figures."""
    for note in hull.offsets_notes:
        row, column = (note.title, note.station) if note.title and note.station else ("", "")
        where = About("offsets", place=Place("station", note.station)) if note.station else None
        severity: Severity = "warning" if note.is_doubted else "note"
        yield Finding(severity, "offsets", note.text, where, note.value or None, row=row, column=column,
                      file=table_file(hull), line=note.row, difference=note.difference,
                      spot=note.title)  # fmt: skip


def _rounded(hull: Hull) -> Iterator[Finding]:
    """Yield that a table is rounded to eighths or sixteenths, and how its rounding can be smoothed."""
    if hull.offsets is None or hull.fair is not None:
        return
    step = hull.offsets.rounded_to(tuple(_FRACTIONS))
    if step is None:
        return
    fair = {"mm": f"{step:.1f}", "in": f"{step / MM_PER_INCH:g}", "ft-in-8": f'"{format_length(step, "ft-in-8")}"'}
    text = (
        f"every figure of the table is a whole number of {_FRACTIONS[step]} of an inch: rounding may have moved it "
        f"by {step / 2:.1f} mm. To smooth that, write fair = {fair[hull.units]} under [lines]; marks then move by "
        f"up to {step:.1f} mm"
    )
    yield Finding("note", "offsets", text, value=step, key=("lines", "table"))


def _changes(hull: Hull) -> Iterator[Finding]:
    """Yield how much fairing moved, and then every change, the greatest first, each old and new."""
    changes = sorted(hull.changes, key=lambda change: -abs(change.moved))
    if changes:
        yield Finding("note", "offsets", _summary(changes, hull.units), file=table_file(hull))
    for change in changes:
        yield _change(change, hull)


def _change(change: Change, hull: Hull) -> Finding:
    """The note of one mark that fairing moved."""
    old, new = change.old[0], change.new[0]
    where = About("section", place=Place("station", change.column))
    text = _spoken_change(change, hull.units)
    if not change.line:
        return Finding("note", "offsets", text, where, old, new, difference=old - new, spot=_place(change))
    return Finding("note", "offsets", text, where, old, new, row=change.row, column=change.column,
                   file=table_file(hull), line=change.line, difference=old - new)  # fmt: skip


def _summary(changes: Sequence[Change], units: UnitName) -> str:
    """How many marks were moved, and the greatest move."""
    greatest = changes[0]
    marks = "1 mark was" if len(changes) == 1 else f"{len(changes)} marks were"
    return (
        f"fairing: {marks} moved, the greatest by {spoken_move(greatest.moved, units)}: {_what(greatest)}, "
        f'station "{greatest.column}"'
    )


def _place(change: Change) -> str:
    return f'station "{change.column}", {change.row}'


def _what(change: Change) -> str:
    return change.row if change.line or change.measure == "point" else f"{change.row} {change.measure}"


def _spoken_change(change: Change, units: UnitName) -> str:
    """Return one change in words, in the hull's units; finer than its rule where old and new would look alike."""
    old, new = (_figures(figures, units) for figures in (change.old, change.new))
    if old == new:
        old, new = (_fine(figures, units) for figures in (change.old, change.new))
    moved = spoken_move(change.moved, units)
    if units == "mm":
        old = old.removesuffix(" mm")
    return f'faired: {_what(change)}, station "{change.column}", from {old} to {new} (moved {moved})'


def _figures(figures: Sequence[float], units: UnitName) -> str:
    """Lengths in mm as the hull's table has them: to 0.1 mm, 1/32 in, or a sixteenth."""
    if units == "mm":
        return f"{', '.join(f'{figure:.1f}' for figure in figures)} mm"
    return ", ".join(spoken_length(figure, units) for figure in figures)


def _fine(figures: Sequence[float], units: UnitName) -> str:
    """Lengths in mm to 0.01 mm or a thousandth of an inch."""
    unit, size, places = ("mm", 1.0, 2) if units == "mm" else ("in", MM_PER_INCH, 3)
    return f"{', '.join(f'{figure / size:.{places}f}' for figure in figures)} {unit}"


def spoken_move(moved: float, units: UnitName) -> str:
    """Return a small move in mm with its sign: to 0.1 mm or, below it, 0.01 mm; to a thousandth of an inch."""
    if units != "mm":
        return f"{moved / MM_PER_INCH:+.3f} in"
    return f"{moved:+.2f} mm" if abs(moved) < _SMALL else f"{moved:+.1f} mm"


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
