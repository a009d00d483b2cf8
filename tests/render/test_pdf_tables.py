"""Tables, notes and check distances as they are printed."""

import io
import itertools
import re
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest

from templates_gen.drawing.piece import Folio, Path, Piece, Role, Table
from templates_gen.paper.ink import ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.tiling import check_distances, span_checks
from templates_gen.render.pdf.content import PENS
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.table import blocks_of
from templates_gen.render.pdf.text import PITCH, Line, columns, depth, item, names_text, paragraph
from templates_gen.render.pdf.writing import Header, write_pdf
from templates_gen.units import format_length


def pages(*tables: Table, pieces: tuple[Piece, ...] = ()) -> list[str]:
    """Return the text of each page of a file."""
    stream = io.BytesIO()
    write_pdf(Folio("bevels", "Bevels", pieces, tables), stream, sheet("a4"), Header("Reedling", "0a1b2c3d"))
    document = pypdfium2.PdfDocument(stream.getvalue())
    return [page.get_textpage().get_text_bounded() for page in document]


def table(rows: int, columns: int = 3, notes: tuple[str, ...] = ("Last note.",)) -> Table:
    """Return a table in which every cell is different."""
    headings = tuple(f"head{k}" for k in range(columns))
    return Table("Lands", headings, tuple(tuple(f"{r}.{k}" for k in range(columns)) for r in range(rows)), notes)


class Recorded:
    """What is drawn of a table: the heights of its letters' feet and heads, and of its rules, mm."""

    def __init__(self) -> None:
        self.letters: list[tuple[float, float]] = []
        self.rules: list[float] = []

    def text(self, x: float, y: float, text: str, height: float, *_: object) -> None:
        self.letters.append((y, y + height))

    def segments(self, segments: Sequence[tuple[float, float, float, float]], *_: object) -> None:
        self.rules += [y for _, y, _, _ in segments]

    def marked(self, *_: str) -> AbstractContextManager[None]:
        return nullcontext()

    tagged = group = decoration = marked


def test_no_rule_of_a_table_touches_letters_however_close_its_rows_are() -> None:
    closest = set()
    for block in blocks_of(table(12, notes=())):
        found = Recorded()
        block.drawer(0.0, 0.0)(found, {})  # type: ignore[arg-type]
        height = block.setting.height
        for foot, head in found.letters:
            assert not [y for y in found.rules if foot - 0.3 * height < y < head + 0.3 * height]
        closest.add(block.setting.row)
    assert len(closest) > 2


@pytest.mark.parametrize("rows", [0, 1, 40, 41, 42, 43, 44, 45, 46, 47, 48, 49, 50, 200])
def test_every_row_is_printed_once_under_its_headings(rows: int) -> None:
    body = pages(table(rows))[1:]
    words = [word for text in body for word in text.split()]
    for row in range(rows):
        for column in range(3):
            assert words.count(f"{row}.{column}") == 1
    assert " ".join(words).count("Last note.") == 1
    for text in body:
        assert "head0" in text
        assert "head2" in text


def test_no_page_holds_headings_without_rows() -> None:
    for rows in range(38, 52):
        for text in pages(table(rows))[1:]:
            assert any(word.count(".") == 1 and word[0].isdigit() for word in text.split())


def test_a_table_that_would_leave_a_few_rows_overleaf_begins_there_instead() -> None:
    alone = sum("head0" in text for text in pages(table(44))[1:])
    assert alone == 1
    for rows in range(2, 45):
        second = Table("Second", ("row", "cell"), tuple((f"s{row}", "x") for row in range(rows)))
        texts = pages(table(12), second)[1:]
        counts = [len(re.findall(r"\bs\d+", text)) for text in texts]
        assert sum(counts) == rows
        assert [count for count in counts if count] == [rows] or min(filter(None, counts)) >= 5


def test_tables_that_could_each_be_whole_are_where_that_takes_no_more_pages() -> None:
    for rows in range(12, 23):
        several = [Table(f"Table {k}", ("row",), tuple((f"t{k}r{row}",) for row in range(rows))) for k in range(4)]
        for text in pages(*several)[1:]:
            for k in range(4):
                assert len(re.findall(rf"\bt{k}r\d+", text)) in (0, rows)


