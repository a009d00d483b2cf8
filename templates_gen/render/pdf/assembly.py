"""The page that comes before a large piece's tiles: how they go together, and what to measure then."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Piece, Role
from templates_gen.paper.grid import OVERLAP
from templates_gen.paper.sheet import Affine, Rectangle, Sheet, turn
from templates_gen.paper.tiling import Check, Tile, Tiling, check_distances, span_checks
from templates_gen.render.pdf.content import FINE, JOINT, MIDDLE, Content
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import (
    Drawer,
    Header,
    Line,
    Numbers,
    Page,
    columns,
    depth,
    item,
    paragraph,
    set_lines,
    text_pages,
)
from templates_gen.render.pdf.template_pages import tile_key
from templates_gen.units import UnitName, format_length

Array = NDArray[np.float64]

_HEADING = 10.0
"""mm between the top of the drawing area and the map."""

_LABELS = 10.0
"""mm under the map of a single row, for the names of its tiles."""

_LEAST_MAP = 45.0
"""mm: the map is not made lower than this by long notes; they go on overleaf."""

_LONG_DATUM = 300.0
"""mm: a datum line at least so long is laid to a straightedge."""

_ALONG_THE_DATUM = (
    "Join them along a stretched line or a straightedge, with a tape next to it: lay the datum line of each sheet "
    "on the line, and its distances at the same figures of the tape. Then no joint adds its error to the next. Where "
    "the datum line runs off the sheet, set off the figures at the ticks from the line."
)

CHECK_WITHIN = 2.0
"""mm that a check distance may differ: sheets laid to line and tape with care stay within it nineteen times in twenty
(tests/bench/bench_taping.py)."""

_MEASURE = (
    "When all sheets are joined, measure from middle to middle of these crosses. If a distance is more than {off:g} "
    "mm out, open a joint between the two crosses and join it again."
)
_NOT_BENT = " These distances check the length. Only the datum line shows whether the piece is bent."

_NUMBER_OFF = 2.6
"""mm on the map from a cross to its number, along the joint."""

_TEXT_WIDTH = 90.0
"""mm of text next to a map that stands upright."""


@dataclass(frozen=True)
class _Map:
    """The map: the turned piece's millimetres to the page's, and the room for text, as left, top and width, mm."""

    to_page: Affine
    left: float
    top: float
    width: float


def assembly_pages(piece: Piece, layout: Tiling, sheet: Sheet, header: Header) -> list[Page]:
    """Return the pages that show how the tiles of `piece` are joined; the first has its bookmark."""
    corners = turn(layout.angle).apply(np.concatenate([tile.corners() for tile in layout.tiles]))
    low, high = corners.min(axis=0), corners.max(axis=0)
    size = high - low
    ways = (sheet.page, sheet.page.turned)
    way = max(ways, key=lambda way: way.width if size[0] > size[1] else way.height)
    is_upright = size[1] > 2 * size[0]
    if not is_upright and _runs_over(piece, layout, way, header, low, size):
        way = max(ways, key=lambda way: way.height)
    area = way.drawing
    lines = _lines(piece, layout, header, _TEXT_WIDTH if is_upright else area.width)
    plan = _map_left(area, low, size) if is_upright else _map_above(area, low, size, depth(lines))
    rooms = iter([plan.top - area.bottom] + [area.height - _HEADING] * len(lines))
    first, *rest = columns(lines, rooms)
    page = Page(
        way,
        piece.title,
        _draw_assembly(piece, layout, plan, area, first),
        tile="MAP",
        subject=piece.name,
        bookmarks=(piece.name,),
    )
    overleaf = [line for part in rest for line in part]
    return [page, *(text_pages(way, piece.title, f"{piece.name}, continued", overleaf) if overleaf else [])]


def _runs_over(piece: Piece, layout: Tiling, way: Sheet, header: Header, low: Array, size: Array) -> bool:
    """Return whether the text under a map runs over to another page, the sheet lying that way."""
    text = depth(_lines(piece, layout, header, way.drawing.width))
    return text > _map_above(way.drawing, low, size, text).top - way.drawing.bottom


def _map_above(area: Rectangle, low: Array, size: Array, text: float) -> _Map:
    """Return a map over the whole width, the text under it."""
    most = max(area.height - _HEADING - _LABELS - text, _LEAST_MAP)
    scale = min(area.width / size[0], most / size[1])
    left = area.left + (area.width - scale * size[0]) / 2
    bottom = area.top - _HEADING - scale * size[1]
    to_page = Affine(scale, 0.0, 0.0, scale, float(left - scale * low[0]), float(bottom - scale * low[1]))
    return _Map(to_page, area.left, float(bottom) - _LABELS, area.width)


def _map_left(area: Rectangle, low: Array, size: Array) -> _Map:
    """Return a map as high as the page at its left, the text at its right."""
    room = area.width - _TEXT_WIDTH - 8.0
    scale = min(room / size[0], (area.height - _HEADING) / size[1])
    bottom = area.top - _HEADING - scale * size[1]
    to_page = Affine(scale, 0.0, 0.0, scale, float(area.left - scale * low[0]), float(bottom - scale * low[1]))
    return _Map(to_page, area.right - _TEXT_WIDTH, area.top - _HEADING, _TEXT_WIDTH)


def _lines(piece: Piece, layout: Tiling, header: Header, width: float) -> list[Line]:
    """Return what is written by the map: how to join, what to measure, the piece's notes."""
    lines = [line for note in (*lengths_notes(layout), *_joint_notes(layout)) for line in paragraph(note, width)]
    by_datum = layout.is_row and _has_datum(piece)
    if layout.joints and by_datum:
        lines += paragraph(_ALONG_THE_DATUM, width, above=1.5)
    lines += _check_lines(layout, header, width, _NOT_BENT if by_datum else "")
    for note in piece.notes:
        lines += item(note, width, above=1.5)
    return lines


