"""The reader of as-built files: what was measured on the boat, in mm, or every fault of the file at once."""

from collections.abc import Iterator, Mapping
from pathlib import Path

from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, place_names
from templates_gen.hull.measured.as_built_schema import AsBuiltTable, HungTable
from templates_gen.hull.measured.file import measured_file
from templates_gen.hull.model import Array, Hull
from templates_gen.hull.problem import Problem, shown_key, spoken
from templates_gen.hull.structure import nearest_word
from templates_gen.units import UnitName

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
    strakes = {key: _strake(key, one, file.scale) for key, one in table.strake.items() if _is_number(key)}
    problems = [
        *_fingerprint_problems(table, hull),
        *_number_problems(hung, hull),
        *(problem for key, one in strakes.items() for problem in _strake_problems(key, one, hull, widths)),
    ]
    if problems:
        raise file.refused(problems)
    in_order = tuple(sorted(strakes.values(), key=lambda strake: strake.number))
    return AsBuilt(in_order, file.fingerprint)


def _is_number(key: str) -> bool:
    return key.isascii() and key.isdigit() and len(key) <= 3 and str(int(key)) == key and int(key) > 0


def _strake(key: str, table: HungTable, scale: float) -> HungStrake:
    return HungStrake(
        int(key),
        {place: value * scale for place, value in table.above_mark.items()},
        None if table.thickness is None else table.thickness * scale,
        None if table.lap is None else table.lap * scale,
        tuple(table.sure),
    )


def _fingerprint_problems(table: AsBuiltTable, hull: Hull) -> Iterator[Problem]:
    if table.hull is not None and table.hull != hull.fingerprint:
        text = "this was measured for another hull file, or for one that has been changed since"
        yield Problem(("hull",), text, f'"{hull.fingerprint}", or no such key', "file")


def _number_problems(strakes: object, hull: Hull) -> Iterator[Problem]:
    """Yield strakes that the hull does not have, and the lowest that is missing below one that is hung."""
    if not isinstance(strakes, dict):
        return
    count = hull.planking.strakes
    if not strakes:
        yield Problem(("strake",), "no strake is hung: there is nothing to build on", "a table [strake.1]", "strake")
    for key in strakes:
        if not _is_number(key) or int(key) > count:
            text = f"there is no strake {shown_key(key)}: they count from 1, the garboard, to {count}"
            yield Problem(("strake", key), text, f"a number from 1 to {count}", "strake", shown_key(key))
    hung = sorted(int(key) for key in strakes if _is_number(key) and int(key) <= count)
    lacking = next((k for k in range(1, hung[-1]) if k not in hung), None) if hung else None
    if lacking is not None:
        above = next(k for k in hung if k > lacking)
        text = f"strake {above} cannot be hung while strake {lacking} below it is not; measure that one too"
        yield Problem(("strake", str(above)), text, f"a table [strake.{lacking}]", "strake", str(above))


def _strake_problems(key: str, strake: HungStrake, hull: Hull, widths: Mapping[str, Array]) -> Iterator[Problem]:
    if strake.number > hull.planking.strakes:
        return
    names = place_names(hull)
    measured = [place for place in strake.above_mark if place in names]
    path = ("strake", key, "above_mark")
    for place in strake.above_mark:
        if place not in names:
            near = nearest_word(place, names)
            text = f"strake {key}: there is no station called {shown_key(place)}"
            yield Problem((*path, place), text, near or "a station's name, fore or aft", "offsets", shown_key(place))
    if len(measured) < FEWEST:
        text = f"strake {key} is measured at {len(measured)} places; give {FEWEST} at least"
        yield Problem(path, text, f"{FEWEST} of {', '.join(names)}", "offsets", str(len(measured)))
    for place in measured:
        yield from _offset_problems((*path, place), strake, place, hull.units, widths[place])
    yield from _sure_problems(key, strake, measured)
    yield from _stock_problems(key, strake, hull)


def _sure_problems(key: str, strake: HungStrake, measured: list[str]) -> Iterator[Problem]:
    """Yield places of `sure` at which nothing was measured."""
    for index, place in enumerate(strake.sure):
        if place not in measured:
            text = f"strake {key}: sure names {shown_key(place)}, where its above_mark has no figure"
            expected = nearest_word(place, measured) or f"one of {', '.join(measured)}"
            yield Problem(("strake", key, "sure", index), text, expected, "offsets", shown_key(place))


def _offset_problems(
    path: tuple[str, ...], strake: HungStrake, place: str, units: UnitName, widths: Array
) -> Iterator[Problem]:
    """Yield a figure that is no less than the width of the strake, or of the one above it."""
    least = float(widths[strake.number - 1 : strake.number + 1].min())
    if abs(strake.above_mark[place]) >= least:
        where = f"the {place} end" if place in ("fore", "aft") else f"mould {place}"
        text = f"strake {strake.number}, {where}: its edge cannot be as far from its mark as a strake is wide"
        yield Problem(path, text, f"less than {spoken(least, units)} either way", "offsets")


def _stock_problems(key: str, strake: HungStrake, hull: Hull) -> Iterator[Problem]:
    drawn = {"thickness": hull.planking.thickness[strake.number - 1], "lap": hull.planking.lap}
    for name, size in drawn.items():
        value = getattr(strake, name)
        if value is not None and not LEAST_SHARE * size <= value <= GREATEST_SHARE * size:
            low, high = (spoken(share * size, hull.units) for share in (LEAST_SHARE, GREATEST_SHARE))
            text = f"strake {key}: the {name} is drawn as {spoken(size, hull.units)}; this is no likely measurement"
            yield Problem(("strake", key, name), text, f"from {low} to {high}", "strake")
    if strake.lap is not None and strake.number == hull.planking.strakes:
        text = f"strake {key} is the sheer strake: no strake laps over it"
        yield Problem(("strake", key, "lap"), text, "no such key", "land")
