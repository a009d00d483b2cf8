"""Transoms as they are drawn: true shape, both faces, where to saw, gauges of the edge, labels and tables."""

import re
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from templates_gen.drawing.piece import Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Array, Hull, Transom
from templates_gen.paper.shown import closes_on_centreline
from templates_gen.render.pdf.letters import text_width
from templates_gen.templates.cards import NEAR
from templates_gen.templates.transom.edge import carried_out, transom_sheets
from templates_gen.templates.transom.gauges import edge_gauges, stock_edge
from templates_gen.templates.transom.pieces import transom_pieces, transom_tables
from templates_gen.units import format_angle
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of
from tests.geometry.straight_boats import prism
from tests.sweep import more
from tests.templates.label_clearance import crowded_labels, label_box


def rebated_dinghy() -> Hull:
    hull = dinghy()
    assert isinstance(hull.aft, Transom)
    return replace(hull, aft=replace(hull.aft, joint="rebate", lip=7.0))


def rebated_pram() -> Hull:
    hull = pram()
    assert isinstance(hull.aft, Transom)
    return replace(hull, aft=replace(hull.aft, joint="rebate", lip=6.0))


HULLS = {"dinghy": dinghy, "pram": pram, "rebated dinghy": rebated_dinghy, "rebated pram": rebated_pram}
ALL = pytest.mark.parametrize("name", HULLS)
BEVELLED = pytest.mark.parametrize("name", ["dinghy", "pram"])


@cache
def boat(name: str) -> Boat:
    return boat_of(HULLS[name]())


@cache
def pieces(name: str) -> dict[str, Piece]:
    return {piece.name: piece for piece in transom_pieces(boat(name))}


def lines(piece: Piece, role: Role) -> list[Array]:
    return [path.points for path in piece.paths if path.role is role]


def outline(piece: Piece) -> Array:
    (points,) = lines(piece, Role.CUT)
    return points


def test_a_boat_without_a_transom_has_none_of_it() -> None:
    assert transom_pieces(boat_of(double_ender())) == ()
    assert transom_tables(boat_of(double_ender())) == ()


@ALL
def test_labels_are_clear_of_one_another_and_of_lines(name: str) -> None:
    for piece in pieces(name).values():
        assert crowded_labels(piece) == []


@ALL
def test_names_are_unique_and_every_outline_is_a_sound_one(name: str) -> None:
    assert len(pieces(name)) == len(transom_pieces(boat(name)))
    for piece in pieces(name).values():
        assert Polygon(outline(piece)).is_valid
        assert all(path.closed == (path.role in (Role.CUT, Role.ROUGH)) for path in piece.paths)


def test_heights_up_a_rake_are_upright_heights_over_its_cosine() -> None:
    # true height = projected height / cos(rake), the rake from the profile's two points
    wood = boat("dinghy").hull.aft
    assert isinstance(wood, Transom)
    rake = np.arctan2(3642.0 - 3560.0, 590.0 - 146.0)
    y, z = wood.section[-1]
    sheer = np.array([y, (z - 146.0) / np.cos(rake)])
    assert np.min(np.linalg.norm(outline(pieces("dinghy")["transom aft"]) - sheer, axis=1)) < 0.01


def test_breadths_of_a_bowed_transom_are_laid_off_along_its_arc() -> None:
    # half arc = r * asin(b / r); up the rake (z - bottom) / cos(rake), less the bow's tan(rake)
    wood = boat("pram").hull.aft
    assert isinstance(wood, Transom)
    rake = np.arctan2(2618.0 - 2540.0, 482.0 - 144.0)
    y, z = wood.section[-1]
    bow = 1800.0 - np.sqrt(1800.0**2 - y**2)
    sheer = np.array([1800.0 * np.arcsin(y / 1800.0), (z - 144.0) / np.cos(rake) - bow * np.tan(rake)])
    assert np.min(np.linalg.norm(outline(pieces("pram")["transom aft"]) - sheer, axis=1)) < 0.01


