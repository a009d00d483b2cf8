"""What is engraved on the pieces that a router cuts: a short name on each, and each figure at its own corner."""

from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely

from templates_gen.about import Hand
from templates_gen.drawing.piece import Kind, Label, Path, Piece, Role
from templates_gen.hull.reader import read_hull
from templates_gen.render.dxf.drawn import DrawnPiece, drawn
from templates_gen.render.dxf.layout import laid_out
from templates_gen.render.dxf.names import as_engraved, block_names, engraved_name, engraved_words, name_rows
from templates_gen.render.dxf.outlines import wood_of
from templates_gen.render.dxf.stroke_font import text_strokes
from templates_gen.stock.parts import piece_parts
from tests.flow import boat_of, folio
from tests.sweep import more
from tests.templates.test_inside_across import with_pieces

HULLS = {path.stem: path for path in sorted(FilePath("hulls").glob("*.toml"))}
KINDS: tuple[Kind, ...] = ("moulds", "bevels", "rebates", "transom", "strakes", "inside")
WITH_TRANSOMS = ("dinghy", "pram")


@cache
def cut_pieces(hull: str, kind: Kind) -> tuple[Piece, ...]:
    """Return the pieces of a kind that a router cuts, as `make` draws them; those inside are put in."""
    boat = with_pieces(hull) if kind == "inside" else boat_of(read_hull(HULLS[hull]))
    return folio(boat, kind, "bench").for_router.pieces


def engraved_lines(piece: DrawnPiece) -> list[shapely.LineString]:
    """Return the strokes engraved on a piece."""
    return [shapely.LineString(line.points) for line in piece.lines if line.pen.layer == "NAME"]


@pytest.mark.parametrize(
    ("hull", "kind"),
    [
        *(("dinghy", kind) for kind in KINDS if kind != "strakes"),
        ("faering", "strakes"),
        *more(*((hull, "strakes") for hull in ("dinghy", "double_ender", "pram"))),
        *more(*((hull, kind) for hull in ("double_ender", "faering", "pram") for kind in KINDS if kind != "strakes")),
    ],
)
def test_every_piece_has_a_name_on_its_wood_and_no_two_have_the_same(hull: str, kind: Kind) -> None:
    pieces = cut_pieces(hull, kind)
    assert bool(pieces) == (kind != "transom" or hull in WITH_TRANSOMS)
    laid = drawn(laid_out(pieces, ("legend",))).pieces if pieces else ()
    for piece, lines in zip(pieces, map(engraved_lines, laid), strict=True):
        assert lines, piece.name
    rows = [name_rows(piece) for piece in pieces if piece.about.part != "set"]
    assert len(set(rows)) == len(rows), sorted(rows)
    assert all(rows)


def test_each_corner_of_the_set_has_its_own_figure_and_both_legs_their_names_next_to_it() -> None:
    cards = [piece for piece in cut_pieces("dinghy", "bevels") if piece.about.part == "set"]
    assert len(cards) == 20
    for card in cards:
        words = [as_engraved(label) for label in engraved_words(card.labels, wood_of(card))]
        nicks = [path.points[0] for path in card.paths if path.role is Role.SCRIBE and len(path.points) == 2]
        (outline,) = [path.points for path in card.paths if path.role is Role.CUT]
        corners = [n for n, at in enumerate(outline) if min(np.hypot(*(nick - at)) for nick in nicks) < 1e-6]
        assert len(corners) == len(card.about.which)
        for name in ("K", "S"):
            assert sum(word.text == name for word in words) == len(corners)
        for n in corners:  # the point before it and the one after it are the ends of the legs at the nick
            keel, sheer = outline[n - 1] - outline[n - 2], outline[(n + 2) % len(outline)] - outline[n + 1]
            bend = np.degrees(np.arccos(keel @ sheer / np.hypot(*keel) / np.hypot(*sheer)))
            figures = [word for word in words if word.text not in ("K", "S")]
            nearest = min(figures, key=lambda word: float(np.hypot(*(np.array(word.at) - outline[n]))))
            assert float(nearest.text) == pytest.approx(bend, abs=0.01)


def test_a_6_and_a_9_that_stand_alone_have_a_stroke_under_them_and_no_other_figure_has() -> None:
    cards = [piece for piece in cut_pieces("dinghy", "bevels") if piece.about.part == "set"]
    for card, piece in zip(cards, drawn(laid_out(cards, ("legend",))).pieces, strict=True):
        words = [as_engraved(label) for label in engraved_words(card.labels, wood_of(card))]
        expected = [word for word in words if word.text in ("6", "9")]
        assert bool(expected) == bool(set(card.about.which) & {6.0, 9.0})
        shift = np.array(piece.corner) - np.floor(card.bounds()[:2])
        every = engraved_lines(piece)
        for word in expected:
            foot = shapely.Point(np.array(word.at) + shift)
            under = [line for line in every if len(line.coords) == 2 and line.distance(foot) < 0.3 * word.height]
            assert under
        _, counts = text_strokes(words, [(0.0, 0.0)] * len(words))
        assert len(every) == len(counts) + len(expected)


