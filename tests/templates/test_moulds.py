"""Moulds as they are drawn: outline, notch, far face, the planking in section, labels, and the setting-up sheet."""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from templates_gen.drawing.piece import Piece, Role
from templates_gen.errors import DrawingError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.moulds import plank_sections
from templates_gen.hull.model import Array, Hull, Keel, Moulds
from templates_gen.hull.reader import read_hull
from templates_gen.notation import DepthName
from templates_gen.templates.moulds.edge import SQUARE
from templates_gen.templates.moulds.outline import moulds_of
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.moulds.setting_up import corner_to_corner, mould_tables
from templates_gen.units import spoken_length
from tests.boats import dinghy, double_ender, even_in_girth, pram
from tests.flow import boat_of
from tests.geometry.skiffs import skiff, straight_rocker
from tests.sweep import more
from tests.templates.label_clearance import crowded_labels

SHIPPED = FilePath(__file__).parents[2] / "hulls"
HULLS = {"dinghy": dinghy, "double ender": double_ender, "pram": pram}
ALL = pytest.mark.parametrize("name", HULLS)


@cache
def boat(name: str) -> Boat:
    return boat_of(HULLS[name]())


@cache
def pieces(name: str) -> tuple[Piece, ...]:
    return mould_pieces(boat(name))


def lines(piece: Piece, role: Role) -> list[Array]:
    return [path.points for path in piece.paths if path.role is role]


def wood(piece: Piece) -> Polygon:
    (outline,) = lines(piece, Role.CUT)
    return Polygon(outline)


@ALL
def test_there_is_one_mould_for_each_station_by_name(name: str) -> None:
    assert [piece.name for piece in pieces(name)] == [f"mould {s.name}" for s in boat(name).hull.stations]


def test_a_station_without_a_mould_gets_no_piece_and_no_column() -> None:
    hull = dinghy()
    stations = tuple(replace(s, mould=s.name in ("2", "4")) for s in hull.stations)
    without = boat_of(replace(hull, stations=stations))
    assert [piece.name for piece in mould_pieces(without)] == ["mould 2", "mould 4"]
    tables = {table.title: table for table in mould_tables(without)}
    assert tables["Half-breadths of the lands (mm)"].columns == ("", "stem", "mould 2", "mould 4", "aft transom")
    rows = [(row[0], row[1], row[3]) for row in tables["Setting up the moulds"].rows]
    assert rows[0] == ("station 1", f"{hull.stations[0].at:.0f}", "no mould")
    assert [name for name, _, _ in rows] == ["station 1", "mould 2", "station 3", "mould 4", *_after_four(hull)]


def _after_four(hull: Hull) -> list[str]:
    return [f"station {station.name}" for station in hull.stations[4:]]


def test_a_bowed_transom_is_set_up_by_its_centreline_and_by_its_corners() -> None:
    (table,) = (one for one in mould_tables(boat("pram")) if one.title == "The ends")
    rows = {(end, word): tuple(map(float, figures)) for end, word, *figures in table.rows}
    # The hull file's own profile of the after transom, and the building line 700 mm above the base line.
    assert rows["aft transom", "top of the profile"] == (2618.0, 700.0 - 482.0, 0.0)
    assert rows["aft transom", "bottom of the profile"] == (2540.0, 700.0 - 144.0, 0.0)
    # At the sheer, half-breadth 504 and height 481, a face bowed to a radius of 1800 lies its sagitta forward of the
    # centreline, square to the rake (a circle's chord).
    rake = np.arctan2(78.0, 338.0)
    sagitta = 1800.0 - np.sqrt(1800.0**2 - 504.0**2)
    x = 2540.0 + (481.0 - 144.0) * np.tan(rake) - sagitta / np.cos(rake)
    assert rows["aft transom", "sheer"] == (pytest.approx(x, abs=0.3), 700.0 - 481.0, 504.0)


@ALL
def test_the_edge_runs_through_every_land_mark_above_the_notch(name: str) -> None:
    for piece, mould in zip(pieces(name), moulds_of(boat(name)), strict=True):
        (outline,) = lines(piece, Role.CUT)
        assert wood(piece).is_valid
        for mark in mould.shape.land_marks:
            assert np.min(np.linalg.norm(outline - mark, axis=1)) < 1e-9


