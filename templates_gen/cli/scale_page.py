"""The command `scale-page`: one page to measure a printer by."""

from templates_gen.cli.messages import exit_on_fault, say
from templates_gen.cli.options import Margin, OutFolder, PaperName, Square, printing


def scale_page(out: OutFolder, paper: PaperName = "a4", margin: Margin = 10.0, square: Square = None) -> None:
    """Make one page to measure a printer by, with long baselines both ways: scale-page.pdf in DIR."""
    from templates_gen import sheets
    from templates_gen.output import FileSet

    page = sheets.scale_page("Page to measure by", printing(paper, margin, square))
    with exit_on_fault(), FileSet(out) as output:
        output.write_bytes("scale-page.pdf", page)
    say(f"scale-page.pdf written to {out}")
