"""What the Measure view of the page needs to know of a boat: its places, its figures, and the program's rules.

The page weighs figures by the same rules as the program. It holds no number of them: all are handed over here.
"""

from typing import Any

import numpy as np

from templates_gen.geometry.as_built import mistaken, slips, weighing
from templates_gen.geometry.as_built.boat import drawn_widths, places_along
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.spiling.overlay import LEFT_OUT, strake_points
from templates_gen.hull.measured import rounding, spiling
from templates_gen.hull.measured.as_built import AsBuilt, Edge, HungStrake, half_way_names, place_names, place_titles
from templates_gen.hull.measured.hung_strakes import FEWEST, GREATEST_SHARE, LEAST_SHARE
from templates_gen.hull.model import Hull
from templates_gen.units import MM_PER_INCH

RULES = {
    "slips": slips.NUMBERS,
    "weighing": weighing.NUMBERS,
    "mistaken": mistaken.NUMBERS,
    "rounding": rounding.NUMBERS,
    "fewest": FEWEST,
    "shares": (LEAST_SHARE, GREATEST_SHARE),
    "fewest_points": spiling.FEWEST,
    "width_off": LEFT_OUT,
}
"""The numbers of the rules by which the program reads and weighs what was measured; lengths in mm."""

_DIGITS = 6


def measuring_data(boat: Boat, drawn: PlankedShell | None = None, measured: AsBuilt | None = None) -> dict[str, Any]:
    """Return what the Measure view is made from, for JSON; lengths in mm.

    For a boat as built, `drawn` is the same boat as drawn, which the marks on the moulds are of, and `measured` what
    its as-built file holds: the view begins with it. Strakes still to be taken off have their widths as built.

    "places" are the keys of the as-built file, fore to aft, and "titles" what the builder calls them. "along", shape
    (N, p), is where they lie along each upper edge, "least", shape (N, p), how far an edge may be from its mark.
    """
    shell, hull = (boat.shell, boat.hull) if drawn is None else (drawn, drawn.hull)
    widths = np.stack(list(drawn_widths(shell).values()), axis=1)
    above = np.vstack([widths[1:], widths[-1:]])
    return {
        "hull": {"name": hull.name, "fingerprint": hull.fingerprint},
        "units": hull.units,
        "places": place_names(hull),
        "titles": place_titles(hull),
        "has_moulds": any(station.mould for station in hull.stations),
        "along": np.round(places_along(shell), _DIGITS).tolist(),
        "least": np.round(np.minimum(widths, above), _DIGITS).tolist(),
        "thickness": list(hull.planking.thickness),
        "laps": [hull.planking.lap_on(land) for land in range(1, hull.planking.strakes)],
        "spiling": [_spiling_places(hull, strake) for strake in boat.strakes],
        "rules": RULES,
        "as_built": None if measured is None else _file_data(measured, hull),
    }


def _file_data(measured: AsBuilt, hull: Hull) -> dict[str, Any]:
    """What an as-built file holds, in mm or in inches as the fields have it, and for what there is no field."""
    places = place_names(hull)

    def edge(given: Edge | HungStrake) -> dict[str, Any]:
        marks = {name: _typed(given.above_mark[name], hull) for name in places if name in given.above_mark}
        return {"above_mark": marks, "sure": [name for name in given.sure if name in marks]}

    return {
        "fingerprint": measured.fingerprint,
        "hung": measured.hung,
        "stock": _typed(measured.stock, hull),
        "strakes": [
            {
                "thickness": _typed(strake.thickness, hull),
                "lap": _typed(strake.lap, hull),
                "edges": {side: edge(one) for side, one in strake.sides.items()} or {"both": edge(strake)},
            }
            for strake in measured.strakes
        ],
        "has_no_field": [
            *_half_ways(measured, hull),
            *(f"[strake.{strake.number}.remade]" for strake in measured.strakes if strake.is_remade),
            *(f"[{'end' if one.name in ('fore', 'aft') else 'mould'}.{one.name}]" for one in measured.moulds),
        ],
    }


def _typed(length: float | None, hull: Hull) -> float | None:
    """A length as it may be typed: to 0.01 mm, or to 1/64 in."""
    if length is None:
        return None
    return round(length, 2) if hull.units == "mm" else round(length / MM_PER_INCH * 64.0) / 64.0


def _half_ways(measured: AsBuilt, hull: Hull) -> list[str]:
    """The half-ways that are given for any strake."""
    given = {name for strake in measured.strakes for name in strake.above_mark}
    return [name for name in half_way_names(hull) if name in given]


def _spiling_places(hull: Hull, strake: FlatStrake) -> dict[str, Any]:
    """The places where a strake is taken off with a batten, and its computed width at each, mm."""
    points, titles = strake_points(strake), dict(zip(place_names(hull), place_titles(hull), strict=True))
    names = list(points["lower"])
    return {
        "places": names,
        "titles": [titles.get(name, name) for name in names],
        "widths": [round(float(np.linalg.norm(points["upper"][one] - points["lower"][one])), 2) for one in names],
    }
