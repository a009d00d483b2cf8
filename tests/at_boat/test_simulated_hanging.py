"""Boats hung on paper with seeded errors: lined off anew the laps come right, from the drawing they do not.

`python -m tests.bench.bench_hanging` hangs all four, with more seeds.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from templates_gen.hull.reader import read_hull
from tests.at_boat.simulated_hanging import ALONG_LAND, MEASURING, Hanging, hung_with_errors

HULLS = [Path(__file__).resolve().parents[2] / "hulls" / f"{name}.toml" for name in ("double_ender", "pram")]
SEED = 1


@cache
def from_drawing(path: Path) -> Hanging:
    """A boat hung from the drawing alone."""
    return hung_with_errors(read_hull(path), SEED, None)


@pytest.mark.parametrize("path", HULLS, ids=lambda path: path.stem)
def test_no_lap_is_off_by_more_than_half_a_millimetre_and_the_measuring_error(path: Path, tmp_path: Path) -> None:
    built, drawn = hung_with_errors(read_hull(path), SEED, tmp_path / "built.toml"), from_drawing(path)
    assert np.abs(built.misses).max() <= 0.5 + MEASURING
    # The sheer is off by no more than the last strake's own error besides; errors no longer add up.
    assert np.abs(built.edges[-1]).max() <= 0.5 + MEASURING + ALONG_LAND
    assert np.abs(drawn.misses[-1]).max() > 1.5 * np.abs(built.misses[-1]).max()


def test_the_drawing_alone_is_found_wanting() -> None:
    drawn = from_drawing(HULLS[0])
    assert np.abs(drawn.misses).max() > 0.5 + MEASURING
