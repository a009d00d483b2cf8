"""Reading PDF files back with pdfium, which did not write them; and a folio to write."""

import ctypes
import io
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from templates_gen.drawing.piece import Folio, Hole, Label, Path, Piece, Role, Table
from templates_gen.paper.correction import NO_CORRECTION, Correction
from templates_gen.paper.sheet import Rectangle, sheet
from templates_gen.render.pdf.writing import Header, TileRecord, write_pdf
from templates_gen.units import PT_PER_MM

HEADER = Header("Reedling", "0a1b2c3d", "2026-03", "mm", ("Try an offcut before the plank.",))
WITHIN = 0.05  # mm: the accuracy that printed positions are held to
IDENTITY = np.eye(3)


@dataclass(frozen=True)
class Stroke:
    """A path found on a page: its points, mm on the page, shape (n, 2), and the width of its pen, mm."""

    points: np.ndarray
    width: float


@dataclass(frozen=True)
class Written:
    """A file as written, and its records."""

    document: pypdfium2.PdfDocument
    records: list[TileRecord]
    data: bytes


def strake() -> Piece:
    """Return a curved strake, 2.6 m long, with a label at each of its ends."""
    x = np.linspace(0.0, 2600.0, 131)
    middle = 160 * (x / 2600) * (1 - x / 2600)
    outline = np.concatenate([np.stack([x, middle], 1), np.stack([x, middle + 105 + 8 * np.sin(x / 400)], 1)[::-1]])
    datum = Path(np.array([[0.0, 60.0], [2600.0, 60.0]]), Role.DATUM)
    labels = (Label("FORE", (30.0, 50.0), 5.0), Label("mould ½, öst", (1300.0, 100.0), 3.0, 0.4, "middle"))
    title = ("Strake 3", "PORT, THIS FACE OUT")
    return Piece("strake 3", "strakes", title, (Path(outline, Role.CUT, True), datum), (), labels, ("Goes cold.",))


def card(number: int) -> Piece:
    """Return a gauge card with a hole."""
    outline = np.array([[-70.0, 0.0], [0.0, 0.0], [39.0, -2.0 - number], [41.0, 35.0], [-70.0, 35.0]])
    path = Path(outline, Role.CUT, True)
    label = Label(f"H{number} β", (-60.0, 10.0), 3.0)
    name, title = f"land {number} station 2", (f"Land {number}",)
    return Piece(name, "strakes", title, (path,), (Hole((-30.0, 20.0), 6.0),), (label,), ("Keel leg hard on.",))


def folio() -> Folio:
    """Return a folio with one large piece, some small ones and a table of three pages."""
    rows = tuple((str(k), f"{k / 7:.1f}", "planed on the lower") for k in range(100))
    table = Table("Lands", ("land", "bevel\n°", "where"), rows, ("True bevels.",))
    return Folio("strakes", "Strakes", (strake(), *(card(k) for k in range(1, 9))), (table,))


def written(paper: str = "a4", header: Header = HEADER, correction: Correction = NO_CORRECTION) -> Written:
    """Return the folio as written on one paper."""
    stream = io.BytesIO()
    records = write_pdf(folio(), stream, sheet(paper), header, correction)
    return Written(pypdfium2.PdfDocument(stream.getvalue()), records, stream.getvalue())


def cross_arms(file: Written) -> dict[int, list[np.ndarray]]:
    """Return where the arms of each cross lie on its piece, mm, by the cross's number; each sheet prints two arms."""
    read: dict[int, list[np.ndarray]] = {}
    for record in file.records:
        middles = cross_places(file.document[record.page - 1]) if record.crosses else np.empty((0, 2))
        for cross in record.crosses:
            wanted = record.matrix.apply(np.array([cross.at]))[0] / PT_PER_MM
            arms = middles[np.hypot(*(middles - wanted).T) < 0.02]
            assert len(arms) == 2
            on_piece = record.matrix.undo(arms * PT_PER_MM)
            assert cross.at == pytest.approx(on_piece.mean(axis=0), abs=0.02)
            read.setdefault(cross.number, []).extend(on_piece)
    return read


def matrix_of(read: ctypes.Structure) -> np.ndarray:
    """Return pdfium's matrix for row vectors, shape (3, 3)."""
    return np.array([[read.a, read.b, 0.0], [read.c, read.d, 0.0], [read.e, read.f, 1.0]])


def objects(page: pypdfium2.PdfPage) -> Iterator[tuple[object, np.ndarray]]:
    """Yield every object of a page, those inside forms too, with the matrix to the page's points."""
    waiting = [(pdfium.FPDFPage_GetObject(page, k), IDENTITY) for k in range(pdfium.FPDFPage_CountObjects(page))]
    while waiting:
        one, outer = waiting.pop()
        read = pdfium.FS_MATRIX()
        assert pdfium.FPDFPageObj_GetMatrix(one, read)
        if pdfium.FPDFPageObj_GetType(one) == pdfium.FPDF_PAGEOBJ_FORM:
            inner = matrix_of(read) @ outer
            count = pdfium.FPDFFormObj_CountObjects(one)
            waiting += [(pdfium.FPDFFormObj_GetObject(one, k), inner) for k in range(count)]
        else:
            yield one, matrix_of(read) @ outer


