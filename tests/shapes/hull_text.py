"""A seeded hull as a hull file: sections and lands cut from its surface, to the inside or outside of the planking."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.shapes.ends import EndLine, StemLine
from tests.shapes.knobs import Shape
from tests.shapes.strakes import LandShares, Stock

Array = NDArray[np.float64]

MM_PER_INCH = 25.4
_GIRTH_STEPS = 400


@dataclass(frozen=True)
class Fittings:
    """What a hull file needs besides lines, stock and lands; mm.

    Attributes
    ----------
    by : "even", "girth" or "offsets"
    geralds : tuple
        Fore and aft; None where full laps are kept.
    hood : float or None
        None: left out of the file.
    points : int
        Points of every section and stem.
    inches : bool
        Whether the file is written in inches.
    strakes : int
        0: as many as there are lands.
    stem_siding : float
        0: as drawn.
    """

    stations: tuple[float, ...]
    to: str
    by: str
    stem_joint: str
    geralds: tuple[float | None, ...]
    hood: float | None
    edge: str
    points: int
    inches: bool
    strakes: int = 0
    stem_siding: float = 0.0
    wood_inside: float | None = None


class _Text:
    """Lengths in the file's units."""

    def __init__(self, inches: bool) -> None:
        self._scale, self._places = (1.0 / MM_PER_INCH, 4) if inches else (1.0, 2)

    def length(self, value: float) -> str:
        """One length."""
        return f"{value * self._scale:.{self._places}f}"

    def row(self, values: Array) -> str:
        """Lengths, or points, as a list."""
        if np.ndim(values) == 0:
            return self.length(float(values))
        return f"[{', '.join(self.row(value) for value in values)}]"


def hull_text(seed: int, shape: Shape, stock: Stock, lands: LandShares, fittings: Fittings) -> str:
    """Return the hull file."""
    text = _Text(fittings.inches)
    inside = stock.thickness if fittings.to == "inside" else 0.0
    lines = ["format = 1", f'name = "Seed {seed}"', f'units = "{"in" if fittings.inches else "mm"}"', "[lines]"]
    lines += [f'to = "{fittings.to}"']
    shares = _shares(lands, fittings.points)
    for number, x in enumerate(fittings.stations, start=1):
        rabbet = shape.lines.at_station(x, np.zeros(1))[1][0]
        _, section = shape.lines.at_station(x, shares, inside)
        lines += ["[[station]]", f'name = "{number}"', f"at = {text.length(x)}", f"rabbet = {text.row(rabbet)}"]
        lines += [f"section = {text.row(section)}"]
    lines += _keel(shape, stock, text)
    for name, end in (("fore", shape.lines.fore), ("aft", shape.lines.aft)):
        lines += _end(name, end, shape, shares, inside, fittings, text)
    lines += _planking(stock, lands, fittings, text)
    lines += ["[moulds]", f"thickness = {text.length(15.0)}", f'edge = "{fittings.edge}"']
    lines += _lands(shape, lands, fittings, shares, inside, text)
    return "\n".join(lines) + "\n"


def _shares(lands: LandShares, points: int) -> Array:
    """Shares of girth of a section's points: half-way up the garboard, then evenly to the sheer."""
    return np.linspace(min(0.5 * float(lands.middle[0]), 0.8 / points), 1.0, points)


def _keel(shape: Shape, stock: Stock, text: _Text) -> list[str]:
    lines = ["[keel]", f'joint = "{shape.kind.keel_joint}"']
    if shape.kind.keel_joint == "hog":
        width = 2.0 * shape.lines.midship.half_keel + 6.0 * stock.thickness
        lines += [f"hog = {text.row(np.array([width, 2.0 * stock.thickness]))}"]
    return lines


