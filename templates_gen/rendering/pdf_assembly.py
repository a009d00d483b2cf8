"""The page that comes before a large piece's tiles: how they go together, and what to measure then."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Piece, Role
from templates_gen.paper.affine import Affine, turn
from templates_gen.paper.crosses import Cross
from templates_gen.paper.grid import OVERLAP
from templates_gen.paper.sheet import Rectangle, Sheet
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.rendering.pdf_content import Content
from templates_gen.rendering.pdf_letters import text_width
from templates_gen.rendering.pdf_page import Header, Numbers, Page
from templates_gen.rendering.pdf_pens import FINE, JOINT, MIDDLE
from templates_gen.rendering.pdf_text import Line, columns, depth, item, paragraph, set_lines, text_pages
from templates_gen.rendering.pdf_tile import tile_key
from templates_gen.units import PT_PER_MM, UnitName, format_length

Array = NDArray[np.float64]

_HEADING = 10.0
"""mm between the top of the drawing area and the map."""

_LABELS = 10.0
"""mm under the map of a single row, for the names of its tiles."""

_LEAST_MAP = 45.0
"""mm: the map is not made lower than this by long notes; they go on overleaf."""

_WIDE = 0.4
"""A piece whose crosses spread to the sides by this part of their spread lengthwise is checked across as well."""

_TEXT_WIDTH = 90.0
"""mm of text beside a map that stands upright."""


@dataclass(frozen=True)
class _Map:
    """The map: the turned piece's millimetres to the page's, and the room for text, as left, top and width, mm."""

    to_page: Affine
    left: float
    top: float
    width: float


def assembly_pages(piece: Piece, layout: Tiling, sheet: Sheet, header: Header) -> list[Page]:
    """Return the pages that show how the tiles of `piece` are joined; the first has its bookmark."""
    corners = np.concatenate([_shown(tile, layout.angle) for tile in layout.tiles])
    low, high = corners.min(axis=0), corners.max(axis=0)
    size = high - low
    way = sheet.upright.turned if size[0] > size[1] else sheet.upright
    area = way.drawing
    beside = size[1] > 2 * size[0]
    width = _TEXT_WIDTH if beside else area.width
    lines = _lines(piece, layout, header, width)
    plan = _map_beside(area, low, size) if beside else _map_above(area, low, size, depth(lines))
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


def _map_above(area: Rectangle, low: Array, size: Array, text: float) -> _Map:
    """Return a map over the whole width, the text under it."""
    most = max(area.height - _HEADING - _LABELS - text, _LEAST_MAP)
    scale = min(area.width / size[0], most / size[1])
    left = area.left + (area.width - scale * size[0]) / 2
    bottom = area.top - _HEADING - scale * size[1]
    to_page = Affine(scale, 0.0, 0.0, scale, float(left - scale * low[0]), float(bottom - scale * low[1]))
    return _Map(to_page, area.left, float(bottom) - _LABELS, area.width)


def _map_beside(area: Rectangle, low: Array, size: Array) -> _Map:
    """Return a map as high as the page at its left, the text at its right."""
    room = area.width - _TEXT_WIDTH - 8.0
    scale = min(room / size[0], (area.height - _HEADING) / size[1])
    bottom = area.top - _HEADING - scale * size[1]
    to_page = Affine(scale, 0.0, 0.0, scale, float(area.left - scale * low[0]), float(bottom - scale * low[1]))
    return _Map(to_page, area.right - _TEXT_WIDTH, area.top - _HEADING, _TEXT_WIDTH)


def _shown(tile: Tile, angle: float) -> Array:
    """Return opposite corners of what a tile shows, in the turned piece's millimetres, shape (2, 2)."""
    area = tile.clip
    corners = np.array([[area.left, area.bottom], [area.right, area.top]])
    return turn(angle).apply(tile.matrix.scaled(1 / PT_PER_MM).undo(corners))


def _lines(piece: Piece, layout: Tiling, header: Header, width: float) -> list[Line]:
    """Return what is written by the map: how to join, what to measure, the piece's notes."""
    lines = paragraph(
        "To join two sheets, trim one of them along the dashed line through the crosses, lay it on the dashed line "
        f"of the other so that the crosses of one number become whole, and tape. Sheets overlap by {OVERLAP:g} mm.",
        width,
    )
    if any(len(leaf) > 1 for leaf in layout.leaves):
        lines = paragraph("Cut the lengths on each sheet apart, then join them end to end.", width) + lines
    checks = check_distances(layout)
    if checks:
        lines += paragraph("When all are joined, measure from middle to middle of these crosses:", width, above=2.0)
    for a, b, distance in checks:
        lines += item(f"from {a.number} to {b.number}: {_tape_text(distance, header.units)}", width)
    for note in piece.notes:
        lines += item(note, width, above=1.5)
    return lines


