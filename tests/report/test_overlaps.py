"""Pieces inside the planking that overlap, in boats of plane strakes and in the dinghy."""

from dataclasses import replace

import numpy as np
import pytest

from templates_gen.geometry.boat import boat_on
from templates_gen.hull.model import CornerPiece, CrossPiece, Gunwale, Inside, Thwart
from templates_gen.hull.reader import read_hull
from templates_gen.report.finding import Finding
from templates_gen.report.overlaps import overlap_findings
from tests.boats import dinghy
from tests.flow import boat_of, shell_of
from tests.sweep import more
from tests.templates.test_inside_across import HULLS, NAMES
from tests.templates.test_inside_any import any_pieces


def found_for(*pieces: Inside) -> list[Finding]:
    numbered = tuple(replace(piece, index=k) for k, piece in enumerate(pieces))
    boat = boat_of(replace(dinghy(), inside=numbered))
    assert boat.inside_refused == ()
    return list(overlap_findings(boat))


def bulkhead(number: int, at: float, **others: object) -> CrossPiece:
    return CrossPiece("bulkhead", 0, number, at, 12.0, "aft", **others)  # type: ignore[arg-type]


def strip(number: int, part: str, below: float = 0.0) -> Gunwale:
    return Gunwale(0, number, part, 18.0, 28.0, below)  # type: ignore[arg-type]


THWART = Thwart(0, 1, 1500.0, 1720.0, 360.0, 22.0)
FRAME = CrossPiece("frame", 0, 1, 1600.0, 22.0, "aft", None, None, "joggled", 0.0, 45.0)


@pytest.mark.parametrize(("gap", "overlaps"), [(2.0, True), (11.0, True), (12.0, False), (40.0, False)])
def test_two_bulkheads_nearer_than_their_thickness(gap: float, overlaps: bool) -> None:
    found = found_for(bulkhead(1, 1000.0), bulkhead(2, 1000.0 + gap))
    assert len(found) == overlaps
    for one in found:
        assert one.severity == "warning"
        assert one.key == ("inside", 1)
        assert one.text.startswith("bulkhead 1 and bulkhead 2 overlap")
        assert f"move one of them by {12.0 - gap:g} mm or more" in one.text


def test_bulkheads_one_above_the_other_do_not_overlap() -> None:
    assert found_for(bulkhead(1, 1000.0, top=300.0), bulkhead(2, 1000.0, bottom=300.0)) == []
    assert len(found_for(bulkhead(1, 1000.0, top=301.0), bulkhead(2, 1000.0, bottom=300.0))) == 1


@pytest.mark.parametrize(("top", "overlaps"), [(None, True), (340.0, True), (338.0, False)])
def test_a_frame_through_a_thwart_and_one_that_ends_under_it(top: float | None, overlaps: bool) -> None:
    found = found_for(replace(FRAME, top=top), THWART)
    assert len(found) == overlaps
    for one in found:
        assert "frame 1 and thwart 1 overlap" in one.text
        assert "notch the thwart round frame 1, or set top of frame 1 to 338 mm or less" in one.text


def test_a_frame_clear_of_a_thwart_s_edge() -> None:
    assert found_for(replace(FRAME, at=1720.0), THWART) == []
    assert len(found_for(replace(FRAME, at=1719.0), THWART)) == 1


@pytest.mark.parametrize(("below", "overlaps"), [(0.0, True), (27.0, True), (28.0, False)])
def test_an_outwale_and_a_rubbing_strip_on_the_same_wood(below: float, overlaps: bool) -> None:
    found = found_for(strip(1, "outwale"), strip(2, "rubbing strip", below))
    assert len(found) == overlaps
    for one in found:
        assert "gunwale 1 (outwale) and gunwale 2 (rubbing strip) overlap" in one.text
        assert "set below of gunwale 2 (rubbing strip) to 28 mm or more" in one.text


def test_an_outwale_and_an_inwale_have_the_plank_between_them() -> None:
    assert found_for(strip(1, "outwale"), strip(2, "inwale")) == []


def test_all_that_an_inwale_meets_is_one_warning() -> None:
    breasthook = CornerPiece("breasthook", 0, 1, "fore", 25.0, 260.0, 90.0, 25.0)
    knee = CornerPiece("knee", 0, 1, "aft", 22.0, 220.0, 80.0, 22.0, 160.0, 10.0)
    low = bulkhead(2, 2500.0, top=400.0)
    (one,) = found_for(bulkhead(1, 1000.0), FRAME, low, THWART_CLEAR, breasthook, knee, strip(1, "inwale"))
    assert one.key == ("inside", 6)
    assert one.text == (
        "gunwale 1 (inwale) overlaps bulkhead 1, frame 1, breasthook 1 and knee 1; let the inwale into "
        "them, 18 mm × 28 mm, before you fit them"
    )
    # a knee that begins where the inwale ends is clear of it
    assert found_for(replace(knee, below=40.0), strip(1, "inwale")) == []


THWART_CLEAR = Thwart(0, 1, 1800.0, 2000.0, 360.0, 22.0)


@pytest.mark.parametrize("name", ["faering", *more("dinghy", "double_ender", "pram")])
def test_any_pieces_that_fit_overlap_or_not_in_either_order(name: str) -> None:
    hull = read_hull(HULLS / f"{name}.toml")
    shell, rng = shell_of(hull), np.random.default_rng(NAMES.index(name))
    pieces = [replace(piece, index=k) for k, piece in enumerate(p for _ in range(4) for p in any_pieces(hull, rng))]
    boat = boat_on(replace(shell, hull=replace(hull, inside=tuple(pieces))))
    backward = boat_on(replace(shell, hull=replace(hull, inside=tuple(reversed(pieces)))))
    counts = [len([one for one in overlap_findings(b) if "inwale" not in one.text]) for b in (boat, backward)]
    assert counts[0] == counts[1] > 0
