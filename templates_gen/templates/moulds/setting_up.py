"""The setting-up sheet of the moulds, where timbers stand, and the tables of lands to check port by starboard."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName
from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import riveted_timbers
from templates_gen.geometry.places import station_place
from templates_gen.hull.model import Hull, Midship, Transom
from templates_gen.templates.moulds.outline import Mould, diagonals, moulds_of
from templates_gen.words import on_sheet, timber

Array = NDArray[np.float64]


@dataclass(frozen=True)
class CheckColumn:
    """One place to check: its name, and the rabbet's and every land's (x, half-breadth, height), (N + 1, 3), mm."""

    name: str
    points: Array


def mould_tables(boat: Boat) -> tuple[Table, ...]:
    """Return the setting-up sheet, and the tables that port and starboard are compared by."""
    moulds = moulds_of(boat)
    columns = check_columns(boat)
    base = boat.hull.moulds.base
    above = boat.hull.notation.spoken_length(base)
    down = f"Measured from the building line toward the keel. The base line is {above} from the building line."
    on_stem = "; on a stem they are where they meet the rabbet line" if boat.shell.hung.stems else ""
    inside = f"Lands are the upper inside edges of the strakes{on_stem}."
    little = boat.hull.notation.within(1.0)
    side = (
        f"Compare port with starboard. Find the cause of a difference of more than {little} before the next strake "
        "goes on."
    )
    tables = [_setting_up(boat, moulds), _ends(boat)] if moulds else []
    return (
        *tables,
        *_timbers(boat),
        _check(boat, columns, "Land heights above the base line", lambda p: p[:, 2], (inside, side)),
        _check(boat, columns, "Land heights from the building line", lambda p: base - p[:, 2], (down, inside)),
        _check(boat, columns, "Half-breadths of the lands", lambda p: p[:, 1], (inside, side)),
    )


def check_columns(boat: Boat) -> tuple[CheckColumn, ...]:
    """Return the places to check, fore to aft: both ends, and every station with a mould."""
    hung = boat.shell.hung
    columns = []
    for index, shape in enumerate(boat.moulds):
        if shape.station.mould:
            lands = np.stack([edge.batten.marks[index + 1] for edge in hung.edges])
            rabbet = np.array([shape.station.at, *shape.station.rabbet])
            columns.append(CheckColumn(f"mould {shape.station.name}", np.vstack([rabbet, lands])))
    is_there = isinstance(boat.hull.aft, Midship) and boat.hull.aft.station.mould
    return (_end_column(boat, "fore"), *columns, *(() if is_there else (_end_column(boat, "aft"),)))


def _end_column(boat: Boat, end: EndName) -> CheckColumn:
    hung = boat.shell.hung
    stem = hung.stems.get(end)
    if stem is not None:
        return CheckColumn(timber(end), stem.points)
    column = 0 if end == "fore" else -1
    lands = np.stack([edge.batten.marks[column] for edge in hung.edges])
    rabbet = hung.rabbet.batten.marks[column]
    name = "midship" if isinstance(boat.hull.end(end), Midship) else f"{end} transom"
    return CheckColumn(name, np.vstack([rabbet, lands]))


def _check(
    boat: Boat, columns: tuple[CheckColumn, ...], title: str, of: Callable[[Array], Array], notes: tuple[str, ...]
) -> Table:
    count = boat.hull.planking.strakes
    names = ["rabbet line", *(f"land {k}" for k in range(1, count)), "sheer"]
    figures = [[boat.hull.notation.height(float(v)) for v in of(column.points)] for column in columns]
    rows = tuple((name, *row) for name, row in zip(names, zip(*figures, strict=True), strict=True))
    return Table(boat.hull.notation.heading(title), ("", *(column.name for column in columns)), rows, notes)


def _setting_up(boat: Boat, moulds: tuple[Mould, ...]) -> Table:
    """The table from which the moulds are stood on the building line."""
    notation, base = boat.hull.notation, boat.hull.moulds.base
    steps = [None, *(b.shape.station.at - a.shape.station.at for a, b in pairwise(moulds))]
    across = [*(corner_to_corner(a, b) for a, b in pairwise(moulds)), None]
    rows: dict[float, tuple[str, ...]] = {}
    for mould, step, cross in zip(moulds, steps, across, strict=True):
        side = "forward" if mould.faces.wood == "fore" else "after"
        face = "after" if mould.faces.wood == "fore" else "forward"
        lengths = (
            mould.shape.station.at,
            step,
            base - mould.notch.top,
            base - mould.sheer[1],
            mould.sheer[0],
            mould.outline.leg,
            diagonals(boat, mould)[2],
            cross,
        )
        words = ["–" if length is None else notation.along(float(length)) for length in lengths]
        row = (f"mould {mould.name}", *words[:2], f"{face}; mould on {side} side", *words[2:])
        rows[mould.shape.station.at] = row
    for station in boat.hull.moulded_stations:
        if not station.mould:
            rows[station.at] = (f"station {station.name}", notation.along(station.at), "–", "no mould", *6 * ("–",))
    lengths_of = (
        "distance\nfrom forward",
        "from the\nmould before",
        "building line\nto notch",
        "building line\nto sheer",
        "half-breadth\nat sheer",
        "half-breadth\nof legs",
        "diagonal across\nthe mould",
        "diagonal to\nthe next mould",
    )
    named = [notation.heading(name) for name in lengths_of]
    headings = ("", *named[:2], "face on the\nstation line", *named[2:])
    in_order = tuple(row for _, row in sorted(rows.items()))
    return Table("Setting up the moulds", headings, in_order, _setting_notes(boat), word_columns=(0, 3))


def _timbers(boat: Boat) -> tuple[Table, ...]:
    """The table of where the timbers stand that lands are riveted through; none where there are none."""
    notation = boat.hull.notation
    places = riveted_timbers(boat.hull, boat.strakes)
    if not places:
        return ()
    rows = tuple((str(number), notation.along(x), from_mould(boat.hull, x)) for number, x in places.items())
    return (
        Table(
            "Where the timbers stand",
            ("timber", notation.heading("middle from\nforward"), "by its nearest mould"),
            rows,
            (
                "Distances are to the middle of each timber, level along the boat; those by a mould are from its "
                "station line. A ring with the timber's number marks its rivets on the strakes.",
                *(("Numbers that are left out are of timbers that cross no land.",) if min(places) > 1 else ()),
            ),
            word_columns=(2,),
        ),
    )


def from_mould(hull: Hull, x: float) -> str:
    """Return where a place is from the nearest mould, x in mm: "75 mm forward of mould 1", "mould 1"."""
    standing = [station for station in hull.moulded_stations if station.mould] or hull.moulded_stations
    station = min(standing, key=lambda station: abs(station.at - x))
    off, name = x - station.at, on_sheet(station_place(hull, station))
    if abs(off) < 0.25:
        return name
    return f"{hull.notation.spoken_length(abs(off))} {'aft' if off > 0.0 else 'forward'} of {name}"


def corner_to_corner(first: Mould, second: Mould) -> float:
    """Return the distance on the building line from one mould's leg to the next one's on the other side, mm."""
    along = second.shape.station.at - first.shape.station.at
    return math.hypot(along, first.outline.leg + second.outline.leg)


def _setting_notes(boat: Boat) -> tuple[str, ...]:
    """How the moulds are stood."""
    notes = [
        "Strike a centreline, and the station lines square across it, at the building line. Stand each mould plumb, "
        "the face named in the table on its station line, its centreline on yours.",
        "Diagonal across a mould: from the sheer mark on one side to the outer corner of the leg on the other side, "
        "the same both ways. Diagonal to the next mould: between the outer corners of the legs at the station lines, "
        "port to starboard, the same both ways.",
        "Plane the far face back to its short dashes before planking, so that no plank touches that face first.",
    ]
    if isinstance(boat.hull.aft, Midship):
        last = boat.hull.aft.station.name
        notes.append(f"Half a boat: the planks end square at station {last}, on the after face of its mould.")
    if boat.hull.half == "mirror":
        first = boat.hull.stations[-1]
        turned = f"the mould of station {first.name} is that of station {first.mirrors}, turned end for end"
        notes.append(f"The after half mirrors the forward half: {turned}; so are the others.")
    return tuple(notes)


def _ends(boat: Boat) -> Table:
    """The table of the points that the ends are set up by: a transom's centreline, the sheer, the rabbet's ends."""
    notation, base = boat.hull.notation, boat.hull.moulds.base
    rows = []
    for end in ENDS:
        column, wood = _end_column(boat, end), boat.hull.end(end)
        points = {"sheer": column.points[-1], "lower end of the garboard's rabbet": column.points[0]}
        if isinstance(wood, Transom) and not isinstance(wood, Midship):
            low, high = (np.array([x, 0.0, z]) for x, z in wood.profile.tolist())
            points = {"top of the profile": high, **points, "bottom of the profile": low}
        for word, (x, y, z) in points.items():
            off = notation.height(abs(base - z))
            way = off if z <= base else f"{off} BEYOND"
            rows.append((column.name, word, notation.along(x), way, notation.height(y)))
    lengths = ("distance\nfrom forward", "from the\nbuilding line", "half-breadth")
    headings = ("", "", *(notation.heading(name) for name in lengths))
    notes = [
        "Measured from the building line toward the keel. A transom's points are on its outer face; the profile is "
        "its centreline."
    ]
    if any("BEYOND" in row[3] for row in rows):
        notes.append("BEYOND: on the other side of the building line; leave room for it.")
    return Table("The ends", headings, tuple(rows), tuple(notes), word_columns=(0, 1))
