"""The templates of breasthooks and knees, and their drawing read back into the boat."""

import io
from dataclasses import replace
from functools import cache

import ezdxf
import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Piece, Role
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.inside.corners import CornerShape
from templates_gen.hull.reader import read_hull
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.templates.folios import folio
from templates_gen.templates.inside.corners import on_pattern, saw_outside
from tests.flow import shell_of
from tests.geometry.exact_hulls import Array
from tests.geometry.test_inside_across import on_planking
from tests.geometry.test_inside_corners import CORNERS
from tests.templates.label_clearance import crowded_labels
from tests.templates.test_inside_across import HULLS


@cache
def with_corner(case: str) -> Boat:
    name, piece = CORNERS[case]
    return boat_on(shell_of(replace(read_hull(HULLS / f"{name}.toml"), inside=(piece,))))


def drawn(case: str) -> tuple[CornerShape, Piece]:
    boat = with_corner(case)
    (shape,), (piece,) = boat.inside, folio(boat, "inside").pieces
    assert isinstance(shape, CornerShape)
    return shape, piece


def cut_of(piece: Piece) -> Array:
    return next(path.points for path in piece.paths if path.role is Role.CUT)


@pytest.mark.parametrize("case", CORNERS)
def test_the_arm_of_the_drawing_lies_on_the_planking_in_space(case: str) -> None:
    shape, piece = drawn(case)
    outline = cut_of(piece)
    assert shapely.Polygon(outline).is_valid
    made = folio(with_corner(case), "inside").for_router
    space = ezdxf.read(io.StringIO(dxf_bytes(made).decode("ascii"))).modelspace()
    (line,) = space.query('LWPOLYLINE[layer=="CUT-OUTSIDE"]')
    read = np.array([(p.x, p.y) for p in ezdxf.path.make_path(line).flattening(0.005)])
    read -= np.round(read.min(axis=0) - outline.min(axis=0))
    arm = shapely.LineString(on_pattern(shape, shape.plank))
    every = shapely.get_coordinates(shapely.LineString(read).segmentize(20.0))
    on_arm = every[shapely.distance(arm, shapely.points(every)) < 0.03]
    assert len(on_arm) > 8
    sign = -1.0 if shape.piece.end == "fore" else 1.0
    points = shape.plane.point(np.column_stack([sign * on_arm[:, 1], on_arm[:, 0]]))
    assert on_planking(with_corner(case).shell, points).max() < 0.05


@pytest.mark.parametrize("case", CORNERS)
def test_a_corner_piece_says_what_it_is_and_which_way_it_lies(case: str) -> None:
    shape, piece = drawn(case)
    texts = " ".join(label.text for label in piece.labels)
    name = f"{shape.piece.kind} {shape.piece.number}"
    assert piece.name == name
    assert name.upper() in texts
    assert "THIS IS THE TOP FACE" in texts
    assert "FORE up: STARBOARD side" in " ".join(texts.split())
    assert crowded_labels(piece) == []
    angle = round(2 * np.degrees(shape.plan_angle)) / 2
    assert f"{angle:g}°" in texts
    table = folio(with_corner(case), "inside").tables[0]
    bevels = [round(2 * np.degrees(one)) / 2 for one in (*shape.plank_bevels, shape.seat_bevel)]
    assert [row[3] for row in table.rows] == [f"{one:g}°" for one in bevels]
    # forward is up: the end of the boat is at the top of a fore piece
    outline = cut_of(piece)
    corner = on_pattern(shape, shape.seat[-1:])[0, 1]
    assert corner > outline[:, 1].mean() if shape.piece.end == "fore" else corner < outline[:, 1].mean()


def test_no_rough_line_where_the_bottom_face_is_the_smaller() -> None:
    shape, piece = drawn("dinghy breasthook")
    assert min(*shape.plank_bevels, shape.seat_bevel) > 0.0
    assert all(path.role is not Role.ROUGH for path in piece.paths)
    under = next(path.points for path in piece.paths if path.role is Role.FAR)
    assert shapely.distance(shapely.Polygon(cut_of(piece)), shapely.points(under)).max() < 0.5


@pytest.mark.parametrize("case", ["dinghy knee", "dinghy breasthook"])
def test_the_saw_s_line_goes_outside_a_bottom_face_that_is_the_larger(case: str) -> None:
    shape, piece = drawn(case)
    along = (shape.plank[-1] - shape.plank[-2]) / np.linalg.norm(shape.plank[-1] - shape.plank[-2])
    outside = shape.plank + 9.0 * np.array([-along[1], along[0]])
    within = ((outside - shape.plank[-1]) @ along < -0.1) & (outside[:, 0] > shape.plank[0, 0])
    larger = on_pattern(shape, outside[within])
    wood = shapely.Polygon(saw_outside(shape, larger))
    assert wood.is_valid
    assert shapely.Polygon(cut_of(piece)).difference(wood).buffer(-0.05).is_empty
    assert shapely.distance(wood, shapely.points(larger[1:-1])).max() < 1e-6
