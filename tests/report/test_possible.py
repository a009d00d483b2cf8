"""The table of what is possible: every row fires on a boat made up to break it, and none on the worked boats."""

from collections.abc import Callable
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.interpolate import PPoly

from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebates import rebate_section
from templates_gen.geometry.shell import Losses
from templates_gen.hull.model import Hull, Stem, Transom
from templates_gen.hull.reader import read_hull
from templates_gen.report.finding import Finding
from templates_gen.report.possible.of_boat import first_crossing
from templates_gen.report.possible.of_shell import marks_of
from templates_gen.report.possible.table import (
    BOAT,
    MARKS,
    SHELL,
    impossible_boat,
    impossible_marks,
    impossible_shell,
)
from tests import boats
from tests.flow import boat_of, shell_of
from tests.geometry.skiffs import round_rocker, skiff
from tests.sweep import more

Array = NDArray[np.float64]
HULLS = Path(__file__).parents[2] / "hulls"
SHAPES = Path(__file__).parents[1] / "data" / "shapes"


@cache
def dinghy() -> Boat:
    return boat_of(boats.dinghy())


def of_shell(shell: PlankedShell) -> tuple[Finding, ...]:
    with np.errstate(all="ignore"):
        return impossible_shell(shell)


def with_stem_marks(move: Callable[[Array], None]) -> tuple[Finding, ...]:
    """What is found of the dinghy's marks when those on her stem are moved, shape (9, 3)."""
    marks = marks_of(dinghy().shell)
    points = marks.points.copy()
    move(points[:, 0])
    return impossible_marks(replace(marks, points=points))


def two_marks_together() -> tuple[Finding, ...]:
    def move(marks: Array) -> None:
        marks[3] = marks[2] + [0.0, 0.0, 4.0]

    return with_stem_marks(move)


def land_at_the_sheer() -> tuple[Finding, ...]:
    def move(marks: Array) -> None:
        marks[7] = marks[8] - [0.0, 0.0, 0.6]

    return with_stem_marks(move)


def faked(**overrides: object) -> PlankedShell:
    """The dinghy's shell with some of its methods replaced: what no true shell shows."""
    fake = type("Fake", (PlankedShell,), overrides)
    shell = dinghy().shell
    return fake(**{one.name: getattr(shell, one.name) for one in fields(shell)})  # type: ignore[no-any-return]


def with_land(change: Callable[[Array], None]) -> PlankedShell:
    """The dinghy's shell with the coefficients of land 4 changed, shape (4, m, 3): y, z and the gerald's share."""
    lands = list(dinghy().shell.lands)
    coefficients = lands[3].c.copy()
    change(coefficients)
    lands[3] = PPoly(coefficients, lands[3].x)
    return replace(dinghy().shell, lands=tuple(lands))


def edge_below_the_last() -> tuple[Finding, ...]:
    def change(coefficients: Array) -> None:
        coefficients[..., 0] *= -0.1

    return of_shell(with_land(change))


def strake_leaning_in_at_the_end() -> tuple[Finding, ...]:
    # At a flush end the next face runs from the corner at the slope T: 40 mm further in over a strake 60 to 80 mm
    # wide is a slope of 0.5 or more, and over a lap of 19 mm more than the stock of 9 mm.
    def change(coefficients: Array) -> None:
        coefficients[-1, coefficients[-1, :, 2] > 0.8, 1] -= 40.0

    return of_shell(with_land(change))


def floor_above_the_garboard() -> tuple[Finding, ...]:
    return of_shell(shell_of(raised_rabbet(42.0)))


def raised_rabbet(up: float) -> Hull:
    """The dinghy with her keel raised amidships, so that the garboard falls away from it."""
    hull = boats.dinghy()
    bumps = [np.array([0.0, up * np.exp(-(((s.at - 1800.0) / 700.0) ** 2))]) for s in hull.stations]
    stations = [replace(s, rabbet=s.rabbet + bump) for s, bump in zip(hull.stations, bumps, strict=True)]
    return replace(hull, stations=tuple(stations))


