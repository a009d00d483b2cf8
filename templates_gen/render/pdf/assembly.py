"""How the sheets of large pieces go together: small maps, several to a page, and what to measure."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Piece, Role
from templates_gen.notation import Notation
from templates_gen.paper.grid import OVERLAP
from templates_gen.paper.sheet import Affine, Rectangle, Sheet, turn
from templates_gen.paper.tiling import Check, Tile, Tiling, check_distances, span_checks
from templates_gen.render.pdf.content import FINE, JOINT, MIDDLE, Content
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.page import Drawer, Header, Numbers, Page
from templates_gen.render.pdf.template_pages import tile_key
from templates_gen.render.pdf.text import HEADING, PITCH, WIDEST, Line, depth, item, paragraph, set_lines

Array = NDArray[np.float64]

TITLE = "How the sheets go together"

_NAME = 3.0
"""Height of a piece's name over its map, mm."""

_ABOVE, _BELOW = 3.0, 8.0
"""mm over and under the map of a single row, for the numbers of its crosses and the names of its tiles."""

_HIGHEST = 50.0
"""mm: no map is made higher."""

_NAMES_HIGH, _CROSSES_HIGH = 2.2, 1.5
"""mm: greatest height of the names of sheets and of the numbers of crosses on a map."""

_NAMES_LEAST = 1.8
"""mm: the least height of names on a map over half of the width."""

_BETWEEN = 5.0
"""mm between maps that stand side by side, or one above the other."""

_FIGURES = 2.0
"""Height of the figures under a map, mm."""

_LONG_DATUM = 300.0
"""mm: a datum line at least so long is laid to a straightedge."""

CHECK_WITHIN = 2.0
"""mm that a check distance may differ: sheets laid to line and tape with care stay within it nineteen times in twenty
(tests/bench/bench_taping.py)."""


def _joining(notation: Notation) -> str:
    """How two sheets are joined."""
    return (
        "To join two sheets, trim one of them along the line through the crosses. Lay it on that line "
        "of the other, so that both halves of each cross meet, and tape them together. Sheets overlap by about "
        f"{notation.about(OVERLAP)}."
    )


LENGTHS = (
    "Where a sheet holds several lengths of one piece, cut them apart and join them end to end: crosses with the "
    "same number lie on top of each other."
)
_ALONG_THE_DATUM = (
    "Join a piece that has a datum line along a stretched line or a straightedge, with a tape next to it: lay the "
    "datum line of each sheet on the line, and its distances at the same figures of the tape. Then no joint adds its "
    "error to the next. Where the datum line runs off the sheet, set off the figures at the ticks from the line."
)


def _measure(notation: Notation) -> str:
    """What is measured when all sheets are joined."""
    return (
        "When all sheets of a piece are joined, measure from middle to middle of the crosses that are named under "
        f"its map. If a distance is more than {notation.within(CHECK_WITHIN)} out, open a joint between the two "
        "crosses and join it again. The distances check the length. Only the datum line shows whether a long piece "
        "is bent."
    )


_ONE_JOINT = "One joint: it is true when both crosses lie on top of each other."

_NAMES = (
    "On or under each sheet of a map stand the name of the sheet and its page in the file of the piece; the small "
    "figures at the joints number the crosses."
)

_NUMBER_OFF = 2.6
"""mm on the map from a cross to its number, along the joint."""


@dataclass(frozen=True)
class _Block:
    """A map with its piece's name and figures: its size, mm, and what draws it from its upper left corner."""

    width: float
    height: float
    draw: Callable[[Content, Numbers, float, float], None]


def assembly_pages(pieces: Sequence[tuple[Piece, Tiling]], sheet: Sheet, header: Header) -> list[Page]:
    """Return the pages that show how the tiles of pieces are joined; the first has a bookmark."""
    if not pieces:
        return []
    way = sheet.page
    area = way.text
    lines = _joining_lines(pieces, area.width, header.notation)
    blocks = [_block(piece, layout, header, min(area.width, WIDEST)) for piece, layout in pieces]
    top = area.top - PITCH * HEADING - depth(lines) - _BETWEEN
    shared = _shared_out(blocks, area, top)
    return [
        Page(
            way,
            (TITLE,),
            _drawer(area, placed, () if number else lines),
            tile="",
            bookmarks=() if number else (TITLE,),
        )
        for number, placed in enumerate(shared)
    ]


def _joining_lines(pieces: Sequence[tuple[Piece, Tiling]], width: float, notation: Notation) -> list[Line]:
    """Return how the sheets of these pieces are joined and measured."""
    layouts = [layout for _, layout in pieces]
    texts = [_joining(notation)] if any(layout.joints for layout in layouts) else []
    texts += [LENGTHS] if any(len(leaf) > 1 for layout in layouts for leaf in layout.leaves) else []
    texts += [_ALONG_THE_DATUM] if any(layout.is_row and _has_datum(piece) for piece, layout in pieces) else []
    texts += [_measure(notation)] if any(len(layout.joints) > 1 for layout in layouts) else []
    texts.append(_NAMES)
    return [line for text in texts for line in item(text, width, 2.2)]


