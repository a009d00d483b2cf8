"""What is cut from which sheet, and its lists: sheets with their yield, parts, and scarfs."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Piece, Table
from templates_gen.errors import StockError
from templates_gen.geometry.flat_strakes import narrowest_board
from templates_gen.notation import Notation
from templates_gen.stock.nesting import LaidPart, StockSheet, nested, too_large
from templates_gen.stock.parts import Part, plank_parts
from templates_gen.stock.plan import MOST_SHEETS, PlankingPlan
from templates_gen.stock.planks import Plank
from templates_gen.stock.scarf_marks import Pattern
from templates_gen.stock.scarfs import APART, FRAME_SPACES, Scarf
from templates_gen.units import UnitName, format_length, spoken_length

Array = NDArray[np.float64]


@dataclass(frozen=True)
class CuttingPlan:
    """What is cut from which sheet.

    Attributes
    ----------
    planking : PlankingPlan
    templates : tuple of Piece
        Each strake's template with its scarfs drawn.
    sheets : tuple of StockSheet
    left_out : tuple of str
        Parts of any thickness that no sheet is large enough for.
    """

    planking: PlankingPlan
    templates: tuple[Piece, ...]
    sheets: tuple[StockSheet, ...]
    left_out: tuple[str, ...] = ()


def cutting_plan(planking: PlankingPlan, patterns: Sequence[Pattern], others: Sequence[Part] = ()) -> CuttingPlan:
    """Return the cutting plan of a boat: every strake twice, port and starboard, and other parts where they fit.

    Parameters
    ----------
    planking : PlankingPlan
    patterns : sequence of Pattern
        Of every strake, from the garboard.
    others : sequence of Part
        See `piece_parts`; those of any thickness go into what the strakes leave, and are left out where no sheet is
        large enough for them.

    Raises
    ------
    StockError
        If a part is too large for the stock, or the boat takes more than MOST_SHEETS.
    """
    stock = planking.stock
    parts: list[Part] = []
    for plank, joints, pattern in zip(planking.planks, planking.joints, patterns, strict=True):
        parts += plank_parts(plank, pattern.plain, joints)
    left_out = too_large([part for part in others if part.thickness is None], stock)
    others = [part for part in others if part not in left_out]
    sheets = nested([*parts, *others], stock)
    if len(sheets) > MOST_SHEETS:
        raise StockError(
            f"this boat takes {len(sheets)} sheets of this stock, more than {MOST_SHEETS}; give larger sheets"
        )
    names = tuple(part.name for part in left_out)
    return CuttingPlan(planking, tuple(pattern.whole for pattern in patterns), sheets, names)


def plank_sheets(plan: PlankingPlan, strakes: Sequence[Piece]) -> tuple[StockSheet, ...]:
    """Return the sheets that the planks of both hands take, from the strakes' outlines; see `plank_parts`."""
    every = zip(plan.planks, strakes, plan.joints, strict=True)
    return nested([part for plank, piece, joints in every for part in plank_parts(plank, piece, joints)], plan.stock)


def plan_tables(plan: CuttingPlan, units: UnitName) -> tuple[Table, ...]:
    """Return the lists of sheets, of parts and of scarfs; no list of scarfs where there are none."""
    tables = [_sheets(plan, units), *(_parts(sheet, units) for sheet in plan.sheets)]
    if any(plan.planking.joints):
        tables.append(_scarfs(plan, units))
    return tuple(tables)


def format_share(share: float) -> str:
    """Return a share as whole parts of a hundred: "71 %"."""
    return f"{math.floor(100.0 * share + 0.5)} %"


def _sheets(plan: CuttingPlan, units: UnitName) -> Table:
    notation = Notation(units)
    rows = [
        (
            str(sheet.number),
            sheet.size.text(units),
            "any" if sheet.thickness is None else format_length(sheet.thickness, units),
            str(len(sheet.laid)),
            notation.area(sheet.used / 1e6),
            format_share(sheet.share_used),
        )
        for sheet in plan.sheets
    ]
    used, area = (sum(values) for values in zip(*((s.used, s.size.area) for s in plan.sheets), strict=True))
    count = sum(len(sheet.laid) for sheet in plan.sheets)
    rows.append(("all", "", "", str(count), notation.area(used / 1e6), format_share(used / area)))
    gap, margin = (format_length(value, units) for value in (plan.planking.stock.gap, plan.planking.stock.margin))
    return Table(
        "Sheets of stock",
        ("sheet", "length x width", "thick", "parts", f"used,\n{notation.area_unit}", "yield"),
        tuple(rows),
        (
            f"Parts lie {gap} or more apart and {margin} or more from the sheet's edges, strakes with the grain "
            "along the sheet. Measure the sheets: few have the size and thickness that they are sold as.",
            "Yield is the area of the parts over that of the sheet.",
            *([f"Larger than any sheet and left out: {', '.join(plan.left_out)}."] if plan.left_out else []),
        ),
        word_columns=(0, 1),
    )


