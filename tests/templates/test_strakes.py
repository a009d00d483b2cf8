"""The strakes' templates: what is cut is the net outline, what is written is true, and every label can be read."""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath

import numpy as np
import pytest
from shapely import LineString, Polygon
from shapely import Point as ShapelyPoint

from templates_gen.drawing.piece import Label, Piece, Role, Table
from templates_gen.geometry.boat import Boat, boat_of
from templates_gen.geometry.flat_strakes import extent
from templates_gen.geometry.strake_marks import upper_edge
from templates_gen.hull.model import Stem
from templates_gen.hull.reader import read_hull
from templates_gen.paper.ink import label_box
from templates_gen.rendering.pdf_letters import text_width
from templates_gen.templates.strakes import strake_pieces, strake_tables
from templates_gen.templates.strakes_lines import FLAT_BOTTOM_PROUD
from templates_gen.templates.strakes_words import format_ordinate
from tests.boats import dinghy, double_ender, pram
from tests.templates.label_clearance import crowded_labels

HULLS = FilePath(__file__).parents[2] / "hulls"
NAMES = ("dinghy", "double_ender", "pram")
DRAWN = frozenset(Role) - {Role.ROUGH}
FIGURES = re.compile(r"at ([\d.]+), (up|down) ([\d.]+)$")


@cache
def boat(name: str) -> Boat:
    return boat_of({"dinghy": dinghy, "double_ender": double_ender, "pram": pram}[name]())


@cache
def pieces(name: str) -> tuple[Piece, ...]:
    return strake_pieces(boat(name))


def every_piece() -> list[Piece]:
    return [piece for name in NAMES for piece in pieces(name)]


def cut(piece: Piece) -> Polygon:
    (path,) = [path for path in piece.paths if path.role is Role.CUT]
    assert path.closed
    return Polygon(path.points)


def figures(label: Label) -> tuple[float, float] | None:
    """Distance along the datum and ordinate that a label tells, mm."""
    found = FIGURES.search(label.text)
    return (float(found[1]), float(found[3]) * (1.0 if found[2] == "up" else -1.0)) if found else None


@pytest.mark.parametrize("name", NAMES)
def test_each_strake_is_one_piece_cut_to_its_net_outline(name: str) -> None:
    assert [piece.name for piece in pieces(name)] == [f"strake {s.number}" for s in boat(name).strakes]
    for piece, strake in zip(pieces(name), boat(name).strakes, strict=True):
        outline = cut(piece)
        assert piece.kind == "strakes"
        assert not piece.holes
        assert outline.is_valid
        for points in (strake.edge("lower"), strake.edge("upper"), strake.end("fore"), strake.end("aft")):
            assert max(outline.exterior.distance(ShapelyPoint(p)) for p in points) < 1e-9


@pytest.mark.parametrize("name", NAMES)
def test_no_label_lies_over_another_or_over_a_line(name: str) -> None:
    assert [text for piece in pieces(name) for text in crowded_labels(piece, DRAWN)] == []


@pytest.mark.parametrize("name", NAMES)
def test_no_label_of_the_boats_that_are_shipped_lies_over_another_or_over_a_line(name: str) -> None:
    shipped = strake_pieces(boat_of(read_hull(HULLS / f"{name}.toml")))
    assert [text for piece in shipped for text in crowded_labels(piece, DRAWN)] == []


@pytest.mark.parametrize("name", NAMES)
def test_labels_stay_on_the_wood_but_for_the_datum_s_distances(name: str) -> None:
    for piece in pieces(name):
        outline = cut(piece)
        off = [label.text for label in piece.labels if not outline.contains(Polygon(label_box(label, text_width)))]
        assert [text for text in off if not re.fullmatch(r"[\d.]+|\d+-\d+-\d\+?", text)] == []


def test_letters_are_large_enough_to_read() -> None:
    assert min(label.height for piece in every_piece() for label in piece.labels) >= 2.5


