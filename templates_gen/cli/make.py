"""The commands `make` and `scale-page`: every template of a boat, and a page to measure a printer by."""

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from templates_gen.cli.messages import (
    buildable,
    exit_on_fault,
    misuse,
    output_folder,
    say,
    say_findings,
    say_if_long,
    write,
)
from templates_gen.cli.options import (
    CutterGap,
    Depths,
    Edge,
    HullFile,
    Margin,
    MeasuredFile,
    OutFolder,
    PaperName,
    PrintSets,
    Scarf,
    SetName,
    SmallPaper,
    Square,
    StockMargin,
    StockSizes,
    cutting,
    depths_of,
    figure,
    optional,
    printing,
    routed,
)

if TYPE_CHECKING:
    from templates_gen.sheets import JobFiles

TIMES_A_CHECK = 2.0
"""How long it takes to draw and write everything, as a multiple of a check."""

IN_FULL = {
    "moulds": "each mould whole in place of its planked edge and legs",
    "bevels": "a gauge for every place of the lands, take-off strips and gerald cards in place of bevel boards, "
    "take-off comb, depth lines on the strakes and gerald sheets",
    "rebates": "a gauge for every place of the rebates in place of those that several places share",
}
"""What the full set prints, and in place of what, by kind."""

Only = Annotated[
    list[str] | None,
    optional(
        "WHAT",
        'Make only these: kinds (strakes), pieces ("strake 4"), all pieces of a station ("station 3") or of a land '
        '("land 3"). Put commas between several, or give the option again. DIR then holds these files only.',
    ),
]
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
    margin: Margin = "10mm",
    square: Square = None,
    depths: Depths = None,
    to_print: SetName = PrintSets.bench,
    small_paper: SmallPaper = None,
    only: Only = None,
    stock: StockSizes = None,
    stock_margin: StockMargin = "10mm",
    cutter_gap: CutterGap = "8mm",
    scarf: Scarf = None,
    edge: Edge = "5mm",
    dxf: Dxf = DxfRelease.r2000,
    tabs: TabSize = None,
    feed: Feed = 2000.0,
    plunge: Plunge = 600.0,
    lift: Lift = 5000.0,
) -> None:
    """Make every template of a boat: PDF to print full size, DXF for a router, and all measurements."""
    with exit_on_fault():
        words = _selection(only)
        if as_built is not None and tabs is not None:
            misuse("--tabs puts bridges into sheets of stock, and --as-built lays out none; leave one of them out")
        from templates_gen import pipeline
        from templates_gen.sheets import JOB_NAMES, LIST_NAMES, sure_names

        folder = output_folder(out, JOB_NAMES, writes_all=False)
        drawn = pipeline.read(hull, depths_of(depths))
        prints = printing(paper, margin, square, to_print, small_paper, drawn.units, dxf.value)
        wood = cutting(stock, stock_margin, cutter_gap, (scarf, edge), drawn.units)
        cuts = routed(wood, (feed, plunge, lift), tabs)
        folder.refuse_foreign(LIST_NAMES if as_built else sure_names(drawn, words, stock is not None))
        say_if_long(drawn, TIMES_A_CHECK)
        read = pipeline.fair(drawn)
        if as_built is None:
            result = pipeline.check(read)
            job = pipeline.make(buildable(result, hull), prints, words, cuts, result.findings)
        else:
            from templates_gen.at_boat.as_built import as_built_files

            result = pipeline.check_as_built(read, hull, as_built)
            buildable(result, hull)
            job = as_built_files(result, prints, words, cuts)
        say_findings([*result.findings, *job.findings], hull, "warning")
        write(folder, job, read.fingerprint)
        if to_print is PrintSets.bench and not words and as_built is None:
            _say_what_full_prints(job)
        say_findings(job.findings, hull, "note")
        if as_built is not None and stock is not None:
            say("--stock sets where the scarfs are; with --as-built no sheets of stock are laid out")


def _selection(only: list[str] | None) -> list[str]:
    """Return the words of --only, which may hold several each."""
    words = [word.strip() for text in only or [] for word in text.split(",") if word.strip()]
    if only is not None and not words:
        misuse('--only is empty; name kinds, pieces or stations, such as strakes, "strake 4" or "station 3"')
    return words


def _say_what_full_prints(job: "JobFiles") -> None:
    """Say what the full set has in place of what was made."""
    instead = "; ".join(text for kind, text in IN_FULL.items() if f"{kind}.pdf" in job.files)
    if instead:
        say(f"--set full prints {instead}")


SCALE_PAGE_NAMES = ("scale-page.pdf",)


def scale_page(out: OutFolder, paper: PaperName = "a4", margin: Margin = "10mm", square: Square = None) -> None:
    """Make one page to measure a printer by, with long baselines both ways: scale-page.pdf in DIR."""
    with exit_on_fault():
        from templates_gen import sheets

        prints = printing(paper, margin, square)
        folder = output_folder(out, SCALE_PAGE_NAMES)
        folder.write({SCALE_PAGE_NAMES[0]: sheets.scale_page("Page to measure by", prints)})
        say(f"{SCALE_PAGE_NAMES[0]} written to {out}")
