"""What the builder orders: templates on which paper, planks from which stock, and which kinds there are."""

from dataclasses import dataclass

from templates_gen.drawing.piece import Kind
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.sheet import Sheet
from templates_gen.stock.sizes import Stock

KINDS: tuple[Kind, ...] = ("moulds", "bevels", "rebates", "transom", "strakes")


@dataclass(frozen=True)
class Printing:
    """How the paper is printed: on which sheets, and by a printer that is how far out."""

    sheet: Sheet
    correction: Correction = NO_CORRECTION


@dataclass(frozen=True)
class Cutting:
    """What planks are cut from: sheets of stock, with scarfs of a slope (length over thickness; None: usual)."""

    stock: Stock
    slope: float | None = None
