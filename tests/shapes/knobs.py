"""Every knob of a seeded hull, drawn from one seed."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from tests.shapes.ends import EndLine, StemLine, TransomPlane
from tests.shapes.lines import Fullness, Lines, Midship
from tests.shapes.strakes import LandShares, Stock

Array = NDArray[np.float64]

CORNER = float(np.radians(18.0))
"""A stem that meets the keel at more than this has a clear corner at its foot."""


@dataclass(frozen=True)
class Kind:
    """What sort of boat a seed stands for: drawn first and kept, however many shapes of it are out of proportion.

    Attributes
    ----------
    length : float
        mm.
    ends : tuple of str
        Fore and after end: "straight", "swept", "rounded" or "transom".
    rakes : tuple of float
        Degrees.
    keel_joint : "rebate", "hog" or "flat"
    """

    length: float
    ends: tuple[str, str]
    rakes: tuple[float, float]
    keel_joint: str


def drawn_kind(rng: Generator) -> Kind:
    """Return a sort of boat: 2 to 12 m, every twelfth up to 30 m; every rake as likely as the next."""
    length = float(rng.uniform(12e3, 30e3) if rng.random() < 0.08 else 2e3 * 6.0 ** rng.uniform())
    keel_joint = str(rng.choice(["rebate", "hog", "hog", "flat"], p=[0.35, 0.25, 0.25, 0.15]))
    fore = str(rng.choice(["straight", "swept", "rounded", "transom"], p=[0.2, 0.3, 0.35, 0.15]))
    aft = str(rng.choice(["straight", "swept", "rounded", "transom"], p=[0.1, 0.2, 0.2, 0.5]))
    if fore == "transom":
        aft = "transom"
    if keel_joint == "flat":
        fore, aft = ("transom" if kind == "transom" else "straight" for kind in (fore, aft))
    rakes = [
        float(rng.uniform(0.0, 30.0) if kind == "transom" else rng.uniform(least, most))
        for kind, least, most in ((fore, -15.0, 65.0), (aft, -5.0, 60.0))
    ]
    return Kind(length, (fore, aft), (rakes[0], rakes[1]), keel_joint)


@dataclass(frozen=True)
class Shape:
    """A hull's lines, of a kind; `siding` of the stems, mm."""

    kind: Kind
    lines: Lines
    siding: float

    @property
    def length(self) -> float:
        """Length of the boat, mm."""
        return self.kind.length


def drawn_shape(rng: Generator, kind: Kind) -> Shape:
    """Return a shape of a kind with every other knob turned at random, in a trade's proportions."""
    siding = float(rng.uniform(3.4, 5.0)) * plank_thickness(kind.length)
    midship = _midship(rng, kind.length, siding, kind.keel_joint)
    fore, fore_full = _end(rng, kind, 0, midship, siding)
    aft, aft_full = _end(rng, kind, 1, midship, siding)
    return Shape(kind, Lines(midship, fore, aft, fore_full, aft_full), siding)


def plank_thickness(length: float) -> float:
    """Return near 9 mm at 4 m and 1 mm more for each metre (a rule of thumb quoted by a designer), mm."""
    return 5.0 + length / 1000.0


def _midship(rng: Generator, length: float, siding: float, joint: str) -> Midship:
    beam = length * 0.40 * (length / 3000.0) ** -0.25 * rng.uniform(0.85, 1.15)
    half_beam = float(beam / 2)
    if joint == "flat":
        half_keel = half_beam * float(rng.uniform(0.45, 0.7))
        deadrise, topside = np.radians(rng.uniform(48.0, 60.0)), np.radians(rng.uniform(62.0, 80.0))
        hollow, spread = 0.0, 0.35
    else:
        half_keel = siding / 2 * float(rng.uniform(1.0, 1.3))
        deadrise, topside = np.radians(rng.uniform(8.0, 30.0)), np.radians(rng.uniform(58.0, 88.0))
        hollow = np.radians(rng.uniform(5.0, 20.0)) if rng.random() < 0.3 else 0.0
        spread = float(rng.uniform(0.14, 0.35))
    low = float(0.02 * length)
    midship = Midship(float(deadrise), float(topside), float(hollow), 0.5, spread, half_keel, half_beam, low)
    return midship if joint == "flat" else _of_depth(midship, half_beam * float(rng.uniform(0.5, 0.8)))


def _of_depth(midship: Midship, depth: float) -> Midship:
    """The section with its bilge moved as far out or in as makes it nearest to a depth, mm."""
    tried = [replace(midship, bilge=float(bilge)) for bilge in np.linspace(0.35, 0.85, 26)]
    return min(tried, key=lambda one: abs(float(np.diff(one.section(np.array([0.0, 1.0]))[:, 1])[0]) - depth))


def _end(rng: Generator, kind: Kind, index: int, midship: Midship, siding: float) -> tuple[EndLine, Fullness]:
    """The fore (0) or the after end (1), and how the boat fills out from it."""
    if kind.ends[index] == "transom":
        return _transom(rng, kind, index, midship, siding)
    return _stem(rng, kind, index, midship, siding)


