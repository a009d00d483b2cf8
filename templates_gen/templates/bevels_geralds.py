"""Gerald cards, laid on the land from the strake's end, and the block that tries the finished gerald."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.letter_widths import letters_width
from templates_gen.drawing.marks import hanging_hole
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import UnitName
from templates_gen.templates.bevels_facts import LandFacts, all_land_facts
from templates_gen.templates.bevels_lettering import Row, depth, set_down
from templates_gen.templates.bevels_quarters import (
    QUARTER_NAMES,
    Gerald,
    GeraldOutline,
    gerald_outline,
    geralds_of,
)
from templates_gen.templates.bevels_views import views_piece
from templates_gen.units import format_depth

Array = NDArray[np.float64]

_SMALL = 2.5
_SIDE = 1.6
_BETWEEN = 8.0
"""Between the two cards of a piece, mm."""

_BLOCK = 80.0
_MIDDLE_ROW_FROM = 15.0
"""Least width of a card that has room for a row of lettering between those at its two edges, mm."""

_NOTES = (
    "Two cards, cut apart, laid on their lands from the strake's end: the side 'lap line' on the lap line, the side "
    "'edge' on the plank's edge, 'start' where the gerald begins. Prick the quarters through.",
    "LOWER strake, OUTSIDE: PORT as drawn. UPPER strake, INSIDE: STARBOARD as drawn. Turn over for the other side.",
    "Figures are what comes off square to the face, gerald and bevel together, at the plank's edge (and what is left "
    "there) and at the lap line. Plane fair from quarter to quarter and try it with the gerald block.",
)

_BLOCK_NOTES = (
    "Make the block of any hard wood, planed to the thickness written on it; laid in a finished gerald at the "
    "strake's end it comes flush with the unplaned face. Both strakes' geralds are tried with it.",
)


def gerald_card_pieces(boat: Boat) -> tuple[Piece, ...]:
    """Return for each gerald both strakes' cards and the end views, and a block for each thickness of planking.

    A boat that keeps full laps at both ends has none.
    """
    return gerald_pieces(boat, all_land_facts(boat))


def gerald_pieces(boat: Boat, all_facts: Sequence[LandFacts]) -> tuple[Piece, ...]:
    """Return the gerald cards of lands whose facts are known."""
    geralds = [gerald for facts in all_facts for gerald in geralds_of(boat.shell, facts)]
    blocks = sorted({gerald.lower_thickness for gerald in geralds})
    cards = [_cards(boat, gerald) for gerald in geralds]
    views = [views_piece(gerald, boat.shell.planking.lap_on(gerald.land)) for gerald in geralds]
    return (*(_block(thickness, boat) for thickness in blocks), *cards, *views)


def _block(thickness: float, boat: Boat) -> Piece:
    """The block's outline, as wide as the lap but no narrower than a hole and its letters want."""
    units, wide = boat.hull.units, max(boat.shell.planking.lap, 18.0)
    half = format_depth(thickness / 2, units)
    outline = np.array([[0.0, 0.0], [_BLOCK, 0.0], [_BLOCK, wide], [0.0, wide]])
    rows = [
        Row(f"GERALD BLOCK, {half} thick", 3.0),
        Row(f"half of {format_depth(thickness, units)} planking", _SMALL),
    ]
    return Piece(
        f"gerald block {thickness / 2:.1f}",
        "bevels",
        (f"Gerald block, {half} thick", "either strake, either hand, both ends"),
        (Path(outline, Role.CUT, closed=True),),
        (hanging_hole(_BLOCK - 9.0, wide / 2),),
        set_down(rows, (3.0, (wide + depth(rows)) / 2)),
        _BLOCK_NOTES,
    )


def _cards(boat: Boat, gerald: Gerald) -> Piece:
    """Both strakes' cards, the lower strake's below, both with the fore end left."""
    lower, upper = (gerald_outline(boat, gerald, which) for which in (False, True))
    units, land, end = boat.hull.units, gerald.land, gerald.end
    lower = _moved(lower, -lower.edge.min(axis=0))
    top = float(max(lower.edge[:, 1].max(), lower.inner[:, 1].max()))
    bottom = np.array([upper.edge[:, 0].min(), min(upper.edge[:, 1].min(), upper.inner[:, 1].min())])
    upper = _moved(upper, np.array([0.0, top + _BETWEEN]) - bottom)
    off = gerald.losses
    return Piece(
        f"land {land} gerald card {end}",
        "bevels",
        (
            f"Land {land}: gerald cards, {end} end",
            f"LOWER strake {land}, OUTSIDE, upper edge: PORT as drawn",
            f"UPPER strake {land + 1}, INSIDE, lower edge: STARBOARD as drawn",
            "FORE end left, KEEL below, SHEER above",
        ),
        (*_lines(lower), *_lines(upper)),
        (),
        (
            *_lettering(lower, gerald, off.lower_at_edge, off.lower_at_lap_line, gerald.lower_left, units, False),
            *_lettering(upper, gerald, off.upper_at_lap_line, off.upper_at_edge, gerald.upper_left, units, True),
        ),
        _NOTES,
    )


