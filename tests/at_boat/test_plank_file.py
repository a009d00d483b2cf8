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
        '"timber 6" = [919, 63]', '"timber 6" = [919, 2 1/2]', "fractions are of an inch", '"timber 6" =',
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
    "a negative thickness": ("thickness = 9\n", "thickness = -9\n", "-9 mm thick are not made", "thickness = -9"),
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


OLD = "old_holes = [60, 110.5, 162, 214]\nhole = 2.3\n"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("214]", "2600]", "lies past the after end of the plank, which is 2389.9 mm along at mid-lap"),
        ("[60,", "[-20,", "lies past the fore end of the plank, which is "),
        ("[60,", "[160,", "the hole at 110.5 mm comes after the one at 160 mm; write them fore to aft"),
        ("162,", "112,", "the holes at 110.5 mm and 112 mm are nearer than one hole is wide, 2.3 mm"),
        (
            "hole = 2.3",
            "hole = 2.3\nspacing = 50",
            "has old_holes, so no others are spaced; take out spacing or old_holes",
        ),
        (
            "hole = 2.3",
            "hole = 2.3\nfirst = 27",
            "has old_holes, so no others are spaced; take out first or old_holes",
        ),
        ("[60, 110.5, 162, 214]", "[]", "old_holes holds 0 distances; give one for each old hole, or take it out"),
        ("[60, 110.5, 162, 214]", "60", "must be distances along the batten of the old holes"),
        ("162,", "'near',", "old_holes"),
        (OLD, "hole = 2.3\nspacing = 50\n", "has no first; give how far the first and the last fastening are"),
    ],
)
def test_old_holes_that_cannot_be_are_refused(old: str, new: str, words: str, tmp_path: Path) -> None:
    text = TEXT[: TEXT.index("between = 5")] + OLD
    assert old in text
    message = refusal(text.replace(old, new, 1), tmp_path)
    assert words in message, message
    assert message.count(": error") == 1
    line = line_of(text, "[fastenings]") if old == OLD else line_of(text.replace(old, new, 1), new.split("\n")[-1])
    assert f"plank.toml:{line}: error" in message, message


# A plank 3 m long of the same width all along, with square ends.
SQUARE = """format = 1
name = "Marigold"
units = "mm"
strake = 3
side = "port"
thickness = 12
lap = 20
[widths]
1 = [500, 0, 100]
2 = [1000, 0, 100]
3 = [1500, 0, 100]
4 = [2000, 0, 100]
5 = [2500, 0, 100]
[lower]
fore = [0, 0]
aft = [3000, 0]
[upper]
fore = [0, 100]
aft = [3000, 100]
[fore]
on = "butt"
[aft]
on = "butt"
"""


def refusal(text: str, tmp_path: Path) -> str:
    """The messages on a plank file that is refused, and of which nothing may be made."""
    path = tmp_path / "plank.toml"
    path.write_text(text, encoding="utf-8")
    result = run("plank", path, "--out", tmp_path / "out")
    assert result.exit_code == 1, result.output
    assert "Traceback" not in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert not (tmp_path / "out").exists()
    return str(result.stderr)


@pytest.mark.parametrize(
    ("points", "far"),
    [
        ("[2900, 30], [-500, 60]", "2900 mm"),
        ("[500, 50]", "500 mm"),
        ("[-5000, 50]", "5000 mm"),
        ("[3500, 50]", "3500 mm"),
    ],
)
def test_a_point_of_an_end_far_from_its_corners_is_refused(points: str, far: str, tmp_path: Path) -> None:
    text = SQUARE.replace("[fore]", f"[fore]\npoints = [{points}]")
    message = refusal(text, tmp_path)
    assert f"plank.toml:{line_of(text, 'points')}: error: fore.points[1]" in message
    assert f"lies {far} from the straight line between the two corners, and the end is only 100 mm wide" in message
    assert "at most 50 mm" in message


def test_points_of_an_end_by_arcs_are_refused(tmp_path: Path) -> None:
    arcs = "points = [[-40, 25], [[-60, 50], [0, 50]]]"
    text = SQUARE.replace("format = 1", "format = 1\nradius = 50").replace("[fore]", f"[fore]\n{arcs}")
    message = refusal(text, tmp_path)
    assert f"plank.toml:{line_of(text, arcs)}: error: fore.points[2]" in message, message
    assert "two arcs where an offset is expected; measure the points of an end as [along, offset]" in message


