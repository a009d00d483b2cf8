"""The bench set of the lands: boards read back from the PDF, gerald sheets, one table; what a router cuts stays."""

import io
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise, takewhile
from typing import Any

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray

from templates_gen.drawing.piece import Folio, Label, Piece, Role
from templates_gen.paper.ink import for_laying_out, ink_corners
from templates_gen.paper.packing import is_small
from templates_gen.paper.sheet import Affine, sheet
from templates_gen.render.dxf.writing import dxf_bytes
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.template_pages import small
from templates_gen.sheets import Printing, on_paper
from templates_gen.templates.bevels.board import LINE, bevel_boards
from templates_gen.templates.bevels.facts import QUARTER_NAMES, all_land_facts, geralds_of
from templates_gen.templates.bevels.gauges import HALF_DEGREES, set_about, set_gauge
from templates_gen.words import piece_name, short
from tests.flow import folio, measurements
from tests.render.pdf_reading import strokes
from tests.sweep import more
from tests.templates.bevel_boats import EVERY, THREE, boat
from tests.templates.label_clearance import crowded_labels

Array = NDArray[np.float64]
DRAWN = frozenset({Role.CUT, Role.SCRIBE, Role.BEVEL, Role.NOTE})
UNDER = 4.6
"""How far under a line's end its angle is written, mm."""

WITHIN = 0.01
"""Degrees."""

APART = 0.26
"""Degrees: a quarter, which places that share a line may be from it, and its rounding."""


@cache
def bench(name: str) -> Folio:
    return folio(boat(name), "bevels", "bench")


def of_part(name: str, part: str) -> list[Piece]:
    return [piece for piece in bench(name).pieces if piece.about.part == part]


@dataclass(frozen=True)
class Slant:
    """A line read from the page: its land, whether framed, its apex and end on the board, its angle, its places."""

    land: int
    is_framed: bool
    apex: Array
    end: Array
    angle: float
    places: tuple[str, ...]


def blocks(piece: Piece) -> list[tuple[Array, list[str]]]:
    """Each block of a piece's labels: where its first row is, and its rows."""
    found: dict[str, list[Label]] = {}
    for label in piece.labels:
        found.setdefault(label.block, []).append(label)
    return [(np.array(rows[0].at), [row.text for row in rows]) for block, rows in found.items() if block]


def on_board(piece: Piece, lines: list[Array]) -> Iterator[Slant]:
    """Yield what is read of the lines of one board, given in its own millimetres, each shape (2, 2)."""
    level = [line for line in lines if abs(line[0, 1] - line[1, 1]) < 0.01]
    frames = [path.points for path in piece.paths if path.closed and path.role is Role.BEVEL]
    heads = [(at, rows) for at, rows in blocks(piece) if rows[0].startswith("LAND")]
    angles = [(at, rows) for at, rows in blocks(piece) if rows[0].endswith("°")]
    for line in lines:
        if abs(line[0, 1] - line[1, 1]) < 0.01:
            continue
        apex, end = line[np.argsort(-line[:, 1])]
        (own,) = [one for one in level if abs(one[0, 1] - apex[1]) < 0.01]
        angle = math.degrees(math.atan2(abs(end[1] - apex[1]), abs(end[0] - apex[0])))
        angle -= math.degrees(math.atan((own[1, 1] - own[0, 1]) / (own[1, 0] - own[0, 0])))
        framed = any(f[:, 1].min() < apex[1] < f[:, 1].max() for f in frames)
        side = -1.0 if framed else 1.0
        row = [(at, rows) for at, rows in heads if 0.0 < apex[1] - at[1] < 10.0 and side * (apex[0] - at[0]) > -1.0]
        land = min(row, key=lambda head: abs(head[0][0] - apex[0]))[1]
        assert framed == ("HOLLOW" in land)
        under = [(at, rows) for at, rows in angles if 0.0 < end[1] - at[1] < 7.0 and side * (end[0] - at[0]) > -0.1]
        rows = min(under, key=lambda block: abs(end[1] - block[0][1] - UNDER))[1]
        assert float(rows[0].rstrip("°")) == pytest.approx(angle, abs=0.051)
        places = " ".join(takewhile(lambda row: not row.startswith("off "), rows[1:])).split(", ")
        yield Slant(int(" ".join(land).split()[1]), framed, apex, end, angle, tuple(places))


