"""The blank forms to write down at the boat: how its strakes hang, and a plank of a boat that has no drawing. Their
keys are those of the as-built file and of the plank file.
"""

from collections.abc import Sequence

import numpy as np

from templates_gen.about import About
from templates_gen.drawing.piece import BLANK, Folio, Label, Path, Piece, Role, Table
from templates_gen.hull.measured.as_built import place_titles
from templates_gen.hull.measured.hung_strakes import FEWEST
from templates_gen.hull.model import Hull
from templates_gen.templates.sketches import plank_section, spiling_sketch
from templates_gen.words import piece_name

_BOX = "…………………"
_COLUMNS = tuple(f"{side}:\ntoward {way}" for side in ("port", "starboard") for way in ("SHEER", "KEEL"))
_TEXT = 2.0

PLACES = 14
"""Blank lines between the two ends: timbers of a boat of four metres, every second one."""

_HOLES, _ACROSS = 78, 6
"""Blank cells for old holes, and how many stand in a row: a land of four metres."""

_ONCE = (
    ("boat", "name", "its name"),
    ("units", "units", "mm, in, ft-in-8 or eighths: all figures in one"),
    ("strake", "strake", "counted from the garboard, 1"),
    ("side", "side", "port or starboard"),
    ("sheer strake?", "sheer", "true where nothing laps over it"),
    ("thickness", "thickness", "of the plank"),
    ("", "thickness_below", "of the strake below"),
    ("lap", "lap", "of the land above, square to it"),
    ("", "lap_below", "of the land below, where it is another"),
    ("batten", "batten", "its thickness"),
    ("", "turn", "degrees that it turns from end to end, sighted along its edge, square to its face"),
    ("", "radius", "of the compass, where arcs are swung"),
    ("fastenings", "hole", "diameter"),
    ("", "old_holes", "where the strake below is old: fore to aft, in the last table"),
    ("", "first", "of the first and the last from the ends; not where old_holes are measured"),
    ("", "between", "how many between two measured places, on a timber that you skip too; or spacing"),
)
_ENDS = (
    ("on", "stem, transom, scarf or butt"),
    ("gerald", "its length, on the old plank or the strake below"),
    ("width_above", "inside, from upper mark to the upper edge of the strake above"),
    ("scarf", "its length, where the end is scarfed"),
    ("allowance", "wood to leave past the net end"),
    ("points", "two or three [along, offset], where the end is curved"),
)


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


def plank_form_folio() -> Folio:
    """Return the blank form: what is measured once, and what is measured at each place."""
    title = "Form for a plank without a drawing"
    tables = (_once(), _places(), _arcs(), _old_holes())
    return Folio("strakes", title, (plank_section(),), tables, sketch=spiling_sketch())


def _once() -> Table:
    rows = [(part, key, BLANK, words) for part, key, words in _ONCE]
    for end in ("fore", "aft"):
        rows += [(f"{end} end" if k == 0 else "", key, BLANK, words) for k, (key, words) in enumerate(_ENDS)]
    return Table(
        "Measured once",
        ("part", "in the file", "measured", "what it is"),
        tuple(rows),
        (
            "Leave blank what you cannot measure: it is not drawn, and nothing is guessed. The file needs at least "
            "format = 1, name, units, strake, side, thickness, lap, on for each end, both corners of each end and "
            "two places between them on each edge; where it has [fastenings], hole, and old_holes, or first with "
            "between or spacing.",
        ),
        is_form=True,
        word_columns=(0, 1, 3),
        rows_together=1,
    )


def _old_holes() -> Table:
    rows = tuple((f"{k} to {k + _ACROSS - 1}", *[_SHORT] * _ACROSS) for k in range(1, _HOLES, _ACROSS))
    return Table(
        "Old holes in the strake below: old_holes, fore to aft",
        ("number", *("along" for _ in range(_ACROSS))),
        rows,
        (
            "Where the strake below is old, hang the new plank through its holes. Measure each along the batten, "
            "from the point that the places are measured from. In [fastenings] write them in brackets, old_holes = "
            "[60, 112.5, 164], and leave first, between and spacing out.",
        ),
        is_form=True,
        rows_together=1,
    )


def _places() -> Table:
    names = ("fore corner", *("" for _ in range(PLACES)), "aft corner")
    return Table(
        "Measured at each place, fore to aft",
        (
            "place",
            "lower land:\nalong",
            "+ up /\n- down",
            "upper mark:\nalong",
            "+ up /\n- down",
            "bevel above\n(or gap, width)",
            "bevel below\n(or gap, width)",
        ),
        tuple((name, *[_SHORT] * 6) for name in names),
        (
            "Fasten the batten as it lies naturally, never forced sideways. Strike a straight line on it. Along: "
            "from one point of that line at the fore end, the same for all. Offsets: square to the line. Name each "
            "place as you name its timber; measure at every timber, seven places or more.",
            "Where you measure square to the batten both distances along are one figure: write it once, and put the "
            "place into [widths].",
            "Bevel: in degrees, square to the land, between the faces of the two strakes; minus where it is hollow. "
            "Or the gap under a straight scrap and the width along it, as the section shows. Read both lands before "
            "you take the old plank off.",
        ),
        is_form=True,
    )


def _arcs() -> Table:
    return Table(
        "By two arcs: centres",
        ("place", "edge", "forward centre:\nalong", "+ up /\n- down", "after centre:\nalong", "+ up /\n- down"),
        tuple((_SHORT,) * 6 for _ in range(PLACES)),
        (
            "The forward centre first. Use a line for each point that you swing arcs to "
            "in place of measuring an offset; its edge is lower or "
            'upper. In [lower] or [upper] write "timber 2" = [[280, 0], [340, 0]], and in the file the radius of the '
            "compass once.",
        ),
        is_form=True,
        word_columns=(0, 1),
    )


_SHORT = "……………"
