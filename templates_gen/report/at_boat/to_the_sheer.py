"""What is next on the boat as built: the next strake's marks, and whether the rest comes fair to the sheer."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.geometry.as_built.boat import Relined, drawn_widths, places_along
from templates_gen.geometry.as_built.moulds import humps
from templates_gen.geometry.planking import PlankedShell
from templates_gen.report.finding import Finding
from templates_gen.report.places import at_named, spoken_at, stops_of

Array = NDArray[np.float64]

SHOWN = 0.1
"""A strake made narrower or wider by more than this share looks different from its neighbours (common practice)."""

LEAST_SHARE = 0.005
"""A smaller share of its width is not written: it rounds to 0 %."""

KINK = 2.0
"""A land bent by more than this, beyond what was drawn, between the moulds on either side is seen, mm (common
practice)."""


def what_is_next(drawn: PlankedShell, relined: Relined) -> Iterator[Finding]:
    """Yield where the next strake's marks go, and whether what is left comes fair to the sheer."""
    if relined.hung == drawn.planking.strakes:
        text = "every strake is hung: nothing is left to make"
        if drawn.hull.inside:
            text = "every strake is hung: what fits inside is left to make"
        yield Finding("note", "land", text, About("boat"))
        return
    if relined.hung == 0:
        text = "no strake is hung yet: the marks stay where they are drawn, and strake 1 is next"
        has_shifts = bool(relined.moved.any())
        yield _marks_note(drawn, relined) if has_shifts else Finding("note", "land", text, About("strake", 1))
        return
    yield _marks_note(drawn, relined)
    yield _width_finding(drawn, relined)
    yield from _kink_findings(drawn, relined)


def _marks_note(drawn: PlankedShell, relined: Relined) -> Finding:
    """By how much the next strake's marks are shifted before it is lined off."""
    places, notation, strake = stops_of(drawn.hull), drawn.hull.notation, relined.hung + 1
    by = relined.moved[strake - 1]
    shifts = []
    for way, turn in (("sheer", 1.0), ("keel", -1.0)):
        cells = [
            f"{notation.spoken_fine(turn * float(one))} {at_named(place)}"
            for place, one in zip(places, by, strict=True)
            if turn * one > 0.0 and notation.fine(one) != notation.fine(0.0)
        ]
        shifts += [f"toward the {way} by {', '.join(cells)}"] if cells else []
    text = f"strake {strake} is next: its marks stay where they are drawn"
    if shifts:
        text = f"strake {strake} is next: shift its marks {'; '.join(shifts)}"
    return Finding("note", "land", text, About("strake", strake), key=("strake", str(relined.hung)))


def _width_finding(drawn: PlankedShell, relined: Relined) -> Finding:
    """How much wider or narrower than drawn a strake still to be made becomes, where that is most.

    From mark to mark along the moulds and ends as they stand, which is how it is cut.
    """
    places, notation, hung = stops_of(drawn.hull), drawn.hull.notation, relined.hung
    widths = np.stack(list(drawn_widths(drawn).values()), axis=1)[hung:]
    change = np.diff(relined.moved[hung - 1 :], axis=0)
    row, at = np.unravel_index(int(np.argmax(np.abs(change) / widths)), change.shape)
    by, about = float(change[row, at]), About("strake", hung + int(row) + 1, place=places[at])
    share, key = by / float(widths[row, at]), ("strake", str(hung))
    what = (
        f"{spoken_at(about)} becomes {notation.spoken_fine(abs(by))} {'wider' if by > 0.0 else 'narrower'} than drawn"
    )
    if abs(share) >= LEAST_SHARE:
        what += f", {abs(share) * 100.0:.0f} % of its width"
    if abs(share) > SHOWN:
        text = (
            f"{what}; more than {SHOWN * 100.0:.0f} % shows. The sheer is where it was drawn; bring the edge back, "
            "or line off by eye"
        )
        return Finding("warning", "land", text, about, by, f"within {SHOWN:.0%}", key)
    moves = notation.spoken_fine(float(np.abs(relined.off_lands[hung:]).max()))
    is_as_drawn = relined.moulds is None or not relined.moulds.out_of_place
    text = (
        f"the lands above strake {hung} move by {moves} at most and run fair to the sheer, which stays where it was "
        "drawn"
    )
    if not is_as_drawn:
        text = f"seen from the side, {text}"
    if notation.fine(by) != notation.fine(0.0):
        text += f"; the greatest change: {what}"
    return Finding("note", "land", text, about, by, None, key)


def _kink_findings(drawn: PlankedShell, relined: Relined) -> Iterator[Finding]:
    """Lands bent, by what was built, off the straight between the moulds on either side."""
    places, notation, along = stops_of(drawn.hull), drawn.hull.notation, places_along(drawn)
    for land in range(relined.hung, drawn.planking.strakes):
        kink = _kinks(relined, land, along[land - 1])
        worst = int(np.argmax(np.abs(kink)))
        if abs(kink[worst]) <= KINK:
            continue
        by, about = float(kink[worst]), About("land", land, place=places[worst + 1])
        cure = "line it off by eye"
        if land == relined.hung:
            cure = "sight along it and plane it fair before the next strake"
        text = (
            f"{spoken_at(about)} is not fair: it is {notation.spoken_fine(abs(by))} too near the "
            f"{'sheer' if by > 0.0 else 'keel'} between the places on either side; {cure}"
        )
        yield Finding("warning", "land", text, about, by, 0.0, ("strake", str(relined.hung)))


def _kinks(relined: Relined, land: int, s: Array) -> Array:
    """How far a land is bent at each station, mm; 0 where nothing is known of the mark there."""
    kink = humps(s[None], relined.off_lands[land - 1 : land])[0, 1:-1]
    for slip in relined.left_out:
        if slip.strake == land and 0 < slip.place < len(s) - 1:
            kink[slip.place - 1] = 0.0
    return kink