def check_distances(layout: Tiling) -> list[tuple[Cross, Cross, float]]:
    """Return pairs of crosses with their distances, mm, to prove that the tiles are joined true.

    The two that lie farthest apart come first. On a wide piece the two farthest out to either side of them follow,
    and the sides of the quadrilateral between; on a narrow one, the distances from and to their partners on the same
    two joints: along both edges, and the other diagonal. Where there is one joint only, one distance.
    """
    crosses = [(cross, joint.crosses) for joint in layout.joints for cross in joint.crosses]
    if not crosses:
        return []
    places = np.array([cross.at for cross, _ in crosses])
    spans = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1))
    first, last = divmod(int(np.argmax(spans)), len(crosses))
    (a, near), (b, far) = crosses[first], crosses[last]
    along = (places[last] - places[first]) / spans[first, last]
    aside = (places - places[first]) @ np.array([-along[1], along[0]])
    spread = np.ptp(turn(layout.angle).apply(places), axis=0)
    if spread.min() > _WIDE * spread.max():
        c, d = crosses[int(np.argmin(aside))][0], crosses[int(np.argmax(aside))][0]
        pairs = [(a, b), (c, d), (a, c), (a, d), (b, c), (b, d)]
    elif near == far:
        pairs = [(a, b)]
    else:
        c, d = (near[0] if near[0] != a else near[-1]), (far[0] if far[0] != b else far[-1])
        pairs = [(a, b), (c, d), (a, d), (c, b)]
    ordered = dict.fromkeys((p, q) if p.number < q.number else (q, p) for p, q in pairs if p != q)
    return [(p, q, math.dist(p.at, q.at)) for p, q in ordered]


def _tape_text(length: float, units: UnitName) -> str:
    """Return a length for a tape measure: to half a millimetre and, for inches, to 1/32 in as well."""
    text = f"{format_length(length, 'mm')} mm"
    return text if units == "mm" else f"{text} ({format_length(length, 'in')} in)"


def _main_lines(piece: Piece, angle: float) -> list[tuple[Array, bool]]:
    """Return the piece's outlines and datum lines (or all lines, if it has none), turned, and whether each closes."""
    chosen = [path for path in piece.paths if path.role in (Role.CUT, Role.DATUM)] or list(piece.paths)
    return [(turn(angle).apply(path.points), path.closed) for path in chosen]


def _draw_assembly(
    piece: Piece, layout: Tiling, plan: _Map, area: Rectangle, lines: Sequence[Line]
) -> Callable[[Content, Numbers], None]:
    """Return what draws the map with its tiles, page numbers and crosses, and the lines by it."""
    outlines = [(_thinned(plan.to_page.apply(points)), closed) for points, closed in _main_lines(piece, layout.angle)]
    single = all("above" not in tile.neighbours and "below" not in tile.neighbours for tile in layout.tiles)

    def draw(content: Content, numbers: Numbers) -> None:
        content.text(area.left, area.top - 4, f"How the sheets of {piece.name} go together (not to scale)", 3.5)
        boxes = [_cell(tile, layout.angle, plan.to_page) for tile in layout.tiles]
        for left, bottom, right, top in boxes:
            content.rectangle(left, bottom, right - left, top - bottom, JOINT)
        content.paths(outlines, MIDDLE)
        _draw_map_crosses(content, layout, plan.to_page, single)
        for tile, box in zip(layout.tiles, boxes, strict=True):
            _name_cell(content, box, tile.name, numbers[tile_key(piece, tile.name)], single)
        set_lines(content, lines, plan.left, plan.top)

    return draw


def _cell(tile: Tile, angle: float, to_map: Affine) -> tuple[float, float, float, float]:
    """Return left, bottom, right and top of one tile on the map, as it is when trimmed."""
    low, high = _shown(tile, angle)
    half = OVERLAP / 2
    low = low + half * np.array(["left" in tile.neighbours, "below" in tile.neighbours])
    high = high - half * np.array(["right" in tile.neighbours, "above" in tile.neighbours])
    (left, bottom), (right, top) = to_map.apply(np.stack([low, high])).tolist()
    return left, bottom, right, top


def _draw_map_crosses(content: Content, layout: Tiling, to_map: Affine, single: bool) -> None:
    """Draw the crosses on the map with their numbers; on a single row both numbers of a joint stand above it."""
    for joint in layout.joints:
        places = to_map.apply(turn(layout.angle).apply(np.array([cross.at for cross in joint.crosses])))
        for cross, (x, y) in zip(joint.crosses, places.tolist(), strict=True):
            content.segments([(x - 1, y, x + 1, y), (x, y - 1, x, y + 1)], FINE)
            if not single:
                content.text(x + 0.5, y + 0.5, str(cross.number), 1.5)
        if single:
            x, y = to_map.apply(turn(layout.angle).apply(np.array(joint.line))).max(axis=0).tolist()
            content.text(x, y + 0.8, ", ".join(str(cross.number) for cross in joint.crosses), 1.5, "middle")


def _name_cell(content: Content, box: tuple[float, float, float, float], name: str, page: int, single: bool) -> None:
    """Write the name and page of one tile: under it if the map is a single row, else inside on white."""
    left, bottom, right, top = box
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
