"""The commands at the boat and for reading, as a builder meets them: what they print, write and end with."""

import json
import re
from pathlib import Path

import pypdfium2
import pytest
from typer.testing import CliRunner, Result

from templates_gen.at_boat.spiling import FORM_NAMES, SPILING_NAMES
from templates_gen.cli import app
from templates_gen.cli.book import BOOK_NAMES, PAGE_NAMES
from templates_gen.output import MANIFEST
from templates_gen.report import finding as finding_module
from templates_gen.sheets import JOB_NAMES
from tests.at_boat.batten import offsets_text, read_off
from tests.flow import AS_BUILT_NAMES, flat_to_spile
from tests.sweep import more, sweep

DINGHY = Path(__file__).parents[1] / "hulls" / "dinghy.toml"
DOUBLE_ENDER = DINGHY.with_name("double_ender.toml")
DATA = Path(__file__).parent / "data"
BUILT = """format = 1
[strake.1]
above_mark = { fore = 0.5, 1 = 1, 2 = 0.5, 3 = 1, 4 = 0, 5 = 0.5, aft = 0 }
[strake.2]
above_mark = { fore = 1, 1 = 1, 2 = 0.5, 3 = 0.5, 4 = 0.5, 5 = 1, aft = 0.5 }
thickness = 9.2
"""
ARCS = """format = 1
strake = 4
radius = 60
[lower]
fore = [[-20, 0], [40, 0]]
1 = [[570, 0], [630, 0]]
2 = [[1170, 0], [1230, 0]]
aft = [3500, -42.5]
[upper]
fore = [[-20, 0], [40, 0]]
1 = [[570, 0], [630, 0]]
2 = [[1170, 0], [1230, 0]]
aft = [3500, 50]
"""


