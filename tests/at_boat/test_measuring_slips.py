"""Slips of measuring are named, and honest errors of building are not."""

import numpy as np
import pytest

from templates_gen.geometry.as_built.boat import as_built_boat, places_along
from templates_gen.geometry.as_built.slips import Slip
from templates_gen.geometry.as_built.weighing import Readings, weighed
from templates_gen.hull.lengths import spread_of
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, place_names
from templates_gen.report.at_boat.as_built import as_built_findings
from tests import boats
from tests.flow import shell_of

DRAWN = shell_of(boats.dinghy())
ALONG = places_along(DRAWN)
NAMES = place_names(DRAWN.hull)


def land(random: np.random.Generator) -> np.ndarray:
    """Figures of one land, honestly built: 3 mm high or low, leaning, bowed, 1 mm of error, read to 0.5 mm."""
    s = np.linspace(-1.0, 1.0, 7)
    run = random.uniform(-1.5, 1.5) + random.uniform(-1.0, 1.0) * s + random.uniform(-0.5, 0.5) * s**2
    return np.asarray(np.round(2.0 * (run + random.uniform(-1.0, 1.0, 7))) / 2.0)


def named(figures: np.ndarray) -> list[int]:
    moved = np.zeros((9, 7))
    moved[0] = figures
    return [slip.place for slip in slips(moved, 1)]


def slips(moved: np.ndarray, hung: int, step: float = 0.5, *lacking: int) -> tuple[Slip, ...]:
    """What looks like a slip where every strake was meant to come to its drawn marks."""
    given, none = np.ones((9, 7), dtype=np.bool_), np.zeros((9, 7), dtype=np.bool_)
    given[:, list(lacking)] = False
    readings = Readings(moved, given, none, np.full(9, spread_of(step)), hung)
    return weighed(readings, ALONG, lambda k, below: 0.0 * below).slips


def test_nearly_no_honest_land_is_doubted() -> None:
    random = np.random.default_rng(5)
    doubted = [bool(named(land(random))) for _ in range(400)]
    assert np.mean(doubted) < 0.02


@pytest.mark.parametrize("size", [5.0, 8.0, 25.4, 60.0])
def test_planted_slips_are_named(size: float) -> None:
    random = np.random.default_rng(6)
    found, only = 0, 0
    for trial in range(200):
        figures, place = land(random), trial % 7
        figures[place] += size * (1 if trial % 2 else -1)
        at = named(figures)
        found += place in at
        only += at == [place]
    # A slip of 5 mm on an edge that is honestly 1 mm out the other way shows as 4 mm.
    assert found >= (195 if size == 5.0 else 200)
    assert only >= 185


def test_an_eighth_read_an_eighth_off_is_no_slip_of_a_rule_in_eighths() -> None:
    moved = np.zeros((9, 7))
    moved[0, 3] = 3.175
    assert slips(moved, 1, 3.175) == ()
    assert len(slips(moved, 1, 0.5)) == 1
    # honest lands, 1 mm of error and read to eighths: of a thousand hardly one is doubted
    random, doubted = np.random.default_rng(9), 0
    for _ in range(1000):
        moved[0] = np.round(land(random) / 3.175) * 3.175
        doubted += bool(slips(moved, 1, 3.175))
    assert doubted <= 5
    moved[0] = np.array([0.0, 0.0, 9.525, 0.0, 0.0, 0.0, 0.0])
    assert [slip.place for slip in slips(moved, 1, 3.175)] == [2]


def test_an_end_is_kept_where_the_place_next_to_it_was_not_measured() -> None:
    moved = np.zeros((9, 7))
    moved[0, 0] = 12.0
    (slip,) = slips(moved, 1, 0.5, 1)
    assert (slip.place, slip.is_alone) == (0, True)
    assert not any(slip.is_alone for slip in slips(moved, 1))
    figures = {name: 12.0 if name == "fore" else 0.0 for name in NAMES if name != "1"}
    measured = AsBuilt((HungStrake(1, figures),))
    relined = as_built_boat(DRAWN, measured)
    assert relined.left_out == ()
    assert relined.moved[0, 0] > 10.0
    assert any("nothing next to it was measured" in text for text in messages(figures))


def test_a_jump_that_the_next_strake_shows_too_was_built() -> None:
    moved = np.zeros((9, 7))
    moved[0, 3], moved[1, 3] = 8.0, 6.0
    (one, other) = slips(moved, 2)
    assert one.is_shared
    assert other.is_shared


