"""The tables of the lands: every place, its gauge, the greatest bevel, where a land turns hollow, tolerances."""

import re
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import fsolve

from templates_gen.geometry.places import STRAIGHT, hollow_runs
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.reader import read_hull
from templates_gen.numerics.directions import cross, unit
from templates_gen.report.lands.edges import land_notes
from templates_gen.templates.bevels.facts import all_land_facts
from templates_gen.templates.bevels.tables import bench_tables, bevel_tables
from templates_gen.templates.moulds.pieces import mould_pieces
from templates_gen.units import format_angle
from templates_gen.words import on_sheet, short
from tests.boats import faering
from tests.flow import boat_of
from tests.templates.bevel_boats import EVERY, THREE, boat, pieces

Array = NDArray[np.float64]

FILES = Path(__file__).parents[2] / "hulls"
FIRM_BILGE = Path(__file__).parents[1] / "data" / "firm_bilge.toml"
ALL = pytest.mark.parametrize("name", THREE)


@pytest.mark.parametrize("name", EVERY)
def test_every_row_is_as_long_as_its_heading(name: str) -> None:
    for table in bevel_tables(boat(name)):
        assert table.rows
        assert all(len(row) == len(table.columns) for row in table.rows)


@ALL
def test_each_land_has_a_table_of_all_its_places_with_true_bevels(name: str) -> None:
    shell = boat(name).shell
    tables = bevel_tables(boat(name))
    for facts in all_land_facts(boat(name)):
        table = tables[facts.land]
        assert table.title.startswith(f"Land {facts.land}: strake {facts.land + 1} over strake {facts.land}")
        assert len(table.rows) == len(facts.places)
        true = shell.bevel(facts.land, np.array([place.u for place in facts.places]))
        assert [row[1] for row in table.rows] == [written_bevel(float(b)) for b in true]


def written_bevel(bevel: float) -> str:
    """To half a degree; without a gauge, to the tenth that it has reached, in which no figure under 1° reads 1°."""
    degrees = abs(np.degrees(bevel))
    if degrees >= 1.0:
        return format_angle(bevel)
    tenths = int(degrees * 10)
    return f"{'-' if bevel < 0.0 and tenths else ''}{f'0.{tenths}' if tenths else '0'}°"


def test_the_bevel_of_a_land_on_a_mould_is_the_one_in_its_table_a_small_one_too() -> None:
    low = boat_of(read_hull(FIRM_BILGE))
    cells = {
        (facts.land, place.place): row[1]
        for facts, table in zip(all_land_facts(low), bevel_tables(low)[1:], strict=False)  # geralds' table is last
        for place, row in zip(facts.places, table.rows, strict=True)
    }
    found = []
    for piece in mould_pieces(low):
        for label in piece.labels:
            if written := re.fullmatch(r"land (\d+): bevel (\S+)", label.text):
                (land, bevel), place = written.groups(), piece.about.place
                assert place is not None
                assert bevel == cells[int(land), place], (piece.name, label.text)
                found.append(abs(float(bevel.removesuffix("°"))))
    assert any(0.0 < bevel < 1.0 and bevel != 0.5 for bevel in found)


def test_what_the_board_leaves_to_the_depth_reads_under_1_in_the_table_of_lands_and_nothing_else_does() -> None:
    found = 0
    for name in THREE:
        tables = bench_tables(boat(name), all_land_facts(boat(name)))
        for table in tables:
            has_geralds = any(boat(name).hull.planking.gerald(end) is not None for end in ("fore", "aft"))
            assert ("where a gerald starts, bevel and gerald together" in table.notes[0]) == has_geralds
            assert "Under 1°" in table.notes[0]
        for facts in all_land_facts(boat(name)):
            (row,) = [row for table in tables for row in table.rows if row[0] == f"{facts.land} bevel"]
            shown = [float(cell.rstrip("°")) for cell in row[1:] if cell not in ("", "–")]
            clear = [i for i in range(len(facts.places)) if not facts.is_in_gerald[i]]
            assert sum(abs(one) < 1.0 for one in shown) == sum(abs(float(facts.bevel[i])) < STRAIGHT for i in clear)
            found += sum(abs(one) < 1.0 for one in shown)
    assert found > 3


@ALL
def test_every_gauge_in_a_table_is_a_piece_of_the_job(name: str) -> None:
    for table in bevel_tables(boat(name))[1:]:
        if table.columns[-2] != "Gauge":
            continue
        land = table.title.split(":")[0]
        cards = [drawn for drawn in pieces(name) if drawn.title[0].startswith(f"{land}, ")]
        titles = {drawn.title[0]: drawn for drawn in cards}
        for gauge in {row[-2] for row in table.rows} - {"straightedge", "gerald card"}:
            place, bevel = gauge.rsplit(", ", 1)
            card = titles[f"{land}, {place}: bevel gauge {bevel}"]
            words = " ".join(label.text for label in card.labels)
            assert bevel in words
            assert f"{land}, {place}" in words


