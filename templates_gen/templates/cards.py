"""Gauges as cards: which places one card serves, as many as its angle fits to within a quarter of a degree.

Rows of lettering on a card, and figures and headings as templates and their tables write them.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from templates_gen.drawing.marks import LINE_PITCH, block_at, letters_width
from templates_gen.drawing.piece import Hole, Label, LabelKind, Path
from templates_gen.units import DEG_PER_RAD

NEAR = float(np.radians(0.5))
"""Angles no further apart than this share a card (common practice: angles are worked to half a degree)."""

ALIKE = 6
"""Digits of angles that are compared, radians: a boat alike at both ends has the same cards on any processor."""


@dataclass(frozen=True)
class CardDrawing:
    """A card drawn, ready to become a piece."""

    paths: tuple[Path, ...]
    holes: tuple[Hole, ...]
    labels: tuple[Label, ...]


def runs(order: Sequence[int], share: Callable[[Sequence[int]], bool]) -> tuple[tuple[int, ...], ...]:
    """Return the fewest runs of `order` all of whose members share a card.

    Parameters
    ----------
    order : sequence of int
        Places by number, as they follow one another along the timber or by the size of their angles.
    share : callable
        Whether some places share one card; where it holds for a run it holds for every part of it.
    """
    found: list[list[int]] = []
    for place in order:
        if found and share([*found[-1], place]):
            found[-1].append(place)
        else:
            found.append([place])
    return tuple(tuple(run) for run in found)


MOST_RUNS = 2
"""Runs of places that one card serves at most: more would not be found on it."""


def merged(
    found: Sequence[tuple[int, ...]], angles: Sequence[float], share: Callable[[Sequence[int]], bool]
) -> tuple[tuple[tuple[int, ...], ...], ...]:
    """Return for each card the runs of places that it serves, where runs that are no neighbours may share one.

    Parameters
    ----------
    found : sequence of tuple of int
        Runs of neighbours, as `runs` returns them.
    angles : sequence of float
        One for each place, radians.
    share : callable
        Whether some places share one card.

    Notes
    -----
    Runs are joined in the order of their angles, at most `MOST_RUNS` to a card; cards are in the order of the first
    place that each serves.
    """
    order = sorted(range(len(found)), key=lambda k: (round(midway([angles[i] for i in found[k]]), ALIKE), k))
    groups: list[list[int]] = []
    for k in order:
        joined = [i for other in (*groups[-1], k) for i in found[other]] if groups else []
        if groups and len(groups[-1]) < MOST_RUNS and share(joined):
            groups[-1].append(k)
        else:
            groups.append([k])
    cards = (tuple(found[k] for k in sorted(group)) for group in groups)
    return tuple(sorted(cards, key=lambda card: card[0]))


def are_near(angles: Sequence[float]) -> bool:
    """Return whether angles, radians, are near enough for a card that is cut to the one midway between them."""
    return round(max(angles) - min(angles), ALIKE) <= round(NEAR, ALIKE)


def midway(angles: Sequence[float]) -> float:
    """Return the angle midway between the least and the greatest, radians."""
    return (min(angles) + max(angles)) / 2


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
