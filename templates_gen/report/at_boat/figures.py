"""Figures from the boat that look wrong: of whole strakes measured the wrong way, and slips at single places."""

from collections.abc import Iterator
from dataclasses import replace

from templates_gen.about import About
from templates_gen.geometry.as_built.boat import Relined
from templates_gen.geometry.as_built.slips import Slip
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import AsBuilt, half_way_names, place_names
from templates_gen.hull.measured.hung_strakes import DIRECTIONS
from templates_gen.hull.measured.moulds import HALF_BOAT
from templates_gen.hull.model import Hull, Midship
from templates_gen.hull.names import shown_key
from templates_gen.notation import Notation
from templates_gen.report.finding import Finding
from templates_gen.report.places import places_by_name, spoken_at
from templates_gen.units import MM_PER_INCH

_NEAR = 0.8


def mistake_findings(drawn: PlankedShell, measured: AsBuilt, relined: Relined) -> Iterator[Finding]:
    """Yield strakes that were measured the wrong way up or from the other mark."""
    notation = drawn.hull.notation
    for one in relined.mistakes:
        of = f"strake {one.strake}" if one.strake else "every strake"
        by = notation.toward(one.off)
        if one.or_strake:
            of += f", or as likely those of strake {one.or_strake},"
        if one.what == "signs":
            text = (
                f"the directions of {of} seem to be exchanged: turned round, the figures agree with where the "
                f"strakes were meant to come. {_directions_cure(measured, one.strake)}"
            )
        elif one.what == "shifted marks":
            text = (
                f"the figures of {of} seem to be measured from the shifted marks: from the drawn marks they agree "
                "with where the strakes were meant to come. Measure from the marks that were drawn when the moulds "
                "were made"
            )
        else:
            text = (
                f"on average, {of} is {by} of where its pattern was to bring it. Check that you "
                "measured from the drawn marks, in the right direction, and that it was cut from the newest pattern"
            )
        about = About("strake", max(one.strake, 1))
        yield Finding("warning", "offsets", text, about, one.off, key=("strake", str(max(one.strake, 1))))


def _directions_cure(measured: AsBuilt, strake: int) -> str:
    """What to do about directions that look exchanged, by the keys that the file has for them."""
    known = measured.source.places if measured.source is not None else {}
    table = ("strake", str(strake)) if strake else ("strake",)
    has_words = any(path[: len(table)] == table and {"toward_sheer", "toward_keel"} & set(path) for path in known)
    if has_words:
        return (
            "Check what is under toward_sheer and what under toward_keel: on a boat that is built keel up the sheer "
            "is below"
        )
    return (
        "Plus is toward the sheer, also on a boat that is built keel up, where the sheer is below; write them under "
        "toward_sheer and toward_keel"
    )


def slip_findings(drawn: PlankedShell, measured: AsBuilt, relined: Relined) -> Iterator[Finding]:
    """Yield figures that the rest of their edge does not bear out, with what is made of them."""
    places, notation = places_by_name(drawn.hull), drawn.hull.notation
    for slip in relined.slips:
        name = relined.measured_at[slip.place]
        about = About("strake", slip.strake, place=places[name])
        value, expected = notation.toward(slip.value), notation.toward(slip.expected)
        text = f"{spoken_at(about)}: {value} was measured, where the rest of its edge leads to {expected}"
        key = _figure_key(measured, slip.strake, name)
        note = Finding("note", "offsets", text, about, slip.value, slip.expected, key,
                       difference=slip.value - slip.expected)  # fmt: skip
        if slip.is_shared:
            yield replace(note, text=f"{note.text}; {_shared_words(note, measured, drawn.hull)}")
            continue
        yield _judged(
            note, slip, notation, stand_ins_for(name, figures_used(drawn.hull, measured, relined, slip.strake))
        )


