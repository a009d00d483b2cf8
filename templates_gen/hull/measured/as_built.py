"""What was measured on the boat while she is planked: frozen records in millimetres, validated by their reader."""

from dataclasses import dataclass, field
from typing import Literal

from templates_gen.hull.model import Hull

MeasuredUnits = Literal["mm", "in", "ft-in-8", "eighths"]


@dataclass(frozen=True)
class HungStrake:
    """One strake that has been hung.

    Attributes
    ----------
    number : int
        From 1, the garboard.
    above_mark : dict of str to float
        By station name and "fore"/"aft": how far its upper inside corner stands above its mark along the section
        (at a stem along the rabbet line, on a transom on its outer face), mm; negative where it stands below.
    thickness : float or None
        Of its stock as measured, mm; None: as drawn.
    lap : float or None
        Width of the lap that was set off on it for the next strake, mm; None: as drawn.
    sure : tuple of str
        Places whose figures were measured again and are right, however odd they look.
    """

    number: int
    above_mark: dict[str, float]
    thickness: float | None = None
    lap: float | None = None
    sure: tuple[str, ...] = ()


@dataclass(frozen=True)
class AsBuilt:
    """Every strake hung so far, from the garboard up, none left out.

    Attributes
    ----------
    strakes : tuple of HungStrake
    fingerprint : str
        Eight hexadecimal digits of the file's SHA-256.
    """

    strakes: tuple[HungStrake, ...] = field(default=())
    fingerprint: str = ""

    @property
    def hung(self) -> int:
        """The number of the last strake hung."""
        return len(self.strakes)


def place_names(hull: Hull) -> tuple[str, ...]:
    """Return where a strake is measured: "fore", every station by name, "aft"."""
    return ("fore", *(station.name for station in hull.stations), "aft")
