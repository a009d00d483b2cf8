"""The templates of bulkheads, frames and floors, and their drawing read back into the boat."""

import io
import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Literal

import ezdxf
import numpy as np
import pytest
import shapely
from jsonschema import Draft202012Validator
from typer.testing import CliRunner

from templates_gen.checking import boat_findings, errors, findings
from templates_gen.cli import app
from templates_gen.drawing.piece import Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import CrossPiece
from templates_gen.hull.reader import read_hull
from templates_gen.paper.ink import ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet as paper
from templates_gen.paper.whole_labels import labels_made_whole
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.render.pdf.letters import text_width
from templates_gen.report.json_schema import schemas
from templates_gen.report.measurements import measurements
from templates_gen.templates.inside.outline import AcrossSheet, across_sheets
from tests.flow import boat_of, folio, shell_of
from tests.geometry.exact_hulls import Array
from tests.geometry.tapered import tapered_boat
from tests.geometry.test_inside_across import on_planking
from tests.report.test_json_schema import closed
from tests.sweep import more
from tests.templates.label_clearance import crowded_labels, label_box

HULLS = Path(__file__).parents[2] / "hulls"
NAMES = ("dinghy", "double_ender", "pram", "faering")
each_boat = pytest.mark.parametrize("name", [NAMES[0], *more(*NAMES[1:])])
"""The dinghy has a stem and a transom."""


def pieces_of(at: tuple[float, float, float]) -> tuple[CrossPiece, ...]:
    """A bulkhead with a hole for water, a frame, and a floor, at three places."""
    return (
        CrossPiece("bulkhead", 0, 1, at[0], 12.0, limber=12.0),
        CrossPiece("frame", 1, 1, at[1], 22.0, width=50.0),
        CrossPiece("floor", 2, 1, at[2], 22.0),
    )


@cache
def with_pieces(name: str) -> Boat:
    """A demonstration hull with three pieces in it, near its ends and amidships."""
    hull = read_hull(HULLS / f"{name}.toml")
    stations = [station.at for station in hull.stations]
    middle = (stations[1] + stations[2]) / 2
    bulkhead, frame, floor = pieces_of((stations[0] + 70.0, middle, stations[-1] - 40.0))
    low = shell_of(hull).lower(1, np.array([stations[-1]]))[0, 2]
    return boat_of(replace(hull, inside=(bulkhead, frame, replace(floor, top=low + 110.0))))


def drawn(boat: Boat, name: str) -> Piece:
    return next(piece for piece in folio(boat, "inside").pieces if piece.name == name)


def cut_of(piece: Piece) -> Array:
    return next(path.points for path in piece.paths if path.role is Role.CUT)


@each_boat
def test_the_planked_edge_of_the_drawing_lies_on_the_planking_in_space(name: str) -> None:
    boat = with_pieces(name)
    assert boat.inside_refused == ()
    made = folio(boat, "inside")
    assert [piece.name for piece in made.pieces] == ["bulkhead 1", "frame 1", "floor 1"]
    space = ezdxf.read(io.StringIO(dxf_bytes(made).decode("ascii"))).modelspace()
    lines = [
        np.array([(p.x, p.y) for p in ezdxf.path.make_path(line).flattening(0.005)])
        for line in space.query('LWPOLYLINE[layer=="CUT-OUTSIDE"]')
    ]
    assert len(lines) == len(made.pieces)
    for sheet, piece in zip(across_sheets(boat), made.pieces, strict=True):
        outline = cut_of(piece)
        # a drawing moves pieces by whole millimetres
        moved = [line - np.round(line.min(axis=0) - outline.min(axis=0)) for line in lines]
        ring = shapely.LinearRing(outline)
        (read,) = [line for line in moved if shapely.distance(ring, shapely.points(line)).max() < 0.05]
        along = shapely.LineString(read).segmentize(15.0)
        on_edge = shapely.get_coordinates(along)
        near_edge = shapely.distance(shapely.LineString(sheet.edge), shapely.points(on_edge)) < 0.03
        points = on_edge[near_edge]
        assert len(points) > 8
        at = np.full(len(points), sheet.shape.piece.at)
        assert on_planking(boat.shell, np.column_stack([at, points])).max() < 0.05


def sheets_with(piece: CrossPiece, boat: Boat | None = None) -> AcrossSheet:
    hull = replace((boat or boat_of(tapered_boat())).hull, inside=(piece,))
    (sheet,) = across_sheets(boat_of(hull))
    return sheet


PIECE = CrossPiece("bulkhead", 0, 1, 1250.0, 18.0)


