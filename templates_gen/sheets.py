"""Templates as files: on sheets of paper, for a router, and cut from sheets of stock."""

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from templates_gen.drawing.piece import Folio, Kind, PrintSet
from templates_gen.hull.model import Hull, Midship, Transom
from templates_gen.notation import Marked
from templates_gen.output import json_bytes
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.sheet import Sheet
from templates_gen.render.dxf.cost import Rates, SheetCost, cost_table, cost_words, sheet_cost
from templates_gen.render.dxf.drawn import Drawn
from templates_gen.render.dxf.layers import Release
from templates_gen.render.dxf.tabs import Tabs, with_tabs
from templates_gen.render.dxf.writing import dxf_bytes, sheet_drawing, written
from templates_gen.render.pdf.page import Header
from templates_gen.render.pdf.writing import (
    Cost,
    Plan,
    ReadFirst,
    tile_record_data,
    write_plan,
    write_read_first,
    write_scale_page,
)
from templates_gen.report.finding import Finding
from templates_gen.stock.cutting import CuttingPlan, cutting_plan, stock_file_names
from templates_gen.stock.drawings import plan_folio, sheet_folios
from templates_gen.stock.parts import piece_parts
from templates_gen.stock.plan import EDGE, MOST_SHEETS, USUAL, Stock
from templates_gen.templates.folios import CAUTIONS, KINDS, Planked

READ_FIRST = "read-me-first.pdf"

LIST_NAMES = ("measurements.json", "tiles.json", READ_FIRST)
"""Files that every job writes."""

