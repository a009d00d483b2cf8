"""Moulds that stand out of their places: where the lands then run, what is reported of it, and what is made."""

from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from scipy.interpolate import CubicSpline

from templates_gen.at_boat.as_built import AsBuiltChecked, as_built_files
from templates_gen.geometry.as_built.boat import as_built_boat, places_along
from templates_gen.geometry.as_built.moulds import MouldsAsTheyStand, _clear, humps, standing, too_far
from templates_gen.geometry.flat_strakes import flat_strake
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake
from templates_gen.hull.measured.moulds import Offset, StandingMould, way_words
from templates_gen.hull.reader import read_hull
from templates_gen.notation import notation_of
from templates_gen.paper.sheet import sheet
from templates_gen.sheets import Printing
from templates_gen.templates.corrections import correction
from tests.at_boat.simulated_sides import hung_on_both_sides, mishaps_of
from tests.flow import checked_as_built, shell_of
from tests.geometry.straight_boats import CLOSING, MIDDLE, RABBET, RISING, SECTION, prism, straight_boat
from tests.sweep import sweep

HULLS = Path(__file__).resolve().parents[2] / "hulls"
PRAM = HULLS / "pram.toml"


def built(off: Offset, mould: str = "2", *strakes: HungStrake) -> AsBuilt:
    return AsBuilt(strakes, moulds=(StandingMould(mould, off, off),))


def tangents(marks: np.ndarray) -> np.ndarray:
    """Unit tangents at the marks of the cubic through the rabbet and them by their chords, by scipy."""
    points = np.vstack([RABBET, marks])
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    along = CubicSpline(run, points)(run[1:], 1)
    return np.asarray(along / np.linalg.norm(along, axis=1)[:, None])


def test_a_mould_that_stands_as_drawn_changes_nothing() -> None:
    drawn = prism(0.0)
    stand = standing(drawn, AsBuilt())
    assert not stand.out_of_place
    assert not stand.drawn_lands.any()
    assert as_built_boat(drawn, AsBuilt()).hull.stations == drawn.hull.stations


@pytest.mark.parametrize("by", [4.0, -3.0])
def test_on_a_boat_of_one_section_a_mould_moved_along_the_boat_carries_no_land(by: float) -> None:
    drawn = prism(0.0)
    stand = standing(drawn, built((by, 0.0, 0.0)))
    assert stand.out_of_place == (2,)
    assert stand.drawn_lands == pytest.approx(np.zeros((4, 5)), abs=1e-9)
    assert stand.proud == pytest.approx(np.zeros((4, 5)), abs=1e-9)
    hull = as_built_boat(drawn, built((by, 0.0, 0.0))).hull
    assert [station.at for station in hull.stations] == [500.0, 1000.0 + by, 1500.0]


@pytest.mark.parametrize("up", [5.0, -5.0])
def test_a_mould_too_high_has_its_marks_brought_back_to_the_height_of_the_lands(up: float) -> None:
    # A mark on an edge that leans at the angle a from the level comes down by `up` when it slides up / sin a along
    # it; where the edge leans less than 45 degrees it slides less, but always down a mould that is too high.
    stand = standing(prism(0.0), built((0.0, 0.0, up)))
    lands = stand.drawn_lands[:, 2]
    assert np.sign(lands).tolist() == [-np.sign(up)] * 4
    along = tangents(SECTION[1:])
    assert lands[2:] == pytest.approx(-up / along[2:, 1])
    # a mould too high of a boat that flares stands inside the drawn planking, by the cosine of that angle
    assert stand.proud[:, 2] == pytest.approx(-up * along[:, 0])
    assert not stand.drawn_lands[:, [0, 1, 3, 4]].any()


def test_a_mould_forward_of_its_station_is_held_against_the_land_where_it_stands() -> None:
    # Straight lands: 20 mm forward of the station a land is lower by 20 times its rise, in closed form. A steep edge
    # is met again at that height.
    stand = standing(straight_boat(CLOSING), built((-20.0, 0.0, 0.0)))
    along = tangents(MIDDLE[1:])
    assert stand.drawn_lands[2:, 2] == pytest.approx(-20.0 * RISING[2:] / along[2:, 1])
    # square to the edge: of the lands' fall what lies across it, less what they close in by
    assert stand.proud[:, 2] == pytest.approx(-20.0 * (RISING * along[:, 0] - CLOSING * along[:, 1]))


