"""The templates of thwarts, and their drawing read back into the boat."""

import io
from dataclasses import replace
from functools import cache

import ezdxf
import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Piece, Role
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.inside.level import ThwartShape
from templates_gen.hull.model import Thwart
from templates_gen.hull.reader import read_hull
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.templates.inside.thwarts import WOOD
from tests.flow import boat_of, folio
from tests.geometry.exact_hulls import Array, oblique_prism
from tests.geometry.test_inside_across import on_planking
from tests.templates.label_clearance import crowded_labels
from tests.templates.test_inside_across import HULLS, each_boat


@cache
def with_thwart(name: str) -> Boat:
    """A demonstration hull with a thwart between its second and third station."""
    hull = read_hull(HULLS / f"{name}.toml")
    middle = (hull.stations[1].at + hull.stations[2].at) / 2
    low, high = float(hull.stations[2].rabbet[1]), float(hull.stations[2].section[-1, 1])
    thwart = Thwart(0, 1, middle - 100.0, middle + 120.0, low + 0.65 * (high - low), 22.0)
    return boat_of(replace(hull, inside=(thwart,)))


def cut_of(piece: Piece) -> Array:
    return next(path.points for path in piece.paths if path.role is Role.CUT)


@each_boat
def test_the_end_of_the_drawing_lies_on_the_planking_in_space(name: str) -> None:
    boat = with_thwart(name)
    (shape,) = boat.inside
    assert isinstance(shape, ThwartShape)
    made = folio(boat, "inside", "bench")
    whole = cut_of(made.for_router.pieces[0])
    space = ezdxf.read(io.StringIO(dxf_bytes(made.for_router).decode("ascii"))).modelspace()
    (line,) = space.query('LWPOLYLINE[layer=="CUT-OUTSIDE"]')
    read = np.array([(p.x, p.y) for p in ezdxf.path.make_path(line).flattening(0.005)])
    read -= np.round(read.min(axis=0) - whole.min(axis=0))
    every = shapely.get_coordinates(shapely.LineString(read).segmentize(20.0))
    piece = shape.piece
    in_boat = np.column_stack([piece.aft - every[:, 1], every[:, 0]])
    on_end = shapely.distance(shapely.LineString(shape.end), shapely.points(in_boat)) < 0.03
    steps = np.array([part.line[-1, 0] for part in shape.parts[:-1]])
    clear = [np.abs(steps - x).min(initial=np.inf) > 0.1 for x in in_boat[:, 0]]
    points = in_boat[on_end & np.array(clear)]
    assert len(points) >= 8
    in_space = np.column_stack([points, np.full(len(points), piece.height)])
    assert on_planking(boat.shell, in_space).max() < 0.05


@each_boat
def test_the_bench_set_shows_the_end_alone_and_says_how_far_from_the_centreline(name: str) -> None:
    boat = with_thwart(name)
    (bench,), (full,) = folio(boat, "inside", "bench").pieces, folio(boat, "inside").pieces
    end, whole = cut_of(bench), cut_of(full)
    begin = float(end[:, 0].min())
    assert whole[:, 0].min() == 0.0
    assert float(np.sort(end[:, 0])[2]) - begin >= WOOD
    assert shapely.Polygon(end).is_valid
    kept = shapely.Polygon(whole).intersection(shapely.box(begin, -1.0, 5000.0, 5000.0))
    assert kept.symmetric_difference(shapely.Polygon(end)).area < 1e-6
    if boat.hull.units == "mm":
        assert f"{begin:g} mm from the centreline: the thwart goes on" in " ".join(bench.notes)
        assert f"{begin:g} mm to the centreline" in {label.text for label in bench.labels}
    # the bench pattern breaks off there: nothing is cut along its inner end, in the full set it is a whole half
    for piece, is_whole in ((bench, False), (full, True)):
        lines = [path for path in piece.paths if path.role in (Role.CUT, Role.ROUGH)]
        assert [path.closed for path in lines] == [is_whole] * len(lines)
        assert piece.breaks_off is not is_whole
    assert folio(boat, "inside", "bench").for_router.pieces[0].paths[0].closed
    for piece in (bench, full):
        assert crowded_labels(piece) == []
        texts = " ".join(label.text for label in piece.labels)
        assert "THWART 1" in texts
        assert "THIS IS THE TOP FACE" in texts
        assert "FORE up: STARBOARD half" in texts
        assert "about the boat's centreline" in texts
        assert "AFTER EDGE" in texts
        assert "FORWARD EDGE" in texts
        (fore,) = [label for label in piece.labels if label.text == "FORE"]
        assert shapely.Polygon(cut_of(piece)).contains(shapely.Point(fore.at))


