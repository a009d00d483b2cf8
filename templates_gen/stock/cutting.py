"""What is cut from which sheet: the parts of every strake, port and starboard, with other pieces in between."""

from collections.abc import Sequence
from dataclasses import dataclass

from templates_gen.drawing.piece import Piece
from templates_gen.errors import StockError
from templates_gen.stock.nesting import StockSheet, nested, too_large
from templates_gen.stock.parts import Part, plank_parts
from templates_gen.stock.plan import PlankingPlan
from templates_gen.stock.scarf_marks import Pattern
from templates_gen.stock.sizes import MOST_SHEETS


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
