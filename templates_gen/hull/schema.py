"""The hull file's tables and keys, with their types: all that can be checked of a value without looking at others.

Lengths come out in mm; the file's units are given as the validation context ``{"units": UnitName | None}`` (None when
the file's own `units` is unsound: then numbers and text both pass, and nothing may be computed from them).
"""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Discriminator, Field, PlainValidator, Tag, ValidationInfo
from pydantic_core import PydanticCustomError

from templates_gen.hull.lengths import to_mm
from templates_gen.hull.names import LONGEST_BOAT_NAME, LONGEST_STATION_NAME, name_fault

TAG = "\0"
"""First letter of the tags that distinguish variants; pydantic puts them into the path of an error."""

LONGEST = 100_000.0
"""No length in a hull file is longer than this, mm: a boat is at most 30 m."""

LONGEST_TABLE_NAME = 200
MOST_STRAKES = 40
MOST_POINTS = 500
MOST_BETWEEN = 20
MOST_INSIDE = 100


INSIDE_KINDS = '"bulkhead", "frame", "floor", "thwart", "breasthook", "knee", "gunwale" or "timbers"'
"""The kinds of [[inside]]."""


class Millimetres(float):
    """A length that is already in mm, whatever the file's units: one from a table of offsets."""


def _length(value: object, info: ValidationInfo) -> float:
    """Return a length in mm, or raise why it is not one."""
    if isinstance(value, Millimetres):
        return float(value)
    units = (info.context or {}).get("units")
    try:
        if units is None:
            return 0.0 if isinstance(value, str) else to_mm(value, "mm")
        length = to_mm(value, units)
    except ValueError as reason:
        raise PydanticCustomError("length", "{reason}", {"reason": str(reason)}) from None
    if abs(length) > LONGEST:
        raise PydanticCustomError("length", "{reason}", {"reason": "more than 100 m; check units"})
    return length


def _number(value: object) -> float:
    """Return a plain number, or raise why it is not one."""
    try:
        return to_mm(value, "mm")
    except ValueError as reason:
        raise PydanticCustomError("number", "{reason}", {"reason": str(reason)}) from None


def _name(longest: int, in_paths: bool) -> PlainValidator:
    """Return a validator of a name of at most so many letters; one that is used `in_paths` has no slashes."""

    def checked(value: object) -> str:
        fault = name_fault(value, longest, in_paths)
        if fault is not None:
            raise PydanticCustomError("name", "{reason}", {"reason": fault})
        return str(value)

    return PlainValidator(checked)


def _is_list(value: object) -> str:
    return TAG + ("list" if isinstance(value, list) else "one")


def _is_list_of_lists(value: object) -> str:
    return TAG + (
        "points" if isinstance(value, list) and any(isinstance(item, list) for item in value) else "figures"
    )


def _variant(key: str, choices: tuple[str, ...]) -> Discriminator:
    """Return what picks a table's variant by the text under `key`."""

    def picked(value: object) -> str | None:
        chosen = value.get(key) if isinstance(value, dict) else None
        return TAG + chosen if isinstance(chosen, str) and chosen in choices else None

    return Discriminator(picked, custom_error_type="variant", custom_error_message=key)


Length = Annotated[float, PlainValidator(_length)]
BoatName = Annotated[str, _name(LONGEST_BOAT_NAME, True)]
Number = Annotated[float, PlainValidator(_number)]
Point = Annotated[list[Length], Field(min_length=2, max_length=2)]
Points = Annotated[list[Point], Field(min_length=2, max_length=MOST_POINTS)]
EachStrake = Annotated[
    Annotated[Length, Tag(TAG + "one")] | Annotated[list[Length], Tag(TAG + "list")], Discriminator(_is_list)
]
Row = Annotated[
    Annotated[list[Point], Tag(TAG + "points")] | Annotated[list[Length], Tag(TAG + "figures")],
    Discriminator(_is_list_of_lists),
]


class Table(BaseModel):
    """A table of the hull file: no key but its own, no value changed into another type."""

    model_config = ConfigDict(defer_build=True, strict=True, extra="forbid", allow_inf_nan=False, frozen=True)


