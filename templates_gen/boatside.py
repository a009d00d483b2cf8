"""What is done at the boat: the next strakes made for her as she is, and strakes taken off by spiling."""

import hashlib
import io
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from templates_gen.drawing.piece import Folio
from templates_gen.errors import Fault, HullFileError, TemplatesGenError
from templates_gen.geometry.as_built import Relined, as_built_boat, drawn_widths
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.hanging import HangingError
from templates_gen.geometry.planking import PlankedShell, planked_shell
from templates_gen.geometry.spiling import Laid, laid_over, strake_points, warp_of
from templates_gen.hull.as_built import AsBuilt
from templates_gen.hull.as_built_reader import read_as_built
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.hull.spiling import EDGES
from templates_gen.hull.spiling_reader import read_spiling
from templates_gen.paper.sheet import Sheet
from templates_gen.rendering.dxf import dxf_bytes
from templates_gen.rendering.pdf import write_pdf
from templates_gen.rendering.pdf_page import Header
from templates_gen.report.as_built_findings import as_built_findings
from templates_gen.report.finding import GRAVITY, Finding
from templates_gen.report.findings import findings
from templates_gen.report.land_findings import land_findings
from templates_gen.report.measurements import measurements
from templates_gen.report.spiling_findings import spiling_findings
from templates_gen.templates.cautions import CAUTIONS
from templates_gen.templates.spiling import form_folio, spiled_folio
from templates_gen.templates.still_to_make import as_built_record, folios_to_make, is_still_to_make

AS_BUILT_NAMES = ("measurements.json", "tiles.json", "bevels.pdf", "bevels.dxf", "strakes.pdf", "strakes.dxf")
SPILING_NAMES = ("spiling.pdf", "spiling.dxf", "spiling.json")
FORM_NAMES = ("spiling-form.pdf",)


@dataclass(frozen=True)
class AsBuiltComputed:
    """A boat as built with what a builder should know of her.

    Attributes
    ----------
    hull : Hull
        As drawn.
    boat : Boat or None
        As built, what is still to be hung lined off anew; None where an error stands in the way.
    relined : Relined
    measured_findings : tuple of Finding
        Of what was measured; their keys are the as-built file's.
    findings : tuple of Finding
        Of what is still to be made; their keys are the hull file's.
    """

    hull: Hull
    boat: Boat | None
    relined: Relined
    measured_findings: tuple[Finding, ...]
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> tuple[Finding, ...]:
        """What keeps the rest of the boat from being built."""
        return tuple(finding for finding in self.findings if finding.severity == "error")


def computed_as_built(hull_path: Path, measured_path: Path) -> AsBuiltComputed:
    """Return a boat as built with her findings.

    Raises
    ------
    HullFileError
        With every fault of the hull file or of the as-built file, or when the hull as drawn cannot be built.
    """
    hull = read_hull(hull_path)
    with np.errstate(all="ignore"):
        drawn = drawn_shell(hull, hull_path)
        measured = read_as_built(measured_path, hull, drawn_widths(drawn))
        relined = as_built_boat(drawn, measured)
        relined = replace(relined, hull=_named(relined, measured))
        said = as_built_findings(drawn, measured, relined)
        try:
            shell = planked_shell(relined.hull)
            errors = _to_make((f for f in land_findings(shell) if f.severity == "error"), relined)
            if errors:
                return AsBuiltComputed(hull, None, relined, said, errors)
            boat = boat_on(shell)
        except HangingError as error:
            return AsBuiltComputed(hull, None, relined, said, (Finding("error", "land", str(error), key=error.key),))
        except TemplatesGenError as error:
            return AsBuiltComputed(hull, None, relined, said, (Finding("error", "strake", str(error)),))
        return AsBuiltComputed(hull, boat, relined, said, _to_make(findings(boat), relined))


def drawn_shell(hull: Hull, path: Path) -> PlankedShell:
    """Return the shell as drawn. Raises HullFileError, naming the hull file, when it cannot be planked."""
    try:
        return planked_shell(hull)
    except TemplatesGenError as error:
        text = f"the boat cannot be planked as drawn: {error}"
        raise HullFileError([Fault(text, about="land", file=str(path))]) from error


def _to_make(found: Iterable[Finding], relined: Relined) -> tuple[Finding, ...]:
    """The findings about what is still to be made, the gravest first."""
    kept = [finding for finding in found if is_still_to_make(finding.place, relined.hung)]
    return tuple(sorted(kept, key=lambda finding: GRAVITY[finding.severity]))


def _named(relined: Relined, measured: AsBuilt) -> Hull:
    """The hull under an edition and a fingerprint of its own, so that its sheets are not mixed with those drawn."""
    both = hashlib.sha256(f"{relined.hull.fingerprint} {measured.fingerprint}".encode()).hexdigest()[:8]
    built = f"as built to strake {relined.hung}"
    edition = f"{relined.hull.edition}, {built}" if relined.hull.edition else built
    return replace(relined.hull, fingerprint=both, edition=edition)


def as_built_files(result: AsBuiltComputed, sheet: Sheet) -> dict[str, bytes]:
    """Return every file for what is still to be hung, by its name: strakes, bevels, measurements and tiles.

    Raises
    ------
    HullFileError
        When every strake is hung: nothing is left to make.
    """
    boat, relined = result.boat, result.relined
    if boat is None:
        raise ValueError("a boat with errors has no files")
    folios = folios_to_make(boat, relined)
    if not folios:
        raise HullFileError([Fault("every strake is hung: nothing is left to make", about="strake")])
    record = measurements(boat) | {"as_built": as_built_record(relined)}
    return rendered(folios, sheet, header_of(boat.hull)) | {"measurements.json": json_bytes(record)}


