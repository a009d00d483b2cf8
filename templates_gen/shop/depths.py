"""Which templates serve which strake, and how deep each land is planed, place by place."""

from collections.abc import Callable
from dataclasses import dataclass

from templates_gen.about import About, EndName
from templates_gen.drawing.piece import Piece
from templates_gen.geometry.boat import Boat
from templates_gen.templates.bevels.facts import LandFacts, all_land_facts, gauge_about, land_facts
from templates_gen.templates.bevels.gauges import shared_cards
from templates_gen.templates.bevels.gerald_cards import gerald_pieces
from templates_gen.templates.bevels.geralds import QUARTER_NAMES, geralds_of
from templates_gen.templates.bevels.strip import strip_pieces
from templates_gen.templates.folios import rebate_pieces
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.templates.transom.edge import transom_sheets
from templates_gen.templates.transom.gauges import edge_gauge_about, edge_gauges
from templates_gen.words import on_sheet, piece_name


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


TOUCH = 0.05
"""A land that loses less than this at a place is not listed for its hollow, mm."""


@dataclass(frozen=True)
class Depth:
    """What comes off at one place.

    Attributes
    ----------
    place : str
    gauge : str
        The piece to use, or "straightedge" or "gerald card".
    is_piece : bool
        Whether `gauge` names a piece.
    bevel : float or None
        Radians; negative in a hollow.
    off, left : float
        At the edge, gerald and bevel together, and what stays there, mm.
    inner_off, inner_left : float or None
        The same one lap in from the edge: on a lower strake at its lap line; None outside a gerald, where nothing
        comes off there.
    """

    place: str
    gauge: str
    is_piece: bool
    bevel: float | None
    off: float
    left: float
    inner_off: float | None = None
    inner_left: float | None = None


def spoken_land(land: int) -> str:
    """Return a land's name with its strakes."""
    return f"Land {land} (strake {land + 1} over strake {land})"


def bevel_step_depths(boat: Boat, land: int, gauges: Gauges, hollow: bool) -> tuple[Depth, ...]:
    """Return where a land is planed on its lower strake, or where `hollow` on its upper one, fore to aft."""
    facts = land_facts(boat.shell, land)
    names = _gauge_names(boat, facts)
    found = []
    for i, place in enumerate(facts.places):
        if bool(facts.is_hollow[i]) != hollow or facts.is_in_gerald[i]:
            continue
        if hollow and facts.take_off[i] < TOUCH:
            continue
        name = names.get(i, "straightedge")
        found.append(
            Depth(
                on_sheet(place.place),
                name,
                i in names,
                float(facts.bevel[i]),
                float(facts.off[i]),
                float(facts.edge_left[i]),
            )
        )
    return tuple(found)


def _gauge_names(boat: Boat, facts: LandFacts) -> dict[int, str]:
    return {
        i: piece_name(gauge_about(facts.land, facts.places[card.own]))
        for card in shared_cards(facts)
        for i in card.members
    }


def gerald_depths(boat: Boat, land: int, upper: bool) -> tuple[Depth, ...]:
    """Return what comes off one strake at each quarter of a land's geralds, at its edge and one lap in from it.

    None for no land.
    """
    if not 1 <= land < boat.hull.planking.strakes:
        return ()
    found = []
    for gerald in geralds_of(boat.shell, land_facts(boat.shell, land)):
        loss = gerald.losses
        off, inner = (
            (loss.upper_at_lap_line, loss.upper_at_edge) if upper else (loss.lower_at_edge, loss.lower_at_lap_line)
        )
        left, inner_left = (
            (gerald.upper_left, gerald.upper_left_one_lap_in)
            if upper
            else (gerald.lower_left, gerald.lower_left_at_lap_line)
        )
        edge = "lower edge inside" if upper else "upper edge outside"
        card = piece_name(About("land", land, end=gerald.end, part="gerald card"))
        found += [
            Depth(
                f"{gerald.end} {name}, {edge}",
                card,
                True,
                None,
                float(off[k]),
                float(left[k]),
                float(inner[k]),
                float(inner_left[k]),
            )
            for k, name in enumerate(QUARTER_NAMES)
        ]
    return tuple(found)
