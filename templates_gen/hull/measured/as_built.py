"""The as-built file: what was measured on the boat while it is planked, in mm, or every fault of the file at once.

A file of three strakes hung, next to the hull file::

    format = 1
    hull = "4f9937e8"       # may be left out
    units = "mm"            # left out: the hull file's
    stock = 9.3             # thickness of the stock for what is still to be hung; left out: as drawn
    [strake.1]
    toward_sheer = { fore = 0.5, 1 = 1.0, "half-way 1-2" = 0.5, 3 = 1, 4 = 0, 5 = 0.5 }
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
    [strake.1.remade]       # taken off and hung again: this stands in place of [strake.1]
    above_mark = { fore = 0, 2 = 0.5, 4 = 0, aft = 0 }
    [mould.3]               # a mould that stands out of its place; `moulds` has its keys
    out = 2
    [end.aft]               # an end of the boat that does: a stem or a transom, with the same keys
    toward_sheer = 3
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal

from pydantic import Field

from templates_gen.about import Hand, all_places
from templates_gen.hull.lengths import step_of
from templates_gen.hull.measured.file import MeasuredLength, measured_file, other_hull_problems
from templates_gen.hull.measured.hung_strakes import (
    SIDES,
    HungTable,
    StrakeTable,
    number_problems,
    size_problems,
    strake_problems,
)
from templates_gen.hull.measured.moulds import (
    MouldTable,
    StandingMould,
    end_problems,
    mould_problems,
    standing_mould,
)
from templates_gen.hull.model import Array, Hull, Midship, Stem
from templates_gen.hull.names import land_number
from templates_gen.hull.problem import Problem
from templates_gen.hull.schema import Table
from templates_gen.hull.text import SourceFile
from templates_gen.units import MeasuredUnits
from templates_gen.words import written

__all__ = ["SIDES", "AsBuilt", "Edge", "HungStrake", "Side", "half_way_names", "place_names", "read_as_built"]

Side = Hand


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
        (at a stem along the rabbet line, on a transom on its outer face), mm; negative where it is below. By
        "half-way 1-2": above a batten along the drawn marks. Where both sides were measured, the mean of the two.
    thickness : float or None
        Of its stock as measured, mm; None: as drawn.
    lap : float or None
        Width of the lap that was set off on it for the next strake, mm; None: as drawn.
    sure : tuple of str
        Places whose figures were measured again and are right, however odd they look.
    sides : dict of Side to Edge
        What was measured on each side; empty where one measuring is for both.
    is_remade : bool
        Whether it was taken off and hung again; this is then what was measured last.
    """

    number: int
    above_mark: dict[str, float]
    thickness: float | None = None
    lap: float | None = None
    sure: tuple[str, ...] = ()
    sides: dict[Side, Edge] = field(default_factory=dict)
    is_remade: bool = False


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
    moulds : tuple of StandingMould
        Those that stand out of their places, and the ends of the boat that do, by "fore" and "aft".
    table : AsBuiltTable or None
        The file as it was written, with what was measured before a strake was hung again; lengths in mm.
    """

    strakes: tuple[HungStrake, ...] = field(default=())
    fingerprint: str = ""
    source: SourceFile | None = field(default=None, compare=False, repr=False)
    step: float = 0.5
    stock: float | None = None
    side: Side | None = None
    moulds: tuple[StandingMould, ...] = ()
    table: "AsBuiltTable | None" = field(default=None, compare=False, repr=False)

    @property
    def hung(self) -> int:
        """The number of the last strake hung."""
        return len(self.strakes)

    @property
    def has_sides(self) -> bool:
        """Whether any strake or mould was measured on each side by itself."""
        return any(strake.sides for strake in self.strakes) or any(mould.has_sides for mould in self.moulds)

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


def half_way_names(hull: Hull) -> tuple[str, ...]:
    """Return the places between: "half-way fore-1", "half-way 1-2" …; "" for one that is a station's own name."""
    stations = [station.name for station in hull.stations]
    names = (written(place) for place in all_places(stations) if place.kind == "half-way")
    return tuple("" if name in stations else name for name in names)


def place_titles(hull: Hull) -> tuple[str, ...]:
    """Return what a builder calls each place of measuring: "stem", "mould 2", "station 3" without one, "transom"."""
    ends = [_end_title(end) for end in (hull.fore, hull.aft)]
    if ends[1] == "stem":
        ends[1] = "sternpost"
    elif ends[0] == ends[1]:
        ends = ["fore transom", "after transom"]
    between = (place_title(hull, station.name) for station in hull.stations)
    return (ends[0], *between, ends[1])


