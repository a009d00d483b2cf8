"""Five families of hulls in closed form, each drawn as a table of offsets: what the bench of fairness counts on.

xi runs from -1 at the fore end to 1 at the after end of a point's own level, t from 0 at the sheer to 1 at the
rabbet. The formulas are our own but for the first, the parabolic hull of W. C. S. Wigley (Proceedings of the Royal
Society A 144, 1934, from memory). A half-breadth is the rabbet's plus half the beam times the family's shape.
"""

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.units import UnitName, format_length

INCH, EIGHTH = 25.4, 3.175


@dataclass(frozen=True)
class Family:
    """One closed form.

    Attributes
    ----------
    shape : function of (xi, t)
        Share of the beam, 0 at both ends and at the rabbet.
    sheer, rabbet : float
        Rise of sheer and rabbet at the ends as shares of the depth, by the square and the fourth power of xi.
    rake : float
        Run of the stem heads beyond the feet, as a share of the depth at the ends.
    lines : str
        What else than waterlines the table holds: "", "buttocks" or "diagonals".
    """

    shape: Callable[[float, float], float]
    sheer: float
    rabbet: float
    rake: float
    lines: str


FAMILIES: dict[str, Family] = {
    "parabolic": Family(lambda xi, t: (1 - xi**2) * (1 - t**2), 0.0, 0.0, 0.0, ""),
    "square-ended sheer": Family(lambda xi, t: (1 - xi**2) ** (0.5 + 0.7 * t) * (1 - t**2.2), 0.3, 0.05, 0.15, ""),
    "rising rabbet": Family(
        lambda xi, t: (1 - xi**2) ** (0.9 + 0.4 * t) * (1 - t**1.8), 0.35, 0.45, 0.6, "diagonals"
    ),
    "full": Family(lambda xi, t: (1 - xi**4) * (1 - t**4), 0.2, 0.1, 0.25, "buttocks"),
    "hollow-ended": Family(lambda xi, t: (1 - xi**2) ** (1.1 + 1.1 * t) * (1 - t) ** 0.8, 0.4, 0.2, 0.5, ""),
}


@dataclass(frozen=True)
class Form:
    """One hull of a family: proportions in mm."""

    family: Family
    length: float
    beam: float
    depth: float
    siding: float
    stations: int
    waterlines: int

    def run(self, t: float) -> float:
        """Half the length at a share below the sheer, mm."""
        return self.length / 2 - self.family.rake * self.depth * t

    def sheer(self, along: float) -> float:
        """Height of the sheer at a distance from the middle, mm."""
        return self.depth * (1 + self.family.sheer * (along / self.run(0.0)) ** 2)

    def rabbet(self, along: float) -> float:
        """Height of the rabbet at a distance from the middle, mm."""
        return self.depth * self.family.rabbet * (along / self.run(1.0)) ** 4

    def breadth(self, along: float, z: float) -> float:
        """Half-breadth at a distance from the middle and a height, mm."""
        top, bottom = self.sheer(along), self.rabbet(along)
        t = float(np.clip((top - z) / (top - bottom), 0.0, 1.0))
        return self.siding / 2 + self.beam / 2 * self.family.shape(float(np.clip(along / self.run(t), -1.0, 1.0)), t)


def form(name: str, generator: np.random.Generator) -> Form:
    """Return a hull of a family with seeded proportions, 5 to 15 stations and 4 to 8 waterlines."""
    length = float(generator.uniform(3000.0, 7000.0))
    beam = length / float(generator.uniform(2.8, 5.5))
    depth = beam / float(generator.uniform(2.0, 3.2))
    siding = float(generator.uniform(30.0, 60.0))
    return Form(
        FAMILIES[name], length, beam, depth, siding, int(generator.integers(5, 16)), int(generator.integers(4, 9))
    )


