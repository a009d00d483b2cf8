"""What a builder should know of moulds, transoms and waterline before setting the boat up."""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.model import Midship, Transom
from templates_gen.report.finding import Finding
from templates_gen.units import spoken_depth, spoken_length

PROUD_TO_TELL = 0.3
"""A smooth mould that holds a plank off its marks by more than this is a warning, mm."""


def impossible_wood(shell: PlankedShell) -> Iterator[Finding]:
    """Yield timbers of the hull file that have no room in the boat: they are errors."""
    yield from _thick_moulds(shell)
    yield from _thick_transoms(shell)
    yield from _wide_hogs(shell)


def _thick_moulds(shell: PlankedShell) -> Iterator[Finding]:
    hull, thickness = shell.hull, shell.hull.moulds.thickness
    stops = [float(shell.upper(1, np.array([shell.u_fore]))[0, 0]), *(s.at for s in hull.stations)]
    stops.append(float(shell.upper(1, np.array([shell.u_aft]))[0, 0]))
    room = min(after - before for before, after in pairwise(stops))
    if thickness >= room:
        yield Finding(
            "error",
            "mould",
            f"moulds {spoken_length(thickness, hull.units)} thick have no room: the shortest way from one station to "
            f"the next, or to an end, is {spoken_length(room, hull.units)}; make the moulds thinner",
            "moulds",
            thickness,
            f"less than {spoken_length(room, hull.units)}",
            ("moulds", "thickness"),
        )


def _thick_transoms(shell: PlankedShell) -> Iterator[Finding]:
    hull = shell.hull
    for end, face in shell.hung.faces.items():
        transom, station = hull.end(end), hull.stations[0 if end == "fore" else -1]
        assert isinstance(transom, Transom)
        if isinstance(transom, Midship):
            continue
        marks = np.column_stack([np.full(len(station.section), station.at), station.section])
        room = float(np.min(-face.distance(marks)))
        if transom.thickness >= room:
            yield Finding(
                "error",
                "transom",
                f"the transom {spoken_length(transom.thickness, hull.units)} thick reaches station {station.name}, "
                f"{spoken_length(room, hull.units)} inside its outer face; make the transom thinner",
                f"transom {end}",
                transom.thickness,
                f"less than {spoken_length(room, hull.units)}",
                (end, "thickness"),
            )


def _wide_hogs(shell: PlankedShell) -> Iterator[Finding]:
    """A hog that is no narrower than the boat at a mould: nothing would be left of the mould."""
    hog, hull = shell.hull.keel.hog, shell.hull
    if shell.hull.keel.joint != "hog" or hog is None:
        return
    for station in hull.stations:
        widest = float(np.max(station.section[:, 0]))
        if hog[0] / 2 >= widest:
            yield Finding(
                "error",
                "mould",
                f"the hog, {spoken_length(hog[0], hull.units)} wide, is as wide as the boat at station "
                f"{station.name} ({spoken_length(2 * widest, hull.units)}); make the hog narrower",
                f"mould {station.name}",
                hog[0],
                f"less than {spoken_length(2 * widest, hull.units)}",
                ("keel", "hog"),
            )
            return


def shop_findings(boat: Boat) -> Iterator[Finding]:
    """Yield warnings of moulds that hold planks off and of a waterline outside the boat."""
    yield from _proud_moulds(boat)
    yield from _odd_waterline(boat)


def _proud_moulds(boat: Boat) -> Iterator[Finding]:
    """One warning of all moulds whose smooth edge holds a strake off its marks; where it does most."""
    proud = [shape for shape in boat.moulds if shape.station.mould and np.max(shape.proud) > PROUD_TO_TELL]
    if not proud:
        return
    worst = max(proud, key=lambda shape: float(np.max(shape.proud)))
    strake, value = int(np.argmax(worst.proud)) + 1, float(np.max(worst.proud))
    others = f" (and strakes at {len(proud) - 1} more of {len(boat.moulds)} moulds)" if len(proud) > 1 else ""
    yield Finding(
        "warning",
        "mould",
        f"mould {worst.station.name} with a smooth edge holds strake {strake} off its marks by "
        f'{spoken_depth(value)}{others}; set [moulds] edge = "faceted"',
        f"mould {worst.station.name}",
        value,
        None,
        ("moulds", "edge"),
    )


def _odd_waterline(boat: Boat) -> Iterator[Finding]:
    hull = boat.hull
    if hull.waterline is None:
        return
    low = min(float(station.rabbet[1]) for station in hull.stations)
    high = max(float(station.section[-1, 1]) for station in hull.stations)
    if not low < hull.waterline < high:
        yield Finding(
            "warning",
            "section",
            f"the waterline, {spoken_length(hull.waterline, hull.units)} above base, lies outside the boat, whose "
            f"rabbet is at {spoken_length(low, hull.units)} and whose sheer at {spoken_length(high, hull.units)}",
            "waterline",
            hull.waterline,
            None,
            ("waterline",),
        )
