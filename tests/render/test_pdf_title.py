"""What stands in the title block can be read, and all of it is there."""

import pytest

from templates_gen.paper.sheet import sheet
from templates_gen.render.pdf.frame import LEAST, RIGHT_CELL, title_lines
from templates_gen.render.pdf.letters import text_width
from templates_gen.templates.folios import rebate_pieces
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.transom.pieces import transom_pieces
from tests.boats import dinghy, double_ender, pram
from tests.flow import boat_of
from tests.templates.drawn import strake_pieces

WIDTH = sheet("a4").title.width - RIGHT_CELL - 4.0


@pytest.mark.parametrize("hull", [dinghy, double_ender, pram])
def test_every_title_is_whole_in_letters_that_can_be_read(hull) -> None:  # type: ignore[no-untyped-def]
    boat = boat_of(hull())
    pieces = (*mould_pieces(boat), *transom_pieces(boat), *rebate_pieces(boat), *strake_pieces(boat))
    for piece in pieces:
        lines, height, pitch = title_lines(piece.title, WIDTH)
        assert height >= LEAST, piece.title
        assert pitch >= 1.4 * height  # ISO 3098-1: the least from line to line, as the program's text quotes it
        assert pitch * (len(lines) - 1) + height <= 12.0
        assert max(text_width(line, height) for line in lines) <= WIDTH
        written = " ".join(lines)
        assert all(text.split()[-1] in written for text in piece.title)
        assert sum(map(len, lines)) >= sum(map(len, piece.title)) - len(lines)


def test_parts_share_a_line_only_where_each_cannot_have_its_own() -> None:
    few, many = ("Mould 1", "AFT face"), tuple(f"part {k}" for k in range(9))
    assert title_lines(few, WIDTH)[0] == list(few)
    assert title_lines(few, WIDTH)[1] == 2.5
    assert len(title_lines(many, WIDTH)[0]) < 5


def test_a_title_too_long_for_any_such_letters_is_set_smaller_and_not_cut_off() -> None:
    lines, height, _ = title_lines(("name " * 150,), WIDTH)
    assert height < LEAST
    assert " ".join(lines).count("name") == 150
