"""Half a boat: its stations up to the midship section, mirrored to a whole boat or cut there."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from typer.testing import CliRunner

from templates_gen.cli import app
from templates_gen.errors import HullFileError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.sections import station_sections
from templates_gen.hull.model import Hull, Midship, Transom
from templates_gen.hull.offsets.half_boats import mirrored_names, whole_hull
from templates_gen.hull.offsets.writing import offsets_csv
from templates_gen.hull.reader import read_hull
from templates_gen.output import MANIFEST
from templates_gen.report.measurements import measurements
from templates_gen.sheets import LIST_NAMES
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.moulds.setting_up import check_columns
from tests.bench.slips import ROOT
from tests.flow import boat_of, checked
from tests.geometry.exact_hulls import hull_of, planking_of
from tests.hull.tables import replaced
from tests.hull.test_land_rows import rows_of
from tests.round_hulls import bilge
from tests.sweep import more

DINGHY = (ROOT / "hulls" / "dinghy.toml").read_text(encoding="utf-8")
MIDDLE = 1800.0
"""Where station 3 of the dinghy stands, mm."""


def half_dinghy(half: str) -> str:
    """The dinghy's stations 1 to 3 as half a boat."""
    after = DINGHY[DINGHY.index('[[station]]\nname = "4"') : DINGHY.index("# ---- Backbone")]
    aft = DINGHY[DINGHY.index("[aft]  ") : DINGHY.index("# ---- Planking")]
    text = replaced(DINGHY, (after, ""), (aft, f'[aft]\nkind = "midship"\nhalf = "{half}"\n\n'))
    return "\n".join(line for line in text.splitlines() if not line.startswith("aft = 280.0")) + "\n"


def whole_dinghy() -> str:
    """The same boat with every mirrored figure written out."""
    text = half_dinghy("mirror")
    stations = text[text.index('[[station]]\nname = "1"') : text.index("# ---- Backbone")]
    one, two, three = (f"[[station]]{block}" for block in stations.split("[[station]]")[1:])
    after = [
        replaced(two, ('name = "2"', 'name = "2 aft"'), ("at = 1200.0", "at = 2400.0")),
        replaced(one, ('name = "1"', 'name = "1 aft"'), ("at = 600.0", "at = 3000.0")),
    ]
    rabbet = "[420, 63.5], [318, 70], [262, 79.5], [212, 103.5], [172, 150], [140, 212], [110, 300], [82, 402], "
    rabbet += "[55, 514], [30, 636], [6, 768]"
    mirrored = ", ".join(
        f"[{3600 - float(point.split(',')[0])}, {point.split(',')[1]}]" for point in rabbet[1:-1].split("], [")
    )
    post = f'[aft]\nkind = "stem"\nsiding = 36.0\nwood_inside = 60.0\napron = 48.0\nrabbet = [{mirrored}]\n'
    return replaced(
        text,
        (stations, one + two + three + "".join(after)),
        ('[aft]\nkind = "midship"\nhalf = "mirror"\n', post),
        ("fore = 320.0", "aft = 320.0\nfore = 320.0"),
    )


def read(folder: Path, text: str) -> Hull:
    """The hull of a file's text."""
    path = folder / "half.toml"
    path.write_text(text, encoding="utf-8")
    return read_hull(path)


def numbers(data: Any) -> list[float]:
    """All numbers of plain data, in order."""
    if isinstance(data, dict):
        return [one for value in data.values() for one in numbers(value)]
    if isinstance(data, list):
        return [one for value in data for one in numbers(value)]
    return [float(data)] if isinstance(data, int | float) else []


def test_half_a_boat_mirrored_is_the_boat_with_both_halves_written_out(tmp_path: Path) -> None:
    half, whole = read(tmp_path, half_dinghy("mirror")), read(tmp_path, whole_dinghy())
    assert [station.name for station in half.stations] == ["1", "2", "3", "2 aft", "1 aft"]
    first, second = (measurements(boat_of(hull)) for hull in (half, whole))
    assert first.keys() == second.keys()
    ones, others = np.array(numbers(first)), np.array(numbers(second))
    assert len(ones) == len(others) > 10_000
    assert np.abs(ones - others).max() < 1e-6


