"""How the figures of one set of sheets are written: one choice for lengths, and one for depths.

Lengths are in the units of the hull file. Depths, which a plane or a chisel is worked to, are in millimetres or in
64ths of an inch. A set has at most two notations: millimetres with decimals, and inches with fractions or
feet-inches-eighths. No minus stands before feet-inches-eighths.
"""

from dataclasses import dataclass
from math import copysign, tan
from typing import Literal, Protocol

from templates_gen.about import Hand
from templates_gen.units import (
    MM_PER_INCH,
    UnitName,
    format_length,
    format_tenths,
    inches_and_fraction,
    rounded,
    with_sign,
)

DepthName = Literal["mm", "64ths"]

_UNIT = {"mm": "mm", "in": "in", "ft-in-8": "ft-in-⅛"}
_SPOKEN = {"mm": "millimetres", "in": "inches", "ft-in-8": "feet-inches-eighths (+ is a sixteenth more)"}
_SQUARE_FOOT = (12 * MM_PER_INCH / 1000) ** 2
"""m²."""

_BOARD_FOOT = _SQUARE_FOOT * MM_PER_INCH / 1000
"""m³: a square foot an inch thick."""

_EXACT = 0.05
"""A thickness that a fraction of an inch gives within this, mm, goes without millimetres."""

NEAR_HALF = 1e-4
"""A depth short of half a step by less than this, mm, is rounded up: two computations of one depth agree this well,
so that it is written alike wherever it stands."""


