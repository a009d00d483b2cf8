"""Inches, feet-inches-eighths, degrees and points: the only place where they are converted and written.

Inside the program a length is in millimetres and an angle in radians. The constants also convert arrays.
"""

import math
from typing import Literal

UnitName = Literal["mm", "in", "ft-in-8"]
MeasuredUnits = Literal["mm", "in", "ft-in-8", "eighths"]
"""Units of files from the boat: eighths of an inch, too."""

MM_PER_INCH = 25.4
"""Exact by definition (international inch, 1959)."""

PT_PER_INCH = 72.0
"""PDF's unit of user space is 1/72 in (ISO 32000-1, 8.3.2.3)."""

PT_PER_MM = PT_PER_INCH / MM_PER_INCH
DEG_PER_RAD = 180.0 / math.pi


def rounded(value: float, step: float) -> int:
    """Return how many steps make the value, halves away from zero. Raises ValueError if it is not finite."""
    if not math.isfinite(value):
        raise ValueError(f"cannot write {value} for people: not a finite number")
    steps = math.floor(abs(value) / step + 0.5 + 1e-9)
    return -steps if value < 0 else steps


def format_length(length: float, units: UnitName) -> str:
    """Return a length in mm as people read it in their units, without the unit's name.

    To 0.5 mm ("118.5"), to 1/32 in ("4 21/32"), or as feet-inches-eighths with + for a sixteenth ("0-4-5+").

    Examples
    --------
    >>> [format_length(16.5 * 25.4, units) for units in ("mm", "in", "ft-in-8")]
    ['419', '16 1/2', '1-4-4']
    """
    if units == "mm":
        halves = rounded(length, 0.5)
        return f"{halves // 2}" if halves % 2 == 0 else f"{halves / 2:.1f}"
    if units == "in":
        return inches_and_fraction(rounded(length, MM_PER_INCH / 32), 32)
    sixteenths = rounded(length, MM_PER_INCH / 16)
    feet, rest = divmod(abs(sixteenths), 12 * 16)
    inches, rest = divmod(rest, 16)
    sign = "-" if sixteenths < 0 else ""
    return f"{sign}{feet}-{inches}-{rest // 2}{'+' if rest % 2 else ''}"


def with_sign(text: str) -> str:
    """Return a length as `format_length` writes it with its sign: "+1.5", "-1/32", "0"."""
    return text if text.startswith("-") or text == "0" else f"+{text}"


def inches_and_fraction(count: int, parts: int) -> str:
    """Return "4 21/32" from a count of so many parts of an inch, the fraction in its lowest terms."""
    whole, rest = divmod(abs(count), parts)
    common = math.gcd(rest, parts)
    fraction = f"{rest // common}/{parts // common}" if rest else ""
    sign = "-" if count < 0 else ""
    return sign + (f"{whole} {fraction}" if whole and rest else fraction or f"{whole}")


def format_tenths(length: float) -> str:
    """Return a length in mm to 0.1 mm, without its unit: "2.4"."""
    return f"{rounded(length, 0.1) / 10:.1f}"


def format_angle(angle: float) -> str:
    """Return an angle in radians as degrees to the half: "7.5°", a whole number as "7°"; its sign is kept."""
    halves = rounded(angle * DEG_PER_RAD, 0.5)
    return f"{halves // 2}°" if halves % 2 == 0 else f"{halves / 2:.1f}°"


def spoken_length(length: float, units: UnitName) -> str:
    """Return a length in mm for a sentence: "118.5 mm", "4 21/32 in", "0-4-5+"."""
    text = format_length(length, units)
    return text if units == "ft-in-8" else f"{text} {units}"
