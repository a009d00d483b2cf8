"""The boat as its hull file describes it: frozen records in millimetres, validated by the reader.

Frame: x runs aft from the forward datum, y out from the centreplane, z up from the base line.
Arrays are float64 and read-only.
"""

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from templates_gen.about import EndName, Hand, Place, stops
from templates_gen.hull.offsets.table import OffsetsTable, TableNote
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.text import SourceFile
from templates_gen.notation import DepthName, Notation, notation_of

Array = NDArray[np.float64]
UnitName = Literal["mm", "in", "ft-in-8"]
HalfName = Literal["mirror", "cut"]


def read_only(values: ArrayLike) -> Array:
    """Return a copy of values as an array that nothing can change, as the records below hold them."""
    array = np.array(values, dtype=np.float64)
    array.setflags(write=False)
    return array


@dataclass(frozen=True)
class Station:
    """One transverse plane with its section.

    Attributes
    ----------
    name : str
    at : float
        x of the plane, mm.
    mould : bool
        Whether a mould is set up here.
    rabbet : Array, shape (2,)
        (half-breadth, height) on the rabbet line, mm.
    section : Array, shape (n, 2), n >= 2
        (half-breadth, height) from the rabbet out to the sheer, mm; the last is the sheer.
    mirrors : str
        The station of the given half that this one mirrors; "" for a given one.
    """

    name: str
    at: float
    mould: bool
    rabbet: Array
    section: Array
    mirrors: str = ""


@dataclass(frozen=True)
class Keel:
    """How the garboard meets the keel. `siding` None: twice the rabbet's half-breadth. `hog`: (width, depth)."""

    joint: Literal["rebate", "hog", "flat"] = "rebate"
    siding: float | None = None
    hog: tuple[float, float] | None = None
    wood_inside: float | None = None


@dataclass(frozen=True)
class Stem:
    """A stem or sternpost. `rabbet`, `face`: shape (n, 2), (x, height), mm; the rabbet's first point is the foot.

    `apron` is the full width of the wood behind it, from the bearding line in; None: no wider than the siding.
    """

    joint: Literal["rebate", "bevel"]
    siding: float
    rabbet: Array
    wood_inside: float | None = None
    face: Array | None = None
    apron: float | None = None


@dataclass(frozen=True)
class Transom:
    """A transom at either end.

    Attributes
    ----------
    profile : Array, shape (2, 2)
        (x, height) of the outer face at the centreline, bottom and top, mm.
    thickness : float
    radius : float
        Of the outer face, bowed outward, mm; 0 when flat.
    rabbet : Array, shape (2,)
        (half-breadth, height) of the rabbet line on the outer face.
    section : Array, shape (n, 2)
        (half-breadth, height) on the outer face, from the rabbet up to the sheer.
    joint : "bevel" or "rebate"
        Whether its edge is bevelled under the planks, or rebated to take their ends.
    lip : float
        Of a rebated transom: the wood left outside the plank ends, square to the outer face, mm. 0 if bevelled.
    """

    profile: Array
    thickness: float
    radius: float
    rabbet: Array
    section: Array
    joint: Literal["bevel", "rebate"] = "bevel"
    lip: float = 0.0


@dataclass(frozen=True)
class Midship(Transom):
    """The midship section of half a boat as its after end: planks are cut square in its plane.

    It counts as a flat, upright transom, but no template is made of it: its mould stands there.
    """

    station: Station = field(default_factory=lambda: Station("", 0.0, True, np.zeros(2), np.zeros((2, 2))))


@dataclass(frozen=True)
class Planking:
    """The planking's stock and its joints, mm; `thickness` and `least_edge` hold one figure for each strake.

    `laps` holds the width of each land's lap where they differ; empty where all are `lap`.
    """

    method: Literal["riveted", "glued"]
    strakes: int
    thickness: tuple[float, ...]
    lap: float
    least_edge: tuple[float, ...]
    hood: float
    gerald_fore: float | None = None
    gerald_aft: float | None = None
    laps: tuple[float, ...] = ()

    def lap_on(self, land: int) -> float:
        """Return the width of one land's lap, mm; the plain `lap` past the last land."""
        return self.laps[land - 1] if land <= len(self.laps) else self.lap

    def gerald(self, end: EndName) -> float | None:
        """Return the length of the geralds at one end, None where full laps are kept."""
        return self.gerald_fore if end == "fore" else self.gerald_aft

    def is_stepped(self, end: EndName) -> bool:
        """Return whether full laps make the planking's end stepped."""
        return self.strakes > 1 and self.gerald(end) is None


@dataclass(frozen=True)
class Moulds:
    """The moulds' stock, their edge and the height of the building line that all of them reach, mm."""

    thickness: float
    edge: Literal["faceted", "smooth"]
    base: float


@dataclass(frozen=True)
class Allowances:
    """Wood left outside the net line, mm."""

    transom: float = 40.0
    hood: float = 10.0
    sheer: float = 5.0


