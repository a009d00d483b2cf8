"""The errors that templates_gen raises on purpose."""

from collections.abc import Sequence
from dataclasses import dataclass


class TemplatesGenError(Exception):
    """Base of every error that this package raises on purpose."""


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong with a hull file, with its place, for a person to read.

    Attributes
    ----------
    text : str
        What is wrong and what would cure it, one sentence.
    key : str
        Key path in the file, such as ``station[2].rabbet`` ("" when the fault is of the whole file).
    value : str
        The value found, as written, shortened ("" when there is none).
    expected : str
        What was expected there ("" when the text says it all).
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
    """A hull file cannot be built as it describes the boat.

    Parameters
    ----------
    faults : sequence of Fault
        Every reason at once, in the order of their places in the file; at least one.
    """

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("; ".join(fault.text for fault in self.faults))


class DrawingError(TemplatesGenError, ValueError):
    """A drawing holds something that cannot be drawn true (not finite, open where it must be closed …)."""


class FlatteningError(TemplatesGenError, ValueError):
    """A strip of surface cannot be laid flat (not finite, without area, folded over, or twisted too far)."""
