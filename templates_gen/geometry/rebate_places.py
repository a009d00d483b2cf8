"""Where the gauges of a rebate are held: on a stem at each strake's end and round the forefoot, along the keel."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, About, EndName, Place
from templates_gen.errors import TemplatesGenError
from templates_gen.geometry.places import station_place
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebates import Rebate, keel_rebates
from templates_gen.hull.model import Midship, Stem
from templates_gen.units import MM_PER_INCH
from templates_gen.words import numbered, on_sheet

Array = NDArray[np.float64]

TURNS = np.radians(5.0)
"""Change of angle between two moulds from which on the keel wants gauges in between (common practice)."""

STEPS = {"mm": 100.0, "in": 4 * MM_PER_INCH, "ft-in-8": 4 * MM_PER_INCH}
"""From gauge to gauge along the keel where the angle changes quickly, mm."""

_SEARCH = 200
_NEAR_END = 0.5


class NoStemError(TemplatesGenError, ValueError):
    """A stem is asked for at an end of the boat that has a transom."""


@dataclass(frozen=True)
class GaugePlace:
    """One place of a gauge.

    Attributes
    ----------
    rebate : Rebate
        There. On a stem its `place` is "middle" of the strake's end, or mm of rabbet line from the foot.
    mark : About
        What the place is measured from: a land or the foot on a stem, a station on the keel.
    distance : float
        Along the rabbet line toward the head on a stem; along x on the keel, aft positive; mm.
    """

    rebate: Rebate
    mark: About
    distance: float

    @property
    def after(self) -> str:
        """What it is measured from, in words: "foot", "land 2", "mould 2", "station 2"."""
        return on_sheet(self.mark.place) if self.mark.place else numbered(self.mark)

    @property
    def about(self) -> About:
        """What its gauge is about: the end of a strake on a stem, or a place of a forefoot or of the keel."""
        rebate = self.rebate
        if rebate.on == "keel":
            return About("rebate", place=self._held, part="gauge")
        place = None if self.is_at_end_of_strake else self._held
        end: EndName = "fore" if rebate.on == "fore" else "aft"
        return About("rebate", rebate.strake, end=end, place=place, part="gauge")

    @property
    def is_at_end_of_strake(self) -> bool:
        """Whether it stands for the whole end of its strake on a stem."""
        return self.rebate.on != "keel" and self.rebate.place == "middle"

    @property
    def _held(self) -> Place | None:
        return self.mark.place and replace(self.mark.place, offset=self.distance)


def stem_of(shell: PlankedShell, end: EndName) -> Stem:
    """Return the stem or sternpost at one end. Raises NoStemError where there is a transom."""
    member = shell.hull.end(end)
    if not isinstance(member, Stem):
        raise NoStemError(f"there is no stem at the {end} end, but a transom")
    return member


def is_deep_enough(rebate: Rebate, thickness: float, apron: float = 0.0) -> bool:
    """Return whether the seat is twice the plank's thickness or more, so that it holds without an apron or a hog.

    Parameters
    ----------
    apron : float
        How much wider than the timber an apron behind it is on each side, mm: the seat runs on over it.
    """
    return seat_with_apron(rebate.angle, rebate.seat, apron) >= 2.0 * thickness


def seat_with_apron(angle: float, seat: float, apron: float) -> float:
    """Return how wide a seat is that runs on over an apron, `apron` mm wider than the timber on each side.

    Source: derived here; the seat stands at the planking's angle to the side, so what it gains is the apron's step
    over the angle's sine.
    """
    return float(seat + apron / np.sin(angle))


def apron_wanted(rebate: Rebate, thickness: float) -> float:
    """Return how much wider than the timber, on each side, an apron must be to make the seat twice the thickness, mm.

    Source: derived here; what the seat lacks, times the sine of the planking's angle to the side.
    """
    return float(max(0.0, (2.0 * thickness - rebate.seat) * np.sin(rebate.angle)))


def apron_step(stem: Stem) -> float:
    """Return how much wider than a stem its apron is on each side, mm; 0 without one."""
    return 0.0 if stem.apron is None else (stem.apron - stem.siding) / 2


def stem_gauge_places(shell: PlankedShell, end: EndName, found: tuple[Rebate, ...]) -> tuple[GaugePlace, ...]:
    """Return the places of a stem's gauges from the foot up: round a rounded forefoot, then each strake's end.

    Parameters
    ----------
    found : tuple of Rebate
        The boat's rebates. A strake has one angle at its whole end, so its gauge is held at the middle of it.
    """
    stem = shell.hung.stems[end]
    here = [rebate for rebate in found if rebate.on == end]
    foot = About("stem", end=end, place=Place("foot", end))
    places = [GaugePlace(r, foot, float(r.place)) for r in here if not isinstance(r.place, str)]
    reach = stem.rabbet.distance_from_foot(stem.parameters)
    for strake in range(1, shell.planking.strakes + 1):
        end_of_strake = next(r for r in here if r.strake == strake and r.place == "lower")
        low, high = float(reach[strake - 1]), float(reach[strake])
        t = stem.rabbet.along(stem.rabbet.foot, (low + high) / 2)
        middle = replace(
            end_of_strake, place="middle", point=stem.rabbet.batten.point(t), tangent=stem.rabbet.batten.tangent(t)
        )
        if strake == 1:
            places.append(GaugePlace(middle, foot, (low + high) / 2))
        else:
            places.append(GaugePlace(middle, About("land", strake - 1), (high - low) / 2))
    return tuple(places)


def keel_gauge_places(shell: PlankedShell, step: float = 100.0) -> tuple[GaugePlace, ...]:
    """Return the places of the keel's gauges, fore to aft.

    Every station; and every `step` mm between two of them, and between the first or last and the end of the keel,
    where the angle changes by more than 5 degrees on the way.
    """
    stations = shell.hull.stations
    marks = [About("mould", place=place) for place in shell.hull.stops[1:-1]]
    bays = [_toward_end(shell, "fore", step)]
    bays += [_between(a.at, b.at, step) for a, b in pairwise(stations)]
    bays.append(_toward_end(shell, "aft", step))
    u = np.concatenate([bays[0], *[np.append(s.at, bay) for s, bay in zip(stations, bays[1:], strict=True)]])
    found = list(keel_rebates(shell, u))
    places: list[GaugePlace] = []
    start = 0
    for index, bay in enumerate(bays):
        low, high = max(start - 1, 0), min(start + len(bay) + 1, len(found))
        angles = [r.angle for r in found[low:high]]
        if max(angles) - min(angles) > TURNS:
            near = max(index - 1, 0)
            inside = found[start : start + len(bay)]
            if index in (0, len(bays) - 1):
                inside = inside[1:] if index == 0 else inside[:-1]
            places += [_on_keel(r, marks[near], stations[near].at) for r in inside]
        start += len(bay)
        if index < len(stations):
            places.append(_on_keel(found[start], marks[index], stations[index].at))
            start += 1
    end = shell.hull.aft
    if isinstance(end, Midship):
        there = About("mould", place=station_place(shell.hull, end.station))
        places += [GaugePlace(rebate, there, 0.0) for rebate in midship_rebates(shell)]
    return tuple(places)


def bays_without_gauges(places: Sequence[GaugePlace]) -> tuple[tuple[GaugePlace, GaugePlace], ...]:
    """Return from where to where along the keel the stations have gauges only: the angle changes little from each to
    the next.

    Parameters
    ----------
    places : sequence of GaugePlace
        The keel's gauges, fore to aft.
    """
    runs: list[tuple[GaugePlace, GaugePlace]] = []
    for one, following in pairwise(places):
        is_bay = one.distance == following.distance == 0.0
        if is_bay and abs(one.rebate.angle - following.rebate.angle) <= TURNS:
            goes_on = bool(runs) and runs[-1][1] is one
            first = runs.pop()[0] if goes_on else one
            runs.append((first, following))
    return tuple(runs)


def midship_rebates(shell: PlankedShell) -> tuple[Rebate, ...]:
    """Return the keel's rebate at a midship section that the planks end at, named by its station; () elsewhere."""
    end = shell.hull.aft
    if not isinstance(end, Midship):
        return ()
    (found,) = keel_rebates(shell, np.array([shell.u_aft]))
    return (replace(found, place=end.station.name),)