def test_a_mirrored_boat_is_alike_at_both_ends(tmp_path: Path) -> None:
    boat = boat_of(read(tmp_path, half_dinghy("mirror")))
    for land in measurements(boat)["lands"]:
        at = {place["place"]: place for place in land["at"]}
        for one, other in (("1", "1 aft"), ("2", "2 aft"), ("fore", "aft")):
            assert at[one]["bevel"] == pytest.approx(at[other]["bevel"], abs=0.01)
            assert at[one]["x"] + at[other]["x"] == pytest.approx(2 * MIDDLE, abs=0.01)


def test_a_mirrored_boat_has_one_pattern_for_both_of_two_moulds(tmp_path: Path) -> None:
    boat = boat_of(read(tmp_path, half_dinghy("mirror")))
    pieces = mould_pieces(boat)
    assert [piece.name for piece in pieces] == ["mould 1", "mould 2", "mould 3"]
    assert "make two more for station 1 aft; turn them end for end there" in pieces[0].title
    assert [place.station for place in pieces[0].serves] == ["1", "1 aft"]
    assert len(pieces[2].serves) == 1
    # they all stand on the building line, and each is checked
    assert [column.name for column in check_columns(boat)][1:-1] == [
        f"mould {n}" for n in ("1", "2", "3", "2 aft", "1 aft")
    ]


def prism_half() -> Hull:
    """Half of a prism that ends on an upright transom at x = 0 and is cut at x = 3000."""
    whole = bilge(9, 19.0)
    row = station_sections(whole)[0].girth * np.linspace(0.16, 1.0, 9)
    lands = replace(whole.lands, by="girth", at=dict.fromkeys(("fore", "1", "2", "3", "4", "5"), row))
    return whole_hull(replace(whole, half="cut", lands=lands))


def test_a_cut_prism_has_planks_of_the_length_from_end_to_cut() -> None:
    # closed form: every strake of a prism is a rectangle, and the last of the stations, 600 to 3000, is the cut
    boat = boat_of(prism_half())
    assert isinstance(boat.hull.aft, Midship)
    for strake in boat.strakes:
        aft, fore = strake.end("aft"), strake.end("fore")
        assert np.ptp(aft[:, 0]) == pytest.approx(0.0, abs=1e-6)
        assert aft[0, 0] - fore[0, 0] == pytest.approx(3000.0, abs=1e-6)
    assert [transom.end for transom in boat.transoms] == ["fore"]


def test_a_cut_prism_has_the_mould_of_its_midship_section() -> None:
    boat = boat_of(prism_half())
    assert [shape.station.name for shape in boat.moulds] == ["1", "2", "3", "4", "5"]
    assert np.abs(boat.moulds[-1].outline - boat.moulds[0].outline).max() < 1e-6
    pieces = mould_pieces(boat)
    assert pieces[-1].name == "mould 5"
    assert "the mould is on the FORWARD side of the line" in " ".join(pieces[-1].title)
    assert check_columns(boat)[-1].name == "mould 5"
    assert check_columns(boat)[-1].points[:, 0] == pytest.approx(3000.0)


