"""Sheets of stock as a router gets them, read back from the file: nothing is off the sheet, the cost is true."""

import io
from functools import cache
from itertools import pairwise
from typing import Any

import ezdxf
import ezdxf.bbox
import ezdxf.path
import numpy as np
import pyogrio
import pyogrio.raw
import pytest
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.piece import Folio, Hole, Path, Piece, Role
from templates_gen.errors import DrawingError
from templates_gen.render.dxf.cost import CUT, MARKED, Rates, SheetCost, cost_table, cost_words, sheet_cost
from templates_gen.render.dxf.drawn import Drawn
from templates_gen.render.dxf.layers import Release
from templates_gen.render.dxf.tabs import Tabs, with_tabs
from templates_gen.render.dxf.writing import sheet_drawing, written
from templates_gen.stock.cutting import CuttingPlan
from templates_gen.stock.drawings import sheet_folios
from tests.stock.planked import WhenAsked
from tests.sweep import more

Array = NDArray[np.float64]

SHEET = (2440.0, 1220.0)
RATES = Rates(1500.0, 300.0, 4000.0)
OPERATIONS = ("DRILL", "SCRIBE", "NAME", "CUT-INSIDE", "ROUGH", "CUT-OUTSIDE")


@pytest.fixture(scope="session")
def drawings(cut: dict[str, CuttingPlan]) -> dict[str, list[Drawn]]:
    """Return the drawing of every sheet of the three worked boats."""
    return WhenAsked(lambda name: [sheet_drawing(folio, SHEET) for folio in sheet_folios(cut[name])])


@pytest.fixture(scope="session")
def bridged_drawings(drawings: dict[str, list[Drawn]]) -> dict[str, list[tuple[Drawn, int]]]:
    """Return every drawing with three bridges of 12 mm an outline, and how many have no room."""
    return WhenAsked(lambda name: [with_tabs(drawing, Tabs(3, 12.0)) for drawing in drawings[name]])


_documents: dict[tuple[int, Release], tuple[Drawn, Any]] = {}


def read(drawing: Drawn, release: Release = "r2000") -> Any:
    """Return a drawing written and read back, the same document whenever it is asked for."""
    key = id(drawing), release
    if key not in _documents:
        _documents[key] = drawing, ezdxf.read(io.StringIO(written(drawing, release).decode("ascii")))
    return _documents[key][1]


def entities(document: Any) -> list[tuple[str, list[Any]]]:
    """Return the name and the entities, in place, of each block that is inserted."""
    return [(one.dxf.name, list(one.virtual_entities())) for one in document.modelspace().query("INSERT")]


