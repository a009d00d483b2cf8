"""Reading what was measured on the boat: units, what may be left out, and the exact list of faults."""

import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.lengths import step_of
from templates_gen.hull.measured.as_built import AsBuilt, place_names, read_as_built
from templates_gen.hull.measured.file import forgiven_text
from templates_gen.hull.measured.moulds import farthest_along
from templates_gen.hull.model import Stem
from tests import boats

HULL = boats.dinghy()
WIDTHS = {name: np.full(9, 80.0) for name in place_names(HULL)}
GOOD = "format = 1\n[strake.1]\nabove_mark = {fore = 1, 2 = -0.5, aft = 0}\n"

Read = Callable[[str], AsBuilt]


@pytest.fixture
def read(tmp_path: Path) -> Read:
    def reading(text: str) -> AsBuilt:
        path = tmp_path / "built.toml"
        path.write_text(text, encoding="utf-8")
        return read_as_built(path, HULL, WIDTHS)

    return reading


def faults(read: Read, text: str) -> tuple[Fault, ...]:
    with pytest.raises(HullFileError) as raised:
        read(text)
    return raised.value.faults


def test_figures_come_out_in_mm_whatever_they_were_written_in(read: Read) -> None:
    # An eighth of an inch is 3.175 mm, an inch 25.4 mm (international inch, 1959).
    for units, figures in (("mm", (3.175, -25.4)), ("in", (0.125, -1)), ("eighths", (1, -8))):
        text = GOOD.replace("fore = 1, 2 = -0.5", f"fore = {figures[0]}, 2 = {figures[1]}")
        got = read(text.replace("format = 1", f'format = 1\nunits = "{units}"')).strakes[0].above_mark
        assert got == pytest.approx({"fore": 3.175, "2": -25.4, "aft": 0.0}), units
    text = GOOD.replace("fore = 1, 2 = -0.5", 'fore = "0-0-1", 2 = "-0-1-0"')
    got = read(text.replace("format = 1", 'format = 1\nunits = "ft-in-8"')).strakes[0].above_mark
    assert got == pytest.approx({"fore": 3.175, "2": -25.4, "aft": 0.0})


def test_thickness_and_lap_are_as_drawn_where_they_are_left_out(read: Read) -> None:
    (strake,) = read(GOOD).strakes
    assert (strake.number, strake.thickness, strake.lap) == (1, None, None)
    assert strake.sure == ()
    assert read(GOOD + 'sure = [2, "aft"]\n').strakes[0].sure == ("2", "aft")
    (strake,) = read(GOOD + "thickness = 9.3\nlap = 20\n").strakes
    assert (strake.thickness, strake.lap) == (9.3, 20.0)


def test_directions_are_given_in_words_and_the_signs_follow(read: Read) -> None:
    text = "format = 1\n[strake.1]\ntoward_sheer = {fore = 1, 3 = 0}\ntoward_keel = {2 = 1.5, aft = 0.5}\n"
    assert read(text).strakes[0].above_mark == {"fore": 1.0, "3": 0.0, "2": -1.5, "aft": -0.5}


def test_each_side_is_read_by_itself_and_both_are_their_mean(read: Read) -> None:
    text = GOOD + "[strake.2.port]\nabove_mark = {fore = 1, 2 = 2, aft = 3}\nsure = [2]\n"
    text += "[strake.2.starboard]\ntoward_keel = {fore = 1, 3 = 2, aft = 0}\n[strake.2]\nlap = 20\n"
    built = read(text)
    assert built.has_sides
    second = built.strakes[1]
    assert second.above_mark == {"fore": 0.0, "2": 2.0, "3": -2.0, "aft": 1.5}
    assert (second.sure, second.lap) == (("2",), 20.0)
    port, starboard = built.on("port"), built.on("starboard")
    assert [one.above_mark for one in port.strakes] == [
        {"fore": 1.0, "2": -0.5, "aft": 0.0},
        {"fore": 1.0, "2": 2.0, "aft": 3.0},
    ]
    assert starboard.strakes[1].above_mark == {"fore": -1.0, "3": -2.0, "aft": 0.0}
    assert (port.strakes[1].sure, starboard.strakes[1].sure, starboard.side) == (("2",), (), "starboard")
    assert not port.has_sides


