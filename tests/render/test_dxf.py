"""DXF drawings are read back by GDAL, which did not write them, and by ezdxf, which wrote only their frame."""

import io
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

import ezdxf
import ezdxf.bbox as bbox
import numpy as np
import pyogrio
import pyogrio.raw
import pytest
import shapely

from templates_gen.drawing.piece import Array, Folio, Hole, Label, Path, Piece, Role
from templates_gen.errors import DrawingError
from templates_gen.render.dxf.layers import COLOURS, PENS, USES, Release, use_of
from templates_gen.render.dxf.layout import laid_out
from templates_gen.render.dxf.writing import dxf_bytes, legend, sheet_drawing, written

NEAR = 0.001  # mm: ten steps of the format's rounding


def plank() -> Piece:
    """Return a plank with curved edges (arcs of 5 m radius), a lap line, a datum line and a hole."""
    angle = np.linspace(-0.2, 0.2, 401)
    lower = np.column_stack([5000 * np.sin(angle), 5000 * np.cos(angle) - 4900])
    upper = np.column_stack([5120 * np.sin(angle), 5120 * np.cos(angle) - 4900])
    outline = np.concatenate([lower, upper[::-1]])
    paths = (
        Path(outline, Role.CUT, closed=True),
        Path(outline * 1.05, Role.ROUGH, closed=True),
        Path(upper - (0.0, 19.0), Role.SCRIBE),
        Path(lower + np.array([0.0, 19.0]), Role.FAR),
        Path(np.array([[-900.0, 100.0], [900.0, 100.0]]), Role.DATUM),
    )
    labels = (Label("bevel 5½° ×2", (0.0, 120.0)), Label("mould 2", (500.0, 40.0), 4.0, 1.2, "middle"))
    return Piece("strake 4", "strakes", ("Plover", "PORT, THIS FACE OUT"), paths, (Hole((10.0, 150.0), 6.0),), labels)


def card(name: str, width: float = 40.0) -> Piece:
    """Return a rectangular card with one scribed line."""
    corners = np.array([[0.0, 0.0], [width, 0.0], [width, 20.0], [0.0, 20.0]])
    paths = (Path(corners, Role.CUT, closed=True), Path(np.array([[1.0, 10.0], [5.0, 10.0]]), Role.SCRIBE))
    return Piece(name, "strakes", ("Plover",), paths)


def folio(*pieces: Piece) -> Folio:
    """Return a folio of the given pieces."""
    return Folio("strakes", "Plover: strakes", pieces)


