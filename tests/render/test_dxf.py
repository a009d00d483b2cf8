"""DXF drawings are read back by GDAL, which did not write them, and by ezdxf, which wrote only their frame."""

import io
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

import ezdxf
import numpy as np
import pyogrio
import pyogrio.raw
import pytest
import shapely

from templates_gen.drawing.piece import Array, Folio, Hole, Label, Path, Piece, Role
from templates_gen.errors import DrawingError
from templates_gen.render.dxf.layout import laid_out
from templates_gen.render.dxf.writing import COLOURS, LAYERS, PENS, dxf_bytes, legend

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
    (ring,) = [line for layer, line in read_with_gdal(dxf_bytes(folio(piece)), tmp_path) if layer == "drill"]
    centre = np.add(piece.holes[0].centre, shift_of(piece, piece))
    assert np.hypot(*(ring - centre).T) == pytest.approx(3.0, abs=NEAR)


def test_the_outline_read_back_encloses_the_area_between_its_arcs(tmp_path: FilePath) -> None:
    # sector of the outer circle less that of the inner, less what the ends cut: both ends are radial here
    piece = plank()
    outline = next(line for layer, line in read_with_gdal(dxf_bytes(folio(piece)), tmp_path) if layer == "cut")
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
    assert len(handles) > 500
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
    assert {entity.dxftype() for entity in space} == {"LWPOLYLINE", "CIRCLE"}
    assert Counter(entity.dxf.layer for entity in space if entity.dxf.layer not in ("note", "letter")) == {
        "cut": 1,
        "rough": 1,
        "scribe": 1,
        "datum": 1,
        "drill": 1,
    }
    assert all(entity.closed for entity in space.query('LWPOLYLINE[layer=="cut" | layer=="rough"]'))
    assert not any(
        entity.closed
        for entity in space.query('LWPOLYLINE[layer=="scribe" | layer=="datum" | layer=="letter" | layer=="note"]')
    )
    assert {layer.dxf.name for layer in drawing.layers} == {"0", "Defpoints", *LAYERS}


def test_every_role_has_a_layer_with_a_plain_name() -> None:
    assert set(PENS) == set(Role)
    assert {pen.layer for pen in PENS.values()} | {"drill", "letter"} == set(LAYERS) == set(COLOURS)
    assert all(re.fullmatch("[a-z]+", name) for name in LAYERS)


def test_each_layer_says_what_it_is_for_and_so_does_the_foot_of_the_drawing() -> None:
    drawing = read_with_ezdxf(dxf_bytes(folio(plank())))
    assert {name: drawing.layers.get(name).description for name in LAYERS} == LAYERS
    written = legend(folio(plank()))
    assert all(f"Layer {name}: {use}." in written for name, use in LAYERS.items())


def test_words_on_the_piece_are_engraved_and_words_beside_it_are_not() -> None:
    piece = plank()
    x, y = shift_of(piece, piece)
    left, bottom, right, top = piece.bounds()
    space = read_with_ezdxf(dxf_bytes(folio(piece))).modelspace()
    on_wood = np.array([point for line in space.query('LWPOLYLINE[layer=="letter"]') for point in line.vertices()])
    assert (on_wood >= (left + x, bottom + y)).all()
    assert (on_wood <= (right + x, top + y)).all()
    assert any(max(v[1] for v in line.vertices()) < bottom + y for line in space.query('LWPOLYLINE[layer=="note"]'))


def test_what_is_used_as_paper_and_fine_print_are_left_out() -> None:
    fine = replace(plank(), labels=(*plank().labels, Label("to be read", (300.0, 60.0), is_fine_print=True)))
    paper = replace(card("strake 5"), is_paper=True)
    assert dxf_bytes(folio(fine, paper)) == dxf_bytes(folio(plank()))
    assert dxf_bytes(folio(plank(), card("strake 5"))) != dxf_bytes(folio(plank()))


def test_the_plank_of_two_arcs_and_two_radial_ends_comes_back_as_that() -> None:
    # arcs of 0.4 rad: bulge tan(0.1); the loop begins at a corner, and the element that closes it is straight
    (outline,) = read_with_ezdxf(dxf_bytes(folio(plank()))).modelspace().query('LWPOLYLINE[layer=="cut"]')
    bulges = np.array(outline.get_points("b")).ravel()
    assert np.sort(bulges) == pytest.approx([-np.tan(0.1), 0.0, 0.0, np.tan(0.1)], abs=1e-7)
    assert bulges[-1] == 0.0


def test_a_sheet_of_stock_is_left_in_place_with_its_legend_below() -> None:
    drawing = read_with_ezdxf(dxf_bytes(folio(plank(), card("strake 5")), in_place=True))
    assert not drawing.audit().errors
    corners = {
        tuple(np.round(outline.get_points("xy"), 3)[0]) for outline in drawing.modelspace().query('*[layer=="cut"]')
    }
    assert corners == {(0.0, 0.0), tuple(np.round(plank().paths[0].points[0], 3))}
    words = np.array([v for line in drawing.modelspace().query('LWPOLYLINE[layer=="note"]') for v in line.vertices()])
    assert words[:, 1].min() < -20.0
    (left, bottom, _), (right, top, _) = drawing.header["$EXTMIN"], drawing.header["$EXTMAX"]
    assert (words >= (left, bottom)).all()
    assert (words <= (right, top)).all()


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
    assert Counter(e.dxf.layer for e in space.query('*[layer!="note" & layer!="letter"]')) == {
        "cut": 1,
        "rough": 1,
        "scribe": 2,
        "datum": 1,
        "drill": 1,
    }


def test_pieces_stand_side_by_side_and_none_touches_another(tmp_path: FilePath) -> None:
    pieces = [card(f"card {number}", 40.0 + 37.0 * number) for number in range(60)] + [plank()]
    lines = read_with_gdal(dxf_bytes(folio(*pieces)), tmp_path)
    outlines = shapely.polygons([shapely.LinearRing(line) for layer, line in lines if layer == "cut"])
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
