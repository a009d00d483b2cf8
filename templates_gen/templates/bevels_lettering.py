"""Rows of lettering on a card: broken to the room there is, of several heights, one under another."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from templates_gen.drawing.letter_widths import letters_width
from templates_gen.drawing.marks import LINE_PITCH, block_at
from templates_gen.drawing.piece import Label, LabelKind
from templates_gen.units import DEG_PER_RAD

Point = tuple[float, float]


def tenths(angle: float) -> str:
    """Return an angle in radians as degrees to the tenth, "5.8°", so that two cards of one land read differently."""
    return f"{angle * DEG_PER_RAD:.1f}°"


@dataclass(frozen=True)
class Row:
    """A line of text, the height of its capitals, mm, whether it is read on paper only, and what it tells."""

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
