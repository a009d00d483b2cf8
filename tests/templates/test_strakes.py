"""The strakes' templates: what is cut is the net outline, what is written is true, and every label can be read."""

import re
from dataclasses import replace
from functools import cache
from io import StringIO
from pathlib import Path as FilePath
from typing import Any

import ezdxf
import numpy as np
import pytest
from shapely import LineString, MultiPoint, Polygon
from shapely import Point as ShapelyPoint

from templates_gen.about import About, EndName
from templates_gen.drawing.piece import Label, Piece, Role, Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import rivets
from templates_gen.geometry.flat_strakes import extent
from templates_gen.geometry.strake_marks import lower_edge, upper_edge
from templates_gen.hull.model import Stem
from templates_gen.hull.reader import read_hull
from templates_gen.notation import Notation
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.render.pdf.content import PENS
from templates_gen.render.pdf.letters import text_width
from templates_gen.stock.plan import planking_plan
from templates_gen.stock.rough import FLAT_BOTTOM_PROUD, rough_board, sawn_lines
from templates_gen.templates.folios import Planked
from templates_gen.templates.moulds.setting_up import mould_tables
from templates_gen.templates.strakes.at_marks import format_ordinate
from templates_gen.templates.strakes.pieces import strake_piece
from templates_gen.templates.strakes.tables import strake_tables
from templates_gen.units import spoken_length
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of, folio
from tests.geometry.skiffs import skiff, straight_rocker
from tests.geometry.test_batten_points import greatest_miss
from tests.sweep import more
from tests.templates.drawn import strake_pieces
from tests.templates.label_clearance import crowded_labels, label_box

HULLS = FilePath(__file__).parents[2] / "hulls"
SHAPES = FilePath(__file__).parents[1] / "data" / "shapes"
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
        fastened = rivets(strake)
        assert len(piece.holes) == (0 if fastened is None else int((~fastened.on_timber).sum()))
        assert all(outline.contains(ShapelyPoint(hole.centre)) for hole in piece.holes)
        assert outline.is_valid
        for points in (strake.edge("lower"), strake.edge("upper"), strake.end("fore"), strake.end("aft")):
            assert max(outline.exterior.distance(ShapelyPoint(p)) for p in points) < 1e-9


@pytest.mark.parametrize("numbers", [(2, 5, 9), *more(((3, 4, 6, 7, 8),))], ids=str)
def test_rivets_through_timbers_are_ringed_and_named_as_in_the_table_and_not_drilled(
    numbers: tuple[int, ...],
) -> None:
    boat = boat_of(read_hull(HULLS / "dinghy.toml"))
    (table,) = [table for table in mould_tables(boat) if table.title == "Where the timbers stand"]
    places = {row[0]: float(row[1]) for row in table.rows}
    # the hull file: one at 675, then every 150
    assert all((x - 675.0) % 150.0 == 0.0 for x in places.values())
    assert places[str(1 + min(map(int, places)))] - min(places.values()) == 150.0
    seen = set()
    asked = {About("strake", number) for number in numbers}
    made = folio(boat, "strakes", planked=Planked(boat), wanted=asked.__contains__)
    drawn = made.pieces
    drawing = dxf_bytes(replace(made, pieces=drawn[:1]))
    space: Any = ezdxf.read(StringIO(drawing.decode())).modelspace()
    for piece, number in zip(drawn, numbers, strict=True):
        strake = boat.strakes[number - 1]
        fastened = rivets(strake, planking_plan(boat).reaches(strake.number))
        assert fastened is not None
        rings = [path for path in piece.paths if path.closed and path.role is Role.SCRIBE]
        on = fastened.centres[fastened.on_timber]
        assert np.array([ring.points.mean(axis=0) for ring in rings]) == pytest.approx(on, abs=1e-6)
        assert {round(float(np.linalg.norm(ring.points[0] - ring.points[24])), 6) for ring in rings} == {2.3 + 5.0}
        holes = np.array([hole.centre for hole in piece.holes])
        assert np.linalg.norm(holes[:, None] - on, axis=2).min() > 10.0
        labels = [label for label in piece.labels if label.text.startswith("timber ")]
        assert len(labels) == len(on)
        for label in labels:
            nearest = np.linalg.norm(on - label.at, axis=1).argmin()
            timber = label.text.removeprefix("timber ")
            assert places[timber] == pytest.approx(fastened.x[fastened.on_timber][nearest], abs=10.0)
            seen.add(timber)
    assert seen == set(places)
    first = drawn[0]
    assert len(space.query('CIRCLE[layer=="DRILL-2.3"]')) == len(first.holes)
    rounds = [line for line in space.query('LWPOLYLINE[layer=="SCRIBE"]') if line.closed]
    assert len(rounds) == sum(path.closed and path.role is Role.SCRIBE for path in first.paths)