class LinesTable(Table):
    """What the sections are to."""

    to: Literal["inside", "outside"] = Field(description='"inside" or "outside": the side of the planking')
    table: Annotated[str, _name(LONGEST_TABLE_NAME, False)] | None = Field(
        None, description="the name of a table of offsets in the hull file's folder: .csv, .xlsx or .ods"
    )
    blank: Literal["base line", "not reached", "lost"] | None = Field(
        None, description='"base line", "not reached" or "lost": what an empty cell of the table means'
    )
    fair: Length | None = Field(None, description="how far marks may be moved to make the lines fair")


class StationTable(Table):
    """One station."""

    name: Annotated[str, _name(LONGEST_STATION_NAME, True)] = Field(description="the station's name, in quotes")
    at: Length = Field(description="the distance of the station's plane from the forward datum")
    mould: bool = Field(True, description="true or false")
    rabbet: Point = Field(description="[half-breadth, height] on the rabbet line")
    section: Points = Field(description="[[half-breadth, height], …] from the rabbet out to the sheer, two or more")


class KeelTable(Table):
    """The keel."""

    joint: Literal["rebate", "hog", "flat"] = Field("rebate", description='"rebate", "hog" or "flat"')
    siding: Length | None = Field(None, description="the keel's full thickness")
    hog: Point | None = Field(None, description="[width, depth] of the hog")
    wood_inside: Length | None = Field(None, description="the wood inside the rabbet line, along the side")


class StemTable(Table):
    """A stem or sternpost."""

    kind: Literal["stem"] = Field(description='"stem" or "transom"')
    joint: Literal["rebate", "bevel"] = Field("rebate", description='"rebate" or "bevel"')
    siding: Length = Field(description="the stem's full thickness at its rabbet line")
    rabbet: Points = Field(description="[[distance, height], …] from the foot up to the head, two or more")
    wood_inside: Length | None = Field(None, description="the wood inside the rabbet line, along the side")
    apron: Length | None = Field(
        None, description="the full width of an apron behind the stem that is wider than its siding"
    )
    face: Points | None = Field(None, description="[[distance, height], …] of the fore face, two or more")


class TransomTable(Table):
    """A transom."""

    kind: Literal["transom"] = Field(description='"stem" or "transom"')
    profile: Annotated[list[Point], Field(min_length=2, max_length=2)] = Field(
        description="two points, [[distance, height], [distance, height]], bottom and top"
    )
    thickness: Length = Field(description="the transom's thickness")
    radius: Length = Field(0.0, description="the radius of the outer face; 0 if flat")
    rabbet: Point = Field(description="[half-breadth, height] of the rabbet line on the outer face")
    section: Points = Field(description="[[half-breadth, height], …] from the rabbet up to the sheer, two or more")
    joint: Literal["bevel", "rebate"] = Field("bevel", description='"bevel" or "rebate"')
    lip: Length | None = Field(None, description="the wood left outside the plank ends of a rebated transom")


class MidshipTable(Table):
    """The after end of half a boat: its last station is the midship section."""

    kind: Literal["midship"] = Field(description='"stem", "transom" or "midship"')
    half: Literal["mirror", "cut"] = Field(
        description='"mirror" (the after half is the forward one, mirrored) or "cut" (planks end at the last station)'
    )


class GeraldTable(Table):
    """The geralds' lengths."""

    fore: Length | None = Field(None, description="the length of the forward geralds")
    aft: Length | None = Field(None, description="the length of the after geralds")


class PlankingTable(Table):
    """The planking."""

    method: Literal["riveted", "glued"] = Field("riveted", description='"riveted" or "glued"')
    strakes: Annotated[int, Field(ge=1, le=MOST_STRAKES)] = Field(
        description=f"a whole number from 1 to {MOST_STRAKES}"
    )
    thickness: EachStrake = Field(description="the planks' thickness, or a list of one for each strake")
    lap: Length | None = Field(None, description="the width of the lap, square to the edge")
    least_edge: EachStrake | None = Field(None, description="the least edge left by planing, or a list of them")
    hood: Length | None = Field(
        None,
        description="straight part of the garboard's end on a stem; longer if under 1.4 laps wide",
    )
    gerald: GeraldTable | None = Field(None, description="a table with fore, aft or both")


