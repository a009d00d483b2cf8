"""Piece, Path, Hole, Label and Table: what a template is made of, full size, in millimetres.

One and the same Piece is measured by tests and drawn by every renderer. x runs right, y up. A renderer
multiplies by one unit constant; it never scales, fits or alters what it is given.
"""

import math
from dataclasses import dataclass, replace
from enum import Enum
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About, Hand, Place
from templates_gen.words import name_in_print

Array = NDArray[np.float64]
LabelKind = Literal["measure", "name", "instruction"]
BOAT = About("boat")
Kind = Literal["moulds", "bevels", "rebates", "transom", "strakes", "inside", "stock"]
PrintSet = Literal["bench", "full"]
"""What is printed: what a builder holds in his hand, or that and a template for every place."""


class Role(Enum):
    """What a line means; only renderers know pens, widths, dashes and layers."""

    CUT = "net line: cut to the middle of it"
    ROUGH = "rough line, with the allowances"
    SCRIBE = "scribed on the face you look at"
    BEVEL = "set a sliding bevel to it"
    FAR = "on the far face, or hidden"
    CENTRELINE = "centreline"
    DATUM = "datum line, with distances and ordinates"
    FOLD = "fold here"
    NOTE = "drawn to be looked at: sections, arrows, leaders"
    HATCH = "wood to be planed away"


@dataclass(frozen=True)
class Path:
    """A line of one role. `points`: shape (n, 2), n >= 2, mm; a closed path does not repeat its first point."""

    points: Array
    role: Role
    closed: bool = False


@dataclass(frozen=True)
class Hole:
    """A round hole to drill: its centre (x, y) and diameter, mm."""

    centre: tuple[float, float]
    diameter: float


@dataclass(frozen=True)
class Label:
    """A line of text on a piece, without a newline.

    Attributes
    ----------
    text : str
    at : (float, float)
        The point that `anchor` names on the text's baseline, mm.
    height : float
        Height of a capital letter, mm.
    angle : float
        Direction of reading, radians, anticlockwise from +x.
    anchor : "start", "middle" or "end"
    is_fine_print : bool
        Whether it is read on paper only: a machine does not engrave it.
    kind : "measure", "name" or "instruction"
        A measure is true at its place only: a length, depth or angle that belongs to the line or point next to it. A
        name says what a line, a point, a side or the piece is. An instruction says what to do.
    block : str
        Labels of a piece with the same word here are rows of one block, in the order of the piece's labels, and stay
        together; "" for a label on its own.
    has_leader : bool
        Whether a line of the piece leads from it to what it names.
    on_mirror : str or None
        Its text on the mirror image of the piece, which is of the other hand; None: the same text.
    on_one_hand : str or None
        Its text on a piece that is cut to one hand, where this one says how one pattern serves both; "" where it is
        left out there. None: the same text.
    room : float or None
        How far it may slide along its line on to one sheet, mm, where it stands next to the one part that it names;
        with a leader, how far it may be moved any way. Where that is not enough it is left out. None: by its kind.
    line : ((float, float), (float, float)) or None
        Where the line across the piece begins and ends that it stands next to, mm along and up its own way of reading
        from `at`. Where no sheet has room for it there, it may stand on either side of the half that begins it, or at
        the end of a leader to it; with a leader, on its own side of all of the line.
    short : str
        What may stand on either side of all of `line`, or with a leader at its end, where there is no room for all of
        the text.
    listed : str
        Whose it is, in the list of labels that no sheet has room for: "edge at strake 3"; "" where the text says so.
    engraved : str
        What a machine engraves in its place, in letters as high; "" where it engraves nothing.
    """

    text: str
    at: tuple[float, float]
    height: float = 3.0
    angle: float = 0.0
    anchor: Literal["start", "middle", "end"] = "start"
    is_fine_print: bool = False
    kind: LabelKind = "name"
    block: str = ""
    has_leader: bool = False
    on_mirror: str | None = None
    on_one_hand: str | None = None
    room: float | None = None
    line: tuple[tuple[float, float], tuple[float, float]] | None = None
    short: str = ""
    listed: str = ""
    engraved: str = ""

    def moved_to(self, at: tuple[float, float], angle: float) -> "Label":
        """Return it at another place and angle; a third of the time of `dataclasses.replace`."""
        return Label(
            self.text,
            at,
            self.height,
            angle,
            self.anchor,
            self.is_fine_print,
            self.kind,
            self.block,
            self.has_leader,
            self.on_mirror,
            self.on_one_hand,
            self.room,
            self.line,
            self.short,
            self.listed,
            self.engraved,
        )

    def next_to(self, line: NDArray[np.float64], short: str = "") -> "Label":
        """Return it with the line that it stands next to, from the edge inward, shape (2, 2), and its short form."""
        ahead, up = (math.cos(self.angle), math.sin(self.angle)), (-math.sin(self.angle), math.cos(self.angle))
        (x0, y0), (x1, y1) = ((line - self.at) @ np.array([ahead, up]).T).tolist()
        return replace(self, line=((x0, y0), (x1, y1)), short=short)