def _transom(rng: Generator, kind: Kind, index: int, midship: Midship, siding: float) -> tuple[EndLine, Fullness]:
    is_fore = index == 0
    low, high = (float(v) for v in midship.section(np.array([0.0, 1.0]))[:, 1])
    depth = high - low
    bottom = low + depth * float(rng.uniform(0.15, 0.5) if is_fore else rng.uniform(0.08, 0.3))
    top = high + depth * float(rng.uniform(0.05, 0.25) if is_fore else rng.uniform(0.0, 0.15))
    breadth = float(rng.uniform(0.40, 0.6) if is_fore else rng.uniform(0.5, 0.75))
    low_breadth = breadth * float(rng.uniform(0.6, 1.0))
    radius = midship.half_beam * float(rng.uniform(2.0, 5.0)) if rng.random() < 0.4 else 0.0
    rake, thickness = float(np.radians(kind.rakes[index])), 2.0 * plank_thickness(kind.length)
    plane = TransomPlane(0.0 if is_fore else kind.length, bottom, top, rake, radius, -1.0 + 2.0 * index, thickness)
    keel = midship.half_keel * (0.5 if midship.half_keel > 2 * siding else 0.9)
    powers = float(rng.uniform(1.8, 2.2)), float(rng.uniform(1.9, 2.6))
    rise, lift = float(rng.uniform(2.3, 3.3)), float(rng.uniform(0.0, 0.4))
    return plane, Fullness(*powers, rise, lift, low_breadth, breadth, keel)


def _stem(rng: Generator, kind: Kind, index: int, midship: Midship, siding: float) -> tuple[EndLine, Fullness]:
    low, high = (float(v) for v in midship.section(np.array([0.0, 1.0]))[:, 1])
    depth, outward, rise = high - low, -1.0 + 2.0 * index, float(rng.uniform(2.3, 3.3))
    foot = low + depth * float(rng.uniform(0.0, 0.12))
    head = high + depth * float(rng.uniform(0.15, 0.5))
    slope = float(np.arctan(rise * (foot - low) / (0.75 * kind.length)))
    at_head = float(np.pi / 2 - np.radians(kind.rakes[index]))
    if kind.ends[index] == "straight":
        at_foot, power = max(at_head - float(np.radians(rng.uniform(0.0, 12.0))), slope + CORNER), 1.0
    else:
        at_foot = slope
        power = float(rng.uniform(0.9, 1.6) if kind.ends[index] == "swept" else rng.uniform(4.0, 8.0))
    stem = StemLine(at_foot, at_head, power, 0.0, foot, head, outward, siding)
    stem = replace(stem, x_foot=stem.overhang if index == 0 else kind.length - stem.overhang)
    powers = float(rng.uniform(1.15, 1.5)), float(rng.uniform(1.9, 2.9))
    lift = float(rng.uniform(0.6, 1.4)) if midship.half_keel < 2 * siding else 0.0
    return stem, Fullness(*powers, rise, lift, 0.0, 0.0, siding / 2)


def drawn_stock(rng: Generator, length: float) -> Stock:
    """Return planking: laps of 2 to 2.3 thicknesses riveted, about 3 glued, half or a third left at the edge."""
    method = str(rng.choice(["riveted", "glued"]))
    rule = plank_thickness(length) * (1.0 if method == "riveted" else 0.85)
    thickness = round(2.0 * rule * float(rng.uniform(0.85, 1.25))) / 2.0
    lap = round(thickness * float(rng.uniform(2.0, 2.3) if method == "riveted" else rng.uniform(2.6, 3.1)), 1)
    least = round(thickness / (2.0 if rng.random() < 0.5 else 3.0), 2)
    return Stock(method, thickness, lap, least)


def drawn_lands(rng: Generator, shape: Shape, strakes: int, hood: float) -> LandShares:
    """Return lands even in girth but for the garboard's and the sheer strake's factors, the garboard wide forward."""
    factors = np.ones(strakes)
    factors[0], factors[-1] = rng.uniform(1.0, 1.25), rng.uniform(0.9, 1.1)
    middle = np.cumsum(factors) / factors.sum()
    ends = []
    for end in (shape.lines.fore, shape.lines.aft):
        share = middle
        if isinstance(end, StemLine):
            low = garboard_share(end, hood)
            if low > middle[0]:
                share = np.concatenate([[low], low + (1.0 - low) * np.arange(1, strakes) / (strakes - 1)])
        ends.append(share)
    return LandShares(middle, *ends)


def garboard_share(end: StemLine, hood: float) -> float:
    """Return the least share of a stem's length that leaves a garboard a hood end clear of a rounded forefoot."""
    if end.foot > CORNER:
        return 0.0
    share = np.linspace(0.0, 0.6, 601)
    wanted = min(np.radians(45.0), 0.6 * end.head)
    steep = share[np.argmax(end.angle(share) >= wanted)]
    return float(min(max(steep, 1.3 * hood / end.length), 0.5))