@ALL
def test_the_overview_has_the_extremes_of_the_land_s_own_table_clear_of_the_geralds_or_worse_ones_between(
    name: str,
) -> None:
    tables, gerald = bevel_tables(boat(name)), {"gerald card"}
    for row in tables[0].rows:
        own = [r for r in tables[int(row[0])].rows if r[9] not in gerald]
        for figure, where, column, sign in (
            (row[1], row[2], 1, 1.0),
            (row[3], row[4], 3, 1.0),
            (row[5], row[6], 7, -1.0),
        ):
            sizes = {r[0]: sign * abs(float(r[column].rstrip("°"))) for r in own}
            size = sign * abs(float(figure.rstrip("°")))
            if where in sizes:
                assert size == sizes[where] == max(sizes.values())
            else:
                assert " of mould " in where
                assert size > max(sizes.values())


@ALL
def test_the_table_the_overview_and_the_note_of_a_land_say_the_same_of_it(name: str) -> None:
    tables, notes = bevel_tables(boat(name)), list(land_notes(boat(name).shell))
    for row, note in zip(tables[0].rows, notes, strict=True):
        assert f"greatest bevel {row[1]} ({row[2]})" in note.text
        assert f"({row[6]})" in note.text
        assert any(f"{row[1]} ({row[2]})" in words for words in tables[int(row[0])].notes)


def test_half_a_degree_over_a_lap_of_nineteen_is_seventeen_hundredths() -> None:
    """Source: trigonometry; 19 x tan 0.5 degrees = 0.1658; 64 x tan 0.5 degrees = 0.5585."""
    assert "0.17 mm over a lap of 19 mm" in " ".join(bevel_tables(boat("dinghy"))[0].notes)
    assert "0.6/64 in over a lap of 0-1-0" in " ".join(bevel_tables(boat("double ender"))[0].notes)


def test_the_dinghy_s_first_land_turns_hollow_by_its_table_between_the_fourth_and_fifth_moulds() -> None:
    """The worked boat's garboard land is convex at the fourth mould and hollow at the fifth."""
    row = bevel_tables(boat("dinghy"))[0].rows[0]
    assert row[0] == "1"
    assert row[7].startswith("from ")
    assert row[7].endswith(" forward of mould 5 to the start of the after gerald")
    (run,) = hollow_runs(boat("dinghy").shell, 1)
    near = boat("dinghy").shell.bevel(1, np.array([run.fore.u - 40.0, run.fore.u + 40.0]))
    assert near[0] > 0 > near[1]
    assert 2400.0 < run.fore.x < 3000.0


def test_a_boat_without_hollows_says_so() -> None:
    assert {row[7] for row in bevel_tables(boat("pram"))[0].rows} == {"–"}


def test_geralds_start_as_far_from_the_ends_as_the_hull_file_says() -> None:
    shell = boat("dinghy").shell
    for facts in all_land_facts(boat("dinghy")):
        starts = {p.station: p.u for p in facts.places if p.kind == "gerald"}
        along = shell.length_along(facts.land, np.array([starts["fore"], starts["aft"]]))
        whole = float(shell.hung.edges[facts.land - 1].batten.length)
        assert along == pytest.approx([320.0, whole - 280.0], abs=1e-6)


def _stand_off(shell: PlankedShell, land: int, point: Array, outward: Array) -> float:
    """How far out of a point the inner face of the upper strake is, by running a line on to it, mm."""

    def misses(at: Array) -> Array:
        return shell.face(land + 1, np.array(at[0]), np.array(at[1])) - point - at[2] * outward

    start = float(shell.over(land, np.array(shell.u_fore)))
    found, _, code, _ = fsolve(misses, [start, 0.1, 0.0], xtol=1e-12, full_output=True)
    assert code == 1
    return float(found[2])


def test_a_geralds_depths_and_the_bevel_are_two_angles_at_a_stem_and_both_are_true() -> None:
    # the upper strake's inner face met by lines from the lower strake's: down the plank's end, and square to the edge
    rowing = boat_of(faering())
    shell, u = rowing.shell, np.array(rowing.shell.u_fore)
    parted = 0
    for land in range(1, shell.planking.strakes):
        lap, corner = shell.planking.lap_on(land), shell.upper(land, u)
        at_lap, one = shell.lap_share(land, u), np.array(1.0)
        on_end = _stand_off(shell, land, shell.face(land, u, at_lap), shell.normal(land, u, at_lap))
        slope = unit(np.asarray(shell.strakes[land - 1].slopes(u)[1]))
        outward = shell.normal(land, u, one)
        down = cross(slope, outward)
        down = down * -np.sign(down @ (corner - shell.lower(land, u)))
        square = _stand_off(shell, land, corner + lap * down, outward) - _stand_off(shell, land, corner, outward)
        along, bevel = np.arctan(on_end / lap), float(shell.bevel(land, u))
        assert float(shell.lapping(land, u).stand_off_lap) == pytest.approx(on_end, abs=0.02)
        assert np.arctan(square / lap) == pytest.approx(bevel, abs=np.radians(1.0))  # the strakes twist over the lap
        notes = " ".join(bevel_tables(rowing)[land].notes)
        is_named = f"make {format_angle(float(along))} at the fore end" in notes
        assert is_named == (abs(along - bevel) > np.radians(0.5))
        parted += is_named
    assert parted == 2


