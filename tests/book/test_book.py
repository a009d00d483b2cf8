"""The shop book, read back through a reader that did not write it."""

import re
from functools import cache

import numpy as np
import pypdfium2
import pytest

from templates_gen.book.book import book_pdf
from templates_gen.book.charts import land_charts
from templates_gen.errors import DrawingError
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.paper.sheet import sheet
from templates_gen.render.pdf.book import even_step
from templates_gen.render.pdf.page import Header
from templates_gen.report.findings import findings
from templates_gen.report.measurements import measurements
from templates_gen.units import format_angle, format_length
from tests import boats
from tests.flow import boat_of
from tests.geometry.skiffs import skiff
from tests.geometry.straight_boats import prism, straight_boat

NAMES = ("dinghy", "double_ender", "pram", "faering")
POINTS_PER_MM = 72.0 / 25.4


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
        (page,) = [text for text in texts(name) if lines(text)[0] == title and "Gap before" in text]
        rows = lines(page)
        for at in land["at"]:
            stands = "mould" if at["place"] in moulds else "station"
            place = f"{at['place']} end" if at["place"] in ("fore", "aft") else f"{stands} {at['place']}"
            (row,) = [row for row in rows if row.startswith(f"{place} ")]
            wanted = [format_angle(np.radians(at["bevel"]))]
            gap = "–" if at["place"] in made(name).shell.hung.stems else depth(at["gap_before"])
            depths = (depth(at[key]) for key in ("take_off", "edge_left"))
            wanted += [*depths, gap, depth(at["gerald_depth"])]
            found = row.removeprefix(f"{place} ")
            assert found.startswith(wanted[0])
            where = 0
            for text in wanted:
                where = found.index(text, where) + len(text)
            assert f"{at['planed_on']} " in found


@pytest.mark.parametrize("name", NAMES)
def test_the_strakes_figures_are_those_of_the_measurements(name: str) -> None:
    units = made(name).hull.units
    (page,) = [text for text in texts(name) if lines(text)[0] == "Strakes: size and how hard they are to hang"]
    for strake in measurements(made(name))["strakes"]:
        sizes = (strake["length"], strake["greatest_width"], *strake["blank"])
        row = f"{strake['number']} {' '.join(format_length(size, units) for size in sizes)} "
        (found,) = [line for line in lines(page) if line.startswith(row)]
        assert found.endswith(strake["verdict"])
        over_rough_then_sweep = found.removeprefix(row).split()[:3]
        assert over_rough_then_sweep[2] == format_length(strake["sweep"], units)
        flat = next(t for t in texts(name) if lines(t)[0].startswith(f"Strake {strake['number']} laid flat"))
        assert f"Net length {format_length(strake['length'], units)}, greatest width" in flat


@pytest.mark.parametrize("name", NAMES)
def test_the_strakes_boards_send_the_buyer_to_the_page_of_the_blanks(name: str) -> None:
    (page,) = [text for text in texts(name) if lines(text)[0] == "Strakes: size and how hard they are to hang"]
    (number,) = re.findall(r"Buy by the blanks on page (\d+)", " ".join(page.split()))
    assert lines(texts(name)[int(number) - 1])[0].startswith("Blanks for the strakes")


@pytest.mark.parametrize("name", NAMES)
def test_the_offsets_are_those_of_the_measurements(name: str) -> None:
    """A station without a mould has no column."""
    data, units = measurements(made(name)), made(name).hull.units
    moulds = {mould["station"] for mould in data["moulds"]}
    whole = "\n".join(texts(name))
    rows = lines(whole[whole.index("Half-breadths of the lands (") : whole.index("Widths of the strakes:")])
    for land in data["lands"]:
        (row,) = [row for row in rows if row.startswith(f"land {land['below']} ")]
        for at in land["at"][1:-1]:
            assert at["place"] not in moulds or format_length(at["point"][1], units) in row.split()


@pytest.mark.parametrize("name", NAMES)
def test_rebates_and_transoms_are_those_of_the_measurements(name: str) -> None:
    data, depth = measurements(made(name)), made(name).hull.notation.depth_cell
    whole = "\n".join(texts(name))
    for shape in data["transoms"]:
        page = whole[whole.index(f"Transom {shape['end']}: bevels of the edge") :]
        for one in shape["bevels"]:
            assert re.search(rf"(?m)^{one['strake']} {re.escape(format_angle(np.radians(one['bevel'])))} ", page)
    for rebate in data["rebates"]:
        if rebate["on"] != "keel" and isinstance(rebate["place"], str):
            row = f"{rebate['strake']} {rebate['place']} end {format_angle(np.radians(rebate['angle']))} "
            figures = [depth(rebate["depth"]), depth(rebate["apex"])]
            assert row + " ".join(figures) in whole.replace("\r", "")


@pytest.mark.parametrize("name", NAMES)
def test_every_page_has_its_number_and_nothing_is_full_size(name: str) -> None:
    for number, text in enumerate(texts(name), start=1):
        assert f"page {number} of {len(texts(name))}" in text
        assert "To read, not to cut from" in text
        assert "drawing 0a1b2c3d" in text


@pytest.mark.parametrize("name", NAMES)
def test_sections_stand_in_the_list_at_their_pages_and_as_bookmarks(name: str) -> None:
    marks = bookmarks(name)
    sections = {title: page for level, title, page in marks if level == 0}
    assert {"The boat", "Timber and fastenings", "Order of work", "Strakes laid flat"} <= set(sections)
    first = lines(texts(name)[0])
    for title, page in sections.items():
        if title != "The shop book":
            assert f"{title} {page + 1}" in first
    count = made(name).hull.planking.strakes
    below = [title for level, title, _ in marks if level == 1]
    assert {f"Strake {k} laid flat" for k in range(1, count + 1)} - set(below) <= {"Strake 1 laid flat"} | set(below)
    assert "Body plan" in below


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
    boat = made("pram")
    assert book("pram")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "5")
    header = Header(boat.hull.name, "0a1b2c3d", "first", boat.hull.units, ("Mind your hands.",))
    assert book_pdf(boat, findings(boat), header) == book("pram")


def test_a_name_that_cannot_be_printed_is_refused() -> None:
    boat = made("pram")
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
        assert f"Strake {k} laid flat" in whole
