"""Every file of the job, as bytes: templates on paper and for a router, stock, measurements and tiles."""

import io
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from templates_gen.drawing.piece import Folio, Kind, Piece
from templates_gen.errors import TemplatesGenError
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


class SelectionError(TemplatesGenError, ValueError):
    """What was asked for with --only is no kind and no piece of this boat."""


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
        Kinds ("strakes") or pieces ("strake 4"); all of them when empty.
    cutting : Cutting or None
        None: no drawings of stock are made.

    Raises
    ------
    SelectionError
        When a word of `only` is no kind and no piece of this boat.
    StockError
        When a part is too large for the stock.
    """
    if only:
        rendered = [_rendered(chosen, printing, _header(boat)) for chosen in _chosen(boat, only)]
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


def _json(data: object) -> bytes:
    return (json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n").encode()
