"""Ends of the boat out of their places: where the lands meet them, what is reported of it, and what is made."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from templates_gen.about import ENDS, EndName
from templates_gen.at_boat.as_built import AsBuiltChecked, as_built_files
from templates_gen.errors import HullFileError
from templates_gen.geometry.as_built.boat import as_built_boat
from templates_gen.geometry.as_built.moulds import _on_stem, standing
from templates_gen.geometry.fastenings import riveted_timbers
from templates_gen.geometry.flat_strakes import flat_strake
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, place_names
from templates_gen.hull.measured.moulds import Offset, StandingMould
from templates_gen.hull.model import Stem
from templates_gen.hull.reader import read_hull
from templates_gen.paper.sheet import sheet
from templates_gen.report.at_boat.as_built import as_built_findings
from templates_gen.sheets import Printing
from templates_gen.templates import corrections
from templates_gen.templates.corrections import correction, correction_table
from templates_gen.templates.folios import Planked
from templates_gen.templates.still_to_make import AsHung, as_built_table
from tests.at_boat.test_moulds import tangents
from tests.flow import checked_as_built, shell_of
from tests.geometry.straight_boats import CLOSING, RISING, SECTION, marks_at, prism, straight_boat
from tests.hull.test_half_boats import half_dinghy
from tests.sweep import more

Array = NDArray[np.float64]
HULLS = Path(__file__).resolve().parents[2] / "hulls"


def built(off: Offset, end: EndName, *strakes: HungStrake) -> AsBuilt:
    return AsBuilt(strakes, moulds=(StandingMould(end, off, off),))


@pytest.mark.parametrize("by", [4.0, -3.0])
def test_a_transom_aft_of_its_place_makes_the_strakes_of_a_boat_of_one_section_as_much_longer(by: float) -> None:
    drawn = prism(0.0)
    stand = standing(drawn, built((by, 0.0, 0.0), "aft"))
    assert stand.out_of_place == (4,)
    assert stand.drawn_lands == pytest.approx(np.zeros((4, 5)), abs=1e-9)
    assert stand.proud == pytest.approx(np.zeros((4, 5)), abs=1e-9)
    moved = shell_of(as_built_boat(drawn, built((by, 0.0, 0.0), "aft")).hull)
    change = correction(flat_strake(drawn, 3), flat_strake(moved, 3))
    assert change.longer["aft"] == pytest.approx(np.full(2, by), abs=0.02)
    assert change.longer["fore"] == pytest.approx(np.zeros(2), abs=0.02)
    assert change.outward["upper"] == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize("rake", [0.0, 0.3])
@pytest.mark.parametrize("up", [5.0, -5.0])
def test_a_transom_too_high_has_its_marks_brought_back_to_the_height_of_the_lands(up: float, rake: float) -> None:
    # Lands level and alongships: on the raked face, where heights are 1 / cos of the rake longer, all as of a mould.
    stand = standing(prism(rake), built((0.0, 0.0, up), "aft"))
    along = tangents(SECTION[1:]) if rake == 0.0 else stretched_tangents(rake)
    lands, rise = stand.drawn_lands[:, 4], up / np.cos(rake)
    assert np.sign(lands).tolist() == [-np.sign(up)] * 4
    assert lands[2:] == pytest.approx(-rise / along[2:, 1], rel=1e-6)
    assert stand.proud[:, 4] == pytest.approx(-rise * along[:, 0], rel=1e-6)
    assert not stand.drawn_lands[:, :4].any()


def stretched_tangents(rake: float) -> Array:
    """Tangents at the marks of the face that cuts a prism at a rake: `tangents` with heights longer by 1 / cos."""
    longer = np.array([1.0, 1.0 / np.cos(rake)])
    low = np.array([20.0, 60.0])
    return tangents_through(np.vstack([low * longer, SECTION[1:] * longer]))


def tangents_through(points: Array) -> Array:
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    along = CubicSpline(run, points)(run[1:], 1)
    return np.asarray(along / np.linalg.norm(along, axis=1)[:, None])


def test_a_transom_forward_of_its_place_is_held_against_the_lands_where_it_stands() -> None:
    stand = standing(straight_boat(CLOSING), built((-20.0, 0.0, 0.0), "aft"))
    along = tangents(marks_at(2000.0, CLOSING))
    steep = along[:, 1] ** 2 >= 0.5  # there a land is met again at its height
    assert steep.any()
    assert stand.drawn_lands[steep, 4] == pytest.approx(-20.0 * RISING[steep] / along[steep, 1])
    assert stand.proud[:, 4] == pytest.approx(-20.0 * (RISING * along[:, 0] - CLOSING * along[:, 1]))


@pytest.mark.parametrize(
    ("name", "ends"), [("dinghy", ENDS), ("pram", ("fore",)), *more(("double_ender", ENDS), ("faering", ENDS))]
)
@pytest.mark.parametrize("off", [(4.0, 0.0, 0.0), (0.0, 0.0, -4.0), *more(((-4.0, 0.0, 0.0),), ((0.0, 0.0, 4.0),))])
def test_the_sheer_meets_an_end_where_it_runs_on_straight(name: str, ends: tuple[EndName, ...], off: Offset) -> None:
    # Over 4 mm a curve leaves its tangent by 16 / 2R mm, 0.1 for one of 80 mm radius: no stem of these turns so. The
    # pram's after transom flares by more than 45 degrees, where a mark is led to the nearest point.
    drawn = shell_of(read_hull(HULLS / f"{name}.toml"))
    line = drawn.hung.edges[-1].batten
    for end in ends:
        result = as_built_boat(drawn, built(off, end))
        new = shell_of(result.hull)
        at = 0 if end == "fore" else -1
        mark, corner, way = new.hung.edges[-1].batten.marks[at], line.marks[at], line.tangent(line.knots[at])
        run = (mark[0] - corner[0]) / way[0]
        assert mark[2] == pytest.approx(corner[2] + run * way[2], abs=0.1)
        kept = [one.marks[1:-1] for one in (new.hung.edges[-1].batten, line)]
        assert kept[0] == pytest.approx(kept[1], abs=1e-6)
        assert result.off_lands == pytest.approx(np.zeros_like(result.moved), abs=1e-9)


@pytest.mark.parametrize("name", ["dinghy", *more("double_ender")])
def test_a_stem_forward_of_its_place_makes_every_strake_longer_there_and_nowhere_else(name: str) -> None:
    drawn = shell_of(read_hull(HULLS / f"{name}.toml"))
    moved = shell_of(as_built_boat(drawn, built((-4.0, 0.0, 0.0), "fore")).hull)
    for strake in (2, drawn.planking.strakes):
        change = correction(flat_strake(drawn, strake), flat_strake(moved, strake))
        edges = [one.hung.edges[strake - 1].batten for one in (drawn, moved)]
        before, after = (float(edge.length_to(edge.knots)[1]) for edge in edges)
        # the flat shows the middle of the plank, the land is its inner corner
        assert change.longer["fore"][1] == pytest.approx(after - before, abs=0.05)
        assert change.longer["aft"] == pytest.approx(np.zeros(2), abs=0.05)


@pytest.mark.parametrize(("unmoved", "left"), [((), 0.0), (("2",), 4.0 / 9.0)])
def test_a_boat_of_one_section_set_up_aft_of_its_place_keeps_its_patterns(
    unmoved: tuple[str, ...], left: float
) -> None:
    # By closed form: the same prism 2 mm farther aft, so the same strake. A mould left behind shifts no edge. No
    # place stands still, so the pattern is laid on all nine: six have moved by 2 mm, the half-ways next to the mould
    # by 1 mm and the mould by nothing, on the mean 14 / 9 mm, so that 4 / 9 mm of the 2 mm are left.
    drawn = prism(0.0)
    off = (2.0, 0.0, 0.0)
    moulds = tuple(StandingMould(name, off, off) for name in place_names(drawn.hull) if name not in unmoved)
    moved = shell_of(as_built_boat(drawn, AsBuilt(moulds=moulds)).hull)
    change = correction(flat_strake(drawn, 3), flat_strake(moved, 3))
    for edge in ("lower", "upper"):
        assert change.outward[edge] == pytest.approx(np.zeros(len(change.places)), abs=1e-6)
    for end, sign in zip(ENDS, (-1.0, 1.0), strict=True):
        assert change.longer[end] == pytest.approx(np.full(2, sign * left), abs=1e-6)


def ends_when_all_stand_aft(unmoved: tuple[str, ...]) -> Array:
    """How far the ends of the dinghy's strake 8 are off the drawn ones when all but some moulds stand 2 mm aft."""
    drawn = shell_of(read_hull(HULLS / "dinghy.toml"))
    off = (2.0, 0.0, 0.0)
    moulds = tuple(StandingMould(name, off, off) for name in place_names(drawn.hull) if name not in unmoved)
    moved = shell_of(as_built_boat(drawn, AsBuilt(moulds=moulds)).hull)
    change = correction(flat_strake(drawn, 8), flat_strake(moved, 8))
    return np.concatenate([change.outward[edge][[0, -1]] for edge in ("lower", "upper")])


