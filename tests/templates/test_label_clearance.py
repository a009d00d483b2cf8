"""The helper that looks for crowded labels finds them."""

import numpy as np

from templates_gen.drawing.piece import Hole, Label, Path, Piece, Role
from tests.templates.label_clearance import crowded_labels

SQUARE = Path(np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 50.0], [0.0, 50.0]]), Role.CUT, closed=True)


def piece(*labels: Label, holes: tuple[Hole, ...] = ()) -> Piece:
    return Piece("card", "bevels", ("card",), (SQUARE,), holes, labels)


def test_labels_with_room_are_not_crowded() -> None:
    assert crowded_labels(piece(Label("one", (5.0, 5.0)), Label("two", (5.0, 15.0)))) == []


def test_labels_over_one_another_are_found() -> None:
    assert crowded_labels(piece(Label("one", (5.0, 5.0)), Label("two", (5.0, 7.0)))) == ["card: 'one' overlaps 'two'"]


def test_a_label_over_the_closing_side_of_an_outline_is_found() -> None:
    assert crowded_labels(piece(Label("one", (-3.0, 20.0)))) == ["card: 'one' lies over a CUT line"]


def test_a_label_over_a_hole_is_found() -> None:
    assert crowded_labels(piece(Label("one", (5.0, 5.0)), holes=(Hole((8.0, 6.0), 6.0),))) == [
        "card: 'one' lies over a hole line"
    ]
