"""How many seeded hulls build, and how true they are: ``python -m tests.bench.bench_shapes --seeds 0:300``.

One process; share the seeds out between several. Prints every hull that is refused, ends in a traceback, has a figure
that cannot be or an error over its limit; then the table. ``--files`` does the same with hull files (those in
tests/data/shapes if none is named), and ``--rakes`` shears the stems of the demonstration boats from rake to rake.
"""

import argparse
import json
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from templates_gen.errors import BoatError, FlatteningError
from templates_gen.geometry.boat import boat_on
from templates_gen.hull.model import Hull
from templates_gen.hull.reader import read_hull
from templates_gen.report.measurements import measurements
from tests.flow import shell_errors, shell_of
from tests.shapes.campaign import Outcome, outcome
from tests.shapes.errors import BEVEL_LIMIT, LENGTH_LIMIT
from tests.shapes.fits import Fit
from tests.shapes.rakes import RAKES, kinks, measures, raked, with_fixed_lands
from tests.shapes.seeded import seeded_hull, unbuildable_hull

ROOT = Path(__file__).parents[2]
RAKED = ("dinghy", "double_ender", "faering")
LIMITS = {"hood end, upper": 0.3, "hood end, lower": 0.3, "lap": 0.3}
"""What the invariants of the geometry may be out by, mm."""


@dataclass(frozen=True)
class Named:
    """A hull's name and its knobs in words."""

    name: str
    knobs: str


