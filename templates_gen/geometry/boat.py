"""The whole boat: everything that templates, tables and checks are made from."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property

from templates_gen.about import About, EndName, Place
from templates_gen.errors import BoatError, FlatteningError
from templates_gen.geometry.bending import Bending, bending
from templates_gen.geometry.flat_bottom import FlatBottom, flat_bottom
from templates_gen.geometry.flat_strakes import Extent, FlatStrake, extent, flat_strake
from templates_gen.geometry.inside.across import AcrossShape, across_shape
from templates_gen.geometry.inside.corners import CornerShape, corner_shape
from templates_gen.geometry.inside.gunwales import GunwaleShape, TimbersShape, gunwale_shape, timbers_shape
from templates_gen.geometry.inside.level import ThwartShape, thwart_shape
from templates_gen.geometry.moulds import (
    MouldFaces,
    MouldShape,
    PlankSection,
    mould_faces,
    mould_shape,
    plank_sections,
)
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebate_places import STEPS, GaugePlace, keel_gauge_places, midship_rebates
from templates_gen.geometry.rebates import Rebate, rebates
from templates_gen.geometry.setting_out import SettingOut, setting_out
from templates_gen.geometry.transoms import TransomShape, rebated_edge, transom_shape
from templates_gen.hull.model import CornerPiece, CrossPiece, Gunwale, Hull, Inside, Midship, Thwart, Transom
from templates_gen.words import spoken

InsideShape = AcrossShape | ThwartShape | CornerShape | GunwaleShape | TimbersShape


def inside_shape(shell: PlankedShell, piece: Inside) -> InsideShape:
    """Return the shape of a piece that is put inside the planking. Raises BoatError where it does not fit."""
    match piece:
        case CrossPiece():
            return across_shape(shell, piece)
        case Thwart():
            return thwart_shape(shell, piece)
        case CornerPiece():
            return corner_shape(shell, piece)
        case Gunwale():
            return gunwale_shape(shell, piece)
        case _:
            return timbers_shape(shell, piece)


@dataclass(frozen=True)
class Boat:
    """One side of a boat, computed.

    Attributes
    ----------
    hull : Hull
    shell : PlankedShell
    strakes : tuple of FlatStrake
        From the garboard.
    extents : tuple of Extent
    bendings : tuple of Bending
        The strakes' measure, and how hard each is to hang.
    moulds : tuple of MouldShape
        One for every station, whether a mould is set up there or not, and one for a midship section at the end.
    transoms : tuple of TransomShape
    rebates : tuple of Rebate
    flat_bottom : FlatBottom or None
        None where the keel's joint is another.
    """

    hull: Hull
    shell: PlankedShell
    strakes: tuple[FlatStrake, ...]
    extents: tuple[Extent, ...]
    bendings: tuple[Bending, ...]
    moulds: tuple[MouldShape, ...]
    transoms: tuple[TransomShape, ...]
    rebates: tuple[Rebate, ...]
    flat_bottom: FlatBottom | None

    @cached_property
    def settings_out(self) -> tuple[SettingOut, ...]:
        """Return what each strake is set out by, from the garboard."""
        found = []
        for strake in self.strakes:
            with _refused(("lands",), About("strake", strake.number)):
                found.append(setting_out(strake))
        return tuple(found)

    @cached_property
    def mould_faces(self) -> dict[str, MouldFaces]:
        """Return how each mould stands to its station, by the station's name; stations without a mould have none."""
        found = {}
        for index, shape in enumerate(self.moulds):
            if shape.station.mould:
                with _refused(("station", index), About("mould", place=Place("station", shape.station.name))):
                    found[shape.station.name] = mould_faces(self.shell, shape)
        return found

    @cached_property
    def _fitted(self) -> tuple[InsideShape | BoatError, ...]:
        """What is put inside the planking, in the order of the hull file, or why it does not fit."""
        found: list[InsideShape | BoatError] = []
        for piece in self.hull.inside:
            try:
                found.append(inside_shape(self.shell, piece))
            except BoatError as error:
                where = error.where or About(piece.kind, piece.number)
                found.append(BoatError(str(error), error.key or ("inside", piece.index), piece.kind, where))
        return tuple(found)

    @property
    def inside(self) -> tuple[InsideShape, ...]:
        """Return what is put inside the planking, as far as it fits, in the order of the hull file."""
        return tuple(one for one in self._fitted if not isinstance(one, BoatError))

    @property
    def inside_refused(self) -> tuple[BoatError, ...]:
        """Return why pieces of the hull file do not fit inside the planking; empty where all do."""
        return tuple(one for one in self._fitted if isinstance(one, BoatError))

    @cached_property
    def plank_sections(self) -> dict[str, tuple[PlankSection, ...]]:
        """Return every strake cut by the plane of each station, by the station's name."""
        found = {}
        for index, station in enumerate(self.hull.moulded_stations):
            with _refused(("station", index), About("section", place=Place("station", station.name))):
                found[station.name] = plank_sections(self.shell, station.at)
        return found

    @cached_property
    def keel_gauges(self) -> tuple[GaugePlace, ...]:
        """Return the places of the keel's gauges, fore to aft, in steps that suit the builder's units."""
        return keel_gauge_places(self.shell, STEPS[self.hull.units])


def boat_on(shell: PlankedShell) -> Boat:
    """Return the boat that has a given shell.

    Raises
    ------
    BoatError
        Where any of its pieces cannot be computed, those that only templates show included.
    """
    hull = shell.hull
    strakes = []
    for number in range(1, hull.planking.strakes + 1):
        with _refused(("lands",), About("strake", number)):
            strakes.append(flat_strake(shell, number))
    boat = Boat(
        hull,
        shell,
        tuple(strakes),
        tuple(extent(strake) for strake in strakes),
        tuple(bending(strake) for strake in strakes),
        tuple(mould_shape(shell, i) for i in range(len(hull.moulded_stations))),
        tuple(_transom(shell, end) for end in shell.hung.faces if not isinstance(hull.end(end), Midship)),
        (*rebates(shell), *midship_rebates(shell)),
        flat_bottom(shell) if hull.keel.joint == "flat" else None,
    )
    _try_templates(boat)
    return boat


def boat_if_any(shell: PlankedShell) -> Boat | None:
    """Return the boat that has a given shell; None where any of its pieces cannot be computed."""
    try:
        return boat_on(shell)
    except BoatError:
        return None


def _transom(shell: PlankedShell, end: EndName) -> TransomShape:
    """A transom's shape; a rebated one's edge is tried as well."""
    with _refused((end, "profile"), About("transom", end=end)):
        member = shell.hull.end(end)
        if isinstance(member, Transom) and member.joint == "rebate":
            rebated_edge(shell, end)
        return transom_shape(shell, end)


def _try_templates(boat: Boat) -> None:
    """Compute what else can be refused when templates are drawn: moulds' far faces, planks in section, ticks."""
    _ = boat.mould_faces, boat.plank_sections, boat.settings_out


@contextmanager
def _refused(key: tuple[str | int, ...], where: About) -> Iterator[None]:
    """Give an error that names no place in the hull file the place of what was being computed."""
    try:
        yield
    except FlatteningError as error:
        raise BoatError(f"{spoken(where)}: {error}", key, where.thing, where) from error
    except BoatError as error:
        if error.key:
            raise
        text = str(error) if where.thing == "strake" else f"{spoken(where)}: {error}"
        raise BoatError(text, key, where.thing, error.where or where) from error
