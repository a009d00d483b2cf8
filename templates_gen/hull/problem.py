"""Problems of a file by their keys, and the same as faults with line and value, in the order of the file.

What is wrong with a file's tables, keys and types: pydantic's errors as problems, for every file alike.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from types import NoneType, UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, Tag, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from templates_gen.about import Hand
from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.names import hint, nearest_word, shown_key
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.schema import INSIDE_KINDS, TAG, EvenTable, RowsTable
from templates_gen.hull.text import SourceFile, shortened
from templates_gen.units import MeasuredUnits, UnitName, format_length


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong.

    Attributes
    ----------
    path : KeyPath
        The key that it is about; lists count from 0. If the file lacks it, the table that should hold it is reported.
    text : str
        What is wrong and what to do about it.
    expected : str
        What was expected there.
    about : str
        A word of the trade, as in errors.Fault.
    value : str or None
        The value in question, if it is not the one at `path` in the file.
    is_missing : bool
        Whether the file lacks the key.
    """

    path: KeyPath
    text: str
    expected: str = ""
    about: str = "file"
    value: str | None = None
    is_missing: bool = False


def spelled(path: KeyPath) -> str:
    """Return a key path as a builder counts: ``station[2].section[4][1]``, every number from 1."""
    words = ""
    for part in path:
        words += f"[{part + 1}]" if isinstance(part, int) else f".{shown_key(part)}" if words else shown_key(part)
    return words


def spoken(length: float, units: UnitName) -> str:
    """Return a length in mm as messages give it: in the file's units, with the unit."""
    if units == "mm":
        return f"{round(length, 2):g} mm"
    return f"{format_length(length, units)} in" if units == "in" else format_length(length, units)


def located_faults(problems: Iterable[Problem], source: SourceFile) -> list[tuple[Problem, Fault]]:
    """Return each problem with its fault, in the order of their places in the file, which is sound TOML."""
    located = [(source.nearest_place(problem.path), problem) for problem in problems]
    located.sort(key=lambda pair: (pair[0].line, pair[0].start))
    return [(problem, _fault(problem, source, place.line)) for place, problem in located]


def _fault(problem: Problem, source: SourceFile, line: int) -> Fault:
    """Return a problem as a fault of its file."""
    return Fault(
        text=problem.text,
        key=spelled(problem.path),
        value=_value(problem, source),
        expected=problem.expected,
        about=problem.about,
        file=source.name,
        line=line,
    )


def _value(problem: Problem, source: SourceFile) -> str:
    """Return the value as written in the file, unless the problem brings its own."""
    if problem.value is not None:
        return problem.value
    place = source.places.get(problem.path)
    return shortened(source.text[place.start : place.stop]) if place is not None else ""


def refused(problems: Iterable[Problem], source: SourceFile) -> HullFileError:
    """Return the error of a file that has problems."""
    return HullFileError([fault for _, fault in located_faults(problems, source)])


Table = TypeVar("Table", bound=BaseModel)

A_LENGTH = {
    "mm": "a number of mm",
    "in": "a number of inches",
    "ft-in-8": 'text such as "2-3-4"',
    "eighths": "a number of eighths of an inch",
}
MANY = 10
"""As many lengths of the wrong kind are one mistake, that of the file's units."""

_COUNTS = {"too_short": "few", "too_long": "many"}
_VARIANTS = {
    ("fore", "kind"): '"stem" or "transom"',
    ("aft", "kind"): '"stem", "transom" or "midship"',
    ("lands", "by"): '"even", "girth" or "offsets"',
    ("inside", "kind"): INSIDE_KINDS,
}


def checked_table(
    kind: type[Table], raw: dict[str, Any], units: MeasuredUnits | None
) -> tuple[Table | None, list[Problem]]:
    """Return a file's tables if they are sound, else None and every problem with its tables, keys and types.

    Parameters
    ----------
    kind : type of BaseModel
        The schema of the whole file.
    raw : dict
        The file as parsed.
    units : MeasuredUnits or None
        What lengths are in; None when the file's own `units` is unsound.
    """
    try:
        return kind.model_validate(raw, context={"units": units}), []
    except ValidationError as invalid:
        details = invalid.errors(include_url=False)
    errors, mistaken = _units_mistaken([_Error(one, *_table_of(one["loc"], kind)) for one in details], units)
    errors, rows = _rows_of_even(errors, raw)
    return None, [*mistaken, *rows, *_problems(errors, raw, units)]