def place_title(hull: Hull, name: str) -> str:
    """Return a place by its name in a file: "mould 2", "station 3" without one, "half-way 1-2", "fore end"."""
    if name in ("fore", "aft"):
        return f"{name} end"
    has_mould = {station.name: station.mould for station in hull.stations}
    return f"{'mould' if has_mould[name] else 'station'} {name}" if name in has_mould else name


def standing_name(hull: Hull, place: int) -> str:
    """Return what is out of its place, by its place counted from 0 at the fore end: "the stem", "mould 2"."""
    title = place_titles(hull)[place]
    return f"the {title}" if place_names(hull)[place] in ("fore", "aft") else title


def _end_title(end: object) -> str:
    if isinstance(end, Stem):
        return "stem"
    return "midship end" if isinstance(end, Midship) else "transom"


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
    strake: dict[str, StrakeTable] = Field({}, description="a table [strake.1] and so on for each strake hung")
    mould: dict[str, MouldTable] = Field(
        {}, description="a table [mould.3] for each mould that stands out of its place"
    )
    end: dict[str, MouldTable] = Field(
        {}, description="a table [end.fore] or [end.aft] for a stem or transom that stands out of its place"
    )


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
        raise file.refused([*file.problems, *number_problems(hung, hull)])
    tables, every = {key: one for key, one in table.strake.items() if land_number(key)}, _every_width(widths, hull)
    problems = [
        *other_hull_problems(table.hull, hull),
        *size_problems(("stock",), "the stock", table.stock, max(hull.planking.thickness), hull.units),
        *_nothing_problems(table),
        *number_problems(hung, hull),
        *(problem for key, one in tables.items() for problem in strake_problems(key, one, hull, every)),
        *(problem for key, mould in table.mould.items() for problem in mould_problems(key, mould, hull)),
        *(problem for key, end in table.end.items() for problem in end_problems(key, end, hull)),
    ]
    if problems:
        raise file.refused(problems)
    strakes = sorted((_strake(int(key), one) for key, one in tables.items()), key=lambda strake: strake.number)
    edges = (edge for one in tables.values() for edge in one.newest.edges.values())
    step = step_of((figure for edge in edges for figure in edge.figures.values()), file.units)
    moulds = tuple(standing_mould(key, one) for key, one in (table.mould | table.end).items())
    return AsBuilt(tuple(strakes), file.source.fingerprint, file.source, step, table.stock, None, moulds, table)


def _every_width(widths: Mapping[str, Array], hull: Hull) -> dict[str, Array]:
    """The strakes' widths at every place that a figure may be given for, fore to aft; half-way the mean of both."""
    stops, between = place_names(hull), half_way_names(hull)
    every = {stops[0]: widths[stops[0]]}
    for half_way, before, after in zip(between, stops, stops[1:], strict=False):
        if half_way:
            every[half_way] = (widths[before] + widths[after]) / 2.0
        every[after] = widths[after]
    return every


def _strake(number: int, table: StrakeTable) -> HungStrake:
    """The strake as it hangs now."""
    newest: HungTable = table.newest
    sides = {side[0]: Edge(one.figures, tuple(one.sure)) for side, one in newest.edges.items() if side}
    both = _mean(list(sides.values())) if sides else Edge(newest.figures, tuple(newest.sure))
    is_remade = table.remade is not None
    return HungStrake(number, both.above_mark, newest.thickness, newest.lap, both.sure, sides, is_remade)


def _mean(edges: list[Edge]) -> Edge:
    """Both sides as one: the mean where both were measured; sure is what is sure on a side."""
    given = {place: [one.above_mark[place] for one in edges if place in one.above_mark]
             for edge in edges for place in edge.above_mark}  # fmt: skip
    sure = {place: None for edge in edges for place in edge.sure}
    return Edge({place: sum(figures) / len(figures) for place, figures in given.items()}, tuple(sure))


def _nothing_problems(table: AsBuiltTable) -> Iterator[Problem]:
    """Yield that a file says nothing: no strake hung, no mould, no stock for those to come, no drawing."""
    if not table.strake and not table.mould and not table.end and table.stock is None and table.hull is None:
        text = "the file has no strake that is hung, and no stock; add what was measured on strake 1, or the stock"
        yield Problem(("strake",), text, "a table [strake.1], or stock = …", "strake")
