"""Both sides: measured each by itself, lined off each by itself where they differ, and to the same sheer."""

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from templates_gen.at_boat.as_built import AsBuiltChecked, as_built_files, sides_note
from templates_gen.at_boat.spiling import SpiledStrake, spiled_strake, spiling_files, spiling_form
from templates_gen.drawing.piece import Folio, PrintSet
from templates_gen.errors import HullFileError
from templates_gen.geometry.as_built.boat import as_built_boat, hull_with_edges
from templates_gen.geometry.flat_strakes import flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import AsBuilt, HungStrake, place_names
from templates_gen.hull.reader import read_hull
from templates_gen.paper.sheet import sheet
from templates_gen.render.pdf.frame import LEAST
from templates_gen.render.pdf.page import Header
from templates_gen.render.pdf.plan import Plan
from templates_gen.render.pdf.text import shortened
from templates_gen.sheets import JobFiles, Printing
from templates_gen.templates.bevels.facts import all_land_facts
from templates_gen.templates.bevels.gerald_sheet import gerald_sheets
from templates_gen.templates.corrections import Correction, correction, correction_table, lengths_words
from templates_gen.templates.folios import Planked
from templates_gen.templates.still_to_make import AsHung, folios_to_make
from templates_gen.templates.strakes.spiling import form_tables
from tests.at_boat.batten import offsets_text, read_off
from tests.boats import dinghy, faering
from tests.flow import boat_of, checked_as_built, flat_to_spile, shell_of
from tests.geometry.straight_boats import prism

PRAM = Path(__file__).resolve().parents[2] / "hulls" / "pram.toml"
DINGHY = PRAM.with_name("dinghy.toml")
DOUBLE_ENDER = PRAM.with_name("double_ender.toml")
A4 = Printing(sheet("a4", 10.0), to_print="bench")
PLACES = ("fore", *(station.name for station in read_hull(PRAM).stations), "aft")


def side_text(strake: int, side: str, by: float) -> str:
    figures = ", ".join(f'"{place}" = {abs(by)}' for place in PLACES)
    return f"[strake.{strake}.{side}]\n{'toward_sheer' if by >= 0.0 else 'toward_keel'} = {{ {figures} }}\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("sides")


def built(folder: Path, port: float, starboard: float) -> AsBuiltChecked:
    """The pram with two strakes hung; the second stands so much above its marks on either side."""
    path = folder / f"{port}-{starboard}.toml"
    text = 'format = 1\nunits = "mm"\n' + side_text(1, "port", 0.0) + side_text(1, "starboard", 0.0)
    path.write_text(text + side_text(2, "port", port) + side_text(2, "starboard", starboard), encoding="utf-8")
    return checked_as_built(PRAM, path)


def text_of(files: JobFiles) -> str:
    return "\n".join(p.get_textpage().get_text_range() for p in pypdfium2.PdfDocument(files.files["strakes.pdf"]))


def test_each_side_is_lined_off_by_itself_to_the_same_sheer_and_made_twice(folder: Path) -> None:
    result = built(folder, 2.5, -1.5)
    port, starboard = result.measured.relined, result.measured.starboard
    assert starboard is not None
    assert port.moved[1] == pytest.approx(2.5, abs=0.15)
    assert starboard.moved[1] == pytest.approx(-1.5, abs=0.15)
    assert np.all(port.moved[2] > 0.5)
    assert np.all(starboard.moved[2] < -0.3)
    assert port.moved[-1].tolist() == starboard.moved[-1].tolist() == [0.0] * len(PLACES)
    made = as_built_files(result, A4)
    names = {tile["piece"] for tile in json.loads(made.files["tiles.json"])}
    assert {name for name in names if name.startswith("strake")} == {"strake 3 PORT", "strake 3 STARBOARD"}
    record = json.loads(made.files["measurements.json"])["as_built"]
    assert record["starboard"]["lands"][1]["at"][0]["measured"] == -1.5
    text = text_of(made)
    assert "Port and starboard differ by 4 mm at most" in text
    assert "Strake 3, STARBOARD side: what to change on its drawn pattern" in text
    assert "turn over for starboard" not in text


def folios_of(result: AsBuiltChecked, only: Sequence[str] = (), to_print: PrintSet = "bench") -> tuple[Folio, ...]:
    assert result.boat is not None
    assert result.starboard is not None
    boats = [
        AsHung(Planked(boat, hand=hand), relined, result.measured.drawn)  # type: ignore[arg-type]
        for boat, hand, relined in (
            (result.boat, "port", result.measured.relined),
            (result.starboard, "starboard", result.measured.starboard),
        )
    ]
    return folios_to_make(boats, to_print, only)


