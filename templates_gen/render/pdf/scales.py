"""What a printed sheet is checked by, both ways: scales along the title strip, and a tick a round length above it.

The tick stands at an edge of the sheet, where nothing else is drawn, so that it takes no room from the drawing.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.marks import label_boxes
from templates_gen.paper.sheet import Affine, Rectangle, Sheet
from templates_gen.paper.tiling import ARM
from templates_gen.render.pdf.content import THIN, Content
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import Page, Placement
from templates_gen.units import MM_PER_INCH, PT_PER_MM, UnitName

Array = NDArray[np.float64]
Side = Literal["left", "right"]

Text = tuple[float, float, float, float, float]
"""Start (x, y), end (x, y) and height of what is written, mm."""

Lines = tuple[Array, Array, Rectangle]
"""Starts and ends of straight lines, mm on the page, and what of them is shown."""

SCALE = 100.0
"""mm: length of the scale along the strip's upper edge."""

SIDE = 1.5
"""mm between the strip's ends, its parts and what stands in them."""

_LONG, _SHORT = 1.5, 1.0
"""mm: ticks of the scales, at their ends and between."""

_PRINT = "Print at 100 %: "
_LINES = "; sizes are to the middle of the line"

_REACH, _HALF = 2.5, 2.0
"""mm: how far the tick reaches in from the edge, and how far its foot runs along the edge to either side."""

_CLEAR = 1.0
"""mm kept between it and what is drawn."""

_LEVELS = (200.0, 150.0, 100.0, *range(250, 90, -10))
_INCH_LEVELS = (8.0, 6.0, 4.0, 9.0, 7.0, 5.0)
"""How far above the strip it stands, mm and inches: the first that is free on the sheet."""


@dataclass(frozen=True)
class HeightCheck:
    """The tick: at which edge, how far above the strip's upper line, mm, and that in the builder's units."""

    side: Side
    height: float
    words: str


def draw_scales(content: Content, sheet: Sheet, units: UnitName) -> None:
    """Draw the scales on the upper edge of the title strip."""
    box = sheet.title
    _scale(content, (box.left, box.top), (10.0, 10))
    if units != "mm":
        _scale(content, (box.right, box.top), (-MM_PER_INCH / 2, 4))


def _scale(content: Content, start: tuple[float, float], steps: tuple[float, int]) -> None:
    """Draw a line of (length, count) steps from `start`, with a tick down at each, longer ticks at its ends."""
    (x, y), (step, count) = start, steps
    ticks = [(x + step * k, y, x + step * k, y - (_LONG if k in (0, count) else _SHORT)) for k in range(count + 1)]
    content.segments([(x, y, x + step * count, y), *ticks], THIN)


def draw_height_check(content: Content, page: Page, units: UnitName) -> HeightCheck | None:
    """Draw the tick of a page with templates, where there is room for one, and return where it stands."""
    box, check = page.sheet.title, height_check(page, units, content.texts)
    if check is not None:
        edge, inwards = (box.left, 1.0) if check.side == "left" else (box.right, -1.0)
        y = box.top + check.height
        content.segments([(edge, y - _HALF, edge, y + _HALF), (edge, y, edge + inwards * _REACH, y)], THIN)
    return check


def scale_words(check: HeightCheck | None, units: UnitName) -> Iterator[str]:
    """Yield the wordings for the scales and the tick, the longest first."""
    in_mm = f"{SCALE:g} mm"
    if units == "mm":
        long, short, them = f"scale {in_mm}", in_mm, "it"
    else:
        long, short, them = f"left scale {in_mm}, right scale 2 in", f"{in_mm}, 2 in", "them"
    if check is None:
        yield f"{_PRINT}{long}{_LINES}"
        yield f"{_PRINT}{long}"
        yield f"{_PRINT}{short}"
        return
    yield f"{_PRINT}{long}, tick at the {check.side} edge {check.words} above {them}{_LINES}"
    yield f"{_PRINT}{long}, tick at the {check.side} edge {check.words} above {them}"
    yield f"{_PRINT}{long}, {check.side} tick {check.words} up"
    yield f"{_PRINT}{short}, {check.side} tick {check.words} up"
    yield f"{_PRINT}{short}, {check.side} tick {check.words}"


