"""Sketches on the blank forms, not to scale: a section through an old plank that shows where it is measured before it
comes off, and what is read off a spiling batten.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.words import piece_name

Array = NDArray[np.float64]

BEFORE = (
    "Before you take the old plank off:",
    "1  Lower land: scribe along the old plank's lower edge on the outside of the strake below.",
    "2  Upper mark: prick the old plank's upper inside corner on each timber.",
    "3  Bevel above, first: hold an offcut as thick as the strake above on the old plank, tight under that",
    "    strake's edge. Hold a straight scrap flat on the offcut. Measure the gap to the strake above, square to the",
    "    scrap, and the width along the scrap from the edge. Where it does not lie flat on the offcut, hold it flat",
    "    on the strake above and measure the gap to the offcut: the land is hollow, write minus.",
    "4  Bevel below: the same way on the strake below, with an offcut as thick as the old plank.",
    "5  width_above, at each end, inside: from the upper mark to the upper edge of the strake above.",
)
"""What is measured while the old plank is on: afterwards the bevel above cannot be read on the boat."""

_THICK, _LAP, _WIDE, _BEVEL = 8.0, 17.0, 56.0, float(np.radians(13.0))
_LEAN = float(np.radians(124.0))
"""Of the section: thickness, lap, width (mm), bevel, and how the strake below leans, anticlockwise from level."""

_TEXT, _ROW = 2.4, 4.4
_PAPER = (0.0, 184.0, 132.0)
"""Left, right and upper edge of the section's frame, mm."""

_SHOWN = 26.0
"""How much of the strake below is drawn under the old plank's edge, mm."""

_BLOCK, _SCRAP = 12.0, 1.6
"""The offcut's length and the scrap's thickness, mm."""

WIDTH, HEIGHT = 72.0, 96.0
"""Size of the sketch of a spiling batten, mm."""

_LETTERS = 2.0
_ARROW = 1.8
_LINE = 66.0
"""Height of the straight line of the upper sketch, mm from the sketch's foot."""


@dataclass(frozen=True)
class _Strake:
    """A strake in section, outside to the left.

    `corner` is its lower inside corner, `up` the way up along its faces, shape (2,); `planed` is what comes off its
    upper edge outside, mm; it is drawn from `start` up, mm.
    """

    corner: Array
    up: Array
    planed: float
    start: float = 0.0

    def at(self, up: float, out: float) -> Array:
        """Return the point so far up from its lower edge and out from its inner face."""
        return np.asarray(self.corner + up * self.up + out * np.array([-self.up[1], self.up[0]]))

    def path(self, *points: tuple[float, float], is_closed: bool = True) -> Path:
        """Return a line through points given as in `at`."""
        return Path(np.array([self.at(*point) for point in points]), Role.NOTE, closed=is_closed)

    @property
    def outline(self) -> Path:
        """Return its outline."""
        turn, edge = (_WIDE - _LAP, _THICK), (_WIDE, _THICK - self.planed)
        return replace(self.path((self.start, 0.0), (self.start, _THICK), turn, edge, (_WIDE, 0.0)), role=Role.BEVEL)


def _strakes() -> tuple[_Strake, _Strake, _Strake]:
    """The strake below, the old plank and the strake above, each turned in by the bevel from the one under it."""
    found: list[_Strake] = []
    corner, planed = np.array([124.0, 2.0]), _LAP * float(np.tan(_BEVEL))
    for k in range(3):
        angle = _LEAN - k * _BEVEL
        start = 0.0 if k else _WIDE - _LAP - _SHOWN
        found.append(_Strake(corner, np.array([np.cos(angle), np.sin(angle)]), planed if k < 2 else 0.0, start))
        corner = found[-1].at(_WIDE - _LAP, _THICK)
    below, old, above = found
    return below, old, above


def plank_section() -> Piece:
    """Return the section with what is measured on it, and under it the order of measuring."""
    below, old, above = _strakes()
    rows = [Label(text, (_PAPER[0] + 3.0, -2.0 - _ROW * k), _TEXT) for k, text in enumerate(BEFORE)]
    left, right, top = _PAPER
    rows.append(
        Label("Where to measure: a section through the old plank (not to scale)", (left + 3.0, top - 6.0), 3.0)
    )
    bottom = rows[-2].at[1] - _ROW
    paths = [
        Path(np.array([(left, bottom), (right, bottom), (right, top), (left, top)]), Role.NOTE, closed=True),
        *(strake.outline for strake in (below, old, above)),
        _timber([strake.at(_WIDE, 0.0) for strake in (below, old, above)]),
        *_bevel_read(old, 32.0, is_measured=True),
        *_bevel_read(below, 16.0, is_measured=False),
    ]
    for paths_of, words in (_named(below, old, above), _width_above(old, above)):
        paths += paths_of
        rows += words
    about = About("strake", part="sections")
    return Piece(
        "section sketch",
        "strakes",
        ("Where to measure: a section through the old plank, not to scale",),
        tuple(paths),
        labels=tuple(rows),
        is_paper=True,
        about=about,
    )


