"""Pictures of a hull's lines: each row with its batten, and how far each figure is from where others want it."""

from collections.abc import Sequence
from xml.sax.saxutils import escape

import numpy as np

from templates_gen.hull.fairness import suspects
from templates_gen.hull.fairness_residuals import Residual, residuals
from templates_gen.hull.model import Hull
from templates_gen.numerics.curves import Batten
from templates_gen.units import spoken_length

WIDTH, PANEL = 900.0, 205.0
_LEFT, _RIGHT, _TOP = 40.0, 30.0, 28.0
_CURVE, _BARS = 90.0, 52.0
_SAMPLES = 200


def rows_svg(hull: Hull) -> str:
    """Return an SVG drawing of every row of a hull's lines; rows with a figure that is not fair come first.

    Notes
    -----
    Each row's figures are dots over their stations with a batten through them. Under them stands a bar for each:
    how far it lies from where all others want it, up when it is more, with a tick at twice the spread to be
    expected there. A figure that is not fair has a ring, its value and what is wanted.
    """
    given = hull.given or hull
    found = {(one.named.row, one.named.column, one.named.measure) for one in suspects(given)}
    rows: dict[tuple[str, str], list[Residual]] = {}
    for one in residuals(given):
        rows.setdefault((one.named.row, one.named.measure), []).append(one)

    def is_fair(key: tuple[str, str]) -> bool:
        return not any((one.named.row, one.named.column, one.named.measure) in found for one in rows[key])

    at = [station.at for station in given.stations]
    panels = []
    for place, key in enumerate(sorted(rows, key=is_fair)):
        drawn = _panel(hull, key, sorted(rows[key], key=lambda one: one.x), found, (min(at), max(at)))
        panels.append(f'<g transform="translate(0 {place * PANEL:g})">{drawn}</g>')
    height = max(len(panels), 1) * PANEL
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH:g} {height:g}" width="{WIDTH:g}" '
    style = 'font-family="sans-serif" font-size="11" fill="none" stroke="black" stroke-width="1"'
    ground = f'<rect width="{WIDTH:g}" height="{height:g}" fill="white" stroke="none"/>'
    return f'{head}height="{height:g}" {style}>{ground}{"".join(panels)}</svg>\n'


def _panel(
    hull: Hull,
    key: tuple[str, str],
    row: Sequence[Residual],
    found: set[tuple[str, str, str]],
    extent: tuple[float, float],
) -> str:
    """Return one row's drawing; `extent`: x of the first and the last station."""
    x, value = np.array([one.x for one in row]), np.array([one.value for one in row])
    across = _LEFT + (x - extent[0]) / max(extent[1] - extent[0], 1e-9) * (WIDTH - _LEFT - _RIGHT)
    span = max(float(np.ptp(value)), 1.0)
    up = _TOP + _CURVE - (value - value.min()) / span * (_CURVE - 12.0)
    title = key[0] if key[0].startswith(key[1]) or key[1] == "point" else f"{key[0]} {key[1]}"
    parts = [_text(_LEFT, 16.0, title, 13)]
    if len(row) > 2:
        points = Batten(np.column_stack([across, up]))
        at = points.point(np.linspace(0.0, float(points.knots[-1]), _SAMPLES))
        parts.append(f'<polyline points="{" ".join(f"{a:.1f},{b:.1f}" for a, b in at)}"/>')
    off = np.array([one.value - one.expected for one in row])
    twice = np.array([2.0 * one.spread for one in row])
    scale = _BARS / 2 / max(float(np.max(np.abs(off))), float(np.median(twice)), 1e-9)
    middle = _TOP + _CURVE + 10.0 + _BARS / 2
    parts.append(f'<line x1="{_LEFT:g}" x2="{WIDTH - _RIGHT:g}" y1="{middle:.1f}" y2="{middle:.1f}"/>')
    for one, a, b, miss, tick in zip(row, across, up, off, twice, strict=True):
        parts.append(f'<circle cx="{a:.1f}" cy="{b:.1f}" r="2.5" fill="black"/>')
        parts.append(
            f'<line x1="{a:.1f}" x2="{a:.1f}" y1="{middle:.1f}" y2="{middle - miss * scale:.1f}" stroke-width="4"/>'
        )
        parts += [_tick(a, middle - side * tick * scale) for side in (-1, 1) if tick * scale <= _BARS / 2]
        parts.append(_text(a, _TOP + _CURVE + _BARS + 22.0, one.named.column, 9, "middle"))
        if (one.named.row, one.named.column, one.named.measure) in found:
            said = one.named.text or f"{one.value:.1f}"
            words = f"{said}: the others want {spoken_length(one.expected, hull.units)}"
            parts.append(f'<circle cx="{a:.1f}" cy="{b:.1f}" r="8" stroke-width="2"/>')
            parts.append(_text(min(a + 12.0, WIDTH - 230.0), max(b - 10.0, 12.0), words, 11))
    parts.append(_text(WIDTH - _RIGHT, 16.0, f"greatest miss {float(np.max(np.abs(off))):.1f} mm", 11, "end"))
    return "".join(parts)


def _tick(across: float, up: float) -> str:
    return f'<line x1="{across - 4:.1f}" x2="{across + 4:.1f}" y1="{up:.1f}" y2="{up:.1f}"/>'


def _text(across: float, up: float, words: str, size: int, anchor: str = "start") -> str:
    place = f'x="{across:.1f}" y="{up:.1f}" font-size="{size}" text-anchor="{anchor}"'
    return f'<text {place} fill="black" stroke="none">{escape(words)}</text>'
