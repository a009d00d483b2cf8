"""Every file of the job, as bytes: templates on paper and for a router, stock, measurements and tiles."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from templates_gen.drawing.piece import Folio, Kind
from templates_gen.geometry.boat import Boat
from templates_gen.order import KINDS, Cutting, Printing
from templates_gen.report.measurements import measurements
from templates_gen.side_by_side import Beside
from templates_gen.templates.folios import folio
from templates_gen.templates.selection import chosen

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

CUT_WITH: tuple[Kind, ...] = ("moulds", "bevels")
"""Kinds that are cut from stock with the strakes, unless --only leaves them out."""


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
    beside: Beside | None = None,
) -> Made:
    """Return every file of the job.

    Parameters
    ----------
    boat : Boat
    printing : Printing
    only : sequence of str
        Kinds ("strakes"), pieces ("strake 4"), stations ("station 3") or beginnings of names ("land 3").
    cutting : Cutting or None
        None: no drawings of stock are made. Strakes are always cut; moulds and gauges unless `only` leaves them out.
    beside : Beside or None
        A second process that takes its share, if there is one; the files are the same.

    Raises
    ------
    SelectionError
        When a word of `only` is none of these.
    StockError
        When a part is too large for the stock.
    """
    beside = beside or Beside()
    share = [] if only else [beside.submit(_whole_kind, boat, DRAWN_BESIDE, printing)]
    from templates_gen.rendered import from_stock, on_paper  # loaded while the second process is at work

    folios = _asked(boat, only) if only else [folio(boat, kind) for kind in KINDS if kind != DRAWN_BESIDE]
    drawings = [beside.submit(_for_router, _to_be_cut(made)) for made in folios]
    measured = beside.submit(_measured, boat)
    papers = [on_paper(boat.hull, made, printing) for made in folios]
    made = {"measurements.json": measured.result()}
    rendered = [paper.with_files(drawing.result()) for paper, drawing in zip(papers, drawings, strict=True)]
    rendered = sorted([*rendered, *(part.result() for part in share)], key=lambda part: KINDS.index(part.kind))
    if cutting is not None:
        rendered.append(from_stock(boat, cutting, printing, [made for made in folios if made.kind in CUT_WITH]))
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


def _measured(boat: Boat) -> bytes:
    return json_bytes(measurements(boat))


def _to_be_cut(made: Folio) -> Folio:
    """Only what a machine may cut: less to hand to a second process."""
    return replace(made, pieces=tuple(piece for piece in made.pieces if not piece.is_paper), tables=())


def _for_router(made: Folio) -> dict[str, bytes]:
    from templates_gen.rendered import for_router

    return for_router(made)


def _asked(boat: Boat, only: Sequence[str]) -> tuple[Folio, ...]:
    """Return what is asked for; where that is kinds only, no others are drawn to look for it."""
    kinds = [kind for kind in KINDS if kind in only or not set(only) <= set(KINDS)]
    return chosen([folio(boat, kind) for kind in kinds], only)


def json_bytes(data: object) -> bytes:
    """Return plain data as JSON, the file's end of line included."""
    return (json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n").encode()
