"""Tables of offsets read into sections, and written back."""

from pathlib import Path

import numpy as np
import pytest

from templates_gen.errors import HullFileError
from templates_gen.hull.model import Hull, Transom
from templates_gen.hull.offsets.crossings import crossings
from templates_gen.hull.offsets.sections import shortest_order
from templates_gen.hull.offsets.writing import crossed, offsets_csv
from templates_gen.hull.reader import read_hull
from templates_gen.report.lines.table import offsets_findings
from tests.bench.slips import CANOE, as_table
from tests.hull.tables import HULL, TABLE, replaced, written

INCH = 25.4


def section(hull: Hull, name: str) -> list[list[float]]:
    """The section of one station by its name."""
    return next(station.section.round(6).tolist() for station in hull.stations if station.name == name)


def test_all_lines_that_touch_a_station_are_one_section_from_rabbet_to_sheer(tmp_path: Path) -> None:
    hull = read_hull(written(tmp_path))
    assert [station.at for station in hull.stations] == [500, 1000, 1500, 2000]
    assert [station.mould for station in hull.stations] == [True, True, False, True]
    # the diagonal's point, closed form: 285 cos 45 out, 480 - 285 sin 45 up
    out = 285 / 2**0.5
    expected = [[20, 60], [120, 150], [200, 265], [out, 480 - out], [220, 300], [300, 500]]
    assert section(hull, "1") == pytest.approx(np.array(expected), abs=1e-5)


def test_a_mark_on_the_base_line_is_a_height_of_nothing(tmp_path: Path) -> None:
    hull = read_hull(written(tmp_path))
    assert hull.stations[2].rabbet.tolist() == [20, 0]


@pytest.mark.parametrize("blank", ["not reached", "lost"])
def test_an_empty_cell_means_what_the_file_says(tmp_path: Path, blank: str) -> None:
    table = replaced(TABLE, ("120,260,290,200", ",260,290,200"))
    hull = read_hull(written(tmp_path, table, replaced(HULL, ("to =", f'blank = "{blank}"\nto ='))))
    assert [120, 150] not in section(hull, "1")
    table = replaced(TABLE, ("60,50,.,62", "60,50,,62"))
    hull = read_hull(written(tmp_path, table, replaced(HULL, ("to =", 'blank = "base line"\nto ='))))
    assert hull.stations[2].rabbet[1] == 0.0


def test_a_lost_sheer_is_filled_in_off_a_batten_and_noted(tmp_path: Path) -> None:
    # On a parabola through the others a batten of five marks is exact: y = 300 + 0.3 (x - 500) - 0.0001 (x - 500)^2.
    table = TABLE.replace("1,2,3,4", "1,2,3,4,5").replace("500,1000,1500,2000", "500,1000,1500,2000,2400")
    rows = ["500,450,440,470,500", "60,50,.,62,66", "300,425,?,525,509", "20,20,20,20,20", "120,260,290,200,-"]
    lines = table.splitlines()[:2] + [
        f"{head},{row}"
        for head, row in zip(
            [
                "height,sheer",
                "height,rabbet",
                "half-breadth,sheer",
                "half-breadth,rabbet",
                "half-breadth,waterline 150",
            ],
            rows,
            strict=True,
        )
    ]
    hull = read_hull(written(tmp_path, "\n".join(lines)))
    assert section(hull, "3")[-1] == [pytest.approx(500.0, abs=0.5), 440.0]
    (note,) = [one for one in hull.offsets_notes if one.station == "3"]
    assert f"half-breadth sheer is lost; {hull.stations[2].section[-1, 0]:.1f} mm is used" in note.text
    assert (note.title, note.value, note.row) == ("half-breadth sheer", "?", 5)