class MouldsTable(Table):
    """The moulds."""

    thickness: Length = Field(18.0, description="the moulds' thickness")
    edge: Literal["faceted", "smooth"] = Field("faceted", description='"faceted" or "smooth"')
    base: Length | None = Field(None, description="the height of the building line")


class AllowancesTable(Table):
    """Wood left outside the net line."""

    transom: Length = Field(40.0, description="wood left at a transom")
    hood: Length = Field(10.0, description="wood left at a stem")
    sheer: Length = Field(5.0, description="wood left above the sheer")


class FasteningsTable(Table):
    """The fastenings along the lands."""

    timbers: Length | None = Field(None, description="the distance from timber to timber")
    at: Length | None = Field(None, description="the distance of one timber from the forward datum")
    between: Annotated[int, Field(ge=0, le=MOST_BETWEEN)] | None = Field(
        None, description=f"how many there are between two timbers, a whole number from 0 to {MOST_BETWEEN}"
    )
    hole: Length | None = Field(None, description="the diameter of the holes")


class CrossTable(Table):
    """A piece across the boat that fits the inside of the planking."""

    at: Length = Field(description="the distance of the line that one of its faces stands on")
    thickness: Length = Field(description="the thickness of its wood")
    side: Literal["fore", "aft"] | None = Field(
        None, description='"fore" or "aft": the side of the line that the wood is on'
    )
    bottom: Length | None = Field(None, description="the height that it begins at, if not at the keel")
    edge: Literal["joggled", "fair"] = Field("joggled", description='"joggled" or "fair"')
    limber: Length = Field(0.0, description="the radius of the hole for water at the keel")


class BulkheadTable(CrossTable):
    """A bulkhead."""

    kind: Literal["bulkhead"] = Field(description=INSIDE_KINDS)
    top: Length | None = Field(None, description="the height that it ends at, if not at the sheer")


class FrameTable(CrossTable):
    """A frame."""

    kind: Literal["frame"] = Field(description=INSIDE_KINDS)
    top: Length | None = Field(None, description="the height that it ends at, if not at the sheer")
    width: Length = Field(description="the width of its wood, square to the planking")


class FloorTable(CrossTable):
    """A floor."""

    kind: Literal["floor"] = Field(description=INSIDE_KINDS)
    top: Length = Field(description="the height that it ends at")


class ThwartTable(Table):
    """A thwart."""

    kind: Literal["thwart"] = Field(description=INSIDE_KINDS)
    fore: Length = Field(description="the distance of its forward edge")
    aft: Length = Field(description="the distance of its after edge")
    height: Length = Field(description="the height of its top face")
    thickness: Length = Field(description="the thickness of its wood")


class CornerTable(Table):
    """A piece in a corner at the sheer."""

    thickness: Length = Field(description="the thickness of its wood")
    arm: Length = Field(description="the length of its arm along the sheer strake")
    throat: Length = Field(description="its depth between the arms")
    tip: Length | None = Field(None, description="the width of an arm at its end")
    below: Length = Field(0.0, description="how far its top face lies below the sheer")


class BreasthookTable(CornerTable):
    """A breasthook."""

    kind: Literal["breasthook"] = Field(description=INSIDE_KINDS)
    end: Literal["fore", "aft"] = Field("fore", description='"fore" or "aft"')


class KneeTable(CornerTable):
    """A knee in each quarter."""

    kind: Literal["knee"] = Field(description=INSIDE_KINDS)
    end: Literal["fore", "aft"] = Field("aft", description='"fore" or "aft"')
    transom_arm: Length = Field(description="the length of its arm along the transom")


class GunwaleTable(Table):
    """A strip along the sheer strake."""

    kind: Literal["gunwale"] = Field(description=INSIDE_KINDS)
    part: Literal["inwale", "outwale", "rubbing strip"] = Field(description='"inwale", "outwale" or "rubbing strip"')
    width: Length = Field(description="its width, square to the plank")
    depth: Length = Field(description="its depth, down the plank")
    below: Length = Field(0.0, description="how far its upper edge lies below the sheer")


class TimbersTable(Table):
    """The list of the timbers."""

    kind: Literal["timbers"] = Field(description=INSIDE_KINDS)


