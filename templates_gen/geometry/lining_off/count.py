"""What planking goes round a hull: how many strakes, with what lap, of what stock."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.errors import BoatError
from templates_gen.geometry.land_marks import land_marks
from templates_gen.geometry.lining_off.marking import LiningOff, lining_off
from templates_gen.geometry.lining_off.places import even_marks
from templates_gen.geometry.planking import LEAST_SHORTAGE, PlankedShell, short_edges
from templates_gen.geometry.rabbet_line import RabbetLine, rabbet_line
from templates_gen.geometry.refining import planked_shell
from templates_gen.geometry.sections import even_shares, station_sections
from templates_gen.hull.model import Hull, Lands
from templates_gen.units import MM_PER_INCH, spoken_length

Array = NDArray[np.float64]

NARROWEST = 1.5
"""Strakes narrower than this many laps are no strakes: no more are tried."""

STEP = 1.5
"""No strake may show more times wider than its neighbour, at a station or an end, over its own factor.

Past a half as much again the eye sees one wide strake and one narrow (our own judgement; the worked boats as they are
lined off keep within 1.2).
"""

LEAST_LAP = {"riveted": 1.5, "glued": 2.0}
"""The narrowest lap that is proposed, in thicknesses of the stock (common practice)."""

THICKER = (1.25, 1.5)
"""How many times thicker stock is proposed where no number of strakes fits otherwise."""

MOST = 2
"""No more than so many times the boat's own number of strakes is tried."""

_ALONG = 65
_SURE = 0.5
_TRIALS = 4


@dataclass(frozen=True)
class Fit:
    """Planking that was tried on a hull and fits; `hull` is lined off by the program without pins."""

    hull: Hull
    is_lap_changed: bool = False
    is_stock_changed: bool = False

    def words(self) -> str:
        """Return what to change, such as "12 strakes with a lap of 15 mm"."""
        planking, units = self.hull.planking, self.hull.units
        stock = f" of {spoken_length(planking.thickness[0], units)} stock" if self.is_stock_changed else ""
        lap = f" with a lap of {spoken_length(planking.lap, units)}" if self.is_lap_changed else ""
        return f"{planking.strakes} strakes{stock}{lap}"


def fits(hull: Hull, line: RabbetLine) -> tuple[Fit, ...]:
    """Return what goes round a hull that its own planking does not go round; each was tried on the planked shell.

    These are the fewest strakes with the same lap, and fewer with the narrowest lap; or else thicker stock.
    """
    own = hull.planking
    found = [Fit(with_strakes(hull, count))] if (count := least_strakes(hull, line, own.strakes)) else []
    narrow = _rounded_up(LEAST_LAP[own.method] * max(own.thickness), hull)
    if narrow < own.lap:
        tried = replace(hull, planking=replace(own, lap=narrow))
        below = found[0].hull.planking.strakes if found else None
        count = least_strakes(tried, line, own.strakes - 1, below)
        found += [Fit(with_strakes(tried, count), is_lap_changed=True)] if count else []
    for factor in THICKER if not found else ():
        tried = _of_thicker_stock(hull, factor)
        if count := least_strakes(tried, line, own.strakes - 1):
            return (Fit(with_strakes(tried, count), tried.planking.lap != own.lap, is_stock_changed=True),)
    return tuple(found)


def _rounded_up(length: float, hull: Hull) -> float:
    """A length in whole millimetres, or in sixteenths of an inch."""
    step = 1.0 if hull.units == "mm" else MM_PER_INCH / 16
    return float(np.ceil(length / step - 1e-6) * step)


def _of_thicker_stock(hull: Hull, factor: float) -> Hull:
    """The hull planked in thicker stock, its lap widened if need be; a least edge of half the stock stays half."""
    own = hull.planking
    thickness = tuple(_rounded_up(t * factor, hull) for t in own.thickness)
    halves = [abs(edge - t / 2.0) < 1e-6 for edge, t in zip(own.least_edge, own.thickness, strict=True)]
    edges = tuple(t / 2.0 if half else e for half, e, t in zip(halves, own.least_edge, thickness, strict=True))
    lap = max(own.lap, _rounded_up(LEAST_LAP[own.method] * max(thickness), hull))
    return replace(hull, planking=replace(own, thickness=thickness, least_edge=edges, lap=lap))


def least_strakes(hull: Hull, line: RabbetLine, above: int = 0, below: int | None = None) -> int | None:
    """Return the least number of strakes that, lined off without pins, leave every least edge and widen gradually.

    Parameters
    ----------
    hull : Hull
    line : RabbetLine
    above, below : int
        Only numbers between these are tried.

    Returns
    -------
    int or None
        None when more than MOST times the boat's own number, or strakes narrower than NARROWEST, would be needed.

    Notes
    -----
    More strakes turn less at each land, so the number is found by halving. Hollow lands are left out of account: more
    strakes do not cure them. Edges are judged on the planked shell, all along, just as `check` judges them; widths
    at the stations and at both ends, by `STEP`.
    """
    if min(t - e for t, e in zip(hull.planking.thickness, hull.planking.least_edge, strict=True)) <= 0.0:
        return None
    low, high = max(_surely_too_few(hull), above), min(_most_strakes(hull), MOST * hull.planking.strakes)
    high = high if below is None else min(high, below - 1)
    most = high
    while high > low and not _may_fit(hull, line, high):
        high = (low + high) // 2 if high == most else low
    if high <= low:
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if _may_fit(hull, line, middle) else (middle, high)
    for count in range(high, min(high + _TRIALS, most + 1)):
        if goes_round(with_strakes(hull, count)):
            return count
    return None