def test_a_line_that_no_station_reaches_is_ignored_with_a_note(tmp_path: Path) -> None:
    table = TABLE + "half-breadth,waterline 900,-,-,-,-\n"
    with_it, without = read_hull(written(tmp_path, table)), read_hull(written(tmp_path))
    assert all(np.array_equal(a.section, b.section) for a, b in zip(with_it.stations, without.stations, strict=True))
    assert any(
        "waterline 900" in note.text and "reached by no station" in note.text for note in with_it.offsets_notes
    )


def test_a_column_that_is_no_station_of_the_hull_file_is_not_used_and_noted(tmp_path: Path) -> None:
    hull = read_hull(written(tmp_path, hull=replaced(HULL, ('[[station]]\nname = "4"\n', ""))))
    assert [station.name for station in hull.stations] == ["1", "2", "3"]
    assert any('column "4"' in note.text for note in hull.offsets_notes)


def test_a_hull_file_without_stations_takes_all_of_the_tables(tmp_path: Path) -> None:
    stations = HULL[HULL.index("[[station]]") : HULL.index("[fore]")]
    hull = read_hull(written(tmp_path, hull=replaced(HULL, (stations, ""))))
    assert [station.name for station in hull.stations] == ["1", "2", "3", "4"]


def test_rabbets_left_out_lie_half_a_siding_out(tmp_path: Path) -> None:
    table = replaced(TABLE, ("half-breadth,rabbet,20,20,20,20\n", ""))
    assert read_hull(written(tmp_path, table)).stations[0].rabbet.tolist() == [18.0, 60.0]
    keel = replaced(HULL, ("[fore]", "[keel]\nsiding = 44.0\n[fore]"))
    assert read_hull(written(tmp_path, table, keel)).stations[0].rabbet.tolist() == [22.0, 60.0]


def test_the_base_line_may_be_the_load_waterline_with_depths_below_it(tmp_path: Path) -> None:
    down = 300.0
    low = read_hull(written(tmp_path))

    def lowered(line: str) -> str:
        measure, name, *cells = line.split(",")
        if measure == "height":
            cells = ["-300" if cell == "." else f"{float(cell) - down:g}" for cell in cells]
        words = name.split()
        if words and words[0] == "waterline":
            words[1] = f"{float(words[1]) - down:g}"
        if measure == "diagonal":
            words[1] = f"{float(words[1]) - down:g}"
        return ",".join([measure, " ".join(words), *cells])

    head, *rest = TABLE.splitlines()
    hull = HULL.replace("62.0]", "-238.0]").replace("300.0], [0.0, 600.0]", "0.0], [0.0, 300.0]")
    hull = hull.replace("140.0], [2600.0, 520.0]", "-160.0], [2600.0, 220.0]").replace(
        "[18.0, 150.0]", "[18.0, -150.0]"
    )
    hull = hull.replace(
        "[[40.0, 170.0], [200.0, 250.0], [300.0, 500.0]]", "[[40.0, -130.0], [200.0, -50.0], [300.0, 200.0]]"
    )
    path = written(tmp_path, "\n".join([head, *(lowered(line) for line in rest)]), hull)
    for one, other in zip(read_hull(path).stations, low.stations, strict=True):
        assert one.section == pytest.approx(other.section - [0.0, down], abs=1e-9)


