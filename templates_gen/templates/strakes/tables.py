"""Tables of the strakes: their measure, how hard they bend, and every ordinate from the datum."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.drawing.piece import Table
from templates_gen.geometry.bending import STRETCH_RUN, Bending
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import EdgeName, Extent, FlatStrake
from templates_gen.geometry.setting_out import SettingOut
from templates_gen.geometry.strake_marks import Datum
from templates_gen.hull.model import Hull
from templates_gen.notation import Notation
from templates_gen.stock.plan import PlankingPlan
from templates_gen.stock.rough import STEAM_ENDS, rough_board, sawn_lines
from templates_gen.stock.scarf_marks import plan_lines
from templates_gen.templates.strakes.at_marks import ordinate_cell
from templates_gen.words import on_sheet

Array = NDArray[np.float64]

Row = tuple[str, ...]

_NONE = "–"


def _measures_notes(notation: Notation) -> tuple[str, ...]:
    """What the columns mean."""
    return (
        "Net length: along the middle line, half-way between the edges, from the net line at the fore end to the net "
        "line at the after end. Net board: the narrowest that holds the net line. Sawn board: the same for the "
        f"strake as it is sawn, with its rough line and, if it takes steam, {notation.spoken_length(STEAM_ENDS)} "
        "left outside that line at each end, not drawn on the sheets.",
        "Sweep: how far the middle line is from straight. t: the strake's thickness.",
        "Stretch: + the bent plank is longer than the flat one, - shorter. The greatest anywhere may be in a corner. "
        "Whether a strake bends cold is judged by the mean along an edge over its worst "
        f"{notation.spoken_length(STRETCH_RUN)}.",
    )


_HOW_TO_SET_OUT = (
    "In all tables of ordinates, distances are along the datum, from a square line through the foremost point of the "
    "net line; ordinates are square to it, up toward the SHEER edge. Run a batten through all points of each edge, "
    "corner to corner. The numbered points keep it on the net line.",
)


def strake_tables(boat: Boat, plan: PlankingPlan | None = None) -> tuple[Table, ...]:
    """Return the table of all strakes' measures, and for each strake its table of ordinates, with a plan's scarfs."""
    scarfs = plan_lines(plan) if plan is not None else ((),) * len(boat.strakes)
    every = zip(boat.strakes, boat.settings_out, scarfs, strict=True)
    measures = _measures(boat)
    if plan is not None and any(plan.joints):
        measures = replace(measures, notes=(*measures.notes, f"Scarfs are for {plan.words}."))
    return (measures, *(_ordinates(boat.hull, strake, out, lines) for strake, out, lines in every))


def _measures(boat: Boat) -> Table:
    """The size of every strake and of its boards, and how hard it is to hang."""
    notation = boat.hull.notation
    columns = (
        "strake",
        notation.heading("net\nlength"),
        notation.heading("greatest net\nwidth"),
        notation.heading("net board\nlength"),
        notation.heading("net board\nwidth"),
        notation.heading("sawn board\nlength"),
        notation.heading("sawn board\nwidth"),
        notation.heading("sweep"),
        "greatest stretch\nanywhere, %",
        f"edges, over\n{notation.spoken_length(STRETCH_RUN)}, %",
        "twist, worst\nmetre",
        "tightest\nbend radius",
        "verdict",
    )
    every = zip(boat.strakes, boat.extents, boat.bendings, strict=True)
    rows = tuple(_measures_row(boat, strake, extent, hang) for strake, extent, hang in every)
    rows_about = tuple(About("strake", strake.number) for strake in boat.strakes)
    title = "Strakes: size and how hard they are to hang"
    return Table(
        title, columns, rows, _measures_notes(notation), word_columns=(len(columns) - 1,), rows_about=rows_about
    )


def _measures_row(boat: Boat, strake: FlatStrake, extent: Extent, hang: Bending) -> Row:
    hull, board = boat.hull, rough_board(strake, sawn_lines(boat, strake))
    sizes = (extent.length, extent.greatest_width, *extent.blank, *board, extent.sweep)
    times = hang.least_bend_radius / hull.planking.thickness[strake.number - 1]
    return (
        str(strake.number),
        *(hull.notation.length(size) for size in sizes),
        f"{strake.strip.most * 100.0:+.2f} / {strake.strip.least * 100.0:+.2f}",
        f"{hang.edge_stretch * 100.0:+.2f}",
        f"{np.degrees(hang.twist_per_metre):.0f}°",
        f"{times:.0f} t" if times < 1000.0 else "over 1000 t",
        hang.verdict,
    )


def _ordinates(hull: Hull, strake: FlatStrake, out: SettingOut, scarfs: Sequence[Array]) -> Table:
    """Distance along the datum and ordinate of both edges at every place, and of the points between them."""
    return ordinates_table(strake.number, (strake.end("fore"), strake.end("aft")), out, scarfs, hull.notation)


def ordinates_table(
    number: int,
    ends: tuple[Array, Array],
    out: SettingOut,
    scarfs: Sequence[Array],
    notation: Notation,
    is_first: bool | None = None,
) -> Table:
    """Return a strake's ordinates at every place and at the points between them.

    Parameters
    ----------
    number : int
    ends : (Array, Array)
        The net fore and after end, from the lower corner to the upper one, each shape (p, 2).
    out : SettingOut
    scarfs : sequence of Array
        Lines of the scarfs, each shape (2, 2).
    notation : Notation
    is_first : bool or None
        Whether the table says how all of them are used; None: that of the garboard does.
    """
    fore, aft = ends
    return Table(
        f"Ordinates from the datum line: strake {number}",
        (
            "place",
            notation.heading("lower edge\nat"),
            f"lower edge\nordinate ({notation.fine_units})",
            notation.heading("upper edge\nat"),
            f"upper edge\nordinate ({notation.fine_units})",
        ),
        (*_ordinate_rows(ends, out, notation), *_scarf_rows(notation, out, scarfs)),
        (
            *(_HOW_TO_SET_OUT if (number == 1 if is_first is None else is_first) else ()),
            *_bow_note(notation, "fore", fore),
            *_bow_note(notation, "aft", aft),
        ),
        word_columns=(0, 2, 4),
        about=About("strake", number),
    )


def _ordinate_rows(ends: tuple[Array, Array], out: SettingOut, notation: Notation) -> list[Row]:
    """A row for each place of a strake and for each point between two of them, fore to aft."""
    fore, aft = ends
    both = [
        ("fore corner", fore[0], fore[-1]),
        *((on_sheet(mark.place), mark.lower, mark.upper) for mark in out.ticks),
        ("aft corner", aft[0], aft[-1]),
    ]
    keyed: list[tuple[tuple[int, int], Row]] = [
        ((place, 0), (name, *_measured(notation, out.datum, low), *_measured(notation, out.datum, high)))
        for place, (name, low, high) in enumerate(both)
    ]
    lower, upper = [low for _, low, _ in both], [high for _, _, high in both]
    keyed += _between(notation, out, "lower", np.array(lower))
    keyed += _between(notation, out, "upper", np.array(upper))
    return [cells for _, cells in sorted(keyed, key=lambda row: row[0])]


def _scarf_rows(notation: Notation, out: SettingOut, scarfs: Sequence[Array]) -> list[Row]:
    """Where both lines of each scarf meet the edges."""
    rows: list[Row] = []
    for number, line in enumerate(scarfs):
        low, high = line[np.argsort(line[:, 1])]
        name = f"scarf {number // 2 + 1}, {'scribed line' if number % 2 else 'short dashes'}"
        rows.append((name, *_measured(notation, out.datum, low), *_measured(notation, out.datum, high)))
    return rows


def _between(notation: Notation, out: SettingOut, which: EdgeName, knots: Array) -> list[tuple[tuple[int, int], Row]]:
    """A row for each point of one edge between the places, keyed by the place that it comes after and its number."""
    rows: list[tuple[tuple[int, int], Row]] = []
    for point, number in zip(out.between(which), out.numbers(which).tolist(), strict=True):
        cells = _measured(notation, out.datum, point)
        place = int(np.searchsorted(knots[:, 0], point[0])) - 1
        none = (_NONE, _NONE)
        row = (f"point {number}", *(cells if which == "lower" else none), *(none if which == "lower" else cells))
        rows.append(((max(place, 0), number), row))
    return rows


def _measured(notation: Notation, datum: Datum, point: Array) -> tuple[str, str]:
    along, ordinate = datum.measured(point)
    return notation.length(along), ordinate_cell(ordinate, notation)


def _bow_note(notation: Notation, end: EndName, points: Array) -> tuple[str, ...]:
    """How far an end bows from the straight between its corners, where it can be seen."""
    chord = (points[-1] - points[0]) / np.linalg.norm(points[-1] - points[0])
    out = (points - points[0]) @ np.array([chord[1], -chord[0]]) * (1.0 if end == "aft" else -1.0)
    furthest = float(out[np.argmax(np.abs(out))])
    if abs(furthest) < 0.5:
        return ()
    way = "bows out" if furthest > 0.0 else "is hollow"
    return (f"The {end} end {way} from straight, by {notation.spoken_fine(abs(furthest))} at most.",)
