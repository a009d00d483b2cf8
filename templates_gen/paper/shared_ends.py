"""The last sheets of long pieces that lie in bands: few bands are on each, so that several pieces share one."""

from collections.abc import Sequence
from dataclasses import replace

from templates_gen.paper.following import ABOVE
from templates_gen.paper.tiling import Tile, Tiling
from templates_gen.units import PT_PER_MM


def with_shared_ends(layouts: Sequence[Tiling]) -> tuple[list[Tiling], list[list[int]]]:
    """Return layouts, the bands of some last sheets moved, and which layouts share each such sheet.

    A sheet is shared by the first layouts, in their order, for all of whose last bands it has room; none that stands
    alone is moved. A piece on one sheet keeps it, and so does one on sheets cut from a roll.
    """
    groups: list[list[int]] = []
    for k, layout in enumerate(layouts):
        if not _may_share(layout):
            continue
        last = layout.leaves[-1]
        home = next((group for group in groups if _fits(last, [layouts[one].leaves[-1] for one in group])), None)
        if home is None:
            groups.append([k])
        else:
            home.append(k)
    shared = [group for group in groups if len(group) > 1]
    result = list(layouts)
    for group in shared:
        moved = _stacked([tile for k in group for tile in layouts[k].leaves[-1]])
        for k in group:
            count = len(layouts[k].leaves[-1])
            result[k] = replace(layouts[k], tiles=(*layouts[k].tiles[:-count], *moved[:count]))
            moved = moved[count:]
    return result, shared


def _may_share(layout: Tiling) -> bool:
    """Return whether the last of several sheets holds bands and can be left to others."""
    return layout.tiles[-1].is_band and len(layout.leaves) > 1 and not layout.tiles[-1].sheet.roll


def _fits(last: Sequence[Tile], others: Sequence[Sequence[Tile]]) -> bool:
    """Return whether a sheet of the same kind has room for the bands of all."""
    tiles = [*last, *(tile for leaf in others for tile in leaf)]
    sheet = tiles[0].sheet
    room = round(sheet.drawing.height - _height(tiles), 4)
    return room >= 0.0 and all(tile.sheet == sheet for tile in tiles)


def _height(tiles: Sequence[Tile]) -> float:
    """Return what bands take of the height of a sheet, each with its name above it, mm."""
    return sum(tile.clip.height + ABOVE for tile in tiles)


def _stacked(tiles: Sequence[Tile]) -> list[Tile]:
    """Return bands one below another on their sheet, the room that is left shared out between them."""
    area = tiles[0].sheet.drawing
    between = (area.height - _height(tiles)) / len(tiles)
    moved, top = [], area.top
    for tile in tiles:
        up = top - ABOVE - tile.clip.top
        clip = replace(tile.clip, bottom=tile.clip.bottom + up, top=tile.clip.top + up)
        moved.append(replace(tile, clip=clip, matrix=tile.matrix._replace(f=tile.matrix.f + up * PT_PER_MM)))
        top = clip.bottom - between
    return moved