def _parts(sheet: StockSheet, units: UnitName) -> Table:
    rows = [
        (str(number), one.name, *(_size(one, lines, units) for lines in (one.sawn, one.net)))
        for number, one in enumerate(sheet.laid, 1)
    ]
    return Table(
        f"Parts on sheet {sheet.number}",
        ("number", "part", "to be sawn:\nlength x width", "net:\nlength x width"),
        tuple(rows),
        tuple(_part_notes(sheet)),
        word_columns=(1, 2, 3),
    )


def _part_notes(sheet: StockSheet) -> Iterator[str]:
    if sheet.has_rough:
        yield "A plank that has a rough outline is sawn to it."
    if sheet.has("strake"):
        yield "Planks: the narrowest board that holds the outline. A blank has wood along its edges besides."


def _size(one: LaidPart, lines: Sequence[Array], units: UnitName) -> str:
    """Return length and width of a part's outlines: in their narrowest board if it is a plank, as it lies if not."""
    points = np.concatenate(lines)
    sides = narrowest_board(points) if one.piece.about.thing == "strake" else np.ptp(points, axis=0)
    length, width = (format_length(float(side), units) for side in sides)
    return f"{length} x {width}"


def _scarfs(plan: CuttingPlan, units: UnitName) -> Table:
    rows = []
    for plank, joints in zip(plan.planking.planks, plan.planking.joints, strict=True):
        for number, joint in enumerate(joints):
            rows.append(
                (
                    str(plank.number),
                    f"{number + 1} of {len(joints)}",
                    format_length(joint.middle, units),
                    format_length(joint.x, units),
                    format_length(joint.length, units),
                    *(
                        format_length(apart, units) if apart < math.inf else ""
                        for apart in _nearest(plan, plank, joint)
                    ),
                )
            )
    return Table(
        "Scarfs",
        (
            "strake",
            "scarf",
            "middle from\nfore end",
            "at, along\nthe boat",
            "length",
            "from the next\nstrake's",
            "from the next\nbut one's",
        ),
        tuple(rows),
        (
            f"Slope {plan.planking.slope:g} to 1. "
            "The outside feather faces aft: plane the forward part on its inner face, the after part on its outer "
            "face, each from its line to nothing at the end. Both hands are alike.",
            _distances(plan, units),
        ),
        word_columns=(1,),
    )


def _distances(plan: CuttingPlan, units: UnitName) -> str:
    """Return how far apart scarfs should be, and how near the nearest are."""
    every = [
        _nearest(plan, plank, joint)
        for plank, some in zip(plan.planking.planks, plan.planking.joints, strict=True)
        for joint in some
    ]
    least = [min(apart) for apart in zip(*every, strict=True)]
    here = [f"{spoken_length(apart, units)}" if apart < math.inf else "none" for apart in least]
    return (
        f"Scarfs of neighbouring strakes should be {spoken_length(APART, units)} or more apart; with one strake "
        f"between, {FRAME_SPACES} or more timber spaces. The nearest here are {here[0]} and {here[1]} apart."
    )


def _nearest(plan: CuttingPlan, plank: Plank, joint: Scarf) -> tuple[float, float]:
    """Return how far along the boat a joint is from the nearest of the next strakes', and of the next but one."""
    apart = []
    for step in (1, 2):
        near = [plank.number - 1 + side for side in (-step, step)]
        others = [
            other
            for number in near
            if 0 <= number < len(plan.planking.joints)
            for other in plan.planking.joints[number]
        ]
        apart.append(min((abs(other.x - joint.x) for other in others), default=math.inf))
    return apart[0], apart[1]


def stock_file_names(plan: CuttingPlan) -> tuple[str, ...]:
    """Return the name of each sheet's drawing."""
    return tuple(f"stock-{sheet.number}.dxf" for sheet in plan.sheets)