@ALL
def test_all_moulds_reach_one_building_line(name: str) -> None:
    base = boat(name).hull.moulds.base
    for piece in pieces(name):
        (outline,) = lines(piece, Role.CUT)
        assert outline[:, 1].max() == base
        assert np.sum(outline[:, 1] == base) == 2
        assert outline[:, 0].min() == 0.0


@ALL
def test_the_notch_takes_the_hog_with_a_millimetre_to_spare_at_its_side(name: str) -> None:
    hull = boat(name).hull
    assert hull.keel.hog is not None
    width, depth = hull.keel.hog
    for piece, shape in zip(pieces(name), boat(name).moulds, strict=True):
        top = min(y_z[1] for y_z in wood(piece).exterior.coords if y_z[0] == 0.0)
        half = hull.keel.siding / 2 if hull.keel.siding else float(shape.station.rabbet[0])
        garboard = Polygon(plank_sections(boat(name).shell, shape.station.at)[0].outline)
        beside_keel = garboard.intersection(LineString([(half, -500.0), (half, 2000.0)]))
        assert top - beside_keel.bounds[3] == pytest.approx(depth, abs=1e-6)
        # the hog, planed to the garboard underneath, must go in
        hog = Polygon([(0, top - depth), (half, top - depth), (width / 2, top), (0, top)])
        assert wood(piece).intersection(hog).area < 1e-6
        assert not wood(piece).contains(Point(width / 2 + 0.9, top - 0.1))


@ALL
def test_the_words_give_the_half_breadth_that_the_notch_takes_at_this_mould(name: str) -> None:
    units = boat(name).hull.units
    for piece in pieces(name):
        top = min(z for y, z in wood(piece).exterior.coords if y == 0.0)
        cut = max(y for y, z in wood(piece).exterior.coords if abs(z - top) < 1e-9)
        words = " ".join(label.text for label in piece.labels)
        assert f"cut {spoken_length(cut, units)} out" in words


@ALL
def test_the_garboard_s_lower_edge_lies_against_the_keel_s_side(name: str) -> None:
    for piece, shape in zip(pieces(name), boat(name).moulds, strict=True):
        y, z = shape.station.rabbet
        garboard = Polygon(plank_sections(boat(name).shell, shape.station.at)[0].outline)
        sides = [path.points for path in piece.paths if path.role is Role.NOTE and len(path.points) == 2]
        upright = [LineString(points) for points in sides if np.ptp(points[:, 0]) < 1e-9 and points[0, 0] == y]
        assert len(upright) == 1
        assert upright[0].distance(Point(y, z)) < 1e-6
        assert upright[0].distance(garboard) < 1e-6


def test_a_rebated_keel_gets_a_notch_of_its_siding() -> None:
    hull = replace(dinghy(), keel=Keel("rebate", 44.0, None, 40.0))
    for piece, station in zip(mould_pieces(boat_of(hull)), hull.stations, strict=True):
        (outline,) = lines(piece, Role.CUT)
        top = float(station.rabbet[1]) + 40.0
        np.testing.assert_allclose(outline[0], [0.0, top])
        assert outline[1][0] <= 23.0 + 1e-9


def test_a_flat_bottom_s_mould_is_cut_straight_across_on_it() -> None:
    hull = replace(skiff(straight_rocker), keel=Keel("flat", wood_inside=15.0))
    for piece, station in zip(mould_pieces(boat_of(hull)), hull.stations, strict=True):
        (outline,) = lines(piece, Role.CUT)
        np.testing.assert_allclose(outline[:2, 1], station.rabbet[1] + 15.0, atol=1e-9)


def test_a_hog_bigger_than_the_boat_is_refused_by_the_mould_s_name() -> None:
    hull = replace(dinghy(), keel=Keel("hog", 44.0, (3000.0, 3000.0)))
    with pytest.raises(DrawingError, match=r'mould "1": notch for the hog.*check \[keel\]'):
        mould_pieces(boat_of(hull))