def test_a_boat_without_timbers_has_no_rings_and_no_table_of_timbers() -> None:
    assert not any(table.title == "Where the timbers stand" for table in mould_tables(boat("dinghy")))
    fastened = [piece for piece in pieces("dinghy") if piece.holes]
    assert fastened
    assert not any(path.closed and path.role is Role.SCRIBE for piece in fastened for path in piece.paths)


@pytest.mark.parametrize("name", NAMES)
def test_no_label_lies_over_another_or_over_a_line(name: str) -> None:
    assert [text for piece in pieces(name) for text in crowded_labels(piece, DRAWN)] == []


@pytest.mark.parametrize("name", ["dinghy", *more("double_ender", "pram")])
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
            printed = [figures(label) for label in piece.labels if label.text.startswith(f"mould {station.name} ")]
            wanted = [(point[0] - start, point[1] - height) for point in strake.mark(station.at)]
            for printed_one, wanted_one in zip(
                sorted(printed, key=_ordinate), sorted(wanted, key=_ordinate), strict=True
            ):
                assert printed_one == pytest.approx(wanted_one, abs=0.26)


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
        assert "KEEL edge" in texts or any("plane the KEEL edge's inner arris" in text for text in texts)
        for words in ("SHEER edge", "FORE", "AFT", "grain", "turn over for starboard"):
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
        assert len(far) == 1  # of the garboard the line to which its lower edge's inner arris is planed
        if edge is not None:
            upper = LineString(strake.edge("upper"))
            below = np.array([upper.distance(ShapelyPoint(p)) for p in scribed[0][20:-20]])
            assert np.max(np.abs(below - lap)) < 0.1


