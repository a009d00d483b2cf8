"""The foot of a transom: the wood left there to be fitted to the keel or hog, the bottoms of both faces, figures."""

import numpy as np

from templates_gen.drawing.marks import line, stack
from templates_gen.drawing.piece import Label, Path, Role
from templates_gen.geometry.boat import Boat
from templates_gen.notation import Notation
from templates_gen.templates.moulds.writing import Writing
from templates_gen.templates.transom.edge import SAW, TransomSheet, carried_on

BOTTOM_WORDS = ("BOTTOM: fit to keel or hog,", "leave the rough wood")

_BELOW = 4.0
"""mm of rough wood below the rabbet and the height 0: their lines are clear of the line to saw to."""

_HEIGHTS = (3.0, 2.5, 2.0)
_LEVEL = 3.0
_FARTHEST = 200.0
"""mm above the bottom to which there is looked for room for what it is fitted to."""


def saw_outline(boat: Boat, sheet: TransomSheet) -> Path:
    """Return where to saw, from the centreline below the foot round to the centreline above the sheer, closed."""
    bottoms = (float(sheet.outer[0, 1]) - SAW, float(sheet.inner[0, 1]) - SAW, float(sheet.saw[0, 1]))
    foot = carried_on(sheet.saw[0], sheet.saw[0] - sheet.saw[1], min(bottoms))
    low, high = min(*bottoms, _lowest_line(sheet) - _BELOW), sheet.highest + boat.hull.allowances.sheer
    corner = carried_on(sheet.saw[-1], sheet.saw[-1] - sheet.saw[-2], high)
    down = [[foot[0], low]] if low < min(bottoms) else np.empty((0, 2))
    return Path(np.vstack([[0.0, low], *down, foot, sheet.saw[1:-1], corner, [0.0, high]]), Role.ROUGH, closed=True)


def _lowest_line(sheet: TransomSheet) -> float:
    """The height of the lower of the two level lines at the foot: the rabbet's and that from which is measured."""
    return min(float(sheet.shape.rabbet[1]), 0.0)


def inner_outline(sheet: TransomSheet) -> Path:
    """Return the inner face's edge from the sheer down, and its bottom straight across to the centreline."""
    return Path(np.vstack([[0.0, sheet.inner[0, 1]], sheet.inner]), Role.FAR)


def rabbet_name(sheet: TransomSheet) -> str:
    """Return what the rabbet's height is called: that of the bottom, too, where the two are one."""
    is_bottom = abs(float(sheet.shape.rabbet[1] - sheet.outer[0, 1])) < 0.5
    return "rabbet and bottom" if is_bottom else "rabbet"


def foot_words(
    sheet: TransomSheet, notation: Notation, paths: list[Path], others: list[Label]
) -> tuple[list[Path], list[Label]]:
    """Return what the bottom is fitted to, on the wood, and the heights of both faces' bottoms with a leader."""
    writing = Writing(paths, others)
    y, v = (float(value) for value in sheet.outer[0])
    leaders: list[Path] = []
    outside = f"up {notation.height(v)}, out {notation.length(y)}"
    text = f"bottom: {outside}; inner {_from_0(float(sheet.inner[0, 1]), notation)}"
    if rabbet_name(sheet) == "rabbet":
        label = Label(text, (-5.0, v - _LEVEL / 2), _LEVEL, 0.0, "end", kind="measure", has_leader=True)
        if writing.add([label]):
            leaders.append(line(Role.NOTE, (-4.0, v), (0.0, v)))
    levels = np.arange(v + 3.0, v + _FARTHEST, 2.0).tolist()
    tries = [stack(BOTTOM_WORDS, (5.0, level + 1.75 * height), height) for height in _HEIGHTS for level in levels]
    any(writing.add(rows) for rows in tries)
    return leaders, writing.labels[len(others) :]


def _from_0(height: float, notation: Notation) -> str:
    """A height up the rake: "up 6"; "4.5 below 0", for on a transom a distance alone is one from the net line."""
    length, is_down = notation.length(abs(height)), notation.level(height).endswith("down")
    return f"{length} below 0" if is_down else f"up {length}"