def test_a_bulkhead_is_whole_from_the_notch_to_the_sheer() -> None:
    sheet = sheets_with(PIECE)
    shape = shapely.Polygon(sheet.closed)
    assert shape.is_valid
    assert sheet.closed[0] == pytest.approx([0.0, sheet.notch.top])  # type: ignore[union-attr]
    assert sheet.closed[-1] == pytest.approx([0.0, sheet.edge[-1, 1]])
    # the keel is 44 mm sided: 22 mm and a millimetre's room
    assert sheet.edge[0, 0] == pytest.approx(max(23.0, sheet.edge[0, 0]))
    assert shape.area > 0.9 * (sheet.edge[:, 0].max() * np.ptp(sheet.edge[:, 1])) / 2


@pytest.mark.parametrize("radius", [8.0, 15.0])
def test_a_limber_hole_is_a_part_of_a_circle_about_the_corner_at_the_keel(radius: float) -> None:
    whole, holed = sheets_with(PIECE), sheets_with(replace(PIECE, limber=radius))
    foot = whole.edge[0]
    lost = shapely.Polygon(whole.closed).difference(shapely.Polygon(holed.closed))
    assert shapely.distance(shapely.Point(foot), shapely.Polygon(holed.closed)) == pytest.approx(radius, abs=0.05)
    assert lost.buffer(-0.001).within(shapely.Point(*foot).buffer(radius, 256))
    along = whole.edge[1] - foot
    before = whole.closed[0] - foot if np.allclose(whole.closed[1], foot) else whole.closed[1] - foot
    turn = (np.arctan2(before[1], before[0]) - np.arctan2(along[1], along[0])) % (2 * np.pi)
    assert lost.area == pytest.approx(radius**2 * turn / 2, rel=0.01)


def test_a_frame_is_as_wide_as_it_should_be_inside_the_corners_of_the_strakes() -> None:
    sheet = sheets_with(CrossPiece("frame", 0, 1, 1250.0, 20.0, width=45.0))
    shape = shapely.Polygon(sheet.closed)
    assert shape.is_valid
    corners = shapely.LineString(sheet.shape.near.corners)
    inner = np.array([p for p in sheet.closed if shapely.distance(corners, shapely.Point(p)) > 40.0])
    apart = shapely.distance(corners, shapely.points(inner[inner[:, 0] > 80.0]))
    assert len(apart) > 3
    assert apart.min() > 44.6
    assert np.median(apart) < 46.0


def test_between_two_heights_there_is_no_notch_and_a_frame_has_two_free_pieces() -> None:
    bulkhead = sheets_with(replace(PIECE, bottom=200.0, top=300.0))
    assert bulkhead.notch is None
    assert set(bulkhead.closed[bulkhead.closed[:, 0] == 0.0][:, 1]) == {200.0, 300.0}
    frame = sheets_with(CrossPiece("frame", 0, 1, 1250.0, 20.0, width=45.0, bottom=200.0, top=300.0))
    assert frame.closed[:, 0].min() > 50.0
    assert (frame.closed[:, 1].min(), frame.closed[:, 1].max()) == pytest.approx((200.0, 300.0))
    assert shapely.Polygon(frame.closed).is_valid


def test_where_the_far_face_is_larger_the_saw_goes_outside_both() -> None:
    smaller, larger = sheets_with(replace(PIECE, side="fore")), sheets_with(replace(PIECE, side="aft"))
    sawn = [sheet for sheet in (smaller, larger) if sheet.saw is not None]
    assert sawn
    for sheet in sawn:
        wood = shapely.Polygon(sheet.saw)
        assert wood.is_valid
        for line in (sheet.edge, sheet.far[:-1]):
            outside = shapely.distance(wood, shapely.points(line[line[:, 1] <= sheet.shape.top]))
            assert outside.max() < 1e-6
    straight = replace(PIECE, at=1250.0, thickness=1.0, side="aft")
    assert sheets_with(straight).saw is None


def test_a_piece_says_what_it_is_which_face_is_drawn_and_which_way_is_up() -> None:
    boat = with_pieces("dinghy")
    for sheet in across_sheets(boat):
        name = f"{sheet.shape.piece.kind} {sheet.shape.piece.number}"
        piece = drawn(boat, name)
        texts = [label.text for label in piece.labels]
        assert name.upper() in texts
        face = "AFT" if sheet.shape.wood == "fore" else "FORWARD"
        hand = "starboard" if face == "AFT" else "port"
        assert any(text.startswith(f"THIS IS THE {face} FACE.") for text in texts)
        assert piece.facing is not None
        assert piece.facing.hand == hand
        assert "SHEER up" in " ".join(piece.title)
        assert hand.upper() in " ".join(piece.title)


