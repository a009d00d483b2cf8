"""Whatever is done to a file from the boat, it is read, or refused with faults: never a traceback of another kind."""

import random
from pathlib import Path

import numpy as np
import pytest

from templates_gen.errors import HullFileError
from templates_gen.hull.measured.as_built import place_names, read_as_built
from templates_gen.hull.measured.spiling import read_spiling
from tests import boats
from tests.at_boat.test_as_built_file import GOOD as BUILT
from tests.at_boat.test_spiling_file import ARCS, PLACES
from tests.at_boat.test_spiling_file import GOOD as SPILED

HULL = boats.dinghy()
WIDTHS = {name: np.full(9, 80.0) for name in place_names(HULL)}
PIECES = (
    "[",
    "]",
    "{}",
    "[[]]",
    "nan",
    "1e400",
    "-1",
    '"x"',
    "true",
    "= 3\n",
    "strake",
    "[lower]",
    "1979-05-27",
    "0",
    ",",
)


@pytest.mark.parametrize("text", [BUILT, SPILED, ARCS])
def test_a_spoilt_file_is_read_or_refused(text: str, tmp_path: Path) -> None:
    choice = random.Random(8)
    path, refused = tmp_path / "spoilt.toml", 0
    for _ in range(400):
        start = choice.randrange(len(text))
        spoilt = text[:start] + choice.choice(PIECES) + text[start + choice.randrange(6) :]
        path.write_text(spoilt, encoding="utf-8")
        try:
            if text is BUILT:
                read_as_built(path, HULL, WIDTHS)
            else:
                read_spiling(path, HULL, 5, PLACES)
        except HullFileError as error:
            refused += all(fault.text for fault in error.faults)
    assert refused > 100


@pytest.mark.parametrize("value", ["3", '"x"', "[]", "true", "{}", "nan"])
def test_a_value_of_another_kind_is_refused(value: str, tmp_path: Path) -> None:
    path = tmp_path / "spoilt.toml"
    for key in ("strake", "above_mark", "thickness", "lap", "hull", "units"):
        line = f"{key} = {value}\n"
        head = f"format = 1\n{line}" if key in ("hull", "units", "strake") else "format = 1\n"
        body = "" if key == "strake" else "[strake.1]\n" + (line if key in ("above_mark", "thickness", "lap") else "")
        path.write_text(head + body, encoding="utf-8")
        with pytest.raises(HullFileError):
            read_as_built(path, HULL, WIDTHS)
    for key in ("strake", "radius", "batten", "lower", "upper", "units"):
        path.write_text(f"format = 1\n{key} = {value}\n", encoding="utf-8")
        with pytest.raises(HullFileError):
            read_spiling(path, HULL, 5, PLACES)