class _Error:
    """One error of pydantic's with its key path, the schema of the table that it is in and that table's depth."""

    def __init__(self, details: ErrorDetails, table: type[BaseModel], depth: int) -> None:
        self.type, self.input = details["type"], details["input"]
        context = details.get("ctx", {})
        self.message, self.expected = str(context.get("reason", details["msg"])), context.get("expected")
        self.path: KeyPath = tuple(part for part in details["loc"] if not _is_tag(part))
        self.table, self.depth = table, depth

    @property
    def described(self) -> str:
        """What the schema says of the key in question; "" for a key that it does not have."""
        key = str(self.path[self.depth]) if len(self.path) > self.depth else ""
        fields = _fields(self.table)
        return (fields[key].description or "") if key in fields else ""


def _fields(table: type[BaseModel]) -> dict[str, FieldInfo]:
    """Return the keys that a table may have, as the file has them: a word of the language has an alias."""
    return {field.alias or name: field for name, field in table.model_fields.items()}


def _is_tag(part: str | int) -> bool:
    """Return whether a part of pydantic's path is the tag of a variant, not a key."""
    return isinstance(part, str) and part.startswith(TAG)


def _table_of(loc: Sequence[str | int], root: type[BaseModel]) -> tuple[type[BaseModel], int]:
    """Return the schema of the innermost table that an error is in, and how long that table's key path is."""
    here: Any = root
    table, depth, keys = root, 0, 0
    for part in loc[:-1]:
        here = _held(here, part)
        keys += not _is_tag(part)
        if isinstance(here, type) and issubclass(here, BaseModel):
            table, depth = here, keys
    return table, depth


def _held(kind: Any, part: str | int) -> Any:
    """Return the type that a table, a list or a choice of variants has under one part of a path; None if none."""
    origin = get_origin(kind)
    if origin is Annotated:
        return _held(get_args(kind)[0], part)
    if origin in (Union, UnionType):
        members = [one for one in get_args(kind) if one is not NoneType]
        if len(members) == 1:
            return _bare(_held(members[0], part))
        tagged = (one for one in members if Tag(str(part)) in getattr(one, "__metadata__", ()))
        return _bare(next(tagged, None))
    if isinstance(kind, type) and issubclass(kind, BaseModel):
        field = kind.model_fields.get(str(part))
        return None if field is None else _bare(field.annotation)
    return _bare(get_args(kind)[-1]) if origin in (list, dict) else None


def _bare(kind: Any) -> Any:
    """Return a type without its notes, and without None if that is all it may be besides."""
    members = [one for one in get_args(kind) if one is not NoneType]
    if get_origin(kind) is Annotated or (get_origin(kind) in (Union, UnionType) and len(members) == 1):
        return _bare(members[0])
    return kind


def _units_mistaken(errors: list[_Error], units: MeasuredUnits | None) -> tuple[list[_Error], list[Problem]]:
    """Return the errors left, and one problem for all lengths of another kind than `units` says, if they are many."""
    wrong: Any = str if units != "ft-in-8" else int | float
    mistaken = [one for one in errors if one.type == "length" and _is_a(one.input, wrong)]
    if units is None or len(mistaken) < MANY:
        return errors, []
    what = "text in feet-inches-eighths" if wrong is str else "plain numbers, not feet-inches-eighths"
    text = f'units is "{units}", but {len(mistaken)} lengths are {what}; change units'
    problem = Problem(("units",), text, '"ft-in-8"' if wrong is str else '"mm" or "in"')
    return [error for error in errors if error not in mistaken], [problem]


def _is_a(value: object, kind: Any) -> bool:
    return isinstance(value, kind) and not isinstance(value, bool)


def _rows_of_even(errors: list[_Error], raw: dict[str, Any]) -> tuple[list[_Error], list[Problem]]:
    """Return the errors left, and one problem for all rows of lands that the program is to line off."""
    listed = raw.get("station")
    names = [one.get("name") for one in listed if isinstance(one, dict)] if isinstance(listed, list) else []
    places = ("fore", "aft", *names)
    rows = [e for e in errors if e.type == "extra_forbidden" and e.table is EvenTable and e.path[-1] in places]
    if not rows:
        return errors, []
    text = f'[lands] by = "even" takes no rows, but there are {len(rows)}; take them out, or change by'
    problem = Problem(rows[0].path, text, 'by = "girth" or by = "offsets"', "land")
    return [error for error in errors if error not in rows], [problem]


