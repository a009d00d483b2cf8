"""A hull file at another size: every length times a factor, counts and words as they are."""

import json
import tomllib
from pathlib import Path
from typing import Any

NO_LENGTHS = {"format", "planking.strakes", "fastenings.between", "lands.garboard", "lands.sheer"}


def scaled_file(hull: Path, factor: float, folder: Path) -> Path:
    """Write a hull file in mm at another size and return its path."""
    content = tomllib.loads(hull.read_text(encoding="utf-8"))
    assert content["units"] == "mm"
    path = folder / f"{hull.stem}_{factor:g}.toml"
    path.write_text("\n".join(_lines(_scaled(content, factor, ""), "")), encoding="utf-8")
    return path


def _scaled(value: Any, factor: float, path: str) -> Any:
    if isinstance(value, dict):
        return {key: _scaled(each, factor, f"{path}.{key}".lstrip(".")) for key, each in value.items()}
    if isinstance(value, list):
        return [_scaled(each, factor, path) for each in value]
    return value if isinstance(value, bool | str) or path in NO_LENGTHS else value * factor


def _lines(table: dict[str, Any], name: str) -> list[str]:
    """A table in TOML: its own keys first, then the tables in it."""
    lines = [f"{json.dumps(key)} = {json.dumps(value)}" for key, value in table.items() if not _is_table(value)]
    for key, value in table.items():
        inner = f"{name}{json.dumps(key)}"
        if isinstance(value, dict):
            lines += [f"[{inner}]", *_lines(value, f"{inner}.")]
        elif _is_table(value):
            for each in value:
                lines += [f"[[{inner}]]", *_lines(each, f"{inner}.")]
    return lines


def _is_table(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and isinstance(value[0], dict))
