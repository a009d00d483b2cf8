"""The named places of a planked boat, and the rulings at which they lie; half a boat ends at a station.

One thing that a builder should know before cutting wood, and the trial of what may cure it.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from templates_gen.about import About, EndName, Place
from templates_gen.geometry.places import station_place, strake_places
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebate_places import GaugePlace
from templates_gen.hull.model import Hull, Midship
from templates_gen.words import in_message, listed


def stops_of(hull: Hull) -> tuple[Place, ...]:
    """Return both ends and all stations, fore to aft; half a boat ends at its midship station."""
    places = hull.stops
    return (*places[:-1], station_place(hull, hull.aft.station)) if isinstance(hull.aft, Midship) else places


def end_place(hull: Hull, end: EndName) -> Place:
    """Return the place of an end of the boat; half a boat ends aft at its midship station."""
    return stops_of(hull)[0 if end == "fore" else -1]


def places_of(shell: PlankedShell) -> dict[Place, float]:
    """Return the stops and the half-ways between neighbours, fore to aft, with their rulings u."""
    last = end_place(shell.hull, "aft")
    ruled = {ruled.place: ruled.u for ruled in strake_places(shell)}
    *places, between, _ = ruled
    between_last = replace(between, following=last.station)
    u = list(ruled.values())
    return dict(zip((*places, between_last, last), u, strict=True))


def nearest_place(places: Mapping[Place, float], u: float) -> Place:
    """Return which of some places, such as those of `places_of`, is nearest to a ruling."""
    return min(places, key=lambda place: abs(places[place] - u))


def ruling_at(shell: PlankedShell, place: Place | None) -> float:
    """Return the ruling of a place; that of the boat's middle where there is none, or none of this boat."""
    middle = (shell.u_fore + shell.u_aft) / 2
    return middle if place is None else places_of(shell).get(place, middle)


def nearest_station(hull: Hull, x: float) -> Place:
    """Return the station nearest to a distance aft of the datum, mm; a midship section counts as one."""
    stations = [place for place in stops_of(hull) if place.kind == "station"]
    at = [abs(station.at - x) for station in hull.moulded_stations]
    return stations[at.index(min(at))]


def along_keel(hull: Hull, gauge: GaugePlace) -> tuple[Place, str]:
    """Return the station that a gauge on the keel is set off from, and "100 mm forward of station 1"; "" at it."""
    station = nearest_station(hull, float(gauge.rebate.point[0]) - gauge.distance)
    if abs(gauge.distance) < 1e-6:
        return station, ""
    side = "aft" if gauge.distance > 0.0 else "forward"
    return station, f"{hull.notation.spoken_length(abs(gauge.distance))} {side} of {in_message(station)}"


Severity = Literal["error", "warning", "note"]
GRAVITY: dict[Severity, int] = {"error": 0, "warning": 1, "note": 2}


MOST_TRIALS = 8
"""No more changes than this are tried for one boat."""


@dataclass(frozen=True)
class Cure:
    """One change of a hull file: how it is written there, and the hull with it."""

    words: str
    hull: Hull


@dataclass(frozen=True)
class Finding:
    """One thing that a builder should know.

    Attributes
    ----------
    severity : "error", "warning" or "note"
        An error means that the boat cannot be built as described.
    about : str
        A word of the trade: offsets, section, land, bevel, rebate, strake, transom, mould or file.
    text : str
        What, where, the value found and what would cure it.
    where : About or None
        The land, strake, station or end that it is about, where it is about one.
    value, expected : float or str or None
        mm or degrees when a number.
    key : tuple of str or int
        The hull file's key that the finding is about; () when it is about no single one.
    row, column : str
        Of a figure of a table of offsets: the names that the table itself uses.
    file : str
        The file that holds it, if it is not the hull file.
    line : int
        In that file; 0 when unknown.
    difference : float or None
        value less what is expected, mm.
    cause : str
        What may have gone wrong.
    rule : str
        The row of the table of what is possible that it breaks; "" where it comes from elsewhere.
    proposed : callable
        Returns what may cure an error, to be tried in this order.
    otherwise : str
        What the builder can do where none of these cures it, or none was tried.
    cure : Cure or None
        The change that was tried and cures it.
    spot : str
        The place in words, where it is finer than that of `where`: "100 mm forward of station 1".
    """

    severity: Severity
    about: str
    text: str
    where: About | None = None
    value: float | str | None = None
    expected: float | str | None = None
    key: tuple[str | int, ...] = ()
    row: str = ""
    column: str = ""
    file: str = ""
    line: int = 0
    difference: float | None = None
    cause: str = ""
    rule: str = ""
    proposed: Callable[[], Iterable[Cure]] = tuple
    otherwise: str = ""
    cure: Cure | None = None
    spot: str = ""

    @property
    def place(self) -> str:
        """Return the place in one line: "land 3, mould 2", "strake 4", "stem, strake 3"."""
        where = replace(self.where, place=None) if self.spot and self.where is not None else self.where
        return ", ".join(part for part in ("" if where is None else listed(where), self.spot) if part)


ErrorsOf = Callable[[Hull], Sequence[Finding]]


def place_record(row: str, column: str, otherwise: str) -> dict[str, str] | str:
    """Return a finding's or a fault's place for programs: row and column of a table's figure, else a text."""
    if not (row or column):
        return otherwise
    return {key: name for key, name in (("row", row), ("column", column)) if name}


def with_tried_cures(findings: Sequence[Finding], errors_of: ErrorsOf | None) -> tuple[Finding, ...]:
    """Return findings whose texts end with what to do: a change that was tried and works, or else advice.

    Parameters
    ----------
    errors_of : callable or None
        Returns the errors of a changed hull; a change works where the error is gone and no other has come.
        None: nothing is tried.
    """
    errors = [finding for finding in findings if finding.severity == "error"]
    tried: dict[str, set[str]] = {}
    return tuple(_with_cure(finding, errors, tried, errors_of) for finding in findings)


def _with_cure(
    finding: Finding, errors: Sequence[Finding], tried: dict[str, set[str]], errors_of: ErrorsOf | None
) -> Finding:
    before = {_fault(error) for error in errors}
    if errors_of is None or finding.severity != "error":
        return _advised(finding)
    for change in finding.proposed():
        if change.words not in tried:
            if len(tried) == MOST_TRIALS:
                continue
            tried[change.words] = {_fault(error) for error in errors_of(change.hull)}
        left = tried[change.words]
        if left < before and _fault(finding) not in left:
            cure = f"{change.words} cures {'it' if not left else 'this fault'}"
            return replace(finding, text=f"{finding.text}; {cure}", proposed=tuple, otherwise="", cure=change)
    return _advised(finding)


def _advised(finding: Finding) -> Finding:
    advice = f"; {finding.otherwise}" if finding.otherwise else ""
    return replace(finding, text=finding.text + advice, proposed=tuple, otherwise="")


def _fault(finding: Finding) -> str:
    """What makes two errors the same fault, of one boat or of two."""
    return finding.rule or f"{finding.about} {finding.key}"