@cache
def read_back(name: str, paper: str) -> tuple[Slant, ...]:
    """The lines of all boards of a boat as pdfium reads them from its pages."""
    hull = boat(name).hull
    printed = on_paper(hull, bench(name), Printing(sheet(paper)))
    document = pypdfium2.PdfDocument(io.BytesIO(printed.files["bevels.pdf"]))
    found: list[Slant] = []
    for piece in of_part(name, "board"):
        (tile,) = [tile for tile in printed.tiles if tile["piece"] == piece.name]
        drawn = [stroke for stroke in strokes(document[tile["page"] - 1]) if len(stroke.points) == 2]
        lines = [
            Affine(*tile["matrix"]).undo(one.points * 72 / 25.4) for one in drawn if abs(one.width - 0.35) < 0.01
        ]
        left, bottom, right, top = piece.bounds()
        inside = [line for line in lines if left <= line[0, 0] <= right and bottom <= line[0, 1] <= top]
        found += on_board(piece, inside)
    return tuple(found)


@cache
def true_bevels(name: str, land: int) -> dict[str, float]:
    """Degrees, by place: at the stations as measurements.json has them."""
    (facts,) = [facts for facts in all_land_facts(boat(name)) if facts.land == land]
    found = {short(p.place): math.degrees(b) for p, b in zip(facts.places, facts.bevel, strict=True)}
    return found | {at["place"]: at["bevel"] for at in measured_lands(name)[land - 1]["at"]}


@cache
def measured_lands(name: str) -> list[dict[str, Any]]:
    lands: list[dict[str, Any]] = measurements(boat(name))["lands"]
    return lands


@pytest.mark.parametrize("paper", ["a4", *more("letter")])
@pytest.mark.parametrize("name", THREE)
def test_each_line_on_the_page_is_at_the_bevel_of_one_of_its_places(name: str, paper: str) -> None:
    slants = read_back(name, paper)
    assert slants
    for slant in slants:
        true = true_bevels(name, slant.land)
        sign = -1.0 if slant.is_framed else 1.0
        misses = [abs(slant.angle - sign * true[place]) for place in slant.places]
        assert min(misses) < WITHIN, slant
        assert max(misses) < APART, slant
        assert math.dist(slant.apex, slant.end) == pytest.approx(LINE, abs=0.01)
        assert LINE >= 60.0


@pytest.mark.parametrize("name", THREE)
def test_a_hollow_line_leans_the_other_way_and_both_fall_into_the_wood(name: str) -> None:
    for slant in read_back(name, "a4"):
        assert slant.end[1] < slant.apex[1]
        assert (slant.end[0] < slant.apex[0]) == slant.is_framed
    if name == "dinghy":
        assert any(slant.is_framed for slant in read_back(name, "a4"))


@pytest.mark.parametrize("name", THREE)
def test_every_place_clear_of_geralds_is_on_one_line_or_wants_a_straightedge(name: str) -> None:
    written = [(slant.land, place) for slant in read_back(name, "a4") for place in slant.places]
    assert len(written) == len(set(written))
    heads = [" ".join(rows) for piece in of_part(name, "board") for _, rows in blocks(piece) if rows[0][:4] == "LAND"]
    for facts in all_land_facts(boat(name)):
        for k, place in enumerate(facts.places):
            is_level = abs(math.degrees(facts.bevel[k])) < 1.0 or (facts.bevel[k] < 0) != facts.is_hollow[k]
            if facts.is_in_gerald[k]:
                assert (facts.land, short(place.place)) not in written
            elif is_level:
                (head,) = [head for head in heads if head.startswith(f"LAND {facts.land} ") and "HOLLOW" not in head]
                off = f"off {boat(name).hull.notation.depth(float(facts.off[k]))}"
                inside = " INSIDE" if facts.is_hollow[k] else ""
                assert f"{short(place.place)}{inside} {off}" in head.split("plane to the depth: ")[1].split(", ")
            else:
                assert (facts.land, short(place.place)) in written


def from_block(point: Array, rows: list[Label]) -> float:
    """How far a point is from the nearest row of a block, mm; a row is its baseline to its capitals' height."""
    found = []
    for row in rows:
        wide = text_width(row.text, row.height)
        left = row.at[0] - {"start": 0.0, "middle": wide / 2, "end": wide}[row.anchor]
        low = np.array([left, row.at[1]])
        found.append(float(np.linalg.norm(point - np.clip(point, low, low + np.array([wide, row.height])))))
    return min(found)


