"""Sound hull files: what is read of them, in mm, with their defaults."""

import hashlib
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest
from pydantic import BaseModel

from templates_gen.errors import HullFileError
from templates_gen.hull.model import Hull, Stem, Transom
from templates_gen.hull.reader import read_hull
from templates_gen.hull.schema import RowsTable, Table

Written = Callable[[str | bytes], Path]
Spoilt = Callable[..., str]


def test_a_hull_in_millimetres_is_read_as_it_is_written(sound: str, written: Written) -> None:
    hull = read_hull(written(sound))
    assert (hull.name, hull.units, hull.lines_to, hull.edition) == ("Small", "mm", "inside", "2026-03")
    assert hull.waterline == 150.0
    assert [(one.name, one.at, one.mould) for one in hull.stations] == [
        ("1", 500.0, True),
        ("2", 1000.0, True),
        ("3", 1500.0, False),
    ]
    assert hull.stations[0].rabbet.tolist() == [20.0, 60.0]
    assert hull.stations[2].section.tolist() == [[50.0, 80.0], [250.0, 180.0], [400.0, 480.0]]
    assert isinstance(hull.fore, Stem)
    assert hull.fore.rabbet.tolist() == [[300.0, 60.0], [100.0, 300.0], [0.0, 600.0]]
    assert isinstance(hull.aft, Transom)
    assert hull.aft.profile.tolist() == [[2000.0, 140.0], [2100.0, 520.0]]
    assert hull.end("fore") is hull.fore
    assert {name: row.tolist() for name, row in hull.lands.at.items()} == {
        "1": [200.0, 500.0],
        "2": [250.0, 600.0],
        "3": [240.0, 570.0],
        "fore": [250.0, 590.0],
        "aft": [180.0, 460.0],
    }


def test_what_is_left_out_has_the_default_of_the_trade(sound: str, written: Written) -> None:
    hull = read_hull(written(sound))
    assert hull.planking.method == "riveted"
    assert hull.planking.thickness == (9.0, 9.0)
    assert hull.planking.lap == 18.0  # twice the thickness
    assert hull.planking.least_edge == (4.5, 4.5)
    assert hull.planking.hood == 60.0
    assert hull.planking.gerald_aft is None
    assert (hull.moulds.thickness, hull.moulds.edge) == (18.0, "faceted")
    assert hull.moulds.base == 750.0  # highest sheer 600, at the stem, and 150
    assert (hull.allowances.transom, hull.allowances.hood, hull.allowances.sheer) == (40.0, 10.0, 5.0)
    assert isinstance(hull.aft, Transom)
    assert (hull.aft.radius, hull.aft.joint, hull.aft.lip) == (0.0, "bevel", 0.0)
    assert isinstance(hull.fore, Stem)
    assert (hull.fore.joint, hull.fore.face) == ("rebate", None)


def test_a_glued_lap_is_three_thicknesses_of_the_thickest_strake(spoilt: Spoilt, written: Written) -> None:
    hull = read_hull(
        written(spoilt(("strakes = 2\nthickness = 9.0", 'method = "glued"\nstrakes = 2\nthickness = [12.0, 9.0]')))
    )
    assert hull.planking.lap == 36.0
    assert hull.planking.hood == 108.0  # three laps
    assert hull.planking.thickness == (12.0, 9.0)
    assert hull.planking.least_edge == (6.0, 4.5)


def test_a_rebated_transom_leaves_a_third_of_its_thickness_as_a_lip(spoilt: Spoilt, written: Written) -> None:
    hull = read_hull(written(spoilt(("thickness = 20.0", 'thickness = 21.0\njoint = "rebate"'))))
    assert isinstance(hull.aft, Transom)
    assert hull.aft.lip == 7.0


def test_the_building_line_stands_on_the_next_ten_millimetres(spoilt: Spoilt, written: Written) -> None:
    hull = read_hull(written(spoilt(("[0.0, 600.0]]", "[0.0, 601.0]]"))))
    assert hull.moulds.base == 760.0


@pytest.mark.parametrize(
    ("where", "top"), [("[200.0, 200.0], [300.0, {}]]", 500.0), ("[200.0, 250.0], [300.0, {}]]", 500.0)]
)
def test_the_building_line_clears_the_sheer_at_stations_and_at_ends(
    spoilt: Spoilt, written: Written, where: str, top: float
) -> None:
    # at the first station, and at the transom: upside down, the boat stands on what is highest
    hull = read_hull(written(spoilt((where.format(top), where.format(700.0)))))
    assert hull.moulds.base == 850.0


def test_the_rest_may_be_left_out(spoilt: Spoilt, written: Written) -> None:
    keel = '[keel]\njoint = "rebate"\nsiding = 40.0\nwood_inside = 30.0\n'
    hull = read_hull(written(spoilt((keel, ""), ("waterline = 150.0\n", ""), ('edition = "2026-03"\n', ""))))
    assert (hull.keel.joint, hull.keel.siding, hull.keel.hog, hull.keel.wood_inside) == ("rebate", None, None, None)
    assert hull.waterline is None
    assert hull.edition is None


