"""The JSON Schema of a hull file, checked by a library that is not the one that made it."""

import copy
import json
import tomllib
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from templates_gen.hull.json_schema import SCHEMA_FILE, hull_file_schema, hull_file_schema_text

HULLS = Path(__file__).parents[2] / "hulls"
VALIDATOR = Draft202012Validator(hull_file_schema())


def hull_file(name: str) -> dict[str, Any]:
    return tomllib.loads((HULLS / f"{name}.toml").read_text(encoding="utf-8"))


def test_the_file_in_the_package_is_up_to_date() -> None:
    assert SCHEMA_FILE.read_text(encoding="utf-8") == hull_file_schema_text()


def test_it_is_a_schema() -> None:
    Draft202012Validator.check_schema(json.loads(hull_file_schema_text()))


@pytest.mark.parametrize("path", sorted(HULLS.glob("*.toml")), ids=lambda path: path.stem)
def test_the_hull_files_of_the_project_agree_with_it(path: Path) -> None:
    assert [error.message for error in VALIDATOR.iter_errors(tomllib.loads(path.read_text(encoding="utf-8")))] == []


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("units",), "cm"),
        (("waterline",), None),
        (("waterline",), True),
        (("waterline",), "2 ft"),
        (("colour",), "white"),
        (("planking", "strakes"), 0),
        (("planking", "strakes"), 8.5),
        (("planking", "thickness"), [True]),
        (("planking", "lap"), "0-1-8"),
        (("station", 1, "rabbet"), [20.0]),
        (("station", 1, "section"), [[20.0, 30.0]]),
        (("station", 1, "sections"), 1),
        (("fore", "kind"), "bow"),
        (("fore", "rabbet"), [20.0, 30.0]),
        (("lands", "by"), "eye"),
        (("lands", "pins"), {"3": 250.0}),
        (("lands", "garboard"), "1.2"),
    ],
)
def test_a_value_that_no_hull_file_may_hold_is_found(path: tuple[str | int, ...], value: object) -> None:
    tables: Any = copy.deepcopy(hull_file("dinghy"))
    assert VALIDATOR.is_valid(tables)
    holder = tables
    for key in path[:-1]:
        holder = holder[key]
    holder[path[-1]] = value
    assert not VALIDATOR.is_valid(tables)


@pytest.mark.parametrize("key", ["at", "rabbet", "section"])
def test_a_station_needs_its_figures_unless_there_is_a_table(key: str) -> None:
    tables = hull_file("pram")
    del tables["station"][0][key]
    assert not VALIDATOR.is_valid(tables)
    tables["lines"]["table"] = "offsets.csv"
    assert VALIDATOR.is_valid(tables)


def test_lengths_may_be_text_in_feet_inches_and_eighths() -> None:
    tables = hull_file("double_ender")
    for text in ("2-3-4", "-0-1-0+", "12-11-7-"):
        tables["waterline"] = text
        assert VALIDATOR.is_valid(tables)