def test_the_strip_points_fore_and_says_which_way_each_hand_lies(folder: Path) -> None:
    _, folio = folios_of(built(folder, 2.5, -1.5))
    pages = Plan(folio, sheet("a4"), Header("Boat", "", ""), reading=sheet("a4")).pages
    seen = set()
    for page in pages:
        if page.pointer is None:
            continue
        # The strip is read as the page is, and the piece may lie turned on it: its own x axis tells its direction.
        matrix = page.placements[0].matrix
        ahead = np.array([matrix.a, matrix.b]) * (1.0 if "STARBOARD" in page.name else -1.0)
        pointed = np.array([np.cos(page.pointer.angle), np.sin(page.pointer.angle)])
        assert page.pointer.word == "FORE"
        assert ahead @ pointed == pytest.approx(np.linalg.norm(ahead))
        way = "FORE right" if "STARBOARD" in page.name else "FORE left"
        text, _ = shortened(page.words, sheet("a4").title.width - 110.0, (LEAST,))
        assert f"{way}, SHEER edge up" in text
        seen.add(page.name)
    assert seen == {"STRAKE 3 PORT", "STRAKE 3 STARBOARD"}


def test_a_table_of_one_side_is_only_on_sheets_of_its_own_pieces(folder: Path) -> None:
    _, folio = folios_of(built(folder, 2.5, -1.5))
    pages = Plan(folio, sheet("a4"), Header("Boat", "", ""), reading=sheet("a4")).pages
    stood = [(page.name, title) for page in pages if page.name for title in page.inserts]
    assert {name for name, _ in stood} == {"STRAKE 3 PORT", "STRAKE 3 STARBOARD"}
    for name, title in stood:
        assert title.startswith("Ordinates")
        side = name.rsplit(" ", maxsplit=1)[-1]
        assert f"strake 3, {side} side" in title
    shown = [title for page in pages for title in (*page.inserts, *page.bookmarks)]
    assert all(any(table.title in one for one in shown) for table in folio.tables)


def test_each_side_is_written_on_its_boards_combs_and_gerald_sheets(folder: Path) -> None:
    bevels, _ = folios_of(built(folder, 2.5, -1.5))
    heads = {}
    for piece in bevels.pieces:
        # The words of one heading, which may run over two lines.
        heads[piece.name] = " ".join(label.text for label in piece.labels[:2])
        side = piece.name.rsplit(" ", maxsplit=1)[-1]
        assert piece.about.hand == side.lower()
    for side in ("PORT", "STARBOARD"):
        assert heads[f"bevel board 1 {side}"].startswith(f"BEVEL BOARD {side} ")
        assert heads[f"take-off comb {side}"].startswith(f"TAKE-OFF COMB {side}")
    boat = boat_of(replace(dinghy(), side="starboard"))
    sheets = [piece for piece in gerald_sheets(boat, all_land_facts(boat)) if piece.about.part == "gerald sheet"]
    assert all(piece.labels[0].text.startswith("GERALDS ") for piece in sheets)
    assert all(piece.labels[0].text.endswith(" STARBOARD") for piece in sheets)


def test_cards_of_one_side_do_not_say_that_they_serve_both(folder: Path) -> None:
    bevels, _ = folios_of(built(folder, 2.5, -1.5), to_print="full")
    assert len(bevels.pieces) > 20
    texts = {piece.name: " ".join(label.text for label in piece.labels) for piece in bevels.pieces}
    assert not [name for name, text in texts.items() if "both sides" in text]
    gauges = {name: text for name, text in texts.items() if "strip" not in name and "views" not in name}
    assert all(name.rsplit(" ", maxsplit=1)[-1] in text for name, text in gauges.items())


def test_boards_and_sheets_hold_the_lands_of_the_next_strake_only(folder: Path) -> None:
    bevels, _ = folios_of(built(folder, 2.5, -1.5))
    shown: dict[str, set[str]] = {}
    for piece in bevels.pieces:
        lands = {label.text.split()[1] for label in piece.labels if label.text.startswith("LAND ")}
        shown.setdefault(piece.about.part, set()).update(lands)
    assert shown["board"] == {"2"}
    every, _ = folios_of(built(folder, 2.5, -1.5), ["bevels", "strakes"])
    numbers = {
        int(label.text.split()[1])
        for piece in every.pieces
        for label in piece.labels
        if label.text.startswith("LAND ")
    }
    assert min(numbers) == 2
    assert max(numbers) == read_hull(PRAM).planking.strakes - 1