def test_the_top_of_a_bowed_transom_is_level_in_space_and_the_rough_line_leaves_wood_over_the_profile() -> None:
    after = pieces("pram")["transom aft"]
    (net,), (rough,) = (lines(after, role) for role in (Role.CUT, Role.ROUGH))
    # The hull file: profile from (2540, 144) to (2618, 482), radius 1800; the sheer is 504 out at a height of 481.
    # A point bowed forward by its sagitta, square to the rake, also rises by that times the sine of the rake.
    rake = np.arctan2(78.0, 338.0)
    corner = int(np.argmax(net[:, 1] + net[:, 0]))
    top = net[corner:]
    sagitta = 1800.0 * (1.0 - np.cos(top[:, 0] / 1800.0))
    heights = 144.0 + top[:, 1] * np.cos(rake) + sagitta * np.sin(rake)
    assert len(top) > 20
    assert np.abs(heights - 481.0).max() < 0.01
    assert rough[:, 1].max() == pytest.approx(338.0 / np.cos(rake) + boat("pram").hull.allowances.sheer, abs=0.01)


@BEVELLED
def test_the_two_faces_lines_part_by_what_is_written_next_to_each_strake(name: str) -> None:
    for sheet in transom_sheets(boat(name)):
        piece = pieces(name)[f"transom {sheet.end}"]
        inner = carried_out(lines(piece, Role.FAR)[0], sheet.wood)
        (rows,) = [
            t.rows for t in transom_tables(boat(name)) if t.title == f"Transom {sheet.end}: bevels of the edge"
        ]
        for strake, row in enumerate(rows, start=1):
            low, high = sheet.corners[strake - 1 : strake + 1]
            middle = Point((low + high) / 2)
            part = LineString(inner).distance(middle)
            step = LineString(sheet.outer).distance(middle)  # a stepped edge stands off the chord of its marks
            # the bevel is that at the outer face; a bowed or twisting edge is planed to both lines all the same
            assert part - step == pytest.approx(float(row[2]), abs=0.35)
            assert row[3] == "inner larger"


@BEVELLED
def test_full_laps_step_the_edge_out_and_flush_ones_do_not(name: str) -> None:
    for sheet in transom_sheets(boat(name)):
        points = outline(pieces(name)[f"transom {sheet.end}"])
        for land, mark in enumerate(sheet.shape.land_marks[:-1], start=1):
            at = int(np.argmin(np.linalg.norm(points - mark, axis=1)))
            assert np.linalg.norm(points[at] - mark) < 1e-6
            step = float(np.linalg.norm(points[at + 1] - points[at]))
            u = np.array([boat(name).shell.u_end(sheet.end)])
            left = float(boat(name).shell.lapping(land, u).stand_off[0])
            if sheet.shape.is_stepped:
                # across the strake's edge, and so no shorter than what is left of it square to its face
                assert left - 0.1 < step < left / np.cos(np.radians(40.0))
            else:
                assert left == pytest.approx(0.0, abs=1e-9)
                assert step > 3.0  # the next sample up the next strake


@ALL
def test_the_wood_is_sawn_outside_both_faces(name: str) -> None:
    for sheet in transom_sheets(boat(name)):
        piece = pieces(name)[f"transom {sheet.end}"]
        (saw,) = lines(piece, Role.ROUGH)
        sawn = Polygon(np.vstack([saw, [[0.0, saw[0, 1]]]]))
        for line in (sheet.outer, carried_out(sheet.inner, sheet.wood)):
            assert sawn.covers(LineString(line))
            assert sawn.exterior.distance(LineString(line)) > 0.5
        # and not by so much that it wastes wood: within 12 mm of the nearer face, a step's corner apart
        for point in saw[1:-2]:
            near = min(LineString(line).distance(Point(point)) for line in (sheet.outer, sheet.inner))
            assert near < 12.0


