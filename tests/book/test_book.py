"""The shop book, read back through a reader that did not write it."""

import ctypes
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from pypdfium2 import raw

from templates_gen.about import About, Place
from templates_gen.at_boat.as_built import planked_as_built
from templates_gen.book.book import book_pdf
from templates_gen.book.book import usual_work as usual_plan_of_work
from templates_gen.book.charts import land_charts
from templates_gen.book.land_section import land_section
from templates_gen.book.picture import PICKED
from templates_gen.book.work_pages import Reference, step_blocks
from templates_gen.checking import findings
from templates_gen.errors import DrawingError
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.hull.reader import read_hull
from templates_gen.paper.sheet import sheet
from templates_gen.pipeline import check_as_built
from templates_gen.render.pdf.chart import even_step
from templates_gen.render.pdf.page import Header
from templates_gen.sheets import Cutting
from templates_gen.shop.buying import usual_buying
from templates_gen.shop.order_of_work import order_of_work
from templates_gen.shop.steps import Depth, Step, StepKind, gauges_of
from templates_gen.templates.bevels.facts import land_facts
from templates_gen.templates.still_to_make import AsHung, folios_to_make
from templates_gen.units import format_angle, format_length
from templates_gen.words import on_sheet
from tests import boats
from tests.flow import boat_of, checked, measurements, usual_work
from tests.geometry.skiffs import skiff
from tests.geometry.straight_boats import prism, straight_boat
from tests.sweep import more

NAMES = ["double_ender", *more("dinghy", "pram", "faering")]
POINTS_PER_MM = 72.0 / 25.4
HULLS = Path(__file__).parents[2] / "hulls"


@cache
def made(name: str) -> Boat:
    return boat_of(getattr(boats, name)())


@cache
def book(name: str) -> bytes:
    boat = made(name)
    header = Header(boat.hull.name, "0a1b2c3d", "first", boat.hull.units, ("Mind your hands.",))
    return book_pdf(boat, findings(boat), header)


@cache
def texts(name: str) -> tuple[str, ...]:
    document = pypdfium2.PdfDocument(book(name))
    return tuple(page.get_textpage().get_text_bounded() for page in document)


def lines(text: str) -> list[str]:
    return [" ".join(line.split()) for line in text.splitlines()]


def bookmarks(name: str) -> list[tuple[int, str, int]]:
    document = pypdfium2.PdfDocument(book(name))
    return [(mark.level, mark.get_title(), mark.get_dest().get_index()) for mark in document.get_toc()]


@pytest.mark.parametrize("name", NAMES)
def test_the_lands_figures_are_those_of_the_measurements(name: str) -> None:
    moulds = {station.name for station in made(name).hull.stations if station.mould}
    depth = made(name).hull.notation.depth_cell
    for land in measurements(made(name))["lands"]:
        title = f"Land {land['below']}: strake {land['above']} over strake {land['below']}"
        (page,) = [text for text in texts(name) if title in lines(text)]
        rows = lines(page)
        facts = land_facts(made(name).shell, land["below"])
        # there the depths at the quarters are planed to
        in_geralds = {on_sheet(facts.places[i].place) for i in np.flatnonzero(facts.is_in_gerald)}
        for at in land["at"]:
            stands = "mould" if at["place"] in moulds else "station"
            place = f"{at['place']} end" if at["place"] in ("fore", "aft") else f"{stands} {at['place']}"
            (row,) = [row for row in rows if re.match(rf"{re.escape(place)} [-–\d]", row)]
            degrees = at["bevel"]
            bevel = format_angle(np.radians(degrees)) if abs(degrees) >= 1.0 else f"{int(degrees * 10) / 10 + 0.0:g}°"
            wanted = ["– –" if place in in_geralds else bevel]
            gap = "–" if at["place"] in made(name).shell.hung.stems else depth(at["gap_before"])
            stock = made(name).hull.planking.thickness[land["above" if at["planed_on"] == "upper" else "below"] - 1]
            rest = made(name).hull.notation.rest
            off, left = stock - at["edge_left"], rest(stock, stock - at["edge_left"])
            wanted += [*map(depth, (at["take_off"], rest(off, at["take_off"]), off, left)), gap]
            found = row.removeprefix(f"{place} ")
            assert found.startswith(wanted[0])
            where = 0
            for text in wanted:
                where = found.index(text, where) + len(text)
            is_straight = abs(at["bevel"]) < 0.5 and place not in in_geralds  # good work misses a bevel by as much
            assert (f"{at['planed_on']} " in found) == (not is_straight)


