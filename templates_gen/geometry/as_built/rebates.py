"""The rebates that were cut as drawn, and how deep they are to be for the boat as built: its stock is of another
thickness, or its planks come in at another angle.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from templates_gen.about import EndName
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebates import Rebate, rebates
from templates_gen.hull.model import Stem
from templates_gen.notation import Notation
from templates_gen.words import timber

TOLERANCE = 0.3
"""How near the depth of a rebate is kept, mm (the rebates' own table asks for it)."""

_LEAST = 0.1
"""In a timber that is to be cut anew a change of less than this is left as it is, mm."""


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
