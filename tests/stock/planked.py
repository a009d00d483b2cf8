"""Strakes drawn for the tests, with the kinds of marks that a strake's template has, and other parts to nest."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from templates_gen.drawing.piece import Hole, Label, Path, Piece, Role
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.fastenings import rivets
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.stock.cutting import CuttingPlan, cutting_plan
from templates_gen.stock.parts import Part, piece_parts
from templates_gen.stock.plan import Stock, planking_plan
from templates_gen.stock.rough import rough_lines, sawn_lines
from templates_gen.stock.scarf_marks import Draw, pattern

Array = NDArray[np.float64]

Made = TypeVar("Made")


class WhenAsked(dict[str, Made]):
    """What is made for each worked boat, when it is first asked for."""

    def __init__(self, make: Callable[[str], Made]) -> None:
        super().__init__()
        self._make = make

    def __missing__(self, name: str) -> Made:
        self[name] = self._make(name)
        return self[name]


def cut_from(
    boat: Boat, sheets: Stock, others: Sequence[Part] = (), slope: float = 8.0, draw: Draw | None = None
) -> CuttingPlan:
    """Return the cutting plan of a boat whose strakes are drawn as below, or by `draw`."""
    planking = planking_plan(boat, sheets, slope)
    drawn, sawn = draw or drawn_strake, partial(sawn_lines, boat)
    made = [pattern(planking, strake, drawn, sawn) for strake in boat.strakes]
    return cutting_plan(planking, made, others)


def outline_of(strake: FlatStrake) -> Array:
    """Return the net outline: lower edge, after end, upper edge, fore end."""
    lower, upper = strake.edge("lower"), strake.edge("upper")
    return np.concatenate([lower, strake.end("aft")[1:-1], upper[::-1], strake.end("fore")[1:-1][::-1]])


def drawn_strake(strake: FlatStrake, clear: Sequence[tuple[float, float]] = (), scarfs: Sequence[Path] = ()) -> Piece:
    """Return a strake with its outline, stations, a line along it, a datum that runs off the wood, words, holes."""
    outline = outline_of(strake)
    stations = [station.at for station in strake.shell.hull.stations]
    paths = [Path(outline, Role.CUT, closed=True), *rough_lines(strake.shell.hull, strake)]
    paths += [Path(np.stack(strake.mark(x)), Role.SCRIBE) for x in stations]
    paths.append(Path(strake.line(0.8), Role.SCRIBE))
    paths += scarfs
    middle = strake.line(0.5)
    level = float(middle[:, 1].mean())
    paths.append(Path(np.array([[outline[:, 0].min(), level], [outline[:, 0].max(), level]]), Role.DATUM))
    labels = [
        Label(
            "PORT, THIS FACE OUT",
            (float(middle[60, 0]), float(middle[60, 1]) + 8.0),
            6.0,
            0.02,
            "middle",
            on_mirror="STARBOARD, THIS FACE OUT",
        ),
        Label(
            "turn over for starboard",
            (float(middle[60, 0]), float(middle[60, 1]) - 8.0),
            3.0,
            0.02,
            "middle",
            on_one_hand="",
        ),
        Label(
            f"strake {strake.number}: make one and its mirror",
            (float(middle[150, 0]), float(middle[150, 1])),
            3.0,
            on_one_hand=f"strake {strake.number}",
        ),
        Label("a note that stands off the wood", (float(middle[90, 0]), float(middle[90, 1]) + 200.0), 3.0),
    ]
    found = rivets(strake, clear)
    holes = () if found is None else tuple(Hole((float(x), float(y)), found.diameter) for x, y in found.centres)
    title = (
        f"Strake {strake.number}: outline",
        "PORT, this face OUT; turn over for starboard",
        "make one and its mirror",
    )
    return Piece(f"strake {strake.number}", "strakes", title, tuple(paths), holes, tuple(labels))


def cards(count: int) -> tuple[Part, ...]:
    """Return gauge cards of several sizes, of any thickness."""
    made: list[Part] = []
    for number in range(count):
        long, high = 90.0 + 10.0 * (number % 7), 60.0 + 7.0 * (number % 5)
        outline = np.array([[-70, 0], [0, 0], [long - 70, -8.0], [long - 70, high - 8], [-70, high - 8]])
        paths = (Path(outline, Role.CUT, closed=True),)
        made += piece_parts(Piece(f"land {number}", "bevels", (), paths, (Hole((-60.0, 20.0), 6.0),)), None)
    return tuple(made)


def moulds(count: int) -> tuple[Part, ...]:
    """Return half moulds of 18 mm, both hands."""
    made: list[Part] = []
    for number in range(count):
        angle = np.linspace(-np.pi / 2, 0.0, 9)
        curve = np.column_stack([(500 + 20 * number) * np.cos(angle), 450 + 450 * np.sin(angle)])
        outline = np.concatenate([[[0.0, 800.0], [0.0, 20.0], [24.0, 20.0]], curve[1:], [[500 + 20 * number, 800.0]]])
        paths = (Path(outline, Role.CUT, closed=True), Path(outline[2:5], Role.SCRIBE))
        words = (Label("starboard half, seen from aft", (100.0, 400.0)),)
        made += piece_parts(Piece(f"mould {number}", "moulds", (), paths, (), words), 18.0, both_hands=True)
    return tuple(made)