def test_a_half_mould_that_serves_for_both_halves_bears_the_half_that_is_drawn() -> None:
    for mould in cut_pieces("dinghy", "moulds"):
        assert mould.facing is not None
        name, face = name_rows(mould)
        assert name == f"{mould.name.upper()} {mould.facing.hand.upper()}"
        assert face == mould.facing.face.upper()


def test_a_net_line_inside_a_rough_outline_has_its_name_to_read() -> None:
    net = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 90.0], [0.0, 90.0]])
    rough = np.array([[-30.0, 0.0], [330.0, 0.0], [330.0, 90.0], [-30.0, 90.0]])
    piece = Piece("strake 2", "strakes", (), (Path(net, Role.CUT, closed=True), Path(rough, Role.ROUGH, closed=True)))
    (only,) = drawn(laid_out([piece], ("legend",))).pieces
    scribed = [line.points for line in only.lines if line.pen.layer == "SCRIBE"]
    named = [word for word in only.words if word.text == "net line"]
    assert len(named) == len(scribed) == 2
    for word, line in zip(named, scribed, strict=True):
        assert shapely.LineString(line).distance(shapely.Point(word.at)) == pytest.approx(1.0, abs=0.01)


def test_a_transoms_gauge_is_engraved_with_all_its_strakes() -> None:
    gauges = [piece for piece in cut_pieces("dinghy", "transom") if piece.about.part == "gauge"]
    strakes: list[int] = []
    for gauge in gauges:
        _, text = name_rows(gauge)
        for run in text.split(", "):
            first, _, last = run.partition("-")
            strakes += range(int(first), int(last or first) + 1)
    assert sorted(strakes) == list(range(1, 10))


@pytest.mark.parametrize("side", ["port", "starboard"])
def test_a_mould_of_one_side_s_boat_is_called_by_the_hand_that_is_drawn(side: Hand) -> None:
    for mould in cut_pieces("dinghy", "moulds"):
        assert mould.facing is not None
        one = replace(mould, about=replace(mould.about, hand=side))
        assert block_names([one])[0].endswith(f"-{mould.facing.hand.upper()}")
        assert name_rows(one)[0].endswith(f" {mould.facing.hand.upper()}")


def test_half_moulds_cut_from_stock_bear_hand_face_and_lands_and_ask_for_no_second_pair() -> None:
    for mould in cut_pieces("dinghy", "moulds"):
        assert any("Make two" in label.text for label in mould.labels)
        parts = piece_parts(mould, 18.0, both_hands=True)
        assert sorted(part.name for part in parts) == [f"{mould.name} port", f"{mould.name} starboard"]
        assert list(block_names([part.piece for part in parts])) == [
            part.name.upper().replace(" ", "-") for part in parts
        ]
        for part in parts:
            name, face = name_rows(part.piece)
            assert mould.facing is not None
            assert (name, face) == (
                part.name.upper(),
                "AFT FACE" if "AFT" in mould.facing.face else "FORWARD FACE",
            )
            assert not any("Make two" in label.text for label in part.piece.labels)
            lands = [label.engraved for label in engraved_words(part.piece.labels, wood_of(part.piece))]
            assert lands == [str(land) for land in range(1, 9)]


def test_a_long_name_stands_in_rows_and_where_a_strip_leans_along_it() -> None:
    box = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 25.0], [0.0, 25.0]])
    rows = ("keel", "2 + 100 to 3")
    upright = Piece("x", "rebates", (), (Path(box, Role.CUT, closed=True),), engraved=rows)
    assert [label.text for label in engraved_name(upright, shapely.Polygon(box), (), ())] == ["KEEL", "2 + 100 TO 3"]
    strip = np.array([[0.0, 0.0], [60.0, 60.0], [53.0, 67.0], [-7.0, 7.0]])
    leaning = Piece("x", "rebates", (), (Path(strip, Role.CUT, closed=True),), engraved=rows)
    (name,) = engraved_name(leaning, shapely.Polygon(strip), (), ())
    assert name.text == "KEEL 2 + 100 TO 3"
    assert name.angle == pytest.approx(np.pi / 4)


def test_a_name_leans_along_the_outer_edge_whatever_openings_there_are() -> None:
    strip = np.array([[0.0, 0.0], [30.0, 30.0], [60.0, 60.0], [53.0, 67.0], [23.0, 37.0], [-7.0, 7.0]])
    leaning = Piece("x", "rebates", (), (Path(strip, Role.CUT, closed=True),), engraved=("keel", "2 + 100 to 3"))
    opening = shapely.box(50.0, 62.0, 51.0, 63.0)  # no straight is as long as the way to it from the first corner
    (name,) = engraved_name(leaning, shapely.Polygon(strip) - opening, (), ())
    assert name.angle == pytest.approx(np.pi / 4)


def test_a_name_keeps_off_what_is_engraved_already() -> None:
    box = np.array([[0.0, 0.0], [60.0, 0.0], [60.0, 30.0], [0.0, 30.0]])
    piece = Piece("x", "rebates", (), (Path(box, Role.CUT, closed=True),), engraved=("keel 2",))
    wood = shapely.Polygon(box)
    (alone,) = engraved_name(piece, wood, (), ())
    taken = Label("9", alone.at, 5.0, engraved="9")
    (moved,) = engraved_name(piece, wood, (), (taken,))
    assert moved.at != alone.at