def test_a_few_rows_too_many_for_a_page_are_taken_on_to_it() -> None:
    usual = int((sheet("a4").drawing.height - 13.0) / (2.0 * 2.5))  # at the usual distance from row to row
    counts = {rows: len(pages(table(rows, notes=()))) - 1 for rows in range(usual, 2 * usual)}
    longest = max(rows for rows, count in counts.items() if count == 1)
    assert usual + 3 <= longest < 1.3 * usual
    assert all(counts[rows] == 1 for rows in range(usual, longest))


def test_a_table_too_wide_for_a_page_repeats_its_first_column() -> None:
    body = pages(table(6, 60))[1:]
    words = [word for text in body for word in text.split()]
    for row in range(6):
        assert words.count(f"{row}.0") >= 2
        for column in range(1, 60):
            assert words.count(f"{row}.{column}") == 1


def test_figures_stand_to_the_right_and_words_to_the_left_whatever_their_letters() -> None:
    stream = io.BytesIO()
    rows = (("1.5", "short", "7"), ("-120.25", "a longer word", "2046"))
    some = Table("Lands", ("bevel", "where", "station"), rows, word_columns=(1, 2))
    write_pdf(Folio("bevels", "Bevels", (), (some,)), stream, sheet("a4"), Header("Reedling", "0a1b2c3d"))
    text = pypdfium2.PdfDocument(stream.getvalue())[1].get_textpage()

    def edges(word: str) -> tuple[float, float]:
        index, count = text.search(word).get_next()
        boxes = [text.get_charbox(k, loose=True) for k in range(index, index + count)]
        return boxes[0][0], boxes[-1][2]

    assert edges("1.5")[1] == pytest.approx(edges("-120.25")[1], abs=0.1)
    assert edges("short")[0] == pytest.approx(edges("a longer word")[0], abs=0.1)
    assert edges("7")[0] == pytest.approx(edges("2046")[0], abs=0.1)


def long_piece(notes: tuple[str, ...]) -> Piece:
    """Return a piece of several sheets."""
    outline = np.array([[0.0, 0.0], [900.0, 0.0], [900.0, 130.0], [0.0, 130.0]])
    return Piece("strake 1", "strakes", ("Strake 1",), (Path(outline, Role.CUT, True),), notes=notes)


@pytest.mark.parametrize("count", [1, 20, 120])
def test_notes_of_a_piece_are_all_printed(count: int) -> None:
    notes = tuple(f"Note number {k} of the piece, which goes on for a while." for k in range(count))
    text = " ".join(" ".join(pages(pieces=(long_piece(notes),))).split())
    for note in notes:
        assert text.count(note) == 1


def test_check_distances_are_printed_in_the_builders_units() -> None:
    checks = check_distances(tiling(ink_of(long_piece(()), text_width), sheet("a4")))
    text = " ".join(" ".join(pages(pieces=(long_piece(()),))).split())
    for check in checks:
        assert f"{check.first.number} to {check.second.number}: {format_length(check.distance, 'mm')} mm" in text


def test_a_long_piece_with_a_datum_is_to_be_laid_by_it_and_others_are_not() -> None:
    plain = long_piece(())
    datum = replace(plain, paths=(*plain.paths, Path(np.array([[0.0, 60.0], [900.0, 60.0]]), Role.DATUM)))
    with_datum, without = (" ".join(" ".join(pages(pieces=(one,))).split()) for one in (datum, plain))
    assert "lay the datum line of each sheet on the line" in with_datum
    assert "datum line of each sheet" not in without


def test_a_row_of_metres_gives_its_distances_metre_by_metre() -> None:
    outline = np.array([[0.0, 0.0], [3600.0, 0.0], [3600.0, 130.0], [0.0, 130.0]])
    piece = Piece("strake 2", "strakes", ("Strake 2",), (Path(outline, Role.CUT, True),))
    text = " ".join(" ".join(pages(pieces=(piece,))).split())
    spans = span_checks(tiling(ink_of(piece, text_width), sheet("a4")))
    assert len(spans) >= 3
    for check in (check for span in spans for check in span):
        assert f"{check.first.number} to {check.second.number}: {format_length(check.distance, 'mm')} mm" in text


