"""The profile of a stem or sternpost."""

import re
from dataclasses import replace
from itertools import groupby
from pathlib import Path as FilePath

import numpy as np
import pytest
from shapely import LineString, Point, Polygon

from templates_gen.about import EndName
from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Label, Path, Piece, PrintSet, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebate_places import GaugePlace
from templates_gen.geometry.stem_side import stem_side
from templates_gen.hull.model import Stem
from templates_gen.hull.reader import read_hull
from templates_gen.paper.ink import for_laying_out, ink_of
from templates_gen.paper.label_places import leader_end
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.upright import upright
from templates_gen.paper.whole_labels import labels_made_whole
from templates_gen.render.pdf.letters import text_width
from templates_gen.templates.rebates.cards import SharedCard, place_name
from templates_gen.templates.rebates.stem.gauges import stem_cards, stem_gauges
from templates_gen.templates.rebates.stem.marks import stem_marks
from templates_gen.templates.rebates.stem.profile import stem_piece
from templates_gen.units import format_angle, format_length
from tests.flow import boat_of
from tests.sweep import more
from tests.templates.drawn import stem_pieces
from tests.templates.label_clearance import crowded_labels
from tests.templates.rebate_boats import boat

CANOE = FilePath(__file__).parents[1] / "data" / "american_cruising_canoe.toml"
CASES = [
    ("dinghy", "fore"),
    ("double_ender", "fore"),
    ("double_ender", "aft"),
    ("bevelled stem", "fore"),
    ("bare stem", "fore"),
]
each_stem = pytest.mark.parametrize(("name", "end"), CASES)


def profile(name: str, end: str) -> tuple[Piece, Stem]:
    found = boat(name)
    (piece,) = [piece for piece in stem_pieces(found) if piece.name == f"stem {end}"]
    stem = found.hull.end(end)  # type: ignore[arg-type]
    assert isinstance(stem, Stem)
    return piece, stem


def of_role(piece: Piece, role: Role) -> list[Path]:
    return [path for path in piece.paths if path.role is role]


def outline(piece: Piece) -> Polygon:
    (path,) = of_role(piece, Role.CUT)
    return Polygon(path.points)


def short_lines(piece: Piece) -> list[LineString]:
    """Straight scribed lines: land marks, gauges' lines and the ends of the level line."""
    return [LineString(path.points) for path in of_role(piece, Role.SCRIBE) if len(path.points) == 2]


@each_stem
def test_the_rabbet_line_lies_where_the_hull_file_has_it(name: str, end: str) -> None:
    piece, stem = profile(name, end)
    lines = [LineString(path.points) for path in of_role(piece, Role.SCRIBE)] + [outline(piece).exterior]
    for point in stem.rabbet:
        assert min(line.distance(Point(point)) for line in lines) < 0.03


@pytest.mark.parametrize(("name", "end"), [*CASES, ("canoe", "fore"), ("canoe", "aft")])
def test_rabbet_line_and_bearding_line_are_named_on_every_stretch_however_hard_they_bend(name: str, end: str) -> None:
    """A sheet of A4 shows some 190 mm of a stem, whichever way it lies."""
    drawn = boat_of(read_hull(CANOE)) if name == "canoe" else boat(name)
    (piece,) = [piece for piece in stem_pieces(drawn) if piece.name == f"stem {end}"]
    side = stem_side(drawn.shell, end, drawn.rebates)  # type: ignore[arg-type]
    inner = "bevel ends" if side.stem.joint == "bevel" else "bearding line"
    for text, inside in (("rabbet line", 0.0), (inner, side.bearding)):
        line = side.inside(side.along, inside)
        every = [np.array(label.at) for label in piece.labels if label.text == text]  # one in the legend, too
        named = [one for one in every if LineString(line).distance(Point(one)) < 8.0]
        at = sorted(float(side.along[np.argmin(np.linalg.norm(line - one, axis=1))]) for one in named)
        assert np.diff([0.0, *at, float(side.along[-1])]).max() < 190.0, text


