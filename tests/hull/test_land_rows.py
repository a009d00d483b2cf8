"""A lining-off written as rows: read back it gives the same lands, to the rounding of its units."""

import tomllib
from pathlib import Path

import numpy as np
import pytest

from templates_gen.geometry.land_marks import land_marks
from templates_gen.hull.land_rows import girth_rows
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.pipeline import line_off
from templates_gen.units import MM_PER_INCH

HULLS = Path(__file__).parents[2] / "hulls"


def rows_of(hull: Hull) -> str:
    """The table [lands] of a hull that is lined off anew."""
    marks = line_off(hull, is_anew=True)
    return girth_rows(marks.hull, marks.lands)


def with_lands(name: str, lands: str, units: str | None = None) -> str:
    """The text of one of the project's hull files with another [lands]; an even one where it is "even"."""
    text = (HULLS / f"{name}.toml").read_text(encoding="utf-8").split("[lands]")[0]
    return text + (lands if lands.startswith("[lands]") else f'[lands]\nby = "{lands}"\n')


@pytest.mark.parametrize(("name", "rounding"), [("dinghy", 0.05), ("pram", 0.05), ("double_ender", MM_PER_INCH / 32)])
def test_rows_read_back_give_the_lands_that_were_lined_off(name: str, rounding: float, tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_text(with_lands(name, "even"), encoding="utf-8")
    hull = read_hull(path)
    path.write_text(with_lands(name, rows_of(hull)), encoding="utf-8")
    again = read_hull(path)
    lined, read = land_marks(hull), land_marks(again)
    assert read.stations == pytest.approx(lined.stations, abs=rounding + 0.01)
    # Heights on a stem are rounded as heights: along a rabbet line at 45 degrees that is 1.4 times as much.
    assert read.fore == pytest.approx(lined.fore, abs=1.5 * rounding)
    assert read.aft == pytest.approx(lined.aft, abs=1.5 * rounding)
    assert read.fore[-1] == pytest.approx(lined.fore[-1], abs=1e-6 if name == "dinghy" else 1.5 * rounding)


def test_names_that_are_no_bare_keys_stand_in_quotes(tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_text(with_lands("pram", "even").replace('name = "1"', 'name = "1 ½ \\"a\\""'), encoding="utf-8")
    rows = tomllib.loads(rows_of(read_hull(path)))["lands"]
    assert list(rows) == ["by", '1 ½ "a"', "2", "3", "4", "fore", "aft"]


def test_rows_in_inches_are_inches(tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    text = with_lands("pram", "even")
    path.write_text(text, encoding="utf-8")
    in_mm = tomllib.loads(rows_of(read_hull(path)))["lands"]
    hull = read_hull(path)
    object.__setattr__(hull, "units", "in")
    in_inches = tomllib.loads(rows_of(hull))["lands"]
    for place in ("1", "4", "fore", "aft"):
        assert np.array(in_inches[place]) * MM_PER_INCH == pytest.approx(in_mm[place], abs=0.07)