@pytest.mark.parametrize("name", NAMES)
def test_the_rough_line_leaves_what_the_builder_asked_for(name: str) -> None:
    hull = boat(name).hull
    for piece, strake in zip(pieces(name), boat(name).strakes, strict=True):
        (path,) = [path for path in piece.paths if path.role is Role.ROUGH]
        rough = np.vstack([path.points, path.points[:1]])
        net_outline = next(p.points for p in piece.paths if p.role is Role.CUT)
        assert path.closed
        assert Polygon(rough).is_valid
        assert Polygon(rough).buffer(0.01).contains(Polygon(net_outline)), "one outline round all that is net"
        ends: tuple[tuple[EndName, bool], ...] = (("fore", True), ("aft", False))
        for end, first in ends:
            allowance = hull.allowances.hood if isinstance(hull.end(end), Stem) else hull.allowances.transom
            middle = strake.line(0.5)
            ahead = middle[0] - middle[1] if first else middle[-1] - middle[-2]
            net = strake.end(end)[len(strake.end(end)) // 2]  # type: ignore[arg-type]
            ray = LineString([net, net + 200.0 * ahead])
            crossing = ray.intersection(LineString(rough))
            far = ShapelyPoint(net).distance(crossing)
            if isinstance(hull.end(end), Stem):  # there it is laid off square to the end
                far = LineString(rough).distance(ShapelyPoint(net))
            if strake.number == 1 and isinstance(hull.end(end), Stem):  # round a forefoot its edges run apart
                assert far > 0.9 * allowance
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
    flat = boat_of(skiff(straight_rocker))
    made = strake_pieces(flat)[0]
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
    scarfed = folio(boat("pram"), "strakes").pieces
    for piece, strake in zip(scarfed, boat("pram").strakes, strict=True):
        assert any("Scarf" in note for note in piece.notes) == (extent(strake).blank[0] > 2440.0)


def test_ordinates_are_finer_than_sixteenths() -> None:
    assert format_ordinate(-25.4 * 1.5, Notation("ft-in-8", "64ths")) == "down 1 1/2 in"
    assert format_ordinate(-25.4 * 1.5, Notation("ft-in-8", "mm")) == "down 38 mm"
    assert format_ordinate(25.4 / 32, Notation("in", "mm")) == "up 1/32 in"
    assert format_ordinate(61.4, Notation()) == "up 61.5"


def measure(table: Table, first: int) -> tuple[list[str], np.ndarray]:
    """The places and points, shape (n, 2), that a table of ordinates tells of the edge whose columns begin there."""
    rows = [row for row in table.rows if row[first] != "–"]
    points = []
    for row in rows:
        way, height = row[first + 1].split()
        points.append([float(row[first]), float(height) * (1.0 if way == "up" else -1.0)])
    return [row[0] for row in rows], np.array(points)


EDGES = ((1, "lower", 0), (3, "upper", -1))


def datum_start(piece: Piece) -> np.ndarray:
    return max((p.points for p in piece.paths if p.role is Role.DATUM), key=lambda points: np.ptp(points[:, 0]))[0]


@pytest.mark.parametrize("name", ["dinghy", "pram"])
def test_a_strake_set_out_from_its_table_is_the_strake(name: str) -> None:
    """Points within half a millimetre's rounding of the net edges; the ends' corners included."""
    first, *tables = strake_tables(boat(name))
    assert len(first.rows) == len(tables) == len(boat(name).strakes)
    for table, piece, strake in zip(tables, pieces(name), boat(name).strakes, strict=True):
        for column, which, corner in EDGES:
            places, points = measure(table, column)
            points = points + datum_start(piece)
            net = LineString(strake.edge(which))  # type: ignore[arg-type]
            assert max(net.distance(ShapelyPoint(p)) for p in points) < 0.4
            assert (places[0], places[-1]) == ("fore corner", "aft corner")
            corners = [strake.end("fore")[corner], strake.end("aft")[corner]]
            assert np.max(np.abs(points[[0, -1]] - corners)) < 0.26


@pytest.mark.parametrize("name", ["pram", *more("dinghy")])
def test_a_batten_through_the_printed_ordinates_keeps_to_the_net_edge(name: str) -> None:
    """0.3 mm that a batten may miss, and the table's rounding to half a millimetre."""
    for table, piece, strake in zip(strake_tables(boat(name))[1:], pieces(name), boat(name).strakes, strict=True):
        for column, which, _ in EDGES:
            points = measure(table, column)[1] + datum_start(piece)
            assert greatest_miss(strake.edge(which), points) <= 0.6  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["dinghy", "faering"])
def test_the_points_of_a_table_are_numbered_in_its_order(name: str) -> None:
    for table in strake_tables(boat_of(read_hull(HULLS / f"{name}.toml")))[1:]:
        numbers = [row[0] for row in table.rows if row[0].startswith("point ")]
        assert numbers == [f"point {n}" for n in range(1, len(numbers) + 1)]
        for column in (1, 3):
            at = [row[column] for row in table.rows if row[column] != "–" and not row[0].startswith("scarf")]
            assert [float(one) for one in at] == sorted(float(one) for one in at)


def test_each_numbered_point_of_a_table_is_ticked_on_the_edge_and_numbered_beside_it() -> None:
    out = boat("dinghy").settings_out[0]
    piece, table = pieces("dinghy")[0], strake_tables(boat("dinghy"))[1]
    numbers = [row[0] for row in table.rows if row[0].startswith("point ")]
    assert len(numbers) == len(out.lower) + len(out.upper) > 0
    ticks = [path.points[0] for path in piece.paths if path.role is Role.SCRIBE and len(path.points) == 2]
    for point in (*out.lower, *out.upper):
        assert min(np.linalg.norm(tick - point) for tick in ticks) < 1e-9
    texts = {label.text for label in piece.labels}
    written = [number for number in numbers if number in texts or number.removeprefix("point ") in texts]
    assert len(written) >= len(numbers) - 1  # one may find no room next to its tick
    for number, point in zip([f"point {n}" for n in out.numbers("lower")], out.lower, strict=True):
        (label,) = [label for label in piece.labels if label.text == number]
        assert np.linalg.norm(np.array(label.at) - point) < 25.0


