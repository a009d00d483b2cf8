"""A hull for every seed: its hull file as text, and whether a builder would call it buildable."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from tests.shapes.buildable import can_be_bevelled, hood_wanted, least_hood, shape_doubts, strake_doubts
from tests.shapes.ends import StemLine
from tests.shapes.hull_text import Fittings, hull_text
from tests.shapes.knobs import Shape, drawn_kind, drawn_lands, drawn_shape, drawn_stock
from tests.shapes.strakes import LandShares, Stock, Strakes

Array = NDArray[np.float64]

FEWEST, MOST = 3, 14
FEWEST_OF_ALL = 0.35
"""Share of the hulls that have as few, as broad strakes as will do."""

_DRAWS, _OF_ONE_KIND = 6000, 600


@dataclass(frozen=True)
class SeededHull:
    """A hull of one seed.

    Attributes
    ----------
    text : str
        The hull file.
    buildable : bool
        Decided from the knobs, never from what the program answers.
    reason : str
        Why it is not; "" where it is.
    """

    seed: int
    shape: Shape
    stock: Stock
    lands: LandShares
    fittings: Fittings
    text: str
    buildable: bool
    reason: str

    @property
    def knobs(self) -> str:
        """The knobs of the hull on one line."""
        shape, stock, fittings = self.shape, self.stock, self.fittings
        ends = " ".join(f"{kind} {rake:.0f}°" for kind, rake in zip(shape.kind.ends, shape.kind.rakes, strict=True))
        return (
            f"{shape.length / 1000:.1f} m, {ends}, {len(fittings.stations)} stations, "
            f"{fittings.strakes or len(self.lands.middle)} strakes, "
            f"{shape.kind.keel_joint}, {stock.method} {stock.thickness:g}/{stock.lap:g}, to the {fittings.to}, "
            f"by {fittings.by}, stem {fittings.stem_joint}"
        )


def seeded_hull(seed: int) -> SeededHull:
    """Return the buildable hull of a seed: shapes are drawn until one is in proportion in every respect."""
    rng = np.random.default_rng(seed)
    kind = drawn_kind(rng)
    for draw in range(_DRAWS):
        if draw % _OF_ONE_KIND == _OF_ONE_KIND - 1:
            kind = drawn_kind(rng)
        shape = drawn_shape(rng, kind)
        stock = drawn_stock(rng, shape.length)
        if next(shape_doubts(shape), None) is not None:
            continue
        lands = _lands_in_proportion(rng, shape, stock)
        if lands is not None:
            fittings = drawn_fittings(rng, shape, stock, lands)
            return SeededHull(
                seed, shape, stock, lands, fittings, hull_text(seed, shape, stock, lands, fittings), True, ""
            )
    raise RuntimeError(f"seed {seed}: no hull in proportion in {_DRAWS} draws")


def _lands_in_proportion(rng: Generator, shape: Shape, stock: Stock) -> LandShares | None:
    """The lands of a number of strakes that is in proportion, drawn among all that are; None where none is."""
    found = []
    for strakes in range(FEWEST, MOST + 1):
        lands = drawn_lands(rng, shape, strakes, least_hood(stock))
        if next(strake_doubts(shape, Strakes(shape.lines, lands), stock), None) is None:
            found.append(lands)
    if not found:
        return None
    return found[0] if rng.random() < FEWEST_OF_ALL else found[int(rng.integers(len(found)))]


def drawn_fittings(rng: Generator, shape: Shape, stock: Stock, lands: LandShares) -> Fittings:
    """Return what else a hull file needs: stations, geralds, hood, timbers, how the lands are given."""
    keel = shape.lines.point(np.array([0.0, 1.0]), np.zeros(2))[:, 0]
    room = [_clear(shape, end) for end in (shape.lines.fore, shape.lines.aft)]
    first = room[0] + shape.length * float(rng.uniform(0.02, 0.09))
    last = room[1] - shape.length * float(rng.uniform(0.02, 0.09))
    count = int(rng.integers(3, 26))
    most = max(3, int((last - first) / 60.0) + 1)
    stations = np.linspace(first, last, min(count, most))
    assert keel[0] < first < last < keel[1]
    is_stem = [isinstance(end, StemLine) for end in (shape.lines.fore, shape.lines.aft)]
    gerald = float(stock.thickness * rng.uniform(25.0, 40.0))
    full = rng.random() < 0.5
    bevelled = any(is_stem) and rng.random() < 0.25 and can_be_bevelled(shape, lands, stock)
    geralds = tuple(gerald if stem or not full else None for stem in is_stem)
    return Fittings(
        tuple(float(round(x, 1)) for x in stations),
        str(rng.choice(["inside", "outside"])),
        str(rng.choice(["even", "even", "girth", "offsets"])),
        "bevel" if bevelled else "rebate",
        geralds,
        _drawn_hood(rng, shape, stock, lands),
        str(rng.choice(["faceted", "smooth"])),
        int(rng.integers(8, 14)),
        bool(rng.random() < 0.15),
    )


def _drawn_hood(rng: Generator, shape: Shape, stock: Stock, lands: LandShares) -> float | None:
    """The length of hood that both stems want, left out of the file where the default serves, or a little more."""
    strakes = Strakes(shape.lines, lands)
    stems = [end for end in (shape.lines.fore, shape.lines.aft) if isinstance(end, StemLine)]
    wanted = max((hood_wanted(strakes, end, stock) or 0.0 for end in stems), default=0.0)
    if wanted <= least_hood(stock) and rng.random() < 0.6:
        return None
    return float(np.ceil(max(wanted, least_hood(stock))))


def _clear(shape: Shape, end: object) -> float:
    """x of the innermost point of an end, mm."""
    along = 0.0 if end is shape.lines.fore else 1.0
    x = shape.lines.point(np.full(50, along), np.linspace(0.0, 1.0, 50))[:, 0]
    return float(x.max() if along == 0.0 else x.min())


UNBUILDABLE = ("strakes", "lap", "siding", "wood inside", "few strakes")


def unbuildable_hull(seed: int) -> SeededHull:
    """Return the hull of a seed with one knob turned to where nobody could build it; `reason` names the knob."""
    hull = seeded_hull(seed)
    rng = np.random.default_rng([seed, 1])
    knob = str(rng.choice(UNBUILDABLE))
    stock, lands, fittings, shape = hull.stock, hull.lands, replace(hull.fittings, by="even"), hull.shape
    stems = [end for end in (shape.lines.fore, shape.lines.aft) if isinstance(end, StemLine)]
    if knob in ("siding", "wood inside") and not stems:
        knob = "lap"
    strakes = len(lands.middle)
    if knob == "strakes":
        shortest = min([_least_girth(hull), *(end.length for end in stems)])
        strakes = int(np.ceil(shortest / stock.lap)) + 1
        reason = f"{strakes} strakes with a lap of {stock.lap:g} mm on {shortest:.0f} mm of rabbet or girth"
    elif knob == "lap":
        lap = float(np.ceil(1.2 * np.min(hull_strakes(hull).widths) + stock.lap))
        stock = replace(stock, lap=lap)
        reason = f"a lap of {lap:g} mm, wider than the narrowest strake"
    elif knob == "few strakes":
        turned = float(np.max(np.sum(hull_strakes(hull).turns, axis=1)))
        lap = stock.thickness / np.tan(turned) * 2.0 if 0.0 < turned < 1.5 else stock.lap
        stock = replace(stock, lap=float(round(max(lap, 3.0 * stock.lap), 1)))
        reason = f"a lap of {stock.lap:g} mm on {stock.thickness:g} mm stock"
    elif knob == "siding":
        fittings = replace(fittings, stem_siding=round(0.8 * stock.thickness, 1))
        reason = f"stems {fittings.stem_siding:g} mm thick for two rebates of {stock.thickness:g} mm planking"
    else:
        fittings = replace(fittings, wood_inside=round(0.8 * stock.thickness, 1))
        reason = f"{fittings.wood_inside:g} mm of wood inside the rabbet for {stock.thickness:g} mm planking"
    text = hull_text(seed, shape, stock, lands, replace(fittings, strakes=strakes))
    return SeededHull(seed, shape, stock, lands, fittings, text, False, reason)


def hull_strakes(hull: SeededHull) -> Strakes:
    """Return the facets of a hull's strakes."""
    return Strakes(hull.shape.lines, hull.lands)


def _least_girth(hull: SeededHull) -> float:
    return float(np.min(np.sum(hull_strakes(hull).widths, axis=1)))
