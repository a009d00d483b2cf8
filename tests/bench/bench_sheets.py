"""How much paper each file takes, for every hull, paper and set: ``python -m tests.bench.bench_sheets [--set full]``.

Sheets of a roll are counted by their length, m.
"""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import get_args

from templates_gen.drawing.piece import PrintSet
from templates_gen.geometry.boat import Boat
from templates_gen.hull.reader import read_hull
from templates_gen.paper.sheet import sheet
from templates_gen.sheets import Printing, job_files, on_paper
from templates_gen.templates.folios import KINDS, folio
from tests.flow import boat_of

HULLS = sorted((Path(__file__).parents[2] / "hulls").glob("*.toml"))
FILES = (*KINDS, "read-me-first")
PAPERS = ("a4", "letter", "a3", "a1", "roll 610")


def paper_of(boat: Boat, paper: str, to_print: PrintSet) -> dict[str, tuple[int, float]]:
    """Return sheets, and metres of a roll, that each file of a set takes, by its kind; what is read is on A4."""
    printing = Printing(sheet(paper), to_print=to_print, small=sheet("a4") if paper in ("a1", "roll 610") else None)
    parts = [on_paper(boat.hull, folio(boat, kind, to_print), printing) for kind in KINDS]
    return {cost.kind: (cost.sheets, cost.length / 1000.0) for cost in job_files({}, parts, printing).costs}


def _cell(found: tuple[int, float]) -> str:
    sheets, length = found
    return f"{length:.1f} m" if length else f"{sheets}"


def main(words: Sequence[str] | None = None) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--set", choices=get_args(PrintSet), default="bench", dest="to_print")
    parser.add_argument("--paper", nargs="*", default=PAPERS)
    given = parser.parse_args(words)
    print("| hull | paper | " + " | ".join(FILES) + " | all |")
    print("|" + "---|" * (len(FILES) + 3))
    for path in HULLS:
        boat = boat_of(read_hull(path))
        for paper in given.paper:
            found = paper_of(boat, paper, given.to_print)
            total = sum(count for count, _ in found.values()), sum(length for _, length in found.values())
            cells = [_cell(found[kind]) if kind in found else "–" for kind in FILES]
            print(f"| {path.stem} | {paper} | " + " | ".join(cells) + f" | {_cell(total)} |", flush=True)


if __name__ == "__main__":
    main()
