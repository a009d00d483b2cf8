"""Fair tables of offsets, and slips planted in them one at a time: what the tests and the bench of fairness share."""

import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from templates_gen.fairness.causes import BREADTH, EXCHANGED, NEXT_COLUMN
from templates_gen.fairness.suspects import unfair
from templates_gen.hull.lengths import parse_printed_length
from templates_gen.hull.model import Hull
from templates_gen.hull.offsets.table import Figure, Line, OffsetsTable
from templates_gen.hull.offsets.writing import hull_with_table, offsets_csv
from templates_gen.hull.reader import read_hull
from templates_gen.units import UnitName, format_length
from tests.hull.tables import table_with

ROOT = Path(__file__).resolve().parents[2]
CANOE = ROOT / "tests" / "data" / "american_cruising_canoe.toml"
LEAST = 12.7  # half an inch, mm
KINDS = ("half an inch", "an inch", "a foot", "digits", "breadth", "column")
CAUSES = {
    "half an inch": "a slip of half an inch",
    "an inch": "a slip of an inch",
    "a foot": "a slip of a foot",
    "digits": EXCHANGED,
    "breadth": BREADTH,
    "column": NEXT_COLUMN,
}


@dataclass(frozen=True)
class Slip:
    """One figure of a table, spoilt."""

    kind: str
    line: Line
    index: int
    figure: Figure


def mended_canoe() -> Hull:
    """The canoe of 1889 with its two unfair figures as the reading of the plate makes them likely."""
    hull = read_hull(CANOE)
    table = hull.offsets
    assert table is not None
    for measure, station, text in (("half-breadth", "1", "0-3-7"), ("height", "4", "1-0-4")):
        line = table.sheer(measure)  # type: ignore[arg-type]
        assert line is not None
        old = line.figures[table.stations.index(station)]
        new = Figure(text, "length", parse_printed_length(text, "ft-in-8"), old.row, old.column)
        table = table_with(table, line.row, old.column, new)
    return hull_with_table(hull, table)


def as_table(name: str, units: UnitName, folder: Path | None = None) -> Hull:
    """One of the three invented boats, its sections written as a table and read again from it."""
    with tempfile.TemporaryDirectory() as scratch:
        place = folder or Path(scratch)
        hull = read_hull(ROOT / "hulls" / f"{name}.toml")
        (place / "offsets.csv").write_text(
            rounded_mm(offsets_csv(hull, units)) if units == "mm" else offsets_csv(hull, units)
        )
        text = (ROOT / "hulls" / f"{name}.toml").read_text(encoding="utf-8")
        (place / "boat.toml").write_text(table_hull_text(text), encoding="utf-8")
        return read_hull(place / "boat.toml")


def rounded_mm(text: str) -> str:
    """The text of a table in mm with every figure a whole number, as people print it."""
    rows = [line.split(",") for line in text.splitlines()]
    return "\n".join(",".join([*row[:2], *(_whole(cell) for cell in row[2:])]) for row in rows) + "\n"


def _whole(cell: str) -> str:
    return f"{float(cell):.0f}" if "." in cell and cell != "." else cell


def table_hull_text(text: str) -> str:
    """A hull file's text with [lines] table in it, and its stations' own figures taken out."""
    kept, inside, skipping = [], False, False
    for line in text.splitlines():
        if line.startswith("["):
            inside = line.startswith("[[station]]")
        starts = inside and line.split("=")[0].strip() in ("at", "rabbet", "section")
        if not skipping and not starts:
            kept.append(line)
        if starts:
            skipping = line.count("[") > line.count("]")
        elif skipping:
            skipping = line.strip() != "]"
    return "\n".join(kept).replace("[lines]", '[lines]\ntable = "offsets.csv"') + "\n"


