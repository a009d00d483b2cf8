"""How many strakes it takes to go round a hull with what its laps carry."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.errors import BoatError
from templates_gen.geometry.lining_off import LiningOff, lining_off
from templates_gen.geometry.lining_off_places import even_marks
from templates_gen.geometry.planking import planked_shell
from templates_gen.geometry.rabbet_line import RabbetLine, rabbet_line
from templates_gen.geometry.sections import even_shares, station_sections
from templates_gen.geometry.worst_edges import TOLD, worst_edge
from templates_gen.hull.model import Hull, Lands

Array = NDArray[np.float64]

NARROWEST = 1.5
"""Strakes narrower than this many laps are no strakes: no more are tried."""

STEP = 1.5
"""No strake may show more times wider than the strake beside it, at a station or an end, garboard's and sheer's
factors allowed for: past a half as much again the eye sees one wide strake and one narrow (our own judgement; the
worked boats as they are lined off keep within 1.2)."""

_ALONG = 65
_SURE = 0.5


def least_strakes(hull: Hull, line: RabbetLine, above: int = 0) -> int | None:
    """Return the least number of strakes that, lined off without pins, leave every least edge and widen gradually.

    Parameters
    ----------
    hull : Hull
    line : RabbetLine
    above : int
        Only more strakes than this are tried.

    Returns
    -------
    int or None
        None when strakes narrower than one and a half laps would not do.

    Notes
    -----
    Hollow lands are left out of account: more strakes do not cure them. Edges are judged on the planked shell, all
    along, just as `check` judges them; widths at the stations and at both ends, by `STEP`.
    """
    count = max(_surely_too_few(hull), above) + 1
    while True:
        tried = with_strakes(hull, count)
        if _narrowest(tried) < NARROWEST * hull.planking.lap:
            return None
        marked = lining_off(tried, line)
        if round_shortage(marked) <= TOLD and greatest_step(tried, marked) <= STEP and carries_bevels(tried):
            return count
        count += 1


def fewest(hull: Hull) -> Hull:
    """Return the hull with the least number of strakes whose laps carry the bevels and whose widths are gradual.

    Raises
    ------
    BoatError
        When strakes too narrow to be strakes would not do either.
    """
    count = least_strakes(hull, rabbet_line(hull))
    if count is None:
        raise BoatError(
            f"no number of strakes goes round with a lap of {hull.planking.lap:g} mm and a least edge of "
            f"{min(hull.planking.least_edge):g} mm and widths that change gradually: a narrower lap or "
            "thicker stock would",
            ("planking", "lap"),
            "land",
        )
    return with_strakes(hull, count)


def round_shortage(marked: LiningOff) -> float:
    """Return the greatest shortage of the lands that are convex, mm; 0 where there is none."""
    return float(np.max(np.where(marked.bevel > 0.0, marked.shortage, 0.0), initial=0.0))


def greatest_step(hull: Hull, marked: LiningOff) -> float:
    """Return how many times wider than the strake beside it a strake shows where that is most, 1 or more.

    Widths are shown ones over even shares, at every place that is marked; infinite where a strake does not show.
    """
    shares = even_shares(hull)
    shown = np.diff(marked.girths - even_marks(marked.places, hull), axis=0, prepend=0.0)
    even = shares[:, None] / shares.sum() * (marked.places.girth - marked.places.start - hull.lands.rubbing_strip)
    width = 1.0 + shown / even
    if np.any(width <= 0.0):
        return float("inf")
    return float(np.exp(np.max(np.abs(np.diff(np.log(width), axis=0)), initial=0.0)))


def carries_bevels(hull: Hull) -> bool:
    """Return whether the planked shell leaves every least edge at its convex lands; not where it cannot be hung."""
    try:
        return worst_edge(planked_shell(hull), is_hollow=False) is None
    except BoatError:
        return False


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


def _narrowest(hull: Hull) -> float:
    """The least even width shown at a station, mm."""
    shares = even_shares(hull)
    return min(section.girth for section in station_sections(hull)) * float(shares.min() / shares.sum())


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