def test_lined_off_anew_the_lands_of_a_boat_run_at_their_drawn_heights_over_a_mould_that_is_out() -> None:
    drawn = shell_of(read_hull(PRAM))
    for off in ((0.0, 5.0, 0.0), (-8.0, 0.0, 4.0)):
        result = as_built_boat(drawn, built(off, "3"))
        new = shell_of(result.hull)
        for k in range(6, drawn.planking.strakes + 1):  # steep there
            mark = new.hung.edges[k - 1].batten.marks[3]
            line = drawn.hung.edges[k - 1].batten
            assert mark[0] == pytest.approx(1500.0 + off[0], abs=1e-6)
            assert mark[2] == pytest.approx(float(line.point(line.at_x(mark[0]))[2]), abs=0.1)
        assert result.off_lands == pytest.approx(np.zeros_like(result.moved), abs=1e-9)


def test_figures_from_a_mould_out_of_its_place_are_no_slips_once_it_is_known() -> None:
    drawn = shell_of(read_hull(PRAM))
    off = (0.0, 0.0, 6.0)
    lands = standing(drawn, built(off, "2")).drawn_lands[:, 2]
    names = ("fore", *(station.name for station in drawn.hull.stations), "aft")
    strakes = tuple(
        HungStrake(k, {name: float(lands[k - 1]) if name == "2" else 0.0 for name in names}) for k in (1, 2, 3)
    )
    known = as_built_boat(drawn, built(off, "2", *strakes))
    assert known.slips == ()
    assert known.off_lands == pytest.approx(np.zeros_like(known.moved), abs=0.2)
    assert len(as_built_boat(drawn, AsBuilt(strakes)).slips) >= 1


def test_a_hump_is_held_against_its_neighbours() -> None:
    along = np.array([[0.0, 100.0, 400.0, 500.0]])
    assert humps(along, np.array([[0.0, 6.0, 8.0, 0.0]])) == pytest.approx(
        np.array([[0.0, 6.0 - 8.0 / 4.0, 8.0 - 6.0 / 4.0, 0.0]])
    )


def test_a_plank_that_would_have_to_be_hollow_stands_off_a_mould() -> None:
    along, drawn = np.arange(0.0, 2500.0, 500.0), np.array([0.0, 10.0, 10.0, 10.0, 0.0])
    proud = np.array([0.0, 0.0, 30.0, 0.0, 0.0])
    found = list(_clear(along, proud, drawn, humps(along[None], proud[None])[0], 3))
    # 30 mm out leaves its neighbours 15 mm inside the straight, which were drawn 10 mm outside it
    assert [(one.mould, one.clear_of, one.by) for one in found] == [(2, 1, 5.0), (2, 3, 5.0)]
    assert [one.cure for one in found] == [-10.0, -10.0]
    proud[2] = -14.0
    (one,) = _clear(along, proud, drawn, humps(along[None], proud[None])[0], 3)
    assert (one.mould, one.clear_of, one.by, one.cure) == (2, 2, 4.0, 4.0)


def test_a_plank_that_bends_too_sharply_over_a_mould_is_named_with_what_cures_it() -> None:
    # Straight planks of 8 mm bend cold to a radius of 800 mm: over a support 500 mm from either neighbour that is
    # 500² / (3 · 800) = 104 mm (a beam on two supports with a load in its middle).
    drawn = prism(0.0)
    along = places_along(drawn)
    none = MouldsAsTheyStand(np.zeros((5, 3)), np.zeros((4, 5)), np.zeros((4, 5)))
    assert too_far(drawn, none, along, 1) == ()
    proud = np.zeros((4, 5))
    proud[3, 2] = 103.0
    shifts = np.zeros((5, 3))
    shifts[2, 1] = 103.0
    assert too_far(drawn, MouldsAsTheyStand(shifts, 0.0 * proud, proud), along, 1) == ()
    proud[3, 2] = 120.0
    (one,) = too_far(drawn, MouldsAsTheyStand(shifts, 0.0 * proud, proud), along, 1)
    assert (one.mould, one.land, one.clear_of) == (2, 4, None)
    assert one.by == pytest.approx(500.0**2 / (3.0 * 120.0))
    assert one.cure == pytest.approx(500.0**2 / (3.0 * 800.0) - 120.0)


def test_how_a_mould_stands_is_written_in_words() -> None:
    mm = notation_of("mm")
    assert way_words((-3.0, 2.0, 0.0), mm) == "2 mm out and 3 mm forward"
    assert way_words((1.0, -2.0, -0.5), mm) == "2 mm in, 0.5 mm toward the keel and 1 mm aft"
    assert way_words((0.0, 0.0, 0.0), mm) == "in its place"
    assert way_words((0.0, 25.4 / 8.0, 0.0), notation_of("ft-in-8")) == "1/8 in out"


