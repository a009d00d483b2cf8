"""The as-built file: what was measured on the boat while it is planked, in mm, or every fault of the file at once.

A file of two strakes hung, next to the hull file::

    format = 1
    hull = "4f9937e8"       # may be left out
    units = "mm"            # left out: the hull file's
    [strake.1]
    above_mark = { fore = 0.5, 1 = 1.0, 2 = -0.5, 3 = 1, 4 = 0, 5 = 0.5, aft = -1 }
    [strake.2]
    above_mark = { fore = 1, 1 = 0, 2 = 0.5, 3 = 0, 5 = 1, aft = 0 }
    sure = ["2"]            # measured again, and right; left out: a figure that looks like a slip is not used
    thickness = 9.2         # left out: as drawn
    lap = 20                # left out: as drawn
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from templates_gen.hull.measured.file import MeasuredUnits, measured_file, other_hull_problems, unknown_place
from templates_gen.hull.measured.rounding import step_of
from templates_gen.hull.model import Array, Hull
from templates_gen.hull.names import land_number, nearest_word, shown_key, tidy
from templates_gen.hull.problem import Problem, spoken
from templates_gen.hull.schema import Length, Table
from templates_gen.hull.text import SourceFile
from templates_gen.units import UnitName


@dataclass(frozen=True)
class HungStrake:
    """One strake that has been hung.

    Attributes
    ----------
    number : int
        From 1, the garboard.
    above_mark : dict of str to float
        By station name and "fore"/"aft": how far its upper inside corner is above its mark along the section
        (at a stem along the rabbet line, on a transom on its outer face), mm; negative where it is below.
    thickness : float or None
        Of its stock as measured, mm; None: as drawn.
    lap : float or None
        Width of the lap that was set off on it for the next strake, mm; None: as drawn.
    sure : tuple of str
        Places whose figures were measured again and are right, however odd they look.
    """

    number: int
    above_mark: dict[str, float]
    thickness: float | None = None
    lap: float | None = None
    sure: tuple[str, ...] = ()


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
    """

    strakes: tuple[HungStrake, ...] = field(default=())
    fingerprint: str = ""
    source: SourceFile | None = field(default=None, compare=False, repr=False)
    step: float = 0.5

    @property
    def hung(self) -> int:
        """The number of the last strake hung."""
        return len(self.strakes)


def place_names(hull: Hull) -> tuple[str, ...]:
    """Return where a strake is measured: "fore", every station by name, "aft"."""
    return ("fore", *(station.name for station in hull.stations), "aft")


def _place_name(name: object) -> object:
    """Return the name of a place as a text; the number of a mould needs no quotes."""
    return tidy(name) if isinstance(name, str) else str(name) if type(name) is int else name


PlaceName = Annotated[str, BeforeValidator(_place_name)]


class HungTable(Table):
    """One strake that has been hung."""

    above_mark: dict[str, Length] = Field(
        description="a table: for each station by name, fore and aft, how far the upper inside corner is above "
        "(+) or below (-) its mark, along the section"
    )
    sure: list[PlaceName] = Field(
        default=[], description='a list of places whose odd figures are right, such as ["3", "aft"]'
    )
    thickness: Length | None = Field(None, description="the real thickness of the strake's stock")
    lap: Length | None = Field(None, description="the width of the lap set off on the strake for the next one")


class AsBuiltTable(Table):
    """The whole file."""

    format: Literal[1] = Field(description="1")
    hull: str | None = Field(None, description='the eight digits after "drawing" on the sheets, in quotes')
    units: MeasuredUnits | None = Field(
        None, description='"mm", "in", "ft-in-8" or "eighths" (of an inch, as plain numbers)'
    )
    strake: dict[str, HungTable] = Field(description="a table [strake.1] and so on for each strake hung")


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
    strakes = {key: _strake(key, one, file.scale) for key, one in table.strake.items() if land_number(key)}
    problems = [
        *other_hull_problems(table.hull, hull),
        *_number_problems(hung, hull),
        *(problem for key, one in strakes.items() for problem in _strake_problems(key, one, hull, widths)),
    ]
    if problems:
        raise file.refused(problems)
    in_order = tuple(sorted(strakes.values(), key=lambda strake: strake.number))
    figures = (figure for strake in in_order for figure in strake.above_mark.values())
    return AsBuilt(in_order, file.source.fingerprint, file.source, step_of(figures, table.units or hull.units))


