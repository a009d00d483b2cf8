"""What is cut before a boat is measured, and what of another thickness of stock: scarfs and gerald blocks as built.

The scarfs are where the drawn boat has them, because blanks are cut and glued already.
"""

from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from typer.testing import CliRunner

from templates_gen.at_boat.as_built import AsBuiltChecked, planked_as_built
from templates_gen.book.book import WorkPlan
from templates_gen.cli import app
from templates_gen.geometry.boat import Boat
from templates_gen.look.work import stages_of_work
from templates_gen.sheets import Cutting
from templates_gen.shop.buying import usual_buying
from templates_gen.shop.order_of_work import order_of_work
from templates_gen.stock.blanks import plan_findings
from templates_gen.stock.plan import PlankingPlan, planking_plan, stock
from templates_gen.templates.folios import Planked
from templates_gen.templates.still_to_make import AsHung, folios_to_make
from templates_gen.units import format_length
from templates_gen.words import piece_name
from tests.flow import boat_of, checked_as_built, gauges_of

Array = NDArray[np.float64]

FAERING = Path(__file__).resolve().parents[2] / "hulls" / "faering.toml"
LEVEL = "above_mark = { fore = 0, 1 = 0, 2 = 0, 4 = 0, 6 = 0, 7 = 0, aft = 0 }\n"
FORWARD = 4.0
"""How far the stem of the boat as built stands forward, mm."""

HUNG = 2