@dataclass(frozen=True)
class Notation:
    """How lengths and depths are written.

    Attributes
    ----------
    units : UnitName
        Of lengths: those of the hull file.
    depths : DepthName
        Of depths: in millimetres to a tenth, or in 64ths of an inch, never in lower terms, so that the figures of a
        table compare at a glance.
    """

    units: UnitName = "mm"
    depths: DepthName = "mm"

    @property
    def is_in_64ths(self) -> bool:
        """Return whether depths are in 64ths of an inch."""
        return self.depths == "64ths"

    @property
    def statement(self) -> str:
        """Return what the first page says of the set: "lengths in inches, depths in 64ths of an inch"."""
        if self.units == self.depths:
            return "lengths and depths in millimetres"
        depths = "64ths of an inch" if self.is_in_64ths else "millimetres"
        return f"lengths in {_SPOKEN[self.units]}, depths in {depths}"

    @property
    def length_words(self) -> str:
        """Return what lengths are in: "mm", "inches", "feet-inches-eighths"."""
        return {"mm": "mm", "in": "inches", "ft-in-8": "feet-inches-eighths"}[self.units]

    # Lengths

    def length(self, length: float) -> str:
        """Return a length in mm without its unit: "118.5", "4 21/32", "0-4-5+"; a negative one as "minus 0-4-5+"."""
        text = format_length(length, self.units)
        return f"minus {text[1:]}" if self.units == "ft-in-8" and text.startswith("-") else text

    def spoken_length(self, length: float) -> str:
        """Return a length in mm for a sentence: "118.5 mm", "4 21/32 in", "0-4-5+"."""
        text = self.length(length)
        return text if self.units == "ft-in-8" else f"{text} {self.units}"

    def height(self, height: float) -> str:
        """Return a height in mm over the base line: "118.5", "-12.5"; "0-0-4 below" where a minus may not stand."""
        return self._in_words(height, "below")

    def level(self, height: float) -> str:
        """Return a height in mm over the base line in words: "118.5 up", "0-0-4 down"."""
        return f"{self.length(abs(height))} {self._up_or_down(height)}"

    def spoken_level(self, height: float) -> str:
        """Return the same with its unit: "118.5 mm up", "0-0-4 down"."""
        return f"{self.spoken_length(abs(height))} {self._up_or_down(height)}"

    def _up_or_down(self, height: float) -> str:
        return "down" if format_length(height, self.units).startswith("-") else "up"

    def along(self, distance: float) -> str:
        """Return a distance in mm aft of the datum: "600", "-40"; "0-1-5 forward" where a minus may not stand."""
        return self._in_words(distance, "forward")

    def _in_words(self, length: float, other_way: str) -> str:
        text = format_length(length, self.units)
        return f"{text[1:]} {other_way}" if self.units == "ft-in-8" and text.startswith("-") else text

    def about(self, length: float) -> str:
        """Return a round figure of the trade in mm for a sentence: "25 mm"; or "1 in", "0-1-0"."""
        if self.units == "mm":
            return f"{length:g} mm"
        eighth = MM_PER_INCH / 8
        return self.spoken_length(max(1, rounded(length, eighth)) * eighth)

    @property
    def metre(self) -> str:
        """Return the length of a metre for a sentence: "metre"; "39 3/8 in", "3-3-3"."""
        return "metre" if self.units == "mm" else self.spoken_length(1000.0)

    def heading(self, name: str) -> str:
        """Return a heading with the unit that the lengths under it are in: "net length (mm)"."""
        return f"{name} ({_UNIT[self.units]})"

    # Ordinates and differences, finer than sixteenths

    @property
    def fine_units(self) -> UnitName:
        """Return the units of what is measured to half a millimetre or 1/32 in.

        Sixteenths are too coarse for it: where lengths are in feet-inches-eighths it is written as depths are.
        """
        if self.units != "ft-in-8":
            return self.units
        return "in" if self.is_in_64ths else "mm"

    def fine(self, length: float) -> str:
        """Return an ordinate in mm without its unit, to 0.5 mm or 1/32 in: "118.5", "4 21/32"."""
        return format_length(length, self.fine_units)

    def spoken_fine(self, length: float) -> str:
        """Return the same with its unit: "118.5 mm", "4 21/32 in"."""
        return f"{self.fine(length)} {self.fine_units}"

    def signed(self, length: float) -> str:
        """Return a difference in mm with its sign, as an ordinate: "+1.5", "-1/32", "0"."""
        return with_sign(self.fine(length))

    def toward(self, length: float) -> str:
        """Return how far an edge is from its mark for a sentence, + toward the sheer: "1.5 mm toward the keel"."""
        if self.signed(length) == self.signed(0.0):
            return self.spoken_fine(0.0)
        return f"{self.spoken_fine(abs(length))} toward the {'sheer' if length > 0.0 else 'keel'}"

    @property
    def signed_words(self) -> str:
        """Return what differences are in: "mm", "inches"."""
        return "mm" if self.fine_units == "mm" else "inches"

    def within(self, size: float) -> str:
        """Return how near a length in mm is to be kept, for a sentence: "2 mm"; "1/16 in", no more than it."""
        if self.fine_units == "mm":
            return f"{size:g} mm"
        parts = 32 if size >= MM_PER_INCH / 32 else 64
        return f"{inches_and_fraction(max(1, int(size * parts / MM_PER_INCH)), parts)} in"

    # Depths

    @property
    def depth_unit(self) -> str:
        """Return the unit of depths over a column: "mm", "64ths"."""
        return self.depths

    @property
    def depth_words(self) -> str:
        """Return what depths are counted in: "mm", "64ths of an inch"."""
        return "64ths of an inch" if self.is_in_64ths else "mm"

    def depth(self, depth: float) -> str:
        """Return a depth in mm: to 0.1 mm ("2.4"), or in 64ths of an inch ("11/64", "1 3/64", "0")."""
        return _in_64ths(depth) if self.is_in_64ths else f"{_steps(depth, 0.1) / 10:.1f}"

    def depth_cell(self, depth: float) -> str:
        """Return a depth in mm under a heading that names the unit: "2.4", or the count of 64ths, "11"."""
        return f"{_steps(depth, self.depth_step)}" if self.is_in_64ths else self.depth(depth)

    def depth_range(self, least: float, most: float) -> str:
        """Return from which to which depth, mm: "2.4–3.1", "6/64 to 8/64"; one where they are written alike.

        Never "6–8/64", which is read as six inches and eight 64ths.
        """
        first, last = self.depth(least), self.depth(most)
        return first if first == last else f"{first}{' to ' if self.is_in_64ths else '–'}{last}"

    def spoken_depth(self, depth: float) -> str:
        """Return a depth in mm for a sentence, with its unit: "2.4 mm", "11/64 in"."""
        return f"{self.depth(depth)} {'in' if self.is_in_64ths else 'mm'}"

    def depths_of(self, *depths: float) -> str:
        """Return depths in mm on a template: "3.7 / 2.8", "3.7 / 2.8 mm", "15/64 · 11/64"."""
        return self.between_depths.join(map(self.depth, depths)) + self.depth_suffix

    def rest(self, whole: float, part: float) -> float:
        """Return a depth or thickness as written less a part of it as written, mm: figures on a sheet add up."""
        step = self.depth_step if self.is_in_64ths else 0.1
        return (_steps(whole, step) - _steps(part, step)) * step

    @property
    def depth_suffix(self) -> str:
        """Return what follows depths on a template: " mm" where lengths are in inches, else nothing."""
        return " mm" if self.depths == "mm" and self.units != "mm" else ""

    @property
    def between_depths(self) -> str:
        """Return what stands between two depths."""
        return " · " if self.is_in_64ths else " / "

    def depth_heading(self, name: str) -> str:
        """Return a heading with the unit that the depths under it are in: "Take-off (mm)", "Take-off (64ths)"."""
        return f"{name} ({self.depth_unit})"

    def tolerance(self, size: float) -> str:
        """Return how fine to work, in mm, for a sentence: "0.3 mm"; else no more than it in 64ths, one at least."""
        if not self.is_in_64ths:
            return f"{size:g} mm"
        return f"{inches_and_fraction(max(1, int(size / self.depth_step)), 64)} in"

    def finer_depth(self, depth: float) -> str:
        """Return a depth in mm for a sentence ten times as fine: "4.42 mm", "11.1/64 in"."""
        return f"{depth / self.depth_step:.1f}/64 in" if self.is_in_64ths else f"{depth:.2f} mm"

    @property
    def depth_step(self) -> float:
        """Return what depths are counted in, mm."""
        return MM_PER_INCH / 64 if self.is_in_64ths else 1.0

    # How a face rises

    def rise(self, angle: float) -> str:
        """Return how far a face that is out of square by an angle, radians, runs out in 10 mm, or in an inch."""
        return self.depth_cell((MM_PER_INCH if self.is_in_64ths else 10.0) * tan(angle))

    @property
    def rise_heading(self) -> str:
        """Return what stands over a column of rises."""
        return "per inch (64ths)" if self.is_in_64ths else "per 10 mm (mm)"

    # Areas and volumes of stock, and what covers it

    @property
    def area_unit(self) -> str:
        """Return the unit of areas: "m²", "sq ft"."""
        return "m²" if self.units == "mm" else "sq ft"

    def area(self, area: float) -> str:
        """Return an area in m² without its unit: "4.21", or in whole square feet."""
        return f"{area:.2f}" if self.units == "mm" else f"{area / _SQUARE_FOOT:.0f}"

    @property
    def volume_unit(self) -> str:
        """Return the unit of volumes: "m³", "board feet"."""
        return "m³" if self.units == "mm" else "board feet"

    def volume(self, volume: float) -> str:
        """Return a volume in m³ without its unit: "0.042", or in whole board feet."""
        return f"{volume:.3f}" if self.units == "mm" else f"{volume / _BOARD_FOOT:.0f}"

    @property
    def glue_rate(self) -> str:
        """Return how much glue is mixed for an area: 400 g for a square metre."""
        return "400 g/m²" if self.units == "mm" else f"{400.0 * _SQUARE_FOOT:.0f} g to a square foot"

    # Thickness of stock, as it is bought

    def thickness(self, thickness: float) -> str:
        """Return a thickness of stock in mm for a table: "9.0", "3/8", "1/4 (6.0 mm)".

        Stock is bought by millimetres or by fractions of an inch: the hull file's comes first, then what depths are
        compared with, where it is another or the fraction is not exact.
        """
        text = format_tenths(thickness) if self.units == "mm" else self.length(thickness)
        return f"{text}{self._other_thickness(thickness)}"

    def spoken_thickness(self, thickness: float) -> str:
        """Return a thickness of stock in mm for a sentence: "9.0 mm", "3/8 in", "1/4 in (6.0 mm)", "0-0-3"."""
        text = f"{format_tenths(thickness)} mm" if self.units == "mm" else self.spoken_length(thickness)
        return f"{text}{self._other_thickness(thickness)}"

    def _other_thickness(self, thickness: float) -> str:
        """The same in brackets in the other notation; "" where the set has one and it is exact."""
        if self.units == "mm":
            return f" ({self.spoken_depth(thickness)})" if self.is_in_64ths else ""
        step = MM_PER_INCH / (32 if self.units == "in" else 16)
        is_exact = abs(rounded(thickness, step) * step - thickness) <= _EXACT
        return "" if self.is_in_64ths and is_exact else f" ({format_tenths(thickness)} mm)"


