"""Reading what was read off a spiling batten: both ways of writing it, and the exact list of faults."""

from dataclasses import replace
from pathlib import Path

import pytest

from templates_gen.errors import HullFileError
from templates_gen.hull.measured.spiling import Spiling, read_spiling
from templates_gen.units import UnitName
from tests import boats

PLACES = ("fore", "1", "half-way 1-2", "2", "3", "aft")
GOOD = """format = 1
strake = 5
batten = 3
[lower]
fore = [10, -40]
1 = [600, -35]
2 = [1200, -30]
aft = [3500, -42.5]
[upper]
fore = [12, 60]
1 = [601, 62]
half-way 1-2 = [900, 64]
aft = [3500, 50]
""".replace("half-way 1-2 =", '"half-way 1-2" =')
ARCS = """format = 1
strake = 5
radius = 60
[lower]
fore = [[-20, 0], [40, 0]]
1 = [[570, 0], [630, 0]]
2 = [[1170, 0], [1230, 0], 50]
aft = [3500, -42.5]
[upper]
fore = [[-20, 0], [40, 0]]
1 = [[570, 0], [630, 0]]
2 = [[1170, 0], [1230, 0]]
aft = [3500, 50]
"""


def read(text: str, tmp_path: Path) -> Spiling:
    path = tmp_path / "spiling.toml"
    path.write_text(text, encoding="utf-8")
    return read_spiling(path, boats.dinghy(), 5, PLACES)


def test_points_and_arcs_may_stand_side_by_side(tmp_path: Path) -> None:
    spiling = read(ARCS, tmp_path)
    assert spiling.points["lower"]["aft"].tolist() == [3500.0, -42.5]
    assert {place: arcs.radius for place, arcs in spiling.arcs["lower"].items()} == {
        "fore": 60.0,
        "1": 60.0,
        "2": 50.0,
    }
    assert read(GOOD, tmp_path).batten == 3.0


def test_eighths_of_an_inch_are_converted(tmp_path: Path) -> None:
    # 8 eighths are an inch, 25.4 mm (international inch, 1959).
    spiling = read(
        GOOD.replace("format = 1", 'format = 1\nunits = "eighths"').replace("3500, 50", "8000, 16"), tmp_path
    )
    assert spiling.points["upper"]["aft"] == pytest.approx([25400.0, 50.8])
    assert spiling.batten == pytest.approx(9.525)


BAD = [
    (GOOD.replace("strake = 5", "strake = 6"), "strake", "strake 5 is to be made"),
    (
        GOOD.replace("\n2 = [1200", "\n7 = [1200").replace("aft = [3500, -42.5]", "aft = [3500, 1]\n2 = [9, 1]"),
        "lower.7",
        "no place called 7",
    ),
    (GOOD.replace("\n2 = [1200, -30]", ""), "lower", "has 3 points"),
    (GOOD.replace("600, -35", "600, 135"), "upper.1", "is not above the lower line"),
    (GOOD.replace("1200, -30", "200, -30"), "lower.2", "2 is forward of 1 along the batten"),
    (GOOD.replace("600, -35", "600"), "lower.1", "neither a point nor two centres"),
    (GOOD.replace("600, -35", "600, nan"), "lower.1", "not a finite number"),
    (GOOD.replace("600, -35", "[600, 1], 7"), "lower.1", "neither a point nor two centres"),
    (GOOD.replace("batten = 3", "batten = 300"), "batten", "a batten this thick does not bend"),
    (GOOD.replace("batten = 3", "baten = 3"), "baten", "did you mean batten?"),
    (GOOD.replace("batten = 3", 'side = "larboard"'), "side", '"port" or "starboard"'),
    (GOOD.replace("strake = 5", 'strake = "five"'), "strake", "must be the number of the strake"),
    (ARCS.replace("radius = 60\n", ""), "lower.fore", "two arcs need a radius"),
    (ARCS.replace("radius = 60", "radius = 25"), "lower.fore", "arcs of radius 25 mm cannot meet"),
    (ARCS.replace("radius = 60", "radius = 0"), "radius", "is not more than 0"),
    (ARCS.replace("[[-20, 0], [40, 0]]", "[[40, 0], [-20, 0]]"), "lower.fore", "the arcs are crossed"),
    (ARCS.replace("[[-20, 0], [40, 0]]", "[[40, 0], [40, 0]]"), "lower.fore", "the same centre"),
    (ARCS.replace("1 = [[570, 0], [630, 0]]", "1 = [[1570, 0], [1630, 0]]"), "lower.2", "not exchanged"),
    (GOOD.replace("format = 1", 'format = 1\nhull = "1"'), "hull", "another hull file"),
    ("", "", "has no"),
]


@pytest.mark.parametrize(
    ("units", "along", "up"),
    # 1200 mm are 47 1/4 in and -35 mm 1 3/8 in, within 1/32 in, at 25.4 mm to the inch (international inch, 1959)
    [("mm", "1200 mm", "-35 mm"), ("in", "47 1/4 in", "-1 3/8 in"), ("ft-in-8", "3-11-2", "0-1-3")],
)
def test_what_is_expected_on_the_batten_is_in_the_boats_units(
    units: UnitName, along: str, up: str, tmp_path: Path
) -> None:
    path = tmp_path / "spiling.toml"
    text = GOOD.replace("format = 1", 'format = 1\nunits = "mm"').replace("601, 62", "601, -36")
    path.write_text(text.replace("aft = [3500, -42.5]", "aft = [1100, -42.5]"), encoding="utf-8")
    with pytest.raises(HullFileError) as raised:
        read_spiling(path, replace(boats.dinghy(), units=units), 5, PLACES)
    expected = {fault.key: fault.expected for fault in raised.value.faults}
    assert expected == {"lower.aft": f"more than {along} along", "upper.1": expected["upper.1"]}
    assert up in expected["upper.1"]
    assert units == "mm" or "mm" not in expected["upper.1"]


@pytest.mark.parametrize(("text", "key", "words"), BAD)
def test_every_fault_is_reported_with_its_place(text: str, key: str, words: str, tmp_path: Path) -> None:
    with pytest.raises(HullFileError) as raised:
        read(text, tmp_path)
    found = raised.value.faults
    assert any(fault.key == key and words in fault.text for fault in found) or (
        not text and len(found) == 4 and all(words in fault.text for fault in found)
    ), [(fault.key, fault.text) for fault in found]