@pytest.mark.parametrize("name", NAMES)
def test_the_strakes_figures_are_those_of_the_measurements(name: str) -> None:
    units = made(name).hull.units
    whole = [line for text in texts(name)[1:] for line in lines(text)]
    for strake in measurements(made(name))["strakes"]:
        sizes = (strake["length"], strake["greatest_width"], *strake["blank"])
        row = f"{strake['number']} {' '.join(format_length(size, units) for size in sizes)} "
        (found,) = [line for line in whole if line.startswith(row)]
        over_rough_then_sweep = found.removeprefix(row).split()[:3]
        assert over_rough_then_sweep[2] == format_length(strake["sweep"], units)
        verdicts = [line for line in whole if line.startswith(f"{strake['number']} ") and "%" not in line]
        assert any(line.endswith(strake["verdict"]) for line in verdicts)
        page = next(t for t in texts(name) if lines(t)[0].startswith(f"Strake {strake['number']} of "))
        assert f"net length {format_length(strake['length'], units)}, greatest width" in " ".join(page.split())


@pytest.mark.parametrize("name", NAMES)
def test_the_strakes_boards_send_the_buyer_to_the_table_of_blanks(name: str) -> None:
    whole = " ".join(" ".join(texts(name)).split())
    assert "Buy by the table of blanks" in whole
    first = lines(texts(name)[0])
    assert any("Blanks for the strakes" in line for line in first)


@pytest.mark.parametrize("name", NAMES)
def test_the_offsets_are_those_of_the_measurements(name: str) -> None:
    """A station without a mould has no column."""
    data, units = measurements(made(name)), made(name).hull.units
    moulds = {mould["station"] for mould in data["moulds"]}
    whole = "\n".join(texts(name)[1:])
    rows = lines(whole[whole.index("Half-breadths of the lands (") : whole.index("Widths of the strakes:")])
    for land in data["lands"]:
        (row,) = [row for row in rows if row.startswith(f"land {land['below']} ")]
        for at in land["at"][1:-1]:
            assert at["place"] not in moulds or format_length(at["point"][1], units) in row.split()


@pytest.mark.parametrize("name", NAMES)
def test_rebates_and_transoms_are_those_of_the_measurements(name: str) -> None:
    data, depth = measurements(made(name)), made(name).hull.notation.depth_cell
    whole = "\n".join(texts(name)[1:])
    for shape in data["transoms"]:
        page = whole[whole.index(f"Transom {shape['end']}: bevels of the edge") :]
        for one in shape["bevels"]:
            assert re.search(rf"(?m)^{one['strake']} {re.escape(format_angle(np.radians(one['bevel'])))} ", page)
    for rebate in data["rebates"]:
        if rebate["on"] != "keel" and isinstance(rebate["place"], str):
            angle = re.escape(format_angle(np.radians(rebate["angle"])))
            figures = re.escape(f"{depth(rebate['depth'])} {depth(rebate['apex'])}")
            card = r"(foot( \+ \S+)? |strakes? \S+ )?"
            row = rf"(?m)^{rebate['strake']} {rebate['place']} end {card}{angle} {figures}"
            assert re.search(row, whole.replace("\r", ""))


@pytest.mark.parametrize("name", NAMES)
def test_every_page_has_its_number_and_nothing_is_full_size(name: str) -> None:
    for number, text in enumerate(texts(name), start=1):
        assert f"page {number} of {len(texts(name))}" in text
        assert "To read, not to cut from" in text
        assert "drawing 0a1b2c3d" in text


@pytest.mark.parametrize("name", NAMES)
def test_sections_and_their_parts_stand_in_the_list_at_their_pages_and_as_bookmarks(name: str) -> None:
    marks = bookmarks(name)
    sections = {title: page for level, title, page in marks if level == 0}
    assert {"The boat", "Timber and fastenings", "Strake by strake", "After the sheer strake"} <= set(sections)
    first = " ".join(texts(name)[0].split())
    for _, title, page in marks:
        if title != "The shop book":
            assert f"{title} {page + 1}" in first
    count = made(name).hull.planking.strakes
    strakes = [(title, page) for level, title, page in marks if level == 1 and title.startswith("Strake ")]
    assert len(strakes) == count
    for k, (title, page) in enumerate(strakes, start=1):
        assert title.startswith(f"Strake {k} of {count}")
        assert (page + 1) % 2 == 0  # a left-hand page: what belongs to it faces it
        assert lines(texts(name)[page])[0] == title
        assert lines(texts(name)[page + 1])[0] == f"Strake {k}: the work, step by step"


