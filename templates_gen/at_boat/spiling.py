"""A strake taken off at the boat with a spiling batten: from the figures read off it to the strake's files."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from templates_gen.about import About, Hand
from templates_gen.at_boat.as_built import MeasuredBoat, sides_note
from templates_gen.errors import Fault, HullFileError, SelectionError, TemplatesGenError
from templates_gen.geometry.flat_strakes import FlatStrake, flat_strake
from templates_gen.geometry.planking import PlankedShell
from templates_gen.geometry.spiling.causes import doubts_of, fit_problems, odd_problems, without_odd_points
from templates_gen.geometry.spiling.overlay import Laid, laid_over, strake_points
from templates_gen.geometry.spiling.warp import warp_of
from templates_gen.hull.measured.as_built import AsBuilt
from templates_gen.hull.measured.spiling import EDGES, read_spiling
from templates_gen.hull.problem import refused
from templates_gen.output import json_bytes
from templates_gen.report.at_boat.spiling import spiling_findings
from templates_gen.report.finding import Finding
from templates_gen.sheets import JobFiles, Printing, on_paper, rendered
from templates_gen.templates.strakes.spiling import form_folio, spiled_folio

SPILING_NAMES = ("spiling.pdf", "spiling.dxf", "spiling.json")
FORM_NAMES = ("spiling-form.pdf",)


@dataclass(frozen=True)
class StrakeToSpile:
    """A strake laid flat, of the boat as drawn or as built, to be taken off with a spiling batten.

    Attributes
    ----------
    strake : FlatStrake
        To port, where the two sides are not alike.
    findings : tuple of Finding
        They name the as-built file.
    starboard : FlatStrake or None
        To starboard, laid flat as if it were to port; None where one serves both.
    """

    strake: FlatStrake
    findings: tuple[Finding, ...] = ()
    starboard: FlatStrake | None = None

    def on(self, side: Hand | None) -> FlatStrake:
        """Return the strake of a side."""
        return self.starboard if side == "starboard" and self.starboard is not None else self.strake


@dataclass(frozen=True)
class SpiledStrake:
    """A strake taken off with a spiling batten, with the findings about its figures.

    Attributes
    ----------
    strake : FlatStrake
        As computed.
    laid : Laid
        The spiling over it.
    findings : tuple of Finding
        They name the spiling file.
    side : Hand or None
        The side that was taken off; None: its pattern is for both.
    """

    strake: FlatStrake
    laid: Laid
    findings: tuple[Finding, ...]
    side: Hand | None = None


def strake_to_spile(
    shells: Sequence[PlankedShell], number: int, hull_path: Path, measured: MeasuredBoat | None = None
) -> StrakeToSpile:
    """Return a strake laid flat, with a note if it already hangs.

    Parameters
    ----------
    shells : sequence of PlankedShell
        One as drawn, or as built if `measured` is given: port and starboard where they are not alike.
    number : int
        From the garboard, 1.
    hull_path : Path
    measured : MeasuredBoat or None

    Raises
    ------
    SelectionError
        When there is no such strake.
    HullFileError
        When it cannot be laid flat.
    """
    count = shells[0].planking.strakes
    if not 1 <= number <= count:
        raise SelectionError(f"there is no strake {number}; give a number from 1, the garboard, to {count}")
    found = (
        () if measured is None else (*_hung_findings(measured.measured, number), *_side_findings(measured, number))
    )
    try:
        strake, *others = (flat_strake(shell, number) for shell in shells)
        return StrakeToSpile(strake, found, others[0] if others else None)
    except TemplatesGenError as error:
        file = str(hull_path if measured is None else measured.path)
        raise HullFileError(
            [Fault(f"strake {number} cannot be laid flat: {error}", about="strake", file=file)]
        ) from error


def _hung_findings(measured: AsBuilt, number: int) -> tuple[Finding, ...]:
    """A note where the strake to be taken off hangs already."""
    hung, source = measured.hung, measured.source
    if number > hung or source is None:
        return ()
    text = (
        f"strake {number} is already hung by this file, which goes up to strake {hung}. It is drawn as it was "
        f"measured there; give {hung + 1} for the next strake"
    )
    where, file, line = About("strake", number), str(source.path), source.line_of(("strake", str(number)))
    return (Finding("note", "strake", text, where, number, f"more than {hung}", file=file, line=line),)


def _side_findings(measured: MeasuredBoat, number: int) -> tuple[Finding, ...]:
    """A note where the two sides are not alike."""
    if measured.starboard is None:
        return ()
    text = f'{sides_note(measured)} The spiling file says which was taken off: side = "port" or side = "starboard"'
    return (Finding("note", "strake", text, About("strake", number), file=str(measured.path)),)


def spiled_strake(to_spile: StrakeToSpile, spiling_path: Path) -> SpiledStrake:
    """Return a spiling of a strake with its findings.

    Raises
    ------
    HullFileError
        With every fault of the spiling file, or with the reason why its figures cannot be of this strake.
    """
    strake, has_sides = to_spile.strake, to_spile.starboard is not None
    places = tuple(strake_points(strake)["lower"])
    spiling = read_spiling(spiling_path, strake.shell.hull, strake.number, places, has_sides)
    strake = to_spile.on(spiling.side)
    source = spiling.source
    assert source is not None  # it was read from a file
    with np.errstate(all="ignore"):
        laid = laid_over(strake, spiling)
        problems = fit_problems(strake, spiling, laid)
        if problems:
            raise refused(problems, source)
        doubts = doubts_of(strake, spiling, laid)
        laid = without_odd_points(laid, doubts.odd)
        problems = odd_problems(strake, laid, doubts.odd)
        if problems:
            raise refused(problems, source)
        found = spiling_findings(strake, spiling, laid, doubts)
    located = (replace(one, key=(), file=str(spiling_path), line=source.line_of(one.key)) for one in found)
    return SpiledStrake(strake, laid, (*located, *to_spile.findings), spiling.side)


def spiling_files(result: SpiledStrake, printing: Printing) -> JobFiles:
    """Return the files of a spiled strake by their names: spiling.pdf, spiling.dxf, spiling.json."""
    hull = result.strake.shell.hull
    one = spiled_folio(hull, result.strake, result.laid, warp_of(result.strake, result.laid), result.side)
    part = rendered(hull, one, printing, is_alone=True)
    files = {f"spiling.{ending}": part.files[f"{one.kind}.{ending}"] for ending in ("pdf", "dxf")}
    return JobFiles(files | {"spiling.json": json_bytes(spiling_record(result))})


def spiling_form(to_spile: StrakeToSpile, printing: Printing) -> JobFiles:
    """Return the blank forms for one strake, of each side where they are not alike: spiling-form.pdf."""
    strake, hull = to_spile.strake, to_spile.strake.shell.hull
    whole = form_folio(hull, strake)
    if to_spile.starboard is not None:
        sides = (("PORT", whole.tables), ("STARBOARD", form_folio(hull, to_spile.starboard).tables))
        tables = (replace(one, title=f"{one.title}, {side} side") for side, forms in sides for one in forms)
        whole = replace(whole, tables=tuple(tables))
    part = on_paper(hull, whole, printing, is_alone=True)
    return JobFiles({"spiling-form.pdf": part.files["strakes.pdf"]})


def spiling_record(result: SpiledStrake) -> dict[str, object]:
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
        **({"side": result.side} if result.side else {}),
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
