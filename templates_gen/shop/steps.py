"""A step of the work, the templates that serve each part of the boat, and how deep each land is planed."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from templates_gen.about import About, EndName, Place
from templates_gen.geometry.boat import Boat
from templates_gen.templates.bevels.board import bevel_boards, board_abouts
from templates_gen.templates.bevels.depth_lines import take_off_comb
from templates_gen.templates.bevels.facts import (
    QUARTER_NAMES,
    QUARTERS,
    LandFacts,
    all_land_facts,
    gerald_outline,
    geralds_of,
    land_facts,
)
from templates_gen.templates.bevels.gauges import set_about
from templates_gen.templates.bevels.gerald_sheet import gerald_sheets, sheet_abouts
from templates_gen.templates.folios import rebate_pieces
from templates_gen.templates.moulds.pieces import band_abouts
from templates_gen.templates.rebates.cards import card_about
from templates_gen.templates.rebates.stem.gauges import stem_cards
from templates_gen.templates.transom.edge import transom_sheets
from templates_gen.templates.transom.gauges import edge_gauge_about, edge_gauges
from templates_gen.words import on_sheet


@dataclass(frozen=True)
class Gauges:
    """What each template of the bench set is about.

    Attributes
    ----------
    every : tuple of About
        In the order of use: moulds, rebates, transoms, bevel boards, gerald sheets and blocks.
    on_boards : mapping
        The bevel boards of each land's convex part, and of its hollow one.
    on_sheets : mapping
        The gerald sheet of each strake, and of the land at either of its edges and end.
    at_ends : mapping
        What each strake's end is fitted with, at one end of the boat: the stem's card or the transom's.
    """

    every: tuple[About, ...]
    on_boards: Mapping[tuple[int, bool], tuple[About, ...]]
    on_sheets: Mapping[tuple[int, int, EndName], About]
    at_ends: Mapping[tuple[EndName, int], About]

    def _where(self, is_meant: Callable[[About], bool]) -> tuple[About, ...]:
        return tuple(filter(is_meant, self.every))

    @property
    def moulds(self) -> tuple[About, ...]:
        """The moulds, and how each stands on its legs."""
        return self._where(lambda about: about.thing == "mould")

    @property
    def stems(self) -> tuple[About, ...]:
        """Stems and sternposts, with the gauges of their rebates, and a flat bottom."""
        return self._where(
            lambda about: about.thing in ("stem", "bottom") or (about.thing == "rebate" and about.end is not None)
        )

    @property
    def keel(self) -> tuple[About, ...]:
        """The gauges of the keel."""
        return self._where(lambda about: about.thing == "rebate" and about.end is None)

    @property
    def transoms(self) -> tuple[About, ...]:
        """Transoms, with the gauges of their edges."""
        return self._where(lambda about: about.thing == "transom")

    @property
    def combs(self) -> tuple[About, ...]:
        """The comb that the strakes' lines of depth are read with."""
        return self._where(lambda about: about.part == "comb")

    @property
    def blocks(self) -> tuple[About, ...]:
        """The gerald blocks."""
        return self._where(lambda about: about.part == "gerald block")

    def boards(self, land: int, hollow: bool) -> tuple[About, ...]:
        """Return the bevel boards of a land, for its lower strake or, where hollow, for its upper one."""
        return self.on_boards.get((land, hollow), ())

    def geralds(self, strake: int) -> tuple[About, ...]:
        """Return the gerald sheets of a strake, those of the land under it first."""
        own = [(land, about) for (one, land, _), about in self.on_sheets.items() if one == strake]
        return tuple(dict.fromkeys(about for _, about in sorted(own, key=lambda pair: pair[0])))

    def end(self, end: EndName, strake: int) -> tuple[About, ...]:
        """Return what serves for fitting one end of a strake."""
        card = self.at_ends.get((end, strake))
        return (card,) if card else ()


def gauges_of(boat: Boat, is_as_built: bool = False) -> Gauges:
    """Return what each template of a boat's bench set is about.

    Those of a boat as built are made for each strake when it is the next: its boards and gerald sheets are numbered
    from one.
    """
    rebates = (piece.about for piece in rebate_pieces(boat, "bench"))
    transoms = (
        about
        for sheet in transom_sheets(boat)
        for about in (
            About("transom", end=sheet.end),
            *(edge_gauge_about(sheet, gauge) for gauge in edge_gauges(boat, sheet, "bench")),
        )
    )
    facts = all_land_facts(boat)
    combs = (take_off_comb(boat),) if facts else ()
    lands = (piece.about for piece in (*bevel_boards(boat, facts), *combs, *gerald_sheets(boat, facts)))
    every = (*band_abouts(boat), *rebates, *transoms, *lands)
    sets = [[one] for one in facts] if is_as_built else [facts]
    boards = {key: about for own in sets for key, about in board_abouts(boat, own).items()}
    return Gauges(every, boards, _of_strakes(boat, facts, is_as_built), _at_ends(boat))


