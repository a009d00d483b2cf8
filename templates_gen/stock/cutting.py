"""What is cut from which sheet, and its lists: sheets with their yield, parts, and scarfs.

Sheets of stock as drawings: each full size for the machine, and each small as a picture to look at.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import arrow, letters_width
from templates_gen.drawing.piece import Folio, Label, Path, Piece, Role, Table
from templates_gen.errors import StockError
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
            "along the sheet. Measure the sheets: few are of the size and thickness they were bought for.",
            "Yield is the area of the parts over that of the sheet.",
            *([f"Larger than any sheet and left out: {', '.join(plan.left_out)}."] if plan.left_out else []),
        ),
        word_columns=(0, 1),
    )


def _parts(sheet: StockSheet, units: UnitName) -> Table:
    rows = [
        (str(number), _called(one), *(_size(lines, units) for lines in (_sawn(one), _net(one))))
        for number, one in enumerate(sheet.laid, 1)
    ]
    return Table(
        f"Parts on sheet {sheet.number}",
        ("number", "part", "to be sawn:\nlength x width", "net:\nlength x width"),
        tuple(rows),
        ("A plank that has a rough outline is sawn to it.",),
        word_columns=(1, 2, 3),
    )


def _net(one: LaidPart) -> list[Array]:
    """Return a part's net outlines where it lies, each of shape (n, 2)."""
    return [path.points for path in one.piece.paths if path.role is Role.CUT]


def _sawn(one: LaidPart) -> list[Array]:
    """Return the outlines that a part is sawn to where it lies: its rough one if it has one."""
    return [path.points for path in one.piece.paths if path.role is Role.ROUGH] or _net(one)


def _called(one: LaidPart) -> str:
    """Return what a part is called, with the end of the strake that it is of: "…, part 1 of 2, FORE"."""
    which = one.piece.about.which
    if one.piece.about.thing != "strake" or len(which) != 2:
        return one.part.name
    number, count = (int(figure) for figure in which)
    return f"{one.part.name}, {'FORE' if number == 1 else 'AFT' if number == count else 'MIDDLE'}"


def _size(lines: Sequence[Array], units: UnitName) -> str:
    length, width = (format_length(float(side), units) for side in np.ptp(np.concatenate(lines), axis=0))
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


PICTURE_SCALES = (10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 100.0)
PICTURE_WIDTH = 170.0
"""Pictures are no wider than this, mm, so that any paper takes them."""

NAME_HEIGHTS = (3.0, 2.5, 2.0, 1.6)
"""Heights of capitals that a part's name is tried in on the picture of a sheet, mm."""

FORE_IN, FORE_LONG, FORE_HEIGHT = 5.0, 6.0, 1.6
"""How far the arrow to a fore end stays inside it on that picture, how long it is, and how high its word, mm."""

FORE_CLEAR = 8.0
"""How far names keep off that arrow, mm: its word, and as much again as between words."""


def sheet_folios(plan: CuttingPlan) -> tuple[Folio, ...]:
    """Return the parts of each sheet where they lie, full size, its lower left corner at the origin."""
    units, count = plan.planking.stock.units, len(plan.sheets)
    return tuple(
        Folio(
            "stock",
            f"Sheet {sheet.number} of {count}, {'; '.join(sheet_title(sheet, units)).partition(': ')[2]}. Outer "
            "faces up; drill and engrave first. Cut a plank that has a ROUGH outline to it, not to CUT-OUTSIDE.",
            tuple(one.piece for one in sheet.laid),
        )
        for sheet in plan.sheets
    )


def sheet_title(sheet: StockSheet, units: UnitName) -> tuple[str, ...]:
    """Return what a sheet is: its number and size, its thickness, how much of it is used."""
    thick = sheet.thickness
    stock = "any thickness" if thick is None else f"{spoken_length(thick, units)} thick"
    count = f"{len(sheet.laid)} part" + ("s" if len(sheet.laid) != 1 else "")
    size = " × ".join(spoken_length(side, units) for side in (sheet.size.length, sheet.size.width))
    return f"Sheet {sheet.number}: {size}, {stock}", f"{count}, {format_share(sheet.share_used)} of it used"


def plan_folio(plan: CuttingPlan, units: UnitName) -> Folio:
    """Return a picture of every sheet, not to scale as a template, with the lists of sheets, parts and scarfs."""
    pictures = tuple(sheet_picture(sheet, units) for sheet in plan.sheets)
    return Folio("stock", "Sheets of stock", pictures, plan_tables(plan, units))