def test_both_sides_are_of_one_set_with_one_fingerprint(folder: Path) -> None:
    result = built(folder, 2.5, -1.5)
    assert result.boat is not None
    assert result.starboard is not None
    mark = result.boat.hull.fingerprint
    assert result.starboard.hull.fingerprint == mark
    made = as_built_files(result, A4)
    for name in ("strakes.pdf", "bevels.pdf", "read-me-first.pdf"):
        pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(made.files[name])]
        assert all(f"drawing {mark}" in page for page in pages)
    assert built(folder, 2.6, -1.5).measured.relined.hull.fingerprint != mark


def test_the_side_is_on_the_wood_in_letters_of_ten_millimetres(folder: Path) -> None:
    (folio,) = folios_of(built(folder, 2.5, -1.5), ["strakes"])
    pieces = {piece.name: piece for piece in folio.pieces}
    for side in ("PORT", "STARBOARD"):
        piece = pieces[f"strake 3 {side}"]
        assert [label.text for label in piece.labels if label.height == 10.0].count(side) >= 2
        assert piece.facing is not None
        assert piece.facing.hand == side.lower()
    # The starboard pattern is of the other hand: its fore end is at the right, where x is greater.
    ends = {name: piece.title[2] for name, piece in pieces.items()}
    assert "FORE left" in ends["strake 3 PORT"]
    assert "FORE right" in ends["strake 3 STARBOARD"]


def test_one_pattern_serves_both_where_they_are_alike_and_the_sheet_says_so(folder: Path) -> None:
    result = built(folder, 1.5, 1.0)
    assert result.starboard is None
    assert result.measured.relined.moved[1] == pytest.approx(1.25, abs=0.15)
    text = text_of(as_built_files(result, A4))
    assert "They differ by 0.5 mm at most: one pattern serves both." in text
    assert any("one pattern serves both" in finding.text for finding in result.findings)


def test_the_difference_is_given_strake_by_strake(folder: Path) -> None:
    texts = [finding.text for finding in built(folder, 2.5, -1.5).findings]
    assert "strake 1: port and starboard are alike" in texts
    (second,) = [text for text in texts if text.startswith("strake 2: port is")]
    assert "port is 4 mm nearer the sheer than starboard" in second
    assert any("shows most in the sheer strake to port" in text for text in texts)
    assert any(text.startswith("starboard side: strake 3 is next") for text in texts)


def test_a_boat_in_feet_and_inches_gives_differences_as_measured_to_a_32nd(folder: Path) -> None:
    path, names = folder / "eighths.toml", place_names(read_hull(DOUBLE_ENDER))
    text = 'format = 1\nunits = "eighths"\n'
    for side, by in (("port", 1), ("starboard", -1)):
        figures = ", ".join(f'"{name}" = {by}' for name in names)
        text += f"[strake.1.{side}]\nabove_mark = {{ {figures} }}\n"
    path.write_text(text, encoding="utf-8")
    result = checked_as_built(DOUBLE_ENDER, path)
    texts = [finding.text for finding in result.findings if finding.file == str(path)]
    # 1/8 up and 1/8 down are a quarter of an inch apart, however the figures are weighed.
    assert any(text.startswith("strake 1: port is 1/4 in nearer the sheer than starboard") for text in texts)
    assert any("the two sides differ by more than 1/32 in" in text for text in texts)
    assert sides_note(result.measured).startswith("Port and starboard differ by 1/4 in at most")
    assert any("move by" in text for text in texts)
    assert not [text for text in texts if " mm" in text or "0-0-" in text]


def test_each_sides_correction_sheet_is_named_with_its_page(folder: Path) -> None:
    made = as_built_files(built(folder, 2.5, -1.5), A4)
    text = next(finding.text for finding in made.findings if "how far to shift each mark" in finding.text)
    assert text.startswith("strakes.pdf, page 1 port, page 2 starboard, shows")
    for page, side in zip(pypdfium2.PdfDocument(made.files["strakes.pdf"]), ("PORT", "STARBOARD"), strict=False):
        assert f"Strake 3, {side} side: what to change" in page.get_textpage().get_text_range()


def test_the_length_of_a_strake_is_not_mistaken_for_its_width_at_the_end() -> None:
    drawn = prism(0.0)
    change = Correction(
        ("fore", "aft"),
        {"lower": np.zeros(2), "upper": np.zeros(2)},
        {"fore": np.array([0.5, -1.5]), "aft": np.array([0.1, 0.0])},
    )
    text = "fore end 0.5 longer at the lower corner and 1.5 shorter at the upper corner; aft end as drawn"
    assert lengths_words(change, drawn.hull.notation) == text
    (note,) = [note for note in correction_table(drawn, drawn, 3).notes if "fore end" in note]
    assert note == "Length: fore end as drawn; aft end as drawn."