def header_of(hull: Hull) -> Header:
    """Return what stands on every sheet of a hull."""
    return Header(hull.name, hull.fingerprint, hull.edition, hull.units, CAUTIONS)


def rendered(folios: Iterable[Folio], sheet: Sheet, header: Header) -> dict[str, bytes]:
    """Return the PDF and the DXF of every folio, and tiles.json, by their names."""
    made: dict[str, bytes] = {}
    tiles = []
    for one in folios:
        buffer, name = io.BytesIO(), f"{one.kind}.pdf"
        for record in write_pdf(one, buffer, sheet, header):
            matrix = [round(number, 9) + 0.0 for number in record.matrix]
            tiles.append({"file": name, "page": record.page, "piece": record.piece, "matrix": matrix})
        made[name] = buffer.getvalue()
        if one.pieces:
            made[f"{one.kind}.dxf"] = dxf_bytes(one)
    return made | {"tiles.json": json_bytes(tiles)}


def json_bytes(data: object) -> bytes:
    """Return plain data as JSON, the file's end of line included."""
    return (json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n").encode()


def renamed(files: Mapping[str, bytes], names: Mapping[str, str]) -> dict[str, bytes]:
    """Return files under other names, where they have one."""
    return {names.get(name, name): data for name, data in files.items()}


@dataclass(frozen=True)
class SpiledComputed:
    """A strake taken off with a spiling batten, with what its figures say.

    Attributes
    ----------
    hull : Hull
    strake : FlatStrake
        As computed.
    laid : Laid
        The spiling over it.
    findings : tuple of Finding
        Their keys are the spiling file's.
    """

    hull: Hull
    strake: FlatStrake
    laid: Laid
    findings: tuple[Finding, ...]


def strake_to_spile(hull_path: Path, number: int, measured_path: Path | None = None) -> FlatStrake:
    """Return a strake laid flat, of the hull as drawn or, where an as-built file is given, as built.

    Raises
    ------
    HullFileError
        When a file is faulty, the boat cannot be planked, or she has no such strake.
    """
    hull = read_hull(hull_path)
    if not 1 <= number <= hull.planking.strakes:
        text = f"there is no strake {number}: they count from 1, the garboard, to {hull.planking.strakes}"
        raise HullFileError([Fault(text, about="strake", value=str(number), file=str(hull_path))])
    with np.errstate(all="ignore"):
        shell = drawn_shell(hull, hull_path)
        if measured_path is not None:
            measured = read_as_built(measured_path, hull, drawn_widths(shell))
            relined = as_built_boat(shell, measured)
            shell = drawn_shell(replace(relined.hull, fingerprint=hull.fingerprint), hull_path)
        try:
            return flat_strake(shell, number)
        except TemplatesGenError as error:
            text = f"strake {number} cannot be laid flat: {error}"
            raise HullFileError([Fault(text, about="strake", file=str(hull_path))]) from error


def computed_spiling(strake: FlatStrake, spiling_path: Path) -> SpiledComputed:
    """Return a spiling of a strake with its findings. Raises HullFileError with every fault of the spiling file."""
    hull = strake.shell.hull
    spiling = read_spiling(spiling_path, hull, strake.number, tuple(strake_points(strake)["lower"]))
    with np.errstate(all="ignore"):
        laid = laid_over(strake, spiling)
        return SpiledComputed(hull, strake, laid, spiling_findings(strake, spiling, laid))


def spiling_files(result: SpiledComputed, sheet: Sheet) -> dict[str, bytes]:
    """Return the files of a spiled strake by their names: spiling.pdf, spiling.dxf, spiling.json."""
    warp = warp_of(result.strake, result.laid)
    one = spiled_folio(result.hull, result.strake, result.laid, warp)
    made = renamed(
        rendered((one,), sheet, header_of(result.hull)), {"strakes.pdf": "spiling.pdf", "strakes.dxf": "spiling.dxf"}
    )
    del made["tiles.json"]
    return made | {"spiling.json": json_bytes(spiling_record(result))}


def spiling_form(strake: FlatStrake, sheet: Sheet) -> dict[str, bytes]:
    """Return the blank forms for one strake: spiling-form.pdf."""
    hull = strake.shell.hull
    made = rendered((form_folio(hull, strake),), sheet, header_of(hull))
    return {"spiling-form.pdf": made["strakes.pdf"]}


def spiling_record(result: SpiledComputed) -> dict[str, object]:
    """Return a spiled strake for programs: its net outline and marks, and every point's difference, mm."""
    strake, laid = result.strake, result.laid
    warp = warp_of(strake, laid)
    edges = {"lower": strake.edge("lower"), "upper": strake.edge("upper")}
    ends = {"fore": strake.end("fore"), "aft": strake.end("aft")}
    points = strake_points(strake)
    return {
        "format": 1,
        "hull": result.hull.name,
        "fingerprint": result.hull.fingerprint,
        "strake": strake.number,
        "outline": {name: warp(line).tolist() for name, line in (edges | ends).items()},
        "computed_outline": {name: line.tolist() for name, line in (edges | ends).items()},
        "marks": [
            {"place": place} | {edge: warp(points[edge][place][None])[0].tolist() for edge in EDGES}
            for place in points["lower"]
        ],
        "differences": [
            {"edge": edge, "place": place, "aft": float(off[0]), "up": float(off[1]), "left_out": bool(out)}
            for (edge, place), off, out in zip(laid.places, laid.off, laid.is_left_out, strict=True)
        ],
    }