def _end(
    name: str, end: EndLine, shape: Shape, shares: Array, inside: float, fittings: Fittings, text: _Text
) -> list[str]:
    if isinstance(end, StemLine):
        siding = fittings.stem_siding or end.siding
        lines = [f"[{name}]", 'kind = "stem"', f'joint = "{fittings.stem_joint}"', f"siding = {text.length(siding)}"]
        if fittings.wood_inside is not None:
            lines += [f"wood_inside = {text.length(fittings.wood_inside)}"]
        return [*lines, f"rabbet = {text.row(end.written(fittings.points))}"]
    rabbet = shape.lines.at_transom(end, np.zeros(1))[1][0]
    _, section = shape.lines.at_transom(end, shares, inside)
    return [
        f"[{name}]",
        'kind = "transom"',
        f"profile = {text.row(end.profile)}",
        f"thickness = {text.length(end.thickness)}",
        f"radius = {text.length(end.radius)}",
        f"rabbet = {text.row(rabbet)}",
        f"section = {text.row(section)}",
    ]


def _planking(stock: Stock, lands: LandShares, fittings: Fittings, text: _Text) -> list[str]:
    lines = ["[planking]", f'method = "{stock.method}"', f"strakes = {fittings.strakes or len(lands.middle)}"]
    for key, value in (("thickness", stock.thickness), ("lap", stock.lap), ("least_edge", stock.least_edge)):
        lines += [f"{key} = {text.length(value)}"]
    if fittings.hood is not None:
        lines += [f"hood = {text.length(fittings.hood)}"]
    written = [f"{n} = {text.length(g)}" for n, g in zip(("fore", "aft"), fittings.geralds, strict=True) if g]
    return [*lines, "[planking.gerald]", *written] if written else lines


def _lands(
    shape: Shape, lands: LandShares, fittings: Fittings, shares: Array, inside: float, text: _Text
) -> list[str]:
    lines = ["[lands]", f'by = "{fittings.by}"']
    if fittings.by == "even":
        return lines
    for number, x in enumerate(fittings.stations, start=1):
        rows = _station_row(shape, lands, x, inside)
        rabbet = shape.lines.at_station(x, np.zeros(1))[1][0]
        if fittings.by == "girth":
            rows = _girths(rabbet, shape.lines.at_station(x, _dense(shares), inside)[1], rows)
        lines += [f"{number} = {text.row(rows)}"]
    for name, end, at in (("fore", shape.lines.fore, lands.fore), ("aft", shape.lines.aft, lands.aft)):
        if isinstance(end, StemLine):
            heights = end.profile(at)[:, 1]
            lines += [f"{name} = {text.row(heights)}"]
            continue
        row = shape.lines.at_transom(end, at, inside)[1]
        if fittings.by == "girth":
            rabbet = end.bench(shape.lines.at_transom(end, np.zeros(1))[1])[0]
            dense = end.bench(shape.lines.at_transom(end, _dense(shares), inside)[1])
            row = _girths(rabbet, dense, end.bench(row))
        lines += [f"{name} = {text.row(row)}"]
    return lines


def _dense(shares: Array) -> Array:
    return np.linspace(float(shares[0]), 1.0, _GIRTH_STEPS)


def _station_row(shape: Shape, lands: LandShares, x: float, inside: float) -> Array:
    """Points of the lands on a station: where each land's own curve crosses its plane."""
    along = np.full(len(lands.middle), 0.5)
    for _ in range(60):
        before = along
        shares = np.diagonal(lands.at(along))
        along, points = shape.lines.at_station(x, shares, inside)
        if np.max(np.abs(along - before)) < 1e-9:
            break
    return points


def _girths(rabbet: Array, dense: Array, points: Array) -> Array:
    """Girths of points of a section from the rabbet: straight to its first point, then along it."""
    chain = np.concatenate([rabbet[None], dense])
    passed = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(chain, axis=0), axis=1))])
    nearest = [_along_chain(chain, passed, point) for point in points]
    return np.array(nearest)


def _along_chain(chain: Array, passed: Array, point: Array) -> float:
    """How far along a chain of points its nearest place to a point lies, mm."""
    piece = np.diff(chain, axis=0)
    length = np.linalg.norm(piece, axis=1)
    share = np.clip(np.sum((point - chain[:-1]) * piece, axis=1) / length**2, 0.0, 1.0)
    miss = np.linalg.norm(point - chain[:-1] - share[:, None] * piece, axis=1)
    best = int(np.argmin(miss))
    return float(passed[best] + share[best] * length[best])
