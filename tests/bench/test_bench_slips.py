"""The generator of slips: every figure of a hull file, every kind of slip, and none that changes nothing."""

import tomllib
from collections import Counter
from pathlib import Path

import pytest

from templates_gen.hull.reader import read_hull
from tests.bench.figure_slips import KINDS, figure_slips, figures

HULLS = Path(__file__).resolve().parents[2] / "hulls"


def numbers(value: object) -> int:
    """How many numbers a table of TOML holds."""
    if isinstance(value, dict):
        return sum(numbers(one) for one in value.values())
    if isinstance(value, list):
        return sum(numbers(one) for one in value)
    return isinstance(value, int | float) and not isinstance(value, bool)


@pytest.mark.parametrize("name", ["dinghy", "pram", "faering"])
def test_every_number_of_a_hull_file_is_slipped(name: str) -> None:
    path = HULLS / f"{name}.toml"
    hull = read_hull(path)
    assert hull.source is not None
    found = [key for key, _ in figures(hull.source, hull.units)]
    assert len(found) == numbers(tomllib.loads(path.read_text(encoding="utf-8"))) - 1  # format is no figure


@pytest.mark.parametrize("name", ["dinghy", "double_ender"])
def test_every_kind_of_slip_is_planted_and_each_changes_one_figure(name: str) -> None:
    hull = read_hull(HULLS / f"{name}.toml")
    assert hull.source is not None
    kinds = Counter(slip.kind for slip in figure_slips(hull))
    assert set(kinds) == set(KINDS)
    for slip in list(figure_slips(hull))[::40]:
        assert slip.new != slip.old
        changed = sum(a != b for a, b in zip(slip.text.splitlines(), hull.source.text.splitlines(), strict=True))
        assert changed == 1


def clear(name: str, path: tuple[str | int, ...], kind: str) -> bool:
    hull = read_hull(HULLS / f"{name}.toml")
    return next(slip.is_clear for slip in figure_slips(hull) if slip.path == path and slip.kind == kind)


def test_what_a_builder_can_mean_is_no_clear_slip() -> None:
    assert clear("dinghy", ("planking", "lap"), "a tenth")
    assert clear("dinghy", ("station", 2, "at"), "100 more")
    assert not clear("dinghy", ("moulds", "base"), "100 more")
    assert not clear("dinghy", ("lands", "garboard"), "digits exchanged")
    assert not clear("dinghy", ("aft", "radius"), "sign turned")
