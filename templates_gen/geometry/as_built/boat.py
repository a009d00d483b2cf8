"""The boat as built: lands below as measured, lands above lined off anew, as a hull that everything is made from."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, EndName
from templates_gen.geometry.as_built.mistaken import Mistake, mistakes
from templates_gen.geometry.as_built.moulds import MouldsAsTheyStand, shifts_of, standing, with_moulds_as_they_stand
from templates_gen.geometry.as_built.slips import Slip
from templates_gen.geometry.as_built.still_to_hang import relined
from templates_gen.geometry.as_built.weighing import Readings, weighed
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.lengths import spread_of
from templates_gen.hull.measured.as_built import AsBuilt, half_way_names, place_names
from templates_gen.hull.model import Hull, Lands
from templates_gen.numerics.curves import Batten, cubic

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SectionMarks:
    """The upper inside corners at one place.

    Attributes
    ----------
    girths : Array, shape (N + 1,)
        Of the garboard's lower end and of every drawn mark, along the section, mm.
    row : callable of Array (N,) to Array
        Girths in, the place's row of lands by offsets out: points at a station and a transom, heights on a stem.
    """

    girths: Array
    row: Callable[[Array], Array]


@dataclass(frozen=True)
class Relined:
    """The boat as built so far.

    Attributes
    ----------
    hull : Hull
        With lands by offsets to the inside of the planking, as built below and lined off anew above.
    hung : int
        The number of the last strake hung.
    moved : Array, shape (N, p)
        How far every strake's upper edge stands above its drawn mark along the section, at the fore end, every
        station and the after end, mm; of hung strakes as weighed.
    is_measured : array of bool, shape (N, p)
        Whether a figure measured there is used; in a hung strake's row the rest is taken from its neighbours.
    slips : tuple of Slip
        Figures that look like slips of measuring, garboard first; places past the after end are half-ways.
    mistakes : tuple of Mistake
        Strakes that were measured the wrong way up or from the other mark.
    meant : Array, shape (h, p)
        Where every hung strake was meant to come, above its drawn marks, mm.
    figures : Array, shape (h, p)
        As measured, mm; not a number where nothing was.
    moulds : MouldsAsTheyStand or None
        How the moulds stand; None: as drawn.
    measured_at : tuple of str
        The names of the places that a slip's `place` counts: marks, then the half-ways that are given.
    """

    hull: Hull
    hung: int
    moved: Array
    is_measured: NDArray[np.bool_]
    slips: tuple[Slip, ...] = ()
    mistakes: tuple[Mistake, ...] = ()
    meant: Array = field(default_factory=lambda: np.zeros((0, 0)))
    figures: Array = field(default_factory=lambda: np.zeros((0, 0)))
    moulds: MouldsAsTheyStand | None = None
    measured_at: tuple[str, ...] = ()

    @property
    def left_out(self) -> tuple[Slip, ...]:
        """The figures that are not used: they look like slips, and nobody is sure of them."""
        return tuple(slip for slip in self.slips if slip.is_left_out)

    @property
    def drawn_lands(self) -> Array:
        """How far the drawn lands lie above the marks on the moulds as they stand, shape (N, p), mm."""
        return np.zeros_like(self.moved) if self.moulds is None else self.moulds.drawn_lands

    @property
    def off_lands(self) -> Array:
        """How far every strake's upper edge lies above its drawn land, shape (N, p), mm."""
        return np.asarray(self.moved - self.drawn_lands)


_FITTED = ("bulkhead", "frame", "floor", "thwart", "breasthook", "knee", "gunwale", "timbers")


def is_fitted(about: About | None) -> bool:
    """Return whether something is about what is put inside the planking when it is on."""
    return about is not None and about.thing in _FITTED


def is_still_to_make(about: About | None, hung: int) -> bool:
    """Return whether something is about a strake or a land still to be made, when `hung` strakes hang.

    The land on the last hung strake is: its bevel is planed before the next strake goes on. Moulds stand, rebates and
    transoms are cut. What goes inside comes last.
    """
    if is_fitted(about):
        return True
    if about is None or about.number is None:
        return False
    last = about.numbers[-1]
    return last >= hung if about.thing in ("land", "bevel") else about.thing == "strake" and last > hung