def test_feet_inches_eighths_are_read_in_every_cell_and_level(tmp_path: Path) -> None:
    table = "measure,line,1,2,3\ndistance,,2-0-0,4-0-0,6-0-0\nheight,sheer,1-10-4,1-9-0,1' 8 1/2\"\n"
    table = table.replace("1' 8 1/2\"", '"1\' 8 1/2"""')
    table += "height,rabbet,0-1-3+,0-0-4,.\nhalf-breadth,sheer,1-0-0,1-6-0,1-7-0\n"
    table += "half-breadth,waterline 0-6-0,0-4-0,0-9-0,0-10-0\nheight,buttock 0-9-0,1-6-0,-,0-4-4\n"
    hull = HULL[: HULL.index('[[station]]\nname = "4"')] + HULL[HULL.index("[fore]") :]
    hull = hull.replace('units = "mm"', 'units = "in"').replace(
        "[[300.0, 62.0], [100.0, 300.0], [0.0, 600.0]]", "[[8, 2.5], [0, 24]]"
    )
    hull = hull.replace("[[2500.0, 140.0], [2600.0, 520.0]]", "[[90, 4], [92, 21]]").replace(
        "[18.0, 150.0]", "[0.7, 6]"
    )
    hull = hull.replace("[[40.0, 170.0], [200.0, 250.0], [300.0, 500.0]]", "[[8, 9], [12, 20]]").replace(
        "= 9.0", "= 0.375"
    )
    hull = (
        hull.replace("siding = 36.0", "siding = 1.5").replace("= 20.0", "= 0.75").replace("fore = 300.0", "fore = 12")
    )
    read = read_hull(written(tmp_path, table, hull))
    assert [station.at for station in read.stations] == pytest.approx([24 * INCH, 48 * INCH, 72 * INCH])
    expected = np.array([[0.75, 1.4375], [4, 6], [9, 18], [12, 22.5]]) * INCH
    assert read.stations[0].section == pytest.approx(expected, abs=1e-9)
    assert read.stations[2].section == pytest.approx(
        np.array([[0.75, 0], [9, 4.5], [10, 6], [19, 20.5]]) * INCH, abs=1e-9
    )


def test_a_hollow_section_and_a_tumblehome_keep_their_order() -> None:
    # A wineglass with its topsides fallen in, its points shuffled but for the ends; the path through them is known.
    t = np.linspace(0.0, 1.0, 12)
    points = np.column_stack([20 + 400 * t**2 * (1.6 - 0.9 * t**3), 500 * t])
    rng = np.random.default_rng(5)
    inner = rng.permutation(np.arange(1, 11))
    shuffled = np.vstack([points[0], points[inner], points[-1]])
    order = shortest_order(shuffled)
    found = shuffled[order]
    assert (
        np.linalg.norm(np.diff(found, axis=0), axis=1).sum()
        <= np.linalg.norm(np.diff(points, axis=0), axis=1).sum() + 1e-9
    )


def test_lines_that_meet_in_one_place_but_differ_are_noted_with_how_much(tmp_path: Path) -> None:
    # At station 1 the waterline stands at (220, 300); a buttock there at 4 mm more is off the section.
    table = replaced(TABLE, ("height,buttock 200,265,110,95,150", "height,buttock 220,304,-,-,-"))
    table = replaced(table, ("diagonal,A 480 45,285,420,440,345\n", ""))
    hull = read_hull(written(tmp_path, table))
    (note,) = [one for one in hull.offsets_notes if "meet here" in one.text]
    assert [220.0, 302.0] in section(hull, "1")
    assert note.difference == pytest.approx(
        4 * np.sin(np.arctan2(180, 350)), abs=0.01
    )  # square to the neighbours' way


def test_a_waterline_and_a_buttock_that_cross_apart_are_found_with_how_far() -> None:
    # y = 0.2 x and z = 0.1 x + dz are straight lines: waterline 100 reaches half-breadth 200 at x = 1000, where the
    # buttock has height 100 + dz; it has height 100 itself at x = 1000 - 10 dz. The altitude of the triangle is exact
    from templates_gen.hull.offsets.table import Figure, Line, OffsetsTable

    at = [400.0, 800.0, 1200.0, 1600.0, 2000.0]
    dz = 12.0

    def line(measure: str, kind: str, level: float, row: int, values: list[float]) -> Line:
        figures = tuple(Figure(f"{v:g}", "length", v, row, i + 3) for i, v in enumerate(values))
        return Line(measure, kind, kind, level, 0.0, row, figures)  # type: ignore[arg-type]

    table = OffsetsTable(
        "x.csv",
        ("1", "2", "3", "4", "5"),
        (
            line("distance", "distance", 0.0, 2, at),
            line("half-breadth", "waterline", 100.0, 3, [0.2 * x for x in at]),
            line("height", "buttock", 200.0, 4, [200.0 - 0.1 * x + dz for x in at]),
        ),
    )
    (found,) = crossings(table, table.stations)
    assert (found.by_waterline, found.by_buttock) == (pytest.approx(1000.0), pytest.approx(1120.0))
    assert found.apart == pytest.approx(12 * 24 / np.hypot(12, 24))
    assert (found.fore, found.aft) == ("2", "3")
    assert found.doubt == pytest.approx(0.0, abs=1e-6)