def _moved(outline: GeraldOutline, by: Array) -> GeraldOutline:
    return GeraldOutline(outline.edge + by, outline.inner + by, outline.quarters + by)


def _lines(outline: GeraldOutline) -> tuple[Path, ...]:
    """The card's outline and the lines at its inner quarters; start and end are the outline's own sides."""
    around = np.concatenate([outline.edge, outline.inner[::-1]])
    quarters = (Path(line, Role.SCRIBE) for line in outline.quarters[1:-1])
    return (Path(around, Role.CUT, closed=True), *quarters)


def _lettering(
    outline: GeraldOutline,
    gerald: Gerald,
    at_edge: Array,
    at_inner: Array,
    left: Array,
    units: UnitName,
    upper: bool,
) -> list[Label]:
    """What is written beside each quarter, on the side toward the start (beside the start: toward the end).

    Each figure stands where it holds: by the plank's edge, by the lap line; names and words in the middle.
    """
    labels: list[Label] = []
    unit = "" if units == "mm" else " mm"
    strake = gerald.land + (1 if upper else 0)
    which = f"{'UPPER' if upper else 'LOWER'} STRAKE {strake}"
    face = "INSIDE, STARBOARD" if upper else "OUTSIDE, PORT"
    words = ("", f"Land {gerald.land}", which, face, gerald.end.upper())
    for k, name in enumerate(QUARTER_NAMES):
        spot = _Spot(outline, k)
        lap, edge, stays = (format_depth(float(figures[k]), "mm") for figures in (at_inner, at_edge, left))
        by_edge = [f"edge {edge}, left {stays}{unit}", f"edge {edge}{unit}", edge]
        by_lap = [f"lap line {lap}{unit}", lap]
        middle = [f"{name}  {words[k]}".strip(), name]
        labels += [spot.label(by_edge, "edge"), spot.label(by_lap, "inner")]
        if spot.width >= _MIDDLE_ROW_FROM:
            labels.append(spot.label(middle, "middle"))
    return labels


class _Spot:
    """The room beside one quarter of a card, and how lettering stands in it."""

    def __init__(self, outline: GeraldOutline, quarter: int) -> None:
        quarters = outline.quarters
        self.edge, inner = quarters[quarter]
        beside = quarters[1] if quarter == 0 else quarters[quarter - 1]
        along = beside[0] - self.edge
        share = 0.48 if quarter <= 1 else 1.0
        by_edge, by_inner = (share * float(np.linalg.norm(beside[i] - quarters[quarter][i])) for i in (0, 1))
        self._spans = {"edge": by_edge, "inner": by_inner, "middle": min(by_edge, by_inner)}
        self._toward_right = bool(along[0] > 0)
        self._along = along / np.linalg.norm(along)
        direction = self._along if self._toward_right else -self._along
        self._angle = float(np.arctan2(direction[1], direction[0]))
        self._up = np.array([-direction[1], direction[0]])
        self._across = inner - self.edge
        self.width = abs(float(self._across @ self._up))
        self._inner_is_above = bool(self._across @ self._up > 0)

    def label(self, choices: Sequence[str], where: str) -> Label:
        """Return the first of some texts that fits, near the edge, near the inner line or between them."""
        shares = {"edge": _SIDE / self.width, "inner": 1.0 - _SIDE / self.width, "middle": 0.5}
        lean = abs(float(self._across @ self._along)) / self.width
        room = self._spans[where] - 3.0 - 2.0 * lean * _SMALL
        text = next((t for t in choices if letters_width(t, _SMALL) <= room), choices[-1])
        on_line = self.edge + shares[where] * self._across
        below = (where == "inner") == self._inner_is_above and where != "middle"
        drop = _SMALL / 2 if where == "middle" else _SMALL if below else 0.0
        place = on_line + 1.5 * self._along - drop * self._up
        place = place + lean * _SMALL * self._along
        return Label(
            text,
            (float(place[0]), float(place[1])),
            _SMALL,
            self._angle,
            "start" if self._toward_right else "end",
        )
