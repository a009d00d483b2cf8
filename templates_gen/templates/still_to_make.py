"""What is still to be made of a boat that is hung in part: templates of the strakes and lands above."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.piece import Folio, Kind, PrintSet, Table
from templates_gen.geometry.as_built.boat import Relined, is_still_to_make
from templates_gen.geometry.boat import Boat
from templates_gen.hull.measured.as_built import place_names
from templates_gen.hull.model import Hull
from templates_gen.templates.folios import Planked, folio, of_set
from templates_gen.units import format_shift, format_signed

Array = NDArray[np.float64]

KINDS: tuple[Kind, ...] = ("bevels", "strakes")
"""The kinds that are made again; moulds are set up by then, rebates and transoms are cut."""


def folios_to_make(
    planked: Planked, relined: Relined, to_print: PrintSet, only: Sequence[str] = ()
) -> tuple[Folio, ...]:
    """Return the templates still to be made of a boat as built, or what `only` names of them; none when every strake
    is hung. Raises SelectionError.
    """
    boat = planked.boat
    if relined.hung == boat.hull.planking.strakes:
        return ()

    def made(to_print: PrintSet) -> tuple[Folio, ...]:
        kept = [_kept(folio(boat, kind, to_print, planked), relined.hung) for kind in KINDS]
        return (*kept[:-1], replace(kept[-1], first_tables=(as_built_table(boat, relined),)))

    return of_set(made, to_print, only)


def _kept(whole: Folio, hung: int) -> Folio:
    pieces = tuple(piece for piece in whole.pieces if is_still_to_make(piece.about, hung))
    tables = tuple(kept for table in whole.tables if (kept := _kept_table(table, hung)) is not None)
    cut = None if whole.cut is None else tuple(piece for piece in whole.cut if is_still_to_make(piece.about, hung))
    return replace(whole, pieces=pieces, tables=tables, cut=cut)


def _kept_table(table: Table, hung: int) -> Table | None:
    """A table about one strake or land whole or not at all; one with a row for each, the rows that are kept."""
    if table.about is not None:
        return table if is_still_to_make(table.about, hung) else None
    if not table.rows_about:
        return table if table.rows else None
    every = zip(table.rows, table.rows_about, strict=True)
    kept = [(row, about) for row, about in every if about is None or is_still_to_make(about, hung)]
    rows, abouts = tuple(row for row, _ in kept), tuple(about for _, about in kept)
    return replace(table, rows=rows, rows_about=abouts) if rows else None


def as_built_table(boat: Boat, relined: Relined) -> Table:
    """Return the table of what was measured, and of where the marks above it now come."""
    hull, count = boat.hull, boat.hull.planking.strakes
    rows = []
    for strake in range(1, count + 1):
        figures = zip(relined.moved[strake - 1], relined.is_measured[strake - 1], strict=True)
        is_hung = strake <= relined.hung
        cells = [format_shift(float(by), hull.units) if given or not is_hung else "–" for by, given in figures]
        what = "hung" if is_hung else "sheer: stays" if strake == count else "to be marked"
        rows.append((str(strake), what, *cells))
    return Table(
        f"As built up to strake {relined.hung}, and how far the marks above it move",
        ("strake", "state", *(_heading(name) for name in place_names(hull))),
        tuple(rows),
        (
            "How far the upper inside corner is from the mark that is drawn, along the section: + toward the sheer, "
            "- toward the keel, also on a boat that is built keel up. "
            "Of a strake to be marked: shift its mark on the mould, stem or transom by this much before lining off.",
            "–: not measured, or left out; interpolated from its neighbours.",
            *_left_out_notes(relined, hull),
        ),
        word_columns=(1,),
        rows_about=tuple(About("strake", strake) for strake in range(1, count + 1)),
    )


def _left_out_notes(relined: Relined, hull: Hull) -> tuple[str, ...]:
    """The figures that look like slips and are not used."""
    names = place_names(hull)
    return tuple(
        f"Strake {slip.strake} at {names[slip.place]}: {format_signed(slip.value, hull.units)} looks like a "
        "mistake in measuring and is left out; measure it again."
        for slip in relined.left_out
    )


def _heading(name: str) -> str:
    return name if name in ("fore", "aft") else f"mould\n{name}"


def as_built_record(relined: Relined) -> dict[str, object]:
    """Return the same for programs, mm."""
    names = place_names(relined.hull)
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
                        "is_measured": bool(given),
                        "is_left_out": (k, place) in left_out,
                    }
                    for place, (name, by, given) in enumerate(zip(names, moved, measured, strict=True))
                ],
            }
            for k, (moved, measured) in enumerate(zip(relined.moved, relined.is_measured, strict=True), start=1)
        ],
    }