def test_a_pram_that_is_lined_off_needs_neither_rows_nor_geralds(spoilt: Spoilt, written: Written) -> None:
    text = spoilt(
        (
            'kind = "stem"\nsiding = 36.0\nrabbet = [[300.0, 60.0], [100.0, 300.0], [0.0, 600.0]]\n'
            "wood_inside = 60.0",
            'kind = "transom"\nprofile = [[50.0, 140.0], [0.0, 520.0]]\nthickness = 18.0\nradius = 900.0\n'
            "rabbet = [18.0, 150.0]\nsection = [[40.0, 170.0], [200.0, 250.0], [250.0, 500.0]]",
        ),
        ("[planking.gerald]\nfore = 300.0\n", ""),
    )
    hull = read_hull(written(text.split("[lands]")[0] + '[lands]\nby = "even"\ngarboard = 1.2\n'))
    assert isinstance(hull.fore, Transom)
    assert hull.fore.radius == 900.0
    assert hull.planking.gerald_fore is None
    assert (hull.lands.by, hull.lands.at, hull.lands.garboard, hull.lands.sheer) == ("even", {}, 1.2, 1.0)


def test_lands_by_offsets_are_points_and_heights_on_a_stem(sound: str, written: Written) -> None:
    rows = """[lands]
by = "offsets"
1 = [[210.0, 220.0], [300.0, 500.0]]
2 = [[310.0, 160.0], [450.0, 450.0]]
3 = [[260.0, 190.0], [400.0, 480.0]]
fore = [250.0, 590.0]
aft = [[210.0, 260.0], [300.0, 500.0]]
"""
    hull = read_hull(written(sound.split("[lands]")[0] + rows))
    assert hull.lands.at["1"].tolist() == [[210.0, 220.0], [300.0, 500.0]]
    assert hull.lands.at["fore"].tolist() == [250.0, 590.0]


def lengths_of(value: object) -> list[float]:
    """Return every number in a record of the model, in the order of its fields."""
    if isinstance(value, np.ndarray):
        return [float(one) for one in value.ravel()]
    if isinstance(value, float):
        return [value]
    if isinstance(value, tuple):
        return [one for item in value for one in lengths_of(item)]
    if isinstance(value, dict):
        return [one for item in value.values() for one in lengths_of(item)]
    if hasattr(value, "__dataclass_fields__"):
        return [one for field in fields(value) for one in lengths_of(getattr(value, field.name))]  # type: ignore[arg-type]
    return []


def test_the_same_boat_in_inches_has_the_same_lengths_in_mm(sound: str, written: Written) -> None:
    in_mm = lengths_of(read_hull(written(sound)))
    text = re.sub(r"\d+\.\d+", lambda found: f"{float(found[0]) / 25.4!r}", sound).replace('"mm"', '"in"')
    in_inches = lengths_of(read_hull(written(text)))
    assert len(in_mm) == len(in_inches) > 60
    assert in_inches == pytest.approx(in_mm, abs=1e-9)


def test_the_comparison_of_lengths_sees_a_length_that_differs(spoilt: Spoilt, sound: str, written: Written) -> None:
    in_mm = lengths_of(read_hull(written(sound)))
    other = lengths_of(read_hull(written(spoilt(("[300.0, 60.0]", "[300.0, 60.1]")))))
    assert other != pytest.approx(in_mm, abs=1e-9)


def test_arrays_cannot_be_changed_after_reading(sound: str, written: Written) -> None:
    hull = read_hull(written(sound))
    with pytest.raises(ValueError, match="read-only"):
        hull.stations[0].section[0, 0] = 1.0


def test_the_fingerprint_is_that_of_the_bytes(sound: str, written: Written) -> None:
    path = written(sound)
    assert read_hull(path).fingerprint == hashlib.sha256(path.read_bytes()).hexdigest()[:8]
    assert read_hull(written(sound + "\n")).fingerprint != read_hull(written(sound)).fingerprint


def test_a_byte_order_mark_and_other_line_ends_make_no_difference(sound: str, written: Written) -> None:
    plain = read_hull(written(sound))
    marked = read_hull(written(b"\xef\xbb\xbf" + sound.replace("\n", "\r\n").encode()))
    assert lengths_of(marked) == lengths_of(plain)


def test_a_name_in_any_script_is_read(spoilt: Spoilt, written: Written) -> None:
    assert read_hull(written(spoilt(('"Small"', '"Łódź Чайка No. 3, \\"b\\""')))).name == 'Łódź Чайка No. 3, "b"'


def test_reading_hulls_loads_no_heavy_library() -> None:
    code = "import sys, templates_gen.hull.reader; print(sorted(m for m in sys.modules if '.' not in m))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert "'pydantic'" in loaded
    for heavy in ("scipy", "reportlab", "ezdxf", "typer"):
        assert f"'{heavy}'" not in loaded


def test_every_key_says_what_it_holds() -> None:
    tables: list[type[BaseModel]] = [*Table.__subclasses__(), RowsTable]
    for table in tables:
        for key, field in table.model_fields.items():
            assert field.description, f"{table.__name__} {key}"


def hull_files() -> list[Path]:
    return sorted((Path(__file__).parents[2] / "hulls").glob("*.toml"))


@pytest.mark.parametrize("path", hull_files(), ids=lambda path: path.stem)
def test_every_hull_file_of_the_project_is_sound(path: Path) -> None:
    assert isinstance(read_hull(path), Hull)


def test_a_fault_is_an_error_that_is_also_a_value_error(written: Written) -> None:
    with pytest.raises(ValueError, match="no format") as raised:
        read_hull(written(""))
    assert isinstance(raised.value, HullFileError)
