"""What a mould or an end that stands out of its place does to the planking still to be hung, and what cures it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.geometry.as_built.boat import Relined, as_built_boat, is_fitted, places_along
from templates_gen.geometry.as_built.moulds import MouldsAsTheyStand, TooFar, humps, too_far
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import AsBuilt, place_names, standing_name
from templates_gen.hull.measured.moulds import StandingMould, way_words
from templates_gen.hull.model import Hull, Stem
from templates_gen.report.finding import Finding
from templates_gen.report.places import named, stops_of
from templates_gen.words import numbered

Array = NDArray[np.float64]

SEEN = 3.0
"""A hump or a hollow of the planking by more than this, over a mould, is seen, mm (common practice)."""


def mould_findings(drawn: PlankedShell, relined: Relined) -> Iterator[Finding]:
    """Yield for each mould or end out of its place what it does; `key` is a key of the as-built file."""
    stand, count = relined.moulds, drawn.planking.strakes
    if stand is None or not stand.out_of_place:
        return
    along, first = places_along(drawn), min(relined.hung, count - 1) + 1
    far = {one.mould: one for one in too_far(drawn, stand, along, first)}
    for place in stand.out_of_place:
        yield _mould_finding(drawn, relined, place, _bent(along[first - 1 :], stand.proud[first - 1 :], place))
        if place in far:
            yield _far_finding(drawn, far[place])


@dataclass(frozen=True)
class _Bent:
    """Where a mould or an end out of its place bends the planking the most, by its place, and how far out, mm."""

    over: int
    by: float


def _bent(along: Array, proud: Array, place: int) -> _Bent:
    """What a mould bends over itself, and an end over the station next to it, of the lands given."""
    over = min(max(place, 1), along.shape[1] - 2)
    if over != place:  # what an end does by itself
        alone = np.zeros_like(proud)
        alone[:, place] = proud[:, place]
        proud = alone
    hump = humps(along, proud)[:, over]
    return _Bent(over, float(hump[np.argmax(np.abs(hump))]))


def _mould_finding(drawn: PlankedShell, relined: Relined, place: int, bent: _Bent) -> Finding:
    """How a mould or an end stands, and what that does to the sheer and to the next strake."""
    stand, notation = relined.moulds, drawn.hull.notation
    assert stand is not None
    name = standing_name(drawn.hull, place)
    parts = [
        f"{name} stands {way_words(stand.shifts[place].tolist(), notation)}",
        f"the sheer comes {_proud_words(float(stand.proud[-1, place]), drawn)}",
        *_sheer_words(drawn, relined, place),
    ]
    if relined.hung < drawn.planking.strakes:
        parts += _next_words(drawn, relined, place)
    about, where, key = _about(drawn.hull, place)
    text = f"{parts[0]}: {', '.join(parts[1:])}"
    if abs(bent.by) <= SEEN:
        return Finding("note", about, text, where, bent.by, 0.0, key)
    return Finding(
        "warning", about, f"{text}. {_bent_words(drawn.hull, stand, place, bent)}", where, bent.by, 0.0, key
    )


def _bent_words(hull: Hull, stand: MouldsAsTheyStand, place: int, bent: _Bent) -> str:
    """What is seen of the bend, and what cures it; a plank lies fair over no end, so its edge stays as it is."""
    is_hump = bent.by > 0.0
    what = f"The planking shows a {'hump' if is_hump else 'hollow'} of {hull.notation.spoken_fine(abs(bent.by))} over"
    if bent.over == place:
        return f"{what} it; {'plane its edge or move it in' if is_hump else 'pack its edge out or move it out'}"
    name = standing_name(hull, place)
    cure = f"set {name} up again"
    if stand.shifts[place, 1] * bent.by < 0.0:  # it stands out over a hollow, or in over a hump
        cure = f"move {name} {'out' if is_hump else 'in'}, or set it up again"
    return f"{what} {named(stops_of(hull)[bent.over])}, next to it; {cure}"


def _about(hull: Hull, place: int) -> tuple[str, About, tuple[str, ...]]:
    """What a finding about a mould or an end is about, in a word and as values, and its key of the as-built file."""
    name = place_names(hull)[place]
    if name not in ("fore", "aft"):
        return "mould", About("mould", place=stops_of(hull)[place]), ("mould", name)
    end: EndName = "fore" if name == "fore" else "aft"
    if isinstance(hull.end(end), Stem):
        return "rebate", About("stem", end=end), ("end", name)
    return "transom", About("transom", end=end), ("end", name)


def _proud_words(proud: float, drawn: PlankedShell) -> str:
    """How far outside its drawn line the sheer stands; its height is brought back."""
    notation = drawn.hull.notation
    if notation.fine(proud) == notation.fine(0.0):
        return "where it was drawn"
    return f"{notation.spoken_fine(abs(proud))} {'outside' if proud > 0.0 else 'inside'} its drawn line there"


def _sheer_words(drawn: PlankedShell, relined: Relined, place: int) -> list[str]:
    """By how much the sheer's mark is shifted; none of a sheer strake that is next, where that is its own mark."""
    notation, moved = drawn.hull.notation, float(relined.moved[-1, place])
    if relined.hung >= drawn.planking.strakes - 1 or notation.fine(moved) == notation.fine(0.0):
        return []
    return [f"its mark is shifted by {notation.toward(moved)} to keep its height"]


