"""Patterns of what goes inside a boat as built: they fit the planking that hangs, and each side where they differ."""

import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray

from templates_gen.at_boat.as_built import AsBuiltChecked, as_built_files
from templates_gen.drawing.piece import Role
from templates_gen.errors import HullFileError
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.inside.across import AcrossShape
from templates_gen.paper.sheet import sheet
from templates_gen.sheets import JobFiles, Printing
from templates_gen.stock.plan import Stock
from templates_gen.templates.folios import Planked
from templates_gen.templates.still_to_make import AsHung, folios_to_make
from tests.flow import checked, checked_as_built

Array = NDArray[np.float64]
DINGHY = Path(__file__).resolve().parents[2] / "hulls" / "dinghy.toml"
PIECES = """
[[inside]]
kind = "bulkhead"
at = {at}
thickness = 12.0
[[inside]]
kind = "breasthook"
thickness = 25.0
arm = 260.0
throat = 90.0
[[inside]]
kind = "gunwale"
part = "inwale"
width = 18.0
depth = 28.0
"""
PLACES = ("fore", "1", "2", "3", "4", "5", "aft")
COUNT = 9


def row(by: float) -> str:
    return "above_mark = { " + ", ".join(f"{place} = {by}" for place in PLACES) + " }\n"


def hull_file(folder: Path, at: str = "1200.0") -> Path:
    """The dinghy with a bulkhead on the line of its station 2, a breasthook and an inwale."""
    text = DINGHY.read_text(encoding="utf-8")
    head, mark, rest = text.partition("# ---- Lands:")
    path = folder / "boat.toml"
    path.write_text(head + PIECES.format(at=at) + mark + rest, encoding="utf-8")
    return path


def as_built(folder: Path, log: str, at: str = "1200.0") -> AsBuiltChecked:
    path = folder / "log.toml"
    path.write_text(f'format = 1\nunits = "mm"\n{log}', encoding="utf-8")
    return checked_as_built(hull_file(folder, at), path)


def files(result: AsBuiltChecked, *only: str) -> JobFiles:
    return as_built_files(result, Printing(sheet("a4", 10.0), to_print="bench"), only)


def corners(boat: Boat | None) -> Array:
    """The strakes' upper inside corners on the bulkhead, shape (N, 2)."""
    assert boat is not None
    (shape,) = (one for one in boat.inside if isinstance(one, AcrossShape))
    return np.stack([facet.line[-1] for facet in shape.near.facets])


def test_a_bulkhead_at_a_station_has_its_corners_where_the_strakes_were_measured(tmp_path: Path) -> None:
    assert '\nname = "2"\nat = 1200.0' in DINGHY.read_text(encoding="utf-8")
    drawn = corners(checked(hull_file(tmp_path)).boat)
    for hung, by in ((5, 2.0), (COUNT - 1, -1.5)):
        result = as_built(tmp_path, "".join(f"[strake.{k}]\n{row(by)}" for k in range(1, hung + 1)))
        off = corners(result.boat)[:hung] - drawn[:hung]
        # so far along the section from the drawn corner, toward the sheer where it is more than 0
        assert np.linalg.norm(off, axis=1) == pytest.approx(np.full(hung, abs(by)), abs=0.1)
        assert (np.sign(off[:, 1]) == np.sign(by)).all()


