"""Nothing on a sheet overlaps or runs into the margin, nothing is lost, and the other hand is the exact mirror."""

import re
from functools import partial

import numpy as np
import pytest
import shapely
import shapely.affinity

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Facing, Label, Path, Piece, Role
from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.stock.cutting import CuttingPlan
from templates_gen.stock.nesting import StockSheet, nested, too_large
from templates_gen.stock.parts import Part, piece_parts
from templates_gen.stock.plan import Size, stock
from templates_gen.stock.shaping import mirrored, turned
from templates_gen.templates.strakes.pieces import strake_piece
from tests.stock.planked import cards, cut_from, moulds, outline_of
from tests.sweep import more


def shapes_of(sheet: StockSheet) -> list[shapely.Geometry]:
    """Return what each part of a sheet covers where it lies."""
    return [
        shapely.unary_union([shapely.Polygon(p.points) for p in one.piece.paths if p.role is Role.CUT])
        for one in sheet.laid
    ]


def least_apart(shapes: list[shapely.Geometry]) -> float:
    """Return the least distance between any two shapes; 0 if two touch or overlap."""
    return min(
        (
            float(shapely.distance(one, np.array(shapes[number + 1 :])).min())
            for number, one in enumerate(shapes[:-1])
        ),
        default=np.inf,
    )


def strakes_on(plan: CuttingPlan) -> dict[str, Piece]:
    """Return every part of a strake by its name, in its own coordinates."""
    found = {one.part.name: one.part.piece for sheet in plan.sheets for one in sheet.laid}
    return {name: piece for name, piece in found.items() if name.startswith("strake")}


@pytest.mark.parametrize("name", ["A", "C", *more("B")])
def test_no_two_parts_come_nearer_than_the_gap_and_none_into_the_margin(
    name: str, plans: dict[str, CuttingPlan]
) -> None:
    for sheet in plans[name].sheets:
        shapes = shapes_of(sheet)
        assert least_apart(shapes) >= 8.0 - 1e-6
        inside = shapely.box(10.0 - 1e-6, 10.0 - 1e-6, 2430.0 + 1e-6, 1210.0 + 1e-6)
        assert all(inside.contains(shape) for shape in shapes)


def test_the_measure_of_distance_can_fail() -> None:
    square = shapely.box(0, 0, 10, 10)
    assert least_apart([square, shapely.box(9, 9, 20, 20)]) == 0.0
    assert least_apart([square, shapely.box(15, 0, 20, 10)]) == 5.0


@pytest.mark.parametrize("name", ["A", "C", *more("B")])
def test_nothing_is_lost_areas_add_up_with_the_scarfs_counted_twice(
    name: str, plans: dict[str, CuttingPlan], boats: dict[str, Boat]
) -> None:
    plan = plans[name]
    pieces = strakes_on(plan)
    for strake, plank, joints in zip(boats[name].strakes, plan.planking.planks, plan.planking.joints, strict=True):
        whole = shapely.Polygon(outline_of(strake))
        overlap = 0.0
        for joint in joints:
            point, way = plank.place(joint.middle)
            across = np.array([-way[1], way[0]])
            half = joint.length / 2
            band = [point + a * half * way + b * 500 * across for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
            overlap += whole.intersection(shapely.Polygon(band)).area
        for hand in ("port", "starboard"):
            parts = [piece for key, piece in pieces.items() if key.split(",")[0] == f"strake {strake.number} {hand}"]
            assert len(parts) == len(joints) + 1
            area = sum(shapely.Polygon(part.paths[0].points).area for part in parts)
            assert area == pytest.approx(whole.area + overlap, rel=1e-9)
    listed = sorted(one.part.name for sheet in plan.sheets for one in sheet.laid)
    assert len(set(listed)) == len(listed)
    assert len(listed) == 2 * sum(len(joints) + 1 for joints in plan.planking.joints) + 60 + 6


@pytest.mark.parametrize("name", ["A", "C", *more("B")])
def test_parts_put_together_are_the_whole_strake(
    name: str, plans: dict[str, CuttingPlan], boats: dict[str, Boat]
) -> None:
    pieces = strakes_on(plans[name])
    for strake in boats[name].strakes:
        parts = [piece for key, piece in pieces.items() if key.split(",")[0] == f"strake {strake.number} port"]
        together = shapely.unary_union([shapely.Polygon(part.paths[0].points) for part in parts])
        assert together.symmetric_difference(shapely.Polygon(outline_of(strake))).area < 0.01


@pytest.mark.parametrize("name", ["A", "C"])
def test_each_starboard_part_is_the_exact_mirror_of_its_port_one(name: str, plans: dict[str, CuttingPlan]) -> None:
    pieces = strakes_on(plans[name])
    ports = [key for key in pieces if " port" in key]
    assert len(ports) == len(pieces) / 2
    for key in ports:
        port, starboard = pieces[key], pieces[key.replace("port", "starboard")]
        for one, other in zip(port.paths, starboard.paths, strict=True):
            assert (one.points * (-1.0, 1.0) == other.points).all()
            assert (one.role, one.closed) == (other.role, other.closed)
        assert [(-h.centre[0], h.centre[1], h.diameter) for h in port.holes] == [
            (*h.centre, h.diameter) for h in starboard.holes
        ]
        assert not any("STARBOARD" in label.text for label in port.labels)
        assert not any(re.search(r"\bPORT\b", label.text) for label in starboard.labels)


@pytest.mark.parametrize("name", ["A", "C", *more("B")])
def test_a_part_on_a_sheet_is_its_piece_turned_and_moved_not_turned_over(
    name: str, plans: dict[str, CuttingPlan]
) -> None:
    for sheet in plans[name].sheets:
        for one in sheet.laid[:12]:
            before = next(path.points for path in one.part.piece.paths if path.role is Role.CUT)
            after = next(path.points for path in one.piece.paths if path.role is Role.CUT)
            first, second = before - before.mean(axis=0), after - after.mean(axis=0)
            cosine = (first * second).sum()
            sine = (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]).sum()
            turn = np.array([[cosine, sine], [-sine, cosine]]) / np.hypot(cosine, sine)
            assert np.abs(first @ turn - second).max() < 1e-6


