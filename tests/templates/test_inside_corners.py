"""The templates of breasthooks and knees, and their drawing read back into the boat."""

import io
from dataclasses import replace
from functools import cache

import ezdxf
import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.corners import CornerShape
from templates_gen.hull.reader import read_hull
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.templates.inside.corners import on_pattern, saw_outside
from tests.flow import boat_of, folio
from tests.geometry.exact_hulls import Array
from tests.geometry.test_inside_across import on_planking
from tests.geometry.test_inside_corners import CORNERS, each_corner
from tests.templates.label_clearance import crowded_labels
from tests.templates.test_inside_across import HULLS


@cache
def with_corner(case: str) -> Boat:
    name, piece = CORNERS[case]
    return boat_of(replace(read_hull(HULLS / f"{name}.toml"), inside=(piece,)))


def drawn(case: str) -> tuple[CornerShape, Piece]:
    boat = with_corner(case)
    (shape,), (piece,) = boat.inside, folio(boat, "inside").pieces
    assert isinstance(shape, CornerShape)
    return shape, piece


def cut_of(piece: Piece) -> Array:
    return next(path.points for path in piece.paths if path.role is Role.CUT)


@each_corner
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


@each_corner
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
    assert [row[4] for row in table.rows] == [f"{one:g}°" for one in bevels]
    # forward is up: the end of the boat is at the top of a fore piece
    outline = cut_of(piece)
    corner = on_pattern(shape, shape.seat[-1:])[0, 1]
    assert corner > outline[:, 1].mean() if shape.piece.end == "fore" else corner < outline[:, 1].mean()


@each_corner
def test_the_slope_of_the_top_face_and_the_bevel_of_its_seat_are_on_the_sheet_and_in_the_table(case: str) -> None:
    """The slope is that of the sheer's chord over the arm, measured on the planking in space."""
    shape, piece = drawn(case)
    boat = with_corner(case)
    shell, notation = boat.shell, boat.hull.notation
    table = folio(boat, "inside").tables[0]
    sheer = shell.upper(shell.planking.strakes, np.linspace(shell.u_fore, shell.u_aft, 4001))
    run = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(sheer, axis=0), axis=1))])
    plane, sign = shape.plane, 1.0 if shape.piece.end == "fore" else -1.0
    first = np.interp(plane.origin[0] + shape.piece.below * plane.up[0], sheer[:, 0], run)
    x, z = (np.interp((first, first + sign * shape.piece.arm), run, sheer[:, axis]) for axis in (0, 2))
    angle = float(np.degrees(np.arctan(np.diff(z)[0] / np.diff(x)[0])))
    way = "aft" if angle > 0.0 else "forward"
    long = float(np.ptp(shape.outline[:, 0])) * abs(np.sin(np.radians(angle)))
    texts = (" ".join(label.text for label in piece.labels), " ".join(piece.title), " ".join(table.notes))
    for text in texts:
        found = text.split(f"rises {way} ")[1]
        assert float(found.split("°")[0]) == pytest.approx(abs(angle), abs=0.3)
        if notation.units == "mm":
            assert float(found.split("(")[1].split(" mm")[0]) == pytest.approx(long, abs=1.0)
    seat = table.rows[-1][0]
    degrees = round(2 * np.degrees(shape.seat_bevel)) / 2
    written = texts[0].lower().split(f"{seat}: edge {degrees:g}°;")[1]
    assert "inside" in written[:40] or "outside" in written[:40]


def test_the_table_gives_lengths_along_the_arm_and_along_the_centreline() -> None:
    shape, _ = drawn("dinghy breasthook")
    table = folio(with_corner("dinghy breasthook"), "inside").tables[0]
    headings = [heading.replace("\n", " ") for heading in table.columns]
    assert headings[1].startswith("along the arm")
    assert headings[2].startswith("aft of the corner")
    arms = [float(row[1]) for row in table.rows[:3]]
    assert arms == pytest.approx([0.0, shape.piece.arm / 2, shape.piece.arm], abs=0.5)
    # the plank is nearly straight, so that the two lengths and the half-breadth make right-angled triangles
    s, y = (np.array([float(row[column]) for row in table.rows[:3]]) for column in (2, 3))
    assert np.hypot(np.diff(s), np.diff(y)) == pytest.approx(np.diff(arms), abs=1.5)
    assert "along the centreline of the top face" in " ".join(table.notes)


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