def lengths_notes(layout: Tiling) -> tuple[str, ...]:
    """Return what is to be done with several lengths of a piece on one sheet."""
    if all(len(leaf) == 1 for leaf in layout.leaves):
        return ()
    return (
        "Cut the lengths on each sheet apart, then join them end to end: lay crosses with the same number on top of "
        "each other.",
    )


def _joint_notes(layout: Tiling) -> tuple[str, ...]:
    """Return how two sheets are joined."""
    if not layout.joints:
        return ()
    about = "about " if layout.is_row else ""
    return (
        "To join two sheets, trim one of them along the dashed line through the crosses. Lay it on the dashed line "
        "of the other, so that both halves of each cross meet, and tape them together. Sheets overlap by "
        f"{about}{OVERLAP:g} mm.",
    )


def _has_datum(piece: Piece) -> bool:
    """Return whether a datum line runs along a piece, long enough to lay its sheets by."""
    return any(
        path.role is Role.DATUM and float(np.ptp(path.points, axis=0).max()) >= _LONG_DATUM for path in piece.paths
    )


def _check_lines(layout: Tiling, header: Header, width: float, caution: str) -> list[Line]:
    """Return what is to be measured when the sheets are joined: over all, and metre by metre."""
    checks = check_distances(layout)
    if not checks:
        return []
    lines = paragraph(_MEASURE.format(off=CHECK_WITHIN) + caution, width, above=2.0)
    lines += item("; ".join(_check_text(check, header) for check in checks), width)
    for span in span_checks(layout):
        lines += item("; ".join(_check_text(check, header) for check in span), width, above=0.5)
    return lines


def _check_text(check: Check, header: Header) -> str:
    """Return a distance to be measured."""
    return f"{check.first.number} to {check.second.number}: {_tape_text(check.distance, header.units)}"


def _tape_text(length: float, units: UnitName) -> str:
    """Return a length for a tape measure: to half a millimetre and, for inches, to 1/32 in as well."""
    text = f"{format_length(length, 'mm')} mm"
    return text if units == "mm" else f"{text} ({format_length(length, 'in')} in)"


def _main_lines(piece: Piece, angle: float) -> list[tuple[Array, bool]]:
    """Return the piece's outlines and datum lines (or all lines, if it has none), turned, and whether each closes."""
    chosen = [path for path in piece.paths if path.role in (Role.CUT, Role.DATUM)] or list(piece.paths)
    return [(turn(angle).apply(path.points), path.closed) for path in chosen]


