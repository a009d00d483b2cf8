"""Problems of a file as faults: each with its line and the value as written, in the order of the file."""

from collections.abc import Iterable
from pathlib import Path

from templates_gen.errors import Fault
from templates_gen.hull.positions import KeyPath, Place, places
from templates_gen.hull.problem import Problem, spelled
from templates_gen.hull.text import shortened


def located_faults(problems: Iterable[Problem], text: str, path: Path) -> list[tuple[Problem, Fault]]:
    """Return each problem with its fault, in the order of their places in the file.

    Parameters
    ----------
    problems : iterable of Problem
    text : str
        The file's text, which is sound TOML.
    path : Path
    """
    found = places(text)
    located = [(_nearest_place(problem.path, found), problem) for problem in problems]
    located.sort(key=lambda pair: (pair[0].line, pair[0].start))
    return [
        (
            problem,
            Fault(
                text=problem.text,
                key=spelled(problem.path),
                value=_value(problem, found, text),
                expected=problem.expected,
                about=problem.about,
                file=shortened(str(path), 200),
                line=place.line,
            ),
        )
        for place, problem in located
    ]


def _nearest_place(path: KeyPath, found: dict[KeyPath, Place]) -> Place:
    """Return the place of a key path, or of the table that lacks it; line 0 when the file itself lacks it."""
    while path and path not in found:
        path = path[:-1]
    return found[path] if path else Place(0, 0, 0)


def _value(problem: Problem, found: dict[KeyPath, Place], text: str) -> str:
    """Return the value found, as written in the file unless the problem brings its own."""
    if problem.value is not None:
        return problem.value
    place = found.get(problem.path)
    return shortened(text[place.start : place.stop]) if place is not None else ""
