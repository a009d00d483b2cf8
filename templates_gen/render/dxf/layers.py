"""What each layer of a drawing is for: one layer for each operation of a machine, and one to read.

A machine's program takes or leaves each layer whole, so each holds one operation. The same lines stand at the foot of
a drawing of templates, and each layer carries its own as its description.
"""

from dataclasses import dataclass
from typing import Literal

from templates_gen.drawing.piece import Role

Release = Literal["r12", "r2000"]
"""The release of the format that a drawing is written in."""

CUT_OUTSIDE, CUT_INSIDE, ROUGH, TABS = "CUT-OUTSIDE", "CUT-INSIDE", "ROUGH", "TABS"
SCRIBE, NAME, INFO, DRILL = "SCRIBE", "NAME", "INFO", "DRILL"

USES = {
    CUT_OUTSIDE: "net outlines, anticlockwise: cut through, the cutter outside the line",
    CUT_INSIDE: "openings, clockwise: cut through, the cutter inside the line",
    ROUGH: "rough outlines with allowances: a piece that has one is cut to it, not to its net outline",
    SCRIBE: "marks that guide your work, and net lines inside a rough outline: scribe them on the face you look at",
    NAME: "the name of each piece, and K (keel) and S (sheer) on gauges, in single strokes: engrave it",
    INFO: "lines and words to read: never cut or engrave",
}
TABS_USE = "bridges in the outlines that are cut: leave them, or cut them shallow"
COLOURS = {CUT_OUTSIDE: 7, CUT_INSIDE: 1, ROUGH: 9, TABS: 2, SCRIBE: 5, NAME: 6, INFO: 8, DRILL: 3}
"""Numbers of the format's own palette."""

DASHED = "DASHED"


@dataclass(frozen=True)
class Pen:
    """What a line is drawn with: its layer, and its line type (by the layer if empty)."""

    layer: str
    line_type: str = ""


PENS = {
    Role.CUT: Pen(CUT_OUTSIDE),
    Role.ROUGH: Pen(ROUGH, DASHED),
    Role.SCRIBE: Pen(SCRIBE),
    Role.CENTRELINE: Pen(SCRIBE),
    Role.FOLD: Pen(SCRIBE),
    Role.DATUM: Pen(INFO),
    Role.FAR: Pen(INFO, DASHED),
    Role.NOTE: Pen(INFO),
    Role.BEVEL: Pen(INFO),
    Role.HATCH: Pen(INFO),
}


def drill_layer(diameter: float) -> str:
    """Return the layer of the holes of one diameter, mm: "DRILL-2.3"."""
    return f"{DRILL}-{diameter:.2f}".rstrip("0").rstrip(".")


def use_of(layer: str) -> str:
    """Return what a layer is for."""
    if layer.startswith(DRILL):
        return f"holes of {layer.removeprefix(f'{DRILL}-')} mm: drill them"
    return TABS_USE if layer == TABS else USES[layer]


def colour_of(layer: str) -> int:
    """Return the colour of a layer, a number of the format's own palette."""
    return COLOURS[DRILL if layer.startswith(DRILL) else layer]


def layer_name(layer: str, release: Release) -> str:
    """Return a layer's name as a release takes it: release 12 takes no point in "DRILL-2.3"."""
    return layer.replace(".", "_") if release == "r12" else layer
