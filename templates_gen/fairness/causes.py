"""What may have gone wrong with a figure: a slip that turns the expected figure into the one that was written."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from templates_gen.fairness.figures import Named
from templates_gen.hull.lengths import parse_printed_length
from templates_gen.units import MM_PER_INCH, UnitName

SLIPS: tuple[tuple[str, float], ...] = (
    ("a slip of an eighth of an inch", MM_PER_INCH / 8),
    ("a slip of a quarter of an inch", MM_PER_INCH / 4),
    ("a slip of half an inch", MM_PER_INCH / 2),
    ("a slip of an inch", MM_PER_INCH),
    ("a slip of a foot", MM_PER_INCH * 12),
)
"""Slips by name, mm."""

METRIC_SLIPS: tuple[tuple[str, float], ...] = (("a slip of 10 mm", 10.0), ("a slip of 100 mm", 100.0))

NEXT_COLUMN = "a figure from the next column"
EXCHANGED = "two digits exchanged"
BREADTH = "a breadth for a half-breadth"

WITHIN, CLOSE, SHARE = 3.0, 4.0, 0.4
"""A slip is likely if it explains the difference to within this many spreads or this many mm, whichever is more; it
may leave no more than this share of the difference."""

_SAME = 0.05


@dataclass(frozen=True)
class Cause:
    """A slip that explains a figure: its words, and the right figure, mm (None when it cannot be known)."""

    words: str
    corrected: float | None


def likely_cause(named: Named, expected: float, spread: float, units: UnitName) -> Cause | None:
    """Return the likeliest slip that turns the expected figure into the one that was written, or None.

    Parameters
    ----------
    named : Named
    expected, spread : float
        The figure that the others predict, and its standard deviation, mm.

    Notes
    -----
    A figure equal to that of the next column is taken to be it. Of the other slips that explain the difference, the
    one that leaves least is returned.
    """
    if any(abs(named.value - one) < _SAME for one in named.neighbours):
        return Cause(NEXT_COLUMN, None)
    limit = min(max(WITHIN * spread, CLOSE), SHARE * abs(named.value - expected))
    left = [(abs(corrected - expected), words, corrected) for words, corrected in _corrections(named, units)]
    fits = sorted(one for one in left if one[0] <= limit)
    return Cause(fits[0][1], fits[0][2]) if fits else None


def _corrections(named: Named, units: UnitName) -> Iterator[tuple[str, float]]:
    """Yield each slip with the figure before it."""
    for words, size in SLIPS + (METRIC_SLIPS if units == "mm" else ()):
        yield words, named.value - size
        yield words, named.value + size
    if named.measure == "half-breadth":
        yield BREADTH, named.value / 2
    for value in _exchanged(named, units):
        yield EXCHANGED, value


def _exchanged(named: Named, units: UnitName) -> Iterator[float]:
    """Yield the figures that result when two neighbouring digits are exchanged."""
    for text in exchanged_texts(named.text or (f"{named.value:g}" if units == "mm" else "")):
        try:
            yield parse_printed_length(text, units)
        except ValueError:
            continue


def exchanged_texts(text: str) -> Iterator[str]:
    """Yield a printed figure with two neighbouring digits exchanged, one pair that differs at a time."""
    digits = [index for index, letter in enumerate(text) if letter in "0123456789"]
    for first, second in pairwise(digits):
        if text[first] != text[second]:
            letters = list(text)
            letters[first], letters[second] = letters[second], letters[first]
            yield "".join(letters)
