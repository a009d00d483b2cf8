"""What is usual: every figure of the schema has a band or a reason, honest boats keep to them, and slips do not.

The bounds of each band are the trade's (their sources stand in the table); the slips here are those of other hands.
"""

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

import pytest
from pydantic import BaseModel

from templates_gen import pipeline
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.hull.schema import HullTable, RowsTable
from templates_gen.report.finding import Finding
from templates_gen.report.usual.sizes import SIZES
from templates_gen.report.usual.unusual import unusual

ROOT = Path(__file__).parents[2]
HULLS, DATA = ROOT / "hulls", ROOT / "tests" / "data"
DEMONSTRATION = ("dinghy", "pram", "double_ender", "faering")

WITHOUT_BAND = {
    ("format",): "the file's own number, always 1",
    ("station", "at"): "compared with the equal spaces of all other stations, and tried for fairness",
    ("station", "section"): "tried for fairness",
    ("fore", "rabbet"): "compared with the curve of its own points, and its ends with the stations",
    ("fore", "section"): "compared with the curve of its own points, and its ends with the stations",
    ("inside", "at"): "refused outside the boat, and where it crosses a stem or a transom",
    ("inside", "bottom"): "refused where there is no planking",
    ("inside", "top"): "refused where there is no planking, and above the sheer",
    ("inside", "arm"): "the builder's own measure; refused where it is too long for the boat",
    ("inside", "transom_arm"): "the builder's own measure",
    ("inside", "throat"): "the builder's own measure; refused where edges meet",
    ("inside", "tip"): "the builder's own measure; refused where edges meet",
    ("inside", "below"): "refused below the sheer strake",
    ("inside", "fore"): "refused outside the boat, and where it crosses a stem",
    ("inside", "aft"): "refused outside the boat, and where it crosses a transom",
    ("inside", "height"): "refused where there is no planking, and above the sheer",
    ("lands", "pins"): "lands are tried for fairness, and pins compared with the lap",
    ("lands", "row"): "lands are tried for fairness",
}


def numeric_keys(table: type[BaseModel], path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """Yield the key of every number of a table of the schema, lists left out."""
    for name, field in table.model_fields.items():
        yield from _numbers((*path, name), field.annotation)
    if table is RowsTable:
        yield (*path, "row")


def _numbers(path: tuple[str, ...], kind: Any) -> Iterator[tuple[str, ...]]:
    if get_origin(kind) in (Annotated,):
        yield from _numbers(path, get_args(kind)[0])
    elif get_origin(kind) in (list, dict, Union, UnionType):
        for part in get_args(kind):
            yield from _numbers(path, part)
    elif isinstance(kind, type) and issubclass(kind, BaseModel):
        yield from numeric_keys(kind, path)
    elif kind in (int, float) or (
        get_origin(kind) is not None and any(isinstance(one, int) for one in get_args(kind))
    ):
        yield path


def test_every_number_of_the_schema_has_a_band_or_a_reason_why_not() -> None:
    keys = {("fore", *key[1:]) if key[0] == "aft" else key for key in numeric_keys(HullTable)}
    assert len(keys) > 30
    banded = {band.pattern for band in SIZES}
    assert keys - banded - set(WITHOUT_BAND) == set()
    assert set(WITHOUT_BAND) - keys == set()
    assert banded - keys == set()


def test_every_band_has_a_source_and_bounds_in_order() -> None:
    assert [band.pattern for band in SIZES if not band.source or band.low >= band.high] == []


@pytest.mark.parametrize("name", DEMONSTRATION)
def test_the_demonstration_hulls_are_usual(name: str) -> None:
    assert unusual(read_hull(HULLS / f"{name}.toml")) == ()


def test_the_table_of_1889_is_usual() -> None:
    assert unusual(read_hull(DATA / "american_cruising_canoe.toml")) == ()


@cache
def slipped(name: str, old: str, new: str, count: int = 1) -> tuple[Finding, ...]:
    """What is unusual of a demonstration hull with one piece of its text changed, the nth of its kind."""
    text = (HULLS / f"{name}.toml").read_text(encoding="utf-8")
    parts = text.split(old)
    assert len(parts) > count
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "boat.toml")
        path.write_text(old.join(parts[:count]) + new + old.join(parts[count:]), encoding="utf-8")
        return unusual(read_hull(path))


