"""Lengths as people type and print them, read into mm: the only place where these texts are understood.

Of figures from the boat, how finely they are written, and how far an honest one may be off for it.
"""

import math
import re
from collections.abc import Iterable

import numpy as np

from templates_gen.units import MM_PER_INCH, MeasuredUnits, UnitName

_SPOKEN = {"mm": "mm", "in": "inches"}
_FEET_INCHES_EIGHTHS = re.compile(r"(-?)([0-9]{1,4})-([0-9]{1,4})-([0-9]{1,4})([+-]?)")

READING = 0.25
"""Standard deviation of a reading before it is rounded, mm (common practice)."""

_STEPS = {
    "mm": (1.0, 0.5, 0.1),
    "in": tuple(MM_PER_INCH / parts for parts in (8, 16, 32, 64)),
}
_WHOLE = 1e-4

FINER = 0.2
"""As large a share of the figures may be finer than what they are rounded to: of a rule read to halves of a division
half of them are."""

ROUNDING_NUMBERS = {"reading": READING, "steps": _STEPS, "whole": _WHOLE, "finer": FINER}
"""The numbers of this rule, for a program that applies it elsewhere."""


def parse_feet_inches_eighths(text: str) -> float:
    """Return a length written as feet-inches-eighths, such as "2-3-4", in mm.

    Parameters
    ----------
    text : str
        A trailing + or - adds or takes a sixteenth of an inch. A leading - makes the whole figure negative, its
        sixteenth included: "-0-1-0+" is 1 1/16 in below the base line.

    Raises
    ------
    ValueError
        Anything else, twelve inches or more, eight eighths or more.

    Source
    ------
    2-3-4 is 2 ft 3 4/8 in (http://www.amateurboatbuilding.com/forum/viewtopic.php?p=6897); + is one sixteenth
    more (http://www.whisstock.com/page_07.php?page=07&page_id=7.01.02&fid=4&tid=65).
    """
    found = _FEET_INCHES_EIGHTHS.fullmatch(text)
    if found is None:
        raise ValueError('not feet-inches-eighths; write 2 ft 3 4/8 in as "2-3-4", with a + or - for a sixteenth')
    feet, inches, eighths = (int(found[part]) for part in (2, 3, 4))
    if inches > 11:
        raise ValueError(f"{inches} inches in feet-inches-eighths; inches run from 0 to 11")
    if eighths > 7:
        raise ValueError(f"{eighths} eighths in feet-inches-eighths; eighths run from 0 to 7")
    sixteenth = {"": 0, "+": 1, "-": -1}[found[5]]
    sixteenths = (feet * 12 + inches) * 16 + eighths * 2 + sixteenth
    return (-sixteenths if found[1] else sixteenths) * 127 / 80  # exactly 25.4 / 16, rounded once


_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
_FRACTIONS = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_GROUPS = re.compile(r"(-?)([0-9]{1,4})([-. :])([0-9]{1,4})\3([0-9]{1,4})( ?1/2|[+-])?")
_RAISED = re.compile(r"(-?)([0-9]{1,4})[-. :]([0-9]{1,4})[-. :]?([⁰¹²³⁴⁵⁶⁷⁸⁹])([+-]?)")
_MARKED = re.compile(
    r"(-?)(?:([0-9]{1,4}) ?(?:'|ft\.?|feet|foot)[ -]?)?"
    r"(?:(?:([0-9]{1,4})(?![0-9/]))?(?:(?<=[0-9])[ -])?(?:([0-9]{1,2})/([0-9]{1,2}))? ?"
    r"(?:\"|''|ins?\.?|inches|inch))?"
)
_DECIMAL = re.compile(r"[+-]?(?:[0-9]{1,9}(?:\.[0-9]{0,17})?|\.[0-9]{1,17})")
_PLAIN_INCHES = re.compile(r"(-?)(?:([0-9]{1,6})(?![0-9/]))?(?:(?<=[0-9])[ -])?(?:([0-9]{1,2})/([0-9]{1,2}))?")


def parse_printed_length(text: str, units: UnitName) -> float:
    """Return a length as a table of offsets prints it, in mm.

    Parameters
    ----------
    text : str
        In "mm" a whole or decimal number, in "in" the same, or inches and a fraction (``16 1/2``). In both "in" and
        "ft-in-8" three figures parted alike by dashes, dots, colons or blanks, with a trailing ``+``, ``-`` or half
        for a sixteenth (``1-4-4``, ``1-4-4+``, ``1.4.4``, ``1-4-4½``), with raised eighths (``1-4⁴``), or with marks
        (``1' 4 1/2"``, ``4½"``, ``1 ft 4 in``). A leading minus is below the base line.
    units : UnitName

    Raises
    ------
    ValueError
        With what would be read; two figures without marks (``1-4``) may be feet and inches or inches and eighths,
        and are not guessed at.

    Examples
    --------
    Sixteen and a half inches are 16.5 × 25.4 mm:

    >>> [round(parse_printed_length(*one), 6) for one in (("1-4-4", "ft-in-8"), ("16 1/2", "in"))]
    [419.1, 419.1]
    """
    plain = " ".join(text.replace("−", "-").replace("′", "'").replace("″", '"').replace("”", '"').split())
    plain = plain.replace("’", "'")
    for letter, fraction in _FRACTIONS.items():
        plain = re.sub(rf"(?<=[0-9]){letter}", f" {fraction}", plain).replace(letter, fraction)
    if _DECIMAL.fullmatch(plain):
        number = float(plain)
        if units == "ft-in-8" and number != 0:
            raise ValueError('a plain number where feet-inches-eighths are wanted; write 2 ft 3 4/8 in as "2-3-4"')
        return number * MM_PER_INCH if units == "in" else number
    if units == "mm":
        hint = "; write a decimal point, not a comma" if re.fullmatch(r"-?[0-9]+,[0-9]+", plain) else ""
        hint = "; fractions are of an inch" if "/" in plain else hint
        raise ValueError(f"not a number of mm{hint}")
    return _printed_inches(plain.lower(), units)