def wigley(stations: int = 9, waterlines: int = 6, units: UnitName = "mm") -> Hull:
    """The parabolic hull of Wigley, 200 in long, from a table of its closed form; base line: the load waterline.

    Source: y = B/2 (1 - (2x/L)^2) (1 - (z/T)^2); W. C. S. Wigley, Proceedings of the Royal Society A 144 (1934), from
    memory; here L = 200 in, B = 20 in, T = 12.5 in (the proportions L/B = 10, B/T = 1.6 of the published form).
    """
    length, beam, draught = 5080.0, 508.0, 317.5

    def say(value: float) -> str:
        return f"{value:.0f}" if units == "mm" else format_length(round(value / 3.175) * 3.175, "ft-in-8")

    at = np.round(np.linspace(0.0, length, stations + 2)[1:-1])
    levels = [-round(draught * share) for share in np.linspace(1.0, 0.0, waterlines)[1:-1]]
    if units != "mm":
        levels = [round(level / 3.175) * 3.175 for level in levels]
        at = np.round(at / 3.175) * 3.175

    def y(x: float, z: float) -> float:
        return beam / 2 * (1 - (2 * x / length - 1) ** 2) * (1 - (z / draught) ** 2)

    rows = [["measure", "line", *(str(i + 1) for i in range(stations))]]
    rows.append(["distance", "", *(say(x) for x in at)])
    rows.append(["height", "sheer", *(say(0.0) for _ in at)])
    rows.append(["height", "rabbet", *(say(-draught) for _ in at)])
    rows.append(["half-breadth", "sheer", *(say(y(x, 0.0)) for x in at)])
    rows.append(["half-breadth", "rabbet", *(say(0.0) for _ in at)])
    rows += [["half-breadth", f"waterline {say(z)}", *(say(y(x, z)) for x in at)] for z in levels]
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "offsets.csv").write_text("\n".join(",".join(row) for row in rows))
        Path(folder, "boat.toml").write_text(wigley_text(units, [str(i + 1) for i in range(stations)]))
        return read_hull(Path(folder, "boat.toml"))


def wigley_text(units: UnitName, names: list[str]) -> str:
    """A hull file for the parabolic hull, stems plumb at its ends; siding and planking are invented."""

    unit = 1.0 if units == "mm" else 25.4

    def say(value: float) -> str:
        return repr(value / unit)

    stations = "".join(f'[[station]]\nname = "{name}"\n' for name in names)
    ends = "".join(
        f'[{end}]\nkind = "stem"\nsiding = {say(0.2)}\n'
        f"rabbet = [[{say(x)}, {say(-317.5)}], [{say(x)}, {say(-150.0)}], [{say(x)}, {say(0.0)}]]\n"
        for end, x in (("fore", 0.0), ("aft", 5080.0))
    )
    return (
        f'format = 1\nname = "Wigley"\nunits = "{"mm" if units == "mm" else "in"}"\n'
        f'[lines]\nto = "outside"\ntable = "offsets.csv"\n{stations}{ends}'
        f"[planking]\nstrakes = 6\nthickness = {say(6.35)}\n[planking.gerald]\nfore = {say(304.8)}\n"
        f"aft = {say(304.8)}\n"
        '[lands]\nby = "even"\n'
    )


def slips(
    hull: Hull, units: UnitName, generator: np.random.Generator, kinds: tuple[str, ...] = KINDS
) -> Iterator[Slip]:
    """Slips of half an inch or more without end, each of a kind that its figure allows."""
    table = hull.offsets
    assert table is not None
    lines = [line for line in table.lines if line.kind != "distance"]
    used = [table.stations.index(station.name) for station in hull.stations]
    while True:
        line, index = lines[generator.integers(len(lines))], used[generator.integers(len(used))]
        if line.figures[index].mark != "length":
            continue
        kind = kinds[generator.integers(len(kinds))]
        slip = _slip(kind, line, index, units, generator)
        if slip is None or abs(slip.figure.value - line.figures[index].value) < LEAST - 0.01:
            continue
        if slip.figure.value >= 0 or line.measure == "height":
            yield slip


def _slip(kind: str, line: Line, index: int, units: UnitName, generator: np.random.Generator) -> Slip | None:
    old = line.figures[index]
    sign = (-1.0, 1.0)[generator.integers(2)]
    if kind in ("half an inch", "an inch", "a foot"):
        value = old.value + sign * {"half an inch": 12.7, "an inch": 25.4, "a foot": 304.8}[kind]
    elif kind == "breadth":
        if line.measure != "half-breadth":
            return None
        value = old.value * 2
    elif kind == "column":
        beside = index + int(sign)
        if not 0 <= beside < len(line.figures) or line.figures[beside].mark != "length":
            return None
        value = line.figures[beside].value
    else:
        return _exchanged(line, index, units, generator)
    text = f"{value:g}" if units == "mm" else format_length(value, "ft-in-8")
    return Slip(kind, line, index, Figure(text, "length", value, old.row, old.column))


