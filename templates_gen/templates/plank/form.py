"""The blank form to measure a plank by, on a boat that has no drawing: its keys are those of the plank file."""

from templates_gen.drawing.piece import BLANK, Folio, Table
from templates_gen.templates.plank.section import plank_section
from templates_gen.templates.strakes.spiling_sketch import spiling_sketch

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
