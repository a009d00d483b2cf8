"""Every file of the job, as bytes: templates on paper and for a router, stock, measurements and tiles."""

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from templates_gen.drawing.piece import Folio, Kind
from templates_gen.geometry.boat import Boat
from templates_gen.order import KINDS, Cutting, Printing
from templates_gen.report.finding import Finding
from templates_gen.report.measurements import measurements
from templates_gen.side_by_side import Beside
from templates_gen.stock.sizes import MOST_SHEETS
from templates_gen.templates.folios import folio
from templates_gen.templates.selection import chosen

if TYPE_CHECKING:
    from templates_gen.rendered import Rendered
    from templates_gen.rendering.pdf import Cost
    from templates_gen.stock.cutting import CuttingPlan

OWNED_NAMES = (
    "measurements.json",
    "tiles.json",
    *(f"{kind}.{ending}" for kind in KINDS for ending in ("pdf", "dxf")),
    "stock.pdf",
    *(f"stock-{number}.dxf" for number in range(1, MOST_SHEETS + 1)),
)

DRAWN_BESIDE: Kind = "strakes"
"""What a second process draws and writes whole; of the other kinds it writes the drawings for a router."""

CUT_WITH: tuple[Kind, ...] = ("moulds",)
"""Kinds that are cut from stock with the strakes, unless --only leaves them out."""

CUT_IF_NAMED: tuple[Kind, ...] = ("bevels",)
"""Kinds that are cut from it only if they are named: gauges are of thinner ply or of card."""


@dataclass(frozen=True)
class Made:
    """Every file by its name, what printing them takes, and what the builder should know of how planks are cut."""

    files: dict[str, bytes]
    costs: "tuple[Cost, ...]"
    findings: tuple[Finding, ...] = ()


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
        None: no drawings of stock are made. Strakes are always cut; moulds unless `only` leaves them
        out, gauges if it names "bevels".
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
    share = [] if only or cutting else [beside.submit(_whole_kind, boat, DRAWN_BESIDE, printing)]
    from templates_gen.rendered import on_paper  # loaded while the second process is at work

    folios = list(_asked(boat, only)) if only else [folio(boat, kind) for kind in KINDS if kind != DRAWN_BESIDE]
    plan = None if cutting is None else _planned(boat, cutting, folios, only)
    if plan is not None:
        from templates_gen.rendered import scarfed_strakes

        folios = [scarfed_strakes(boat, plan, one) if one.kind == DRAWN_BESIDE else one for one in folios]
        if not only:
            share = [beside.submit(_whole_folio, boat, scarfed_strakes(boat, plan), printing)]
    drawings = [beside.submit(_for_router, _to_be_cut(made)) for made in folios]
    papers = [on_paper(boat.hull, made, printing) for made in folios]
    made = {"measurements.json": json_bytes(measurements(boat))}
    rendered = [paper.with_files(drawing.result()) for paper, drawing in zip(papers, drawings, strict=True)]
    rendered = sorted([*rendered, *(part.result() for part in share)], key=lambda part: KINDS.index(part.kind))
    said: tuple[Finding, ...] = ()
    if plan is not None:
        from templates_gen.rendered import from_stock
        from templates_gen.stock.blanks import plan_findings

        rendered.append(from_stock(boat, plan, printing))
        said = plan_findings(boat, plan.planking)
    for part in rendered:
        made |= part.files
    made["tiles.json"] = json_bytes([tile for part in rendered for tile in part.tiles])
    return Made(made, tuple(cost for part in rendered for cost in part.costs), said)


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


def _whole_folio(boat: Boat, made: Folio, printing: Printing) -> "Rendered":
    from templates_gen.rendered import whole_folio

    return whole_folio(boat, made, printing)


def _planned(boat: Boat, cutting: Cutting, folios: Sequence[Folio], only: Sequence[str]) -> "CuttingPlan":
    """Return what is cut from which sheet, other kinds with the strakes where they are to be."""
    from templates_gen.rendered import plan_of

    return plan_of(boat, cutting, cut_with_strakes(only, folios))


def cut_with_strakes(only: Sequence[str], folios: Sequence[Folio]) -> list[Folio]:
    """Return those of `folios` that are cut from the strakes' stock, where --only says the words of `only`."""
    wanted = {*CUT_WITH, *(kind for kind in CUT_IF_NAMED if kind in only)}
    return [made for made in folios if made.kind in wanted]


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