# What a builder types on the spot, and what it is in mm: an eighth of an inch is 3.175 mm (international inch, 1959).
TYPED = [
    ("mm", "fore = 0,5, 2 = −1,25, aft = .5", [0.5, -1.25, 0.5]),
    ("mm", "\n  fore = 1, # by the stem\n  2 = 2,\n  aft = 3,\n", [1.0, 2.0, 3.0]),
    ("in", "fore = 1/8, 2 = -1/16, aft = 1 1/2", [3.175, -1.5875, 38.1]),
    ("ft-in-8", 'fore = 1/8, 2 = "-0-0-1", aft = ½', [3.175, -3.175, 12.7]),
    ("eighths", "fore = 1, 2 = -1/16, aft = -1,5", [3.175, -1.5875, -4.7625]),
]


@pytest.mark.parametrize(("units", "figures", "wanted"), TYPED)
def test_figures_are_read_as_they_are_typed_at_the_boat(
    read: Read, units: str, figures: str, wanted: list[float]
) -> None:
    text = f"format = 1\nunits = “{units}”\n[strake 1]\nabove_mark = {{ {figures} }}\nlap = {{lap}}\n"
    got = read(text.replace("lap = {lap}\n", "")).strakes[0].above_mark
    assert got == pytest.approx(dict(zip(("fore", "2", "aft"), wanted, strict=True)))


def test_the_rounding_is_what_all_figures_are_multiples_of(read: Read) -> None:
    assert read(GOOD).step == 0.5
    assert read(GOOD.replace("-0.5", "3")).step == 1.0
    assert read(GOOD.replace("-0.5", "0.3")).step == pytest.approx(0.1)
    assert read(GOOD.replace("-0.5", "2").replace("format = 1", 'format = 1\nunits = "eighths"')).step == 3.175
    in_inches = GOOD.replace("fore = 1, 2 = -0.5", "fore = 1/8, 2 = 3/16")
    assert read(in_inches.replace("format = 1", 'format = 1\nunits = "in"')).step == 1.5875


def test_one_figure_read_finer_does_not_make_the_others_fine() -> None:
    eighths = [3.175 * one for one in (0, 1, 1, 2, 0, -1, 1, 0, 3)]
    assert step_of([*eighths, 1.5875], "eighths") == 3.175
    assert step_of([*eighths, 1.5875, -1.5875, 4.7625], "eighths") == 1.5875
    # read to sixteenths or half millimetres, half of the figures are odd ones: hardly ever is that not seen
    random = np.random.default_rng(2)
    fine = [step_of(np.round(random.normal(0.0, 3.0, 14) / 0.5) * 0.5, "mm") for _ in range(300)]
    assert fine.count(0.5) >= 295


def test_what_follows_a_table_over_several_lines_is_named_by_its_own_line(read: Read) -> None:
    text = "format = 1\n[strake.1]\nabove_mark = {\n fore = 1,\n 2 = 1,\n aft = 0,\n}\nthickness = 0.9\n"
    assert [(fault.key, fault.line) for fault in faults(read, text)] == [("strake.1.thickness", 8)]


def test_a_brace_in_a_remark_or_in_quotes_neither_begins_nor_ends_a_table(read: Read) -> None:
    hung = "".join(f"[strake.{k}]\ntoward_sheer = {{ fore = {k}, 1 = 0, 2 = 0.5 }}\n" for k in (1, 2))
    several = "[strake.3]\ntoward_keel = {   # } of the first day\n fore = 3, # { and\n 1 = 1,\n 2 = 2,\n}\n"
    built = read(f"format = 1\n# {{ old figures\n{hung}# }} up to here\n{several}")
    assert [(one.number, one.above_mark["fore"]) for one in built.strakes] == [(1, 1.0), (2, 2.0), (3, -3.0)]
    kept = 'a = { "b#,}" = 1,\n "{" = 2,\n}\n'
    assert tomllib.loads(forgiven_text(kept)) == {"a": {"b#,}": 1, "{": 2}}


