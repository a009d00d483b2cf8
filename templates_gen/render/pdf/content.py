"""The pens: one width and one dash for each kind of line, distinct in black and white."""

import contextlib
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Hole, Label, Piece, Role
from templates_gen.render.pdf.letters import EM_PER_CAPITAL, Lettering, text_width


@dataclass(frozen=True)
class Pen:
    """A line's width and dash (lengths of stroke, gap, stroke …; none: unbroken), mm; its grey: 0 black, 1 white."""

    width: float
    dash: tuple[float, ...] = ()
    grey: float = 0.0


PENS: dict[Role, Pen] = {
    Role.HATCH: Pen(0.13, (), 0.5),
    Role.NOTE: Pen(0.18, (), 0.5),
    Role.DATUM: Pen(0.18, (9.0, 1.2, 0.6, 1.2, 0.6, 1.2)),
    Role.CENTRELINE: Pen(0.25, (9.0, 1.2, 0.6, 1.2)),
    Role.FOLD: Pen(0.35, (0.35, 1.4)),
    Role.FAR: Pen(0.25, (2.0, 1.2)),
    Role.SCRIBE: Pen(0.25, (6.0, 0.8)),
    Role.BEVEL: Pen(0.35),
    Role.ROUGH: Pen(0.35, (5.0, 4.0)),
    Role.CUT: Pen(0.5),
}
"""In the order they are laid down, the cut line last.

Source: widths of the series 0.13 0.18 0.25 0.35 0.5 0.7 of ISO 128-2; its kinds of line (dashed, long-dashed dotted,
long-dashed double-dotted, dotted) from memory, with gaps widened to be seen at arm's length. HATCH stands apart from
NOTE by its many parallel strokes.
"""

FINE = Pen(0.13)
THIN = Pen(0.18)
MIDDLE = Pen(0.25)
WIDE = Pen(0.5)
JOINT = Pen(0.13, (1.5, 1.5))
"""Along which neighbouring sheets are trimmed and joined."""


Array = NDArray[np.float64]
Segment = tuple[float, float, float, float]

_CIRCLE = 4 / 3 * (math.sqrt(2) - 1)
"""Handle of a quarter circle drawn as a Bézier curve; it leaves the circle by 0.03 % of the radius at most."""


@dataclass
class Element:
    """A part of a tagged page for those who do not see it: a heading, a paragraph, a table, a figure.

    Attributes
    ----------
    tag : str
        One of the standard types of ISO 32000-1, 14.8.4: "H1", "P", "Table", "Figure" …
    alt : str
        What a figure shows, in words.
    children : list of Element and int
        Parts, and numbers of the page's marked sequences of content.
    """

    tag: str
    alt: str = ""
    children: "list[Element | int]" = field(default_factory=list)


