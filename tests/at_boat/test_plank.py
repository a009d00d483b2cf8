"""A plank for a boat without a drawing: projected on to a batten from boats that are known, with errors and slips."""

from pathlib import Path

import ezdxf
import numpy as np
import pytest
from shapely.geometry import LineString, Point

from templates_gen.at_boat.plank import PlankToMake, plank_files, plank_record, plank_to_make
from templates_gen.cli.options import printing
from templates_gen.geometry.plank.marks import fastenings_along
from tests import boats
from tests.at_boat.outlines import farthest, net_outline
from tests.at_boat.plank_batten import Errors, MeasuredStrake, measured_strake, plank_text
from tests.flow import shell_of
from tests.sweep import more

WITH_ERRORS = Errors(reach=0.5, bevel=0.3)
WITH_A_SLIP = Errors(reach=0.5, bevel=0.3, slip=12.0)
SPACING = 200.0
EXAMPLE = Path(__file__).parents[1] / "data" / "plank.toml"


def made(measured: MeasuredStrake, tmp_path: Path, by_widths: bool = False) -> PlankToMake:
    path = tmp_path / "plank.toml"
    path.write_text(plank_text(measured, by_widths), encoding="utf-8")
    return plank_to_make(path)


OTHERS = more(*((name, way) for name in ("double_ender", "pram", "faering") for way in (False, True)))


@pytest.mark.parametrize(
    ("name", "by_widths"),
    [("dinghy", True), *more(("dinghy", False)), *OTHERS],
)
def test_a_strake_comes_within_a_millimetre_and_its_bevels_within_a_degree(
    name: str, by_widths: bool, tmp_path: Path
) -> None:
    shell = shell_of(getattr(boats, name)())
    for number, errors in ((2, WITH_ERRORS), (shell.planking.strakes - 1, WITH_A_SLIP)):
        measured = measured_strake(shell, number, SPACING, errors, seed=number, by_widths=by_widths)
        result = made(measured, tmp_path, by_widths)
        assert farthest(result.plank.outline, net_outline(measured.strake)) < 1.0
        for land in result.lands:
            assert land.run is not None
            inner = [k for k, along in enumerate(land.run.along) if not land.is_in_gerald(float(along))]
            true = np.array([measured.true_bevels[land.land][land.places[k]] for k in inner])
            assert np.abs(np.degrees(land.run.at(land.run.along))[inner] - true).max() < 1.0
        named = {(edge, place) for edge, fair in result.plank.edges.items() for place in fair.left_out}
        assert named == ({measured.slip} if measured.slip else set())


def test_read_exactly_a_strake_comes_back_as_it_is(tmp_path: Path) -> None:
    measured = measured_strake(shell_of(boats.dinghy()), 4, 150.0, Errors())
    result = made(measured, tmp_path)
    assert farthest(result.plank.outline, net_outline(measured.strake)) < 0.25
    assert not any(finding.severity == "warning" for finding in result.findings)


def test_the_drawing_holds_the_outline_and_the_marks(tmp_path: Path) -> None:
    measured = measured_strake(shell_of(boats.dinghy()), 4, SPACING, WITH_ERRORS)
    result = made(measured, tmp_path)
    files = plank_files(result, printing("a4", "10mm", None, units="mm")).files
    path = tmp_path / "plank.dxf"
    path.write_bytes(files["plank.dxf"])
    drawing = ezdxf.readfile(path)  # type: ignore[attr-defined]
    from ezdxf import path as ezpath

    lines = {
        layer: [
            np.array([(p.x, p.y) for p in ezpath.make_path(entity).flattening(0.01)])
            for entity in drawing.modelspace().query(f'LWPOLYLINE LINE ARC[layer=="{layer}"]')
        ]
        for layer in ("CUT-OUTSIDE", "SCRIBE")
    }
    (outline,) = lines["CUT-OUTSIDE"]
    net = result.plank.outline
    by = outline.min(axis=0) - net.min(axis=0)
    assert farthest(outline - by, net) < 0.1
    ends = np.concatenate([line[[0, -1]] for line in lines["SCRIBE"]]) - by
    for tick in result.plank.ticks():
        for point in (tick.lower, tick.upper):
            assert np.linalg.norm(ends - point, axis=1).min() < 0.1


