"""Tables of the strakes: their measure, how hard they bend, and every ordinate from the datum."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.strake_marks import Datum, datum_of, outline_of, ticks_of
from templates_gen.hull.model import EndName, Hull
from templates_gen.templates.strakes_words import format_ordinate, spoken_place
from templates_gen.units import format_length

Array = NDArray[np.float64]


def strake_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the table of all strakes' measures, and for each strake its table of ordinates."""
    return (_measures(boat), *(_ordinates(boat.hull, strake) for strake in boat.strakes))


def _measures(boat: Boat) -> Table:
    rows = []
    for strake, measure, hang in zip(boat.strakes, boat.extents, boat.bendings, strict=True):
        sizes = (measure.length, measure.greatest_width, *measure.blank, measure.sweep)
        times = hang.least_bend_radius / boat.hull.planking.thickness[strake.number - 1]
        rows.append(
            (
                str(strake.number),
                *(format_length(size, boat.hull.units) for size in sizes),
                f"{strake.strip.most * 100.0:+.2f} / {strake.strip.least * 100.0:+.2f}",
                f"{hang.edge_stretch * 100.0:+.2f}",
                f"{np.degrees(hang.twist_per_metre):.0f}°",
                f"{times:.0f} t" if times < 1000.0 else "over 1000 t",
                hang.verdict,
            )
        )
    return Table(
        "Strakes: size and how hard they are to hang",
        (
            "strake",
            "net\nlength",
            "greatest\nwidth",
            "board\nlength",
            "board\nwidth",
            "sweep",
            "stretch,\nmost / least %",
            "edge, worst\n300 mm %",
            "twist, worst\nmetre",
            "least\nbend",
            "it",
        ),
        tuple(rows),
        (
            f"Lengths in {_unit_words(boat.hull)}. Board: the narrowest that holds the net line; add the rough wood.",
            "Sweep: how far the middle line leaves the straight. t: the strake's thickness.",
            "Stretch: + the bent plank is longer than the flat one, - shorter. The greatest at any point may sit in "
            "a corner; the verdict goes by the mean along an edge over its worst 300 mm.",
        ),
    )


def _unit_words(hull: Hull) -> str:
    return {"mm": "mm", "in": "inches", "ft-in-8": "feet-inches-eighths"}[hull.units]


def _ordinates(hull: Hull, strake: FlatStrake) -> Table:
    """Distance along the datum and ordinate of both edges at both ends, every station and every half-way."""
    fore, aft = strake.end("fore"), strake.end("aft")
    outline = outline_of(strake.edge("lower"), aft, strake.edge("upper"), fore)
    datum = datum_of(strake.line(0.5), outline)
    places = [
        ("fore corner", fore[0], fore[-1]),
        *((spoken_place(hull, mark.place), mark.lower, mark.upper) for mark in ticks_of(strake)),
        ("aft corner", aft[0], aft[-1]),
    ]
    rows = tuple(
        (name, *_measured(hull, datum, lower), *_measured(hull, datum, upper)) for name, lower, upper in places
    )
    return Table(
        f"Strake {strake.number}: ordinates from its datum line",
        ("place", "lower edge\nat", "lower edge\nordinate", "upper edge\nat", "upper edge\nordinate"),
        rows,
        (
            "Distances along the datum from square through the foremost point of the net line; ordinates square to "
            "it, up toward the SHEER edge. Run a batten through the points of each edge.",
            *_bow_note(hull, "fore", fore),
            *_bow_note(hull, "aft", aft),
        ),
    )


def _measured(hull: Hull, datum: Datum, point: Array) -> tuple[str, str]:
    along, ordinate = datum.measured(point)
    return format_length(along, hull.units), format_ordinate(ordinate, hull.units)


def _bow_note(hull: Hull, end: EndName, points: Array) -> tuple[str, ...]:
    """How far an end bows from the straight between its corners, where it can be seen."""
    chord = (points[-1] - points[0]) / np.linalg.norm(points[-1] - points[0])
    out = (points - points[0]) @ np.array([chord[1], -chord[0]]) * (1.0 if end == "aft" else -1.0)
    furthest = float(out[np.argmax(np.abs(out))])
    if abs(furthest) < 0.5:
        return ()
    way = "out" if furthest > 0.0 else "hollow"
    return (f"The {end} end is {way} of straight by {format_length(abs(furthest), hull.units)} at most.",)