def parabolic(half: bool) -> Boat:
    """A double-ended prismatic hull that narrows as a parabola of x, whole or cut at its middle, lands by offsets."""
    middle = 2000.0

    def points(x: float, rows: int) -> np.ndarray[Any, np.dtype[np.float64]]:
        share = 1.0 - 0.12 * ((x - middle) / middle) ** 2
        angles = np.linspace(0.0, 1.2, rows + 1)
        ring = np.column_stack([100.0 + 420.0 * np.sin(angles), 80.0 + 420.0 * (1.0 - np.cos(angles))])
        return np.asarray(ring * np.array([share, 1.0]))

    base = bilge(5, 19.0)
    assert isinstance(base.fore, Transom)
    transom = base.fore
    stations = tuple(
        replace(base.stations[0], name=str(i + 1), at=x, rabbet=points(x, 5)[0], section=points(x, 20))
        for i, x in enumerate(np.linspace(400.0, 3600.0, 9).tolist())
    )
    ends = {
        end: replace(
            transom, profile=np.array([[x, 60.0], [x, 500.0]]), rabbet=points(x, 5)[0], section=points(x, 20)
        )
        for end, x in (("fore", 0.0), ("aft", 4000.0))
    }
    rows = {station.name: points(station.at, 5)[1:] for station in stations}
    rows |= {"fore": points(0.0, 5)[1:], "aft": points(4000.0, 5)[1:]}
    hull = hull_of("parabolic", stations, ends["fore"], ends["aft"], planking_of(5, 9.0, 19.0), base.lands)  # type: ignore[arg-type]
    hull = replace(hull, lands=replace(base.lands, by="offsets", at=rows))
    if half:
        kept = {name: row for name, row in rows.items() if name in ("1", "2", "3", "4", "5", "fore")}
        lands = replace(hull.lands, at=kept)
        hull = whole_hull(replace(hull, stations=stations[:5], lands=lands, half="cut"))
    return boat_of(hull)


def test_the_fore_half_of_a_symmetric_boat_is_the_same_whole_and_cut() -> None:
    whole, half = parabolic(False), parabolic(True)
    for one, other in zip(measurements(whole)["lands"], measurements(half)["lands"], strict=True):
        for name in ("fore", "1", "2", "3", "4"):
            ones, others = ({p["place"]: p for p in land["at"]}[name] for land in (one, other))
            assert ones["bevel"] == pytest.approx(others["bevel"], abs=0.01)
            assert ones["take_off"] == pytest.approx(others["take_off"], abs=0.01)
        middle = {p["place"]: p for p in one["at"]}["5"]
        cut = {p["place"]: p for p in other["at"]}["aft"]
        assert middle["bevel"] == pytest.approx(cut["bevel"], abs=0.01)
        assert cut["x"] == pytest.approx(2000.0, abs=1e-6)
    for mould, same in zip(whole.moulds[:5], half.moulds, strict=True):
        assert np.abs(mould.land_marks - same.land_marks).max() < 1e-6
    keel = [{r.place: r.angle for r in boat.rebates if r.on == "keel"} for boat in (whole, half)]
    assert keel[1]["5"] == pytest.approx(keel[0]["5"], abs=1e-3)


def test_make_writes_every_file_of_half_a_boat_but_a_transom(tmp_path: Path) -> None:
    path = tmp_path / "half.toml"
    path.write_text(half_dinghy("cut"), encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(path), "--out", str(tmp_path / "out"), "--paper", "a1"])
    assert result.exit_code == 0, result.output
    kinds = ("moulds", "bevels", "rebates", "strakes")
    files = {f"{kind}.{ending}" for kind in kinds for ending in ("pdf", "dxf")} | set(LIST_NAMES)
    assert {file.name for file in (tmp_path / "out").iterdir()} == files | {MANIFEST}


@pytest.mark.parametrize("half", ["mirror", *more("cut")])
def test_what_is_written_of_half_a_boat_is_read_again_as_the_same_half(half: str, tmp_path: Path) -> None:
    hull = read(tmp_path, half_dinghy(half))
    lands = half_dinghy(half)
    again = read(tmp_path, lands[: lands.index("[lands]\n")] + rows_of(hull))
    for one, other in zip(boat_of(hull).moulds, boat_of(again).moulds, strict=True):
        assert one.land_marks == pytest.approx(other.land_marks, abs=0.1)
    heading = offsets_csv(hull, "mm").splitlines()[0]
    assert heading == "measure,line,1,2,3"