def test_strakes_lie_along_the_grain(plans: dict[str, CuttingPlan]) -> None:
    for sheet in plans["A"].sheets:
        for one in sheet.laid:
            if one.part.name.startswith("strake"):
                lap = next(
                    path.points for path in one.piece.paths if path.role is Role.SCRIBE and len(path.points) > 9
                )
                run = lap[-1] - lap[0]
                assert abs(run[1]) < 0.06 * abs(run[0])


@pytest.mark.parametrize(("name", "least"), [("A", 0.78), ("C", 0.7), *more(("B", 0.78))])
def test_full_sheets_are_well_used(
    name: str, least: float, plans: dict[str, CuttingPlan], boats: dict[str, Boat]
) -> None:
    # 70 % is what stacking by profile was seen to reach on such sheets, rectangles 48 %
    strakes = [sheet for sheet in plans[name].sheets if sheet.thickness == boats[name].hull.planking.thickness[0]]
    assert max(sheet.share_used for sheet in strakes) > least
    area = sum(sheet.used for sheet in strakes[:-1])
    assert area / sum(sheet.size.area for sheet in strakes[:-1]) > 0.7
    for sheet in plans[name].sheets:
        shapes = shapes_of(sheet)
        assert sheet.used == pytest.approx(sum(shape.area for shape in shapes), rel=1e-9)


def test_the_planks_take_no_more_sheets_than_what_lies_across_their_middle_asks_for(
    plans: dict[str, CuttingPlan],
) -> None:
    """A part longer than half a sheet covers its middle; there its narrowest chord and a gap are lost at least."""
    sheets = [sheet for sheet in plans["A"].sheets if sheet.thickness == 9.0]
    taken = 0.0
    for part in [one.part for sheet in sheets for one in sheet.laid if one.part.thickness is not None]:
        wood = shapely.affinity.rotate(
            shapely.union_all([shapely.Polygon(line) for line in part.reach]), part.turns[0], (0, 0), use_radians=True
        )
        left, _, right, _ = wood.bounds
        assert right - left > 1210.0  # all parts are long: usable are 2420 mm
        chords = [
            wood.intersection(shapely.LineString([(x, -5e3), (x, 5e3)])).length
            for x in np.linspace(right - 1210.0, left + 1210.0, 25)
        ]
        taken += min(chords) + 8.0
    assert len(sheets) == np.ceil(taken / 1208.0)


def test_thicknesses_never_share_a_sheet_and_cards_go_between_strakes(plans: dict[str, CuttingPlan]) -> None:
    sheets = plans["A"].sheets
    for sheet in sheets:
        assert {one.part.thickness for one in sheet.laid} <= {sheet.thickness, None}
    assert {sheet.thickness for sheet in sheets} == {9.0, 18.0}
    first = [one.part.name for sheet in sheets[:3] for one in sheet.laid]
    assert sum(name.startswith("land") for name in first) > 40