def points_of(entity: Any) -> Array:
    """Return an entity's line as ezdxf flattens it, shape (n, 2), mm."""
    return np.array([(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(0.0005)])


def on(found: list[Any], layer: str) -> list[Any]:
    """Return the entities on a layer; DRILL stands for every diameter."""
    return [
        one for one in found if one.dxf.layer == layer or (layer == "DRILL" and one.dxf.layer.startswith("DRILL-"))
    ]


def outer(found: list[Any]) -> str:
    """Return the layer of the outline that a block's piece is cut out along."""
    return "ROUGH" if on(found, "ROUGH") else "CUT-OUTSIDE"


@pytest.mark.parametrize("name", ["C", *more("A", "B")])
def test_a_sheet_is_its_drawings_extents_and_no_block_lies_over_another(
    name: str, drawings: dict[str, list[Drawn]]
) -> None:
    for drawing in drawings[name]:
        document = read(drawing)
        box = ezdxf.bbox.extents(document.modelspace())
        assert (tuple(box.extmin), tuple(box.extmax)) == ((0, 0, 0), (*SHEET, 0))
        assert (tuple(document.header["$EXTMIN"]), tuple(document.header["$EXTMAX"])) == ((0, 0, 0), (*SHEET, 0))
        blocks = entities(document)
        assert len({block for block, _ in blocks}) == len(blocks)
        wood = [shapely.Polygon(points_of(on(found, "CUT-OUTSIDE")[0])) for _, found in blocks]
        first, second = shapely.STRtree(wood).query(wood, predicate="dwithin", distance=7.9)
        assert (first == second).all()
        for (_, found), outline in zip(blocks, wood, strict=True):
            around = outline.buffer(0.04)  # net ends are scribed: both lines keep within 0.02 mm of one curve
            for layer in ("SCRIBE", "NAME", "DRILL"):
                assert all(around.covers(shapely.LineString(points_of(one))) for one in on(found, layer))


@pytest.mark.parametrize("name", ["C", *more("A", "B")])
def test_net_ends_and_a_net_sheer_inside_the_rough_outline_are_scribed(
    name: str, drawings: dict[str, list[Drawn]]
) -> None:
    inside = {}
    for block, found in (pair for drawing in drawings[name] for pair in entities(read(drawing))):
        if not on(found, "ROUGH"):
            continue
        (net,), (rough,) = (
            [shapely.LinearRing(points_of(one)) for one in on(found, layer)] for layer in ("CUT-OUTSIDE", "ROUGH")
        )
        places = net.interpolate(np.arange(0.0, net.length, 2.0))
        left = places[shapely.distance(places, rough) > 0.5]
        scribed = shapely.union_all([shapely.LineString(points_of(one)) for one in on(found, "SCRIBE")])
        assert shapely.distance(left, scribed).max(initial=0.0) < 0.05, block  # a middle part has none
        inside[block] = 2.0 * len(left) / (shapely.bounds(net)[2] - shapely.bounds(net)[0])
    ends = [block for block in inside if block.endswith(("PORT", "FORE", "AFT"))]
    assert len(ends) >= 4
    sheer = max(int(block.split("-")[1]) for block in inside)
    for block, share in inside.items():  # a net sheer is as long as its part, an end as wide
        assert (share > 0.9) == (int(block.split("-")[1]) == sheer), block


def test_gdal_at_its_defaults_places_the_outlines_of_blocks_true(
    drawings: dict[str, list[Drawn]], tmp_path: Any
) -> None:
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None, "DXF_MERGE_BLOCK_GEOMETRIES": None})
    drawing = drawings["C"][0]
    (tmp_path / "sheet.dxf").write_bytes(written(drawing))
    shown = shapely.from_wkb(pyogrio.raw.read(tmp_path / "sheet.dxf")[2])
    merged = [one for one in shown if one.geom_type == "MultiLineString"]
    assert len(merged) == len(drawing.pieces)
    for placed in drawing.layout.placed:
        (outline,) = [path.points for path in placed.piece.paths if path.role is Role.CUT]
        assert min(float(shapely.distance(shapely.points(outline), one).max()) for one in merged) < 0.05


def test_blocks_bear_the_names_of_parts_strake_hand_and_end(drawings: dict[str, list[Drawn]]) -> None:
    names = {name for drawing in drawings["C"] for name, _ in entities(read(drawing))}
    hands, ends = ("PORT", "STARBOARD"), ("FORE", "AFT")
    parts = {f"STRAKE-{number}-{hand}-{end}" for number in range(1, 9) for hand in hands for end in ends}
    moulds = {f"MOULD-{number}-{hand}" for number in range(1, 5) for hand in hands}
    assert names == parts | moulds
    old = [name for drawing in drawings["C"] for name, _ in entities(read(drawing, "r12"))]
    assert len(old) == len(names)
    assert max(map(len, old)) <= 31


@cache
def square() -> Drawn:
    """Return a sheet with a square of 100 mm that has no name, a mark of 50 mm across it and two holes."""
    corners = np.array([[10.0, 10.0], [110.0, 10.0], [110.0, 110.0], [10.0, 110.0]])
    mark = Path(np.array([[30.0, 60.0], [80.0, 60.0]]), Role.SCRIBE)
    holes = (Hole((20.0, 20.0), 4.0), Hole((23.0, 24.0), 4.0))
    piece = Piece("", "stock", (), (Path(corners, Role.CUT, closed=True), mark), holes)
    return sheet_drawing(Folio("stock", "one square", (piece,)), (300.0, 200.0))


