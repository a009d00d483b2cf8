"""What is wrong with the file's tables, keys and types, in words: pydantic's errors turned into problems."""

from collections.abc import Iterable, Iterator, Sequence
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, shown_key, spelled
from templates_gen.hull.schema import TABLES, TAG, HullTable
from templates_gen.units import UnitName

A_LENGTH = {"mm": "a number of mm", "in": "a number of inches", "ft-in-8": 'text such as "2-3-4"'}
MANY = 10
"""As many lengths of the wrong kind are one mistake, that of the file's units."""

_COUNTS = ("too_short", "too_long")
_KINDS = {"fore": '"stem" or "transom"', "aft": '"stem", "transom" or "midship"'}


def validated(raw: dict[str, Any], units: UnitName | None) -> tuple[HullTable | None, list[Problem]]:
    """Return the file's tables if they are sound, else None and every problem with tables, keys and types."""
    try:
        return HullTable.model_validate(raw, context={"units": units}), []
    except ValidationError as invalid:
        errors = invalid.errors(include_url=False)
    kept, problems = _units_mistaken(errors, units)
    return None, [*problems, *_rows_of_even(kept, raw), *_problems(kept, raw, units)]


def _units_mistaken(errors: list[ErrorDetails], units: UnitName | None) -> tuple[list[ErrorDetails], list[Problem]]:
    """Return the errors left, and one problem for all lengths of another kind than `units` says, if they are many."""
    kind = str if units != "ft-in-8" else int | float
    mistaken = [error for error in errors if error["type"] == "length" and _is_a(error["input"], kind)]
    if units is None or len(mistaken) < MANY:
        return errors, []
    what = "text, as feet-inches-eighths are written" if kind is str else "plain numbers, not feet-inches-eighths"
    text = f'units is "{units}", but {len(mistaken)} lengths are {what}'
    problem = Problem(("units",), text, '"ft-in-8"' if kind is str else '"mm" or "in"')
    return [error for error in errors if error not in mistaken], [problem]


def _is_a(value: object, kind: Any) -> bool:
    return isinstance(value, kind) and not isinstance(value, bool)


def _rows_of_even(errors: list[ErrorDetails], raw: dict[str, Any]) -> Iterator[Problem]:
    """Yield one problem for all rows of lands that are lined off, and take their errors out of the list."""
    listed = raw.get("station")
    names = [one.get("name") for one in listed if isinstance(one, dict)] if isinstance(listed, list) else []
    rows = [error for error in errors if _is_row_of_even(error, names)]
    if rows:
        text = f'[lands] by = "even" takes no rows, but there are {len(rows)}; leave them out, or say what they are'
        yield Problem(_path(rows[0]), text, 'by = "girth" or by = "offsets"', "land")
    errors[:] = [error for error in errors if error not in rows]


def _is_row_of_even(error: ErrorDetails, names: Sequence[object]) -> bool:
    is_extra = error["type"] == "extra_forbidden" and _table_of(error)[0] == "even"
    return is_extra and error["loc"][-1] in ("fore", "aft", *names)


def _problems(errors: Sequence[ErrorDetails], raw: dict[str, Any], units: UnitName | None) -> Iterator[Problem]:
    """Yield a problem for each error, a misspelt key and the missing one that it stands for counted once."""
    missing = {_path(error) for error in errors if error["type"] == "missing"}
    excused: set[KeyPath] = set()
    for error in errors:
        if error["type"] == "extra_forbidden":
            path = _path(error)
            nearest = _nearest(error, missing)
            if nearest is not None:
                excused.add((*path[:-1], nearest))
            yield _unknown_key(error, nearest, raw)
    for error in errors:
        if error["type"] != "extra_forbidden" and not (error["type"] == "missing" and _path(error) in excused):
            yield _problem(error, raw, units)


def _path(error: ErrorDetails) -> KeyPath:
    """Return where an error is, without the tags of variants."""
    return tuple(part for part in error["loc"] if not (isinstance(part, str) and part.startswith(TAG)))


def _table_of(error: ErrorDetails) -> tuple[str, int]:
    """Return the word in TABLES for the table that an error is in, and how long that table's key path is."""
    loc = error["loc"]
    tag = loc[1][len(TAG) :] if len(loc) > 2 and isinstance(loc[1], str) and loc[1].startswith(TAG) else ""
    if tag:
        return tag, 1
    if loc[0] == "station" and len(loc) > 2:
        return "station", 2
    if loc[:2] == ("planking", "gerald") and len(loc) > 2:
        return "gerald", 2
    if len(loc) > 1 and loc[0] in TABLES:
        return str(loc[0]), 1
    return "", 0


