"""Words of a drawing: plain ASCII, then single strokes, each letter different from every other."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from templates_gen.drawing.piece import Array, Label
from templates_gen.render.dxf.layout import plain_ascii
from templates_gen.render.dxf.stroke_font import GLYPHS, WIDEST, text_strokes, text_width

PRINTABLE = [chr(code) for code in range(33, 127)]


def strokes_of(label: Label) -> list[Array]:
    """Return the strokes of one label."""
    points, counts = text_strokes([label])
    return np.split(points, np.cumsum(counts)[:-1])


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("bevel 5½°", "bevel 5 1/2 deg"),
        ("⅛ in × 2", "1/8 in x 2"),
        ("Łódź, Żuraw", "Lodz, Zuraw"),
        ("Ærøskøbing – Þór", "AEroskobing - Thor"),
        ("t²", "t2"),
        ("1 − 2 → 3…", "1 - 2 -> 3..."),
        ("船 Чайка", "? ?????"),
        ("tab\there\n", "tab here "),
        ("e\u0301", "e"),
    ],
)
def test_other_letters_become_plain_ones(written: str, plain: str) -> None:
    assert plain_ascii(written) == plain


@given(st.text())
def test_any_text_becomes_printable_ascii(text: str) -> None:
    plain = plain_ascii(text)
    assert plain.isascii()
    assert plain.isprintable()


def test_every_printable_letter_has_strokes_and_the_space_has_none() -> None:
    assert list(GLYPHS) == [" ", *PRINTABLE]
    assert len(text_strokes([Label(" ", (0.0, 0.0))])[1]) == 0
    assert all(len(text_strokes([Label(letter, (0.0, 0.0))])[1]) for letter in PRINTABLE)


def test_no_two_letters_look_the_same() -> None:
    sides = {}
    for letter in PRINTABLE:
        strokes = strokes_of(Label(letter, (0.0, 0.0), 24.0))
        pairs = [
            frozenset(map(tuple, stroke[i : i + 2].round(6).tolist()))
            for stroke in strokes
            for i in range(len(stroke) - 1)
        ]
        sides[letter] = frozenset(pairs)
    assert len(set(sides.values())) == len(PRINTABLE)


@pytest.mark.parametrize("letter", PRINTABLE)
def test_no_part_of_a_letter_is_gone_over_twice(letter: str) -> None:
    spots: set[tuple[float, float]] = set()
    for stroke in strokes_of(Label(letter, (0.0, 0.0), 24.0)):
        for start, end in pairwise(stroke):
            assert np.hypot(*(end - start)) > 0
            # spots at odd fractions, so that lines which only meet or cross share none
            for fraction in np.arange(0.5, 60) / 60 + 0.001:
                spot = tuple((start + fraction * (end - start)).round(2).tolist())
                assert spot not in spots
                spots.add(spot)


def test_capitals_and_figures_are_as_high_as_the_label_says_and_stand_on_its_line() -> None:
    for letter in "ABCDEFGHIJKLMNOPRSTUVWXYZ0123456789":
        points, _ = text_strokes([Label(letter, (3.0, 5.0), 12.0)])
        assert points.min(axis=0) == pytest.approx([3.0, 5.0])
        assert points[:, 1].max() == pytest.approx(17.0)


def test_all_letters_stay_within_their_box() -> None:
    for letter in PRINTABLE:
        points, _ = text_strokes([Label(letter, (0.0, 0.0), 6.0)])
        assert points[:, 0].max() == pytest.approx(text_width(letter, 6.0))
        assert points[:, 0].max() <= WIDEST * 6.0
        assert -2.0 <= points[:, 1].min() <= points[:, 1].max() <= 7.0


@pytest.mark.parametrize(("anchor", "left"), [("start", 0.0), ("middle", -0.5), ("end", -1.0)])
def test_a_label_lies_on_its_anchor_and_reads_along_its_angle(anchor: str, left: float) -> None:
    width = text_width("HIH", 4.0)
    points, _ = text_strokes([Label("HIH", (100.0, 50.0), 4.0, np.pi / 2, anchor)])  # type: ignore[arg-type]
    assert points[:, 1].min() == pytest.approx(50.0 + left * width)
    assert points[:, 1].max() == pytest.approx(50.0 + (left + 1) * width)
    assert points[:, 0].min() == pytest.approx(96.0)
    assert points[:, 0].max() == pytest.approx(100.0)


def test_labels_drawn_together_are_as_when_drawn_alone() -> None:
    labels = [
        Label("mould 2", (1.0, 2.0), 3.0, 0.3),
        Label("", (0.0, 0.0)),
        Label("KEEL", (9.0, 9.0), 5.0, 0.0, "end"),
    ]
    together, counts = text_strokes(labels)
    alone = [text_strokes([label]) for label in labels]
    assert together == pytest.approx(np.concatenate([points for points, _ in alone]))
    assert counts.tolist() == np.concatenate([lengths for _, lengths in alone]).tolist()