@ALL
def test_the_foot_is_left_rough_clear_of_other_lines_and_says_what_it_is_fitted_to(name: str) -> None:
    for sheet in transom_sheets(boat(name)):
        piece = pieces(name)[f"transom {sheet.end}"]
        (saw,) = lines(piece, Role.ROUGH)
        lowest = float(saw[:, 1].min())
        for level in (0.0, sheet.shape.rabbet[1], sheet.outer[0, 1], sheet.inner[0, 1]):
            assert level - lowest >= 2.0 - 1e-9
        # with the centreline the inner face's line goes all the way round
        inner = lines(piece, Role.FAR)[0]
        assert inner[0].tolist() == [0.0, sheet.inner[0, 1]]
        texts = [label.text for label in piece.labels]
        start = texts.index("BOTTOM: fit to keel or hog,")
        assert texts[start + 1] == "leave the rough wood"
        wood = Polygon(outline(piece))
        for label in piece.labels[start : start + 2]:
            assert wood.contains(Polygon(label_box(label, text_width)))
        up = boat(name).hull.notation.height(float(sheet.outer[0, 1]))
        assert any("bottom" in text and f"up {up}" in text for text in texts)


@pytest.mark.parametrize("name", ["dinghy", "pram"])
def test_what_the_bottom_is_fitted_to_stands_two_millimetres_off_lines_and_other_words(name: str) -> None:
    piece = pieces(name)["transom aft"]
    boxes = {label.text: Polygon(label_box(label, text_width)) for label in piece.labels}
    own = [boxes.pop("BOTTOM: fit to keel or hog,"), boxes.pop("leave the rough wood")]
    others = [*boxes.values(), *(LineString(path.points) for path in piece.paths)]
    assert min(box.distance(other) for box in own for other in others) > 2.0


def test_the_bottom_of_each_face_is_given_as_a_height_never_as_a_distance_between_the_faces() -> None:
    below = {}
    for sheet in transom_sheets(boat("pram")):
        bottoms = [float(face[0, 1]) for face in (sheet.outer, sheet.inner)]
        texts = [label.text for label in pieces("pram")[f"transom {sheet.end}"].labels]
        (row,) = [text for text in texts if text.startswith("bottom: ")]
        found = re.fullmatch(r"bottom: up (\S+), out \S+; inner (up )?(\S+)( below 0)?", row)
        assert found is not None, row
        outer, is_up, inner, is_below = found.groups()
        assert bool(is_up) != bool(is_below)
        assert float(outer) == pytest.approx(bottoms[0], abs=0.25)
        assert float(inner) * (-1.0 if is_below else 1.0) == pytest.approx(bottoms[1], abs=0.25)
        below[sheet.end] = bool(is_below)
    assert below == {"fore": True, "aft": False}


@pytest.mark.parametrize(("rake", "word"), [(15.0, "inner larger"), (0.0, "square"), (-15.0, "OUTER larger")])
def test_on_a_boat_of_one_section_the_bevel_follows_from_the_rake_alone(rake: float, word: str) -> None:
    # Of a plank with normal (0, n_y, n_z) and a face with normal (cos r, 0, -sin r) the bevel is asin(-n_z sin r).
    hulls = {angle: prism(np.radians(angle), None, "bevel").hull for angle in (0.0, rake)}
    upright = transom_sheets(boat_of(hulls[0.0]))[-1]
    rows = np.split(upright.outer, 4)
    (table,) = [t for t in transom_tables(boat_of(hulls[rake])) if t.title == "Transom aft: bevels of the edge"]
    sheet = transom_sheets(boat_of(hulls[rake]))[-1]
    for row, points, bevel in zip(table.rows, rows, sheet.shape.bevels, strict=True):
        along = (points[-1] - points[0]) / np.linalg.norm(points[-1] - points[0])
        assert np.sin(bevel) == pytest.approx(along[0] * np.sin(np.radians(rake)), abs=1e-6)
        assert row[3] == word
    for gauge in edge_gauges(boat_of(hulls[rake]), sheet):
        assert np.sign(round(gauge.bevel, 6)) == np.sign(rake)


@pytest.mark.parametrize(("end", "hand"), [("fore", "PORT half, outer face, seen from ahead"), ("aft", "STARBOARD")])
def test_the_hand_is_that_of_someone_looking_at_the_outer_face(end: str, hand: str) -> None:
    piece = pieces("pram")[f"transom {end}"]
    assert any(line.startswith(hand) for line in piece.title)
    assert any(label.text.startswith(hand) for label in piece.labels)


