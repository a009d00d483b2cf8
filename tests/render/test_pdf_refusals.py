"""What cannot be drawn true is refused, with the piece and what is wrong; nothing is written."""

import io
import math
from pathlib import Path as FilePath

import numpy as np
import pytest

from templates_gen.drawing.piece import Folio, Hole, Label, Path, Piece, Role, Table
from templates_gen.errors import DrawingError
from templates_gen.paper.sheet import sheet
from templates_gen.render.pdf.writing import Header, write_pdf

SQUARE = np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 50.0], [0.0, 50.0]])
CUT = Path(SQUARE, Role.CUT, closed=True)
HEADER = Header("Reedling", "0a1b2c3d")


def with_point(x: float, y: float) -> Path:
    """Return the square with one corner elsewhere."""
    points = SQUARE.copy()
    points[2] = x, y
    return Path(points, Role.CUT, closed=True)


def refusal(piece: Piece | None = None, header: Header = HEADER, table: Table | None = None) -> str:
    """Return the message with which a folio of one piece and perhaps a table is refused; nothing may be written."""
    stream = io.BytesIO()
    whole = Folio("moulds", "Moulds", (piece or Piece("mould 2", "moulds", (), (CUT,)),), (table,) if table else ())
    with pytest.raises(DrawingError) as raised:
        write_pdf(whole, stream, sheet("a4"), header)
    assert stream.getvalue() == b""
    return str(raised.value)


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf, 1e9])
def test_a_point_that_is_not_finite_or_absurd_is_refused(bad: float) -> None:
    message = refusal(Piece("mould 2", "moulds", (), (CUT, with_point(bad, 3.0))))
    assert message.startswith("mould 2: ")
    assert f"({bad:g}, 3)" in message


def test_an_open_outline_is_refused() -> None:
    message = refusal(Piece("mould 2", "moulds", (), (Path(SQUARE, Role.CUT),)))
    assert message == "mould 2: an outline to be cut is open; it must be closed"


def test_a_single_point_and_an_empty_piece_are_refused() -> None:
    assert "two points" in refusal(Piece("mould 2", "moulds", (), (Path(SQUARE[:1], Role.NOTE),)))
    assert "nothing to draw" in refusal(Piece("mould 2", "moulds", (), ()))


def test_holes_and_labels_that_cannot_be_are_refused() -> None:
    assert "hole" in refusal(Piece("mould 2", "moulds", (), (CUT,), (Hole((math.nan, 0.0), 6.0),)))
    assert "hole" in refusal(Piece("mould 2", "moulds", (), (CUT,), (Hole((0.0, 0.0), 0.0),)))
    assert "label 'x'" in refusal(Piece("mould 2", "moulds", (), (CUT,), (), (Label("x", (0.0, math.inf)),)))
    assert "label 'x'" in refusal(Piece("mould 2", "moulds", (), (CUT,), (), (Label("x", (0.0, 0.0), -1.0),)))


def test_letters_that_the_font_lacks_are_named_with_their_place() -> None:
    message = refusal(header=Header("舟 Reedling", "0a1b2c3d"))
    assert message.startswith('name of the boat: cannot print "舟" (U+821F)')
    assert "edition" in refusal(header=Header("Reedling", "0a1b2c3d", "二"))
    assert "mould 2" in refusal(Piece("mould 2", "moulds", (), (CUT,), (), (Label("舟", (0.0, 0.0)),)))
    assert "caution" in refusal(header=Header("Reedling", "0a1b2c3d", cautions=("舟",)))
    assert 'table "Lands"' in refusal(table=Table("Lands", ("a",), (("舟",),)))
    assert 'table "Lands"' in refusal(table=Table("Lands", ("舟\n2",), (("1",),)))


def test_a_refused_folio_leaves_the_file_that_was_there(tmp_path: FilePath) -> None:
    there = tmp_path / "moulds.pdf"
    there.write_bytes(b"as it was")
    with pytest.raises(DrawingError):
        write_pdf(Folio("moulds", "Moulds", (Piece("m", "moulds", (), ()),)), there, sheet("a4"), HEADER)
    assert there.read_bytes() == b"as it was"


def test_a_folio_is_written_to_a_path(tmp_path: FilePath) -> None:
    records = write_pdf(
        Folio("moulds", "Moulds", (Piece("m", "moulds", (), (CUT,)),)), tmp_path / "moulds.pdf", sheet("a4"), HEADER
    )
    assert [record.piece for record in records] == ["m"]
    assert (tmp_path / "moulds.pdf").read_bytes().startswith(b"%PDF-1.7")


def test_a_folio_of_nothing_but_its_title_is_written() -> None:
    stream = io.BytesIO()
    assert write_pdf(Folio("moulds", "Moulds", ()), stream, sheet("a4"), HEADER) == []
    assert stream.getvalue().startswith(b"%PDF-1.7")