def section_marks(shell: PlankedShell) -> dict[str, SectionMarks]:
    """Return the upper inside corners of a drawn shell at the fore end, every station and the after end, by name."""
    marks = {"fore": _end_marks(shell, "fore")}
    corners = np.stack([edge.batten.marks for edge in shell.hung.edges])
    for index, station in enumerate(shell.hull.stations, start=1):
        marks[station.name] = _curve_marks(np.vstack([station.rabbet, corners[:, index, 1:]]), lambda points: points)
    return marks | {"aft": _end_marks(shell, "aft")}


def drawn_widths(shell: PlankedShell) -> dict[str, Array]:
    """Return each strake's width from mark to mark along the section, by place, shape (N,), mm."""
    return {name: np.diff(marks.girths) for name, marks in section_marks(shell).items()}


def _curve_marks(points: Array, row: Callable[[Array], Array]) -> SectionMarks:
    batten = Batten(points)
    return SectionMarks(batten.length_to(batten.knots), lambda girths: row(batten.point(batten.at_length(girths))))


def _end_marks(shell: PlankedShell, end: EndName) -> SectionMarks:
    if end not in shell.hung.stems:
        face, rabbet = shell.hung.faces[end], shell.hung.rabbet
        low = rabbet.batten.point(rabbet.fore if end == "fore" else rabbet.aft)
        corners = np.stack([edge.batten.marks[0 if end == "fore" else -1] for edge in shell.hung.edges])
        bench = face.bench(np.vstack([low, corners]))
        return _curve_marks(bench, lambda points: face.point(points)[:, 1:])
    stem = shell.hung.stems[end]
    rabbet_line = stem.rabbet

    def heights(girths: Array) -> Array:
        along = [rabbet_line.along(rabbet_line.foot, float(girth)) for girth in girths]
        return np.asarray(rabbet_line.batten.point(np.array(along))[:, 2])

    return SectionMarks(rabbet_line.distance_from_foot(stem.parameters), heights)


PARTED = 1.0
"""Where the two sides differ by more than this anywhere, mm, each is lined off by itself."""


def sides_apart(port: Relined, starboard: Relined, strake: int) -> Array:
    """Return how far a hung strake's edge is nearer the sheer to port, shape (p,), mm.

    As measured where both sides were, else as weighed; each from the drawn land. At the fore end, every station and
    the after end.
    """
    k = strake - 1
    is_measured = port.is_measured[k] & starboard.is_measured[k]
    apart = port.figures[k] - starboard.figures[k]
    own = np.where(is_measured, apart, port.moved[k] - starboard.moved[k])
    return np.asarray(own - port.drawn_lands[k] + starboard.drawn_lands[k])


def moulds_apart(port: Relined, starboard: Relined) -> float:
    """Return how differently a mould stands port from starboard at most, mm."""
    if port.moulds is None or starboard.moulds is None:
        return 0.0
    return float(np.abs(port.moulds.shifts - starboard.moulds.shifts).max())


def as_built_boat(shell: PlankedShell, measured: AsBuilt) -> Relined:
    """Return the boat as measured so far, what is still to be hung lined off anew.

    Parameters
    ----------
    shell : PlankedShell
        The boat as drawn.
    measured : AsBuilt

    Notes
    -----
    Girths run along a batten through the drawn upper inside corners, so a few millimetres along a mould whose edge is
    straight from mark to mark leave its flat by less than half the bevel times that distance. Planks lie flush with
    the rabbet line at a stem: the rebate is pared to the real stock. Figures are weighed against what planks can do
    (`weighing`); one that looks like a slip of measuring is left out, unless the file says that it is sure or the
    next strake was built so too.
    """
    hull, count, hung = shell.hull, shell.planking.strakes, measured.hung
    along, stand = places_along(shell), standing(shell, measured)
    lands, between = stand.drawn_lands, given_half_ways(hull, measured)
    marks = along.shape[1]

    def meant(k: int, below: Array) -> Array:
        off = below[:marks] - lands[k - 1] if k else np.zeros(marks)
        own = relined(off, along[k:])[0] + lands[k]
        return np.concatenate([own, cubic(along[k], own)(_half_way(along[k])[between])])

    readings = readings_of(hull, measured)
    edges = weighed(readings, np.stack([np.append(row, _half_way(row)[between]) for row in along]), meant)
    moved = lands.copy()
    moved[:hung] = edges.moved[:, :marks]
    if 0 < hung < count:
        moved[hung:] += relined(moved[hung - 1] - lands[hung - 1], along[hung:])
    figures = np.where(readings.is_given, readings.figures, np.nan)
    remade = {strake.number for strake in measured.strakes if strake.is_remade}
    return Relined(
        hull_with_edges(shell, moved, measured),
        hung,
        moved,
        edges.is_used[:, :marks],
        edges.slips,
        mistakes(readings, edges, remade),
        edges.meant[:, :marks],
        figures[:hung, :marks],
        stand,
        measured_at(hull, measured),
    )