def test_the_canoe_of_1889_has_the_figures_that_are_printed() -> None:
    hull = read_hull(CANOE)
    at_7 = hull.stations[6]
    assert (at_7.name, at_7.at) == ("7", pytest.approx(7 * 12 * INCH))
    assert at_7.section[1:] == pytest.approx(np.array([[12.25, 2], [14.25, 4], [14.875, 6], [14.75, 11]]) * INCH)
    lost = [note for note in hull.offsets_notes if note.value == "?"]
    assert [(note.title, note.station) for note in lost] == [("half-breadth deck", "13")]
    # the reading of the plate wants 3-6 to 4-4 inches and eighths there
    assert 3.75 * INCH <= hull.stations[12].section[-1, 0] <= 4.5 * INCH


@pytest.mark.parametrize(
    ("name", "units", "step"), [("dinghy", "mm", 0.5), ("pram", "mm", 0.5), ("double_ender", "ft-in-8", 25.4 / 32)]
)
def test_a_table_written_from_sections_has_the_sections_own_figures(name: str, units: str, step: float) -> None:
    given, read = read_hull(CANOE.parents[2] / "hulls" / f"{name}.toml"), as_table(name, units)  # type: ignore[arg-type]
    assert read.offsets is not None
    for line in read.offsets.lines:
        for station, own in zip(read.stations, given.stations, strict=True):
            figure = line.figures[read.offsets.stations.index(station.name)]
            if line.kind in ("waterline", "buttock") and figure.is_known:
                value = crossed(own, 1 if line.kind == "waterline" else 0, line.level)
                assert value == pytest.approx(figure.value, abs=step + 0.06)  # to a tenth, and then to whole mm
    for station, own in zip(read.stations, given.stations, strict=True):
        assert station.section[-1] == pytest.approx(own.section[-1], abs=step + 0.01)


def test_a_table_written_from_a_table_says_the_same_in_other_units() -> None:
    hull = read_hull(CANOE)
    mm = [row.split(",") for row in offsets_csv(hull, "mm").splitlines()]
    eighths = [row.split(",") for row in offsets_csv(hull, "ft-in-8").splitlines()]
    printed = [
        row.split(",") for row in CANOE.with_suffix(".csv").read_text().splitlines() if not row.startswith("#")
    ]
    assert [row[2:] for row in eighths] == [row[2:] for row in printed]
    assert mm[1][2:5] == ["0.0", "304.8", "609.6"]
    assert mm[3][2:] == ["-", "34.9", "12.7", "3.2", "0.0", *["."] * 6, "3.2", "12.7", "28.6", "-"]


@pytest.mark.parametrize("name", ["-3", "+1", "=a", "@b", "'-3", "'tis"])
def test_a_station_named_like_a_formula_comes_back_from_the_table(name: str, tmp_path: Path) -> None:
    named = HULL.replace('name = "2"', f'name = "{name}"')
    stations = f"measure,line,1,{name},3,4"
    if name.startswith("'-"):
        stations = f"measure,line,1,'{name},3,4"
    hull = read_hull(written(tmp_path, replaced(TABLE, ("measure,line,1,2,3,4", stations)), named))
    assert hull.stations[1].name == name
    table = offsets_csv(hull, "mm")
    heading = table.splitlines()[0].split(",")
    assert not any(cell.startswith(("=", "+", "-", "@")) for cell in heading)
    again = read_hull(written(tmp_path, table, named))
    assert [station.name for station in again.stations] == ["1", name, "3", "4"]
    assert again.stations[1].section == pytest.approx(hull.stations[1].section, abs=0.06)


