"""End views of a gerald: both strakes at full size, square to the edge, at each quarter of its length."""

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import letters_width
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.notation import Notation
from templates_gen.templates.bevels.facts import QUARTER_NAMES, Gerald
from templates_gen.words import piece_name

Array = NDArray[np.float64]

_BEYOND = 10.0
"""How far the strakes are drawn beyond the land, mm."""

_MARGIN = 3.0
_SMALL, _PLAIN = 2.5, 3.0
_PITCH = 4.5
_RIDGE = 0.1
"""A ridge lower than this is not drawn, mm."""

_NOTES = (
    "End views of the finished gerald, full size, square to the land. To check the depths, plane two offcuts to them "
    "and lay them on the paper. Outside is to the right, the sheer above.",
    "At the end plane the ridge outside the short dashes off flush when both strakes are fastened.",
    "Under each view: what is left of the lower strake's upper edge and of the upper strake's lower edge; where the "
    "land is hollow, also what is left of the lower strake at its lap line.",
)


def views_piece(gerald: Gerald, lap: float, mark: str, notation: Notation) -> Piece:
    """Return the end views of one gerald, from its start to the end, on a card; `mark` is the hull file's."""
    views = [gerald_view(gerald, k, lap) for k in range(len(QUARTER_NAMES))]
    low = min(float(view[0].points[:, 1].min()) for view in views)
    high = max(float(path.points[:, 1].max()) for view in views for path in view)
    captions = [_caption(gerald, k, notation) for k in range(len(views))]
    cell = _cell_width(views, captions)
    title = f"Land {gerald.land}, gerald {gerald.end}: end views, {notation.depth_unit} left · {mark}"
    wide = max(len(views) * cell, letters_width(title, _PLAIN) + _MARGIN) + _MARGIN
    floor = low - 3.0 - _SMALL - (len(captions[0]) - 1) * _PITCH - _MARGIN
    ceiling = high + 3.0 + _PLAIN + _MARGIN
    frame = np.array([[0.0, floor], [wide, floor], [wide, ceiling], [0.0, ceiling]])
    paths = [Path(frame, Role.CUT, closed=True)]
    labels = [Label(title, (_MARGIN, ceiling - _MARGIN - _PLAIN), _PLAIN)]
    for k, (view, caption) in enumerate(zip(views, captions, strict=True)):
        points = np.concatenate([path.points for path in view])
        middle = _MARGIN + (k + 0.5) * cell
        shift = np.array([middle - (points[:, 0].min() + points[:, 0].max()) / 2, 0.0])
        paths += [Path(path.points + shift, path.role, path.closed) for path in view]
        labels += [
            Label(
                text,
                (middle, low - 3.0 - _SMALL - row * _PITCH),
                _SMALL,
                anchor="middle",
                kind="measure",
                block=f"view {k}",
            )
            for row, text in enumerate(caption)
        ]
    about = About("land", gerald.land, end=gerald.end, part="gerald views")
    return Piece(
        piece_name(about),
        "bevels",
        (f"Land {gerald.land}, gerald {gerald.end}: end views", "outside to the right, SHEER above"),
        tuple(paths),
        (),
        tuple(labels),
        _NOTES,
        is_paper=True,
        about=about,
    )


def _cell_width(views: list[tuple[Path, ...]], captions: list[tuple[str, ...]]) -> float:
    """The room that the widest view or caption takes, with a margin, mm."""
    drawn = (float(np.ptp(np.concatenate([path.points for path in view])[:, 0])) for view in views)
    written = (letters_width(text, _SMALL) for caption in captions for text in caption)
    return _MARGIN + max(*drawn, *written)


def _caption(gerald: Gerald, k: int, notation: Notation) -> tuple[str, ...]:
    left = (*gerald.depths(False, notation)[1::2], gerald.depths(True, notation)[1])
    lower, lap_line, upper = (notation.depth(float(figure[k])) for figure in left)
    words = (QUARTER_NAMES[k], f"upper {upper}", f"lower {lower}")
    return (*words, f"lap line {lap_line}") if gerald.is_thinnest_at_lap_line else words


def gerald_view(gerald: Gerald, k: int, lap: float, beyond: float = _BEYOND) -> tuple[Path, ...]:
    """Return both finished strakes at one quarter: the lower one, the upper one, and at a flush end the ridge.

    They are drawn `beyond` mm past the land.

    x is outward from the lower strake's inner face, y up it from its upper inside corner, in the section square to
    its edge.
    """
    at, off = gerald.lapping, gerald.losses
    t, above = gerald.lower_thickness, gerald.upper_thickness
    slope, corner, lap_line = float(at.slope[k]), float(at.stand_off[k]), float(at.stand_off_lap[k])
    lower = np.array(
        [
            [0.0, -lap - beyond],
            [0.0, 0.0],
            [t - float(off.lower_at_edge[k]), 0.0],
            [t - float(off.lower_at_lap_line[k]), -lap],
            [t, -lap],
            [t, -lap - beyond],
        ]
    )
    up = np.array([-slope, 1.0]) / np.hypot(slope, 1.0)
    out = np.array([up[1], -up[0]])
    foot = np.array([lap_line, -lap])
    top = np.array([corner, 0.0]) + beyond * up
    seat = np.array(
        [
            [lap_line + float(off.upper_at_lap_line[k]), -lap],
            [corner + float(off.upper_at_edge[k]), 0.0],
            [corner, 0.0],
        ]
    )
    upper = np.concatenate([seat, [top, top + above * out, foot + above * out]])
    paths = [Path(_without_repeats(lower), Role.NOTE, True), Path(_without_repeats(upper), Role.NOTE, True)]
    if k == len(QUARTER_NAMES) - 1:
        paths += _ridge(slope, t, foot + above * out, lap, beyond)
    return tuple(paths)


def _ridge(slope: float, thickness: float, arris: Array, lap: float, beyond: float) -> list[Path]:
    """The line to which the ridge outside is planed off at a flush end; none where there is hardly one.

    Convex: the lower strake's outer face carried on up to where the upper strake's outer face comes in to it. Hollow:
    the lower strake's face below the lap line, let in to the upper strake's outer arris and run out further down.
    """
    height = float(arris[0]) - thickness
    if abs(height) < _RIDGE:
        return []
    if height > 0.0:
        meets = float(arris[1]) + height / slope
        return [Path(np.array([[thickness, -lap], [thickness, meets]]), Role.FAR)]
    return [Path(np.array([[float(arris[0]), -lap], [thickness, -lap - beyond]]), Role.FAR)]


def _without_repeats(points: Array) -> Array:
    """A closed line without points that fall on the one before, mm."""
    step = np.linalg.norm(points - np.roll(points, 1, axis=0), axis=1)
    return np.asarray(points[step > 1e-6])
