"""The page weighs figures as the program does: the same slips, mistakes and edges on seeded readings."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
from selenium.webdriver import Chrome

import templates_gen.look.measure
from templates_gen.geometry.as_built.lining_off import relined
from templates_gen.geometry.as_built.mistaken import What, mistakes
from templates_gen.geometry.as_built.weighing import Readings, weighed
from templates_gen.hull.measured.rounding import spread_of, step_of
from templates_gen.look.measure.figures import measuring_data
from templates_gen.units import MeasuredUnits, UnitName
from tests import boats
from tests.at_boat.simulated_hanging import IN_EIGHTHS, MM, Trade
from tests.flow import boat_of
from tests.look.browser import browser

Array = np.ndarray
RULE = Path(templates_gen.look.measure.__file__).with_name("rule.js").read_text(encoding="utf-8")
JUDGE = """
const [rules, cases] = arguments;
return cases.map(({ along, readings }) => {
  const rule = new Weighing(rules, along), result = rule.weighed(readings);
  return { ...result, mistakes: rule.mistakes(readings, result) };
});
"""
SEEDS = range(40)


@dataclass(frozen=True)
class Case:
    """What was measured on a seeded boat, with slips, gaps, sure figures, and now and then a mistake throughout."""

    along: Array
    readings: Readings

    @property
    def for_page(self) -> dict[str, Any]:
        """The same as the page has it."""
        one = self.readings
        return {
            "along": self.along.tolist(),
            "readings": {
                "figures": one.figures.tolist(),
                "isGiven": one.is_given.tolist(),
                "isSure": one.is_sure.tolist(),
                "noise": float(one.noise[0]),
                "hung": one.hung,
            },
        }


def edges_of(random: np.random.Generator, along: Array, hung: int, trade: Trade) -> Array:
    """Figures of honest strakes, each cut for the boat as it is, and read; shape (N, p), mm."""
    figures, below = np.zeros(along.shape), np.zeros(along.shape[1])
    for k in range(hung):
        wanted = relined(below, along[k:])[0] if k else below
        below = wanted + trade.land(random, along[k]) + random.choice([0.0, 0.0, 5.0])
        figures[k] = trade.read(random, below)
    return figures


def spoilt(random: np.random.Generator, figures: Array, hung: int) -> Array:
    """The same with slips of measuring, a step in the planking itself, and signs or marks that were mistaken."""
    figures = figures.copy()
    for _ in range(random.integers(0, 4)):
        k, at = random.integers(hung), random.integers(figures.shape[1])
        figures[k, at] += random.choice([-1.0, 1.0]) * random.uniform(3.0, 15.0)
    if random.random() < 0.3:
        figures[:hung, random.integers(figures.shape[1])] += 9.0
    kind = random.random()
    if kind < 0.2:
        return -figures
    if kind < 0.4:
        figures[random.integers(hung)] *= -1.0
    return figures


def case(name: str, seed: int) -> Case:
    """A seeded boat."""
    random, along = np.random.default_rng(seed), np.array(DATA[name]["along"])
    trade, hung = (MM, IN_EIGHTHS)[seed % 2], int(random.integers(1, len(along) + 1))
    figures = spoilt(random, edges_of(random, along, hung, trade), hung)
    is_given = random.random(along.shape) < random.choice([0.7, 1.0])
    is_given[hung:] = False
    is_sure = random.random(along.shape) < 0.05
    noise = np.full(len(along), spread_of(trade.step))
    readings = Readings(np.where(is_given, figures, 0.0), is_given, is_sure & is_given, noise, hung)
    return Case(along, readings)


def mistaken_throughout(name: str, seed: int, mistake: What) -> Case:
    """A boat whose every strake was measured with one mistake, and cut by what was written down of the one below.

    The first edge is off by six times what planks do. A strake comes where it was meant to, and as far off as the one
    below is from what was written down of it.
    """
    random, along = np.random.default_rng(seed), np.array(DATA[name]["along"])
    figures, true = np.zeros(along.shape), np.zeros(along.shape)
    for k in range(len(along)):
        meant, off = np.zeros(along.shape[1]), np.full(along.shape[1], 6.0 * MM.run)
        if k:
            meant, off = relined(figures[k - 1], along[k:])[0], true[k - 1] - figures[k - 1]
        true[k] = meant + off + MM.land(random, along[k])
        figures[k] = MM.read(random, -true[k] if mistake == "signs" else true[k] - meant)
    noise = np.full(len(along), spread_of(MM.step))
    every = np.ones(along.shape, dtype=bool)
    return Case(along, Readings(figures, every, ~every, noise, len(along)))


NAMES = ("dinghy", "double_ender")
THROUGHOUT: tuple[What, ...] = ("signs", "shifted marks")
DATA = {name: json.loads(json.dumps(measuring_data(boat_of(getattr(boats, name)())))) for name in NAMES}


@pytest.fixture(scope="module")
def driver() -> Iterator[Chrome]:
    with browser(800, 600) as one:
        yield one


@pytest.fixture(scope="module")
def judged(driver: Chrome) -> list[tuple[Case, dict[str, Any]]]:
    """Every seeded boat with what the page makes of it."""
    cases = [case(name, seed) for name in NAMES for seed in SEEDS]
    cases += [mistaken_throughout(name, 1, mistake) for name in NAMES for mistake in THROUGHOUT]
    rules = DATA["dinghy"]["rules"]
    results = driver.execute_script(RULE + JUDGE, rules, [one.for_page for one in cases])
    return list(zip(cases, results, strict=True))


def program(one: Case) -> tuple[Any, Any]:
    """What the program makes of a boat: what was weighed, and mistakes."""
    result = weighed(one.readings, one.along, lambda k, below: relined(below, one.along[k:])[0])
    return result, mistakes(one.readings, result)


def test_page_and_program_agree_on_every_slip(judged: list[tuple[Case, dict[str, Any]]]) -> None:
    count = 0
    for one, page in judged:
        result, _ = program(one)
        assert page["isUsed"] == result.is_used.tolist()
        assert [(s["strake"], s["place"], s["isShared"], s["isAlone"]) for s in page["slips"]] == [
            (s.strake, s.place, s.is_shared, s.is_alone) for s in result.slips
        ]
        expected = [s.expected for s in result.slips]
        assert [s["expected"] for s in page["slips"]] == pytest.approx(expected, abs=1e-6)
        count += len(result.slips)
    assert count > 50


def test_page_and_program_agree_on_where_the_edges_are(judged: list[tuple[Case, dict[str, Any]]]) -> None:
    for one, page in judged:
        result, _ = program(one)
        assert np.allclose(page["moved"], result.moved, atol=1e-6)
        assert np.allclose(page["meant"], result.meant, atol=1e-6)


def test_page_and_program_agree_on_mistakes(judged: list[tuple[Case, dict[str, Any]]]) -> None:
    kinds = set()
    for one, page in judged:
        _, found = program(one)
        assert [(m["what"], m["strake"], m["orStrake"]) for m in page["mistakes"]] == [
            (m.what, m.strake, m.or_strake) for m in found
        ]
        assert [m["off"] for m in page["mistakes"]] == pytest.approx([m.off for m in found], abs=1e-6)
        kinds |= {(m.what, m.strake == 0) for m in found}
    assert {("signs", True), ("signs", False), ("shifted marks", True), ("far", False)} <= kinds


@pytest.mark.parametrize("mistake", THROUGHOUT)
@pytest.mark.parametrize("name", NAMES)
def test_a_mistake_on_every_strake_is_found_as_one(
    judged: list[tuple[Case, dict[str, Any]]], name: str, mistake: What
) -> None:
    of_boat = mistaken_throughout(name, 1, mistake)
    (page,) = [result for one, result in judged if np.array_equal(one.readings.figures, of_boat.readings.figures)]
    assert [(m["what"], m["strake"]) for m in page["mistakes"]] == [(mistake, 0)]


def test_page_and_program_agree_on_how_finely_figures_are_read(driver: Chrome) -> None:
    random = np.random.default_rng(5)
    rows: list[tuple[list[float], MeasuredUnits]] = []
    for step in (1.0, 0.5, 0.1, 3.175, 3.175 / 2, 3.175 / 4, 0.013):
        figures = np.round(random.uniform(-9.0, 9.0, 12) / step) * step
        figures[: random.integers(0, 4)] += step / 2
        rows += [(figures.tolist(), units) for units in get_args(UnitName)]
    rows.append(([], "mm"))
    script = RULE + "const [rules, along, rows] = arguments; const rule = new Weighing(rules, along);"
    script += "return rows.map((row) => { const step = rule.stepOf(...row); return [step, rule.spreadOf(step)]; });"
    found = driver.execute_script(script, DATA["dinghy"]["rules"], DATA["dinghy"]["along"], rows)
    steps = [step_of(lengths, units) for lengths, units in rows]
    assert [step for step, _ in found] == steps
    assert [spread for _, spread in found] == pytest.approx([spread_of(step) for step in steps], rel=1e-12)
