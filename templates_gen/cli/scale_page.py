"""The command `scale-page`: one page to measure a printer by."""

from templates_gen.cli.messages import exit_on_fault, output_folder, say
from templates_gen.cli.options import Margin, OutFolder, PaperName, Square, printing

PAGE_NAMES = ("scale-page.pdf",)


def scale_page(out: OutFolder, paper: PaperName = "a4", margin: Margin = "10mm", square: Square = None) -> None:
    """Make one page to measure a printer by, with long baselines both ways: scale-page.pdf in DIR."""
    with exit_on_fault():
        from templates_gen import sheets

        prints = printing(paper, margin, square)
        folder = output_folder(out, PAGE_NAMES)
        folder.write({PAGE_NAMES[0]: sheets.scale_page("Page to measure by", prints)})
        say(f"{PAGE_NAMES[0]} written to {out}")
