"""A bound that a figure of a boat must keep, and the finding where it does not."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from math import degrees, inf, isfinite

from templates_gen.about import About
from templates_gen.hull.model import Hull
from templates_gen.report.finding import Cure, Finding, Severity
from templates_gen.units import format_angle
from templates_gen.words import at_place, numbered

Key = tuple[str | int, ...]


@dataclass(frozen=True)
class Figure:
    """One figure.

    Attributes
    ----------
    value : float
        mm or radians; or how many times something happens.
    where : About
        What it is the figure of, and where along the boat.
    spot : str
        The place in words, with its preposition, where it is finer than that of `where`.
    scale : float
        What the table's bounds are multiples of: a lap, a thickness, or 1.
    lands : tuple of int
        The lands that it is a figure of; of one land only the first fault is reported.
    reference : float
        Another figure that the sentence needs.
    """

    value: float
    where: About
    spot: str = ""
    scale: float = 1.0
    lands: tuple[int, ...] = ()
    reference: float = 0.0

    @property
    def subject(self) -> str:
        """Return what it is the figure of, for a sentence: "land 1", "the stem's rebate at strake 2"."""
        return numbered(self.where)

    @property
    def place(self) -> str:
        """Return where it is, for a sentence: "at the fore end"; "" where the subject says it all."""
        if self.spot or self.where.place is None or self.where.thing == "mould":
            return self.spot
        return at_place(self.where.place)


@dataclass(frozen=True)
class Row:
    """One row of the table.

    Attributes
    ----------
    name : str
    figures : callable
        Yields the figures that the row is about, of marks, of a shell or of a boat.
    low, high : float
        What is possible, in multiples of the figure's scale; both bounds are possible.
    slack : float
        How far outside a bound counts as on it, mm or radians.
    severity : "error" or "warning"
    about : str
        A word of the trade, as in `Finding`.
    key : tuple
        The hull file's key; "end" in it stands for the figure's end.
    text : str
        What is wrong and what was expected. It may name {subject}, {place}, {value} (a length without its sign),
        {signed} (with it), {bound}, {reference}, {angle} (the reference as an angle), {below} (the land or strake
        below it) and {strakes}.
    otherwise : str
        One thing to do where the program has found no cure that works.
    proposed : callable or None
        From hull and figure to the changes of the hull file that may cure it.
    is_angle : bool
        Whether value and bounds are radians.
    """

    name: str
    figures: Callable[..., Iterator[Figure]]
    low: float
    high: float
    slack: float
    severity: Severity
    about: str
    key: Key
    text: str
    otherwise: str
    proposed: Callable[[Hull, Figure], Iterable[Cure]] | None = None
    is_angle: bool = False

    def excess(self, figure: Figure) -> float:
        """Return by how much a figure lies outside its bounds and the slack, mm or radians; 0 or less inside."""
        if not isfinite(figure.value):
            return inf
        outside = max(self.low * figure.scale - figure.value, figure.value - self.high * figure.scale)
        return outside - self.slack


def broken(rows: Iterable[Row], subject: object, hull: Hull, at_fault: set[int]) -> Iterator[Finding]:
    """Yield a finding for each row that is broken, of its worst figure.

    Parameters
    ----------
    rows : iterable of Row
    subject : Marked, PlankedShell or Boat
        What the rows' figures are taken of.
    hull : Hull
    at_fault : set of int
        Lands of which a fault has been found already: they are left out. Those found here are added.
    """
    for row in rows:
        outside = [figure for figure in row.figures(subject) if row.excess(figure) > 0.0]
        outside = [figure for figure in outside if not at_fault & set(figure.lands)]
        if not outside:
            continue
        worst = max(outside, key=row.excess)
        if row.severity == "error":
            at_fault |= {land for figure in outside for land in figure.lands}
        others = dict.fromkeys(figure.subject for figure in outside if figure.subject != worst.subject)
        yield _finding(row, worst, tuple(others), hull)


def _finding(row: Row, figure: Figure, others: tuple[str, ...], hull: Hull) -> Finding:
    text = row.text.format(**_words(row, figure, hull))
    if others:
        text += f" (also {', '.join(others[:3])}{' and others' if len(others) > 3 else ''})"
    end = figure.where.end
    key = tuple(part if part != "end" else end or "" for part in row.key)
    return Finding(
        row.severity,
        row.about,
        text,
        figure.where,
        _number(figure.value, row),
        key=key if "" not in key else (),
        rule=row.name,
        proposed=tuple if row.proposed is None else partial(row.proposed, hull, figure),
        otherwise=row.otherwise,
        spot=figure.spot,
    )


def _words(row: Row, figure: Figure, hull: Hull) -> dict[str, object]:
    """Return all that a row's text may name."""
    is_low = figure.value < row.low * figure.scale
    return {
        "subject": figure.subject,
        "place": figure.place,
        "value": _spoken(figure.value if row.is_angle else abs(figure.value), row, hull),
        "signed": _spoken(figure.value, row, hull),
        "bound": _spoken((row.low if is_low else row.high) * figure.scale, row, hull),
        "reference": "" if row.is_angle else _spoken(figure.reference, row, hull),
        "angle": format_angle(figure.reference),
        "below": f"{figure.where.thing} {(figure.where.number or 0) - 1}",
        "strakes": hull.planking.strakes,
    }


def _number(value: float, row: Row) -> float | None:
    """A figure for programs, mm or degrees; None where it is no finite number."""
    if not isfinite(value):
        return None
    return degrees(value) if row.is_angle else value


def _spoken(value: float, row: Row, hull: Hull) -> str:
    if not isfinite(value):
        return "no finite number"
    if row.is_angle:
        return format_angle(value)
    return hull.notation.spoken_depth(value) if abs(value) < 100.0 else hull.notation.spoken_length(value)