@dataclass(frozen=True)
class Fastenings:
    """The fastenings along the lands, mm; what is None follows from the planking (see `geometry.fastenings`).

    Attributes
    ----------
    timbers : float or None
        From timber to timber along the boat. None: the fastenings are shared out along each land by themselves.
    at : float or None
        x of one timber.
    between : int or None
        How many stand between neighbouring timbers.
    hole : float or None
        Diameter of the holes.
    stand : tuple of float or None
        x of every timber, fore to aft, where the set-up is out of its place and they are not; None: by `timbers`
        and `at`.
    """

    timbers: float | None = None
    at: float | None = None
    between: int | None = None
    hole: float | None = None
    stand: tuple[float, ...] | None = None


@dataclass(frozen=True)
class CrossPiece:
    """A bulkhead, a frame or a floor: a piece across the boat that fits the inside of the planking.

    Attributes
    ----------
    kind : "bulkhead", "frame" or "floor"
    index, number : int
        Which table [[inside]] of the file it is, from 0, and which of its kind, from 1.
    at : float
        x of the line on which one of its faces stands, mm.
    thickness : float
    side : "fore", "aft" or None
        The side of the line that its wood is on. None: that toward which the planking closes in.
    bottom, top : float or None
        Heights between which it is cut, mm. None: from the keel; up to the sheer.
    edge : "joggled" or "fair"
        Whether its edge fits every step of the laps, or touches the strakes at their upper inside corners only.
    limber : float
        Radius of the hole for water cut out of its corner at the keel or hog, mm; 0: none.
    width : float or None
        Of a frame: the wood inside the edge, mm. None: all wood to the centreline.
    """

    kind: Literal["bulkhead", "frame", "floor"]
    index: int
    number: int
    at: float
    thickness: float
    side: EndName | None = None
    bottom: float | None = None
    top: float | None = None
    edge: Literal["joggled", "fair"] = "joggled"
    limber: float = 0.0
    width: float | None = None


@dataclass(frozen=True)
class Thwart:
    """A thwart: a level board from side to side.

    Attributes
    ----------
    index, number : int
        As for a `CrossPiece`.
    fore, aft : float
        x of its edges, mm.
    height : float
        Of its top face, mm.
    thickness : float
    """

    index: int
    number: int
    fore: float
    aft: float
    height: float
    thickness: float
    kind: Literal["thwart"] = "thwart"


@dataclass(frozen=True)
class CornerPiece:
    """A breasthook between the sheer strakes and a stem, or a knee in each quarter, between sheer strake and transom.

    Attributes
    ----------
    kind : "breasthook" or "knee"
    index, number : int
        As for a `CrossPiece`.
    end : "fore" or "aft"
    thickness : float
    arm : float
        Along the inside of the sheer strake from the corner, mm.
    throat : float
        Of a breasthook: its depth on the centreline; of a knee: from the corner half-way between its arms, mm.
    tip : float
        Width of an arm at its end, mm.
    transom_arm : float
        Of a knee: along the transom from the corner, mm; 0 of a breasthook.
    below : float
        How far its top face lies below the sheer, mm.
    """

    kind: Literal["breasthook", "knee"]
    index: int
    number: int
    end: EndName
    thickness: float
    arm: float
    throat: float
    tip: float
    transom_arm: float = 0.0
    below: float = 0.0


@dataclass(frozen=True)
class Gunwale:
    """A strip along the sheer strake: an inwale inside it, an outwale or a rubbing strip outside.

    Attributes
    ----------
    index, number : int
        As for a `CrossPiece`.
    part : "inwale", "outwale" or "rubbing strip"
    width : float
        Square to the plank, mm.
    depth : float
        Down the plank, mm.
    below : float
        How far its upper edge lies below the sheer, mm.
    """

    index: int
    number: int
    part: Literal["inwale", "outwale", "rubbing strip"]
    width: float
    depth: float
    below: float = 0.0
    kind: Literal["gunwale"] = "gunwale"


@dataclass(frozen=True)
class TimberList:
    """A list of the lengths of the timbers, bent in over the laps; `index`, `number` as for a `CrossPiece`."""

    index: int
    number: int
    kind: Literal["timbers"] = "timbers"


Inside = CrossPiece | Thwart | CornerPiece | Gunwale | TimberList
"""What is put into a planked boat and has a pattern of its own."""


@dataclass(frozen=True)
class Lands:
    """Where the strakes' upper inside corners lie.

    Attributes
    ----------
    by : "even", "girth" or "offsets"
    at : dict of str to Array
        By station name and "fore"/"aft"; empty if even. "girth": shape (N,), mm from the rabbet.
        "offsets": shape (N, 2), (half-breadth, height). At a stem in both: shape (N,), heights on the rabbet line.
    garboard, sheer : float
        Factors of the garboard's and the sheer strake's shown width against the others', for "even".
    rubbing_strip : float
        How much of the sheer strake's width a rubbing strip hides, mm, for "even".
    pins : dict of str to dict of int to float
        By station name and "fore"/"aft": marks that stay where they are, by their land from 1; mm as in `at` by
        girth. For "even".
    """

    by: Literal["even", "girth", "offsets"]
    at: dict[str, Array]
    garboard: float = 1.0
    sheer: float = 1.0
    rubbing_strip: float = 0.0
    pins: dict[str, dict[int, float]] = field(default_factory=dict)