def _timber(corners: list[Array]) -> Path:
    """A timber inside, which touches the upper inside corners, given from below up, each shape (2,)."""
    first = corners[0] + 0.3 * (corners[0] - corners[1])
    outer = np.array([first, *corners])
    return Path(np.concatenate([outer, outer[::-1] + np.array([11.0, 3.0])]), Role.NOTE, closed=True)


def _bevel_read(lower: _Strake, reach: float, is_measured: bool) -> list[Path]:
    """The offcut on a land's lower strake and the scrap on it, which reaches so far up over the upper one, mm."""
    edge, face = _WIDE - _LAP, 2 * _THICK
    foot = edge - _BLOCK
    block = lower.path((foot, _THICK), (edge - 0.6, _THICK), (edge - 0.6, face), (foot, face))
    scrap = lower.path((foot, face), (edge + reach, face), (edge + reach, face + _SCRAP), (foot, face + _SCRAP))
    if not is_measured:
        return [block, scrap]
    at = reach - 1.0
    gap = at * float(np.tan(_BEVEL)) + _THICK - _THICK / float(np.cos(_BEVEL))
    along = face + 5.0
    return [
        block,
        scrap,
        lower.path((edge + at, face), (edge + at, face - gap), is_closed=False),
        lower.path((edge, along), (edge + at, along), is_closed=False),
        *(lower.path((end, along - 1.5), (end, along + 1.5), is_closed=False) for end in (edge, edge + at)),
    ]


def _named(below: _Strake, old: _Strake, above: _Strake) -> tuple[list[Path], list[Label]]:
    """What each part is called, and the numbers of what is measured, with lines to it."""
    edge, aside = _WIDE - _LAP, 2 * _THICK
    pointed = (
        ("1 lower land", old.at(0.0, 0.0), np.array([34.0, -3.0])),
        ("2 upper mark", old.at(_WIDE, 0.0), np.array([36.0, -6.0])),
        ("3 gap", old.at(edge + 31.0, aside - 3.0), np.array([-24.0, 6.0])),
        ("3 width", old.at(edge + 15.0, aside + 5.0), np.array([-18.0, 2.0])),
        ("3 scrap", old.at(edge + 2.0, aside + _SCRAP), np.array([-26.0, 0.0])),
        ("3 offcut", old.at(edge - _BLOCK / 2, _THICK * 1.5), np.array([-30.0, -3.0])),
        ("4 scrap", below.at(edge + 2.0, aside + _SCRAP), np.array([-26.0, 0.0])),
        ("4 offcut", below.at(edge - _BLOCK / 2, _THICK * 1.5), np.array([-30.0, -3.0])),
        ("strake above", above.at(_WIDE - 6.0, _THICK / 2), np.array([-30.0, 4.0])),
        ("old plank", old.at(18.0, _THICK / 2), np.array([-46.0, 4.0])),
        ("strake below", below.at(edge - _SHOWN / 1.2, _THICK / 2), np.array([-40.0, -2.0])),
        ("timber", below.at(_WIDE - 14.0, -8.0), np.array([26.0, 0.0])),
    )
    paths, labels = [], [Label("OUTSIDE", (8.0, 20.0), _TEXT), Label("INSIDE", (160.0, 20.0), _TEXT)]
    for words, point, by in pointed:
        paths.append(Path(np.array([point, point + by]), Role.NOTE))
        x, y = (point + by).tolist()
        is_left = by[0] < 0.0
        labels.append(
            Label(
                words, (x - 1.0 if is_left else x + 1.0, y - 0.4 * _TEXT), _TEXT, anchor="end" if is_left else "start"
            )
        )
    return paths, labels


def _width_above(old: _Strake, above: _Strake) -> tuple[list[Path], list[Label]]:
    """The width of the strake above, inside, from the upper mark to its upper edge."""
    aside = np.array([20.0, 3.0])
    low, high = old.at(_WIDE, 0.0), above.at(_WIDE, 0.0)
    ends = [Path(np.array([point, point + 1.1 * aside]), Role.NOTE) for point in (low, high)]
    x, y = ((low + high) / 2 + 1.1 * aside).tolist()
    return [*ends, Path(np.array([low, high]) + aside, Role.NOTE)], [Label("5 width_above", (x, y), _TEXT)]


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
        labels.append(_label(point, x + 2.5, float(tip[1]) - (0.0 if way > 0.0 else _LETTERS)))
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
    return Label(text, (x, y), _LETTERS)