JOB_NAMES = (
    *LIST_NAMES,
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
    """The sheets of paper to print on, what makes up for a printer that is not true, which set and DXF release.

    `small` is the paper for what is only read; None: the same.
    """

    sheet: Sheet
    correction: Correction = NO_CORRECTION
    to_print: PrintSet = "full"
    small: Sheet | None = None
    release: Release = "r2000"

    @property
    def reading(self) -> Sheet:
        """Return the paper for what is read: text, maps and, where it is another paper, tables."""
        return self.small or self.sheet


@dataclass(frozen=True)
class Cutting:
    """What planks are cut from, scarfs of what slope (length over thickness; None: usual), wood left on their edges.
    `rates`: how fast the router moves; `tabs`: the bridges in the outlines, None for none.

    Sheets of stock are drawn where sizes of stock are given.
    """

    stock: Stock = USUAL
    slope: float | None = None
    edge: float = EDGE
    rates: Rates = field(default_factory=Rates)
    tabs: Tabs | None = None


@dataclass(frozen=True)
class Rendered:
    """The files of one folio, what tiles.json holds of its pages, the plan of what is printed, and findings."""

    kind: Kind
    files: dict[str, bytes]
    tiles: list[dict[str, Any]]
    plan: Plan | None = None
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class JobFiles:
    """Every file by its name, the paper that printing them takes, findings about what was made, and where what the
    bookmarks name begins: file and page.
    """

    files: dict[str, bytes]
    costs: tuple[Cost, ...] = ()
    findings: tuple[Finding, ...] = ()
    places: dict[str, tuple[str, int]] = field(default_factory=dict)


def sure_names(hull: Hull, only: Sequence[str] = (), is_cut: bool = False) -> list[str]:
    """Return files that a job writes whatever is computed: its lists, and those of whole kinds that the hull has."""
    has_transom = any(isinstance(end, Transom) and not isinstance(end, Midship) for end in (hull.fore, hull.aft))
    are_there = {"transom": has_transom, "bevels": hull.planking.strakes > 1, "inside": bool(hull.inside)}
    kinds = [kind for kind in KINDS if are_there.get(kind, True) and (not only or kind in only)]
    names = [*LIST_NAMES, *(f"{kind}.pdf" for kind in kinds), *(f"{kind}.dxf" for kind in kinds if kind == "strakes")]
    return [*names, "stock.pdf", "stock-1.dxf"] if is_cut else names


def header_of(hull: Marked) -> Header:
    """Return what stands on every sheet of a hull, or of a plank."""
    return Header(hull.name, hull.fingerprint, hull.edition, hull.units, CAUTIONS, depths=hull.depths)


def on_paper(hull: Marked, folio: Folio, printing: Printing, is_alone: bool = False) -> Rendered:
    """Return a folio to print; no file of it where it is empty. `is_alone`: it begins with what is read first."""
    if not folio.pieces and not folio.tables and not folio.first_tables:
        return Rendered(folio.kind, {}, [])
    buffer, name = io.BytesIO(), f"{folio.kind}.pdf"
    reading = None if is_alone else printing.reading
    plan = Plan(folio, printing.sheet, header_of(hull), printing.correction, reading)
    abouts = {piece.name: piece.about.record() for piece in folio.pieces}
    if not plan.pages:
        return Rendered(folio.kind, {}, [], plan)
    tiles = [
        tile_record_data(record, name) | {"about": abouts[record.piece], "units": {"piece": "mm", "page": "pt"}}
        for record in write_plan(plan, buffer)
    ]
    return Rendered(folio.kind, {name: buffer.getvalue()}, tiles, plan)


def for_router(folio: Folio, release: Release = "r2000") -> dict[str, bytes]:
    """Return a folio's drawing under its name; none where all its pieces are of paper."""
    drawing = folio.for_router
    return {f"{folio.kind}.dxf": dxf_bytes(drawing, release)} if drawing.pieces else {}


def rendered(hull: Marked, folio: Folio, printing: Printing, is_alone: bool = False) -> Rendered:
    """Return a folio, to print and for a router."""
    on_sheets = on_paper(hull, folio, printing, is_alone)
    return replace(on_sheets, files=on_sheets.files | for_router(folio, printing.release))


def job_files(
    record: dict[str, Any],
    parts: Sequence[Rendered],
    printing: Printing,
    found: Iterable[Finding] = (),
    of_boat: Iterable[Finding] = (),
) -> JobFiles:
    """Return every file of a job: its folios', their tiles, what is read first, `record` as the measurements.

    `found` are findings of the job, `of_boat` those known before it: what is read first shows the warnings of both.
    """
    files = {"measurements.json": json_bytes(record)}
    for part in parts:
        files |= part.files
    files["tiles.json"] = json_bytes([tile for part in parts for tile in part.tiles])
    plans = {f"{part.kind}.pdf": part.plan for part in parts if part.plan is not None}
    every = (*found, *(finding for part in parts for finding in part.findings))
    if not plans:
        return JobFiles(files, (), every)
    warnings = [finding.sentence for finding in (*of_boat, *every) if finding.severity == "warning"]
    first, buffer = ReadFirst(plans, printing.reading, printing.correction, warnings), io.BytesIO()
    write_read_first(first, buffer)
    files[READ_FIRST] = buffer.getvalue()
    written = {READ_FIRST: first, **plans}
    places = {name: (file, page) for file, plan in written.items() for name, page in plan.places.items()}
    costs = (first.cost, *(plan.cost for plan in plans.values() if plan.pages))
    return JobFiles(files, costs, every, places)


def scale_page(name: str, printing: Printing) -> bytes:
    """Return a page to measure a printer by, as PDF; `name` stands in its title strip."""
    buffer = io.BytesIO()
    write_scale_page(buffer, printing.sheet, Header(name, ""), printing.correction)
    return buffer.getvalue()


def plan_of(planked: Planked, others: Sequence[Folio]) -> CuttingPlan:
    """Return what is cut from which sheet of stock.

    Parameters
    ----------
    planked : Planked
    others : sequence of Folio
        What is cut besides the strakes: moulds, of their own thickness and of both hands, and gauges of any stock.

    Raises
    ------
    StockError
        When a part is too large for the stock.
    """
    moulds = planked.boat.hull.moulds.thickness
    parts = [
        part
        for folio in others
        for piece in folio.for_router.pieces
        for part in piece_parts(piece, *((moulds, True) if folio.kind == "moulds" else (None,)))
    ]
    return cutting_plan(planked.plan, planked.patterns, parts)


def cut_with_strakes(only: Sequence[str], folios: Sequence[Folio]) -> list[Folio]:
    """Return those of `folios` that are cut from the strakes' stock, where --only names `only`."""
    wanted = {*CUT_WITH_STRAKES, *(kind for kind in CUT_IF_NAMED if kind in only)}
    return [folio for folio in folios if folio.kind in wanted]


def from_stock(hull: Hull, plan: CuttingPlan, printing: Printing, cutting: Cutting) -> Rendered:
    """Return a drawing for each sheet of stock, and a picture and lists of all of them to print."""
    drawings, findings = [], []
    for sheet, folio in zip(plan.sheets, sheet_folios(plan), strict=True):
        drawing = sheet_drawing(folio, (sheet.size.length, sheet.size.width))
        if cutting.tabs is not None:
            drawing, missing = with_tabs(drawing, cutting.tabs)
            findings += _without_room(sheet.number, missing) if missing else []
        drawings.append(drawing)
    costs = _costs(plan, drawings, cutting.rates)
    findings += [Finding("note", "stock", cost_words(cost, hull.units)) for cost in costs]
    lists = plan_folio(plan, hull.units)
    tables = (*lists.tables, cost_table(costs, cutting.rates, hull.units))
    on_sheets = on_paper(hull, replace(lists, tables=tables), printing)
    files = {
        name: written(drawing, printing.release)
        for name, drawing in zip(stock_file_names(plan), drawings, strict=True)
    }
    return replace(on_sheets, files=on_sheets.files | files, findings=tuple(findings))


def _costs(plan: CuttingPlan, drawings: Sequence[Drawn], rates: Rates) -> list[SheetCost]:
    return [
        sheet_cost(sheet.number, drawing, sheet.thickness, rates)
        for sheet, drawing in zip(plan.sheets, drawings, strict=True)
    ]


def _without_room(number: int, missing: int) -> list[Finding]:
    return [
        Finding(
            "note",
            "stock",
            f"sheet {number} of stock has no room for {missing} of the bridges: they would lie on a corner, a mark "
            "or an end. Ask for fewer or shorter ones with --tabs",
        )
    ]