def _printed_inches(plain: str, units: UnitName) -> float:
    """Return a printed length in feet and inches that is no plain number, in mm. Raises ValueError."""
    for pattern, separator in ((_GROUPS, True), (_RAISED, False)):
        found = pattern.fullmatch(plain)
        if found is not None:
            minus, feet, *rest = found.groups()
            inches, eighths, end = rest[1:] if separator else rest
            sixteenth = "+" if end and end.strip() == "1/2" else end or ""
            return parse_feet_inches_eighths(f"{minus}{feet}-{inches}-{eighths.translate(_SUPERSCRIPTS)}{sixteenth}")
    found = _MARKED.fullmatch(plain)
    if found is not None and any(found.groups()[1:]):
        return _marked_length(found[1], found[2], found[3], found[4], found[5])
    found = _PLAIN_INCHES.fullmatch(plain)
    if units == "in" and found is not None and any(found.groups()[1:]):
        return _marked_length(found[1], None, found[2], found[3], found[4])
    if units == "in":
        raise ValueError('not a number of inches; write 16.5, 16 1/2 or 16 1/2"')
    if re.fullmatch(r"-?[0-9]+[-. :][0-9]+[+-]?", plain):
        raise ValueError("two figures may be feet and inches, or inches and eighths; write three (1-4-0 or 0-1-4)")
    raise ValueError("not feet-inches-eighths; write 1-4-4 or 1' 4 1/2\"")


def _marked_length(minus: str, feet: str | None, inches: str | None, top: str | None, bottom: str | None) -> float:
    """Return feet, inches and a fraction of an inch in mm. Raises ValueError."""
    if feet is not None and inches is not None and int(inches) > 11:
        raise ValueError(f"{inches} inches after feet; inches run from 0 to 11")
    share = 0.0
    if top is not None and bottom is not None:
        if int(bottom) not in (2, 4, 8, 16, 32, 64) or int(top) >= int(bottom):
            raise ValueError(
                f"{top}/{bottom} is not a fraction on a rule; give halves to sixty-fourths, less than one inch"
            )
        share = int(top) / int(bottom)
    length = (int(feet or 0) * 12 + int(inches or 0) + share) * MM_PER_INCH
    return -length if minus else length


def parse_given_length(text: str, units: UnitName) -> float:
    """Return a length given to a command, such as "10", "3/8" or "0-0-3", in mm.

    Parameters
    ----------
    text : str
        A length as a table prints it, without a minus: see `parse_printed_length`. With "mm" or "in" after it, it is
        in that unit whatever the units are; a plain number is in mm where the units are feet-inches-eighths.
    units : UnitName
        Of the hull file.

    Raises
    ------
    ValueError
        With what is expected.

    Examples
    --------
    >>> [parse_given_length(*one) for one in (("10", "mm"), ("10 mm", "in"), ("10", "ft-in-8"), ("1/2in", "mm"))]
    [10.0, 10.0, 10.0, 12.7]
    """
    plain = text.strip()
    if plain.endswith("mm"):
        plain, units = plain[:-2].rstrip(), "mm"
    elif plain.endswith("in"):
        number, units = plain[:-2].rstrip(), "in"
        plain = number if _DECIMAL.fullmatch(number) else plain
    if plain.startswith(("-", "+", "−")):
        raise ValueError("a sign before a length; give it without")
    if units == "ft-in-8" and _DECIMAL.fullmatch(plain):
        units = "mm"
    return parse_printed_length(plain, units)


def to_mm(value: object, units: UnitName) -> float:
    """Return a length from a hull file in mm.

    Parameters
    ----------
    value : object
        A number in "mm" and "in", a string such as "2-3-4" in "ft-in-8"; a plain 0 is the same in all of them.
    units : UnitName

    Raises
    ------
    ValueError
        Another type, a number that is not finite, or text that is not feet-inches-eighths.
    """
    if isinstance(value, str):
        if units != "ft-in-8":
            raise ValueError(f"text where a number is wanted; write lengths in {_SPOKEN[units]} without quotes")
        return parse_feet_inches_eighths(value)
    number = _finite_number(value)
    if units == "ft-in-8" and number != 0:
        raise ValueError('a plain number in a file in feet-inches-eighths; write 2 ft 3 4/8 in as "2-3-4"')
    return number * MM_PER_INCH if units == "in" else number


def _finite_number(value: object) -> float:
    """Return a whole or decimal number as a float; booleans are not numbers. Raises ValueError."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("not a number")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise ValueError("not a finite number")
    return number


def step_of(lengths: Iterable[float], units: MeasuredUnits) -> float:
    """Return what figures are rounded to, mm: the coarsest division of a rule of which nearly all are multiples.

    Of a rule in mm these are 1, 0.5 and 0.1 mm, of one in inches eighths to sixty-fourths; the finest where none
    fits.
    """
    figures = np.array([*lengths], dtype=np.float64)
    steps = _STEPS["mm" if units == "mm" else "in"]
    for step in steps:
        is_finer = np.abs(figures / step - np.round(figures / step)) >= _WHOLE
        if np.sum(is_finer) <= FINER * len(figures):
            return step
    return steps[-1]


def spread_of(step: float) -> float:
    """Return the standard deviation of an honest figure rounded to `step`, mm: of reading it and of rounding.

    Source: a number rounded to a step is off by any amount up to half of it alike, so its variance is step² / 12.
    """
    return float(np.sqrt(READING**2 + step**2 / 12.0))
