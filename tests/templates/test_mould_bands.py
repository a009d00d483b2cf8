"""Edge bands: the mould's own edge, full size, also when its sheets are laid together again from the printed file."""

import io
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import shapely
from shapely import LineString, Point, Polygon

from templates_gen.drawing.marks import label_boxes
from templates_gen.drawing.piece import Piece, Role
from templates_gen.hull.model import Array
from templates_gen.hull.reader import read_hull
from templates_gen.paper.ink import for_laying_out, ink_of
from templates_gen.paper.lay_out import tiling
from templates_gen.paper.sheet import sheet
from templates_gen.paper.whole_labels import labels_made_whole
from templates_gen.render.pdf.letters import text_width
from templates_gen.render.pdf.writing import write_pdf
from templates_gen.templates.moulds.band import ABOVE_SHEER, WOOD, band_outline, check_lengths
from templates_gen.templates.moulds.edge import SQUARE, flats_of, taken_off
from templates_gen.templates.moulds.outline import Mould, diagonals, moulds_of
from templates_gen.templates.moulds.pieces import band_abouts, band_pieces, mould_pieces
from templates_gen.units import PT_PER_MM, spoken_length
from tests.boats import dinghy
from tests.flow import boat_of, folio
from tests.render.pdf_reading import HEADER, WITHIN, strokes
from tests.sweep import more
from tests.templates.label_clearance import crowded_labels
from tests.templates.test_moulds import ALL, boat

HULLS = Path(__file__).parents[2] / "hulls"
CANOE = Path(__file__).parents[1] / "data" / "american_cruising_canoe.toml"


@cache
def all_pieces(name: str) -> tuple[Piece, ...]:
    return band_pieces(boat(name))


def bands(name: str) -> tuple[Piece, ...]:
    return tuple(piece for piece in all_pieces(name) if not piece.is_paper)


def moulds(name: str) -> tuple[Mould, ...]:
    return tuple(mould for mould in moulds_of(boat(name)) if not mould.shape.station.mirrors)


def cut(piece: Piece) -> Array:
    (outline,) = [path.points for path in piece.paths if path.role is Role.CUT]
    return outline


def planked_edge(piece: Piece, mould: Mould) -> LineString:
    """The band's outline from the notch on the centreline up to the sheer's mark."""
    outline = cut(piece)
    last = int(np.argmin(np.linalg.norm(outline - mould.sheer, axis=1)))
    return LineString(outline[: last + 1])


@ALL
def test_the_edge_of_a_band_is_the_mould_s_outline_within_a_twentieth_of_a_millimetre(name: str) -> None:
    for piece, mould in zip(bands(name), moulds(name), strict=True):
        edge = planked_edge(piece, mould)
        assert edge.hausdorff_distance(LineString(mould.outline.closed[: len(edge.coords)])) < 1e-9
        shape = mould.shape.outline
        above = shape[shape[:, 1] > mould.outline.foot[1] + 0.1]
        assert len(above) > 2
        assert max(edge.distance(point) for point in map(_point, above)) < 0.05


@ALL
def test_what_edge_bands_are_about_is_known_without_drawing_them(name: str) -> None:
    assert band_abouts(boat(name)) == tuple(piece.about for piece in all_pieces(name))


def test_stations_without_a_mould_and_mirrored_ones_have_no_edge_band() -> None:
    drawn = dinghy()
    first, second, *others = drawn.stations
    stations = (replace(first, mould=False), second, *others[:-1], replace(others[-1], mirrors=second.name))
    found = boat_of(replace(drawn, stations=stations))
    abouts = band_abouts(found)
    assert len(abouts) == 2 * (len(stations) - 2)
    assert abouts == tuple(piece.about for piece in band_pieces(found))


def _point(at: Array) -> LineString:
    return LineString([at, at + 1e-9])


@ALL
def test_a_band_has_sixty_millimetres_of_wood_inside_its_edge_and_lies_in_the_mould(name: str) -> None:
    for piece, whole, mould in zip(bands(name), mould_pieces(boat(name)), moulds(name), strict=True):
        band, wood = Polygon(cut(piece)), Polygon(cut(whole))
        assert band.is_valid
        assert band.difference(wood).area < 1e-6
        top = min(float(mould.sheer[1]) + ABOVE_SHEER, boat(name).hull.moulds.base)
        assert band.bounds[3] == pytest.approx(top)
        edge = planked_edge(piece, mould)
        wanted = edge.buffer(WOOD - 1.0).intersection(wood)
        below = Polygon([(-1, -500), (5000, -500), (5000, top), (-1, top)])
        assert wanted.intersection(below).difference(band).area < 1.0