@pytest.mark.parametrize("gap", [445.0, 290.0])
def test_an_end_of_an_edge_that_was_not_measured_for_long_is_named(gap: float, tmp_path: Path) -> None:
    # Timbers 200 mm apart; the upper corner lies so far forward of the first.
    lines = {"lower": ["fore = [0, 0]"], "upper": [f"fore = [{200 - gap}, 100]"]}
    for edge, y in (("lower", 0), ("upper", 100)):
        lines[edge] += [f"timber {k} = [{200 * k}, {y}]" for k in range(1, 9)] + [f"aft = [1800, {y}]"]
    head = 'format = 1\nname = "Plain"\nunits = "mm"\nstrake = 3\nside = "port"\nthickness = 9\nlap = 20\n'
    ends = '[fore]\non = "stem"\n[aft]\non = "transom"\n'
    path = tmp_path / "plank.toml"
    path.write_text(
        head + "".join("\n".join([f"[{edge}]", *lines[edge], ""]) for edge in lines) + ends, encoding="utf-8"
    )
    named = [one.text for one in plank_to_make(path).findings if one.severity == "warning"]
    if gap < 1.5 * 200.0:
        assert not named
        return
    (text,) = named
    assert "on the upper edge no point was measured between the fore corner and timber 1" in text
    assert "445 mm apart" in text


def test_a_starboard_plank_is_the_mirror_image(tmp_path: Path) -> None:
    measured = measured_strake(shell_of(boats.dinghy()), 4, SPACING, WITH_ERRORS)
    path = tmp_path / "plank.toml"
    text = plank_text(measured)
    widths = {}
    for side in ("port", "starboard"):
        path.write_text(text.replace('side = "port"', f'side = "{side}"'), encoding="utf-8")
        from templates_gen.templates.plank.pieces import plank_folio

        result = plank_to_make(path)
        piece = plank_folio(result.plank, result.lands).pieces[0]
        assert any(side.upper() in label.text for label in piece.labels)
        assert not any("turn over" in label.text for label in piece.labels)
        widths[side] = piece.paths[0].points
    assert np.allclose(widths["port"] * (-1.0, 1.0), widths["starboard"])


def test_the_record_says_what_was_not_measured(tmp_path: Path) -> None:
    measured = measured_strake(shell_of(boats.dinghy()), 4, SPACING, Errors())
    measured.bevels = {}
    record = plank_record(made(measured, tmp_path))
    assert record["not_measured"] == ["bevels of land 3", "bevels of land 4", "turn"]
    assert plank_record(plank_to_make(EXAMPLE))["not_measured"] == []  # its after end is scarfed, and has no gerald


def test_geralds_take_off_what_the_boat_takes(tmp_path: Path) -> None:
    # Clear of errors the depths at the quarters are the boat's own. The bevels are read inside the geralds, too,
    # where the land is not at its own bevel.
    drawn = shell_of(boats.dinghy())
    length = drawn.planking.gerald_fore
    assert length is not None
    measured = measured_strake(drawn, 4, 150.0, Errors())
    result = made(measured, tmp_path)
    for land in result.lands:
        gerald = next(one for one in land.geralds if one.end == "fore")
        assert not gerald.missing
        lengths = length * (1.0 - np.array([0.0, 0.25, 0.5, 0.75, 1.0]))
        off = drawn.losses(land.land, drawn.rulings_at_lengths(land.land, lengths))
        pairs = (
            ((gerald.at_edge, off.lower_at_edge), (gerald.at_inner_line, off.lower_at_lap_line))
            if land.side == "above"
            else ((gerald.at_edge, off.upper_at_lap_line), (gerald.at_inner_line, off.upper_at_edge))
        )
        for found, true in pairs:
            assert np.abs(found - true).max() < 0.3


