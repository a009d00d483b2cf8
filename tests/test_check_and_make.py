"""`check` and `make` refuse the same boats: what computes without an error is drawn, and a refusal names its line."""

from collections.abc import Sequence
from pathlib import Path

import pytest
from typer.testing import CliRunner

from templates_gen.checking import Checked, where
from templates_gen.cli import app
from templates_gen.drawing.piece import Kind
from templates_gen.geometry import boat as boat_module
from templates_gen.geometry.ends import CrossingError
from templates_gen.render.pdf.plan import check_folio
from templates_gen.report import finding
from templates_gen.sheets import LIST_NAMES, for_router, header_of, sure_names
from templates_gen.templates.folios import KINDS
from tests.flow import checked, folio, measurements
from tests.scaled import scaled_file
from tests.sweep import more

HULLS = Path(__file__).parents[1] / "hulls"
SHAPES = Path(__file__).parent / "data" / "shapes"


def draw(path: Path, kinds: Sequence[Kind] = KINDS) -> Checked:
    """Compute a hull file's boat and draw all of it, if it can be built; where it cannot, each error has its line."""
    result = checked(path)
    for error in result.errors:
        assert where(error, path)[1] > 0, error.text
    if result.errors:
        return result
    assert result.boat is not None
    measurements(result.boat)
    made = set(LIST_NAMES)
    for kind in kinds:
        drawn = folio(result.boat, kind)
        check_folio(drawn, header_of(result.boat.hull))
        made |= {f"{kind}.pdf"} if drawn.pieces or drawn.tables else set()
        made |= for_router(drawn).keys()
    assert made >= set(sure_names(result.boat.hull, kinds))
    return result


@pytest.mark.parametrize("name", ["s075", *more("s046", "s060")])
def test_a_boat_is_refused_with_its_line_or_drawn_whole(name: str) -> None:
    draw(SHAPES / f"{name}.toml")


@pytest.mark.parametrize(
    ("length", "kinds"),
    more((10.0, ("strakes",)), (30.0, ("moulds", "bevels", "rebates", "transom"))),
)
def test_large_boats_are_drawn_whole(length: float, kinds: Sequence[Kind], tmp_path: Path) -> None:
    path = scaled_file(HULLS / "dinghy.toml", length / 3.64, tmp_path)
    assert draw(path, kinds).errors == ()


def test_what_only_a_mould_shows_is_refused_by_both_commands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise CrossingError("strake 2 does not cross the plane 582 mm aft of the datum")

    monkeypatch.setattr(finding, "MOST_TRIALS", 0)  # `tests/report/test_cures.py` tries the cures
    monkeypatch.setattr(boat_module, "mould_faces", refuse)
    hull = HULLS / "pram.toml"
    line = hull.read_text(encoding="utf-8").splitlines().index("[[station]]") + 1
    for command in (["check", str(hull)], ["make", str(hull), "--out", str(tmp_path / "out")]):
        result = CliRunner().invoke(app, command)
        assert result.exit_code == 1
        assert f"{hull}:{line}: error: mould 1: strake 2 does not cross the plane" in result.output
    assert not (tmp_path / "out").exists()
