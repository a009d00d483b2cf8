"""Whether two folders hold the same sheets: `python -m tests.bench.same_sheets FOLDER FOLDER` ends with 1 if not.

Layouts (tiles.json) must be the same to the byte. Lines and letters may lie a thousandth of a millimetre apart, the
last digit that is written: a figure may stand at the border between two, and processors differ by some 1e-8 mm.
"""

import re
import sys
import zlib
from collections.abc import Iterator
from itertools import zip_longest
from pathlib import Path

WITHIN = 0.0015
"""mm: more than one in the last digit, less than two."""

_STREAM = re.compile(rb"(?<!end)stream\r?\n(.*?)endstream", re.DOTALL)


def contents(data: bytes) -> Iterator[list[bytes]]:
    """Yield the words of each stream of a PDF file, unpacked where it is packed."""
    for match in _STREAM.finditer(data):
        try:
            yield zlib.decompressobj().decompress(match[1]).split()
        except zlib.error:
            yield match[1].split()


def are_alike(first: bytes, second: bytes) -> bool:
    """Return whether two words of a page are the same, or numbers that are the same within `WITHIN`."""
    if first == second:
        return True
    try:
        return abs(float(first) - float(second)) <= WITHIN
    except ValueError:
        return False


def differences(first: Path, second: Path) -> list[str]:
    """Return what differs between the sheets of two folders, a line for each file."""
    found = []
    names = {path.name for folder in (first, second) for path in folder.glob("*.pdf")}
    for name in sorted({*names, "tiles.json"}):
        one, other = (folder / name for folder in (first, second))
        if not (one.exists() and other.exists()):
            found.append(f"{name}: only in one of them")
        elif one.read_bytes() == other.read_bytes():
            continue
        elif name == "tiles.json":
            found.append(f"{name}: another layout")
        else:
            nothing: list[bytes] = []
            pages = zip_longest(contents(one.read_bytes()), contents(other.read_bytes()), fillvalue=nothing)
            apart = sum(len(a) != len(b) or not all(map(are_alike, a, b)) for a, b in pages)
            if apart:
                found.append(f"{name}: {apart} drawings are not the same")
    return found


if __name__ == "__main__":
    lines = differences(Path(sys.argv[1]), Path(sys.argv[2]))
    print("\n".join(lines) or "the same sheets")
    sys.exit(bool(lines))