def test_the_same_parts_give_the_same_sheets(boats: dict[str, Boat], plans: dict[str, CuttingPlan]) -> None:
    again = cut_from(boats["C"], stock(["2440x1220"]), cards(60) + moulds(3))
    for one, other in zip(plans["C"].sheets, again.sheets, strict=True):
        assert [laid.part.name for laid in one.laid] == [laid.part.name for laid in other.laid]
        for first, second in zip(one.laid, other.laid, strict=True):
            assert (first.piece.paths[0].points == second.piece.paths[0].points).all()


def test_of_several_sizes_those_are_taken_that_serve_best(boats: dict[str, Boat]) -> None:
    plan = cut_from(boats["C"], stock(["2440x1220", "3100x1530"]))
    assert not any(plan.planking.joints)  # the long sheet takes every strake of the pram whole
    assert {sheet.size for sheet in plan.sheets} == {Size(3100.0, 1530.0)}
    for sheet in plan.sheets:
        assert least_apart(shapes_of(sheet)) >= 8.0 - 1e-6


def test_marks_and_words_lie_on_the_wood(plans: dict[str, CuttingPlan]) -> None:
    for piece in strakes_on(plans["A"]).values():
        wood = shapely.Polygon(piece.paths[0].points).buffer(0.01)
        marks = [path for path in piece.paths[1:] if path.role is not Role.ROUGH]
        assert all(wood.contains(shapely.LineString(path.points)) for path in marks)
        assert all(wood.contains(shapely.Point(label.at)) for label in piece.labels)
        assert {path.role for path in piece.paths} <= {Role.CUT, Role.ROUGH, Role.SCRIBE, Role.DATUM, Role.FAR}


def rectangle(length: float, width: float, name: str = "card") -> Piece:
    """Return a rectangular piece."""
    return Piece(
        name, "bevels", (), (Path(np.array([[0, 0], [length, 0], [length, width], [0, width]]), Role.CUT, True),)
    )


def test_an_arrow_goes_where_its_word_goes(boats: dict[str, Boat]) -> None:
    """An arrow whose word a scarf takes away would tell nothing, or the wrong thing."""
    boat, arrows = boats["C"], 0
    plan = cut_from(boat, stock(["1900x610"]), draw=partial(strake_piece, boat))
    for piece in strakes_on(plan).values():
        boxes = list(shapely.polygons(label_boxes(piece.labels)))
        for path in piece.paths:
            if path.role is Role.NOTE and len(path.points) == 5:
                arrows += 1
                assert min(box.distance(shapely.Point(path.points[0])) for box in boxes) < 6.0, piece.name
    assert arrows > 10


def test_of_parts_that_no_sheet_takes_the_widest_is_named_with_a_count_and_what_would_cure_it() -> None:
    parts = [*piece_parts(rectangle(2500.0, 50.0, "long"), 9.0), *piece_parts(rectangle(1300.0, 1250.0, "wide"), 9.0)]
    with pytest.raises(
        StockError, match=r"wide \(1300 × 1250\), and 1 more part does not fit: .* 2520 mm long and 1270 mm wide"
    ):
        nested([*parts, *piece_parts(rectangle(100.0, 50.0), 9.0)], stock(["2440x1220"]))


def test_cards_too_large_for_any_sheet_are_left_out_and_listed(boats: dict[str, Boat]) -> None:
    strip = piece_parts(rectangle(3000.0, 30.0, "land 1 strip"), None)
    assert too_large([*strip, *cards(2)], stock(["2440x1220"])) == strip
    plan = cut_from(boats["C"], stock(["2440x1220"]), strip)
    assert plan.left_out == ("land 1 strip",)
    assert not any(one.part.name == "land 1 strip" for sheet in plan.sheets for one in sheet.laid)


def test_cards_without_room_get_a_sheet_of_their_own_and_fill_it_closely() -> None:
    many = [part for number in range(100) for part in piece_parts(rectangle(190.0, 120.0, f"card {number}"), None)]
    sheets = nested(many, stock(["2440x1220"], 10.0, 6.0))
    assert sum(len(sheet.laid) for sheet in sheets) == 100
    assert len(sheets) == 1
    # cards of 190 x 120 in cells of 4 mm: 12 x 9 = 108 fit at most on 2420 x 1200 with gaps of 6 mm
    assert least_apart(shapes_of(sheets[0])) >= 6.0 - 1e-9
    assert sheets[0].thickness is None