def test_each_strake_s_bevels_are_written_along_it_and_in_the_table() -> None:
    boat = boat_of(replace(oblique_prism(), inside=(Thwart(0, 1, 1100.0, 1500.0, 330.0, 20.0),)))
    (shape,) = boat.inside
    assert isinstance(shape, ThwartShape)
    made = folio(boat, "inside")
    (piece,) = made.pieces
    texts = " ".join(label.text for label in piece.labels)
    end, lands = made.tables
    assert {row[0] for row in end.rows} == {str(one.strake) for one in (*shape.parts, *shape.under_parts)}
    parts = [(2, part) for part in shape.parts] + [(3, part) for part in shape.under_parts]
    for column, part in parts:
        degrees = round(2 * np.degrees(part.bevels[0])) / 2  # alike all along a strake of a prism
        assert f"strake {part.strake}" in texts
        assert f"edge {degrees:g}°" in texts
        rows = [row for row in end.rows if row[0] == str(part.strake)]
        assert {row[-1] for row in rows} == {f"{degrees:g}°"}
        given = {row[1]: row[column] for row in rows}
        for x, out in part.line[[0, -1]]:
            at, breadth = boat.hull.notation.length(float(x)), boat.hull.notation.length(float(out))
            assert given[at] == breadth
    words = " ".join(piece.notes)
    assert len(lands.rows) == 2 * len(shape.lands) > 0
    for land in shape.lands:
        first, last = (boat.hull.notation.spoken_length(float(x)) for x in land.corner[[0, -1], 0])
        assert f"Land {land.land} crosses this end from {first} to {last} aft of the datum" in words
        assert "do not plane straight" in words
        assert f"strake {land.land}, below land {land.land}: edge" in texts
        assert f"strake {land.land + 1}, above land {land.land}: edge" in texts


def test_an_end_that_no_land_crosses_is_planed_to_the_dashed_line() -> None:
    boat = boat_of(replace(oblique_prism(), inside=(Thwart(0, 1, 1200.0, 1210.0, 330.0, 4.0),)))
    (shape,) = boat.inside
    assert isinstance(shape, ThwartShape)
    assert not shape.lands
    made = folio(boat, "inside")
    assert len(made.tables) == 1
    assert "notch" not in " ".join(made.pieces[0].notes)


def test_where_the_bottom_face_is_the_larger_the_saw_goes_outside_both() -> None:
    hull = oblique_prism()
    boat = boat_of(replace(hull, inside=(Thwart(0, 1, 1100.0, 1500.0, 330.0, 20.0),)))
    piece = folio(boat, "inside").pieces[0]
    rough = [path.points for path in piece.paths if path.role is Role.ROUGH]
    under = next(path.points for path in piece.paths if path.role is Role.FAR)
    wood = shapely.Polygon(rough[0] if rough else cut_of(piece))
    assert shapely.distance(wood, shapely.points(under)).max() < (1e-6 if rough else 1.0)


@pytest.mark.parametrize("height", [360.0, 380.0])
def test_the_sheet_gives_the_bevels_of_every_strake_that_an_end_touches(height: float) -> None:
    """Also where a strake is touched for a length that has no room for lettering."""
    hull = read_hull(HULLS / "double_ender.toml")
    middle = (hull.stations[1].at + hull.stations[2].at) / 2
    thwart = Thwart(0, 1, middle - 100.0, middle + 120.0, height, 22.0)
    boat = boat_of(replace(hull, inside=(thwart,)))
    (shape,), (piece,) = boat.inside, folio(boat, "inside", "bench").pieces
    assert isinstance(shape, ThwartShape)
    assert shape.lands
    words = " ".join(label.text for label in piece.labels).lower()
    for part in (*shape.parts, *shape.under_parts):
        assert f"strake {part.strake}" in words
    for land in shape.lands:
        below = round(2 * np.degrees(land.bevels[0][1])) / 2
        assert f"strake {land.land}, below land {land.land}: edge {below:g}°" in words
        assert f"strake {land.land + 1}, above land {land.land}: edge" in words


def test_an_end_that_leans_out_forward_and_in_aft_says_so_of_each_depth(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    boat = with_thwart("pram")
    (shape,) = boat.inside
    assert isinstance(shape, ThwartShape)
    (part,) = shape.parts
    bevels = (float(np.arctan(0.6 / 22.0)), float(np.arctan(-2.9 / 22.0)))  # fore, aft: of 22 mm of wood
    leaning = replace(shape, parts=(replace(part, bevels=bevels),), lands=())
    monkeypatch.setattr(Boat, "inside", (leaning,))
    (piece,) = folio(boat_on(boat.shell), "inside").pieces
    assert any(label.text.endswith("2.9 OUTSIDE / 0.6 inside") for label in piece.labels)