def test_round_a_forefoot_the_hood_s_allowance_is_kept_to_the_corner_and_the_edge_marked_net() -> None:
    made, hull = pieces("dinghy")[0], boat("dinghy").hull
    (rough,) = [path for path in made.paths if path.role is Role.ROUGH]
    assert rough.closed
    end = boat("dinghy").strakes[0].end("fore")
    fore = rough.points[: len(end)]
    for point in end[:-1]:
        assert LineString(fore).distance(ShapelyPoint(point)) > 0.75 * hull.allowances.hood
    assert any("forefoot the lower edge is NET" in note for note in made.notes)
    assert not any("forefoot" in note for piece in pieces("dinghy")[1:] for note in piece.notes)


@pytest.mark.parametrize("name", NAMES)
def test_the_board_over_the_rough_line_holds_it_and_is_written_next_to_the_net_one(name: str) -> None:
    units = boat(name).hull.units
    for piece, row, measured in zip(pieces(name), strake_tables(boat(name))[0].rows, boat(name).extents, strict=True):
        rough = MultiPoint(np.concatenate([p.points for p in piece.paths if p.role in (Role.ROUGH, Role.CUT)]))
        sides = LineString(rough.minimum_rotated_rectangle.exterior.coords[:3])
        board, net = (
            " × ".join(spoken_length(value, units) for value in values)
            for values in (sorted(_steps(sides), reverse=True), measured.blank)
        )
        assert f"board over the rough line {board}" in printed(piece)
        assert f"net board {net}" in printed(piece)
        strake = boat(name).strakes[int(row[0]) - 1]
        sawn = rough_board(strake, sawn_lines(boat(name), strake))
        assert row[3:5] == tuple(size.removesuffix(" mm") for size in net.split(" × "))
        assert row[5:7] == tuple(spoken_length(size, units).removesuffix(" mm") for size in sawn)
        # longer only where it is bent with steam: 75 mm at each end (common practice), a little aslant in the board
        steamed = boat(name).bendings[strake.number - 1].verdict != "bends cold"
        assert sawn[0] - max(_steps(sides)) == pytest.approx(150.0 if steamed else 0.0, abs=6.0 if steamed else 0.1)


def _steps(line: LineString) -> list[float]:
    return np.linalg.norm(np.diff(np.array(line.coords), axis=0), axis=1).tolist()


@pytest.mark.parametrize("name", NAMES)
def test_both_stretches_are_named(name: str) -> None:
    rows = strake_tables(boat(name))[0].rows
    for piece, row, strake, hang in zip(pieces(name), rows, boat(name).strakes, boat(name).bendings, strict=True):
        mean, most, least = (
            100.0 * value for value in (abs(hang.edge_stretch), strake.strip.most, strake.strip.least)
        )
        run = boat(name).hull.notation.spoken_length(300.0)
        wanted = f"at most {mean:.2f} % over {run} (judged by this); greatest anywhere "
        wanted += f"{most:+.2f}/−{-least:.2f} %"
        assert wanted in printed(piece)
        assert row[8:10] == (f"{most:+.2f} / {least:+.2f}", f"{hang.edge_stretch * 100.0:+.2f}")


def printed(piece: Piece) -> str:
    """All that is read on paper only, in the order in which it is set."""
    return " ".join(label.text for label in piece.labels if label.is_fine_print)


def test_where_a_land_is_hollow_both_strakes_tell_which_edge_is_planed() -> None:
    """The dinghy's garboard has a hollow land from its last third to the transom, longer than a sheet."""
    lower, upper = strake_pieces(boat_of(read_hull(HULLS / "dinghy.toml")))[:2]
    left = [label.text for label in lower.labels if "LEAVE THIS EDGE, plane strake 2 INSIDE" in label.text]
    planed = [label.text for label in upper.labels if "plane THIS EDGE INSIDE" in label.text]
    for texts in (left, planed):
        assert texts[0].startswith("land 1 hollow: from here to the gerald")
        assert len(texts) > 1