@pytest.mark.parametrize(
    ("row", "station", "is_doubted"),
    [
        ("half-breadth,waterline 150,120,260,290,200", 2, True),
        ("half-breadth,waterline 150,120,260,290,200", 1, False),  # at an end of the row no station is beyond
        ("half-breadth,waterline 300,220,390,415,310", 3, True),
        ("height,buttock 200,265,110,95,150", 2, True),
        ("diagonal,A 480 45,285,420,440,345", 3, True),
        ("half-breadth,waterline 437,280,440,465,380", 3, False),  # the sheer is 440 high there: no room below it
        ("half-breadth,waterline 445,280,440,465,380", 3, False),  # and 440 here: the line is above it
    ],
)
def test_a_line_marked_as_not_reached_where_the_section_crosses_it_is_doubted(
    row: str, station: int, is_doubted: bool, tmp_path: Path
) -> None:
    cells = row.split(",")
    cells[1 + station] = "-"
    table = TABLE.replace(row + "\n", "") + ",".join(cells) + "\n"
    notes = [note for note in read_hull(written(tmp_path, table)).offsets_notes if note.is_doubted]
    reported = [(note.title, note.station, note.value) for note in notes]
    assert reported == ([(f"{cells[0]} {cells[1]}", str(station), "-")] if is_doubted else [])
    hull = read_hull(tmp_path / "boat.toml")
    warned = [one for one in offsets_findings(hull) if one.severity == "warning" and one.column]
    assert len(warned) == len(reported)
    assert all("passes between rabbet and sheer" in one.text for one in warned)


AFT = {
    "measure": "aft",
    "distance": "-",
    "height sheer": "500",
    "height rabbet": "150",
    "half-breadth sheer": "300",
    "half-breadth rabbet": "18",
    "half-breadth waterline 150": "-",
    "half-breadth waterline 300": "230",
    "height buttock 200": "250",
    "diagonal A 480 45": "?",
}
"""A transom's column for the small table: the figures that the small hull's [aft] gives, one more, one lost."""

BY_TABLE = replaced(HULL, ("rabbet = [18.0, 150.0]\nsection = [[40.0, 170.0], [200.0, 250.0], [300.0, 500.0]]\n", ""))


def with_transom(**changed: str) -> str:
    """The small table with a column for the transom, some of its cells changed by their row."""
    column = AFT | {name.replace("__", "-").replace("_", " "): cell for name, cell in changed.items()}
    rows = []
    for row in TABLE.splitlines():
        title = " ".join(row.split(",")[:2]).strip()
        rows.append(f"{row},{column['measure' if title == 'measure line' else title]}")
    return "\n".join(rows) + "\n"


def test_a_transom_may_be_a_column_of_the_table(tmp_path: Path) -> None:
    hull = read_hull(written(tmp_path, with_transom(), BY_TABLE))
    assert [station.name for station in hull.stations] == ["1", "2", "3", "4"]
    assert isinstance(hull.aft, Transom)
    assert hull.aft.rabbet.tolist() == [18, 150]
    assert hull.aft.section.tolist() == [[18, 150], [200, 250], [230, 300], [300, 500]]
    assert hull.aft.thickness == 20.0
    assert not [note for note in hull.offsets_notes if "not used" in note.text]


def test_a_table_with_a_transom_is_written_and_read_again(tmp_path: Path) -> None:
    hull = read_hull(written(tmp_path, with_transom(distance=""), BY_TABLE))
    text = offsets_csv(hull, "mm")
    assert text.splitlines()[0] == "measure,line,1,2,3,4,aft"
    again = read_hull(written(tmp_path, text, BY_TABLE))
    assert isinstance(hull.aft, Transom)
    assert isinstance(again.aft, Transom)
    assert again.aft.section == pytest.approx(hull.aft.section, abs=0.05)
    for one, other in zip(hull.stations, again.stations, strict=True):
        assert one.section == pytest.approx(other.section, abs=0.05)