@ALL
def test_the_planks_lie_outside_the_mould_and_touch_it_at_their_upper_corners(name: str) -> None:
    for piece, shape in zip(pieces(name), boat(name).moulds, strict=True):
        planks = [Polygon(path.points) for path in piece.paths if path.role is Role.NOTE and path.closed]
        assert len(planks) == boat(name).hull.planking.strakes
        edge = Polygon(np.vstack([shape.outline, [[0.0, shape.outline[-1, 1]], [0.0, shape.outline[0, 1]]]]))
        for plank, mark in zip(planks, shape.land_marks, strict=True):
            assert plank.is_valid
            assert plank.intersection(edge).area < 0.5
            assert plank.exterior.distance(Point(mark)) < 1e-6


@ALL
def test_two_planks_drawn_in_section_show_the_bevel_of_their_land(name: str) -> None:
    shell = boat(name).shell
    for shape in boat(name).moulds:
        outlines = [section.outline for section in plank_sections(shell, shape.station.at)]
        for land in range(1, len(outlines)):
            low, high = (shape.land_marks[k] - outlines[k][0] for k in (land - 1, land))
            turn = np.arctan2(low[0] * high[1] - low[1] * high[0], low @ high)
            # strakes twist from edge to edge and are planed at the lap: chords tell the angle to a degree and a half
            seen = float(shell.bevel_in_section(land, np.array([shape.station.at]))[0])
            assert turn == pytest.approx(seen, abs=np.radians(1.5))


@ALL
def test_the_dashed_line_stands_in_by_the_figure_that_is_written_next_to_its_flat(name: str) -> None:
    for piece, mould in zip(pieces(name), moulds_of(boat(name)), strict=True):
        figures = [
            (float(found[1]), float(found[2]) * boat(name).hull.notation.depth_step)
            for label in piece.labels
            if (found := re.fullmatch(r"(?:edge )?([\d.]+)°, (?:far (?:face )?)?([\d.]+)(?:/64)? inside", label.text))
        ]
        drawn = lines(piece, Role.FAR)
        assert len(drawn) == len(figures) > 0 or mould.faces.taken.max() < SQUARE
        for (angle, taken), far in zip(figures, drawn, strict=True):
            assert wood(piece).buffer(0.01).covers(LineString(far)) or taken < 1.0
            depth = wood(piece).exterior.distance(Point(far.mean(axis=0)))
            assert depth == pytest.approx(taken, abs=0.06 if name == "dinghy" else 25.4 / 128 + 0.01)
            assert np.degrees(np.arctan(taken / boat(name).hull.moulds.thickness)) == pytest.approx(
                angle, abs=0.45 if name == "dinghy" else 0.9
            )


@ALL
def test_forward_moulds_stand_forward_of_their_stations_and_after_ones_abaft(name: str) -> None:
    moulds = moulds_of(boat(name))
    for mould in (moulds[0], moulds[1]):
        assert mould.faces.wood == "fore"
    assert moulds[-1].faces.wood == "aft"
    first, last = pieces(name)[0], pieces(name)[-1]
    assert any(label.text.startswith("THIS IS THE AFT FACE") for label in first.labels)
    for piece, seen, half in ((first, "AFT", "STARBOARD"), (last, "AHEAD", "PORT")):  # breadth to the right
        assert any(f"seen from {seen}: {half} half" in label.text for label in piece.labels)
        assert piece.title[1].startswith(f"{half} half, ")
        assert piece.title[1].endswith(f"seen from {seen}")
        assert piece.facing is not None
        assert piece.facing.hand == half.lower()
    assert not any("PORT" in label.text for label in first.labels)
    assert not any("STARBOARD" in label.text for label in last.labels)


@ALL
def test_every_land_has_its_tick_of_fifteen_millimetres_across_the_edge(name: str) -> None:
    for piece, shape in zip(pieces(name), boat(name).moulds, strict=True):
        edge = wood(piece).exterior
        ticks = [
            line
            for line in lines(piece, Role.SCRIBE)
            if len(line) == 2 and np.linalg.norm(line[1] - line[0]) == pytest.approx(15.0)
        ]
        assert len(ticks) == len(shape.land_marks)
        for tick, mark in zip(ticks, shape.land_marks, strict=True):
            assert LineString(tick).distance(Point(mark)) < 1e-9
            assert edge.intersects(LineString(tick))
            assert wood(piece).contains(Point(tick[1]))


