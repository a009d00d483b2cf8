"""Sheets of templates are used: on nine in ten of them three squares of 10 mm in ten bear ink."""

import numpy as np
import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas

from templates_gen.hull.reader import read_hull
from templates_gen.paper.sheet import sheet
from templates_gen.units import PT_PER_MM
from tests.bench.bench_ink import CELL, ENOUGH, HULLS, share, shares
from tests.flow import boat_of
from tests.sweep import more


@pytest.mark.parametrize("name", ["faering", *more("dinghy")])
def test_nine_sheets_in_ten_bear_ink_on_three_squares_in_ten(name: str) -> None:
    (path,) = [path for path in HULLS if path.stem == name]
    # the boat with most bare paper, for her few broad strakes; and the one whose sheets are counted elsewhere, too
    every = [one for some in shares(boat_of(read_hull(path))).values() for one in some]
    assert len(every) > 100
    assert np.mean(np.array(every) >= ENOUGH) >= 0.9
    assert min(every) < 0.6  # no sheet's share is that of the whole page


def test_a_share_counts_each_square_with_ink_once() -> None:
    paper = sheet("a4")
    area = paper.drawing
    canvas = Canvas("", (paper.width * PT_PER_MM, paper.height * PT_PER_MM))
    canvas.setLineWidth(0.18 * PT_PER_MM)
    canvas.setStrokeGray(0.5)
    level = area.bottom + 2.5 * CELL
    for up in (0.0, 1.0):
        canvas.line(area.left * PT_PER_MM, (level + up) * PT_PER_MM, area.right * PT_PER_MM, (level + up) * PT_PER_MM)
    rows = int(area.height / CELL)
    assert share(pypdfium2.PdfDocument(canvas.getpdfdata())[0], paper) == pytest.approx(1 / rows)