def test_a_transom_in_the_table_changes_nothing_of_the_stations(tmp_path: Path) -> None:
    # a lost sheer is filled in from the stations alone, and lines are traced through them alone
    lost = ("height,sheer,500,450,440,470", "height,sheer,500,?,440,470")
    five = replaced(TABLE, lost).replace("1,2,3,4\n", "1,2,3,4,5\n").replace("1500,2000\n", "1500,2000,2200\n")
    rows = [row if i < 2 else f"{row},{row.split(',')[-1]}" for i, row in enumerate(five.splitlines())]
    fifth = '[[station]]\nname = "5"\n'
    plain = read_hull(written(tmp_path, "\n".join(rows) + "\n", HULL + fifth))
    more = [f"{row},{cell}" for row, cell in zip(rows, AFT.values(), strict=True)]
    with_it = read_hull(written(tmp_path, "\n".join(more) + "\n", BY_TABLE + fifth))
    for one, other in zip(plain.stations, with_it.stations, strict=True):
        assert np.array_equal(one.section, other.section)
    assert list(crossings_of(plain)) == list(crossings_of(with_it))


def crossings_of(hull: Hull) -> list[tuple[str, str, float]]:
    """The notes on the crossings of a hull's table."""
    assert hull.offsets is not None
    found = crossings(hull.offsets, [station.name for station in hull.stations])
    return [(one.fore, one.aft, one.apart) for one in found]


@pytest.mark.parametrize(
    ("table", "hull", "message", "place"),
    [
        (with_transom(distance="2500"), BY_TABLE, "a transom has no distance", ("distance", "aft")),
        (with_transom(height_sheer="-"), BY_TABLE, "[aft]: height sheer is not reached", ("height sheer", "aft")),
        (
            with_transom(half__breadth_waterline_150="12", height_rabbet="160"),
            BY_TABLE,
            "[aft]: half-breadth waterline 150 is below the rabbet",
            ("half-breadth waterline 150", "aft"),
        ),
        (with_transom(), HULL, "[aft] has rabbet, and the table has a column aft", ("", "")),
        (with_transom(measure="fore"), BY_TABLE, "column fore is the bow transom; put it before", ("line", "fore")),
        (
            with_transom(),
            BY_TABLE.replace(
                'kind = "transom"\nprofile = [[2500.0, 140.0], [2600.0, 520.0]]\nthickness = 20.0',
                'kind = "stem"\nsiding = 36.0\nrabbet = [[2500.0, 140.0], [2600.0, 520.0]]',
            ).replace("fore = 300.0", "fore = 300.0\naft = 300.0"),
            "column aft of the table is for a transom, but [aft] is a stem",
            ("", ""),
        ),
    ],
)
def test_what_is_wrong_with_a_transoms_column_is_reported_with_its_place(
    table: str, hull: str, message: str, place: tuple[str, str], tmp_path: Path
) -> None:
    with pytest.raises(HullFileError) as refused:
        read_hull(written(tmp_path, table, hull))
    faults = [fault for fault in refused.value.faults if message in fault.text]
    assert len(faults) == 1, [fault.text for fault in refused.value.faults]
    assert (faults[0].row, faults[0].column) == place


def test_a_transom_without_column_or_section_has_one_fault_with_what_it_lacks(tmp_path: Path) -> None:
    with pytest.raises(HullFileError) as refused:
        read_hull(written(tmp_path, TABLE, BY_TABLE))
    assert [fault.text for fault in refused.value.faults] == [
        "[aft] has no rabbet; add it",
        "[aft] has no section; add it",
    ]
