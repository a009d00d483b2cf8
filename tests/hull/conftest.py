"""A small sound hull file to spoil, and what reading a spoilt one says."""

from collections.abc import Callable
from pathlib import Path

import pytest

from templates_gen.errors import Fault, HullFileError
from templates_gen.hull.reader import read_hull

SOUND = """\
format = 1
name = "Small"
units = "mm"
waterline = 150.0
edition = "2026-03"
[lines]
to = "inside"
[[station]]
name = "1"
at = 500.0
rabbet = [20.0, 60.0]
section = [[40.0, 80.0], [200.0, 200.0], [300.0, 500.0]]
[[station]]
name = "2"
at = 1000.0
rabbet = [20.0, 50.0]
section = [[60.0, 60.0], [300.0, 150.0], [450.0, 450.0]]
[[station]]
name = "3"
at = 1500.0
mould = false
rabbet = [20.0, 60.0]
section = [[50.0, 80.0], [250.0, 180.0], [400.0, 480.0]]
[keel]
joint = "rebate"
siding = 40.0
wood_inside = 30.0
[fore]
kind = "stem"
siding = 36.0
rabbet = [[300.0, 60.0], [100.0, 300.0], [0.0, 600.0]]
wood_inside = 60.0
[aft]
kind = "transom"
profile = [[2000.0, 140.0], [2100.0, 520.0]]
thickness = 20.0
rabbet = [18.0, 150.0]
section = [[40.0, 170.0], [200.0, 250.0], [300.0, 500.0]]
[planking]
strakes = 2
thickness = 9.0
[planking.gerald]
fore = 300.0
[lands]
by = "girth"
1 = [200.0, 500.0]
2 = [250.0, 600.0]
3 = [240.0, 570.0]
fore = [250.0, 590.0]
aft = [180.0, 460.0]
"""


@pytest.fixture
def sound() -> str:
    """Return a sound hull file's text."""
    return SOUND


@pytest.fixture
def written(tmp_path: Path) -> Callable[[str | bytes], Path]:
    """Return what writes a text or bytes to a hull file and returns its path."""

    def write(content: str | bytes) -> Path:
        path = tmp_path / "boat.toml"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return write


@pytest.fixture
def faults_of(written: Callable[[str | bytes], Path]) -> Callable[[str | bytes], tuple[Fault, ...]]:
    """Return what reads a text or bytes as a hull file and returns its faults; no fault is a failure."""

    def faults(content: str | bytes) -> tuple[Fault, ...]:
        with pytest.raises(HullFileError) as raised:
            read_hull(written(content))
        return raised.value.faults

    return faults


@pytest.fixture
def spoilt(sound: str) -> Callable[..., str]:
    """Return what replaces pieces of the sound text, each of which must be there exactly once."""

    def spoil(*changes: tuple[str, str]) -> str:
        text = sound
        for old, new in changes:
            assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the sound text"
            text = text.replace(old, new)
        return text

    return spoil
