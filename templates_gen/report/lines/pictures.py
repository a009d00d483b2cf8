"""Pictures of a hull's lines: each row with its batten, and how far each figure is from where the others lead."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from xml.sax.saxutils import escape

import numpy as np
from numpy.typing import NDArray

from templates_gen.fairness.figures import Named
from templates_gen.fairness.suspects import Residual, Suspect, residuals, suspects
from templates_gen.hull.model import Hull
from templates_gen.numerics.curves import Batten
from templates_gen.report.lines.unfair import wanted

WIDTH, PANEL, HEAD = 900.0, 205.0, 30.0
_LEFT, _RIGHT, _TOP = 40.0, 30.0, 28.0
_CURVE, _BARS = 90.0, 52.0
_SAMPLES = 200
_LEGEND = (
    "Dots: the figures, with a batten through them. Bars: how far each is from where all the others lead; "
    "ticks: twice the spread there. Rings: not fair."
)

Array = NDArray[np.float64]


def rows_svg(hull: Hull) -> str:
    """Return an SVG drawing of every row of a hull's lines; rows with a figure that is not fair come first.

    Notes
    -----
    Each row's figures are dots over their stations with a batten through them. Under them stands a bar for each:
    how far it lies from where all others lead, up when it is more, with a tick at twice the spread expected there.
    A figure that is not fair has a ring, its value and what `check` expects: where the others lead without it and
    without those that are likelier to be wrong.
    """
    given = hull.given or hull
    suspected = {_key(suspect.named): suspect for suspect in suspects(given)}
    rows: dict[tuple[str, str], list[Residual]] = {}
    for figure in residuals(given):
        rows.setdefault((figure.named.row, figure.named.measure), []).append(
            _judged(figure, suspected.get(_key(figure.named)))
        )
    unfair = {key: any(_key(figure.named) in suspected for figure in row) for key, row in rows.items()}
    at = [station.at for station in given.stations]
    panels = [_text(_LEFT, 18.0, _LEGEND, 10)]
    for place, key in enumerate(sorted(rows, key=lambda key: not unfair[key])):
        row = sorted(rows[key], key=lambda figure: figure.x)
        drawn = "".join(_panel(given, key, row, suspected, (min(at), max(at))))
        panels.append(f'<g transform="translate(0 {HEAD + place * PANEL:g})">{drawn}</g>')
    height = HEAD + len(rows) * PANEL
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {height:g}" width="{WIDTH:g}" '
    style = 'font-family="sans-serif" font-size="11" fill="none" stroke="black" stroke-width="1"'
    ground = f'<rect width="{WIDTH:g}" height="{height:g}" fill="white" stroke="none"/>'
    return f'{head}height="{height:g}" {style}>{ground}{"".join(panels)}</svg>\n'


def is_picture(data: bytes) -> bool:
    """Return whether the bytes of a file are a picture that `rows_svg` has drawn."""
    return data.startswith(b"<svg ") and _LEGEND.encode() in data


def _key(named: Named) -> tuple[str, str, str]:
    return named.row, named.column, named.measure


def _judged(figure: Residual, suspect: Suspect | None) -> Residual:
    """Return a figure; if it is not fair, with where the others lead once the worse ones are left out."""
    return figure if suspect is None else replace(figure, expected=figure.value - suspect.miss, spread=suspect.spread)


def _panel(
    hull: Hull,
    key: tuple[str, str],
    row: Sequence[Residual],
    suspected: dict[tuple[str, str, str], Suspect],
    extent: tuple[float, float],
) -> Iterator[str]:
    """Yield one row's drawing; `extent`: x of the first and the last station."""
    x, value = np.array([figure.x for figure in row]), np.array([figure.value for figure in row])
    across = _LEFT + (x - extent[0]) / max(extent[1] - extent[0], 1e-9) * (WIDTH - _LEFT - _RIGHT)
    up = _TOP + _CURVE - (value - value.min()) / max(float(np.ptp(value)), 1.0) * (_CURVE - 12.0)
    yield _text(_LEFT, 16.0, key[0] if key[0].startswith(key[1]) or key[1] == "point" else " ".join(key), 13)
    yield from _curve(across, up)
    yield from _bars(row, across)
    for figure, a, b in zip(row, across, up, strict=True):
        yield _text(a, _TOP + _CURVE + _BARS + 22.0, figure.named.column, 9, "middle")
        suspect = suspected.get(_key(figure.named))
        if suspect is not None:
            words = f"{figure.named.text or f'{figure.value:.1f}'}: {wanted(suspect, hull)}"
            yield f'<circle cx="{a:.1f}" cy="{b:.1f}" r="8" stroke-width="2"/>'
            yield _text(min(a + 12.0, WIDTH - 230.0), max(b - 10.0, 12.0), words, 11)


def _curve(across: Array, up: Array) -> Iterator[str]:
    """Yield a row's figures with a batten through them."""
    if len(across) > 2:
        batten = Batten(np.column_stack([across, up]))
        at = batten.point(np.linspace(0.0, float(batten.knots[-1]), _SAMPLES))
        yield f'<polyline points="{" ".join(f"{a:.1f},{b:.1f}" for a, b in at)}"/>'
    for a, b in zip(across, up, strict=True):
        yield f'<circle cx="{a:.1f}" cy="{b:.1f}" r="2.5" fill="black"/>'


def _bars(row: Sequence[Residual], across: Array) -> Iterator[str]:
    """Yield how far each figure of a row is from where the others lead, and the expected spread."""
    off = np.array([figure.value - figure.expected for figure in row])
    twice = np.array([2.0 * figure.spread for figure in row])
    scale = _BARS / 2 / max(float(np.max(np.abs(off))), float(np.median(twice)), 1e-9)
    middle = _TOP + _CURVE + 10.0 + _BARS / 2
    yield f'<line x1="{_LEFT:g}" x2="{WIDTH - _RIGHT:g}" y1="{middle:.1f}" y2="{middle:.1f}"/>'
    for a, miss, tick in zip(across, off, twice, strict=True):
        yield f'<line x1="{a:.1f}" x2="{a:.1f}" y1="{middle:.1f}" y2="{middle - miss * scale:.1f}" stroke-width="4"/>'
        if tick * scale <= _BARS / 2:
            yield from (_tick(a, middle - side * tick * scale) for side in (-1, 1))
    yield _text(WIDTH - _RIGHT, 16.0, f"greatest miss {float(np.max(np.abs(off))):.1f} mm", 11, "end")


def _tick(across: float, up: float) -> str:
    return f'<line x1="{across - 4:.1f}" x2="{across + 4:.1f}" y1="{up:.1f}" y2="{up:.1f}"/>'


def _text(across: float, up: float, words: str, size: int, anchor: str = "start") -> str:
    """Words on white, so that no line runs through them."""
    place = f'x="{across:.1f}" y="{up:.1f}" font-size="{size}" text-anchor="{anchor}"'
    ground = 'fill="black" stroke="white" stroke-width="3" paint-order="stroke"'
    return f"<text {place} {ground}>{escape(words)}</text>"
