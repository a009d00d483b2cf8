"""One HTML file that shows the planked boat, opens from disk and needs no network."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import land_places, outside_geralds, station_place
from templates_gen.geometry.planking import PlankedShell
from templates_gen.hull.measured.as_built import AsBuilt
from templates_gen.look.measure.figures import measuring_data
from templates_gen.look.placing import marks_of, placed
from templates_gen.look.planking import land_tables, strake_bodies
from templates_gen.look.timbers import solids
from templates_gen.look.work import stages_of_work
from templates_gen.notation import Notation
from templates_gen.report.finding import Finding
from templates_gen.report.lands.edges import wood_left
from templates_gen.report.measurements import measurements
from templates_gen.words import edition_words, on_sheet

Array = NDArray[np.float64]

_HERE = Path(__file__).parent
_SAMPLES = 121
_STEPS = 401
SCRIPTS = (
    "page_tabs.js",
    "page_bodies.js",
    "page_view.js",
    "page_scene.js",
    "page_notation.js",
    "page_plans.js",
    "page_boat.js",
    "page_section.js",
    "page_tape.js",
    "page_store.js",
    "page_work.js",
    "page_print.js",
    "page.js",
)
"""The page's own scripts, in the order in which they are loaded; the last one starts the page."""

MEASURE_SCRIPTS = (
    "rule",
    "record",
    "moulds",
    "files",
    "findings",
    "reader",
    "opening",
    "keypad",
    "tables",
    "saving",
    "view",
)
"""The scripts of the Measure view, in names of their own; the last one starts it."""


