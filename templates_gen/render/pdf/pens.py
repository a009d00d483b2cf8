"""The pens: one width and one dash for each kind of line, told apart in black and white."""

from dataclasses import dataclass

from templates_gen.drawing.piece import Role


@dataclass(frozen=True)
class Pen:
    """A line's width and dash (lengths of stroke and gap in turn; none: unbroken), mm."""

    width: float
    dash: tuple[float, ...] = ()


PENS: dict[Role, Pen] = {
    Role.HATCH: Pen(0.13),
    Role.NOTE: Pen(0.18),
    Role.DATUM: Pen(0.18, (9.0, 1.2, 0.6, 1.2, 0.6, 1.2)),
    Role.CENTRELINE: Pen(0.25, (9.0, 1.2, 0.6, 1.2)),
    Role.FOLD: Pen(0.35, (0.35, 1.4)),
    Role.FAR: Pen(0.25, (3.0, 1.2)),
    Role.SCRIBE: Pen(0.25),
    Role.ROUGH: Pen(0.35, (8.0, 2.5)),
    Role.CUT: Pen(0.5),
}
"""In the order they are laid down, the cut line last.

Source: widths of the series 0.13 0.18 0.25 0.35 0.5 0.7 of ISO 128-2; its kinds of line (dashed, long-dashed dotted,
long-dashed double-dotted, dotted) from memory, with gaps widened to be seen at arm's length. HATCH stands apart from
NOTE by its many parallel strokes.
"""

FINE = Pen(0.13)
THIN = Pen(0.18)
MIDDLE = Pen(0.25)
WIDE = Pen(0.5)
JOINT = Pen(0.13, (1.5, 1.5))
"""Along which neighbouring sheets are trimmed and joined."""