def transom_rebates(shell: PlankedShell) -> dict[EndName, Rebate]:
    """Return the keel's rebate where the planks end on a transom, by the end; none at a stem or a midship section."""
    ends = [end for end in ENDS if end not in shell.hung.stems and not isinstance(shell.hull.end(end), Midship)]
    if not ends:
        return {}
    return dict(zip(ends, keel_rebates(shell, np.array([shell.u_end(end) for end in ends])), strict=True))


def _on_keel(rebate: Rebate, mark: About, at: float) -> GaugePlace:
    """A place on the keel, named by its distance from a station."""
    distance = float(rebate.point[0]) - at
    place = rebate.place if abs(distance) < 1e-6 else float(rebate.point[0])
    return GaugePlace(replace(rebate, place=place), mark, round(distance, 6))


def _between(start: float, stop: float, step: float) -> Array:
    """Every `step` from `start`, short of `stop` by half a step or more."""
    return np.arange(start + step, stop - _NEAR_END * step + 1e-9, step)


def _toward_end(shell: PlankedShell, end: EndName, step: float) -> Array:
    """Rulings every `step` mm of x from the outermost station, and last (fore: first) the end of the keel itself.

    The keel ends at the foot of a stem or at a transom.
    """
    rulings, rabbet = shell.hung.rulings, shell.hung.rabbet
    x_station = rulings.x_first if end == "fore" else rulings.x_last
    u = np.linspace(x_station, shell.u_end(end), _SEARCH)
    x = rulings.points(rabbet, u)[1][:, 0]
    x_end = float(x[-1])
    stem = shell.hung.stems.get(end)
    if stem is not None:
        x_end = float(stem.rabbet.batten.point(stem.rabbet.foot)[0])
    sign = -1.0 if end == "fore" else 1.0
    wanted = x_station + sign * np.append(_between(0.0, abs(x_end - x_station), step), abs(x_end - x_station))
    order = np.argsort(x)
    at = np.interp(wanted, x[order], u[order])
    for _ in range(6):
        _, points, slopes = rulings.points(rabbet, at)
        at = at + (wanted - points[:, 0]) / slopes[:, 0]
    return at[::-1] if end == "fore" else at
