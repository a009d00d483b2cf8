"""The gerald sheet: end views at full size and depths at the quarters, for each land at one end; and its table."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from templates_gen.about import ENDS, About, EndName
from templates_gen.drawing.marks import letters_width, line
from templates_gen.drawing.piece import Label, Path, Piece, Role, Table
from templates_gen.geometry.boat import Boat
from templates_gen.hull.model import Hull
from templates_gen.notation import Notation
from templates_gen.templates.bevels.board import HIGH, WIDE
from templates_gen.templates.bevels.facts import QUARTER_NAMES, Gerald, LandFacts, geralds_of
from templates_gen.templates.bevels.gerald_cards import block_words, gerald_blocks
from templates_gen.templates.bevels.gerald_views import gerald_view
from templates_gen.words import piece_name

SHOWN = (2, 4)
"""The quarters whose end views are drawn: half-way along the gerald, and the strake's end."""

_CELL = 60.0
_BEYOND = 6.0
_TITLE, _TITLE_DEPTH, _NAME, _SMALL, _PITCH = 5.0, 13.0, 3.5, 2.1, 3.1
_HEADS, _HEAD_PITCH, _HANGS = 2.0, 2.95, 1.0
"""Height of the columns' heads, from row to row of them, and how far their rules reach past the rows, mm."""

_MARGIN = 2.0
_RULE = 1.6
"""From a land to the rule on its left, mm."""

_COLUMNS = (
    ("off", "at", "edge"),
    ("off", "lap", "line"),
    ("left", "at", "edge"),
    ("off", "at", "edge"),
    ("off", "1 lap", "in"),
    ("left", "at", "edge"),
)
_OF_UPPER = 3
"""The first of the columns of the upper strake."""

_FIRST_COLUMN, _COLUMN, _BETWEEN_STRAKES = 12.0, 7.7, 3.0
"""The middle of the first column of figures, from there to the next, and what is added between the strakes, mm."""

_BLOCK_FITS = "block fits:"

_SHOWN_DEPTHS = (0, 2, 1, 4, 6, 5)
"""Which of a gerald's depths the columns hold; what comes off in the strake's order, edge first, then lap line."""


def _notes(notation: Notation) -> tuple[str, ...]:
    """How a sheet is used."""
    return (
        "Plane each gerald to these depths, fair from quarter to quarter; the quarters are marked on the strakes. "
        f"Depths are in {notation.depth_words}, square to the face, gerald and bevel together.",
        "Upper strake: its lower edge, INSIDE; '1 lap in' is one lap in from that edge. Lower strake: its upper "
        "edge, OUTSIDE.",
        "Block fits: in the end of the strake named the gerald block lies flush; 'lower edge only': at the lower "
        "strake's edge alone.",
        "Lay planed offcuts on the end views. At the end plane the ridge outside the short dashes off flush when "
        "both strakes are fastened.",
    )


def gerald_sheets(boat: Boat, all_facts: Sequence[LandFacts]) -> tuple[Piece, ...]:
    """Return the gerald sheets of lands, those of the fore end first, and the blocks; none without geralds."""
    parts = _shared_out(boat, all_facts)
    sheets = (_sheet(boat.hull, number, part) for number, part in enumerate(parts, start=1))
    geralds = [cell.gerald for part in parts for cell in part]
    return (*sheets, *gerald_blocks(boat.hull, boat.shell.planking.lap_on, geralds))


def sheet_abouts(boat: Boat, all_facts: Sequence[LandFacts]) -> dict[tuple[int, EndName], About]:
    """Return what the sheet is about that shows the gerald of each land and end."""
    parts = enumerate(_shared_out(boat, all_facts), start=1)
    return {(cell.gerald.land, cell.gerald.end): _about(number, part) for number, part in parts for cell in part}