def test_a_station_without_a_mould_is_called_a_station_on_the_drawings_of_the_strakes() -> None:
    assert [station.name for station in made("faering").hull.stations if not station.mould] == ["3", "5"]
    named, found = re.compile(r"(?:mould|station) \d"), set[str]()
    for k in range(1, made("faering").hull.planking.strakes + 1):
        (drawn,) = [text for text in texts("faering") if lines(text)[0].startswith(f"Strake {k} of ")]
        found |= set(named.findall(drawn))  # a name without room for its figures is left out
        assert "t each station" in " ".join(drawn.split())
    assert {"mould 1", "mould 4", "station 5"} <= found
    assert not {"mould 3", "mould 5"} & found


def test_the_dinghys_book_has_forty_pages_at_most_all_upright() -> None:
    boat = checked(HULLS / "dinghy.toml")
    assert boat.boat is not None
    document = pypdfium2.PdfDocument(book_pdf(boat.boat, boat.findings, Header("Dinghy", "0a1b2c3d")))
    assert len(document) <= 40
    assert {tuple(round(v) for v in page.get_size()) for page in document} == {(595, 842)}


def links(name: str) -> list[tuple[int, str, int]]:
    """Every link of a book: on which page, over which text, and to which page, all from 0."""
    document = pypdfium2.PdfDocument(book(name))
    found = []
    for number, page in enumerate(document):
        place, link = ctypes.c_int(0), raw.FPDF_LINK()
        while raw.FPDFLink_Enumerate(page, place, link):
            box = raw.FS_RECTF()
            assert raw.FPDFLink_GetAnnotRect(link, box)
            text = page.get_textpage().get_text_bounded(box.left, box.bottom, box.right, box.top)
            target = raw.FPDFDest_GetDestPageIndex(document, raw.FPDFLink_GetDest(document, link))
            found.append((number, " ".join(text.split()), target))
    return found


@pytest.mark.parametrize("name", NAMES)
def test_contents_and_references_to_pages_are_links_that_lead_there(name: str) -> None:
    every = links(name)
    assert every
    assert all(0 <= target < len(texts(name)) for _, _, target in every)
    listed = [(text, target) for page, text, target in every if page == 0]
    wanted = {(f"{title} {page + 1}", page) for _, title, page in bookmarks(name) if title != "The shop book"}
    assert wanted <= set(listed)
    for _, text, target in every:
        number = re.search(r"page (\d+)\.$", text)
        if number:
            assert target == int(number[1]) - 1
    numbers = [number for text in texts(name)[1:] for number in re.findall(r"page (\d+)\.", text)]
    assert {int(number) - 1 for number in numbers} <= {target for page, _, target in every if page}


def test_the_dinghys_hollow_refers_to_the_page_of_its_table() -> None:
    led = [
        (text, target) for page, text, target in links("dinghy") if page and 'the rows "upper 2" of land 1' in text
    ]
    assert led
    for _, target in led:
        assert "Land 1: strake 2 over strake 1" in lines(texts("dinghy")[target])


def test_where_a_steps_depths_are_is_found_by_its_kind_whatever_its_title() -> None:
    land = About("land", 1, place=Place("station", "2"))
    depths = (Depth("station 2", land, None, 0.1, 2.0, 3.0),)
    kinds: tuple[StepKind, ...] = ("bevel", "geralds")
    steps = [Step("Any title", ("Plane it.",), depths=depths, kind=kind) for kind in kinds]
    references: dict[StepKind, Reference] = {"bevel": ("How deep: see the table.", "Land 1")}
    every = [line for block in step_blocks(steps, 80.0, 2.5, "mm", references) for line in block]
    assert [(line.text, line.key) for line in every if line.key] == [("How deep: see the table.", "Land 1")]
    assert sum(line.text == "–" for line in every) == 3