def _figure_key(measured: AsBuilt, strake: int, place: str) -> tuple[str, ...]:
    """Return the key of a figure in the as-built file."""
    known = measured.source.places if measured.source is not None else {}
    remade = ("remade",) if measured.strakes[strake - 1].is_remade else ()
    table = ("strake", str(strake), *remade, *((measured.side,) if measured.side else ()))
    if measured.side and table not in known:
        table = table[:-1]
    keys = ((*table, key, place) for key in DIRECTIONS)
    return next((key for key in keys if key in known), (*table, "above_mark", place))


def _shared_words(note: Finding, measured: AsBuilt, hull: Hull) -> str:
    """What is made of a figure that the strake next to it confirms."""
    text = "the strake next to it is off in the same way, so it was built that way"
    place = None if note.where is None else note.where.place
    if place is None or place.kind not in ("station", "end"):
        return text
    if place.kind == "station" and not place.has_mould:
        return text
    what = "end" if place.kind == "end" else "mould"
    table = f"[{what}.{shown_key(place.station)}]"
    if place.station in (mould.name for mould in measured.moulds):
        return f"{text}. {table} does not explain it; measure again how the {what} stands"
    if isinstance(hull.aft, Midship) and place.station == hull.aft.station.name:
        return f"{text}. {HALF_BOAT}"
    return f"{text}. If the {what} stands out of its place, write how under {table}"


def _judged(note: Finding, slip: Slip, notation: Notation, stand_ins: str) -> Finding:
    """A figure that does not fit, with what is made of it; `stand_ins` are the figures that are used in its place."""
    if slip.is_alone:
        text = (
            f"{note.text}; this may be a slip of measuring{_hint(note, slip, notation)}. It is used, because nothing "
            "next to it was measured; measure it again, and the place next to it too"
        )
        return replace(note, severity="warning", text=text)
    if not slip.is_left_out:
        return replace(note, text=f"{note.text}; you are sure of it, so it is used")
    text = (
        f"{note.text}; this looks like a slip of measuring{_hint(note, slip, notation)}. It is left out, and "
        f'{stand_ins} used instead. Measure it again; if it is right, write sure = ["{note.key[-1]}"] under '
        f"[{'.'.join(str(part) for part in note.key[:-2])}]"
    )
    return replace(note, severity="warning", text=text)


def figures_used(hull: Hull, measured: AsBuilt, relined: Relined, strake: int) -> dict[str, bool]:
    """Return every place of a hung strake, fore to aft, with whether its figure is used."""
    left_out = {relined.measured_at[slip.place] for slip in relined.left_out if slip.strake == strake}
    used = set(measured.strakes[strake - 1].above_mark) - left_out
    stops, between = place_names(hull), half_way_names(hull)
    every = [name for pair in zip(stops, (*between, ""), strict=True) for name in pair if name]
    return {name: name in used for name in every}


def stand_ins_for(name: str, used: dict[str, bool]) -> str:
    """Return which figures are used in place of one that is not there: the subject of a sentence, with its verb."""
    every = list(used)
    at = every.index(name)
    is_forward, is_aft = (any(used[one] for one in some) for some in (every[:at], every[at + 1 :]))
    if is_forward and is_aft:
        return "the figures on either side are"
    return f"a guess from the figures {'forward' if is_forward else 'aft'} of it is"


def _hint(note: Finding, slip: Slip, notation: Notation) -> str:
    """A likely cause, where the figure fits one; of inches only where the boat is drawn in them."""
    miss = slip.value - slip.expected
    if abs(slip.value + slip.expected) < _NEAR < abs(slip.expected):
        has_words = note.key[-2] in ("toward_sheer", "toward_keel")
        return f", with {'its direction' if has_words else '+ and -'} exchanged"
    sizes = ((10.0, "10 mm"), (100.0, "100 mm")) if notation.units == "mm" else ((MM_PER_INCH, "an inch"),)
    for length, words in sizes:
        if abs(abs(miss) - length) < _NEAR:
            return f", {words} too {'much' if miss > 0.0 else 'little'}"
    return ""
