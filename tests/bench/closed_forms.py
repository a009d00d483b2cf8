"""Five families of hulls in closed form, each drawn as a table of offsets: what the bench of fairness counts on.

xi runs from -1 at the fore end to 1 at the after end, t from 0 at the sheer to 1 at the rabbet, both at their own
level. The formulas are our own but for the first, the parabolic hull of W. C. S. Wigley (Proceedings of the Royal
Society A 144, 1934, from memory). A half-breadth is the rabbet's plus the beam's times the family's shape.
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
    "rising rabbet": Family(lambda xi, t: (1 - xi**2) ** (0.9 + 0.4 * t) * (1 - t**1.8), 0.35, 0.45, 0.6, "diagonals"),
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

    def sheer(self, xi: float) -> float:
        """Height of the sheer."""
        return self.depth * (1 + self.family.sheer * xi**2)

    def rabbet(self, xi: float) -> float:
        """Height of the rabbet."""
        return self.depth * self.family.rabbet * xi**4

    def end(self, t: float) -> float:
        """Half the length at a share below the sheer of the ends' own height."""
        return self.length / 2 - self.family.rake * self.depth * t

    def breadth(self, x: float, z: float) -> float:
        """Half-breadth at a place along the boat and a height, both mm."""
        along = x - self.length / 2
        xi = along / (self.length / 2)
        t = float(np.clip((self.sheer(xi) - z) / (self.sheer(xi) - self.rabbet(xi)), 0.0, 1.0))
        own = float(np.clip(along / self.end(t), -1.0, 1.0))
        return self.siding / 2 + self.beam / 2 * self.family.shape(own, t)


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

    def told(value: float) -> str:
        rounded = round(value / step) * step
        return f"{rounded:.0f}" if units == "mm" else format_length(rounded, "ft-in-8")

    def rounded(value: float) -> float:
        return round(value / step) * step

    at = [rounded(x) for x in np.linspace(0.0, one.length, one.stations + 2)[1:-1]]
    xi = [2 * x / one.length - 1 for x in at]
    tops, bottoms = [one.sheer(a) for a in xi], [one.rabbet(a) for a in xi]
    rows = [["measure", "line", *(str(i + 1) for i in range(len(at)))], ["distance", "", *map(told, at)]]
    rows.append(["height", "sheer", *map(told, tops)])
    rows.append(["height", "rabbet", *map(told, bottoms)])
    rows.append(["half-breadth", "sheer", *(told(one.breadth(x, z)) for x, z in zip(at, tops, strict=True))])
    rows.append(["half-breadth", "rabbet", *(told(one.siding / 2) for _ in at)])
    for share in np.linspace(0.0, 1.0, one.waterlines + 1)[1:]:
        z = rounded(one.depth * share)
        cells = [
            told(one.breadth(x, z)) if low + 8.0 < z < high - 8.0 else "-"
            for x, low, high in zip(at, bottoms, tops, strict=True)
        ]
        if sum(cell != "-" for cell in cells) > 1:
            rows.append(["half-breadth", f"waterline {told(z)}", *cells])
    if one.family.lines == "buttocks":
        rows += [_buttock(one, at, rounded(one.beam / 2 * share), told) for share in (0.35, 0.65)]
    if one.family.lines == "diagonals":
        rows.append(_diagonal(one, at, rounded(0.8 * one.depth), told))
    return rows


def _buttock(one: Form, at: list[float], y: float, told: Callable[[float], str]) -> list[str]:
    return ["height", f"buttock {told(y)}", *(_crossing(one, x, lambda s: (y, s), y, told) for x in at)]


def _diagonal(one: Form, at: list[float], level: float, told: Callable[[float], str]) -> list[str]:
    root = float(np.sqrt(0.5))
    cells = []
    for x in at:
        # s along the diagonal, 45 degrees down: on the surface where breadth(z) = y, found by bisection
        low, high = 0.0, level / root
        inside = lambda s: one.breadth(x, level - s * root) - s * root  # noqa: E731
        if inside(high) > 0:
            cells.append("-")
            continue
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if inside(middle) > 0 else (low, middle)
        xi = 2 * x / one.length - 1
        reached = one.rabbet(xi) + 8.0 < level - low * root < one.sheer(xi) - 8.0
        cells.append(told(low) if reached else "-")
    return ["diagonal", f"A {told(level)} 45", *cells]


def _crossing(one: Form, x: float, _: Callable[[float], tuple[float, float]], y: float, told: Callable[[float], str]) -> str:
    xi = 2 * x / one.length - 1
    low, high = one.rabbet(xi), one.sheer(xi)
    if not one.breadth(x, low) + 4.0 < y < one.breadth(x, high) - 8.0:
        return "-"
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if one.breadth(x, middle) < y else (low, middle)
    return told(low)


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
    low, high = one.rabbet(1.0), one.sheer(1.0)
    heights = np.linspace(low, high, 7)
    ends = ""
    for end, sign in (("fore", -1.0), ("aft", 1.0)):
        points = [
            f"[{(one.length / 2 + sign * one.end((high - z) / (high - low))) / unit:.4f}, {z / unit:.4f}]" for z in heights
        ]
        ends += f'[{end}]\nkind = "stem"\nsiding = {one.siding / unit:.4f}\nrabbet = [{", ".join(points)}]\n'
    return (
        f'format = 1\nname = "closed form"\nunits = "{"mm" if units == "mm" else "in"}"\n'
        f'[lines]\nto = "outside"\ntable = "offsets.csv"\n{stations}{ends}'
        f"[planking]\nstrakes = 6\nthickness = {8.0 / unit:.4f}\n[planking.gerald]\nfore = {300.0 / unit:.4f}\n"
        f'aft = {300.0 / unit:.4f}\n[lands]\nby = "even"\n'
    )
