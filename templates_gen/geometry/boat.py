"""The whole boat: everything that templates, tables and checks are made from."""

from dataclasses import dataclass
from functools import cached_property

from templates_gen.geometry.bending import Bending, bending
from templates_gen.geometry.flat_bottom import FlatBottom, flat_bottom
from templates_gen.geometry.flat_strakes import Extent, FlatStrake, extent, flat_strake
from templates_gen.geometry.moulds import MouldShape, mould_shape
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.rebate_places import midship_rebates
from templates_gen.geometry.rebates import Rebate, rebates
from templates_gen.geometry.refining import planked_shell
from templates_gen.geometry.setting_out import SettingOut, setting_out
from templates_gen.geometry.transoms import TransomShape, transom_shape
from templates_gen.hull.model import Hull, Midship


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
        return tuple(setting_out(strake) for strake in self.strakes)


def boat_of(hull: Hull) -> Boat:
    """Return the boat that a hull file describes."""
    return boat_on(planked_shell(hull))


def boat_on(shell: PlankedShell) -> Boat:
    """Return the boat that has a given shell."""
    hull = shell.hull
    strakes = tuple(flat_strake(shell, k) for k in range(1, hull.planking.strakes + 1))
    return Boat(
        hull,
        shell,
        strakes,
        tuple(extent(strake) for strake in strakes),
        tuple(bending(strake) for strake in strakes),
        tuple(mould_shape(shell, i) for i in range(len(hull.moulded_stations))),
        tuple(transom_shape(shell, end) for end in shell.hung.faces if not isinstance(hull.end(end), Midship)),
        (*rebates(shell), *midship_rebates(shell)),
        flat_bottom(shell) if hull.keel.joint == "flat" else None,
    )
