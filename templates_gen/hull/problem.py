"""Problems of a file by their keys, and the same as faults with line and value, in the order of the file."""

from collections.abc import Iterable
from dataclasses import dataclass

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.names import shown_key
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.text import SourceFile, shortened
from templates_gen.units import UnitName, format_length


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong.

    Attributes
    ----------
    path : KeyPath
        The key that it is about; lists count from 0. If the file lacks it, the table that should hold it is reported.
    text : str
        What is wrong and what to do about it.
    expected : str
        What was expected there.
    about : str
        A word of the trade, as in errors.Fault.
    value : str or None
        The value in question, if it is not the one at `path` in the file.
    is_missing : bool
        Whether the file lacks the key.
    """

    path: KeyPath
    text: str
    expected: str = ""
    about: str = "file"
    value: str | None = None
    is_missing: bool = False


def spelled(path: KeyPath) -> str:
    """Return a key path as a builder counts: ``station[2].section[4][1]``, every number from 1."""
    words = ""
    for part in path:
        words += f"[{part + 1}]" if isinstance(part, int) else f".{shown_key(part)}" if words else shown_key(part)
    return words


def spoken(length: float, units: UnitName) -> str:
    """Return a length in mm as messages give it: in the file's units, with the unit."""
    if units == "mm":
        return f"{round(length, 2):g} mm"
    return f"{format_length(length, units)} in" if units == "in" else format_length(length, units)


def located_faults(problems: Iterable[Problem], source: SourceFile) -> list[tuple[Problem, Fault]]:
    """Return each problem with its fault, in the order of their places in the file, which is sound TOML."""
    located = [(source.nearest_place(problem.path), problem) for problem in problems]
    located.sort(key=lambda pair: (pair[0].line, pair[0].start))
    return [(problem, _fault(problem, source, place.line)) for place, problem in located]


def _fault(problem: Problem, source: SourceFile, line: int) -> Fault:
    """Return a problem as a fault of its file."""
    return Fault(
        text=problem.text,
        key=spelled(problem.path),
        value=_value(problem, source),
        expected=problem.expected,
        about=problem.about,
        file=source.name,
        line=line,
    )


def _value(problem: Problem, source: SourceFile) -> str:
    """Return the value as written in the file, unless the problem brings its own."""
    if problem.value is not None:
        return problem.value
    place = source.places.get(problem.path)
    return shortened(source.text[place.start : place.stop]) if place is not None else ""


def refused(problems: Iterable[Problem], source: SourceFile) -> HullFileError:
    """Return the error of a file that has problems."""
    return HullFileError([fault for _, fault in located_faults(problems, source)])
