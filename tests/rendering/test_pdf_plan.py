"""What a plan says before anything is written: how many sheets, how much of a roll; and the records of tiles."""

import io
import json
from dataclasses import replace

import numpy as np
import pytest

from templates_gen.drawing.piece import Folio
from templates_gen.paper.correction import Correction
from templates_gen.paper.sheet import sheet
from templates_gen.rendering.pdf import Plan, cost_line, tile_record_data, write_pdf, write_plan
from templates_gen.units import PT_PER_MM
from tests.rendering.pdf_reading import HEADER, folio, strake, written


@pytest.mark.parametrize("paper", ["a4", "letter", "a0", "roll 610"])
def test_the_sheets_counted_are_those_written(paper: str) -> None:
    assert Plan(folio(), sheet(paper), HEADER).sheets == len(written(paper).document)


def test_a_plan_is_written_as_planned() -> None:
    stream = io.BytesIO()
    records = write_plan(Plan(folio(), sheet("a4"), HEADER), stream)
    assert stream.getvalue() == written("a4").data
    assert records == written("a4").records


def test_the_length_of_roll_is_that_of_all_pages() -> None:
    for correction in (Correction(), Correction(99.4, 100.3)):
        plan = Plan(folio(), sheet("roll 610"), HEADER, correction)
        document = written("roll 610", correction=correction).document
        sizes = [np.array(page.get_size()) / PT_PER_MM for page in document]
        along = [width if abs(height - 610.0) < 0.01 else height for width, height in sizes]
        assert plan.length == pytest.approx(sum(along), abs=0.1)
    assert Plan(folio(), sheet("a4"), HEADER).length == 0.0


def test_the_cost_line_gives_sheets_by_kind_and_in_all() -> None:
    moulds = Folio("moulds", "Moulds", folio().pieces[1:3])
    plans = [Plan(one, sheet("a4"), HEADER) for one in (moulds, folio())]
    counts = [plan.sheets for plan in plans]
    assert (
        cost_line([plan.cost for plan in plans])
        == f"moulds {counts[0]}, strakes {counts[1]}: {sum(counts)} sheets of a4"
    )
    assert cost_line([Plan(folio(), sheet("roll 610"), HEADER).cost]).endswith(" m of roll 610")


def test_a_record_is_written_with_its_crosses_and_their_places_on_the_piece() -> None:
    records = write_pdf(folio(), io.BytesIO(), sheet("a4"), HEADER)
    data = json.loads(json.dumps([tile_record_data(record, "strakes.pdf") for record in records]))
    assert len(data) == len(records)
    for one, record in zip(data, records, strict=True):
        assert set(one) == {"file", "page", "piece", "matrix", "tile", "clip", "crosses"}
        assert (one["file"], one["page"], one["piece"]) == ("strakes.pdf", record.page, record.piece)
        assert one["matrix"] == pytest.approx(list(record.matrix), abs=1e-8)
        clip = record.clip
        assert one["clip"] == pytest.approx([clip.left, clip.bottom, clip.right, clip.top], abs=1e-4)
        assert [cross["number"] for cross in one["crosses"]] == [cross.number for cross in record.crosses]
        for cross, wanted in zip(one["crosses"], record.crosses, strict=True):
            assert cross["at"] == pytest.approx(wanted.at, abs=1e-4)
    tiles = [one for one in data if one["piece"] == strake().name]
    assert [one["tile"] for one in tiles] == [f"A{k + 1}" for k in range(len(tiles))]
    shared = [cross["number"] for one in tiles for cross in one["crosses"]]
    assert sorted(shared) == sorted(2 * list(range(1, 2 * len(tiles) - 1)))
    assert "-0.0," not in json.dumps(data)


def test_a_long_row_s_notes_stand_under_its_map_without_a_page_of_their_own() -> None:
    notes = tuple(f"note {n}: " + "what a builder should know of this piece, " * 4 for n in range(8))
    counts = []
    for told in ((), notes):
        plan = Plan(Folio("strakes", "strakes", (replace(strake(), notes=told),)), sheet("a4"), HEADER)
        counts.append(plan.sheets)
    assert counts[0] == counts[1]