def losses_that_do_not_add_up() -> tuple[Finding, ...]:
    def losses(self: PlankedShell, land: int, u: Array) -> Losses:
        true = PlankedShell.losses(self, land, u)
        return replace(true, upper_at_edge=true.upper_at_edge + 0.3)

    return of_shell(faked(losses=losses))


def falling_away(joint: Any, up: float) -> tuple[Finding, ...]:
    hull = raised_rabbet(up)
    return impossible_boat(boat_of(replace(hull, keel=replace(hull.keel, joint=joint))))


def steep_rebate() -> tuple[Finding, ...]:
    angle = np.radians(95.0)
    depth, apex, bearding, seat = rebate_section(angle, 9.0)
    changed = [
        replace(r, angle=angle, depth=depth, apex=apex, bearding=bearding, seat=seat) for r in dinghy().rebates
    ]
    return impossible_boat(replace(dinghy(), rebates=tuple(changed)))


def raked_bow(by: float) -> tuple[Finding, ...]:
    hull = boats.pram()
    assert isinstance(hull.fore, Transom)
    profile = hull.fore.profile + np.array([[0.0, 0.0], [by, 0.0]])
    return impossible_boat(boat_of(replace(hull, fore=replace(hull.fore, profile=profile))))


def flat_bevel() -> tuple[Finding, ...]:
    boat = boat_of(skiff(round_rocker, 1500.0))
    assert boat.flat_bottom is not None
    bevels = np.full_like(boat.flat_bottom.bevels, np.radians(70.0))
    return impossible_boat(replace(boat, flat_bottom=replace(boat.flat_bottom, bevels=bevels)))


def crossed_mould() -> tuple[Finding, ...]:
    moulds = list(dinghy().moulds)
    outline = moulds[2].outline.copy()
    outline[[3, 5]] = outline[[5, 3]]
    moulds[2] = replace(moulds[2], outline=outline)
    return impossible_boat(replace(dinghy(), moulds=tuple(moulds)))


BROKEN: dict[str, Callable[[], tuple[Finding, ...]]] = {
    "inner step": two_marks_together,
    "sheer step": land_at_the_sheer,
    "rabbet miss": lambda: of_shell(shell_of(read_hull(SHAPES / "s057.toml"))),
    "edge step": edge_below_the_last,
    "open lap": strake_leaning_in_at_the_end,
    "loss": floor_above_the_garboard,
    "sum of losses": losses_that_do_not_add_up,
    "edge left": lambda: of_shell(faked(edge_left=lambda self, land, u: np.full(u.shape, -0.5))),
    "gap before planing": lambda: of_shell(faked(gap_before=lambda self, land, u: np.full(u.shape, 25.0))),
    "bevel": lambda: of_shell(faked(bevel=lambda self, land, u: np.full(u.shape, np.radians(-71.0)))),
    "jump of bevel": lambda: of_shell(faked(bevel=lambda self, land, u: 0.5 * (u > self.u_aft - 1.0))),
    "stem's rebate": steep_rebate,
    "stem's bearding": lambda: impossible_boat(boat_of(read_hull(SHAPES / "s060.toml"))),
    "keel's rebate": lambda: falling_away("rebate", 30.0),
    "edge on the hog": lambda: falling_away("hog", 30.0),
    "hog bearing": lambda: impossible_boat(with_hog((30.0, 18.0))),
    "transom bevel": lambda: raked_bow(-400.0),
    "transom bevel outward": lambda: raked_bow(300.0),
    "flat bottom's bevel": flat_bevel,
    "outline": crossed_mould,
}


def with_hog(hog: tuple[float, float]) -> Boat:
    hull = replace(boats.dinghy(), keel=replace(boats.dinghy().keel, hog=hog))
    return replace(dinghy(), hull=hull)


def test_every_row_of_the_table_has_a_boat_that_breaks_it() -> None:
    assert [row.name for row in (*MARKS, *SHELL, *BOAT)] == list(BROKEN)


@pytest.mark.parametrize("name", BROKEN)
def test_a_boat_made_up_to_break_a_row_is_found_with_place_and_advice(name: str) -> None:
    row = next(row for row in (*MARKS, *SHELL, *BOAT) if row.name == name)
    found = BROKEN[name]()
    (finding,) = [one for one in found if one.rule == name]
    assert finding.severity == row.severity
    assert finding.place
    assert finding.otherwise
    assert "{" not in finding.text
    assert not [one.rule for one in found if one.severity == "error" and one.rule != name]


