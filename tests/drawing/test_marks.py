"""Small marks, worked out by hand."""

import numpy as np
import pytest

from templates_gen.drawing.marks import arrow, block_at, hanging_hole, letters_width, line, stack, text_width, tick
from templates_gen.drawing.piece import Role


def test_a_tick_runs_from_behind_its_place_to_ahead_of_it() -> None:
    mark = tick(np.array([10.0, 20.0]), np.array([0.6, 0.8]), 5.0, 15.0)
    assert mark.points == pytest.approx(np.array([[7.0, 16.0], [19.0, 32.0]]))
    assert mark.role is Role.SCRIBE
    assert not mark.closed


def test_a_line_runs_through_its_points() -> None:
    drawn = line(Role.DATUM, (0.0, 1.0), (2.0, 3.0), (5.0, 8.0))
    assert drawn.points.tolist() == [[0.0, 1.0], [2.0, 3.0], [5.0, 8.0]]
    assert (drawn.role, drawn.closed) == (Role.DATUM, False)


@pytest.mark.parametrize(("start", "end"), [((0.0, 0.0), (30.0, 0.0)), ((5.0, 7.0), (-3.0, 41.0))])
def test_an_arrow_has_two_barbs_of_its_head_s_length_25_degrees_off_the_shaft(
    start: tuple[float, float], end: tuple[float, float]
) -> None:
    for head, mark in ((5.0, arrow(start, end)), (8.0, arrow(start, end, 8.0))):
        tail, tip, first, again, second = mark.points
        assert tail.tolist() == list(start)
        assert tip.tolist() == again.tolist() == list(end)
        shaft, barbs = tail - tip, np.array([first - tip, second - tip])
        assert np.hypot(*barbs.T) == pytest.approx(head)
        cross = (shaft[0] * barbs[:, 1] - shaft[1] * barbs[:, 0]) / (np.hypot(*shaft) * head)
        assert np.sort(cross) == pytest.approx(np.sin(np.radians([-25.0, 25.0])))
        assert (barbs @ shaft > 0.0).all()  # they point back along the shaft
        assert mark.role is Role.NOTE


def test_a_card_hangs_by_a_hole_of_6_mm() -> None:
    hole = hanging_hole(12.0, 34.0)
    assert (hole.centre, hole.diameter) == ((12.0, 34.0), 6.0)


def test_a_block_is_named_by_its_place_to_a_hundredth() -> None:
    assert block_at((1.0, 2.345678)) == "1.00 2.35"


def test_lines_of_a_block_stand_one_and_three_quarter_capitals_apart() -> None:
    labels = stack(["one", "two", "three"], (10.0, 50.0), 4.0)
    assert [label.at for label in labels] == [(10.0, 50.0), (10.0, 43.0), (10.0, 36.0)]
    assert [label.height for label in labels] == [4.0, 4.0, 4.0]
    assert [label.kind for label in labels] == ["name", "instruction", "instruction"]
    assert {label.block for label in labels} == {"10.00 50.00"}
    assert [label.on_mirror for label in labels] == [None, None, None]


def test_the_first_line_of_a_block_may_be_taller_and_the_mirror_image_has_its_own_words() -> None:
    labels = stack(["one", "two"], (0.0, 0.0), first_height=6.0, on_mirror=["eins", "zwei"])
    assert [label.height for label in labels] == [6.0, 3.0]
    assert [label.at[1] for label in labels] == [0.0, -5.25]
    assert [label.on_mirror for label in labels] == ["eins", "zwei"]


def test_text_is_laid_out_wider_than_the_font_runs_by_a_quarter_or_so() -> None:
    # Against the font's own advance widths over the sentences of a typical sheet.
    sentences = "Hold the gauge square to the land. Plane to the line. Cut one and its mirror image at station"
    assert text_width("a" * 10, 3.0) == pytest.approx(2.0 * text_width("a" * 5, 3.0)) == text_width("b" * 10, 3.0)
    assert text_width(sentences, 6.0) == pytest.approx(2.0 * text_width(sentences, 3.0))
    assert 1.1 <= text_width(sentences, 3.0) / letters_width(sentences, 3.0) <= 1.3
