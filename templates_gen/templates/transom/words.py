"""The words on a transom: its name, hand and face, how it is sawn, planed and fitted, and what to mind of it."""

import math
import textwrap

import numpy as np

from templates_gen.drawing.clear_space import ClearSpace
from templates_gen.drawing.marks import LINE_PITCH, letters_width, line, stack, text_width
from templates_gen.drawing.piece import Label, Path, Role
from templates_gen.geometry.boat import Boat
from templates_gen.notation import Notation
from templates_gen.templates.moulds.writing import Writing
from templates_gen.templates.transom.edge import TransomSheet, rabbet_name
from templates_gen.units import format_angle

SAW_WORDS = (
    "saw to the ROUGH line (long dashes, outside the larger face), never to the net line",
    "then plane the bevels to the net line on the outer face and the short dashes on the inner",
    "router: saw to layer rough, not to cut",
)
"""How a transom is sawn and planed, in the same words everywhere."""

BOTTOM_WORDS = ("BOTTOM: fit to keel or hog,", "leave the rough wood")
_FACES = "net line: outer face; short dashes: inner face"

_HEIGHT = 3.0
_NAME = 5.0
_NAMES = ((5.0, 3.0), (4.0, 3.0), (3.0, 2.5))
_SMALLER = ((3.0, 3.0), (2.5, 2.5))
_LETTERS = 52
"""Letters in a row at most."""

_STRAKE_TEXT = 100.0
"""Room for what is written next to a strake, mm."""

_FOOT_HEIGHTS = (3.0, 2.5, 2.0)
_FOOT_LEVEL = 3.0
_FARTHEST_UP, _NEAR_FOOT = 200.0, 80.0
"""mm above the bottom to which room is looked for, for what it is fitted to; and to which, for _AIR round it."""

_AIR = 2.0
"""mm round these words that they have of preference."""


def hand(sheet: TransomSheet) -> str:
    """Return which half is seen with the breadth to the right, looking at the outer face."""
    return "STARBOARD half, outer face" if sheet.end == "aft" else "PORT half, outer face, seen from ahead"


def _sentence(text: str) -> str:
    return text[0].upper() + text[1:]


def _sentences(boat: Boat, sheet: TransomSheet) -> tuple[str, ...]:
    notation = boat.hull.notation
    thickness = notation.spoken_length(sheet.wood.thickness)
    radius = sheet.wood.radius
    form = f"bowed outward, radius {notation.spoken_length(radius)} of the outer face" if radius else "flat"
    rake = math.atan2(float(sheet.face.up[0]) * (1.0 if sheet.end == "aft" else -1.0), float(sheet.face.up[2]))
    lines = [
        hand(sheet),
        f"{thickness} thick, raked {format_angle(rake)}, {form}",
        *(("bend round the outer face; 'out' is along the curve",) if radius else ()),
        _FACES,
        *SAW_WORDS,
        "top level across at the sheer: add your own crown",
    ]
    if sheet.is_rebated:
        lip = notation.spoken_length(sheet.wood.lip)
        first = lines.index(_FACES)
        lines[first : first + 3] = [
            "net line: edge of the lip, out to the planks' outsides",
            f"rebated, lip {lip}: its floor runs from short dashes to",
            "short dashes, from the lip to the inner face",
            SAW_WORDS[0],
            "then plane the lip's edge to the net line and cut the rebate",
        ]
    return (*lines, f"{boat.hull.name} {boat.hull.fingerprint}".strip())


def words(boat: Boat, sheet: TransomSheet, paths: list[Path], others: list[Label]) -> tuple[Label, ...]:
    """Return the name and how it is made, in the uppermost band that holds it.

    Where none does, name, hand and face, and then the line to saw, go wherever there is room inside; the rest goes on
    the paper to the left of it.
    """
    name, sentences = f"TRANSOM {sheet.end.upper()}", _sentences(boat, sheet)
    rows = (name, *(row for text in sentences for row in textwrap.wrap(text, _LETTERS)))
    tall = _NAME + (LINE_PITCH * len(rows) + 3.0) * _HEIGHT
    wide = max(text_width(text, _HEIGHT) for text in rows)
    for (y_low, v_low), (_, v_high) in zip(sheet.corners[-2::-1], sheet.corners[:0:-1], strict=True):
        if v_high - v_low > tall + 8.0 and y_low > wide + _STRAKE_TEXT + 20.0:
            is_top = v_high == sheet.corners[-1, 1]
            top = (float(sheet.outer[-1, 1]) - 2.0 * _HEIGHT if is_top else float(v_high)) - _NAME - 3.0
            return stack(rows, (5.0, top), _HEIGHT, first_height=_NAME)
    top = float(sheet.outer[-1, 1]) - _NAME
    highest = max((label.at[1] for label in others if label.anchor == "end" and label.at[0] < 0.0), default=-np.inf)
    left = -wide - (10.0 if top - tall > highest else 85.0 + _STRAKE_TEXT)
    return (*_inside(name, sheet, paths, others), *stack(rows, (left, top), _HEIGHT, first_height=_NAME))


