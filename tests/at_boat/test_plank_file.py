"""Plank files as they are typed at the boat, and those that cannot be worked with: line, place, value and cure."""

import re
from pathlib import Path

import numpy as np
import pytest

from tests.test_cli import run

EXAMPLE = Path(__file__).parents[1] / "data" / "plank.toml"
TEXT = EXAMPLE.read_text(encoding="utf-8")


def line_of(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


# What is wrong: what is replaced by what, the words of the message, what stands on the line that is named.
BAD: dict[str, tuple[str, str, str, str]] = {
    "no units": ('units = "mm"', "", "has no units", ""),
    "other units": ('units = "mm"', 'units = "in"', "units right", "thickness = 9"),
    "an inch in a file in mm": (
        '"timber 6" = [919, 63]', '"timber 6" = [919, 2 1/2]', "one of an inch", '"timber 6" =',
    ),
    "a place in centimetres": (
        '"timber 8" = [1199, 188]',
        '"timber 8" = [1199, 82]',
        "mm wide here .* other units",
        '"timber 8" = [1199, 82]',
    ),
    "too few places": (
        "\n".join(TEXT.split("[lower]")[1].split("[upper]")[0].splitlines()[2:8]), "", "3 points", "[lower]",
    ),
    "no corner": ("aft = [2390, 74.5]\n", "", "lower corner of the after end is missing", "[lower]"),
    "laps wider than the plank": ("lap = 19", "lap = 75", "wide here, and its laps take", '"timber 2" = [310, 96.5]'),
    "places out of order": (
        "timber 4 = [618.5", "timber 4 = [1218.5", "forward of timber 4", '"timber 6" = [919, 63]',
    ),
    "edges that cross": ("[1499.5, 199.5]", "[1499.5, 79.5]", "upper mark is not above", '"timber 10" = [1499.5'),
    "all of the edge planed off": (
        '"timber 10" = 8', '"timber 10" = 28', "takes 10.1 mm off an edge 9 mm", '"timber 10" = 28',
    ),
    "a bevel at no place": ('"timber 10" = 8', '"timbre 10" = 8', "no place called", '"timbre 10"'),
    "no bevel": ('"timber 10" = 8', '"timber 10" = "steep"', "not a number", '"timber 10" = "steep"'),
    "no width under the scrap": ("width = 40", "width = 0", "measure further out", "width = 0"),
    "a gerald on a scarf": ("scarf = 72", "gerald = 72", "has no gerald", "gerald = 72"),
    "a thickness of another plank": ("thickness = 9\n", "thickness = 0.375\n", "units right", "thickness = 0.375"),
    "a negative thickness": ("thickness = 9\n", "thickness = -9\n", "-9 mm thick is not made", "thickness = -9"),
    "a sheer strake with a land above": ("strake = 5", "strake = 5\nsheer = true", "take .bevel. out", "[bevel]"),
    "a side that is neither": ('"starboard"', '"left"', "port", 'side = "left"'),
    "both ways of spacing": ("between = 5", "between = 5\nspacing = 50", "give just one", "[fastenings]"),
    "letters that cannot be printed": ('"Marigold"', '"葉舟"', "cannot be printed", 'name = "葉舟"'),
    "an unknown key": ("turn = 24", "twist = 24", "no key twist", "twist = 24"),
    "a place twice": (
        "[bevel]", '[widths]\n"timber 2" = [310, 0, 96]\n[bevel]', "leave one", '"timber 2" = [310, 0, 96]',
    ),
    "a steep edge": ("aft = [2390, 74.5]", "aft = [2110, 10.5]", "more steeply", "aft = [2110, 10.5]"),
    "fastenings past the plank": ("first = 27", "first = 1500", "first is", "first = 1500"),
}  # fmt: skip


@pytest.mark.parametrize("what", BAD)
def test_what_cannot_be_is_refused_at_its_line_and_nothing_is_written(what: str, tmp_path: Path) -> None:
    old, new, words, place = BAD[what]
    text = TEXT.replace(old, new, 1)
    assert text != TEXT
    path = tmp_path / "plank.toml"
    path.write_text(text, encoding="utf-8")
    result = run("plank", path, "--out", tmp_path / "out")
    assert result.exit_code == 1, result.output
    assert re.search(words, result.stderr), result.stderr
    if place:
        assert f"plank.toml:{line_of(text, place)}: error" in result.stderr, result.stderr
    assert "nothing was written" in result.stderr
    assert not re.search(r"expected -|to -\d", result.stderr), result.stderr
    assert "Traceback" not in result.output
    assert not (tmp_path / "out").exists()


def test_the_example_is_made_whole(tmp_path: Path) -> None:
    result = run("plank", EXAMPLE, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert "warning" not in result.stderr
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {"plank.pdf", "plank.dxf", "plank.json", "made-by-templates-gen.json"}


def test_figures_are_read_as_they_are_typed() -> None:
    from templates_gen.hull.measured.plank import read_plank

    plank = read_plank(EXAMPLE)
    assert plank.points["lower"]["fore"].tolist() == [24.5, -42.5]  # a decimal comma, parted by a semicolon
    assert plank.points["lower"]["timber 4"].tolist() == [618.5, 37.5]  # a name of two words without quotes
    bevels = plank.bevels["above"]
    assert bevels["timber 12"].angle == pytest.approx(np.radians(7.5))  # "7 1/2"
    assert bevels["timber 6"].angle == pytest.approx(np.arctan(3.5 / 40.0))


def test_the_same_plank_in_eighths_of_an_inch(tmp_path: Path) -> None:
    # Each length as the nearest sixteenth: the outline comes back within what that rounding and fairing allow.
    from templates_gen.at_boat.plank import plank_to_make
    from tests.at_boat.outlines import farthest

    def in_inches(found: re.Match[str]) -> str:
        return f'"{round(float(found[0]) / 25.4 * 16) / 16}"'

    head, rest = TEXT.replace("24,5; -42,5", "24.5, -42.5").split("[lower]")
    points = rest.split("[bevel]")[0]
    text = head.replace('units = "mm"', 'units = "in"').replace("turn = 24", "")
    text = re.sub(r"(?<= = )\d+(?=\n)", in_inches, text).replace('format = "0.0625"', "format = 1")
    text = re.sub(r'strake = "[\d.]+"', "strake = 5", text)
    points = re.sub(r"(?<=[\[ ])-?\d+(?:\.\d+)?(?=[,\]])", in_inches, points)
    ends = '\n[fore]\non = "stem"\n[aft]\non = "butt"\n'
    path = tmp_path / "inches.toml"
    path.write_text(f"{text}[lower]{points}{ends}", encoding="utf-8")
    found = plank_to_make(path).plank
    mm = tmp_path / "mm.toml"
    in_mm = f"{head}[lower]{rest.split('[bevel]')[0]}{ends}".replace("turn = 24", "")
    mm.write_text(in_mm, encoding="utf-8")
    assert farthest(found.outline, plank_to_make(mm).plank.outline) < 1.6


def test_the_blank_form_asks_for_every_key_of_the_file(tmp_path: Path) -> None:
    import pypdfium2

    from templates_gen.hull.measured.plank import EndTable, FastenedTable, PlankTable

    assert run("plank", "--form", "--out", tmp_path).exit_code == 0
    pages = pypdfium2.PdfDocument(tmp_path / "plank-form.pdf")
    text = " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in pages)
    tables = {"format", "lower", "upper", "widths", "bevel", "bevel_below", "fore", "aft", "fastenings"}
    for kind in (PlankTable, EndTable, FastenedTable):
        for key in kind.model_fields.keys() - tables:
            assert key in text, key
    section = " ".join(pages[1].get_textpage().get_text_range().split())
    assert "Before you take the old plank off:" in section
    for words in ("1 lower land", "2 upper mark", "3 gap", "3 width", "3 offcut", "4 offcut", "5 width_above"):
        assert section.count(words) >= 1, words


def test_the_section_shows_the_bevel_that_its_gap_and_width_tell() -> None:
    # Plane geometry: the angle between two inner faces is the bevel; tan = gap / width, but for what the lower edge
    # of the upper strake, square to its own face, falls short of the offcut: its thickness times 1 - cos over cos.
    from templates_gen.templates.strakes.plank_form import plank_form_folio

    strakes = [path.points for path in plank_form_folio().pieces[0].paths if path.role.name == "BEVEL"]
    faces = [points[-1] - points[0] for points in strakes]
    angles = [float(np.arctan2(face[1], face[0])) for face in faces]
    turns = -np.diff(angles)
    assert len(turns) == 2
    lines = [path.points for path in plank_form_folio().pieces[0].paths if len(path.points) == 2 and not path.closed]
    gap, width = (float(np.linalg.norm(line[1] - line[0])) for line in lines[:2])
    short = 8.0 * (1.0 / np.cos(turns[1]) - 1.0)
    assert np.arctan2(gap + short, width) == pytest.approx(turns[1], abs=np.radians(0.05))


@pytest.mark.parametrize("words", [(), (EXAMPLE, "--form")])
def test_neither_a_file_nor_the_form_is_misuse(words: tuple[object, ...], tmp_path: Path) -> None:
    result = run("plank", *words, "--out", tmp_path / "out")
    assert result.exit_code == 2, result.output
    assert not (tmp_path / "out").exists()


def warnings_of(old: str, new: str, tmp_path: Path) -> list[str]:
    """The warnings about the example with a part of it replaced."""
    assert TEXT.count(old) >= 1
    path = tmp_path / "plank.toml"
    path.write_text(TEXT.replace(old, new, 1), encoding="utf-8")
    result = run("plank", path, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    return [line for line in result.stderr.splitlines() if "warning" in line]


def test_an_edge_thinner_than_half_is_named_with_place_value_and_cure(tmp_path: Path) -> None:
    # By hand: 20 degrees over a lap of 19 mm take 19 tan 20 = 6.9 mm off; 2.1 mm of 9 mm are left, 4.5 are wanted.
    steep = "\n".join(f'"timber {k}" = 20' for k in (2, 4, 6, 8, 10, 12, 14))
    old = TEXT.split("[bevel]\n")[1].split("\n\n")[0]
    (thin,) = warnings_of(old, steep, tmp_path)
    place = re.search(r"land 5 at (timber \d+)", thin)
    assert place is not None
    line = line_of(TEXT.replace(old, steep), f'"{place[1]}" = 20')
    assert f"plank.toml:{line}: warning" in thin
    assert "leaves only 2.1 mm of strake 5" in thin
    assert "at least 4.5 mm" in thin
    assert "read it again; if it is right, use thicker stock or a narrower lap" in thin


def test_an_odd_bevel_is_named_where_there_are_too_few_to_leave_it_out(tmp_path: Path) -> None:
    # Five readings of the land below: none is left out, and the one in the middle is 10 degrees off its neighbours.
    (odd,) = [line for line in warnings_of('"timber 8" = 4.5', '"timber 8" = 15', tmp_path) if "neighbours" in line]
    assert "land 4 at timber 8: a bevel of 15.0 degrees does not fit its neighbours" in odd
    line = line_of(TEXT, '"timber 8" = 4.5')
    assert f"plank.toml:{line}: warning" in odd
    assert re.search(r"lead to [45]\.\d", odd)
    assert not any("neighbours" in line for line in warnings_of('"timber 8" = 4.5', '"timber 8" = 6.5', tmp_path))
