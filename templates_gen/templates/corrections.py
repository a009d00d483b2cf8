"""The correction sheet: what to change on the drawn pattern of the next strake, mark by mark, and the bevel below."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, About, EndName, all_places
from templates_gen.drawing.piece import Table
from templates_gen.geometry.as_built.still_to_hang import recut_sentences, recuts
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.places import written_bevel
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.spiling.overlay import laid_on, strake_points
from templates_gen.hull.measured.as_built import place_title
from templates_gen.hull.measured.spiling import EDGES, EdgeName
from templates_gen.hull.model import Hull, Stem
from templates_gen.notation import Notation
from templates_gen.templates.bevels.facts import land_facts
from templates_gen.words import written

Array = NDArray[np.float64]

FEWEST_TO_LAY_ON = 3
"""A pattern laid on fewer places than this would be turned by the width of the strake there (our choice)."""


@dataclass(frozen=True)
class Correction:
    """What to change on the drawn pattern of a strake.

    Attributes
    ----------
    places : tuple of str
        "fore", station names, "half-way 1-2" …, "aft".
    outward : dict of EdgeName to Array, shape (p,)
        How far each edge of the strake as it is now wanted lies outside the drawn one, mm; negative: inside.
    longer : dict of str to Array, shape (2,)
        How far each end, "fore" and "aft", lies beyond the drawn one, at the lower and the upper corner, mm.
    """

    places: tuple[str, ...]
    outward: dict[EdgeName, Array]
    longer: dict[str, Array]


def correction(drawn: FlatStrake, wanted: FlatStrake) -> Correction:
    """Return what turns the drawn pattern into the one wanted, this laid over that as well as it can be, unstretched.

    Square to the drawn edge at its marks. Marks of moulds and ends that stand forward or aft of their places do
    not shift it, as long as FEWEST_TO_LAY_ON places stand still.
    """
    ours, theirs = (strake_points(strake) for strake in (drawn, wanted))
    places = tuple(ours["lower"])
    before, after = (
        np.array([points[edge][place] for edge in EDGES for place in places]) for points in (ours, theirs)
    )
    stations = zip(drawn.shell.hull.stations, wanted.shell.hull.stations, strict=True)
    moved = {one.name for one, other in stations if one.at != other.at} | _moved_ends(drawn, wanted)
    every = all_places([station.name for station in drawn.shell.hull.stations])
    still = {written(place) for place in every if not {place.station, place.following} & moved}
    stays = np.array([place in still for place in places])
    if stays.sum() < FEWEST_TO_LAY_ON:
        stays = np.ones(len(places), dtype=np.bool_)
    off = laid_on(after, before, np.tile(stays, 2)) - before
    count = len(places)
    outward: dict[EdgeName, Array] = {}
    for edge, side in zip(EDGES, (-1.0, 1.0), strict=True):
        rows = slice(count) if edge == "lower" else slice(count, None)
        along = np.gradient(before[rows], axis=0)
        along /= np.linalg.norm(along, axis=1)[:, None]
        up = np.stack([-along[:, 1], along[:, 0]], axis=1)
        outward[edge] = side * np.sum(off[rows] * up, axis=1)
    longer = {"fore": -off[[0, count], 0], "aft": off[[count - 1, -1], 0]}
    return Correction(places, outward, longer)


def _moved_ends(drawn: FlatStrake, wanted: FlatStrake) -> set[str]:
    """The ends of the boat that stand forward or aft of where they were drawn."""
    return {end for end in ENDS if _foremost(drawn.shell.hull, end) != _foremost(wanted.shell.hull, end)}


def _foremost(hull: Hull, end: EndName) -> float:
    """How far forward an end of the boat reaches along its rabbet line or its face, mm."""
    member = hull.end(end)
    return float((member.rabbet if isinstance(member, Stem) else member.profile)[:, 0].min())


@dataclass(frozen=True)
class _Bevel:
    """One land at one place: bevel, radians, depth planed off at the edge, mm, and the strake that is planed."""

    angle: float
    off: float
    planed_on: str


@dataclass(frozen=True)
class _Land:
    """The bevels of one land by place, as drawn and as built."""

    number: int
    drawn: dict[str, _Bevel]
    built: dict[str, _Bevel]

    @property
    def headings(self) -> tuple[str, ...]:
        """The headings of its columns, but for the one of depths."""
        return f"bevel of\nland {self.number}", "planed on\nstrake"

    def note(self) -> str:
        """Which strake the bevel is planed on, and when; in a hollow it is the upper one."""
        lower, upper = self.number, self.number + 1
        below, hollow = f"on the outside of strake {lower}, which hangs", f"INSIDE strake {upper}, at its lower edge"
        planed_on = {bevel.planed_on for bevel in self.built.values() if bevel.planed_on != _planed_on(lower, None)}
        is_hollow = {strake == _planed_on(lower, upper) for strake in planed_on}
        if is_hollow == {True}:
            where = f"The land is hollow: its bevel is planed {hollow}, and none on strake {lower}."
        elif True in is_hollow:
            where = (
                f"At places with {_planed_on(lower, lower)} the bevel is planed {below}. At places with "
                f"{_planed_on(lower, upper)} the land is hollow: there it is planed {hollow}."
            )
        else:
            where = f"The bevel is planed {below}."
        return (
            f"{where} Plane it before strake {upper} is offered up. In brackets what was drawn, where that is "
            "different."
        )


def correction_table(drawn: PlankedShell, built: PlankedShell, number: int, side: str = "") -> Table:
    """Return the correction sheet of one strake, and of the bevel on the strake below it.

    Parameters
    ----------
    drawn, built : PlankedShell
    number : int
        The strake, from 1.
    side : str
        "PORT" or "STARBOARD", where the two are not alike.
    """
    notation = drawn.hull.notation
    change = correction(flat_strake(drawn, number), flat_strake(built, number))
    land = None if number == 1 else _Land(number - 1, *(_bevels(shell, number - 1) for shell in (drawn, built)))
    rows = tuple(
        (
            place_title(drawn.hull, place),
            *(_cut(float(change.outward[edge][i]), notation) for edge in EDGES),
            *_changes(land, place, notation),
        )
        for i, place in enumerate(change.places)
    )
    bevels: tuple[str, ...] = ()
    if land is not None:
        bevels = (*land.headings, notation.depth_heading(f"off land {number - 1}\nat the edge"))
    title = f"Strake {number}{f', {side} side' if side else ''}: what to change on its drawn pattern"
    return Table(
        title,
        ("place", "lower edge", "upper edge", *bevels),
        rows,
        (
            f"Edges in {notation.signed_words}, square to the edge at each mark of the drawn pattern, a fair line "
            "between: plane so much off inside its line, or leave so much wood outside it. The printed pattern of "
            "this strake has these changes already.",
            f"Length: {lengths_words(change, notation)}.",
            *(() if land is None else (land.note(),)),
            *_recut_notes(drawn, built, number - 1),
        ),
        word_columns=tuple(range(len(bevels) + 3)),
        about=About("strake", number),
    )


def _recut_notes(drawn: PlankedShell, built: PlankedShell, hung: int) -> Iterator[str]:
    """Yield what to do about rebates that were cut as drawn, for this strake and those above it."""
    for _, text in recut_sentences(recuts(drawn, built, hung), drawn.hull.notation):
        yield f"{text[0].upper()}{text[1:]}."


def _cut(outward: float, notation: Notation) -> str:
    """What to do at one mark: "leave 1.5", "plane 3/16", "–"."""
    by = notation.signed(outward)
    if by == notation.signed(0.0):
        return "–"
    return f"{'plane' if outward < 0.0 else 'leave'} {by.removeprefix('+').removeprefix('-')}"


def lengths_words(change: Correction, notation: Notation) -> str:
    """Return how much longer or shorter than drawn a strake is: "fore end 0.5 longer at the lower corner; …"."""
    parts = []
    for end, by in change.longer.items():
        corners = [
            f"{notation.fine(abs(one))} {'longer' if one > 0.0 else 'shorter'} at the {corner} corner"
            for corner, one in zip(EDGES, by.tolist(), strict=True)
            if notation.fine(one) != notation.fine(0.0)
        ]
        parts.append(f"{end} end {' and '.join(corners) or 'as drawn'}")
    return "; ".join(parts)


def _bevels(shell: PlankedShell, land: int) -> dict[str, _Bevel]:
    facts = land_facts(shell, land)
    return {
        written(one.place): _Bevel(float(facts.bevel[i]), float(facts.off[i]), _planed_on(land, facts.planed_on(i)))
        for i, one in enumerate(facts.places)
        if one.kind != "gerald"
    }


def _planed_on(land: int, strake: int | None) -> str:
    """Which strake a land's bevel is planed on, and on which face; "–" where so little comes off that none is."""
    if strake is None:
        return "–"
    return f"{strake} inside" if strake > land else f"{strake} outside"


def _changes(land: _Land | None, place: str, notation: Notation) -> tuple[str, ...]:
    """The bevel, what it is planed on and its depth at one place, with what was drawn if that is another."""
    if land is None:
        return ()
    if place not in land.built or place not in land.drawn:
        return ("–", "–", "–")
    now, before = (
        (written_bevel(one.angle), one.planed_on, notation.depth_cell(one.off))
        for one in (land.built[place], land.drawn[place])
    )
    return tuple(new if new == old else f"{new} ({old})" for new, old in zip(now, before, strict=True))
