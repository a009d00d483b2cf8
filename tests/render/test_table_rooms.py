"""Tables in the free room of sheets: clear of all that is drawn, on the right piece, in letters as large as fit."""

import io
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import shapely

from templates_gen.about import About
from templates_gen.drawing.piece import Role, Table
from templates_gen.hull.reader import read_hull
from templates_gen.paper.free_room import SheetRoom
from templates_gen.paper.sheet import Rectangle, sheet
from templates_gen.render.pdf.page import Page
from templates_gen.render.pdf.table import Block, blocks_of
from templates_gen.render.pdf.table_rooms import with_tables
from templates_gen.render.pdf.writing import Plan, TileRecord, write_plan
from templates_gen.units import PT_PER_MM
from tests.flow import boat_of, folio
from tests.render.pdf_reading import HEADER

DINGHY = Path(__file__).parents[2] / "hulls" / "dinghy.toml"
NOTHING = np.empty((0, 2))
STRAKE = About("strake", 4)


def ordinates(about: About | None = STRAKE, rows: int = 12, title: str = "Ordinates", is_form: bool = False) -> Table:
    """Return a table of three columns."""
    cells = tuple((f"point {k}", f"{k * 100.5:.1f}", f"up {k}") for k in range(rows))
    return Table(title, ("place", "at\n(mm)", "ordinate"), cells, ("Run a batten.",), is_form, about=about)


def room(
    page: int = 0, about: About = STRAKE, area: Rectangle | None = None, taken: np.ndarray = NOTHING
) -> SheetRoom:
    """Return a free room of 120 by 100 mm, or another."""
    return SheetRoom(page, about, area or Rectangle(20.0, 20.0, 140.0, 120.0), taken)


def pages(count: int) -> list[Page]:
    """Return pages on which nothing is drawn yet."""
    return [Page(sheet("a4"), ("strake",), lambda content, numbers: None) for _ in range(count)]


def placed(*rooms: SheetRoom, tables: tuple[Table, ...]) -> list[tuple[str, ...]]:
    """Return which tables stand on which page."""
    filled, left = with_tables(pages(1 + max(one.page for one in rooms)), rooms, tables)
    assert sum(len(page.inserts) for page in filled) + len(left) == len(tables)
    return [page.inserts for page in filled]


def test_a_table_stands_on_a_sheet_of_its_own_piece() -> None:
    other = room(0, About("strake", 3))
    assert placed(other, room(1), room(2), tables=(ordinates(),)) == [(), ("Ordinates",), ()]
    assert placed(other, tables=(ordinates(),)) == [()]


def test_it_stands_where_the_largest_letters_fit() -> None:
    narrow = room(0, area=Rectangle(20.0, 20.0, 140.0, 70.0))
    assert placed(narrow, tables=(ordinates(),)) == [("Ordinates",)]
    assert placed(narrow, room(1), tables=(ordinates(),)) == [(), ("Ordinates",)]


def test_there_is_no_room_where_something_is_drawn_all_over() -> None:
    x, y = np.meshgrid(np.arange(20.0, 140.0, 8.0), np.arange(20.0, 120.0, 8.0))
    assert placed(room(taken=np.stack([x.ravel(), y.ravel()], 1)), tables=(ordinates(),)) == [()]


def test_two_tables_do_not_stand_in_the_same_place() -> None:
    tall = Rectangle(20.0, 20.0, 100.0, 120.0)
    tables = tuple(ordinates(title=f"Ordinates {k}") for k in range(9))
    filled, left = with_tables(pages(1), [room(area=tall)], tables)
    least = min(block.width * block.height for block in blocks_of(tables[0]))
    assert 1 <= len(filled[0].inserts) <= tall.width * tall.height / least
    assert left


def test_general_tables_stand_on_sheets_only_if_that_saves_every_page_of_tables() -> None:
    general, long = ordinates(None, title="Sizes"), ordinates(None, rows=300, title="Long")
    assert placed(room(), room(1), tables=(ordinates(), general)) == [("Ordinates",), ("Sizes",)]
    assert placed(room(), room(1), tables=(ordinates(), general, long)) == [("Ordinates",), ()]


def test_a_form_keeps_a_page_of_its_own() -> None:
    assert placed(room(), tables=(ordinates(is_form=True),)) == [()]


def test_blocks_hold_every_row_and_shrink_from_large_letters_to_small() -> None:
    blocks: list[Block] = list(blocks_of(ordinates(rows=13)))
    assert all(block.deep * block.count >= 13 > block.deep * (block.count - 1) for block in blocks)
    heights = [block.setting.height for block in blocks]
    assert heights == sorted(heights, reverse=True)
    assert min(heights) >= 1.8  # the smallest of the heights of ISO 3098-1


@cache
def strakes() -> tuple[Plan, pypdfium2.PdfDocument, list[TileRecord]]:
    """Return the dinghy's strakes as planned, printed on A4, and where their parts are."""
    stream = io.BytesIO()
    plan = Plan(folio(boat_of(read_hull(DINGHY)), "strakes", "bench"), sheet("a4"), HEADER, reading=sheet("a4"))
    records = write_plan(plan, stream)
    return plan, pypdfium2.PdfDocument(stream.getvalue()), records


@pytest.mark.parametrize("number", range(1, 10))
def test_the_dinghys_tables_stand_off_the_wood_of_their_own_strakes(number: int) -> None:
    plan, document, records = strakes()
    title = f"Ordinates from the datum line: strake {number}"
    (page,) = [k for k, one in enumerate(plan.pages) if title in one.inserts]
    (record,) = [one for one in records if one.page == page + 1]
    assert record.piece == f"strake {number}"
    piece = next(piece for piece in plan.folio.pieces if piece.name == record.piece)
    wood = shapely.union_all([shapely.Polygon(path.points) for path in piece.paths if path.role is Role.CUT])
    text = document[page].get_textpage()
    for words in (title, "fore corner", "aft corner"):
        begin, count = text.search(words).get_next()
        boxes = [text.get_charbox(index) for index in range(begin, begin + count)]
        corners = np.array([(x, y) for left, low, right, high in boxes for x in (left, right) for y in (low, high)])
        assert not shapely.contains_xy(wood, record.matrix.undo(corners)).any()
        x, y = (corners / PT_PER_MM).T
        clip = record.clip
        assert clip.left < x.min() < x.max() < clip.right
        assert clip.bottom < y.min() < y.max() < clip.top
