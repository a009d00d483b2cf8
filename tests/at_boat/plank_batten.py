"""A strake of a boat whose planking is known, measured at each timber as if the boat had no drawing.

It is laid off on a straight batten that lies askew. Figures may be off, one of them may be a slip, and half of the
bevels may be read to a whole degree.
"""

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import ENDS, EndName
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.spiling.overlay import batten_strake
from templates_gen.report.at_boat.plank import LONG_BAY

Array = NDArray[np.float64]

EDGES = ("lower", "upper")

BOW = 0.5
"""A builder sees that an end bows by this from a straightedge, and measures points of it, mm."""


@dataclass(frozen=True)
class Errors:
    """How a strake is measured.

    Attributes
    ----------
    reach : float
        Offsets and distances are off by any amount up to this alike, mm; then they are written to 0.5 mm.
    bevel : float
        Standard deviation of a bevel's reading, degrees; every second one is then written as a whole degree.
    slip : float
        One offset is off by this, up or down, mm.
    """

    reach: float = 0.0
    bevel: float = 0.0
    slip: float = 0.0


@dataclass
class MeasuredStrake:
    """What is written down: points by edge and place on the batten, and bevels of both lands, degrees."""

    strake: FlatStrake
    points: dict[str, dict[str, Array]]
    bevels: dict[int, dict[str, float]]
    ends: dict[EndName, Array]
    slip: tuple[str, str] | None = None
    true_bevels: dict[int, dict[str, float]] = field(default_factory=dict)


def measured_strake(
    shell: PlankedShell, number: int, spacing: float, errors: Errors, seed: int = 0, by_widths: bool = False
) -> MeasuredStrake:
    """Return a strake measured at timbers about so far apart, mm, with a batten as thick as the plank.

    By widths both points of a place lie square to the batten; else the timbers lean by up to a tenth.
    """
    random = np.random.default_rng(seed)
    strake = batten_strake(shell, number, shell.planking.thickness[number - 1])
    lines = {edge: _turned(strake.edge(edge), 0.02) for edge in EDGES}  # type: ignore[arg-type]
    first = max(float(line[0, 0]) for line in lines.values())
    last = min(float(line[-1, 0]) for line in lines.values())
    count = max(int((last - first) / spacing), 3)
    at = np.linspace(first, last, count + 2)[1:-1] + random.uniform(-15.0, 15.0, count)
    lean = 0.0 if by_widths else float(random.uniform(-0.1, 0.1))
    points: dict[str, dict[str, Array]] = {}
    for edge, line in lines.items():
        x = at + lean * (np.interp(at, line[:, 0], line[:, 1]) - np.interp(at, *lines["lower"].T))
        found = {"fore": line[0], **_named(x, line), "aft": line[-1]}
        points[edge] = {place: _read(point, errors, random, by_widths) for place, point in found.items()}
    ends = {end: _bowed(_turned(strake.end(end), 0.02), errors, random) for end in ENDS}
    measured = MeasuredStrake(strake, points, {}, ends)
    for land in (number - 1, number):
        if 1 <= land < shell.planking.strakes:
            own = lines["upper" if land == number else "lower"]
            true = _bevels(shell, number, land, np.array([own[0, 0], *at, own[-1, 0]]))
            measured.true_bevels[land] = true
            measured.bevels[land] = {
                place: _read_bevel(angle, errors, random, k) for k, (place, angle) in enumerate(true.items())
            }
    if errors.slip:
        edge = EDGES[int(random.integers(2))]
        place = [*points[edge]][int(random.integers(len(points[edge])))]
        points[edge][place] = points[edge][place] + np.array([0.0, errors.slip * random.choice([-1.0, 1.0])])
        measured.slip = (edge, place)
    for edge, line in lines.items():
        found = points[edge] | _half_ways(line, at, spacing, errors, random)
        points[edge] = dict(sorted(found.items(), key=lambda one: float(one[1][0])))
    return measured


def _half_ways(
    line: Array, at: Array, spacing: float, errors: Errors, random: np.random.Generator
) -> dict[str, Array]:
    """Points of one edge half-way from a corner to the nearest timber, where these lie too far apart.

    An edge bends most near its ends, and one of the two edges runs on past the other, where the ends rake.
    """
    found = {}
    for end, corner, timber in (("fore", line[0, 0], at[0]), ("aft", line[-1, 0], at[-1])):
        if abs(timber - corner) > LONG_BAY * spacing:
            x = (corner + timber) / 2
            point = np.array([x, np.interp(x, line[:, 0], line[:, 1])])
            found[f"half-way {end}"] = _read(point, errors, random, False)
    return found