def test_the_first_table_says_what_was_measured_and_what_was_not(tmp_path: Path) -> None:
    from templates_gen.templates.plank.pieces import plank_folio

    measured = measured_strake(shell_of(boats.dinghy()), 4, SPACING, Errors(), by_widths=True)
    measured.bevels = {4: measured.bevels[4]}
    result = made(measured, tmp_path, by_widths=True)
    folio = plank_folio(result.plank, result.lands)
    rows = {(part, words): drawn for part, words, drawn in folio.first_tables[0].rows}
    count = len(measured.points["lower"])
    assert (
        rows["lower edge", f"{count} points: {count - 2} square to the batten, 2 by offsets"] == "fair between them"
    )
    assert rows["land 3: bevels", "NOT MEASURED"] == "no bevel board, no take-off"
    assert rows["fastenings of the lower edge", "NOT MEASURED"] == "no holes"
    assert rows["fore end: its own bevel", "NOT MEASURED"] == "square; fit it at the boat"
    drawn = rows["fore end: gerald of land 3", "320 mm long"]
    assert drawn == "not drawn: [bevel_below] not measured"
    assert not any("land 3" in table.title.lower() for table in folio.tables)  # no table of bevels that were not read


def test_the_sheets_say_which_holes_are_for_a_new_strake_below_and_where_the_depths_of_a_gerald_are() -> None:
    from templates_gen.templates.plank.pieces import plank_folio

    result = plank_to_make(EXAMPLE)
    folio = plank_folio(result.plank, result.lands)
    pattern, board = folio.pieces[0], folio.pieces[1]
    assert any("drill outward through the holes that the old strake has" in note for note in pattern.notes)
    notes = [note for table in folio.tables if table.title.startswith("Fastenings") for note in table.notes]
    assert any("Where the strake below is old" in note for note in notes)
    assert not any("gerald sheet" in note for note in board.notes)
    assert any("depths on the plank's pattern and in its table" in note for note in board.notes)
    assert any(table.title.startswith("Geralds") for table in folio.tables)


@pytest.mark.parametrize("ways", ["between = 5", "between = 0", "spacing = 54", "spacing = 400"])
def test_each_measured_place_has_a_fastening_by_either_way_of_spacing(ways: str, tmp_path: Path) -> None:
    path = tmp_path / "plank.toml"
    path.write_text(EXAMPLE.read_text(encoding="utf-8").replace("between = 5", ways), encoding="utf-8")
    result = plank_to_make(path)
    fastened = fastenings_along(result.lands[0])
    assert fastened is not None
    ticks = np.array([tick.lower for tick in result.plank.ticks()])
    assert len(ticks) == 7
    # at mid-lap square to the edge from each place: half the lap of 19 mm away, but for what the edge bends there
    away = np.linalg.norm(fastened.centres[:, None] - ticks[None], axis=2)
    assert np.all(away.min(axis=0) < 19.0 / 2 + 0.5)
    assert fastened.on_timber.sum() == 7
    gaps = np.linalg.norm(np.diff(fastened.centres, axis=0), axis=1)
    number = np.flatnonzero(fastened.on_timber)
    if ways.startswith("between"):
        assert set(np.diff(number)) == {int(ways.split("= ")[1]) + 1}
    else:
        assert gaps.max() < float(ways.split("= ")[1]) + 0.1
    wide = [one for one in result.findings if "6 thicknesses" in one.text]
    assert bool(wide) == (gaps.max() > 1.1 * 6.0 * 9.0)


def with_old_holes(holes: list[float], tmp_path: Path) -> Path:
    """The example, fastened through old holes at distances along the batten."""
    text = EXAMPLE.read_text(encoding="utf-8")
    path = tmp_path / "plank.toml"
    path.write_text(f"{text[: text.index('between = 5')]}old_holes = {holes}\nhole = 2.3\n", encoding="utf-8")
    return path


def length_of(line: np.ndarray) -> float:
    return float(np.linalg.norm(line[1] - line[0]))