def notation_of(units: UnitName, depths: DepthName | None = None) -> Notation:
    """Return the notation of a hull in `units`: depths as asked, or in mm in a metric boat and in 64ths in others."""
    return Notation(units, depths or ("mm" if units == "mm" else "64ths"))


def _steps(depth: float, step: float) -> int:
    """How many steps make a depth in mm: half a step, or one short of it by less than `NEAR_HALF`, is counted up."""
    return rounded(depth + copysign(NEAR_HALF, depth), step)


def _in_64ths(depth: float) -> str:
    """Return a depth in mm in inches and 64ths: "11/64", "1 3/64", "1", "0"."""
    count = _steps(depth, MM_PER_INCH / 64)
    whole, rest = divmod(abs(count), 64)
    sign = "-" if count < 0 else ""
    fraction = f"{rest}/64" if rest else ""
    return sign + (f"{whole} {fraction}" if whole and fraction else fraction or f"{whole}")


class Marked(Protocol):
    """What stands on every sheet of one set, and how its figures are written: a drawn boat or a measured plank."""

    @property
    def name(self) -> str:
        """The boat's name."""

    @property
    def fingerprint(self) -> str:
        """Eight hexadecimal digits of the file that all was computed from."""

    @property
    def edition(self) -> str | None:
        """Which edition of it."""

    @property
    def units(self) -> UnitName:
        """The units the builder works in."""

    @property
    def depths(self) -> DepthName | None:
        """What depths are written in, where that was asked for."""

    @property
    def notation(self) -> Notation:
        """How figures are written."""

    @property
    def side(self) -> Hand | None:
        """The side of the boat that it is for; None: both."""

    def of_side(self, text: str) -> str:
        """Return a heading with the side after it, where there is one."""


@dataclass(frozen=True)
class BlankSet:
    """What stands on sheets that belong to no boat yet: a blank form."""

    units: UnitName
    name: str = ""
    fingerprint: str = ""
    edition: str | None = None
    depths: DepthName | None = None
    side: Hand | None = None

    @property
    def notation(self) -> Notation:
        """Return how its figures would be written."""
        return notation_of(self.units, self.depths)

    def of_side(self, text: str) -> str:
        """Return a heading as it is."""
        return text