def read_with_gdal(data: bytes, tmp_path: FilePath) -> list[tuple[str, Array]]:
    """Return (layer, points) of every entity, arcs and circles as polygons of 0.02 degree: 0.1 µm on 5 m radius."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.02"})
    file = tmp_path / "read.dxf"
    file.write_bytes(data)
    meta, _, geometry, columns = pyogrio.raw.read(file)
    layers = columns[list(meta["fields"]).index("Layer")]
    lines = shapely.from_wkb(geometry)
    return [(layer, shapely.get_coordinates(line)) for layer, line in zip(layers, lines, strict=True)]


def read_with_ezdxf(data: bytes) -> Any:
    """Return the drawing as ezdxf reads it; which kind of entity a query finds its types do not say."""
    return ezdxf.read(io.StringIO(data.decode("ascii")))


def shift_of(piece: Piece, *pieces: Piece) -> tuple[float, float]:
    """Return where `piece` is moved to in a drawing of `pieces`, mm."""
    layout = laid_out(pieces, legend(folio(*pieces)))
    return next(placed.shift for placed in layout.placed if placed.piece.name == piece.name)


def furthest_apart(points: Array, line: Array, closed: bool) -> float:
    """Return how far the farthest of `points` lies from a line, mm."""
    ring = np.concatenate([line, line[:1]]) if closed else line
    return float(shapely.distance(shapely.points(points), shapely.LineString(ring)).max())


def test_gdal_finds_every_line_where_the_piece_has_it(tmp_path: FilePath) -> None:
    piece = plank()
    shift = shift_of(piece, piece)
    found = [entry for entry in read_with_gdal(dxf_bytes(folio(piece)), tmp_path) if len(entry[1]) > 1]
    for path in piece.paths:
        layer = PENS[path.role].layer
        moved = path.points + shift
        alike = [line for name, line in found if name == layer and furthest_apart(moved, line, False) < NEAR]
        assert len(alike) == 1
        assert furthest_apart(alike[0], moved, path.closed) < NEAR


def test_the_measure_of_distance_can_fail() -> None:
    line = np.array([[0.0, 0.0], [10.0, 0.0]])
    assert furthest_apart(line + np.array([0.0, 0.002]), line, False) > NEAR


def test_gdal_finds_the_hole_where_the_piece_has_it(tmp_path: FilePath) -> None:
    piece = plank()
    (ring,) = [line for layer, line in read_with_gdal(dxf_bytes(folio(piece)), tmp_path) if layer == "DRILL-6"]
    centre = np.add(piece.holes[0].centre, shift_of(piece, piece))
    assert np.hypot(*(ring - centre).T) == pytest.approx(3.0, abs=NEAR)


def test_the_outline_read_back_encloses_the_area_between_its_arcs(tmp_path: FilePath) -> None:
    # sector of the outer circle less that of the inner, less what the ends cut: both ends are radial here
    piece = plank()
    outline = next(
        line for layer, line in read_with_gdal(dxf_bytes(folio(piece)), tmp_path) if layer == "CUT-OUTSIDE"
    )
    assert shapely.Polygon(outline).area == pytest.approx(0.2 * (5120**2 - 5000**2), rel=1e-5)


def test_millimetres_are_declared_and_ezdxf_finds_nothing_to_mend() -> None:
    drawing = read_with_ezdxf(dxf_bytes(folio(plank(), card("strake 5"))))
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert drawing.dxfversion == "AC1015"
    assert (drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"]) == (4, 1)


def test_handles_are_all_different_and_below_the_seed() -> None:
    data = dxf_bytes(folio(plank(), card("strake 5")))
    handles = [int(handle, 16) for handle in re.findall(r"\n  5\n([0-9A-F]+)\n", data.decode("ascii"))]
    seed = int(re.search(r"\$HANDSEED\n  5\n([0-9A-F]+)", data.decode("ascii")).group(1), 16)  # type: ignore[union-attr]
    handles.remove(seed)
    assert len(handles) > 100
    assert len(set(handles)) == len(handles)
    assert max(handles) < seed


def test_the_drawing_says_how_large_it_is() -> None:
    drawing = read_with_ezdxf(dxf_bytes(folio(plank())))
    (left, bottom, _), (right, top, _) = drawing.header["$EXTMIN"], drawing.header["$EXTMAX"]
    points = np.array([point for line in drawing.modelspace().query("LWPOLYLINE") for point in line.vertices()])
    assert (points >= (left, bottom)).all()
    assert (points <= (right, top)).all()
    assert right - left < 2400


def test_each_layer_is_one_operation_and_outlines_are_closed() -> None:
    drawing = read_with_ezdxf(dxf_bytes(folio(plank())))
    space = drawing.modelspace()
    assert {entity.dxftype() for entity in space} == {"LWPOLYLINE", "CIRCLE", "TEXT"}
    assert Counter(entity.dxf.layer for entity in space if entity.dxf.layer not in ("INFO", "NAME")) == {
        "CUT-OUTSIDE": 1,
        "ROUGH": 1,
        "SCRIBE": 2,  # its own mark, and the net outline inside the rough one
        "DRILL-6": 1,
    }
    assert all(entity.closed for entity in space.query('LWPOLYLINE[layer=="CUT-OUTSIDE" | layer=="ROUGH"]'))
    assert not any(
        entity.closed for entity in space.query('LWPOLYLINE[layer=="SCRIBE" | layer=="NAME" | layer=="INFO"]')
    )
    assert {layer.dxf.name for layer in drawing.layers} == {"0", "Defpoints", "DRILL-6", *USES}


def test_every_role_has_a_layer_with_a_plain_name() -> None:
    assert set(PENS) == set(Role)
    assert {pen.layer for pen in PENS.values()} | {"CUT-INSIDE", "NAME"} == set(USES)
    assert {"DRILL", "TABS", *USES} == set(COLOURS)
    assert all(re.fullmatch("[A-Z-]+", name) for name in USES)


def test_each_layer_says_what_it_is_for_and_so_does_the_foot_of_the_drawing() -> None:
    drawing = read_with_ezdxf(dxf_bytes(folio(plank())))
    assert {name: drawing.layers.get(name).description for name in USES} == USES
    assert drawing.layers.get("DRILL-6").description == use_of("DRILL-6") == "holes of 6 mm: drill them"
    read = {text.dxf.text for text in drawing.modelspace().query("TEXT")}
    assert read >= {f"Layer {name}: {use}." for name, use in USES.items()}


def test_the_name_is_engraved_on_the_wood_and_all_other_words_are_only_read() -> None:
    piece = plank()
    x, y = shift_of(piece, piece)
    space = read_with_ezdxf(dxf_bytes(folio(piece))).modelspace()
    wood = shapely.Polygon(piece.paths[0].points + np.array([x, y])).buffer(-2.0)
    strokes = [shapely.LineString([v[:2] for v in line.vertices()]) for line in space.query('*[layer=="NAME"]')]
    assert 5 < len(strokes) < 20
    assert all(wood.contains(stroke) for stroke in strokes)
    lap = shapely.LineString(piece.paths[2].points + np.array([x, y]))
    assert min(lap.distance(stroke) for stroke in strokes) > 1.9
    words = {text.dxf.text: text.dxf for text in space.query("TEXT")}
    assert all(one.layer == "INFO" for one in words.values())
    assert words["mould 2"].rotation == pytest.approx(np.degrees(1.2), abs=1e-3)
    assert tuple(words["mould 2"].align_point)[:2] == pytest.approx((500.0 + x, 40.0 + y))
    assert tuple(words["bevel 5 1/2 deg x2"].insert)[:2] == pytest.approx((x, 120.0 + y))


def test_marks_that_run_off_the_wood_are_scribed_on_it_only() -> None:
    piece = replace(
        card("card 1"), paths=(card("").paths[0], Path(np.array([[-5.0, 10.0], [15.0, 10.0]]), Role.SCRIBE))
    )
    x, _ = shift_of(piece, piece)
    space = read_with_ezdxf(dxf_bytes(folio(piece))).modelspace()
    ends = {
        layer: [sorted(v[0] - x for v in line.vertices()) for line in space.query(f'LWPOLYLINE[layer=="{layer}"]')]
        for layer in ("SCRIBE", "INFO")
    }
    assert ends == {"SCRIBE": [[0.0, 15.0]], "INFO": [[-5.0, 0.0]]}


def test_a_hole_is_drilled_and_its_mark_is_not_scribed_as_well() -> None:
    mark = Path(np.array([[7.0, 4.0], [9.0, 6.0]]), Role.SCRIBE)
    piece = replace(card("card 1"), paths=(*card("").paths, mark), holes=(Hole((8.0, 5.0), 2.3),))
    space = read_with_ezdxf(dxf_bytes(folio(piece))).modelspace()
    assert len(space.query('*[layer=="SCRIBE"]')) == 1
    assert len(space.query('*[layer=="DRILL-2.3"]')) == 1


def test_openings_run_clockwise_on_a_layer_of_their_own_and_outlines_anticlockwise() -> None:
    outline = card("").paths[0].points
    for first in (outline, outline[::-1]):
        for second in (outline * 0.5 + 2.0, outline[::-1] * 0.5 + 2.0):
            paths = (Path(first, Role.CUT, closed=True), Path(second, Role.CUT, closed=True))
            space = read_with_ezdxf(dxf_bytes(folio(replace(card("card 1"), paths=paths)))).modelspace()
            for layer, is_anticlockwise in (("CUT-OUTSIDE", True), ("CUT-INSIDE", False)):
                (line,) = space.query(f'*[layer=="{layer}"]')
                assert shapely.LinearRing([v[:2] for v in line.vertices()]).is_ccw == is_anticlockwise


def test_what_is_used_as_paper_and_fine_print_are_left_out() -> None:
    fine = replace(plank(), labels=(*plank().labels, Label("to be read", (300.0, 60.0), is_fine_print=True)))
    paper = replace(card("strake 5"), is_paper=True)
    assert dxf_bytes(folio(fine, paper)) == dxf_bytes(folio(plank()))
    assert dxf_bytes(folio(plank(), card("strake 5"))) != dxf_bytes(folio(plank()))


def test_the_plank_of_two_arcs_and_two_radial_ends_comes_back_as_that_in_short_spans() -> None:
    # spans of one arc have one bulge, the tangent of a quarter of their angle; the arcs turn through 0.4 rad in all
    (outline,) = read_with_ezdxf(dxf_bytes(folio(plank()))).modelspace().query('LWPOLYLINE[layer=="CUT-OUTSIDE"]')
    bulges = np.array(outline.get_points("b")).ravel()
    assert 4.0 * np.arctan(bulges[bulges < 0]).sum() == pytest.approx(-0.4, abs=1e-5)
    assert 4.0 * np.arctan(bulges[bulges > 0]).sum() == pytest.approx(0.4, abs=1e-5)
    assert (bulges == 0.0).sum() == 2
    assert bulges[-1] == 0.0


def test_a_sheet_of_stock_is_the_whole_drawing_and_its_pieces_are_blocks_in_place() -> None:
    pieces = (
        plank_on_sheet(),
        replace(card("card 1"), paths=tuple(replace(p, points=p.points + 30.0) for p in card("").paths)),
    )
    data = written(sheet_drawing(folio(*pieces), (2440.0, 300.0)))
    drawing = read_with_ezdxf(data)
    assert not drawing.audit().errors
    assert (tuple(drawing.header["$EXTMIN"])[:2], tuple(drawing.header["$EXTMAX"])[:2]) == ((0, 0), (2440, 300))
    box = bbox.extents(drawing.modelspace())
    assert (tuple(box.extmin), tuple(box.extmax)) == ((0, 0, 0), (2440, 300, 0))
    inserts = drawing.modelspace().query("INSERT")
    assert [insert.dxf.name for insert in inserts] == ["STRAKE-4", "CARD-1"]
    for insert, piece in zip(inserts, pieces, strict=True):
        (cut,) = [e for e in insert.virtual_entities() if e.dxf.layer == "CUT-OUTSIDE"]
        corner = np.round(np.array([v[:2] for v in cut.vertices()]), 4)
        assert furthest_apart(piece.paths[0].points, corner, True) < 0.05


def plank_on_sheet() -> Piece:
    """Return the plank moved so that it lies on a sheet."""
    piece = plank()
    paths = tuple(
        replace(path, points=path.points * 0.9 + (1200.0, 30.0))
        for path in piece.paths
        if path.role is not Role.ROUGH
    )
    return replace(piece, paths=paths, labels=(), holes=())


@pytest.mark.parametrize("release", ["r12", "r2000"])
def test_both_releases_show_the_same_lines(release: Release) -> None:
    pieces = (plank(), card("card 1"))
    drawing = read_with_ezdxf(dxf_bytes(folio(*pieces), release))
    assert not drawing.audit().errors
    assert drawing.dxfversion == {"r12": "AC1009", "r2000": "AC1015"}[release]
    kinds = {"r12": {"POLYLINE", "CIRCLE", "TEXT"}, "r2000": {"LWPOLYLINE", "CIRCLE", "TEXT"}}[release]
    assert {entity.dxftype() for entity in drawing.modelspace()} == kinds
    assert all(re.fullmatch("[A-Za-z0-9_$-]{1,31}", layer.dxf.name) for layer in drawing.layers) or release != "r12"
    (holes,) = drawing.modelspace().query("CIRCLE")
    assert holes.dxf.radius == 3.0
    assert shapes_of(drawing) == shapes_of(read_with_ezdxf(dxf_bytes(folio(*pieces))))


def shapes_of(drawing: Any) -> list[tuple[str, bool, list[tuple[float, float, float]]]]:
    """Return the layer, closedness, points and bulges of every line of a drawing."""
    space = drawing.modelspace()
    shapes = [(e.dxf.layer, e.closed, [tuple(p) for p in e.get_points("xyb")]) for e in space.query("LWPOLYLINE")]
    for line in space.query("POLYLINE"):
        points = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in line.vertices]
        shapes.append((line.dxf.layer, line.is_closed, points))
    return shapes


def test_no_entity_has_no_length_and_none_is_drawn_twice() -> None:
    piece = plank()
    line = np.array([[0.0, 0.0], [0.0, 0.0], [7.0, 0.0], [7.0, 0.0], [7.0, 9.0]])
    spare = (
        Path(line, Role.SCRIBE),
        Path(line[::-1], Role.SCRIBE),
        Path(line[:2], Role.SCRIBE),
        Path(np.roll(piece.paths[0].points, 5, axis=0)[::-1], Role.CUT, closed=True),
    )
    piece = replace(piece, paths=piece.paths + spare, holes=piece.holes * 2)
    space = read_with_ezdxf(dxf_bytes(folio(piece))).modelspace()
    seen = set()
    for entity in space.query("LWPOLYLINE"):
        points = np.array(entity.get_points("xyb"))
        steps = np.diff(np.concatenate([points, points[:1]]) if entity.closed else points, axis=0)[:, :2]
        assert (np.hypot(*steps.T) > 0).all()
        seen.add((entity.dxf.layer, min(points.tobytes(), points[::-1].tobytes())))
    assert len(seen) == len(space.query("LWPOLYLINE"))
    assert Counter(e.dxf.layer for e in space.query('*[layer!="INFO" & layer!="NAME"]')) == {
        "CUT-OUTSIDE": 1,
        "ROUGH": 1,
        "SCRIBE": 2,  # its own mark, and the net outline inside the rough one
        "DRILL-6": 1,
    }


def test_pieces_stand_side_by_side_and_none_touches_another(tmp_path: FilePath) -> None:
    pieces = [card(f"card {number}", 40.0 + 37.0 * number) for number in range(60)] + [plank()]
    lines = read_with_gdal(dxf_bytes(folio(*pieces)), tmp_path)
    outlines = shapely.polygons([shapely.LinearRing(line) for layer, line in lines if layer == "CUT-OUTSIDE"])
    assert len(outlines) == 61
    tree = shapely.STRtree(outlines)
    pairs = tree.query(outlines, predicate="dwithin", distance=10.0)
    assert (pairs[0] == pairs[1]).all()
    assert max(shapely.get_coordinates(outlines)[:, 0]) <= 2400


def test_letters_stay_clear_of_the_neighbours() -> None:
    loud = replace(card("card 1"), labels=(Label("a label much longer than its card" * 3, (0.0, 5.0), 5.0, 0.7),))
    layout = laid_out([loud, card("card 2")], ["legend"])
    first, second = layout.placed
    assert second.shift[0] - first.shift[0] > 3 * 33 * 5.0 * 0.5 * np.cos(0.7)


def test_the_same_folio_gives_the_same_bytes_in_ascii() -> None:
    piece = replace(plank(), name="strake 4", title=("Łódź «Żuraw» 13⅛", "лодка", "船"))
    first = dxf_bytes(folio(piece))
    assert first == dxf_bytes(folio(piece))
    assert first.isascii()
    assert b"-0.0000" not in first
    assert re.search(rb" [12]0\n-0\.0*\n", first.partition(b"ENTITIES")[2].partition(b"OBJECTS")[0]) is None


def test_the_date_and_identity_are_fixed_whatever_the_settings_were() -> None:
    data = dxf_bytes(folio(plank()))
    assert not ezdxf.options.write_fixed_meta_data_for_testing
    # 1 January 2000, 12 h, is Julian date 2451545.0
    assert re.search(rb"\$TDUPDATE\n 40\n2451545\.0\n", data)


def with_cut(points: Array, closed: bool = True) -> Piece:
    """Return a card with another outline."""
    return replace(card("strake 7"), paths=(Path(points, Role.CUT, closed),))


SQUARE = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])
REFUSED = {
    "has a point that is not finite or is too far out: point 2 is (nan, 0)": with_cut(
        np.array([[0, 0], [np.nan, 0], [1, 1.0]])
    ),
    "point 1 is (inf, 0)": with_cut(np.array([[np.inf, 0], [3, 0], [1, 1.0]])),
    "point 3 is (1e+08, 1)": with_cut(np.array([[0, 0], [3, 0], [1e8, 1.0]])),
    "is open: it begins at (0, 0) and ends at (0, 10)": with_cut(SQUARE, closed=False),
    "encloses nothing": with_cut(np.array([[0.0, 0.0], [10.0, 0.0]])),
    "points of shape (3,)": with_cut(np.array([1.0, 2.0, 3.0])),
    "diameter is 0": replace(card("strake 7"), holes=(Hole((0.0, 0.0), 0.0),)),
    "its centre is (nan, 0)": replace(card("strake 7"), holes=(Hole((np.nan, 0.0), 5.0),)),
    "more than one line": replace(card("strake 7"), labels=(Label("two\nlines", (0.0, 0.0)),)),
    "height is 0 mm": replace(card("strake 7"), labels=(Label("small", (0.0, 0.0), 0),)),
    "angle inf": replace(card("strake 7"), labels=(Label("turned", (0.0, 0.0), 3.0, np.inf),)),
    "no line and no hole": Piece("strake 7", "strakes", (), ()),
}


@pytest.mark.parametrize("reason", REFUSED)
def test_what_cannot_be_drawn_is_refused_with_its_piece_and_place(reason: str) -> None:
    with pytest.raises(DrawingError, match=re.escape(reason)) as caught:
        dxf_bytes(folio(card("strake 6"), REFUSED[reason]))
    assert "strake 7: " in str(caught.value)
    assert "strake 6: " not in str(caught.value)


def test_a_folio_without_pieces_and_two_pieces_of_one_name_are_refused() -> None:
    with pytest.raises(DrawingError, match="no piece"):
        dxf_bytes(folio())
    with pytest.raises(DrawingError, match="card 1: more than one piece has this name"):
        dxf_bytes(folio(card("card 1"), card("card 1")))