@pytest.mark.parametrize("half", ["cut", *more("mirror")])
def test_the_lands_that_are_kept_of_half_a_boat_are_rows_of_the_given_half(half: str, tmp_path: Path) -> None:
    before = read(tmp_path, half_dinghy(half))
    result = CliRunner().invoke(app, ["line-off", str(tmp_path / "half.toml"), "--keep"])
    assert result.stderr.startswith("4 rows written")  # three stations and the stem
    after = read_hull(tmp_path / "half.toml")
    for one, other in zip(boat_of(before).moulds, boat_of(after).moulds, strict=True):
        assert one.land_marks == pytest.approx(other.land_marks, abs=0.1)


def test_what_cures_one_stem_of_a_mirrored_boat_is_written_for_the_given_end_and_cures_both(tmp_path: Path) -> None:
    read(tmp_path, replaced(half_dinghy("mirror"), ("siding = 36.0", "siding = 16.0")))
    errors = checked(tmp_path / "half.toml").errors
    assert [error.place.split(",")[0] for error in errors] == ["stem", "sternpost"]
    (words,) = {error.cure.words for error in errors if error.cure is not None}
    assert words.startswith("[fore] siding = ")
    read(tmp_path, replaced(half_dinghy("mirror"), ("siding = 36.0", words.removeprefix("[fore] "))))
    assert checked(tmp_path / "half.toml").errors == ()


def test_rows_and_pins_of_the_midship_section_hold_at_the_cut(tmp_path: Path) -> None:
    text = half_dinghy("cut") + "[lands.pins]\n3 = { 2 = 250.0 }\nfore = { 1 = 200.0 }\n"
    hull = read(tmp_path, text)
    assert hull.lands.pins == {"fore": {1: 200.0}, "aft": {2: 250.0}}
    mirrored = read(tmp_path, replaced(text, ('"cut"', '"mirror"')))
    assert mirrored.lands.pins == {"3": {2: 250.0}, "fore": {1: 200.0}, "aft": {1: 200.0}}


@pytest.mark.parametrize(
    ("changes", "message", "expected"),
    [
        ((('half = "cut"\n', ""),), "[aft] has no half; add it", '"mirror"'),
        ((('half = "cut"', 'half = "both"'),), "half of [aft] must be", '"mirror"'),
        (
            (("fore = 320.0", "fore = 320.0\naft = 300.0"),),
            "[planking.gerald] aft does not go with half a boat",
            "no aft",
        ),
        ((('kind = "midship"', 'kind = "middle"'),), 'must be "stem", "transom" or "midship"', '"midship"'),
        (
            (('kind = "stem"\njoint = "rebate"  ', 'kind = "midship"\njoint = "rebate"  '),),
            'kind of [fore] must be "stem" or "transom"',
            '"transom"',
        ),
    ],
)
def test_what_is_wrong_with_half_a_boat_is_reported(
    changes: tuple[tuple[str, str], ...], message: str, expected: str, tmp_path: Path
) -> None:
    with pytest.raises(HullFileError) as refused:
        read(tmp_path, replaced(half_dinghy("cut"), *changes))
    assert [message in fault.text for fault in refused.value.faults] == [True]
    assert expected in refused.value.faults[0].expected


@pytest.mark.parametrize("half", ["mirror", "cut"])
def test_a_row_of_the_after_end_has_no_place_in_half_a_boat(half: str, tmp_path: Path) -> None:
    text = half_dinghy(half)
    rows = rows_of(read(tmp_path, text))
    with pytest.raises(HullFileError) as refused:
        read(tmp_path, text[: text.index("[lands]\n")] + rows + "aft = [1, 2, 3, 4, 5, 6, 7, 8, 9]\n")
    assert [fault.text for fault in refused.value.faults] == [
        "[lands] row aft does not go with half a boat, whose after end follows from the forward half; take it out"
    ]


def test_mirrored_stations_have_names_of_their_own_that_fit_on_the_sheets() -> None:
    names = ["1", "1 aft", "a station of 20 let.", "3"]
    found = mirrored_names(names)
    assert list(found) == names[:-1]
    assert not set(found.values()) & set(names)
    assert len(set(found.values())) == 3
    assert all(len(name) <= 20 for name in found.values())