def test_old_holes_are_marked_where_they_were_measured_and_not_drilled(tmp_path: Path) -> None:
    holes = [60.0, 112.5, 162.0, 300.0, 618.5, 1198.5, 2300.0]
    result = plank_to_make(with_old_holes(holes, tmp_path))
    plank = result.plank
    fastened = fastenings_along(result.lands[0])
    assert fastened is not None
    # Turned back to lie as the batten lay each mark is as far along as its hole, but for what the plank is longer;
    # and half the lap of 19 mm inside the fair lower edge, square to it.
    cosine, sine = np.cos(plank.angle), np.sin(plank.angle)
    on_batten = fastened.centres @ np.array([[cosine, -sine], [sine, cosine]])
    assert on_batten[:, 0] / plank.scale == pytest.approx(holes, abs=0.01)
    edge = LineString(plank.lower)
    widths = [19.0 / 2 / np.cos(result.lands[0].bevels(np.array([x]))[0]) for x in on_batten[4:6, 0]]
    assert [edge.distance(Point(centre)) for centre in fastened.centres[4:6]] == pytest.approx(widths, abs=0.05)
    files = plank_files(result, printing("a4", "10mm", None, units="mm")).files
    path = tmp_path / "plank.dxf"
    path.write_bytes(files["plank.dxf"])
    drawing = ezdxf.readfile(path).modelspace()  # type: ignore[attr-defined]
    assert not drawing.query("CIRCLE")
    lines = [
        np.array(line.get_points("xy"))  # type: ignore[attr-defined]
        for line in drawing.query('LWPOLYLINE[layer=="SCRIBE"]')
    ]
    ticks = np.array([line.mean(axis=0) for line in lines if len(line) == 2 and abs(length_of(line) - 5.0) < 0.01])
    ticks = ticks[np.argsort(-ticks[:, 0])]  # the plank is for starboard: its fore end is to the right
    assert np.diff(ticks, axis=0) * (-1.0, 1.0) == pytest.approx(np.diff(fastened.centres, axis=0), abs=0.01)
    record = plank_record(result)
    assert record["fastened_through_old_holes"] is True
    assert record["fastenings"] == fastened.centres.tolist()


def test_an_old_hole_that_was_missed_is_named(tmp_path: Path) -> None:
    holes = [60.0 + 50.0 * k for k in range(40) if k != 12]
    warnings = [one for one in plank_to_make(with_old_holes(holes, tmp_path)).findings if one.severity == "warning"]
    (warning,) = warnings
    assert "the old holes at 610 mm and 710 mm are 100 mm apart, where 50 mm is usual" in warning.text
    assert "check whether a hole between them was missed" in warning.text


def test_where_more_holes_are_missed_than_found_the_sound_gaps_are_not_named(tmp_path: Path) -> None:
    # holes about 52 mm apart: by hand 146.5 is three of these gaps, 189.5 four (3.6), 1800 thirty-four
    holes = [60, 112.5, 164, 310.5, 500, 2300]
    warnings = [one for one in plank_to_make(with_old_holes(holes, tmp_path)).findings if one.severity == "warning"]
    texts = [one.text for one in warnings if "old holes" in one.text]
    ends = [("164 mm and 310.5 mm", "2"), ("310.5 mm and 500 mm", "3"), ("500 mm and 2300 mm", "33")]
    assert len(texts) == len(ends)
    for text, (where, missed) in zip(texts, ends, strict=True):
        assert f"the old holes at {where} are" in text
        assert f"check whether about {missed} holes between them were missed" in text


def test_the_edge_left_of_a_strake_that_was_not_measured_is_not_given(tmp_path: Path) -> None:
    from templates_gen.templates.plank.pieces import land_facts, plank_folio

    # Of a hollow land the upper strake is planed. Of the land below that is this plank, 9 mm thick; of the land above
    # it is the next strake, of which the file says nothing, for all that the strake BELOW is 20 mm thick.
    text = (Path(__file__).parents[1] / "data" / "plank.toml").read_text(encoding="utf-8")
    text = text.replace("thickness_below = 9", "thickness_below = 20").replace("gerald = 320\n", "")
    start, stop = text.index("[bevel]"), text.index("[fore]")
    hollow = "\n".join(f'"timber {k}" = -5' for k in range(2, 15, 2))
    path = tmp_path / "plank.toml"
    path.write_text(f"{text[:start]}[bevel]\n{hollow}\n[bevel_below]\n{hollow}\n{text[stop:]}", encoding="utf-8")
    result = plank_to_make(path)
    below, above = result.lands
    off = 19.0 * np.tan(np.radians(5.0))  # plane trigonometry: over a lap of 19 mm
    facts = {land.side: land_facts(land) for land in (below, above)}
    assert facts["below"] is not None
    assert facts["above"] is not None
    assert facts["below"].edge_left == pytest.approx(9.0 - off, abs=1e-6)
    assert np.isnan(facts["above"].edge_left).all()
    tables = {table.title: table for table in plank_folio(result.plank, result.lands).tables}
    for land, left in ((4, f"{9.0 - off:.1f}"), (5, "–")):
        table = next(one for title, one in tables.items() if title.startswith(f"Land {land}:"))
        rows = {row[0]: row for row in table.rows}
        assert rows["timber 8"][4] == left
        assert rows["timber 8"][5].endswith("INSIDE")


