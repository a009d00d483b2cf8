"""Sheets as drawings, read back by GDAL, and the lists and pictures that report their yield."""

from functools import partial
from pathlib import Path as FilePath
from typing import Any

import numpy as np
import pyogrio
import pyogrio.raw
import pytest
import shapely

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import narrowest_board
from templates_gen.hull.reader import read_hull
from templates_gen.paper.ink import for_laying_out, ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet as paper
from templates_gen.paper.whole_labels import labels_made_whole
from templates_gen.render.dxf.faults import drawing_faults
from templates_gen.render.dxf.writing import sheet_drawing, written
from templates_gen.render.pdf.letters import text_width
from templates_gen.report.possible.of_boat import first_crossing
from templates_gen.sheets import cut_with_strakes, plan_of
from templates_gen.stock.blanks import blanks
from templates_gen.stock.cutting import CuttingPlan, format_share, plan_tables, stock_file_names
from templates_gen.stock.drawings import PICTURE_WIDTH, plan_folio, sheet_folios, sheet_picture
from templates_gen.stock.plan import planking_plan, stock
from templates_gen.stock.scarf_marks import scarf_lines
from templates_gen.templates.folios import Planked
from tests.flow import boat_of
from tests.flow import folio as folio_of
from tests.sweep import more, sweep

HULLS = FilePath(__file__).parents[2] / "hulls"
SHEET = (2440.0, 1220.0)


