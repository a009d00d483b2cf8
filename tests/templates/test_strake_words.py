"""Words on a strake's template that stand at one line or edge: which edge it is, where a rule stops, what is left."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from templates_gen.about import About
from templates_gen.drawing.clear_space import ClearSpace
from templates_gen.drawing.piece import Role
from templates_gen.geometry.strake_marks import lower_edge, outline_of, ticks_of, upper_edge
from templates_gen.hull.reader import read_hull
from templates_gen.paper.ink import for_laying_out, ink_of
from templates_gen.paper.label_places import line_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.whole_labels import labels_made_whole
from templates_gen.render.pdf.letters import text_width
from templates_gen.templates.bevels.depth_lines import depth_runs, times_depth
from templates_gen.templates.folios import Planked
from templates_gen.templates.rebates.keel_gauges import no_hog_at
from templates_gen.templates.strakes.leaders import NamedLines
from templates_gen.templates.strakes.lettering import Lettering
from templates_gen.templates.strakes.pieces import strake_piece
from templates_gen.units import MM_PER_INCH
from templates_gen.words import on_sheet
from tests.flow import boat_of, folio
from tests.sweep import more
from tests.templates.drawn import strake_pieces
from tests.templates.label_clearance import label_box

HULLS = Path(__file__).parents[2] / "hulls"
CANOE = Path(__file__).parents[1] / "data" / "american_cruising_canoe.toml"
each_boat = pytest.mark.parametrize("file", [HULLS / "double_ender.toml", *more(CANOE)], ids=lambda file: file.stem)


def test_a_hollow_land_s_rule_stops_at_the_gerald_and_the_depth_is_written_there() -> None:
    example = boat_of(read_hull(HULLS / "dinghy.toml"))
    for number, which in ((1, upper_edge), (2, lower_edge)):
        strake = example.strakes[number - 1]
        edge, piece = which(strake), strake_piece(example, strake)
        assert edge is not None
        aft = next(gerald for gerald in edge.geralds if gerald.end == "aft")
        start = LineString(aft.start)
        stops = [one for one in piece.labels if one.text == "gerald starts: plane to its depths"]
        assert min(Point(one.at).distance(start) for one in stops) < 60.0
        if which is lower_edge:  # as the planking has it, at the ruling of the gerald's start
            shell, from_end = example.shell, example.shell.planking.gerald_aft
            assert from_end is not None
            whole = float(np.ptp(shell.hung.edges[0].lengths))
            u = shell.rulings_at_lengths(1, np.array([whole - from_end]))
            depth = example.hull.notation.depths_of(float(shell.losses(1, u).upper_at_lap_line[0]))
            assert f"hollow: inside off {depth} at the edge" in [one.text for one in piece.labels]


@pytest.mark.parametrize("file", ["double_ender", *more("dinghy", "faering")])
def test_a_strake_that_takes_steam_says_at_both_ends_what_is_left_outside_the_rough_line(file: str) -> None:
    steamed = 0
    example = boat_of(read_hull(HULLS / f"{file}.toml"))
    amount = example.hull.notation.spoken_length(75.0)
    for hang, piece in zip(example.bendings, strake_pieces(example), strict=True):
        texts = [one for one in piece.labels if one.text == f"STEAM: leave {amount} more outside this line"]
        assert len(texts) == (0 if hang.verdict == "bends cold" else 2)
        steamed += len(texts)
        rough = [LineString([*path.points, path.points[0]]) for path in piece.paths if path.role is Role.ROUGH]
        tips = [Point(path.points[1]) for path in piece.paths if path.role is Role.NOTE]
        assert sum(tip.distance(line) < 1.0 for tip in tips for line in rough) >= len(texts)
    assert bool(steamed) == (file != "faering"), "only the faering's strakes all bend cold"


@pytest.mark.parametrize("file", ["double_ender", *more("dinghy")])
@pytest.mark.parametrize("size", ["a4", *more("a1")])
def test_on_the_sheets_no_line_lies_between_the_name_of_an_edge_and_the_edge(file: str, size: str) -> None:
    named = 0
    example = boat_of(read_hull(HULLS / f"{file}.toml"))
    for strake, piece in zip(example.strakes, folio(example, "strakes", "bench").pieces, strict=True):
        rounded = for_laying_out(piece)
        made = labels_made_whole(rounded, tiling(ink_of(rounded, text_width), sheet(size)), text_width)
        outlines = (Role.CUT, Role.ROUGH)
        lines = [LineString(path.points) for path in rounded.paths if path.role not in outlines]
        for text, which in (("KEEL edge", "lower"), ("SHEER edge", "upper")):
            edge = LineString(strake.edge(which))  # type: ignore[arg-type]
            for label in made.labels:
                if label.text == text and label.has_leader:
                    assert label.line is not None
                    (drawn,) = [one for one in rounded.labels if one.line == label.line and one.text == text]
                    assert edge.distance(LineString(line_of(drawn))) < 0.1
                elif label.text == text:
                    box = np.asarray(label_box(label, text_width))
                    across = LineString([box.mean(axis=0), edge.interpolate(edge.project(Point(box.mean(axis=0))))])
                    assert not [line for line in lines if line.intersects(across)], (piece.name, text)
                    assert across.length < 9.0
                    named += 1
    assert named > 2 * len(example.strakes)


@pytest.mark.parametrize(
    ("file", "numbers"), [(HULLS / "double_ender.toml", range(1, 7)), (CANOE, (2, 3)), *more((CANOE, range(1, 11)))]
)
def test_each_tick_is_named_and_no_figures_stand_without_its_name(file: Path, numbers: Sequence[int]) -> None:
    """The canoe's strakes are so narrow that laps and geralds take most of them: some ticks have only their names."""
    example = boat_of(read_hull(file))
    planked, abouts = Planked(example), {About("strake", number) for number in numbers}
    pieces = folio(example, "strakes", "bench", planked, abouts.__contains__).pieces
    assert len(pieces) == len(numbers)
    for number, piece in zip(numbers, pieces, strict=True):
        texts = [label.text for label in piece.labels]
        names = [on_sheet(tick.place) for tick in example.settings_out[number - 1].ticks]
        assert [name for name in names if not any(text.startswith(name) for text in texts)] == []
        assert [text for text in texts if text.startswith("at ") and text[3].isdigit()] == []


