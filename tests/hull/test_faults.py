"""Bad hull files, each with the exact list of faults that reading it gives."""

from collections.abc import Callable

import pytest

from templates_gen.errors import Fault

Spoilt = Callable[..., str]
FaultsOf = Callable[[str | bytes], tuple[Fault, ...]]

STATION_2 = '[[station]]\nname = "2"\nat = 1000.0\nrabbet = [20.0, 50.0]\n'
STATION_2 += "section = [[60.0, 60.0], [300.0, 150.0], [450.0, 450.0]]\n"
STATION_3 = '[[station]]\nname = "3"\nat = 1500.0\nmould = false\nrabbet = [20.0, 60.0]\n'
STATION_3 += "section = [[50.0, 80.0], [250.0, 180.0], [400.0, 480.0]]\n"
ROWS = "1 = [200.0, 500.0]\n2 = [250.0, 600.0]\n3 = [240.0, 570.0]\nfore = [250.0, 590.0]\naft = [180.0, 460.0]\n"

# Each case: what is replaced in the sound text; then for each fault its line, key, value, words of its text, about.
Change = tuple[str, str]
Expected = tuple[int, str, str, str, str]
CASES: dict[str, tuple[list[Change], list[Expected]]] = {
    "a misspelt key is one fault, which names the right one": (
        [("rabbet = [20.0, 50.0]", "rabet = [20.0, 50.0]")],
        [(16, "station[2].rabet", "[20.0, 50.0]", 'station "2" has no key rabet; did you mean rabbet?', "file")],
    ),
    "a misspelt table is one fault": (
        [("[planking]\n", "[plankin]\n"), ("[planking.gerald]", "[plankin.gerald]")],
        [(39, "plankin", "", "did you mean planking?", "file")],
    ),
    "a key like no other is to be taken out": (
        [("siding = 40.0", 'siding = 40.0\ncolour = "red"')],
        [(27, "keel.colour", '"red"', "[keel] has no key colour; take it out", "file")],
    ),
    "a missing key is reported at its table": (
        [("at = 1000.0\n", ""), ('to = "inside"\n', "")],
        [(6, "lines.to", "", "[lines] has no to; add it", "file"), (12, "station[2].at", "", "has no at", "file")],
    ),
    "nothing that is no number passes for a length": (
        [
            ("waterline = 150.0", "waterline = nan"),
            ("at = 500.0", "at = true"),
            ("[60.0, 60.0]", "[-inf, 1e400]"),
            ("siding = 36.0", 'siding = "36"'),
            ("thickness = 9.0", "thickness = 1" + "0" * 400),
        ],
        [
            (4, "waterline", "nan", "not a finite number", "file"),
            (10, "station[1].at", "true", "not a number", "file"),
            (17, "station[2].section[1][1]", "-inf", "not a finite number", "file"),
            (17, "station[2].section[1][2]", "1e400", "not a finite number", "file"),
            (30, "fore.siding", '"36"', "write lengths in mm without quotes", "file"),
            (41, "planking.thickness", "1" + "0" * 58 + "…", "not a finite number", "file"),
        ],
    ),
    "a length of more than 100 m is in other units": (
        [("at = 500.0", "at = 500000.0")],
        [(10, "station[1].at", "500000.0", "more than 100 m", "file")],
    ),
    "units must be known": (
        [('units = "mm"', 'units = "cm"')],
        [(3, "units", '"cm"', 'units must be "mm", "in" or "ft-in-8"', "file")],
    ),
    "units may not be left out": (
        [('units = "mm"\n', "")],
        [(0, "units", "", "the file has no units; add it", "file")],
    ),
    "all lengths of another kind than the units are one mistake": (
        [('units = "mm"', 'units = "ft-in-8"')],
        [(3, "units", '"ft-in-8"', 'units is "ft-in-8", but 62 lengths are plain numbers', "file")],
    ),
    "a boat of hundreds of feet has other units": (
        [('units = "mm"', 'units = "in"')],
        [(3, "units", "2100 in", "the boat is 2100 in long", "file")],
    ),
    "points have two figures, and sections two points": (
        [
            ("[60.0, 60.0], ", "[60.0], "),
            ("[[50.0, 80.0], [250.0, 180.0], [400.0, 480.0]]", "[[50.0, 80.0]]"),
            ("rabbet = [20.0, 50.0]", "rabbet = [20.0, 50.0, 1.0]"),
            ("rabbet = [18.0, 150.0]", "rabbet = 18.0"),
            ("[200.0, 250.0], ", '"x", '),
        ],
        [
            (16, "station[2].rabbet", "[20.0, 50.0, 1.0]", "too many figures", "file"),
            (17, "station[2].section[1]", "[60.0]", "too few figures", "file"),
            (23, "station[3].section", "[[50.0, 80.0]]", "too few figures or points", "file"),
            (37, "aft.rabbet", "18.0", "rabbet of [aft] must be [half-breadth, height]", "file"),
            (38, "aft.section[2]", '"x"', "section[2] of [aft] must be two figures", "file"),
        ],
    ),
    "other types are not changed into the right ones": (
        [
            ("format = 1", "format = 2"),
            ('edition = "2026-03"', "edition = 2026-03-01"),
            ("mould = false", "mould = 0"),
            ("strakes = 2", "strakes = 2.0"),
        ],
        [
            (1, "format", "2", "format must be 1", "file"),
            (5, "edition", "2026-03-01", "edition: a name is text; put it in quotes", "file"),
            (21, "station[3].mould", "0", "must be true or false", "file"),
            (40, "planking.strakes", "2.0", "must be a whole number from 1 to 40", "file"),
        ],
    ),
    "a table of one kind cannot be distinguished from a word that is none": (
        [('kind = "stem"', 'kind = "stern"'), ('kind = "transom"\n', ""), ('by = "girth"', 'by = "girt"')],
        [
            (29, "fore.kind", '"stern"', 'kind of [fore] must be "stem" or "transom"', "file"),
            (33, "aft.kind", "", "[aft] has no kind; add it", "file"),
            (44, "lands.by", '"girt"', 'by of [lands] must be "even", "girth" or "offsets"', "file"),
        ],
    ),
    "names hold nothing that a file name or a sheet cannot": (
        [
            ('"Small"', r'"../x\nsmall"'),
            ('name = "2"', r'name = "a\\b"'),
            ("2 = [250.0, 600.0]", r'"a\\b" = [1.0, 2.0]'),
        ],
        [
            (2, "name", r'"../x\nsmall"', "a letter that cannot be printed", "file"),
            (14, "station[2].name", r'"a\\b"', "a slash", "file"),
        ],
    ),
    "names are not empty, all dots, or longer than the sheets": (
        [('"Small"', '"' + "x" * 61 + '"'), ('name = "1"', 'name = " "'), ('name = "2"', 'name = ".."')],
        [
            (2, "name", '"' + "x" * 58 + "…", "61 letters long; at most 60", "file"),
            (9, "station[1].name", '" "', "the name is empty", "file"),
            (14, "station[2].name", '".."', "only dots", "file"),
        ],
    ),
    "no two stations share a name, and none takes a word of [lands]": (
        [('name = "1"', 'name = "pins"'), ('name = "3"', 'name = "2"'), (ROWS, ROWS.replace("1 =", "2b ="))],
        [
            (9, "station[1].name", '"pins"', 'a station cannot be called "pins"', "section"),
            (19, "station[3].name", '"2"', 'stations number 2 and 3 are both called "2"', "section"),
        ],
    ),
    "two stations are not enough": (
        [(STATION_3, ""), ("3 = [240.0, 570.0]\n", "")],
        [(8, "station", "2", "the file has 2 stations; give 3 or more", "section")],
    ),
    "stations run fore to aft": (
        [("at = 1000.0", "at = 1500.0"), ("at = 1500.0\nmould", "at = 1400.0\nmould")],
        [(20, "station[3].at", "1400.0", 'station "3" is not aft of station "2"', "section")],
    ),
    "the sheer is not below the keel": (
        [("[450.0, 450.0]", "[450.0, 40.0]"), ("[300.0, 500.0]]\n[planking]", "[300.0, 150.0]]\n[planking]")],
        [
            (17, "station[2].section[3][2]", "40.0", 'station "2": the sheer', "section"),
            (38, "aft.section[3][2]", "150.0", "[aft]: the sheer", "transom"),
        ],
    ),
    "a sheer below the keel turns the section back, and that is one fault": (
        [("[300.0, 150.0], [450.0, 450.0]", "[300.0, 150.0], [300.0, 450.0], [300.0, 40.0]")],
        [(17, "station[2].section[4][2]", "40.0", 'station "2": the sheer', "section")],
    ),
    "an apron is wider than its stem": (
        [("wood_inside = 60.0", "wood_inside = 60.0\napron = 20.0")],
        [(33, "fore.apron", "20.0", "not wider than the stem's siding", "rebate")],
    ),
    "a section lies on one side, and no point of it stands twice": (
        [("[60.0, 60.0]", "[-60.0, 60.0]"), ("[250.0, 180.0]", "[50.0, 80.0]")],
        [
            (17, "station[2].section[1][1]", "-60.0", "across the centreplane", "section"),
            (23, "station[3].section[2]", "[50.0, 80.0]", "points 1 and 2 of the section are the same", "section"),
        ],
    ),
    "a section neither turns back nor crosses itself": (
        [
            ("[300.0, 150.0], [450.0, 450.0]", "[300.0, 150.0], [200.0, 115.0], [450.0, 450.0]"),
            ("[50.0, 80.0], [250.0, 180.0]", "[300.0, 80.0], [300.0, 300.0], [100.0, 300.0], [100.0, 70.0]"),
        ],
        [
            (17, "station[2].section[2]", "[300.0, 150.0]", "turns back on itself at point 2", "section"),
            (
                23,
                "station[3].section[5]",
                "[400.0, 480.0]",
                "the piece from point 2 to 3 and the piece from point 4 to 5",
                "section",
            ),
        ],
    ),
    "a stem stands outside the stations and rises": (
        [("[300.0, 60.0], [100.0, 300.0]", "[510.0, 60.0], [100.0, 60.0]"), ("siding = 36.0", "siding = 0")],
        [
            (30, "fore.siding", "0", "the stem's siding must be more than 0", "rebate"),
            (31, "fore.rabbet[1]", "510 mm", "point 1 of the rabbet line is not forward of all", "rebate"),
            (31, "fore.rabbet[2][2]", "60.0", "the rabbet line does not rise to point 2", "rebate"),
        ],
    ),
    "a transom stands outside the stations, its bottom first": (
        [
            ("[2000.0, 140.0], [2100.0, 520.0]", "[2100.0, 520.0], [2000.0, 140.0]"),
            ("thickness = 20.0", "thickness = -1"),
        ],
        [
            (35, "aft.profile[2][2]", "140.0", "the top, is not above the first, the bottom", "transom"),
            (36, "aft.thickness", "-1", "the transom's thickness must be more than 0", "transom"),
        ],
    ),
    "a transom's profile has two points": (
        [("[2000.0, 140.0], [2100.0, 520.0]", "[2000.0, 140.0], [2050.0, 300.0], [2100.0, 520.0]")],
        [(35, "aft.profile", "[[2000.0, 140.0], [2050.0, 300.0], [2100.0, 520.0]]", "too many", "file")],
    ),
    "a transom's rake does not bring it to a station": (
        [("[2000.0, 140.0], [2100.0, 520.0]", "[1501.0, 300.0], [1600.0, 520.0]")],
        [(38, "aft.section[1]", "1442.5 mm", "point 1 of the section, on the raked outer face", "transom")],
    ),
    "a transom's round reaches its own half-breadth": (
        [("thickness = 20.0", "thickness = 20.0\nradius = 300.0")],
        [(37, "aft.radius", "300.0", "too small for the half-breadth, 300 mm", "transom")],
    ),
    "a transom is not hollow, and has a lip only with a rebate": (
        [("thickness = 20.0", "thickness = 20.0\nradius = -9.0\nlip = 5.0")],
        [
            (37, "aft.radius", "-9.0", "a transom is bowed outward, or flat", "transom"),
            (38, "aft.lip", "5.0", "lip needs a rebate", "transom"),
        ],
    ),
    "a stem needs a gerald": (
        [("[planking.gerald]\nfore = 300.0\n", "")],
        [(39, "planking.gerald.fore", "", "[fore] is a stem, which needs flush ends", "land")],
    ),
    "a gerald has a length, and less than half the boat's": (
        [("fore = 300.0", "fore = 1100.0\naft = 0")],
        [
            (43, "planking.gerald.fore", "1100.0", "more than half the length of the boat", "land"),
            (44, "planking.gerald.aft", "0", "must be more than 0", "land"),
        ],
    ),
    "planks have a thickness, each of them": (
        [("thickness = 9.0", "thickness = 0\nlap = -1.0\nhood = 0.0\nleast_edge = -1")],
        [
            (41, "planking.thickness", "0", "the thickness of the strakes must be more than 0", "strake"),
            (42, "planking.lap", "-1.0", "[planking] lap must be more than 0", "strake"),
            (43, "planking.hood", "0.0", "[planking] hood must be more than 0", "strake"),
            (44, "planking.least_edge", "-1", "the least edge of the strakes must not be less than 0", "strake"),
        ],
    ),
    "a list has a figure for each strake": (
        [("thickness = 9.0", "thickness = [9.0, 9.0, -9.0]\nleast_edge = [4.0]")],
        [
            (41, "planking.thickness", "[9.0, 9.0, -9.0]", "thickness has 3 figures for 2 strakes", "strake"),
            (41, "planking.thickness[3]", "-9.0", "the thickness of strake 3 must be more than 0", "strake"),
            (42, "planking.least_edge", "[4.0]", "least_edge has 1 figures for 2 strakes", "strake"),
        ],
    ),
    "an edge is thinner than its plank": (
        [("thickness = 9.0", "thickness = [9.0, 6.0]\nleast_edge = [4.0, 6.0]")],
        [(42, "planking.least_edge[2]", "6.0", "the least edge of strake 2 is its whole thickness", "strake")],
    ),
    "strakes are counted from 1 to 40": (
        [("strakes = 2", "strakes = 41")],
        [(40, "planking.strakes", "41", "a whole number from 1 to 40", "file")],
    ),
    "a hog is given where there is one, and has a size": (
        [('joint = "rebate"\nsiding = 40.0', 'joint = "hog"\nsiding = 0.0')],
        [
            (24, "keel.hog", "", 'joint = "hog", but the hog has no size', "rebate"),
            (26, "keel.siding", "0.0", "[keel] siding must be more than 0", "rebate"),
        ],
    ),
    "moulds reach above the sheer, allowances are not less than nothing": (
        [("[lands]", "[moulds]\nthickness = 0\nbase = 500.0\n[allowances]\nhood = -1.0\n[lands]")],
        [
            (45, "moulds.thickness", "0", "the moulds' thickness must be more than 0", "mould"),
            (46, "moulds.base", "500.0", 'at station "1"', "mould"),
            (48, "allowances.hood", "-1.0", "[allowances] hood must not be less than 0", "strake"),
        ],
    ),
    "fastenings between timbers are counted": (
        [("[lands]", "[fastenings]\ntimbers = 15.0\nat = -400.0\nbetween = -1\nhole = 9.0\n[lands]")],
        [
            (47, "fastenings.between", "-1", "a whole number from 0 to 20", "file"),
        ],
    ),
    "timbers stand some way apart, one of them in the boat, and holes leave wood": (
        [("[lands]", "[fastenings]\ntimbers = 15.0\nat = -400.0\nhole = 9.0\n[lands]")],
        [
            (45, "fastenings.timbers", "15.0", "less than 20 mm apart", "strake"),
            (46, "fastenings.at", "-400.0", "outside the boat", "strake"),
            (47, "fastenings.hole", "9.0", "leaves no wood around it", "strake"),
        ],
    ),
    "keys about timbers need timbers": (
        [("[lands]", "[fastenings]\nat = 600.0\nbetween = 2\nhole = 0\n[lands]")],
        [
            (45, "fastenings.at", "600.0", "needs timbers", "strake"),
            (46, "fastenings.between", "2", "needs timbers", "strake"),
            (47, "fastenings.hole", "0", "must be more than 0", "strake"),
        ],
    ),
    "lands do not cross": (
        [
            ("[250.0, 600.0]", "[600.0, 250.0]"),
            ("[180.0, 460.0]", "[180.0, 180.0]"),
            ("[250.0, 590.0]", "[250.0, 240.0]"),
        ],
        [
            (47, "lands.2[2]", "250.0", 'at station "2" the upper edge of strake 2 is not above', "land"),
            (49, "lands.fore[2]", "240.0", "at [fore] the upper edge of strake 2 is not above", "land"),
            (50, "lands.aft[2]", "180.0", "lands cross", "land"),
        ],
    ),
    "a strake is not wider than its station has girth": (
        [("[240.0, 570.0]", "[240.0, 5700.0]"), ("[200.0, 500.0]", "[0.0, 500.0]")],
        [
            (46, "lands.1[1]", "0.0", "the garboard has no width", "land"),
            (48, "lands.3[2]", "5700.0", "strake 2 is past the sheer", "land"),
        ],
    ),
    "lands on a stem lie on its rabbet line": (
        [("[250.0, 590.0]", "[60.0, 600.1]")],
        [
            (49, "lands.fore[1]", "60.0", "the upper edge of strake 1 is off the rabbet line", "land"),
            (49, "lands.fore[2]", "600.1", "the upper edge of strake 2 is off the rabbet line", "land"),
        ],
    ),
    "rows are named for stations, one for each, a mark for each strake": (
        [
            ("2 = [250.0, 600.0]", "22 = [250.0, 600.0]"),
            ("aft = [180.0, 460.0]", "aft = [180.0, 300.0, 460.0]"),
            ("1 = [200.0, 500.0]\n", ""),
        ],
        [
            (44, "lands.1", "", '[lands] station "1" has no row', "land"),
            (46, "lands.22", "[250.0, 600.0]", "no station called 22; did you mean 2?", "land"),
            (49, "lands.aft", "[180.0, 300.0, 460.0]", "row aft has 3 marks for 2 strakes", "land"),
        ],
    ),
    "girths are figures, not points": (
        [("[250.0, 600.0]", "[[250.0, 150.0], [450.0, 450.0]]"), ("[250.0, 590.0]", "[[250.0, 1.0], [590.0, 2.0]]")],
        [
            (47, "lands.2", "[[250.0, 150.0], [450.0, 450.0]]", "must give a distance from the rabbet", "land"),
            (49, "lands.fore", "[[250.0, 1.0], [590.0, 2.0]]", "fore is a stem; give heights", "land"),
        ],
    ),
    "offsets are points, in the order of the section": (
        [
            ('by = "girth"', 'by = "offsets"'),
            ("1 = [200.0, 500.0]", "1 = [[280.0, 440.0], [200.0, 200.0]]"),
            ("2 = [250.0, 600.0]", "2 = [[-1.0, 150.0], [450.0, 450.0]]"),
            ("3 = [240.0, 570.0]", "3 = [[250.0, 180.0], [250.0, 180.0]]"),
        ],
        [
            (46, "lands.1[2]", "[200.0, 200.0]", "lands cross", "land"),
            (47, "lands.2[1][1]", "-1.0", "is across the centreplane", "land"),
            (48, "lands.3[2]", "[250.0, 180.0]", "lands cross", "land"),
            (
                50,
                "lands.aft",
                "[180.0, 460.0]",
                "row aft must give a point, [half-breadth, height], for each",
                "land",
            ),
        ],
    ),
    "lands that are lined off have no rows": (
        [('by = "girth"', 'by = "even"\ngarbord = 1.2')],
        [
            (46, "lands.garbord", "1.2", "did you mean garboard?", "file"),
            (47, "lands.1", "[200.0, 500.0]", 'by = "even" takes no rows, but there are 5', "land"),
        ],
    ),
    "factors of lined-off lands are likely ones": (
        [('by = "girth"\n' + ROWS, 'by = "even"\ngarboard = 2.6\nsheer = 0.4\n')],
        [
            (46, "lands.garboard", "2.6", "garboard is not a likely share", "land"),
            (47, "lands.sheer", "0.4", "sheer is not a likely share", "land"),
        ],
    ),
    "a table of offsets that is not there": (
        [("[lines]\n", '[lines]\ntable = "offsets.csv"\n')],
        [(7, "lines.table", '"offsets.csv"', "no such file in the hull file's folder", "offsets")],
    ),
    "rows leave nothing to pin": (
        [('by = "girth"\n', 'by = "girth"\npins = [1, 2]\n'), ("siding = 36.0", "siding = -36.0")],
        [
            (30, "fore.siding", "-36.0", "siding must be more than 0", "rebate"),
            (46, "lands.pins", "[1, 2]", "already gives every mark", "land"),
        ],
    ),
    "one unsound table does not hide what is wrong with the others": (
        [
            ("siding = 36.0", "siding = nan"),
            ("thickness = 9.0", "thickness = 0"),
            ("[250.0, 600.0]", "[250.0, 240.0]"),
        ],
        [
            (30, "fore.siding", "nan", "not a finite number", "file"),
            (41, "planking.thickness", "0", "must be more than 0", "strake"),
            (47, "lands.2[2]", "240.0", "lands cross", "land"),
        ],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_a_spoilt_hull_file_gives_exactly_the_faults_that_it_has(
    case: str, spoilt: Spoilt, faults_of: FaultsOf
) -> None:
    changes, expected = CASES[case]
    faults = faults_of(spoilt(*changes))
    assert [(one.line, one.key, one.value, one.about) for one in faults] == [
        (line, key, value, about) for line, key, value, _, about in expected
    ]
    for fault, (_, _, _, words, _) in zip(faults, expected, strict=True):
        assert words in fault.text
        assert fault.expected
        assert fault.file.endswith("boat.toml")


def test_an_empty_file_lacks_everything_that_has_no_default(faults_of: FaultsOf) -> None:
    faults = faults_of("")
    assert [fault.key for fault in faults] == [
        "format", "name", "units", "lines", "station", "fore", "aft", "planking", "lands",
    ]  # fmt: skip
    assert {fault.line for fault in faults} == {0}


def test_tables_and_values_are_not_taken_for_each_other(faults_of: FaultsOf) -> None:
    text = 'format = 1\nname = "x"\nunits = "mm"\nstation = [3, {name = "1"}]\nfore = 2\nkeel = []\nplanking = "x"\n'
    faults = faults_of(text + 'lines = {to = "inside"}\naft = {kind = "stem", siding = {a = 1}}\nlands = []\n')
    assert [(fault.line, fault.key) for fault in faults] == [
        (4, "station"),
        (4, "station[1]"),
        (4, "station[2].at"),
        (4, "station[2].rabbet"),
        (4, "station[2].section"),
        (5, "fore"),
        (6, "keel"),
        (7, "planking"),
        (9, "aft.rabbet"),
        (9, "aft.siding"),
        (10, "lands"),
    ]


def test_ten_thousand_stations_are_one_fault(sound: str, faults_of: FaultsOf) -> None:
    stations = "".join(
        f'[[station]]\nname="{n}"\nat={n}\nrabbet=[1,2]\nsection=[[1,2],[3,4]]\n' for n in range(10_000)
    )
    (fault,) = faults_of(sound.replace("[keel]", stations + "[keel]"))
    assert fault.value == "10003"
    assert "give at most 200" in fault.text
    assert fault.key == "station[201]"
    assert fault.line == 24 + 197 * 5


def test_more_points_than_a_section_can_need_are_one_fault(spoilt: Spoilt, faults_of: FaultsOf) -> None:
    points = ", ".join(f"[{60 + n / 10}, {60 + n / 10}]" for n in range(501))
    (fault,) = faults_of(spoilt(("[60.0, 60.0], [300.0, 150.0], [450.0, 450.0]", points)))
    assert (fault.line, fault.key) == (17, "station[2].section")
    assert "too many" in fault.text