@pytest.mark.parametrize("unmoved", [(), ("3",)])
def test_a_set_up_aft_of_its_place_turns_no_pattern(unmoved: tuple[str, ...]) -> None:
    # Everything but the keel 2 mm aft: high above it, the drawn strakes. A mould left behind turns nothing. 0.1 mm is
    # for what the garboard, between a keel that stays and a stem that moves, does to the faces of those above it, and
    # a fifth of the least that a sheet says.
    assert ends_when_all_stand_aft(unmoved) == pytest.approx(np.zeros(4), abs=0.1)


def test_a_pattern_laid_on_the_one_mould_that_was_left_would_be_turned(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(corrections, "FEWEST_TO_LAY_ON", 1)
    assert np.abs(ends_when_all_stand_aft(("3",))).max() > 0.5


def test_a_land_that_runs_along_the_rabbet_line_still_meets_the_stem_somewhere() -> None:
    # by hand: a stem 4 mm too high crossed at right angles is met 4 mm lower; one that runs along the land, 4 / 0.05
    across, along = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
    found = []
    for way in (across, along):
        batten = SimpleNamespace(tangent=lambda at, way=way: np.tile(way, (len(at), 1)))
        stem: Any = SimpleNamespace(
            rabbet=SimpleNamespace(batten=batten), parameters=np.zeros(2), normals=np.array([[0.0, 1.0, 0.0]])
        )
        found.append(_on_stem(stem, along[None], np.array([0.0, 0.0, 4.0]))[0][0])
    assert found[0] == pytest.approx(-4.0)
    assert abs(found[1]) == pytest.approx(4.0 / 0.05)


@pytest.mark.parametrize(("place", "by"), [("fore", -20.0), ("1", 6.35), *more(("fore", 3.175), ("aft", -20.0))])
def test_timbers_keep_their_numbers_and_places_when_the_set_up_is_out(place: str, by: float) -> None:
    drawn = shell_of(read_hull(HULLS / "double_ender.toml"))
    off = (by, 0.0, 0.0)
    moved = shell_of(as_built_boat(drawn, AsBuilt(moulds=(StandingMould(place, off, off),))).hull)
    before, after = (
        riveted_timbers(shell.hull, [flat_strake(shell, k) for k in range(1, 7)]) for shell in (drawn, moved)
    )
    assert len(before) > 20
    assert after == before


def test_a_stem_is_carried_with_its_face_and_its_marks() -> None:
    drawn = shell_of(read_hull(HULLS / "dinghy.toml"))
    stem, carried = (one.fore for one in (drawn.hull, as_built_boat(drawn, built((3.0, 0.0, -2.0), "fore")).hull))
    assert isinstance(stem, Stem)
    assert isinstance(carried, Stem)
    assert stem.face is not None
    assert carried.face is not None
    assert carried.rabbet - stem.rabbet == pytest.approx(np.tile([3.0, -2.0], (len(stem.rabbet), 1)))
    assert carried.face - stem.face == pytest.approx(np.tile([3.0, -2.0], (len(stem.face), 1)))


def test_figures_from_a_stem_out_of_its_place_are_no_slips_once_it_is_known() -> None:
    drawn = shell_of(read_hull(HULLS / "dinghy.toml"))
    off = (0.0, 0.0, 6.0)
    lands = standing(drawn, built(off, "fore")).drawn_lands[:, 0]
    strakes = tuple(
        HungStrake(k, {name: float(lands[k - 1]) if name == "fore" else 0.0 for name in place_names(drawn.hull)})
        for k in (1, 2, 3)
    )
    known = as_built_boat(drawn, built(off, "fore", *strakes))
    assert known.slips == ()
    assert known.off_lands == pytest.approx(np.zeros_like(known.moved), abs=0.2)
    assert len(as_built_boat(drawn, AsBuilt(strakes)).slips) >= 1


def checked(text: str, folder: Path, hull: str = "dinghy") -> AsBuiltChecked:
    path = folder / "built.toml"
    path.write_text(f'format = 1\nunits = "mm"\n{text}', encoding="utf-8")
    return checked_as_built(HULLS / f"{hull}.toml", path)


def test_an_end_that_is_out_is_reported_with_what_it_does_and_is_on_the_sheet(tmp_path: Path) -> None:
    result = checked("[end.fore]\ntoward_sheer = 5\n", tmp_path)
    (finding,) = [one for one in result.findings if one.key == () and "the stem stands" in one.text]
    assert (finding.severity, finding.line, finding.about) == ("note", 3, "rebate")
    assert finding.text.startswith("the stem stands 5 mm toward the sheer: the sheer comes ")
    assert "strake 1 runs to a mark shifted by" in finding.text or "and runs to a mark shifted by" in finding.text
    assert any("toward the keel by" in one.text and "at the fore end" in one.text for one in result.findings)
    made = as_built_files(result, Printing(sheet("a4", 10.0), to_print="bench"))
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(made.files["strakes.pdf"])]
    assert "Moulds and ends as they stand: stem: 5 mm toward the sheer." in " ".join(" ".join(pages).split())


