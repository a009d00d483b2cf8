"""What the Measure view of the page needs to know of a boat: its places, its figures, and the program's rules.

The page weighs figures by the same rules as the program. It holds no number of them: all are handed over here.
"""

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.as_built import mistaken, slips, weighing
from templates_gen.geometry.as_built.boat import drawn_widths, places_along
from templates_gen.geometry.as_built.moulds import standing
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.spiling.overlay import LEFT_OUT, strake_points
from templates_gen.hull.lengths import ROUNDING_NUMBERS
from templates_gen.hull.measured import spiling
from templates_gen.hull.measured.as_built import AsBuilt, half_way_names, place_names, place_titles
from templates_gen.hull.measured.hung_strakes import FEWEST, GREATEST_SHARE, LEAST_SHARE, EdgeTable, HungTable
from templates_gen.hull.measured.moulds import FARTHEST, Offset, StandingMould, farthest_along
from templates_gen.hull.model import Hull, Midship, Stem
from templates_gen.numerics.curves import cubic
from templates_gen.units import MM_PER_INCH

Array = NDArray[np.float64]

RULES = {
    "slips": slips.NUMBERS,
    "weighing": weighing.NUMBERS,
    "mistaken": mistaken.NUMBERS,
    "rounding": ROUNDING_NUMBERS,
    "fewest": FEWEST,
    "shares": (LEAST_SHARE, GREATEST_SHARE),
    "fewest_points": spiling.FEWEST,
    "width_off": LEFT_OUT,
}
"""The numbers of the rules by which the program reads and weighs what was measured; lengths in mm."""

_DIGITS = 9
_SHARES = (-1.0, -0.5, 0.0, 0.5, 1.0)
"""Where along the boat the page knows how the drawn lands run past a mould, as shares of the farthest that it may
stand out of its place."""


def measuring_data(boat: Boat, drawn: PlankedShell | None = None, measured: AsBuilt | None = None) -> dict[str, Any]:
    """Return what the Measure view is made from, for JSON; lengths in mm.

    For a boat as built, `drawn` is the same boat as drawn, which the marks on the moulds are of, and `measured` what
    its as-built file holds: the view begins with it. Strakes still to be taken off have their widths as built.

    "places" are the keys of the as-built file: the marks, fore to aft, then the half-ways, "" for one that cannot be
    given; "titles" is what the builder calls them. "along", shape (N, p), is where the marks lie along each upper
    edge, "halves", shape (N, p - 1, p), how an edge half-way between two marks follows from it at all marks, "least",
    shape (N, 2 p - 1), how far an edge may be from its mark.
    """
    shell, hull = (boat.shell, boat.hull) if drawn is None else (drawn, drawn.hull)
    names, between, along = place_names(hull), half_way_names(hull), places_along(shell)
    widths = np.stack(list(drawn_widths(shell).values()), axis=1)
    widths = np.hstack([widths, (widths[:, :-1] + widths[:, 1:]) / 2.0])
    above = np.vstack([widths[1:], widths[-1:]])
    return {
        "hull": {"name": hull.name, "fingerprint": hull.fingerprint},
        "units": hull.units,
        "places": [*names, *between],
        "titles": [*place_titles(hull), *between],
        "marks": len(names),
        "along": np.round(along, _DIGITS).tolist(),
        "halves": [np.round(_half_way_rows(row), _DIGITS).tolist() for row in along],
        "least": np.round(np.minimum(widths, above), _DIGITS).tolist(),
        "thickness": list(hull.planking.thickness),
        "laps": [hull.planking.lap_on(land) for land in range(1, hull.planking.strakes)],
        "moulds": _moulds(shell),
        "spiling": [_spiling_places(hull, strake) for strake in boat.strakes],
        "rules": RULES,
        "as_built": None if measured is None or measured.table is None else _file_data(measured, hull),
    }


def _half_way_rows(along: Array) -> Array:
    """By which rows an edge half-way between two places follows from it at all of them, (p,) to (p - 1, p)."""
    return np.asarray(cubic(along, np.eye(len(along)))((along[:-1] + along[1:]) / 2.0))