def test_names_that_begin_alike_are_written_once() -> None:
    assert (
        names_text(["land 1 station 1", "land 1 station 2", "land 2 station 1"])
        == "land 1 station 1, 2; land 2 station 1"
    )
    assert names_text(["transom"]) == "transom"
    assert names_text(["stem fore", "stem aft"]) == "stem fore, aft"


def test_every_role_has_a_pen_of_its_own_in_the_series_of_widths() -> None:
    assert set(PENS) == set(Role)
    assert len(set(PENS.values())) == len(Role)
    # ISO 128-2: 0.13 0.18 0.25 0.35 0.5 0.7 1 mm.
    assert {pen.width for pen in PENS.values()} <= {0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0}


@pytest.mark.parametrize("rows", range(40, 60))
def test_the_last_page_of_a_long_table_holds_three_rows_or_more(rows: int) -> None:
    last = pages(table(rows, notes=()))[-1]
    assert len(re.findall(r"\b\d+\.0\b", last)) >= 3


def test_a_form_leaves_room_to_write() -> None:
    # 8 mm from line to line is wide ruling, as in school books (common practice).
    plain, form = (replace(table(20, notes=()), is_form=is_form) for is_form in (False, True))
    steps = []
    for one in (plain, form):
        stream = io.BytesIO()
        write_pdf(Folio("bevels", "Bevels", (), (one,)), stream, sheet("a4"), Header("Reedling", "0a1b2c3d"))
        text = pypdfium2.PdfDocument(stream.getvalue())[1].get_textpage()
        upper, lower = (text.get_charbox(text.search(cell).get_next()[0])[1] for cell in ("11.0", "12.0"))
        steps.append((upper - lower) * 25.4 / 72.0)
    assert steps[1] >= 8.0 > steps[0]


@pytest.mark.parametrize("together", [2, 3, 4])
@pytest.mark.parametrize("rows", [40, 47, 60, 122, 130])
def test_rows_about_one_thing_stay_on_one_sheet(together: int, rows: int) -> None:
    whole = rows - rows % together
    body = pages(replace(table(7), title="First"), replace(table(whole), rows_together=together))[1:]
    for text in body:
        # the second table's cells: those of the first are the same words, on the first page only
        found = {int(word.partition(".")[0]) for word in text.split() if re.fullmatch(r"\d+\.1", word)}
        for number in found:
            group = set(range(number - number % together, number - number % together + together))
            assert group <= found or number < 7
    numbers = [word for text in body for word in text.split() if re.fullmatch(r"\d+\.1", word)]
    assert len(numbers) == whole + 7


def test_a_paragraph_stays_whole_and_a_heading_with_what_follows() -> None:
    lines: list[Line] = []
    for number in range(12):
        lines += paragraph(f"strake {number}", 80.0, 3.0, above=3.0)
        lines += item(f"warning {number} " + "bend it with steam or hot water, or use thinner stock " * 4, 80.0)
    most = 0
    for room in np.arange(45.0, 130.0, 3.7).tolist():
        parts = columns(lines, itertools.repeat(room))
        assert [line for part in parts for line in part] == lines
        assert all(part[0].text.startswith("strake") for part in parts)
        assert all(depth(part) <= room + 1e-9 for part in parts)
        most = max(most, len(parts))
    assert most > 6


def test_a_paragraph_deeper_than_any_column_is_broken() -> None:
    lines = paragraph("word " * 400, 60.0)
    parts = columns(lines, itertools.repeat(30.0))
    assert [line for part in parts for line in part] == lines
    assert all(len(part) <= 30.0 / (PITCH * 2.5) for part in parts)


def test_a_column_without_anything_in_it_is_left_out_but_of_a_form() -> None:
    some = Table("Keel", ("place", "seat", "Remark"), (("1", "2.5", ""), ("2", "3.5", "")))
    assert "Remark" not in " ".join(pages(some))
    assert "Remark" in " ".join(pages(replace(some, is_form=True)))
    assert "Remark" in " ".join(pages(replace(some, rows=(("1", "2.5", ""), ("2", "3.5", "narrow")))))