def test_half_ways_are_read_by_the_names_that_a_spiling_file_has(read: Read) -> None:
    text = GOOD.replace("aft = 0", 'aft = 0, "half-way 1-2" = 0.5, "half-way 5-aft" = -1')
    assert read(text).strakes[0].above_mark["half-way 1-2"] == 0.5
    assert read(text).strakes[0].above_mark["half-way 5-aft"] == -1.0
    typed = GOOD.replace("aft = 0", "aft = 0, half-way 1-2 = 0,5, half-way 5–aft = -1")
    assert read(typed).strakes[0].above_mark == read(text).strakes[0].above_mark
    assert read(text + 'sure = ["half-way 1-2"]\n').strakes[0].sure == ("half-way 1-2",)


def test_a_strake_that_was_hung_again_is_as_it_hangs_now(read: Read) -> None:
    again = "[strake 1 remade]\nabove_mark = {fore = 2, 3 = 2, aft = 2}\nthickness = 9.4\n"
    (strake,) = read(GOOD + "lap = 20\n" + again).strakes
    assert (strake.above_mark, strake.thickness, strake.lap) == ({"fore": 2.0, "3": 2.0, "aft": 2.0}, 9.4, None)
    assert strake.is_remade
    assert read("format = 1\n" + again).strakes == (strake,)
    sided = "[strake.1.remade.port]\nabove_mark = {fore = 2, 3 = 2, aft = 2}\n"
    (strake,) = read(GOOD + sided + sided.replace("port", "starboard").replace("= 2", "= 4")).strakes
    assert strake.above_mark["fore"] == 3.0
    assert not read(GOOD).strakes[0].is_remade


def test_how_a_mould_stands_is_read_in_words(read: Read) -> None:
    text = "format = 1\n[mould 3]\nout = 2\nforward = 3\n[mould 4 port]\nin = 1,5\n[mould.5]\nup = 1\n"
    text += "[mould.5.starboard]\naft = 2\n"
    built = read(text)
    assert [(one.name, one.port, one.starboard) for one in built.moulds] == [
        ("3", (-3.0, 2.0, 0.0), (-3.0, 2.0, 0.0)),
        ("4", (0.0, -1.5, 0.0), (0.0, 0.0, 0.0)),
        ("5", (0.0, 0.0, 1.0), (2.0, 0.0, 1.0)),
    ]
    assert built.has_sides
    assert built.moulds[1].off(None) == (0.0, -0.75, 0.0)
    assert built.moulds[2].off("starboard") == (2.0, 0.0, 1.0)
    assert not read("format = 1\n[mould.3]\nout = 2\n").has_sides
    for sheer, keel in (("toward_sheer", "toward_keel"), ("up", "down")):
        moulds = read(f"format = 1\n[mould.3]\n{sheer} = 2\n[mould.4.port]\n{keel} = 3\n").moulds
        assert [one.port for one in moulds] == [(0.0, 0.0, 2.0), (0.0, 0.0, -3.0)]
    ends = read("format = 1\n[end fore]\naft = 1\n[end.aft.port]\nout = 1\n[end.aft.starboard]\nin = 1\n")
    assert [(one.name, one.port, one.starboard) for one in ends.moulds] == [
        ("fore", (1.0, 0.0, 0.0), (1.0, 0.0, 0.0)),
        ("aft", (0.0, 1.0, 0.0), (0.0, -1.0, 0.0)),
    ]
    inches = read('format = 1\nunits = "eighths"\n[mould.3]\nout = 1\n').moulds[0]
    assert inches.port == pytest.approx((0.0, 3.175, 0.0))