def test_the_cost_of_a_square_with_two_holes_and_a_mark_is_that_of_the_sum_by_hand() -> None:
    cost = sheet_cost(1, square(), 10.0, RATES)
    # two holes 15 mm deep from 5 mm above: the first is hypot(20, 20) from the corner, the second 5 on
    drilling = (np.hypot(20, 20) + 5.0 + 30.0) / 4000.0 + 30.0 / 300.0
    assert cost.operations["DRILL"].minutes == pytest.approx(drilling)
    # the mark from its near end, hypot(7, 36) from the second hole
    scribing = (np.hypot(7.0, 36.0) + 5.5) / 4000.0 + 5.5 / 300.0 + 50.0 / 1500.0
    assert cost.operations["SCRIBE"].minutes == pytest.approx(scribing)
    assert (cost.operations["SCRIBE"].length, cost.operations["SCRIBE"].lifts) == (50.0, 1)
    assert (cost.operations["CUT-OUTSIDE"].length, cost.operations["CUT-OUTSIDE"].lifts) == (400.0, 1)
    assert cost.of().lifts == 4


@pytest.mark.parametrize("name", ["C", *more("A", "B")])
def test_the_cost_list_is_that_of_a_simulation_of_the_file(name: str, drawings: dict[str, list[Drawn]]) -> None:
    for drawing in drawings[name]:
        cost = sheet_cost(1, drawing, 9.0, RATES)
        parts = [part for _, part in entities(read(drawing))]
        found = [
            one for part in parts for one in part if one.dxf.layer != "CUT-OUTSIDE" or outer(part) == "CUT-OUTSIDE"
        ]
        at = np.zeros(2)
        for layer in OPERATIONS:
            minutes, length, lifts = 0.0, 0.0, 0
            down = 5.0 + (0.5 if layer in ("SCRIBE", "NAME") else 9.0)
            for entity in on(found, layer):
                is_hole = entity.dxftype() == "CIRCLE"
                points = np.array([[entity.dxf.center.x, entity.dxf.center.y]]) if is_hole else points_of(entity)
                along = float(np.hypot(*np.diff(points, axis=0).T).sum())
                over = float(np.hypot(*(points[0] - at)))
                minutes += (over + down) / 4000.0 + down / 300.0 + along / 1500.0
                length, lifts, at = length + along, lifts + 1, points[-1]
            listed = cost.operations[layer]
            assert (listed.length, listed.minutes) == pytest.approx((length, minutes), rel=2e-4, abs=1e-6)
            assert listed.lifts == lifts


@pytest.mark.parametrize("name", ["C", *more("A", "B")])
def test_marks_and_names_take_less_time_than_the_cut_over_all_sheets_of_a_boat(
    name: str, cut: dict[str, CuttingPlan], drawings: dict[str, list[Drawn]]
) -> None:
    """Engraving must not dominate a boat. It may take longer on a sheet that holds only a few short parts."""
    costs = [
        sheet_cost(sheet.number, drawing, sheet.thickness, Rates())
        for sheet, drawing in zip(cut[name].sheets, drawings[name], strict=True)
    ]
    assert all(cost.of(MARKED).minutes > 0.0 for cost in costs)
    assert sum(cost.of(MARKED).minutes for cost in costs) < sum(cost.of(CUT).minutes for cost in costs)


def test_the_list_and_the_line_of_a_sheet_say_the_same() -> None:
    cost = sheet_cost(3, square(), 10.0, RATES)
    table = cost_table([cost], RATES, "mm")
    assert table.rows[0][:2] == ("3", "0.4")
    assert all(len(row) == len(table.columns) for row in table.rows)
    assert cost_words(cost, "mm").startswith("sheet 3 of stock takes the router about 1 min: 0.4 m to cut")
    assert "1.3 ft to cut" in cost_words(cost, "in")
    assert isinstance(cost, SheetCost)