@pytest.mark.parametrize("name", THREE)
def test_each_line_stops_at_its_own_figure(name: str) -> None:
    for piece in of_part(name, "board"):
        written: dict[str, list[Label]] = {}
        for label in piece.labels:
            written.setdefault(label.block, []).append(label)
        lines = [path.points for path in piece.paths if path.role is Role.BEVEL and len(path.points) == 2]
        for slant in on_board(piece, lines):
            away = {block: from_block(slant.end, rows) for block, rows in written.items() if block}
            nearest, *others = sorted(away, key=lambda block: away[block])
            assert float(written[nearest][0].text.rstrip("°")) == pytest.approx(slant.angle, abs=0.051)
            assert away[nearest] < away[others[0]] - 0.3
            leaders = [path.points for path in piece.paths if path.role is Role.NOTE and len(path.points) == 2]
            assert any(0.0 < slant.end[1] - one[0, 1] < 1.0 and one[0, 0] == slant.end[0] for one in leaders)


def test_no_line_crosses_another() -> None:
    for name in THREE:
        ordered = sorted(read_back(name, "a4"), key=lambda slant: (slant.land, slant.is_framed, slant.apex[0]))
        for a, b in pairwise(ordered):
            if a.land == b.land and not a.is_framed and b.apex[1] == pytest.approx(a.apex[1], abs=0.01):
                assert a.apex[0] < b.apex[0]
                assert a.angle > b.angle


@pytest.mark.parametrize("name", EVERY)
def test_nothing_lies_over_anything_else_and_boards_and_sheets_fit_the_smallest_paper(name: str) -> None:
    for piece in (*of_part(name, "board"), *of_part(name, "gerald sheet")):
        assert crowded_labels(piece, DRAWN) == []
        box = small(piece, ink_corners(for_laying_out(piece), text_width)).box
        assert all(is_small(box, sheet(paper)) for paper in ("a4", "letter"))


def test_a_ship_of_many_lands_takes_as_many_boards_as_it_needs_and_they_say_so() -> None:
    facts = all_land_facts(boat("dinghy"))
    ship = [replace(facts[2 + k % 6], land=k + 1) for k in range(14)]
    boards = bevel_boards(boat("dinghy"), ship)
    assert 2 < len(boards) <= 5
    for number, piece in enumerate(boards, start=1):
        assert f"BEVEL BOARD {number} of {len(boards)}" in [label.text for label in piece.labels]
        assert crowded_labels(piece, DRAWN) == []
    heads = [rows[0] for piece in boards for _, rows in blocks(piece) if rows[0].startswith("LAND")]
    assert heads == [f"LAND {k}" for k in range(1, 15)]


def test_a_land_of_more_lines_than_one_row_takes_is_continued_in_the_next() -> None:
    facts = all_land_facts(boat("dinghy"))[3]
    outside = ~facts.is_in_gerald & ~facts.is_hollow
    assert np.count_nonzero(outside) > 8
    many = replace(facts, bevel=np.where(outside, np.radians(np.linspace(2.0, 20.0, len(outside))), facts.bevel))
    heads = [rows for piece in bevel_boards(boat("dinghy"), [many]) for _, rows in blocks(piece) if "LAND" in rows[0]]
    assert [rows[0] for rows in heads] == ["LAND 4", "LAND 4"]
    assert ["continued" in " ".join(rows) for rows in heads] == [False, True]


@pytest.mark.parametrize("name", ["dinghy", "double ender", *more("narrow laps")])
def test_a_gerald_sheet_has_the_depths_at_every_quarter(name: str) -> None:
    texts = [label for piece in of_part(name, "gerald sheet") for label in piece.labels]
    for facts in all_land_facts(boat(name)):
        for gerald in geralds_of(boat(name).shell, facts):
            start = [label.text for label in texts].index(f"LAND {gerald.land} {gerald.end.upper()}")
            rows = [label.text for label in texts[start : start + 70]]
            off = gerald.losses
            for k, quarter in enumerate(QUARTER_NAMES):
                first = next(
                    i for i, text in enumerate(rows) if text == quarter and rows[i + 1].replace(".", "").isdigit()
                )
                written = rows[first + 1 : first + 7]
                wanted = (
                    off.lower_at_edge[k],
                    off.lower_at_lap_line[k],
                    off.upper_at_lap_line[k],
                    off.upper_at_edge[k],
                )
                cell = boat(name).hull.notation.depth_cell
                assert [*written[:2], *written[3:5]] == [cell(float(figure)) for figure in wanted]
                # at the edge what comes off and what is left are the stock, as all three are written
                for stock, at, left in ((gerald.lower_thickness, 0, 2), (gerald.upper_thickness, 3, 5)):
                    assert float(written[at]) + float(written[left]) == pytest.approx(float(cell(stock)))


