"""How the errors of taping add up: against closed forms where there are some, and what the datum line is worth."""

import math

import numpy as np
import pytest

from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.geometry.flat_strakes import flat_strake
from templates_gen.paper.ink import ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.tiling import Tiling
from tests.bench.bench_taping import NOTICED, RUNS, USUAL, WAYS, Errors, Outcome, outcome, simulated, spread, taped
from tests.boats import dinghy, double_ender, pram
from tests.flow import shell_of

JOINT_BY_JOINT, STRAIGHTEDGE, AND_TAPE = WAYS
LENGTH = 3600.0
LIKELY = 0.07
"""Of a spread found from 2000 runs: 4 times 1/√(2·2000), the standard error of a standard deviation."""


def straight() -> tuple[Tiling, np.ndarray]:
    """Return a straight piece over A4, and its datum line."""
    outline = np.array([[0.0, -60.0], [LENGTH, -60.0], [LENGTH, 60.0], [0.0, 60.0]])
    datum = np.array([[0.0, 0.0], [LENGTH, 0.0]])
    piece = Piece("x", "strakes", (), (Path(outline, Role.CUT, closed=True), Path(datum, Role.DATUM)))
    return tiling(ink_of(piece, lambda text, height: 0.0), sheet("a4")), datum


def of_straight(way: str, errors: Errors = USUAL) -> Outcome:
    """Return what comes of taping up the straight piece."""
    layout, datum = straight()
    return outcome(layout, datum[1], taped(layout, datum, way, errors=errors))


@pytest.mark.parametrize("way", WAYS)
def test_without_errors_everything_falls_into_place(way: str) -> None:
    result = of_straight(way, Errors(0.0, 0.0))
    for miss in (result.along, result.across, result.bow, result.over_all, result.in_spans):
        assert np.abs(miss).max() < 1e-6


def test_joint_by_joint_errors_add_up_by_the_root_of_their_number() -> None:
    # n joints of e each, at random: e·√n lengthwise. Sideways each joint's turn acts over what is left of the length:
    # √(n·e² + turn²·Σ(L − x)²) (independent small errors; derived here).
    layout, _ = straight()
    result = of_straight(JOINT_BY_JOINT)
    count = len(layout.joints)
    left = np.array([LENGTH - np.array(joint.line)[:, 0].mean() for joint in layout.joints])
    assert count >= 12
    assert spread(result.along) == pytest.approx(USUAL.shift * math.sqrt(count), rel=LIKELY)
    sideways = math.sqrt(count * USUAL.shift**2 + USUAL.turn**2 * float((left**2).sum()))
    assert spread(result.across) == pytest.approx(sideways, rel=LIKELY)
    assert len(result.along) == RUNS


def test_laid_to_line_and_tape_the_far_end_is_out_by_one_sheet_only() -> None:
    # The far end is where the last sheet's datum ends: within the same error of the line, whatever their number.
    result = of_straight(AND_TAPE)
    assert spread(result.along) == pytest.approx(USUAL.shift, rel=LIKELY)
    assert spread(result.across) == pytest.approx(USUAL.shift, rel=LIKELY)


def test_a_straightedge_alone_does_not_stop_lengths_from_adding_up() -> None:
    along = spread(of_straight(STRAIGHTEDGE).along)
    assert along > 2.5 * spread(of_straight(AND_TAPE).along)
    assert spread(of_straight(STRAIGHTEDGE).across) == pytest.approx(USUAL.shift, rel=LIKELY)


@pytest.fixture(scope="module", params=[(dinghy, 5), (double_ender, 4), (pram, 6)], ids=["dinghy", "ender", "pram"])
def outcomes(request: pytest.FixtureRequest) -> dict[str, Outcome]:
    """Return what comes of taping up a strake of each boat on A4."""
    build, number = request.param
    return simulated(flat_strake(shell_of(build()), number), "a4")[1]


def test_the_datum_line_keeps_the_far_end_in_its_place(outcomes: dict[str, Outcome]) -> None:
    assert spread(outcomes[JOINT_BY_JOINT].across) > 5.0
    assert spread(outcomes[STRAIGHTEDGE].across) < 1.0
    assert spread(outcomes[AND_TAPE].across) < 1.0
    assert spread(outcomes[AND_TAPE].along) < 1.0
    assert np.quantile(outcomes[AND_TAPE].bow, 0.95) < 2.0


def test_check_distances_show_that_a_length_is_out_but_not_that_the_row_is_bent(outcomes: dict[str, Outcome]) -> None:
    result = outcomes[JOINT_BY_JOINT]
    assert np.corrcoef(np.abs(result.along), result.over_all)[0, 1] > 0.5
    unnoticed = np.maximum(result.over_all, result.in_spans) <= NOTICED
    assert unnoticed.mean() > 0.2
    assert spread(result.along[unnoticed]) < 1.5  # what passes is about long enough
    assert spread(result.across[unnoticed]) > 4.0  # and yet may be bent


def test_sheets_laid_with_care_pass_nineteen_times_in_twenty(outcomes: dict[str, Outcome]) -> None:
    result = outcomes[AND_TAPE]
    assert (np.maximum(result.over_all, result.in_spans) <= NOTICED).mean() > 0.95


def test_a_joint_that_is_far_out_is_noticed() -> None:
    layout, datum = straight()
    result = taped(layout, datum, JOINT_BY_JOINT, errors=Errors(0.0, 0.0))
    result.shifts[:, 7:, 0] += 3.0
    seen = outcome(layout, datum[1], result)
    assert seen.over_all.min() == pytest.approx(3.0, abs=0.1)
    assert seen.in_spans.min() == pytest.approx(3.0, abs=0.1)


def test_the_same_seed_gives_the_same_table() -> None:
    assert (of_straight(AND_TAPE).bow == of_straight(AND_TAPE).bow).all()
