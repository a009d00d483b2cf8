"""The templates of gunwale strips, and the tables of strips and timbers."""

import io
from dataclasses import replace
from functools import cache
from typing import Literal

import ezdxf
import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.gunwales import GunwaleShape, TimbersShape
from templates_gen.hull.model import Gunwale, TimberList
from templates_gen.hull.reader import read_hull
from templates_gen.pipeline import templates
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.templates.folios import Planked
from tests.flow import boat_of, folio
from tests.templates.label_clearance import crowded_labels
from tests.templates.test_inside_across import HULLS, each_boat


@cache
def with_strips(name: str) -> Boat:
    """A demonstration hull with an inwale and a rubbing strip."""
    strips = (Gunwale(0, 1, "inwale", 16.0, 22.0), Gunwale(1, 2, "rubbing strip", 14.0, 20.0, 6.0))
    return boat_of(replace(read_hull(HULLS / f"{name}.toml"), inside=strips))


def shapes(boat: Boat) -> list[GunwaleShape]:
    return [shape for shape in boat.inside if isinstance(shape, GunwaleShape)]


def piece_of(boat: Boat, name: str) -> Piece:
    return next(piece for piece in folio(boat, "inside").pieces if piece.name == name)


@each_boat
def test_the_bench_set_prints_sections_and_a_router_cuts_the_strips_flat(name: str) -> None:
    boat = with_strips(name)
    bench = folio(boat, "inside", "bench")
    assert [piece.name for piece in bench.pieces] == ["gunwale 1 sections", "gunwale 2 sections"]
    assert [piece.name for piece in bench.for_router.pieces] == ["gunwale 1", "gunwale 2"]
    full = [piece.name for piece in folio(boat, "inside").pieces]
    assert full == ["gunwale 1 sections", "gunwale 2 sections", "gunwale 1", "gunwale 2"]
    for piece in folio(boat, "inside").pieces:
        assert crowded_labels(piece) == []
        assert any(piece.name.upper() in label.text for label in piece.labels)
    space = ezdxf.read(io.StringIO(dxf_bytes(bench.for_router).decode("ascii"))).modelspace()
    lines = space.query('LWPOLYLINE[layer=="CUT-OUTSIDE"]')
    assert len(lines) == 2
    for shape, line in zip(shapes(boat), lines, strict=True):
        read = np.array([(p.x, p.y) for p in ezdxf.path.make_path(line).flattening(0.005)])
        (outline,) = [
            path.points for path in piece_of(boat, f"gunwale {shape.piece.number}").paths if path.role is Role.CUT
        ]
        moved = read - np.round(read.min(axis=0) - outline.min(axis=0))
        assert shapely.distance(shapely.LinearRing(outline), shapely.points(moved)).max() < 0.05


@each_boat
def test_a_strip_laid_flat_is_as_deep_as_it_should_be_and_cut_at_its_angles(name: str) -> None:
    boat = with_strips(name)
    for shape in shapes(boat):
        (outline,) = [
            path.points for path in piece_of(boat, f"gunwale {shape.piece.number}").paths if path.role is Role.CUT
        ]
        assert shapely.Polygon(outline).is_valid
        upper = shapely.LineString(shape.flat)
        count = len(shape.flat)
        lower = outline[: len(outline) - count]
        away = shapely.distance(upper, shapely.points(lower[2:-2]))
        assert away == pytest.approx(np.full(len(away), shape.piece.depth), abs=0.05)
        # the end's cut: how much farther aft the lower corner is, square to the upper edge
        along = shape.flat[1] - shape.flat[0]
        along = along / np.linalg.norm(along)
        step = lower[0] - shape.flat[0]
        assert step @ along == pytest.approx(shape.piece.depth * np.tan(shape.cuts["fore"].face), abs=0.02)


def test_a_section_shows_the_plank_leaning_and_what_comes_off_for_a_level_top() -> None:
    boat = with_strips("dinghy")
    inwale, rubbing = shapes(boat)
    for shape, word in ((inwale, "off its inboard corner"), (rubbing, "at its outboard corner")):
        piece = piece_of(boat, f"gunwale {shape.piece.number} sections")
        assert piece.is_paper
        texts = " ".join(label.text for label in piece.labels)
        planks = [path.points for path in piece.paths if path.role is Role.NOTE]
        levels = [path.points for path in piece.paths if path.role is Role.BEVEL]
        assert len(planks) == len(levels) == len(shape.places) == 7
        for place, plank, level in zip(shape.places, planks, levels, strict=True):
            rise = plank[0] - plank[3]
            assert np.arctan2(rise[0], rise[1]) == pytest.approx(place.bevel)
            assert level[0, 1] == level[1, 1]
            assert np.linalg.norm(plank[1] - plank[0]) == pytest.approx(9.0)
            degrees = round(2 * np.degrees(place.bevel)) / 2
            assert f"{degrees:g}°" in texts
            assert f"{abs(shape.piece.width * np.tan(place.bevel)):.1f} " in texts
        assert word in texts


def test_the_tables_give_lengths_sweep_and_timbers() -> None:
    hull = read_hull(HULLS / "dinghy.toml")
    boat = boat_of(replace(hull, inside=(Gunwale(0, 1, "inwale", 16.0, 22.0), TimberList(1, 1))))
    strip, timbers = boat.inside
    assert isinstance(strip, GunwaleShape)
    assert isinstance(timbers, TimbersShape)
    first, second = folio(boat, "inside").tables
    assert [row[0] for row in first.rows] == ["fore end", *(f"mould {n}" for n in range(1, 6)), "aft end"]
    assert float(first.rows[-1][1]) == pytest.approx(strip.length, abs=0.25)
    lowest = min(float(row[2]) for row in first.rows)
    assert lowest == pytest.approx(min(place.rise for place in strip.places), abs=0.25)
    assert f"sweep {round(2 * strip.sweep) / 2:g} mm" in first.notes[0]
    assert len(second.rows) == len(timbers.timbers)
    for row, timber in zip(second.rows, timbers.timbers, strict=True):
        assert float(row[1]) == pytest.approx(timber.x)
        assert float(row[2]) == pytest.approx(timber.half, abs=0.25)
        assert float(row[3]) == pytest.approx(2 * timber.half, abs=0.25)
    assert second.rows[0][4] == "75 mm forward of mould 1"


def test_a_boat_with_a_list_of_timbers_alone_has_a_table_to_print() -> None:
    boat = boat_of(replace(read_hull(HULLS / "dinghy.toml"), inside=(TimberList(0, 1),)))
    (made,) = templates(Planked(boat), "bench", ("inside",))
    assert made.pieces == ()
    assert [table.title for table in made.tables] == ["Timbers: how long they are"]


@pytest.mark.parametrize(
    ("part", "fore", "aft"),
    [
        ("inwale", "the inside of the stem", "the inner face of the after transom"),
        ("outwale", "the end of the sheer strake on the stem", "the outer face of the after transom"),
    ],
)
def test_both_ends_say_what_they_are_cut_to(part: Literal["inwale", "outwale"], fore: str, aft: str) -> None:
    hull = read_hull(HULLS / "dinghy.toml")
    boat = boat_of(replace(hull, inside=(Gunwale(0, 1, part, 18.0, 28.0, 0.0),)))
    made = folio(boat, "inside")
    for words in (" ".join(made.pieces[0].notes), " ".join(made.tables[0].notes)):
        assert f"at the fore end, to {fore}: " in words
        assert f"at the aft end, to {aft}: " in words