def _inside(name: str, sheet: TransomSheet, paths: list[Path], others: list[Label]) -> tuple[Label, ...]:
    """Name, hand and face, and the saw's line, inside the smaller face where nothing else is drawn or written."""
    space = _clear_space(sheet, paths, others)
    labels: list[Label] = []
    middle = float(sheet.outer[:, 0].max()) / 2
    saw = ("saw to the ROUGH line,", "never to the net line")
    for texts, heights in (((name, *hand(sheet).split(", ")), _NAMES), (saw, _SMALLER)):
        for first, rest in heights:
            rows = [(text, first if k == 0 else rest) for k, text in enumerate(texts)]
            widths = [letters_width(text, height) for text, height in rows]
            tall = LINE_PITCH * rest * (len(rows) - 1) + first
            found = space.nearest(middle, middle, 0.0, max(widths) + 3.0, tall + 3.0)
            if found is not None:
                at = (found[0] - max(widths) / 2, space.spine(found[0]) + found[1] + tall / 2 - first)
                labels += stack(texts, at, rest, first_height=first)
                break
    return tuple(labels)


def _clear_space(sheet: TransomSheet, paths: list[Path], others: list[Label]) -> ClearSpace:
    """What is left inside the outline and between its lines and lettering."""
    right, (low, high) = float(sheet.outer[:, 0].max()), (float(v) for v in sheet.outer[[0, -1], 1])
    middle = (low + high) / 2
    space = ClearSpace(np.array([[0.0, middle], [right, middle]]), (high - low) / 2 + 5.0)
    bottom, top = (np.array([[0.0, v], [right, v]]) for v in (low, high))
    space.keep_within(bottom, top, np.array([[0.0, low], [0.0, high]]), sheet.outer)
    for path in paths:
        points = np.concatenate([path.points, path.points[:1]]) if path.closed else path.points
        space.block(points[:-1], points[1:])
    for label in others:
        wide = letters_width(label.text, label.height)
        left = label.at[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[label.anchor]
        levels = label.at[1] + label.height * np.linspace(-0.4, 1.2, 6)
        space.block(np.stack([np.full(6, left), levels], axis=1), np.stack([np.full(6, left + wide), levels], axis=1))
    return space


def _distance_words(sheet: TransomSheet) -> str:
    """What the depth next to each strake is."""
    if sheet.is_rebated:
        return "how much that is over the thickness"
    return "how far outside or inside the outer face's edge the inner face's is"


def notes(boat: Boat, sheet: TransomSheet) -> tuple[str, ...]:
    """How a transom is made from its sheet."""
    end = " Then plane its edge to the net line and cut the rebate." if sheet.is_rebated else f"; {SAW_WORDS[1]}."
    lines = [
        "'up' is measured up the rake from the bottom of the profile on the centreline, 'out' square to the "
        "centreline "
        "along the face. For the inner face carry the height 0 square through the wood.",
        f"{_sentence(SAW_WORDS[0])}{end}",
        f"Next to each strake: its bevel, and "
        f"{_distance_words(sheet)}: thickness times the tangent of the bevel, in {boat.hull.notation.depth_words}.",
        "For a router: saw to layer rough, not to cut. The net line on layer cut is the outer face; where "
        "the "
        "inner face is the larger, that outline lies inside the finished wood.",
        "Fit the bottom to the keel or hog: leave the rough wood there, and do not plane to the level lines at the "
        "foot. They show how far up the planking ends on each face. The top is straight across at the sheer.",
    ]
    if sheet.shape.is_stepped:
        lines.append(
            "The laps are full to the end: the edge steps out at each strake's upper edge by what is left of that "
            "edge."
        )
    if sheet.is_rebated:
        depth = boat.hull.notation.spoken_length(boat.hull.planking.thickness[0])
        lines.append(
            "Rebated: the net line is the outside of the planking. The rebate is a plank's thickness deep "
            f"({depth}), square to the planking; its end wall is one lip inside the outer face."
        )
    if sheet.wood.radius:
        lines.append(
            "Bend the template round the outer face: its breadths are measured along the curve. The short dashes are "
            "measured along the inner face and are true when bent round that face; the rough line allows for the "
            "difference."
        )
    return tuple(lines)


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
        label = Label(text, (-5.0, v - _FOOT_LEVEL / 2), _FOOT_LEVEL, 0.0, "end", kind="measure", has_leader=True)
        if writing.add([label]):
            leaders.append(line(Role.NOTE, (-4.0, v), (0.0, v)))
    levels = np.arange(v + 3.0, v + _FARTHEST_UP, 2.0).tolist()
    tries = [
        stack(BOTTOM_WORDS, (5.0, level + 1.75 * height), height) for height in _FOOT_HEIGHTS for level in levels
    ]
    airy = [rows for rows in tries[: len(levels)] if rows[0].at[1] < v + _NEAR_FOOT]
    any(writing.add(rows, _AIR) for rows in airy) or any(map(writing.add, tries))
    return leaders, writing.labels[len(others) :]


def _from_0(height: float, notation: Notation) -> str:
    """A height up the rake: "up 6"; "4.5 below 0", for on a transom a distance alone is one from the net line."""
    length, is_down = notation.length(abs(height)), notation.level(height).endswith("down")
    return f"{length} below 0" if is_down else f"up {length}"
