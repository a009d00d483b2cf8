"""A small sound table of offsets in mm, and the hull file for it, to spoil."""

from dataclasses import replace
from pathlib import Path

from templates_gen.hull.offsets.table import Figure, OffsetsTable

TABLE = """\
measure,line,1,2,3,4
distance,,500,1000,1500,2000
height,sheer,500,450,440,470
height,rabbet,60,50,.,62
half-breadth,sheer,300,450,470,390
half-breadth,rabbet,20,20,20,20
half-breadth,waterline 150,120,260,290,200
half-breadth,waterline 300,220,390,415,310
height,buttock 200,265,110,95,150
diagonal,A 480 45,285,420,440,345
"""

HULL = """\
format = 1
name = "Small"
units = "mm"
[lines]
to = "outside"
table = "offsets.csv"
[[station]]
name = "1"
[[station]]
name = "2"
[[station]]
name = "3"
mould = false
[[station]]
name = "4"
[fore]
kind = "stem"
siding = 36.0
rabbet = [[300.0, 62.0], [100.0, 300.0], [0.0, 600.0]]
[aft]
kind = "transom"
profile = [[2500.0, 140.0], [2600.0, 520.0]]
thickness = 20.0
rabbet = [18.0, 150.0]
section = [[40.0, 170.0], [200.0, 250.0], [300.0, 500.0]]
[planking]
strakes = 2
thickness = 9.0
[planking.gerald]
fore = 300.0
[lands]
by = "even"
"""


def written(folder: Path, table: str | bytes = TABLE, hull: str = HULL, name: str = "offsets.csv") -> Path:
    """Write a hull file and its table into a folder and return the hull file's path."""
    path = folder / "boat.toml"
    path.write_text(hull.replace("offsets.csv", name), encoding="utf-8")
    (folder / name).write_bytes(table if isinstance(table, bytes) else table.encode())
    return path


def replaced(text: str, *changes: tuple[str, str]) -> str:
    """Return a text with pieces replaced, each of which is there exactly once."""
    for old, new in changes:
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the text"
        text = text.replace(old, new)
    return text


def table_with(table: OffsetsTable, row: int, column: int, figure: Figure) -> OffsetsTable:
    """Return a table with one figure in another's place, by row and column of the file."""
    lines = []
    for line in table.lines:
        if line.row == row:
            figures = tuple(figure if one.column == column else one for one in line.figures)
            line = replace(line, figures=figures)
        lines.append(line)
    return replace(table, lines=tuple(lines))