def messages(figures: dict[str, float]) -> list[str]:
    measured = AsBuilt((HungStrake(1, figures),))
    return [
        f.text for f in as_built_findings(DRAWN, measured, as_built_boat(DRAWN, measured)) if f.severity != "note"
    ]


def test_the_note_of_a_strake_has_measured_figures_only() -> None:
    # an arch, with a slip at its crown, where the guess is higher than every figure
    figures = {"fore": 0.0, "1": 2.5, "2": 4.0, "3": -8.0, "4": 4.0, "5": 2.5}
    measured = AsBuilt((HungStrake(1, figures),))
    relined = as_built_boat(DRAWN, measured)
    (slip,) = relined.left_out
    assert slip.place == 3
    assert relined.moved[0, 3] > 4.3
    texts = [finding.text for finding in as_built_findings(DRAWN, measured, relined)]
    (text,) = [one for one in texts if one.startswith("strake 1 as built")]
    assert "off its marks by 0 mm at the fore end to 4 mm toward the sheer at mould 2, not" in text
    assert "not measured at the after end: " in text
    assert "left out as a slip at mould 3: " in text


def test_a_slip_is_reported_with_its_figures_and_a_likely_cause() -> None:
    level = dict.fromkeys(NAMES, 4.0)
    (text, *_) = messages(level | {"3": -4.0})
    assert "strake 1 at mould 3: 4 mm toward the keel was measured" in text
    assert "where the rest of its edge leads to 4 mm toward the sheer" in text
    assert "with + and - exchanged" in text
    (text, *_) = messages(level | {"fore": 14.0})
    assert "10 mm too much" in text
    (text, *_) = messages(level | {"fore": 29.5})
    assert "inch" not in text, "the boat is drawn in mm"
    assert messages(level) == []


def test_a_strake_that_must_become_much_narrower_is_reported() -> None:
    hull = DRAWN.hull
    figures = dict.fromkeys(NAMES, 0.0)
    hung = (*(HungStrake(k, figures) for k in range(1, 8)), HungStrake(8, dict.fromkeys(NAMES, 12.0)))
    measured = AsBuilt(hung)
    texts = [
        f.text for f in as_built_findings(DRAWN, measured, as_built_boat(DRAWN, measured)) if f.severity != "note"
    ]
    assert hull.planking.strakes == 9
    assert len(texts) == 2
    assert texts[0].startswith("on average, strake 8 is ")
    assert "of where its pattern was to bring it" in texts[0]
    assert "becomes 12 mm narrower than drawn" in texts[1]


def lined_off(figure: float, *sure: str) -> tuple[np.ndarray, list[str]]:
    """How far the marks of strakes 2 and 3 move, and the messages, with one odd figure at mould 3 of strake 2."""
    level = dict.fromkeys(NAMES, 0.5)
    measured = AsBuilt((HungStrake(1, level), HungStrake(2, level | {"3": figure}, sure=sure)))
    relined = as_built_boat(DRAWN, measured)
    return relined.moved[1:3], [f.text for f in as_built_findings(DRAWN, measured, relined)]


@pytest.mark.parametrize("figure", [6.0, -5.5, 40.0])
def test_a_figure_that_looks_like_a_slip_moves_no_mark_and_wants_no_planing(figure: float) -> None:
    level, _ = lined_off(0.5)
    moved, texts = lined_off(figure)
    assert moved == pytest.approx(level, abs=0.1)
    (slip,) = [text for text in texts if "slip of measuring" in text]
    assert "It is left out" in slip
    assert 'write sure = ["3"] under [strake.2]' in slip
    assert any("left out as a slip at mould 3" in text for text in texts)
    assert not any("plane it fair" in text for text in texts)


def test_a_figure_that_the_builder_is_sure_of_is_used() -> None:
    level, _ = lined_off(0.5)
    moved, texts = lined_off(6.0, "3")
    assert moved[0, NAMES.index("3")] == pytest.approx(6.0, abs=0.01)
    assert moved[1, NAMES.index("3")] > level[1, NAMES.index("3")] + 1.0
    assert not any("slip of measuring" in text for text in texts)
    assert any("mould 3: 6 mm toward the sheer" in text and "you are sure of it" in text for text in texts)
    assert any("plane it fair" in text for text in texts)