def heading(path: KeyPath, raw: dict[str, Any]) -> str:
    """Return how a person calls the table that a path is in: ``station "2"``, ``[keel]``, ``the file``."""
    if len(path) > 1 and path[0] == "station":
        return station_label(int(path[1]), raw)
    if path[:2] == ("planking", "gerald") and len(path) > 2:
        return "[planking.gerald]"
    return f"[{path[0]}]" if len(path) > 1 else "the file"


def station_label(index: int, raw: dict[str, Any]) -> str:
    """Return a station's name as the file has it, or which of the tables it is when it has none to show."""
    tables = raw.get("station")
    table = tables[index] if isinstance(tables, list) and index < len(tables) else None
    name = table.get("name") if isinstance(table, dict) else None
    if isinstance(name, str) and name.isprintable() and 0 < len(name) <= 20:
        return f'station "{name}"'
    return f"[[station]] number {index + 1}"


def _nearest(error: ErrorDetails, missing: set[KeyPath]) -> str | None:
    """Return the right key nearest to an unknown one, those that are missing there first."""
    path = _path(error)
    keys = list(TABLES[_table_of(error)[0]].model_fields)
    lacking = [key for key in keys if (*path[:-1], key) in missing]
    return nearest_word(str(path[-1]), lacking) or nearest_word(str(path[-1]), keys)


def nearest_word(word: str, choices: Iterable[str]) -> str | None:
    """Return the choice most like a word, or None if none is like it; capitals count as small letters."""
    matches = get_close_matches(word.lower()[:60], list(choices), n=1, cutoff=0.6)
    return matches[0] if matches else None


def _unknown_key(error: ErrorDetails, nearest: str | None, raw: dict[str, Any]) -> Problem:
    """Return the problem of a key that its table does not have."""
    path = _path(error)
    table = _table_of(error)[0]
    where = heading(path, raw)
    key = shown_key(str(path[-1]))
    if nearest is not None:
        return Problem(path, f"{where} has no key {key}; did you mean {nearest}?", nearest)
    choices = ", ".join(TABLES[table].model_fields)
    return Problem(path, f"{where} has no key {key}; take it out", f"one of {choices}")


def _problem(error: ErrorDetails, raw: dict[str, Any], units: UnitName | None) -> Problem:
    """Return the problem of any error but an unknown key."""
    path = _path(error)
    table, depth = _table_of(error)
    if error["type"] == "variant":
        return _variant_problem(error, path, raw)
    field = TABLES[table].model_fields.get(str(path[depth])) if len(path) > depth else None
    described = (field.description if field is not None else None) or "a list, one for each strake"
    where = heading(path, raw)
    if error["type"] == "missing":
        return Problem(path, f"{where} has no {path[-1]}; add it", described)
    what = f"{spelled(path[depth:])} of {where}" if len(path) > depth > 0 else spelled(path) if path else where
    if error["type"] in ("length", "number", "name"):
        expected = A_LENGTH[units] if error["type"] == "length" and units is not None else described
        return Problem(path, f"{what}: {error.get('ctx', {})['reason']}", expected)
    if len(path) > depth + 1:
        described = "two figures, [a, b]" if error["type"] in (*_COUNTS, "list_type") else described
    elif len(path) == depth:
        described = "a table with keys and values"
    if error["type"] in _COUNTS:
        return Problem(path, f"{what} has too {_few_or_many(error)} figures or points", described)
    return Problem(path, f"{what} must be {described}", described)


def _few_or_many(error: ErrorDetails) -> str:
    return "few" if error["type"] == "too_short" else "many"


def _variant_problem(error: ErrorDetails, path: KeyPath, raw: dict[str, Any]) -> Problem:
    """Return the problem of a table whose kind cannot be told."""
    key = error["msg"]
    choices = {"kind": _KINDS.get(str(path[0]), ""), "by": '"even", "girth" or "offsets"'}[key]
    if not isinstance(error["input"], dict):
        return Problem(path, f"{path[0]} is not a table; write [{path[0]}] on a line of its own", "a table")
    found = key in error["input"]
    text = f"{key} of [{path[0]}] must be {choices}" if found else f"[{path[0]}] has no {key}; add it"
    return Problem((*path, key), text, choices)
