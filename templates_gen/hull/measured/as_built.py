"""The as-built file: what was measured on the boat while it is planked, in mm, or every fault of the file at once.

A file of three strakes hung, next to the hull file::

    format = 1
    hull = "4f9937e8"       # may be left out
    units = "mm"            # left out: the hull file's
    stock = 9.3             # thickness of the stock for what is still to be hung; left out: as drawn
    [strake.1]
    toward_sheer = { fore = 0.5, 1 = 1.0, 3 = 1, 4 = 0, 5 = 0.5 }
    toward_keel = { 2 = 0.5, aft = 1 }
    [strake.2]
    above_mark = { fore = 1, 1 = 0, 2 = 0.5, 3 = 0, 5 = 1, aft = 0 }    # the same with signs: + toward the sheer
    sure = ["2"]            # measured again, and right; left out: a figure that looks like a slip is not used
    thickness = 9.2         # left out: as drawn
    lap = 20                # left out: as drawn
    [strake.3.port]         # each side by itself
    above_mark = { fore = 1, 2 = 0.5, 4 = 1, aft = 0 }
    [strake.3.starboard]
    above_mark = { fore = 0, 2 = -0.5, 4 = -1, aft = 0 }
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from templates_gen.hull.measured.file import MeasuredLength, measured_file, other_hull_problems, unknown_place
from templates_gen.hull.measured.rounding import step_of
from templates_gen.hull.model import Array, Hull, Midship, Stem
from templates_gen.hull.names import land_number, nearest_word, shown_key, tidy
from templates_gen.hull.problem import Problem, spoken
from templates_gen.hull.schema import Table
from templates_gen.hull.text import SourceFile
from templates_gen.units import MeasuredUnits, UnitName

Side = Literal["port", "starboard"]
SIDES: tuple[Side, Side] = ("port", "starboard")


@dataclass(frozen=True)
class Edge:
    """What was measured on one side of a strake: figures above its marks, as in `HungStrake`, and `sure` places."""

    above_mark: dict[str, float]
    sure: tuple[str, ...] = ()


@dataclass(frozen=True)
class HungStrake:
    """One strake that has been hung.

    Attributes
    ----------
    number : int
        From 1, the garboard.
    above_mark : dict of str to float
        By station name and "fore"/"aft": how far its upper inside corner is above its drawn mark along the section
        (at a stem along the rabbet line, on a transom on its outer face), mm; negative where it is below. Where both
        sides were measured, the mean of the two.
    thickness : float or None
        Of its stock as measured, mm; None: as drawn.
    lap : float or None
        Width of the lap that was set off on it for the next strake, mm; None: as drawn.
    sure : tuple of str
        Places whose figures were measured again and are right, however odd they look.
    sides : dict of Side to Edge
        What was measured on each side; empty where one measuring is for both.
    """

    number: int
    above_mark: dict[str, float]
    thickness: float | None = None
    lap: float | None = None
    sure: tuple[str, ...] = ()
    sides: dict[Side, Edge] = field(default_factory=dict)


@dataclass(frozen=True)
class AsBuilt:
    """Every strake hung so far, from the garboard up, none left out.

    Attributes
    ----------
    strakes : tuple of HungStrake
    fingerprint : str
        Eight hexadecimal digits of the file's SHA-256.
    source : SourceFile or None
        The file as it was read, which knows the line of each of its keys.
    step : float
        What the figures are rounded to, mm.
    stock : float or None
        Thickness of the stock for the strakes that are still to be hung, mm; None: as drawn.
    side : Side or None
        The side that this is of; None: both.
    """

    strakes: tuple[HungStrake, ...] = field(default=())
    fingerprint: str = ""
    source: SourceFile | None = field(default=None, compare=False, repr=False)
    step: float = 0.5
    stock: float | None = None
    side: Side | None = None

    @property
    def hung(self) -> int:
        """The number of the last strake hung."""
        return len(self.strakes)

    @property
    def has_sides(self) -> bool:
        """Whether any strake was measured on each side by itself."""
        return any(strake.sides for strake in self.strakes)

    def on(self, side: Side) -> "AsBuilt":
        """Return what was measured on one side, with what was measured for both."""
        strakes = (
            replace(one, above_mark=one.sides[side].above_mark, sure=one.sides[side].sure, sides={})
            if one.sides
            else one
            for one in self.strakes
        )
        return replace(self, strakes=tuple(strakes), side=side)


def place_names(hull: Hull) -> tuple[str, ...]:
    """Return where a strake is measured: "fore", every station by name, "aft"."""
    return ("fore", *(station.name for station in hull.stations), "aft")


def place_titles(hull: Hull) -> tuple[str, ...]:
    """Return what a builder calls each place of measuring: "stem", "mould 2", "transom"."""
    ends = [_end_title(end) for end in (hull.fore, hull.aft)]
    if ends[1] == "stem":
        ends[1] = "sternpost"
    elif ends[0] == ends[1]:
        ends = ["fore transom", "after transom"]
    return (ends[0], *(f"mould {station.name}" for station in hull.stations), ends[1])


def _end_title(end: object) -> str:
    if isinstance(end, Stem):
        return "stem"
    return "midship end" if isinstance(end, Midship) else "transom"


def _place_name(name: object) -> object:
    """Return the name of a place as a text; the number of a mould needs no quotes."""
    return tidy(name) if isinstance(name, str) else str(name) if type(name) is int else name


PlaceName = Annotated[str, BeforeValidator(_place_name)]


DIRECTIONS = {"above_mark": 1.0, "toward_sheer": 1.0, "toward_keel": -1.0}
"""The keys under which figures are given, and their sign where it counts up toward the sheer."""


class EdgeTable(Table):
    """What was measured along an upper edge."""

    above_mark: dict[str, MeasuredLength] | None = Field(
        None,
        description="a table: for each station by name, fore and aft, how far the upper inside corner is from its "
        "drawn mark along the section, + toward the sheer and - toward the keel",
    )
    toward_sheer: dict[str, MeasuredLength] | None = Field(
        None, description="a table: the same for places where the corner is on the sheer's side of its mark"
    )
    toward_keel: dict[str, MeasuredLength] | None = Field(
        None, description="a table: the same for places where the corner is on the keel's side of its mark"
    )
    sure: list[PlaceName] = Field(
        default=[], description='a list of places whose odd figures are right, such as ["3", "aft"]'
    )

    @property
    def given(self) -> dict[str, dict[str, float]]:
        """The tables of figures that are given, by their keys."""
        tables = {"above_mark": self.above_mark, "toward_sheer": self.toward_sheer, "toward_keel": self.toward_keel}
        return {key: table for key, table in tables.items() if table is not None}

    @property
    def figures(self) -> dict[str, float]:
        """Every figure by its place, + toward the sheer."""
        tables = ((table, DIRECTIONS[key]) for key, table in self.given.items())
        return {place: sign * value for table, sign in tables for place, value in table.items()}


class HungTable(EdgeTable):
    """One strake that has been hung."""

    port: EdgeTable | None = Field(None, description="a table [strake.3.port]: figures of the port side alone")
    starboard: EdgeTable | None = Field(None, description="a table [strake.3.starboard]: those of the starboard side")
    thickness: MeasuredLength | None = Field(None, description="the real thickness of the strake's stock")
    lap: MeasuredLength | None = Field(
        None, description="the width of the lap set off on the strake for the next one"
    )

    @property
    def edges(self) -> dict[tuple[Side, ...], EdgeTable]:
        """What was measured: on each side, or for both, under the key ()."""
        sides: dict[tuple[Side, ...], EdgeTable | None] = {("port",): self.port, ("starboard",): self.starboard}
        given = {side: table for side, table in sides.items() if table is not None}
        return given or {(): self}


class AsBuiltTable(Table):
    """The whole file."""

    format: Literal[1] = Field(description="1")
    hull: str | None = Field(None, description='the eight digits after "drawing" on the sheets, in quotes')
    units: MeasuredUnits | None = Field(
        None, description='"mm", "in", "ft-in-8" or "eighths" (of an inch, as plain numbers)'
    )
    stock: MeasuredLength | None = Field(
        None, description="the real thickness of the stock for the strakes that are still to be hung"
    )
    strake: dict[str, HungTable] = Field({}, description="a table [strake.1] and so on for each strake hung")


FEWEST = 3
"""Figures that each strake hung must have; those left out are taken from the others along its land."""

LEAST_SHARE, GREATEST_SHARE = 0.5, 2.0
"""A thickness or a lap outside these shares of the drawn one is a slip, not a measurement."""


def read_as_built(path: Path, hull: Hull, widths: Mapping[str, Array]) -> AsBuilt:
    """Return what a file says was measured on a boat, in mm.

    Parameters
    ----------
    path : Path
        An as-built file, TOML in UTF-8.
    hull : Hull
        The hull as drawn.
    widths : mapping of str to Array, shape (N,)
        By place ("fore", every station, "aft"): each strake's width between the drawn marks, mm.

    Raises
    ------
    HullFileError
        With every fault of the file, in the order of their places in it.
    """
    file = measured_file(path, AsBuiltTable, hull.units)
    table, hung = file.table, file.raw.get("strake")
    if table is None:
        raise file.refused([*file.problems, *_number_problems(hung, hull)])
    tables = {key: one for key, one in table.strake.items() if land_number(key)}
    problems = [
        *other_hull_problems(table.hull, hull),
        *_size_problems(("stock",), "the stock", table.stock, max(hull.planking.thickness), hull.units),
        *_nothing_problems(table),
        *_number_problems(hung, hull),
        *(problem for key, one in tables.items() for problem in _strake_problems(key, one, hull, widths)),
    ]
    if problems:
        raise file.refused(problems)
    strakes = sorted((_strake(int(key), one) for key, one in tables.items()), key=lambda strake: strake.number)
    figures = (f for one in tables.values() for edge in one.edges.values() for f in edge.figures.values())
    step = step_of(figures, file.units)
    return AsBuilt(tuple(strakes), file.source.fingerprint, file.source, step, table.stock)


def _strake(number: int, table: HungTable) -> HungStrake:
    sides = {side[0]: Edge(one.figures, tuple(one.sure)) for side, one in table.edges.items() if side}
    both = _mean(list(sides.values())) if sides else Edge(table.figures, tuple(table.sure))
    return HungStrake(number, both.above_mark, table.thickness, table.lap, both.sure, sides)


def _mean(edges: list[Edge]) -> Edge:
    """Both sides as one: the mean where both were measured; sure is what is sure on a side."""
    given = {place: [one.above_mark[place] for one in edges if place in one.above_mark]
             for edge in edges for place in edge.above_mark}  # fmt: skip
    sure = {place: None for edge in edges for place in edge.sure}
    return Edge({place: sum(figures) / len(figures) for place, figures in given.items()}, tuple(sure))


def _nothing_problems(table: AsBuiltTable) -> Iterator[Problem]:
    """Yield that a file says nothing of the boat: neither a strake hung nor the stock for those to come."""
    if not table.strake and table.stock is None:
        text = "the file has no strake that is hung, and no stock; add what was measured on strake 1, or the stock"
        yield Problem(("strake",), text, "a table [strake.1], or stock = …", "strake")


def _number_problems(strakes: object, hull: Hull) -> Iterator[Problem]:
    """Yield strakes that the hull does not have, and the lowest that is missing below one that is hung."""
    if not isinstance(strakes, dict):
        return
    count = hull.planking.strakes
    for key in strakes:
        if (land_number(key) or count + 1) > count:
            text = f"there is no strake {shown_key(key)}: strakes are numbered from 1, the garboard, to {count}"
            yield Problem(("strake", key), text, f"a number from 1 to {count}", "strake", shown_key(key))
    hung = sorted(number for key in strakes if (number := land_number(key) or count + 1) <= count)
    lacking = next((k for k in range(1, hung[-1]) if k not in hung), None) if hung else None
    if lacking is not None:
        above = next(k for k in hung if k > lacking)
        text = f"strake {above} is given as hung, but strake {lacking} below it is not; measure strake {lacking} too"
        yield Problem(("strake", str(above)), text, f"a table [strake.{lacking}]", "strake", str(above))


def _strake_problems(key: str, strake: HungTable, hull: Hull, widths: Mapping[str, Array]) -> Iterator[Problem]:
    """Yield what is wrong with one strake: its sides, its places, its figures and its stock."""
    if int(key) > hull.planking.strakes:
        return
    yield from _side_problems(key, strake)
    for side, edge in strake.edges.items():
        yield from _edge_problems(("strake", key, *side), edge, hull, widths)
    yield from _stock_problems(key, strake, hull)


def _side_problems(key: str, strake: HungTable) -> Iterator[Problem]:
    """Yield that only one side is given, or each side and both."""
    given = [side[0] for side in strake.edges if side]
    if len(given) == 1:
        lacking = next(side for side in SIDES if side != given[0])
        text = f"strake {key} has the {given[0]} side but not the {lacking} side; measure both, or give one for both"
        yield Problem(("strake", key, given[0]), text, f"a table [strake.{key}.{lacking}], too", "offsets")
    if given and strake.sure:
        text = f"strake {key} has sure for both sides, but figures for each; write sure under the side that it is of"
        yield Problem(("strake", key, "sure"), text, f"sure in [strake.{key}.port] or .starboard", "offsets")
    if given and strake.given:
        text = f"strake {key} has figures for both sides and for each; give them once"
        yield Problem(("strake", key), text, f"[strake.{key}] or [strake.{key}.port] and .starboard", "offsets")


def _edge_problems(
    path: tuple[str, ...], edge: EdgeTable, hull: Hull, widths: Mapping[str, Array]
) -> Iterator[Problem]:
    """Yield what is wrong with one edge, whose table is at `path`: ("strake", number) and perhaps a side."""
    names, number, name = place_names(hull), int(path[1]), " ".join(("strake", *path[1:]))
    if not edge.given:
        text = f"[{'.'.join(path)}] has no above_mark, toward_sheer or toward_keel; add one"
        yield Problem((*path, "above_mark"), text, EdgeTable.model_fields["above_mark"].description or "",
                      is_missing=True)  # fmt: skip
        return
    for key, table in edge.given.items():
        for place in table:
            if place not in names:
                yield unknown_place((*path, key, place), f"{name}:", place, names, "offsets")
    yield from _direction_problems(path, edge, name)
    measured = {place: value for place, value in edge.figures.items() if place in names}
    if len(measured) < FEWEST:
        key = next(iter(edge.given))
        text = f"{name} is measured at {len(measured)} places; give at least {FEWEST}"
        yield Problem((*path, key), text, f"{FEWEST} of {', '.join(names)}", "offsets", str(len(measured)))
    for place, value in measured.items():
        key = next(key for key, table in edge.given.items() if place in table)
        least = float(widths[place][number - 1 : number + 1].min())
        yield from _offset_problems((*path, key, place), value, least, hull.units)
    yield from _sure_problems(path, edge, list(measured))


def _direction_problems(path: tuple[str, ...], edge: EdgeTable, name: str) -> Iterator[Problem]:
    """Yield places that are given twice, and figures with a minus under a key that gives the direction itself."""
    seen: dict[str, str] = {}
    for key, table in edge.given.items():
        for place, value in table.items():
            if place in seen:
                text = f"{name}: place {shown_key(place)} is under {seen[place]} and under {key}; take one out"
                yield Problem((*path, key, place), text, "each place once", "offsets")
            seen[place] = key
            if value < 0.0 and key != "above_mark":
                other = "toward_keel" if key == "toward_sheer" else "toward_sheer"
                text = f"{name}: a figure under {key} has a minus; write it under {other} without the minus"
                yield Problem((*path, key, place), text, "0 or more", "offsets")


def _sure_problems(path: tuple[str, ...], edge: EdgeTable, measured: list[str]) -> Iterator[Problem]:
    """Yield places of `sure` at which nothing was measured."""
    for index, place in enumerate(edge.sure):
        if place not in measured:
            key = next(iter(edge.given))
            text = f"strake {path[1]}: sure names {shown_key(place)}, but {key} has no figure there"
            expected = nearest_word(place, measured) or f"one of {', '.join(measured)}"
            yield Problem((*path, "sure", index), text, expected, "offsets", shown_key(place))


def _offset_problems(path: tuple[str, ...], value: float, least: float, units: UnitName) -> Iterator[Problem]:
    """Yield that a figure is as large as the width of the strake, or of the one above it, `least`."""
    if abs(value) >= least:
        place = path[-1]
        where = f"the {place} end" if place in ("fore", "aft") else f"mould {place}"
        text = f"strake {path[1]}, {where}: its edge is as far from its mark as a strake is wide"
        yield Problem(path, text, f"less than {spoken(least, units)} either way", "offsets")


def _stock_problems(key: str, strake: HungTable, hull: Hull) -> Iterator[Problem]:
    """Yield a thickness or a lap that is far from the drawn one, and a lap on the sheer strake."""
    number = int(key)
    drawn = hull.planking.thickness[number - 1]
    yield from _size_problems(
        ("strake", key, "thickness"), f"strake {key}: its thickness", strake.thickness, drawn, hull.units
    )
    if strake.lap is not None and number == hull.planking.strakes:
        text = f"strake {key} is the sheer strake, and no strake laps over it; take lap out"
        yield Problem(("strake", key, "lap"), text, "no such key", "land")
    elif strake.lap is not None:
        drawn = hull.planking.lap_on(number)
        yield from _size_problems(("strake", key, "lap"), f"strake {key}: its lap", strake.lap, drawn, hull.units)


def _size_problems(
    path: tuple[str, ...], what: str, value: float | None, drawn: float, units: UnitName
) -> Iterator[Problem]:
    """Yield that a thickness or a lap is far from the drawn one."""
    if value is not None and not LEAST_SHARE * drawn <= value <= GREATEST_SHARE * drawn:
        low, high = (spoken(share * drawn, units) for share in (LEAST_SHARE, GREATEST_SHARE))
        text = f"{what} is far from the drawn {spoken(drawn, units)}; measure it again"
        yield Problem(path, text, f"from {low} to {high}", "strake")
