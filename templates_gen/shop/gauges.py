"""Which templates serve which strake, by the names that the files of templates give them."""

from collections.abc import Callable
from dataclasses import dataclass

from templates_gen.about import About, EndName
from templates_gen.drawing.piece import Piece
from templates_gen.geometry.boat import Boat
from templates_gen.templates.bevels_facts import all_land_facts
from templates_gen.templates.bevels_geralds import gerald_pieces
from templates_gen.templates.bevels_strip import strip_pieces
from templates_gen.templates.moulds import mould_pieces
from templates_gen.templates.rebates import rebate_pieces
from templates_gen.templates.transom_edge import transom_sheets
from templates_gen.templates.transom_gauges import edge_gauge_about, edge_gauges
from templates_gen.words import piece_name


@dataclass(frozen=True)
class Gauges:
    """A boat's templates by what they are about.

    Attributes
    ----------
    names : dict of About to str
        The name of each, in the order of use: moulds, rebates, transoms, geralds, take-off strips.
    """

    names: dict[About, str]

    def _where(self, is_meant: Callable[[About], bool]) -> tuple[str, ...]:
        return tuple(name for about, name in self.names.items() if is_meant(about))

    @property
    def moulds(self) -> tuple[str, ...]:
        """The moulds."""
        return self._where(lambda about: about.thing == "mould")

    @property
    def stems(self) -> tuple[str, ...]:
        """Stems and sternposts, with the gauges of their rebates, and a flat bottom."""
        return self._where(
            lambda about: about.thing in ("stem", "bottom") or (about.thing == "rebate" and about.end is not None)
        )

    @property
    def keel(self) -> tuple[str, ...]:
        """The gauges of the keel."""
        return self._where(lambda about: about.thing == "rebate" and about.end is None)

    @property
    def transoms(self) -> tuple[str, ...]:
        """Transoms, with the gauges of their edges."""
        return self._where(lambda about: about.thing == "transom")

    @property
    def blocks(self) -> tuple[str, ...]:
        """The gerald blocks."""
        return self._where(lambda about: about.part == "gerald block")

    def strips(self, land: int, hollow: bool) -> tuple[str, ...]:
        """Return the lengths of a land's take-off strip, for its lower strake or, where hollow, for its upper one."""
        part = "hollow strip" if hollow else "strip"
        return self._where(lambda about: about.part == part and about.number == land)

    def geralds(self, land: int) -> tuple[str, ...]:
        """Return the gerald cards of a land."""
        return self._where(lambda about: about.part == "gerald card" and about.number == land)

    def end(self, end: EndName, strake: int) -> tuple[str, ...]:
        """Return what serves for fitting one end of a strake."""
        return self._where(
            lambda about: (
                about.thing in ("rebate", "transom")
                and about.part == "gauge"
                and about.end == end
                and (about.place is None or (about.last_place is not None and about.last_place.kind == "end"))
                and strake in about.numbers
            )
        )


def gauges_of(boat: Boat) -> Gauges:
    """Return a boat's templates by what they are about."""
    facts = all_land_facts(boat)
    names: dict[About, str] = {}
    for sheet in transom_sheets(boat):
        abouts = [About("transom", end=sheet.end), *(edge_gauge_about(sheet, g) for g in edge_gauges(boat, sheet))]
        names |= {about: piece_name(about) for about in abouts}
    made: tuple[Piece, ...] = (*mould_pieces(boat), *rebate_pieces(boat))
    rest: tuple[Piece, ...] = (*gerald_pieces(boat, facts), *strip_pieces(boat, facts))
    return Gauges(_named(made) | names | _named(rest))


def _named(pieces: tuple[Piece, ...]) -> dict[About, str]:
    return {piece.about: piece.name for piece in pieces}