def _bowed(end: Array, errors: Errors, random: np.random.Generator) -> Array:
    """Three points of an end that bows, shape (3, 2); none of a straight one."""
    chord = (end[-1] - end[0]) / np.linalg.norm(end[-1] - end[0])
    off = (end - end[0]) @ np.array([-chord[1], chord[0]])
    if np.abs(off).max() < BOW:
        return np.empty((0, 2))
    along = (end - end[0]) @ chord
    at = along[-1] * np.array([0.25, 0.5, 0.75])
    points = np.stack([np.interp(at, along, end[:, part]) for part in range(2)], axis=1)
    return np.array([_read(point, errors, random, False) for point in points])


def _named(x: Array, line: Array) -> dict[str, Array]:
    y = np.interp(x, line[:, 0], line[:, 1])
    return {f"timber {k + 1}": point for k, point in enumerate(np.stack([x, y], axis=1))}


def _turned(points: Array, angle: float) -> Array:
    cosine, sine = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[cosine, sine], [-sine, cosine]]))


def _read(point: Array, errors: Errors, random: np.random.Generator, by_widths: bool) -> Array:
    if not errors.reach:
        return point
    off = random.uniform(-errors.reach, errors.reach, 2)
    if by_widths:
        off[0] = 0.0
    return np.asarray(np.round(2.0 * (point + off)) / 2.0)


def _read_bevel(angle: float, errors: Errors, random: np.random.Generator, k: int) -> float:
    if not errors.bevel:
        return angle
    read = angle + float(random.normal(0.0, errors.bevel))
    return float(np.round(read)) if k % 2 else float(np.round(2.0 * read) / 2.0)


def _bevels(shell: PlankedShell, number: int, land: int, at: Array) -> dict[str, float]:
    """The boat's own bevels where the ends and the timbers cross the edge that the land is on, degrees."""
    strake = flat_strake(shell, number)
    v = 1.0 if land == number else 0.0
    u = np.linspace(shell.u_fore, shell.u_aft, 400)
    x = _turned(strake.at(u if land == number else shell.over(land, u), np.full_like(u, v)), 0.02)[:, 0]
    bevels = np.degrees(shell.bevel(land, np.interp(at, x, u)))
    places = ["fore", *(f"timber {k + 1}" for k in range(len(at) - 2)), "aft"]
    return dict(zip(places, bevels.tolist(), strict=True))


def width_above(shell: PlankedShell, number: int, end: EndName) -> float:
    """The width of the strake above at an end of the boat, from upper edge to upper edge, mm."""
    return float(shell.lapping(number, np.array([shell.u_end(end)])).y[0])


def plank_text(measured: MeasuredStrake, by_widths: bool = False, more: str = "") -> str:
    """The plank file of a measured strake."""
    shell, number = measured.strake.shell, measured.strake.number
    planking = shell.planking
    thickness = planking.thickness
    lines = ["format = 1", 'name = "Measured"', 'units = "mm"', f"strake = {number}", 'side = "port"']
    lines += ["sheer = true"] if number == planking.strakes else []
    land = min(number, planking.strakes - 1)
    lines += [f"thickness = {thickness[number - 1]}", f"lap = {planking.lap_on(land)}"]
    if number > 1:
        lines += [f"thickness_below = {thickness[number - 2]}", f"lap_below = {planking.lap_on(number - 1)}"]
    lines += [f"batten = {thickness[number - 1]}", more]
    inner = [place for place in measured.points["lower"] if place in measured.points["upper"] and place not in ENDS]
    if by_widths:
        lines.append("[widths]")
        for place in inner:
            (x, low), (_, high) = (measured.points[edge][place] for edge in EDGES)
            lines.append(f'"{place}" = [{float(x)!r}, {float(low)!r}, {float(high)!r}]')
    for edge in EDGES:
        lines.append(f"[{edge}]")
        for place, (x, y) in measured.points[edge].items():
            if by_widths and place in inner:
                continue
            lines.append(f'"{place}" = [{float(x)!r}, {float(y)!r}]')
    for land, read in measured.bevels.items():
        lines.append("[bevel]" if land == number else "[bevel_below]")
        lines += [f'"{place}" = {angle!r}' for place, angle in read.items()]
    for end in ENDS:
        lines += [f"[{end}]", 'on = "stem"']
        lines += [f"points = {measured.ends[end].tolist()}"] if len(measured.ends[end]) else []
        gerald = planking.gerald(end)
        lines += [f"gerald = {gerald}"] if gerald is not None else []
        if number < planking.strakes:
            lines.append(f"width_above = {width_above(shell, number, end)!r}")
    return "\n".join(lines) + "\n"
