"""A strake taken off at the boat with a spiling batten: from the figures read off to its files."""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from templates_gen.about import About
from templates_gen.boatside import drawn_shell, relined_from
from templates_gen.errors import Fault, HullFileError, TemplatesGenError
from templates_gen.files import Made, json_bytes
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.refining import planked_shell
from templates_gen.geometry.spiling import Laid, laid_over, strake_points, warp_of
from templates_gen.geometry.spiling_fit import fit_problems
from templates_gen.hull.locate import line_of
from templates_gen.hull.measured.spiling import EDGES
from templates_gen.hull.measured.spiling_reader import read_spiling
from templates_gen.hull.small_tables import refused
from templates_gen.hull.text import file_bytes, file_text
from templates_gen.order import Printing
from templates_gen.rendered import for_router, on_paper
from templates_gen.report.finding import Finding
from templates_gen.report.spiling_findings import spiling_findings
from templates_gen.templates.spiling import form_folio, spiled_folio

SPILING_NAMES = ("spiling.pdf", "spiling.dxf", "spiling.json")
FORM_NAMES = ("spiling-form.pdf",)


@dataclass(frozen=True)
class StrakeToSpile:
    """A strake laid flat, of the boat as drawn or as built, with what is to be said of taking it off.

    Attributes
    ----------
    strake : FlatStrake
    findings : tuple of Finding
        They name the as-built file.
    """

    strake: FlatStrake
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class SpiledComputed:
    """A strake taken off with a spiling batten, with what its figures say.

    Attributes
    ----------
    strake : FlatStrake
        As computed.
    laid : Laid
        The spiling over it.
    findings : tuple of Finding
        They name the spiling file.
    """

    strake: FlatStrake
    laid: Laid
    findings: tuple[Finding, ...]


def strake_to_spile(hull_path: Path, number: int, measured_path: Path | None = None) -> StrakeToSpile:
    """Return a strake laid flat, of the hull as drawn or, where an as-built file is given, as built.

    Raises
    ------
    HullFileError
        When a file is faulty, the boat cannot be planked, or she has no such strake.
    """
    with np.errstate(all="ignore"):
        shell = drawn_shell(hull_path)
        hull = shell.hull
        if not 1 <= number <= hull.planking.strakes:
            text = f"there is no strake {number}: they count from 1, the garboard, to {hull.planking.strakes}"
            raise HullFileError([Fault(text, about="strake", file=str(hull_path))])
        try:
            if measured_path is None:
                return StrakeToSpile(flat_strake(shell, number))
            relined = relined_from(shell, measured_path)[1]
            shell = planked_shell(replace(relined.hull, fingerprint=hull.fingerprint))
            return StrakeToSpile(flat_strake(shell, number), _hung_findings(measured_path, number, relined.hung))
        except HullFileError:
            raise
        except TemplatesGenError as error:
            text = f"strake {number} cannot be laid flat: {error}"
            raise HullFileError([Fault(text, about="strake", file=str(measured_path or hull_path))]) from error


def _hung_findings(measured_path: Path, number: int, hung: int) -> tuple[Finding, ...]:
    """A note where the strake to be taken off hangs already."""
    if number > hung:
        return ()
    text = (
        f"strake {number} is already hung by this file, which goes up to strake {hung}. It is drawn as it was "
        f"measured there; give {hung + 1} for the next strake"
    )
    where, line = About("strake", number), line_of(measured_path, ("strake", str(number)))
    return (Finding("note", "strake", text, where, number, f"more than {hung}", file=str(measured_path), line=line),)


def computed_spiling(to_spile: StrakeToSpile, spiling_path: Path) -> SpiledComputed:
    """Return a spiling of a strake with its findings.

    Raises
    ------
    HullFileError
        With every fault of the spiling file, or with why its figures cannot be of this strake.
    """
    strake = to_spile.strake
    hull = strake.shell.hull
    spiling = read_spiling(spiling_path, hull, strake.number, tuple(strake_points(strake)["lower"]))
    with np.errstate(all="ignore"):
        laid = laid_over(strake, spiling)
        problems = fit_problems(strake, spiling, laid)
        if problems:
            raise refused(problems, file_text(spiling_path, file_bytes(spiling_path)), spiling_path)
        found = spiling_findings(strake, spiling, laid)
    file = str(spiling_path)
    located = (replace(one, key=(), file=file, line=line_of(spiling_path, one.key)) for one in found)
    return SpiledComputed(strake, laid, (*located, *to_spile.findings))


def spiling_files(result: SpiledComputed, printing: Printing) -> Made:
    """Return the files of a spiled strake by their names: spiling.pdf, spiling.dxf, spiling.json."""
    hull = result.strake.shell.hull
    one = spiled_folio(hull, result.strake, result.laid, warp_of(result.strake, result.laid))
    part = on_paper(hull, one, printing).with_files(for_router(one))
    made = {f"spiling.{ending}": part.files[f"{one.kind}.{ending}"] for ending in ("pdf", "dxf")}
    return Made(made | {"spiling.json": json_bytes(spiling_record(result))}, ())


def spiling_form(strake: FlatStrake, printing: Printing) -> Made:
    """Return the blank forms for one strake: spiling-form.pdf."""
    hull = strake.shell.hull
    part = on_paper(hull, form_folio(hull, strake), printing)
    return Made({"spiling-form.pdf": part.files["strakes.pdf"]}, ())


def spiling_record(result: SpiledComputed) -> dict[str, object]:
    """Return a spiled strake for programs: its net outline and marks, and every point's difference, mm."""
    strake, laid = result.strake, result.laid
    hull, warp, points = strake.shell.hull, warp_of(strake, laid), strake_points(strake)
    net = {
        "lower": strake.edge("lower"),
        "upper": strake.edge("upper"),
        "fore": strake.end("fore"),
        "aft": strake.end("aft"),
    }
    return {
        "format": 1,
        "hull": hull.name,
        "fingerprint": hull.fingerprint,
        "strake": strake.number,
        "outline": {name: warp(line).tolist() for name, line in net.items()},
        "computed_outline": {name: line.tolist() for name, line in net.items()},
        "marks": [
            {"place": place} | {edge: warp(points[edge][place][None])[0].tolist() for edge in EDGES}
            for place in points["lower"]
        ],
        "differences": [
            {"edge": edge, "place": place, "aft": float(off[0]), "up": float(off[1]), "left_out": bool(out)}
            for (edge, place), off, out in zip(laid.places, laid.off, laid.is_left_out, strict=True)
        ],
    }
