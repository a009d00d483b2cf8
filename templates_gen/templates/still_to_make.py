"""What is still to be made of a boat that is hung in part: templates of the strakes and lands above."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Hand
from templates_gen.drawing.piece import Folio, Kind, Label, Piece, PrintSet, Role, Table
from templates_gen.geometry.as_built.boat import Relined, is_still_to_make
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import place_names, place_title, place_titles
from templates_gen.hull.measured.moulds import way_words
from templates_gen.hull.model import Hull
from templates_gen.stock.scarf_marks import lettered
from templates_gen.stock.shaping import cut_to_hand, mirrored
from templates_gen.templates.corrections import correction_table
from templates_gen.templates.folios import Planked, folio
from templates_gen.templates.selection import of_set

Array = NDArray[np.float64]

KINDS: tuple[Kind, ...] = ("bevels", "strakes")
"""The kinds that are made again for the next strake; moulds are set up by then, rebates and transoms are cut."""


@dataclass(frozen=True, eq=False)
class AsHung:
    """A boat as built whose templates are to be made.

    Attributes
    ----------
    planked : Planked
        With the side that it is of, where the two are not alike.
    relined : Relined
    drawn : PlankedShell
    sides_note : str
        The words about the two sides; "" where one measuring was for both.
    """

    planked: Planked
    relined: Relined
    drawn: PlankedShell
    sides_note: str = ""

    @property
    def side(self) -> str:
        """The side in capitals, "" where it is of both."""
        return self.planked.hand.upper() if self.planked.hand else ""


def folios_to_make(boats: Sequence[AsHung], to_print: PrintSet, only: Sequence[str] = ()) -> tuple[Folio, ...]:
    """Return the templates of the next strake of a boat as built, or what `only` names of all that are still to be
    made; when every strake is hung, of what fits inside. None when nothing is left. Raises SelectionError.

    `boats` is one, or where the sides are not alike two, port first.
    """
    hull, hung = boats[0].drawn.hull, boats[0].relined.hung
    kinds: tuple[Kind, ...] = (*KINDS, "inside") if only and hull.inside else KINDS
    if hung == hull.planking.strakes:
        kinds = ("inside",) if any(one.planked.boat.inside for one in boats) else ()
    if not kinds:
        return ()
    wanted = is_still_to_make if only else _is_next

    def made(to_print: PrintSet) -> tuple[Folio, ...]:
        return tuple(_joined([_folio(one, kind, to_print, wanted) for one in boats]) for kind in kinds)

    return of_set(made, to_print, only)


Wanted = Callable[[About | None, int], bool]


_OF_GERALDS = ("gerald card", "gerald views", "gerald sheet")


def _is_next(about: About | None, hung: int) -> bool:
    """Whether something is of the next strake, of the land under it, or of a gerald that is planed on it.

    A strake is given the geralds at both its edges on the bench; its upper land is bevelled when it hangs.
    """
    if about is None or about.number is None:
        return False
    if about.thing == "strake":
        return hung + 1 in about.numbers
    is_of_gerald = about.part in _OF_GERALDS or (about.part == "whole" and about.end is not None)
    lands = (hung, hung + 1) if is_of_gerald else (hung,)
    return about.thing in ("land", "bevel") and any(land in about.numbers for land in lands)


def _folio(one: AsHung, kind: Kind, to_print: PrintSet, wanted: Wanted) -> Folio:
    hung = one.relined.hung
    if kind == "inside":
        return _of_inside(one, to_print)

    def is_wanted(about: About | None) -> bool:
        return wanted(about, hung) or _is_new_block(about, one)

    kept = _kept(folio(one.planked.boat, kind, to_print, one.planked, is_wanted), is_wanted)
    if one.planked.hand is not None:
        kept = _of_hand(kept, one.planked.hand)
    if kind != "strakes":
        return kept
    boat, side = one.planked.boat, one.side
    first = (correction_table(one.drawn, boat.shell, hung + 1, side), as_built_table(one))
    return replace(kept, first_tables=first)


def _is_new_block(about: About | None, one: AsHung) -> bool:
    """Whether something is the gerald block of strakes still to be made, of another thickness than any drawn."""
    if about is None or about.part != "gerald block":
        return False
    new = set(one.planked.boat.hull.planking.thickness[one.relined.hung :]) - set(one.drawn.planking.thickness)
    return about.which[0] in {thickness / 2 for thickness in new}


def _of_inside(one: AsHung, to_print: PrintSet) -> Folio:
    """What fits inside the boat as built, or one side of it; each pattern says which planking it fits."""
    whole = folio(one.planked.boat, "inside", to_print, one.planked)
    hung, count = one.relined.hung, one.drawn.planking.strakes
    fits = "It fits the planking as it was measured"
    if not hung:
        fits = "No strake was measured yet: it fits the planking as it is lined off"
    elif hung < count:
        above = f"strakes {hung + 1} to {count}" if hung + 1 < count else f"strake {count}"
        fits += f" up to strake {hung}, and {above} as lined off; make it again when they hang"
    notes = (f"{fits}.", *((one.sides_note,) if one.sides_note else ()))
    own, cut = (
        [replace(piece, notes=(*notes, *piece.notes)) for piece in some] for some in (whole.pieces, whole.cut or ())
    )
    kept = replace(whole, pieces=tuple(own), cut=None if whole.cut is None else tuple(cut))
    return kept if one.planked.hand is None else _of_hand(kept, one.planked.hand)


def _joined(folios: Sequence[Folio]) -> Folio:
    """The folios of both sides as one."""
    if len(folios) == 1:
        return folios[0]
    cut = None if folios[0].cut is None else tuple(piece for one in folios for piece in one.cut or ())
    return replace(
        folios[0],
        pieces=tuple(piece for one in folios for piece in one.pieces),
        tables=tuple(table for one in folios for table in one.tables),
        first_tables=tuple(table for one in folios for table in one.first_tables),
        cut=cut,
    )


def _of_hand(whole: Folio, hand: Hand) -> Folio:
    """A folio whose pieces and tables are marked for one side; strakes are drawn of that hand."""
    cut = None if whole.cut is None else tuple(_handed(piece, hand) for piece in whole.cut)
    tables = tuple(_table_of_hand(table, hand) for table in whole.tables)
    return replace(whole, pieces=tuple(_handed(piece, hand) for piece in whole.pieces), tables=tables, cut=cut)


def _table_of_hand(table: Table, hand: Hand) -> Table:
    about = table.about and replace(table.about, hand=hand)
    return replace(table, title=f"{table.title}, {hand.upper()} side", about=about)


def _handed(piece: Piece, hand: Hand) -> Piece:
    name, about = f"{piece.name} {hand.upper()}", replace(piece.about, hand=hand)
    if piece.kind == "inside" and piece.facing is not None and piece.facing.hand != hand:
        piece = mirrored(piece)
    if piece.kind != "strakes":
        title = (f"{piece.title[0]}, {hand.upper()} side", *piece.title[1:])
        return replace(piece, name=name, title=title, about=about)
    own = cut_to_hand(piece)
    own = mirrored(own) if hand == "starboard" else own
    return replace(own, name=name, about=about, labels=(*own.labels, *_large(own, hand)))


LARGE = 10.0
"""Height of the letters that say which side a strake is for, mm."""


def _large(piece: Piece, hand: Hand) -> tuple[Label, ...]:
    """The side in large letters, at both ends and in the middle, where there is clear wood."""
    outline = next(path.points for path in piece.paths if path.role == Role.CUT)
    left, right = float(outline[:, 0].min()), float(outline[:, 0].max())
    labels: list[Label] = []
    for share in (0.15, 0.5, 0.85):
        x = left + share * (right - left)
        near = outline[np.argsort(np.abs(outline[:, 0] - x))[:20], 1]
        wanted = np.array([x, (near.min() + near.max()) / 2])
        heights = (LARGE, 8.0, 6.0)
        label = lettered(hand.upper(), wanted, outline, piece.paths, (*piece.labels, *labels), heights)
        labels += [] if label is None else [label]
    return tuple(labels)


def _kept(whole: Folio, wanted: Callable[[About | None], bool]) -> Folio:
    pieces = tuple(piece for piece in whole.pieces if wanted(piece.about))
    tables = tuple(kept for table in whole.tables if (kept := _kept_table(table, wanted)) is not None)
    cut = None if whole.cut is None else tuple(piece for piece in whole.cut if wanted(piece.about))
    return replace(whole, pieces=pieces, tables=tables, cut=cut)


def _kept_table(table: Table, wanted: Callable[[About | None], bool]) -> Table | None:
    """A table about one strake or land whole or not at all; one with a row for each, the rows that are kept."""
    if table.about is not None:
        return table if wanted(table.about) else None
    if not table.rows_about:
        return table if table.rows else None
    every = zip(table.rows, table.rows_about, strict=True)
    kept = [(row, about) for row, about in every if about is None or wanted(about)]
    rows, abouts = tuple(row for row, _ in kept), tuple(about for _, about in kept)
    return replace(table, rows=rows, rows_about=abouts) if rows else None


def as_built_table(hung: AsHung) -> Table:
    """Return the table of what was measured, and of where the marks above it now come."""
    hull, relined = hung.planked.boat.hull, hung.relined
    count = hull.planking.strakes
    rows = []
    for strake in range(1, count + 1):
        is_hung = strake <= relined.hung
        shown = relined.figures if is_hung else relined.moved
        figures = zip(shown[strake - 1], relined.is_measured[strake - 1], strict=True)
        cells = [hull.notation.signed(float(by)) if given or not is_hung else "–" for by, given in figures]
        what = "hung" if is_hung else "to be marked"
        if strake == count and not is_hung:
            is_on_mark = set(cells) == {hull.notation.signed(0.0)}
            what = "sheer: stays" if is_on_mark else "sheer: shift mark"
        rows.append((str(strake), what, *cells))
    return Table(
        f"As built up to strake {relined.hung}{f', {hung.side} side' if hung.side else ''}, and how far the marks "
        "above it move",
        ("strake", "state", *(_heading(hull, name) for name in place_names(hull))),
        tuple(rows),
        (
            f"In {hull.notation.signed_words}. "
            "How far the upper inside corner is from the mark that is drawn, along the section: + toward the sheer, "
            "- toward the keel, also on a boat that is built keel up. "
            "Of strakes that do not hang: shift the mark on mould, stem or transom by this much before lining off.",
            "Hung: as measured. –: not measured, or left out; taken from the figures nearest to it. Every figure is "
            "weighed by how finely it was read before the marks are shifted.",
            *((hung.sides_note,) if hung.sides_note else ()),
            *_scarf_notes(hung),
            *_mould_notes(relined, hull),
            *_left_out_notes(relined, hull),
        ),
        word_columns=(1,),
        rows_about=tuple(About("strake", strake) for strake in range(1, count + 1)),
    )


def _scarf_notes(hung: AsHung) -> tuple[str, ...]:
    """That the scarfs of what is still to be made are kept, where it has any."""
    if hung.planked.drawn is None or not any(hung.planked.plan.joints[hung.relined.hung :]):
        return ()
    return ("Every scarf stays where along the boat it was drawn: blanks that are glued fit.",)


def _mould_notes(relined: Relined, hull: Hull) -> tuple[str, ...]:
    """The moulds and ends that stand out of their places."""
    stand = relined.moulds
    if stand is None or not stand.out_of_place:
        return ()
    every = (
        f"{place_titles(hull)[place]}: {way_words(stand.shifts[place].tolist(), hull.notation)}"
        for place in stand.out_of_place
    )
    what = "Moulds and ends" if {0, len(hull.stations) + 1} & set(stand.out_of_place) else "Moulds"
    return (f"{what} as they stand: {'; '.join(every)}. The figures are from the marks on them.",)


def _left_out_notes(relined: Relined, hull: Hull) -> tuple[str, ...]:
    """The figures that look like slips and are not used."""
    ends = dict(zip(place_names(hull), place_titles(hull), strict=True))
    names = [ends.get(name, name) for name in relined.measured_at]
    return tuple(
        f"Strake {slip.strake}, {names[slip.place]}: "
        f"{hull.notation.toward(slip.value)} looks like a mistake in measuring and is left out; measure it again."
        for slip in relined.left_out
    )


def _heading(hull: Hull, name: str) -> str:
    return name if name in ("fore", "aft") else place_title(hull, name).replace(" ", "\n", 1)


def as_built_record(relined: Relined) -> dict[str, object]:
    """Return the same for programs, mm."""
    names, figures = place_names(relined.hull), relined.figures
    left_out = {(slip.strake, slip.place) for slip in relined.left_out}
    return {
        "hung": relined.hung,
        "lands": [
            {
                "strake": k,
                "is_hung": k <= relined.hung,
                "at": [
                    {
                        "place": name,
                        "above_mark": float(by) + 0.0,
                        **({"measured": float(figures[k - 1, place])} if k <= relined.hung and given else {}),
                        "is_measured": bool(given),
                        "is_left_out": (k, place) in left_out,
                    }
                    for place, (name, by, given) in enumerate(zip(names, moved, measured, strict=True))
                ],
            }
            for k, (moved, measured) in enumerate(zip(relined.moved, relined.is_measured, strict=True), start=1)
        ],
        **_mould_record(relined),
    }


def _mould_record(relined: Relined) -> dict[str, object]:
    """The moulds and ends that stand out of their places, for programs, mm; nothing where all stand as drawn."""
    stand, names = relined.moulds, place_names(relined.hull)
    if stand is None or not stand.out_of_place:
        return {}
    shifts = {place: dict(zip(("aft", "out", "up"), stand.shifts[place].tolist(), strict=True))
              for place in stand.out_of_place}  # fmt: skip
    return {"moulds": [{"station": names[place], **shift} for place, shift in shifts.items()]}