def strokes(page: pypdfium2.PdfPage) -> list[Stroke]:
    """Return every path of a page, clipped or not."""
    found = []
    for one, matrix in objects(page):
        if pdfium.FPDFPageObj_GetType(one) != pdfium.FPDF_PAGEOBJ_PATH:
            continue
        x, y, width = ctypes.c_float(), ctypes.c_float(), ctypes.c_float()
        points = []
        for k in range(pdfium.FPDFPath_CountSegments(one)):
            assert pdfium.FPDFPathSegment_GetPoint(pdfium.FPDFPath_GetPathSegment(one, k), x, y)
            points.append([x.value, y.value, 1.0])
        pdfium.FPDFPageObj_GetStrokeWidth(one, width)
        pen = width.value * math.sqrt(abs(np.linalg.det(matrix)))
        found.append(Stroke((np.array(points) @ matrix)[:, :2] / PT_PER_MM, pen / PT_PER_MM))
    return found


def cut_points(page: pypdfium2.PdfPage) -> np.ndarray:
    """Return the points of all outlines to be cut on a page, drawn 0.5 mm wide, shape (n, 2), mm."""
    return np.concatenate([stroke.points for stroke in strokes(page) if abs(stroke.width - 0.5) < 0.01])


def inside(points: np.ndarray, clip: Rectangle) -> np.ndarray:
    """Return those of points on a page, shape (n, 2), that lie within what it shows."""
    x, y = points.T
    return points[(x >= clip.left) & (x <= clip.right) & (y >= clip.bottom) & (y <= clip.top)]


def greatest_miss(found: np.ndarray, wanted: np.ndarray) -> float:
    """Return how far the farthest of `wanted` points is from the nearest of `found`, mm."""
    return float(np.hypot(*(wanted[:, None] - found[None]).transpose(2, 0, 1)).min(axis=1).max())


def dark_middle(row: np.ndarray, begin: int, end: int) -> float:
    """Return the middle of what is dark in part of a row of grey values, in pixels."""
    ink = 255.0 - row[begin:end].astype(float)
    return float((ink * (np.arange(begin, end) + 0.5)).sum() / ink.sum())


def measured_square(page: pypdfium2.PdfPage, scale: float = 1.0) -> tuple[float, float]:
    """Return the width and height of the test square, mm, from a raster of 600 dots to the inch.

    `scale` is that of a print dialog.
    """
    left, bottom, right, top = square_on(page)
    room = 4.0
    dots = 600 / 25.4 * scale
    width, height = (size / PT_PER_MM for size in page.get_size())
    outside = [(left - room) * PT_PER_MM, (bottom - room) * PT_PER_MM]
    outside += [(width - right - room) * PT_PER_MM, (height - top - room) * PT_PER_MM]
    image = page.render(scale=600 / 72 * scale, grayscale=True, crop=tuple(outside)).to_numpy()
    image = image.reshape(image.shape[0], -1)
    row = image[int((room + 95.0) * dots)]  # a row and a column where no letter stands
    column = image[:, int((room + 3.0) * dots)]
    reach = int(3 * dots)
    ends = [
        [dark_middle(line, int((room + at) * dots) - reach, int((room + at) * dots) + reach) for at in (0.0, size)]
        for line, size in ((row, right - left), (column, top - bottom))
    ]
    across, up = ((end - begin) / (600 / 25.4) for begin, end in ends)
    return across, up


def square_on(page: pypdfium2.PdfPage) -> tuple[float, float, float, float]:
    """Return left, bottom, right and top of the test square, mm on the page."""
    (square,) = (
        stroke.points
        for stroke in strokes(page)
        if len(stroke.points) in (4, 5) and np.ptp(stroke.points, axis=0) == pytest.approx([100, 100], abs=3.2)
    )
    (left, bottom), (right, top) = square.min(axis=0), square.max(axis=0)
    return float(left), float(bottom), float(right), float(top)


def cross_places(page: pypdfium2.PdfPage) -> np.ndarray:
    """Return the middles of all straight strokes 8 mm long, as the arms of registration crosses are, shape (n, 2)."""
    middles = []
    for stroke in strokes(page):
        if len(stroke.points) % 2 == 0:
            pairs = stroke.points.reshape(-1, 2, 2)
            lengths = np.hypot(*(pairs[:, 1] - pairs[:, 0]).T)
            middles.append(pairs[np.abs(lengths - 8.0) < 0.3].mean(axis=1))
    return np.concatenate(middles)
