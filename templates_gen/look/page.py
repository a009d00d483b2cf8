"""One HTML file that shows the planked boat, opens from disk and needs no network."""

import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from templates_gen.geometry.boat import Boat
from templates_gen.geometry.places import strake_places
from templates_gen.look.meshes import COLUMNS, strake_bodies
from templates_gen.report.finding import Finding
from templates_gen.report.measurements import measurements
from templates_gen.words import in_message

Array = NDArray[np.float64]

_HERE = Path(__file__).parent
_SAMPLES = 121


def page_html(boat: Boat, findings: Sequence[Finding]) -> bytes:
    """Return the page as UTF-8: library, script, style and data all inside it.

    The data are those of measurements.json, bodies to be shown, sections for the body plan and the findings.
    """
    bodies = strake_bodies(boat)
    data = {
        "measurements": measurements(boat),
        "units": boat.hull.units,
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
        "findings": [_finding(boat, finding, bodies) for finding in findings],
    }
    page = _part("page.html")
    for mark, text in (
        ("/*STYLE*/", _part("page.css")),
        ("/*LIBRARY*/", _part("three.min.js")),
        ("/*SCRIPT*/", _part("page_scene.js") + _part("page_plans.js") + _part("page.js")),
        ("/*DATA*/", _script_safe(json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")))),
    ):
        page = page.replace(mark, text, 1)
    return page.encode()


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


def _finding(boat: Boat, finding: Finding, bodies: list[dict[str, Any]]) -> dict[str, Any]:
    """A finding with the land or strake that it is about and the point to show it at, where it has one.

    What is said of a strake's twist is shown where it twists most.
    """
    record: dict[str, Any] = {"severity": finding.severity, "about": finding.about, "text": finding.text}
    words = f"{finding.place} {finding.text}"
    land, strake = re.search(r"\bland (\d+)", words), re.search(r"\bstrakes? (\d+)", words)
    u = np.array([_ruling(boat, words)])
    count = boat.hull.planking.strakes
    if land and 1 <= int(land[1]) < count:
        record["land"] = int(land[1])
        record["at"] = _rounded(boat.shell.upper(int(land[1]), u)[0])
    elif strake and 1 <= int(strake[1]) <= count:
        number = int(strake[1])
        record["strake"] = number
        if "twist" in finding.text:
            nodes = np.array(bodies[number - 1]["nodes"]).reshape(COLUMNS, -1, 3)
            record["at"] = _rounded(nodes[int(np.argmax(bodies[number - 1]["twist"])), :2].mean(axis=0))
        else:
            thickness = boat.hull.planking.thickness[number - 1]
            record["at"] = _rounded(boat.shell.face(number, u, np.array([0.5]), thickness)[0])
    return record


def _ruling(boat: Boat, words: str) -> float:
    """The ruling of the place that a finding names; amidships if it names none."""
    shell = boat.shell
    if re.search(r"\bfore\b|\bstem\b", words) and "half-way" not in words:
        return shell.u_fore
    if re.search(r"\baft(er end)?\b|sternpost", words) and "half-way" not in words:
        return shell.u_aft
    for place in strake_places(shell):
        name = re.escape(place.station if place.kind == "station" else in_message(place.place))
        spoken = f"(mould|station) {name}" if place.kind == "station" else name
        if place.kind != "end" and re.search(rf"\b{spoken}(?!\w)", words):
            return place.u
    return (shell.u_fore + shell.u_aft) / 2
