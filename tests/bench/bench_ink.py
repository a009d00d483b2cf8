"""How much of each sheet of templates bears ink, for every hull: ``python -m tests.bench.bench_ink [--paper a4]``.

What may be drawn on is divided into squares of 10 mm; those are counted in which something is drawn or written,
joints and crosses included.
"""

import argparse
import io
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pypdfium2

from templates_gen.geometry.boat import Boat
from templates_gen.hull.reader import read_hull
from templates_gen.paper.sheet import Sheet, sheet
from templates_gen.render.pdf.writing import Plan, write_plan
from templates_gen.sheets import header_of
from templates_gen.templates.folios import KINDS, folio
from templates_gen.units import PT_PER_MM
from tests.flow import boat_of

HULLS = sorted((Path(__file__).parents[2] / "hulls").glob("*.toml"))
CELL = 10.0
"""mm: side of the squares that are counted."""

DOTS = 2
"""To a millimetre of the pictures in which ink is looked for."""

INKED = 20
"""Of 255: what a dot bears at least where something is drawn; a grey line of 0.18 mm gives 46."""

ENOUGH = 0.30
"""Share of a sheet's squares."""


def shares(boat: Boat, paper: str = "a4") -> dict[str, list[float]]:
    """Return for each kind the share of squares with ink of each sheet of templates of the bench set.

    Pages that hold nothing but tables are left out.
    """
    found: dict[str, list[float]] = {}
    for kind in KINDS:
        plan = Plan(folio(boat, kind, "bench"), sheet(paper), header_of(boat.hull), reading=sheet("a4"))
        stream = io.BytesIO()
        if plan.pages:
            write_plan(plan, stream)
            document = pypdfium2.PdfDocument(stream.getvalue())
            pages = [(k, page.sheet) for k, page in enumerate(plan.pages) if page.placements]
            found[kind] = [share(document[k], way) for k, way in pages]
    return found


def share(page: pypdfium2.PdfPage, paper: Sheet) -> float:
    """Return the share of squares with ink on one page."""
    area = paper.drawing
    bitmap = page.render(scale=DOTS / PT_PER_MM, grayscale=True)
    ink = 255 - np.asarray(bitmap.to_numpy()).reshape(bitmap.height, bitmap.width)[::-1]
    columns, rows, side = int(area.width / CELL), int(area.height / CELL), round(CELL * DOTS)
    left, bottom = round(area.left * DOTS), round(area.bottom * DOTS)
    part = ink[bottom : bottom + rows * side, left : left + columns * side]
    return float((part.reshape(rows, side, columns, side).max(axis=(1, 3)) >= INKED).mean())


def main(words: Sequence[str] | None = None) -> None:
    """Print for each hull and kind how many sheets bear enough, the least and the mean share."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--paper", default="a4")
    given = parser.parse_args(words)
    print("| hull | kind | sheets | with ink in 30 % | least | mean |")
    print("|---|---|---|---|---|---|")
    for path in HULLS:
        found = shares(boat_of(read_hull(path)), given.paper)
        found["all"] = [one for some in found.values() for one in some]
        for kind, some in found.items():
            enough = int(np.count_nonzero(np.array(some) >= ENOUGH))
            print(f"| {path.stem} | {kind} | {len(some)} | {enough} | {min(some):.2f} | {np.mean(some):.2f} |")


if __name__ == "__main__":
    main()