def _exchanged(line: Line, index: int, units: UnitName, generator: np.random.Generator) -> Slip | None:
    """A slip of two neighbouring digits exchanged, if that is another figure."""
    old = line.figures[index]
    places = [i for i, letter in enumerate(old.text) if letter.isdigit()]
    if len(places) < 2:
        return None
    at = generator.integers(len(places) - 1)
    letters = list(old.text)
    letters[places[at]], letters[places[at + 1]] = letters[places[at + 1]], letters[places[at]]
    text = "".join(letters)
    try:
        value = parse_printed_length(text, units)
    except ValueError:
        return None
    return Slip("digits", line, index, Figure(text, "length", value, old.row, old.column))


@dataclass(frozen=True)
class RowSlip:
    """A table with a whole row spoilt: `title`, as it then reads, and for two rows exchanged that of the other."""

    kind: str
    title: str
    other: str
    table: OffsetsTable


def row_slips(hull: Hull, units: UnitName, generator: np.random.Generator, kind: str) -> Iterator[RowSlip]:
    """Yield tables with one row spoilt: "label" (by 1 to 6 in, or 20 to 100 mm), "shift" or "swap"."""
    table = hull.offsets
    assert table is not None
    lines = [line for line in table.lines if line.kind in ("waterline", "buttock", "diagonal")]
    lines = [line for line in lines if sum(figure.is_known for figure in line.figures) >= 5]
    for place in generator.permutation(len(lines)):
        line, sign = lines[place], (-1, 1)[generator.integers(2)]
        if kind == "label":
            yield from _mislabelled(table, line, units, sign, generator)
        elif kind == "shift":
            figures = (*line.figures[1:], None) if sign < 0 else (None, *line.figures[:-1])
            lost = [one or replace(line.figures[0], text="?", mark="lost", value=0.0) for one in figures]
            yield RowSlip(kind, line.title, "", _with_row(table, line, lost))
        else:
            alike = sorted((one for one in lines if one.kind == line.kind), key=lambda one: one.level)
            at = alike.index(line) + sign
            if 0 <= at < len(alike):
                swapped = _with_row(table, line, alike[at].figures)
                yield RowSlip(kind, line.title, alike[at].title, _with_row(swapped, alike[at], line.figures))


def _mislabelled(
    table: OffsetsTable, line: Line, units: UnitName, sign: int, generator: np.random.Generator
) -> Iterator[RowSlip]:
    sizes = (20.0, 50.0, 100.0) if units == "mm" else (25.4, 50.8, 76.2, 152.4)
    level = line.level + sign * sizes[generator.integers(len(sizes))]
    text = f"{level:g}" if units == "mm" else format_length(level, "ft-in-8")
    words = line.name.split(" ")
    words[1] = text
    new = replace(line, name=" ".join(words), level=level)
    taken = [one.level for one in table.lines if one.kind == line.kind and one is not line]
    if level > 0 and all(abs(level - one) > LEAST for one in taken):
        others = tuple(new if one is line else one for one in table.lines)
        yield RowSlip("label", new.title, "", replace(table, lines=others))


def _with_row(table: OffsetsTable, line: Line, figures: Sequence[Figure]) -> OffsetsTable:
    """A table with other figures in one row, each in the place of the one that stood there."""
    placed = tuple(
        replace(new, row=old.row, column=old.column) for new, old in zip(figures, line.figures, strict=True)
    )
    lines = (replace(one, figures=placed) if one.row == line.row else one for one in table.lines)
    return replace(table, lines=tuple(lines))


def spoilt(hull: Hull, slip: Slip) -> Hull:
    """The hull with a slip in its table."""
    assert hull.offsets is not None
    return hull_with_table(hull, table_with(hull.offsets, slip.line.row, slip.figure.column, slip.figure))


def outcome(hull: Hull, slip: Slip) -> tuple[bool, bool]:
    """Whether a planted slip is the first thing named, and whether the cause given is the right one."""
    result = unfair(spoilt(hull, slip), 1)
    found = () if result.rows else result.figures
    assert isinstance(hull.offsets, OffsetsTable)
    station = hull.offsets.stations[slip.index]
    named = bool(found) and (found[0].named.row, found[0].named.column) == (slip.line.title, station)
    cause = found[0].cause if named else None
    return named, cause is not None and cause.words == CAUSES[slip.kind]


def row_outcome(hull: Hull, slip: RowSlip) -> bool:
    """Whether a row that was spoilt is the first thing named, as what it is."""
    found = unfair(hull_with_table(hull, slip.table)).rows
    if not found or found[0].fault != slip.kind:
        return False
    return {found[0].row, found[0].other} - {""} == {slip.title, slip.other} - {""}
