"""Files as they reach the disk: whole or not at all, only our own replaced, and what a killed run left put right."""

from templates_gen.output.files import create_file, json_bytes, name_fault, replace_file
from templates_gen.output.folder import OutputFolder
from templates_gen.output.guards import note_standing, standing
from templates_gen.output.manifest import MANIFEST

__all__ = [
    "MANIFEST",
    "OutputFolder",
    "create_file",
    "json_bytes",
    "name_fault",
    "note_standing",
    "replace_file",
    "standing",
]