def _shared_out(blocks: Sequence[_Block], area: Rectangle, top: float) -> list[list[tuple[_Block, float, float]]]:
    """Return blocks with the left and the top of each, page by page, row under row in their order."""
    pages: list[list[tuple[_Block, float, float]]] = [[]]
    level = top
    for row in _rows(blocks, area.width):
        high = max(block.height for block in row)
        if pages[-1] and level - high < area.bottom:
            pages.append([])
            level = area.top
        left = area.left
        for block in row:
            pages[-1].append((block, left, level))
            left += block.width + _BETWEEN
        level -= high + _BETWEEN
    return pages


def _rows(blocks: Sequence[_Block], width: float) -> Iterator[list[_Block]]:
    """Yield blocks in rows that fit into a width."""
    row: list[_Block] = []
    for block in blocks:
        if row and sum(one.width + _BETWEEN for one in row) + block.width > width + 1e-6:
            yield row
            row = []
        row.append(block)
    yield row


def _drawer(area: Rectangle, placed: Sequence[tuple[_Block, float, float]], lines: Sequence[Line]) -> Drawer:
    """Return what draws one page of maps, under `lines` on the first."""

    def draw(content: Content, numbers: Numbers) -> None:
        """Draw the heading and `lines`, where there are any, and the maps."""
        if lines:
            content.text(area.left, area.top - HEADING, f"{TITLE} (maps not to scale)", HEADING)
            set_lines(content, lines, area.left, area.top - PITCH * HEADING)
        for block, left, top in placed:
            block.draw(content, numbers, left, top)

    return draw


def _block(piece: Piece, layout: Tiling, header: Header, most: float) -> _Block:
    """Return the map of one piece, over half of the width, `most`, mm, or a third where it stands upright.

    A long row takes all of the width where half of it has no room for the names of its sheets.
    """
    corners = turn(layout.angle).apply(np.concatenate([tile.corners() for tile in layout.tiles]))
    low, high = corners.min(axis=0), corners.max(axis=0)
    across, up = (high - low).tolist()
    single = _is_single(layout)
    wanted = len(layout.tiles) * text_width(f"{layout.tiles[-1].name} ", _NAMES_LEAST)
    share = 3 if up > 1.2 * across else 1 if single and wanted > most / 2 else 2
    width = (most - (share - 1) * _BETWEEN) / share - 1e-3
    lines = _check_lines(layout, header, width)
    scale = min(width / across, _HIGHEST / up)
    above, below = (_ABOVE, _BELOW) if single else (0.0, 2.0)
    head = PITCH * _NAME + above
    outlines = _main_lines(piece, layout.angle)

    def draw(content: Content, numbers: Numbers, left: float, top: float) -> None:
        """Draw the map under its name, with its upper left corner at a place, and what to measure."""
        foot = top - head - scale * up
        to_page = Affine(scale, 0.0, 0.0, scale, left - scale * float(low[0]), foot - scale * float(low[1]))
        content.text(left, top - _NAME, piece.name_in_print, _NAME)
        _draw_map(content, numbers, piece, layout, to_page, outlines)
        set_lines(content, lines, left, foot - below)

    return _Block(width, head + scale * up + below + depth(lines), draw)


def _is_single(layout: Tiling) -> bool:
    """Return whether the sheets lie in a single row, so that their names stand under the map."""
    return layout.is_row or all({"above", "below"}.isdisjoint(tile.neighbours) for tile in layout.tiles)


def _draw_map(
    content: Content,
    numbers: Numbers,
    piece: Piece,
    layout: Tiling,
    to_page: Affine,
    outlines: Sequence[tuple[Array, bool]],
) -> None:
    """Draw one map: tiles with names and pages, outlines, crosses."""
    cells = [_cell(tile, layout.angle, to_page) for tile in layout.tiles]
    apart = _least_apart(cells) if _is_single(layout) else None
    content.paths([(cell, True) for cell in cells], JOINT)
    content.paths([(_thinned(to_page.apply(points)), closed) for points, closed in outlines], MIDDLE)
    _draw_map_crosses(content, layout, to_page, apart)
    for tile, cell in zip(layout.tiles, cells, strict=True):
        _name_cell(content, cell, tile.name, numbers[tile_key(piece, tile.name)], apart)


def _least_apart(cells: Sequence[Array]) -> float:
    """Return how far apart the middles of two cells of a row are at the least, across the page, mm."""
    middles = np.sort([float(cell[:, 0].mean()) for cell in cells])
    return float(np.diff(middles).min(initial=WIDEST))