def test_every_font_of_the_book_is_embedded() -> None:
    for page in pypdfium2.PdfDocument(book("dinghy")):
        for piece in page.get_objects([raw.FPDF_PAGEOBJ_TEXT], max_depth=3):
            assert raw.FPDFFont_GetIsEmbedded(raw.FPDFTextObj_GetFont(piece)) == 1


def test_the_book_is_tagged_and_has_its_language() -> None:
    document = pypdfium2.PdfDocument(book("dinghy"))
    assert raw.FPDFCatalog_IsTagged(document)
    letters = ctypes.create_string_buffer(32)
    size = raw.FPDFCatalog_GetLanguage(document, ctypes.cast(letters, ctypes.POINTER(ctypes.c_ushort)), 32)
    assert letters.raw[: size - 2].decode("utf-16-le") == "en-GB"


def tags(page: pypdfium2.PdfPage) -> list[str]:
    """The types of all elements of a page, parents before their parts."""
    tree = raw.FPDF_StructTree_GetForPage(page)
    found = []

    def walk(element: object) -> None:
        letters = ctypes.create_string_buffer(64)
        size = raw.FPDF_StructElement_GetType(element, letters, 64)
        found.append(letters.raw[: size - 2].decode("utf-16-le"))
        for k in range(raw.FPDF_StructElement_CountChildren(element)):
            child = raw.FPDF_StructElement_GetChildAtIndex(element, k)
            if child:
                walk(child)

    for k in range(raw.FPDF_StructTree_CountChildren(tree)):
        walk(raw.FPDF_StructTree_GetChildAtIndex(tree, k))
    raw.FPDF_StructTree_Close(tree)
    return found


def test_headings_tables_and_figures_of_a_spread_are_tagged() -> None:
    document = pypdfium2.PdfDocument(book("dinghy"))
    (left,) = [page for level, title, page in bookmarks("dinghy") if level == 1 and title.startswith("Strake 3 of")]
    drawn, worked = tags(document[left]), tags(document[left + 1])
    assert drawn.count("Figure") == 4
    assert worked.count("Table") == 1
    places = len(measurements(made("dinghy"))["lands"][2]["at"])
    assert worked.count("TR") >= places + 1
    assert worked.count("H3") == len(strake_steps("dinghy", 3))


def strake_steps(name: str, strake: int) -> list[str]:
    return [step.title for step in usual_work(made(name))[strake - 1].steps]


@pytest.mark.parametrize("name", NAMES)
def test_the_steps_of_a_strake_stand_on_its_page_in_their_order(name: str) -> None:
    for k in range(1, made(name).hull.planking.strakes + 1):
        page = next(text for text in texts(name) if lines(text)[0] == f"Strake {k}: the work, step by step")
        wanted = [f"{number}. {title}" for number, title in enumerate(strake_steps(name, k), start=1)]
        assert [line for line in lines(page) if re.match(r"\d+\. ", line)] == wanted


@pytest.mark.parametrize("name", NAMES)
def test_every_strake_is_drawn_in_its_section_as_the_measurements_have_its_land(name: str) -> None:
    """Off and left at the steepest place outside the geralds; the gauge lies on the face that is planed."""
    boat = made(name)
    for land in measurements(boat)["lands"]:
        section = land_section(boat, land["below"])
        at = {on_sheet(place.place): place for place in land_facts(boat.shell, land["below"]).places}
        assert section.place in at
        figures = [one for one in land["at"] if section.place.split()[-1] == one["place"]]
        if figures and not section.place.startswith("half-way"):
            assert section.left == pytest.approx(figures[0]["edge_left"], abs=1e-9)
            assert np.degrees(section.bevel) == pytest.approx(figures[0]["bevel"], abs=1e-9)
        first, second, third = section.planed_off
        face = second - first if section.bevel < 0.0 else third - first
        leg = section.gauge[4] - section.gauge[3]
        if "straightedge" not in section.gauge_name:  # near one degree the land changes over to hollow by an ease
            between = np.degrees(np.arctan2(face[0] * leg[1] - face[1] * leg[0], face @ leg))
            assert between == pytest.approx(0.0, abs=0.5)
        if section.bevel >= 0.0:
            assert third == pytest.approx([section.left, 0.0], abs=1e-9)
        else:
            along = (second - first) / np.linalg.norm(second - first)
            deep = abs(along[0] * (third - first)[1] - along[1] * (third - first)[0])
            assert deep == pytest.approx(section.off, abs=0.1)