@ALL
def test_the_least_edge_is_that_outside_the_geralds_and_not_the_gerald_itself(name: str) -> None:
    lines, shell = boat(name), boat(name).shell
    facts = all_land_facts(lines)
    notes = {note.where.number: note.text for note in land_notes(shell) if note.where}
    has_geralds = name != "pram"  # both her transoms take full laps
    assert ("geralds" in bevel_tables(lines)[0].title) == has_geralds
    for row, land in zip(bevel_tables(lines)[0].rows, facts, strict=True):
        u = np.linspace(shell.u_fore, shell.u_aft, 4001)
        from_ends = np.abs(shell.length_along(land.land, u) - shell.length_along(land.land, u[[0, -1]])[:, None])
        lengths = (shell.planking.gerald_fore or 0.0, shell.planking.gerald_aft or 0.0)
        clear = (from_ends[0] >= lengths[0]) & (from_ends[1] >= lengths[1])
        least = float(shell.edge_left(land.land, u[clear]).min())
        words = lines.hull.notation.spoken_depth(least)
        assert f"least edge left {words} (" in notes[land.land]
        assert ("clear of the geralds" in notes[land.land]) == has_geralds
        assert row[5] == lines.hull.notation.depth_cell(least)
        assert has_geralds <= (row[6] not in ("fore end", "aft end"))


@pytest.mark.parametrize("name", EVERY)
def test_in_each_row_the_bevel_s_and_the_gerald_s_part_are_all_off_and_with_what_is_left_the_stock(name: str) -> None:
    """Inside the dinghy's gerald aft land 1 is hollow: half of what the strakes overlap comes off each of them."""
    notation, planking = boat(name).hull.notation, boat(name).shell.planking
    step = 1.0 if notation.is_in_64ths else 0.1
    for land, table in enumerate(bevel_tables(boat(name))[1 : planking.strakes], start=1):
        for row in table.rows:
            take_off, gerald, off, left = (round(float(row[k]) / step) for k in (3, 4, 5, 7))
            stock = planking.thickness[land if row[6].startswith("upper") else land - 1]
            assert take_off + gerald == off
            assert off + left == round(float(notation.depth_cell(stock)) / step)


def test_what_a_gerald_takes_off_in_a_hollow_is_half_of_what_the_strakes_overlap() -> None:
    """Both inner faces meet at the corner: at the lap line the upper one is inside by its slope over the lap."""
    row = bevel_tables(boat("dinghy"))[1].rows[-1]
    at = boat("dinghy").shell.lapping(1, np.array([boat("dinghy").shell.u_aft]))
    overlap = 9.0 - 19.0 * float(at.slope[0])
    assert row[0] == "aft end"
    assert float(row[4]) == pytest.approx(overlap / 2, abs=0.05)
    assert float(row[5]) == pytest.approx(overlap / 2, abs=0.05)


@pytest.mark.parametrize("file", ["dinghy", "faering", "pram"])
def test_the_figures_of_a_row_of_the_one_table_stand_fore_to_aft(file: str) -> None:
    made = boat_of(read_hull(FILES / f"{file}.toml"))
    every = all_land_facts(made)
    (table,) = bench_tables(made, every)
    shown = 0
    for facts in every:
        row = next(row for row in table.rows if row[0] == f"{facts.land} bevel")
        clear = [
            (place.u, written_bevel(float(bevel)))
            for place, bevel, inside in zip(facts.places, facts.bevel, facts.is_in_gerald, strict=True)
            if not inside
        ]
        assert [cell for cell in row[1:] if cell not in ("", "–")] == [bevel for _, bevel in sorted(clear)]
        heads = [heading.replace("\n", " ") for heading, cell in zip(table.columns, row, strict=True) if cell != "–"]
        names = [short(place.place) if place.kind == "gerald" else on_sheet(place.place) for place in facts.places]
        assert heads[1:] == [name for name, inside in zip(names, facts.is_in_gerald, strict=True) if not inside]
        shown += len(clear)
    assert shown > 20
