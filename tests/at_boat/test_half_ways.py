"""Figures half-way between two moulds: weighed with those at the marks, and looked at for slips like them."""

import numpy as np
import pytest

from templates_gen.geometry.as_built.boat import as_built_boat, places_along
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, half_way_names, place_names
from templates_gen.report.at_boat.as_built import as_built_findings
from tests import boats
from tests.at_boat.simulated_hanging import IN_EIGHTHS, MM, Trade
from tests.flow import shell_of
from tests.sweep import more

DRAWN = shell_of(boats.dinghy())
NAMES, BETWEEN = place_names(DRAWN.hull), half_way_names(DRAWN.hull)
ALONG = places_along(DRAWN)[0]
EVERY = np.append(ALONG, (ALONG[:-1] + ALONG[1:]) / 2.0)


def hung(seed: int, trade: Trade, has_half_ways: bool, lacking: tuple[str, ...] = ()) -> np.ndarray:
    """By how much the edge of the garboard, as weighed, is off the true one at its marks, mm."""
    random = np.random.default_rng(seed)
    true = trade.land(random, EVERY)
    read = dict(zip((*NAMES, *BETWEEN), trade.read(random, true), strict=True))
    places = (*NAMES, *BETWEEN) if has_half_ways else NAMES
    given = {name: read[name] for name in places if name not in lacking}
    result = as_built_boat(DRAWN, AsBuilt((HungStrake(1, given),), step=trade.step))
    return np.asarray(result.moved[0] - true[: len(NAMES)])


@pytest.mark.parametrize(
    ("trade", "lacking", "share"),
    # Where every mark was measured they help little: the edge is smooth, so that neighbouring figures are rounded
    # alike. Where marks were not measured they stand in for them.
    [
        (IN_EIGHTHS, (), 1.0),
        (MM, ("2", "4", "aft"), 0.95),
        *more((MM, (), 1.0), (IN_EIGHTHS, ("2", "4", "aft"), 1.0)),
    ],
)
def test_half_ways_bring_the_edge_nearer_to_where_it_is(trade: Trade, lacking: tuple[str, ...], share: float) -> None:
    without, with_them = (
        np.sqrt(np.mean(np.square([hung(seed, trade, has_half_ways, lacking) for seed in range(40)])))
        for has_half_ways in (False, True)
    )
    assert with_them < share * without


def test_a_slip_half_way_is_named_and_left_out_and_the_ends_are_not_alone_for_want_of_one() -> None:
    level = dict.fromkeys(NAMES, 1.0) | {"half-way 2-3": 14.0}
    measured = AsBuilt((HungStrake(1, level),))
    result = as_built_boat(DRAWN, measured)
    (slip,) = result.left_out
    assert result.measured_at[slip.place] == "half-way 2-3"
    assert result.moved[0] == pytest.approx(1.0, abs=0.1)
    texts = [one.text for one in as_built_findings(DRAWN, measured, result)]
    assert any(text.startswith("strake 1 half-way 2–3: 14 mm toward the sheer was measured") for text in texts)
    assert any("left out as a slip at half-way 2–3" in text for text in texts)
    # the second strake has no half-ways: a slip at its end is left out, because the mark next to it was measured
    level = dict.fromkeys(NAMES, 1.0)
    second = HungStrake(2, level | {"fore": 14.0})
    result = as_built_boat(DRAWN, AsBuilt((HungStrake(1, level | {"half-way fore-1": 1.0}), second)))
    assert [(one.strake, one.is_alone) for one in result.left_out] == [(2, False)]


def test_half_ways_of_one_strake_change_nothing_of_what_is_made_of_the_marks_of_another() -> None:
    level = {name: float(by) for name, by in zip(NAMES, (1.0, 0.5, 0.0, 0.5, 1.5, 0.5, 0.0), strict=True)}
    without = as_built_boat(DRAWN, AsBuilt((HungStrake(1, level),)))
    again = as_built_boat(DRAWN, AsBuilt((HungStrake(1, level), HungStrake(2, level | {"half-way 3-4": 1.0}))))
    assert again.moved[0] == pytest.approx(without.moved[0], abs=1e-9)