def test_a_strake_that_keeps_its_width_is_not_called_wider(folder: Path) -> None:
    texts = [finding.text for finding in built(folder, 0.0, 0.0).findings]
    (moves,) = [text for text in texts if text.startswith("the lands above strake 2")]
    assert moves == (
        "the lands above strake 2 move by 0 mm at most and run fair to the sheer, which stays where it was drawn"
    )


def spiled(result: AsBuiltChecked, shell: PlankedShell, side: str, folder: Path) -> SpiledStrake:
    """Strake 3 of the pram, taken off a side of the boat, in a spiling file that names this side or none."""
    path = folder / f"spiled-{side}.toml"
    text = offsets_text(read_off(shell, 3))
    path.write_text(text.replace("batten", f'side = "{side}"\nbatten', 1) if side else text, encoding="utf-8")
    return spiled_strake(flat_to_spile(PRAM, 3, result.measured.path), path)


def test_a_spiling_is_laid_over_the_strake_of_its_own_side(folder: Path) -> None:
    result = built(folder, 4.5, -4.5)
    port, starboard = (shell_of(hull) for hull in result.measured.hulls_to_spile)
    right = spiled(result, starboard, "starboard", folder)
    assert right.laid.rms < 0.6  # read to half a millimetre
    assert spiled(result, port, "port", folder).laid.rms < 0.6
    assert spiled(result, starboard, "port", folder).laid.rms > 2.0 * right.laid.rms
    files = spiling_files(right, A4).files
    assert json.loads(files["spiling.json"])["side"] == "starboard"
    text = "\n".join(p.get_textpage().get_text_range() for p in pypdfium2.PdfDocument(files["spiling.pdf"]))
    assert "STRAKE 3 STARBOARD" in text
    assert "FORE right, SHEER edge up" in text
    assert "turn over for starboard" not in text
    assert "spiled against computed, STARBOARD side" in text
    assert "+ to sheer (mm)" in text


def test_a_spiling_must_name_its_side_where_the_two_are_not_alike(folder: Path) -> None:
    result = built(folder, 4.5, -4.5)
    with pytest.raises(HullFileError) as raised:
        spiled(result, shell_of(result.measured.hulls_to_spile[0]), "", folder)
    (fault,) = raised.value.faults
    assert "port and starboard are not alike in this boat; write which side was taken off" in fault.text
    alike = built(folder, 1.5, 1.0)
    assert spiled(alike, shell_of(alike.measured.hulls_to_spile[0]), "", folder).side is None
    form = spiling_form(flat_to_spile(PRAM, 3, result.measured.path), A4).files["spiling-form.pdf"]
    text = "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(form))
    assert "spiling by offsets, PORT side" in text
    assert "spiling by offsets, STARBOARD side" in text


def test_a_correction_is_what_an_edge_has_moved_square_to_itself() -> None:
    # In a boat of one section everything is parallel: with the upper edge of strake 3 raised by 2 mm the strake is
    # 2 mm wider, but for a hair, and laid over the old one as well as it can be it lies 1 mm outside at either edge.
    drawn = prism(0.0)
    moved = np.zeros((drawn.planking.strakes, 5))
    moved[2] = 2.0
    wider = shell_of(hull_with_edges(drawn, moved, AsBuilt()))
    found = correction(flat_strake(drawn, 3), flat_strake(wider, 3))
    assert found.outward["lower"] == pytest.approx(1.0, abs=0.1)
    assert found.outward["upper"] == pytest.approx(1.0, abs=0.1)
    rows = correction_table(drawn, wider, 3).rows
    assert all(row[1:3] == ("leave 1", "leave 1") for row in rows)
    back = correction_table(wider, drawn, 3).rows
    assert all(row[1:3] == ("plane 1", "plane 1") for row in back)
    same = correction_table(drawn, drawn, 3)
    assert all(cell == "–" for row in same.rows for cell in row[1:3])
    assert not any("(" in cell for row in same.rows for cell in row)


def garboard_hung() -> PlankedShell:
    """The dinghy with its garboard hung as drawn: its first land is hollow aft."""
    drawn = shell_of(read_hull(DINGHY))
    level = HungStrake(1, dict.fromkeys(place_names(drawn.hull), 0.0))
    return shell_of(as_built_boat(drawn, AsBuilt((level,))).hull)