@pytest.mark.parametrize(
    ("name", "edge"),
    [
        ("dinghy", "smooth"),
        ("double ender", "faceted"),
        *more(("pram", "smooth"), ("double ender", "smooth"), ("dinghy", "faceted"), ("pram", "faceted")),
    ],
)
def test_labels_are_clear_of_one_another_and_of_lines(name: str, edge: str) -> None:
    hull = HULLS[name]()
    moulds = Moulds(hull.moulds.thickness, edge, hull.moulds.base)  # type: ignore[arg-type]
    for waterline in (None, 240.0):
        for piece in mould_pieces(boat_of(replace(hull, moulds=moulds, waterline=waterline))):
            assert crowded_labels(piece) == []


@ALL
def test_the_waterline_is_scribed_to_the_edge_and_ticked_there(name: str) -> None:
    floating = boat_of(replace(HULLS[name](), waterline=240.0))
    for piece in mould_pieces(floating):
        edge = wood(piece).exterior.intersection(LineString([(1.0, 240.0), (5000.0, 240.0)]))
        parts = [line for line in lines(piece, Role.SCRIBE) if len(line) == 2 and np.all(line[:, 1] == 240.0)]
        if wood(piece).bounds[1] > 238.0:
            continue  # no wood so low
        assert parts
        last = max(parts, key=lambda line: line[1, 0])
        past = last[1, 0] - edge.bounds[2]
        assert past == pytest.approx(5.0) or past == pytest.approx(0.0, abs=1e-9)
        assert last[0, 0] < edge.bounds[2] - 2.0


@pytest.mark.parametrize("lean", [12.0, *more(30.0)])
def test_a_strake_s_number_keeps_off_the_edge_where_the_topsides_tumble_home(lean: float) -> None:
    hull = dinghy()
    stations = tuple(
        replace(s, section=np.vstack([s.section[:-1], [s.section[-2, 0] - lean, s.section[-1, 1]]]))
        for s in hull.stations
    )
    leaning = boat_of(even_in_girth(replace(hull, stations=stations), {"fore": np.linspace(160, 768, 9)}))
    for piece in mould_pieces(leaning):
        assert not [text for text in crowded_labels(piece) if f"{piece.name}: '9'" in text]


@pytest.mark.parametrize(("depths", "written"), [("mm", r"\d\.\d mm"), ("64ths", r"\d/64")])
def test_next_to_feet_and_inches_every_depth_bears_its_unit(depths: DepthName, written: str) -> None:
    for piece in mould_pieces(boat_of(replace(read_hull(SHIPPED / "double_ender.toml"), depths=depths))):
        texts = [label.text for label in piece.labels if "take-off" in label.text or "°, " in label.text]
        assert texts
        assert all(re.search(written, text) for text in texts)


def test_a_land_inside_a_gerald_has_neither_bevel_nor_take_off_on_a_mould() -> None:
    hull = dinghy()
    long = boat_of(replace(hull, planking=replace(hull.planking, gerald_fore=900.0)))
    first, second = (
        [label.text for label in piece.labels if label.block == "land 1"] for piece in mould_pieces(long)[:2]
    )
    assert first == ["land 1: in a gerald"]
    assert [text.split()[0] for text in second] == ["land", "take-off"]


def test_a_building_line_close_above_the_sheer_still_leaves_labels_clear() -> None:
    hull = dinghy()
    for piece in mould_pieces(boat_of(replace(hull, moulds=Moulds(18.0, "faceted", 690.0)))):
        assert crowded_labels(piece) == []


def test_where_the_topsides_lean_in_the_leg_leaves_room_above_the_sheer() -> None:
    hull = dinghy()
    stations = tuple(
        replace(s, section=np.vstack([s.section[:-1], [s.section[-2, 0] - 12.0, s.section[-1, 1]]]))
        for s in hull.stations
    )
    leaning = even_in_girth(replace(hull, stations=stations), {"fore": np.linspace(160, 768, 9)})
    for mould in moulds_of(boat_of(leaning)):
        assert mould.outline.leg < mould.sheer[0]


