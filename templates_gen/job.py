"""The whole job: from a hull file to the boat, to what a builder should know of it, and to every file."""

import io
import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from templates_gen.drawing.piece import Folio, Kind
from templates_gen.errors import BoatError, Fault, FlatteningError, HullFileError, TemplatesGenError
from templates_gen.geometry.boat import Boat, boat_on
from templates_gen.geometry.planking import planked_shell
from templates_gen.hull.locate import line_of
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.paper.sheet import Sheet
from templates_gen.rendering.dxf import dxf_bytes
from templates_gen.rendering.pdf import write_pdf
from templates_gen.rendering.pdf_letters import unprintable
from templates_gen.rendering.pdf_page import Header
from templates_gen.report.finding import Finding
from templates_gen.report.findings import findings, shell_errors
from templates_gen.report.measurements import measurements
from templates_gen.side_by_side import side_by_side
from templates_gen.templates.cautions import CAUTIONS
from templates_gen.templates.folios import KINDS, folio

SHARES: tuple[tuple[Kind, ...], tuple[Kind, ...]] = (("strakes", "moulds", "rebates"), ("bevels", "transom"))
"""Two shares of the kinds that take about as long as each other to draw and write."""

OWNED_NAMES = (
    "measurements.json",
    "tiles.json",
    *(f"{kind}.{ending}" for kind in KINDS for ending in ("pdf", "dxf")),
)


class SelectionError(TemplatesGenError, ValueError):
    """What was asked for with --only is no kind and no piece of this boat."""


@dataclass(frozen=True)
class Computed:
    """A hull file's boat with what a builder should know of it; `boat` is None where an error stands in the way."""

    hull: Hull
    boat: Boat | None
    findings: tuple[Finding, ...]

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings that keep the boat from being built as described."""
        return tuple(finding for finding in self.findings if finding.severity == "error")


def computed(path: Path) -> Computed:
    """Return the boat of a hull file with its findings.

    Raises
    ------
    HullFileError
        With every fault of the file, when it cannot be read as a boat.
    """
    hull = read_hull(path)
    _check_letters(hull, path)
    with np.errstate(all="ignore"):
        try:
            shell = planked_shell(hull)
            errors = shell_errors(shell)
            if errors:
                return Computed(hull, None, errors)
            boat = boat_on(shell)
            return Computed(hull, boat, findings(boat))
        except BoatError as error:
            return Computed(hull, None, (Finding("error", error.about, str(error), key=error.key),))
        except FlatteningError as error:
            return Computed(hull, None, (Finding("error", "strake", str(error)),))


def _check_letters(hull: Hull, path: Path) -> None:
    """Refuse names that the printed sheets could not show."""
    named: list[tuple[tuple[str | int, ...], str]] = [(("name",), hull.name), (("edition",), hull.edition or "")]
    named += [(("station", i, "name"), station.name) for i, station in enumerate(hull.stations)]
    faults = [
        Fault(
            f"{key[-1]} holds letters that cannot be printed: {letters}; write it in other letters",
            ".".join(str(part) for part in key),
            text,
            "letters that the printed sheets can show",
            "file",
            str(path),
            line_of(path, key),
        )
        for key, text in named
        if (letters := unprintable(text))
    ]
    if faults:
        raise HullFileError(faults)


def finding_record(finding: Finding, path: Path) -> dict[str, Any]:
    """Return a finding for programs; keys that do not apply are left out."""
    record: dict[str, Any] = {"severity": finding.severity, "about": finding.about, "text": finding.text}
    record["file"] = str(path)
    if finding.key and (line := line_of(path, finding.key)):
        record["line"] = line
    for key in ("place", "value", "expected"):
        value = getattr(finding, key)
        if value not in ("", None):
            record[key] = value
    return record


def fault_record(fault: Fault) -> dict[str, Any]:
    """Return a fault of the hull file as a finding for programs."""
    record: dict[str, Any] = {"severity": "error", "about": fault.about, "text": fault.text, "file": fault.file}
    optional = {"line": fault.line, "place": fault.key, "value": fault.value, "expected": fault.expected}
    return record | {key: value for key, value in optional.items() if value}


def files(boat: Boat, sheet: Sheet, only: Sequence[str] = ()) -> dict[str, bytes]:
    """Return every file of the job by its name.

    Parameters
    ----------
    boat : Boat
    sheet : Sheet
    only : sequence of str
        Kinds ("strakes") or pieces ("strake 4"); all of them when empty.

    Raises
    ------
    SelectionError
        When a word of `only` is no kind and no piece of this boat.
    """
    hull = boat.hull
    header = Header(hull.name, hull.fingerprint, hull.edition, hull.units, CAUTIONS)
    if only:
        rendered = [_rendered(chosen, sheet, header) for chosen in _chosen(boat, only)]
    else:
        rendered = side_by_side(lambda kind: _rendered(folio(boat, kind), sheet, header), *SHARES)
    made = {"measurements.json": _json(measurements(boat))}
    tiles = []
    for part in sorted(rendered, key=lambda part: KINDS.index(part.kind)):
        made |= part.files
        tiles += part.tiles
    made["tiles.json"] = _json(tiles)
    return made


@dataclass(frozen=True)
class _Rendered:
    """The files of one kind, and what tiles.json says of its pages."""

    kind: Kind
    files: dict[str, bytes]
    tiles: list[dict[str, Any]]


def _rendered(made: Folio, sheet: Sheet, header: Header) -> _Rendered:
    if not made.pieces and not made.tables:
        return _Rendered(made.kind, {}, [])
    buffer = io.BytesIO()
    name = f"{made.kind}.pdf"
    tiles = []
    for record in write_pdf(made, buffer, sheet, header):
        matrix = [round(number, 9) + 0.0 for number in record.matrix]
        tiles.append({"file": name, "page": record.page, "piece": record.piece, "matrix": matrix})
    files = {name: buffer.getvalue()}
    if made.pieces:
        files[f"{made.kind}.dxf"] = dxf_bytes(made)
    return _Rendered(made.kind, files, tiles)


def _chosen(boat: Boat, only: Sequence[str]) -> list[Folio]:
    wanted_kinds = [word for word in only if word in KINDS]
    wanted_pieces = {" ".join(word.split()) for word in only if word not in KINDS}
    folios = [folio(boat, kind) for kind in KINDS if kind in wanted_kinds or wanted_pieces]
    names = {piece.name for made in folios for piece in made.pieces}
    for made in folios:
        if made.kind in wanted_kinds and not made.pieces:
            raise SelectionError(f"this boat has no {made.kind}")
    if unknown := sorted(wanted_pieces - names):
        raise SelectionError(
            f"{unknown[0]!r} is neither a kind of template ({', '.join(KINDS)}) nor a piece of this boat"
            f"{_nearest(unknown[0], names)}"
        )
    chosen = []
    for made in folios:
        if made.kind in wanted_kinds:
            chosen.append(made)
        elif pieces := tuple(piece for piece in made.pieces if piece.name in wanted_pieces):
            chosen.append(replace(made, pieces=pieces, tables=()))
    return chosen


def _nearest(word: str, names: set[str]) -> str:
    from difflib import get_close_matches

    close = get_close_matches(word, sorted(names), 3)
    return f"; did you mean {' or '.join(repr(name) for name in close)}?" if close else ""


def _json(data: object) -> bytes:
    return (json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")) + "\n").encode()
