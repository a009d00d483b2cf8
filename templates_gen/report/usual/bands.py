"""A band in which a figure of a hull file usually lies, the warning where it does not, and the likely slip."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from templates_gen.fairness.causes import exchanged_texts
from templates_gen.hull.lengths import to_mm
from templates_gen.hull.model import Hull
from templates_gen.hull.positions import KeyPath
from templates_gen.hull.problem import spelled, spoken
from templates_gen.report.cures import written
from templates_gen.report.finding import Finding
from templates_gen.units import MM_PER_INCH, format_length

POINT, SIGN, EXCHANGED, INCHES = (
    "a decimal point in the wrong place",
    "a wrong sign",
    "two digits exchanged",
    "inches for mm",
)
MILLIMETRES = "mm for inches"

COUNTS = ("strakes", "between")
"""Keys of whole numbers."""


@dataclass(frozen=True)
class Figure:
    """One figure of a hull file.

    Attributes
    ----------
    key : KeyPath
    words : str
        What it is, as the subject of a sentence: "[planking] lap".
    value : float
        As the file has it: mm, or a plain number.
    scale : float
        What the band's bounds are multiples of.
    origin : float
        What the band is measured from: the highest sheer for a building line.
    is_length : bool
        False for a count or a factor.
    is_derived : bool
        Whether the value follows from several figures of the file: no slip of one is looked for.
    """

    key: KeyPath
    words: str
    value: float
    scale: float = 1.0
    origin: float = 0.0
    is_length: bool = True
    is_derived: bool = False


@dataclass(frozen=True)
class Band:
    """What is usual for one figure of the hull file.

    Attributes
    ----------
    pattern : tuple of str
        The figure's key as the schema has it, a list's elements left out: ("station", "rabbet").
    figures : callable
        Yields these figures of a hull.
    low, high : float
        In multiples of the figure's scale.
    of : str
        What they mean, in words, {times} standing for both: "{times} times the planks' thickness"; "" for mm.
    source : str
        Where the bounds come from: published, or common practice.
    about : str
        A word of the trade, as in `Finding`.
    may_be_none : bool
        Whether 0 is usual too, and means that there is none.
    """

    pattern: tuple[str, ...]
    figures: Callable[[Hull], Iterator[Figure]]
    low: float
    high: float
    of: str
    source: str
    about: str
    may_be_none: bool = False

    def holds(self, figure: Figure, value: float) -> bool:
        """Return whether a value of a figure is usual."""
        size = value - figure.origin
        is_none = self.may_be_none and value == 0.0
        low, high = sorted((self.low * figure.scale, self.high * figure.scale))
        return is_none or low - 1e-6 <= size <= high + 1e-6

    def findings(self, hull: Hull) -> Iterator[Finding]:
        """Yield a warning for each figure that the file gives, and that is not usual."""
        for figure in self.figures(hull):
            if is_given(hull, figure.key) and not self.holds(figure, figure.value):
                yield self._finding(hull, figure)

    def _finding(self, hull: Hull, figure: Figure) -> Finding:
        bounds = sorted(figure.origin + bound * figure.scale for bound in (self.low, self.high))
        is_count = figure.key[-1] in COUNTS
        low, high = (_spoken(max(bound, 0.0) if is_count else bound, figure, hull) for bound in bounds)
        usual = f"{low} to {high}"
        if self.may_be_none:
            usual += ", or 0 for none,"
        why = f" ({self.of.format(times=f'{_plain(self.low)} to {_plain(self.high)}')})" if self.of else ""
        slip = LikelySlip()
        if not figure.is_derived:
            slip = likely_slip(hull, figure.key, figure.value, lambda value: self.holds(figure, value))
        value = _spoken(figure.value, figure, hull)
        text = f"{figure.words} is {value}; {usual} is usual{why}; {slip.advice}"
        return Finding(
            "warning", self.about, text, None, figure.value, usual.rstrip(","), figure.key,
            cause=slip.words, rule=f"usual {'.'.join(self.pattern)}", spot=spelled(figure.key),
        )  # fmt: skip


def is_given(hull: Hull, key: KeyPath) -> bool:
    """Return whether a hull's file gives a key; a hull without a file is taken to give all of its figures."""
    return hull.source is None or key in hull.source.places


def _plain(times: float) -> str:
    """Return a multiple as people say it: "1.2", "1/180"."""
    return f"1/{1 / times:.0f}" if 0.0 < times < 0.02 else f"{times:g}"


def _spoken(value: float, figure: Figure, hull: Hull) -> str:
    return spoken(value, hull.units) if figure.is_length else f"{value:.3g}"


@dataclass(frozen=True)
class LikelySlip:
    """What may have gone wrong with a figure: its words, and the right figure; both "" where nothing explains it."""

    words: str = ""
    corrected: str = ""

    @property
    def advice(self) -> str:
        """One thing to do about it."""
        return f"did you mean {self.corrected}?" if self.corrected else "check it"


def likely_slip(hull: Hull, key: KeyPath, value: float, is_right: Callable[[float], bool]) -> LikelySlip:
    """Return the likeliest slip that turns a right figure into the one of a hull file.

    Parameters
    ----------
    key : KeyPath
        Of one number.
    value : float
        mm, or a plain number.
    is_right : callable
        Whether a value would be right.
    """
    for words, candidate, text in _corrections(hull, key, value):
        if is_right(candidate) and (key[-1] not in COUNTS or candidate == round(candidate)):
            return LikelySlip(words, text or (written(candidate, hull) if _is_length(key) else f"{candidate:g}"))
    return LikelySlip()


def _corrections(hull: Hull, key: KeyPath, value: float) -> Iterator[tuple[str, float, str]]:
    """Yield slips, the likeliest first, each with the figure before it: its value, and its text where it is known."""
    yield SIGN, -value, ""
    if hull.units == "ft-in-8":
        yield from _exchanges(hull, key, value)
    yield POINT, value / 10, ""
    yield POINT, value * 10, ""
    if hull.units != "ft-in-8":
        yield from _exchanges(hull, key, value)
    if hull.units == "mm":
        yield INCHES, value * MM_PER_INCH, ""
    elif hull.units == "in":
        yield MILLIMETRES, value / MM_PER_INCH, ""
    step, size = (100.0, "100 mm") if hull.units == "mm" else (4 * MM_PER_INCH, "4 in")
    yield f"{size} too much", value - step, ""
    yield f"{size} too little", value + step, ""


def _exchanges(hull: Hull, key: KeyPath, value: float) -> Iterator[tuple[str, float, str]]:
    """Yield the figures with two neighbouring digits exchanged."""
    is_text = hull.units == "ft-in-8" and _is_length(key)
    unit = MM_PER_INCH if hull.units == "in" and _is_length(key) else 1.0
    for text in exchanged_texts(_text(hull, key, value)):
        try:
            figure = to_mm(text, "ft-in-8") if is_text else unit * float(text)
        except ValueError:
            continue
        yield EXCHANGED, figure, f'"{text}"' if is_text else text


def _text(hull: Hull, key: KeyPath, value: float) -> str:
    """A figure as the file has it, without quotes; as it would have it where there is no file."""
    place = None if hull.source is None else hull.source.places.get(key)
    if place is not None and hull.source is not None:
        return hull.source.text[place.start : place.stop].strip("\"'")
    return format_length(value, hull.units) if hull.units == "ft-in-8" else f"{value:g}"


def _is_length(key: KeyPath) -> bool:
    return key[-1] not in COUNTS and key not in (("lands", "garboard"), ("lands", "sheer"))