def test_bevels_and_steps_on_the_wood_and_in_the_table_are_those_of_the_geometry() -> None:
    boat = with_pieces("dinghy")
    shape, record = across_sheets(boat)[0].shape, measurements(boat)["inside"][0]
    texts = " ".join(label.text for label in drawn(boat, "bulkhead 1").labels)
    table = folio(boat, "inside").tables[0]
    assert len(table.rows) == len(shape.facets) == len(record["facets"]) == 9
    for facet, row, data in zip(shape.facets, table.rows, record["facets"], strict=True):
        degrees = round(2 * np.degrees(facet.bevel)) / 2
        assert f"{facet.strake}: edge {degrees:g}°" in texts or f"{facet.strake}: {degrees:g}°" in texts
        assert row[:2] == (str(facet.strake), f"{degrees:g}°")
        assert data["bevel"] == pytest.approx(np.degrees(facet.bevel))
        if facet.step:
            assert row[3] == f"{facet.step:.1f}"
            assert f"step {facet.step:.1f} / {facet.far_step:.1f}" in texts
    assert record["edge"] == shape.edge.tolist()


REFUSED = {
    "lower than its notch": (
        CrossPiece("floor", 0, 1, 1800.0, 20.0, top=84.0),
        "floor 1 is no higher than its notch",
    ),
    "a hole too large": (
        CrossPiece("bulkhead", 0, 1, 1800.0, 20.0, limber=90.0),
        "no room for a limber hole of 90 mm",
    ),
    "a hole through the top": (
        CrossPiece("floor", 0, 1, 3000.0, 20.0, top=145.0, limber=26.0),
        "no room for a limber hole of 26 mm",
    ),
    "all width": (CrossPiece("frame", 0, 1, 1800.0, 20.0, width=900.0), "frame 1 is 900 mm wide, which leaves"),
    "the sheer": (CrossPiece("bulkhead", 0, 1, 1800.0, 20.0, top=900.0), "above the sheer"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_what_cannot_be_drawn_is_found_with_its_table_in_the_file(case: str) -> None:
    piece, words = REFUSED[case]
    hull = read_hull(HULLS / "dinghy.toml")
    boat = boat_of(replace(hull, inside=(PIECE, replace(piece, index=1))))
    (error,) = errors(boat_findings(boat, findings(boat)))
    assert words in error.text
    assert error.key[:2] == ("inside", 1)


def test_a_boat_with_nothing_inside_has_no_such_file() -> None:
    boat = boat_of(read_hull(HULLS / "dinghy.toml"))
    made = folio(boat, "inside")
    assert (made.pieces, made.tables) == ((), ())
    assert "inside" not in measurements(boat)


@each_boat
def test_labels_are_clear_of_one_another_and_of_lines(name: str) -> None:
    assert [words for piece in folio(with_pieces(name), "inside").pieces for words in crowded_labels(piece)] == []


@pytest.fixture(scope="module")
def from_readme(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The dinghy with the tables of the README."""
    readme = (HULLS.parent / "README.md").read_text(encoding="utf-8")
    tables = readme.partition("<!-- inside -->")[2].partition("```toml\n")[2].partition("```")[0]
    path = tmp_path_factory.mktemp("inside") / "boat.toml"
    path.write_text((HULLS / "dinghy.toml").read_text(encoding="utf-8") + "\n" + tables, encoding="utf-8")
    return path


def test_make_writes_the_pieces_of_the_readme(from_readme: Path) -> None:
    out = from_readme.parent / "out"
    result = CliRunner().invoke(app, ["make", str(from_readme), "--out", str(out), "--only", "inside"])
    assert result.exit_code == 0, result.output
    assert {"inside.pdf", "inside.dxf"} <= {path.name for path in out.iterdir()}
    tiles = json.loads((out / "tiles.json").read_text())
    pieces = {tile["piece"] for tile in tiles}
    names = ["bulkhead 1", "frame 1", "floor 1", "bulkhead 2", "thwart 1", "breasthook 1", "knee 1"]
    assert pieces == {*names, "gunwale 1 sections"}
    record = json.loads((out / "measurements.json").read_text())
    assert [one["name"] for one in record["inside"]] == [*names, "gunwale 1", "timbers 1"]
    for name, data in (("measurements", record), ("tiles", tiles)):
        assert list(Draft202012Validator(closed(schemas()[name])).iter_errors(data)) == []


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("at = 1000.0 ", "at = 5000.0 ", "bulkhead 1 has at = 5000 mm, outside the boat; move it"),
        ("at = 1000.0 ", "at = 300.0 ", "bulkhead 1 crosses the stem"),
        ("thickness = 12.0", "thickness = 700.0", "bulkhead 1 is 700 mm thick"),
        ("top = 480.0", "top = 180.0", "the top of bulkhead 2, 180 mm, is not above its bottom, 250 mm"),
        ('kind = "floor"', 'kind = "flour"', "kind of [[inside]] number 3 must be"),
        *more(
            ("at = 3300.0", "at = 3560.0", "bulkhead 2 crosses the after transom"),
            ("top = 480.0", "top = 780.0", "bulkhead 2 reaches 780 mm high, above the sheer"),
            ("top = 160.0", "top = 90.0", "floor 1 is no higher than its notch"),
        ),
    ],
)
def test_a_piece_that_cannot_be_is_refused_with_its_line_and_nothing_is_written(
    from_readme: Path, tmp_path: Path, old: str, new: str, words: str
) -> None:
    text = from_readme.read_text(encoding="utf-8")
    head, _, tables = text.rpartition('\n[[inside]]\nkind = "bulkhead"                 # or')
    changed = head + '\n[[inside]]\nkind = "bulkhead"                 # or' + tables.replace(old, new, 1)
    assert changed != text
    path = tmp_path / "boat.toml"
    path.write_text(changed, encoding="utf-8")
    result = CliRunner().invoke(app, ["make", str(path), "--out", str(tmp_path / "out")])
    assert result.exit_code == 1
    line = next(line for line in " ".join(result.stderr.split("\n")).split(f"{path}:") if words in line)
    assert int(line.split(":")[0]) > head.count("\n")
    assert not (tmp_path / "out").exists()


def test_the_table_of_a_fair_frame_has_no_steps_and_names_what_is_outside() -> None:
    hull = read_hull(HULLS / "dinghy.toml")
    frames = [CrossPiece("frame", k, k + 1, 2400.0, 22.0, "fore", None, None, edge, 0.0, 45.0) for k, edge in EDGES]
    boat = boat_of(replace(hull, inside=tuple(frames)))
    joggled, fair = folio(boat, "inside").tables
    assert any("step" in heading for heading in joggled.columns)
    assert joggled.title == "Frame 1: bevels, steps and offsets"
    assert fair.title == "Frame 2: bevels and offsets"
    assert not any("step" in heading for heading in fair.columns)
    assert {len(row) for row in fair.rows} == {len(fair.columns)}
    facets = across_sheets(boat)[1].shape.facets
    assert any(facet.inside < -0.1 for facet in facets)
    for row, facet in zip(fair.rows, facets, strict=True):
        assert row[2] == (f"{-facet.inside:.1f} OUTSIDE" if facet.inside < -0.05 else f"{abs(facet.inside):.1f}")


def test_on_sheets_of_paper_every_bevel_stays_next_to_its_own_strake_or_is_left_to_the_table() -> None:
    hull = read_hull(HULLS / "dinghy.toml")
    boat = boat_of(replace(hull, inside=(CrossPiece("bulkhead", 0, 1, 1000.0, 12.0, limber=15.0),)))
    (piece,), (across,) = folio(boat, "inside").pieces, across_sheets(boat)
    layout = tiling(ink_of(piece, text_width), paper("a4"))
    whole = labels_made_whole(piece, layout, text_width)
    bevels = [label for label in whole.labels if label.text.startswith("strake ")]
    assert whole.left_out or [label for label in bevels if label not in piece.labels]  # joints cut some of them
    assert len(bevels) + len(whole.left_out) >= len(across.shape.facets)
    facets = {facet.strake: facet.line for facet in across.shape.near.facets}
    for label in bevels:
        low, high = facets[int(label.text.split(":")[0].split()[1])][[0, -1]]
        along = (high - low) / np.linalg.norm(high - low)
        corners = np.array(label_box(label, text_width))
        reach = (corners - low) @ along
        assert reach.min() > -0.5
        assert reach.max() < np.linalg.norm(high - low) + 0.5
        off = np.abs((corners - low) @ np.array([-along[1], along[0]]))
        assert off.max() < 16.0


EDGES: tuple[tuple[int, Literal["joggled", "fair"]], ...] = ((0, "joggled"), (1, "fair"))