def main() -> None:
    """Build the hulls and print what became of them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="0:300", help="first:last, the last one left out")
    parser.add_argument("--files", nargs="*", help="hull files in place of seeds")
    parser.add_argument("--rakes", nargs="*", help="hull files whose fore stems are sheared in place of seeds")
    parser.add_argument("--draw", action="store_true", help="draw every piece, too")
    parser.add_argument("--unbuildable", action="store_true", help="hulls with one knob turned too far")
    parser.add_argument("--quick", action="store_true", help="without the finer rulings")
    parser.add_argument("--json", help="a file for the table's figures")
    given = parser.parse_args()
    if given.rakes is not None:
        for path in map(Path, given.rakes or [ROOT / "hulls" / f"{name}.toml" for name in RAKED]):
            print_sweep(f"{path.stem} with its own lands", read_hull(path))
            print_sweep(f"{path.stem} with lands kept", with_fixed_lands(read_hull(path)))
        return
    done = list(_files(given) if given.files is not None else _seeds(given))
    print_table(done)
    if given.json:
        Path(given.json).write_text(json.dumps([as_record(*one) for one in done]), encoding="utf-8")


def _seeds(given: argparse.Namespace) -> Iterator[tuple[Named, Outcome]]:
    """Yield the seeded hulls with their outcomes."""
    first, last = (int(part) for part in given.seeds.split(":"))
    make = unbuildable_hull if given.unbuildable else seeded_hull
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, last):
            hull = make(seed)
            path = Path(folder) / f"{seed}.toml"
            path.write_text(hull.text, encoding="utf-8")
            why = "" if hull.buildable else f", UNBUILDABLE: {hull.reason}"
            named = Named(f"seed {seed}", hull.knobs + why)
            result = outcome(path, not given.quick, given.draw)
            print_hull(named, result)
            yield named, result


def _files(given: argparse.Namespace) -> Iterator[tuple[Named, Outcome]]:
    """Yield the hull files with their outcomes."""
    for path in map(Path, given.files or sorted((ROOT / "tests" / "data" / "shapes").glob("*.toml"))):
        named = Named(path.stem, "")
        result = outcome(path, not given.quick, given.draw)
        print_hull(named, result)
        yield named, result


def print_sweep(name: str, base: Hull) -> None:
    """Print at which rakes of its fore stem a hull is refused, and which measures do not change smoothly."""
    found: list[dict[str, float]] = []
    built: list[float] = []
    for rake in RAKES:
        try:
            with np.errstate(all="ignore"):
                shell = shell_of(raked(base, rake))
                messages = [finding.text for finding in shell_errors(shell)]
                if not messages:
                    found.append(measures(measurements(boat_on(shell))))
                    built.append(rake)
        except (BoatError, FlatteningError) as error:
            messages = [str(error)]
        if messages:
            print(f"{name}, raked {rake}°: refused: {messages[0]}", flush=True)
    runs = np.split(np.arange(len(built)), np.flatnonzero(np.diff(built) != 5) + 1)
    bent = [kink for run in runs for kink in kinks([built[i] for i in run], [found[i] for i in run])]
    print(f"{name}: {len(built)} of {len(RAKES)} rakes build; {len(bent)} kinks")
    for kink in sorted(bent, key=lambda one: -abs(one.second / one.allowed))[:12]:
        print(f"  {kink}")


def print_hull(hull: Named, result: Outcome) -> None:
    """Print what is wrong with one hull; nothing where all is well."""
    lines = [f"  refused: {message}" for message in result.messages]
    lines += [f"  TRACEBACK {line}" for line in result.failure.splitlines()]
    lines += [f"  impossible: {figure}" for figure in result.impossible[:6]]
    if len(result.impossible) > 6:
        lines.append(f"  impossible: {len(result.impossible)} in all")
    lines += [f"  {name} misses by {fit.miss:.2f} mm, {fit.where}" for name, fit in over(result).items()]
    if result.error is not None and result.error.over:
        lines.append(f"  numerical error: {'; '.join(result.error.over)}")
    if result.untrue:
        lines.append(f"  own estimate of the error untrue: {result.own_error}")
    if lines:
        print(f"{hull.name}: {hull.knobs}", *lines, sep="\n", flush=True)


def over(result: Outcome) -> dict[str, Fit]:
    """Return the fits that are over their limits."""
    return {name: fit for name, fit in result.fits.items() if not fit.miss <= LIMITS[name]}


def print_table(done: list[tuple[Named, Outcome]]) -> None:
    """Print the shares, the messages and the worst."""
    count = len(done)
    built = [(hull, result) for hull, result in done if result.builds]
    print(f"\n| {count} hulls | |\n|---|---|")
    print(f"| build | {len(built)} ({len(built) / count:.1%}) |")
    print(f"| refused with a cure that was tried | {sum(any(result.cures) for _, result in done)} |")
    print(f"| tracebacks | {sum(bool(result.failure) for _, result in done)} |")
    print(f"| with impossible figures | {sum(bool(result.impossible) for _, result in done)} |")
    for name in LIMITS:
        print(f"| {name} over {LIMITS[name]:g} mm | {sum(name in over(result) for _, result in built)} |")
    errors = [(hull.name, result.error) for hull, result in built if result.error is not None]
    for key, limit in (("bevel", BEVEL_LIMIT), ("take_off", LENGTH_LIMIT), ("outline", LENGTH_LIMIT)):
        beyond = [(getattr(error, key)[0], name) for name, error in errors if not getattr(error, key)[0] <= limit]
        worst = ", ".join(f"{value:.3g} ({name})" for value, name in sorted(beyond, reverse=True)[:5])
        print(f"| numerical error, {key}, over {limit:g} | {len(beyond)}: {worst} |")
    print(f"| own estimate of the error untrue | {sum(result.untrue for _, result in built)} |")
    seconds = [result.seconds for _, result in built]
    if seconds:
        print(f"| processor seconds, mean and most | {sum(seconds) / len(seconds):.2f}, {max(seconds):.2f} |")
    print("\n| first message, figures left out | hulls |\n|---|---|")
    for message, times in Counter(_plain(r.messages[0]) for _, r in done if r.messages).most_common():
        print(f"| {message} | {times} |")


def _plain(message: str) -> str:
    """A message with its figures taken out, so that like counts with like."""
    return "".join("#" if letter.isdigit() else letter for letter in message)[:150]


def as_record(hull: Named, result: Outcome) -> dict[str, object]:
    """Return an outcome as plain data."""
    return {
        "name": hull.name,
        "knobs": hull.knobs,
        "messages": result.messages,
        "cures": result.cures,
        "failure": result.failure,
        "impossible": [str(figure) for figure in result.impossible],
        "fits": {name: [fit.miss, fit.where] for name, fit in result.fits.items()},
        "error": None if result.error is None else vars(result.error),
        "untrue": result.untrue,
        "seconds": result.seconds,
    }


if __name__ == "__main__":
    main()
