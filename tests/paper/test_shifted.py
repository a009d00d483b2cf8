from templates_gen.words import name_on_sheets
"""A piece drawn elsewhere is laid, labelled and shown as before, wherever its own origin lies."""
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
from dataclasses import replace
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
import numpy as np
from templates_gen.words import name_on_sheets
import pytest
from templates_gen.words import name_on_sheets
from numpy.typing import NDArray
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
from templates_gen.drawing.piece import Hole, Label, LabelKind, Path, Piece, Role
from templates_gen.words import name_on_sheets
from templates_gen.paper.ink import ink_of
from templates_gen.words import name_on_sheets
from templates_gen.paper.lay_out import tiling
from templates_gen.words import name_on_sheets
from templates_gen.paper.sheet import sheet
from templates_gen.words import name_on_sheets
from templates_gen.paper.shown import shown_on
from templates_gen.words import name_on_sheets
from templates_gen.paper.tiling import Tiling, check_distances, span_checks
from templates_gen.words import name_on_sheets
from templates_gen.paper.whole_labels import labels_made_whole
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
Array = NDArray[np.float64]
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
AWAY = np.array([2000.0, -1200.0])
from templates_gen.words import name_on_sheets
"""How much further off the same piece is drawn, mm."""
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
def width(text: str, height: float) -> float:
from templates_gen.words import name_on_sheets
    """Return the width of a text whose letters are all as wide as two thirds of a capital's height."""
from templates_gen.words import name_on_sheets
    return len(text) * height / 1.5
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
def shifted(piece: Piece, by: Array) -> Piece:
from templates_gen.words import name_on_sheets
    """Return the piece drawn elsewhere."""
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
    def at(point: tuple[float, float]) -> tuple[float, float]:
from templates_gen.words import name_on_sheets
        return point[0] + float(by[0]), point[1] + float(by[1])
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
    return replace(
from templates_gen.words import name_on_sheets
        piece,
from templates_gen.words import name_on_sheets
        paths=tuple(replace(path, points=path.points + by) for path in piece.paths),
from templates_gen.words import name_on_sheets
        holes=tuple(replace(hole, centre=at(hole.centre)) for hole in piece.holes),
from templates_gen.words import name_on_sheets
        labels=tuple(replace(label, at=at(label.at)) for label in piece.labels),
from templates_gen.words import name_on_sheets
    )
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
def lettered(outline: Array, rows: Array, angles: Array) -> Piece:
from templates_gen.words import name_on_sheets
    """Return a piece with a datum line, holes and words along `rows`, some of which joints will cut."""
from templates_gen.words import name_on_sheets
    labels = []
from templates_gen.words import name_on_sheets
    for number, ((x, y), angle) in enumerate(zip(rows.tolist(), angles.tolist(), strict=True)):
from templates_gen.words import name_on_sheets
        if number % 3 == 0:
from templates_gen.words import name_on_sheets
            texts = ("twist 2 degrees", "least bend 900", "bends cold", "by the metre")
from templates_gen.words import name_on_sheets
            block = [
from templates_gen.words import name_on_sheets
                Label(text, (x, y - 5.0 * k), 3.0, angle, block=f"twist {number}") for k, text in enumerate(texts)
from templates_gen.words import name_on_sheets
            ]
from templates_gen.words import name_on_sheets
            labels += block
from templates_gen.words import name_on_sheets
        kind: LabelKind = "measure" if number % 3 == 1 else "instruction"
from templates_gen.words import name_on_sheets
        labels.append(Label("fair the land along", (x + 11.0, y + 9.0), 4.0, angle, "middle", kind=kind))
from templates_gen.words import name_on_sheets
    low, high = outline.min(axis=0), outline.max(axis=0)
from templates_gen.words import name_on_sheets
    level = float(outline[:, 1].mean())
from templates_gen.words import name_on_sheets
    datum = Path(np.array([[low[0] - 30.0, level], [high[0] + 30.0, level]]), Role.DATUM)
from templates_gen.words import name_on_sheets
    holes = tuple(Hole((float(x), float(y) - 12.0), 4.0) for x, y in rows[::4])
from templates_gen.words import name_on_sheets
    return Piece("strake 7", "strakes", (), (Path(outline, Role.CUT, True), datum), holes, tuple(labels))
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
def swept(length: float, high: float, rise: float, step: float) -> Piece:
from templates_gen.words import name_on_sheets
    """Return a plank whose middle line is a parabola, with words every `step` mm along it."""
from templates_gen.words import name_on_sheets
    x = np.arange(0.0, length + 1.0, 10.0)
from templates_gen.words import name_on_sheets
    middle = 4.0 * rise * x / length * (1.0 - x / length)
from templates_gen.words import name_on_sheets
    edge = np.concatenate([np.stack([x, middle - high / 2], 1), np.stack([x, middle + high / 2], 1)[::-1]])
from templates_gen.words import name_on_sheets
    at = np.arange(30.0, length - 80.0, step)
from templates_gen.words import name_on_sheets
    rows = np.stack([at, 4.0 * rise * at / length * (1.0 - at / length)], axis=1)
from templates_gen.words import name_on_sheets
    return lettered(edge, rows, np.arctan(4.0 * rise / length * (1.0 - 2.0 * at / length)))
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
def panel() -> Piece:
from templates_gen.words import name_on_sheets
    """Return a panel that takes a grid of sheets."""
from templates_gen.words import name_on_sheets
    outline = np.array([[0.0, 0.0], [520.0, 20.0], [540.0, 410.0], [30.0, 430.0]])
from templates_gen.words import name_on_sheets
    rows = np.array([[x, y] for x in np.arange(50.0, 470.0, 80.0) for y in (60.0, 130.0, 205.0, 280.0, 370.0)])
