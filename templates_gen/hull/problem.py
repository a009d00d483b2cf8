"""Problem: one thing wrong with a hull file, by its key path; line and value are looked up when it is reported."""

import re
from dataclasses import dataclass

from templates_gen.hull.positions import KeyPath
from templates_gen.units import UnitName, format_length

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]{1,40}")


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong.

    Attributes
    ----------
    path : KeyPath
        Where it is; lists count from 0. The nearest place that the file has is reported.
    text : str
        What is wrong and what would cure it.
    expected : str
        What was expected there.
    about : str
        A word of the trade, as in errors.Fault.
    value : str or None
        The value found, if it is not the one that stands at `path` in the file.
    """

    path: KeyPath
    text: str
    expected: str = ""
    about: str = "file"
    value: str | None = None


def spelled(path: KeyPath) -> str:
    """Return a key path as a builder counts: ``station[2].section[4][1]``, every number from 1."""
    words = ""
    for part in path:
        words += f"[{part + 1}]" if isinstance(part, int) else f".{shown_key(part)}" if words else shown_key(part)
    return words


def shown_key(key: str) -> str:
    """Return a key from the file fit to stand in a message: quoted where the file quotes it, cut at 40 letters."""
    if _BARE_KEY.fullmatch(key):
        return key
    key = key if len(key) <= 40 else key[:39] + "…"
    return f'"{key}"' if key.isprintable() else f'"{ascii(key)[1:-1]}"'


def spoken(length: float, units: UnitName) -> str:
    """Return a length in mm as a person says it in the file's units, with the unit."""
    if units == "mm":
        return f"{round(length, 2):g} mm"
    return f"{format_length(length, units)} in" if units == "in" else format_length(length, units)
