"""Rows of lettering on a card, and figures and headings as templates and their tables write them."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from templates_gen.drawing.letter_widths import letters_width
from templates_gen.drawing.marks import LINE_PITCH, block_at
from templates_gen.drawing.piece import Label, LabelKind
from templates_gen.units import DEG_PER_RAD, UnitName, format_depth

Point = tuple[float, float]


def tenths(angle: float) -> str:
    """Return an angle in radians as degrees to the tenth, "5.8°", so that two cards of one land read differently."""
    return f"{angle * DEG_PER_RAD:.1f}°"


@dataclass(frozen=True)
class Row:
    """A line of text, the height of its capitals, mm, whether it is read on paper only, and its kind."""

    text: str
    height: float
    is_fine_print: bool = False
    kind: LabelKind = "name"


def broken(rows: Sequence[Row], width: float) -> tuple[Row, ...]:
    """Return rows none of which is wider than `width`, mm, broken between words; a word too long is cut."""
    lines: list[Row] = []
    for row in rows:
        line = ""
        for word in row.text.split():
            longer = f"{line} {word}" if line else word
            if letters_width(longer, row.height) <= width:
                line = longer
                continue
            if line:
                lines.append(replace(row, text=line))
            while len(word) > 1 and letters_width(word, row.height) > width:
                count = len(word) - 1
                while count > 1 and letters_width(word[:count], row.height) > width:
                    count -= 1
                lines.append(replace(row, text=word[:count]))
                word = word[count:]
            line = word
        lines.append(replace(row, text=line))
    return tuple(lines)


def depth(rows: Sequence[Row]) -> float:
    """Return the height that rows take from the first one's capitals to the last baseline, mm."""
    return sum(row.height if k == 0 else LINE_PITCH * row.height for k, row in enumerate(rows))


def set_down(rows: Sequence[Row], top: Point) -> tuple[Label, ...]:
    """Return rows one under another, as one block; `top` is the upper left corner of the first row's capitals."""
    labels = []
    x, y = top
    for k, row in enumerate(rows):
        y -= row.height if k == 0 else LINE_PITCH * row.height
        fine, block = row.is_fine_print, block_at(top)
        labels.append(Label(row.text, (x, y), row.height, is_fine_print=fine, kind=row.kind, block=block))
    return tuple(labels)


_NAMES = {"mm": "mm", "in": "in", "ft-in-8": "ft-in-⅛"}


def in_units(heading: str, units: UnitName) -> str:
    """Return a heading with the unit that the lengths under it are in: "net length (mm)"."""
    return f"{heading} ({_NAMES[units]})"


def written_depths(units: UnitName, *depths: float) -> str:
    """Return depths in mm to 0.1 mm: "3.7 / 2.8"; with " mm" after them where lengths are in inches.

    Where lengths are in millimetres, short labels go without the unit.
    """
    text = " / ".join(format_depth(depth, "mm") for depth in depths)
    return text if units == "mm" else f"{text} mm"
