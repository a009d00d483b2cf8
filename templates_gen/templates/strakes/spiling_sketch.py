"""A sketch of what is read off a spiling batten: batten, straight line, along and offset; and two arcs to a point."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.words import piece_name

Array = NDArray[np.float64]

WIDTH, HEIGHT = 72.0, 96.0
"""Size of the sketch, mm; it is not to scale."""

_TEXT = 2.0
_ARROW = 1.8
_LINE = 66.0
"""Height of the straight line of the upper sketch, mm from the sketch's foot."""


def spiling_sketch() -> Piece:
    """Return the sketch, in the first quadrant: by offsets above, by two arcs below."""
    above, below = _by_offsets(), _by_arcs()
    about = About("strake", part="sketch")
    return Piece(
        piece_name(about),
        "strakes",
        ("What is read off the batten",),
        (*above[0], *below[0]),
        labels=(*above[1], *below[1]),
        is_paper=True,
        about=about,
    )


def _by_offsets() -> tuple[list[Path], list[Label]]:
    low, high = _edge(_LINE - 14.0), _edge(_LINE + 10.0)
    at = 44.0
    foot, head = ((at, float(np.interp(at, line[:, 0], line[:, 1]))) for line in (low, high))
    paths = [
        Path(low, Role.SCRIBE),
        Path(high, Role.SCRIBE),
        _line((low[0, 0], low[0, 1]), (high[0, 0], high[0, 1]), Role.SCRIBE),
        _box(4.0, _LINE - 3.5, WIDTH, _LINE + 3.5),
        _line((4.0, _LINE), (WIDTH, _LINE), Role.DATUM),
        *_dimension((4.0, _LINE - 8.0), (at, _LINE - 8.0)),
        *_dimension((at, _LINE), head),
        *_dimension((at, _LINE), foot),
    ]
    labels = [
        _label("Fore end left, SHEER up (not to scale)", 0.0, HEIGHT - 3.0),
        _label("marks of the strake: upper edge", 4.0, _LINE + 20.0),
        _label("offset +", at + 1.5, _LINE + 6.5),
        _label("offset -", at + 1.5, _LINE - 12.0),
        _label("along", 18.0, _LINE - 7.0),
        _label("straight line", 14.0, _LINE + 0.8),
        _label("batten", 58.0, _LINE - 2.8),
        _label("lap or rabbet line: lower edge", 20.0, _LINE - 18.5),
    ]
    return paths, labels


def _by_arcs() -> tuple[list[Path], list[Label]]:
    """Two arcs, swung from a mark above the batten and from a point of the lower line below it."""
    line, reach, half = 20.0, 17.0, 9.0
    paths = [_box(4.0, line - 3.5, WIDTH, line + 3.5), _line((4.0, line), (WIDTH, line), Role.DATUM)]
    labels = [_label("By two arcs: the batten lies between both edges", 0.0, 40.0)]
    aside = float(np.sqrt(reach**2 - half**2))
    for x, way, point in ((20.0, 1.0, "mark"), (54.0, -1.0, "lower edge")):
        tip = np.array([x, line + way * aside])
        for sign in (-1.0, 1.0):
            centre = np.array([x + sign * half, line])
            toward = np.arctan2(*(centre - tip)[::-1])
            angles = toward + np.linspace(-0.25, 0.25, 9)
            paths.append(Path(tip + reach * np.stack([np.cos(angles), np.sin(angles)], axis=1), Role.SCRIBE))
            paths.append(_line((tip[0], tip[1]), (centre[0], centre[1]), Role.NOTE))
        labels.append(_label(point, x + 2.5, float(tip[1]) - (0.0 if way > 0.0 else _TEXT)))
        labels.append(_label("radius", x + half / 2 + 2.0, line + way * aside / 2 - (0.0 if way > 0.0 else 1.5)))
        labels += [
            _label(word, x + at, line - way * 6.5 - 1.0) for word, at in (("1st", -half - 2.0), ("2nd", half - 2.0))
        ]
    return paths, labels


def _edge(middle: float) -> Array:
    """A strake's edge: higher at its ends than in the middle."""
    x = np.linspace(6.0, WIDTH - 2.0, 25)
    return np.stack([x, middle + 6.0 * ((x - 40.0) / 34.0) ** 2], axis=1)


def _line(start: tuple[float, float], end: tuple[float, float], role: Role) -> Path:
    return Path(np.array([start, end]), role)


def _box(left: float, bottom: float, right: float, top: float) -> Path:
    return Path(np.array([[left, bottom], [right, bottom], [right, top], [left, top]]), Role.NOTE, closed=True)


def _dimension(start: tuple[float, float], end: tuple[float, float]) -> list[Path]:
    """A line with an arrow's head at its far end and a stroke across its near one."""
    a, b = np.array(start), np.array(end)
    along = (b - a) / np.linalg.norm(b - a)
    across = np.array([-along[1], along[0]])
    barbs = np.array([b - _ARROW * (along - 0.4 * across), b, b - _ARROW * (along + 0.4 * across)])
    stroke = np.array([a - across, a + across])
    return [_line(start, end, Role.NOTE), Path(barbs, Role.NOTE), Path(stroke, Role.NOTE)]


def _label(text: str, x: float, y: float) -> Label:
    return Label(text, (x, y), _TEXT)
