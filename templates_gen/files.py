"""Every file of the job, as bytes: templates on paper and for a router, stock, measurements and tiles."""

import json
from collections.abc import Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from templates_gen.drawing.piece import Folio, Kind
from templates_gen.errors import SelectionError
from templates_gen.geometry.boat import Boat
from templates_gen.order import KINDS, Cutting, Printing
from templates_gen.report.measurements import measurements
from templates_gen.side_by_side import InTurn
from templates_gen.templates.folios import folio

if TYPE_CHECKING:
    from templates_gen.rendered import Rendered
    from templates_gen.rendering.pdf import Cost

MOST_SHEETS = 99
"""Sheets of stock that a boat may take: their drawings are numbered, and those of a former job removed."""

OWNED_NAMES = (
    "measurements.json",
    "tiles.json",
    *(f"{kind}.{ending}" for kind in KINDS for ending in ("pdf", "dxf")),
    "stock.pdf",
    *(f"stock-{number}.dxf" for number in range(1, MOST_SHEETS + 1)),
)

DRAWN_BESIDE: Kind = "strakes"
"""What a second process draws and writes whole; of the other kinds it writes the drawings for a router."""


@dataclass(frozen=True)
class Made:
    """Every file by its name, and what printing them takes."""

    files: dict[str, bytes]
    costs: "tuple[Cost, ...]"


def files(
    boat: Boat,
    printing: Printing,
    only: Sequence[str] = (),
    cutting: Cutting | None = None,
    beside: Executor | None = None,
) -> Made:
    """Return every file of the job.

    Parameters
    ----------
    boat : Boat
    printing : Printing
    only : sequence of str
        Kinds ("strakes") or pieces ("strake 4"); all of them when empty.
    cutting : Cutting or None
        None: no drawings of stock are made.
    beside : Executor or None
        A second process that takes its share, if there is one; the files are the same.

    Raises
    ------
    SelectionError
        When a word of `only` is no kind and no piece of this boat.
    StockError
        When a part is too large for the stock.
    """
    beside = beside or InTurn()
    share = [] if only else [beside.submit(_whole_kind, boat, DRAWN_BESIDE, printing)]
    from templates_gen.rendered import from_stock, on_paper  # loaded while the second process is at work

    folios = _chosen(boat, only) if only else [folio(boat, kind) for kind in KINDS if kind != DRAWN_BESIDE]
    drawings = [beside.submit(_for_router, made) for made in folios]
    papers = [on_paper(boat.hull, made, printing) for made in folios]
    made = {"measurements.json": json_bytes(measurements(boat))}
    rendered = [paper.with_files(drawing.result()) for paper, drawing in zip(papers, drawings, strict=True)]
    rendered = sorted([*rendered, *(part.result() for part in share)], key=lambda part: KINDS.index(part.kind))
    if cutting is not None:
        rendered.append(from_stock(boat, cutting, printing))
    for part in rendered:
        made |= part.files
    made["tiles.json"] = json_bytes([tile for part in rendered for tile in part.tiles])
    return Made(made, tuple(cost for part in rendered for cost in part.costs))


def get_ready() -> None:
    """Load what a second process needs for its share."""
    from importlib import import_module

    from templates_gen.rendering.pdf_letters import font

    for module in ("rendered", "rendering.dxf", f"templates.{DRAWN_BESIDE}"):
        import_module(f"templates_gen.{module}")
    font()


def _whole_kind(boat: Boat, kind: Kind, printing: Printing) -> "Rendered":
    from templates_gen.rendered import whole_kind

    return whole_kind(boat, kind, printing)


def _for_router(made: Folio) -> dict[str, bytes]:
    from templates_gen.rendered import for_router

    return for_router(made)


def _chosen(boat: Boat, only: Sequence[str]) -> list[Folio]:
    wanted_kinds = [word for word in only if word in KINDS]
    wanted_pieces = {" ".join(word.split()) for word in only if word not in KINDS}
    folios = [folio(boat, kind) for kind in KINDS if kind in wanted_kinds or wanted_pieces]
    names = {piece.name for made in folios for piece in made.pieces}
    for made in folios:
        if made.kind in wanted_kinds and not made.pieces:
            raise SelectionError(f"this boat has no {made.kind}")
    if unknown := sorted(wanted_pieces - names):
        raise SelectionError(
            f"{unknown[0]!r} is neither a kind of template ({', '.join(KINDS)}) nor a piece of this boat"
            f"{_nearest(unknown[0], names)}"
        )
    chosen = []
    for made in folios:
        if made.kind in wanted_kinds:
            chosen.append(made)
        elif pieces := tuple(piece for piece in made.pieces if piece.name in wanted_pieces):
            chosen.append(replace(made, pieces=pieces, tables=()))
    return chosen


def _nearest(word: str, names: set[str]) -> str:
    from difflib import get_close_matches

    close = get_close_matches(word, sorted(names), 3)
    return f"; did you mean {' or '.join(repr(name) for name in close)}?" if close else ""


def json_bytes(data: object) -> bytes:
    """Return plain data as JSON, the file's end of line included."""
    return (json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n").encode()