def _moulds(shell: PlankedShell) -> list[dict[str, Any]]:
    """The moulds, then the ends, and how far the drawn lands lie above the marks of one that stands out of its place.

    "out" and "up", shape (N,), are for 1 mm; "aft", shape (N, 5), for the distances "steps". They add up. "farthest"
    is how far it may stand out of its place across (None: a stem stands on the centreline), up, and along the boat,
    mm. "path" is that of its table in the as-built file, "name" what it is called next to the others.
    """
    hull, places = shell.hull, place_names(shell.hull)
    titles = dict(zip(places, place_titles(hull), strict=True))
    ends = {"fore": hull.fore, "aft": hull.aft}
    paths = [("mould", station.name) for station in hull.stations if station.mould]
    paths += [("end", name) for name, end in ends.items() if not isinstance(end, Midship)]
    names = [name for _, name in paths]
    farthest = {path: farthest_along(path, hull) for path in paths}
    out, up = (_drawn_lands(shell, dict.fromkeys(names, off)) for off in ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0)))
    aft = [
        _drawn_lands(shell, {path[1]: (share * far, 0.0, 0.0) for path, far in farthest.items()}) for share in _SHARES
    ]
    return [
        {
            "path": path,
            "name": path[1] if path[0] == "mould" else titles[path[1]],
            "title": titles[path[1]],
            "place": place,
            "farthest": [None if isinstance(ends.get(path[1]), Stem) else FARTHEST, FARTHEST, far],
            "out": out[:, place].tolist(),
            "up": up[:, place].tolist(),
            "steps": [share * far for share in _SHARES],
            "aft": np.stack([one[:, place] for one in aft], axis=1).tolist(),
        }
        for path, far in farthest.items()
        for place in (places.index(path[1]),)
    ]


def _drawn_lands(shell: PlankedShell, off: dict[str, Offset]) -> Array:
    """How far the drawn lands lie above the marks of what stands so far out of its place, shape (N, p), mm."""
    measured = AsBuilt(moulds=tuple(StandingMould(name, by, by) for name, by in off.items()))
    return np.round(standing(shell, measured).drawn_lands, _DIGITS)


def _file_data(measured: AsBuilt, hull: Hull) -> dict[str, Any]:
    """What an as-built file holds: each table by its path, lengths in mm or in inches as the fields have them."""
    return {
        "fingerprint": measured.fingerprint,
        "hung": measured.hung,
        "tables": [[path, _typed_table(pairs, hull)] for path, pairs in _tables(measured)],
    }


def _tables(measured: AsBuilt) -> Iterator[tuple[list[str], dict[str, Any]]]:
    """Yield the tables of an as-built file with their paths and what is given in them."""
    table = measured.table
    assert table is not None
    yield [], {} if table.stock is None else {"stock": table.stock}
    for key, strake in table.strake.items():
        for path, one in ((["strake", key], strake), (["strake", key, "remade"], strake.remade)):
            if one is not None:
                yield from _hung_tables(path, one)
    for kind, tables in (("mould", table.mould), ("end", table.end)):
        for key, standing_table in tables.items():
            yield [kind, key], standing_table.given
            for side, of_side in standing_table.sides.items():
                yield [kind, key, side], of_side.given


def _hung_tables(path: list[str], strake: HungTable) -> Iterator[tuple[list[str], dict[str, Any]]]:
    """Yield the table of a strake and those of its sides."""
    sizes = {"thickness": strake.thickness, "lap": strake.lap}
    yield path, {key: size for key, size in sizes.items() if size is not None} | _edge_pairs(strake)
    for side, edge in strake.edges.items():
        if side:
            yield [*path, *side], _edge_pairs(edge)


def _edge_pairs(edge: EdgeTable) -> dict[str, Any]:
    """What is given of one edge."""
    return edge.given | ({"sure": list(edge.sure)} if edge.sure else {})


def _typed_table(pairs: dict[str, Any], hull: Hull) -> dict[str, Any]:
    """A table with its lengths as they may be typed."""
    return {
        key: {name: _typed(length, hull) for name, length in value.items()}
        if isinstance(value, dict)
        else value
        if isinstance(value, list)
        else _typed(value, hull)
        for key, value in pairs.items()
    }


def _typed(length: float, hull: Hull) -> float:
    """A length as it may be typed: to 0.01 mm, or to 1/64 in."""
    return round(length, 2) if hull.units == "mm" else round(length / MM_PER_INCH * 64.0) / 64.0


def _spiling_places(hull: Hull, strake: FlatStrake) -> dict[str, Any]:
    """The places where a strake is taken off with a batten, and its computed width at each, mm."""
    points, titles = strake_points(strake), dict(zip(place_names(hull), place_titles(hull), strict=True))
    names = list(points["lower"])
    return {
        "places": names,
        "titles": [titles.get(name, name) for name in names],
        "widths": [round(float(np.linalg.norm(points["upper"][one] - points["lower"][one])), 2) for one in names],
    }
