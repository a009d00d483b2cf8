"""The page weighs figures as the program does: the same slips, mistakes and edges on seeded readings."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
from selenium.webdriver import Chrome

import templates_gen.look.measure
from templates_gen.geometry.as_built.boat import Relined, as_built_boat, given_half_ways, readings_of
from templates_gen.geometry.as_built.mistaken import What
from templates_gen.geometry.as_built.moulds import shifts_of, standing
from templates_gen.geometry.as_built.still_to_hang import relined
from templates_gen.geometry.boat import Boat
from templates_gen.hull.lengths import spread_of, step_of
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, half_way_names, place_names
from templates_gen.hull.measured.moulds import StandingMould
from templates_gen.look.measure.figures import measuring_data
from templates_gen.units import MeasuredUnits, UnitName
from tests import boats
from tests.at_boat.simulated_hanging import IN_EIGHTHS, MM, Trade
from tests.flow import boat_of
from tests.sweep import more

Array = np.ndarray
_SCRIPTS = Path(templates_gen.look.measure.__file__)
RULE = "".join(_SCRIPTS.with_name(f"{name}.js").read_text(encoding="utf-8") for name in ("rule", "moulds"))
JUDGE = """
const [boats, cases] = arguments;
return cases.map(({ name, offs, readings }) => {
  const boat = boats[name], rule = new Weighing(boat.rules, boat.along, boat.halves);
  const lands = drawnLands(boat, offs), all = { ...readings, lands }, result = rule.weighed(all);
  return { ...result, lands, mistakes: rule.mistakes(all, result) };
});
"""
SEEDS = range(40)
CLOSE = {False: 1e-6, True: 0.01}
"""How closely page and program agree, mm, without and with a mould out of its place: the page knows at five distances
how a land runs past it."""


@dataclass(frozen=True)
class Case:
    """What was measured on a seeded boat, with slips, gaps, sure figures, and now and then a mistake throughout.

    Every second one has half-ways, every third a mould or an end out of its place, every fifth a strake that was hung
    again.
    """

    name: str
    measured: AsBuilt

    @property
    def for_page(self) -> dict[str, Any]:
        """The same as the page has it."""
        hull = boat_called(self.name).hull
        one = readings_of(hull, self.measured)
        offs = dict(zip(place_names(hull), shifts_of(hull, self.measured), strict=True))
        return {
            "name": self.name,
            "offs": [
                [*offs[mould["path"][1]][1:], offs[mould["path"][1]][0]] for mould in data_of(self.name)["moulds"]
            ],
            "readings": {
                "figures": one.figures.tolist(),
                "isGiven": one.is_given.tolist(),
                "isSure": one.is_sure.tolist(),
                "between": given_half_ways(hull, self.measured),
                "noise": float(one.noise[0]),
                "hung": one.hung,
                "remade": [strake.number for strake in self.measured.strakes if strake.is_remade],
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
    random, hull, along = np.random.default_rng(seed), boat_called(name).hull, np.array(data_of(name)["along"])
    places = place_names(hull)
    if seed % 4 > 1:
        places += half_way_names(hull)
        along = np.hstack([along, (along[:, :-1] + along[:, 1:]) / 2.0])
    order = np.argsort(along[0])
    trade, hung = (MM, IN_EIGHTHS)[seed % 2], int(random.integers(1, len(along) + 1))
    figures = spoilt(random, edges_of(random, along[:, order], hung, trade), hung)
    is_given = random.random(along.shape) < random.choice([0.7, 1.0])
    is_sure = random.random(along.shape) < 0.05
    strakes = [
        HungStrake(
            k + 1,
            {places[i]: float(figures[k, at]) for at, i in enumerate(order) if is_given[k, i]},
            sure=tuple(places[i] for i in order if is_sure[k, i]),
            is_remade=seed % 5 == 0 and k == hung // 2,
        )
        for k in range(hung)
    ]
    moulds = [out_of_place(random, name) for _ in range(seed % 3 == 0)]
    return Case(name, AsBuilt(tuple(strakes), step=trade.step, moulds=tuple(moulds)))


def out_of_place(random: np.random.Generator, name: str) -> StandingMould:
    """A mould or an end that stands a few millimetres out of its place, and any distance forward or aft."""
    moulds = data_of(name)["moulds"]
    mould = moulds[random.integers(len(moulds))]
    across, _, along = mould["farthest"]
    aft = random.choice([0.0, 1.0]) * random.uniform(-1.0, 1.0) * along
    off = (aft, 0.0 if across is None else random.uniform(-9.0, 9.0), random.uniform(-9.0, 9.0))
    return StandingMould(mould["path"][1], off, off)


def mistaken_throughout(name: str, seed: int, mistake: What) -> Case:
    """A boat whose every strake was measured with one mistake, and cut by what was written down of the one below.

    The first edge is off by six times what planks do. A strake comes where it was meant to, and as far off as the one
    below is from what was written down of it.
    """
    random, along = np.random.default_rng(seed), np.array(data_of(name)["along"])
    figures, true = np.zeros(along.shape), np.zeros(along.shape)
    for k in range(len(along)):
        meant, off = np.zeros(along.shape[1]), np.full(along.shape[1], 6.0 * MM.run)
        if k:
            meant, off = relined(figures[k - 1], along[k:])[0], true[k - 1] - figures[k - 1]
        true[k] = meant + off + MM.land(random, along[k])
        figures[k] = MM.read(random, -true[k] if mistake == "signs" else true[k] - meant)
    places = place_names(boat_called(name).hull)
    edges = [dict(zip(places, map(float, edge), strict=True)) for edge in figures]
    strakes = [HungStrake(number, edge) for number, edge in enumerate(edges, start=1)]
    return Case(name, AsBuilt(tuple(strakes), step=MM.step))


THROUGHOUT: tuple[What, ...] = ("signs", "shifted marks")


def boat_called(name: str) -> Boat:
    return boat_of(getattr(boats, name)())


@cache
def data_of(name: str) -> dict[str, Any]:
    """What the page is given of a boat."""
    return json.loads(json.dumps(measuring_data(boat_called(name))))


Judged = tuple[Case, Relined, dict[str, Any]]
"""A seeded boat, what the program makes of it, and what the page does."""


@pytest.fixture(scope="module", params=["dinghy", *more("double_ender")])
def judged(request: pytest.FixtureRequest, browser_without_3d: Chrome) -> list[Judged]:
    """Every seeded boat of one shape with what is made of it."""
    name: str = request.param
    cases = [case(name, seed) for seed in SEEDS]
    cases += [mistaken_throughout(name, 1, mistake) for mistake in THROUGHOUT]
    results = browser_without_3d.execute_script(RULE + JUDGE, {name: data_of(name)}, [one.for_page for one in cases])
    return [(one, program(one), result) for one, result in zip(cases, results, strict=True)]


def program(one: Case) -> Relined:
    """What the program makes of a boat."""
    return as_built_boat(boat_called(one.name).shell, one.measured)


def test_page_and_program_agree_on_every_slip(judged: list[Judged]) -> None:
    count, between = 0, 0
    for one, result, page in judged:
        marks = data_of(one.name)["marks"]
        assert [used[:marks] for used in page["isUsed"]] == result.is_measured.tolist()
        assert [(s["strake"], s["place"], s["isShared"], s["isAlone"]) for s in page["slips"]] == [
            (s.strake, s.place, s.is_shared, s.is_alone) for s in result.slips
        ]
        expected = [s.expected for s in result.slips]
        assert [s["expected"] for s in page["slips"]] == pytest.approx(expected, abs=CLOSE[bool(one.measured.moulds)])
        count += len(result.slips)
        between += sum(slip.place >= marks for slip in result.slips)
    assert count > 50
    assert between > 10


def test_page_and_program_agree_on_where_the_edges_are(judged: list[Judged]) -> None:
    for one, result, page in judged:
        marks, close = data_of(one.name)["marks"], CLOSE[bool(one.measured.moulds)]
        assert np.allclose(np.array(page["moved"])[:, :marks], result.moved[: result.hung], atol=close)
        assert np.allclose(np.array(page["meant"])[:, :marks], result.meant, atol=close)


def test_page_and_program_agree_on_where_the_lands_pass_moulds(judged: list[Judged]) -> None:
    worst = 0.0
    for one, _, page in judged:
        lands = standing(boat_called(one.name).shell, one.measured).drawn_lands
        worst = max(worst, float(np.abs(lands).max()))
        assert np.allclose(page["lands"], lands, atol=CLOSE[bool(one.measured.moulds)])
    assert worst > 5.0


def test_page_and_program_agree_on_mistakes(judged: list[Judged]) -> None:
    kinds = set()
    for one, result, page in judged:
        found, close = result.mistakes, CLOSE[bool(one.measured.moulds)]
        assert [(m["what"], m["strake"], m["orStrake"]) for m in page["mistakes"]] == [
            (m.what, m.strake, m.or_strake) for m in found
        ]
        assert [m["off"] for m in page["mistakes"]] == pytest.approx([m.off for m in found], abs=close)
        kinds |= {(m.what, m.strake == 0) for m in found}
    assert {("signs", True), ("signs", False), ("shifted marks", True), ("far", False)} <= kinds


@pytest.mark.parametrize("mistake", THROUGHOUT)
def test_a_mistake_on_every_strake_is_found_as_one(judged: list[Judged], mistake: What) -> None:
    of_boat = mistaken_throughout(judged[0][0].name, 1, mistake)
    (page,) = [result for one, _, result in judged if one == of_boat]
    assert [(m["what"], m["strake"]) for m in page["mistakes"]] == [(mistake, 0)]


def test_page_and_program_agree_on_how_finely_figures_are_read(browser_without_3d: Chrome) -> None:
    random = np.random.default_rng(5)
    rows: list[tuple[list[float], MeasuredUnits]] = []
    for step in (1.0, 0.5, 0.1, 3.175, 3.175 / 2, 3.175 / 4, 0.013):
        figures = np.round(random.uniform(-9.0, 9.0, 12) / step) * step
        figures[: random.integers(0, 4)] += step / 2
        rows += [(figures.tolist(), units) for units in get_args(UnitName)]
    rows.append(([], "mm"))
    script = RULE + "const [boat, rows] = arguments; const rule = new Weighing(boat.rules, boat.along, boat.halves);"
    script += "return rows.map((row) => { const step = rule.stepOf(...row); return [step, rule.spreadOf(step)]; });"
    found = browser_without_3d.execute_script(script, data_of("dinghy"), rows)
    steps = [step_of(lengths, units) for lengths, units in rows]
    assert [step for step, _ in found] == steps
    assert [spread for _, spread in found] == pytest.approx([spread_of(step) for step in steps], rel=1e-12)