@pytest.mark.parametrize(
    ("hull", "end", "how", "words"),
    [
        (
            "pram",
            "aft",
            "out = 20",
            "a hollow of # over mould 4, next to it; move the after transom in, or set it up again",
        ),
        (
            "pram",
            "aft",
            "in = 20",
            "a hump of # over mould 4, next to it; move the after transom out, or set it up again",
        ),
        ("pram", "aft", "up = 30", "a hump of # over mould 4, next to it; set the after transom up again"),
        ("dinghy", "fore", "forward = 25", "a hollow of # over mould 1, next to it; set the stem up again"),
    ],
)
def test_an_end_that_bends_the_planks_over_the_next_mould_is_a_warning(
    tmp_path: Path, hull: str, end: str, how: str, words: str
) -> None:
    # An end that stands p outside its planking leaves the mould next to it, a from the end and b from the mould
    # after that, p b / (a + b) inside the straight: about half.
    result = checked(f"[end.{end}]\n{how}\n", tmp_path, hull)
    (finding,) = [one for one in result.findings if "next to it" in one.text]
    assert finding.severity == "warning"
    assert isinstance(finding.value, float)
    drawn = result.measured.drawn
    stand, at = standing(drawn, result.measured.measured), 0 if end == "fore" else -1
    nodes = [edge.batten.marks[:3] if end == "fore" else edge.batten.marks[:-4:-1] for edge in drawn.hung.edges]
    chords = np.linalg.norm(np.diff(np.stack(nodes), axis=1), axis=2)
    by = -stand.proud[:, at] * chords[:, 1] / chords.sum(axis=1)
    worst = by[np.argmax(np.abs(by))]
    assert finding.value == pytest.approx(worst, rel=0.02)
    spoken = drawn.hull.notation.spoken_fine(abs(finding.value))
    assert finding.text.endswith(f". The planking shows {words.replace('#', spoken)}")
    assert (
        len([one for one in checked(f"[end.{end}]\nup = 1\n", tmp_path, hull).findings if "next to" in one.text]) == 0
    )


