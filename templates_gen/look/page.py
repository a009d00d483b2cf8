"""The strakes as closed bodies to be shown, with what is left at their edges and how they twist.

One HTML file that shows the planked boat, opens from disk and needs no network.
"""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.about import About
from templates_gen.geometry.bending import running_twist
from templates_gen.geometry.boat import Boat
from templates_gen.geometry.flat_strakes import FlatStrake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.strake_marks import corner_shares
from templates_gen.look.measure.figures import measuring_data
from templates_gen.notation import Notation
from templates_gen.report.finding import Finding, ruling_at
from templates_gen.report.measurements import measurements

Array = NDArray[np.float64]

COLUMNS = 97
"""Sections along each strake."""


def strake_bodies(boat: Boat) -> list[dict[str, Any]]:
    """Return each strake's body, garboard first.

    Returns
    -------
    list of dict
        "nodes": shape (COLUMNS, 8, 3) in one row, mm, the plank as it lies finished, round from the outside of its
        lower edge: four on the outer face, then four on the inner one from its upper edge down. "left": shape
        (COLUMNS, 2), what is left of the thickness at its lower and its upper edge, mm. "twist": shape (COLUMNS,),
        degrees over the metre about it.
    """
    return [_body(boat.shell, strake) for strake in boat.strakes]


def _body(shell: PlankedShell, strake: FlatStrake) -> dict[str, Any]:
    thickness = shell.planking.thickness[strake.number - 1]
    even = np.linspace(0.0, 1.0, COLUMNS)
    share = 0.3 * even + 0.35 * (1.0 - np.cos(np.pi * even))
    low, low_corner, low_share = _lower_losses(strake, share)
    high, high_lap, high_share = _upper_losses(strake, share)
    full, nothing = np.full(COLUMNS, thickness), np.zeros(COLUMNS)
    rails = [
        (nothing, full),
        (high_share, full),
        (high_share, full - high_lap),
        (nothing + 1.0, full - high),
        (nothing + 1.0, nothing),
        (low_share, nothing),
        (low_share, low_corner),
        (nothing, low),
    ]
    nodes = np.stack([_points(shell, strake, share, v, out) for v, out in rails], axis=1)
    twist = running_twist(strake).per_metre(_rulings(strake, share, np.full(COLUMNS, 0.5)))
    return {
        "nodes": np.round(nodes, 1).ravel().tolist(),
        "left": np.round(np.stack([thickness - low, thickness - high], axis=1), 2).tolist(),
        "twist": np.round(np.degrees(twist), 1).tolist(),
    }


def _lower_losses(strake: FlatStrake, share: Array) -> tuple[Array, Array, Array]:
    """What comes off the inner face at the lower edge and at the lower strake's corner, and v of that corner."""
    shell, land = strake.shell, strake.number - 1
    if land == 0:
        return np.zeros(COLUMNS), np.zeros(COLUMNS), np.full(COLUMNS, 0.1)
    u = _rulings(strake, share, np.zeros(COLUMNS))
    off = shell.losses(land, u)
    return off.upper_at_lap_line, off.upper_at_edge, corner_shares(shell, land, u)


def _upper_losses(strake: FlatStrake, share: Array) -> tuple[Array, Array, Array]:
    """What comes off the outer face at the upper edge and at the lap line, and v of that line."""
    shell, land = strake.shell, strake.number
    if land == shell.planking.strakes:
        return np.zeros(COLUMNS), np.zeros(COLUMNS), np.full(COLUMNS, 0.9)
    u = _rulings(strake, share, np.ones(COLUMNS))
    off = shell.losses(land, u)
    return off.lower_at_edge, off.lower_at_lap_line, shell.lap_share(land, u)


def _rulings(strake: FlatStrake, share: Array, v: Array) -> Array:
    """u at shares of the way from end to end, along a line at shares v across."""
    fore = np.array([strake.end_ruling("fore", float(one)) for one in v])
    aft = np.array([strake.end_ruling("aft", float(one)) for one in v])
    return np.asarray(fore + share * (aft - fore))