def _may_fit(hull: Hull, line: RabbetLine, count: int) -> bool:
    """Whether so many strakes fit at the places where they are marked."""
    tried = with_strakes(hull, count)
    marked = lining_off(tried, line)
    return round_shortage(marked) <= LEAST_SHORTAGE and greatest_step(tried, marked) <= STEP


def fewest(hull: Hull) -> Hull:
    """Return the hull with the least number of strakes whose laps carry the bevels and whose widths are gradual.

    Raises
    ------
    BoatError
        When no number of strakes fits; with what does, where that is found.
    """
    line = rabbet_line(hull)
    count = least_strakes(hull, line)
    if count is None:
        lap, edge = (spoken_length(x, hull.units) for x in (hull.planking.lap, min(hull.planking.least_edge)))
        raise BoatError(
            f"no number of strakes fits with a lap of {lap}, a least edge of {edge} and widths that change "
            f"gradually; {words_of(fits(hull, line))}",
            ("planking", "lap"),
            "land",
        )
    return with_strakes(hull, count)


def words_of(found: tuple[Fit, ...]) -> str:
    """Return what fits in words, or where to look where nothing does."""
    if not found:
        return "no lap down to the narrowest and no stock up to half as thick again fits: ease the section there"
    return f"{', or '.join(fit.words() for fit in found)} fit"


def round_shortage(marked: LiningOff) -> float:
    """Return the greatest shortage of the lands that are convex, mm; 0 where there is none."""
    return float(np.max(np.where(marked.bevel > 0.0, marked.shortage, 0.0), initial=0.0))


def greatest_step(hull: Hull, marked: LiningOff) -> float:
    """Return how many times wider than its neighbour a strake shows where that is most, 1 or more.

    Widths are shown ones over even shares, at every place that is marked; infinite where a strake does not show.
    """
    shares = even_shares(hull)
    shown = np.diff(marked.girths - even_marks(marked.places, hull), axis=0, prepend=0.0)
    even = shares[:, None] / shares.sum() * (marked.places.girth - marked.places.start - hull.lands.rubbing_strip)
    width = 1.0 + shown / even
    if np.any(width <= 0.0):
        return float("inf")
    return float(np.exp(np.max(np.abs(np.diff(np.log(width), axis=0)), initial=0.0)))


def goes_round(hull: Hull) -> bool:
    """Return whether the planked shell leaves every least edge where lands are convex, and strakes wider than a lap.

    It is False where the planks cannot be hung.
    """
    try:
        shell = planked_shell(land_marks(hull))
    except BoatError:
        return False
    return not short_edges(shell, is_hollow=False) and _narrowest_strake(shell) > hull.planking.lap


def _narrowest_strake(shell: PlankedShell) -> float:
    u = np.linspace(shell.u_fore, shell.u_aft, _ALONG)
    return min(float(shell.width(strake, u).min()) for strake in range(1, shell.planking.strakes + 1))


def with_strakes(hull: Hull, count: int) -> Hull:
    """Return the hull planked with another number of strakes, lined off without pins.

    Each takes its thickness and its least edge from the strake that lies at the same share of the girth.
    """
    planking = hull.planking
    share = (np.arange(count) + 0.5) / count
    like = np.floor(share * planking.strakes).astype(int)
    lands = Lands("even", {}, hull.lands.garboard, hull.lands.sheer, hull.lands.rubbing_strip)
    return replace(
        hull,
        lands=lands,
        planking=replace(
            planking,
            strakes=count,
            thickness=tuple(planking.thickness[i] for i in like),
            least_edge=tuple(planking.least_edge[i] for i in like),
        ),
    )


def _most_strakes(hull: Hull) -> int:
    """The most strakes that show NARROWEST laps at every station."""
    girth = min(section.girth for section in station_sections(hull))
    widest = max(1.0, hull.lands.garboard) + max(1.0, hull.lands.sheer)
    fit = int(girth / (NARROWEST * hull.planking.lap) - widest + 2.0)
    while True:
        shares = even_shares(with_strakes(hull, fit)) if fit > 0 else np.ones(1)
        if fit <= 1 or girth * float(shares.min() / shares.sum()) >= NARROWEST * hull.planking.lap:
            return max(fit, 1)
        fit -= 1


def _surely_too_few(hull: Hull) -> int:
    """A number of strakes that is too few by far: half of those that would carry the turn of the roundest section."""
    planking = hull.planking
    carried = np.arctan(
        max(t - e for t, e in zip(planking.thickness, planking.least_edge, strict=True)) / planking.lap
    )
    turns = []
    for section in station_sections(hull):
        slope = section.batten.slope(np.linspace(0.0, section.batten.knots[-1], _ALONG))
        angle = np.unwrap(np.arctan2(slope[:, 1], slope[:, 0]))
        turns.append(float(np.sum(np.maximum(np.diff(angle), 0.0))))
    return int(_SURE * max(turns) / carried)