@each_stem
def test_the_view_is_of_the_port_side_with_the_bow_to_the_left(name: str, end: str) -> None:
    piece, stem = profile(name, end)
    # x runs aft, to the right; a stem has its bearding line's wood abaft its rabbet line, a sternpost forward of it
    middle = stem.rabbet[len(stem.rabbet) // 2]
    abaft = outline(piece).contains(Point(middle + np.array([30.0, 0.0])))
    ahead = outline(piece).contains(Point(middle - np.array([30.0, 0.0])))
    assert abaft if end == "fore" else ahead
    if stem.face is None or stem.joint == "bevel":
        assert abaft != ahead
    assert any("PORT SIDE" in label.text for label in piece.labels)
    assert "PORT side seen from outside" in piece.title[1]
    assert piece.title[2].startswith("the bow is where the arrow FORE points")
    (word,) = [label for label in piece.labels if "FORE" in label.text]
    assert word.text == "← FORE", "arrow and word in one, so that no joint of sheets parts them"
    assert word.angle == 0.0
    left, bottom, right, top = outline(piece).bounds
    station = boat(name).hull.stations[0 if end == "fore" else -1].at
    assert right < station if end == "fore" else left > station
    assert 0.0 < bottom < top


@each_stem
def test_each_land_has_a_mark_square_across_the_rabbet_at_its_height(name: str, end: str) -> None:
    piece, stem = profile(name, end)
    found = boat(name)
    rabbet = found.shell.hung.stems[end]  # type: ignore[index]
    cut_at_rabbet = stem.face is None or stem.joint == "bevel"
    heights = rabbet.points[1:, 2]
    if found.hull.lands.at:
        np.testing.assert_allclose(heights, found.hull.lands.at[end], atol=1e-6)
    for land in range(1, len(heights) + 1):
        if land == len(heights) and cut_at_rabbet:
            continue
        point = rabbet.points[land][[0, 2]]
        tangent = rabbet.rabbet.batten.tangent(rabbet.parameters[land])[[0, 2]]
        across = [line for line in short_lines(piece) if np.ptp(np.array(line.coords)[:, 1]) > 0.0]
        through = [line for line in across if line.distance(Point(point)) < 1e-6]
        assert len(through) == 1
        ends = np.array(through[0].coords)
        assert (ends[1] - ends[0]) @ tangent == pytest.approx(0.0, abs=1e-6)
    written = " ".join(label.text for label in piece.labels)
    units = found.hull.units
    shown = [format_length(float(h), units) in written for h in heights]
    assert sum(shown) >= len(shown) - 2, "at the head there may be room for the name only"


@pytest.mark.parametrize("to_print", ["bench", "full"])
def test_on_a_stem_that_bends_hard_no_words_lie_over_others_and_all_that_a_stem_has_is_named(
    to_print: PrintSet,
) -> None:
    drawn = boat_of(read_hull(CANOE))
    for end in drawn.shell.hung.stems:
        piece = stem_piece(drawn, end, to_print)
        assert crowded_labels(piece) == []
        words = " ".join(label.text for label in piece.labels)
        assert all(word in words for word in ("← FORE", "waterline", "sheer", "land 9", "garboard's end"))


def blocks_of(piece: Piece) -> dict[str, list[Label]]:
    """The labels of each block, or the single label, by what the rows say one after another."""
    blocks = [list(rows) for _, rows in groupby(piece.labels, key=lambda label: label.block or id(label))]
    return {" ".join(row.text for row in rows): rows for rows in blocks}


def words_at(found: Boat, place: GaugePlace, card: SharedCard) -> re.Pattern[str]:
    """What a gauge's line bears: its own place if the card is called by another one, then the card and its angle."""
    own, first = place_name(found, place), card.places[0]
    called = place_name(found, first)
    if first.is_at_end_of_strake and len(card.runs[0]) > 1:
        called = f"strakes {first.rebate.strake}-{card.runs[0][-1].rebate.strake}"
    before, angle = "" if own == called else f"{own}: ", format_angle(card.angle)
    return re.compile(f"{re.escape(before)}gauge {re.escape(called)}:? {re.escape(angle)}( its line is this end)?")


@each_stem
@pytest.mark.parametrize("to_print", ["full", *more("bench")])
def test_each_gauge_s_line_bears_its_own_place_and_the_name_and_angle_of_its_card_at_its_own_end(
    name: str, end: EndName, to_print: PrintSet
) -> None:
    found = boat(name)
    piece, side = stem_piece(found, end, to_print), stem_side(found.shell, end, found.rebates)
    blocks = blocks_of(piece)
    leaders = [path.points for path in of_role(piece, Role.NOTE) if len(path.points) == 2]
    cards = zip(stem_cards(found, end, to_print), stem_gauges(found, end, to_print), strict=True)
    gauges = {place.about: gauge for card, gauge in cards for place in card.places}
    for place, at, card in stem_marks(found, end, side, False, to_print).gauges:
        (text,) = [text for text in blocks if words_at(found, place, card).fullmatch(text)]
        rows = blocks.pop(text)
        title = re.sub(":? [0-9.]+°.*", "", text.partition("gauge ")[2])
        assert title in " ".join(label.text for label in gauges[place.about].labels)
        tip = side.inside(np.array(at), side.bearding_at(at))
        near = min(float(np.linalg.norm(tip - label.at)) for label in rows)
        ends = [points[1] for points in leaders if np.allclose(points[0], tip)]
        led = [float(np.linalg.norm(there - label.at)) for there in ends for label in rows]
        assert min([near, *led]) < 9.0
        inward = side.side(np.array(at))[2]
        for label in rows:
            along = np.array([np.cos(label.angle), np.sin(label.angle)])
            assert abs(float(along @ inward)) > 0.9, "square to the rabbet line, not along the bearding line"
    assert not [text for text in blocks if "gauge" in text]


@pytest.mark.parametrize("to_print", ["full", *more("bench")])
def test_words_moved_off_a_joint_of_sheets_are_led_to_the_gauge_s_own_line(to_print: PrintSet) -> None:
    asides = []
    for name, end in (*CASES[:3], ("faering", "fore"), ("faering", "aft")):
        found = boat(name)
        which: EndName = "fore" if end == "fore" else "aft"
        piece = for_laying_out(stem_piece(found, which, to_print))
        layout = tiling(ink_of(piece, text_width), sheet("a4"))
        piece = replace(piece, labels=upright(piece.labels, layout))
        side = stem_side(found.shell, which, found.rebates)
        marks = stem_marks(found, which, side, False, to_print)
        tips = np.array([side.inside(np.array(at), side.bearding_at(at)) for _, at, _ in marks.gauges])
        heads = side.side(np.array([at for _, at, _ in marks.gauges]))[1]
        gauges = [rows for text, rows in blocks_of(piece).items() if "gauge " in text]
        begun = np.array([leader_end(row) for rows in gauges for row in rows if row.has_leader])
        for path in labels_made_whole(piece, layout, text_width).leaders:
            if np.linalg.norm(begun - path.points[0], axis=1).min() < 1e-6:
                nearest = np.argmin(np.linalg.norm(tips - path.points[0], axis=1))
                asides.append(abs(float((path.points[0] - tips[nearest]) @ heads[nearest])))
    assert len(asides) > 1
    assert max(asides) < 0.1


@each_stem
def test_the_bearding_line_is_drawn_inside_the_wood_by_the_sections_identity(name: str, end: str) -> None:
    piece, _ = profile(name, end)
    found = boat(name)
    curves = [LineString(p.points) for p in of_role(piece, Role.SCRIBE) if len(p.points) > 2]
    thickness = found.hull.planking.thickness[0]
    rabbet = found.shell.hung.stems[end]  # type: ignore[index]
    angles = [r.angle for r in found.rebates if r.on == end and r.place == "upper"]
    for land in range(1, len(angles)):
        into = rabbet.rabbet.batten.tangent(rabbet.parameters[land])[[2, 0]] * [-1.0, 1.0]
        bearding = np.mean([thickness / np.sin(angle) for angle in angles[land - 1 : land + 1]])
        point = Point(rabbet.points[land][[0, 2]] + bearding * into)
        assert min(curve.distance(point) for curve in curves) < 0.03
        assert outline(piece).contains(point)


@each_stem
def test_the_apex_is_dashed_with_words_not_to_scribe_it(name: str, end: str) -> None:
    piece, stem = profile(name, end)
    far = of_role(piece, Role.FAR)
    is_noted = any("not scribed" in label.text for label in piece.labels)
    assert (len(far), is_noted) == ((0, False) if stem.joint == "bevel" else (1, True))


@each_stem
def test_the_inner_edge_is_cut_as_far_inside_the_rabbet_as_there_is_wood(name: str, end: str) -> None:
    piece, stem = profile(name, end)
    if stem.wood_inside is None:
        assert any("does not say how much wood" in note for note in piece.notes)
        return
    rabbet = boat(name).shell.hung.stems[end].rabbet  # type: ignore[index]
    edge = outline(piece).exterior
    for share in np.linspace(0.2, 0.95, 12):
        t = rabbet.foot + share * (rabbet.head - rabbet.foot)
        point = rabbet.batten.point(t)[[0, 2]]
        into = rabbet.batten.tangent(t)[[2, 0]] * [-1.0, 1.0]
        assert edge.distance(Point(point + stem.wood_inside * into)) < 0.05


def test_a_stem_without_a_fore_face_is_cut_at_its_rabbet_and_says_so() -> None:
    piece, stem = profile("bare stem", "fore")
    for point in stem.rabbet:
        assert outline(piece).exterior.distance(Point(point)) < 0.03
    assert any("no fore face" in label.text for label in piece.labels)
    assert any("gives no fore face" in note for note in piece.notes)
    with_face, _ = profile("dinghy", "fore")
    assert not any("no fore face" in label.text for label in with_face.labels)


def test_a_given_fore_face_is_cut() -> None:
    for name, end in CASES[:3]:
        piece, stem = profile(name, end)
        assert stem.face is not None
        for point in stem.face:
            assert outline(piece).exterior.distance(Point(point)) < 0.03


def test_a_bevelled_stem_is_cut_at_its_rabbet_and_shows_the_false_stems_face() -> None:
    piece, stem = profile("bevelled stem", "fore")
    for point in stem.rabbet:
        assert outline(piece).exterior.distance(Point(point)) < 0.03
    assert stem.face is not None
    notes = [LineString(path.points) for path in of_role(piece, Role.NOTE)]
    assert all(min(line.distance(Point(point)) for line in notes) < 0.03 for point in stem.face)


@each_stem
def test_the_cut_ends_at_the_sheer_and_wood_above_it_is_dashed_and_accounted_for(name: str, end: str) -> None:
    piece, stem = profile(name, end)
    (rough,) = of_role(piece, Role.ROUGH)
    assert not rough.closed
    wood = Polygon(rough.points)
    head = stem.rabbet[-1]
    assert outline(piece).exterior.distance(Point(head)) < 0.05
    assert max(outline(piece).exterior.distance(Point(at)) for at in rough.points[[0, -1]]) < 1e-6
    rabbet = boat(name).shell.hung.stems[end].rabbet  # type: ignore[index]
    up = rabbet.batten.tangent(rabbet.head)[[0, 2]] * rabbet.toward_head
    assert rough.points[1] - rough.points[0] == pytest.approx(60.0 * up)
    assert wood.area > 60.0 * 30.0
    assert any("above the sheer" in line for line in piece.title)
    words = [label for label in piece.labels if wood.covers(Point(label.at))]
    assert "gunwale" in " ".join(label.text for label in words)


def test_a_level_line_runs_across_the_wood_from_face_to_inner_edge_with_or_without_a_waterline() -> None:
    for name, word in (("dinghy", "waterline"), ("no waterline", "level")):
        piece, _ = profile(name, "fore")
        (label,) = [label.text for label in piece.labels if label.text.startswith(word)]
        height = float(label.split(":")[1].split()[0])
        level = [line for line in short_lines(piece) if np.ptp(np.array(line.coords)[:, 1]) == 0.0]
        assert all(line.coords[0][1] == pytest.approx(height) for line in level)
        wood = outline(piece).intersection(LineString([(-1e4, height), (1e4, height)]))
        drawn = sum(line.intersection(outline(piece)).length for line in level)
        assert drawn > 0.6 * wood.length, "broken only where it would run through words"
        ends = np.array([line.coords for line in level])[..., 0]
        assert ends.min() < wood.bounds[0]
        assert ends.max() > wood.bounds[2]


LAND_NAME = re.compile(r"(land \d+|garboard's end|sheer)(: .*)?$")


def _of_land(text: str, count: int) -> int:
    """Return the number of the land that words name."""
    name = text.partition(":")[0]
    ends = {"garboard's end": 0, "sheer": count}
    return ends[name] if name in ends else int(name.removeprefix("land "))


@pytest.mark.parametrize(("name", "end"), [*CASES, *more(("canoe", "fore"), ("canoe", "aft"))])
def test_the_name_of_each_land_stands_at_its_own_mark_or_is_led_to_it(name: str, end: str) -> None:
    drawn = boat_of(read_hull(CANOE)) if name == "canoe" else boat(name)
    piece = stem_piece(drawn, end)  # type: ignore[arg-type]
    side = stem_side(drawn.shell, end, drawn.rebates)  # type: ignore[arg-type]
    marks, count = side.inside(side.lands, 0.0), len(side.lands) - 1
    names = [label for label in piece.labels if LAND_NAME.match(label.text) and label.kind == "measure"]
    leaders = [path.points for path in of_role(piece, Role.NOTE) if len(path.points) == 2]
    for label in names:
        box = Polygon(label_boxes([label])[0])
        ends = [one[k] for one in leaders for k in (0, 1) if box.distance(Point(one[1 - k])) < 3.0]
        far = [box.distance(Point(mark)) for mark in marks]
        led = [int(np.argmin(np.linalg.norm(marks - tip, axis=1))) for tip in ends]
        assert _of_land(label.text, count) in {int(np.argmin(far)), *led}, label.text
    assert {_of_land(label.text, count) for label in names} == set(range(count + 1))
