"""What the program wrote into a folder, so that it replaces and removes nothing else: a list, and marks in files."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from templates_gen import __version__
from templates_gen.errors import OutputError
from templates_gen.output.files import digest, explained, is_plain, json_bytes

MANIFEST = "made-by-templates-gen.json"
FORMAT = 1
ABOUT = (
    "These files were written here by templates-gen. It replaces and removes only these, and only as long as they "
    "are as it wrote them: with these sizes and digests."
)

MEASUREMENT_KEYS = {"format", "hull", "fingerprint", "stations", "lands", "strakes"}
TILE_KEYS = {"file", "page", "piece", "matrix"}
SPILING_KEYS = {"format", "hull", "fingerprint", "strake", "outline", "computed_outline"}
PLANK_KEYS = {"format", "boat", "fingerprint", "strake", "side", "outline", "not_measured"}
LAYERS = ("CUT-OUTSIDE", "CUT-INSIDE", "SCRIBE", "NAME", "INFO")
EARLIER_LAYERS = ("cut", "rough", "scribe", "datum", "letter", "drill", "note")


@dataclass(frozen=True)
class Record:
    """One file that the program wrote.

    Attributes
    ----------
    bytes : int
        Its size.
    sha256 : str
        Its digest.
    drawing : str
        Fingerprint of the hull file that it was made from; "" where it is about no boat.
    version : str
        Of the program.
    """

    bytes: int
    sha256: str
    drawing: str = ""
    version: str = __version__


def record_of(data: bytes, drawing: str) -> Record:
    """Return the record of a file that is about to be written."""
    return Record(len(data), digest(data), drawing)


def manifest_bytes(records: Mapping[str, Record]) -> bytes:
    """Return the list as a file, by name; the same files give the same bytes."""
    files = {name: asdict(record) for name, record in sorted(records.items())}
    listed = {"about": ABOUT, "format": FORMAT, "files": files}
    return (json.dumps(listed, ensure_ascii=False, indent=1) + "\n").encode()


def read_manifest(directory: Path) -> dict[str, Record]:
    """Return what the list in a folder names; nothing if there is none.

    Raises
    ------
    OutputError
        When there is something of its name that is not such a list.
    """
    path = directory / MANIFEST
    with explained(f"cannot read {path}"):
        try:
            data = path.read_bytes()
        except FileNotFoundError:
            return {}
    try:
        listed = json.loads(data)
        if listed["format"] != FORMAT:
            raise OutputError(
                f"{path} was written by a later version of templates-gen; use that version, or give another --out"
            )
        return {str(name): _record(entry) for name, entry in listed["files"].items()}
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as fault:
        raise OutputError(
            f"{path} is damaged: it is not the list of files that templates-gen keeps there; delete it, or give "
            "another --out"
        ) from fault


def _record(entry: dict[str, Any]) -> Record:
    record = Record(**entry)
    texts = (record.sha256, record.drawing, record.version)
    if not isinstance(record.bytes, int) or not all(isinstance(text, str) for text in texts):
        raise TypeError(entry)
    return record


def is_ours(path: Path, record: Record | None) -> bool:
    """Return whether the file at `path` is as the program wrote it.

    Parameters
    ----------
    path : Path
    record : Record or None
        Its entry in the folder's list. Without one (a folder filled by an earlier version, a list that was deleted)
        the file is known by marks that only the program's own files bear.
    """
    if not is_plain(path):
        return False
    if record is not None and path.stat().st_size != record.bytes:
        return False
    data = path.read_bytes()
    return looks_ours(path.suffix, data) if record is None else digest(data) == record.sha256


def looks_ours(suffix: str, data: bytes) -> bool:
    """Return whether a file bears the program's marks and none of a later change.

    A PDF with notes in it has a second end, or another producer. JSON must be, byte for byte, as the program writes
    it. A DXF must have the program's layers and the marks of its library, which a drawing program does not keep.
    """
    tests = {".pdf": _is_our_pdf, ".json": _is_our_json, ".dxf": _is_our_dxf, ".html": _is_our_page}
    return suffix in tests and tests[suffix](data)


def _is_our_pdf(data: bytes) -> bool:
    marks = (b"/Creator (templates-gen)", b"/Producer (ReportLab PDF Library")
    return data.startswith(b"%PDF-") and data.count(b"%%EOF") == 1 and all(mark in data for mark in marks)


def _is_our_json(data: bytes) -> bool:
    try:
        held = json.loads(data)
        if json_bytes(held) != data:
            return False
    except (ValueError, RecursionError):
        return False
    if isinstance(held, list):
        return all(isinstance(entry, dict) and entry.keys() >= TILE_KEYS for entry in held)
    return isinstance(held, dict) and any(
        held.keys() >= keys for keys in (MEASUREMENT_KEYS, SPILING_KEYS, PLANK_KEYS)
    )


def _is_our_dxf(data: bytes) -> bool:
    lines = set(data.splitlines())
    if b"WRITTEN_BY_EZDXF" not in lines:
        return False
    return any({layer.encode() for layer in layers} <= lines for layers in (LAYERS, EARLIER_LAYERS))


def _is_our_page(data: bytes) -> bool:
    return data.startswith(b"<!doctype html>") and b"<title>The planked boat</title>" in data[:1000]
