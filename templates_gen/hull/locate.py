"""Where a key stands in a hull file, for messages about the boat that it describes."""

from pathlib import Path

from templates_gen.hull.positions import KeyPath, places
from templates_gen.hull.text import file_bytes, file_text


def line_of(path: Path, key: KeyPath) -> int:
    """Return the line of a key in a hull file that could be read, or of the table that would hold it; else 0."""
    found = places(file_text(path, file_bytes(path)))
    while key and key not in found:
        key = key[:-1]
    return found[key].line if key else 0
