"""The forms for the as-built file: every place of the boat, boxes for sides and directions, in its notation."""

from dataclasses import replace

import pytest

from templates_gen.hull.measured.as_built import place_names
from templates_gen.hull.model import Hull
from templates_gen.templates.forms import measure_folio, measure_form, measure_sketch
from tests import boats


@pytest.mark.parametrize("hull", [boats.dinghy(), boats.pram(), boats.double_ender()])
def test_a_form_has_a_row_for_each_place_in_order_and_a_box_for_each_direction(hull: Hull) -> None:
    table = measure_form(hull, 2)
    assert len(table.rows) == len(place_names(hull))
    assert [row[0] for row in table.rows[1:-1]] == [f"mould {one.name}" for one in hull.stations]
    assert [heading.split("\n")[0] for heading in table.columns[1:]] == ["port:", "port:", "starboard:", "starboard:"]
    assert [heading.split("toward ")[1] for heading in table.columns[1:]] == ["SHEER", "KEEL"] * 2
    assert all(set(cell) == {"…"} for row in table.rows for cell in row[1:])
    assert table.is_form


def test_ends_are_called_what_they_are() -> None:
    hulls = (boats.dinghy(), boats.pram(), boats.double_ender())
    names = [tuple(measure_form(hull, 1).rows[at][0] for at in (0, -1)) for hull in hulls]
    assert names == [("stem", "transom"), ("fore transom", "after transom"), ("stem", "sternpost")]


def test_a_station_without_a_mould_is_called_a_station() -> None:
    hull = boats.dinghy()
    first, *rest = hull.stations
    some = replace(hull, stations=(replace(first, mould=False), *rest))
    assert [row[0] for row in measure_form(some, 1).rows[1:3]] == [f"station {first.name}", f"mould {rest[0].name}"]
    none = replace(hull, stations=tuple(replace(station, mould=False) for station in hull.stations))
    (table,), sketch = measure_folio(none, (2,)).tables, measure_folio(none, (2,)).sketch
    assert sketch is not None
    words = [row[0] for row in table.rows] + [*table.notes] + [label.text for label in sketch.labels]
    assert not any("mould" in text for text in words)
    assert "marks that were set out from the drawing" in " ".join(table.notes)


def test_figures_are_in_the_boats_notation() -> None:
    metric, eighths = boats.dinghy(), boats.double_ender()
    assert measure_form(metric, 1).columns[0] == "place\n(mm)"
    assert "half a millimetre" in " ".join(measure_form(metric, 1).notes)
    in_mm = measure_form(replace(eighths, depths="mm"), 1)
    assert in_mm.columns[0] == "place\n(mm)"
    in_64ths = measure_form(replace(eighths, depths="64ths"), 1)
    assert in_64ths.columns[0] == "place\n(in)"
    assert "a sixteenth of an inch" in " ".join(in_64ths.notes)


def test_the_sheer_strake_has_no_lap_to_write_down() -> None:
    hull = boats.dinghy()
    count = hull.planking.strakes
    assert "Lap set off on it for strake 2" in measure_form(hull, 1).notes[0]
    assert "Lap" not in measure_form(hull, count).notes[0]
    notes = " ".join(measure_form(hull, count).notes)
    assert "marks that were drawn when the moulds were made" in notes


def test_a_folio_holds_the_strakes_that_are_asked_for() -> None:
    hull = boats.dinghy()
    assert [table.title for table in measure_folio(hull, (3,)).tables] == ["Strake 3 as hung"]
    assert len(measure_folio(hull, range(1, 10)).tables) == 9


def test_the_sketch_has_room_on_the_first_page() -> None:
    sketch = measure_sketch()
    for path in sketch.paths:
        assert path.points.min() >= 0.0
        assert path.points[:, 0].max() <= 75.0
        assert path.points[:, 1].max() <= 100.0
