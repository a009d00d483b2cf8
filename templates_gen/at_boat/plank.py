"""A plank measured on a boat that has no drawing: from the builder's file to the plank's files."""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from templates_gen.about import ENDS
from templates_gen.checking import refuse_letters
from templates_gen.geometry.plank.lands import PlankLand, lands_of, take_off
from templates_gen.geometry.plank.marks import fastenings_along
from templates_gen.geometry.plank.outline import FlatPlank, flat_plank
from templates_gen.geometry.plank.shape import end_problems, hole_problems, shape_problems
from templates_gen.hull.measured.plank_file import read_plank
from templates_gen.hull.measured.spiling import EDGES
from templates_gen.hull.problem import refused
from templates_gen.notation import BlankSet, DepthName
from templates_gen.output import json_bytes
from templates_gen.report.at_boat.plank import plank_findings
from templates_gen.report.finding import Finding
from templates_gen.report.possible.of_boat import first_crossing
from templates_gen.sheets import JobFiles, Printing, on_paper, rendered
from templates_gen.templates.forms import plank_form_folio
from templates_gen.templates.plank.pieces import plank_folio
from templates_gen.units import DEG_PER_RAD, UnitName

PLANK_NAMES = ("plank.pdf", "plank.dxf", "plank.json")
FORM_NAMES = ("plank-form.pdf",)


@dataclass(frozen=True)
class PlankToMake:
    """A measured plank laid flat, with its lands and the findings about its figures, which name its file."""

    plank: FlatPlank
    lands: tuple[PlankLand, ...]
    findings: tuple[Finding, ...]


def plank_to_make(path: Path, depths: DepthName | None = None) -> PlankToMake:
    """Return a plank measured on the boat, its edges and bevels made fair.

    Raises
    ------
    HullFileError
        With every fault of the file, or with the reason why its figures make no plank.
    """
    measured = read_plank(path, depths)
    names = [(("name",), measured.name), *(((measured.table_of(place), place), place) for place in measured.places)]
    refuse_letters(names, path, measured.source.line_of)
    with np.errstate(all="ignore"):
        bad_ends = [*end_problems(measured)]
        if bad_ends:
            raise refused(bad_ends, measured.source)
        plank = flat_plank(measured)
        problems = [*shape_problems(plank, first_crossing)]
        if problems:
            raise refused(problems, measured.source)
        lands = lands_of(plank)
        problems = [problem for land in lands if land.side == "below" for problem in hole_problems(land)]
        if problems:
            raise refused(problems, measured.source)
        found = plank_findings(plank, lands)
    line_of = measured.source.line_of
    located = tuple(replace(one, key=(), file=str(path), line=line_of(one.key)) for one in found)
    return PlankToMake(plank, lands, located)


def plank_files(result: PlankToMake, printing: Printing) -> JobFiles:
    """Return the files of a measured plank by their names: plank.pdf, plank.dxf, plank.json."""
    folio = plank_folio(result.plank, result.lands)
    part = rendered(result.plank.measured, folio, printing, is_alone=True)
    files = {f"plank.{ending}": part.files[f"{folio.kind}.{ending}"] for ending in ("pdf", "dxf")}
    return JobFiles(files | {"plank.json": json_bytes(plank_record(result))})


def plank_form(units: UnitName, printing: Printing) -> JobFiles:
    """Return the blank form to measure a plank by: plank-form.pdf."""
    part = on_paper(BlankSet(units), plank_form_folio(), printing, is_alone=True)
    return JobFiles({"plank-form.pdf": part.files["strakes.pdf"]})


def plank_record(result: PlankToMake) -> dict[str, object]:
    """Return a measured plank for programs: outline, marks, every point's miss, and its lands, mm and degrees."""
    plank, measured = result.plank, result.plank.measured
    net = {"lower": plank.lower, "upper": plank.upper, "fore": plank.ends["fore"], "aft": plank.ends["aft"]}
    fastened = [found for land in result.lands if land.side == "below" and (found := fastenings_along(land))]
    return {
        "format": 1,
        "boat": measured.name,
        "fingerprint": measured.fingerprint,
        "strake": measured.strake,
        "side": measured.side,
        "thickness": measured.thickness,
        "outline": {name: line.tolist() for name, line in net.items()},
        "marks": [
            {"place": tick.place.station, "lower": tick.lower.tolist(), "upper": tick.upper.tolist()}
            for tick in plank.ticks()
        ],
        "points": [
            {
                "edge": edge,
                "place": place,
                "above": float(fair.run.off[k]),
                "left_out": bool(fair.run.is_left_out[k]),
            }
            for edge in EDGES
            for fair in [plank.edges[edge]]
            for k, place in enumerate(fair.places)
        ],
        "lands": [_land_record(land) for land in result.lands],
        "fastenings": [centre.tolist() for found in fastened for centre in found.centres],
        "fastened_through_old_holes": measured.reuses_holes,
        "not_measured": [
            *(f"bevels of land {land.land}" for land in result.lands if land.run is None),
            *(f"gerald {end}" for end in ENDS if measured.ends[end].lacks_gerald),
            *(["turn"] if measured.turn is None else []),
        ],
    }


def _land_record(land: PlankLand) -> dict[str, object]:
    """A land's bevels where they were read, degrees, with what they take off, and its geralds, mm."""
    run = land.run
    rows: list[dict[str, object]] = []
    if run is not None:
        fair = run.at(run.along)
        for k, place in enumerate(land.places):
            rows.append(
                {
                    "place": place,
                    "read": land.read[k].angle * DEG_PER_RAD,
                    "bevel": float(fair[k]) * DEG_PER_RAD,
                    "take_off": float(take_off(fair[k], land.lap)),
                    "left_out": bool(run.is_left_out[k]),
                }
            )
    return {
        "land": land.land,
        "lap": land.lap,
        "at": rows,
        "geralds": [
            {
                "end": gerald.end,
                "length": gerald.length,
                "off_at_edge": gerald.at_edge.tolist(),
                "off_one_lap_in": gerald.at_inner_line.tolist(),
                "missing": list(gerald.missing),
            }
            for gerald in land.geralds
        ],
    }