@pytest.mark.parametrize(
    ("hull", "text", "words"),
    [
        (
            "dinghy",
            "[end.fore]\nforward = 25\ndown = 25\n[end.aft]\nup = 1\n",
            "the stem stands 25 mm toward the keel and 25 mm forward",
        ),
        *more(
            ("dinghy", "[end.fore]\nforward = 25\ndown = 25\n", "the stem stands 25 mm toward"),
            (
                "faering",
                "[end.aft]\nforward = 20\nup = 20\n",
                "the sternpost stands 20 mm toward the sheer and 20 mm",
            ),
        ),
    ],
)
def test_an_end_too_far_out_to_plank_is_at_fault_and_not_the_drawing(
    tmp_path: Path, hull: str, text: str, words: str
) -> None:
    result = checked(text, tmp_path, hull)
    (error,) = result.errors
    assert error.text.startswith(words)
    assert "too far out of its place to plank: strake 1 cannot be made" in error.text
    assert (Path(error.file).name, error.line) == ("built.toml", 3)
    assert "straighter" not in error.text
    assert "fair its lands" not in error.text


def test_an_error_of_the_drawing_stays_one_where_an_end_is_out(tmp_path: Path) -> None:
    # a stem with its foot 176 mm too far aft: drawn so, its strakes cannot be fitted wherever it stands
    text = (HULLS / "dinghy.toml").read_text("utf-8").replace("[420, 63.5]", "[596, 60], [420, 63.5]")
    hull, path = tmp_path / "long.toml", tmp_path / "built.toml"
    hull.write_text(text, encoding="utf-8")
    path.write_text('format = 1\nunits = "mm"\n[end.fore]\nforward = 2\n', encoding="utf-8")
    (error,) = checked_as_built(hull, path).errors
    assert "strake 1 misses its rebate at the fore end" in error.text
    assert "too far out of its place" not in error.text