class Content:
    """A list of drawing operators; every length is in millimetres. It keeps no state but the pen between calls.

    Where `is_tagged`, `elements` says what the content is; `links` are places of the page that lead to another.
    `texts` are the start (x, y), the end (x, y) and the height of all that is written.
    """

    def __init__(self, lettering: Lettering, is_tagged: bool = False) -> None:
        self._lettering = lettering
        self._parts: list[str] = []
        self._pen: Pen | None = None
        self._is_tagged = is_tagged
        self._page = Element("Page")
        self._open = [self._page]
        self._marked = 0
        self.links: list[tuple[tuple[float, float, float, float], str]] = []
        self.texts: list[tuple[float, float, float, float, float]] = []

    @property
    def elements(self) -> "list[Element | int]":
        """Return what the page consists of, in the order of reading; empty where it is not tagged."""
        return self._page.children

    @contextlib.contextmanager
    def group(self, tag: str) -> Iterator[None]:
        """Make the elements that follow parts of one: a table, a row."""
        if not self._is_tagged:
            yield
            return
        element = Element(tag)
        self._open[-1].children.append(element)
        self._open.append(element)
        yield
        self._open.pop()

    @contextlib.contextmanager
    def tagged(self, tag: str, alt: str = "") -> Iterator[None]:
        """Tag what is drawn meanwhile as one element."""
        if not self._is_tagged:
            yield
            return
        self.raw(f"/{tag} <</MCID {self._marked}>> BDC")
        self._open[-1].children.append(Element(tag, alt, [self._marked]))
        self._marked += 1
        yield
        self.raw("EMC")

    def figure(self, alt: str) -> str:
        """Add a figure that is drawn by other means; return the operator that comes before it, EMC comes after."""
        self._open[-1].children.append(Element("Figure", alt, [self._marked]))
        self._marked += 1
        return f"/Figure <</MCID {self._marked - 1}>> BDC"

    @contextlib.contextmanager
    def decoration(self) -> Iterator[None]:
        """Mark what is drawn meanwhile as no part of the text: rules, the foot of the page."""
        if self._is_tagged:
            self.raw("/Artifact BMC")
        yield
        if self._is_tagged:
            self.raw("EMC")

    def link(self, left: float, bottom: float, right: float, top: float, key: str) -> None:
        """Make a part of the page, mm, lead to the page of a key."""
        self.links.append(((left, bottom, right, top), key))

    def operators(self) -> str:
        """Return everything drawn so far; no figure in it is -0, whose sign hangs on digits that are not written."""
        text = "\n".join(self._parts)
        for digits in (3, 4, 8):
            zero = f"{0:.{digits}f} "
            text = text.replace(f"-{zero}", zero)
        return text

    def _take(self, pen: Pen) -> None:
        """Take up a pen, unless it is in hand."""
        if pen != self._pen:
            dash = " ".join(f"{length:g}" for length in pen.dash)
            self._parts.append(f"{pen.width:g} w [{dash}] 0 d {pen.grey:g} G")
            self._pen = pen

    def segments(self, segments: Iterable[Segment], pen: Pen) -> None:
        """Draw straight lines (x, y, x, y)."""
        self._take(pen)
        self._parts.append(" ".join(f"{a:.4f} {b:.4f} m {c:.4f} {d:.4f} l" for a, b, c, d in segments) + " S")

    def line(self, x0: float, y0: float, x1: float, y1: float, pen: Pen) -> None:
        """Draw one straight line."""
        self.segments([(x0, y0, x1, y1)], pen)

    def rectangle(self, left: float, bottom: float, width: float, height: float, pen: Pen) -> None:
        """Draw an upright rectangle."""
        self._take(pen)
        self._parts.append(f"{left:.4f} {bottom:.4f} {width:.4f} {height:.4f} re S")

    def paths(self, paths: Iterable[tuple[Array, bool]], pen: Pen) -> None:
        """Draw lines through points, shape (n, 2), rounded to 0.001 mm, each with whether it is closed."""
        self._take(pen)
        for points, closed in paths:
            text = ("%.3f %.3f l " * len(points)) % tuple(points.ravel().tolist())
            self._parts.append(f"{text.replace('l', 'm', 1)}{'h ' if closed else ''}S")

    def circle(self, x: float, y: float, radius: float, pen: Pen) -> None:
        """Draw a circle."""
        self._take(pen)
        r, k = radius, _CIRCLE * radius
        quarters = ((r, k, k, r, 0, r), (-k, r, -r, k, -r, 0), (-r, -k, -k, -r, 0, -r), (k, -r, r, -k, r, 0))
        curves = " ".join(
            f"{x + a:.4f} {y + b:.4f} {x + c:.4f} {y + d:.4f} {x + e:.4f} {y + f:.4f} c"
            for a, b, c, d, e, f in quarters
        )
        self._parts.append(f"{x + r:.4f} {y:.4f} m {curves} h S")

    def text(self, x: float, y: float, text: str, height: float, anchor: str = "start", angle: float = 0.0) -> None:
        """Write `text`, capitals `height` high, its start, middle or end at (x, y), along `angle` in radians."""
        if not text:
            return
        cosine, sine = math.cos(angle), math.sin(angle)
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * text_width(text, height)
        x, y = x - back * cosine, y - back * sine
        start, size = (x, y), height * EM_PER_CAPITAL
        turned = f"{cosine:.8f} {sine:.8f} {-sine:.8f} {cosine:.8f}"
        for name, codes, width in self._lettering.encoded(text):
            self._parts.append(f"BT {name} {size:.5f} Tf {turned} {x:.4f} {y:.4f} Tm <{codes}> Tj ET")
            x, y = x + width * height * cosine, y + width * height * sine
        self.texts.append((*start, x, y, height))

    def label_on_white(self, x: float, y: float, text: str, height: float) -> None:
        """Write `text` with its middle at (x, y) on a white ground; never used on a template."""
        width = text_width(text, height) + height
        self._parts.append(f"1 g {x - width / 2:.4f} {y - 0.5 * height:.4f} {width:.4f} {2 * height:.4f} re f 0 g")
        self.text(x, y, text, height, "middle")

    def fill(self, points: Array, colour: tuple[float, float, float]) -> None:
        """Fill an outline, shape (n, 2), mm, with a colour of red, green and blue, 0 to 1."""
        red, green, blue = colour
        text = ("%.3f %.3f l " * len(points)) % tuple(points.ravel().tolist())
        self._parts.append(f"{red:g} {green:g} {blue:g} rg {text.replace('l', 'm', 1)}h f 0 g")

    def ink(self, grey: float) -> None:
        """Set what is written next in a grey: 0 black, 1 white."""
        self._parts.append(f"{grey:g} g")

    def raw(self, operators: str) -> None:
        """Add operators as they are."""
        self._parts.append(operators)


_LARGE = 8.0
"""mm: labels this high or higher are printed grey, so that what lies over them stays legible."""

_GREY = 0.55


def draw_piece(content: Content, piece: Piece) -> None:
    """Draw all of `piece` in its own millimetres."""
    for label in piece.labels:
        if label.height >= _LARGE:
            content.ink(_GREY)
            _draw_label(content, label)
            content.ink(0)
    for role, pen in PENS.items():
        paths = [(path.points, path.closed) for path in piece.paths if path.role is role]
        if paths:
            content.paths(paths, pen)
    for hole in piece.holes:
        _draw_hole(content, hole)
    for label in piece.labels:
        if label.height < _LARGE:
            _draw_label(content, label)


def _draw_label(content: Content, label: Label) -> None:
    """Write one label."""
    content.text(*label.at, label.text, label.height, label.anchor, math.remainder(label.angle, 2 * math.pi))


def _draw_hole(content: Content, hole: Hole) -> None:
    """Draw a hole as it is cut, with a fine cross over its centre."""
    x, y = hole.centre
    reach = hole.diameter / 2 + 1.5
    content.segments([(x - reach, y, x + reach, y), (x, y - reach, x, y + reach)], FINE)
    content.circle(x, y, hole.diameter / 2, PENS[Role.CUT])
