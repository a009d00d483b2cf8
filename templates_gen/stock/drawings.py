"""Sheets of stock as drawings: each full size for the machine, and each small as a picture to look at."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.letter_widths import letters_width
from templates_gen.drawing.piece import Folio, Label, Path, Piece, Role
from templates_gen.stock.cutting import CuttingPlan, format_share, plan_tables
from templates_gen.stock.nesting import LaidPart, StockSheet
from templates_gen.units import UnitName

Array = NDArray[np.float64]

PICTURE_SCALES = (10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 100.0)
PICTURE_WIDTH = 170.0
"""Pictures are no wider than this, mm, so that any paper takes them."""

NUMBER_HEIGHTS = (3.0, 2.5, 2.0, 1.5)


def sheet_folios(plan: CuttingPlan) -> tuple[Folio, ...]:
    """Return a drawing of each sheet, full size, its lower left corner at the origin: see `dxf_bytes`."""
    return tuple(
        Folio("stock", f"Sheet {sheet.number} of {len(plan.sheets)}", (sheet_piece(sheet),)) for sheet in plan.sheets
    )


def sheet_piece(sheet: StockSheet) -> Piece:
    """Return a sheet with all that is cut from it as one piece, full size; its own edges are only noted."""
    edges = Path(_box(sheet.size.length, sheet.size.width), Role.NOTE, closed=True)
    pieces = [one.piece for one in sheet.laid]
    return Piece(
        f"stock {sheet.number}",
        "stock",
        sheet_title(sheet),
        (edges, *(path for piece in pieces for path in piece.paths)),
        tuple(hole for piece in pieces for hole in piece.holes),
        tuple(label for piece in pieces for label in piece.labels),
        (
            "Outer faces up. Cut at the cutter's radius outside the line; drill and engrave first.",
            "Planks' outlines are net: leave wood at the ends if they are to be fitted.",
        ),
    )


def sheet_title(sheet: StockSheet) -> tuple[str, ...]:
    """Return what a sheet is: its number and size, its thickness, how much of it is used."""
    stock = "any thickness" if sheet.thickness is None else f"{sheet.thickness:.3g} mm thick"
    count = f"{len(sheet.laid)} part" + ("s" if len(sheet.laid) != 1 else "")
    return f"Sheet {sheet.number}: {sheet.size} mm, {stock}", f"{count}, {format_share(sheet.share_used)} of it used"


def plan_folio(plan: CuttingPlan, units: UnitName) -> Folio:
    """Return a picture of every sheet, not to scale as a template, with the lists of sheets, parts and scarfs."""
    pictures = tuple(sheet_picture(sheet) for sheet in plan.sheets)
    return Folio("stock", "Sheets of stock", pictures, plan_tables(plan, units))


def sheet_picture(sheet: StockSheet) -> Piece:
    """Return a sheet drawn small: outlines in note lines, each part with its number in the list."""
    longest = max(sheet.size.length, sheet.size.width)
    scale = next((one for one in PICTURE_SCALES if longest / one <= PICTURE_WIDTH), PICTURE_SCALES[-1])
    edges = Path(_box(sheet.size.length, sheet.size.width) / scale, Role.NOTE, closed=True)
    outlines = [
        Path(_thinned(outline / scale), Role.NOTE, closed=True)
        for one in sheet.laid
        for outline in (path.points for path in one.piece.paths if path.role is Role.CUT)
    ]
    labels = [label for number, one in enumerate(sheet.laid, 1) for label in _number(one, number, scale)]
    return Piece(
        f"stock {sheet.number} picture",
        "stock",
        (*sheet_title(sheet), f"a picture at 1:{scale:g}, NOT a template; numbers as in the list"),
        (edges, *outlines),
        (),
        tuple(labels),
    )


def _number(one: LaidPart, number: int, scale: float) -> list[Label]:
    """Return a part's number where the picture of it is widest across the middle of its length."""
    outline = np.concatenate([path.points for path in one.piece.paths if path.role is Role.CUT]) / scale
    middle = (outline[:, 0].min() + outline[:, 0].max()) / 2
    ends = np.roll(outline, -1, axis=0)
    spans = (outline[:, 0] <= middle) != (ends[:, 0] <= middle)
    start, end = outline[spans], ends[spans]
    heights = start[:, 1] + (middle - start[:, 0]) / (end[:, 0] - start[:, 0]) * (end[:, 1] - start[:, 1])
    low, high = np.sort(heights)[:2]
    wide = float(np.ptp(outline[:, 0]))
    for height in NUMBER_HEIGHTS:
        if height * 1.3 < high - low and letters_width(str(number), height) + 0.5 < wide:
            return [Label(str(number), (float(middle), float(low + high - height) / 2), height, 0.0, "middle")]
    return []


def _thinned(outline: Array) -> Array:
    """Return an outline without points that a picture does not need."""
    kept = [outline[0]]
    for point in outline[1:]:
        if np.abs(point - kept[-1]).max() > 0.3:
            kept.append(point)
    return np.array(kept)


def _box(length: float, width: float) -> Array:
    return np.array([[0.0, 0.0], [length, 0.0], [length, width], [0.0, width]])


def stock_file_names(plan: CuttingPlan) -> tuple[str, ...]:
    """Return the name of each sheet's drawing."""
    return tuple(f"stock-{sheet.number}.dxf" for sheet in plan.sheets)
