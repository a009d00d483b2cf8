"""The whole cutting plan: joints, parts of both hands, and the sheets that they are cut from."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from templates_gen.drawing.piece import Path, Piece
from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import timbers
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.stock.nesting import StockSheet, nested, too_large
from templates_gen.stock.parts import Part, plank_parts
from templates_gen.stock.planks import LineName, Plank, plank_of
from templates_gen.stock.scarf_lines import scarf_lines, with_words
from templates_gen.stock.scarfs import END_CLEAR, SLOPE, Scarf, Scarfing, scarfs
from templates_gen.stock.sizes import MOST_SHEETS, Stock

SPARE = 2.0
"""Parts are kept this much shorter than the longest that a sheet takes, mm: no sheet is square to the last mm."""

Reach = tuple[float, float]
"""From one place along the boat to another, x in mm."""

Draw = Callable[[FlatStrake, Sequence[Reach], Sequence[Path]], Piece]
"""Draws a strake's template with its rivets' holes clear of some reaches (see `geometry.fastenings.rivets`), and with
its scarfs' lines, which its words keep clear of."""


@dataclass(frozen=True)
class CuttingPlan:
    """What is cut from which sheet.

    Attributes
    ----------
    stock : Stock
    slope : float
        Length of the scarfs over the thickness.
    planks : tuple of Plank
        From the garboard.
    joints : tuple of tuple of Scarf
        For each plank, fore to aft; none where it is in one part.
    templates : tuple of Piece
        Each strake's template with its scarfs drawn.
    sheets : tuple of StockSheet
    left_out : tuple of str
        Parts of any thickness that no sheet is large enough for.
    """

    stock: Stock
    slope: float
    planks: tuple[Plank, ...]
    joints: tuple[tuple[Scarf, ...], ...]
    templates: tuple[Piece, ...]
    sheets: tuple[StockSheet, ...]
    left_out: tuple[str, ...] = ()


def cutting_plan(
    boat: Boat, stock: Stock, draw: Draw, others: Sequence[Part] = (), slope: float = SLOPE
) -> CuttingPlan:
    """Return the cutting plan of a boat: every strake twice, port and starboard, and other parts where they fit.

    Parameters
    ----------
    boat : Boat
    stock : Stock
    draw : Draw
        Is given a strake, where along the boat scarfs come, its own and those of the strake that it laps over, and
        the lines of its own.
    others : sequence of Part
        See `piece_parts`; those of any thickness go into what the strakes leave, and are left out where no sheet is
        large enough for them.
    slope : float
        Length of a scarf over the plank's thickness.

    Raises
    ------
    StockError
        If a part is too large for the stock, the boat takes more than MOST_SHEETS, or the slope is out of all
        practice.
    """
    planking = boat.hull.planking
    planks = tuple(plank_of(strake) for strake in boat.strakes)
    how = Scarfing(
        stock.longest - SPARE,
        slope,
        timbers(boat.hull),
        max(END_CLEAR, planking.gerald_fore or 0.0),
        max(END_CLEAR, planking.gerald_aft or 0.0),
    )
    joints = scarfs(planks, how)
    parts: list[Part] = []
    templates = []
    for number, (strake, plank) in enumerate(zip(boat.strakes, planks, strict=True)):
        clear = _reaches(plank, joints[number], "lower")
        if number > 0:
            clear += _reaches(planks[number - 1], joints[number - 1], "upper")
        lines = scarf_lines(plank, joints[number])
        whole = draw(strake, clear, lines)
        templates.append(with_words(plank, whole, joints[number]))
        unscarfed = tuple(path for path in whole.paths if not any(path is line for line in lines))
        parts += plank_parts(plank, replace(whole, paths=unscarfed), joints[number])
    left_out = too_large([part for part in others if part.thickness is None], stock)
    others = [part for part in others if part not in left_out]
    names = tuple(part.name for part in left_out)
    sheets = nested([*parts, *others], stock)
    if len(sheets) > MOST_SHEETS:
        raise StockError(
            f"this boat takes {len(sheets)} sheets of such stock, more than {MOST_SHEETS}: give larger sheets"
        )
    return CuttingPlan(stock, slope, planks, joints, tuple(templates), sheets, names)


def _reaches(plank: Plank, joints: Sequence[Scarf], edge: LineName) -> list[Reach]:
    """Return where along the boat a plank's scarfs lie at one of its edges."""
    return [
        (
            plank.x_where(edge, joint.middle, -joint.length / 2),
            plank.x_where(edge, joint.middle, joint.length / 2),
        )
        for joint in joints
    ]