def checked(text: str, folder: Path) -> AsBuiltChecked:
    path = folder / "built.toml"
    path.write_text(f'format = 1\nunits = "mm"\n{text}', encoding="utf-8")
    return checked_as_built(PRAM, path)


def test_a_mould_that_is_out_is_reported_with_what_it_does_and_a_cure(tmp_path: Path) -> None:
    result = checked("[mould.3]\nout = 6\n", tmp_path)
    (finding,) = [one for one in result.findings if one.where and one.where.thing == "mould"]
    assert (finding.severity, finding.line, finding.about) == ("warning", 3, "mould")
    assert finding.text.startswith("mould 3 stands 6 mm out: the sheer comes 5.5 mm outside its drawn line there")
    assert "strake 1 runs to a mark shifted by" in finding.text
    assert finding.text.endswith("over it; plane its edge or move it in")
    assert any("strake 1 is next: shift its marks" in one.text for one in result.findings)
    (note,) = [one for one in checked("[mould.3]\ndown = 1\n", tmp_path).findings if one.about == "mould"]
    assert note.severity == "note"
    far = [one.text for one in checked("[mould.3]\nout = 50\n", tmp_path).findings if one.about == "mould"]
    assert len(far) == 2
    assert any("too far out of its place to plank over: strake 8" in text for text in far)


def test_an_error_that_a_mould_out_of_its_place_brings_is_of_the_log_and_not_of_the_drawing(tmp_path: Path) -> None:
    result = checked("[mould.1]\nout = 50\n[mould.2]\nup = 1\n", tmp_path)
    (error,) = result.errors
    assert (Path(error.file).name, error.line, error.about) == ("built.toml", 3, "mould")
    assert error.text.startswith("mould 1 stands 50 mm out, too far out of its place to plank: land 1 cannot be made")
    assert not [one for one in result.findings if one.key == ("planking", "least_edge") and one.severity == "error"]


def test_a_mould_that_stands_to_one_side_parts_the_sides_and_is_on_the_sheet(tmp_path: Path) -> None:
    result = checked("[mould.2.port]\nout = 4\n[mould.2.starboard]\nin = 4\n", tmp_path)
    assert result.starboard is not None
    texts = [one.text for one in result.findings if one.about == "mould"]
    assert any(text.startswith("port side: mould 2 stands 4 mm out") for text in texts)
    assert any(text.startswith("starboard side: mould 2 stands 4 mm in") for text in texts)
    made = as_built_files(result, Printing(sheet("a4", 10.0), to_print="bench"))
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(made.files["strakes.pdf"])]
    text = " ".join(" ".join(pages).split())
    assert "Moulds as they stand: mould 2: 4 mm out." in text
    assert "Moulds as they stand: mould 2: 4 mm in." in text


def test_a_mould_forward_of_its_station_does_not_make_a_strake_longer() -> None:
    # In a boat of one section nothing changes but where along the strake the mark of that mould is.
    drawn = prism(0.0)
    moved = shell_of(as_built_boat(drawn, built((-20.0, 0.0, 0.0))).hull)
    change = correction(flat_strake(drawn, 3), flat_strake(moved, 3))
    assert change.longer["fore"] == pytest.approx(np.zeros(2), abs=0.01)
    assert change.longer["aft"] == pytest.approx(np.zeros(2), abs=0.01)
    assert change.outward["lower"] == pytest.approx(0.0, abs=0.02)
    assert change.outward["upper"] == pytest.approx(0.0, abs=0.02)


@sweep
def test_a_boat_with_a_mould_out_and_a_strake_replaced_is_hung_true(tmp_path: Path) -> None:
    # A tenth of what `python -m tests.bench.bench_sides 10` hangs. The sheer comes as true as its own strake is hung.
    hull = read_hull(PRAM)
    mishaps = mishaps_of(hull, 21)
    laps, sheer = hung_on_both_sides(hull, 21, tmp_path / "each.toml", 3.0, "each", mishaps)
    assert np.percentile(np.abs(laps[:, 1:]), 95.0) <= 0.5 + 0.25
    assert np.abs(laps[:, 1:]).max() <= 1.0 + 0.25
    assert np.abs(sheer).max() <= 3.0
    once, _ = hung_on_both_sides(hull, 21, tmp_path / "once.toml", 3.0, "both", mishaps)
    assert np.sqrt(np.mean(once[:, 1:] ** 2)) > 3.0 * np.sqrt(np.mean(laps[:, 1:] ** 2))