def test_a_smooth_mould_that_holds_planks_off_their_marks_says_so() -> None:
    hull = dinghy()
    smooth = boat_of(replace(hull, moulds=Moulds(18.0, "smooth", 900.0)))
    for piece, shape in zip(mould_pieces(smooth), smooth.moulds, strict=True):
        noted = sum("off its marks" in note for note in piece.notes)
        assert noted == int(np.sum(shape.proud >= 0.5))
    assert any("off its marks" in note for piece in mould_pieces(smooth) for note in piece.notes)
    assert not any("off its marks" in note for piece in pieces("dinghy") for note in piece.notes)


@pytest.mark.parametrize("name", ["dinghy", "pram"])
def test_written_diagonals_are_those_of_the_outline(name: str) -> None:
    for piece, mould in zip(pieces(name), moulds_of(boat(name)), strict=True):
        text = " ".join(label.text for label in piece.labels)
        (outline,) = lines(piece, Role.CUT)
        top, corner, notch, sheer = outline[-1], outline[-2], outline[0], mould.shape.land_marks[-1]
        for first, second in ((top, sheer), (notch, corner), (sheer * [-1, 1], corner)):
            length = round(2 * float(np.linalg.norm(first - second))) / 2
            assert f"{length:g}" in text


def heights(hull: Hull, title: str) -> dict[str, tuple[str, ...]]:
    (table,) = [t for t in mould_tables(boat_of(hull)) if t.title == f"{title} (mm)"]
    return {row[0]: row[1:] for row in table.rows}


def test_the_check_tables_hold_the_hull_file_s_own_sheer_and_rabbet() -> None:
    hull = dinghy()
    up, out = heights(hull, "Land heights above the base line"), heights(hull, "Half-breadths of the lands")
    down = heights(hull, "Land heights from the building line")
    for index, station in enumerate(hull.stations, start=1):
        assert float(up["sheer"][index]) == pytest.approx(station.section[-1, 1], abs=0.26)
        assert float(out["sheer"][index]) == pytest.approx(station.section[-1, 0], abs=0.26)
        assert float(up["rabbet line"][index]) == pytest.approx(station.rabbet[1], abs=0.26)
    for land, row in up.items():
        for above, below in zip(row, down[land], strict=True):
            assert float(above) + float(below) == pytest.approx(900.0, abs=0.51)
    # on the stem the lands were asked for at these heights, the stem is sided 36
    assert [float(row[0]) for land, row in up.items() if land != "rabbet line"] == list(np.linspace(160, 768, 9))
    assert {row[0] for row in out.values()} == {"18"}
    assert float(up["sheer"][-1]) == pytest.approx(589.0, abs=0.26)


@ALL
def test_every_table_has_as_many_cells_as_headings(name: str) -> None:
    for table in mould_tables(boat(name)):
        assert table.rows
        assert all(len(row) == len(table.columns) for row in table.rows)


def test_the_diagonal_to_the_next_mould_is_the_distance_of_their_corners_in_space() -> None:
    for first, second in zip(moulds_of(boat("pram"))[:-1], moulds_of(boat("pram"))[1:], strict=True):
        corners = [
            np.array([mould.shape.station.at, side * mould.outline.closed[-2, 0], mould.outline.closed[-2, 1]])
            for mould, side in ((first, 1.0), (second, -1.0))
        ]
        assert corner_to_corner(first, second) == pytest.approx(float(np.linalg.norm(corners[1] - corners[0])))


@pytest.mark.parametrize(("name", "little"), [("dinghy", "more than 1 mm"), ("double ender", "more than 1/32 in")])
def test_port_and_starboard_are_compared_in_the_builder_s_own_units(name: str, little: str) -> None:
    notes = [note for table in mould_tables(boat(name)) for note in table.notes]
    assert any(f"Find the cause of a difference of {little}" in note for note in notes)
