"""Fewer sheets: parts lie inside one another, never nearer than the gap, and what cannot be is known beforehand."""

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.stock import nesting
from templates_gen.stock.laying import STEP, profile
from templates_gen.stock.nesting import MOST_EMPTIED, nested
from templates_gen.stock.parts import Part, piece_parts
from templates_gen.stock.plan import stock
from templates_gen.stock.searching import Search, least_width, way
from tests.stock.test_sheets import least_apart, shapes_of
from tests.sweep import more

Array = NDArray[np.float64]

GAP = 8.0


def parts_of(outlines: list[Array], turns: tuple[float, ...] | None = None) -> list[Part]:
    """Return parts of one thickness with these outlines."""
    made = []
    for number, outline in enumerate(outlines):
        piece = Piece(f"part {number}", "moulds", (), (Path(outline, Role.CUT, closed=True),))
        (part,) = piece_parts(piece, 9.0)
        made.append(part if turns is None else Part(part.name, part.piece, 9.0, turns))
    return made


def quarter_ellipse(long: float, high: float) -> Array:
    """Return a half mould's outline: straight at centreline and base, round between them."""
    angle = np.linspace(0.0, np.pi / 2, 40)
    return np.concatenate([[[0.0, 0.0]], np.column_stack([long * np.cos(angle), high * np.sin(angle)])])


def banana(long: float, deep: float, width: float) -> Array:
    """Return a strip of this length and width, bent upwards in the middle by `deep`."""
    x = np.linspace(0.0, long, 81)
    low = deep * (1.0 - (2.0 * x / long - 1.0) ** 2)
    return np.concatenate([np.column_stack([x, low]), np.column_stack([x, low + width])[::-1]])


def is_clear(parts: list[Part], sheet: str, margin: float = 10.0) -> int:
    """Return how many sheets parts take, after a look at each part's place."""
    plan = nested(parts, stock([sheet], margin, GAP))
    assert sum(len(one.laid) for one in plan) == len(parts)
    for one in plan:
        shapes = shapes_of(one)
        assert least_apart(shapes) >= GAP - 1e-6
        inside = shapely.box(
            margin - 1e-6, margin - 1e-6, one.size.length - margin + 1e-6, one.size.width - margin + 1e-6
        )
        assert all(inside.contains(shape) for shape in shapes)
    return len(plan)


def test_half_moulds_lie_back_to_back_where_their_boxes_would_take_two_sheets() -> None:
    outlines = [quarter_ellipse(700.0, 800.0) for _ in range(4)]
    # four boxes of 700 x 800 take 1408 x 1608 or 2824 x 800 with their gaps; three along leave none for the fourth
    assert is_clear(parts_of(outlines), "2440x1220") == 1


def test_bent_strips_lie_inside_one_another() -> None:
    outlines = [banana(2300.0, 300.0, 60.0) for _ in range(10)]
    # each box is 360 mm wide; ten strips in a row one inside the other reach 300 + 10 * 60 + 9 gaps
    assert is_clear(parts_of(outlines, (0.0, np.pi)), "2440x1220") == 1


def test_what_lies_across_the_middle_of_every_sheet_bounds_their_number() -> None:
    """Seven strips longer than half a sheet, 160 mm wide: 7 * 160 + 6 * 8 = 1168 mm fit, one more does not."""
    strip = np.array([[0.0, 0.0], [1500.0, 0.0], [1500.0, 160.0], [0.0, 160.0]])
    assert least_width([profile([strip])], 2420.0) == pytest.approx(160.0)
    assert least_width([profile([strip]), profile([strip[:, ::-1]])], 2420.0) == 0.0  # across, it is short
    assert is_clear(parts_of([strip] * 7, (0.0,)), "2440x1220") == 1
    assert is_clear(parts_of([strip] * 8, (0.0,)), "2440x1220") == 2


def test_a_part_that_tapers_takes_no_more_of_the_middle_than_its_narrow_end() -> None:
    wedge = np.array([[0.0, 0.0], [1600.0, 0.0], [1600.0, 200.0], [0.0, 40.0]])
    # between 390 mm from its narrow end, where it begins to the far right, and 1210 mm from it
    assert least_width([profile([wedge])], 2420.0) == pytest.approx(40.0 + 160.0 * 390.0 / 1600.0, abs=0.5)


@pytest.mark.parametrize("seed", [0, 1, 2, *more(3, 4, 5)])
def test_parts_of_any_shape_stay_apart(seed: int) -> None:
    random = np.random.default_rng(seed)
    outlines = []
    for _ in range(8):
        angle = np.sort(random.uniform(0.0, 2 * np.pi, 9))
        star = random.uniform(0.4, 1.0, 9)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
        outlines.append(star * random.uniform(150.0, 420.0))
    outlines += [quarter_ellipse(*random.uniform(300.0, 700.0, 2)) for _ in range(5)]
    assert is_clear(parts_of(outlines), "2440x1220") <= 2


@pytest.mark.parametrize("seed", [1, 3, *more(0, 2)])
def test_long_parts_lie_across_the_middle_and_no_sheet_holds_more_of_them_than_the_bound(seed: int) -> None:
    random = np.random.default_rng(seed)
    parts = parts_of([banana(*random.uniform((1300.0, 30.0, 60.0), (2300.0, 250.0, 120.0))) for _ in range(14)])
    is_clear(parts, "2440x1220")
    middle = shapely.LineString([(1220.0, 0.0), (1220.0, 1220.0)])
    for sheet in nested(parts, stock(["2440x1220"], 10.0, GAP)):
        along = [shape for shape in shapes_of(sheet) if np.ptp(shape.bounds[::2]) > 1210.0]
        least = [least_width([profile([shapely.get_coordinates(shape)[:-1]])], 2420.0) for shape in along]
        assert min(least) >= 60.0
        # within a column a strip rises by at most the column's width times 4 times its depth over its length
        rise = STEP * 4.0 * 250.0 / 1300.0
        for shape, width in zip(along, least, strict=True):
            assert width <= shape.intersection(middle).length + rise
        assert sum(width + GAP for width in least) <= 1200.0 + GAP + 1e-6


def test_parts_that_fill_a_sheet_to_the_last_are_found_room_for() -> None:
    width = (1200.0 - 2 * GAP) / 3
    strip = profile([np.array([[0.0, 0.0], [1500.0, 0.0], [1500.0, width], [0.0, width]])])
    ways = [[way(number, 0, strip, GAP)] for number in range(3)]
    (laid,) = Search(ways, [(2420.0, 1200.0)], GAP).layout() or [[]]
    assert sorted(one.y for one in laid) == pytest.approx([0.0, width + GAP, 2 * (width + GAP)])
    assert Search(ways, [(2420.0, 1199.9)], GAP).layout() is None


def test_however_many_sheets_there_are_only_a_few_are_laid_anew_together(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    monkeypatch.setattr(nesting, "_searched", lambda parts, shapes, chosen, sizes, wood: asked.append(len(sizes)))
    strip = np.array([[0.0, 0.0], [1500.0, 0.0], [1500.0, 160.0], [0.0, 160.0]])
    assert len(nested(parts_of([strip] * 56, (0.0,)), stock(["2440x1220"], 10.0, GAP))) == 8
    assert asked == list(range(1, MOST_EMPTIED))