MOULD = "format = 1\n[mould.3]\n"
END = "format = 1\n[end.fore]\n"
SIDES = "[strake.2.port]\nabove_mark = {fore = 1, 2 = 2, aft = 3}\n"
BAD = [
    (GOOD + SIDES, ["strake.2.port"], ["has the port side but not the starboard side"]),
    (
        GOOD + SIDES + SIDES.replace("port", "starboard") + "[strake.2]\nabove_mark = {fore = 1, 2 = 1, aft = 1}\n",
        ["strake.2"],
        ["has figures for both sides and for each"],
    ),
    (
        GOOD + SIDES + SIDES.replace("port", "starboard") + '[strake.2]\nsure = ["1"]\n',
        ["strake.2.sure"],
        ["has sure for both sides, but figures for each"],
    ),
    (
        GOOD + SIDES + "[strake.2.starboard]\n",
        ["strake.2.starboard.above_mark"],
        ["[strake.2.starboard] has no above_mark, toward_sheer or toward_keel"],
    ),
    (
        GOOD + SIDES.replace("port", "larboard"),
        ["strake.2.larboard"],
        ["has no key larboard; the sides of the boat are port or starboard"],
    ),
    (
        GOOD.replace("above_mark", "toward_keel"),
        ["strake.1.toward_keel.2"],
        ["a figure under toward_keel has a minus; write it under toward_sheer without the minus"],
    ),
    (
        GOOD + "toward_keel = {2 = 1}\n",
        ["strake.1.toward_keel.2"],
        ["strake 1: place 2 is under above_mark and under toward_keel"],
    ),
    (MOULD, ["mould.3"], ["[mould.3] has no figure; say how it stands"]),
    (MOULD + "[mould.3.port]\n", ["mould.3.port"], ["[mould.3.port] has no figure"]),
    (MOULD + "out = 2\nin = 1\n", ["mould.3.in"], ["mould 3 has out and in together; it stands one way"]),
    (MOULD + "forward = 2\naft = 1\n", ["mould.3.forward"], ["mould 3 has aft and forward together"]),
    (MOULD + "out = -2\n", ["mould.3.out"], ["a figure under out has a minus; write it under in without the minus"]),
    (MOULD + "left = 2\n", ["mould.3.left"], ["[mould.3] has no key left; take it out"]),
    (
        MOULD + "[mould.3.larboard]\nout = 1\n",
        ["mould.3.larboard"],
        ["has no key larboard; the sides of the boat are port or starboard"],
    ),
    (
        MOULD + "out = 2\n[mould.3.port]\nin = 2\n",
        ["mould.3.port.in"],
        ["mould 3 has out for both sides and in for port; give each side its own"],
    ),
    (MOULD + "out = 60\n", ["mould.3.out"], ["mould 3, out: 60 mm out of its place is too far to plank over"]),
    (MOULD + "up = 2\ntoward_keel = 1\n", ["mould.3.up"], ["mould 3 has toward_keel and up together"]),
    (MOULD + "down = -2\n", ["mould.3.down"], ["write it under toward_sheer without the minus"]),
    (MOULD.replace("3", "7") + "out = 2\n", ["mould.7"], ["there is no mould called 7"]),
    (
        MOULD.replace("3", "aft") + "out = 2\n",
        ["mould.aft"],
        ["an end of the boat is not a mould; write how it stands under [end.aft]"],
    ),
    (END, ["end.fore"], ["[end.fore] has no figure; say how it stands"]),
    (END + "forward = -2\n", ["end.fore.forward"], ["has a minus; write it under aft without the minus"]),
    (END + "aft = 60\n", ["end.fore.aft"], ["end fore, aft: 60 mm out of its place is too far to plank over"]),
    (END + "out = 2\n", ["end.fore.out"], ["end fore is a stem, and cannot stand out; if it stands to one side"]),
    (END + "[end.fore.port]\naft = 1\n", ["end.fore.port"], ["end fore is a stem, and has no sides"]),
    (END.replace("fore", "bow") + "aft = 2\n", ["end.bow"], ["there is no end called bow"]),
    (END.replace("fore", "aft") + "lean = 2\n", ["end.aft.lean"], ["[end.aft] has no key lean; take it out"]),
    (END.replace("[end.fore]", "end = 3"), ["end"], ["must be a table [end.fore]"]),
    (MOULD.replace("[mould.3]", "mould = 3"), ["mould"], ["must be a table [mould.3]"]),
    (
        GOOD + "[strake.3.remade]\nabove_mark = {fore = 1, 2 = 1, aft = 1}\n",
        ["strake.3"],
        ["strake 3 is given as hung, but strake 2 below it is not"],
    ),
    (
        GOOD + "[strake.1.remade]\nabove_mark = {fore = 1, 9 = 1, aft = 1}\n",
        ["strake.1.remade.above_mark", "strake.1.remade.above_mark.9"],
        ["strake 1 remade is measured at 2 places", "strake 1 remade: there is no place called 9"],
    ),
    (
        GOOD.replace("aft = 0", '"half-way 2-3" = 1'),
        ["strake.1.above_mark"],
        ["strake 1 is measured at 2 places besides half-ways; give at least 3"],
    ),
    (
        GOOD.replace("aft = 0", 'aft = 0, "half-way 2-4" = 1'),
        ['strake.1.above_mark."half-way 2-4"'],
        ['there is no place called "half-way 2-4"'],
    ),
    (GOOD.replace("format = 1", "format = 1\nstock = 90"), ["stock"], ["the stock is far from the drawn 9 mm"]),
    (
        GOOD.replace("format = 1", 'format = 1\nunits = "eighths"').replace("-0.5", "1/2"),
        ["strake.1.above_mark.2"],
        ["this may be part of an inch or of an eighth"],
    ),
    (GOOD.replace("strake.1", "strake.12"), ["strake.12"], ["there is no strake 12"]),
    (GOOD.replace("strake.1", "strake.0"), ["strake.0"], ["there is no strake 0"]),
    (GOOD.replace("strake.1", "strake.one"), ["strake.one"], ["there is no strake one"]),
    (
        GOOD.replace("2 = -0.5", "7 = -0.5"),
        ["strake.1.above_mark", "strake.1.above_mark.7"],
        ["2 places", "no place called 7"],
    ),
    (GOOD.replace("strake.1", "strake.3"), ["strake.3"], ["but strake 1 below it is not"]),
    (GOOD.replace("-0.5", "-95"), ["strake.1.above_mark.2"], ["as far from its mark as a strake is wide"]),
    (GOOD.replace("-0.5", "nan"), ["strake.1.above_mark.2"], ["not a finite number"]),
    (GOOD.replace("-0.5", "1/2"), ["strake.1.above_mark.2"], ["not a number of mm; fractions are of an inch"]),
    (GOOD.replace("-0.5", '"up"'), ["strake.1.above_mark.2"], ["not a number of mm"]),
    (GOOD + "thickness = 0.9\n", ["strake.1.thickness"], ["measure it again"]),
    (GOOD + "lap = 90\n", ["strake.1.lap"], ["measure it again"]),
    (GOOD + 'sure = ["1"]\n', ["strake.1.sure[1]"], ["sure names 1, but above_mark has no figure there"]),
    (GOOD + "sure = [true]\n", ["strake.1.sure[1]"], ["must be a list of places"]),
    (GOOD + 'sure = "2"\n', ["strake.1.sure"], ["must be a list of places"]),
    (GOOD + "thicknes = 9\n", ["strake.1.thicknes"], ["did you mean thickness?"]),
    (GOOD.replace("format = 1", 'format = 1\nhull = "00000000"'), ["hull"], ["another hull file"]),
    (GOOD.replace("format = 1", "format = 2"), ["format"], ["must be 1"]),
    ("format = 1\n", ["strake"], ["has no strake"]),
    ("format = 1\n[strake]\n", ["strake"], ["has no strake that is hung, and no stock"]),
    ("format = 1\nstrake = 3\n", ["strake"], ["must be a table [strake.1]"]),
    ("format = 1\n[strake.1]\n", ["strake.1.above_mark"], ["has no above_mark"]),
    ("format = 1\n[strake.1\n", [""], ["not TOML"]),
]