def test_each_side_has_patterns_of_its_own_where_the_two_are_not_alike(tmp_path: Path) -> None:
    sides = "".join(f"[strake.{k}.port]\n{row(2.0)}[strake.{k}.starboard]\n{row(-2.0)}" for k in range(1, 5))
    result = as_built(tmp_path, sides)
    port, starboard = corners(result.boat), corners(result.starboard)
    apart = np.linalg.norm(port - starboard, axis=1)
    assert apart[:4] == pytest.approx(np.full(4, 4.0), abs=0.2)
    assert apart[-1] == pytest.approx(0.0, abs=1e-6)
    (made,) = folios_to_make(hung_boats(result), "full", ["inside"])
    names = [piece.name for piece in made.pieces]
    kinds = ("bulkhead 1", "breasthook 1", "gunwale 1 sections", "gunwale 1")
    assert names == [f"{kind} {side}" for side in ("PORT", "STARBOARD") for kind in kinds]
    for piece in made.pieces:
        side = piece.name.rsplit(" ", 1)[1]
        assert piece.facing is None or piece.facing.hand == side.lower()
        other = {"PORT": "STARBOARD", "STARBOARD": "PORT"}[side]
        assert not any(other in words for words in (*piece.title, *(label.text for label in piece.labels)))
        assert piece.notes[0] == (
            "It fits the planking as it was measured up to strake 4, and strakes 5 to 9 as lined off; make it again "
            "when they hang."
        )
        assert piece.notes[1].startswith("Port and starboard differ by 4 mm at most: each has patterns of its own")
    one, two = (piece for piece in made.pieces if piece.name.startswith("bulkhead"))
    outlines = [next(path.points for path in piece.paths if path.role == Role.CUT) for piece in (one, two)]
    # the wood stands forward of the line, so that its face there is seen from aft, with starboard on the right
    assert outlines[0][:, 0].max() <= 1e-6
    assert outlines[1][:, 0].min() >= -1e-6
    assert -outlines[0][:, 0].min() == pytest.approx(outlines[1][:, 0].max(), abs=1.0)


def hung_boats(result: AsBuiltChecked) -> list[AsHung]:
    measured = result.measured
    pairs = ((result.boat, measured.relined, "port"), (result.starboard, measured.starboard, "starboard"))
    note = "Port and starboard differ by 4 mm at most: each has patterns of its own, and both run to the same sheer."
    return [
        AsHung(Planked(boat, Stock(()), None, 5.0, side), relined, measured.drawn, note)  # type: ignore[arg-type]
        for boat, relined, side in pairs
        if boat is not None and relined is not None
    ]


def test_when_every_strake_hangs_the_patterns_inside_are_made_and_nothing_else(tmp_path: Path) -> None:
    log = "".join(f"[strake.{k}]\n{row(0.5)}" for k in range(1, COUNT + 1))
    result = as_built(tmp_path, log)
    assert not [one.text for one in result.findings if "off the section" in one.text]
    assert any(one.text == "every strake is hung: what fits inside is left to make" for one in result.findings)
    job = files(result)
    assert {"inside.pdf", "inside.dxf"} <= set(job.files)
    assert "strakes.pdf" not in job.files
    pages = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(job.files["read-me-first.pdf"])]
    assert "It fits the planking as it was measured." in " ".join(" ".join(pages).split())
    (record,) = [one for one in json.loads(job.files["measurements.json"])["inside"] if one["name"] == "bulkhead 1"]
    edge = np.array(record["edge"])
    for corner in corners(result.boat):
        assert np.linalg.norm(edge - corner, axis=1).min() < 1e-6


def test_when_every_strake_hangs_and_nothing_goes_inside_nothing_is_left(tmp_path: Path) -> None:
    log = tmp_path / "log.toml"
    log.write_text("format = 1\n" + "".join(f"[strake.{k}]\n{row(0.5)}" for k in range(1, COUNT + 1)))
    bare = checked_as_built(DINGHY, log)
    with pytest.raises(HullFileError, match="nothing is left to make"):
        files(bare)


def test_what_does_not_fit_inside_does_not_stop_the_planking(tmp_path: Path) -> None:
    result = as_built(tmp_path, f"[strake.1]\n{row(0.5)}", at="60.0")
    (finding,) = [one for one in result.findings if one.where and one.where.thing == "bulkhead"]
    assert finding.severity == "warning"
    assert finding.text.endswith("This does not stop the planking")
    assert not any(one.severity == "error" for one in result.findings)
