"""No joint cuts a word on any sheet of any boat: every label is whole on a sheet, or listed as left off.

None stands on a joint's line, either, but a few figures that are true at their place only.
"""

from dataclasses import replace

import pytest
import shapely

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Piece
from templates_gen.paper.ink import for_laying_out, ink_corners, ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.packing import is_small
from templates_gen.paper.sheet import sheet
from templates_gen.paper.shown import shown_on
from templates_gen.paper.whole_labels import labels_made_whole
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.template_pages import small
from templates_gen.templates.folios import rebate_pieces
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.transom.pieces import transom_pieces
from tests.boats import dinghy, double_ender, faering, pram
from tests.flow import boat_of
from tests.sweep import more
from tests.templates.drawn import strake_pieces


def is_large(piece: Piece) -> bool:
    return not is_small(small(piece, ink_corners(piece, text_width)).box, sheet("a4"))


@pytest.mark.parametrize("hull", [dinghy, double_ender, *more(pram, faering)])
def test_no_word_is_cut(hull) -> None:  # type: ignore[no-untyped-def]
    boat = boat_of(hull())
    drawn = (*mould_pieces(boat), *transom_pieces(boat), *rebate_pieces(boat), *strake_pieces(boat))
    pieces = [piece for piece in map(for_laying_out, drawn) if is_large(piece)]
    written = left_off = on_joints = 0
    for piece in pieces:
        layout = tiling(ink_of(piece, text_width), sheet("a4"))
        made = labels_made_whole(piece, layout, text_width)
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
        for tile, area in zip(layout.tiles, areas, strict=True):
            part = shown[tile.name].part
            assert any(label.text.upper().startswith(piece.name.upper()) for label in part.labels)
            assert all(area.covers(shapely.Polygon(box)) for box in label_boxes(part.labels, text_width))
        words = sum(len(label.text.split()) for label in piece.labels)
        assert sum(len(text.split()) for text in (*(label.text for label in made.labels), *made.left_out)) == words
        assert min((label.height for label in made.labels), default=2.0) >= 2.0 - 1e-9
        written, left_off = written + len(made.labels), left_off + len(made.left_out)
    assert written > 500
    assert left_off <= 0.03 * written
    assert on_joints <= 0.005 * written