def _problems(errors: Sequence[_Error], raw: dict[str, Any], units: MeasuredUnits | None) -> Iterator[Problem]:
    """Yield a problem for each error; a misspelt key and the missing one that it stands for count once."""
    missing = {error.path for error in errors if error.type == "missing"}
    excused: set[KeyPath] = set()
    for error in errors:
        if error.type == "extra_forbidden":
            nearest = _nearest(error, missing)
            if nearest is not None:
                excused.add((*error.path[:-1], nearest))
            yield _unknown_key(error, nearest, raw)
    for error in errors:
        if error.type != "extra_forbidden" and not (error.type == "missing" and error.path in excused):
            yield _problem(error, raw, units)


def _nearest(error: _Error, missing: set[KeyPath]) -> str | None:
    """Return the right key nearest to an unknown one, those that are missing there first."""
    keys, word = list(_fields(error.table)), str(error.path[-1])
    lacking = [key for key in keys if (*error.path[:-1], key) in missing]
    return nearest_word(word, lacking) or nearest_word(word, keys)


def _unknown_key(error: _Error, nearest: str | None, raw: dict[str, Any]) -> Problem:
    """Return the problem of a key that its table does not have; which side of the boat is meant is not guessed."""
    text = f"{_heading(error, raw)} has no key {shown_key(str(error.path[-1]))}"
    if nearest in get_args(Hand):
        sides = " or ".join(get_args(Hand))
        return Problem(error.path, f"{text}; the sides of the boat are {sides}", sides)
    text += hint(nearest) or "; take it out"
    return Problem(error.path, text, nearest or f"one of {', '.join(_fields(error.table))}")


def _problem(error: _Error, raw: dict[str, Any], units: MeasuredUnits | None) -> Problem:
    """Return the problem of any error but an unknown key."""
    path, depth, where = error.path, error.depth, _heading(error, raw)
    if error.type == "variant":
        return _variant_problem(error)
    if error.type == "missing":
        return Problem(path, f"{where} has no {path[-1]}; add it", error.described, is_missing=True)
    what = f"{spelled(path[depth:])} of {where}" if len(path) > depth > 0 else spelled(path) if path else where
    described = error.described or "a list, one for each strake"
    if error.table is RowsTable and len(path) > depth and path[depth] in EvenTable.model_fields:
        text = f'[lands] {path[depth]} is for by = "even" alone; take it out, or change by'
        return Problem(path, text, 'by = "even", or no such key', "land")
    if error.type == "name" and path == ("name",):
        return Problem(path, error.message.replace("the name", "the boat's name", 1), described)
    if error.type in ("length", "number", "name"):
        usual = A_LENGTH[units] if error.type == "length" and units is not None else described
        return Problem(path, f"{what}: {error.message}", str(error.expected or usual))
    if len(path) > depth + 1 and error.type in (*_COUNTS, "list_type"):
        described = "two figures, [a, b]"
    elif len(path) == depth:
        described = "a table with keys and values"
    if error.type in _COUNTS:
        return Problem(path, f"{what} has too {_COUNTS[error.type]} figures or points", described)
    return Problem(path, f"{what} must be {described}", described)


def _variant_problem(error: _Error) -> Problem:
    """Return the problem of a table whose kind is missing or unknown."""
    path, key = error.path, error.message
    heading = _table_heading(path)
    if not isinstance(error.input, dict):
        written = f"[[{path[0]}]]" if len(path) > 1 else f"[{path[0]}]"
        return Problem(path, f"{spelled(path)} is not a table; write {written} on a line of its own", "a table")
    choices = _VARIANTS[str(path[0]), key]
    if key in error.input:
        return Problem((*path, key), f"{key} of {heading} must be {choices}", choices)
    return Problem((*path, key), f"{heading} has no {key}; add it", choices, is_missing=True)


def _heading(error: _Error, raw: dict[str, Any]) -> str:
    """Return what messages call the table that an error is in: ``station "2"``, ``[keel]``, ``the file``."""
    table = error.path[: error.depth]
    if len(table) == 2 and table[0] == "station":
        return station_label(int(table[1]), raw)
    return _table_heading(table) if table else "the file"


def _table_heading(path: KeyPath) -> str:
    """Return how a table is written: ``[keel]``, or ``[[inside]] number 2`` for one of a list."""
    if path[0] == "inside" and len(path) == 2:
        return f"[[inside]] number {int(path[1]) + 1}"
    return f"[{spelled(path)}]"


def station_label(index: int, raw: dict[str, Any]) -> str:
    """Return a station's name as the file has it, or which of the tables it is when it has none to show."""
    tables = raw.get("station")
    table = tables[index] if isinstance(tables, list) and index < len(tables) else None
    name = table.get("name") if isinstance(table, dict) else None
    if isinstance(name, str) and name.isprintable() and 0 < len(name) <= 20:
        return f'station "{name}"'
    return f"[[station]] number {index + 1}"
