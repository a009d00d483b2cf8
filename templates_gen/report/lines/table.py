"""What was made of a table's figures, and what fairing moved."""

from collections.abc import Iterator, Sequence

from templates_gen.about import About, Place
from templates_gen.hull.model import Change, Hull
from templates_gen.notation import Notation
from templates_gen.report.finding import Finding, Severity
from templates_gen.report.lines.section_gaps import section_gap_findings
from templates_gen.units import MM_PER_INCH, format_length

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
    step, spoken = hull.offsets.rounded_to(tuple(_FRACTIONS)), hull.notation.spoken_depth
    if step is None:
        return
    fair = {"mm": f"{step:.1f}", "in": f"{step / MM_PER_INCH:g}", "ft-in-8": f'"{format_length(step, "ft-in-8")}"'}
    text = (
        f"every figure of the table is a whole number of {_FRACTIONS[step]} of an inch: rounding may have moved it "
        f"by {spoken(step / 2)}. To smooth this, write fair = {fair[hull.units]} under [lines]; marks then move by "
        f"up to {spoken(step)}"
    )
    yield Finding("note", "offsets", text, value=step, key=("lines", "table"))


def _changes(hull: Hull) -> Iterator[Finding]:
    """Yield how much fairing moved, and then every change, the greatest first, each old and new."""
    changes = sorted(hull.changes, key=lambda change: -abs(change.moved))
    if changes:
        yield Finding("note", "offsets", _summary(changes, hull.notation), file=table_file(hull))
    for change in changes:
        yield _change(change, hull)


def _change(change: Change, hull: Hull) -> Finding:
    """The note of one mark that fairing moved."""
    old, new = change.old[0], change.new[0]
    where = About("section", place=Place("station", change.column))
    text = _spoken_change(change, hull.notation)
    if not change.line:
        return Finding("note", "offsets", text, where, old, new, difference=old - new, spot=_place(change))
    return Finding("note", "offsets", text, where, old, new, row=change.row, column=change.column,
                   file=table_file(hull), line=change.line, difference=old - new)  # fmt: skip


def _summary(changes: Sequence[Change], notation: Notation) -> str:
    """How many marks were moved, and the greatest move."""
    greatest = changes[0]
    marks = "1 mark was" if len(changes) == 1 else f"{len(changes)} marks were"
    return (
        f"fairing: {marks} moved, the farthest by {spoken_move(greatest.moved, notation)}: {_what(greatest)}, "
        f'station "{greatest.column}"'
    )


def _place(change: Change) -> str:
    return f'station "{change.column}", {change.row}'


def _what(change: Change) -> str:
    return change.row if change.line or change.measure == "point" else f"{change.row} {change.measure}"


def _spoken_change(change: Change, notation: Notation) -> str:
    """Return one change in words, in the hull's units; old and new are not both written where they look alike."""
    moved = f"(moved {spoken_move(change.moved, notation)})"
    old, new = (_figures(figures, notation, 1) for figures in (change.old, change.new))
    if old == new and notation.units == "mm":
        old, new = (_figures(figures, notation, 2) for figures in (change.old, change.new))
    unit = " mm" if notation.units == "mm" else ""
    where = f"at {old}{unit}" if old == new else f"from {old} to {new}{unit}"
    return f'faired: {_what(change)}, station "{change.column}", {where} {moved}'


def _figures(figures: Sequence[float], notation: Notation, places: int) -> str:
    """Lengths in mm as the hull's table has them: in mm to so many places, to 1/32 in, or a sixteenth."""
    if notation.units == "mm":
        return ", ".join(f"{figure:.{places}f}" for figure in figures)
    return ", ".join(map(notation.spoken_length, figures))


def spoken_move(moved: float, notation: Notation) -> str:
    """Return a small move in mm with its sign: to 0.1 mm or, below it, 0.01 mm; to a tenth of a 64th of an inch."""
    if notation.is_in_64ths:
        return f"{moved / notation.depth_step:+.1f}/64 in"
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