@pytest.mark.parametrize(("text", "keys", "words"), BAD)
def test_every_fault_is_reported_with_its_place(read: Read, text: str, keys: list[str], words: list[str]) -> None:
    found = faults(read, text)
    assert [fault.key for fault in found] == keys
    for fault, word in zip(found, words, strict=True):
        assert word in fault.text
        assert fault.file.endswith("built.toml")


def test_all_faults_come_at_once_in_the_order_of_the_file(read: Read) -> None:
    text = "format = 1\n[strake.1]\nabove_mark = {fore = 99, 2 = 1, aft = -99}\n"
    text += "[strake.3]\nabove_mark = {9 = 1, 1 = 1}\n"
    found = faults(read, text)
    assert [fault.line for fault in found] == [3, 3, 4, 5, 5]
    assert [fault.value for fault in found][:2] == ["99", "-99"]


def test_a_curly_quote_in_the_name_of_a_station_stays_and_those_round_a_name_are_read(tmp_path: Path) -> None:
    stations = tuple(replace(one, name="Bob’s") if one.name == "2" else one for one in HULL.stations)
    hull = replace(HULL, stations=stations)
    path = tmp_path / "built.toml"
    path.write_text('format = 1\n[strake.1]\nabove_mark = {“fore” = 1, "Bob’s" = −0.5, aft = 0}\n', encoding="utf-8")
    widths = {name: np.full(9, 80.0) for name in place_names(hull)}
    assert read_as_built(path, hull, widths).strakes[0].above_mark == {"fore": 1.0, "Bob’s": -0.5, "aft": 0.0}


