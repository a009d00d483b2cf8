"""Hull files with one figure wrong, as people slip, and whether `check` says a word about each."""

import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from templates_gen import pipeline
from templates_gen.errors import HullFileError
from templates_gen.hull.lengths import to_mm
from templates_gen.hull.model import Hull, Stem, Transom
from templates_gen.hull.positions import KeyPath, KeyPlace
from templates_gen.hull.problem import spelled
from templates_gen.hull.text import SourceFile
from templates_gen.report.finding import Finding
from templates_gen.report.lines.unfair import unfair_findings
from templates_gen.report.usual.unusual import unusual
from templates_gen.units import UnitName, format_length

Array = NDArray[np.float64]

KINDS = ("times ten", "a tenth", "sign turned", "100 more", "100 less", "digits exchanged")

HUNDRED: dict[UnitName, float] = {"mm": 100.0, "in": 101.6, "ft-in-8": 101.6}
"""What "100 more" adds, mm: four inches where the file is in inches."""

SIZE = 1.5
"""A size (a lap, a siding, a gerald) is a choice: only one by this factor more or less is clearly a slip."""

SHARE, LEAST = 0.1, 2.5
"""A point that must fit its neighbours is clearly wrong by this share of the distance to the nearest of them, and by
so many mm: fairness asks for as much."""

NO_SIZE = ("format", "lines.fair")
"""The file's own number, and a tolerance of fairing, which makes no boat."""


@dataclass(frozen=True)
class FigureSlip:
    """One figure of a hull file, written wrong.

    Attributes
    ----------
    path : KeyPath
    kind : str
        One of KINDS.
    old, new : str
        As the file holds them.
    text : str
        The whole file with the slip in it.
    is_clear : bool
        Whether it changes the figure by more than a builder can mean.
    """

    path: KeyPath
    kind: str
    old: str
    new: str
    text: str
    is_clear: bool

    @property
    def figure(self) -> str:
        """The figure's key without the numbers of its place: "station.section", "planking.gerald.fore"."""
        return ".".join(str(part) for part in self.path if isinstance(part, str) and not part.isdigit())


def figure_slips(hull: Hull) -> Iterator[FigureSlip]:
    """Yield every slip of every figure of a hull's file, in the order of the file."""
    source = hull.source
    assert source is not None
    for path, place in figures(source, hull.units):
        old = source.text[place.start : place.stop]
        seen = {old}
        for kind in KINDS:
            new = _slipped(old, kind, hull.units)
            if new is not None and new not in seen:
                seen.add(new)
                text = source.text[: place.start] + new + source.text[place.stop :]
                yield FigureSlip(path, kind, old, new, text, _is_clear(hull, path, old, new))


def figures(source: SourceFile, units: UnitName) -> Iterator[tuple[KeyPath, KeyPlace]]:
    """Yield the key and place of every number of a hull file."""
    for path, place in source.places.items():
        text = source.text[place.start : place.stop]
        if path[0] != "format" and path[-1] not in ("name", "edition") and _mm(text, units) is not None:
            yield path, place


def _mm(text: str, units: UnitName) -> float | None:
    """A figure as written in mm (a plain number as it is); None where it is no number."""
    try:
        if text.startswith('"'):
            return to_mm(text.strip('"'), units) if units == "ft-in-8" else None
        return float(text) * (25.4 if units == "in" else 1.0)
    except ValueError:
        return None


def _slipped(old: str, kind: str, units: UnitName) -> str | None:
    """A figure with a slip of a kind, as the file would hold it; None where there is none."""
    if kind == "digits exchanged":
        return _exchanged(old)
    is_text = old.startswith('"')
    value = _mm(old, units) if is_text else float(old)
    assert value is not None
    step = HUNDRED["ft-in-8"] if is_text else HUNDRED[units] / (25.4 if units == "in" else 1.0)
    new = {
        "times ten": 10 * value,
        "a tenth": value / 10,
        "sign turned": -value,
        "100 more": value + step,
        "100 less": value - step,
    }[kind]
    if is_text:
        return f'"{format_length(new, "ft-in-8")}"'
    whole = "." not in old and new == round(new)
    return f"{new:.0f}" if whole else repr(round(new, 6))


def _exchanged(old: str) -> str | None:
    """The figure with the first two neighbouring digits that differ exchanged."""
    places = [index for index, letter in enumerate(old) if letter.isdigit()]
    for first, second in pairwise(places):
        if old[first] != old[second]:
            letters = list(old)
            letters[first], letters[second] = letters[second], letters[first]
            new = "".join(letters)
            text = new.lstrip("-0") if not new.startswith('"') else new
            text = "0" + text if text[:1] in ("", ".") else text
            return ("-" if old.startswith("-") else "") + text
    return None


