"""Whole drawings read by libraries at their default settings: each cuts what measurements.json says within 0.05 mm.

The readers are GDAL (through pyogrio) and ezdxf, which draws arcs; and one that drops every arc, as programs do that
know no bulge. `tests/bench/dxf_readers.py` does the same with programs.
"""

import io
from functools import cache
from pathlib import Path as FilePath
from typing import Any

import ezdxf
import ezdxf.path
import numpy as np
import pyogrio
import pyogrio.raw
import pytest
import shapely

from templates_gen.drawing.piece import Array, Role
from templates_gen.geometry.boat import Boat
from templates_gen.render.dxf.writing import dxf_bytes
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of, folio, measurements
from tests.sweep import more

TRUE = 0.05  # mm
BOATS = {"dinghy": dinghy, "double-ender": double_ender, "pram": pram}
READERS = ("GDAL", "ezdxf", "no arcs")
FLATTENED = 0.01
"""The distance at which ezdxf's own drawing add-on flattens curves by default, mm."""


@cache
def boat(name: str) -> Boat:
    """Return one of the worked boats."""
    return boat_of(BOATS[name]())


@cache
def drawing(name: str, kind: str) -> bytes:
    """Return its drawing of one kind."""
    return dxf_bytes(folio(boat(name), kind))  # type: ignore[arg-type]


def read(data: bytes, reader: str, folder: FilePath) -> list[tuple[str, Array]]:
    """Return the layer and points of every closed line, as one reader shows it."""
    if reader == "GDAL":
        return gdal_lines(data, folder)
    space = ezdxf.read(io.StringIO(data.decode("ascii"))).modelspace()
    lines = [line for line in space.query("LWPOLYLINE") if line.closed]  # type: ignore[attr-defined]
    return [(line.dxf.layer, np.array(shown(line, reader))) for line in lines]


def shown(line: Any, reader: str) -> list[tuple[float, float]]:
    """Return the points that ezdxf shows of a line, with its arcs or without them."""
    if reader == "no arcs":
        return [(x, y) for x, y in line.get_points("xy")]
    return [(p.x, p.y) for p in ezdxf.path.make_path(line).flattening(FLATTENED)]


def gdal_lines(data: bytes, folder: FilePath) -> list[tuple[str, Array]]:
    """Return the layer and points of every closed line as GDAL shows it when nobody has set anything."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None, "DXF_MERGE_BLOCK_GEOMETRIES": None})
    (folder / "read.dxf").write_bytes(data)
    meta, _, geometry, columns = pyogrio.raw.read(folder / "read.dxf")
    layers = columns[list(meta["fields"]).index("Layer")]
    lines = [
        (layer, shapely.get_coordinates(line)) for layer, line in zip(layers, shapely.from_wkb(geometry), strict=True)
    ]
    return [(layer, points) for layer, points in lines if len(points) > 3 and (points[0] == points[-1]).all()]


def measured_strakes(name: str) -> list[Array]:
    """Return the net outline of each strake of measurements.json, shape (n, 2), from the lower fore corner round."""
    outlines = (strake["outline"] for strake in measurements(boat(name))["strakes"])
    return [np.concatenate([o["lower"], o["aft"], o["upper"][::-1], o["fore"][::-1]]) for o in outlines]


def distance(points: Array, line: Array) -> float:
    """Return how far the farthest of `points` lies from a closed line, mm."""
    ring = np.concatenate([line, line[:1]])
    return float(shapely.distance(shapely.points(points), shapely.LineString(ring)).max())


def misfit(wanted: Array, line: Array) -> float:
    """Return how far a line is from the wanted one, either from the other, mm; drawings move pieces by whole mm."""
    moved = wanted + np.round(line.min(axis=0) - wanted.min(axis=0))
    return max(distance(moved, line), distance(line, moved))


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("name", ["dinghy", *more("double-ender", "pram")])
def test_every_reader_cuts_every_strake_true(name: str, reader: str, tmp_path: FilePath) -> None:
    cut = [line for layer, line in read(drawing(name, "strakes"), reader, tmp_path) if layer == "CUT-OUTSIDE"]
    wanted = measured_strakes(name)
    assert len(cut) == len(wanted)
    assert all(any(misfit(outline, line) < TRUE for line in cut[k:] + cut[:k]) for k, outline in enumerate(wanted))


@pytest.mark.parametrize("reader", READERS)
def test_every_reader_cuts_moulds_and_transoms_true(reader: str, tmp_path: FilePath) -> None:
    record = measurements(boat("dinghy"))
    for kind, curves in (
        ("moulds", [mould["outline"] for mould in record["moulds"]]),
        ("transom", [transom["face_outer"] for transom in record["transoms"]]),
    ):
        cut = [line for layer, line in read(drawing("dinghy", kind), reader, tmp_path) if layer == "CUT-OUTSIDE"]
        pieces = [piece for piece in folio(boat("dinghy"), kind).pieces if not piece.is_paper]  # type: ignore[arg-type]
        outlines = [path.points for piece in pieces for path in piece.paths if path.role is Role.CUT]
        assert len(cut) == len(outlines)
        assert all(any(misfit(outline, line) < TRUE for line in cut) for outline in outlines)
        # moulds are cut to the measured curve or, faceted, to chords inside it; the face of a transom is cut as it is
        if kind == "transom":
            moved = [
                np.array(curve) + np.round(line.min(axis=0) - outlines[0].min(axis=0))
                for curve in curves
                for line in cut
            ]
            assert min(distance(points, line) for points, line in zip(moved, cut, strict=True)) < TRUE


@pytest.mark.parametrize("kind", ["moulds", "transom", "strakes", *more("bevels", "rebates")])
def test_no_span_is_higher_than_it_may_be_and_no_arc_flatter(kind: str) -> None:
    space = ezdxf.read(io.StringIO(drawing("dinghy", kind).decode("ascii"))).modelspace()
    arcs = 0
    for line in space.query("LWPOLYLINE"):
        points = np.array(line.get_points("xyb"))  # type: ignore[attr-defined]
        chords = np.hypot(*(np.roll(points[:, :2], -1, axis=0) - points[:, :2]).T)
        bent = points[:, 2] != 0.0
        heights = np.abs(points[bent, 2]) * chords[bent] / 2
        radii = chords[bent] * (1 + points[bent, 2] ** 2) / 4 / np.abs(points[bent, 2])
        arcs += len(heights)
        assert ((heights >= 0.0029) & (heights <= 0.03)).all()
        assert (radii <= 50_100.0).all()
    assert arcs or kind == "bevels"


@pytest.mark.parametrize("name", ["dinghy", *more("double-ender", "pram")])
def test_a_cut_line_has_corners_only_where_the_strake_has(name: str) -> None:
    space = ezdxf.read(io.StringIO(drawing(name, "strakes").decode("ascii"))).modelspace()
    lines = space.query('LWPOLYLINE[layer=="CUT-OUTSIDE"]')
    assert len(lines)
    for line in lines:
        points, bulges = np.array(line.get_points("xy")), np.array(line.get_points("b")).ravel()  # type: ignore[attr-defined]
        chords = np.roll(points, -1, axis=0) - points
        ways, half = np.arctan2(chords[:, 1], chords[:, 0]), 2.0 * np.arctan(bulges)
        turns = np.abs((ways - half - np.roll(ways + half, 1) + np.pi) % (2 * np.pi) - np.pi)
        corners = np.degrees(turns[turns > np.radians(0.6)])
        assert 2 <= len(corners) <= 6, corners