def _strake(key: str, table: HungTable, scale: float) -> HungStrake:
    return HungStrake(
        int(key),
        {place: value * scale for place, value in table.above_mark.items()},
        None if table.thickness is None else table.thickness * scale,
        None if table.lap is None else table.lap * scale,
        tuple(table.sure),
    )


def _number_problems(strakes: object, hull: Hull) -> Iterator[Problem]:
    """Yield strakes that the hull does not have, and the lowest that is missing below one that is hung."""
    if not isinstance(strakes, dict):
        return
    count = hull.planking.strakes
    if not strakes:
        text = "no strake is hung yet, so there is nothing to build on; add what was measured on strake 1"
        yield Problem(("strake",), text, "a table [strake.1]", "strake")
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


def _strake_problems(key: str, strake: HungStrake, hull: Hull, widths: Mapping[str, Array]) -> Iterator[Problem]:
    """Yield what is wrong with one strake: its places, its figures and its stock."""
    if strake.number > hull.planking.strakes:
        return
    names = place_names(hull)
    measured = [place for place in strake.above_mark if place in names]
    path = ("strake", key, "above_mark")
    for place in strake.above_mark:
        if place not in names:
            yield unknown_place((*path, place), f"strake {key}:", place, names, "offsets")
    if len(measured) < FEWEST:
        text = f"strake {key} is measured at {len(measured)} places; give at least {FEWEST}"
        yield Problem(path, text, f"{FEWEST} of {', '.join(names)}", "offsets", str(len(measured)))
    for place in measured:
        yield from _offset_problems((*path, place), strake, place, hull.units, widths[place])
    yield from _sure_problems(key, strake, measured)
    yield from _stock_problems(key, strake, hull)


def _sure_problems(key: str, strake: HungStrake, measured: list[str]) -> Iterator[Problem]:
    """Yield places of `sure` at which nothing was measured."""
    for index, place in enumerate(strake.sure):
        if place not in measured:
            text = f"strake {key}: sure names {shown_key(place)}, but above_mark has no figure there"
            expected = nearest_word(place, measured) or f"one of {', '.join(measured)}"
            yield Problem(("strake", key, "sure", index), text, expected, "offsets", shown_key(place))


def _offset_problems(
    path: tuple[str, ...], strake: HungStrake, place: str, units: UnitName, widths: Array
) -> Iterator[Problem]:
    """Yield that a figure is as large as the width of the strake, or of the one above it."""
    least = float(widths[strake.number - 1 : strake.number + 1].min())
    if abs(strake.above_mark[place]) >= least:
        where = f"the {place} end" if place in ("fore", "aft") else f"mould {place}"
        text = f"strake {strake.number}, {where}: its edge is as far from its mark as a strake is wide"
        yield Problem(path, text, f"less than {spoken(least, units)} either way", "offsets")


def _stock_problems(key: str, strake: HungStrake, hull: Hull) -> Iterator[Problem]:
    """Yield a thickness or a lap that is far from the drawn one, and a lap on the sheer strake."""
    drawn = {"thickness": hull.planking.thickness[strake.number - 1], "lap": hull.planking.lap}
    for name, size in drawn.items():
        value = getattr(strake, name)
        if value is not None and not LEAST_SHARE * size <= value <= GREATEST_SHARE * size:
            low, high = (spoken(share * size, hull.units) for share in (LEAST_SHARE, GREATEST_SHARE))
            text = f"strake {key}: its {name} is far from the drawn {spoken(size, hull.units)}; measure it again"
            yield Problem(("strake", key, name), text, f"from {low} to {high}", "strake")
    if strake.lap is not None and strake.number == hull.planking.strakes:
        text = f"strake {key} is the sheer strake, and no strake laps over it; take lap out"
        yield Problem(("strake", key, "lap"), text, "no such key", "land")
