"""A strake that hangs, as the as-built file has it: the keys of its table, and what is wrong with it."""

from collections.abc import Iterator, Mapping
from typing import Annotated

from pydantic import BeforeValidator, Field

from templates_gen.about import Hand
from templates_gen.hull.measured.file import MeasuredLength, unknown_place
from templates_gen.hull.model import Array, Hull
from templates_gen.hull.names import land_number, nearest_word, shown_key, tidy
from templates_gen.hull.problem import Problem, spoken
from templates_gen.hull.schema import Table
from templates_gen.units import UnitName

SIDES: tuple[Hand, Hand] = ("port", "starboard")

FEWEST = 3
"""Figures at moulds and ends that each strake hung must have; those left out are taken from the others along its
land."""

HALF_WAY = "half-way "
"""How the names of places between two moulds begin: "half-way 1-2"."""

LEAST_SHARE, GREATEST_SHARE = 0.5, 2.0
"""A thickness or a lap outside these shares of the drawn one is a slip, not a measurement."""


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
        description="a table: for each station by name, fore and aft, and half-ways, how far the upper inside "
        "corner is from its drawn mark along the section, + toward the sheer and - toward the keel",
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
    """One strake as it was hung."""

    port: EdgeTable | None = Field(None, description="a table [strake.3.port]: figures of the port side alone")
    starboard: EdgeTable | None = Field(None, description="a table [strake.3.starboard]: those of the starboard side")
    thickness: MeasuredLength | None = Field(None, description="the real thickness of the strake's stock")
    lap: MeasuredLength | None = Field(
        None, description="the width of the lap set off on the strake for the next one"
    )

    @property
    def edges(self) -> dict[tuple[Hand, ...], EdgeTable]:
        """What was measured: on each side, or for both, under the key ()."""
        sides: dict[tuple[Hand, ...], EdgeTable | None] = {("port",): self.port, ("starboard",): self.starboard}
        given = {side: table for side, table in sides.items() if table is not None}
        return given or {(): self}


class StrakeTable(HungTable):
    """One strake that hangs, and the same once it was taken off and hung again."""

    remade: HungTable | None = Field(
        None,
        description="a table [strake.3.remade]: the same keys for a strake that was taken off and hung again; they "
        "stand in place of the first",
    )

    @property
    def newest(self) -> HungTable:
        """The strake as it hangs now."""
        return self.remade or self

    @property
    def is_only_remade(self) -> bool:
        """Whether nothing is given of the strake as it was hung first."""
        return self.remade is not None and not self.given and self.port is None and self.starboard is None


def number_problems(strakes: object, hull: Hull) -> Iterator[Problem]:
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


def strake_problems(key: str, strake: StrakeTable, hull: Hull, widths: Mapping[str, Array]) -> Iterator[Problem]:
    """Yield what is wrong with one strake, as hung first and as hung again; `widths` by every place, in order."""
    if int(key) > hull.planking.strakes:
        return
    if not strake.is_only_remade:
        yield from _hung_problems(("strake", key), strake, hull, widths)
    if strake.remade is not None:
        yield from _hung_problems(("strake", key, "remade"), strake.remade, hull, widths)


def _hung_problems(
    path: tuple[str, ...], strake: HungTable, hull: Hull, widths: Mapping[str, Array]
) -> Iterator[Problem]:
    """Yield what is wrong with one table: its sides, its places, its figures and its stock."""
    yield from _side_problems(path, strake)
    for side, edge in strake.edges.items():
        yield from _edge_problems((*path, *side), edge, hull, widths)
    yield from _stock_problems(path, strake, hull)


def _side_problems(path: tuple[str, ...], strake: HungTable) -> Iterator[Problem]:
    """Yield that only one side is given, or each side and both."""
    name, table = " ".join(path), ".".join(path)
    given = [side[0] for side in strake.edges if side]
    if len(given) == 1:
        lacking = next(side for side in SIDES if side != given[0])
        text = f"{name} has the {given[0]} side but not the {lacking} side; measure both, or give one for both"
        yield Problem((*path, given[0]), text, f"a table [{table}.{lacking}], too", "offsets")
    if given and strake.sure:
        text = f"{name} has sure for both sides, but figures for each; write sure under the side that it is of"
        yield Problem((*path, "sure"), text, f"sure in [{table}.port] or .starboard", "offsets")
    if given and strake.given:
        text = f"{name} has figures for both sides and for each; give them once"
        yield Problem(path, text, f"[{table}] or [{table}.port] and .starboard", "offsets")


def _edge_problems(
    path: tuple[str, ...], edge: EdgeTable, hull: Hull, widths: Mapping[str, Array]
) -> Iterator[Problem]:
    """Yield what is wrong with one edge, whose table is at `path`: ("strake", number) and perhaps a side."""
    names, number, name = tuple(widths), int(path[1]), " ".join(path)
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
    marks = ("fore", *(station.name for station in hull.stations), "aft")
    count = sum(place in marks for place in measured)
    if count < FEWEST:
        key = next(iter(edge.given))
        besides = "" if count == len(measured) else " besides half-ways"
        text = f"{name} is measured at {count} places{besides}; give at least {FEWEST}"
        yield Problem((*path, key), text, f"{FEWEST} of {', '.join(marks)}", "offsets", str(count))
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
            text = f"{' '.join(path)}: sure names {shown_key(place)}, but {key} has no figure there"
            expected = nearest_word(place, measured) or f"one of {', '.join(measured)}"
            yield Problem((*path, "sure", index), text, expected, "offsets", shown_key(place))


def _offset_problems(path: tuple[str, ...], value: float, least: float, units: UnitName) -> Iterator[Problem]:
    """Yield that a figure is as large as the width of the strake, or of the one above it, `least`."""
    if abs(value) >= least:
        place = path[-1]
        where = f"the {place} end" if place in ("fore", "aft") else f"station {place}"
        where = place if place.startswith(HALF_WAY) else where
        text = f"strake {path[1]}, {where}: its edge is as far from its mark as a strake is wide; measure it again"
        yield Problem(path, text, f"less than {spoken(least, units)} either way", "offsets")


def _stock_problems(path: tuple[str, ...], strake: HungTable, hull: Hull) -> Iterator[Problem]:
    """Yield a thickness or a lap that is far from the drawn one, and a lap on the sheer strake."""
    number, name = int(path[1]), " ".join(path)
    drawn = hull.planking.thickness[number - 1]
    yield from size_problems((*path, "thickness"), f"{name}: its thickness", strake.thickness, drawn, hull.units)
    if strake.lap is not None and number == hull.planking.strakes:
        text = f"{name} is the sheer strake, and no strake laps over it; take lap out"
        yield Problem((*path, "lap"), text, "no such key", "land")
    elif strake.lap is not None:
        drawn = hull.planking.lap_on(number)
        yield from size_problems((*path, "lap"), f"{name}: its lap", strake.lap, drawn, hull.units)


def size_problems(
    path: tuple[str, ...], what: str, value: float | None, drawn: float, units: UnitName
) -> Iterator[Problem]:
    """Yield that a thickness or a lap is far from the drawn one."""
    if value is not None and not LEAST_SHARE * drawn <= value <= GREATEST_SHARE * drawn:
        low, high = (spoken(share * drawn, units) for share in (LEAST_SHARE, GREATEST_SHARE))
        text = f"{what} is far from the drawn {spoken(drawn, units)}; measure it again"
        yield Problem(path, text, f"from {low} to {high}", "strake")