@pytest.mark.parametrize("name", ["dinghy", *more("double_ender", "faering", "pram")])
def test_the_demonstration_boats_break_no_row(name: str) -> None:
    shell = shell_of(read_hull(HULLS / f"{name}.toml"))
    assert impossible_shell(shell) == ()
    assert impossible_boat(boat_on(shell)) == ()


@pytest.mark.parametrize("hull", [boats.dinghy(), boats.double_ender(), boats.pram()], ids=lambda hull: hull.name)
def test_the_worked_boats_break_no_row(hull: Hull) -> None:
    boat = boat_of(hull)
    assert impossible_shell(boat.shell) == ()
    assert impossible_boat(boat) == ()


def test_a_figure_that_is_no_number_is_impossible() -> None:
    (finding,) = of_shell(faked(bevel=lambda self, land, u: np.where(u > 1800.0, np.nan, 0.1)))
    assert (finding.rule, finding.severity) == ("bevel", "error")
    assert "no finite number" in finding.text
    assert finding.value is None, "JSON has no word for it"


def test_what_is_less_than_nothing_is_written_with_its_sign_and_angles_are_in_degrees_for_programs() -> None:
    (left,) = BROKEN["edge left"]()
    assert "leaves -0.5 mm at" in left.text
    assert left.value == -0.5
    (step,) = [one for one in edge_below_the_last() if one.rule == "edge step"]
    assert isinstance(step.value, float)
    assert step.value < 0.0
    assert "rises -" in step.text
    (bevel,) = BROKEN["bevel"]()
    assert bevel.value == pytest.approx(-71.0)


def test_a_gap_at_the_lap_line_is_named_as_a_gap_with_its_size() -> None:
    (finding,) = [one for one in strake_leaning_in_at_the_end() if one.rule == "open lap"]
    assert finding.text.startswith("land 4 stays open by ")
    assert isinstance(finding.value, float)
    assert 0.05 < finding.value < 9.0, "19 mm of lap at the slope it leans in, less the thickness"


def test_an_hourglass_crosses_itself_in_its_middle_and_a_square_does_not() -> None:
    hourglass = np.array([[0.0, 0.0], [10.0, 0.0], [0.0, 10.0], [10.0, 10.0]])
    crossing = first_crossing(hourglass)
    assert crossing is not None
    assert crossing == pytest.approx([5.0, 5.0])
    assert first_crossing(hourglass[[0, 1, 3, 2]]) is None


@given(st.integers(5, 40), st.randoms(use_true_random=False))
def test_a_star_shaped_outline_does_not_cross_and_one_with_two_points_exchanged_does(n: int, random) -> None:  # type: ignore[no-untyped-def]
    radius = np.array([random.uniform(50.0, 100.0) for _ in range(n)])
    angle = 2 * np.pi * np.arange(n) / n
    star = radius[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    assert first_crossing(star) is None
    crossed = star.copy()
    crossed[[1, 2]] = star[[2, 1]]
    assert (first_crossing(crossed) is None) == shapely.Polygon(crossed).is_valid


def test_a_stem_rebate_is_named_with_its_end() -> None:
    finding = next(one for one in steep_rebate() if one.rule == "stem's rebate")
    assert isinstance(dinghy().hull.fore, Stem)
    assert finding.key == ("fore", "rabbet")
    assert "95°" in finding.text


def test_a_face_that_comes_back_to_the_foot_crosses_the_rabbet_line_of_its_stem() -> None:
    hull = read_hull(HULLS / "faering.toml")
    assert isinstance(hull.fore, Stem)
    assert hull.fore.face is not None
    face = hull.fore.face.copy()
    face[-1] = face[0] + [-5.0, -20.0]
    (finding,) = impossible_boat(boat_of(replace(hull, fore=replace(hull.fore, face=face))))
    assert (finding.rule, finding.key, finding.severity) == ("outline", ("fore",), "error")
    assert finding.text.startswith("the outline of the stem crosses itself near (")
