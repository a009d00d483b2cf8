"""What kept a lining-off by the program from leaving every least edge and even widths, and what planking fits."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Place
from templates_gen.geometry.lining_off.count import STEP, fits, goes_round, words_of
from templates_gen.geometry.planking import LEAST_SHORTAGE, PlankedShell, WorstEdge, short_edges
from templates_gen.geometry.sections import even_shares
from templates_gen.hull.model import Stem
from templates_gen.report.finding import Finding
from templates_gen.report.lands.edges import spoken_shortage, wood_left
from templates_gen.report.places import nearest_place, places_of
from templates_gen.words import at_place

Array = NDArray[np.float64]

OFF_SHARE = (0.5, 2.0)
"""A strake that shows less or more of its even share than these is named (our own judgement)."""

AFRESH = (
    "the lands are lined off again from the hull file each time; before you cut moulds, keep them with "
    "`templates-gen line-off HULL --keep`"
)


@dataclass(frozen=True)
class _Widths:
    """Where shown widths differ most: the narrowest and the widest strake there, and what they show, mm."""

    place: Place
    narrow: int
    wide: int
    shown: tuple[float, float]


def lining_off_findings(shell: PlankedShell, solved: bool) -> Iterator[Finding]:
    """Yield what kept a lining-off by the program from what it aims at; nothing when the builder lined off.

    Parameters
    ----------
    shell : PlankedShell
    solved : bool
        Whether planking that fits is searched for, which takes seconds.
    """
    if shell.hull.lands.by != "even":
        return
    short = short_edges(shell, is_hollow=False)
    uneven = _uneven(shell)
    if short or uneven:
        yield _too_round(shell, short, uneven, solved)
    hollow = short_edges(shell, is_hollow=True)
    if hollow:
        yield _hollow(shell, max(hollow, key=lambda worst: worst.short))
    yield Finding("note", "land", AFRESH, key=("lands",))


def without_explained(found: Iterable[Finding], shell: PlankedShell) -> tuple[Finding, ...]:
    """Return findings without the warnings of thin edges that `lining_off_findings` explains.

    Those are the warnings about `least_edge` of lands that it found short. Errors stay.
    """
    if shell.hull.lands.by != "even":
        return tuple(found)
    short = [*short_edges(shell, is_hollow=False), *short_edges(shell, is_hollow=True)]
    lands = {edge.land for edge in short}
    return tuple(
        finding
        for finding in found
        if finding.severity != "warning"
        or finding.key != ("planking", "least_edge")
        or finding.where is None
        or finding.where.number not in lands
    )


def _uneven(shell: PlankedShell) -> _Widths | None:
    """Where neighbours' widths step by more than STEP, or a strake shows far off its even share; None if nowhere."""
    if shell.planking.strakes < 2:
        return None
    rulings = {place: u for place, u in places_of(shell).items() if place.kind != "half-way"}
    stops, shown = list(rulings), _shown(shell, np.array(list(rulings.values())))
    shares = even_shares(shell.hull)[:, None]
    width = shown / shares
    for end, column in (("fore", 0), ("aft", -1)):
        if isinstance(shell.hull.end(end), Stem):  # type: ignore[arg-type]
            width[:, column] = np.mean(width[:, column])  # a stem's garboard ends round the forefoot
    of_share = width / (shown.sum(axis=0) / shares.sum())
    step = np.max(np.maximum(width[1:] / width[:-1], width[:-1] / width[1:]), axis=0)
    far = np.max(np.maximum(of_share / OFF_SHARE[1], OFF_SHARE[0] / of_share), axis=0)
    badness = np.maximum(step / STEP, far)
    at = int(np.argmax(badness))
    if badness[at] <= 1.0:
        return None
    narrow, wide = int(np.argmin(width[:, at])), int(np.argmax(width[:, at]))
    return _Widths(stops[at], narrow + 1, wide + 1, (float(shown[narrow, at]), float(shown[wide, at])))


def _shown(shell: PlankedShell, u: Array) -> Array:
    """How much of each strake shows outside at rulings u, mm, shape (strakes, m)."""
    shown = np.stack([shell.width(strake, u) for strake in range(1, shell.planking.strakes + 1)])
    shown[:-1] -= np.array([[shell.planking.lap_on(land)] for land in range(1, shell.planking.strakes)])
    shown[-1] -= shell.hull.lands.rubbing_strip
    return shown


def _too_round(shell: PlankedShell, short: tuple[WorstEdge, ...], uneven: _Widths | None, solved: bool) -> Finding:
    """The finding that so many strakes do not fit the sections, with all that shows it and what fits."""
    parts: list[str] = []
    about, value, wanted = About("strake"), None, None
    if uneven is not None:
        narrow, wide = (shell.hull.notation.spoken_length(shown) for shown in uneven.shown)
        where = at_place(uneven.place)
        parts.append(f"strake {uneven.narrow} shows {narrow} and strake {uneven.wide} shows {wide} {where}")
        about = About("strake", uneven.narrow, place=uneven.place)
    if short:
        worst = max(short, key=lambda edge: edge.short)
        left, least = spoken_shortage(worst.left, worst.least, shell.hull.notation)
        place = nearest_place(places_of(shell), worst.u)
        about, value, wanted = About("land", worst.land, place=place), worst.left, least
        parts.insert(0, f"{_lands(short)} only {left} {at_place(place)} (at least {least} is wanted)")
    text = f"{shell.planking.strakes} strakes do not fit the sections: {', and '.join(parts)}; {_cure(shell, solved)}"
    expected = None if wanted is None else f"at least {wanted}"
    return Finding("warning", "bevel", text, about, value, expected, ("planking", "strakes"))


def _lands(short: tuple[WorstEdge, ...]) -> str:
    """Which lands fall short, with their verb."""
    numbers = [str(edge.land) for edge in short]
    if len(numbers) == 1:
        return f"land {numbers[0]} leaves"
    return f"lands {', '.join(numbers[:-1])} and {numbers[-1]} leave"


def _cure(shell: PlankedShell, solved: bool) -> str:
    """What fits instead, tried on the shell before it is named."""
    hull = shell.hull
    if not solved:
        return "run `templates-gen check`, which finds planking that fits"
    if hull.lands.pins and goes_round(replace(hull, lands=replace(hull.lands, pins={}))):
        return "take out the pinned marks; without them the strakes fit"
    return words_of(fits(hull, shell.hung.rabbet_line))


def _hollow(shell: PlankedShell, worst: WorstEdge) -> Finding:
    land, place = worst.land, nearest_place(places_of(shell), worst.u)
    left, least = spoken_shortage(worst.left, worst.least, shell.hull.notation)
    of_lower = float(wood_left(shell, land, np.array([worst.u]))[1][2][0])
    lower = ""
    if of_lower < shell.planking.least_edge[land - 1] - LEAST_SHORTAGE:
        words, _ = spoken_shortage(of_lower, worst.least, shell.hull.notation)
        lower = f", and {words} of strake {land}, at its lap line"
    text = (
        f"land {land} leaves only {left} of strake {land + 1}, at its lower edge{lower}, {at_place(place)}; at least "
        f"{least} is wanted. The "
        f"section is hollow there: to clear the hollow, strake {land} would be far wider than its neighbours. Pin "
        f"land {land} higher there, or keep full laps (no gerald), or draw the section with less hollow"
    )
    about = About("land", land, place=place)
    return Finding("warning", "bevel", text, about, worst.left, f"at least {least}", ("lands",))