def test_a_station_without_a_mould_has_none_to_stand_out_of_its_place(tmp_path: Path) -> None:
    stations = tuple(replace(one, mould=one.name != "3") for one in HULL.stations)
    path = tmp_path / "built.toml"
    path.write_text(MOULD + "out = 2\n", encoding="utf-8")
    with pytest.raises(HullFileError) as raised:
        read_as_built(path, replace(HULL, stations=stations), WIDTHS)
    (fault,) = raised.value.faults
    assert (fault.key, fault.line, fault.value) == ("mould.3", 2, "3")
    assert fault.text == "station 3 has no mould; take this table out"


def test_a_mould_may_stand_half_way_to_its_neighbour_at_most(tmp_path: Path) -> None:
    stations = tuple(replace(one, at=one.at / 10.0) for one in HULL.stations)  # 60 mm from one to the next
    path = tmp_path / "built.toml"
    path.write_text(MOULD + "aft = 31\n", encoding="utf-8")
    with pytest.raises(HullFileError) as raised:
        read_as_built(path, replace(HULL, stations=stations), WIDTHS)
    (fault,) = raised.value.faults
    assert (fault.key, fault.value, fault.expected) == ("mould.3.aft", "31", "at most 30 mm")


@pytest.mark.parametrize("foot", [596.0, 600.0])
def test_a_stem_with_a_long_forefoot_is_measured_from_where_it_is_farthest_forward(foot: float) -> None:
    # Its head is at -4, so station 1 at 600 is 604 away, whatever its foot: it may stand 50 mm out, as any may.
    assert isinstance(HULL.fore, Stem)
    profile = np.vstack([[foot, 60.0], HULL.fore.rabbet[1:-1], [-4.0, 800.0]])
    hull = replace(HULL, fore=replace(HULL.fore, rabbet=profile))
    assert farthest_along(("end", "fore"), hull) == 50.0
    near = tuple(replace(one, at=one.at - 530.0) if one.name == "1" else one for one in hull.stations)
    assert farthest_along(("end", "fore"), replace(hull, stations=near)) == pytest.approx((70.0 + 4.0) / 2.0)