def test_an_opening_in_a_part_is_no_wood() -> None:
    opening = Path(np.array([[10.0, 10.0], [30.0, 10.0], [30.0, 30.0], [10.0, 30.0]]), Role.CUT, True)
    piece = rectangle(100.0, 50.0)
    (part,) = piece_parts(Piece("frame", "bevels", (), (*piece.paths, opening)), None)
    assert part.area == pytest.approx(100 * 50 - 20 * 20)


def test_the_mirror_of_a_mirror_is_the_piece_and_words_stay_readable() -> None:
    piece = Piece(
        "mould 2",
        "moulds",
        ("starboard half, seen from aft",),
        rectangle(300.0, 200.0).paths,
        (),
        (
            Label("PORT, THIS FACE OUT", (20.0, 30.0), 4.0, 0.3, on_mirror="STARBOARD, THIS FACE OUT"),
            Label("mould 2", (50.0, 60.0), 3.0, 0.0, "middle"),
        ),
        facing=Facing("port"),
    )
    other = mirrored(piece)
    assert other.facing == Facing("starboard")
    assert other.labels[0].text == "STARBOARD, THIS FACE OUT"
    assert (other.labels[0].anchor, other.labels[0].angle, other.labels[0].at) == ("end", -0.3, (-20.0, 30.0))
    assert other.labels[0].height < 4.0
    again = mirrored(other)
    assert (again.paths[0].points == piece.paths[0].points).all()
    assert again.labels[1] == piece.labels[1]
    assert again.labels[0].text == piece.labels[0].text


def test_turning_keeps_distances_and_moves_holes_and_words_alike() -> None:
    piece = Piece("card", "bevels", (), rectangle(90.0, 50.0).paths, (), (Label("x", (90.0, 50.0)),))
    there = turned(piece, np.pi / 2, (100.0, 0.0))
    assert there.paths[0].points == pytest.approx(np.array([[100, 0], [100, 90], [50, 90], [50, 0]]))
    assert there.labels[0].at == pytest.approx((50.0, 90.0))
    assert there.labels[0].angle == pytest.approx(np.pi / 2)


@pytest.mark.parametrize(
    ("sizes", "margin", "gap", "complaint"),
    [
        (["2440"], 10.0, 8.0, "'2440' is not a size of stock; give length and width, such as 2440x1220"),
        (["2440x"], 10.0, 8.0, "not a size of stock"),
        (["-2440x1220"], 10.0, 8.0, "not a size of stock"),
        (["nanxinf"], 10.0, 8.0, "not a size of stock"),
        (["8x4"], 10.0, 8.0, "a side of 8 mm"),
        (["2440x1220000"], 10.0, 8.0, "a side of 1220000 mm"),
        (["2440x1220"], -1.0, 8.0, "the margin of the stock is -1 mm"),
        (["2440x1220"], float("nan"), 8.0, "the margin of the stock is nan"),
        (["2440x1220"], 10.0, 500.0, "the cutter gap is 500 mm"),
        (["2440x250"], 100.0, 8.0, "leave less than 60 mm of a sheet of 2440 × 250"),
    ],
)
def test_sizes_margins_and_gaps_that_are_none_are_refused(
    sizes: list[str], margin: float, gap: float, complaint: str
) -> None:
    with pytest.raises(StockError, match=re.escape(complaint)):
        stock(sizes, margin, gap)


def test_sizes_are_read_as_people_write_them() -> None:
    made = stock(["2440x1220", "3100 × 1530", "2440X1220", "1220.5*610"])
    assert [(size.length, size.width) for size in made.sizes] == [(2440, 1220), (3100, 1530), (1220.5, 610)]
    (inches,) = stock(["96x48in"], 10.0, 8.0).sizes  # the unit is that of both
    assert (inches.length, inches.width) == pytest.approx((96 * 25.4, 48 * 25.4))
    assert made.longest == 3080.0


def test_a_part_without_an_outline_is_refused() -> None:
    with pytest.raises(StockError, match="land 1 has no outline"):
        piece_parts(Piece("land 1", "bevels", (), (Path(np.zeros((2, 2)), Role.NOTE),)), None)


def test_parts_are_distinguished_by_themselves() -> None:
    one, other = (piece_parts(rectangle(50.0, 40.0), None)[0] for _ in range(2))
    assert isinstance(one, Part)
    assert one != other


def test_strakes_too_wide_for_the_stock_are_refused_in_one_line_that_asks_for_nothing_asked_already(
    boats: dict[str, Boat],
) -> None:
    with pytest.raises(StockError, match=r"takes strake \d \w+, part \d of \d .* more parts do not fit") as refused:
        cut_from(boats["C"], stock(["2440x120"]))
    assert "--only" not in str(refused.value)
    assert len(str(refused.value)) < 250
