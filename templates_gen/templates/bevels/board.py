"""The bevel board: for each land a row of lines, one for each place, at its bevel from the row's own edge.

A row is drawn like the plank it is for: the level line is the face that is not planed, the wood is under it, the
lines fall into the wood as the planed land does. KEEL is always left and SHEER right, so that a hollow land, planed
at the lower edge of the upper strake, is drawn the other hand. Common practice; the angles are the boat's own.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.drawing.marks import letters_width, line
from templates_gen.drawing.piece import Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.notation import Marked, Notation
from templates_gen.templates.bevels.facts import LandFacts
from templates_gen.templates.bevels.gauges import shared_cards
from templates_gen.templates.cards import Row, broken, depth, set_down, tenths
from templates_gen.words import piece_name, short

Array = NDArray[np.float64]

WIDE, HIGH = 242.0, 153.0
"""What goes on one sheet of A4 or Letter, on its side, mm."""

LINE = 62.0
"""Length of each line, mm: long enough to lay a blade to within a quarter of a degree by eye."""

STOCK = 47.0
"""Length of the level line before the first slanting line, for the bevel's stock, mm."""

_STEP_LEAST, _STEP_MOST = 18.7, 30.0
"""From line to line along the edge, mm."""

_MOST_LINES = int((WIDE - STOCK - LINE) // _STEP_LEAST) + 1
_LAND, _ANGLE, _SMALL = 5.0, 3.2, 2.2
_BETWEEN, _UNDER, _FRAME, _EDGE = 2.5, 1.4, 2.0, 3.0

_CLEAR, _FREE = 0.6, 2.6
"""From a line's end to its leader and from this to its figure; what the next line's figure leaves of a step, mm."""

_TITLE, _TITLE_DEPTH, _SKETCH_DEPTH = 5.0, 8.5, 36.5


@dataclass(frozen=True)
class BoardLine:
    """One line of a board: the bevel that it is drawn at (radians, positive) and what is written under its end."""

    bevel: float
    places: str
    off: str


@dataclass(frozen=True)
class Fan:
    """The lines of one land, convex or hollow, steepest first; places that no line serves; its lap."""

    land: int
    is_hollow: bool
    lines: tuple[BoardLine, ...]
    straight: str = ""
    lap: str = ""
    is_continued: bool = False

    @property
    def name(self) -> str:
        """Return what its lines are found by."""
        return f"LAND {self.land}{' HOLLOW' if self.is_hollow else ''}"

    @property
    def least_width(self) -> float:
        """Return the width that it wants, mm."""
        return STOCK + LINE + 1.0 + _STEP_LEAST * (len(self.lines) - 1)


def bevel_boards(boat: Boat, all_facts: Sequence[LandFacts]) -> tuple[Piece, ...]:
    """Return the bevel boards of lands, as many as it takes; none where a straightedge serves everywhere."""
    return boards_for(boat.hull, boat.hull.planking.lap_on, all_facts)


def boards_for(marked: Marked, lap_on: Callable[[int], float], all_facts: Sequence[LandFacts]) -> tuple[Piece, ...]:
    """Return the bevel boards of lands of a boat, or of one plank; `lap_on` gives each land's lap, mm."""
    head, boards = _boards(marked, lap_on, all_facts)
    return tuple(_board(head, number, len(boards), own) for number, own in enumerate(boards, start=1))


def board_abouts(boat: Boat, all_facts: Sequence[LandFacts]) -> dict[tuple[int, bool], tuple[About, ...]]:
    """Return what the boards are about that hold the lines of each land, of its convex part and of its hollow one."""
    found: dict[tuple[int, bool], tuple[About, ...]] = {}
    rows_of_boards = _boards(boat.hull, boat.hull.planking.lap_on, all_facts)[1]
    for number, rows in enumerate(rows_of_boards, start=1):
        for fan in dict.fromkeys((fan.land, fan.is_hollow) for row in rows for fan in row.fans):
            found[fan] = (*found.get(fan, ()), _about(number, rows))
    return found


def _boards(
    marked: Marked, lap_on: Callable[[int], float], all_facts: Sequence[LandFacts]
) -> tuple["_Head", list[list["_DrawnRow"]]]:
    """The head of the first board, and the rows of each."""
    notation = marked.notation
    laps = [notation.spoken_length(lap_on(facts.land)) for facts in all_facts]
    fans, hollow = (
        [fan for facts, lap in zip(all_facts, laps, strict=True) for fan in fans_of(facts, is_hollow, lap, notation)]
        for is_hollow in (False, True)
    )
    has_moulds = any(facts.places[0].kind != "measured" for facts in all_facts)
    has_geralds = not has_moulds or any(facts.has_geralds for facts in all_facts)
    head = _Head(marked, bool(hollow), has_moulds, has_geralds)
    return head, _shared_out([_DrawnRow(row) for row in (*_rows(fans), *_rows(hollow))], head.depth)


def _about(number: int, rows: Sequence["_DrawnRow"]) -> About:
    lands = sorted(fan.land for row in rows for fan in row.fans)
    return About("land", lands[0], last=lands[-1], part="board", which=(number,))


def fans_of(facts: LandFacts, is_hollow: bool, lap: str, notation: Notation) -> tuple[Fan, ...]:
    """Return the lines of one land, more than one fan where they do not go in one row; () where it has none.

    Places share a line as they share a card: it is drawn at the bevel of one, within a quarter of a degree of all.
    """
    cards = [card for card in shared_cards(facts) if bool(facts.is_hollow[card.own]) == is_hollow]
    cards.sort(key=lambda card: -abs(float(facts.bevel[card.own])))
    lines = tuple(_line(facts, card.own, card.members, notation) for card in cards)
    level = [i for i in range(len(facts.places)) if facts.is_straight(i) and not facts.is_in_gerald[i]]
    straight = "" if is_hollow else ", ".join(_to_depth(facts, i, notation) for i in level)
    count = -(-len(lines) // _MOST_LINES)
    parts = [lines[len(lines) * k // count : len(lines) * (k + 1) // count] for k in range(count)]
    return tuple(Fan(facts.land, is_hollow, part, "" if k else straight, lap, k > 0) for k, part in enumerate(parts))


def _to_depth(facts: LandFacts, index: int, notation: Notation) -> str:
    """A place that no line serves, with the depth that it is planed to: "4–5 off 0.3"."""
    inside = " INSIDE" if facts.is_hollow[index] else ""
    return f"{short(facts.places[index].place)}{inside} off {notation.depth(float(facts.off[index]))}"


def _line(facts: LandFacts, own: int, members: Sequence[int], notation: Notation) -> BoardLine:
    places = ", ".join(short(facts.places[i].place) for i in members)
    least, most = (float(end(facts.off[list(members)])) for end in (np.min, np.max))
    return BoardLine(abs(float(facts.bevel[own])), places, f"off {notation.depth_range(least, most)}")


def _rows(fans: Sequence[Fan]) -> list[tuple[Fan, ...]]:
    """Fans of one kind as rows: as many next to each other as there is room for."""
    rows: list[tuple[Fan, ...]] = []
    for fan in fans:
        if rows and sum(one.least_width for one in (*rows[-1], fan)) <= WIDE:
            rows[-1] = (*rows[-1], fan)
        else:
            rows.append((fan,))
    return rows


class _DrawnRow:
    """A row with its level line along y = 0 from x = 0 to `WIDE`, all else under it."""

    def __init__(self, fans: Sequence[Fan]) -> None:
        self.fans, self.is_hollow = tuple(fans), fans[0].is_hollow
        self.paths = [line(Role.BEVEL, (0.0, 0.0), (WIDE, 0.0))]
        self.labels: list[Label] = []
        left, spare = 0.0, WIDE - sum(fan.least_width for fan in fans)
        for fan in fans:
            steps = len(fan.lines) - 1
            step = min(_STEP_MOST, _STEP_LEAST + spare / len(fans) / steps) if steps else _STEP_LEAST
            self._draw(fan, left, step)
            left += fan.least_width + spare / len(fans)
        if self.is_hollow:
            self.paths = [
                replace(path, points=path.points * np.array([-1.0, 1.0]) + np.array([WIDE, 0.0]))
                for path in self.paths
            ]
        self.high = -min(
            *(float(path.points[:, 1].min()) for path in self.paths), *(label.at[1] for label in self.labels)
        )

    def _draw(self, fan: Fan, left: float, step: float) -> None:
        for k, one in enumerate(fan.lines):
            apex = left + STOCK + k * step
            run, drop = LINE * float(np.cos(one.bevel)), LINE * float(np.sin(one.bevel))
            self.paths.append(line(Role.BEVEL, (apex, 0.0), (apex + run, -drop)))
            self.paths.append(line(Role.NOTE, (apex, 0.0), (apex, 1.0)))
            self.paths.append(line(Role.NOTE, (apex + run, -drop - _CLEAR), (apex + run, -drop - _UNDER - _ANGLE)))
            room = (step if len(fan.lines) > 1 else _STEP_MOST) - _FREE
            rows = [Row(tenths(one.bevel), _ANGLE, kind="measure"), Row(one.places, _SMALL)]
            rows.append(Row(one.off, _SMALL, kind="measure"))
            self._write_at_end(rows, (apex + run, -drop - _UNDER), room)
        self._write(_heading(fan), left + 1.0, -_UNDER, STOCK - 3.0)

    def _write_at_end(self, rows: Sequence[Row], top: tuple[float, float], room: float) -> None:
        """Write under a line's end, toward its corner, as a flag on the leader that hangs from the end."""
        x, y = top
        if self.is_hollow:
            self.labels += set_down(broken(rows, room), (WIDE - x + _CLEAR, y))
        else:
            self.labels += (replace(label, anchor="end") for label in set_down(broken(rows, room), (x - _CLEAR, y)))

    def _write(self, rows: Sequence[Row], left: float, top: float, room: float) -> None:
        self.labels += set_down(broken(rows, room), (WIDE - left - room if self.is_hollow else left, top))


def _heading(fan: Fan) -> list[Row]:
    where = f"strake {fan.land + 1}, INSIDE" if fan.is_hollow else f"strake {fan.land}, OUTSIDE"
    rows = [Row(fan.name, _LAND), Row(f"continued: {where}" if fan.is_continued else where, 3.0)]
    if fan.is_hollow:
        rows.append(Row(f"corner one lap, {fan.lap}, up from the lower edge", _SMALL))
    return [*rows, Row(f"under 1°: plane to the depth: {fan.straight}", _SMALL)] if fan.straight else rows


def _shared_out(rows: Sequence[_DrawnRow], head: float) -> list[list[_DrawnRow]]:
    """Rows shared out over boards in their order; the first board has a head `head` mm deep."""
    boards: list[list[_DrawnRow]] = []
    room = 0.0
    for row in rows:
        wants = row.high + _BETWEEN + (2 * _FRAME if row.is_hollow else 0.0)
        if not boards or wants > room:
            room = HIGH - (_TITLE_DEPTH if boards else head)
            boards.append([])
        boards[-1].append(row)
        room -= wants
    return boards


def _board(head: "_Head", number: int, count: int, rows: Sequence[_DrawnRow]) -> Piece:
    paths: list[Path] = []
    labels = head.title(number, count)
    level = -_TITLE_DEPTH
    if number == 1:
        paths, labels, level = [*paths, *head.paths], [*labels, *head.labels], -head.depth
    for row in rows:
        level -= _FRAME if row.is_hollow else 0.0
        paths += [replace(path, points=path.points + np.array([0.0, level])) for path in row.paths]
        labels += [_moved(label, level) for label in row.labels]
        if row.is_hollow:
            paths += _frame(level, level - row.high)
        level -= row.high + _BETWEEN + (_FRAME if row.is_hollow else 0.0)
    outline = np.array([(-_EDGE, 1.0), (WIDE + _EDGE, 1.0), (WIDE + _EDGE, level), (-_EDGE, level)])
    paths.insert(0, Path(outline, Role.CUT, closed=True))
    about = _about(number, rows)
    return Piece(
        piece_name(about),
        "bevels",
        (f"Bevel board {number} of {count}", "set the bevel here, carry it to the plank"),
        tuple(paths),
        labels=tuple(labels),
        notes=head.notes,
        is_paper=True,
        about=about,
    )


def _moved(label: Label, level: float) -> Label:
    x, y = label.at
    return replace(label, at=(x, y + level), block=f"{label.block} {level:.2f}" if label.block else "")


_WITH_GERALD = "; where a gerald starts, bevel and gerald together"
_PLACES = " 2 is mould or station 2; 2–3 is half-way."


def _how(notation: Notation, has_moulds: bool, has_geralds: bool) -> tuple[str, ...]:
    """How a board is used."""
    return (
        "The level line is the face that you do not plane; the wood is under it. KEEL is to the left, SHEER to the "
        "right.",
        "Stock ABOVE the level line, LEFT of the corner where the slanting line starts (framed rows: RIGHT). "
        "UNDERSIDE of the blade along the slanting line of the place. Its figures hang under its end.",
        "Carry it to the plank, square to the land: stock hard on the unplaned face, corner on the lap line (framed "
        "rows: on the short dashes inside, one lap up from the lower edge). Plane until no light shows under the "
        "blade.",
        f"Below about 2.5° work to the depth: off is {notation.depth_words} planed off at the plank's edge"
        f"{_WITH_GERALD if has_geralds else ''}.{_PLACES if has_moulds else ''}",
    )


_NOTES = (
    "Use a bevel of two flat strips of equal width with the rivet on the middle of both. For a bevel with a thick "
    "stock paste the board on plywood, saw it along the level lines, and hook the stock over the edge.",
    "Each line is drawn at the bevel of one of its places; the others differ from it by a quarter of a degree at "
    "most.{inside}",
    "Rows without a frame are for convex lands: OUTSIDE of the lower strake, at its upper edge. Framed rows are for "
    "hollow lands: INSIDE of the upper strake, at its lower edge, before you hang it; the bevel's corner is on the "
    "short dashes, one lap up from that edge.",
)

_SIDES = "KEEL to the left, SHEER to the right"
_SKETCH = 56.0
_PLANK, _LAP, _STRIP = 7.0, 16.0, 3.0
_SKETCHED = np.radians(12.0)


class _Head:
    """What is above the rows: a title on every board; on the first how it is used, with a sketch of each kind."""

    def __init__(self, marked: Marked, has_hollow: bool, has_moulds: bool, has_geralds: bool) -> None:
        self._marked = marked
        self._boat = f"{marked.name} {marked.fingerprint}".strip()
        depths = "gerald sheet" if has_moulds else "depths on the plank's pattern and in its table"
        inside = f" Inside a gerald use the {depths}." if has_geralds else ""
        self.notes = tuple(note.format(inside=inside) for note in _NOTES)
        kinds = (False, True) if has_hollow else (False,)
        room = WIDE - len(kinds) * (_SKETCH + 4.0)
        rows = broken(
            [Row(text, _SMALL, kind="instruction") for text in _how(marked.notation, has_moulds, has_geralds)], room
        )
        self.labels = list(set_down(rows, (0.0, -_TITLE_DEPTH)))
        self.paths: list[Path] = []
        self.depth = max(_SKETCH_DEPTH, _TITLE_DEPTH + depth(rows) + 2 * _BETWEEN)
        for k, is_hollow in enumerate(kinds):
            paths, labels = _sketch(is_hollow, room + 4.0 + k * (_SKETCH + 4.0))
            self.paths += paths
            self.labels += labels

    def title(self, number: int, count: int) -> list[Label]:
        """Return a board's name, large, and the boat's at the other side, as large as there is room for."""
        name = self._marked.of_side(f"BEVEL BOARD {number} of {count}" if count > 1 else "BEVEL BOARD")
        aside = letters_width(name, _TITLE) + 6.0
        room = WIDE - aside - letters_width(_SIDES, _SMALL) - 6.0
        small = min(3.0, 3.0 * room / letters_width(self._boat, 3.0))
        return [
            Label(name, (0.0, -_TITLE), _TITLE),
            Label(_SIDES, (aside, -_TITLE), _SMALL),
            Label(self._boat, (WIDE, -_TITLE), small, anchor="end"),
        ]


def _sketch(is_hollow: bool, left: float) -> tuple[list[Path], list[Label]]:
    """A plank in section with the bevel on it; not to scale."""
    side, level = (-1.0, -23.0) if is_hollow else (1.0, -23.0)
    corner = left + (_LAP + 8.0 if is_hollow else _SKETCH - _LAP - 8.0)
    cosine, sine = float(np.cos(_SKETCHED)), float(np.sin(_SKETCHED))
    drop = _LAP * sine / cosine
    plank = [(-28.0, 0.0), (0.0, 0.0), (_LAP, -drop), (_LAP, -_PLANK), (-28.0, -_PLANK)]
    stock = [(-26.0, 0.5), (0.0, 0.5), (0.0, _STRIP), (-26.0, _STRIP)]
    blade = [(0.0, 0.5), (22.0 * cosine, 0.5 - 22.0 * sine)]
    blade += [(x + _STRIP * sine, y + _STRIP * cosine) for x, y in blade[::-1]]
    off = [(0.0, 0.0), (_LAP, 0.0), (_LAP, -drop)]

    def placed(points: Sequence[tuple[float, float]], role: Role) -> Path:
        return Path(
            np.array(points) * np.array([side, 1.0]) + np.array([corner, level]), role, closed=role is not Role.FAR
        )

    kind, where = ("HOLLOW, framed", "UPPER strake, INSIDE face up") if is_hollow else _CONVEX_WORDS
    words = [
        Label(kind, (left, -_TITLE_DEPTH - _SMALL), _SMALL),
        Label(where, (left, -_TITLE_DEPTH - 2.75 * _SMALL), _SMALL),
        Label("stock", (corner - side * 14.0, level + 4.2), _SMALL, anchor="middle"),
        Label("blade", (corner + side * 14.0, level + 3.2), _SMALL, anchor="middle"),
        Label("KEEL", (left, level - _PLANK - 3.8), _SMALL),
        Label("SHEER", (left + _SKETCH, level - _PLANK - 3.8), _SMALL, anchor="end"),
    ]
    return [
        placed(plank, Role.SCRIBE),
        placed(stock, Role.NOTE),
        placed(blade, Role.NOTE),
        placed(off, Role.FAR),
    ], words


_CONVEX_WORDS = ("CONVEX, no frame", "LOWER strake, OUTSIDE face up")


def _frame(top: float, bottom: float) -> list[Path]:
    """A double frame round a row for a hollow land."""
    found = []
    for out in (1.2, 2.2):
        corners = [(-out, bottom - out), (WIDE + out, bottom - out), (WIDE + out, top + out), (-out, top + out)]
        found.append(Path(np.array(corners), Role.BEVEL, closed=True))
    return found
