"""Bounds of a piece, by hand."""

import numpy as np

from templates_gen.drawing.piece import Hole, Label, Path, Piece, Role, Table

TRIANGLE = Path(np.array([[0.0, 0.0], [30.0, 0.0], [0.0, 40.0]]), Role.CUT, closed=True)


def test_bounds_are_those_of_the_points() -> None:
    piece = Piece("card", "bevels", (), (TRIANGLE,))
    assert piece.bounds() == (0.0, 0.0, 30.0, 40.0)


def test_bounds_reach_round_a_hole_but_not_round_a_label() -> None:
    piece = Piece("card", "bevels", (), (TRIANGLE,), (Hole((28.0, 1.0), 6.0),), (Label("far away", (500.0, 500.0)),))
    assert piece.bounds() == (0.0, -2.0, 31.0, 40.0)


def test_bounds_count_every_path() -> None:
    leader = Path(np.array([[-5.0, 3.0], [10.0, 55.0]]), Role.NOTE)
    assert Piece("card", "bevels", (), (TRIANGLE, leader)).bounds() == (-5.0, 0.0, 30.0, 55.0)


def test_bounds_reach_to_every_side_of_a_hole() -> None:
    around = Piece("card", "bevels", (), (TRIANGLE,), (Hole((10.0, 20.0), 100.0),))
    assert around.bounds() == (-40.0, -30.0, 60.0, 70.0)


def test_defaults_are_the_usual_case() -> None:
    line, label = Path(np.zeros((2, 2)), Role.NOTE), Label("a word", (0.0, 0.0))
    piece, table = Piece("card", "bevels", (), (TRIANGLE,)), Table("title", ("place", "figure"), ())
    assert not line.closed
    assert (label.height, label.angle, label.anchor, label.kind) == (3.0, 0.0, "start", "name")
    assert not label.is_fine_print
    assert not label.has_leader
    assert not piece.is_paper
    assert piece.bounds() == (0.0, 0.0, 30.0, 40.0)  # no holes either
    assert not table.is_form
    assert table.word_columns == (0,)
