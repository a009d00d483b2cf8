"""A lining-off as rows of a hull file, to be edited by hand."""

import json
import string

from templates_gen.geometry.land_marks import Marks
from templates_gen.hull.model import Stem
from templates_gen.hull.offsets.half_boats import given_rows
from templates_gen.units import MM_PER_INCH, UnitName, format_length

_BARE = frozenset(string.ascii_letters + string.digits + "_-")
"""The characters of a key of TOML that needs no quotes."""


def girth_rows(marks: Marks) -> str:
    """Return lands that were lined off as the table [lands] by girth, TOML in the hull's units.

    Lengths are rounded to 0.1 mm, a thousandth of
    an inch or a sixteenth; the stem heads are not, so that the sheer stays on the rabbet line.
    """
    by = 'by = "girth"                      # lined off by the tool; to be changed by hand'
    return "\n".join(["[lands]", by, *row_lines(marks)]) + "\n"


def row_lines(marks: Marks) -> list[str]:
    """Return the rows of girths, with a comment before them, as lines of TOML."""
    hull, rows = marks.hull, given_rows(marks.hull, marks.lands.at)
    lines = [
        "# Garboard to sheer strake: from the rabbet straight to the section's first point, then along the section."
    ]
    lines += [f"{_key(s.name)} = {_row(list(rows[s.name]), hull.units)}" for s in hull.given_stations]
    for end in ("fore", "aft"):
        member = hull.end(end)
        if end not in rows:
            continue
        if isinstance(member, Stem):
            row, remark = [*rows[end][:-1], member.rabbet[-1, 1]], "heights on the stem's rabbet line"
            lines.append(f"{end} = {_row(row, hull.units, exact_last=True)}    # {remark}")
        else:
            remark = "girths in the true shape of the outer face"
            lines.append(f"{end} = {_row(list(rows[end]), hull.units)}    # {remark}")
    return lines


def _key(name: str) -> str:
    """A station's name as a key of TOML."""
    return name if name and _BARE.issuperset(name) else json.dumps(name, ensure_ascii=False)


def _row(lengths: list[float], units: UnitName, exact_last: bool = False) -> str:
    texts = [_written(length, units) for length in lengths]
    if exact_last and units != "ft-in-8":
        texts[-1] = repr(float(lengths[-1]) / (MM_PER_INCH if units == "in" else 1.0))
    return f"[{', '.join(texts)}]"


def _written(length: float, units: UnitName) -> str:
    """A length in mm as the hull file has it."""
    if units == "mm":
        return f"{length:.1f}"
    return f"{length / MM_PER_INCH:.3f}" if units == "in" else f'"{format_length(length, units)}"'