def sheet_picture(sheet: StockSheet, units: UnitName) -> Piece:
    """Return a sheet drawn small: what is sawn in note lines, each part with its number in the list.

    An arrow at the fore end of each strake's part points forward.
    """
    longest = max(sheet.size.length, sheet.size.width)
    scale = next((one for one in PICTURE_SCALES if longest / one <= PICTURE_WIDTH), PICTURE_SCALES[-1])
    edges = Path(_box(sheet.size.length, sheet.size.width) / scale, Role.NOTE, closed=True)
    outlines = [
        Path(_thinned(outline / scale), Role.NOTE, closed=True) for one in sheet.laid for outline in _sawn(one)
    ]
    labels = [label for number, one in enumerate(sheet.laid, 1) for label in _named(one, number, scale)]
    fore = [mark for one in sheet.laid for mark in _fore(one, scale)]
    return Piece(
        f"stock {sheet.number} picture",
        "stock",
        (
            *sheet_title(sheet, units),
            f"a picture at 1:{scale:g}, NOT a template; numbers as in the list",
            *(["strakes lie outside up; arrows point to the FORE end"] if fore else []),
        ),
        (edges, *outlines, *(path for path, _ in fore)),
        (),
        (*labels, *(word for _, word in fore)),
        about=About("stock", sheet.number, part="picture"),
    )


def _named(one: LaidPart, number: int, scale: float) -> list[Label]:
    """Return a part's number and name in the middle of its picture, or what of them has room there."""
    outline = np.concatenate(_sawn(one)) / scale
    middle = float(outline[:, 0].min() + outline[:, 0].max()) / 2
    fore = [shapely.LineString(path.points).buffer(FORE_CLEAR) for path, _ in _fore(one, scale)]
    wood = shapely.Polygon(outline).buffer(0.0)
    clear = wood.difference(shapely.union_all(fore))
    called = f"{number}: {_called(one)}"
    names = (called, f"{number}: {one.part.name}", f"{number}: {one.part.short_name}", str(number))
    outside = [f"{name}, outside up" for name in names] if one.piece.about.thing == "strake" else []
    texts = (*outside, *names)
    places = [(middle, sum(_across(outline, middle)) / 2)]
    for text, height in product(texts, NAME_HEIGHTS):
        wide = letters_width(text, height) / 2 + 0.3
        for place in range(1 if wood.is_empty else 2):
            if place == len(places):  # it takes long to find, and most names have room without it
                places.append(shapely.maximum_inscribed_circle(wood, tolerance=0.5).coords[0])
            x, y = places[place]
            if clear.contains(shapely.box(x - wide, y - 0.75 * height, x + wide, y + 0.65 * height)):
                return [Label(text, (x, y - height / 2), height, 0.0, "middle")]
    return []


def _fore(one: LaidPart, scale: float) -> list[tuple[Path, Label]]:
    """Return the arrow and its word at the fore end of a strake's part on a picture; none of others or very short."""
    if one.piece.about.thing != "strake" or one.piece.facing is None:
        return []
    outline, drawn = np.concatenate(_sawn(one)) / scale, one.part.outlines[0]
    if np.ptp(outline[:, 0]) < 2.0 * (FORE_IN + FORE_LONG):
        return []
    ends = [int(drawn[:, 0].argmin()), int(drawn[:, 0].argmax())]
    is_turned = float(np.subtract(*_net(one)[0][ends[::-1], 0])) < 0.0
    # a port strake is drawn with its fore end left, a starboard one with it right
    way = 1.0 if (one.piece.facing.hand == "starboard") != is_turned else -1.0
    tip = float(outline[:, 0].max() if way > 0.0 else outline[:, 0].min()) - way * FORE_IN
    y = sum(_across(outline, tip)) / 2
    path = arrow((tip - way * FORE_LONG, sum(_across(outline, tip - way * FORE_LONG)) / 2), (tip, y), 1.5)
    word = Label(
        "FORE",
        (tip - way * (FORE_LONG + 0.5), float(path.points[0, 1]) - 0.5 * FORE_HEIGHT),
        FORE_HEIGHT,
        0.0,
        "end" if way > 0.0 else "start",
    )
    return [(path, word)]


def _across(outline: Array, x: float) -> tuple[float, float]:
    """Return the heights of the lowest two places where a closed outline crosses an upright line."""
    ends = np.roll(outline, -1, axis=0)
    spans = (outline[:, 0] <= x) != (ends[:, 0] <= x)
    start, end = outline[spans], ends[spans]
    heights = start[:, 1] + (x - start[:, 0]) / (end[:, 0] - start[:, 0]) * (end[:, 1] - start[:, 1])
    low, high = np.sort(heights)[:2]
    return float(low), float(high)


def _thinned(outline: Array) -> Array:
    """Return an outline without points that a picture does not need."""
    return np.asarray(shapely.get_coordinates(shapely.Polygon(outline).simplify(0.1))[:-1])


def _box(length: float, width: float) -> Array:
    return np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]])


def stock_file_names(plan: CuttingPlan) -> tuple[str, ...]:
    """Return the name of each sheet's drawing."""
    return tuple(f"stock-{sheet.number}.dxf" for sheet in plan.sheets)
