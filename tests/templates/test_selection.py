"""What is made when a builder asks for kinds, pieces, stations or beginnings of names only."""

from pathlib import Path

import pytest

from templates_gen.drawing.piece import Folio
from templates_gen.errors import SelectionError
from templates_gen.geometry.boat import Boat
from templates_gen.templates.folios import KINDS, chosen, folio
from tests.flow import checked

HULLS = Path(__file__).resolve().parents[2] / "hulls"


@pytest.fixture(scope="module")
def boat() -> Boat:
    made = checked(HULLS / "dinghy.toml").boat
    assert made is not None
    return made


@pytest.fixture(scope="module")
def folios(boat: Boat) -> list[Folio]:
    return [folio(boat, kind) for kind in KINDS]


def names(folios: list[Folio], *words: str) -> set[str]:
    return {piece.name for one in chosen(folios, words) for piece in one.pieces}


def test_a_kind_comes_whole_with_its_tables(folios: list[Folio]) -> None:
    (only,) = chosen(folios, ["moulds"])
    assert only is folios[0]


def test_a_piece_comes_alone_though_other_names_begin_with_its_name(folios: list[Folio]) -> None:
    assert names(folios, "transom aft") == {"transom aft"}
    assert names(folios, "strake 4") == {"strake 4"}
    assert names(folios, "rebate fore foot") == {"rebate fore foot"}


def test_a_station_is_its_mould_its_keel_gauge_and_one_bevel_gauge_for_each_land_that_is_planed_there(
    boat: Boat, folios: list[Folio]
) -> None:
    for station in boat.hull.stations:
        found = names(folios, f"station {station.name}")
        assert f"mould {station.name}" in found
        assert len([name for name in found if name.startswith("rebate keel ")]) == 1
        gauges = [name for name in found if name.startswith("land ")]
        lands = {int(name.split()[1]) for name in gauges}
        assert len(gauges) == len(lands)
        assert len(found) == 2 + len(gauges)
        written = {
            piece.name
            for piece in folios[KINDS.index("bevels")].pieces
            if any(label.text.startswith(f"mould {station.name}: off") for label in piece.labels)
        }
        assert set(gauges) == written


def test_a_gauge_shared_with_another_place_is_found_by_each_station_that_it_serves(folios: list[Folio]) -> None:
    shared = [piece for one in folios for piece in one.pieces if len(piece.serves) > 1]
    assert shared
    for piece in shared:
        for station in piece.serves:
            assert piece.name in names(folios, f"station {station.station}")


def test_a_land_is_its_gauges_strip_and_gerald_cards_and_no_other_land_s(folios: list[Folio]) -> None:
    found = names(folios, "land 1")
    assert {"land 1 station 1", "land 1 strip 1", "land 1 gerald card fore"} <= found
    assert all(name.startswith("land 1 ") for name in found)


def test_pieces_keep_their_order_whatever_is_asked_first(folios: list[Folio]) -> None:
    (moulds,) = chosen(folios, ["mould 3", "mould  1"])
    assert [piece.name for piece in moulds.pieces] == ["mould 1", "mould 3"]
    assert moulds.tables == ()


@pytest.mark.parametrize("word", ["strake 44", "station 9", "lan", "station", ""])
def test_what_is_none_of_these_is_refused_with_the_nearest_names(folios: list[Folio], word: str) -> None:
    with pytest.raises(SelectionError, match="neither a kind"):
        chosen(folios, [word])


def test_a_misspelt_station_is_met_with_the_right_one(folios: list[Folio]) -> None:
    with pytest.raises(SelectionError, match='"station 3"'):
        chosen(folios, ["staton 3"])