def cut_lines(data: bytes, folder: FilePath) -> list[shapely.Polygon]:
    """Return the outlines to cut as GDAL reads them: pieces are blocks, which it takes apart only if asked to."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.05", "DXF_MERGE_BLOCK_GEOMETRIES": "NO"})
    (folder / "sheet.dxf").write_bytes(data)
    meta, _, geometry, columns = pyogrio.raw.read(folder / "sheet.dxf")
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None, "DXF_MERGE_BLOCK_GEOMETRIES": None})
    layers = columns[list(meta["fields"]).index("Layer")]
    lines = shapely.from_wkb(geometry)
    return [
        shapely.Polygon(shapely.get_coordinates(line))
        for name, line in zip(layers, lines, strict=True)
        if name == "CUT-OUTSIDE"
    ]


def test_the_drawing_of_a_sheet_holds_its_parts_where_they_lie(
    plans: dict[str, CuttingPlan], tmp_path: FilePath
) -> None:
    for folio, sheet in zip(sheet_folios(plans["C"]), plans["C"].sheets, strict=True):
        found = cut_lines(written(sheet_drawing(folio, SHEET)), tmp_path)
        wanted = [path.points for one in sheet.laid for path in one.piece.paths if path.role is Role.CUT]
        assert len(found) == len(wanted)
        for outline in wanted:
            points = shapely.points(outline)
            box = [*outline.min(axis=0), *outline.max(axis=0)]
            there = [one.exterior for one in found if np.allclose(one.bounds, box, atol=0.1)]
            assert min((float(shapely.distance(points, one).max()) for one in there), default=np.inf) < 0.05
        tree = shapely.STRtree(found)
        first, second = tree.query(found, predicate="dwithin", distance=7.9)
        assert (first == second).all()
        bounds = shapely.total_bounds(np.array(found))
        assert bounds[0] >= 9.95
        assert bounds[1] >= 9.95
        assert bounds[2] <= 2430.05
        assert bounds[3] <= 1210.05


def test_nothing_in_the_drawings_is_faulty_and_outlines_do_not_cross_themselves(
    plans: dict[str, CuttingPlan],
) -> None:
    folios = sheet_folios(plans["C"])
    assert [drawing_faults(folio) for folio in folios] == [()] * len(plans["C"].sheets)
    cut = [path.points for folio in folios for piece in folio.pieces for path in piece.paths if path.role is Role.CUT]
    assert cut
    assert [first_crossing(points) for points in cut] == [None] * len(cut)


def test_each_sheet_has_a_file(plans: dict[str, CuttingPlan]) -> None:
    names = stock_file_names(plans["A"])
    assert names[:2] == ("stock-1.dxf", "stock-2.dxf")
    assert len(names) == len(plans["A"].sheets) == len(sheet_folios(plans["A"]))


@pytest.mark.parametrize("name", ["A", "C", *more("B")])
def test_the_list_of_sheets_gives_each_yield_and_that_of_all(name: str, plans: dict[str, CuttingPlan]) -> None:
    plan = plans[name]
    sheets = plan_tables(plan, "mm")[0]
    assert len(sheets.rows) == len(plan.sheets) + 1
    for row, sheet in zip(sheets.rows, plan.sheets, strict=False):
        polygons = [shapely.Polygon(p.points) for one in sheet.laid for p in one.piece.paths if p.role is Role.CUT]
        share = sum(polygon.area for polygon in polygons) / (2440 * 1220)
        assert row[-1] == f"{int(100 * share + 0.5)} %"
        assert row[3] == str(len(sheet.laid))
    assert sheets.rows[-1][3] == str(sum(len(sheet.laid) for sheet in plan.sheets))


def test_every_part_and_every_joint_is_listed(plans: dict[str, CuttingPlan]) -> None:
    plan = plans["A"]
    _, *parts, joints = plan_tables(plan, "ft-in-8")
    assert len(parts) == len(plan.sheets)
    assert sum(len(table.rows) for table in parts) == sum(len(sheet.laid) for sheet in plan.sheets)
    assert len(joints.rows) == sum(len(one) for one in plan.planking.joints)
    assert all(len(row) == len(joints.columns) for row in joints.rows)
    nearest = min(abs(a.x - b.x) for a in plan.planking.joints[0] for b in plan.planking.joints[1])
    feet, inches, eighths = (int(figure) for figure in joints.rows[0][5].rstrip("+-").split("-"))
    assert (feet * 12 + inches + eighths / 8) * 25.4 == pytest.approx(nearest, abs=1.7)


def test_a_picture_is_the_sheet_made_small_and_has_nothing_to_cut(plans: dict[str, CuttingPlan]) -> None:
    for sheet in plans["A"].sheets:
        picture = sheet_picture(sheet, "mm")
        left, bottom, right, top = picture.bounds()
        assert (left, bottom) == (0.0, 0.0)
        assert (right, top) == pytest.approx((2440 / 15, 1220 / 15))
        assert right <= PICTURE_WIDTH
        assert not any(path.role is Role.CUT for path in picture.paths)
        outlines = [shapely.Polygon(path.points).area * 15**2 for path in picture.paths[1:] if path.closed]
        sawn = [
            max(shapely.Polygon(path.points).area for path in one.piece.paths if path.closed) for one in sheet.laid
        ]
        assert sum(outlines) == pytest.approx(sum(sawn), rel=0.01)
        labels = [label for label in picture.labels if label.text != "FORE"]
        numbers = [int(label.text.split(":")[0]) for label in labels]
        assert numbers == sorted(numbers)
        for number, label in zip(numbers, labels, strict=True):
            one = shapely.Polygon(picture.paths[number].points)
            assert one.contains(shapely.Point(label.at[0], label.at[1] + label.height / 2))
        named = [label.text.split(": ")[1] for label in labels if ":" in label.text]
        strakes = [one.part.name for one in sheet.laid if one.part.name.startswith("strake")]
        assert all(any(name.startswith(strake) for name in named) for strake in strakes)


def test_what_is_sawn_is_listed_and_drawn_and_an_arrow_points_to_each_fore_end(
    boats: dict[str, Boat], cut: dict[str, CuttingPlan]
) -> None:
    plan = cut["A"]
    wanted = {blank.strake: blank.lengths for blank in blanks(boats["A"], plan.planking)}
    for sheet, table in zip(plan.sheets, plan_tables(plan, "mm")[1:], strict=False):
        picture = sheet_picture(sheet, "mm")
        arrows = iter([path.points * 15 for path in picture.paths if not path.closed])
        for one, row in zip(sheet.laid, table.rows, strict=True):
            is_strake = one.part.name.startswith("strake")
            size = narrowest_board if is_strake else partial(np.ptp, axis=0)
            drawn_paths = [path for path in one.piece.paths if path.role in (Role.ROUGH, Role.CUT)]
            roles: dict[Role, Any] = {path.role: size(path.points) for path in drawn_paths}
            for cell, role in zip(row[2:], (Role.ROUGH, Role.CUT), strict=True):
                sides = [float(side) for side in cell.split(" x ")]
                assert sides == pytest.approx(roles.get(role, roles[Role.CUT]), abs=0.26)
            if not is_strake:
                continue
            long = wanted[one.piece.about.number or 0][int(one.piece.about.which[0]) - 1]
            assert float(row[2].split(" x ")[0]) == pytest.approx(long, abs=0.75)  # each is rounded to 0.5 mm
            assert row[1].endswith(", FORE" if "part 1" in row[1] else ", AFT")
            tail, tip = next(arrows)[:2]
            drawn, x = one.part.piece, 1.0 if "starboard" in one.part.name else -1.0
            outlines = [
                next(path.points for path in piece.paths if path.role is Role.CUT) for piece in (drawn, one.piece)
            ]
            fore = int((outlines[0][:, 0] * x).argmax())
            assert abs(tip[0] - outlines[1][fore, 0]) < abs(tail[0] - outlines[1][fore, 0])
            assert abs(tip[0] - outlines[1][fore, 0]) < 500.0
        assert next(arrows, None) is None
        assert all(":" in label.text for label in picture.labels if label.text != "FORE")


def test_the_folio_holds_pictures_and_lists(plans: dict[str, CuttingPlan]) -> None:
    folio = plan_folio(plans["A"], "mm")
    assert folio.kind == "stock"
    assert len(folio.pieces) == len(plans["A"].sheets)
    assert {table.title for table in folio.tables} >= {"Sheets of stock", "Parts on sheet 1", "Scarfs"}


def test_shares_are_rounded_to_whole_parts_of_a_hundred() -> None:
    assert [format_share(share) for share in (0.0, 0.7149, 0.715, 1.0)] == ["0 %", "71 %", "72 %", "100 %"]


def test_the_list_of_scarfs_says_how_near_the_nearest_are_and_claims_no_more(plans: dict[str, CuttingPlan]) -> None:
    plan = plans["A"]
    *_, listed = plan_tables(plan, "mm")
    x = [np.array([joint.x for joint in some]) for some in plan.planking.joints]
    near, next_but_one = (
        min(float(np.abs(a[:, None] - b).min()) for a, b in zip(x, x[step:], strict=False)) for step in (1, 2)
    )
    distances = listed.notes[1].split("The nearest here are ")[1].removesuffix(" apart.").split(" and ")
    assert [float(figure.split()[0]) for figure in distances] == pytest.approx([near, next_but_one], abs=0.5)
    assert "as far" not in listed.notes[1]


def test_the_paper_templates_carry_both_lines_of_each_scarf_with_words_and_the_ordinates_list_them(
    boats: dict[str, Boat],
) -> None:
    boat = boats["A"]
    planked = Planked(boat, stock(["2440x1220"]), 8.0)
    plan, folio = planked.plan, folio_of(boat, "strakes", planked=planked)
    assert [piece.name for piece in folio.pieces] == [f"strake {number}" for number in range(1, 10)]
    for piece, plank, (joint,), table in zip(folio.pieces, plan.planks, plan.joints, folio.tables[1:], strict=True):
        point, way = plank.place(joint.middle)
        along = np.array([way[1], -way[0]])
        across = {
            path.role: path.points
            for path in piece.paths
            if len(path.points) == 2
            and np.ptp(path.points @ along) > 60.0
            and np.allclose(np.abs((path.points - point) @ way), 36.0, atol=1e-6)
        }
        assert set(across) == {Role.FAR, Role.SCRIBE}
        assert ((across[Role.FAR] - point) @ way) == pytest.approx(-36.0)  # the forward part's, on its inner face
        words = " ".join(label.text for label in piece.labels)
        assert "plane OUTER face" in words
        assert "plane INNER face" in words
        for label in piece.labels:  # on the wood that is planed, none outside the two lines
            if ("OUTER" in label.text or "INNER" in label.text) and "arris" not in label.text:
                assert np.abs((label_boxes([label])[0] - point) @ way).max() < 36.0
        assert any("outside feather facing aft" in note for note in piece.notes)
        rows = [row for row in table.rows if row[0].startswith("scarf 1")]
        assert [row[0] for row in rows] == ["scarf 1, short dashes", "scarf 1, scribed line"]
        datum = boat.settings_out[plank.number - 1].datum
        low = min(across[Role.FAR], key=lambda end: float(end[1]))
        assert float(rows[0][1].split()[0]) == pytest.approx(datum.measured(low)[0], abs=0.3)


def test_gauges_are_cut_from_the_strakes_stock_only_if_they_are_named(boats: dict[str, Boat]) -> None:
    bevels = folio_of(boats["C"], "bevels")
    strakes_only = cut_with_strakes(["strakes"], [bevels])
    assert strakes_only == []
    assert cut_with_strakes([], [bevels]) == []
    assert cut_with_strakes(["bevels"], [bevels]) == [bevels]
    plan = plan_of(Planked(boats["C"], stock(["2440x1220"]), 8.0), cut_with_strakes(["bevels"], [bevels]))
    names = {one.part.name for sheet in plan.sheets for one in sheet.laid}
    assert {piece.name for piece in bevels.pieces if not piece.is_paper} & names


@pytest.mark.parametrize("size", ["a4", "a1"])
@pytest.mark.parametrize("name", ["faering", *more("double_ender")])
def test_on_the_sheets_each_line_of_a_scarf_says_which_part_ends_or_begins_there(name: str, size: str) -> None:
    boat = boat_of(read_hull(HULLS / f"{name}.toml"))
    plan = planking_plan(boat)
    scarfed = 0
    for piece, plank, joints in zip(folio_of(boat, "strakes", "bench").pieces, plan.planks, plan.joints, strict=True):
        if not joints:
            continue
        rounded = for_laying_out(piece)
        layout = tiling(ink_of(rounded, text_width), paper(size))
        made = labels_made_whole(rounded, layout, text_width)
        lines = [shapely.LineString(line.points) for line in scarf_lines(plank, joints)]
        sheets = [shapely.Polygon(tile.corners()) for tile in layout.tiles]
        scarfed += len(joints)
        for words, own, other in (("AFTER part BEGINS", 0, 1), ("FORE part ENDS", 1, 0)):
            named = [label for label in made.labels if label.text.startswith(words)]
            assert len(named) == len(joints), (piece.name, words)
            for label, box in zip(named, map(shapely.Polygon, label_boxes(named, text_width)), strict=True):
                line = min(lines[own::2], key=box.distance)
                tips = [
                    shapely.Point(leader.points[1])
                    for leader in made.leaders
                    if box.distance(shapely.Point(leader.points[0])) < 3.0
                ]
                is_led = any(tip.distance(line) < 0.1 for tip in tips)
                is_next = box.distance(line) < 6.0 and all(box.distance(one) > 8.0 for one in lines[other::2])
                assert is_led or is_next, (piece.name, label.text)
                assert any(sheet.covers(box) and sheet.intersects(line) for sheet in sheets)
    assert scarfed


@sweep  # the canoe; the test above has the same of the invented boats
def test_words_at_a_scarf_s_line_are_led_to_it_or_far_nearer_to_it_than_to_the_other() -> None:
    boat = boat_of(read_hull(FilePath(__file__).parents[1] / "data" / "american_cruising_canoe.toml"))
    plan, seen = planking_plan(boat), 0
    for piece, plank, joints in zip(folio_of(boat, "strakes", "bench").pieces, plan.planks, plan.joints, strict=True):
        rounded = for_laying_out(piece)
        made = labels_made_whole(rounded, tiling(ink_of(rounded, text_width), paper("a4")), text_width)
        lines = [shapely.LineString(line.points) for line in scarf_lines(plank, joints)]
        boxes = zip(made.labels, map(shapely.Polygon, label_boxes(made.labels, text_width)), strict=True)
        for label, box in ((label, box) for label, box in boxes if " part " in label.text and "ere" in label.text):
            own, other = (0, 1) if "BEGINS" in label.text else (1, 0)
            line = min(lines[own::2], key=box.distance)
            tips = [
                shapely.Point(one.points[1]) for one in made.leaders if box.distance(shapely.Point(one.points[0])) < 3
            ]
            is_led = any(tip.distance(line) < 0.1 for tip in tips)
            assert is_led or 2.0 * box.distance(line) < min(box.distance(one) for one in lines[other::2]), label.text
            seen += 1
    assert seen > 10
