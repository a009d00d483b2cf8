"""The JSON Schemas of measurements.json and tiles.json, checked by a library that did not make them."""

import copy
import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from templates_gen.paper.sheet import sheet
from templates_gen.pipeline import make
from templates_gen.report.json_schema import SCHEMA_FILES, schema_text, schemas
from templates_gen.sheets import Printing
from tests.flow import checked
from tests.sweep import more

HULLS = sorted((Path(__file__).parents[2] / "hulls").glob("*.toml"))


@cache
def files_of(hull: Path) -> dict[str, Any]:
    """Return both files of a boat as `make` writes them on large paper, which is quick."""
    boat = checked(hull).boat
    assert boat is not None
    files = make(
        boat, Printing(sheet("a0")), ("strakes", "moulds", "transom", "rebates")[: 4 if boat.transoms else 2]
    ).files
    return {name: json.loads(files[f"{name}.json"]) for name in SCHEMA_FILES}


def closed(schema: Any) -> Any:
    """Return a schema that refuses every key that it does not describe."""
    if isinstance(schema, list):
        return [closed(one) for one in schema]
    if not isinstance(schema, dict):
        return schema
    extra = {"additionalProperties": False} if "properties" in schema and schema.get("type") == "object" else {}
    return {key: closed(one) for key, one in schema.items()} | extra


@pytest.mark.parametrize("name", list(SCHEMA_FILES))
def test_the_files_in_the_package_are_up_to_date_and_schemas(name: str) -> None:
    assert SCHEMA_FILES[name].read_text(encoding="utf-8") == schema_text(schemas()[name])
    Draft202012Validator.check_schema(schemas()[name])


@pytest.mark.parametrize("name", list(SCHEMA_FILES))
@pytest.mark.parametrize("hull", [HULLS[0], *more(*HULLS[1:])], ids=lambda hull: hull.stem)
def test_every_key_that_is_written_is_described(hull: Path, name: str) -> None:
    validator = Draft202012Validator(closed(schemas()[name]))
    found = list(validator.iter_errors(files_of(hull)[name]))
    assert [(list(error.absolute_path), error.message[:200]) for error in found] == []


@pytest.mark.parametrize("hull", [HULLS[0], *more(*HULLS[1:])], ids=lambda hull: hull.stem)
def test_names_are_those_of_the_pieces_on_the_sheets(hull: Path) -> None:
    data, tiles = files_of(hull).values()
    pieces = {tile["piece"] for tile in tiles}
    named = {one["name"] for kind in ("strakes", "moulds", "transoms") for one in data[kind]}
    assert {piece for piece in pieces if piece.startswith(("strake", "mould"))} <= named
    assert {one["name"] for one in data["strakes"]} <= pieces
    assert {one["name"] for one in data["moulds"]} <= pieces


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("format",), 2),
        (("units", "length"), "in"),
        (("strakes", 0, "blank"), [1.0]),
        (("strakes", 0, "outline", "lower", 0), [1.0, "2"]),
        (("lands", 0, "at", 0, "planed_on"), "both"),
        (("lands", 0, "at", 0, "bevel"), None),
        (("moulds", 0, "about", "thing"), "mold"),
        (("rebates", 0, "on"), "stem"),
    ],
)
def test_a_value_that_cannot_be_is_found(path: tuple[str | int, ...], value: object) -> None:
    # one of everything that is listed: checking the whole boat takes half a second a time
    whole = files_of(HULLS[0])["measurements"]
    data = copy.deepcopy({key: one[:1] if isinstance(one, list) else one for key, one in whole.items()})
    validator = Draft202012Validator(schemas()["measurements"])
    assert validator.is_valid(data)
    holder: Any = data
    for key in path[:-1]:
        holder = holder[key]
    holder[path[-1]] = value
    assert not validator.is_valid(data)
