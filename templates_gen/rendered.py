"""One kind of templates as files: on paper, for a router, or cut from sheets of stock."""

import io
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING, Any

from templates_gen.drawing.piece import Folio, Kind
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Hull
from templates_gen.order import Cutting, Printing
from templates_gen.rendering.pdf import Cost, Plan, tile_record_data, write_plan, write_scale_page
from templates_gen.rendering.pdf_page import Header
from templates_gen.templates import folios
from templates_gen.templates.cautions import CAUTIONS
from templates_gen.templates.folios import folio

if TYPE_CHECKING:
    from templates_gen.stock.cutting import CuttingPlan


@dataclass(frozen=True)
class Rendered:
    """The files of one kind, what tiles.json says of its pages, what it takes to print, its first tables' pages."""

    kind: Kind
    files: dict[str, bytes]
    tiles: list[dict[str, Any]]
    costs: tuple[Cost, ...]
    first_tables: dict[str, int] = field(default_factory=dict)

    def with_files(self, files: dict[str, bytes]) -> "Rendered":
        """Return the same with more files."""
        return replace(self, files=self.files | files)


def header_of(hull: Hull) -> Header:
    """Return what stands on every sheet of a hull."""
    return Header(hull.name, hull.fingerprint, hull.edition, hull.units, CAUTIONS)


def on_paper(hull: Hull, made: Folio, printing: Printing) -> Rendered:
    """Return a folio to print; no file of it where it is empty."""
    if not made.pieces and not made.tables and not made.first_tables:
        return Rendered(made.kind, {}, [], ())
    buffer, name = io.BytesIO(), f"{made.kind}.pdf"
    plan = Plan(made, printing.sheet, header_of(hull), printing.correction)
    tiles = [tile_record_data(record, name) for record in write_plan(plan, buffer)]
    first = {table.title: plan.page_of(table.title) for table in made.first_tables}
    return Rendered(made.kind, {name: buffer.getvalue()}, tiles, (plan.cost,), first)


def for_router(made: Folio) -> dict[str, bytes]:
    """Return a folio's drawing under its name; none where it has no piece but of paper."""
    if all(piece.is_paper for piece in made.pieces):
        return {}
    from templates_gen.rendering.dxf import dxf_bytes

    return {f"{made.kind}.dxf": dxf_bytes(made)}


def whole_kind(boat: Boat, kind: Kind, printing: Printing) -> Rendered:
    """Return a kind of templates, to print and for a router."""
    return whole_folio(boat, folio(boat, kind), printing)


def whole_folio(boat: Boat, made: Folio, printing: Printing) -> Rendered:
    """Return a folio, to print and for a router."""
    return on_paper(boat.hull, made, printing).with_files(for_router(made))


def scale_page(name: str, printing: Printing) -> bytes:
    """Return a page to measure a printer by, as PDF; `name` stands in its title block."""
    buffer = io.BytesIO()
    write_scale_page(buffer, printing.sheet, Header(name, ""), printing.correction)
    return buffer.getvalue()


def plan_of(boat: Boat, cutting: Cutting, others: Sequence[Folio]) -> "CuttingPlan":
    """Return what is cut from which sheet of stock.

    Parameters
    ----------
    boat : Boat
    cutting : Cutting
    others : sequence of Folio
        What is cut besides the strakes: moulds, of their own thickness and of both hands, and gauges of any stock.

    Raises
    ------
    StockError
        When a part is too large for the stock.
    """
    from templates_gen.stock.cutting import cutting_plan
    from templates_gen.stock.parts import piece_parts
    from templates_gen.stock.plan import planking_plan
    from templates_gen.stock.scarf_marks import patterns
    from templates_gen.templates.strakes import strake_piece

    parts = [
        part
        for made in others
        for piece in made.pieces
        if not piece.is_paper
        for part in piece_parts(piece, *((boat.hull.moulds.thickness, True) if made.kind == "moulds" else (None,)))
    ]
    planking = planking_plan(boat, cutting.stock, cutting.slope)
    return cutting_plan(planking, patterns(boat, planking, partial(strake_piece, boat)), parts)


def scarfed_strakes(boat: Boat, plan: "CuttingPlan", asked: Folio | None = None) -> Folio:
    """Return the strakes' templates with the scarfs of a cutting plan; only those in `asked` if that is given."""
    whole = folios.scarfed_strakes(boat, plan.planking, plan.templates)
    if asked is None:
        return whole
    names = {piece.name for piece in asked.pieces}
    pieces = tuple(piece for piece in whole.pieces if piece.name in names)
    return replace(asked, pieces=pieces, tables=whole.tables if asked.tables else ())


def from_stock(boat: Boat, plan: "CuttingPlan", printing: Printing) -> Rendered:
    """Return a drawing for each sheet of stock, and a picture and lists of all of them to print."""
    from templates_gen.rendering.dxf import dxf_bytes
    from templates_gen.stock.drawings import plan_folio, sheet_folios, stock_file_names

    rendered = on_paper(boat.hull, plan_folio(plan, boat.hull.units), printing)
    drawings = zip(stock_file_names(plan), sheet_folios(plan), strict=True)
    return rendered.with_files({name: dxf_bytes(drawing, in_place=True) for name, drawing in drawings})
