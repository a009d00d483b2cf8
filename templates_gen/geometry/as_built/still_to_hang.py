"""What changes for the strakes that are still to be hung: lands lined off anew, and rebates made to fit.

Lands stay fair to the sheer, and move no more than they must. A rebate that was cut as drawn does not fit where the
stock is of another thickness, or the planks come in at another angle.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebates import Rebate, rebates
from templates_gen.hull.model import Stem
from templates_gen.notation import Notation
from templates_gen.words import timber

Array = NDArray[np.float64]
TOLERANCE = 0.3
"""How near the depth of a rebate is kept, mm (the rebates' own table asks for it)."""

_LEAST = 0.1
"""In a timber that is to be cut anew a change of less than this is left as it is, mm."""


def relined(hung: Array, along: Array) -> Array:
    """Return how far each land above the last hung one moves, shape (r, p), mm; the last row is the sheer's, zero.

    Parameters
    ----------
    hung : Array, shape (p,)
        How far the last hung strake's upper edge stands above its marks, at each place fore to aft, mm.
    along : Array, shape (r, p)
        Where the places lie along each of the upper edges above it, the sheer's last, mm from its fore end.

    Notes
    -----
    Source: derived here. The least sum of squares of (1) the change of every strake's width at every place and (2)
    the bend that is put into every land, h^2 d''(s), h the mean distance between places. (1) alone shares a level
    error out evenly among the strakes to come; (2) keeps each land as fair as it was drawn: what is straight along
    the boat is only shared out, a wiggle from place to place is taken up by the next strake. Nothing moves
    when nothing has moved.
    """
    rows, places = along.shape
    free = rows - 1
    moved = np.zeros((rows, places))
    if free == 0:
        return moved
    blocks = [_widths(free, places), _bends(along[:free])]
    wanted = np.zeros(len(blocks[0]) + len(blocks[1]))
    wanted[:places] = hung
    moved[:free] = np.linalg.lstsq(np.vstack(blocks), wanted, rcond=None)[0].reshape(free, places)
    return moved


def _widths(free: int, places: int) -> Array:
    """Rows that say by how much each strake's width changes; the first strake's lower edge is the hung one."""
    steps = np.zeros((free + 1, free))
    steps[np.arange(free), np.arange(free)] = 1.0
    steps[np.arange(1, free + 1), np.arange(free)] = -1.0
    return np.asarray(np.kron(steps, np.eye(places)))


def _bends(along: Array) -> Array:
    """Rows that say what bend is put into each land at each place but its ends."""
    rows, places = along.shape
    bends = np.zeros((rows * (places - 2), rows * places))
    for k, s in enumerate(along):
        mean = (s[-1] - s[0]) / (places - 1)
        for i in range(1, places - 1):
            before, after = s[i] - s[i - 1], s[i + 1] - s[i]
            weight = 2.0 * mean**2 / (before + after)
            at = k * places + i
            bends[k * (places - 2) + i - 1, at - 1 : at + 2] = weight * np.array(
                [1.0 / before, -1.0 / before - 1.0 / after, 1.0 / after]
            )
    return bends


@dataclass(frozen=True)
class Recut:
    """One strake's rebate in one timber, at the place where its depth changes most: as drawn and as built, mm."""

    on: str
    strake: int
    drawn: float
    built: float

    @property
    def end(self) -> EndName | None:
        """The end of the boat that it is at, None on the keel."""
        return "fore" if self.on == "fore" else "aft" if self.on == "aft" else None


def recuts(drawn: PlankedShell, built: PlankedShell, hung: int) -> tuple[Recut, ...]:
    """Return where rebates cut as drawn do not fit the strakes above `hung`, keel first.

    Of every timber in which one is off by more than TOLERANCE.
    """
    before, after = ({(one.on, one.strake, one.place): one for one in rebates(shell)} for shell in (drawn, built))
    found: dict[tuple[str, int], Recut] = {}
    for key, one in after.items():
        if one.strake <= hung or key not in before or not _is_rebate(drawn, one):
            continue
        recut = Recut(one.on, one.strake, before[key].depth, one.depth)
        worst = found.get((one.on, one.strake))
        if worst is None or abs(recut.built - recut.drawn) > abs(worst.built - worst.drawn):
            found[one.on, one.strake] = recut
    off = {key: abs(one.built - one.drawn) for key, one in found.items()}
    timbers = {on for (on, _), by in off.items() if by > TOLERANCE}
    return tuple(one for key, one in found.items() if one.on in timbers and off[key] >= _LEAST)


def _is_rebate(drawn: PlankedShell, one: Rebate) -> bool:
    """Whether a rebate is cut there: not on a bevelled stem, nor on a keel under a hog or a flat bottom."""
    if one.on not in ("fore", "aft"):
        return drawn.hull.keel.joint == "rebate"
    member = drawn.hull.end("fore" if one.on == "fore" else "aft")
    return isinstance(member, Stem) and member.joint == "rebate"


def recut_sentences(found: tuple[Recut, ...], notation: Notation) -> Iterator[tuple[EndName | None, str]]:
    """Yield each timber whose rebate was cut too shallow or too deep, by its end, and what to do about it."""
    for end in dict.fromkeys(one.end for one in found):
        here = [one for one in found if one.end == end]
        for is_deeper, way, cure in ((True, "shallow", "deepen it"), (False, "deep", "pack it up")):
            cells = [
                f"for strake {one.strake} from {notation.depth(one.drawn)} to {notation.spoken_depth(one.built)}"
                for one in here
                if (one.built > one.drawn) == is_deeper and notation.depth(one.built) != notation.depth(one.drawn)
            ]
            if cells:
                yield end, f"the rebate of the {timber(end)}, cut as drawn, is too {way}: {cure} {', '.join(cells)}"
