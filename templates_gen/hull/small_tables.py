"""Reading the small TOML files that lie beside a hull file: tables against their schema, faults with their places."""

from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from templates_gen.errors import HullFileError
from templates_gen.hull.located_faults import located_faults
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import Problem, shown_key, spelled
from templates_gen.hull.structure import A_LENGTH, nearest_word
from templates_gen.units import UnitName

Table = TypeVar("Table", bound=BaseModel)

_COUNTS = ("too_short", "too_long")


def checked_table(kind: type[Table], raw: dict[str, Any], units: UnitName) -> tuple[Table | None, list[Problem]]:
    """Return a file's tables if they are sound, else None and every problem with its tables, keys and types."""
    try:
        return kind.model_validate(raw, context={"units": units}), []
    except ValidationError as invalid:
        errors = invalid.errors(include_url=False)
    misspelt = {(*e["loc"][:-1], near) for e in errors if (near := _nearest(e, kind)) is not None}
    kept = [e for e in errors if not (e["type"] == "missing" and e["loc"] in misspelt)]
    return None, [_problem(error, kind, units) for error in kept]


def _model_at(path: KeyPath, kind: type[BaseModel]) -> type[BaseModel] | None:
    """Return the schema of the table at a path, None where there is none (a list, a table of free keys)."""
    here: type[BaseModel] | None = kind
    for key in path:
        found = None
        if here is not None and isinstance(key, str) and key in here.model_fields:
            extra = here.model_fields[key].json_schema_extra
            found = extra.get("table") if isinstance(extra, dict) else None
        elif here is not None:
            found = getattr(here, "each", None)
        here = found if isinstance(found, type) else None
    return here


def _nearest(error: ErrorDetails, kind: type[BaseModel]) -> str | None:
    if error["type"] != "extra_forbidden":
        return None
    model = _model_at(error["loc"][:-1], kind)
    return None if model is None else nearest_word(str(error["loc"][-1]), model.model_fields)


def _described(path: KeyPath, kind: type[BaseModel]) -> str:
    """Return what is wanted at a path, from the schema's own words."""
    for depth in range(len(path), 0, -1):
        key = path[depth - 1]
        model = kind if depth == 1 else _model_at(path[: depth - 1], kind)
        if model is not None and isinstance(key, str) and key in model.model_fields:
            return model.model_fields[key].description or ""
    return "a table with keys and values"


def _problem(error: ErrorDetails, kind: type[BaseModel], units: UnitName) -> Problem:
    """Return one error of the schema as a problem in words."""
    path: KeyPath = tuple(error["loc"])
    where = f"[{spelled(path[:-1])}]" if len(path) > 1 else "the file"
    key = shown_key(str(path[-1])) if path else ""
    if error["type"] == "extra_forbidden":
        near = _nearest(error, kind)
        model = _model_at(path[:-1], kind) or kind
        cure = f"did you mean {near}?" if near else "take it out"
        return Problem(path, f"{where} has no key {key}; {cure}", near or f"one of {', '.join(model.model_fields)}")
    described = _described(path, kind)
    if error["type"] == "missing":
        return Problem(path, f"{where} has no {key}; add it", described)
    if error["type"] in ("length", "number", "name"):
        expected = A_LENGTH[units] if error["type"] == "length" else described
        return Problem(path, f"{spelled(path)}: {error.get('ctx', {})['reason']}", expected)
    if error["type"] in _COUNTS:
        few = "few" if error["type"] == "too_short" else "many"
        return Problem(path, f"{spelled(path)} has too {few} figures", described)
    return Problem(path, f"{spelled(path) or 'the file'} must be {described}", described)


def refused(problems: list[Problem], text: str, path: Path) -> HullFileError:
    """Return the error of a file that has problems."""
    return HullFileError([fault for _, fault in located_faults(problems, text, path)])
