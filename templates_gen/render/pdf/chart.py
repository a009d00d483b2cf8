"""Charts of figures along a line, drawn as vectors by reportlab's charts."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from templates_gen.render.pdf.letters import EM_PER_CAPITAL, FONT_NAME, font
from templates_gen.units import PT_PER_MM

if TYPE_CHECKING:
    from reportlab.graphics.shapes import Drawing


Anchor = Literal["start", "middle", "end"]

LETTERS = 2.2
"""Height of capitals in a chart, mm."""

_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
_MOST_STEPS = 8
_NOTHING = 1e-6
Dash = tuple[float, ...]

_DASHES: tuple[Dash, ...] = ((), (5.0, 2.0), (1.0, 2.0), (7.0, 2.0, 1.0, 2.0))
_LEFT, _BELOW, _ABOVE = 12.0, 8.0, 6.0


@dataclass(frozen=True)
class Series:
    """One line of a chart: its name and its points (x, y)."""

    name: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Chart:
    """A chart: lines over one length, with named places along it.

    Attributes
    ----------
    title : str
    series : tuple of Series
        Told apart by their dashes.
    places : tuple of (str, float)
        Upright lines with a name over each.
    step : float
        From figure to figure along the line.
    spoken : callable
        A figure along the line in the builder's words.
    marked : tuple of (float, float)
        Points to be marked with a dot.
    """

    title: str
    series: tuple[Series, ...]
    places: tuple[tuple[str, float], ...]
    step: float
    spoken: Callable[[float], str]
    marked: tuple[tuple[float, float], ...] = ()


def even_step(span: float) -> float:
    """Return a round step that divides a span into eight parts at most."""
    return next((step for step in _STEPS if span / step <= _MOST_STEPS), _STEPS[-1])


def chart_drawing(chart: Chart, width: float, height: float) -> "Drawing":
    """Return a reportlab drawing of a chart, `width` by `height` mm."""
    from reportlab.graphics.charts.lineplots import LinePlot
    from reportlab.graphics.shapes import Drawing
    from reportlab.lib import colors

    font()
    drawing = Drawing(width * PT_PER_MM, height * PT_PER_MM)
    plot = LinePlot()
    plot.x, plot.y = _LEFT * PT_PER_MM, _BELOW * PT_PER_MM  # type: ignore[assignment]  # points need not be whole
    plot.width = (width - _LEFT - 3.0) * PT_PER_MM  # type: ignore[assignment]
    plot.height = (height - _BELOW - _ABOVE - 7.0) * PT_PER_MM  # type: ignore[assignment]
    plot.data = [list(series.points) for series in chart.series]
    plot.joinedLines = 1
    for i in range(len(chart.series)):
        plot.lines[i].strokeColor = colors.black
        plot.lines[i].strokeWidth = 1.3 if i == 0 else 0.9
        plot.lines[i].strokeDashArray = _DASHES[i % len(_DASHES)] or None
    low, high = _axes(plot, chart)
    drawing.add(plot)
    dressing = _Dressing(drawing, plot, (low, high), (height - 4.0) * PT_PER_MM)
    dressing.mark(chart)
    dressing.explain(chart)
    return drawing


def _axes(plot: object, chart: Chart) -> tuple[float, float]:
    """Set both axes; return the least and greatest of the upright one."""
    from reportlab.lib import colors

    x_axis, y_axis = plot.xValueAxis, plot.yValueAxis  # type: ignore[attr-defined]
    values = [y for series in chart.series for _, y in series.points]
    values = [value if abs(value) > _NOTHING else 0.0 for value in values]
    step = even_step(max(max(values), 0.0) - min(min(values), 0.0) or 1.0)
    low, high = math.floor(min(min(values), 0.0) / step) * step, math.ceil(max(max(values), 0.0) / step) * step
    high = high if high > low else low + step
    y_axis.valueMin, y_axis.valueMax, y_axis.valueStep = low, high, step
    y_axis.labelTextFormat = lambda value: f"{value:.1f}" if step < 1.0 else f"{value:.0f}"
    end = max(x for series in chart.series for x, _ in series.points)
    x_axis.valueMin, x_axis.valueMax = 0.0, end
    x_axis.valueSteps = [k * chart.step for k in range(int(end / chart.step) + 1)]
    x_axis.labelTextFormat = chart.spoken
    x_axis.joinAxisMode = "bottom"
    for axis in (x_axis, y_axis):
        axis.labels.fontName = FONT_NAME
        axis.labels.fontSize = LETTERS * EM_PER_CAPITAL * PT_PER_MM
        axis.visibleGrid = 1
        axis.gridStrokeColor = colors.Color(0.8, 0.8, 0.8)
        axis.gridStrokeWidth = 0.3
    return low, high


class _Dressing:
    """Title, places, dots, the line of nothing and the meaning of the lines, added to a plot."""

    def __init__(self, drawing: "Drawing", plot: object, span: tuple[float, float], level: float) -> None:
        self.add = drawing.add
        self.left, self.bottom = plot.x, plot.y  # type: ignore[attr-defined]
        self.wide, self.tall = plot.width, plot.height  # type: ignore[attr-defined]
        self.end = plot.xValueAxis.valueMax  # type: ignore[attr-defined]
        self.span, self.level = span, level
        self.size = LETTERS * EM_PER_CAPITAL * PT_PER_MM

    def across(self, x: float) -> float:
        """Return where a distance along the land stands, pt."""
        return float(self.left + self.wide * x / self.end)

    def up(self, y: float) -> float:
        """Return where a value stands, pt."""
        return float(self.bottom + self.tall * (y - self.span[0]) / (self.span[1] - self.span[0]))

    def write(self, x: float, y: float, text: str, anchor: Anchor = "start", scale: float = 1.0) -> None:
        """Write at a place, pt."""
        from reportlab.graphics.shapes import String

        self.add(String(x, y, text, fontName=FONT_NAME, fontSize=self.size * scale, textAnchor=anchor))

    def line(
        self, start: tuple[float, float], stop: tuple[float, float], grey: float, width: float, dash: Dash
    ) -> None:
        """Draw a line, pt."""
        from reportlab.graphics.shapes import Line
        from reportlab.lib import colors

        one = Line(*start, *stop, strokeColor=colors.Color(grey, grey, grey), strokeWidth=width)
        one.strokeDashArray = dash or None  # type: ignore[assignment]  # None: unbroken
        self.add(one)

    def mark(self, chart: Chart) -> None:
        """Add title, places and dots."""
        from reportlab.graphics.shapes import Circle
        from reportlab.lib import colors

        self.write(self.left - 8.0 * PT_PER_MM, self.level, chart.title, scale=1.25)
        self.line((self.left, self.up(0.0)), (self.left + self.wide, self.up(0.0)), 0.0, 0.5, ())
        top = self.bottom + self.tall
        for name, place in chart.places:
            x = self.across(place)
            self.line((x, self.bottom), (x, top), 0.45, 0.5, ())
            self.write(x + (1.5 if place <= 0.0 else 0.0) * PT_PER_MM, top + 1.2 * PT_PER_MM, name, "middle")
        for place, value in chart.marked:
            self.add(Circle(self.across(place), self.up(value), 1.8, fillColor=colors.black, strokeColor=None))

    def explain(self, chart: Chart) -> None:
        """Say what each line means, from the right; nothing where there is only one."""
        if len(chart.series) == 1:
            return
        x, middle = self.left + self.wide, self.level + self.size * 0.35
        for i, series in reversed(list(enumerate(chart.series))):
            x -= (len(series.name) * 0.62 + 1.0) * self.size
            self.write(x, self.level, series.name)
            ends = ((x - 14.0 * PT_PER_MM, middle), (x - 2.0 * PT_PER_MM, middle))
            self.line(*ends, 0.0, 1.3 if i == 0 else 0.9, _DASHES[i % len(_DASHES)])
            x -= 16.0 * PT_PER_MM
