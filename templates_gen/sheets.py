"""Templates as files: on sheets of paper, for a router, and cut from sheets of stock."""

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

from templates_gen.drawing.piece import Folio, Kind, PrintSet
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Hull
from templates_gen.output import json_bytes
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.sheet import Sheet
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.render.pdf.page import Header
from templates_gen.render.pdf.writing import Cost, Plan, tile_record_data, write_plan, write_scale_page
from templates_gen.report.finding import Finding
from templates_gen.stock.cutting import CuttingPlan, cutting_plan, plan_folio, sheet_folios, stock_file_names
from templates_gen.stock.parts import piece_parts
from templates_gen.stock.plan import MOST_SHEETS, Stock, planking_plan
from templates_gen.stock.scarf_marks import patterns
from templates_gen.templates import folios
from templates_gen.templates.folios import CAUTIONS, KINDS
from templates_gen.templates.strakes.pieces import strake_piece

JOB_NAMES = (
    "measurements.json",
    "tiles.json",
    *(f"{kind}.{ending}" for kind in KINDS for ending in ("pdf", "dxf")),
    "stock.pdf",
    *(f"stock-{number}.dxf" for number in range(1, MOST_SHEETS + 1)),
)
"""Every file that a job may write."""

CUT_WITH_STRAKES: tuple[Kind, ...] = ("moulds",)
"""Kinds that are cut from stock with the strakes, unless --only leaves them out."""

CUT_IF_NAMED: tuple[Kind, ...] = ("bevels",)
"""Kinds that are cut from it only if they are named: gauges are of thinner ply or of card."""


@dataclass(frozen=True)
class Printing:
    """The sheets of paper to print on, what makes up for a printer that is not true, and which set to print."""

    sheet: Sheet
    correction: Correction = NO_CORRECTION
    to_print: PrintSet = "full"


@dataclass(frozen=True)
class Cutting:
    """What planks are cut from: sheets of stock, with scarfs of a slope (length over thickness; None: usual)."""

    stock: Stock
    slope: float | None = None


@dataclass(frozen=True)
class Rendered:
    """The files of one folio, what tiles.json holds of its pages, the paper it takes, its first tables' pages."""

    kind: Kind
    files: dict[str, bytes]
    tiles: list[dict[str, Any]]
    costs: tuple[Cost, ...]
    first_tables: dict[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class JobFiles:
    """Every file by its name, the paper that printing them takes, and findings about what was made."""

    files: dict[str, bytes]
    costs: tuple[Cost, ...] = ()
    findings: tuple[Finding, ...] = ()


def header_of(hull: Hull) -> Header:
    """Return what stands on every sheet of a hull."""
    return Header(hull.name, hull.fingerprint, hull.edition, hull.units, CAUTIONS)


def on_paper(hull: Hull, folio: Folio, printing: Printing) -> Rendered:
    """Return a folio to print; no file of it where it is empty."""
    if not folio.pieces and not folio.tables and not folio.first_tables:
        return Rendered(folio.kind, {}, [], ())
    buffer, name = io.BytesIO(), f"{folio.kind}.pdf"
    plan = Plan(folio, printing.sheet, header_of(hull), printing.correction)
    abouts = {piece.name: piece.about.record() for piece in folio.pieces}
    tiles = [tile_record_data(record, name) | {"about": abouts[record.piece]} for record in write_plan(plan, buffer)]
    first = {table.title: plan.page_of(table.title) for table in folio.first_tables}
    return Rendered(folio.kind, {name: buffer.getvalue()}, tiles, (plan.cost,), first)


def for_router(folio: Folio) -> dict[str, bytes]:
    """Return a folio's drawing under its name; none where all its pieces are of paper."""
    drawing = folio.for_router
    return {f"{folio.kind}.dxf": dxf_bytes(drawing)} if drawing.pieces else {}


def rendered(hull: Hull, folio: Folio, printing: Printing) -> Rendered:
    """Return a folio, to print and for a router."""
    on_sheets = on_paper(hull, folio, printing)
    return replace(on_sheets, files=on_sheets.files | for_router(folio))


def job_files(record: dict[str, Any], parts: Sequence[Rendered], found: Iterable[Finding] = ()) -> JobFiles:
    """Return every file of a job: its folios', their tiles, and `record` as the measurements."""
    files = {"measurements.json": json_bytes(record)}
    for part in parts:
        files |= part.files
    files["tiles.json"] = json_bytes([tile for part in parts for tile in part.tiles])
    return JobFiles(files, tuple(cost for part in parts for cost in part.costs), tuple(found))


def scale_page(name: str, printing: Printing) -> bytes:
    """Return a page to measure a printer by, as PDF; `name` stands in its title strip."""
    buffer = io.BytesIO()
    write_scale_page(buffer, printing.sheet, Header(name, ""), printing.correction)
    return buffer.getvalue()


def plan_of(boat: Boat, cutting: Cutting, others: Sequence[Folio]) -> CuttingPlan:
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
    parts = [
        part
        for folio in others
        for piece in folio.for_router.pieces
        for part in piece_parts(piece, *((boat.hull.moulds.thickness, True) if folio.kind == "moulds" else (None,)))
    ]
    planking = planking_plan(boat, cutting.stock, cutting.slope)
    return cutting_plan(planking, patterns(boat, planking, partial(strake_piece, boat)), parts)


def cut_with_strakes(only: Sequence[str], folios: Sequence[Folio]) -> list[Folio]:
    """Return those of `folios` that are cut from the strakes' stock, where --only names `only`."""
    wanted = {*CUT_WITH_STRAKES, *(kind for kind in CUT_IF_NAMED if kind in only)}
    return [folio for folio in folios if folio.kind in wanted]


def scarfed_strakes(boat: Boat, plan: CuttingPlan, folio: Folio) -> Folio:
    """Return the folio of the strakes with the scarfs of a cutting plan."""
    whole = folios.scarfed_strakes(boat, plan.planking, plan.templates)
    names = {piece.name for piece in folio.pieces}
    pieces = tuple(piece for piece in whole.pieces if piece.name in names)
    return replace(folio, pieces=pieces, tables=whole.tables if folio.tables else ())


def from_stock(hull: Hull, plan: CuttingPlan, printing: Printing) -> Rendered:
    """Return a drawing for each sheet of stock, and a picture and lists of all of them to print."""
    on_sheets = on_paper(hull, plan_folio(plan, hull.units), printing)
    drawings = zip(stock_file_names(plan), sheet_folios(plan), strict=True)
    return replace(
        on_sheets, files=on_sheets.files | {name: dxf_bytes(drawing, in_place=True) for name, drawing in drawings}
    )
