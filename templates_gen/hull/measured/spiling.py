"""What was read off a spiling batten: frozen records in millimetres, validated by their reader."""

from dataclasses import dataclass
from typing import Literal

from templates_gen.hull.model import Array

EdgeName = Literal["lower", "upper"]
EDGES: tuple[EdgeName, EdgeName] = ("lower", "upper")

FEWEST = 4
"""Points that each edge must have."""


@dataclass(frozen=True)
class Arcs:
    """Two compass arcs that meet in a point: their centres on the batten, shape (2,), and their radius, mm.

    Centres are (distance along the batten's straight edge, offset above it); the second lies aft of the first.
    """

    first: Array
    second: Array
    radius: float


@dataclass(frozen=True)
class Spiling:
    """A strake taken off the boat with a spiling batten.

    Attributes
    ----------
    strake : int
    points : dict of edge to dict of place to Array, shape (2,)
        (distance along the batten's straight edge, offset above it), mm; empty where arcs were swung.
    arcs : dict of edge to dict of place to Arcs
        Of the lower edge's two meetings the lower is meant, of the upper edge's the upper: the batten lies between.
    batten : float
        Its thickness, mm; 0 when it is too thin to matter.
    fingerprint : str
        Eight hexadecimal digits of the file's SHA-256.
    """

    strake: int
    points: dict[EdgeName, dict[str, Array]]
    arcs: dict[EdgeName, dict[str, Arcs]]
    batten: float = 0.0
    fingerprint: str = ""