def test_a_bowed_transom_says_next_to_its_name_that_out_is_along_the_curve_and_a_flat_one_does_not() -> None:
    bowed = {}
    for sheet in transom_sheets(boat("pram")):
        texts = [label.text for label in pieces("pram")[f"transom {sheet.end}"].labels]
        bowed[sheet.end] = bool(sheet.wood.radius)
        assert ("bend round the outer face; 'out' is along the curve" in texts) == bowed[sheet.end]
    assert bowed == {"fore": False, "aft": True}


def corner_angle(points: Array, stock_points: int) -> float:
    """The card's inside angle at the corner of stock and blade, from its drawn outline, over the wood."""
    corner, stock, blade = points[stock_points - 1], points[stock_points - 2], points[stock_points]
    first, second = stock - corner, blade - corner
    cross = first[0] * second[1] - first[1] * second[0]
    return float(np.arctan2(cross, first @ second) % (2 * np.pi))


@ALL
def test_a_gauge_s_drawn_angle_is_a_right_angle_and_its_strakes_bevel(name: str) -> None:
    for sheet in transom_sheets(boat(name)):
        served: list[int] = []
        for gauge in edge_gauges(boat(name), sheet):
            points = outline(pieces(name)[f"transom {sheet.end} strake {gauge.strakes[0][0]}"])
            count = len(gauge.stock)
            # a bowed face's last step is a chord of its curve: it turns from the tangent by its fall over its length
            fall = float(gauge.stock[-2, 1] / gauge.stock[-2, 0])
            drawn = corner_angle(points, count) - np.arctan(-fall)
            assert drawn == pytest.approx(np.pi / 2 + gauge.bevel, abs=np.radians(0.02))
            strakes = range(gauge.strakes[0][0], gauge.strakes[0][1] + 1)
            if not sheet.is_rebated:
                bevels = sheet.shape.bevels[gauge.strakes[0][0] - 1 : gauge.strakes[0][1]]
                assert np.all(np.abs(bevels - gauge.bevel) <= NEAR / 2 + 1e-12)
            served += strakes
        assert served == list(range(1, len(sheet.shape.bevels) + 1))


@BEVELLED
def test_the_stock_is_forty_long_or_as_long_as_its_lettering_needs_and_the_blade_runs_past_the_wood(
    name: str,
) -> None:
    for sheet in transom_sheets(boat(name)):
        gauges = edge_gauges(boat(name), sheet)
        leaning = max(gauge.bevel for gauge in gauges) > np.radians(23.0)
        for gauge in gauges:
            points = outline(pieces(name)[f"transom {sheet.end} strake {gauge.strakes[0][0]}"])
            corner = len(gauge.stock) - 1
            stock = float(np.ptp(points[: corner + 1, 0]))
            assert 40.0 < stock < 60.0 if leaning else stock == pytest.approx(40.0)
            blade = float(np.linalg.norm(points[corner + 1] - points[corner]))
            assert blade == pytest.approx(sheet.wood.thickness + 25.0)


def lettering_across_its_outline(piece: Piece) -> list[str]:
    """The labels of a gauge that do not lie wholly inside its outline."""
    card = Polygon(outline(piece))
    return [label.text for label in piece.labels if not card.contains(Polygon(label_box(label, text_width)))]


@ALL
def test_a_gauge_s_lettering_lies_inside_its_outline(name: str) -> None:
    gauges = [piece for piece in pieces(name).values() if "strake" in piece.name]
    assert gauges
    assert [lettering_across_its_outline(piece) for piece in gauges] == [[]] * len(gauges)


@pytest.mark.parametrize("rake", [-50.0, 60.0, *more(35.0, 50.0)])
def test_a_gauge_s_lettering_lies_inside_its_outline_however_steep_its_bevel(rake: float) -> None:
    one = boat_of(prism(np.radians(rake), None, "bevel").hull)
    gauges = [piece for piece in transom_pieces(one) if "strake" in piece.name]
    assert gauges
    assert [lettering_across_its_outline(piece) for piece in gauges] == [[]] * len(gauges)


@ALL
def test_a_gauge_is_nowhere_narrower_than_twelve_millimetres(name: str) -> None:
    for piece in pieces(name).values():
        if "strake" in piece.name:
            card = Polygon(outline(piece))
            inside = card.buffer(-6.0)
            assert inside.geom_type == "Polygon"
            assert not inside.is_empty
            # opened by a disc of twelve, only corners go: a right-angled one loses 7.7 mm2, a sharp one more
            assert card.difference(inside.buffer(6.0, quad_segs=64)).area < 8 * 7.8
            (hole,) = piece.holes
            assert card.exterior.distance(Point(hole.centre)) - hole.diameter / 2 > 6.0


