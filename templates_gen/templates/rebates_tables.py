"""Tables of every rebate: angle, depth, lines, seat and height, and what a seat too short wants."""

import numpy as np

from templates_gen.drawing.piece import Table
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.rebate_places import is_deep_enough, stem_of
from templates_gen.geometry.rebates import Rebate
from templates_gen.hull.model import EndName
from templates_gen.templates.flat_bottom import flat_bottom_tables
from templates_gen.templates.rebates_keel import bottom_bevels, hog_bearing, keel_places
from templates_gen.templates.rebates_sharing import place_name
from templates_gen.templates.rebates_stem import MEMBER
from templates_gen.units import format_angle, format_depth, format_length

_LEAST_BEARING = 25.0
_GOOD_WORK = (
    "Good work keeps a rebate's depth within 0.3 mm; apex, bearding line and seat are measured along the side."
)


def rebate_tables(boat: Boat) -> tuple[Table, ...]:
    """Return a table for each stem and sternpost, one for the keel, and one of a flat bottom's true shape."""
    stems = tuple(_stem_table(boat, end) for end in boat.shell.hung.stems)
    keels = {"rebate": _keel_table, "hog": _hog_table, "flat": _bottom_table}
    return (*stems, *flat_bottom_tables(boat), keels[boat.hull.keel.joint](boat))


def _section(boat: Boat, rebate: Rebate) -> tuple[str, ...]:
    """Depth, apex, bearding, seat and height above base, as they are written."""
    units = boat.hull.units
    return (
        format_depth(rebate.depth, units),
        format_depth(rebate.apex, units),
        format_length(rebate.bearding, units),
        format_length(rebate.seat, units),
        format_length(float(rebate.point[2]), units),
    )


def _stem_table(boat: Boat, end: EndName) -> Table:
    """Every strake's end, at its lower and upper land, and the forefoot every 50 mm."""
    units, thickness = boat.hull.units, boat.hull.planking.thickness
    is_bevelled = stem_of(boat.shell, end).joint == "bevel"
    rows = []
    for rebate in boat.rebates:
        if rebate.on != end:
            continue
        short = not is_bevelled and not is_deep_enough(rebate, thickness[rebate.strake - 1])
        place = f"{rebate.place} end"
        if not isinstance(rebate.place, str):
            place = f"foot + {format_length(rebate.place, units)}" if rebate.place > 0.0 else "foot"
        figures = (str(rebate.strake), place, format_angle(rebate.angle), *_section(boat, rebate))
        rows.append((*figures, "needs an apron" if short else ""))
    columns = ("Strake", "Place", "Angle", "Depth", "Apex", "Bearding", "Seat", "Height\nabove base", "Remark")
    if not is_bevelled:
        return Table(f"{MEMBER[end]}: the rebate", columns, tuple(rows), (_GOOD_WORK,))
    names = ("Strake", "Place", "Angle", "On the\nfore face", "On the side", "Bevel's\nwidth", "Height\nabove base")
    return Table(f"{MEMBER[end]}: the bevel", names, tuple((*row[:4], *row[5:8]) for row in rows))


def _keel_table(boat: Boat) -> Table:
    """A rebated keel at each of its gauges."""
    thickness = boat.hull.planking.thickness[0]
    rows = tuple(
        (
            place_name(boat, place),
            format_angle(place.rebate.angle),
            *_section(boat, place.rebate),
            "" if is_deep_enough(place.rebate, thickness) else "needs a hog or an apron",
        )
        for place in keel_places(boat)
    )
    columns = ("Place", "Angle", "Depth", "Apex", "Bearding", "Seat", "Height\nabove base", "Remark")
    return Table("Keel: the rebate", columns, rows, (_GOOD_WORK,))


def _hog_table(boat: Boat) -> Table:
    """A hog at each of its gauges."""
    units, rows = boat.hull.units, []
    for place in keel_places(boat):
        bearing = hog_bearing(boat, place)
        narrow = bearing is not None and bearing < _LEAST_BEARING
        rows.append(
            (
                place_name(boat, place),
                format_angle(place.rebate.angle),
                format_angle(np.pi / 2 - place.rebate.angle),
                format_length(place.rebate.bearding, units),
                format_depth(place.rebate.seat, units),
                "" if bearing is None else format_length(bearing, units),
                format_length(float(place.rebate.point[2]), units),
                f"bears less than {format_length(_LEAST_BEARING, units)}" if narrow else "",
            )
        )
    columns = (
        "Place",
        "Angle to\nkeel's side",
        "Hog from\nthe level",
        "Starts above\nrabbet",
        "Arris of garboard\nplaned back",
        "Bearing\non hog",
        "Rabbet\nabove base",
        "Remark",
    )
    note = "The keel is not rebated: the garboard lies on the hog's underside, its planed edge on the keel's side."
    return Table("Keel and hog", columns, tuple(rows), (note,))


def _bottom_table(boat: Boat) -> Table:
    """The edge of a flat bottom at each of its gauges."""
    places, units = keel_places(boat), boat.hull.units
    rows = tuple(
        (
            place_name(boat, place),
            format_angle(place.rebate.angle),
            format_angle(bevel),
            format_depth(float(10.0 * np.tan(bevel)), units),
            format_length(float(place.rebate.point[2]), units),
        )
        for place, bevel in zip(places, bottom_bevels(boat, places), strict=True)
    )
    columns = (
        "Place",
        "Planking's angle",
        "Edge's bevel",
        "Upper face larger,\nper 10 mm thick",
        "Rabbet\nabove base",
    )
    return Table("Flat bottom: the bevel of its edge", columns, rows)
