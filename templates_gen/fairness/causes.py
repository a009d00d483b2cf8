"""What may have gone wrong with a figure: a slip that turns the expected figure into the one that stands there."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from templates_gen.fairness.figures import Named
from templates_gen.units import MM_PER_INCH, UnitName, parse_printed_length

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
"""A slip is likely if it accounts for the difference to within so many spreads, or so many mm, whichever is more; but
what it leaves is never more than this share of the difference."""

_SAME = 0.05


@dataclass(frozen=True)
class Cause:
    """A slip that accounts for a figure: its words, and what the figure then was, mm (None when that is lost)."""

    words: str
    corrected: float | None


def likely_cause(named: Named, expected: float, spread: float, units: UnitName) -> Cause | None:
    """Return the likeliest slip that turns what is expected into what stands there, or None.

    Parameters
    ----------
    named : Named
    expected, spread : float
        The figure that the others want, and its standard deviation, mm.

    Notes
    -----
    A figure that is the very one of the next column is taken for that. Of the other slips that account for the
    difference, the one that leaves least.
    """
    if any(abs(named.value - one) < _SAME for one in named.beside):
        return Cause(NEXT_COLUMN, None)
    limit = min(max(WITHIN * spread, CLOSE), SHARE * abs(named.value - expected))
    left = [(abs(corrected - expected), words, corrected) for words, corrected in _corrections(named, units)]
    fits = sorted(one for one in left if one[0] <= limit)
    return Cause(fits[0][1], fits[0][2]) if fits else None


def _corrections(named: Named, units: UnitName) -> Iterator[tuple[str, float]]:
    """Yield each slip with what the figure was before it."""
    for words, size in SLIPS + (METRIC_SLIPS if units == "mm" else ()):
        yield words, named.value - size
        yield words, named.value + size
    if named.measure == "half-breadth":
        yield BREADTH, named.value / 2
    for value in _exchanged(named, units):
        yield EXCHANGED, value


def _exchanged(named: Named, units: UnitName) -> Iterator[float]:
    """Yield the figures that stand there once two neighbouring digits are exchanged."""
    text = named.text or (f"{named.value:g}" if units == "mm" else "")
    digits = [found.start() for found in re.finditer(r"[0-9]", text)]
    for first, second in pairwise(digits):
        if text[first] == text[second]:
            continue
        letters = list(text)
        letters[first], letters[second] = letters[second], letters[first]
        try:
            yield parse_printed_length("".join(letters), units)
        except ValueError:
            continue