@pytest.mark.parametrize("name", THREE)
def test_the_one_table_has_the_bevel_and_the_depths_of_every_place(name: str) -> None:
    (table,) = bench(name).tables
    facts = all_land_facts(boat(name))
    assert len(table.rows) == 3 * len(facts)
    headings = [heading.replace("\n", " ") for heading in table.columns]
    for row, one in zip(table.rows[1::3], facts, strict=True):
        for k, place in enumerate(one.places):
            if place.kind != "station":
                continue
            cell = row[headings.index(f"mould {place.station}")]
            assert cell == ("–" if one.is_in_gerald[k] else boat(name).hull.notation.depth_cell(float(one.off[k])))


@pytest.mark.parametrize("half", HALF_DEGREES)
def test_a_bevel_is_served_by_the_card_that_bears_it(half: int) -> None:
    bevel = math.radians(half / 2)
    about = set_about(bevel)
    assert about is not None
    (card,) = [piece for piece in of_part("dinghy", "set") if piece.name == piece_name(about)]
    assert set_gauge(bevel) in [label.text for label in card.labels]
    assert set_about(math.radians(0.5)) is None
    assert set_about(math.radians(21.0)) is None


@pytest.mark.parametrize("name", ["dinghy", *more("pram")])
def test_a_router_cuts_the_same_in_both_sets(name: str) -> None:
    assert dxf_bytes(bench(name).for_router) == dxf_bytes(folio(boat(name), "bevels", "full").for_router)


@pytest.mark.parametrize("name", [*THREE, *more("inches")])
def test_the_bench_set_of_the_lands_takes_no_more_than_sixteen_sheets(name: str) -> None:
    printed = on_paper(boat(name).hull, bench(name), Printing(sheet("a4")))
    assert printed.plan is not None
    assert printed.plan.sheets <= 16


@pytest.mark.parametrize("name", EVERY)
def test_each_column_of_a_gerald_s_depths_has_one_head_and_a_rule_on_either_side_of_its_figures(name: str) -> None:
    heads = ["off at edge", "off lap line", "left at edge", "off at edge", "off 1 lap in", "left at edge"]
    for piece in of_part(name, "gerald sheet"):
        straight = [path.points for path in piece.paths if len(path.points) == 2]
        rules = np.array([points for points in straight if points[0, 0] == points[1, 0]])
        figures = [label for label in piece.labels if label.kind == "measure"]
        words = [
            label
            for label in piece.labels
            if label.text in {"off", "at", "edge", "lap", "line", "left", "1 lap", "in"}
        ]
        rows: dict[float, list[Label]] = {}
        for label in figures:
            rows.setdefault(round(label.at[1], 3), []).append(label)
        lands = sum(label.text.startswith("LAND") for label in piece.labels)
        assert len(figures) == lands * 5 * 6
        for row in rows.values():
            row.sort(key=lambda label: label.at[0])
            for number, label in enumerate(row):
                half, (x, y) = text_width(label.text, label.height) / 2, label.at
                near = rules[(rules[:, :, 1].min(axis=1) < y) & (y < rules[:, :, 1].max(axis=1)), 0, 0]
                assert 0.0 < min(x - half - near[near < x]) < 4.0
                own = sorted(
                    (one for one in words if one.at[0] == pytest.approx(x) and 0.0 < one.at[1] - y < 26.0),
                    key=lambda one: -one.at[1],
                )
                assert " ".join(one.text for one in own) == heads[number % 6]
                if number % 6 < 5:
                    assert 0.0 < min(near[near > x] - x - half) < 4.0
        fits = [label for label in piece.labels if label.text == "block fits:"]
        assert len(fits) == lands
        for label in fits:
            (below,) = [
                one for one in piece.labels if one.at[0] == label.at[0] and 0.0 < label.at[1] - one.at[1] < 4.0
            ]
            assert below.text in ("lower strake", "both strakes", "lower edge only")
