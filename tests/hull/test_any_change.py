"""Sound hull files with anything put anywhere: a hull or faults, never anything else."""

import math
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.reader import read_hull

HULLS = Path(__file__).parents[2] / "hulls"


def nodes_of(value: object, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Return the path of every value in a parsed file."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path] * bool(path) + [node for key, one in inner for node in nodes_of(one, (*path, key))]


def as_toml(value: object) -> str:
    """Return a value as TOML, tables in line."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{as_toml(str(key))} = {as_toml(one)}" for key, one in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(as_toml(one) for one in value) + "]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return '"' + "".join(c if c.isalnum() else f"\\U{ord(c):08x}" for c in value) + '"'
    return repr(value)


LEAVES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.floats(-2000, 4000),
    st.sampled_from(
        ["", "stem", "transom", "midship", "mirror", "even", "girth", "offsets", "hog", "rebate", "2-3-4", "in", "1"]
    ),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=5),
)
VALUES = st.recursive(LEAVES, lambda one: st.lists(one, max_size=3) | st.dictionaries(st.text("ab", max_size=2), one))


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_any_change_to_a_sound_file_gives_a_finite_hull_or_faults_with_their_places(data: st.DataObject) -> None:
    name = data.draw(st.sampled_from(["dinghy", "pram", "double_ender", "faering"]))
    tables: Any = tomllib.loads((HULLS / f"{name}.toml").read_text(encoding="utf-8"))
    half = data.draw(st.sampled_from([None, "mirror", "cut"]))
    if half is not None:
        tables |= {"station": tables["station"][:3], "aft": {"kind": "midship", "half": half}}
        tables["planking"].get("gerald", {}).pop("aft", None)
    for _ in range(data.draw(st.integers(1, 3))):
        *path, last = data.draw(st.sampled_from(nodes_of(tables)))
        holder: Any = tables
        for key in path:
            holder = holder[key]
        new = data.draw(VALUES)
        if new is None:
            del holder[last]
        else:
            holder[last] = without_none(new)
    text = "\n".join(f"{as_toml(key)} = {as_toml(value)}" for key, value in tables.items())
    with TemporaryDirectory() as folder:
        path_of_file = Path(folder) / "boat.toml"
        path_of_file.write_text(text, encoding="utf-8")
        try:
            hull = read_hull(path_of_file)
        except HullFileError as error:
            check_faults(error.faults)
        else:
            assert all(np.isfinite(station.section).all() for station in hull.stations)
            assert math.isfinite(hull.planking.lap)


def check_faults(faults: tuple[Fault, ...]) -> None:
    """Assert that there are faults, in the order of the file, fit to print."""
    assert faults
    assert [fault.line for fault in faults] == sorted(fault.line for fault in faults)
    for fault in faults:
        assert fault.text.isprintable()
        assert fault.value.isprintable()
        assert fault.key.isprintable()


def without_none(value: object) -> object:
    """Return a value with everything that TOML cannot say left out."""
    if isinstance(value, dict):
        return {key: without_none(one) for key, one in value.items() if one is not None}
    if isinstance(value, list):
        return [without_none(one) for one in value if one is not None]
    return value