@pytest.fixture(scope="module")
def measured(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two strakes hang on their marks, the first of thicker stock; the stem stands forward of its place."""
    path = tmp_path_factory.mktemp("as_built") / "built.toml"
    ends = f"[end.fore]\nforward = {FORWARD}\n"
    strakes = f"[strake.1]\nthickness = 14.5\n{LEVEL}[strake.2]\n{LEVEL}"
    path.write_text(f'format = 1\nunits = "mm"\nstock = 14.5\n{ends}{strakes}', encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def built(measured: Path) -> AsBuiltChecked:
    return checked_as_built(FAERING, measured)


def boat_in(result: AsBuiltChecked) -> Boat:
    assert result.boat is not None
    return result.boat


def drawn_plan(result: AsBuiltChecked) -> PlankingPlan:
    """What `make` and `book` of the hull file alone are scarfed by."""
    return planking_plan(boat_of(result.hull))


def to_after_end(plan: PlankingPlan) -> list[float]:
    """Return how far each scarf's middle is from the after end of its strake along the middle line, mm."""
    every = zip(plan.planks, plan.joints, strict=True)
    return [
        float(np.linalg.norm(np.diff(plank.lines["middle"], axis=0), axis=1).sum()) - joint.middle
        for plank, joints in every
        for joint in joints
    ]


def test_scarfs_are_as_far_from_the_end_that_stands_as_in_the_drawn_boat(built: AsBuiltChecked) -> None:
    drawn, plan = drawn_plan(built), planked_as_built(built, Cutting()).plan
    assert [len(joints) for joints in plan.joints] == [len(joints) for joints in drawn.joints] == [1, 1, 1, 1]
    # the stem is 1 to 3.5 m away: there the planks lead to it with another slope, and are a trifle longer for it
    assert to_after_end(plan) == pytest.approx(to_after_end(drawn), abs=1.5)
    longer = [b.length - a.length for a, b in zip(drawn.planks, plan.planks, strict=True)]
    assert min(longer) > 0.75 * FORWARD  # it is not that nothing has changed


def test_scarfs_of_hung_strakes_keep_their_length_and_others_the_slope_in_the_stock_as_measured(
    built: AsBuiltChecked,
) -> None:
    lengths = [joint.length for joints in planked_as_built(built, Cutting()).plan.joints for joint in joints]
    assert lengths == pytest.approx([6.0 * 14.0, 6.0 * 14.0, 6.0 * 14.5, 6.0 * 14.5])


def test_the_pattern_the_book_and_the_page_have_the_scarfs_of_the_drawn_boat(
    built: AsBuiltChecked, measured: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """None is more than the stem's shift from where the drawn boat's sheets have it, a few mm in metres."""
    drawn, planked, boat = drawn_plan(built), planked_as_built(built, Cutting()), boat_in(built)
    books: list[WorkPlan] = []

    def book_pdf(*given: object) -> bytes:
        books.extend(one for one in given if isinstance(one, WorkPlan))
        return b"%PDF-1.7"

    monkeypatch.setattr("templates_gen.book.book.book_pdf", book_pdf)
    monkeypatch.setattr("templates_gen.pipeline.check_as_built", lambda *_: built)
    out = ["--as-built", str(measured), "--out", str(tmp_path / "book")]
    assert CliRunner().invoke(app, ["book", str(FAERING), *out]).exit_code == 0
    (book,) = books
    assert book.plan.joints == planked.plan.joints
    works = order_of_work(boat, book.plan, book.buying, gauges_of(boat))
    stages = stages_of_work(boat, HUNG, built.measured.drawn)[1:-1]
    for drawn_joints, (joint,), work, stage in zip(drawn.joints, planked.plan.joints, works, stages, strict=True):
        assert joint.middle == pytest.approx(drawn_joints[0].middle + FORWARD, abs=1.5)
        at = format_length(joint.middle, "mm")
        assert at in " ".join(work.steps[0].text)
        assert at in " ".join(stage["steps"][0]["text"])
    folios = folios_to_make([AsHung(planked, built.relined, built.measured.drawn)], "bench", ["strakes"])
    text = str([table.rows for folio in folios for table in folio.tables])
    pieces = [piece for folio in folios for piece in folio.pieces]
    assert {piece.about.number for piece in pieces} == {HUNG + 1, HUNG + 2}
    assert "'scarf 1, short dashes'" in text
    (note,) = [one for table in folios[0].first_tables for one in table.notes if one.startswith("Every scarf stays")]
    assert note.endswith("blanks that are glued fit.")


def test_a_blank_that_is_too_long_now_for_its_board_is_named(built: AsBuiltChecked) -> None:
    # boards that give the longest part of strake 4 as drawn 2 mm to spare, and 4 mm more are needed at the stem
    drawn = boat_of(built.hull)
    whole = max(plank.board(0.0, plank.length)[0] for plank in planking_plan(drawn).planks)
    board = Cutting(stock([f"{whole + 22.5:.1f}x600"]))
    plan = planked_as_built(built, board).plan
    assert not any(planking_plan(drawn, board.stock).joints)
    assert not [one for one in plan_findings(drawn, planking_plan(drawn, board.stock)) if "long where" in one.text]
    (finding,) = [one for one in plan_findings(boat_in(built), plan) if "long where" in one.text]
    assert finding.where is not None
    assert (finding.severity, finding.where.number) == ("warning", 4)


def test_the_gerald_block_of_stock_of_another_thickness_is_made_and_named_alike_everywhere(
    built: AsBuiltChecked,
) -> None:
    boat = boat_in(built)
    half = "7.3"  # half of 14.5 is 7.25; halves are rounded up, as on every sheet
    hung = AsHung(planked_as_built(built, Cutting()), built.relined, built.measured.drawn)
    for only in ((), ("bevels",)):
        (bevels,) = [one for one in folios_to_make([hung], "bench", only) if one.kind == "bevels"]
        (block,) = [piece for piece in bevels.pieces if piece.about.part == "gerald block"]
        assert block.about.which == (7.25,)
        assert block.name == f"gerald block {half}"
        assert any(label.text.startswith(f"GERALD BLOCK, {half} ") for label in block.labels)
    work = order_of_work(boat, hung.planked.plan, usual_buying(hung.planked.plan.stock), gauges_of(boat))[HUNG]
    (step,) = [step for step in work.steps if step.title == "Cut the geralds"]
    assert f"block, {half} mm thick" in " ".join(step.text)
    assert f"gerald block {half}" in [piece_name(about, "mm") for about in step.pieces]


def test_where_the_stock_is_as_drawn_the_drawn_block_serves(built: AsBuiltChecked) -> None:
    boat = boat_of(built.hull)
    hung = AsHung(Planked(boat), built.relined, built.measured.drawn)
    (bevels,) = [one for one in folios_to_make([hung], "bench") if one.kind == "bevels"]
    assert not [piece for piece in bevels.pieces if piece.about.part == "gerald block"]
