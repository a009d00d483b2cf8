"""No sheet mixes notations: what every page of every file says is read back, and nothing but the set's own is there.

Three ways of writing a length are distinguished: millimetres (with the unit, or a decimal figure), inches with a
fraction, and feet-inches-eighths. Sheets of A1 hold the same words as smaller ones, on fewer pages.
"""

import re
from functools import cache
from pathlib import Path
from typing import Literal

import pypdfium2
import pytest

from templates_gen import pipeline
from templates_gen.at_boat.spiling import StrakeToSpile, spiling_form
from templates_gen.book.book import book_pdf
from templates_gen.checking import Checked
from templates_gen.drawing.piece import PrintSet
from templates_gen.notation import DepthName, Notation
from templates_gen.paper.sheet import sheet
from templates_gen.sheets import Printing, cut_with_strakes, header_of, job_files, on_paper, plan_of
from templates_gen.stock.drawings import plan_folio
from templates_gen.stock.plan import stock
from templates_gen.templates.folios import Planked
from tests.sweep import more, sweep

ROOT = Path(__file__).resolve().parent.parent
DINGHY, PRAM, DOUBLE_ENDER = (ROOT / "hulls" / f"{name}.toml" for name in ("dinghy", "pram", "double_ender"))
FAERING, CANOE = ROOT / "hulls" / "faering.toml", ROOT / "tests" / "data" / "american_cruising_canoe.toml"

SETS: tuple[tuple[Path, DepthName, PrintSet], ...] = ((DOUBLE_ENDER, "64ths", "bench"),)
"""The double-ender as her file has her, in the set that is printed unless you ask for another: no figure is in mm."""

MORE: tuple[tuple[Path, DepthName, PrintSet], ...] = (
    (FAERING, "64ths", "bench"),
    (PRAM, "mm", "full"),
    (DOUBLE_ENDER, "64ths", "full"),
    (DOUBLE_ENDER, "mm", "full"),
    (DOUBLE_ENDER, "mm", "bench"),
    (DINGHY, "64ths", "bench"),
    (CANOE, "64ths", "bench"),
    (CANOE, "mm", "full"),
)
"""Each notation of lengths with each of depths, both sets, a boat with few moulds, and one from a printed table."""

Way = Literal["millimetres", "fractions of an inch", "feet-inches-eighths"]

WAYS: dict[Way, re.Pattern[str]] = {
    "millimetres": re.compile(r"\bmm\b|\d+\.\d+"),
    "fractions of an inch": re.compile(r"\b\d+/\d+\b|64ths|\d in\b"),
    "feet-inches-eighths": re.compile(r"\b\d+-\d+-\d\b"),
}

IN_NO_NOTATION = (
    (r"\b1/4\b|\b1/2\b|\b3/4\b", "the quarters of a gerald"),
    (r"[+−-]?\d+\.\d+(/[+−-]\d+\.\d+)? ?(°|%)", "angles and shares of a hundred"),
    (r"greatest anywhere [+-]\d+\.\d+(/[+−-]\d+\.\d+)?|^[+−]?\d+\.\d+/[−-]", "such a share where its line is broken"),
    (r"[+-]\d+\.\d+ / [+-]\d+\.\d+ [+-]\d+\.\d+(?= \d+° |\s*$)", "stretches under a heading with %"),
    (r"bevel set( \d+\.\d)+|^\d+\.\d( \d+\.\d)?(?=\. How deep)", "degrees in the name of a piece"),
    (r"edges stretched [+-]\d+\.\d+", "such a share where its line is broken"),
    (r"\d+\.\d/64 in", "tenths of a 64th, where what is left and what is wanted would read alike"),
    (r"(port|starboard) \d/\d", "which part of a scarfed plank"),
)
"""What looks like a figure of length and is none."""

EXPLAINED = (
    (r"100 mm( measured [\d.]+ across, [\d.]+ up)?(\. Print at 100 %\.)?", "the scale bar and the test square"),
    (
        r"\b\d in (up|above them|above it)\b|tick \d in\b",
        "how far the tick for the other way stands above the scale bar",
    ),
    (r"\b2 in\b", "the scale bar in inches, on the sheets of boats in inches"),
    (r"\(3 15/16 in\)", "the test square in inches, on the sheets of boats in inches"),
    (r"less than 3 mm out", "by how much a printer may draw the test square wrong"),
    (r"fair = \d+\.\d+ ", "a figure as the hull file holds it"),
    (r"--square [\d.]+x[\d.]+", "the test square, as the option wants it"),
    (r"(\d+/\d+|\d+-\d+-\d\+?)( in)? \(\d+\.\d mm\)", "stock that is no exact fraction of an inch, as it is bought"),
    (r"\b\d+\.\d( mm)? \(\d+/64 in\)", "metric stock as it is bought, and what depths are compared with"),
    (r"waterline \d+-\d+-\d|buttock \d+-\d+-\d|diagonal \w+ \d+-\d+-\d", "lines by the names in the builder's table"),
)
"""Where another notation stands by design, and why."""