SLIPS = (
    ("dinghy", "waterline = 240.0", "waterline = 420.0", ("waterline",), "240.0", 1),
    ("dinghy", "hog = [96.0, 21.0]", "hog = [96.0, 210.0]", ("keel", "hog", 1), "21", 1),
    ("dinghy", "hog = [96.0, 21.0]", "hog = [196.0, 21.0]", ("keel", "hog", 0), "96", 1),
    ("pram", "siding = 40.0", "siding = 140.0", ("keel", "siding"), "40", 1),
    ("dinghy", "siding = 36.0", "siding = 3.6", ("fore", "siding"), "36", 1),
    ("dinghy", "wood_inside = 60.0", "wood_inside = 160.0", ("fore", "wood_inside"), "16", 1),
    ("dinghy", "apron = 48.0", "apron = 480.0", ("fore", "apron"), "48", 1),
    ("dinghy", "thickness = 20.0", "thickness = 2.0", ("aft", "thickness"), "20", 1),
    ("pram", "radius = 1800.0", "radius = 18000.0", ("aft", "radius"), "1800", 1),
    ("dinghy", "rabbet = [18.0, 150.0]", "rabbet = [-18.0, 150.0]", ("aft", "rabbet", 0), "18", 1),
    ("dinghy", "rabbet = [22.0, 58.5]", "rabbet = [2.2, 58.5]", ("station", 2, "rabbet", 0), "22", 1),
    ("dinghy", "strakes = 9", "strakes = 1", ("planking", "strakes"), "10", 1),
    ("faering", "thickness = 14.0", "thickness = 41.0", ("planking", "thickness"), "14.0", 1),
    ("faering", "lap = 28.0", "lap = 2.8", ("planking", "lap"), "28", 1),
    ("pram", "lap = 18.0", "lap = 81.0", ("planking", "lap"), "8.1", 1),
    ("pram", "least_edge = 3.0", "least_edge = 0.3", ("planking", "least_edge"), "3", 1),
    ("dinghy", "hood = 60.0", "hood = 600.0", ("planking", "hood"), "60", 1),
    ("dinghy", "fore = 320.0", "fore = 32.0", ("planking", "gerald", "fore"), "320", 1),
    ("double_ender", 'aft = "1-4-0"', 'aft = "4-1-0"', ("planking", "gerald", "aft"), '"1-4-0"', 1),
    ("dinghy", "thickness = 18.0", "thickness = 1.8", ("moulds", "thickness"), "18", 1),
    ("dinghy", "base = 900.0", "base = 9000.0", ("moulds", "base"), "900", 1),
    ("dinghy", "transom = 40.0", "transom = 400.0", ("allowances", "transom"), "40", 1),
    ("double_ender", 'sheer = "0-0-2"', 'sheer = "0-2-0"', ("allowances", "sheer"), '"0-0-2"', 1),
    ("dinghy", "timbers = 150.0", "timbers = 1500.0", ("fastenings", "timbers"), "150", 1),
    ("dinghy", "at = 675.0", "at = 67.5", ("fastenings", "at"), "675", 1),
    ("dinghy", "between = 2", "between = 20", ("fastenings", "between"), "2", 1),
    ("dinghy", "hole = 2.3", "hole = 0.23", ("fastenings", "hole"), "2.3", 1),
    ("dinghy", "at = 1800.0", "at = 1900.0", ("station", 2, "at"), "1800", 1),
    ("double_ender", 'at = "5-3-0"', 'at = "3-5-0"', ("station", 1, "at"), '"5-3-0"', 1),
    ("dinghy", "[110, 300]", "[10, 300]", ("fore", "rabbet", 6, 0), "110", 1),
    ("dinghy", "[109, 199]", "[109, 919]", ("fore", "face", 5, 1), "199", 1),
    ("dinghy", "[145, 132]", "[145, 232]", ("fore", "face", 4, 1), "132", 1),
    ("dinghy", "[6, 768]", "[6, 868]", ("fore", "rabbet", 10, 1), "768", 1),
    ("dinghy", "[3642, 590]", "[3642, 5900]", ("aft", "profile", 1, 1), "590", 1),
    ("pram", "[2540, 144]", "[2540, 244]", ("aft", "profile", 0, 1), "144", 1),
    ("dinghy", "[178, 248]", "[178, 348]", ("aft", "section", 2, 1), "248", 1),
    ("dinghy", "[474, 589]", "[474, 5890]", ("aft", "section", 7, 1), "589", 1),
)


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: f"{slip[0]} {slip[2]}")
def test_a_slip_is_named_with_its_key_and_the_figure_that_was_meant(slip: tuple[Any, ...]) -> None:
    name, old, new, key, meant, count = slip
    found = [finding for finding in slipped(name, old, new, count) if finding.key[: len(key)] == key]
    assert len(found) == 1
    assert found[0].severity == "warning"
    assert found[0].text.endswith(f"did you mean {meant}?") if meant else found[0].text
    assert " usual" in found[0].text or "curve" in found[0].text or "stations" in found[0].text