def test_the_colour_of_the_picked_strake_is_a_middle_grey_without_colour() -> None:
    # source: luma of ITU-R BT.601, 0.299 R + 0.587 G + 0.114 B
    assert 0.45 < float(np.dot(PICKED, (0.299, 0.587, 0.114))) < 0.75


@pytest.mark.parametrize("name", NAMES)
def test_the_book_says_once_what_wood_does(name: str) -> None:
    whole = " ".join(" ".join(texts(name)).split())
    assert whole.count("What wood does") == 1
    spring = {"mm": "by 5 mm to 20 mm at the sheer", "ft-in-8": "by 0-0-2 to 0-0-6 at the sheer"}  # 1/4 to 3/4 in
    assert spring[made(name).hull.units] in whole
    assert "They do not include what wood does" in whole


@pytest.mark.parametrize("name", NAMES)
def test_every_finding_is_in_the_book(name: str) -> None:
    whole = " ".join(" ".join(texts(name)).split()).lower()
    for finding in findings(made(name)):
        assert " ".join(finding.text.split()[:5]).lower() in whole


@pytest.mark.parametrize("name", NAMES)
def test_letters_are_large_enough_and_stay_on_the_page(name: str) -> None:
    # source: the least height of capitals of ISO 3098-1 is 1.8 mm
    document = pypdfium2.PdfDocument(book(name))
    for page in document:
        width, height = page.get_size()
        text = page.get_textpage()
        for i in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(i)
            assert left > 5 * POINTS_PER_MM
            assert right < width - 5 * POINTS_PER_MM
            assert bottom > 5 * POINTS_PER_MM
            assert top < height - 5 * POINTS_PER_MM
        whole = text.get_text_range()
        for i in (i for i, letter in enumerate(whole[: text.count_chars()]) if letter in "EHLT"):
            _, bottom, _, top = text.get_charbox(i)
            assert top - bottom >= 1.79 * POINTS_PER_MM, whole[i : i + 20]


@pytest.mark.parametrize("name", NAMES)
def test_a_chart_passes_through_the_measured_bevels(name: str) -> None:
    boat = made(name)
    step = 25.4 / 64 if boat.hull.units != "mm" else 1.0
    for land in measurements(boat)["lands"]:
        bevel, off = land_charts(boat, land["below"])
        for at, (_, y), (_, depth) in zip(land["at"], bevel.marked, off.marked, strict=True):
            assert y == pytest.approx(at["bevel"], abs=1e-9)
            assert depth * step == pytest.approx(at["take_off"], abs=1e-9)
        x, y = np.array(bevel.series[0].points).T
        for place, height in bevel.marked:
            assert np.interp(place, x, y) == pytest.approx(height, abs=0.05)
        s, wanted = (np.array(land["take_off_line"])[:, column] for column in (0, 1))
        x, y = np.array(off.series[1].points).T
        assert np.allclose(np.interp(s, x, y) * step, wanted, atol=0.05)


def test_the_same_boat_gives_the_same_bytes_whatever_the_surroundings(monkeypatch: pytest.MonkeyPatch) -> None:
    boat = made("double_ender")
    assert book("double_ender")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "5")
    header = Header(boat.hull.name, "0a1b2c3d", "first", boat.hull.units, ("Mind your hands.",))
    assert book_pdf(boat, findings(boat), header) == book("double_ender")


def test_a_name_that_cannot_be_printed_is_refused() -> None:
    boat = made("double_ender")
    with pytest.raises(DrawingError, match="cannot be printed"):
        book_pdf(boat, (), Header("舟", "0a1b2c3d"))


@pytest.mark.parametrize(("span", "step"), [(0.5, 0.1), (7.9, 1.0), (8.0, 1.0), (9.0, 2.0), (4000.0, 50.0)])
def test_steps_of_a_chart_are_round(span: float, step: float) -> None:
    assert even_step(span) == step


