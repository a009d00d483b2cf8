"""The form to write down on paper how a strake hangs: at each place of measuring, each side and direction a box."""

from collections.abc import Sequence

import numpy as np

from templates_gen.about import About
from templates_gen.drawing.piece import BLANK, Folio, Label, Path, Piece, Role, Table
from templates_gen.hull.measured.as_built import place_titles
from templates_gen.hull.measured.hung_strakes import FEWEST
from templates_gen.hull.model import Hull
from templates_gen.words import piece_name

_BOX = "…………………"
_COLUMNS = tuple(f"{side}:\ntoward {way}" for side in ("port", "starboard") for way in ("SHEER", "KEEL"))
_TEXT = 2.0


def measure_folio(hull: Hull, numbers: Sequence[int]) -> Folio:
    """Return the blank forms of strakes, by their numbers, and a sketch of what is measured."""
    title = f"Strake {numbers[0]} as hung" if len(numbers) == 1 else "Strakes as hung"
    return Folio(
        "strakes",
        title,
        (),
        tuple(measure_form(hull, one) for one in numbers),
        sketch=measure_sketch(_has_moulds(hull)),
    )


def measure_form(hull: Hull, number: int) -> Table:
    """Return one strake's blank form."""
    return Table(
        f"Strake {number} as hung",
        (f"place\n({hull.notation.fine_units})", *_COLUMNS),
        tuple((title, *[_BOX] * len(_COLUMNS)) for title in place_titles(hull)),
        (*_sizes(hull, number), *_how(hull)),
        is_form=True,
        rows_together=1,
        about=About("strake", number),
    )


def _sizes(hull: Hull, number: int) -> tuple[str, ...]:
    """The blanks for stock and lap, with what is drawn."""
    planking, notation = hull.planking, hull.notation
    drawn = notation.spoken_thickness(planking.thickness[number - 1])
    text = f"Thickness of strake {number}: {BLANK} drawn {drawn}."
    if number < planking.strakes:
        lap = notation.spoken_length(planking.lap_on(number))
        text += f" Lap set off on it for strake {number + 1}: {BLANK} drawn {lap}."
    return (f"{text} Leave blank what is as drawn.",)


def _has_moulds(hull: Hull) -> bool:
    return any(station.mould for station in hull.stations)


def _how(hull: Hull) -> tuple[str, ...]:
    """What to measure, and from which mark."""
    marks = "drawn when the moulds were made" if _has_moulds(hull) else "set out from the drawing"
    finest = "half a millimetre" if hull.notation.fine_units == "mm" else "a sixteenth of an inch"
    return (
        "Measure how far the upper inside corner of the strake is from its mark, along the section. Measure from the "
        f"marks that were {marks}, not from those that you have shifted since.",
        f"Write each figure in the box of its direction, to {finest}; write 0 where the corner is on its mark. The "
        f"sheer is below on a boat that is built keel up. Measure at {FEWEST} places or more on each side. If you "
        "measure one side for both, cross out the other.",
        f"Boat: {hull.name}, drawing {hull.fingerprint or '–'}. Date: {BLANK}",
    )


def measure_sketch(has_moulds: bool = True) -> Piece:
    """Return the sketch, in the first quadrant, not to scale: a mould's edge, the drawn mark, and the corner.

    On a boat without moulds the edge is called the section, and the marks are those set out from the drawing.
    """
    edge = ("edge of", "the mould") if has_moulds else ("section", "as drawn")
    origin = ("mark drawn when the", "moulds were made") if has_moulds else ("mark set out", "from the drawing")
    foot, up = np.array([14.0, 8.0]), np.array([0.28, 0.96])
    out = np.array([up[1], -up[0]])
    mark, corner = foot + 40.0 * up, foot + 56.0 * up
    plank = np.array([foot + 10.0 * up, corner, corner + 9.0 * out, foot + 10.0 * up + 9.0 * out])
    aside = -7.0 * out
    paths = (
        Path(np.array([foot, foot + 78.0 * up]), Role.SCRIBE),
        Path(plank, Role.SCRIBE, closed=True),
        Path(np.array([mark + 0.5 * aside, mark + 4.0 * out]), Role.DATUM),
        Path(np.array([corner + 0.8 * aside, corner]), Role.NOTE),
        *_arrow(mark + 0.4 * aside, corner + 0.4 * aside),
    )
    labels = (
        _label("Not to scale", 0.0, 92.0),
        _label("toward SHEER", *(foot + 80.0 * up)),
        _label("toward KEEL", *(foot - np.array([10.0, 6.0]))),
        _label("upper inside corner", *(corner + np.array([12.0, 3.0]))),
        _label("of the strake", *(corner + np.array([12.0, -0.5]))),
        _label(origin[0], *(mark + np.array([15.0, 0.0]))),
        _label(origin[1], *(mark + np.array([15.0, -3.5]))),
        _label(edge[0], *(foot + 68.0 * up - np.array([18.0, 0.0]))),
        _label(edge[1], *(foot + 68.0 * up - np.array([18.0, 3.5]))),
    )
    about = About("strake", part="sketch")
    return Piece(
        piece_name(about), "strakes", ("What is measured",), paths, labels=labels, is_paper=True, about=about
    )


def _arrow(start: np.ndarray, end: np.ndarray) -> list[Path]:
    """A line from a mark to a corner, with a head at the corner."""
    along = (end - start) / np.linalg.norm(end - start)
    across = np.array([-along[1], along[0]])
    barbs = np.array([end - 1.8 * (along - 0.4 * across), end, end - 1.8 * (along + 0.4 * across)])
    return [Path(np.array([start, end]), Role.NOTE), Path(barbs, Role.NOTE)]


def _label(text: str, x: float, y: float) -> Label:
    return Label(text, (x, y), _TEXT)
