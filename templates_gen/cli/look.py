"""The command `look`: a page that shows the planked boat."""

from templates_gen.cli.messages import buildable, exit_on_fault, hull_to_check, output_folder, say, write
from templates_gen.cli.options import Depths, HullFile, MeasuredFile, OutFolder, depths_of

PAGE_NAMES = ("boat.html",)


def look(hull: HullFile, out: OutFolder, as_built: MeasuredFile = None, depths: Depths = None) -> None:
    """Make a page that shows the planked boat before wood is cut: one HTML file, to turn and tap."""
    with exit_on_fault():
        from templates_gen import pipeline
        from templates_gen.at_boat.as_built import AsBuiltChecked
        from templates_gen.look.page import page_html
        from templates_gen.sheets import JobFiles

        folder = output_folder(out, PAGE_NAMES)
        drawn = hull_to_check(hull, depths_of(depths))
        result = pipeline.check_or_as_built(drawn, hull, as_built)
        boat = buildable(result, hull)
        measured = result.measured if isinstance(result, AsBuiltChecked) else None
        page = page_html(boat, result.findings, *((measured.drawn, measured.measured) if measured else ()))
        write(folder, JobFiles({PAGE_NAMES[0]: page}), result.hull.fingerprint)
        if boat.hull.side is not None:
            say(f"port and starboard are not alike in this boat; the page shows the {boat.hull.side} side")