def test_on_a_bowed_face_the_stock_is_cut_to_the_face_s_curve() -> None:
    (sheet,) = [s for s in transom_sheets(boat("pram")) if s.end == "aft"]
    # an edge that runs straight up: the section is the cylinder's own circle, whose sagitta is r - sqrt(r^2 - x^2)
    upright = replace(sheet, corners=np.array([[500.0, 0.0], [500.0, 100.0]]))
    curve = stock_edge(upright, 1, on_outer=True)
    assert curve[0, 1] == pytest.approx(-(1800.0 - np.sqrt(1800.0**2 - 40.0**2)), abs=1e-9)
    # an edge that runs level: the section stands along the cylinder's straight lines
    level = replace(sheet, corners=np.array([[400.0, 50.0], [500.0, 50.0]]))
    np.testing.assert_allclose(stock_edge(level, 1, on_outer=True)[:, 1], 0.0, atol=1e-12)
    inner = stock_edge(upright, 1, on_outer=False)
    assert inner[0, 1] == pytest.approx(1782.0 - np.sqrt(1782.0**2 - 40.0**2), abs=1e-9)


def test_on_a_sloping_edge_the_stock_s_curve_lies_on_the_face_in_space() -> None:
    (sheet,) = [s for s in transom_sheets(boat("pram")) if s.end == "aft"]
    low, high = sheet.corners[4:6]
    middle = sheet.face.point((low + high)[None] / 2)
    normal = sheet.face.normal(middle)[0]
    along = np.diff(sheet.face.point(np.stack([(low + high) / 2, (low + high) / 2 + 1e-4 * (high - low)])), axis=0)[0]
    along = along / np.linalg.norm(along)
    inward = np.cross(normal, along)
    inward *= -np.sign(inward[1])
    for x, y in stock_edge(sheet, 5, on_outer=True):
        point = middle[0] - x * inward + y * normal
        assert abs(float(sheet.face.distance(point))) < 1e-3


@pytest.mark.parametrize("name", ["rebated dinghy", "rebated pram"])
def test_a_rebated_transom_is_cut_to_the_outside_of_the_planking_and_gauged_from_inside(name: str) -> None:
    (sheet,) = [s for s in transom_sheets(boat(name)) if s.is_rebated]
    piece = pieces(name)["transom aft"]
    plain = Polygon(outline(pieces(name.removeprefix("rebated "))["transom aft"]))
    assert Polygon(outline(piece)).area > plain.area
    assert len(lines(piece, Role.FAR)) == 2
    for gauge in edge_gauges(boat(name), sheet):
        assert not gauge.on_outer
        assert gauge.bevel < 0.0  # from the larger, inner face the edge turns in
        assert gauge.blade < sheet.wood.thickness - sheet.wood.lip
        card = pieces(name)[f"transom aft strake {gauge.strakes[0][0]}"]
        assert any(label.text == "stock on INNER face" for label in card.labels)


@ALL
def test_name_hand_and_face_stand_inside_the_cut_line_and_so_does_the_saw_s(name: str) -> None:
    for sheet in transom_sheets(boat(name)):
        piece = pieces(name)[f"transom {sheet.end}"]
        inside = Polygon(outline(piece))
        texts = {label.text for label in piece.labels if inside.contains(Polygon(label_box(label, text_width)))}
        assert f"TRANSOM {sheet.end.upper()}" in texts
        assert any(text.startswith("PORT" if sheet.end == "fore" else "STARBOARD") for text in texts)
        assert any("outer face" in text for text in texts)
        assert any(text.startswith("saw to the ROUGH line") for text in texts)