def run(*arguments: object) -> Result:
    """Run the command line in this process."""
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def written(tmp_path: Path, text: str, name: str = "measured.toml") -> Path:
    """A file next to the hull file."""
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file of a boat whose first two strakes hang, one for all tests, so that they share the boat."""
    return written(tmp_path_factory.mktemp("built"), BUILT)


def names(folder: Path) -> set[str]:
    """Return the names in a folder, but for the list of what the program wrote there."""
    return {path.name for path in folder.iterdir()} - {MANIFEST}


def test_what_is_still_to_be_hung_is_made_in_place_of_the_boat_as_drawn(tmp_path: Path, built: Path) -> None:
    out = tmp_path / "out"
    assert run("make", DINGHY, "--only", "mould 2", "--out", out).exit_code == 0
    assert {"moulds.pdf", "moulds.dxf"} <= names(out)
    (out / "mine.txt").write_text("kept", encoding="utf-8")
    result = run("make", DINGHY, "--as-built", built, "--out", out)
    assert result.exit_code == 0, result.output
    assert names(out) == {*AS_BUILT_NAMES, "mine.txt"}
    assert "--set full" not in result.stderr
    measured = json.loads((out / "measurements.json").read_text(encoding="utf-8"))
    assert measured["as_built"]["hung"] == 2
    assert set(AS_BUILT_NAMES) <= set(JOB_NAMES)
    assert re.search(r"strakes\.pdf, page \d, shows how far to shift each mark", result.stderr)


def test_the_next_strake_alone_is_made_when_it_is_asked_for(tmp_path: Path, built: Path) -> None:
    out = tmp_path / "out"
    assert run("make", DINGHY, "--as-built", built, "--only", "strake 3", "--out", out).exit_code == 0
    tiles = json.loads((out / "tiles.json").read_text(encoding="utf-8"))
    assert {tile["piece"] for tile in tiles} == {"strake 3"}


@pytest.mark.parametrize("is_as_built", [True, *more(False)])
def test_every_warning_that_is_printed_stands_in_what_is_read_first_in_its_order(
    is_as_built: bool, tmp_path: Path
) -> None:
    built = written(tmp_path, BUILT.replace("3 = 0.5, 4 = 0.5", "3 = 9.5, 4 = 0.5"))
    asked = ("--as-built", built) if is_as_built else ("--only", "strake 1", "--stock", "700x300")
    result = run("make", DINGHY, *asked, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    printed = [line.partition("warning: ")[2] for line in result.stderr.splitlines() if "warning: " in line]
    assert len(printed) > 1
    pages = pypdfium2.PdfDocument(tmp_path / "out" / "read-me-first.pdf")
    text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in pages)
    _, _, after = text.partition("Before you cut wood")
    before, _, _ = after.partition("Cautions")
    sentences = [f"{one[0].upper()}{one[1:]}." for one in printed]
    at = [before.find(sentence) for sentence in sentences]
    assert -1 not in at
    assert at == sorted(at)
    assert str(tmp_path) not in before
    assert DINGHY.name not in before


def test_a_check_as_built_compares_it_with_the_drawing_and_writes_nothing(tmp_path: Path) -> None:
    built = written(tmp_path, BUILT.replace("3 = 0.5, 4 = 0.5", "3 = 9.5, 4 = 0.5"))
    shown = run("check", DINGHY, "--as-built", built)
    assert shown.exit_code == 0
    first = shown.stdout.splitlines()[0]
    assert f"{built}:5: warning: strake 2 at mould 3: 9.5 mm toward the sheer" in first
    assert "slip of measuring" in first
    assert "strake 3 is next: shift its marks toward the sheer" in shown.stdout
    data = json.loads(run("check", DINGHY, "--as-built", built, "--json").stdout)["findings"]
    assert (data[0]["file"], data[0]["line"]) == (str(built), 5)
    assert data[0]["difference"] == pytest.approx(data[0]["value"] - data[0]["expected"])
    assert names(tmp_path) == {"measured.toml"}


def test_a_strake_is_spiled_from_its_form_to_its_outline(tmp_path: Path) -> None:
    out = tmp_path / "out"
    assert run("spile", DINGHY, 4, "--form", "--out", out).exit_code == 0
    assert names(out) == set(FORM_NAMES)
    figures = offsets_text(read_off(flat_to_spile(DINGHY, 4).strake.shell, 4))
    result = run("spile", DINGHY, 4, written(tmp_path, figures), "--out", out)
    assert result.exit_code == 0, result.output
    assert names(out) == {*FORM_NAMES, *SPILING_NAMES}
    assert "agrees with the computed outline" in result.stderr


def test_taking_off_a_strake_that_hangs_already_is_noted(tmp_path: Path, built: Path) -> None:
    out = tmp_path / "out"
    figures = offsets_text(read_off(flat_to_spile(DINGHY, 2, built).strake.shell, 2))
    spiling = written(tmp_path, figures, "spiling.toml")
    for result in (
        run("spile", DINGHY, 2, spiling, "--as-built", built, "--out", out),
        run("spile", DINGHY, 2, "--form", "--as-built", built, "--out", out),
    ):
        assert result.exit_code == 0, result.output
        assert f"{built}:4: note: strake 2 is already hung" in result.stderr
    assert "already hung" not in run("spile", DINGHY, 3, "--form", "--as-built", built, "--out", out).stderr


def test_a_spiling_in_the_wrong_units_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    figures = offsets_text(read_off(flat_to_spile(DINGHY, 4).strake.shell, 4))
    file = written(tmp_path, figures.replace('"mm"', '"in"').replace("batten = 3.0", "batten = 0.1"))
    result = run("spile", DINGHY, 4, file, "--out", tmp_path / "out")
    assert result.exit_code == 1, result.output
    assert re.search(rf"{re.escape(str(file))}:2: error: .*is units right\?", result.stderr)
    assert "Traceback" not in result.output
    assert names(tmp_path) == {"measured.toml"}


def readme_toml(heading: str) -> str:
    """The first TOML block under a heading of the README."""
    readme = (DINGHY.parents[1] / "README.md").read_text(encoding="utf-8")
    return readme.partition(f"### {heading}\n")[2].partition("```toml\n")[2].partition("```")[0]


def test_the_files_that_the_readme_shows_are_read_as_they_stand(tmp_path: Path) -> None:
    built = written(tmp_path, readme_toml("As built"))
    shown = run("check", DINGHY, "--as-built", built)
    assert shown.exit_code == 0, shown.output
    assert not re.search(rf"{re.escape(str(built))}:\d+: warning", shown.stdout)
    assert "lap set off at 20 mm (drawn 19 mm)" in shown.stdout
    spiled = run("spile", DINGHY, 4, written(tmp_path, readme_toml("Spiling")), "--out", tmp_path / "out")
    assert spiled.exit_code == 0, spiled.output
    assert "agrees with the computed outline" in spiled.stderr
    assert "warning" not in spiled.stderr
    example = readme_toml("A plank for a boat without a drawing")
    plank = run("plank", written(tmp_path, example), "--out", tmp_path / "plank")
    assert plank.exit_code == 0, plank.output
    assert "warning" not in plank.stderr


def test_the_book_and_the_page_are_each_one_file(tmp_path: Path) -> None:
    out = tmp_path / "out"
    hull = DINGHY.with_name("pram.toml")
    set_by_hand = ("--board", "2400x600", "--scarf", "10", "--waste", "30", "--spare", "20", "--edge", "8")
    for command in (("book", hull, "--paper", "letter", *set_by_hand), ("look", hull)):
        result = run(*command, "--out", out)
        assert result.exit_code == 0, result.output
    assert names(out) == {*BOOK_NAMES, *PAGE_NAMES}
    book = pypdfium2.PdfDocument(out / BOOK_NAMES[0])
    text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in book)
    assert "For sheets of 2400 × 600, 10 mm lost all round" in text
    assert "8 mm along each edge, scarfs of 10 to 1" in text
    assert "To buy: blanks and 30 %" in text
    assert "To buy: 20 % above the count" in text


def test_scarfs_too_close_in_the_boards_to_be_had_are_a_warning_printed_and_in_the_book(tmp_path: Path) -> None:
    pram = DINGHY.with_name("pram.toml")
    result = run("book", pram, "--board", "700x300", "--out", tmp_path)
    assert result.exit_code == 0, result.output
    phrases = re.findall(
        r"warning: (the scarfs of strakes \d and \d are only ([\d.]+) mm apart), at [\d.]+ mm along", result.stderr
    )
    assert phrases
    # common practice: three scarf lengths, here of 8 x 6 mm
    assert all(float(apart) < 3 * 8 * 6.0 for _, apart in phrases)
    book = pypdfium2.PdfDocument(tmp_path / BOOK_NAMES[0])
    text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in book)
    assert all(words in text or words.capitalize() in text for words, _ in phrases)


def test_boards_too_small_for_a_strake_are_a_warning(tmp_path: Path) -> None:
    result = run("book", DINGHY.with_name("pram.toml"), "--board", "4000x100", "--out", tmp_path)
    assert result.exit_code == 0, result.output
    assert re.search(r"warning: strake \d takes a blank", result.stderr)
    assert "scarfs of strakes" not in result.stderr  # long boards take no scarfs


# Files measured at the boat that cannot be worked with: command, options before the file, file, words, line.
BAD: dict[str, tuple[tuple[str, ...], str, str, int]] = {
    "a strake that does not exist": (("make", "--as-built"), BUILT.replace("e.2", "e.12"), "no strake 12", 4),
    "a station not in the hull": (("make", "--as-built"), BUILT.replace("5 = 1", "6 = 1"), "no place called 6", 5),
    "a strake missing below": (("make", "--as-built"), BUILT.replace("e.2", "e.3"), "strake 2 below it is not", 4),
    "an offset wider than a strake": (
        ("make", "--as-built"),
        BUILT.replace("2 = 0.5", "2 = 195"),
        "strake is wide",
        3,
    ),
    "crossed arcs": (("spile", "4"), ARCS.replace("[-20, 0], [40, 0]", "[40, 0], [-20, 0]"), "crossed", 5),
    "radii that cannot meet": (("spile", "4"), ARCS.replace("radius = 60", "radius = 25"), "cannot meet", 5),
    "no TOML": (("spile", "4"), "strake 4", "not TOML", 1),
}


@pytest.mark.parametrize("what", BAD)
def test_what_cannot_be_is_refused_at_its_line_and_nothing_is_written(what: str, tmp_path: Path) -> None:
    (command, *more), text, words, line = BAD[what]
    file = written(tmp_path, text)
    result = run(command, DINGHY, *more, file, "--out", tmp_path / "out")
    assert result.exit_code == 1, result.output
    assert re.search(rf"{re.escape(str(file))}:{line}: error: .*{words}", result.stderr)
    assert "nothing was written" in result.stderr
    assert result.stdout == ""
    assert "Traceback" not in result.output
    assert names(tmp_path) == {"measured.toml"}


THIN_STEM = ("siding = 36.0", "siding = 14.0")
WIDE_LAP = ("lap = 19.0", "lap = 95.0")


@pytest.mark.parametrize(
    ("command", "fault", "word"),
    [
        (("book",), THIN_STEM, "rebates meet"),
        (("spile", 4, "--form"), WIDE_LAP, "lap"),
        *more((("look",), THIN_STEM, "rebates meet")),
    ],
)
def test_a_hull_at_fault_has_no_book_no_page_and_no_form(
    command: tuple[object, ...], fault: tuple[str, str], word: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finding_module, "MOST_TRIALS", 0)  # `tests/report/test_cures.py` tries the cures
    text = DINGHY.read_text(encoding="utf-8")
    assert text.count(fault[0]) >= 1
    for hull, shown in ((text.replace('"Tarnmoth"', '"葉舟"'), "葉"), (text.replace(*fault, 1), word)):
        name, *more = command
        result = run(name, written(tmp_path, hull, "hull.toml"), *more, "--out", tmp_path / "out")
        assert result.exit_code == 1, result.output
        assert shown in result.stderr
        assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ("spile", DINGHY, 4),
        ("spile", DINGHY, 4, "FILE", "--form"),
        ("spile", DINGHY, "four", "FILE"),
        ("spile", DINGHY, 99, "--form"),
        ("make", DINGHY, "--as-built", "FILE", "--stock", "2440x1220", "--tabs", "3x12"),
        ("make", DINGHY, "--as-built", "FILE", "--only", "strake 1"),
        ("book", DINGHY, "--scarf", "nan"),
        ("book", DINGHY, "--as-built", DATA / "dinghy_as_built.toml"),  # its sides are not alike
        ("book", DINGHY, "--board", "wide"),
        ("book", DINGHY, "--paper", "roll 610"),
    ],
)
def test_a_misused_command_ends_with_2_and_writes_nothing(
    arguments: tuple[object, ...], tmp_path: Path, built: Path
) -> None:
    result = run(*(built if word == "FILE" else word for word in arguments), "--out", tmp_path / "out")
    assert result.exit_code == 2, result.output
    assert not (tmp_path / "out").exists()
    assert "Traceback" not in result.output


def test_a_log_is_begun_and_never_overwritten(tmp_path: Path) -> None:
    log = tmp_path / "built.toml"
    begun = run("start", log, "--log", DOUBLE_ENDER)
    assert (begun.exit_code, begun.stdout) == (0, "")
    assert f"{log} written for drawing" in begun.stderr
    assert names(tmp_path) == {"built.toml"}
    checked = run("check", DOUBLE_ENDER, "--as-built", log)
    assert checked.exit_code == 0
    assert "no strake is hung yet" in checked.stdout
    text = log.read_text(encoding="utf-8")
    again = run("start", log, "--log", DOUBLE_ENDER)
    assert (again.exit_code, log.read_text(encoding="utf-8")) == (2, text)
    assert run("start", tmp_path / "other.toml", "--log", DOUBLE_ENDER, "--units", "in").exit_code == 2
    assert run("start", tmp_path / "other.toml", "--log", tmp_path / "none.toml").exit_code == 1
    assert names(tmp_path) == {"built.toml"}


def test_no_log_is_begun_before_the_lands_are_kept(tmp_path: Path) -> None:
    boat, log = tmp_path / "boat.toml", tmp_path / "built.toml"
    boat.write_bytes(DINGHY.read_bytes())
    refused = run("start", log, "--log", boat)
    line = next(k for k, text in enumerate(boat.read_text(encoding="utf-8").splitlines(), 1) if 'by = "even"' in text)
    assert refused.exit_code == 1
    assert f"{boat}:{line}: error: lands.by" in refused.stderr
    assert "run line-off --keep before you cut moulds, then begin the log" in refused.stderr
    assert names(tmp_path) == {"boat.toml"}
    assert run("line-off", boat, "--keep").exit_code == 0
    assert run("start", log, "--log", boat).exit_code == 0
    assert run("check", boat, "--as-built", log).exit_code == 0


def test_the_page_shows_the_boat_as_built(tmp_path: Path) -> None:
    file = written(tmp_path, BUILT + "[mould.3.port]\nout = 4\n")
    result = run("look", DINGHY, "--as-built", file, "--out", tmp_path / "out")
    assert (result.exit_code, result.stdout) == (0, "")
    page = (tmp_path / "out" / PAGE_NAMES[0]).read_text(encoding="utf-8")
    assert "as built to strake 2" in page or "as-built, to strake 2" in page
    assert "mould 3 stands 4 mm out" in page
    assert "strake 2 as built" in page
    assert "the page shows the port side" in result.stderr
    assert '"side":"port"' in page
    bad = written(tmp_path, BUILT + "[mould.9]\nout = 4\n", "bad.toml")
    result = run("look", DINGHY, "--as-built", bad, "--out", tmp_path / "none")
    assert result.exit_code == 1
    assert "there is no mould called 9" in result.stderr
    assert not (tmp_path / "none" / PAGE_NAMES[0]).exists()


@sweep
def test_the_page_as_built_names_no_side_where_both_are_alike(tmp_path: Path) -> None:
    result = run("look", DINGHY, "--as-built", written(tmp_path, BUILT), "--out", tmp_path)
    assert "the page shows" not in result.stderr
    assert '"side":"port"' not in (tmp_path / PAGE_NAMES[0]).read_text(encoding="utf-8")


def test_the_page_as_built_shows_a_boat_that_can_no_longer_be_built_as_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(finding_module, "MOST_TRIALS", 0)
    text = DINGHY.read_text(encoding="utf-8").replace("\nleast_edge = 4.5", "\n# least_edge = 4.5", 1)
    thin = text.replace("\nthickness = 9.0", f"\nthickness = {[3.0] + [9.0] * 8}", 1)
    hull, file = written(tmp_path, thin, "thin.toml"), written(tmp_path, BUILT)
    assert "cannot be built" in run("look", hull, "--out", tmp_path / "drawn").stderr
    result = run("look", hull, "--as-built", file, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert (tmp_path / "out" / PAGE_NAMES[0]).exists()


def test_forms_for_the_as_built_file_are_printed_for_one_strake_or_for_all(tmp_path: Path) -> None:
    out = tmp_path / "out"
    pages = []
    for which in ((), ("--strake", 3)):
        result = run("measure-form", DINGHY, *which, "--out", out)
        assert result.exit_code == 0, result.output
        assert names(out) == {"measure-form.pdf"}
        document = pypdfium2.PdfDocument(out / "measure-form.pdf")
        pages.append(" ".join(page.get_textpage().get_text_bounded() for page in document))
    assert all(f"Strake {number} as hung" in pages[0] for number in range(1, 10))
    assert "Strake 3 as hung" in pages[1]
    assert "Strake 2 as hung" not in pages[1]


@pytest.mark.parametrize(
    ("strake", "message"), [(0, "no strake 0"), (10, "from 1, the garboard, to 9"), ("x", "whole number")]
)
def test_there_is_no_form_of_a_strake_that_the_boat_does_not_have(
    strake: object, message: str, tmp_path: Path
) -> None:
    result = run("measure-form", DINGHY, "--strake", strake, "--out", tmp_path / "out")
    assert result.exit_code == 2
    assert message in " ".join(result.stderr.replace("│", " ").split())
    assert not (tmp_path / "out").exists()