def test_a_transom_that_stands_to_one_side_parts_the_sides(tmp_path: Path) -> None:
    result = checked("[end.aft.port]\nout = 4\n[end.aft.starboard]\nin = 4\n", tmp_path)
    assert result.starboard is not None
    texts = [one.text for one in result.findings if one.about == "transom"]
    assert any(text.startswith("port side: the transom stands 4 mm out: the sheer comes 4 mm out") for text in texts)
    assert any(
        text.startswith("starboard side: the transom stands 4 mm in: the sheer comes 4 mm in") for text in texts
    )


def test_strakes_that_are_off_alike_at_an_end_ask_how_it_stands(tmp_path: Path) -> None:
    row = "above_mark = { fore = -7, 1 = 0, 2 = 0, 3 = 0, 4 = 0, 5 = 0, aft = 0 }\n"
    strakes = "".join(f"[strake.{k}]\n{row}" for k in (1, 2, 3))
    texts = [one.text for one in checked(strakes, tmp_path).findings]
    assert any("If the end stands out of its place, write how under [end.fore]" in text for text in texts)


def test_widths_and_lands_are_counted_as_the_strakes_are_cut_though_a_mould_and_the_stem_are_out() -> None:
    """The faering's sections are straight from land to land: its widths are the distances of its marks."""
    drawn = shell_of(read_hull(HULLS / "faering.toml"))
    names = [name for name in place_names(drawn.hull) if name not in ("3", "5")]  # no mould stands there
    first, second = ((2.0, 1.0, 0.5, 0.0, 0.0, 0.0, 0.0), (2.0, 1.0, 1.0, 1.0, 0.0, 0.0, 0.0))
    strakes = [HungStrake(k, dict(zip(names, row, strict=True))) for k, row in enumerate((first, second), 1)]
    offs: dict[str, Offset] = {"fore": (-4.0, 0.0, 0.0), "2": (0.0, 3.0, 0.0)}
    measured = AsBuilt(tuple(strakes), moulds=tuple(StandingMould(name, off, off) for name, off in offs.items()))
    relined = as_built_boat(drawn, measured)
    stations = [station.name for station in drawn.hull.stations]
    widths = [
        np.linalg.norm(np.diff([edge.batten.marks[1:-1, 1:] for edge in shell.hung.edges[1:]], axis=0), axis=2)
        for shell in (drawn, shell_of(relined.hull))
    ]
    change = widths[1] - widths[0]
    texts = [finding.text for finding in as_built_findings(drawn, measured, relined)]
    (text,) = [one for one in texts if "fair to the sheer" in one]
    strake, at = np.unravel_index(int(np.argmax(np.abs(change) / widths[0])), change.shape)
    by, where = float(change[strake, at]), f"{'mould' if stations[at] in names else 'station'} {stations[at]}"
    assert by < -0.5
    narrower = f"becomes {drawn.hull.notation.spoken_fine(-by)} narrower than drawn"
    assert f"the greatest change: strake {strake + 3} at {where} {narrower}" in text
    # marks on the stem are shifted by more than the lands move: by where it stands, too
    assert text.startswith("seen from the side, the lands above strake 2 move by ")
    assert "which stays where it was drawn" in text


