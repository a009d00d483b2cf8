"""Which templates serve which strake, by the names that the files of templates give them."""

import re
from dataclasses import dataclass

from templates_gen.geometry.boat import Boat
from templates_gen.templates.bevels_facts import all_land_facts
from templates_gen.templates.bevels_geralds import gerald_pieces
from templates_gen.templates.bevels_strip import strip_pieces
from templates_gen.templates.moulds import mould_pieces
from templates_gen.templates.rebates import rebate_pieces
from templates_gen.templates.transom_edge import transom_sheets
from templates_gen.templates.transom_gauges import edge_gauges


@dataclass(frozen=True)
class Gauges:
    """The names of a boat's templates.

    Attributes
    ----------
    moulds, stems, keel, transoms, blocks : tuple of str
    lands : tuple of str
        Strips and gerald cards.
    edges : dict of (end, strake) to str
        The gauge of a transom's edge.
    """

    moulds: tuple[str, ...]
    stems: tuple[str, ...]
    keel: tuple[str, ...]
    transoms: tuple[str, ...]
    blocks: tuple[str, ...]
    lands: tuple[str, ...]
    edges: dict[tuple[str, int], str]

    def strips(self, land: int, hollow: bool) -> list[str]:
        """Return the lengths of a land's take-off strip, for its lower strake or, where hollow, for its upper one."""
        strip = re.compile(rf"land {land} strip{' hollow' if hollow else ''}(?: \d+)?")
        return [name for name in self.lands if strip.fullmatch(name)]

    def geralds(self, land: int) -> list[str]:
        """Return the gerald cards of a land."""
        return [name for name in self.lands if name.startswith(f"land {land} gerald card ")]

    def end(self, end: str, strake: int) -> list[str]:
        """Return what serves for fitting one end of a strake."""
        found = [
            name
            for name in self.stems
            if (match := re.fullmatch(rf"rebate {end} strakes? (\d+)(?:-(\d+))?", name))
            and int(match[1]) <= strake <= int(match[2] or match[1])
        ]
        return found + ([self.edges[end, strake]] if (end, strake) in self.edges else [])


def gauges_of(boat: Boat) -> Gauges:
    """Return the names of a boat's templates."""
    facts = all_land_facts(boat)
    rebates = [piece.name for piece in rebate_pieces(boat)]
    edges: dict[tuple[str, int], str] = {}
    transoms: list[str] = []
    for sheet in transom_sheets(boat):
        transoms.append(f"transom {sheet.end}")
        for gauge in edge_gauges(boat, sheet):
            name = f"transom {sheet.end} strake {gauge.first}"
            transoms.append(name)
            edges |= {(sheet.end, k): name for k in range(gauge.first, gauge.last + 1)}
    geralds = [piece.name for piece in gerald_pieces(boat, facts)]
    return Gauges(
        tuple(piece.name for piece in mould_pieces(boat)),
        tuple(name for name in rebates if not name.startswith("rebate keel")),
        tuple(name for name in rebates if name.startswith("rebate keel")),
        tuple(transoms),
        tuple(name for name in geralds if name.startswith("gerald block")),
        (*(piece.name for piece in strip_pieces(boat, facts)), *(n for n in geralds if " gerald card " in n)),
        edges,
    )