@pytest.mark.parametrize("name", NAMES)
def test_every_tick_is_named_on_both_edges(name: str) -> None:
    places = [f"mould {s.name}" for s in boat(name).hull.stations]
    names = [s.name for s in boat(name).hull.stations]
    places += [f"half-way {a}–{b}" for a, b in zip(["fore", *names], [*names, "aft"], strict=True)]
    for piece in pieces(name):
        texts = [label.text for label in piece.labels]
        for place in places:
            assert sum(text == place or text.startswith(f"{place} ") for text in texts) == 2, (piece.name, place)


@pytest.mark.parametrize("name", ["dinghy", "pram"])
def test_the_figures_at_every_mould_are_its_marks_measured_from_the_datum(name: str) -> None:
    """Written to half a millimetre; the datum is found from the drawing itself."""
    for piece, strake in zip(pieces(name), boat(name).strakes, strict=True):
        line = max((p.points for p in piece.paths if p.role is Role.DATUM), key=lambda points: np.ptp(points[:, 0]))
        start, height = line[0]
        for station in boat(name).hull.stations:
            told = [figures(label) for label in piece.labels if label.text.startswith(f"mould {station.name} ")]
            wanted = [(point[0] - start, point[1] - height) for point in strake.mark(station.at)]
            for told_one, wanted_one in zip(sorted(told, key=_ordinate), sorted(wanted, key=_ordinate), strict=True):
                assert told_one == pytest.approx(wanted_one, abs=0.26)


def _ordinate(figures: tuple[float, float] | None) -> float:
    assert figures is not None
    return figures[1]


@pytest.mark.parametrize("name", NAMES)
def test_hand_and_face_are_found_on_every_sheet(name: str) -> None:
    """No place is further than 600 mm from them."""
    for piece in pieces(name):
        left, _, right, _ = cut(piece).bounds
        at = [label.at[0] for label in piece.labels if label.text == "PORT, THIS FACE OUT"]
        assert np.max(np.abs(np.linspace(left, right, 500)[:, None] - at).min(axis=1)) < 600.0
        texts = [label.text for label in piece.labels]
        for words in ("KEEL edge", "SHEER edge", "FORE", "AFT", "grain", "turn over for starboard"):
            assert words in texts
        assert f"{piece.name}: make one and its mirror" in texts


@pytest.mark.parametrize("name", NAMES)
def test_the_lap_line_is_scribed_a_lap_below_the_upper_edge_and_the_lower_one_dashed(name: str) -> None:
    lap = boat(name).hull.planking.lap
    for piece, strake in zip(pieces(name), boat(name).strakes, strict=True):
        edge = upper_edge(strake)
        scribed = [p.points for p in piece.paths if p.role is Role.SCRIBE and len(p.points) > 20]
        far = [p.points for p in piece.paths if p.role is Role.FAR and len(p.points) > 20]
        assert len(scribed) == (edge is not None)
        assert len(far) == (strake.number > 1)
        if edge is not None:
            upper = LineString(strake.edge("upper"))
            below = np.array([upper.distance(ShapelyPoint(p)) for p in scribed[0][20:-20]])
            assert np.max(np.abs(below - lap)) < 0.1


