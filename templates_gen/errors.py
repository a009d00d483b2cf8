"""The errors that templates_gen raises on purpose."""

from collections.abc import Sequence
from dataclasses import dataclass

from templates_gen.about import About


class TemplatesGenError(Exception):
    """Base of every error that this package raises on purpose."""


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with a file, with its place, for a person to read.

    Attributes
    ----------
    text : str
        What is wrong, with its value and place, and one thing to do about it.
    key : str
        Key path in the file, such as ``station[2].rabbet`` ("" when the fault is of the whole file).
    value : str
        The value found, as written, shortened ("" when there is none).
    expected : str
        What was expected there ("" when the text holds it).
    about : str
        A word of the trade: offsets, section, land, bevel, rebate, strake, transom, mould or file.
    file : str
        The file's name as the builder gave it.
    line : int
        Line number from 1; 0 when unknown.
    row, column : str
        Of a cell of a table of offsets: the names that the table itself uses ("" for anything else).
    """

    text: str
    key: str = ""
    value: str = ""
    expected: str = ""
    about: str = "file"
    file: str = ""
    line: int = 0
    row: str = ""
    column: str = ""


class HullFileError(TemplatesGenError, ValueError):
    """A hull file, or a file measured at the boat, cannot be worked with.

    Parameters
    ----------
    faults : sequence of Fault
        Every reason, in the order of their places in the file; at least one.
    """

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("; ".join(fault.text for fault in self.faults))


class BoatError(TemplatesGenError, ValueError):
    """The geometry of the boat cannot be computed as the hull file describes it.

    Parameters
    ----------
    text : str
        What is wrong, where, and one thing to do about it.
    key : tuple of str or int
        The hull file's key that it is about; () when it is about no single one.
    about : str
        A word of the trade, as in `Fault`.
    where : About or None
        The land, strake, station or end that it is about, where it is about one.
    """

    def __init__(
        self, text: str, key: tuple[str | int, ...] = (), about: str = "strake", where: About | None = None
    ) -> None:
        super().__init__(text)
        self.key = key
        self.about = about
        self.where = where


class DrawingError(TemplatesGenError, ValueError):
    """A drawing holds something that cannot be drawn true: a line that is not finite, an outline that is open …

    Parameters
    ----------
    text : str
        What is wrong, where, and one thing to do about it.
    where : About or None
        The land, strake, station or end of the piece, where it has one.
    """

    def __init__(self, text: str, where: About | None = None) -> None:
        super().__init__(text)
        self.where = where


class FlatteningError(TemplatesGenError, ValueError):
    """A strip of surface cannot be laid flat: it is not finite, has no area, folds over, or twists too far."""


class StockError(TemplatesGenError, ValueError):
    """The stock cannot take what is to be cut from it: a sheet has no size, a part is larger than any sheet …"""


class SelectionError(TemplatesGenError, ValueError):
    """A word or a number of the command names no kind, piece, station, land or strake of this boat."""


class OutputError(TemplatesGenError, OSError):
    """The files of a job cannot be written to their folder."""
