"""Any piece anywhere: it is drawn with sound outlines or refused with its key, and nothing else happens."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from templates_gen.drawing.piece import Role
from templates_gen.errors import BoatError, DrawingError
from templates_gen.geometry.boat import Boat, boat_on, inside_shape
from templates_gen.hull.model import CornerPiece, CrossPiece, Gunwale, Hull, Inside, Stem, Thwart
from templates_gen.hull.reader import read_hull
from templates_gen.report.measurements import inside_records
from tests.flow import folio, shell_of
from tests.sweep import more
from tests.templates.test_inside_across import HULLS, NAMES


def any_pieces(hull: Hull, rng: np.random.Generator) -> list[Inside]:
    """One piece of each kind, its sizes and place at random, in the boat and a little beyond it."""

    def size(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    x = size(hull.stations[0].at - 300.0, hull.stations[-1].at + 300.0)
    low = min(float(station.rabbet[1]) for station in hull.stations)
    high = max(float(station.section[-1, 1]) for station in hull.stations)
    bottom, top = sorted((size(low, high), size(low, high)))
    knee, hook = size(5.0, 40.0), size(5.0, 50.0)
    found: list[Inside] = [
        CrossPiece("bulkhead", 0, 1, x, size(5.0, 50.0), None, None, top, "joggled", size(0.0, 30.0)),
        CrossPiece("bulkhead", 0, 1, x, size(5.0, 50.0), "aft", bottom, top, "fair"),
        CrossPiece("frame", 0, 1, x, size(5.0, 50.0), "fore", None, None, "joggled", 0.0, size(10.0, 120.0)),
        Thwart(0, 1, x, x + size(10.0, 500.0), size(low, high), size(5.0, 40.0)),
        Gunwale(0, 1, "inwale", size(5.0, 40.0), size(5.0, 50.0), size(0.0, 30.0)),
    ]
    is_stem = isinstance(hull.aft, Stem)
    arms = size(50.0, 500.0), size(20.0, 200.0), size(5.0, 60.0)
    if is_stem:
        found.append(CornerPiece("breasthook", 0, 1, "aft", hook, *arms, 0.0, size(0.0, 50.0)))
    else:
        found.append(CornerPiece("knee", 0, 1, "aft", knee, *arms, size(30.0, 500.0), size(0.0, 50.0)))
    return found


def draw(boat: Boat) -> None:
    """Draw both sets, and assert that every outline is finite and does not cross itself."""
    assert len(list(inside_records(boat))) == 1
    for to_print in ("bench", "full"):
        for piece in folio(boat, "inside", to_print).pieces:  # type: ignore[arg-type]
            for path in piece.paths:
                assert np.isfinite(path.points).all()
                assert path.role not in (Role.CUT, Role.ROUGH) or shapely.Polygon(path.points).is_valid


@pytest.mark.parametrize(
    ("name", "rounds"), [("dinghy", 2), *more(("dinghy", 8), ("double_ender", 8), ("pram", 8), ("faering", 8))]
)
def test_any_piece_is_drawn_with_sound_outlines_or_refused_with_its_key(name: str, rounds: int) -> None:
    hull = read_hull(HULLS / f"{name}.toml")
    shell = shell_of(hull)
    boat, rng = boat_on(shell), np.random.default_rng(NAMES.index(name))
    refusals: list[BoatError | DrawingError] = []
    pieces = [piece for _ in range(rounds) for piece in any_pieces(hull, rng)]
    for piece in pieces:
        try:
            inside_shape(shell, piece)
            draw(replace(boat, hull=replace(hull, inside=(piece,))))
        except (BoatError, DrawingError) as error:
            refusals.append(error)
    assert rounds < len(refusals) < len(pieces) - rounds
    assert {error.key[:2] for error in refusals if isinstance(error, BoatError)} == {("inside", 0)}
    kinds = {piece.kind for piece in pieces}
    assert all(str(error).split()[0] in kinds and error.where is not None for error in refusals)
