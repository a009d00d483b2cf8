"""The beginning of a boat's log: it reads as it stands, and with its examples, and is refused by a changed hull."""

from pathlib import Path

import pytest

from templates_gen.errors import HullFileError
from templates_gen.geometry.as_built.boat import drawn_widths
from templates_gen.hull.measured.as_built import AsBuilt, half_way_names, place_names, read_as_built
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.hull.scaffold import log_to_start
from tests.flow import shell_of

HULLS = sorted((Path(__file__).resolve().parents[2] / "hulls").glob("*.toml"))


def read(text: str, hull: Hull, folder: Path) -> AsBuilt:
    path = folder / "log.toml"
    path.write_text(text, encoding="utf-8")
    return read_as_built(path, hull, drawn_widths(shell_of(hull)))


@pytest.mark.parametrize("path", HULLS, ids=lambda path: path.stem)
def test_a_log_begins_with_the_drawing_and_the_stock_and_reads_as_it_stands(path: Path, tmp_path: Path) -> None:
    hull = read_hull(path)
    text = log_to_start(hull)
    built = read(text, hull, tmp_path)
    assert (built.hung, built.moulds, built.has_sides) == (0, (), False)
    assert f'hull = "{hull.fingerprint}"' in text
    alike = len(set(hull.planking.thickness)) == 1
    assert built.stock == pytest.approx(hull.planking.thickness[0] if alike else None, abs=1e-6)
    # with the signs of remarks taken off its examples are a boat with one strake hung as drawn, and a mould and
    # an end out
    lines = [line.removeprefix("# ") if line.startswith("# ") and "=" in line else line for line in text.splitlines()]
    (half_way,) = (line for line in lines if "Half-ways" in line)
    name, figure = half_way.removesuffix(".").split(": ")[1].split(" = ")
    lines = [line.replace("toward_sheer = {", f"toward_sheer = {{ {name} = {figure},") for line in lines]
    examples = ("# [strake.1]", "# [end.fore]", *(f"# [mould.{name}]" for name in place_names(hull)))
    lines = [line[2:] if line in examples else line for line in lines if "Half-ways" not in line]
    full = read("\n".join(lines), hull, tmp_path)
    between = half_way_names(hull)[1]
    little = 2.0 if hull.units == "mm" else 25.4 / 8.0
    assert full.strakes[0].above_mark == dict.fromkeys(place_names(hull), 0.0) | {between: pytest.approx(little)}
    assert full.strakes[0].thickness == pytest.approx(hull.planking.thickness[0], abs=1e-6)
    mould, end = full.moulds
    assert mould.port[1] == pytest.approx(little)
    assert (end.name, end.port) == ("fore", pytest.approx((-little, 0.0, 0.0)))


def test_a_changed_hull_file_refuses_the_log_that_was_begun_before(tmp_path: Path) -> None:
    text = HULLS[0].read_text(encoding="utf-8")
    copy = tmp_path / "boat.toml"
    copy.write_text(text, encoding="utf-8")
    log = log_to_start(read_hull(copy))
    copy.write_text(text.replace("lap = 19.0", "lap = 20.0"), encoding="utf-8")
    changed = read_hull(copy)
    assert changed.planking.lap == 20.0
    with pytest.raises(HullFileError) as refused:
        read(log, changed, tmp_path)
    (fault,) = refused.value.faults
    assert (fault.key, fault.line) == ("hull", 4)
    assert "the hull file was changed since; give the hull file that the moulds were made from" in fault.text
    assert changed.fingerprint in fault.expected
