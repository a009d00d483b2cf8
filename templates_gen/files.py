"""Every file of the job, as bytes: templates on paper and for a router, stock, measurements and tiles."""

import io
import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from templates_gen.drawing.piece import Folio, Kind, Piece
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.sheet import Sheet
from templates_gen.rendering.dxf import dxf_bytes
from templates_gen.rendering.pdf import Cost, Plan, tile_record_data, write_plan, write_scale_page
from templates_gen.rendering.pdf_page import Header
from templates_gen.report.measurements import measurements
from templates_gen.side_by_side import side_by_side
from templates_gen.templates.cautions import CAUTIONS
from templates_gen.templates.folios import KINDS, folio
from templates_gen.templates.selection import chosen

if TYPE_CHECKING:
    from templates_gen.stock.sizes import Stock

SHARES: tuple[tuple[Kind, ...], tuple[Kind, ...]] = (("strakes", "rebates", "transom"), ("bevels", "moulds"))
"""Two shares of the kinds that take about as long as each other to draw and write."""

MOST_SHEETS = 99
"""Sheets of stock that a boat may take: their drawings are numbered, and those of a former job removed."""

OWNED_NAMES = (
    "measurements.json",
    "tiles.json",
    *(f"{kind}.{ending}" for kind in KINDS for ending in ("pdf", "dxf")),
    "stock.pdf",
    *(f"stock-{number}.dxf" for number in range(1, MOST_SHEETS + 1)),
)


@dataclass(frozen=True)
class Printing:
    """How the paper is printed: on which sheets, and by a printer that is how far out."""

    sheet: Sheet
    correction: Correction = NO_CORRECTION


@dataclass(frozen=True)
class Cutting:
    """What planks are cut from: sheets of stock, and scarfs of a slope (length over thickness)."""

    stock: "Stock"
    slope: float


@dataclass(frozen=True)
class Made:
    """Every file by its name, and what printing them takes."""

    files: dict[str, bytes]
    costs: tuple[Cost, ...]


def files(boat: Boat, printing: Printing, only: Sequence[str] = (), cutting: Cutting | None = None) -> Made:
    """Return every file of the job.

    Parameters
    ----------
    boat : Boat
    printing : Printing
    only : sequence of str
        Kinds ("strakes"), pieces ("strake 4"), stations ("station 3") or beginnings of names ("land 3").
    cutting : Cutting or None
        None: no drawings of stock are made.

    Raises
    ------
    SelectionError
        When a word of `only` is none of these.
    StockError
        When a part is too large for the stock.
    """
    if only:
        folios = [folio(boat, kind) for kind in KINDS if kind in only or not set(only) <= set(KINDS)]
        rendered = [_rendered(some, printing, _header(boat)) for some in chosen(folios, only)]
    else:
        rendered = side_by_side(lambda kind: _rendered(folio(boat, kind), printing, _header(boat)), *SHARES)
        rendered.sort(key=lambda part: KINDS.index(part.kind))
    if cutting is not None:
        rendered.append(_stock(boat, cutting, printing))
    made = {"measurements.json": _json(measurements(boat))}
    for part in rendered:
        made |= part.files
    made["tiles.json"] = _json([tile for part in rendered for tile in part.tiles])
    return Made(made, tuple(cost for part in rendered for cost in part.costs))


def scale_page(name: str, printing: Printing) -> bytes:
    """Return a page to measure a printer by, as PDF; `name` stands in its title block."""
    buffer = io.BytesIO()
    write_scale_page(buffer, printing.sheet, Header(name, ""), printing.correction)
    return buffer.getvalue()


def _header(boat: Boat) -> Header:
    hull = boat.hull
    return Header(hull.name, hull.fingerprint, hull.edition, hull.units, CAUTIONS)


@dataclass(frozen=True)
class _Rendered:
    """The files of one kind, what tiles.json says of its pages, and what printing it takes."""

    kind: Kind
    files: dict[str, bytes]
    tiles: list[dict[str, Any]]
    costs: tuple[Cost, ...]


def _rendered(made: Folio, printing: Printing, header: Header) -> _Rendered:
    if not made.pieces and not made.tables:
        return _Rendered(made.kind, {}, [], ())
    rendered = _on_paper(made, printing, header)
    if made.pieces:
        rendered.files[f"{made.kind}.dxf"] = dxf_bytes(made)
    return rendered


def _on_paper(made: Folio, printing: Printing, header: Header) -> _Rendered:
    plan, buffer, name = Plan(made, printing.sheet, header, printing.correction), io.BytesIO(), f"{made.kind}.pdf"
    tiles = [tile_record_data(record, name) for record in write_plan(plan, buffer)]
    return _Rendered(made.kind, {name: buffer.getvalue()}, tiles, (plan.cost,))


def _stock(boat: Boat, cutting: Cutting, printing: Printing) -> _Rendered:
    """A drawing for each sheet of stock, and a picture and lists of all of them to print."""
    from templates_gen.stock.drawings import plan_folio, sheet_folios, stock_file_names
    from templates_gen.stock.parts import piece_parts
    from templates_gen.stock.plan import cutting_plan
    from templates_gen.templates.strakes import strake_piece

    def draw(strake: FlatStrake, clear: Sequence[tuple[float, float]]) -> Piece:
        return strake_piece(boat, strake, clear)

    thickness = boat.hull.moulds.thickness
    moulds = [part for piece in folio(boat, "moulds").pieces for part in piece_parts(piece, thickness, True)]
    gauges = [part for piece in folio(boat, "bevels").pieces for part in piece_parts(piece, None)]
    plan = cutting_plan(boat, cutting.stock, draw, [*moulds, *gauges], cutting.slope)
    rendered = _on_paper(plan_folio(plan, boat.hull.units), printing, _header(boat))
    for name, drawing in zip(stock_file_names(plan), sheet_folios(plan), strict=True):
        rendered.files[name] = dxf_bytes(drawing, in_place=True)
    return rendered


def _json(data: object) -> bytes:
    return (json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n").encode()
