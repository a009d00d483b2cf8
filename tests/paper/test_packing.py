"""Small pieces on sheets: none lost, none over another, little paper wasted."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from templates_gen.paper.packing import GAP, WORTH_DISORDER, Box, PackedSheet, Skyline, _orders, is_small, packed
from templates_gen.paper.sheet import sheet

boxes = st.lists(st.builds(Box, st.floats(8.0, 180.0), st.floats(8.0, 240.0)), min_size=1, max_size=30)


def lying(page: PackedSheet, some: list[Box]) -> list[tuple[float, float, float, float]]:
    """Return left, bottom, right and top of each box on a sheet."""
    result = []
    for place in page.places:
        box = some[place.index].turned if place.turned else some[place.index]
        result.append((place.x, place.y, place.x + box.width, place.y + box.height))
    return result


def overlaps(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    """Return whether two boxes lie one over the other, or closer than GAP."""
    room = GAP - 1e-6
    return a[0] < b[2] + room and b[0] < a[2] + room and a[1] < b[3] + room and b[1] < a[3] + room


@settings(max_examples=60, deadline=None)
@given(some=boxes, name=st.sampled_from(["a4", "letter", "a2", "roll 610"]))
def test_every_box_lies_on_one_sheet_clear_of_the_others(some: list[Box], name: str) -> None:
    some = [box for box in some if is_small(box, sheet(name))]
    pages = packed(some, sheet(name))
    assert sorted(place.index for page in pages for place in page.places) == list(range(len(some)))
    for page in pages:
        area = page.sheet.drawing
        laid = lying(page, some)
        for left, bottom, right, top in laid:
            assert area.left - 1e-6 <= left
            assert right <= area.right + 1e-6
            assert area.bottom - 1e-6 <= bottom
            assert top <= area.top + 1e-6
        assert not any(overlaps(a, b) for a, b in itertools.combinations(laid, 2))


def test_boxes_that_overlap_are_noticed() -> None:
    assert overlaps((0, 0, 10, 10), (9, 9, 20, 20))
    assert overlaps((0, 0, 10, 10), (12, 0, 20, 10))
    assert not overlaps((0, 0, 10, 10), (14.5, 0, 20, 10))


@pytest.mark.parametrize("name", ["a4", "letter"])
def test_gauge_cards_waste_little_paper(name: str) -> None:
    cards = [Box(120.0, 90.0)] * 20
    pages = packed(cards, sheet(name))
    # Two upright cards of 120 x 90 leave no room for a third on a sheet that shows about 185 x 250.
    assert len(pages) <= 10
    small = [Box(85.0, 40.0)] * 40
    area = sheet(name).drawing
    assert len(packed(small, sheet(name))) * area.width * area.height <= 1.6 * 40 * 85 * 40


def shelves(some: list[Box], name: str) -> int:
    """Return how many sheets plain shelves take: boxes as they come, in rows as high as their highest."""
    area = sheet(name).drawing
    sheets, left, top, row = 1, 0.0, 0.0, 0.0
    for box in some:
        if left + box.width > area.width:
            left, top, row = 0.0, top + row + GAP, 0.0
        if top + box.height > area.height:
            sheets, left, top, row = sheets + 1, 0.0, 0.0, 0.0
        left, row = left + box.width + GAP, max(row, box.height)
    return sheets


def gauge_cards(count: int) -> list[Box]:
    """Return cards of the sizes of land and rebate gauges: 90 to 115 mm by 38 to 60, some of 80 by 110 (invented)."""
    random = np.random.default_rng(7)
    widths, heights = random.uniform(90.0, 115.0, count), random.uniform(38.0, 60.0, count)
    cards = [Box(float(width), float(height)) for width, height in zip(widths, heights, strict=True)]
    return [Box(80.0, 110.0) if k % 6 == 5 else card for k, card in enumerate(cards)]


@pytest.mark.parametrize("name", ["a4", "letter", "a3"])
def test_gauge_cards_take_fewer_sheets_than_on_plain_shelves_and_little_more_than_their_area(name: str) -> None:
    cards = gauge_cards(90)
    area = sheet(name).drawing
    pages = packed(cards, sheet(name))
    assert len(pages) <= 0.75 * shelves(cards, name)
    filled = sum((card.width + GAP) * (card.height + GAP) for card in cards)
    # keeping the order may cost one sheet in ten
    assert len(pages) <= 1.25 / WORTH_DISORDER * filled / ((area.width + GAP) * (area.height + GAP)) + 1


def test_letter_takes_nearly_as_many_gauge_cards_as_a4() -> None:
    cards = gauge_cards(90)
    assert len(packed(cards, sheet("letter"))) <= len(packed(cards, sheet("a4"))) + 2


def test_the_same_boxes_always_lie_the_same() -> None:
    assert packed(gauge_cards(60), sheet("a4")) == packed(gauge_cards(60), sheet("a4"))


def test_sheets_of_a_roll_are_cut_to_what_lies_on_them() -> None:
    strakes = [Box(3600.0, 150.0), Box(3700.0, 200.0), Box(110.0, 45.0), Box(110.0, 45.0)]
    pages = packed(strakes, sheet("roll 610"))
    (page,) = pages
    assert page.sheet.width == 610.0
    assert 3700.0 < page.sheet.height < 3800.0
    area = page.sheet.drawing
    for left, bottom, right, top in lying(page, strakes):
        assert area.left - 1e-6 <= left < right <= area.right + 1e-6
        assert area.bottom - 1e-6 <= bottom < top <= area.top + 1e-6


def test_nothing_takes_no_sheet() -> None:
    assert packed([], sheet("a4")) == ()


def test_boxes_stay_in_their_order_when_that_costs_nothing() -> None:
    pages = packed([Box(80.0, 50.0)] * 12, sheet("a4"))
    order = [place.index for page in pages for place in page.places]
    assert order == sorted(order)


def test_a_card_is_found_on_its_sheet_or_in_a_gap_a_little_before_it() -> None:
    """In order of size, the cards of one land would be strewn over all sheets."""
    firsts = [[place.index for place in page.places] for page in packed(gauge_cards(90), sheet("a4"))]
    middles = [float(np.median(indices)) for indices in firsts]
    assert middles == sorted(middles)


def test_a_box_that_fits_only_a_turned_sheet_gets_one() -> None:
    wide = Box(260.0, 150.0)
    assert is_small(wide, sheet("a4"))
    (page,) = packed([wide], sheet("a4"))
    assert page.sheet.width > page.sheet.height or page.places[0].turned
    assert not is_small(Box(300.0, 150.0), sheet("a4"))


def strips(whole: float, across: float) -> list[Box]:
    """Return 18 strips of a little less than a sixth of `whole`, more than a third and more than half, gaps included.

    First fit puts them, as they come, on ten sheets; one of each fills a sheet, so that six do. Source: D. S. Johnson
    and others, SIAM J. Comput. 3 (1974) 299 (from memory).
    """
    return [
        Box(across, part * whole + more - GAP)
        for part, more in ((1 / 6, -2.0), (1 / 3, 1.0), (1 / 2, 1.0))
        for _ in range(6)
    ]


def a4_strips() -> list[Box]:
    """Return such strips as wide as a sheet of A4 shows."""
    area = sheet("a4").drawing
    return strips(area.height + GAP, area.width)


def test_the_order_is_given_up_where_that_saves_many_sheets() -> None:
    assert len(packed(a4_strips(), sheet("a4"))) == 6


@pytest.mark.parametrize(("full", "sheets"), [(29, 35), (30, 40), (36, 46)])
def test_the_order_is_given_up_only_where_that_saves_more_than_one_sheet_in_ten(full: int, sheets: int) -> None:
    # 39 sheets in order or 35 out of it, 40 or 36, 46 or 42
    area = sheet("a4").drawing
    assert len(packed([Box(area.width, area.height)] * full + a4_strips(), sheet("a4"))) == sheets


def test_no_more_of_a_roll_is_taken_than_the_area_of_what_fills_it() -> None:
    paper = sheet("roll 610")
    boxes = [box.turned for box in strips(paper.drawing.width + GAP, 200.0)]
    (page,) = packed(boxes, paper)
    assert page.sheet.drawing.height == pytest.approx(6 * (200.0 + GAP) - GAP)


@pytest.mark.parametrize("seed", range(4))
def test_a_skyline_knows_every_place_and_what_is_clear_as_if_each_millimetre_were_tried(seed: int) -> None:
    random = np.random.default_rng(seed)
    width, height = 36, 40
    skyline, depths = Skyline(float(width), float(height)), np.zeros(width, dtype=int)
    for _ in range(30):
        across, down = (int(side) for side in random.integers(2, 16, 2))
        tops = [int(depths[left : left + across].max()) for left in range(width - across + 1)]
        spot = skyline.spot(float(across), float(down))
        if min(tops) + down > height:
            assert spot is None
            continue
        assert spot is not None
        left = tops.index(min(tops))
        assert (spot.left, spot.top, spot.bottom) == (left, min(tops), min(tops) + down)
        skyline.take(spot, float(across))
        depths[left : left + across] = min(tops) + down
        assert skyline.depth == depths.max()
        clear = [
            (last - first, height - int(depths[first:last].max()))
            for first, last in itertools.combinations(range(width + 1), 2)
        ]
        assert skyline.clear_sides() == (max(map(min, clear)), max(map(max, clear)))


def test_a_box_as_large_as_what_a_sheet_shows_is_small_and_a_larger_one_is_not() -> None:
    area = sheet("a4").drawing
    assert Box(area.width, area.height).fits(sheet("a4"))
    assert not Box(area.width + 0.01, area.height).fits(sheet("a4"))
    assert not Box(area.width, area.height + 0.01).fits(sheet("a4"))
    assert is_small(Box(area.height, area.width), sheet("a4"))


def test_boxes_are_tried_in_the_order_of_area_of_longer_and_of_shorter_side_the_largest_first() -> None:
    boxes = [Box(10.0, 10.0), Box(30.0, 2.0), Box(4.0, 24.0), Box(9.0, 12.0)]
    areas, longer, shorter = [3, 0, 2, 1], [1, 2, 3, 0], [0, 3, 2, 1]
    assert _orders(boxes) == [areas, longer, shorter]


@pytest.mark.parametrize("paper", ["a4", "roll 300"])
def test_a_box_that_a_sheet_has_refused_lies_on_the_next(paper: str) -> None:
    # by turns boxes of which two fill a sheet's width, and small ones that go on where they do not
    boxes = [Box(120.0, 90.0) if k % 2 else Box(50.0, 30.0) for k in range(24)]
    sheets = packed(boxes, sheet(paper))
    assert sorted(place.index for one in sheets for place in one.places) == list(range(24))


def test_boxes_of_one_sheet_are_read_in_rows_in_their_order_where_there_is_room() -> None:
    # put as high as it goes, the third would stand over the fourth's place: under the low second, not the high first
    some = [Box(80.0, 90.0), Box(80.0, 50.0), Box(80.0, 60.0), Box(80.0, 60.0)]
    (page,) = packed(some, sheet("a4"))
    laid = lying(page, some)
    assert [round(box[0], 3) for box in laid] == [laid[0][0], laid[0][0] + 84.0] * 2
    assert laid[0][3] == laid[1][3]
    assert laid[2][3] == laid[3][3] == pytest.approx(laid[0][1] - GAP)


def test_a_full_sheet_is_not_spread_over_two_for_the_sake_of_rows() -> None:
    some = [Box(80.0, 160.0), Box(80.0, 60.0), Box(80.0, 60.0), Box(80.0, 60.0), Box(80.0, 60.0), Box(80.0, 60.0)]
    (page,) = packed(some, sheet("a4"))
    assert len(page.places) == len(some)


def test_boxes_lie_as_they_are_drawn_where_that_takes_no_more_paper() -> None:
    some = [Box(100.0, 250.0), *[Box(60.0, 78.0)] * 3]  # three next to one, in no rows; each would end higher turned
    (only,) = packed(some, sheet("a4"))
    assert not any(place.turned for place in only.places)
