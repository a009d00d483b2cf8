"""What is laid on the lands of a measured plank, against plane geometry and against a boat that is known."""

from pathlib import Path

import numpy as np
import pytest

from templates_gen.at_boat.plank import PlankToMake, plank_to_make
from templates_gen.geometry.boat import Boat
from templates_gen.templates.bevels.edge_lines import edge_line as drawn_edge_line
from templates_gen.templates.bevels.facts import land_facts
from templates_gen.templates.plank.lands import edge_line, land_pieces
from tests.at_boat.plank_batten import Errors, measured_strake, plank_text
from tests.boats import dinghy
from tests.flow import boat_of

LAP, THICKNESS, LONG = 20.0, 9.0, 2000.0


def straight(tmp_path: Path, bevels: str, more: str = "") -> PlankToMake:
    """A plank 2 m long and 120 mm wide all along, with square ends, timbers 200 mm apart."""
    lines = ["format = 1", 'name = "Plain"', 'units = "mm"', "strake = 3", 'side = "port"']
    lines += [f"thickness = {THICKNESS}", f"thickness_below = {THICKNESS}", f"lap = {LAP}", "[widths]"]
    lines += [f"{k} = [{200 * k}, 0, 120]" for k in range(1, 10)]
    for edge, y in (("lower", 0), ("upper", 120)):
        lines += [f"[{edge}]", f"fore = [0, {y}]", f"aft = [{LONG}, {y}]"]
    lines += [bevels, "[fore]", 'on = "stem"', more, "[aft]", 'on = "transom"']
    path = tmp_path / "plank.toml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return plank_to_make(path)


def read_at(table: str, bevel: float) -> str:
    """A bevel that is the same at all timbers."""
    return f"[{table}]\n" + "\n".join(f"{k} = {bevel}" for k in range(1, 10))


def test_a_strip_takes_off_lap_times_tangent_from_the_first_reading_to_the_last(tmp_path: Path) -> None:
    below, above = straight(tmp_path, read_at("bevel", 6.0)).lands
    edge = edge_line(above)
    assert edge is not None
    assert (edge.along[0], edge.along[-1]) == pytest.approx((200.0, 1800.0), abs=1e-6)
    assert edge.off == pytest.approx(LAP * np.tan(np.radians(6.0)), abs=1e-6)
    assert edge.thickness == THICKNESS
    assert [(tick.text, tick.along) for tick in edge.ticks] == [
        (f"place {k}", pytest.approx(200.0 * k, abs=0.01)) for k in range(1, 10)
    ]
    assert edge_line(below) is None
    strips = land_pieces((below, above))
    assert [piece.name for piece in strips] == [f"land 3 strip {k}" for k in range(1, len(strips) + 1)]
    assert all(piece.is_paper for piece in strips)
    words = {label.text for piece in strips for label in piece.labels}
    assert {"off 2.1", "left 6.9"} <= words
    assert not any("both sides" in text for text in words)


@pytest.mark.parametrize(("table", "bevel"), [("bevel", -6.0), ("bevel_below", 6.0)])
def test_what_is_planed_on_another_strake_has_no_strip(table: str, bevel: float, tmp_path: Path) -> None:
    result = straight(tmp_path, read_at(table, bevel))
    assert not land_pieces(result.lands)


def test_a_land_that_turns_hollow_has_a_strip_of_either_edge_up_to_where_it_turns(tmp_path: Path) -> None:
    # Read every 200 mm the bevel falls from 8 degrees by 2 each: it is 0 at the fifth timber, 1000 mm along.
    falling = [f"{k} = {10 - 2 * k}" for k in range(1, 10)]
    tables = [f"[{table}]\n" + "\n".join(falling) for table in ("bevel", "bevel_below")]
    below, above = straight(tmp_path, "\n".join(tables)).lands
    lower, upper = edge_line(below), edge_line(above)
    assert lower is not None
    assert upper is not None
    assert lower.is_hollow
    assert lower.land == 2
    assert lower.along[0] == pytest.approx(1000.0, abs=10.0)  # the edge has a point every 8 mm
    assert lower.along[-1] == pytest.approx(1800.0, abs=1e-6)
    assert lower.off[-1] == pytest.approx(LAP * np.tan(np.radians(8.0)), abs=0.05)
    assert [tick.text for tick in lower.ticks if tick.rank == 1] == ["from nothing here"]
    assert (upper.along[0], upper.along[-1]) == pytest.approx((200.0, 1800.0), abs=1e-6)
    assert upper.off[upper.along > 1010.0].max() == 0.0
    assert [tick.text for tick in upper.ticks if tick.rank == 1] == ["bevel to nothing here"]


def test_the_card_of_a_gerald_is_as_long_as_the_gerald_and_as_wide_as_the_lap(tmp_path: Path) -> None:
    flat = f"{read_at('bevel', 0.0)}\n{read_at('bevel_below', 0.0)}"
    result = straight(tmp_path, flat, "gerald = 200\nwidth_above = 90")
    pieces = {piece.name: piece for piece in land_pieces(result.lands)}
    names = {"gerald block 4.5", "land 2 gerald card fore", "land 3 gerald card fore", "land 2 gerald views fore"}
    assert set(pieces) == names
    # At the end the lower strake keeps half its thickness at its edge. The upper one leans in by the lower one's
    # thickness over its own width past the lap, which is 100 mm on this plank: at the lap line its edge comes in
    # 20 / 100 of 9 mm further, and each strake gives half of the overlap there.
    for land, strake, end in (
        (2, "UPPER STRAKE 3", f"edge {(9.0 + LAP * 9.0 / 100.0) / 2:.1f}, left 3.6"),
        (3, "LOWER STRAKE 3", "edge 4.5, left 4.5"),
    ):
        card = pieces[f"land {land} gerald card fore"]
        corners = np.concatenate([path.points for path in card.paths if path.closed])
        assert np.ptp(corners, axis=0) == pytest.approx((200.0, LAP), abs=0.05)
        words = [label.text for label in card.labels]
        assert any(strake in text for text in words)
        assert end in words


@pytest.fixture(scope="module")
def boat() -> Boat:
    return boat_of(dinghy())


@pytest.mark.parametrize("number", [4, 7])
def test_read_exactly_the_strip_is_the_boats_own(boat: Boat, number: int, tmp_path: Path) -> None:
    measured = measured_strake(boat.shell, number, 150.0, Errors())
    path = tmp_path / "plank.toml"
    path.write_text(plank_text(measured), encoding="utf-8")
    result = plank_to_make(path)
    edge, true = edge_line(result.lands[-1]), drawn_edge_line(boat, land_facts(boat.shell, number), hollow=False)
    assert edge is not None
    assert true is not None
    assert edge.along[-1] == pytest.approx(true.along[-1], abs=0.5)
    assert (edge.gerald_fore, edge.gerald_aft) == pytest.approx((true.gerald_fore, true.gerald_aft), abs=2.0)
    at = np.linspace(5.0, true.along[-1] - 5.0, 200)
    for mine, its in ((edge.off, true.off), (edge.shoulder, true.shoulder)):
        assert np.interp(at, edge.along, mine) == pytest.approx(np.interp(at, true.along, its), abs=0.3)
