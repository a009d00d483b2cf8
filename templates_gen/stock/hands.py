"""The other hand of a piece: its exact mirror, with its words turned round so that they can be read."""

import re
from dataclasses import replace
from typing import Literal

import numpy as np

from templates_gen.drawing.letter_widths import letters_width
from templates_gen.drawing.piece import Hole, Label, Path, Piece

Hand = Literal["port", "starboard"]
HANDS: tuple[Hand, Hand] = ("port", "starboard")

_OTHER_END: dict[str, Literal["start", "middle", "end"]] = {"start": "end", "middle": "middle", "end": "start"}
_OF_ONE_PATTERN = re.compile(r"[:;,]? *(turn over for (starboard|port)|make one and its mirror)")
"""Words that are for one pattern of both hands, not for planks cut each to its own."""

_SWAPPED = {"port": "starboard", "starboard": "port", "PORT": "STARBOARD", "STARBOARD": "PORT"}
_HAND = re.compile(r"\b(port|starboard|PORT|STARBOARD)\b")


def mirrored(piece: Piece) -> Piece:
    """Return the piece of the other hand: x the other way, PORT for STARBOARD, letters not turned round."""
    return replace(
        piece,
        title=tuple(other_hand(line) for line in piece.title),
        paths=tuple(Path(path.points * (-1.0, 1.0), path.role, path.closed) for path in piece.paths),
        holes=tuple(Hole((-hole.centre[0], hole.centre[1]), hole.diameter) for hole in piece.holes),
        labels=tuple(_mirrored_label(label) for label in piece.labels),
        notes=tuple(other_hand(line) for line in piece.notes),
    )


def _mirrored_label(label: Label) -> Label:
    """Return a label in the mirrored box; where the other hand's word is longer, its letters are smaller."""
    text = other_hand(label.text)
    height = label.height * min(1.0, letters_width(label.text, 1.0) / max(letters_width(text, 1.0), 1e-9))
    x, y = label.at
    return replace(label, text=text, at=(-x, y), height=height, angle=-label.angle, anchor=_OTHER_END[label.anchor])


def other_hand(text: str) -> str:
    """Return words with port for starboard and the other way about."""
    return _HAND.sub(lambda found: _SWAPPED[found[0]], text)


def cut_to_hand(piece: Piece) -> Piece:
    """Return a piece without the words that tell how one pattern serves both hands."""
    labels = (replace(label, text=_OF_ONE_PATTERN.sub("", label.text)) for label in piece.labels)
    title = (_OF_ONE_PATTERN.sub("", line) for line in piece.title)
    return replace(
        piece,
        title=tuple(line for line in title if line.strip()),
        labels=tuple(label for label in labels if label.text.strip()),
    )


def turned(piece: Piece, angle: float, shift: tuple[float, float]) -> Piece:
    """Return a piece turned about the origin, radians anticlockwise, and then moved, mm."""
    cosine, sine = np.cos(angle), np.sin(angle)
    matrix = np.array([[cosine, sine], [-sine, cosine]])

    def at(point: tuple[float, float]) -> tuple[float, float]:
        x, y = np.array(point) @ matrix + shift
        return float(x), float(y)

    return replace(
        piece,
        paths=tuple(Path(path.points @ matrix + shift, path.role, path.closed) for path in piece.paths),
        holes=tuple(Hole(at(hole.centre), hole.diameter) for hole in piece.holes),
        labels=tuple(replace(label, at=at(label.at), angle=label.angle + angle) for label in piece.labels),
    )