def allowed(notation: Notation) -> set[Way]:
    """The ways in which figures of a set may be written: at most two."""
    lengths: dict[str, Way] = {
        "mm": "millimetres", "in": "fractions of an inch", "ft-in-8": "feet-inches-eighths",
    }  # fmt: skip
    return {lengths[notation.units], "fractions of an inch" if notation.depths == "64ths" else "millimetres"}


@cache
def built(path: Path, depths: DepthName) -> Checked:
    return pipeline.check(pipeline.hull_of(path, depths))


@cache
def files(path: Path, depths: DepthName, to_print: PrintSet) -> dict[str, bytes]:
    """Every PDF of a set, planks cut from sheets of stock among them, the book and a form to fill in at the boat."""
    result = built(path, depths)
    boat, hull = result.boat, result.hull
    assert boat is not None
    printing = Printing(sheet("a1"), to_print=to_print, small=sheet("a4"))
    planked = Planked(boat, stock(("2440x1220mm", "4000x400mm"), 10.0, 8.0, hull.units))
    folios = pipeline.templates(planked, to_print)
    cut = plan_folio(plan_of(planked, cut_with_strakes((), folios)), hull.units)
    parts = [on_paper(hull, folio, printing) for folio in (*folios, cut)]
    made = {name: data for name, data in job_files({}, parts, printing).files.items() if name.endswith(".pdf")}
    form = spiling_form(StrakeToSpile(boat.strakes[1]), printing).files
    return {**made, **form, "book.pdf": book_pdf(boat, result.findings, header_of(hull), sheet("a4"))}


@cache
def lines_of(path: Path, depths: DepthName, to_print: PrintSet) -> tuple[tuple[str, str], ...]:
    """Every line that is printed, with the page that it is first found on."""
    found: dict[str, str] = {}
    for name, data in files(path, depths, to_print).items():
        for number, page in enumerate(pypdfium2.PdfDocument(data), start=1):
            for line in page.get_textpage().get_text_bounded().splitlines():
                found.setdefault(line, f"{name} {number}")
    return tuple((where, line) for line, where in found.items())


@cache
def bare(line: str) -> str:
    """A line without what is no length, and without what is explained."""
    for pattern, _ in (*EXPLAINED, *IN_NO_NOTATION):
        line = re.sub(pattern, " ", line)
    return line


IN_FEET = [case for case in (*SETS, *MORE) if case[0] == DOUBLE_ENDER]


def words_of(value: object) -> object:
    return value.stem if isinstance(value, Path) else value


every_set = pytest.mark.parametrize(("path", "depths", "to_print"), [*SETS, *more(*MORE)], ids=words_of)
in_feet = pytest.mark.parametrize(("path", "depths", "to_print"), [*IN_FEET[:1], *more(*IN_FEET[1:])], ids=words_of)


@every_set
def test_every_page_is_written_in_the_notations_of_its_set(path: Path, depths: DepthName, to_print: PrintSet) -> None:
    ways = allowed(built(path, depths).hull.notation)
    wrong = [
        (where, way, line)
        for where, line in lines_of(path, depths, to_print)
        for way, pattern in WAYS.items()
        if way not in ways and pattern.search(bare(line))
    ]
    assert wrong == []
    seen = {way for _, line in lines_of(path, depths, to_print) for way in ways if WAYS[way].search(bare(line))}
    assert seen == ways


@every_set
def test_no_minus_stands_before_feet_inches_eighths(path: Path, depths: DepthName, to_print: PrintSet) -> None:
    minus = re.compile(r"[-−] ?\d+-\d+-\d")
    assert [(where, line) for where, line in lines_of(path, depths, to_print) if minus.search(line)] == []


@in_feet
def test_no_length_of_a_foot_or_more_is_in_inches_where_lengths_are_in_feet(
    path: Path, depths: DepthName, to_print: PrintSet
) -> None:
    assert built(path, depths).hull.units == "ft-in-8"
    inches = re.compile(r"(?<![/\d])(1[2-9]|[2-9]\d|\d{3,})( \d+/\d+)? in\b")
    assert [(where, line) for where, line in lines_of(path, depths, to_print) if inches.search(bare(line))] == []


@every_set
def test_the_first_page_says_how_the_set_is_written(path: Path, depths: DepthName, to_print: PrintSet) -> None:
    statement = built(path, depths).hull.notation.statement
    made = files(path, depths, to_print)
    for name in ("read-me-first.pdf", "book.pdf"):
        text = pypdfium2.PdfDocument(made[name])[0].get_textpage().get_text_bounded()
        assert statement in " ".join(text.split())


@sweep
def test_every_exception_is_met_on_some_sheet() -> None:
    text = "\n".join(line for one in (*SETS, *MORE) for _, line in lines_of(*one))
    unmet = [pattern for pattern, _ in (*EXPLAINED, *IN_NO_NOTATION) if not re.search(pattern, text, re.MULTILINE)]
    assert unmet == []
