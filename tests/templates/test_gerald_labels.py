"""The figures in a strake's geralds: each names its line, on the one side of it, and no other line is between."""

from collections.abc import Callable
from itertools import chain
from pathlib import Path

import pytest
import shapely

from templates_gen.at_boat.plank import plank_to_make
from templates_gen.drawing.piece import Label, Piece, Role
from templates_gen.geometry.plank.marks import marked_edge
from templates_gen.geometry.strake_marks import Edge, lower_edge, upper_edge
from templates_gen.hull.reader import read_hull
from templates_gen.notation import Notation
from templates_gen.paper.label_places import line_of
from templates_gen.render.pdf.letters import text_width
from templates_gen.stock.shaping import mirrored
from templates_gen.templates.plank.pieces import plank_folio
from tests.boats import dinghy, double_ender, faering
from tests.flow import boat_of
from tests.sweep import more
from tests.templates.drawn import strake_pieces
from tests.templates.label_clearance import label_box

HULLS = Path(__file__).parents[2] / "hulls"
DATA = Path(__file__).parents[1] / "data"
EXAMPLE = DATA / "plank.toml"
NAMES = ("1/4", "1/2", "3/4", "end")
Strake = tuple[Piece, Notation, list[tuple[Edge, str]]]


def strakes_of(hull: Callable) -> list[Strake]:  # type: ignore[type-arg]
    boat = boat_of(hull())
    found = []
    for strake, piece in zip(boat.strakes, strake_pieces(boat), strict=True):
        edges = [(upper_edge(strake), "off"), (lower_edge(strake), "inside off")]
        found.append((piece, boat.hull.notation, [(edge, face) for edge, face in edges if edge is not None]))
    return found


def measured_plank() -> list[Strake]:
    made = plank_to_make(EXAMPLE)
    faces = {"above": "off", "below": "inside off"}
    edges = [(marked_edge(land), faces[land.side]) for land in made.lands]
    piece = mirrored(plank_folio(made.plank, made.lands).pieces[0])  # a starboard plank, as its edges are: to port
    return [(piece, made.plank.measured.notation, [(edge, face) for edge, face in edges if edge is not None])]


def near_end(label: Label, side: float) -> shapely.Point:
    """The middle of a label's left side for side +1, of its right one for -1."""
    box = label_box(label, text_width)
    return shapely.Point((box[0] + box[3]) / 2 if side > 0.0 else (box[1] + box[2]) / 2)


def ways_to(label: Label, side: float, line: shapely.LineString, piece: Piece) -> list[shapely.LineString]:
    """The leaders from a label to a line; if there is none, the shortest way, where that is a few millimetres."""
    end = near_end(label, side)
    notes = [path.points for path in piece.paths if path.role is Role.NOTE]
    led = [
        shapely.LineString(points[:2])
        for points in notes
        if shapely.Point(points[0]).distance(end) < 3.0 and shapely.Point(points[1]).distance(line) < 0.01
    ]
    short = shapely.shortest_line(end, line)
    return led or ([short] if short.length < 7.0 else [])


@pytest.mark.parametrize(
    "strakes",
    [
        lambda: strakes_of(dinghy),
        measured_plank,
        *more(lambda: strakes_of(double_ender), lambda: strakes_of(faering)),
    ],
)
def test_each_depth_in_a_gerald_names_its_line_and_stands_on_the_middle_s_side_of_it(
    strakes: Callable[[], list[Strake]],
) -> None:
    total = 0
    for piece, notation, edges in strakes():
        written = [label for label in piece.labels if ":" in label.text and label.text.split(":")[0] in NAMES]
        geralds = [(face, gerald) for edge, face in edges for gerald in edge.geralds]
        lines = [(one.start, *(mark.line for mark in one.quarters)) for _, one in geralds]
        every = [shapely.LineString(line) for line in chain.from_iterable(lines)]
        named = [
            label for label in piece.labels if label.line is not None and label.text.startswith(("half-way", "mould"))
        ]
        ticks = [shapely.LineString(line_of(label)) for label in named]
        left_off = [text for text in piece.notes if text.startswith("No room on the wood")]
        edges_left = [part.rpartition(": ")[2] for text in left_off for part in text.split("; ")]
        missing = sum(len(names.split(", ")) for names in edges_left)
        assert missing < 3, "a mould is in between"
        assert len(written) == 4 * len(geralds) - missing
        total += len(written)
        for face, gerald in geralds:
            side = 1.0 if gerald.end == "fore" else -1.0
            for name, mark in zip(NAMES, gerald.quarters, strict=True):
                text = f"{name}: {face} {notation.depths_of(mark.at_edge, mark.at_inner_line)}"
                line = shapely.LineString(mark.line)
                others = [one for one in every if not one.equals(line)]
                same = [label for label in written if label.text == text]
                pairs = [(label, way) for label in same for way in ways_to(label, side, line, piece)]
                if left_off and not pairs:
                    assert name in left_off[0]
                    continue
                assert len(pairs) == 1, (piece.name, text)
                ((label, way),) = pairs
                assert not [one for one in (*others, *ticks) if one.intersects(way)], (piece.name, text)
                assert is_on_the_side(label, side, line), (piece.name, text)
    assert total >= 8