@dataclass(frozen=True)
class Facing:
    """How a piece is drawn, where it has two faces or hands; `words` makes the sentences.

    Attributes
    ----------
    hand : "port" or "starboard"
        Which hand is drawn; the other is its mirror image.
    face : str
        The face you look at: "outer face", "AFT face" …
    side : str
        On which side of its line a mould stands: "mould FORWARD of the line".
    """

    hand: Hand
    face: str = ""
    side: str = ""


@dataclass(frozen=True)
class Piece:
    """One template, whole and full size.

    Attributes
    ----------
    name : str
        As tiles.json names it: "strake 4", "mould 2", "transom aft", "stem fore", "land 3 station 2" …
    kind : Kind
        The file it goes to.
    title : tuple of str
        What it is, hand, face, which way: on maps and captions, and as much as fits on the title strip of its pages.
    about : About
        What it is a template for; `words.piece_name` makes its name of this.
    paths : tuple of Path
        Exactly those with role CUT are cut; each of them is closed, except of a piece that breaks off.
    holes : tuple of Hole
    labels : tuple of Label
    notes : tuple of str
        How the piece is used: printed in what is read first, never on the wood.
    figures : tuple of (str, str)
        What differs from piece to piece in how they are used, and what it is on this one: pieces of the same what are
        listed together.
    is_paper : bool
        Whether it is used as paper: folded, pricked through or looked at, so that no machine cuts it from wood.
    serves : tuple of Place
        The stations that it is made for or held at: it may be asked for by these, too.
    facing : Facing or None
        Hand and face, where it has them.
    breaks_off : bool
        Whether a part of it only is drawn, for paper: its outline is open where it breaks off.
    engraved : tuple of str
        The rows of the short name that a machine engraves, the hand left out; empty: as `about` has it.
    called : str
        What lists, captions and sheets call it; empty: as `words.name_in_print` has it.
    """

    name: str
    kind: Kind
    title: tuple[str, ...]
    paths: tuple[Path, ...]
    holes: tuple[Hole, ...] = ()
    labels: tuple[Label, ...] = ()
    notes: tuple[str, ...] = ()
    is_paper: bool = False
    serves: tuple[Place, ...] = ()
    about: About = BOAT
    facing: Facing | None = None
    breaks_off: bool = False
    engraved: tuple[str, ...] = ()
    figures: tuple[tuple[str, str], ...] = ()
    called: str = ""

    @property
    def name_in_print(self) -> str:
        """Return what lists, captions and sheets call it."""
        return self.called or name_in_print(self.about, self.name)

    def bounds(self) -> tuple[float, float, float, float]:
        """Return (left, bottom, right, top) of everything but the labels, mm."""
        corners = [path.points for path in self.paths]
        for hole in self.holes:
            radius = hole.diameter / 2
            x, y = hole.centre
            corners.append(np.array([[x - radius, y - radius], [x + radius, y + radius]]))
        points = np.concatenate(corners)
        low, high = points.min(axis=0), points.max(axis=0)
        return float(low[0]), float(low[1]), float(high[0]), float(high[1])


BLANK = "……………………"
"""Where a figure is to be written by hand, in a form's cell or in a sentence."""


EVERY_FEW = 5
"""Rows of a long table between two thin rules, which lead the eye."""


@dataclass(frozen=True)
class Table:
    """A table to read, not to scale.

    Attributes
    ----------
    title : str
    columns : tuple of str
        Headings; may hold "\\n" to break a heading.
    rows : tuple of tuple of str
        Each as long as `columns`.
    notes : tuple of str
        Lines of text under the table.
    is_form : bool
        To be filled in by hand: rows are further apart.
    word_columns : tuple of int
        Which columns hold words, set from the left; the others hold figures, set from the right.
    about : About or None
        What the whole table is about, where that is one thing.
    rows_about : tuple of About or None
        What each row is about, None for a row about nothing in particular; empty where no row is about one thing.
    rows_together : int
        A thin rule is drawn after every so many rows. Fewer than EVERY_FEW are about one thing and stay on one sheet.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()
    is_form: bool = False
    word_columns: tuple[int, ...] = (0,)
    about: About | None = None
    rows_about: tuple[About | None, ...] = ()
    rows_together: int = EVERY_FEW


@dataclass(frozen=True)
class Folio:
    """All that goes into one file of templates: `pieces` and `tables` of one kind, in the order of use.

    `first_tables` are read before any piece is used, and come first. `sketch`, in the first quadrant, at most 75 mm
    wide and 100 mm high, not to scale, is printed on the first page in place of the key of lines. `cut` is what a
    router cuts, where that is not what is printed; None: the same pieces. `refused` says of each piece that was asked
    for and is not there why not.
    """

    kind: Kind
    title: str
    pieces: tuple[Piece, ...]
    tables: tuple[Table, ...] = ()
    first_tables: tuple[Table, ...] = ()
    sketch: Piece | None = None
    cut: tuple[Piece, ...] | None = None
    refused: tuple[str, ...] = ()

    @property
    def for_router(self) -> "Folio":
        """Return the folio whose pieces are what a router cuts: none of paper."""
        pieces = self.pieces if self.cut is None else self.cut
        return replace(self, pieces=tuple(piece for piece in pieces if not piece.is_paper), cut=None)