def page_html(
    boat: Boat,
    findings: Sequence[Finding],
    drawn: PlankedShell | None = None,
    measured: AsBuilt | None = None,
) -> bytes:
    """Return the page as UTF-8: library, script, style and data all inside it.

    For a boat as built, `drawn` is the same boat as drawn and `measured` what its as-built file holds. The moulds
    have the marks of the drawn boat: figures are measured from these marks, and the browser keeps them under the
    fingerprint of the drawing. The page begins with the strakes that hang.

    """
    data = _page_data(boat, findings, drawn, measured)
    page = _part("page.html")
    for mark, text in (
        ("/*STYLE*/", _part("page.css") + _part("measure/style.css")),
        ("/*LIBRARY*/", _part("three.min.js")),
        ("/*SCRIPT*/", "".join(_part(name) for name in SCRIPTS)),
        ("/*MEASURE*/", "".join(_part(f"measure/{name}.js") for name in MEASURE_SCRIPTS)),
        ("/*DATA*/", _script_safe(json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")))),
    ):
        page = page.replace(mark, text, 1)
    return page.encode()


def _page_data(
    boat: Boat, findings: Sequence[Finding], drawn: PlankedShell | None, measured: AsBuilt | None
) -> dict[str, Any]:
    """The data of the page: those of measurements.json, bodies, sections for the body plan, findings, the work."""
    record, bodies = measurements(boat), strake_bodies(boat)
    return {
        "measurements": _shortened(record),
        "figures": {
            "strakes": [_strake_figures(boat, k) for k in range(len(bodies))],
            "lands": [_land_figures(land, boat.hull.notation) for land in record["lands"]],
            "depths": boat.hull.notation.depth_words,
            "depth_step": boat.hull.notation.depth_step,
            "least_edge": [boat.hull.notation.spoken_depth(least) for least in boat.hull.planking.least_edge],
        },
        "notation": {"units": boat.hull.notation.units, "depths": boat.hull.notation.depths},
        "stations": [
            {"name": on_sheet(station_place(boat.hull, station)), "x": station.at}
            for station in boat.hull.moulded_stations
        ],
        "land_tables": land_tables(boat),
        "marks": marks_of(boat, bodies),
        "work": stages_of_work(boat, 0 if measured is None else measured.hung, drawn),
        "hung": None if measured is None else measured.hung,
        "edition": edition_words(boat.hull.edition),
        "thickness": list(boat.hull.planking.thickness),
        "least_edge": list(boat.hull.planking.least_edge),
        "lap": boat.hull.planking.lap,
        "waterline": boat.hull.waterline,
        "bodies": [body.record() for body in bodies],
        "timbers": [solid.record() for solid in solids(boat)],
        "land_lines": [_rounded(_land_line(boat, k)) for k in range(1, boat.hull.planking.strakes)],
        "backbone": _rounded(_backbone(boat)),
        "sections": _sections(boat),
        "findings": [placed(boat, finding) for finding in findings],
        "side": boat.hull.side,
        "measuring": measuring_data(boat, drawn, measured),
    }


def _strake_figures(boat: Boat, index: int) -> list[tuple[str, str]]:
    """What is shown of the strake at an index, as it is written on the templates."""
    notation, measure, hang = boat.hull.notation, boat.extents[index], boat.bendings[index]
    radius = hang.least_bend_radius
    return [
        ("length", notation.spoken_length(measure.length)),
        ("greatest width", notation.spoken_length(measure.greatest_width)),
        ("board", " × ".join(notation.spoken_length(size) for size in measure.blank)),
        ("sweep", notation.spoken_length(measure.sweep)),
        ("thickness", notation.spoken_thickness(boat.hull.planking.thickness[index])),
        *_least_edge(boat, index + 1),
        ("twist, worst metre", f"{np.degrees(hang.twist_per_metre):.1f}°"),
        ("tightest bend, radius", notation.spoken_length(radius) if np.isfinite(radius) else "no bend"),
        ("bending", hang.verdict),
    ]


def _least_edge(boat: Boat, strake: int) -> list[tuple[str, str]]:
    """What planing leaves at least of a strake's edges, clear of its geralds; nothing of one that laps over none."""
    shell = boat.shell
    left, clear = np.inf, ""
    for land in {strake - 1, strake} & set(range(1, shell.planking.strakes)):
        named = [place.u for place in land_places(shell, land)]
        u = np.union1d(np.linspace(shell.u_fore, shell.u_aft, _STEPS), named)
        outside = outside_geralds(shell, land, u)
        clear = clear if outside.all() else ", clear of the geralds"
        wood = [values[outside].min() for number, _, values in wood_left(shell, land, u) if number == strake]
        left = min(left, float(min(wood)))
    return [(f"least edge left{clear}", boat.hull.notation.spoken_depth(left))] if np.isfinite(left) else []


def _land_figures(land: dict[str, Any], notation: Notation) -> list[tuple[str, ...]]:
    """A row for each place of a land of measurements.json."""
    return [
        (
            at["place"],
            f"{at['bevel']:.1f}°",
            notation.depth_cell(at["take_off"]),
            at["planed_on"],
            *(notation.depth_cell(at[key]) for key in ("edge_left", "gap_before", "gerald_depth")),
        )
        for at in land["at"]
    ]


def _part(name: str) -> str:
    return (_HERE / name).read_text(encoding="utf-8")


def _script_safe(text: str) -> str:
    """JSON in which nothing can end the script element that holds it."""
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def _shortened(record: Any) -> Any:
    """Plain data with numbers to a millionth, half as long to write, and without the lands' long lines of depth."""
    if isinstance(record, dict):
        return {key: _shortened(value) for key, value in record.items() if key != "take_off_line"}
    if isinstance(record, list):
        return [_shortened(value) for value in record]
    return round(record, 6) if isinstance(record, float) else record


def _rounded(points: Array) -> Any:
    return (np.round(points, 1) + 0.0).tolist()


def _land_line(boat: Boat, land: int) -> Array:
    """Where strake k + 1's lower edge shows outside, (m, 3)."""
    shell = boat.shell
    u = np.linspace(shell.u_fore, shell.u_aft, _SAMPLES)
    return shell.face(land + 1, u, np.zeros_like(u), shell.planking.thickness[land])


def _backbone(boat: Boat) -> Array:
    """The whole rabbet line, (m, 3); a stem that meets the keel in a corner has a line of its own."""
    line = boat.shell.hung.rabbet_line
    fore, aft = ([stem.batten] if stem is not None and stem.cornered else [] for stem in (line.fore, line.aft))
    return np.concatenate(
        [batten.point(np.linspace(0.0, float(batten.knots[-1]), _SAMPLES)) for batten in (*fore, line.keel, *aft)]
    )


def _sections(boat: Boat) -> list[dict[str, Any]]:
    return [
        {
            "station": shape.station.name,
            "planks": [_rounded(plank.outline) for plank in boat.plank_sections[shape.station.name]],
            "marks": _rounded(shape.land_marks),
        }
        for shape in boat.moulds
    ]