def test_a_station_without_a_mould_is_called_a_station_in_tables_and_forms() -> None:
    shell = shell_of(faering())
    assert [station.name for station in shell.hull.stations if not station.mould] == ["3", "5"]
    wanted = ["mould 1", "mould 2", "station 3", "mould 4", "station 5", "mould 6"]
    forms = form_tables(shell.hull, flat_strake(shell, 1))
    for table in (correction_table(shell, shell, 1), *forms):
        named = [row[0] for row in table.rows if row[0].startswith(("mould", "station"))]
        assert named[:6] == wanted, table.title


def test_a_hollow_bevel_is_planed_inside_the_strake_that_is_next() -> None:
    shell = garboard_hung()
    table = correction_table(shell, shell, 2)
    planed_on = {row[0]: row[4] for row in table.rows}
    angles = {row[0]: row[3] for row in table.rows}
    assert [turns_back(shell, station) for station in range(1, 6)] == [False, False, False, False, True]
    for station in range(1, 6):
        words = "2 inside" if turns_back(shell, station) else "1 outside"
        assert planed_on[f"mould {station}"] == words
    assert all((planed_on[place] == "2 inside") == angle.startswith("-") for place, angle in angles.items())
    (note,) = [note for note in table.notes if "bevel" in note]
    assert "At places with 1 outside the bevel is planed on the outside of strake 1, which hangs." in note
    assert "At places with 2 inside the land is hollow: there it is planed INSIDE strake 2" in note


def turns_back(shell: PlankedShell, station: int) -> bool:
    """Whether mark 2 of a station lies outside the outer face of strake 1, by its rabbet and its marks alone."""
    first, second = (edge.batten.marks[station, 1:] for edge in shell.hung.edges[:2])
    up = first - shell.hull.stations[station - 1].rabbet
    outward = np.array([up[1], -up[0]]) / np.linalg.norm(up)
    return bool((second - first) @ outward > shell.planking.thickness[0])


def test_a_land_that_is_hollow_nowhere_is_planed_on_the_strake_that_hangs() -> None:
    drawn = shell_of(read_hull(DINGHY))
    table = correction_table(drawn, drawn, 5)
    assert {row[4] for row in table.rows} == {"4 outside"}
    (note,) = [note for note in table.notes if "bevel" in note]
    assert note.startswith("The bevel is planed on the outside of strake 4, which hangs. Plane it before strake 5 is")


def test_stock_is_given_before_the_first_strake_hangs(folder: Path) -> None:
    path = folder / "first.toml"
    path.write_text('format = 1\nunits = "mm"\nstock = 6.4\n', encoding="utf-8")
    result = checked_as_built(PRAM, path)
    assert result.boat is not None
    assert set(result.boat.hull.planking.thickness) == {6.4}
    assert not result.measured.relined.moved.any()
    assert any("the marks stay where they are drawn" in finding.text for finding in result.findings)
    made = as_built_files(result, A4)
    assert {t["piece"] for t in json.loads(made.files["tiles.json"]) if "strake" in t["piece"]} == {"strake 1"}


def test_stock_measured_later_moves_no_mark(folder: Path) -> None:
    # The lands of the pram are lined off by the program: other stock in the hull file lines them off otherwise.
    path, hull_text = folder / "stock.toml", PRAM.read_text(encoding="utf-8")
    start = 'format = 1\nunits = "mm"\n'
    strakes = side_text(1, "port", 0.0) + side_text(1, "starboard", 0.0)
    path.write_text(start + "stock = 6.6\n" + strakes, encoding="utf-8")
    result = checked_as_built(PRAM, path)
    assert result.boat is not None
    planking = result.boat.hull.planking
    assert planking.thickness == (6.0, *[6.6] * (planking.strakes - 1))
    assert result.measured.relined.moved == pytest.approx(np.zeros_like(result.measured.relined.moved), abs=1e-9)
    # The same stock in the hull file would line off lands anew that are marked on the moulds already.
    changed = folder / "changed.toml"
    changed.write_text(hull_text.replace("\nthickness = 6.0\n", "\nthickness = 6.6\n", 1), encoding="utf-8")
    assert read_hull(changed).planking.thickness[0] == 6.6
    first, second = (shell_of(read_hull(one)) for one in (PRAM, changed))
    marks = [np.stack([edge.batten.marks for edge in shell.hung.edges]) for shell in (first, second)]
    assert np.abs(marks[0] - marks[1]).max() > 0.5