def test_a_land_that_is_hollow_from_end_to_end_tells_it_on_both_strakes() -> None:
    found = boat_of(read_hull(SHAPES / "s048.toml"))
    lower, upper = (strake_piece(found, strake) for strake in found.strakes[:2])
    wanted = ("land 1 hollow: LEAVE THIS EDGE, plane strake 2 INSIDE", "land 1 hollow: plane THIS EDGE INSIDE")
    for piece, words, strake in zip((lower, upper), wanted, found.strakes[:2], strict=True):
        at = [label.at[0] for label in piece.labels if label.text == words]
        assert len(at) >= extent(strake).length / 700.0  # one to about 600 mm
    assert not [label for label in lower.labels if "hollow: from here" in label.text]


def test_which_way_a_sheet_lies_is_shown_by_its_writing() -> None:
    for piece in every_piece():
        assert any(line.startswith("with the writing upright") for line in piece.title)


def test_tables_are_as_wide_as_their_headings() -> None:
    for name in NAMES:
        for table in strake_tables(boat(name)):
            assert all(len(row) == len(table.columns) for row in table.rows)


def test_the_words_about_a_hollow_stand_at_the_line_where_it_begins_or_have_a_leader_to_it() -> None:
    example = boat_of(read_hull(HULLS / "dinghy.toml"))
    for number, which in ((1, upper_edge), (2, lower_edge)):
        edge, piece = which(example.strakes[number - 1]), strake_pieces(example)[number - 1]
        assert edge is not None
        ((line, _),) = edge.turns
        (label,) = [one for one in piece.labels if one.text.startswith(f"land {edge.land} hollow: from here")]
        at, begin = LineString(line), ShapelyPoint(label.at)
        leaders = [LineString(path.points) for path in piece.paths if path.role is Role.NOTE and not path.closed]
        led = [leader for leader in leaders if leader.distance(at) < 0.01 and leader.distance(begin) < 5.0]
        assert begin.distance(at) < 8.0 or led


@pytest.mark.parametrize("file", ["dinghy", *more("double_ender", "pram")])
def test_what_is_planed_at_a_hollow_land_is_written_clear_of_its_geralds(file: str) -> None:
    """Inside a gerald both strakes are planed as its own lines say."""
    boat = boat_of(read_hull(HULLS / f"{file}.toml"))
    for strake, piece in zip(boat.strakes, strake_pieces(boat), strict=True):
        for edge in (upper_edge(strake), lower_edge(strake)):
            if edge is None:
                continue
            notes = [one for one in piece.labels if one.text.startswith(f"land {edge.land} hollow: ")]
            boxes = [label_box(one, text_width) for one in notes]
            if edge.is_hollow or edge.turns:
                assert boxes, piece.name
            for gerald in edge.geralds:
                start = gerald.start[:, 0]
                for box in boxes:
                    x = np.asarray(box)[..., 0]
                    assert x.min() > start.min() if gerald.end == "fore" else x.max() < start.max(), piece.name


@pytest.mark.parametrize("name", NAMES)
def test_the_lines_on_a_strake_are_named_by_what_they_are_drawn_as(name: str) -> None:
    """Only the outline is drawn full; lines to scribe have long dashes, those of the far face short ones."""
    assert [len(PENS[role].dash) > 0 for role in (Role.CUT, Role.SCRIBE, Role.FAR)] == [False, True, True]
    assert PENS[Role.SCRIBE].dash[0] > 2.0 * PENS[Role.FAR].dash[0]
    tables = [" ".join(cell for row in table.rows for cell in row) for table in strake_tables(boat(name))]
    words = [text for piece in pieces(name) for text in (*piece.notes, *(label.text for label in piece.labels))]
    assert not [text for text in (*words, *tables) if re.search(r"full lines?\b|dashed line", text)]
    for piece in pieces(name):
        assert any("long dashes with short gaps on the face you look at" in note for note in piece.notes)