@pytest.mark.parametrize("name", ["C"])
def test_bridges_part_each_outline_away_from_corners_and_marks_and_close_it_again(
    name: str, drawings: dict[str, list[Drawn]], bridged_drawings: dict[str, list[tuple[Drawn, int]]]
) -> None:
    for drawing, (bridged, missing) in zip(drawings[name], bridged_drawings[name], strict=True):
        whole = {block: on(found, outer(found)) for block, found in entities(read(drawing))}
        net = {block: on(found, "CUT-OUTSIDE") for block, found in entities(read(drawing))}
        count = 0
        for block, found in entities(read(bridged)):
            tabs, left = on(found, "TABS"), on(found, outer(found))
            count += len(tabs)
            assert len(left) == max(1, len(tabs))
            lines = [points_of(one) for one in (*tabs, *left)]
            lengths = [float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in lines]
            assert lengths[: len(tabs)] == pytest.approx([12.0] * len(tabs), abs=0.001)
            ring = points_of(whole[block][0])
            assert sum(lengths) == pytest.approx(float(np.hypot(*np.diff(ring, axis=0).T).sum()), abs=0.01)
            outline = shapely.LineString(ring)
            assert max(float(shapely.distance(shapely.points(line), outline).max()) for line in lines) < 0.001
            marks = [shapely.LineString(points_of(one)) for layer in ("SCRIBE", "DRILL") for one in on(found, layer)]
            bridges = [shapely.LineString(line) for line in lines[: len(tabs)]]
            along = shapely.LinearRing(points_of(net[block][0])).buffer(0.06)
            marks = [mark for mark in marks if not along.covers(mark)]  # a net sheer runs along the rough one
            assert all(bridge.distance(mark) > 4.9 for bridge in bridges for mark in marks)
            assert all(straight(bridge) for bridge in bridges)
        assert count + missing == 3 * len(whole)
        assert missing < count


@pytest.mark.parametrize("name", ["C", *more("A")])
def test_no_outline_net_or_rough_is_closed_or_runs_over_a_bridge(
    name: str, bridged_drawings: dict[str, list[tuple[Drawn, int]]]
) -> None:
    planks = 0
    for bridged, _ in bridged_drawings[name]:
        for _, found in entities(read(bridged)):
            tabs = [shapely.LineString(points_of(one)) for one in on(found, "TABS")]
            cuts = [one for layer in ("ROUGH", "CUT-OUTSIDE") for one in on(found, layer)]
            planks += bool(on(found, "ROUGH"))
            assert not tabs or not any(one.closed for one in cuts)
            lines = [shapely.LineString(points_of(one)) for one in cuts]
            middles = [tab.interpolate(0.5, normalized=True) for tab in tabs]
            # half a bridge, 6 mm, in a straight line; less where a net corner is near
            assert all(middle.distance(line) > 4.0 for middle in middles for line in lines)
    assert planks


def straight(line: shapely.LineString) -> bool:
    """Return whether a line has no corner: no two of its sides differ by 5 degrees."""
    ways = [np.arctan2(b[1] - a[1], b[0] - a[0]) for a, b in pairwise(line.coords)]
    return all(abs((b - a + np.pi) % (2 * np.pi) - np.pi) < np.radians(5.0) for a, b in pairwise(ways))


def test_bridges_lie_in_the_middle_of_equal_stretches_where_nothing_is_in_the_way() -> None:
    bridged, missing = with_tabs(square(), Tabs(4, 10.0))
    assert missing == 0
    ((_, found),) = entities(read(bridged))
    middles = sorted(points_of(one).mean(axis=0).tolist() for one in on(found, "TABS"))
    assert np.array(middles) == pytest.approx(np.array([[10, 60], [60, 10], [60, 110], [110, 60]]), abs=2.0)
    assert sum(float(np.hypot(*np.diff(points_of(one), axis=0).T).sum()) for one in on(found, "CUT-OUTSIDE")) == 360.0


@pytest.mark.parametrize(
    "text", ["", "3", "x12", "3x", "3x0.5", "0x12", "100x12", "3 by 12", "-3x12", "3x12x4", "²x3"]
)
def test_bridges_that_are_none_are_refused(text: str) -> None:
    with pytest.raises(DrawingError, match="such as 3x12"):
        Tabs.parse(text)
    assert Tabs.parse(" 3X12.5 ") == Tabs(3, 12.5)