def _next_words(drawn: PlankedShell, relined: Relined, place: int) -> list[str]:
    """How much wider or narrower the next strake is made there, and by how much its mark is shifted."""
    notation, hung = drawn.hull.notation, relined.hung
    lands = relined.drawn_lands[:, place]
    wider = float(lands[hung] - lands[hung - 1]) if hung else 0.0
    moved = float(relined.moved[hung, place])
    is_shifted = notation.fine(moved) != notation.fine(0.0)
    mark = f"a mark shifted by {notation.toward(moved)}" if is_shifted else "its mark as drawn"
    width = ""
    if notation.fine(wider) != notation.fine(0.0):
        width = f" is {notation.spoken_fine(abs(wider))} {'wider' if wider > 0.0 else 'narrower'} for it, and"
    return [f"and strake {hung + 1}{width} runs to {mark}"]


def _far_finding(drawn: PlankedShell, one: TooFar) -> Finding:
    """A mould or an end that stands too far out of its place to plank over."""
    notation, places = drawn.hull.notation, stops_of(drawn.hull)
    name, by = standing_name(drawn.hull, one.mould), notation.spoken_fine(one.by)
    if one.clear_of is None:
        what = f"bends over it to a radius of {notation.spoken_length(one.by)}"
    elif one.clear_of == one.mould:
        what = f"stands {by} off it"
    else:
        what = f"bent over it stands {by} off {named(places[one.clear_of])}"
    text = (
        f"{name} stands too far out of its place to plank over: strake {one.land} {what}. "
        f"Bring its edge {'out' if one.cure > 0.0 else 'in'} by {notation.spoken_fine(abs(one.cure))} or more, or "
        f"set {'the mould' if one.mould in range(1, len(places) - 1) else 'it'} up again"
    )
    about, where, key = _about(drawn.hull, one.mould)
    return Finding("warning", about, text, where, one.by, None, key)


def with_moulds_at_fault(
    drawn: PlankedShell, measured: AsBuilt, found: Sequence[Finding], errors_of: Callable[[Hull], Sequence[Finding]]
) -> tuple[Finding, ...]:
    """Return the findings of a boat as built; errors that go when a mould or end stands as drawn are put down to it.

    That which is farther out is tried first. Each makes one error of them, with its key of the as-built file.
    `errors_of` returns the errors of a hull.
    """
    at_fault, rest = [], list(found)
    for one in sorted(measured.moulds, key=lambda one: -float(np.linalg.norm(one.off(measured.side)))):
        if not any(map(_stops_planking, rest)):
            break
        others = replace(measured, moulds=tuple(mould for mould in measured.moulds if mould is not one))
        left = {_fault(finding) for finding in errors_of(as_built_boat(drawn, others).hull)}
        caused = [finding for finding in rest if _stops_planking(finding) and _fault(finding) not in left]
        if caused:
            rest = [finding for finding in rest if finding not in caused]
            at_fault.append(_error(drawn.hull, measured, one, caused))
    return (*at_fault, *rest)


def _stops_planking(finding: Finding) -> bool:
    return finding.severity == "error" and not is_fitted(finding.where)


def _fault(finding: Finding) -> tuple[str, About | None]:
    """What an error is about; it may be found at another place of the same strake or land."""
    return finding.about, None if finding.where is None else replace(finding.where, place=None)


def _error(hull: Hull, measured: AsBuilt, one: StandingMould, caused: Sequence[Finding]) -> Finding:
    """That a mould or an end stands too far out of its place to plank."""
    place = place_names(hull).index(one.name)
    about, where, key = _about(hull, place)
    name = standing_name(hull, place)
    stopped = [numbered(finding.where) for finding in caused if finding.where is not None]
    text = (
        f"{name} stands {way_words(one.off(measured.side), hull.notation)}, too far out of its place to plank: "
        f"{stopped[0] if stopped else 'the planking'} cannot be made with {name} there; check the figures of "
        f"[{'.'.join(key)}], or set {name} up again"
    )
    return Finding("error", about, text, where, key=key)
