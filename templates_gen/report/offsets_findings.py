"""What was made of a table's figures, and what fairing moved."""

from collections.abc import Iterator

from templates_gen.hull.model import Change, Hull
from templates_gen.report.finding import Finding


def offsets_findings(hull: Hull) -> tuple[Finding, ...]:
    """Return what was made of the figures of a hull's table of offsets, and every change that fairing made."""
    return (*_notes(hull), *_changes(hull))


def table_file(hull: Hull) -> str:
    """Return the file of the hull's table of offsets, "" where there is none."""
    return hull.offsets.file if hull.offsets is not None else ""


def _notes(hull: Hull) -> Iterator[Finding]:
    """Yield what was made of a table's figures."""
    for note in hull.offsets_notes:
        whole = not (note.title and note.station)
        row, column = ("", "") if whole else (note.title, note.station)
        place = note.title or f'station "{note.station}"' if whole else ""
        file, value = table_file(hull), note.value or None
        yield Finding("note", "offsets", note.text, place, value, None, (), row, column, file, note.row,
                      note.difference)  # fmt: skip


def _changes(hull: Hull) -> Iterator[Finding]:
    """Yield every change that fairing made, each old and new."""
    for change in hull.changes:
        row, column, file = (change.row, change.column, table_file(hull)) if change.line else ("", "", "")
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