def test_bands_that_are_laid_together_from_the_printed_file_are_the_mould_s_edge() -> None:
    made = folio(boat("dinghy"), "moulds", "bench")
    stream = io.BytesIO()
    records = write_pdf(made, stream, sheet("a4"), HEADER)
    document = pypdfium2.PdfDocument(stream.getvalue())
    for piece, mould in zip(bands("dinghy"), moulds("dinghy"), strict=True):
        edge = planked_edge(piece, mould)
        points = np.array([edge.interpolate(at).coords[0] for at in np.arange(0.0, edge.length, 5.0)])
        shown = np.zeros(len(points), dtype=bool)
        for record in (record for record in records if record.piece == piece.name):
            x, y = (record.matrix.apply(points) / PT_PER_MM).T
            clip = record.clip
            here = (clip.left <= x) & (x <= clip.right) & (clip.bottom <= y) & (y <= clip.top)
            assert here.any()
            drawn = [stroke for stroke in strokes(document[record.page - 1]) if stroke.width > 0.45]
            lines = [LineString(record.matrix.undo(stroke.points * PT_PER_MM)) for stroke in drawn]
            assert max(min(_point(at).distance(line) for line in lines) for at in points[here]) < WITHIN
            shown |= here
        assert shown.all()


@pytest.mark.parametrize("name", ["dinghy", *more("double ender", "pram")])
def test_what_is_printed_has_the_names_of_what_is_cut(name: str) -> None:
    made = folio(boat(name), "moulds", "bench")
    assert made.cut is not None
    assert [piece.name for piece in made.pieces if not piece.is_paper] == [piece.name for piece in made.cut]
    assert [piece.name for piece in made.for_router.pieces] == [piece.name for piece in made.cut]
    full = folio(boat(name), "moulds", "full")
    assert full.cut is None
    for whole, piece in zip(full.pieces, made.cut, strict=True):
        assert whole.name == piece.name
        np.testing.assert_array_equal(cut(whole), cut(piece))


@ALL
def test_lettering_on_bands_and_on_the_drawings_of_legs_is_clear(name: str) -> None:
    for piece in all_pieces(name):
        assert crowded_labels(piece) == []


@ALL
def test_face_and_half_are_written_wherever_a_mould_s_name_is(name: str) -> None:
    for piece, mould in zip(bands(name), moulds(name), strict=True):
        names = [label for label in piece.labels if label.text == f"MOULD {mould.name}"]
        words = f"{mould.face} FACE, {mould.seen}: {mould.half.upper()} half"
        drawn = [label for label in piece.labels if label.text == words]
        assert len(drawn) == len(names) > 3
        for label in names:
            assert min(np.hypot(*np.subtract(label.at, one.at)) for one in drawn) < 60.0


@pytest.mark.parametrize(
    "hull",
    [CANOE, *more(*sorted(HULLS.glob("*.toml")))],
    ids=lambda path: path.stem,
)
def test_the_name_of_a_mould_is_written_on_its_wood(hull: Path) -> None:
    for piece in band_pieces(boat_of(read_hull(hull))):
        if not piece.is_paper:
            names = [label for label in piece.labels if label.text == piece.name.upper()]
            assert names
            assert shapely.contains(Polygon(cut(piece)), shapely.polygons(label_boxes(names))).all()


@ALL
def test_every_land_of_a_band_bears_its_ordinates(name: str) -> None:
    units = boat(name).hull.units
    for piece, mould in zip(bands(name), moulds(name), strict=True):
        flats = flats_of(mould.shape, mould.outline.foot)
        texts = [label.text for label in piece.labels]
        lettered = [
            f"{spoken_length(float(y), units).removesuffix(f' {units}')} out, "
            f"{spoken_length(float(z), units).removesuffix(f' {units}')} up"
            for (y, z), flat in zip(mould.shape.land_marks[:-1], flats[:-1], strict=True)
            if flat is not None
        ]
        missing = [text for text in lettered if text not in texts]
        assert len(missing) <= len(lettered) // 4


@ALL
def test_the_lengths_to_check_are_those_of_the_outline_and_are_written(name: str) -> None:
    units = boat(name).hull.units
    for piece, mould in zip(bands(name), moulds(name), strict=True):
        flats = flats_of(mould.shape, mould.outline.foot)
        (between, over_all), *others = check_lengths(mould, flats)
        start, sheer = cut(piece)[0], mould.sheer
        assert over_all == pytest.approx(float(np.hypot(*(sheer - start))))
        assert len(others) == 2
        # by way of a land that stands off the straight the two parts are longer than the whole
        assert sum(length for _, length in others) > over_all
        assert [words.split(" to ")[0] for words in (between, others[0][0])] == ["notch at the centreline"] * 2
        assert start[0] == 0.0  # on the centreline
        printed = " ".join(text for pair in piece.figures for text in pair)
        assert all(
            spoken_length(length, units) in printed for length in (over_all, *(length for _, length in others))
        )