def _points(shell: PlankedShell, strake: FlatStrake, share: Array, v: Array, out: Array) -> Array:
    """Points at shares v across and `out` mm from the inner face, shape (m, 3)."""
    u = _rulings(strake, share, v)
    inner = shell.face(strake.number, u, v)
    return np.asarray(inner + out[:, None] * shell.normal(strake.number, u, v))


_HERE = Path(__file__).parent
_SAMPLES = 121
SCRIPTS = (
    "page_tabs.js",
    "page_scene.js",
    "page_plans.js",
    "page.js",
)
"""The page's own scripts, in the order in which they are loaded; the last one starts the page."""

MEASURE_SCRIPTS = ("rule", "record", "files", "findings", "reader", "keypad", "tables", "view")
"""The scripts of the Measure view, in names of their own; the last one starts it."""


def page_html(boat: Boat, findings: Sequence[Finding]) -> bytes:
    """Return the page as UTF-8: library, script, style and data all inside it.

    The data are those of measurements.json, bodies to be shown, sections for the body plan and the findings.
    """
    record, bodies = measurements(boat), strake_bodies(boat)
    data = {
        "measurements": record,
        "figures": {
            "strakes": [_strake_figures(boat, k, body) for k, body in enumerate(bodies)],
            "lands": [_land_figures(land, boat.hull.notation) for land in record["lands"]],
            "depths": boat.hull.notation.depth_words,
            "depth_step": boat.hull.notation.depth_step,
        },
        "edition": boat.hull.edition or "",
        "thickness": list(boat.hull.planking.thickness),
        "least_edge": list(boat.hull.planking.least_edge),
        "lap": boat.hull.planking.lap,
        "waterline": boat.hull.waterline,
        "bodies": bodies,
        "land_lines": [_rounded(_land_line(boat, k)) for k in range(1, boat.hull.planking.strakes)],
        "backbone": _rounded(_backbone(boat)),
        "transoms": [_rounded(boat.shell.hung.faces[t.end].point(t.face_outer)) for t in boat.transoms],
        "sections": _sections(boat),
        "findings": [_finding(boat, finding) for finding in findings],
        "measuring": measuring_data(boat),
    }
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


def _strake_figures(boat: Boat, index: int, body: dict[str, Any]) -> list[tuple[str, str]]:
    """What is shown of the strake at an index, as it is written on the templates."""
    notation, measure, hang = boat.hull.notation, boat.extents[index], boat.bendings[index]
    radius = hang.least_bend_radius
    return [
        ("length", notation.spoken_length(measure.length)),
        ("greatest width", notation.spoken_length(measure.greatest_width)),
        ("board", " × ".join(notation.spoken_length(size) for size in measure.blank)),
        ("sweep", notation.spoken_length(measure.sweep)),
        ("thickness", notation.spoken_thickness(boat.hull.planking.thickness[index])),
        ("least edge left", notation.spoken_depth(float(np.min(body["left"])))),
        ("twist, worst metre", f"{np.degrees(hang.twist_per_metre):.1f}°"),
        ("tightest bend, radius", notation.spoken_length(radius) if np.isfinite(radius) else "no bend"),
        ("bending", hang.verdict),
    ]


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


def _finding(boat: Boat, finding: Finding) -> dict[str, Any]:
    """A finding with the land or strake that it is about and the point to show it at, where it has one."""
    record: dict[str, Any] = {"severity": finding.severity, "about": finding.about, "text": finding.text}
    where, strakes = finding.where, boat.hull.planking.strakes
    if where is None or where.number is None:
        return record
    u = np.array([_ruling(boat, where)])
    if where.thing in ("land", "bevel") and where.number < strakes:
        return record | {"land": where.number, "at": _rounded(boat.shell.upper(where.number, u)[0])}
    if where.number > strakes:
        return record
    middle = boat.shell.face(where.number, u, np.array([0.5]), boat.hull.planking.thickness[where.number - 1])
    return record | {"strake": where.number, "at": _rounded(middle[0])}


def _ruling(boat: Boat, where: About) -> float:
    """The ruling of the place that a finding is about; that of its end, or amidships, where it has no place."""
    if where.place is None and where.end is not None:
        return boat.shell.u_end(where.end)
    return ruling_at(boat.shell, where.place)