def _has_datum(piece: Piece) -> bool:
    """Return whether a datum line runs along a piece, long enough to lay its sheets by."""
    return any(
        path.role is Role.DATUM and float(np.ptp(path.points, axis=0).max()) >= _LONG_DATUM for path in piece.paths
    )


def _check_lines(layout: Tiling, header: Header, width: float) -> list[Line]:
    """Return what is to be measured when the sheets are joined: over all, and metre by metre."""
    if len(layout.joints) == 1:
        return paragraph(_ONE_JOINT, width, _FIGURES)
    checks = check_distances(layout)
    spans = [checks, *span_checks(layout)] if checks else []
    texts = ["; ".join(_check_text(check, header) for check in span) for span in spans]
    return [line for text in texts for line in paragraph(text, width, _FIGURES)]


def _check_text(check: Check, header: Header) -> str:
    """Return a distance to be measured."""
    return f"{check.first.number} to {check.second.number}: {header.notation.spoken_length(check.distance)}"


def _main_lines(piece: Piece, angle: float) -> list[tuple[Array, bool]]:
    """Return the piece's outlines and datum lines (or all lines, if it has none), turned, and whether each closes."""
    chosen = [path for path in piece.paths if path.role in (Role.CUT, Role.DATUM)] or list(piece.paths)
    return [(turn(angle).apply(path.points), path.closed) for path in chosen]


def _cell(tile: Tile, angle: float, to_map: Affine) -> Array:
    """Return the corners of one tile on the map, as it is when trimmed, shape (4, 2), mm on the page."""
    return to_map.apply(turn(angle).apply(tile.corners(OVERLAP / 2)))


def _draw_map_crosses(content: Content, layout: Tiling, to_map: Affine, apart: float | None) -> None:
    """Draw the crosses on the map with their numbers; on a single row, cells `apart`, both of a joint above it."""
    for joint in layout.joints:
        places = to_map.apply(turn(layout.angle).apply(np.array([cross.at for cross in joint.crosses])))
        middle = to_map.apply(turn(layout.angle).apply(np.array(joint.line))).mean(axis=0)
        for cross, (x, y) in zip(joint.crosses, places.tolist(), strict=True):
            content.segments([(x - 1, y, x + 1, y), (x, y - 1, x, y + 1)], FINE)
            if apart is None:
                _cross_number(content, (x, y), middle, str(cross.number))
        if apart is not None:
            ends = to_map.apply(turn(layout.angle).apply(np.array(joint.line)))
            x, y = ends[int(np.argmax(ends[:, 1]))].tolist()
            text = ", ".join(str(cross.number) for cross in joint.crosses)
            content.text(x, y + 0.8, text, _fitting(text, _CROSSES_HIGH, apart), "middle")


def _cross_number(content: Content, at: tuple[float, float], middle: Array, text: str) -> None:
    """Write a cross's number next to its joint, toward the joint's middle, clear of a corner's crosses."""
    dx, dy = float(middle[0]) - at[0], float(middle[1]) - at[1]
    length = max(float(np.hypot(dx, dy)), 1e-9)
    x, y = at[0] + _NUMBER_OFF * dx / length, at[1] + _NUMBER_OFF * dy / length
    if abs(dx) > abs(dy):
        content.text(x, y + 0.5, text, 1.5, "middle")
    else:
        content.text(x + 0.5, y - 0.75, text, 1.5)


def _name_cell(content: Content, cell: Array, name: str, page: int, apart: float | None) -> None:
    """Write the name and page of one tile: under it on a single row, cells `apart` mm, else inside on white."""
    (left, bottom), (right, top) = cell.min(axis=0).tolist(), cell.max(axis=0).tolist()
    middle = (left + right) / 2
    if apart is not None:
        content.text(middle, bottom - 3.2, name, _fitting(name, _NAMES_HIGH, apart), "middle")
        content.text(middle, bottom - 5.8, str(page), 1.8, "middle")
        return
    text = f"{name}: {page}"
    height = _fitting(text, _NAMES_HIGH, right - left, 0.8)
    content.label_on_white(middle, (bottom + top) / 2 - height / 2, text, height)


def _fitting(text: str, height: float, room: float, share: float = 0.9) -> float:
    """Return the greatest height, mm, up to `height`, at which a text takes no more than a share of `room` mm."""
    return min(height, share * room / text_width(text, 1.0))


def _thinned(points: Array) -> Array:
    """Return every point that is 0.2 mm or more of path on from the last one kept; for the map only."""
    spans = np.hypot(*np.diff(points, axis=0).T)
    steps = np.floor(np.concatenate([[0.0], np.cumsum(spans)]) / 0.2)
    keep = np.concatenate([[True], np.diff(steps) > 0])
    keep[-1] = True
    kept: Array = points[keep]
    return kept