def test_an_end_bowed_as_a_half_circle_is_drawn(tmp_path: Path) -> None:
    half_circle = [[-30.0, 10.0], [-48.0, 36.0], [-50.0, 50.0], [-48.0, 64.0], [-30.0, 90.0]]
    path = tmp_path / "plank.toml"
    path.write_text(SQUARE.replace("[fore]", f"[fore]\npoints = {half_circle}"), encoding="utf-8")
    result = run("plank", path, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output


def test_points_of_an_end_that_are_one_point_are_refused_between_corners_by_arcs(tmp_path: Path) -> None:
    text = SQUARE.replace("format = 1", "format = 1\nradius = 50").replace(
        "fore = [0, 0]", "fore = [[-30, 40], [30, 40]]"
    )
    message = refusal(text.replace("[fore]", "[fore]\npoints = [[0, 50], [0, 50]]"), tmp_path)
    assert "from the lower corner up to the upper one" in message


@pytest.mark.parametrize(
    ("more", "key"),
    [
        ("thickness_below = 12", "thickness_below"),
        ("lap_below = 20", "lap_below"),
        ("[fastenings]\nspacing = 50\nfirst = 30\nhole = 3", "fastenings"),
    ],
)
def test_what_belongs_to_a_land_below_is_refused_on_the_garboard(more: str, key: str, tmp_path: Path) -> None:
    text = f"{SQUARE}\n{more}\n" if more.startswith("[") else SQUARE.replace("[widths]", f"{more}\n[widths]")
    path = tmp_path / "second.toml"
    path.write_text(text, encoding="utf-8")
    assert run("plank", path, "--out", tmp_path / "second").exit_code == 0
    text = text.replace("strake = 3", "strake = 1")
    message = refusal(text, tmp_path)
    assert f"plank.toml:{line_of(text, more)}: error: {key} " in message, message
    assert "the garboard, strake 1, has no land below; take " in message
    assert message.count("error") == 1


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"timber 10" = 8', '"timber 10" = "seven"', "not a number of degrees; write one such as 6.5"),
        ('"timber 10" = 8', '"timber 10" = 95', "a bevel lies between -89 and 89 degrees"),
        ('"timber 10" = 8', '"timber 10" = { gap = 900, width = 5 }', "a bevel lies between -89 and 89 degrees"),
        ("turn = 24", 'turn = "far"', "turn: not a number of degrees; write one such as 6.5"),
        ("turn = 24", 'turn = "6 in"', "turn: not a number of degrees; write one such as 6.5"),
        ("turn = 24", 'turn = "0°6\'"', "turn: not a number of degrees; write one such as 6.5"),
        ("turn = 24", 'turn = "1-2-3"', "turn: not a number of degrees; write one such as 6.5"),
        ("turn = 24", "turn = true", "turn: this is not an angle; write a number of degrees"),
        ("turn = 24", "turn = 190", "expected 0 to 180 degrees): turn is 190.0 degrees"),
        ("turn = 24", "turn = -5", "expected 0 to 180 degrees): turn is -5.0 degrees"),
        ("turn = 24", "turn = nan", "an angle lies between -360 and 360 degrees"),
    ],
)
def test_an_angle_is_refused_in_its_own_words(old: str, new: str, words: str, tmp_path: Path) -> None:
    text = TEXT.replace(old, new, 1)
    message = refusal(text, tmp_path)
    assert f"plank.toml:{line_of(text, new)}: error" in message
    assert words in message, message
    assert "inch" not in message
    assert message.count(": error") == 1


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"timber 10" = 8', '"timber 10" = [8]', "; expected degrees, or { gap = …, width"),
        ('"timber 10" = 8', '"timber 10" = { gap = 3 }', "has just a gap and a width; write both"),
        ("[bevel]", '[widths]\n"timber 3" = [450, 90]\n[bevel]', "; expected three figures: along"),
        ("between = ", 'between = "two"  # ', "between of [fastenings] must be a whole number"),
        ("\n".join(TEXT.split("[lower]")[1].splitlines()[1:9]), "", "[lower] has 1 point; give at least 4"),
    ],
)
def test_a_wrong_cell_is_answered_as_a_cell(old: str, new: str, words: str, tmp_path: Path) -> None:
    assert old in TEXT
    message = refusal(TEXT.replace(old, new, 1), tmp_path)
    assert words in message, message
    assert "a table: for each place" not in message


def test_a_batten_may_turn_further_than_a_bevel(tmp_path: Path) -> None:
    from templates_gen.at_boat.plank import plank_to_make

    # Bent about its own middle a plank 9 mm thick on a batten 3 mm thick is (9 - 3) / 2 mm longer for each radian.
    path = tmp_path / "plank.toml"
    path.write_text(TEXT.replace("turn = 24", "turn = 100"), encoding="utf-8")
    plank = plank_to_make(path).plank
    length = max(
        plank.measured.points[edge]["aft"][0] - plank.measured.points[edge]["fore"][0] for edge in ("lower", "upper")
    )
    assert (plank.scale - 1.0) * length == pytest.approx(3.0 * np.radians(100.0))