@pytest.mark.parametrize("shape", ["one strake on a flat bottom", "a prism", "a rebated transom with geralds"])
def test_other_boats_have_their_book(shape: str) -> None:
    boat = {
        "one strake on a flat bottom": lambda: boat_of(skiff(lambda x: 60.0 + 4e-5 * (x - 1300.0) ** 2)),
        "a prism": lambda: boat_on(straight_boat(np.zeros(4))),
        "a rebated transom with geralds": lambda: boat_on(prism(0.2, 250.0)),
    }[shape]()
    made_book = book_pdf(boat, findings(boat), Header("Teasel", "0a1b2c3d", None, "mm"), sheet("letter"))
    document = pypdfium2.PdfDocument(made_book)
    assert {tuple(sorted(round(v) for v in page.get_size())) for page in document} == {(612, 792)}
    whole = "\n".join(page.get_textpage().get_text_bounded() for page in document)
    assert "nan" not in whole.lower().split()
    for k in range(1, boat.hull.planking.strakes + 1):
        assert f"Strake {k}: the work, step by step" in whole


def test_the_book_of_a_boat_as_built_begins_with_the_bevel_of_the_strake_that_hangs(tmp_path: Path) -> None:
    measured = tmp_path / "as-built.toml"
    row = "{ fore = 0.5, 1 = 1.0, 2 = -0.5, 3 = 1, 4 = 0, 5 = 0.5, aft = 0 }"
    measured.write_text(f'format = 1\nunits = "mm"\n[strake.1]\nabove_mark = {row}\n[strake.2]\nabove_mark = {row}\n')
    path = HULLS / "dinghy.toml"
    result = check_as_built(read_hull(path), path, measured)
    assert result.boat is not None
    assert result.relined.hung == 2
    work = replace(usual_plan_of_work(result.boat), hung=result.relined.hung)
    data = book_pdf(result.boat, result.findings, Header("Dinghy", "0a1b2c3d"), work=work)
    pages = [lines(page.get_textpage().get_text_bounded()) for page in pypdfium2.PdfDocument(data)]
    heads = [page[0] for page in pages]
    assert heads.index("Strake 2, which hangs") < heads.index("Strake 3 of 9, both sides")
    assert not any(head.startswith("Strake 1") or head == "Before planking" for head in heads)
    (bevel,) = [page for page in pages if page[0] == "Strake 2: the work, step by step"]
    assert "1. Bevel for the next strake" in bevel
    wanted = measurements(result.boat)["lands"][1]["at"][2]
    (row_of_mould,) = [line for line in bevel if line.startswith("mould 2 ")]
    assert result.boat.hull.notation.depth_cell(wanted["take_off"]) in row_of_mould.split()
    # how the columns of a land's table are read stands there once: at the first land that is still to be planed
    explained = [
        page[0] for page in pages if "the take-off of the bevel and the part of the gerald together" in " ".join(page)
    ]
    assert explained == ["Strake 2: the work, step by step"]
    (rebates,) = [page for page in pages if "Stem: the rebate" in page]
    ends = {line.split()[0] for line in rebates if re.match(r"\d (lower|middle|upper) end ", line)}
    assert ends == {str(strake) for strake in range(3, 10)}  # those of strakes 1 and 2 are cut
    assert not any("Keel and hog" in page for page in pages)


def test_the_book_of_a_boat_as_built_names_the_sheets_that_are_made_for_the_next_strake(
    tmp_path: Path,
) -> None:
    measured = tmp_path / "as-built.toml"
    tables = "".join(f"[strake.{k}]\nabove_mark = {{ 1 = 0.5, 2 = 0.5, 3 = 0.5 }}\n" for k in range(1, 5))
    measured.write_text(f'format = 1\nunits = "mm"\n{tables}')
    path = HULLS / "dinghy.toml"
    result = check_as_built(read_hull(path), path, measured)
    assert result.boat is not None
    hung = AsHung(planked_as_built(result, Cutting()), result.relined, result.measured.drawn)
    (bevels,) = [one for one in folios_to_make([hung], "bench") if one.kind == "bevels"]
    made = {piece.about for piece in bevels.pieces if piece.about.part in ("gerald sheet", "board")}
    plan = hung.planked.plan
    works = order_of_work(result.boat, plan, usual_buying(plan.stock), gauges_of(result.boat, is_as_built=True))
    named = {about for step in works[4].steps for about in step.pieces if about.part == "gerald sheet"}
    assert named == {about for about in made if about.part == "gerald sheet"}
    boards = {about for step in works[3].steps for about in step.pieces if about.part == "board"}
    assert boards == {about for about in made if about.part == "board"}
    assert {about.which for about in (*named, *boards)} <= {(1,), (2,)}
