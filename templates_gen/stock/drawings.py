"""Drawings of the cutting plan: each sheet of stock full size for a router, and small as a picture with its parts."""

from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import arrow, letters_width
from templates_gen.drawing.piece import Folio, Label, Path, Piece, Role
from templates_gen.stock.cutting import CuttingPlan, format_share, plan_tables
from templates_gen.stock.nesting import LaidPart, StockSheet
from templates_gen.units import UnitName, spoken_length

Array = NDArray[np.float64]

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
            f"Sheet {sheet.number} of {count}, {'; '.join(sheet_title(sheet, units)).partition(': ')[2]}. "
            f"{' '.join(_sheet_rules(sheet))}",
            tuple(one.piece for one in sheet.laid),
        )
        for sheet in plan.sheets
    )


def _sheet_rules(sheet: StockSheet) -> list[str]:
    """Return what holds for the parts of a sheet at the router, as sentences."""
    faces = [
        *(["outer faces of planks up"] if sheet.has("strake") else []),
        *(["station faces of moulds up"] if sheet.has("mould") else []),
        "drill and engrave first.",
    ]
    rough = ["Cut a plank that has a ROUGH outline to it, not to CUT-OUTSIDE; its net ends and sheer are on SCRIBE."]
    return ["; ".join(faces).capitalize(), *(rough if sheet.has_rough else [])]


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
    outlines = [Path(_thinned(outline / scale), Role.NOTE, closed=True) for one in sheet.laid for outline in one.sawn]
    labels = [label for number, one in enumerate(sheet.laid, 1) for label in _named(one, number, scale)]
    fore = [mark for one in sheet.laid for mark in _fore(one, scale)]
    return Piece(
        f"stock {sheet.number} picture",
        "stock",
        (
            *sheet_title(sheet, units),
            f"a picture at 1:{scale:g}, NOT a template; numbers as in the list",
            *(["strakes lie outside up; arrows point to the FORE end"] if fore else []),
            *(["moulds lie station face up"] if sheet.has("mould") else []),
        ),
        (edges, *outlines, *(path for path, _ in fore)),
        (),
        (*labels, *(word for _, word in fore)),
        about=About("stock", sheet.number, part="picture"),
    )


def _named(one: LaidPart, number: int, scale: float) -> list[Label]:
    """Return a part's number and name in the middle of its picture, or what of them has room there."""
    outline = np.concatenate(one.sawn) / scale
    middle = float(outline[:, 0].min() + outline[:, 0].max()) / 2
    fore = [shapely.LineString(path.points).buffer(FORE_CLEAR) for path, _ in _fore(one, scale)]
    wood = shapely.Polygon(outline).buffer(0.0)
    clear = wood.difference(shapely.union_all(fore))
    called = f"{number}: {one.name}"
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
    outline, drawn = np.concatenate(one.sawn) / scale, one.part.outlines[0]
    if np.ptp(outline[:, 0]) < 2.0 * (FORE_IN + FORE_LONG):
        return []
    ends = [int(drawn[:, 0].argmin()), int(drawn[:, 0].argmax())]
    is_turned = float(np.subtract(*one.net[0][ends[::-1], 0])) < 0.0
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