def table_rows(one: Form, units: UnitName) -> list[list[str]]:
    """Return a hull's table, every figure rounded to an eighth of an inch or a millimetre."""
    step = 1.0 if units == "mm" else EIGHTH

    def rounded(value: float) -> float:
        return round(value / step) * step

    def cell(value: float | None) -> str:
        if value is None:
            return "-"
        return f"{rounded(value):.0f}" if units == "mm" else format_length(rounded(value), "ft-in-8")

    middle = one.length / 2
    at = [rounded(middle + x) for x in np.linspace(-one.run(1.0), one.run(1.0), one.stations + 2)[1:-1]]
    along = [x - middle for x in at]
    rows: list[tuple[str, str, list[float | None]]] = [
        ("distance", "", [*at]),
        ("height", "sheer", [one.sheer(x) for x in along]),
        ("height", "rabbet", [one.rabbet(x) for x in along]),
        ("half-breadth", "sheer", [one.breadth(x, one.sheer(x)) for x in along]),
        ("half-breadth", "rabbet", [one.siding / 2 for _ in along]),
    ]
    for share in np.linspace(0.0, 1.0, one.waterlines + 1)[1:]:
        z = rounded(one.depth * share)
        figures = [one.breadth(x, z) if _clear(one, x, z) else None for x in along]
        rows.append(("half-breadth", f"waterline {cell(z)}", figures))
    for share in (0.35, 0.65) if one.family.lines == "buttocks" else ():
        y = rounded(one.beam / 2 * share)
        rows.append(("height", f"buttock {cell(y)}", [_height_at(one, x, y) for x in along]))
    if one.family.lines == "diagonals":
        level = rounded(0.8 * one.depth)
        rows.append(("diagonal", f"A {cell(level)} 45", [_along_diagonal(one, x, level) for x in along]))
    kept = [row for row in rows if sum(figure is not None for figure in row[2]) > 1]
    head = ["measure", "line", *(str(i + 1) for i in range(len(at)))]
    return [head, *([measure, line, *map(cell, figures)] for measure, line, figures in kept)]


def _clear(one: Form, along: float, z: float) -> bool:
    """Whether a height is well between rabbet and sheer, as draughtsmen leave out what meets them."""
    return one.rabbet(along) + 8.0 < z < one.sheer(along) - 8.0


def _height_at(one: Form, along: float, y: float) -> float | None:
    """Height of a buttock, by bisection; None where it is not reached."""
    low, high = one.rabbet(along), one.sheer(along)
    if not one.breadth(along, low) + 4.0 < y < one.breadth(along, high) - 8.0:
        return None
    return _root(lambda z: one.breadth(along, z) - y, low, high)


def _along_diagonal(one: Form, along: float, level: float) -> float | None:
    """Distance along a diagonal at 45 degrees, by bisection; None where it is not reached."""
    root = float(np.sqrt(0.5))
    far = level / root
    if one.breadth(along, 0.0) > level:
        return None
    found = _root(lambda way: way * root - one.breadth(along, level - way * root), 0.0, far)
    return found if _clear(one, along, level - found * root) else None


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """Where an increasing function is 0."""
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if function(middle) < 0 else (low, middle)
    return low


def table_hull(one: Form, units: UnitName) -> Hull:
    """Return a hull read from its file and its table; stems, planking and lands are the bench's own."""
    rows = table_rows(one, units)
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "offsets.csv").write_text("\n".join(",".join(row) for row in rows))
        Path(folder, "boat.toml").write_text(_hull_text(one, units, rows[0][2:]))
        return read_hull(Path(folder, "boat.toml"))


def _hull_text(one: Form, units: UnitName, names: list[str]) -> str:
    unit = 1.0 if units == "mm" else INCH
    stations = "".join(f'[[station]]\nname = "{name}"\n' for name in names)
    low, high = one.rabbet(one.run(1.0)), one.sheer(one.run(0.0))
    heights = np.linspace(low, high, 7)
    ends = ""
    for end, sign in (("fore", -1.0), ("aft", 1.0)):
        points = [
            f"[{(one.length / 2 + sign * one.run((high - z) / (high - low))) / unit:.4f}, {z / unit:.4f}]"
            for z in heights
        ]
        ends += f'[{end}]\nkind = "stem"\nsiding = {one.siding / unit:.4f}\nrabbet = [{", ".join(points)}]\n'
    return (
        f'format = 1\nname = "closed form"\nunits = "{"mm" if units == "mm" else "in"}"\n'
        f'[lines]\nto = "outside"\ntable = "offsets.csv"\n{stations}{ends}'
        f"[planking]\nstrakes = 6\nthickness = {8.0 / unit:.4f}\n[planking.gerald]\nfore = {300.0 / unit:.4f}\n"
        f'aft = {300.0 / unit:.4f}\n[lands]\nby = "even"\n'
    )
