"""Costs and their limits: benchmarks print and record the costs; only ``.ci/run`` compares them (``--hold``)."""

import argparse
import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path


@dataclass(frozen=True)
class Measured:
    """One cost.

    Attributes
    ----------
    name : str
        What was measured.
    figure : float
        The cost: a ratio to something measured in the same run, or megabytes.
    limit : float or None
        The most that ``--hold`` allows, with room for a noisy machine; None where the figure is only printed.
    """

    name: str
    figure: float
    limit: float | None = None

    @property
    def is_over(self) -> bool:
        """Whether the figure is over its limit; a figure that is not a number is."""
        return self.limit is not None and not self.figure <= self.limit


def parser(description: str | None) -> argparse.ArgumentParser:
    """Return what all benchmarks that can be held to limits are asked."""
    asked = argparse.ArgumentParser(description=description)
    asked.add_argument("--runs", type=int, default=7, help="how many interleaved runs; the best of each counts")
    asked.add_argument("--hold", action="store_true", help="end with 1 when a figure is over its limit")
    asked.add_argument("--json", type=Path, metavar="FILE", help="write the figures to a file as well")
    return asked


def settled(measured: Sequence[Measured], given: argparse.Namespace) -> int:
    """Record the figures if asked to, and return the exit status: 1 when one is over its limit and limits hold."""
    if given.json is not None:
        given.json.write_text(json.dumps([asdict(one) for one in measured], indent=1) + "\n", encoding="utf-8")
    over = [one for one in measured if given.hold and one.is_over]
    for one in over:
        print(f"{one.name}: {one.figure:.2f} is over its limit of {one.limit:g}")
    return 1 if over else 0
