"""Scarfs drawn on a strake's template and on its parts: the lines where they begin, and what is planed there."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Path, Piece, Role
from templates_gen.errors import StockError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.stock.clipping import lines_inside
from templates_gen.stock.lettering import lettered
from templates_gen.stock.plan import PlankingPlan, Reach
from templates_gen.stock.planks import Plank
from templates_gen.stock.scarfs import Scarf

Array = NDArray[np.float64]

Draw = Callable[[FlatStrake, Sequence[Reach], Sequence[Path]], Piece]
"""Draws a strake's template with its rivets' holes clear of some reaches (see `geometry.fastenings.rivets`), and with
its scarfs' lines, which its words keep clear of."""

ACROSS = 1000.0
"""Half the length of a line struck across a plank before it is cut to its width, mm."""

WORD_HEIGHTS = (3.0, 2.5, 2.0)
"""Heights of capitals that words are tried in, mm."""

ASIDE = 60.0
"""How far from its line, on the part that it begins on, a scarf's words are wanted, mm."""


@dataclass(frozen=True, eq=False)
class Pattern:
    """A strake's template, `whole` with its scarfs' lines and their words, `plain` without them."""

    whole: Piece
    plain: Piece


def patterns(boat: Boat, plan: PlankingPlan, draw: Draw) -> tuple[Pattern, ...]:
    """Return every strake's template, from the garboard, with its scarfs drawn where the plan has them."""
    made = []
    for strake, plank, joints in zip(boat.strakes, plan.planks, plan.joints, strict=True):
        lines = scarf_lines(plank, joints)
        piece = draw(strake, plan.reaches(strake.number), lines)
        plain = replace(piece, paths=tuple(path for path in piece.paths if not any(path is line for line in lines)))
        made.append(Pattern(with_words(plank, piece, joints), plain))
    return tuple(made)


def scarf_lines(plank: Plank, joints: Sequence[Scarf]) -> tuple[Path, ...]:
    """Return both lines of each scarf on the whole plank, fore to aft: first the forward part's, dashed.

    Each part ends at the other's line.
    """
    edge = plank.lines["lower"], plank.ends[1][1:-1], plank.lines["upper"][::-1], plank.ends[0][1:-1][::-1]
    outline = np.concatenate(edge)
    return tuple(scarf_line(plank, outline, joint, sign)[0] for joint in joints for sign in (-1.0, 1.0))


def with_words(plank: Plank, piece: Piece, joints: Sequence[Scarf]) -> Piece:
    """Return a strake's template on which scarfs are drawn with words at each of their lines.

    Parameters
    ----------
    plank : Plank
    piece : Piece
        With the lines of `scarf_lines` on it.
    joints : sequence of Scarf
    """
    outline = next(path.points for path in piece.paths if path.role is Role.CUT)
    labels = list(piece.labels)
    slopes = [(joint, sign) for joint in joints for sign in (-1.0, 1.0)]
    for joint, sign in slopes:
        wanted = plank.place(joint.middle + sign * (joint.length / 2 + ASIDE))[0]
        text = _text(plank, joint, sign)
        label = lettered(text, wanted, outline, piece.paths, labels, WORD_HEIGHTS)
        labels += [label] if label is not None else []
    notes = [_note(joint, number, plank) for number, joint in enumerate(joints, 1)]
    return replace(piece, labels=tuple(labels), notes=(*piece.notes, *notes))


def _note(joint: Scarf, number: int, plank: Plank) -> str:
    slope = f"{joint.length / plank.thickness:.3g}"
    return (
        f"Scarf {number}, {slope} to 1, its outside feather facing aft: the forward part runs to the full line and "
        "is planed on its INNER face from the dashed line to nothing; the part abaft it begins at the dashed line "
        "and is planed on its OUTER face from the full line to nothing."
    )


def scarf_line(plank: Plank, outline: Array, joint: Scarf, sign: float) -> tuple[Path, str]:
    """Return the line where a part's scarf begins, and what is planed; `sign` 1 at a fore end, -1 at an after end.

    The outside feather faces aft: the forward part lies outside, so it is planed on its inner face, the part abaft it
    on its outer face, which is the one that is looked at.
    """
    point, way = plank.cut(joint.middle, sign * joint.length / 2)
    across = np.array([-way[1], way[0]])
    lines = lines_inside(np.stack([point - ACROSS * across, point + ACROSS * across]), outline)
    if len(lines) != 1:
        raise StockError(f"the scarf of strake {plank.number} at {joint.x:.0f} mm does not cross the plank square")
    return Path(lines[0], Role.SCRIBE if sign > 0.0 else Role.FAR), _text(plank, joint, sign)


def _text(plank: Plank, joint: Scarf, sign: float) -> str:
    """Return what is planed of the part on one side of a joint."""
    slope = f"{joint.length / plank.thickness:.3g}:1"
    if sign > 0.0:
        return f"scarf {slope}: plane OUTER face, line to end"
    return f"scarf {slope}: plane INNER face, dashed line to end"
