"""One thing that a builder should know before cutting wood, and the trial of what may cure it."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from templates_gen.about import About
from templates_gen.hull.model import Hull
from templates_gen.words import listed

Severity = Literal["error", "warning", "note"]
GRAVITY: dict[Severity, int] = {"error": 0, "warning": 1, "note": 2}


MOST_TRIALS = 8
"""No more changes than this are tried for one boat."""


@dataclass(frozen=True)
class Cure:
    """One change of a hull file: how it is written there, and the hull with it."""

    words: str
    hull: Hull


@dataclass(frozen=True)
class Finding:
    """One thing that a builder should know.

    Attributes
    ----------
    severity : "error", "warning" or "note"
        An error means that the boat cannot be built as described.
    about : str
        A word of the trade: offsets, section, land, bevel, rebate, strake, transom, mould or file.
    text : str
        What, where, the value found and what would cure it.
    where : About or None
        The land, strake, station or end that it is about, where it is about one.
    value, expected : float or str or None
        mm or degrees when a number.
    key : tuple of str or int
        The hull file's key that the finding is about; () when it is about no single one.
    row, column : str
        Of a figure of a table of offsets: the names that the table itself uses.
    file : str
        The file that holds it, if it is not the hull file.
    line : int
        In that file; 0 when unknown.
    difference : float or None
        value less what is expected, mm.
    cause : str
        What may have gone wrong.
    rule : str
        The row of the table of what is possible that it breaks; "" where it comes from elsewhere.
    proposed : callable
        Returns what may cure an error, to be tried in this order.
    otherwise : str
        What the builder can do where none of these cures it, or none was tried.
    cure : Cure or None
        The change that was tried and cures it.
    spot : str
        The place in words, where it is finer than that of `where`: "100 mm forward of station 1".
    """

    severity: Severity
    about: str
    text: str
    where: About | None = None
    value: float | str | None = None
    expected: float | str | None = None
    key: tuple[str | int, ...] = ()
    row: str = ""
    column: str = ""
    file: str = ""
    line: int = 0
    difference: float | None = None
    cause: str = ""
    rule: str = ""
    proposed: Callable[[], Iterable[Cure]] = tuple
    otherwise: str = ""
    cure: Cure | None = None
    spot: str = ""

    @property
    def sentence(self) -> str:
        """Return the text as a sentence of its own, for a page that is read."""
        return f"{self.text[0].upper()}{self.text[1:]}."

    @property
    def place(self) -> str:
        """Return the place in one line: "land 3, mould 2", "strake 4", "stem, strake 3"."""
        where = replace(self.where, place=None) if self.spot and self.where is not None else self.where
        return ", ".join(part for part in ("" if where is None else listed(where), self.spot) if part)


ErrorsOf = Callable[[Hull], Sequence[Finding]]


def place_record(row: str, column: str, otherwise: str) -> dict[str, str] | str:
    """Return a finding's or a fault's place for programs: row and column of a table's figure, else a text."""
    if not (row or column):
        return otherwise
    return {key: name for key, name in (("row", row), ("column", column)) if name}


def with_tried_cures(findings: Sequence[Finding], errors_of: ErrorsOf | None) -> tuple[Finding, ...]:
    """Return findings whose texts end with what to do: a change that was tried and works, or else advice.

    Parameters
    ----------
    errors_of : callable or None
        Returns the errors of a changed hull; a change works where the error is gone and no other has come.
        None: nothing is tried.
    """
    errors = [finding for finding in findings if finding.severity == "error"]
    tried: dict[str, set[str]] = {}
    return tuple(_with_cure(finding, errors, tried, errors_of) for finding in findings)


def _with_cure(
    finding: Finding, errors: Sequence[Finding], tried: dict[str, set[str]], errors_of: ErrorsOf | None
) -> Finding:
    before = {_fault(error) for error in errors}
    if errors_of is None or finding.severity != "error":
        return _advised(finding)
    for change in finding.proposed():
        if change.words not in tried:
            if len(tried) == MOST_TRIALS:
                continue
            tried[change.words] = {_fault(error) for error in errors_of(change.hull)}
        left = tried[change.words]
        if left < before and _fault(finding) not in left:
            cure = f"{change.words} cures {'it' if not left else 'this fault'}"
            return replace(finding, text=f"{finding.text}; {cure}", proposed=tuple, otherwise="", cure=change)
    return _advised(finding)


def _advised(finding: Finding) -> Finding:
    advice = f"; {finding.otherwise}" if finding.otherwise else ""
    return replace(finding, text=finding.text + advice, proposed=tuple, otherwise="")


def _fault(finding: Finding) -> str:
    """What makes two errors the same fault, of one boat or of two."""
    return finding.rule or f"{finding.about} {finding.key}"