@ALL
def test_one_instruction_to_saw_stands_on_the_sheet_in_the_title_and_in_the_notes(name: str) -> None:
    words = "saw to the rough line (long dashes, outside the larger face), never to the net line"
    for end in [sheet.end for sheet in transom_sheets(boat(name))]:
        piece = pieces(name)[f"transom {end}"]
        sheet = " ".join(label.text for label in piece.labels).lower()
        for text in (sheet, " ".join(piece.title).lower(), " ".join(piece.notes).lower()):
            assert words in text
            assert "saw square" not in text
        assert "router: saw to layer rough, not to cut" in sheet
        assert any("saw to layer rough, not to cut" in note for note in piece.notes)


@ALL
def test_a_leader_runs_from_each_label_next_to_the_centreline_to_what_it_names(name: str) -> None:
    for sheet in transom_sheets(boat(name)):
        piece = pieces(name)[f"transom {sheet.end}"]
        wide = np.diff(sheet.corners[:, 1])
        beside = [label for label in piece.labels if label.anchor == "end" and label.at[0] < 0.0]
        for label in beside:
            kind, number = re.match(r"(rabbet|bottom|land|strake|sheer) ?(\d*)", label.text).groups()  # type: ignore[union-attr]
            if kind == "strake" and wide[int(number) - 1] <= 7.5:
                continue
            starts = [points[0] - label.at for points in lines(piece, Role.NOTE)]
            assert any(0.0 < x < 2.0 and 0.0 < up < label.height for x, up in starts), label.text
        if beside:
            assert any(len(points) == 2 for points in lines(piece, Role.NOTE))


@pytest.mark.parametrize("name", ["pram", *more("dinghy", "rebated dinghy", "rebated pram")])
def test_every_gauge_bears_the_boat_s_fingerprint_and_that_it_serves_both_sides(name: str) -> None:
    marked = boat_of(replace(HULLS[name](), fingerprint="0123abcd"))
    for piece in transom_pieces(marked):
        inside = Polygon(outline(piece))
        text = " ".join(label.text for label in piece.labels)
        assert "0123abcd" in text
        if "strake" in piece.name:
            assert "both sides: turn over" in text
            assert all(inside.contains(Polygon(label_box(label, text_width))) for label in piece.labels)


@ALL
def test_every_table_has_as_many_cells_as_headings(name: str) -> None:
    for table in transom_tables(boat(name)):
        assert table.rows
        assert all(len(row) == len(table.columns) for row in table.rows)


def test_the_table_of_offsets_holds_the_hull_file_s_own_figures() -> None:
    (table,) = [t for t in transom_tables(boat("dinghy")) if "offsets" in t.title]
    rabbet, sheer = table.rows[0], table.rows[-1]
    assert [float(cell) for cell in rabbet[3:]] == [18.0, 150.0]
    assert [float(cell) for cell in sheer[3:]] == [474.0, 589.0]


@BEVELLED
def test_the_centreline_is_named_and_printed_as_one_where_the_outlines_run_along_it(name: str) -> None:
    for sheet in transom_sheets(boat(name)):
        piece = pieces(name)[f"transom {sheet.end}"]
        assert any(label.text.startswith("CENTRELINE") for label in piece.labels)
        closed = [path for path in piece.paths if path.closed]
        assert len(closed) == 2
        assert all(closes_on_centreline(piece, path) for path in closed)
        assert not any(closes_on_centreline(piece, replace(path, points=path.points + 1.0)) for path in closed)


def test_next_to_each_strake_stands_where_the_inner_face_s_edge_is_and_a_cross_at_the_rabbet() -> None:
    """Thickness times the tangent of the bevel; an aft transom that rakes aft has the larger inner face."""
    lines_of, notation = boat("dinghy"), boat("dinghy").hull.notation
    (sheet,) = transom_sheets(lines_of)
    piece = pieces("dinghy")["transom aft"]
    texts = [label.text for label in piece.labels]
    for k, bevel in enumerate(sheet.shape.bevels, start=1):
        depth = notation.depths_of(sheet.wood.thickness * float(np.tan(bevel)))
        assert f"strake {k}: {format_angle(float(bevel))}, inner face {depth} outside" in texts
    crossing = [path for path in piece.paths if LineString(path.points).distance(Point(sheet.shape.rabbet)) < 1e-6]
    assert len(crossing) >= 2
    for path in crossing[:2]:
        assert path.points.mean(axis=0) == pytest.approx(sheet.shape.rabbet)
