"""The command `make`: every template of a boat."""

from enum import StrEnum
from typing import Annotated

import typer

from templates_gen.cli.messages import buildable, exit_on_fault, misuse, output_folder, say_findings, write
from templates_gen.cli.options import (
    HullFile,
    Margin,
    MeasuredFile,
    OutFolder,
    PaperName,
    Scarf,
    Square,
    cutting,
    figure,
    optional,
    printing,
)

Only = Annotated[
    list[str] | None,
    optional(
        "WHAT",
        'Make only these: kinds (strakes), pieces ("strake 4"), all pieces of a station ("station 3") or of a land '
        '("land 3"). Put commas between several, or give the option again. DIR then holds these files only.',
    ),
]
StockSizes = Annotated[
    list[str] | None,
    optional(
        "SIZE",
        "Length and width of a sheet of stock in mm, such as 2440x1220. Both hands of every strake are laid out on "
        "such sheets, scarfed where they are too long, with the moulds; gauges only if --only names bevels. Give the "
        "option again for other sizes.",
    ),
]
StockMargin = Annotated[float, figure("MM", "Margin kept clear at the edges of stock, mm.")]
CutterGap = Annotated[float, figure("MM", "Gap between parts for the cutter, mm.")]
Feed = Annotated[float, figure("MM", "Feed of your router along a line, mm a minute, for the times of each sheet.")]
Plunge = Annotated[float, figure("MM", "Feed down into the wood, mm a minute.")]
Lift = Annotated[float, figure("MM", "Speed off the wood, up and over to the next line, mm a minute.")]
TabSize = Annotated[
    str | None,
    optional(
        "COUNTxMM",
        "Bridges that hold the parts in a sheet of stock: how many in each outline and how long, such as 3x12.",
        "--tabs",
    ),
]


class DxfRelease(StrEnum):
    """The releases of DXF that drawings may be."""

    r12 = "r12"
    r2000 = "r2000"


Dxf = Annotated[DxfRelease, typer.Option(help="Release of the DXF drawings; r12 is for old controllers.")]


def make(
    hull: HullFile,
    out: OutFolder,
    as_built: MeasuredFile = None,
    paper: PaperName = "a4",
    margin: Margin = 10.0,
    square: Square = None,
    only: Only = None,
    stock: StockSizes = None,
    stock_margin: StockMargin = 10.0,
    cutter_gap: CutterGap = 8.0,
    scarf: Scarf = None,
    dxf: Dxf = DxfRelease.r2000,
    tabs: TabSize = None,
    feed: Feed = 2000.0,
    plunge: Plunge = 600.0,
    lift: Lift = 5000.0,
) -> None:
    """Make every template of a boat: PDF to print full size, DXF for a router, and all measurements."""
    with exit_on_fault():
        prints = printing(paper, margin, square, dxf.value)
        words = [word.strip() for text in only or [] for word in text.split(",") if word.strip()]
        if only is not None and not words:
            misuse('--only is empty; name kinds, pieces or stations, such as strakes, "strake 4" or "station 3"')
        cuts = cutting(stock, stock_margin, cutter_gap, scarf, (feed, plunge, lift), tabs)
        if as_built is not None and cuts is not None:
            misuse(
                "--stock lays out every strake of the boat, so it cannot be used with --as-built; leave one of them "
                "out"
            )
        from templates_gen import pipeline
        from templates_gen.at_boat.as_built import as_built_files
        from templates_gen.sheets import JOB_NAMES

        folder = output_folder(out, JOB_NAMES)
        read = pipeline.hull_of(hull)
        if as_built is None:
            result = pipeline.check(read)
            job = pipeline.make(buildable(result, hull), prints, words, cuts)
        else:
            result = pipeline.check_as_built(read, hull, as_built)
            job = as_built_files(buildable(result, hull), result.relined, prints, words)
        say_findings([*result.findings, *job.findings], hull, "warning")
        write(folder, job, read.fingerprint)
        say_findings(job.findings, hull, "note")
