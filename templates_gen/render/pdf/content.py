"""What is drawn on a page or in a form, in millimetres, as the operators of ISO 32000-1."""

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from templates_gen.render.pdf.letters import EM_PER_CAPITAL, Lettering, text_width
from templates_gen.render.pdf.pens import Pen

Array = NDArray[np.float64]
Segment = tuple[float, float, float, float]

_CIRCLE = 4 / 3 * (math.sqrt(2) - 1)
"""Handle of a quarter circle drawn as a Bézier curve; it leaves the circle by 0.03 % of the radius at most."""


class Content:
    """A list of drawing operators; every length is in millimetres. It keeps no state but the pen between calls."""

    def __init__(self, lettering: Lettering) -> None:
        self._lettering = lettering
        self._parts: list[str] = []
        self._pen: Pen | None = None

    def operators(self) -> str:
        """Return everything drawn so far."""
        return "\n".join(self._parts)

    def _take(self, pen: Pen) -> None:
        """Take up a pen, unless it is in hand."""
        if pen != self._pen:
            dash = " ".join(f"{length:g}" for length in pen.dash)
            self._parts.append(f"{pen.width:g} w [{dash}] 0 d")
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
        size = height * EM_PER_CAPITAL
        turned = f"{cosine:.8f} {sine:.8f} {-sine:.8f} {cosine:.8f}"
        for name, codes, width in self._lettering.encoded(text):
            self._parts.append(f"BT {name} {size:.5f} Tf {turned} {x:.4f} {y:.4f} Tm <{codes}> Tj ET")
            x, y = x + width * height * cosine, y + width * height * sine

    def label_on_white(self, x: float, y: float, text: str, height: float) -> None:
        """Write `text` with its middle at (x, y) on a white ground; never used on a template."""
        width = text_width(text, height) + height
        self._parts.append(f"1 g {x - width / 2:.4f} {y - 0.5 * height:.4f} {width:.4f} {2 * height:.4f} re f 0 g")
        self.text(x, y, text, height, "middle")

    def ink(self, grey: float) -> None:
        """Set what is written next in a grey: 0 black, 1 white."""
        self._parts.append(f"{grey:g} g")

    def raw(self, operators: str) -> None:
        """Add operators as they are."""
        self._parts.append(operators)
