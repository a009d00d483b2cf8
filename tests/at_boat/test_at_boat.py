"""What is made at the boat: only what is still to be hung, the spiled strake, the blank form; and refusals."""

import json
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2
import pytest
from ezdxf.filemanagement import readfile
from ezdxf.path import make_path
from shapely.geometry import LineString, Point

from templates_gen.at_boat.as_built import AsBuiltChecked, as_built_files
from templates_gen.at_boat.spiling import (
    FORM_NAMES,
    SPILING_NAMES,
    spiled_strake,
    spiling_files,
    spiling_form,
)
from templates_gen.errors import HullFileError, SelectionError
from templates_gen.hull.measured.as_built import HungStrake
from templates_gen.paper.sheet import sheet
from templates_gen.sheets import Cutting, JobFiles, Printing
from templates_gen.stock.plan import stock
from templates_gen.templates.folios import Planked
from templates_gen.templates.still_to_make import AsHung, folios_to_make
from tests.at_boat.batten import offsets_text, read_off
from tests.at_boat.simulated_hanging import as_built_text
from tests.flow import AS_BUILT_NAMES, checked_as_built, flat_to_spile
from tests.sweep import more

DINGHY = Path(__file__).resolve().parents[2] / "hulls" / "dinghy.toml"
A4 = Printing(sheet("a4", 10.0))
PLACES = ("fore", "1", "2", "3", "4", "5", "aft")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder for the files of all tests here, so that a boat as built is computed once."""
    return tmp_path_factory.mktemp("as_built")


def file_of(folder: Path, hung: int, by: float = 1.0) -> Path:
    path = folder / f"{hung}-{by}-built.toml"
    strakes = [HungStrake(k, dict.fromkeys(PLACES, by * k / hung), 9.2) for k in range(1, hung + 1)]
    path.write_text(as_built_text(strakes), encoding="utf-8")
    return path


def files_of(result: AsBuiltChecked, printing: Printing, only: tuple[str, ...] = ()) -> JobFiles:
    assert result.boat is not None
    return as_built_files(result, printing, only)


def text_of(pdf: bytes) -> str:
    return "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))


def test_scarfs_of_what_is_still_to_be_hung_follow_the_slope_and_the_stock(folder: Path) -> None:
    result = checked_as_built(DINGHY, file_of(folder, 7))
    assert result.boat is not None

    def scarf_marks(cutting: Cutting) -> str:
        assert result.boat is not None
        planked = Planked(result.boat, cutting.stock, cutting.slope, cutting.edge)
        folios = folios_to_make([AsHung(planked, result.relined, result.measured.drawn)], "bench", ["strakes"])
        return str([[row for row in t.rows if row[0].startswith("scarf")] for f in folios for t in f.tables])

    short = Cutting(stock(["2440x1220"]))
    assert "scarf" not in scarf_marks(Cutting(stock(["6000x1220"])))
    assert "scarf 1" in scarf_marks(short) != scarf_marks(replace(short, slope=12.0))
    made = as_built_files(result, A4, ("strakes",), short).files
    assert "scarf 1" in text_of(made["strakes.pdf"])


def test_only_what_is_still_to_be_hung_is_made_again(folder: Path) -> None:
    result = checked_as_built(DINGHY, file_of(folder, 7))
    made = files_of(result, A4, ("strakes", "bevels")).files
    assert sorted(made) == sorted(AS_BUILT_NAMES)
    pieces = {tile["piece"] for tile in json.loads(made["tiles.json"])}
    assert {name for name in pieces if name.startswith("strake")} == {"strake 8", "strake 9"}
    assert {int(name.split()[1]) for name in pieces if name.startswith("land")} == {7, 8}
    assert all(name.startswith(("strake", "land")) for name in pieces)
    text = text_of(made["strakes.pdf"])
    assert "As built up to strake 7" in text
    assert "Ordinates from the datum line: strake 7" not in text
    assert "Ordinates from the datum line: strake 8" in text
    geralds = {line.split(" ")[0] for line in text_of(made["bevels.pdf"]).splitlines() if re.match(r"\d fore ", line)}
    assert geralds == {"7", "8"}


def test_only_what_the_next_strake_needs_is_made_where_nothing_is_asked_for(folder: Path) -> None:
    result = checked_as_built(DINGHY, file_of(folder, 7))
    made = files_of(result, A4)
    assert sorted(made.files) == sorted(AS_BUILT_NAMES)
    pieces = {tile["piece"] for tile in json.loads(made.files["tiles.json"])}
    assert {name for name in pieces if name.startswith("strake")} == {"strake 8"}
    # Its geralds are planed on the bench at both its edges; its upper land is bevelled when it hangs.
    lands = [(int(name.split()[1]), "gerald" in name) for name in pieces if name.startswith("land")]
    assert {land for land, _ in lands} == {7, 8}
    assert {land for land, is_gerald in lands if not is_gerald} == {7}
    assert "--only strakes --only bevels makes all" in made.findings[-1].text


def test_the_marks_to_be_shifted_are_in_the_measurements(folder: Path) -> None:
    # Strake 6 stands 3 mm high everywhere: three strakes share it out, so the lands above move by 2, 1 and 0 mm.
    made = files_of(checked_as_built(DINGHY, file_of(folder, 6, 3.0)), A4).files
    record = json.loads(made["measurements.json"])["as_built"]
    moved = {land["strake"]: [one["above_mark"] for one in land["at"]] for land in record["lands"]}
    assert record["hung"] == 6
    assert moved[7] == pytest.approx([2.0] * 7, abs=0.05)  # figures are weighed
    assert moved[8] == pytest.approx([1.0] * 7, abs=0.05)
    assert moved[9] == [0.0] * 7


def test_an_edge_that_stands_off_its_marks_alike_is_reported_as_that(folder: Path) -> None:
    texts = [one.text for one in checked_as_built(DINGHY, file_of(folder, 6, 3.0)).findings]
    (sentence,) = (text for text in texts if text.startswith("strake 6 as built"))
    assert "its upper edge is 3 mm toward the sheer of its marks all along" in sentence
    assert " from " not in sentence


@pytest.mark.parametrize("only", [(), *more((("strake 8",),))])
def test_the_shifts_of_the_marks_come_before_everything_else(folder: Path, only: tuple[str, ...]) -> None:
    made = files_of(checked_as_built(DINGHY, file_of(folder, 7)), A4, only)
    page = pypdfium2.PdfDocument(made.files["strakes.pdf"])[0]
    assert "As built up to strake 7, and how far the marks above it move" in page.get_textpage().get_text_range()
    note = made.findings[0]
    assert note.text.startswith("strakes.pdf, page 1, shows how far to shift")
    listed = text_of(made.files["read-me-first.pdf"])
    assert listed.index("As built up to strake 7, and") < listed.rindex("strake 8")


def test_sheets_as_built_do_not_pass_for_those_drawn(folder: Path) -> None:
    result = checked_as_built(DINGHY, file_of(folder, 7))
    assert result.boat is not None
    assert result.boat.hull.fingerprint != result.hull.fingerprint
    assert result.boat.hull.edition == "first, as built to strake 7"


def test_findings_are_about_what_was_measured_and_what_is_left(folder: Path) -> None:
    result = checked_as_built(DINGHY, file_of(folder, 7))
    assert not result.errors
    measured = [finding for finding in result.findings if finding.file.endswith("built.toml")]
    assert len(measured) >= 7
    assert all(finding.line > 0 for finding in measured)
    left = [one.where for one in result.findings if one not in measured]
    numbers = {(where.thing, where.number) for where in left if where is not None}
    assert None not in left
    assert numbers <= {("land", 7), ("land", 8), ("strake", 8), ("strake", 9)}


def hung_high(folder: Path, by: float, more: str = "") -> Path:
    path = folder / f"high-{by}-built.toml"
    level = [HungStrake(k, dict.fromkeys(PLACES, 0.0)) for k in range(1, 8)]
    path.write_text(as_built_text([*level, HungStrake(8, dict.fromkeys(PLACES, by))]) + more, encoding="utf-8")
    return path


def test_an_edge_that_no_longer_holds_is_reported(folder: Path) -> None:
    warned = [f.text for f in checked_as_built(DINGHY, hung_high(folder, 30.0)).findings if f.severity == "warning"]
    assert any(text.startswith("land 8 ") and "of strake 8, at its upper edge" in text for text in warned)
    assert not [f for f in checked_as_built(DINGHY, hung_high(folder, 0.0)).findings if f.severity == "warning"]


def test_an_edge_too_thin_to_hold_is_an_error(folder: Path) -> None:
    result = checked_as_built(DINGHY, hung_high(folder, 40.0, "lap = 38\n"))
    assert result.boat is None
    assert any("too little to hold" in error.text for error in result.errors)


def test_a_boat_that_is_all_hung_leaves_nothing_to_make(folder: Path) -> None:
    result = checked_as_built(DINGHY, file_of(folder, 9))
    assert any("nothing is left to make" in finding.text for finding in result.findings)
    with pytest.raises(HullFileError, match="nothing is left to make"):
        files_of(result, A4)


def test_a_spiled_strake_is_the_same_in_the_drawing_and_in_the_figures(folder: Path) -> None:
    to_spile = flat_to_spile(DINGHY, 5)
    path = folder / "spiling.toml"
    path.write_text(offsets_text(read_off(to_spile.strake.shell, 5)), encoding="utf-8")
    made = spiling_files(spiled_strake(to_spile, path), A4).files
    assert sorted(made) == sorted(SPILING_NAMES)
    record = json.loads(made["spiling.json"])
    (folder / "spiling.dxf").write_bytes(made["spiling.dxf"])
    lines: list[Any] = [one for one in readfile(folder / "spiling.dxf").modelspace() if one.dxftype() == "LWPOLYLINE"]
    closed = [one for one in lines if one.closed]
    outline = np.concatenate([np.array(edge) for edge in record["outline"].values()])
    drawn = [np.array([point.vec2 for point in make_path(one).flattening(0.001)]) for one in closed]
    moved = [points - points.min(axis=0) + outline.min(axis=0) for points in drawn]
    rings = [LineString(np.vstack([points, points[:1]])) for points in moved]
    assert min(max(ring.distance(Point(*point)) for point in outline) for ring in rings) < 0.05  # arcs
    assert "Strake 5: spiled against computed" in text_of(made["spiling.pdf"])


def test_a_blank_form_has_a_line_for_each_of_the_strakes_places() -> None:
    made = spiling_form(flat_to_spile(DINGHY, 5), A4).files
    assert sorted(made) == sorted(FORM_NAMES)
    text = text_of(made["spiling-form.pdf"])
    for words in ("fore corner", "mould 1", "mould 5", "half-way 2-3", "aft corner", "lap line on strake 4"):
        assert words in text


def test_the_form_shows_what_is_measured_and_no_line_that_is_not_on_it() -> None:
    made = spiling_form(flat_to_spile(DINGHY, 5), A4).files
    front = pypdfium2.PdfDocument(made["spiling-form.pdf"])[0].get_textpage().get_text_range()
    for words in ("batten", "straight line", "along", "offset +", "offset -", "radius"):
        assert words in front.splitlines()
    assert "What the lines mean" not in front


def test_a_strake_as_built_may_be_spiled_too(folder: Path) -> None:
    drawn, built = flat_to_spile(DINGHY, 8), flat_to_spile(DINGHY, 8, file_of(folder, 7, 4.0))
    wide = [float(np.linalg.norm(np.subtract(*one.strake.mark(1800.0)))) for one in (drawn, built)]
    assert wide[0] - wide[1] == pytest.approx(2.0, abs=0.2)  # 4 mm shared by two strakes


def test_a_strake_that_hangs_already_is_reported(folder: Path) -> None:
    built = file_of(folder, 7)
    assert flat_to_spile(DINGHY, 8, built).findings == ()
    (note,) = flat_to_spile(DINGHY, 6, built).findings
    assert (note.severity, note.file) == ("note", str(built))
    assert built.read_text(encoding="utf-8").splitlines()[note.line - 1] == "[strake.6]"
    assert "strake 6 is already hung" in note.text
    assert "give 8 for the next strake" in note.text


def test_a_strake_that_is_not_there_cannot_be_spiled() -> None:
    for number in (0, 10, -1):
        with pytest.raises(SelectionError, match="there is no strake"):
            flat_to_spile(DINGHY, number)