def test_the_sheer_keeps_its_height_on_a_stem_that_is_out_and_the_sheet_has_its_mark_shifted(tmp_path: Path) -> None:
    path = tmp_path / "built.toml"
    level = "above_mark = { fore = 0, 1 = 0, 2 = 0, 4 = 0, 6 = 0, 7 = 0, aft = 0 }"
    states = {}
    for name, end in (("as drawn", ""), ("out", "[end.fore]\nforward = 4\n")):
        path.write_text(f'format = 1\nunits = "mm"\n{end}[strake.1]\n{level}\n', encoding="utf-8")
        result = checked_as_built(HULLS / "faering.toml", path)
        assert result.boat is not None
        table = as_built_table(AsHung(Planked(result.boat), result.relined, result.measured.drawn))
        states[name] = table.rows[-1][1:3]
    assert states["as drawn"] == ("sheer: stays", "0")
    assert result.boat is not None
    # the stem's rabbet is carried 4 mm forward; its sheer mark then slides on it to where the sheer, led on, meets it
    drawn, new = (shell.hung.edges[-1].batten for shell in (result.measured.drawn, result.boat.shell))
    slid = float(np.linalg.norm(new.marks[0] - drawn.marks[0] - np.array([-4.0, 0.0, 0.0])))
    state, shift = states["out"]
    assert state == "sheer: shift mark"
    assert float(shift) == pytest.approx(slid, abs=0.3)  # to 0.5 mm
    (text,) = [one.text for one in result.findings if one.text.startswith("the stem stands")]
    assert f"its mark is shifted by {shift.removeprefix('+')} mm toward the sheer to keep its height" in text


