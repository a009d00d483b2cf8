"""A piece drawn elsewhere is laid, labelled and shown as before, wherever its own origin lies."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from templates_gen.drawing.piece import Hole, Label, LabelKind, Path, Piece, Role
from templates_gen.paper.ink import ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.shown import shown_on
from templates_gen.paper.tiling import Tiling, check_distances, span_checks
from templates_gen.paper.whole_labels import labels_made_whole

Array = NDArray[np.float64]

AWAY = np.array([2000.0, -1200.0])
"""How much further off the same piece is drawn, mm."""


def width(text: str, height: float) -> float:
    """Return the width of a text whose letters are all as wide as two thirds of a capital's height."""
    return len(text) * height / 1.5


def shifted(piece: Piece, by: Array) -> Piece:
    """Return the piece drawn elsewhere."""

    def at(point: tuple[float, float]) -> tuple[float, float]:
        return point[0] + float(by[0]), point[1] + float(by[1])

    return replace(
        piece,
        paths=tuple(replace(path, points=path.points + by) for path in piece.paths),
        holes=tuple(replace(hole, centre=at(hole.centre)) for hole in piece.holes),
        labels=tuple(replace(label, at=at(label.at)) for label in piece.labels),
    )


def lettered(outline: Array, rows: Array, angles: Array) -> Piece:
    """Return a piece with a datum line, holes and words along `rows`, some of which joints will cut."""
    labels = []
    for number, ((x, y), angle) in enumerate(zip(rows.tolist(), angles.tolist(), strict=True)):
        if number % 3 == 0:
            texts = ("twist 2 degrees", "least bend 900", "bends cold", "by the metre")
            block = [
                Label(text, (x, y - 5.0 * k), 3.0, angle, block=f"twist {number}") for k, text in enumerate(texts)
            ]
            labels += block
        kind: LabelKind = "measure" if number % 3 == 1 else "instruction"
        labels.append(Label("fair the land along", (x + 11.0, y + 9.0), 4.0, angle, "middle", kind=kind))
    low, high = outline.min(axis=0), outline.max(axis=0)
    level = float(outline[:, 1].mean())
    datum = Path(np.array([[low[0] - 30.0, level], [high[0] + 30.0, level]]), Role.DATUM)
    holes = tuple(Hole((float(x), float(y) - 12.0), 4.0) for x, y in rows[::4])
    return Piece("strake 7", "strakes", (), (Path(outline, Role.CUT, True), datum), holes, tuple(labels))


def swept(length: float, high: float, rise: float, step: float) -> Piece:
    """Return a plank whose middle line is a parabola, with words every `step` mm along it."""
    x = np.arange(0.0, length + 1.0, 10.0)
    middle = 4.0 * rise * x / length * (1.0 - x / length)
    edge = np.concatenate([np.stack([x, middle - high / 2], 1), np.stack([x, middle + high / 2], 1)[::-1]])
    at = np.arange(30.0, length - 80.0, step)
    rows = np.stack([at, 4.0 * rise * at / length * (1.0 - at / length)], axis=1)
    return lettered(edge, rows, np.arctan(4.0 * rise / length * (1.0 - 2.0 * at / length)))


def panel() -> Piece:
    """Return a panel that takes a grid of sheets."""
    outline = np.array([[0.0, 0.0], [520.0, 20.0], [540.0, 410.0], [30.0, 430.0]])
    rows = np.array([[x, y] for x in np.arange(50.0, 470.0, 80.0) for y in (60.0, 130.0, 205.0, 280.0, 370.0)])
    return lettered(outline, rows, np.zeros(len(rows)))


PIECES = {"row": swept(1700.0, 110.0, 90.0, 62.0), "bands": swept(1500.0, 40.0, 0.0, 54.0), "grid": panel()}


def assert_same(own: Tiling, other: Tiling) -> None:
    """Compare two layouts, the other of the piece drawn elsewhere."""
    assert [(t.name, t.sheet, t.leaf, t.neighbours) for t in own.tiles] == [
        (t.name, t.sheet, t.leaf, t.neighbours) for t in other.tiles
    ]
    for a, b in zip(own.tiles, other.tiles, strict=True):
        assert b.corners() == pytest.approx(a.corners() + AWAY, abs=0.02)
        assert b.corners(3.0) == pytest.approx(a.corners(3.0) + AWAY, abs=0.02)
    for one, two in zip(own.joints, other.joints, strict=True):
        assert two.between == one.between
        assert np.array(two.line) == pytest.approx(np.array(one.line) + AWAY, abs=0.02)
        for cross, there in zip(one.crosses, two.crosses, strict=True):
            assert there.number == cross.number
            assert np.array(there.at) == pytest.approx(np.array(cross.at) + AWAY, abs=0.02)
            assert np.array(there.number_at) == pytest.approx(np.array(cross.number_at) + AWAY, abs=0.02)


def distances(layout: Tiling) -> tuple[list[tuple[int, int]], list[float]]:
    """Return between which crosses a layout is checked, and how far apart they are, mm."""
    checks = [*check_distances(layout), *(check for span in span_checks(layout) for check in span)]
    return [(check.first.number, check.second.number) for check in checks], [check.distance for check in checks]


@pytest.mark.parametrize("name", PIECES)
def test_a_piece_drawn_elsewhere_is_laid_labelled_and_shown_alike(name: str) -> None:
    piece, size = PIECES[name], sheet("a4")
    away = shifted(piece, AWAY)
    own, other = tiling(ink_of(piece, width), size), tiling(ink_of(away, width), size)
    assert own.is_row is (name != "grid")
    assert any(tile.is_band for tile in own.tiles) is (name == "bands")
    assert_same(own, other)
    pairs, lengths = distances(own)
    there_pairs, there_lengths = distances(other)
    assert there_pairs == pairs
    assert there_lengths == pytest.approx(lengths, abs=0.02)
    whole, there_whole = labels_made_whole(piece, own, width), labels_made_whole(away, other, width)
    assert there_whole.left_out == whole.left_out
    assert sum(a != b for a, b in zip(whole.labels, piece.labels, strict=False)) >= 2
    for label, there in zip(whole.labels, there_whole.labels, strict=True):
        assert (there.text, there.height) == (label.text, label.height)
        assert np.array(there.at) == pytest.approx(np.array(label.at) + AWAY, abs=0.02)
    parts = shown_on(replace(piece, labels=whole.labels), own, width)
    for tile, shown in shown_on(replace(away, labels=there_whole.labels), other, width).items():
        part = parts[tile]
        assert [(one.text, one.height) for one in shown.part.labels] == [(a.text, a.height) for a in part.part.labels]
        for a, b in zip(part.part.labels, shown.part.labels, strict=True):
            # room for the name is looked for in squares of 3 mm: a tile a few micrometres off may take the next
            near = 3.1 if a.text == piece.name.upper() else 0.02
            assert np.array(b.at) == pytest.approx(np.array(a.at) + AWAY, abs=near)
        for one, two in zip(part.part.paths, shown.part.paths, strict=True):
            assert two.points == pytest.approx(one.points + AWAY, abs=0.02)
        assert [hole.diameter for hole in shown.part.holes] == [hole.diameter for hole in part.part.holes]