def _shared_out(boat: Boat, all_facts: Sequence[LandFacts]) -> list[list["_Cell"]]:
    """The geralds of each sheet, those of the fore end first, all in cells of one height."""
    geralds = [gerald for facts in all_facts for gerald in geralds_of(boat.shell, facts)]
    cells = [_Cell(gerald, boat.shell.planking.lap_on(gerald.land), boat.hull.notation) for gerald in geralds]
    cells.sort(key=lambda cell: cell.gerald.end == "aft")
    most = _across(cells) * max(1, int((HIGH - _TITLE_DEPTH) // max(cell.high for cell in cells))) if cells else 1
    return [cells[first : first + most] for first in range(0, len(cells), most)]


def _across(cells: Sequence["_Cell"]) -> int:
    """How many cells stand next to each other."""
    return max(1, int((WIDE + _MARGIN) // max(cell.wide for cell in cells)))


def _about(number: int, cells: Sequence["_Cell"]) -> About:
    lands = [cell.gerald.land for cell in cells]
    return About("land", min(lands), last=max(lands), part="gerald sheet", which=(number,))


class _Cell:
    """One gerald's end views and depths, its upper left corner at (0, 0)."""

    def __init__(self, gerald: Gerald, lap: float, notation: Notation) -> None:
        self.gerald = gerald
        views = [gerald_view(gerald, k, lap, _BEYOND) for k in SHOWN]
        spread = [np.concatenate([path.points for path in view]) for view in views]
        self.wide = max(_CELL, 2 * _MARGIN + sum(float(np.ptp(points[:, 0])) + 4 * _MARGIN for points in spread))
        fits = block_words(gerald)
        right, room = self.wide - 1.5 * _MARGIN, max(letters_width(text, _HEADS) for text in (_BLOCK_FITS, fits))
        self.labels = [
            Label(f"LAND {gerald.land} {gerald.end.upper()}", (0.0, -_NAME), _NAME),
            Label(_BLOCK_FITS, (right, -_HEADS), _HEADS, anchor="end"),
            Label(fits, (right, -_HEADS - _HEAD_PITCH), _HEADS, anchor="end"),
        ]
        self.paths: list[Path] = []
        left, low = 2 * _MARGIN, 0.0
        for k, view, points in zip(SHOWN, views, spread, strict=True):
            is_under_words = left + float(np.ptp(points[:, 0])) > right - room - 1.0
            top = -1.5 * _HEADS - _HEAD_PITCH if is_under_words else -_NAME - _MARGIN
            shift = np.array([left - points[:, 0].min(), top - points[:, 1].max()])
            self.paths += [replace(path, points=path.points + shift) for path in view]
            bottom = float(points[:, 1].min() + shift[1])
            caption = (float(shift[0]) + gerald.lower_thickness + 1.5, bottom + 1.0)
            self.labels.append(Label(QUARTER_NAMES[k], caption, 3.0))
            left += float(np.ptp(points[:, 0])) + 4 * _MARGIN
            low = min(low, bottom)
        self._write_depths(low - 0.5, notation)

    def _write_depths(self, top: float, notation: Notation) -> None:
        """The depths at the quarters, under the views."""
        g = self.gerald
        depths = (*g.depths(False, notation), *g.depths(True, notation))
        figures = [depths[k] for k in _SHOWN_DEPTHS]
        step = (self.wide - _CELL) / 5 + _COLUMN
        places = [_FIRST_COLUMN + k * step + (_BETWEEN_STRAKES if k >= _OF_UPPER else 0.0) for k in range(6)]
        level = top - _PITCH
        for k, text in ((1, f"lower {g.land}, OUTSIDE"), (4, f"upper {g.land + 1}, INSIDE")):
            self._write(text, places[k], level)
        head = level - _HANGS
        for row in range(len(_COLUMNS[0])):
            level -= _HEAD_PITCH
            for x, words in zip(places, _COLUMNS, strict=True):
                self._write(words[row], x, level)
        self.paths.append(line(Role.NOTE, (0.0, level - 1.2), (self.wide - 2 * _MARGIN, level - 1.2)))
        for k, name in enumerate(QUARTER_NAMES):
            level -= _PITCH
            self.labels.append(Label(name, (0.0, level - 0.8), _SMALL))
            for x, figure in zip(places, figures, strict=True):
                text = notation.depth_cell(float(figure[k]))
                self.labels.append(Label(text, (x, level - 0.8), _SMALL, anchor="middle", kind="measure"))
        rules = [x - step / 2 for x in places] + [places[_OF_UPPER - 1] + step / 2]
        self.paths += [line(Role.NOTE, (x, head), (x, level - 0.8 - _HANGS)) for x in rules]
        self.high = -level + 1.7 * _MARGIN

    def _write(self, text: str, x: float, y: float) -> None:
        self.labels.append(Label(text, (x, y), _HEADS, anchor="middle"))


def _lengths(cells: Sequence[_Cell], notation: Notation) -> str:
    """How long the geralds of a sheet are, start to end: "fore 320 mm long"; those of one end are alike."""
    long = {one.gerald.end: notation.spoken_length(one.gerald.length) for one in cells}
    return ", ".join(f"{end} {length} long" for end, length in long.items())


def _sheet(hull: Hull, number: int, cells: Sequence[_Cell]) -> Piece:
    notation = hull.notation
    wide, high, across = max(cell.wide for cell in cells), max(cell.high for cell in cells), _across(cells)
    ends = [end for end in ENDS if any(one.gerald.end == end for one in cells)]
    title = hull.of_side(f"GERALDS {' and '.join(end.upper() for end in ends)}")
    unit = notation.depth_unit
    rule = (
        f"{_lengths(cells, notation)} · {unit} off, square to the face, and {unit} left · "
        "views: outside right, sheer above"
    )
    paths: list[Path] = []
    labels = [
        Label(title, (0.0, -_TITLE), _TITLE),
        Label(f"{hull.name} {hull.fingerprint}".strip(), (WIDE, -_TITLE), 2.5, anchor="end"),
        Label(rule, (0.0, -_TITLE - 5.0), 2.5),
    ]
    bottom = 0.0
    for k, one in enumerate(cells):
        corner = np.array([wide * (k % across), -_TITLE_DEPTH - high * (k // across)])
        paths += [replace(path, points=path.points + corner) for path in one.paths]
        labels += [replace(label, at=(label.at[0] + corner[0], label.at[1] + corner[1])) for label in one.labels]
        bottom = min(bottom, float(corner[1]) - high)
        if k % across:
            x, top = float(corner[0]) - _RULE, float(corner[1])
            paths.append(line(Role.NOTE, (x, top), (x, top - high + 2 * _MARGIN)))
    frame = np.array([(-3.0, 1.0), (WIDE + 3.0, 1.0), (WIDE + 3.0, bottom), (-3.0, bottom)])
    about = _about(number, cells)
    return Piece(
        piece_name(about),
        "bevels",
        (
            f"Gerald sheet {number}: {' and '.join(ends)}",
            "outside to the right, SHEER above",
        ),
        (Path(frame, Role.CUT, closed=True), *paths),
        labels=tuple(labels),
        notes=_notes(notation),
        is_paper=True,
        about=about,
    )


def gerald_table(geralds: Sequence[Gerald], notation: Notation) -> Table:
    """Return the table of what comes off both strakes at each quarter of every gerald, and of what is left."""
    rows = []
    for gerald in geralds:
        for k, name in enumerate(QUARTER_NAMES):
            place = f"{gerald.land} {gerald.end}"
            block = block_words(gerald) if k == len(QUARTER_NAMES) - 1 else ""
            depths = (*gerald.depths(False, notation), *gerald.depths(True, notation)[:-1])
            rows.append((place, name, *(notation.depth_cell(float(figure[k])) for figure in depths), block))
    return Table(
        "Geralds by quarters of their length, from the start to the strake's end",
        (
            "Land",
            "At",
            "Lower strake:\noff at its edge",
            "left\nthere",
            "off at\nlap line",
            "left\nthere",
            "Upper strake:\noff at its edge",
            "left\nthere",
            "off one\nlap in",
            "Block\nfits",
        ),
        tuple(rows),
        (
            f"Depths are in {notation.depth_words}, square to the face, gerald and bevel together.",
            "The gerald block is half as thick as the stock. It is flush at the very end of the strake named under "
            "'Block fits'; 'lower edge only' means at the lower strake's edge alone. Elsewhere use the depths.",
        ),
        word_columns=(0, 1, 9),
        rows_about=tuple(About("land", g.land, end=g.end) for g in geralds for _ in QUARTER_NAMES),
    )