def test_a_width_under_the_scrap_is_answered_in_the_units_of_the_file(tmp_path: Path) -> None:
    text = SQUARE.replace('units = "mm"', 'units = "in"').replace(
        "[fore]", '[bevel]\n1 = { gap = "1/32", width = "1/8" }\n[fore]'
    )
    message = refusal(text, tmp_path)
    assert "the width under the scrap is less than 1/4 in; measure further out" in message, message


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("lap = 19", "lap = 0.1", "expected 4.5 mm to 108 mm"),
        ("thickness = 9\n", "thickness = 0.009\n", "expected 1.5 mm to 80 mm"),
        ("lap = 19", "lap = 19\nlap_below = 0.1", "expected 4.5 mm to 108 mm"),
    ],
)
def test_only_the_figure_that_is_wrong_is_named(old: str, new: str, expected: str, tmp_path: Path) -> None:
    text = TEXT.replace(old, new, 1)
    message = refusal(text, tmp_path)
    assert f"plank.toml:{line_of(text, new.splitlines()[-1])}: error" in message
    assert message.count(": error") == 1, message
    assert expected in message


def test_an_outline_that_crosses_itself_is_refused(tmp_path: Path) -> None:
    # The straight end runs from (0, 0) up to (-400, 100); the upper edge dips below it at (-250, 40).
    text = SQUARE.replace("fore = [0, 100]", "fore = [-400, 100]\na = [-320, 64]\nb = [-250, 40]\nc = [-125, 60]")
    message = refusal(text, tmp_path)
    assert re.search(r"crosses itself -[0-9.]+ mm along the batten; read the corners of \[fore\] again", message), (
        message
    )


def test_wood_past_an_end_where_the_edges_run_together_is_refused(tmp_path: Path) -> None:
    # 500 mm wide at the fore end, 42 mm at the after one: straight edges meet 42 / 458 of 3000 mm past it, at 275 mm.
    half = {name: 250 - 229 * k / 6 for k, name in enumerate(("fore", *"12345", "aft"))}
    edges = [
        f"[{edge}]\n" + "\n".join(f"{name} = [{500 * k}, {sign * half[name]!r}]" for k, name in enumerate(half))
        for edge, sign in (("lower", -1), ("upper", 1))
    ]
    text = "\n".join(
        [SQUARE.split("[widths]")[0], *edges, '[fore]\non = "butt"\n[aft]\nallowance = 250\non = "butt"\n']
    )
    path = tmp_path / "near.toml"
    path.write_text(text, encoding="utf-8")
    assert run("plank", path, "--out", tmp_path / "near").exit_code == 0
    message = refusal(text.replace("allowance = 250", "allowance = 300"), tmp_path)
    assert f"plank.toml:{line_of(text, 'allowance')}: error: aft.allowance" in message
    assert "meet before 300 mm; leave less wood" in message


def test_the_example_is_made_whole(tmp_path: Path) -> None:
    result = run("plank", EXAMPLE, "--out", tmp_path / "out")
    assert result.exit_code == 0, result.output
    assert "warning" not in result.stderr
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {"plank.pdf", "plank.dxf", "plank.json", "made-by-templates-gen.json"}


def test_figures_are_read_as_they_are_typed() -> None:
    from templates_gen.hull.measured.plank_file import read_plank

    plank = read_plank(EXAMPLE)
    assert plank.points["lower"]["fore"].tolist() == [24.5, -42.5]  # a decimal comma, parted by a semicolon
    assert plank.points["lower"]["timber 4"].tolist() == [618.5, 37.5]  # a name of two words without quotes
    bevels = plank.bevels["above"]
    assert bevels["timber 12"].angle == pytest.approx(np.radians(7.5))  # "7 1/2"
    assert bevels["timber 6"].angle == pytest.approx(np.arctan(3.5 / 40.0))


def in_eighths(eighths: int, units: str) -> str:
    """A length in eighths of an inch as it is typed in a file in units."""
    if units == "eighths":
        return str(eighths)
    sign, eighths = "-" if eighths < 0 else "", abs(eighths)
    if units == "in":
        whole, rest = divmod(eighths, 8)
        return f"{sign}{whole} {rest}/8" if whole and rest else f"{sign}{rest}/8" if rest else f"{sign}{whole}"
    return f'"{sign}{eighths // 96}-{eighths // 8 % 12}-{eighths % 8}"'