def test_rebates_that_stock_of_another_thickness_does_not_fit_are_named(tmp_path: Path) -> None:
    """The depth of a rebate is the plank's thickness times the cosine of its angle to the centreplane (lofting)."""
    path = tmp_path / "built.toml"
    level = "above_mark = { fore = 0, 1 = 0, 2 = 0, 4 = 0, 6 = 0, 7 = 0, aft = 0 }"
    text = f'format = 1\nunits = "mm"\nSTOCK\n[strake.1]\n{level}\n[strake.2]\n{level}\n'
    for stock, cure in (
        ("", ""),
        ("stock = 15.0", "too shallow: deepen it"),
        ("stock = 13.0", "too deep: pack it up"),
    ):
        path.write_text(text.replace("STOCK", stock), encoding="utf-8")
        result = checked_as_built(HULLS / "faering.toml", path)
        assert result.boat is not None
        shells = result.measured.drawn, result.boat.shell
        texts = [one.text for one in result.findings if one.text.startswith("the rebate of the ")]
        assert len(texts) == (2 if stock else 0)
        notes = correction_table(*shells, 3).notes
        for end, found in zip(ENDS, texts, strict=False):
            depths = [
                [thickness * float(shell.hung.stems[end].normals[k][1]) for k in (2, 3)]
                for shell, thickness in zip(shells, (14.0, float(stock[-4:])), strict=True)
            ]
            timber = "stem" if end == "fore" else "sternpost"
            each = [
                f"for strake {k} from {a:.1f} to {b:.1f} mm" for k, (a, b) in enumerate(zip(*depths, strict=True), 3)
            ]
            assert found == f"the rebate of the {timber}, cut as drawn, is {cure} {', '.join(each)}"
            assert f"T{found[1:]}." in notes


def half_boat(folder: Path) -> Path:
    """The dinghy cut off at station 3."""
    path = folder / "half.toml"
    path.write_text(half_dinghy("cut"), encoding="utf-8")
    return path


@pytest.mark.parametrize("table", ["end.aft", "mould.3", "mould.aft"])
def test_of_half_a_boat_no_table_sends_to_another_that_is_refused(tmp_path: Path, table: str) -> None:
    path = tmp_path / "built.toml"
    path.write_text(f'format = 1\nunits = "mm"\n[{table}]\nout = 2\n', encoding="utf-8")
    with pytest.raises(HullFileError) as raised:
        checked_as_built(half_boat(tmp_path), path)
    (fault,) = raised.value.faults
    assert (fault.line, fault.expected) == (3, "no such table")
    assert fault.text.startswith("how the last mould of half a boat stands cannot be given; set it up again")


@pytest.mark.parametrize(
    ("hull", "places", "off", "asks"),
    [
        ("half", ("fore", "1", "2", "aft"), "aft", "the last mould of half a boat stands cannot be given"),
        ("half", ("fore", "1", "2", "aft"), "2", "If the mould stands out of its place, write how under [mould.2]"),
        ("faering", ("fore", *"1234567", "aft"), "3", ""),
        ("faering", ("fore", *"1234567", "aft"), "4", "write how under [mould.4]"),
    ],
)
def test_a_table_is_asked_for_only_where_it_is_taken(
    tmp_path: Path, hull: str, places: tuple[str, ...], off: str, asks: str
) -> None:
    # of the faering station 3 has no mould: the lands are marked there and nothing stands
    row = ", ".join(f"{place} = {9 if place == off else 0}" for place in places)
    path = tmp_path / "built.toml"
    strakes = "".join(f"[strake.{k}]\nabove_mark = {{ {row} }}\n" for k in (1, 2, 3))
    path.write_text(f'format = 1\nunits = "mm"\n{strakes}', encoding="utf-8")
    boat = half_boat(tmp_path) if hull == "half" else HULLS / f"{hull}.toml"
    shared = [one.text for one in checked_as_built(boat, path).findings if "so it was built that way" in one.text]
    assert shared
    for text in shared:
        assert asks in text
        assert asks or text.endswith("so it was built that way")