@ALL
def test_the_drawing_of_legs_is_to_scale_and_bears_the_figures_of_the_whole_mould(name: str) -> None:
    units = boat(name).hull.units
    legs = [piece for piece in all_pieces(name) if piece.is_paper]
    for piece, mould in zip(legs, moulds(name), strict=True):
        assert piece.name == f"legs of mould {mould.name}"
        title = next(label.text for label in piece.labels if label.text.startswith("MOULD"))
        scale = float(title.rsplit(":", 1)[1])
        outline = band_outline(mould, boat(name).hull.moulds.base)
        (drawn,) = [path.points for path in piece.paths if path.closed]
        np.testing.assert_allclose(drawn * scale, outline, atol=1e-9)
        assert not any(label.text[0].isdigit() for label in piece.labels)  # no figure without words
        text = " ".join(label.text for label in piece.labels)
        base = boat(name).hull.moulds.base
        lengths = (*diagonals(boat(name), mould), mould.outline.leg, base - mould.notch.top, base - mould.sheer[1])
        assert all(spoken_length(float(length), units) in text for length in lengths)


@ALL
def test_where_sheets_meet_a_strake_s_number_stays_in_its_plank(name: str) -> None:
    for piece in map(for_laying_out, bands(name)):
        made = labels_made_whole(piece, tiling(ink_of(piece, text_width), sheet("a4")), text_width)
        planks = [Polygon(path.points).buffer(0.5) for path in piece.paths if path.role is Role.NOTE and path.closed]
        numbers = [label for label in made.labels if label.text.isdigit() and label.listed]
        drawn = [label for label in piece.labels if label.text.isdigit() and label.listed]
        assert len(numbers) == len(drawn) > 3
        for label in numbers:
            assert any(plank.contains(Point(label.at)) for plank in planks), (piece.name, label.text)


@ALL
def test_every_line_of_the_grid_that_has_a_name_is_to_be_seen(name: str) -> None:
    """Of a line that lettering hides nothing is left but its name, which then reads as part of the lettering."""
    pitch, hidden, found = (100.0 if boat(name).hull.units == "mm" else 101.6), [], 0
    for piece in bands(name):
        ruled = [path.points for path in piece.paths if path.role is Role.NOTE and len(path.points) == 2]
        for label in piece.labels:
            axis = 1 if label.text.endswith((" up", " down")) and abs(label.angle) < 1e-9 else 0
            if axis == 0 and not label.text.endswith(" out"):
                continue
            # its line is the multiple of the pitch that its letters stand next to
            nearest = pitch * round(label.at[axis] / pitch)
            if label.height != 2.2 or "," in label.text or abs(label.at[axis] - nearest) > 6.0:
                continue
            found += 1
            here = [points for points in ruled if np.abs(points[:, axis] - nearest).max() < 1e-6]
            if sum(float(np.ptp(points[:, 1 - axis])) for points in here) < 5.0:
                hidden.append(f"{piece.name}: {label.text}")
    assert found > 5
    assert hidden == []


def test_what_has_no_room_on_a_mould_s_edge_is_in_its_notes() -> None:
    """The canoe's strakes are narrow: some flats are shorter than the words for their bevel."""
    drawn, noted = boat_of(read_hull(CANOE)), 0
    moulds = [mould for mould in moulds_of(drawn) if not mould.shape.station.mirrors]
    for mould, piece in zip(moulds, band_pieces(drawn)[: len(moulds)], strict=True):
        listed = {label.listed for label in piece.labels}
        (bevels,) = [note for note in piece.notes if note.startswith("No room along the edge")] or [""]
        taken = taken_off(mould.faces, mould.shape, flats_of(mould.shape, mould.outline.foot))
        for number, (flat, off) in enumerate(zip(flats_of(mould.shape, mould.outline.foot), taken, strict=True), 1):
            if flat is not None and off >= SQUARE:
                assert (f"edge at strake {number}" in listed) != (f"at strake {number}: " in bevels)
        (figures,) = [note for note in piece.notes if note.startswith("No room at the mark")] or [""]
        lands = figures.partition(" of land")[2].partition(":")[0].removeprefix("s").replace(",", " ").split()
        marked = [label for label in piece.labels if " out, " in label.text]
        assert len(marked) + len(lands) == sum(
            flat is not None for flat in flats_of(mould.shape, mould.outline.foot)[:-1]
        )
        noted += bool(bevels) + bool(figures)
    assert noted > 2