def height_check(page: Page, units: UnitName, texts: Sequence[Text] = ()) -> HeightCheck | None:
    """Return where the tick of a page stands; None where the page holds no templates, or has no room for one.

    `texts` are what is written on the page besides what its templates say, see `Content`.
    """
    if not page.placements:
        return None
    drawing = page.sheet.drawing
    if units == "mm":
        levels = [(height, f"{height:g} mm") for height in _LEVELS]
    else:
        levels = [(height * MM_PER_INCH, f"{height:g} in") for height in _INCH_LEVELS]
    every = [_lines(placement) for placement in page.placements]
    every.append(_boxes(texts, drawing))
    taken = {side: _taken(every, drawing, side) for side in ("left", "right")}
    for height, words in levels:
        if height + _HALF + _CLEAR > drawing.height:
            continue
        y, reach = drawing.bottom + height, _HALF + _CLEAR
        for side, (low, high) in taken.items():
            if not ((low < y + reach) & (high > y - reach)).any():
                return HeightCheck("left" if side == "left" else "right", height, words)
    return None


def _taken(every: Sequence[Lines], area: Rectangle, side: str) -> tuple[Array, Array]:
    """Return from where to where up an edge of the sheet something is drawn near it, two arrays, mm on the page."""
    reach = _REACH + _CLEAR
    left, right = (area.left, area.left + reach) if side == "left" else (area.right - reach, area.right)
    lows, highs = [], []
    for starts, ends, clip in every:
        if clip.left <= right and clip.right >= left:
            low, high = _between(starts, ends, left, right)
            is_shown = (low < clip.top) & (high > clip.bottom)
            lows.append(low[is_shown])
            highs.append(high[is_shown])
    return np.concatenate([np.zeros(0), *lows]), np.concatenate([np.zeros(0), *highs])


def _boxes(texts: Sequence[Text], area: Rectangle) -> Lines:
    """Return the sides of the boxes that texts fill, as far as they may stand at the edges of a sheet."""
    x0, y0, x1, y1, height = np.array(texts, dtype=np.float64).reshape(-1, 5).T
    starts, ends = np.stack([x0, y0], axis=1), np.stack([x1, y1], axis=1)
    along = (ends - starts) / np.maximum(np.hypot(x1 - x0, y1 - y0), 1e-9)[:, None]
    over = height[:, None] * np.stack([-along[:, 1], along[:, 0]], axis=1)
    low, high = -0.35 * over, 1.1 * over
    corners = [starts + low, ends + low, ends + high, starts + high]
    return np.concatenate(corners), np.concatenate([*corners[1:], corners[0]]), area


def _lines(placement: Placement) -> Lines:
    """Return all straight lines of a placement, its labels' boxes included."""
    part = placement.part
    lines = [np.concatenate([path.points, path.points[:1]]) if path.closed else path.points for path in part.paths]
    lines += [np.concatenate([box, box[:1]]) for box in label_boxes(part.labels, text_width)]
    for at, reach in (
        *((hole.centre, hole.diameter / 2 + SIDE) for hole in part.holes),
        *((cross.at, ARM) for cross in placement.crosses),
    ):
        lines.append(np.asarray(at) + reach * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]]))
    starts, ends = (np.concatenate([line[cut] for line in lines]) for cut in (slice(None, -1), slice(1, None)))
    to_page = Affine(*placement.matrix).scaled(1 / PT_PER_MM)
    return to_page.apply(starts), to_page.apply(ends), placement.clip


def _between(starts: Array, ends: Array, left: float, right: float) -> tuple[Array, Array]:
    """Return the least and the greatest y of those lines that lie between two uprights, as far as they do."""
    x0, x1 = starts[:, 0], ends[:, 0]
    meets = (np.minimum(x0, x1) <= right) & (np.maximum(x0, x1) >= left)
    starts, ends = starts[meets], ends[meets]
    run = ends[:, 0] - starts[:, 0]
    is_upright = np.abs(run) < 1e-9
    safe = np.where(is_upright, 1.0, run)
    shares = np.stack([(edge - starts[:, 0]) / safe for edge in (left, right)])
    first, last = shares.min(axis=0).clip(0.0, 1.0), shares.max(axis=0).clip(0.0, 1.0)
    first, last = np.where(is_upright, 0.0, first), np.where(is_upright, 1.0, last)
    rise = ends[:, 1] - starts[:, 1]
    y0, y1 = starts[:, 1] + first * rise, starts[:, 1] + last * rise
    return np.minimum(y0, y1), np.maximum(y0, y1)
