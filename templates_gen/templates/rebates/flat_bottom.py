"""A flat bottom's true shape, laid flat along its rocker."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import arrow, line
from templates_gen.drawing.piece import Facing, Label, Path, Piece, Role, Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_bottom import FlatBottom
from templates_gen.notation import Notation
from templates_gen.templates.rebates.cards import Row, rows_of_text
from templates_gen.units import MM_PER_INCH, format_angle
from templates_gen.words import piece_name

Array = NDArray[np.float64]

_ROW = 5.0
_BESIDE = 2.5

_NOTES = (
    "Lengths run along the rocker, so the piece is longer than the bottom's plan. Turn it over on the centreline "
    "for the other half.",
    "The edge is where the garboard's inner face meets the underside. With a positive bevel the upper face is the "
    "larger, by the bottom's thickness times the figure written at each mould: saw to the larger, square, "
    "then plane to this line.",
)


def flat_bottom_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return the half of a flat bottom as the piece "bottom"; nothing where the keel is rebated or has a hog.

    x runs aft along the rocker from the bottom's fore end, y out from the centreline.
    """
    bottom = boat.flat_bottom
    if bottom is None:
        return ()
    paths = [Path(bottom.outline, Role.CUT, closed=True)]
    labels = list(_words(bottom))
    for index, (x, half) in enumerate(bottom.stations):
        paths.append(line(Role.SCRIBE, (float(x), 0.0), (float(x), float(half))))
        labels += _station_words(boat, bottom, index)
    x_first = float(bottom.stations[0, 0])
    paths.append(arrow((x_first / 2 + 12.0, -8.0), (x_first / 2 - 12.0, -8.0)))
    labels.append(Label("FORE", (x_first / 2 + 15.0, -9.5), 4.0))
    title = (
        "Flat bottom: half of the underside, laid flat along its rocker",
        "with the writing upright FORE is left: PORT half seen from BELOW; turn over for the starboard half",
        "net at the underside: read the bevel at each mould",
    )
    about, facing = About("bottom"), Facing("port", "half of the underside, seen from BELOW")
    notation = boat.hull.notation
    notes = (*_NOTES, _left_long(notation), _bending(bottom, notation))
    return (
        Piece(
            piece_name(about),
            "rebates",
            title,
            tuple(paths),
            (),
            tuple(labels),
            notes,
            about=about,
            facing=facing,
        ),
    )


def flat_bottom_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the bottom's length along the rocker, half-breadth and bevel at each station, if it is flat."""
    bottom, notation = boat.flat_bottom, boat.hull.notation
    if bottom is None:
        return ()
    rows = tuple(
        (
            station.name,
            notation.length(float(x)),
            notation.length(float(half)),
            format_angle(float(bevel)),
            notation.rise(float(bevel)),
        )
        for station, (x, half), bevel in zip(boat.hull.stations, bottom.stations, bottom.bevels, strict=True)
    )
    columns = (
        "Station",
        notation.heading("Along the\nrocker"),
        notation.heading("Half-breadth\nof underside"),
        "Bevel",
        f"Upper face larger,\n{notation.rise_heading}",
    )
    return (Table("Flat bottom, laid flat", columns, rows, (_bending(bottom, notation),)),)


def _left_long(notation: Notation) -> str:
    return (
        "Leave both ends long until stem and transom are fitted. "
        f"Leave the garboard {notation.about(6.0)} proud and plane it flush."
    )


def _bending(bottom: FlatBottom, notation: Notation) -> str:
    """What the bottom's own thickness does to its length."""
    each = "1 in" if notation.is_in_64ths else "10 mm"
    closer = notation.spoken_depth((MM_PER_INCH if notation.is_in_64ths else 10.0) / 2 * bottom.turn)
    return (
        "The hull file does not give the thickness of the bottom. If you bend it to its rocker, set the stations "
        "closer "
        f"together, by {closer} over the whole length for each {each} of thickness "
        "(half the thickness times the rocker's turn)."
    )


def _half_breadth(bottom: FlatBottom, x: float) -> float:
    """The bottom's half-breadth at a length along the rocker, mm."""
    edge = bottom.outline[bottom.outline[:, 1] > 0.0]
    return float(np.interp(x, edge[:, 0], edge[:, 1], left=0.0, right=0.0))


def _station_words(boat: Boat, bottom: FlatBottom, index: int) -> tuple[Label, ...]:
    """A station's name, half-breadth and bevel along its line, on the side toward amidships."""
    station, notation = boat.hull.stations[index], boat.hull.notation
    x, half = (float(v) for v in bottom.stations[index])
    bevel = float(bottom.bevels[index])
    rows: list[Row] = [
        (f"{'mould' if station.mould else 'station'} {station.name}", station.name),
        (f"half-breadth {notation.length(half)}", notation.length(half)),
        (f"bevel {format_angle(bevel)}, {np.tan(bevel):+.2f} × thickness", f"bevel {format_angle(bevel)}"),
    ]
    aft = index < len(boat.hull.stations) / 2
    width = _ROW * len(rows) + _BESIDE
    first = x + _BESIDE + 4.0 if aft else x - _BESIDE - _ROW * (len(rows) - 1)
    room = min(half, _half_breadth(bottom, x + width if aft else x - width)) - 8.0
    return rows_of_text(rows, np.array([first, 4.0]), np.pi / 2, room)


def _words(bottom: FlatBottom) -> tuple[Label, ...]:
    """The piece's name and hand, in the middle bay."""
    x, half = bottom.stations[:, 0], bottom.stations[:, 1]
    bay = max((len(x) - 1) // 2, 0)
    start, stop = float(x[bay]) + 26.0, float(x[bay + 1]) - 26.0
    rows: list[Row] = [
        ("FLAT BOTTOM, half of the UNDERSIDE", "BOTTOM, UNDERSIDE", "BOTTOM"),
        ("PORT, seen from below: turn over for starboard", "PORT, from below"),
        ("centreline below, edge under the garboard above", "centreline below"),
    ]
    room = float(min(half[bay], half[bay + 1]))
    if room < _ROW * (len(rows) + 1):
        rows = rows[: max(int(room / _ROW) - 1, 0)]
    return rows_of_text(rows, np.array([start, 2.5 + _ROW * max(len(rows) - 1, 0)]), 0.0, stop - start)