@pytest.mark.parametrize("units", ["eighths", "in", "ft-in-8"])
def test_a_plank_in_inches_is_as_long_and_wide_as_inches_are(units: str, tmp_path: Path) -> None:
    # 10 ft long, 4 in wide at the fore end and 7 in at the after one, edges straight. An inch is 25.4 mm
    # (international inch, 1959), an eighth 3.175 mm.
    from templates_gen.at_boat.plank import plank_to_make
    from tests.at_boat.outlines import farthest

    def typed(*eighths: int) -> str:
        return ", ".join(in_eighths(one, units) for one in eighths)

    lines = ["format = 1", 'name = "Marigold"', f'units = "{units}"', "strake = 3", 'side = "port"']
    lines += [f"thickness = {typed(4)}", f"lap = {typed(6)}", "[widths]"]
    lines += [f"{k} = [{typed(160 * k, -2 * k, 32 + 2 * k)}]" for k in range(1, 6)]
    lines += ["[lower]", f"fore = [{typed(0, 0)}]", f"aft = [{typed(960, -12)}]"]
    lines += ["[upper]", f"fore = [{typed(0, 32)}]", f"aft = [{typed(960, 44)}]"]
    lines += ["[fore]", 'on = "butt"', f"allowance = {typed(9)}", "[aft]", 'on = "butt"']
    path = tmp_path / "plank.toml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    plank = plank_to_make(path).plank
    corners = 25.4 * np.array([[0.0, 0.0], [120.0, -1.5], [120.0, 5.5], [0.0, 4.0]])
    assert farthest(plank.outline, corners) < 0.01
    assert farthest(corners, plank.outline) < 0.01
    assert (plank.measured.thickness, plank.measured.lap) == pytest.approx((12.7, 19.05))
    assert plank.measured.ends["fore"].allowance == pytest.approx(28.575)


def test_the_blank_form_asks_for_every_key_of_the_file(tmp_path: Path) -> None:
    import pypdfium2

    from templates_gen.hull.measured.plank_file import EndTable, FastenedTable, PlankTable

    assert run("plank", "--form", "--out", tmp_path).exit_code == 0
    pages = pypdfium2.PdfDocument(tmp_path / "plank-form.pdf")
    lines = [line for page in pages for line in page.get_textpage().get_text_range().splitlines()]
    # A line asks for the key that stands before its blank; between of [fastenings] offers spacing in its place.
    asked = sorted(
        before.split()[-1] for before, blank, _ in (line.partition("…") for line in lines) if blank and before.split()
    )
    asked = [key for key in asked if not key.isdigit()]  # the rows of old holes are numbered
    tables = {"format", "lower", "upper", "widths", "bevel", "bevel_below", "fore", "aft", "fastenings"}
    once = [key for kind in (PlankTable, FastenedTable) for key in kind.model_fields.keys() - tables - {"spacing"}]
    corners = ["corner", "corner"]
    assert asked == sorted([*once, *EndTable.model_fields, *EndTable.model_fields, *corners])
    assert any(line.startswith("between …") and line.endswith("; or spacing") for line in lines)
    section = " ".join(pages[1].get_textpage().get_text_range().split())
    assert "Before you take the old plank off:" in section
    for words in ("1 lower land", "2 upper mark", "3 gap", "3 width", "3 offcut", "4 offcut", "5 width_above"):
        assert section.count(words) >= 1, words


def test_the_section_shows_the_bevel_that_its_gap_and_width_tell() -> None:
    # Plane geometry: the angle between two inner faces is the bevel; tan = gap / width, but for what the lower edge
    # of the upper strake, square to its own face, falls short of the offcut: its thickness times 1 - cos over cos.
    from templates_gen.templates.forms import plank_form_folio

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


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ((EXAMPLE, "--units", "mm"), 'leave it out: FILE has its own units, as in units = "in"'),
        (("--form", "--depths", "64ths"), "--depths is for the templates, and the blank form has none; leave it out"),
    ],
)
def test_an_option_that_the_other_way_needs_is_not_ignored(
    words: tuple[object, ...], message: str, tmp_path: Path
) -> None:
    result = run("plank", *words, "--out", tmp_path / "out")
    assert result.exit_code == 2, result.output
    assert message in " ".join(result.stderr.split())
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


def test_the_form_has_room_for_both_centres_of_a_point_measured_by_two_arcs() -> None:
    from templates_gen.templates.forms import PLACES, plank_form_folio

    (table,) = [table for table in plank_form_folio().tables if table.title.startswith("By two arcs")]
    assert table.is_form
    assert [heading.split(":")[0] for heading in table.columns[2::2]] == ["forward centre", "after centre"]
    assert len(table.rows) == PLACES
    assert all(len(row) == 6 and all(row) for row in table.rows)
