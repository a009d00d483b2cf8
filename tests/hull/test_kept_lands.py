"""Lands written into the hull file they come from: read again they are the same, and nothing else changed."""

import os
import tomllib
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from templates_gen.cli import app
from templates_gen.errors import OutputError
from templates_gen.geometry.land_marks import land_marks
from templates_gen.hull.land_rows import with_kept_lands
from templates_gen.hull.reader import read_hull
from templates_gen.hull.text import SourceFile
from templates_gen.output import replace_file
from templates_gen.report.lands.lining_off import AFRESH
from tests.sweep import more

HULLS = Path(__file__).parents[2] / "hulls"
ROWS = ["# rows", "1 = [10.0, 20.0]", "fore = [5.0, 6.0]"]


def kept_in(data: bytes) -> bytes:
    """The bytes of a file with ROWS kept in it."""
    return with_kept_lands(SourceFile(Path("boat.toml"), data), ROWS)


def run(*arguments: object) -> Result:
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


def even_file(folder: Path, name: str, pins: str = "") -> Path:
    """One of the project's hulls, its lands left to the tool, in a file whose name has a blank."""
    text = (HULLS / f"{name}.toml").read_text(encoding="utf-8").split("\n[lands]")[0]
    path = folder / "my boat.toml"
    path.write_text(f'{text}\n[lands]\nby = "even"  # mine\ngarboard = 1.1\n{pins}', encoding="utf-8")
    return path


@pytest.mark.parametrize("name", ["pram", *more("double_ender")])
def test_a_hull_whose_lands_are_kept_has_the_same_lands_when_read_again(name: str, tmp_path: Path) -> None:
    path = even_file(tmp_path, name)
    before, lines = read_hull(path), path.read_text(encoding="utf-8").splitlines()
    assert AFRESH in run("check", path).output
    assert run("line-off", path, "--keep").exit_code == 0
    after = read_hull(path)
    assert after.lands.by == "girth"
    lined, kept = land_marks(before), land_marks(after)
    rounding = 0.06 if before.units == "mm" else 1.5 * 25.4 / 32 + 0.01  # half the last place that is written
    for one, other in ((lined.stations, kept.stations), (lined.fore, kept.fore), (lined.aft, kept.aft)):
        assert other == pytest.approx(one, abs=1.5 * rounding)
    left = path.read_text(encoding="utf-8").splitlines()
    for text in lines:
        assert text.replace('"even"', '"girth"') in left or f"# {text}" in left
    assert 'by = "girth"  # mine' in left
    assert "# garboard = 1.1" in left
    assert AFRESH not in run("check", path).output


PINS = {
    "a table": "[lands.pins]\n# why\n1 = {2 = 210.0}\n\n[lands.pins.fore]\n1 = 190.0 # here\n",
    "inline": "pins = {1 = {2 = 210.0}, fore = {1 = 190.0}} # all\n",
    "dotted": "pins.1.2 = 210.0\npins.fore = {1 = 190.0}\n",
}


@pytest.mark.parametrize("pins", PINS)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_pins_become_comments_and_every_other_byte_stays(pins: str, end: str, mark: bytes) -> None:
    before = f'name = "ö"{end}[lands] # x{end}by  =  "even"{end}'
    after = f"{end}# more{end}[moulds]{end}edge = 'smooth'"
    middle = PINS[pins].replace("\n", end)
    kept = kept_in(mark + (before + middle + after).encode())
    rows = "".join(row + end for row in ROWS)
    commented = "".join(
        text if text.startswith("#") or not text.strip() else f"# {text}" for text in middle.splitlines(keepends=True)
    )
    assert kept == mark + (before.replace('"even"', '"girth"') + rows + commented + after).encode()
    assert tomllib.loads(kept.removeprefix(mark).decode())["lands"] == {
        "by": "girth",
        "1": [10.0, 20.0],
        "fore": [5.0, 6.0],
    }


def test_letters_that_end_a_line_elsewhere_but_not_in_toml_are_no_matter() -> None:
    text = 'name = "a\u2028b" # \x85 and \u2029\n[lands]\nby = "even" # \u2028 mine\nsheer = 1.0\n'
    rows = "".join(f"{row}\n" for row in ROWS)
    assert kept_in(text.encode()).decode() == text.replace("even", "girth").replace("sheer", f"{rows}# sheer")


def test_rows_after_a_last_line_without_an_end_stand_on_lines_of_their_own() -> None:
    assert kept_in(b'[lands]\nby = "even"').decode().splitlines() == [
        "[lands]",
        'by = "girth"',
        *ROWS,
    ]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            '[lands]\nby = "girth"\n1 = [1.0]\nfore = [2.0]\naft = [3.0]\n',
            "gives 3 rows, which --keep would overwrite",
        ),
        ('lands = {by = "even"}\n', "give \\[lands\\] a table of its own"),
        ('lands.by = "even"\nname = "x"\n', "give \\[lands\\] a table of its own"),
        ('[lands]\nby = "even"\n1 = [1.0]\n', "has a row for 1"),
    ],
)
def test_lands_that_cannot_be_kept_are_refused(text: str, says: str) -> None:
    with pytest.raises(OutputError, match=says):
        kept_in(text.encode())


def test_a_file_that_is_refused_is_left_as_it_was(tmp_path: Path) -> None:
    path = even_file(tmp_path, "pram")
    before = path.read_bytes()
    assert run("line-off", path, "--keep", "--least").exit_code == 2
    assert path.read_bytes() == before
    assert run("line-off", path, "--keep").exit_code == 0
    kept = path.read_bytes()
    refused = run("line-off", path, "--keep")
    assert (refused.exit_code, path.read_bytes()) == (2, kept)
    assert "gives 6 rows, which --keep would overwrite" in refused.stderr
    assert sorted(tmp_path.iterdir()) == [path]


def test_a_link_stays_and_what_it_leads_to_is_replaced(tmp_path: Path) -> None:
    target, link = tmp_path / "a.toml", tmp_path / "b.toml"
    target.write_bytes(b"old")
    target.chmod(0o640)
    link.symlink_to(target)
    replace_file(link, b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"
    assert target.stat().st_mode & 0o777 == 0o640


def test_a_file_that_cannot_be_replaced_is_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def failing(*_: object) -> None:
        raise OSError(28, "No space left on device")

    path = tmp_path / "a.toml"
    path.write_bytes(b"old")
    monkeypatch.setattr(os, "replace", failing)
    with pytest.raises(OutputError, match="no space left"):
        replace_file(path, b"new")
    assert [one.read_bytes() for one in tmp_path.iterdir()] == [b"old"]