def _of_strakes(boat: Boat, facts: Sequence[LandFacts], is_as_built: bool) -> dict[tuple[int, int, EndName], About]:
    """The gerald sheet of each strake, land and end, of one set for all or of a set for each strake."""
    found: dict[tuple[int, int, EndName], About] = {}
    whole = sheet_abouts(boat, facts)
    for strake in range(1, boat.hull.planking.strakes + 1):
        own = [one for one in facts if one.land in (strake - 1, strake)]
        abouts = sheet_abouts(boat, own) if is_as_built else whole
        found |= {(strake, land, end): about for (land, end), about in abouts.items() if land in (strake - 1, strake)}
    return found


def _at_ends(boat: Boat) -> dict[tuple[EndName, int], About]:
    """The card that serves each strake's end; a card that serves several runs of strakes has the first one's name."""
    found: dict[tuple[EndName, int], About] = {}
    for end in boat.shell.hung.stems:
        for card in stem_cards(boat, end, "bench"):
            strakes = (one.about.number for one in card.places if one.about.place is None)
            found |= {(end, strake): card_about(card) for strake in strakes if strake is not None}
    for sheet in transom_sheets(boat):
        for gauge in edge_gauges(boat, sheet, "bench"):
            about = edge_gauge_about(sheet, gauge)
            found |= {(sheet.end, k): about for first, last in gauge.strakes for k in range(first, last + 1)}
    return found


@dataclass(frozen=True)
class Depth:
    """What comes off at one place.

    Attributes
    ----------
    place : str
    about : About
        The land and its place; in a gerald the place is the gerald, and `quarter` says where in it.
    gauge : About or None
        The template to use; None: a straightedge.
    bevel : float or None
        Radians; negative in a hollow.
    off, left : float
        At the edge, gerald and bevel together, and what stays there, mm.
    inner_off, inner_left : float or None
        The same one lap in from the edge: on a lower strake at its lap line; None outside a gerald, where nothing
        comes off there.
    quarter : float or None
        Share of the gerald's length from its start, 0 to 1; None outside a gerald.
    from_end : float or None
        Along the strake's own edge from the place to the strake's end, mm; None outside a gerald.
    """

    place: str
    about: About
    gauge: About | None
    bevel: float | None
    off: float
    left: float
    inner_off: float | None = None
    inner_left: float | None = None
    quarter: float | None = None
    from_end: float | None = None


def spoken_land(land: int) -> str:
    """Return a land's name with its strakes."""
    return f"Land {land} (strake {land + 1} over strake {land})"


def bevel_step_depths(boat: Boat, land: int, hollow: bool) -> tuple[Depth, ...]:
    """Return where a land is planed on its lower strake, or where `hollow` on its upper one, fore to aft."""
    facts = land_facts(boat.shell, land)
    is_planed = facts.is_planed_inside if hollow else ~facts.is_hollow
    found = []
    for i, place in enumerate(facts.places):
        if not is_planed[i] or facts.is_in_gerald[i]:
            continue
        found.append(
            Depth(
                on_sheet(place.place),
                About("land", land, place=place.place),
                None if facts.is_straight(i) else set_about(float(facts.bevel[i])),
                float(facts.bevel[i]),
                float(facts.off[i]),
                float(facts.edge_left[i]),
            )
        )
    return tuple(found)


def gerald_depths(boat: Boat, land: int, upper: bool, gauges: Gauges) -> tuple[Depth, ...]:
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
        card = gauges.on_sheets[land + upper, land, gerald.end]
        from_end = gerald_outline(boat, gerald, upper).from_end
        found += [
            Depth(
                f"{gerald.end} gerald, {name}: {edge}",
                About("land", land, end=gerald.end, place=Place("gerald", gerald.end)),
                card,
                None,
                float(off[k]),
                float(left[k]),
                float(inner[k]),
                float(inner_left[k]),
                QUARTERS[k],
                float(from_end[k]),
            )
            for k, name in enumerate(QUARTER_NAMES)
        ]
    return tuple(found)


StepKind = Literal["", "hollow", "geralds", "bevel"]
"""Which of the steps that plane a land it is; "" for all others."""


@dataclass(frozen=True)
class Step:
    """One step: what it is, how it is done, with which templates, and how deep.

    Attributes
    ----------
    title : str
    text : tuple of str
        Sentences for the builder.
    pieces : tuple of About
        What the templates used are about; `words.piece_name` makes their names.
    depths : tuple of Depth
        Where, with which gauge, what comes off and what stays.
    kind : StepKind
    """

    title: str
    text: tuple[str, ...]
    pieces: tuple[About, ...] = ()
    depths: tuple[Depth, ...] = ()
    kind: StepKind = ""
