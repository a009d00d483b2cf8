"""The command `make`: every template of a boat."""

from typing import Annotated

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
    cutting,
    figure,
    optional,
    printing,
)

TIMES_A_CHECK = 2.0
"""How long it takes to draw and write everything, as a multiple of a check."""

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


def make(
    hull: HullFile,
    out: OutFolder,
    as_built: MeasuredFile = None,
    paper: PaperName = "a4",
    margin: Margin = 10.0,
    square: Square = None,
    to_print: SetName = PrintSets.bench,
    small_paper: SmallPaper = None,
    only: Only = None,
    stock: StockSizes = None,
    stock_margin: StockMargin = 10.0,
    cutter_gap: CutterGap = 8.0,
    scarf: Scarf = None,
) -> None:
    """Make every template of a boat: PDF to print full size, DXF for a router, and all measurements."""
    with exit_on_fault():
        prints = printing(paper, margin, square, to_print, small_paper)
        words = [word.strip() for text in only or [] for word in text.split(",") if word.strip()]
        if only is not None and not words:
            misuse('--only is empty; name kinds, pieces or stations, such as strakes, "strake 4" or "station 3"')
        cuts = cutting(stock, stock_margin, cutter_gap, scarf)
        if as_built is not None and cuts is not None:
            misuse(
                "--stock lays out every strake of the boat, so it cannot be used with --as-built; leave one of them "
                "out"
            )
        from templates_gen import pipeline
        from templates_gen.sheets import JOB_NAMES, LIST_NAMES, sure_names

        folder = output_folder(out, JOB_NAMES, writes_all=False)
        drawn = pipeline.read(hull)
        folder.refuse_foreign(LIST_NAMES if as_built else sure_names(drawn, words, cuts is not None))
        say_if_long(drawn, TIMES_A_CHECK)
        read = pipeline.fair(drawn)
        if as_built is None:
            result = pipeline.check(read)
            job = pipeline.make(buildable(result, hull), prints, words, cuts)
        else:
            from templates_gen.at_boat.as_built import as_built_files

            result = pipeline.check_as_built(read, hull, as_built)
            job = as_built_files(buildable(result, hull), result.relined, prints, words)
        say_findings([*result.findings, *job.findings], hull, "warning")
        write(folder, job, read.fingerprint)
        if to_print is PrintSets.bench and not words:
            say(
                "--set full prints in addition each mould whole, a gauge for every place of the lands and rebates, "
                "take-off strips and gerald cards"
            )
        say_findings(job.findings, hull, "note")
