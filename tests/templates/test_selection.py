"""What is made when a builder asks for kinds, pieces, stations or beginnings of names only."""

from pathlib import Path
from typing import Any

import pytest

from templates_gen.about import About
from templates_gen.drawing.piece import Folio, Piece, PrintSet
from templates_gen.errors import SelectionError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.templates import folios as module
from templates_gen.templates.folios import KINDS, Planked
from templates_gen.templates.selection import chosen, of_set
from templates_gen.templates.strakes.pieces import strake_piece
from tests.flow import checked, folio

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


def test_of_the_strakes_only_what_is_wanted_is_drawn_and_their_tables_are_whole(
    boat: Boat, folios: list[Folio], monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn = []

    def counted(boat: Boat, strake: FlatStrake, *given: Any, **more: Any) -> Piece:
        drawn.append(strake.number)
        return strake_piece(boat, strake, *given, **more)

    monkeypatch.setattr(module, "strake_piece", counted)
    planked, whole = Planked(boat), folios[KINDS.index("strakes")]
    for wanted in ({3}, {3, 5}):
        asked = {About("strake", number) for number in wanted}
        some = module.folio(boat, "strakes", "full", planked, asked.__contains__)
        assert {piece.name for piece in some.pieces} == {f"strake {number}" for number in wanted}
        assert some.tables == whole.tables
    assert drawn == [3, 5]


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


@pytest.fixture(scope="module")
def sets(boat: Boat) -> dict[PrintSet, tuple[Folio, ...]]:
    """Both sets, of whose strakes one is drawn for the bench."""
    bench = (
        folio(boat, kind, "bench", Planked(boat), {About("strake", 3)}.__contains__ if kind == "strakes" else None)
        for kind in KINDS
    )
    return {"bench": tuple(bench), "full": tuple(folio(boat, kind, "full") for kind in KINDS)}


def test_words_of_different_sets_are_taken_together_and_neither_changes_the_set_of_the_other(
    sets: dict[PrintSet, tuple[Folio, ...]],
) -> None:
    words = ["land 3 station 2", "bevel board 1", "mould 3"]
    moulds, bevels = of_set(sets.__getitem__, "bench", words)
    assert [piece.name for piece in bevels.pieces] == ["bevel board 1", "land 3 station 2"]
    assert [piece.name for piece in bevels.for_router.pieces] == ["land 3 station 2"]
    (band,) = moulds.pieces
    assert band in sets["bench"][0].pieces
    moulds, bevels = of_set(sets.__getitem__, "full", words)
    assert {piece.name for piece in bevels.pieces} == {"bevel board 1", "land 3 station 2"}
    assert [piece.name for piece in bevels.for_router.pieces] == ["land 3 station 2"]
    (whole,) = moulds.pieces
    assert whole in sets["full"][0].pieces


def test_a_whole_kind_keeps_its_tables_next_to_a_piece_of_the_other_set(
    sets: dict[PrintSet, tuple[Folio, ...]],
) -> None:
    bench = sets["bench"][KINDS.index("bevels")]
    (bevels,) = of_set(sets.__getitem__, "bench", ["bevels", "land 3 station 2"])
    assert bevels.tables == bench.tables
    assert [piece.name for piece in bevels.pieces] == [*(one.name for one in bench.pieces), "land 3 station 2"]
    assert bevels.cut == bench.cut


@pytest.mark.parametrize("number", [1, 3, 5])
def test_a_station_has_its_land_gauges_in_either_set_on_paper_and_for_a_router(
    sets: dict[PrintSet, tuple[Folio, ...]], number: int
) -> None:
    bench = {one.kind: one for one in of_set(sets.__getitem__, "bench", [f"station {number}"])}
    full = {one.kind: one for one in of_set(sets.__getitem__, "full", [f"station {number}"])}
    assert set(bench) == set(full) == {"moulds", "bevels", "rebates"}
    gauges = [piece.name for piece in full["bevels"].pieces]
    assert [piece.name for piece in bench["bevels"].pieces] == gauges
    for kind, folio_of in full.items():
        cut = [piece.name for piece in folio_of.for_router.pieces]
        assert cut
        assert [piece.name for piece in bench[kind].for_router.pieces] == cut


def test_a_misspelt_piece_of_the_other_set_is_met_with_the_right_one(
    sets: dict[PrintSet, tuple[Folio, ...]],
) -> None:
    with pytest.raises(SelectionError, match='"land 3 station 2"'):
        of_set(sets.__getitem__, "bench", ["land 3 sation 2"])
    with pytest.raises(SelectionError, match='"bevel board 1"'):
        of_set(sets.__getitem__, "full", ["bevel bord 1"])


def test_a_kind_of_which_nothing_fits_is_refused_with_what_does_not_fit() -> None:
    refused = ("bulkhead 1 meets the stem", "knee 2 is wider than the transom")
    inside = Folio("inside", "What fits inside the planking", (), refused=refused)
    with pytest.raises(SelectionError, match="bulkhead 1 meets the stem; knee 2 is wider than the transom"):
        chosen([inside], ["inside"])
    with pytest.raises(SelectionError, match="this boat has no inside"):
        chosen([Folio("inside", "What fits inside the planking", ())], ["inside"])