@pytest.mark.parametrize("name", NAMES)
def test_the_rough_line_leaves_what_the_builder_asked_for(name: str) -> None:
    hull = boat(name).hull
    for piece, strake in zip(pieces(name), boat(name).strakes, strict=True):
        rough = np.concatenate([path.points for path in piece.paths if path.role is Role.ROUGH])
        for end, first in (("fore", True), ("aft", False)):
            allowance = hull.allowances.hood if isinstance(hull.end(end), Stem) else hull.allowances.transom
            middle = strake.line(0.5)
            ahead = middle[0] - middle[1] if first else middle[-1] - middle[-2]
            net = strake.end(end)[len(strake.end(end)) // 2]  # type: ignore[arg-type]
            ray = LineString([net, net + 200.0 * ahead])
            crossing = ray.intersection(LineString(rough))
            far = ShapelyPoint(net).distance(crossing)
            if strake.number == 1 and isinstance(hull.end(end), Stem):  # round a forefoot its edges run apart
                assert far > 0.8 * allowance
            else:
                assert far == pytest.approx(allowance, rel=0.1)
        if strake.number == hull.planking.strakes:
            upper = LineString(strake.edge("upper"))
            above = [
                p for p in rough if strake.end("fore")[-1][0] + 30 < p[0] < strake.end("aft")[-1][0] - 30 and p[1] > 0
            ]
            near = [upper.distance(ShapelyPoint(p)) for p in above]
            assert min(near) == pytest.approx(hull.allowances.sheer, abs=0.01)


def test_a_garboard_on_a_flat_bottom_is_left_proud_below() -> None:
    """6 mm: common practice."""
    flat = boat("pram")
    hull = replace(flat.hull, keel=replace(flat.hull.keel, joint="flat", hog=None))
    made = strake_pieces(boat_of(hull))[0]
    rough = LineString(np.concatenate([path.points for path in made.paths if path.role is Role.ROUGH]))
    lower = flat.strakes[0].edge("lower")
    far = [rough.distance(ShapelyPoint(p)) for p in lower[20:-20]]
    assert far == pytest.approx([FLAT_BOTTOM_PROUD] * len(far), abs=0.01)
    assert any("proud" in note for note in made.notes)


def test_every_length_of_a_path_is_finite_and_no_path_stands_still() -> None:
    for piece in every_piece():
        for path in piece.paths:
            assert np.isfinite(path.points).all()
            steps = np.linalg.norm(np.diff(path.points, axis=0), axis=1)
            assert steps.min() > 1e-6, (piece.name, path.role)


def test_a_plank_longer_than_a_sheet_wants_a_scarf() -> None:
    """2440 mm: BS 1088. Scarfs of 8 to 1 in plywood: common practice."""
    for piece, strake in zip(pieces("pram"), boat("pram").strakes, strict=True):
        assert any("scarf" in note for note in piece.notes) == (extent(strake).blank[0] > 2440.0)


def test_ordinates_are_told_in_inches_and_thirty_seconds_to_those_who_work_in_feet() -> None:
    assert format_ordinate(-25.4 * 1.5, "ft-in-8") == "down 1 1/2 in"
    assert format_ordinate(61.4, "mm") == "up 61.5"


def measure(table: Table) -> np.ndarray:
    """The points that a table of ordinates tells: (rows, 2 edges, 2)."""
    rows = []
    for row in table.rows:
        edges = []
        for at, ordinate in ((row[1], row[2]), (row[3], row[4])):
            way, height = ordinate.split()
            edges.append([float(at), float(height) * (1.0 if way == "up" else -1.0)])
        rows.append(edges)
    return np.array(rows)


@pytest.mark.parametrize("name", ["dinghy", "pram"])
def test_a_strake_set_out_from_its_table_is_the_strake(name: str) -> None:
    """Points within half a millimetre's rounding of the net edges; the ends' corners included."""
    first, *tables = strake_tables(boat(name))
    assert len(first.rows) == len(tables) == len(boat(name).strakes)
    for table, piece, strake in zip(tables, pieces(name), boat(name).strakes, strict=True):
        line = max((p.points for p in piece.paths if p.role is Role.DATUM), key=lambda points: np.ptp(points[:, 0]))
        points = measure(table) + line[0]
        for edge, which in ((0, "lower"), (1, "upper")):
            net = LineString(strake.edge(which))  # type: ignore[arg-type]
            assert max(net.distance(ShapelyPoint(p)) for p in points[:, edge]) < 0.4
        corners = [strake.end("fore")[0], strake.end("fore")[-1], strake.end("aft")[0], strake.end("aft")[-1]]
        assert np.max(np.abs(points[[0, 0, -1, -1], [0, 1, 0, 1]] - corners)) < 0.26


def test_tables_are_as_wide_as_their_headings() -> None:
    for name in NAMES:
        for table in strake_tables(boat(name)):
            assert all(len(row) == len(table.columns) for row in table.rows)
