"""The JSON Schema of the hull file, with which editors complete and check a hull file as it is written.

It is made from the tables of `schema` and kept in the package as hull-file.schema.json. It describes each key by
itself; how the figures must fit together is checked by the reader.
"""

import json
from pathlib import Path
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from templates_gen.hull.checks.ends import FEWEST_STATIONS
from templates_gen.hull.offsets.reading import FROM_TABLE
from templates_gen.hull.offsets.table import END_COLUMNS
from templates_gen.hull.schema import HullTable
from templates_gen.hull.text import MOST_STATIONS

SCHEMA_FILE = Path(__file__).with_name("hull-file.schema.json")
"""Where the package keeps it."""

LENGTH = {
    "description": 'a number in mm or inches, or in feet-inches-eighths text such as "2-3-4"',
    "anyOf": [
        {"type": "number"},
        {"type": "string", "pattern": "^-?[0-9]{1,4}-[0-9]{1,2}-[0-7][+-]?$"},
    ],
}
"""A length, whatever the units: a schema cannot tell one file's units from another's."""


def hull_file_schema_text() -> str:
    """Return the JSON Schema of a hull file as the package keeps it."""
    return json.dumps(hull_file_schema(), ensure_ascii=False, indent=1) + "\n"


def hull_file_schema() -> dict[str, Any]:
    """Return the JSON Schema of a hull file (draft 2020-12)."""
    schema = _tidied(HullTable.model_json_schema(schema_generator=_Generator))
    tables = schema.pop("$defs")
    tables["Length"] = LENGTH
    tables["StationTable"]["required"] = ["name"]
    transom = tables["TransomTable"]
    transom["required"] = [key for key in transom["required"] if key not in FROM_TABLE]
    schema["description"] = "A hull file: one clinker boat, from which its templates are made."
    schema["properties"]["station"] |= {"minItems": FEWEST_STATIONS, "maxItems": MOST_STATIONS}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Hull file",
        **schema,
        "if": {"properties": {"lines": {"required": ["table"]}}},
        "else": {
            "properties": {
                "station": {"items": {"required": list(FROM_TABLE)}},
                **dict.fromkeys(END_COLUMNS, _TRANSOM_BY_ITSELF),
            }
        },
        "$defs": tables,
    }


_A_LENGTH = {"type": "length"}
_TRANSOM_BY_ITSELF = {
    "if": {"properties": {"kind": {"const": "transom"}}, "required": ["kind"]},
    "then": {"required": ["rabbet", "section"]},
}


class _Generator(GenerateJsonSchema):
    """Describes the hull file's own kinds of value."""

    def function_plain_schema(self, schema: core_schema.PlainValidatorFunctionSchema) -> JsonSchemaValue:
        """Return the schema of a length, a plain number or a name."""
        kinds: dict[str, JsonSchemaValue] = {"_length": dict(_A_LENGTH), "_number": {"type": "number"}}
        return kinds.get(schema["function"]["function"].__name__, {"type": "string", "minLength": 1})


def _tidied(schema: Any) -> Any:
    """Return a schema without titles, without nulls, which TOML does not have, and without defaults in mm."""
    if isinstance(schema, list):
        return [_tidied(one) for one in schema if one != {"type": "null"}]
    if not isinstance(schema, dict):
        return schema
    if schema.items() >= _A_LENGTH.items():
        schema = {"$ref": "#/$defs/Length"} | {key: one for key, one in schema.items() if key != "type"}
    tidy = {key: _tidied(one) for key, one in schema.items() if not _is_clutter(key, one)}
    for key in ("oneOf", "anyOf"):
        if key in tidy:
            choices = tidy.pop(key)
            tidy |= choices[0] if len(choices) == 1 else {"anyOf": choices}
    return tidy


def _is_clutter(key: str, value: object) -> bool:
    return (key == "title" and isinstance(value, str)) or (key == "default" and not isinstance(value, str | bool))


if __name__ == "__main__":
    SCHEMA_FILE.write_text(hull_file_schema_text(), encoding="utf-8")