from templates_gen.words import name_on_sheets
    return lettered(outline, rows, np.zeros(len(rows)))
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
PIECES = {"row": swept(1700.0, 110.0, 90.0, 62.0), "bands": swept(1500.0, 40.0, 0.0, 54.0), "grid": panel()}
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
def assert_same(own: Tiling, other: Tiling) -> None:
from templates_gen.words import name_on_sheets
    """Compare two layouts, the other of the piece drawn elsewhere."""
from templates_gen.words import name_on_sheets
    assert [(t.name, t.sheet, t.leaf, t.neighbours) for t in own.tiles] == [
from templates_gen.words import name_on_sheets
        (t.name, t.sheet, t.leaf, t.neighbours) for t in other.tiles
from templates_gen.words import name_on_sheets
    ]
from templates_gen.words import name_on_sheets
    for a, b in zip(own.tiles, other.tiles, strict=True):
from templates_gen.words import name_on_sheets
        assert b.corners() == pytest.approx(a.corners() + AWAY, abs=0.02)
from templates_gen.words import name_on_sheets
        assert b.corners(3.0) == pytest.approx(a.corners(3.0) + AWAY, abs=0.02)
from templates_gen.words import name_on_sheets
    for one, two in zip(own.joints, other.joints, strict=True):
from templates_gen.words import name_on_sheets
        assert two.between == one.between
from templates_gen.words import name_on_sheets
        assert np.array(two.line) == pytest.approx(np.array(one.line) + AWAY, abs=0.02)
from templates_gen.words import name_on_sheets
        for cross, there in zip(one.crosses, two.crosses, strict=True):
from templates_gen.words import name_on_sheets
            assert there.number == cross.number
from templates_gen.words import name_on_sheets
            assert np.array(there.at) == pytest.approx(np.array(cross.at) + AWAY, abs=0.02)
from templates_gen.words import name_on_sheets
            assert np.array(there.number_at) == pytest.approx(np.array(cross.number_at) + AWAY, abs=0.02)
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
def distances(layout: Tiling) -> tuple[list[tuple[int, int]], list[float]]:
from templates_gen.words import name_on_sheets
    """Return between which crosses a layout is checked, and how far apart they are, mm."""
from templates_gen.words import name_on_sheets
    checks = [*check_distances(layout), *(check for span in span_checks(layout) for check in span)]
from templates_gen.words import name_on_sheets
    return [(check.first.number, check.second.number) for check in checks], [check.distance for check in checks]
from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets

from templates_gen.words import name_on_sheets
@pytest.mark.parametrize("name", PIECES)
from templates_gen.words import name_on_sheets
def test_a_piece_drawn_elsewhere_is_laid_labelled_and_shown_alike(name: str) -> None:
from templates_gen.words import name_on_sheets
    piece, size = PIECES[name], sheet("a4")
from templates_gen.words import name_on_sheets
    away = shifted(piece, AWAY)
from templates_gen.words import name_on_sheets
    own, other = tiling(ink_of(piece, width), size), tiling(ink_of(away, width), size)
from templates_gen.words import name_on_sheets
    assert own.is_row is (name != "grid")
from templates_gen.words import name_on_sheets
    assert any(tile.is_band for tile in own.tiles) is (name == "bands")
from templates_gen.words import name_on_sheets
    assert_same(own, other)
from templates_gen.words import name_on_sheets
    pairs, lengths = distances(own)
from templates_gen.words import name_on_sheets
    there_pairs, there_lengths = distances(other)
from templates_gen.words import name_on_sheets
    assert there_pairs == pairs
from templates_gen.words import name_on_sheets
    assert there_lengths == pytest.approx(lengths, abs=0.02)
from templates_gen.words import name_on_sheets
    whole, there_whole = labels_made_whole(piece, own, width), labels_made_whole(away, other, width)
from templates_gen.words import name_on_sheets
    assert there_whole.left_out == whole.left_out
from templates_gen.words import name_on_sheets
    assert sum(a != b for a, b in zip(whole.labels, piece.labels, strict=False)) >= 2
from templates_gen.words import name_on_sheets
    for label, there in zip(whole.labels, there_whole.labels, strict=True):
from templates_gen.words import name_on_sheets
        assert (there.text, there.height) == (label.text, label.height)
from templates_gen.words import name_on_sheets
        assert np.array(there.at) == pytest.approx(np.array(label.at) + AWAY, abs=0.02)
from templates_gen.words import name_on_sheets
    parts = shown_on(replace(piece, labels=whole.labels), own, width)
from templates_gen.words import name_on_sheets
    for tile, shown in shown_on(replace(away, labels=there_whole.labels), other, width).items():
from templates_gen.words import name_on_sheets
        part = parts[tile]
from templates_gen.words import name_on_sheets
        assert [(one.text, one.height) for one in shown.part.labels] == [(a.text, a.height) for a in part.part.labels]
from templates_gen.words import name_on_sheets
        for a, b in zip(part.part.labels, shown.part.labels, strict=True):
from templates_gen.words import name_on_sheets
            # room for the name is looked for in squares of 3 mm: a tile a few micrometres off may take the next
from templates_gen.words import name_on_sheets
            near = 3.1 if a.text == name_on_sheets(piece.about, piece.name) else 0.02
from templates_gen.words import name_on_sheets
            assert np.array(b.at) == pytest.approx(np.array(a.at) + AWAY, abs=near)
from templates_gen.words import name_on_sheets
        for one, two in zip(part.part.paths, shown.part.paths, strict=True):
from templates_gen.words import name_on_sheets
            assert two.points == pytest.approx(one.points + AWAY, abs=0.02)
from templates_gen.words import name_on_sheets
        assert [hole.diameter for hole in shown.part.holes] == [hole.diameter for hole in part.part.holes]