class EvenTable(Table):
    """Lands lined off by the program."""

    by: Literal["even"] = Field(description='"even", "girth" or "offsets"')
    garboard: Number = Field(1.0, description="the garboard's visible width over the others', from 0.5 to 2.5")
    sheer: Number = Field(1.0, description="the sheer strake's visible width over the others', from 0.5 to 2.5")
    rubbing_strip: Length = Field(0.0, description="the width of the sheer strake that its rubbing strip hides")
    pins: dict[str, dict[str, Length]] = Field(
        {}, description='marks that stay, such as [lands.pins] with "3" = {2 = 310.0}: station, land and girth'
    )


class RowsTable(BaseModel):
    """Lands with a row for each station and both ends."""

    model_config = ConfigDict(defer_build=True, strict=True, extra="allow", allow_inf_nan=False, frozen=True)
    __pydantic_extra__: dict[str, Row]
    by: Literal["girth", "offsets"] = Field(description='"even", "girth" or "offsets"')


EndTable = Annotated[
    Annotated[StemTable, Tag(TAG + "stem")] | Annotated[TransomTable, Tag(TAG + "transom")],
    _variant("kind", ("stem", "transom")),
]
AfterEndTable = Annotated[
    Annotated[StemTable, Tag(TAG + "stem")]
    | Annotated[TransomTable, Tag(TAG + "transom")]
    | Annotated[MidshipTable, Tag(TAG + "midship")],
    _variant("kind", ("stem", "transom", "midship")),
]
InsideTable = Annotated[
    Annotated[BulkheadTable, Tag(TAG + "bulkhead")]
    | Annotated[FrameTable, Tag(TAG + "frame")]
    | Annotated[FloorTable, Tag(TAG + "floor")]
    | Annotated[ThwartTable, Tag(TAG + "thwart")]
    | Annotated[BreasthookTable, Tag(TAG + "breasthook")]
    | Annotated[KneeTable, Tag(TAG + "knee")]
    | Annotated[GunwaleTable, Tag(TAG + "gunwale")]
    | Annotated[TimbersTable, Tag(TAG + "timbers")],
    _variant("kind", ("bulkhead", "frame", "floor", "thwart", "breasthook", "knee", "gunwale", "timbers")),
]
LandsTable = Annotated[
    Annotated[EvenTable, Tag(TAG + "even")]
    | Annotated[RowsTable, Tag(TAG + "girth")]
    | Annotated[RowsTable, Tag(TAG + "offsets")],
    _variant("by", ("even", "girth", "offsets")),
]


# of tables that a file may leave out; made without checks, which would build their checks as soon as this is loaded
_KEEL, _MOULDS, _ALLOWANCES = (
    KeelTable.model_construct(),
    MouldsTable.model_construct(),
    AllowancesTable.model_construct(),
)


class HullTable(Table):
    """The whole file."""

    format: Literal[1] = Field(description="1")
    name: BoatName = Field(description="the boat's name, in quotes")
    units: Literal["mm", "in", "ft-in-8"] = Field(description='"mm", "in" or "ft-in-8"')
    waterline: Length | None = Field(None, description="the height of the waterline")
    edition: Annotated[str, _name(40, False)] | None = Field(None, description="text, in quotes")
    lines: LinesTable = Field(description='a table [lines] with to = "inside" or "outside"')
    station: list[StationTable] = Field(description="three or more tables [[station]], fore to aft")
    keel: KeelTable = Field(_KEEL, description="a table [keel]")
    fore: EndTable = Field(description='a table [fore] with kind = "stem" or "transom"')
    aft: AfterEndTable = Field(description='a table [aft] with kind = "stem", "transom" or "midship"')
    planking: PlankingTable = Field(description="a table [planking]")
    moulds: MouldsTable = Field(_MOULDS, description="a table [moulds]")
    allowances: AllowancesTable = Field(_ALLOWANCES, description="a table [allowances]")
    fastenings: FasteningsTable | None = Field(None, description="a table [fastenings]")
    inside: Annotated[list[InsideTable], Field(max_length=MOST_INSIDE)] = Field(
        [], description="tables [[inside]], one for each piece that fits inside the planking"
    )
    lands: LandsTable = Field(description='a table [lands] with by = "even", "girth" or "offsets"')