def test_the_table_of_a_land_holds_what_the_bevel_board_shows_and_says_what_was_read_in_a_gerald(
    tmp_path: Path,
) -> None:
    from templates_gen.templates.bevels.board import fans_of
    from templates_gen.templates.plank.pieces import land_facts, plank_folio

    # Timber 2 lies inside the fore gerald of land 4, and is the first place at which its bevel was read.
    path = tmp_path / "plank.toml"
    for change in ("", "thickness below not measured"):
        text = EXAMPLE.read_text(encoding="utf-8").replace("[bevel_below]", '[bevel_below]\n"timber 2" = 1')
        path.write_text(text.replace("thickness_below = 9\n", "") if change else text, encoding="utf-8")
        result = plank_to_make(path)
        notation = result.plank.measured.notation
        tables = plank_folio(result.plank, result.lands).tables
        for land in result.lands:
            table = next(table for table in tables if table.title.startswith(f"Land {land.land}:"))
            rows = {row[0]: row for row in table.rows}
            facts = land_facts(land)
            assert facts is not None
            for fan in (fan for is_hollow in (False, True) for fan in fans_of(facts, is_hollow, "19", notation)):
                for line in fan.lines:
                    offs = [rows[place][3] for place in line.places.split(", ")]
                    assert set(line.off.removeprefix("off ").split("–")) == {min(offs), max(offs)}
        below = result.lands[0]
        table = next(table for table in tables if table.title.startswith("Land 4:"))
        row = next(row for row in table.rows if row[0] == "timber 2")
        read = below.plank.measured.bevels["below"]["timber 2"].angle
        if change:
            assert row[1:] == (f"{np.degrees(read):.1f}° in the gerald, not used", "–", "–", "–", "–")
        else:
            fair = np.degrees(below.bevels(np.array([below.plank.edges["lower"].along("timber 2")]))[0])
            assert row[1] == f"{np.degrees(read):.1f}° in the gerald"
            assert row[2:] == (f"{fair:.1f}°", "–", "–", "use the gerald's depths")
        assert any("there without the gerald" in note for note in table.notes)


def test_a_gerald_that_leaves_less_than_half_the_plank_is_named(tmp_path: Path) -> None:
    from templates_gen.templates.plank.pieces import plank_folio

    # At the end the gerald is as deep as the lower strake is thick, half of it off each strake. Where the tangent of
    # the bevel is t / (lap + y) or more, y the upper strake's width past the lap, the land is not hollow there, and
    # half is what comes off.
    path = tmp_path / "plank.toml"
    text = EXAMPLE.read_text(encoding="utf-8")
    for bevel, is_thin in ((2.0, True), (8.0, False)):
        assert (np.tan(np.radians(bevel)) * (74.0 + 19.0) < 9.0) == is_thin
        path.write_text(text.replace('"timber 2" = 2\n"timber 4" = 3', f'"timber 2" = {bevel}\n"timber 4" = {bevel}'))
        result = plank_to_make(path)
        above = result.lands[1]
        (gerald,) = above.geralds
        found = [one for one in result.findings if "gerald and bevel together" in one.text and "land 5" in one.text]
        assert bool(found) == is_thin
        if is_thin:
            left = 9.0 - max(gerald.at_edge.max(), gerald.at_inner_line.max())
            assert left < 4.4
            assert (found[0].severity, found[0].value) == ("note", left)
            assert f"leave only {left:.1f} mm of strake 5 one lap in from its edge" in found[0].text
            assert "at the fore end" in found[0].text
    folio = plank_folio(result.plank, result.lands)
    notes = [note for table in folio.tables if table.title.startswith("Geralds") for note in table.notes]
    for note in (*notes[:1], folio.pieces[0].notes[-1]):
        assert "swings the bevel" in note