def given_half_ways(hull: Hull, measured: AsBuilt) -> list[int]:
    """Return which half-ways, numbered from 0 at the fore end, any strake was measured at."""
    given = {place for strake in measured.strakes for place in strake.above_mark}
    return [index for index, name in enumerate(half_way_names(hull)) if name in given]


def _half_way(along: Array) -> Array:
    """The places half-way between places along an edge, shape (p,) to (p - 1,)."""
    return np.asarray((along[:-1] + along[1:]) / 2.0)


def hull_with_edges(shell: PlankedShell, moved: Array, measured: AsBuilt) -> Hull:
    """Return the hull whose upper inside corners stand `moved`, shape (N, p), mm, above their drawn marks.

    Thickness, laps and the moulds as they stand are those of `measured`; its figures are not used.
    """
    marks = section_marks(shell)
    rows = {name: one.row(one.girths[1:] + moved[:, i]) for i, (name, one) in enumerate(marks.items())}
    return with_moulds_as_they_stand(shell, _hull_with(shell, measured, rows), shifts_of(shell.hull, measured))


def places_along(shell: PlankedShell) -> Array:
    """Return where the places of measuring lie along every upper edge, mm from its fore end, shape (N, p)."""
    return np.stack([edge.batten.length_to(edge.batten.knots) for edge in shell.hung.edges])


def readings_of(hull: Hull, measured: AsBuilt) -> Readings:
    """Return what was measured as arrays, N strakes by p places and the half-ways that are given after them."""
    names = measured_at(hull, measured)
    shape = (hull.planking.strakes, len(names))
    figures, noise = np.zeros(shape), np.full(shape[0], spread_of(measured.step))
    is_given, is_sure = np.zeros((2, *shape), dtype=np.bool_)
    for strake in measured.strakes:
        k = strake.number - 1
        is_given[k] = [name in strake.above_mark for name in names]
        is_sure[k] = [name in strake.sure for name in names]
        figures[k] = [strake.above_mark.get(name, 0.0) for name in names]
    return Readings(figures, is_given, is_sure & is_given, noise, measured.hung, len(place_names(hull)))


def measured_at(hull: Hull, measured: AsBuilt) -> tuple[str, ...]:
    """Return the names of the places that were measured: every mark, then the half-ways that are given."""
    between = half_way_names(hull)
    return (*place_names(hull), *(between[index] for index in given_half_ways(hull, measured)))


def _hull_with(shell: PlankedShell, measured: AsBuilt, rows: dict[str, Array]) -> Hull:
    """The hull with its corners at the rows' marks, inside, and with the stock that was hung."""
    hull = shell.hull
    hung, own = measured.hung, hull.planking.thickness
    thickness = list(own if measured.stock is None else (*own[:hung], *[measured.stock] * (len(own) - hung)))
    for strake in measured.strakes:
        if strake.thickness is not None:
            thickness[strake.number - 1] = strake.thickness
    laps = [hull.planking.lap_on(land) for land in range(1, hull.planking.strakes)]
    for strake in measured.strakes:
        if strake.lap is not None:
            laps[strake.number - 1] = strake.lap
    planking = replace(hull.planking, thickness=tuple(thickness), laps=tuple(laps))
    stations = hull.stations
    if hull.lines_to == "outside":
        stations = tuple(replace(one, section=_inside(one.rabbet, rows[one.name])) for one in stations)
    return replace(hull, lines_to="inside", lands=Lands("offsets", rows), planking=planking, stations=stations)


def _inside(rabbet: Array, corners: Array) -> Array:
    """A station's section to the inside of the planking: the corners, and half-way there where it is only one."""
    return corners if len(corners) > 1 else np.vstack([(rabbet + corners[0]) / 2, corners])