@each_boat
def test_no_name_of_an_edge_stands_in_a_line_of_depths_which_would_be_broken_there(file: Path) -> None:
    example, led = boat_of(read_hull(file)), 0
    times = times_depth(example)
    for strake in example.strakes[:-1]:
        piece = folio(example, "strakes", "bench").pieces[strake.number - 1]
        depths = [LineString(line) for line in depth_runs(example, strake.number, times)]
        for label in piece.labels:
            if label.text in ("KEEL edge", "SHEER edge"):
                box = Polygon(label_box(label, text_width))
                assert not any(box.intersects(line) for line in depths)
                led += label.has_leader
    assert led > 0


@each_boat
def test_the_datum_is_marked_on_the_wood_and_each_of_its_figures_stands_at_a_mark(file: Path) -> None:
    example = boat_of(read_hull(file))
    for strake, out, piece in zip(example.strakes, example.settings_out, strake_pieces(example), strict=True):
        wood = Polygon(outline_of(strake.edge("lower"), strake.end("aft"), strake.edge("upper"), strake.end("fore")))
        drawn = [path.points for path in piece.paths if path.role is Role.DATUM and np.ptp(path.points[:, 0]) == 0.0]
        assert drawn
        assert all(wood.buffer(0.1).contains(Point(points.mean(axis=0))) for points in drawn)
        figures = {label.text for label in piece.labels if label.listed == "datum"}
        marks = {example.hull.notation.length(float(points[0, 0]) - out.datum.start) for points in drawn}
        assert figures <= marks


