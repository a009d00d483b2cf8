"""No joint cuts a word on any sheet of any boat: every label is whole on a sheet, or listed as left off.

None stands on a joint's line, either, but a few figures that are true at their place only.
"""

from collections import Counter
from dataclasses import replace

import pytest
import shapely

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Piece
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.strake_marks import ticks_of
from templates_gen.paper.ink import for_laying_out, ink_corners, ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.packing import is_small
from templates_gen.paper.sheet import sheet
from templates_gen.paper.shown import shown_on
from templates_gen.paper.tiling import Tiling
from templates_gen.paper.whole_labels import WholeLabels, labels_made_whole
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.template_pages import small
from templates_gen.templates.folios import rebate_pieces
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.transom.pieces import transom_pieces
from templates_gen.words import on_sheet
from tests.boats import dinghy, double_ender, faering, pram
from tests.flow import boat_of, kept_of_boat
from tests.sweep import more
from tests.templates.drawn import strake_pieces


def is_large(piece: Piece) -> bool:
    return not is_small(small(piece, ink_corners(piece, text_width)).box, sheet("a4"))


@kept_of_boat
def laid_out(boat: Boat) -> tuple[tuple[Piece, Tiling, WholeLabels], ...]:
    """Return every large piece of a boat on sheets of A4, with its labels as they stand there."""
    drawn = (*mould_pieces(boat), *transom_pieces(boat), *rebate_pieces(boat), *strake_pieces(boat))
    found = []
    for piece in (one for one in map(for_laying_out, drawn) if is_large(one)):
        layout = tiling(ink_of(piece, text_width), sheet("a4"))
        found.append((piece, layout, labels_made_whole(piece, layout, text_width)))
    return tuple(found)


def check_the_list(piece: Piece, made: WholeLabels) -> int:
    """Check that what does not stand on the sheets is listed with whose it is, and nothing else; return how much."""
    kept = Counter(label.text for label in made.labels)
    missing = []
    for label in piece.labels:
        if kept[label.text]:
            kept[label.text] -= 1
        else:
            missing.append(label)
            kept[label.short] -= kept[label.short] > 0
    assert not +kept
    others = {label.text for label in made.labels if label.kind != "measure"}
    new = {label.block for label in missing if label.text not in others}
    missing = [label for label in missing if label.text not in others or (label.block and label.block in new)]
    for label in missing:
        assert any(label.text in text and text.startswith(label.listed) for text in made.left_out)
    owners = {label.listed for label in missing}
    words = sum(len(text.split()) for text in (*(label.text for label in missing), *owners))
    assert sum(len(text.split()) for text in made.left_out) == words
    return len(missing)


@pytest.mark.parametrize("hull", [dinghy, *more(double_ender, pram, faering)])
def test_every_mould_s_line_has_its_name_on_every_strake(hull) -> None:  # type: ignore[no-untyped-def]
    boat = boat_of(hull())
    strakes = [(piece, made) for piece, _, made in laid_out(boat) if piece.kind == "strakes"]
    for strake, (piece, made) in zip(boat.strakes, strakes, strict=True):
        boxes = [shapely.Polygon(box) for box in label_boxes(made.labels, text_width)]
        for tick in ticks_of(strake):
            name, line = on_sheet(tick.place), shapely.LineString([tick.lower, tick.upper])
            own = [box for label, box in zip(made.labels, boxes, strict=True) if label.text.split(" at ")[0] == name]
            ends = [shapely.Point(leader.points[1]) for leader in made.leaders]
            is_led = bool(own) and any(end.distance(line) < 0.1 for end in ends)
            assert is_led or any(box.distance(line) < 6.0 for box in own), (piece.name, name)


@pytest.mark.parametrize("hull", [dinghy, *more(double_ender, pram, faering)])
def test_no_word_is_cut(hull) -> None:  # type: ignore[no-untyped-def]
    boat = boat_of(hull())
    written = left_out = on_joints = 0
    for piece, layout, made in laid_out(boat):
        shown = shown_on(replace(piece, labels=made.labels), layout, text_width)
        areas = [shapely.Polygon(tile.corners()).buffer(1e-6) for tile in layout.tiles]
        seams = [
            shapely.MultiLineString([joint.line for joint in layout.joints if tile.name in joint.between])
            for tile in layout.tiles
        ]
        for label, corners in zip(made.labels, label_boxes(made.labels, text_width), strict=True):
            box = shapely.Polygon(corners)
            assert any(area.covers(box) for area in areas)
            if all(seam.intersects(box) or not area.covers(box) for seam, area in zip(seams, areas, strict=True)):
                on_joints += 1
                assert label.kind == "measure" or label.has_leader
        name = piece.name_in_print.upper()
        for tile, area in zip(layout.tiles, areas, strict=True):
            part = shown[tile.name].part
            assert any(label.text.upper().startswith(name) for label in part.labels)
            assert all(area.covers(shapely.Polygon(box)) for box in label_boxes(part.labels, text_width))
        left_out += check_the_list(piece, made)
        assert min((label.height for label in made.labels), default=2.0) >= 2.0 - 1e-9
        written += len(made.labels)
    assert written > 500
    assert left_out <= 0.03 * written
    assert on_joints <= 0.005 * written