def _is_clear(hull: Hull, path: KeyPath, old: str, new: str) -> bool:
    """Whether a slip changes a figure by more than a builder can mean."""
    if ".".join(str(part) for part in path) in NO_SIZE:
        return False
    was, now = _mm(old, hull.units), _mm(new, hull.units)
    if was is None or now is None or was == now:
        return False
    room = _room(hull, path)
    if room is not None:
        return abs(now - was) > max(SHARE * room, LEAST)
    if path == ("fastenings", "at"):
        return not hull.stations[0].at <= now <= hull.stations[-1].at
    base = _base(hull, path)
    was, now = was - base, now - base
    return now * was <= 0.0 or not 1 / SIZE < now / was < SIZE


def _base(hull: Hull, path: KeyPath) -> float:
    """What a height is measured from, mm: the building line from the sheer, the waterline from the rabbet."""
    if path == ("moulds", "base"):
        return max(float(station.section[-1, 1]) for station in hull.stations)
    return min(float(station.rabbet[1]) for station in hull.stations) if path == ("waterline",) else 0.0


def _room(hull: Hull, path: KeyPath) -> float | None:
    """The distance from the point that a figure belongs to, to the nearest of its neighbours, mm; None of a size."""
    chain: Array | None = None
    place = 0
    match path:
        case ("station", int(number), "at"):
            chain, place = np.array([[station.at, 0.0] for station in hull.stations]), number
        case ("station", int(number), "rabbet", _):
            chain = np.vstack([hull.stations[number].rabbet, hull.stations[number].section])
        case ("station", int(number), "section", int(point), _):
            chain, place = np.vstack([hull.stations[number].rabbet, hull.stations[number].section]), point + 1
        case ("fore" | "aft" as end, key, *rest) if rest:
            chain, place = _chain_of_end(hull.end(end), key, rest)
        case ("lands", str(row), int(number), *_) if row != "pins":
            marks = hull.lands.at[row]
            chain = marks if marks.ndim == 2 else np.column_stack([marks, np.zeros(len(marks))])
            place = number
        case ("lands", "pins", *_):
            return 20.0
    if chain is None:
        return None
    gaps = np.linalg.norm(np.diff(chain, axis=0), axis=1)
    return float(min(gaps[max(place - 1, 0) : place + 1]))


def _chain_of_end(end: Stem | Transom, key: object, rest: list[str | int]) -> tuple[Array | None, int]:
    """The chain of points of an end that a key belongs to, and which of them it is."""
    place = int(rest[0])
    if isinstance(end, Stem):
        return (end.rabbet if key == "rabbet" else end.face), place
    if key == "profile":
        return end.profile, place
    return np.vstack([end.rabbet, end.section]), 0 if key == "rabbet" else place + 1


Identity = tuple[object, ...]


@dataclass(frozen=True)
class Verdict:
    """What becomes of a slip: the stage that speaks of it ("" for none), whether it names the figure, its text."""

    stage: str
    is_named: bool
    text: str


class Listener:
    """Runs the stages of `check` on slips of one hull, the quickest first, and ends at the first new word."""

    def __init__(self, path: Path) -> None:
        self.hull = pipeline.hull_of(path)
        self.path = path
        self.known = {identity(finding) for finding in pipeline.check(self.hull, thorough=True).findings}
        self.known |= {identity(finding) for finding in unfair_findings(self.hull)}

    def verdict(self, slip: FigureSlip) -> Verdict:
        """Return what `check` says of a slip that it does not say of the hull as it is: warnings and errors."""
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder, self.path.name)
            path.write_text(slip.text, encoding="utf-8")
            for table in self.path.parent.glob("*.csv"):
                Path(folder, table.name).write_bytes(table.read_bytes())
            try:
                hull = pipeline.hull_of(path)
            except HullFileError as error:
                own = spelled(slip.path)
                named = any(own.startswith(fault.key) or fault.key.startswith(own) for fault in error.faults)
                return Verdict("file", named, error.faults[0].text)
            for stage, findings in (
                ("usual", lambda: unusual(hull)),
                ("fairness", lambda: unfair_findings(hull)),
                ("boat", lambda: pipeline.check(hull, thorough=True).findings),
            ):
                new = [one for one in findings() if one.severity != "note" and identity(one) not in self.known]
                if new:
                    return Verdict(stage, any(_names(one, slip.path) for one in new), new[0].text)
        return Verdict("", False, "")


def identity(finding: Finding) -> Identity:
    """What makes two findings the same, whatever their numbers: a worse place of the same fault is nothing new."""
    where = finding.where
    of = None if where is None else (where.thing, where.number, where.end)
    return (finding.severity, finding.about, finding.key, finding.rule, finding.row, finding.column, of)


def _names(finding: Finding, path: KeyPath) -> bool:
    shared = min(len(finding.key), len(path))
    return shared > 0 and finding.key[:shared] == path[:shared] and len(finding.key) >= min(2, len(path))