def test_a_garboard_on_a_hog_shows_how_far_its_inner_arris_is_planed_back_and_where_its_edge_stays_square() -> None:
    """As far as the gauges of the keel are hog gauges: thickness over the tangent of the planking's angle."""
    example = boat_of(read_hull(HULLS / "double_ender.toml"))
    strake, piece = example.strakes[0], strake_pieces(example)[0]
    lower = LineString(strake.edge("lower"))
    texts = {label.text for label in piece.labels}
    far = [LineString(path.points) for path in piece.paths if path.role is Role.FAR]
    (line,) = [one for one in far if len(one.coords) > 50]
    hogs = [
        place
        for place, is_out in zip(example.keel_gauges, no_hog_at(example, example.keel_gauges), strict=True)
        if not is_out
    ]
    thickness = example.hull.planking.thickness[0]
    ticks = {tick.place.station: tick for tick in ticks_of(strake) if tick.place.kind == "station"}
    seen = 0
    for place in hogs:
        planed = thickness / np.tan(place.rebate.angle)
        tick = ticks.get(str(place.rebate.place))
        if tick is not None:
            assert line.distance(Point(tick.lower)) == pytest.approx(planed, abs=0.3)
            text = f"inner arris: off {example.hull.notation.depths_of(planed)} across the INNER face"
            boxes = [Polygon(label_box(one, text_width)) for one in piece.labels if one.text == text]
            assert min(box.distance(LineString([tick.lower, tick.upper])) for box in boxes) < 6.0
            seen += 1
    assert seen >= 3
    across = [one for one in far if len(one.coords) == 2 and one.distance(lower) < 0.01 and one.distance(line) < 0.01]
    assert len(across) == 2
    assert {f"KEEL edge square from here {way}: rebate in the deadwood" for way in ("forward", "aft")} <= texts
    assert all(label.text.find("arris") < 0 for other in strake_pieces(example)[1:] for label in other.labels)


def test_a_leader_goes_round_a_line_with_a_name_of_its_own() -> None:
    across, wall = np.array([[500.0, -20.0], [500.0, -10.0]]), np.array([[510.0, -16.0], [510.0, -8.0]])

    def leader(named: list[np.ndarray]) -> LineString:
        space = ClearSpace(np.array([[0.0, 0.0], [1000.0, 0.0]]), 110.0)
        columns = np.arange(500.0, 512.0)  # no letters fit next to the line
        space.block(np.stack([columns, 0 * columns - 40.0], axis=1), np.stack([columns, 0 * columns + 10.0], axis=1))
        letters = Lettering(space, NamedLines(named))
        assert letters.to_one_side("12", across, (3.0,), 1.0, ())
        return LineString(letters.leaders[-1].points[:2])

    crossing, clear = leader([]), leader([wall])
    assert crossing.crosses(LineString(wall))
    assert not clear.crosses(LineString(wall))
    assert clear.length < crossing.length + 16.0
    assert NamedLines([wall, across]).crossed_by(np.array([crossing.coords, clear.coords])).tolist() == [1, 0]


@each_boat
def test_no_line_lies_between_a_figure_of_the_datum_and_its_mark_and_none_stands_in_a_gerald(file: Path) -> None:
    example, seen = boat_of(read_hull(file)), 0
    for out, strake, piece in zip(example.settings_out, example.strakes, strake_pieces(example), strict=True):
        edges = [
            (edge, up) for edge, up in ((upper_edge(strake), 1.0), (lower_edge(strake), -1.0)) if edge is not None
        ]
        ticks = [np.stack([tick.lower, tick.upper]) for tick in out.ticks]
        lines = [LineString(line) for line in (*ticks, *(edge.inner_line for edge, _ in edges))]
        marks = np.arange(out.datum.start, out.datum.stop, 4.0 * MM_PER_INCH)
        at = {example.hull.notation.length(float(x) - out.datum.start): float(x) for x in marks}
        for label in piece.labels:
            if label.listed == "datum":
                middle = np.asarray(label_box(label, text_width)).mean(axis=0)
                way = LineString([(at[label.text], out.datum.height), middle])
                assert not any(way.intersects(line) for line in lines), (piece.name, label.text)
                for edge, up in edges:
                    is_on_lap = up * (middle[1] - np.interp(middle[0], *edge.inner_line.T)) > 0.0
                    starts = {gerald.end: float(gerald.start[:, 0].mean()) for gerald in edge.geralds}
                    assert not (is_on_lap and not starts["fore"] < middle[0] < starts["aft"])
                seen += 1
    assert seen > 20


@each_boat
def test_both_parts_of_each_scarf_are_named_however_little_room_there_is(file: Path) -> None:
    for piece in folio(boat_of(read_hull(file)), "strakes", "bench").pieces:
        scarfs = len([note for note in piece.notes if note.startswith("Scarf ")])
        assert scarfs > 0
        for part in ("AFTER part BEGINS", "FORE part ENDS"):
            assert len([label for label in piece.labels if label.text.startswith(part)]) == scarfs