@dataclass(frozen=True)
class Change:
    """One figure that fairing has moved.

    Attributes
    ----------
    row, column : str
        The table's own names; without a table the point ("sheer", "point 3") and the station.
    measure : "height", "half-breadth", "diagonal" or "point"
    old, new : tuple of float
        mm: one figure, or (half-breadth, height) of a section's point.
    moved : float
        mm, along the figure's own direction; a point's square to its section.
    line : int
        In the table's file; 0 without a table.
    """

    row: str
    column: str
    measure: str
    old: tuple[float, ...]
    new: tuple[float, ...]
    moved: float
    line: int = 0


@dataclass(frozen=True)
class Hull:
    """The whole hull file.

    Attributes
    ----------
    units : UnitName
        The units the builder works in; every length below is in millimetres all the same.
    lines_to : "inside" or "outside"
        The side of the planking that sections and marks lie on.
    stations : tuple of Station
        Fore to aft, three or more.
    fingerprint : str
        Eight hexadecimal digits of the SHA-256 of the hull file, and of its table, so that sheets of two editions
        cannot be mixed.
    fastenings : Fastenings or None
        None where the file has none.
    offsets : OffsetsTable or None
        The table that the sections come from, if they do.
    offsets_notes : tuple of TableNote
        How the table's figures were read, where a builder should know.
    fair : float or None
        How far marks may be moved to make the lines fair, mm; None when they are not to be.
    changes : tuple of Change
        What fairing has moved.
    given : Hull or None
        The hull as its file gives it, if fairing has moved anything, or if half of it is mirrored.
    half : "mirror", "cut" or None
        What is made of half a boat; None where the file gives the whole of it.
    inside : tuple of Inside
        What is put into the planked boat, in the order of the file.
    source : SourceFile or None
        The hull file as it was read, which knows the line of each of its keys; None for a hull without a file.
    side : Hand or None
        The side that it is of, as built, where the two are not alike; None: both.
    """

    name: str
    units: UnitName
    lines_to: Literal["inside", "outside"]
    stations: tuple[Station, ...]
    keel: Keel
    fore: Stem | Transom
    aft: Stem | Transom
    planking: Planking
    moulds: Moulds
    allowances: Allowances
    lands: Lands
    waterline: float | None = None
    edition: str | None = None
    fingerprint: str = ""
    fastenings: Fastenings | None = None
    offsets: OffsetsTable | None = None
    offsets_notes: tuple[TableNote, ...] = ()
    fair: float | None = None
    changes: tuple["Change", ...] = ()
    given: "Hull | None" = None
    half: HalfName | None = None
    inside: tuple[Inside, ...] = ()
    source: SourceFile | None = field(default=None, compare=False, repr=False)
    depths: DepthName | None = None
    side: Hand | None = None

    @property
    def notation(self) -> Notation:
        """Return how figures about this boat are written."""
        return notation_of(self.units, self.depths)

    @property
    def mark(self) -> str:
        """Return what is written on a piece so that it is not mixed with others: "Tarnmoth 63d277c6 PORT"."""
        return self.of_side(f"{self.name} {self.fingerprint}".strip())

    def of_side(self, text: str) -> str:
        """Return a heading with the side after it, where the boat is of one: "TAKE-OFF COMB PORT"."""
        return text if self.side is None else f"{text} {self.side.upper()}"

    def end(self, name: EndName) -> Stem | Transom:
        """Return the stem or transom at one end."""
        return self.fore if name == "fore" else self.aft

    def line_of(self, key: KeyPath) -> int:
        """Return the line of a key in the hull file, or of the table that lacks it, from 1; 0 where there is none."""
        return 0 if self.source is None else self.source.line_of(key)

    @cached_property
    def stops(self) -> tuple[Place, ...]:
        """Return the fore end, every station and the after end, knowing which stations have moulds."""
        fore, *inner, aft = stops([station.name for station in self.stations])
        moulds = (replace(place, has_mould=s.mould) for place, s in zip(inner, self.stations, strict=True))
        return (fore, *moulds, aft)

    @property
    def moulded_stations(self) -> tuple[Station, ...]:
        """Return the stations that moulds are computed for, fore to aft: all, and a midship section at the end."""
        return (*self.stations, self.aft.station) if isinstance(self.aft, Midship) else self.stations

    @property
    def given_stations(self) -> tuple[Station, ...]:
        """Return the stations that the hull file gives, fore to aft: none that only mirror another."""
        return tuple(station for station in self.moulded_stations if not station.mirrors)
