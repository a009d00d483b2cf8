"""What labels say of themselves: measures, blocks, and what they say on the mirror image."""

import re
from pathlib import Path

import pytest

from templates_gen.about import About
from templates_gen.drawing.piece import Kind, Label, Piece, PrintSet, Role
from templates_gen.hull.reader import read_hull
from templates_gen.shop import before_planking
from templates_gen.templates.bevels.tables import bevel_tables
from templates_gen.templates.folios import Planked
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.moulds.setting_up import mould_tables
from templates_gen.templates.rebates.tables import rebate_tables
from templates_gen.templates.strakes.tables import strake_tables
from templates_gen.templates.transom.pieces import transom_tables
from tests.flow import boat_of, folio
from tests.sweep import more
from tests.templates.bevel_boats import boat
from tests.templates.drawn import strake_pieces

HULLS = Path(__file__).parents[2] / "hulls"
SETS: tuple[PrintSet, ...] = ("bench", "full")


@pytest.fixture(scope="module")
def strake() -> Piece:
    return strake_pieces(boat("dinghy"))[3]


def with_word(piece: Piece, word: str) -> list[Label]:
    found = [label for label in piece.labels if word in label.text]
    assert found, word
    return found


def test_distances_ordinates_and_depths_are_measures(strake: Piece) -> None:
    for word in ("mould 2 at", "off ", " up "):
        assert {label.kind for label in with_word(strake, word)} == {"measure"}
    assert {label.kind for label in with_word(strake, "KEEL edge")} == {"name"}


def test_what_is_for_a_pattern_of_both_hands_is_left_out_of_a_plank_of_one(strake: Piece) -> None:
    assert {label.on_one_hand for label in with_word(strake, "turn over")} == {""}
    assert {label.on_one_hand for label in with_word(strake, "make one and its mirror")} == {"strake 4"}
    hands = with_word(strake, "PORT, THIS FACE OUT")
    assert {label.on_mirror for label in hands} == {"STARBOARD, THIS FACE OUT"}
    assert not [label for label in strake.labels if "port" in label.text.lower() and label.on_mirror is None]


def test_rows_of_a_block_are_one_block_and_no_two_blocks_are_alike(strake: Piece) -> None:
    for label in with_word(strake, "turn over"):
        block = [one.text for one in strake.labels if one.block == label.block]
        assert block == ["PORT, THIS FACE OUT", "turn over for starboard", "strake 4: make one and its mirror"]


def test_the_mirror_image_of_a_mould_is_the_other_half() -> None:
    for mould in mould_pieces(boat("dinghy")):
        (block,) = {label.block for label in mould.labels if "Drawn as seen" in label.text}
        rows = [label for label in mould.labels if label.block == block]
        drawn, mirrored = (" ".join(texts) for texts in ([r.text for r in rows], [r.on_mirror or "" for r in rows]))
        here, there = ("STARBOARD", "PORT") if "seen from AFT" in drawn else ("PORT", "STARBOARD")
        wanted = drawn.replace(f"{here} half", f"{there} half")
        assert wanted != drawn
        assert " ".join(mirrored.split()) == wanted


@pytest.mark.parametrize("name", ["dinghy", "pram", "double ender"])
def test_a_column_that_is_not_of_words_holds_figures(name: str) -> None:
    drawn = boat(name)
    tables = (
        *mould_tables(drawn),
        *bevel_tables(drawn),
        *rebate_tables(drawn),
        *transom_tables(drawn),
        *strake_tables(drawn),
    )
    for table in tables:
        for column, cells in enumerate(zip(*table.rows, strict=True)):
            if column not in table.word_columns:
                assert all(cell in ("", "–") or cell.strip("+-−")[:1].isdigit() for cell in cells), (
                    table.title,
                    column,
                )


def test_rows_know_which_land_or_strake_they_are_about() -> None:
    tables = [*bevel_tables(boat("dinghy")), *strake_tables(boat("dinghy"))]
    for table in tables:
        assert table.about is not None or len(table.rows_about) == len(table.rows), table.title


@pytest.mark.parametrize(
    ("file", "numbers"),
    [
        ("dinghy", (1, 2, 9)),
        *more(*((path.stem, tuple(range(1, 10))) for path in sorted(HULLS.glob("*.toml")))),
    ],
)
def test_lines_are_called_what_the_key_of_lines_calls_them(file: str, numbers: tuple[int, ...]) -> None:
    """Net line, rough line; what is drawn in short dashes and long ones."""
    made = boat_of(read_hull(HULLS / f"{file}.toml"))
    kinds: list[Kind] = ["moulds", "rebates", "strakes"]
    kinds += ["transom"] if made.transoms else []
    kinds += ["inside"] if made.hull.inside else []
    asked, planked = {About("strake", number) for number in numbers}, Planked(made)
    folios = (
        folio(made, kind, to_print, planked, asked.__contains__ if kind == "strakes" else None)
        for kind in kinds
        for to_print in SETS
    )
    pieces = [piece for one in folios for piece in one.pieces]
    assert sum(piece.kind == "strakes" for piece in pieces) == 2 * min(len(numbers), len(made.strakes))
    texts = [text for piece in pieces for text in (*piece.title, *piece.notes, *(one.text for one in piece.labels))]
    texts += [text for work in before_planking._TRANSOM_WORK.values() for text in work]
    assert any("net line" in text for text in texts)
    other = r"\bfull (out)?line|\bdashed\b|net outline|rough outline"
    assert not [text for text in texts if re.search(other, text, re.I)]
    assert Role.CUT.value.startswith("net line")
    assert Role.ROUGH.value.startswith("rough line")
