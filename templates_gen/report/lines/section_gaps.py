"""Where sections are given by too few figures: stretches without a figure, and battens that would dip."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from templates_gen.about import ENDS, About, Place
from templates_gen.hull.model import Array, Hull, Transom
from templates_gen.hull.offsets.battens import SectionGap, section_dips, section_gaps
from templates_gen.hull.offsets.sections import Mark, joined_section
from templates_gen.hull.offsets.writing import half_siding
from templates_gen.report.finding import Finding, Severity
from templates_gen.units import MM_PER_INCH, UnitName, format_length, spoken_length

_FEET_INCH_STEPS = tuple(MM_PER_INCH * inches for inches in (12, 6, 3, 2, 1, 0.5))
_STEPS: dict[UnitName, tuple[float, ...]] = {
    "mm": (250.0, 100.0, 50.0, 25.0, 10.0, 5.0),
    "in": _FEET_INCH_STEPS,
    "ft-in-8": _FEET_INCH_STEPS,
}
_MOST_NAMED = 4
_SMALLEST = 1.0


@dataclass(frozen=True)
class _Given:
    """A section as the hull has it: its name, its points, and their marks if a table gave them."""

    name: str
    label: str
    where: About
    rabbet: Array
    section: Array
    marks: tuple[Mark, ...]

    def stretch(self, index: int) -> str:
        """Return which two points bound a stretch: lines of the table, or numbers of points."""
        if not self.marks:
            return f"its points {index + 1} and {index + 2}"
        below, above = (_line_name(self.marks, place) for place in (index, index + 1))
        return f"{below} and {above}"


@dataclass(frozen=True)
class _Stretch:
    """A stretch of one section on which fair curves differ, or the batten dips by `dip` mm."""

    given: _Given
    index: int
    gap: SectionGap | None
    dip: float


def section_gap_findings(hull: Hull) -> tuple[Finding, ...]:
    """Return a finding for each stretch that has no figure, once for all sections between the same two lines.

    Of each section only the stretch is named on which fair curves differ most: one figure there often holds the
    stretches next to it too.
    """
    gaps: dict[str, list[_Stretch]] = defaultdict(list)
    dips: dict[str, list[_Stretch]] = defaultdict(list)
    for given in _sections(hull):
        gap = max(section_gaps(given.rabbet, given.section), key=lambda gap: gap.doubt, default=None)
        if gap is not None:
            gaps[given.stretch(gap.index)].append(_Stretch(given, gap.index, gap, 0.0))
        below = section_dips(given.rabbet, given.section)
        for index in np.flatnonzero(below > 0.0).tolist():
            dips[given.stretch(index)].append(_Stretch(given, index, None, float(below[index])))
    of_gaps = (_gap_finding(name, stretches, hull) for name, stretches in gaps.items())
    return (*of_gaps, *(_dip_finding(name, stretches, hull) for name, stretches in dips.items()))


def _sections(hull: Hull) -> Iterator[_Given]:
    """Yield the sections of all stations and transoms."""
    for station in hull.given_stations:
        marks = _marks(hull, station.name, station.section)
        where = About("section", place=Place("station", station.name))
        label = f'station "{station.name}"'
        yield _Given(f'"{station.name}"', label, where, station.rabbet, station.section, marks)
    for name in ENDS:
        end = hull.end(name)
        is_given = hull.half is None or name == "fore"
        if isinstance(end, Transom) and is_given:
            marks = _marks(hull, name, end.section)
            yield _Given(
                f"[{name}]",
                f"[{name}]",
                About("section", end=name, place=Place("end", name)),
                end.rabbet,
                end.section,
                marks,
            )


def _marks(hull: Hull, column: str, section: Array) -> tuple[Mark, ...]:
    """Return the marks of a section that the hull's table gave, () where it has no such column."""
    table = hull.offsets
    if table is None or column not in table.stations:
        return ()
    marks = joined_section(table, column, half_siding(hull)).marks
    return marks if len(marks) == len(section) else ()


def _line_name(marks: Sequence[Mark], index: int) -> str:
    """Return a mark's line in the table's own words; the rabbet, which may have no row, by its name."""
    line = marks[index].line
    return "rabbet" if index == 0 else "sheer" if line is None else line.name


def _gap_finding(name: str, stretches: Sequence[_Stretch], hull: Hull) -> Finding:
    """Return the warning of a stretch without a figure at some sections, by the worst of them."""
    worst = max(stretches, key=lambda stretch: stretch.gap.doubt if stretch.gap is not None else 0.0)
    gap, units = worst.gap, hull.units
    assert gap is not None
    apart = spoken_length(float(np.linalg.norm(gap.chord)), units)
    bounds = " or ".join(
        f"{spoken_length(bound, units)} {side}"
        for side, bound in (("inside", gap.inside), ("outside", gap.outside))
        if bound >= _SMALLEST
    )
    text = (
        f"{worst.given.label}: there is no figure on the section between {name}, {apart} apart; the section may "
        f"lie up to {bounds} a batten through the figures. {_cure(worst, gap, units)}{_elsewhere(worst, stretches)}"
    )
    return _finding("warning", text, worst, hull, max(gap.inside, gap.outside))


def _dip_finding(name: str, stretches: Sequence[_Stretch], hull: Hull) -> Finding:
    """Return the note of a stretch on which the free batten would dip below the rabbet."""
    worst = max(stretches, key=lambda stretch: stretch.dip)
    text = (
        f"{worst.given.label}: between {name} a batten through the figures dips "
        f"{hull.notation.spoken_depth(worst.dip)} below the lowest of them; the section is kept above it. Give a "
        f"figure between the two to hold it there{_elsewhere(worst, stretches)}"
    )
    return _finding("note", text, worst, hull, worst.dip)


def _finding(severity: Severity, text: str, worst: _Stretch, hull: Hull, difference: float) -> Finding:
    file, line = "", 0
    if worst.given.marks and hull.offsets is not None:
        upper = worst.given.marks[worst.index + 1].line
        file, line = hull.offsets.file, upper.row if upper is not None else 0
    where, label = worst.given.where, worst.given.label
    return Finding(severity, "offsets", text, where, file=file, line=line, difference=difference, spot=label)


def _elsewhere(worst: _Stretch, stretches: Sequence[_Stretch]) -> str:
    """Return at which other sections the same stretch is empty, "" if at none."""
    others = [stretch.given.name for stretch in stretches if stretch is not worst]
    if not others:
        return ""
    if len(others) > _MOST_NAMED:
        named = others[: _MOST_NAMED - 1]
        return f" (also at {', '.join(named)} and {len(others) - len(named)} more)"
    return f" (also at {', '.join(others)})"


def _cure(worst: _Stretch, gap: SectionGap, units: UnitName) -> str:
    """Return what to give there: a line at a round distance across the stretch, or a point near its middle."""
    out, up = np.abs(gap.chord)
    if not worst.given.marks:
        near = ", ".join(format_length(float(value), units) for value in gap.middle)
        return f"Give a point near [{near}]"
    line, axis = ("buttock", 0) if out >= up else ("waterline", 1)
    low, high = sorted(worst.given.section[worst.index : worst.index + 2, axis])
    return f"Give a {line} at {spoken_length(_round_level(low, high, units), units)} or a diagonal"


def _round_level(low: float, high: float, units: UnitName) -> float:
    """Return the roundest distance in the middle half of a stretch, mm; its middle if there is none."""
    middle, reach = (low + high) / 2, (high - low) / 4
    for step in _STEPS[units]:
        level = round(middle / step) * step
        if abs(level - middle) <= reach:
            return level
    return middle