def _draw_assembly(piece: Piece, layout: Tiling, plan: _Map, area: Rectangle, lines: Sequence[Line]) -> Drawer:
    """Return what draws the map with its tiles, page numbers and crosses, and the lines by it."""
    outlines = [(_thinned(plan.to_page.apply(points)), closed) for points, closed in _main_lines(piece, layout.angle)]
    single = layout.is_row or all({"above", "below"}.isdisjoint(tile.neighbours) for tile in layout.tiles)

    def draw(content: Content, numbers: Numbers) -> None:
        content.text(area.left, area.top - 4, f"How the sheets of {piece.name} go together (not to scale)", 3.5)
        cells = [_cell(tile, layout.angle, plan.to_page) for tile in layout.tiles]
        content.paths([(cell, True) for cell in cells], JOINT)
        content.paths(outlines, MIDDLE)
        _draw_map_crosses(content, layout, plan.to_page, single)
        for tile, cell in zip(layout.tiles, cells, strict=True):
            _name_cell(content, cell, tile.name, numbers[tile_key(piece, tile.name)], single)
        set_lines(content, lines, plan.left, plan.top)

    return draw


def _cell(tile: Tile, angle: float, to_map: Affine) -> Array:
    """Return the corners of one tile on the map, as it is when trimmed, shape (4, 2), mm on the page."""
    return to_map.apply(turn(angle).apply(tile.corners(OVERLAP / 2)))


def _draw_map_crosses(content: Content, layout: Tiling, to_map: Affine, single: bool) -> None:
    """Draw the crosses on the map with their numbers; on a single row both numbers of a joint stand above it."""
    for joint in layout.joints:
        places = to_map.apply(turn(layout.angle).apply(np.array([cross.at for cross in joint.crosses])))
        middle = to_map.apply(turn(layout.angle).apply(np.array(joint.line))).mean(axis=0)
        for cross, (x, y) in zip(joint.crosses, places.tolist(), strict=True):
            content.segments([(x - 1, y, x + 1, y), (x, y - 1, x, y + 1)], FINE)
            if not single:
                _cross_number(content, (x, y), middle, str(cross.number))
        if single:
            x, y = to_map.apply(turn(layout.angle).apply(np.array(joint.line))).max(axis=0).tolist()
            content.text(x, y + 0.8, ", ".join(str(cross.number) for cross in joint.crosses), 1.5, "middle")


def _cross_number(content: Content, at: tuple[float, float], middle: Array, text: str) -> None:
    """Write a cross's number next to its joint, toward the joint's middle, clear of a corner's crosses."""
    dx, dy = float(middle[0]) - at[0], float(middle[1]) - at[1]
    length = max(float(np.hypot(dx, dy)), 1e-9)
    x, y = at[0] + _NUMBER_OFF * dx / length, at[1] + _NUMBER_OFF * dy / length
    if abs(dx) > abs(dy):
        content.text(x, y + 0.5, text, 1.5, "middle")
    else:
        content.text(x + 0.5, y - 0.75, text, 1.5)


def _name_cell(content: Content, cell: Array, name: str, page: int, single: bool) -> None:
    """Write the name and page of one tile: under it if the map is a single row, else inside on white."""
    (left, bottom), (right, top) = cell.min(axis=0).tolist(), cell.max(axis=0).tolist()
    middle = (left + right) / 2
    if single:
        content.text(middle, bottom - 3.2, name, 2.2, "middle")
        content.text(middle, bottom - 5.8, f"p. {page}", 1.8, "middle")
        return
    text = f"{name}: {page}"
    height = min(2.2, 0.8 * (right - left) / text_width(text, 1.0))
    content.label_on_white(middle, (bottom + top) / 2 - height / 2, text, height)


def _thinned(points: Array) -> Array:
    """Return every point that is 0.2 mm or more of path on from the last one kept; for the map only."""
    spans = np.hypot(*np.diff(points, axis=0).T)
    steps = np.floor(np.concatenate([[0.0], np.cumsum(spans)]) / 0.2)
    keep = np.concatenate([[True], np.diff(steps) > 0])
    keep[-1] = True
    kept: Array = points[keep]
    return kept
