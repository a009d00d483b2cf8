"""The marks of the lands on every station and at both ends: by girth, by offsets or lined off by the tool."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import EndName
from templates_gen.geometry.lining_off.marking import lined_off
from templates_gen.geometry.rabbet_line import RabbetLine, rabbet_line
from templates_gen.geometry.sections import station_section, transom_section
from templates_gen.hull.model import Hull, Lands

Array = NDArray[np.float64]

ENDS: tuple[EndName, EndName] = ("fore", "aft")


@dataclass(frozen=True)
class Marks:
    """The lands' marks on every station and at both ends, on the side of the planking that the lines are to.

    Attributes
    ----------
    hull : Hull
        As read: where the tool lined the lands off, its own `lands` hold no rows.
    rabbet : RabbetLine
    lands : Lands
        The rows that the marks stand for, by girth or by offsets.
    stations : Array, shape (N, n, 3)
        For strake k (row k - 1) at each station, mm.
    fore, aft : Array, shape (N, 3)
        On a transom points of its outer face; on a stem points of the rabbet line.
    on_stems : dict of end name to Array
        On stems the marks' parameters on the rabbet's batten, shape (N,).
    """

    hull: Hull
    rabbet: RabbetLine
    lands: Lands
    stations: Array
    fore: Array
    aft: Array
    on_stems: dict[EndName, Array]

    def end(self, end: EndName) -> Array:
        """Return the marks at one end, shape (N, 3)."""
        return self.fore if end == "fore" else self.aft


def land_marks(hull: Hull) -> Marks:
    """Return the marks that the hull file gives, by girth or by offsets; where it gives none, line the lands off.

    Raises
    ------
    BoatError
        When the lands cannot be lined off.
    """
    rabbet = rabbet_line(hull)
    given = lined_off(hull, rabbet) if hull.lands.by == "even" else hull
    on_stems: dict[EndName, Array] = {
        end: stem.at_height(given.lands.at[end]) for end in ENDS if (stem := rabbet.stem(end)) is not None
    }
    rows = [_on_station(given, index) for index in range(len(hull.stations))]
    ends = {end: _at_end(given, end, rabbet, on_stems) for end in ENDS}
    return Marks(hull, rabbet, given.lands, np.stack(rows, axis=1), ends["fore"], ends["aft"], on_stems)


def _on_station(hull: Hull, index: int) -> Array:
    station = hull.stations[index]
    row = hull.lands.at[station.name]
    offsets = row if hull.lands.by == "offsets" else station_section(hull, index).point(row)
    return np.column_stack([np.full(len(offsets), station.at), offsets])


def _at_end(hull: Hull, end: EndName, rabbet: RabbetLine, on_stems: dict[EndName, Array]) -> Array:
    stem = rabbet.stem(end)
    if stem is not None:
        return stem.batten.point(on_stems[end])
    section, face = transom_section(hull, end)
    row = hull.lands.at[end]
    return face.point_at(row) if hull.lands.by == "offsets" else face.point(section.point(row))
