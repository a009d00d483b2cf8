"""The names of a table's lines: what each measure may be of, and what the words of a row's second column mean."""

import math
from collections.abc import Iterator

from templates_gen.hull.names import hint, nearest_word, shown_key
from templates_gen.hull.offsets.table import LineKind, Measure
from templates_gen.hull.schema import LONGEST
from templates_gen.units import DEG_PER_RAD, UnitName, parse_printed_length

LINES: dict[Measure, tuple[LineKind, ...]] = {
    "distance": ("distance",),
    "height": ("sheer", "deck", "rabbet", "keel", "buttock"),
    "half-breadth": ("sheer", "deck", "rabbet", "waterline"),
    "diagonal": ("diagonal",),
}
"""The lines that each measure may be of."""


_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—−", "-"))


def with_hyphens(text: str) -> str:
    """Return a text with plain hyphens in place of the dashes that word processors make of them."""
    return text.translate(_DASHES)


def measure_of(text: str) -> Measure | None:
    """Return what a row measures, by the word of its first column; None if it is no measure."""
    word = "-".join(with_hyphens(text).lower().replace("_", " ").replace("-", " ").split())
    return next((measure for measure in LINES if word in (measure, f"{measure}s")), None)


def described(measure: Measure, name: str, units: UnitName) -> tuple[LineKind, float, float]:
    """Return the kind of a line, its level and its angle, by the words of its second column. Raises ValueError."""
    if measure == "distance":
        return "distance", 0.0, 0.0
    words = name.split()
    if measure == "diagonal":
        return _diagonal(words, units)
    kind = next((one for one in LINES[measure] if words and words[0].lower() == one), None)
    if kind is None:
        nearest = nearest_word(words[0], LINES[measure]) if words else None
        raise ValueError(f"there is no line {shown_key(name)} with a {measure}{hint(nearest)}")
    if kind not in ("waterline", "buttock"):
        if len(words) > 1:
            raise ValueError(f"{kind} is written alone; take {shown_key(' '.join(words[1:]))} out")
        return kind, 0.0, 0.0
    what = "height" if kind == "waterline" else "half-breadth"
    return kind, _level(" ".join(words[1:]), f"the {what} of this {kind}", units), 0.0


def _diagonal(words: list[str], units: UnitName) -> tuple[LineKind, float, float]:
    """Return what a diagonal's words say: name, height on the centreline, angle in degrees. Raises ValueError."""
    if len(words) < 3:
        raise ValueError(
            "a diagonal needs a name, its height on the centreline and its angle below the level in degrees"
        )
    level = _level(" ".join(words[1:-1]), "the height of this diagonal on the centreline", units)
    try:
        angle = float(words[-1].rstrip("°"))
    except ValueError:
        angle = math.nan
    if not 0.0 < angle < 90.0:
        raise ValueError("the angle of a diagonal is in degrees below the level; give more than 0 and less than 90")
    return "diagonal", level, angle / DEG_PER_RAD


def _level(text: str, what: str, units: UnitName) -> float:
    try:
        level = parse_printed_length(with_hyphens(text), units)
    except ValueError as reason:
        raise ValueError(f"{what}: {reason}") from None
    if abs(level) > LONGEST:
        raise ValueError(f"{what} is more than 100 m; check units")
    return level


def example_lines(measure: Measure, units: UnitName) -> Iterator[str]:
    """Yield the lines that a measure may be of, as they are written."""
    example = {"mm": "150", "in": "6", "ft-in-8": "0-6-0"}[units]
    for kind in LINES[measure]:
        if kind == "diagonal":
            yield f"A {example} 45"
        else:
            yield f"{kind} {example}" if kind in ("waterline", "buttock") else kind