@pytest.mark.parametrize(
    "strakes",
    [
        lambda: strakes_of(dinghy),
        measured_plank,
        *more(
            lambda: strakes_of(lambda: read_hull(HULLS / "dinghy.toml")),
            lambda: strakes_of(double_ender),
            lambda: strakes_of(faering),
        ),
    ],
)
def test_where_a_gerald_starts_is_written_at_its_line_or_led_to_it(strakes: Callable[[], list[Strake]]) -> None:
    for piece, _, edges in strakes():
        geralds = [gerald for edge, _ in edges for gerald in edge.geralds]
        written = [label for label in piece.labels if label.text.startswith("gerald starts")]
        assert len(written) == len(geralds)
        for gerald in geralds:
            line = shapely.LineString(gerald.start)
            assert any(ways_to(label, side, line, piece) for label in written for side in (1.0, -1.0)), piece.name


@pytest.mark.parametrize("file", ["faering", *more("dinghy")])
def test_where_a_gerald_starts_is_not_read_together_with_the_figures_of_its_first_quarter(file: str) -> None:
    for piece, _, _ in strakes_of(lambda: read_hull(HULLS / f"{file}.toml")):
        depths = [label for label in piece.labels if label.text.startswith("1/4: ")]
        for label in (one for one in piece.labels if one.text == "gerald starts"):
            (x0, y0), (x1, y1), *_ = label_box(label, text_width)
            row = shapely.LineString([(x0, y0), (x1, y1)])
            for other in depths:
                at = shapely.Polygon(label_box(other, text_width))
                assert at.distance(row) > 5.0 or abs(at.centroid.y - (y0 + y1) / 2) > 4.0, piece.name


def is_on_the_side(label: Label, side: float, line: shapely.LineString) -> bool:
    """Whether a label's near end is aft (side +1) or forward (-1) of a line, which is run on past its ends."""
    (x0, y0), (x1, y1) = line.coords
    end = near_end(label, side)
    at = x0 + (end.y - y0) * (x1 - x0) / (y1 - y0)
    return bool(side * (end.x - at) > 0.0)


@pytest.mark.parametrize("path", [HULLS / "double_ender.toml", *more(DATA / "american_cruising_canoe.toml")])
def test_of_every_line_across_a_gerald_the_depths_stand_on_the_strake_or_its_notes_say_that_they_do_not(
    path: Path,
) -> None:
    boat, count = boat_of(read_hull(path)), 0
    for strake, piece in zip(boat.strakes, strake_pieces(boat), strict=True):
        ((note,),) = ([text for text in piece.notes if text.startswith("No room on the wood")] or [""],)
        for edge, face, which in ((upper_edge(strake), "off", "upper"), (lower_edge(strake), "inside off", "lower")):
            for gerald in edge.geralds if edge is not None else ():
                whose = f"gerald {gerald.end}, {which} edge"
                labels = [label.text for label in piece.labels if label.listed == whose]
                left_off = note.partition(f"{whose}: ")[2].partition(";")[0].rstrip(".").split(", ")
                for name in NAMES:
                    assert any(text.startswith(f"{name}: {face} ") for text in labels) != (name in left_off)
                    count += name in left_off
    assert count > 0, "the canoe's strakes are too narrow for all, and on the double-ender a mould is in between"
