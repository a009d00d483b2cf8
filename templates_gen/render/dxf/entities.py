"""The text of the entities of a DXF drawing, of release 2000 and of release 12.

Only LWPOLYLINE (in release 12 POLYLINE), CIRCLE and TEXT entities are used: no splines, which some programs refuse.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from templates_gen.drawing.piece import Array, Label
from templates_gen.render.dxf.layers import INFO, Pen
from templates_gen.render.dxf.polylines import BULGE_DECIMALS

Release = Literal["r12", "r2000"]
FIRST_HANDLE = 0x10000
"""Greater than any handle of the empty drawing."""

POINT = " 10\n%.4f\n 20\n%.4f\n"
BULGE = f" 42\n%.{BULGE_DECIMALS}f\n"
ANCHORS = {"start": 0, "middle": 1, "end": 2}


def layer_name(layer: str, release: Release) -> str:
    """Return a layer's name as a release takes it: release 12 takes no point in "DRILL-2.3"."""
    return layer.replace(".", "_") if release == "r12" else layer


@dataclass(frozen=True)
class Owner:
    """Where entities go: the handle of a block or of the model space, the release, and the handles still free."""

    handle: str
    release: Release
    handles: Iterator[int]

    def polyline(self, pen: Pen, points: Array, bulges: Array, closed: bool) -> str:
        """Return a line through points, shape (n, 2), mm, with the bulge of each span, shape (n,)."""
        rows = zip(points.tolist(), bulges.tolist(), strict=True)
        if self.release == "r2000":
            placed = (POINT % (x, y) + (BULGE % bulge if bulge else "") for (x, y), bulge in rows)
            head = self._head("LWPOLYLINE", pen, "AcDbPolyline")
            return f"{head} 90\n{len(points)}\n 70\n{int(closed)}\n{''.join(placed)}"
        layer = Pen(pen.layer)
        vertices = (
            self._head("VERTEX", layer, "") + POINT % (x, y) + " 30\n0.0\n" + (BULGE % bulge if bulge else "")
            for (x, y), bulge in rows
        )
        head = self._head("POLYLINE", pen, "") + " 66\n1\n 10\n0.0\n 20\n0.0\n 30\n0.0\n"
        return f"{head} 70\n{int(closed)}\n{''.join(vertices)}{self._head('SEQEND', layer, '')}"

    def circle(self, layer: str, x: float, y: float, radius: float) -> str:
        """Return a circle, mm."""
        return (
            self._head("CIRCLE", Pen(layer_name(layer, self.release)), "AcDbCircle")
            + POINT % (x, y)
            + f" 30\n0.0\n 40\n{radius:.4f}\n"
        )

    def words(self, label: Label, at: tuple[float, float]) -> str:
        """Return a line of words to read, in plain ASCII, standing at `at`, mm."""
        text = label.text.replace("%%", "% %").replace("^", "^ ")
        x, y = at
        second = self._subclass("AcDbText")
        anchored = f" 72\n{ANCHORS[label.anchor]}\n 11\n{x:.2f}\n 21\n{y:.2f}\n 31\n0.0\n"
        return (
            f"{self._head('TEXT', Pen(INFO), 'AcDbText')} 10\n{x:.2f}\n 20\n{y:.2f}\n 30\n0.0\n"
            f" 40\n{label.height:.2f}\n  1\n{text}\n"
            f" 50\n{_degrees(label.angle):.3f}\n{anchored if label.anchor != 'start' else ''}{second}"
        )

    def _head(self, kind: str, pen: Pen, subclass: str) -> str:
        """Return what every entity begins with."""
        line_type = f"  6\n{pen.line_type}\n" if pen.line_type else ""
        number = f"  0\n{kind}\n  5\n{next(self.handles):X}\n"
        if self.release == "r12":
            return f"{number}  8\n{pen.layer}\n{line_type}"
        return f"{number}330\n{self.handle}\n100\nAcDbEntity\n  8\n{pen.layer}\n{line_type}{self._subclass(subclass)}"

    def _subclass(self, name: str) -> str:
        return f"100\n{name}\n" if self.release == "r2000" else ""


def _degrees(angle: float) -> float:
    """Return an angle in radians as degrees from 0 up to 360."""
    return round(float(angle) * 57.29577951308232, 3) % 360.0 + 0.0
