"""What a builder should know of the boards or sheets that he means to buy."""

from collections.abc import Iterator
from itertools import pairwise, product

from templates_gen.about import About
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import UnitName
from templates_gen.report.finding import Finding
from templates_gen.shop.blanks import APART, Blank, blanks
from templates_gen.shop.buying import Buying
from templates_gen.units import format_length, spoken_length


def stock_findings(boat: Boat, stock: Buying) -> tuple[Finding, ...]:
    """Return a warning for every strake too large for the stock, and for neighbours whose scarfs are close."""
    made, units = blanks(boat, stock), boat.hull.units
    return (*_too_small(made, stock, units), *_close_scarfs(made, stock, units))


def _too_small(made: tuple[Blank, ...], stock: Buying, units: UnitName) -> Iterator[Finding]:
    kind = "sheets" if stock.is_sheet else "boards"
    size = f"{format_length(stock.length, units)} × {format_length(stock.width, units)}"
    for blank in made:
        if not blank.fits:
            yield Finding(
                "warning",
                "strake",
                f"strake {blank.strake} is too wide for {kind} of {size}, in however many lengths; buy larger {kind}",
                About("strake", blank.strake),
                max(blank.widths),
                stock.width,
            )


def _close_scarfs(made: tuple[Blank, ...], stock: Buying, units: UnitName) -> Iterator[Finding]:
    longer = "longer sheets" if stock.is_sheet else "longer boards"
    for below, above in pairwise(made):
        least = min((abs(one - other) for one, other in product(below.scarfs, above.scarfs)), default=APART)
        if least < APART:
            yield Finding(
                "warning",
                "strake",
                f"the scarfs of strakes {below.strake} and {above.strake} are only {spoken_length(least, units)} "
                f"apart; {spoken_length(APART, units)} is wanted. Buy {longer} to move them apart",
                About("strake", below.strake, last=above.strake),
                least,
                APART,
            )