def test_one_slip_makes_no_other_figure_unusual() -> None:
    several = {
        (name, new): [one.key for one in slipped(name, old, new, count)]
        for name, old, new, _, _, count in SLIPS
        if len(slipped(name, old, new, count)) > 2
    }
    assert several == {}


HOSTILE = {
    "slip_aftneg": (("aft", "rabbet", 0), "18"),
    "slip_apron480": (("fore", "apron"), "48"),
    "slip_at1600": (("station", 2, "at"), "1500"),
    "slip_hog210": (("keel", "hog", 1), "21"),
    "slip_lap1.8": (("planking", "lap"), "18"),
    "slip_profile": (("fore", "profile", 1, 1), "528"),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_slips_of_other_hands_are_named_with_line_and_figure(name: str) -> None:
    hull = pipeline.hull_of(DATA / "hostile" / f"{name}.toml")
    key, meant = HOSTILE[name]
    found = {finding.key: finding for finding in unusual(hull)}
    assert found[key].text.endswith(f"did you mean {meant}?")
    assert hull.line_of(key) > 0


def test_check_and_make_both_warn_with_the_line(tmp_path: Path) -> None:
    path = DATA / "hostile" / "slip_lap1.8.toml"
    for thorough in (False, True):
        found = pipeline.check(pipeline.hull_of(path), thorough).findings
        lap = [finding for finding in found if finding.key == ("planking", "lap")]
        assert lap[0].severity == "warning"
        assert path.read_text(encoding="utf-8").splitlines()[lap[0].line - 1].startswith("lap = 1.8")


def test_what_the_file_leaves_out_is_never_unusual() -> None:
    hull = read_hull(HULLS / "pram.toml")
    assert unusual(replace(hull, allowances=replace(hull.allowances, hood=400.0))) == ()


def test_a_figure_that_keeps_the_boat_from_being_built_comes_first_as_an_error(tmp_path: Path) -> None:
    text = (HULLS / "dinghy.toml").read_text(encoding="utf-8").replace("thickness = 9.0", "thickness = 90.0")
    text = text.replace("lap = 19.0", "lap = 190.0").replace("least_edge = 4.5", "least_edge = 45.0")
    path = tmp_path / "boat.toml"
    path.write_text(text, encoding="utf-8")
    checked = pipeline.check(pipeline.hull_of(path))
    assert checked.boat is None
    assert checked.findings[0].key == ("planking", "thickness")
    assert checked.findings[0].severity == "error"


def spaced(hull: Hull, at: list[float]) -> list[str]:
    stations = tuple(replace(station, at=x) for station, x in zip(hull.stations, at, strict=True))
    return [one.text for one in unusual(replace(hull, stations=stations, source=None)) if "apart" in one.text]


def test_uneven_stations_are_a_boats_own_business_but_one_among_equal_ones_is_not() -> None:
    hull = read_hull(HULLS / "dinghy.toml")
    assert spaced(hull, [600.0, 1100.0, 1800.0, 2300.0, 3000.0]) == []
    assert spaced(hull, [550.0, 1200.0, 1800.0, 2400.0, 3000.0]) == []
    assert spaced(hull, [600.0, 1200.0, 1805.0, 2400.0, 3000.0]) == []
    assert len(spaced(hull, [600.0, 1200.0, 1730.0, 2400.0, 3000.0])) == 1
    assert len(spaced(hull, [600.0, 1200.0, 1800.0, 2400.0, 3100.0])) == 1
