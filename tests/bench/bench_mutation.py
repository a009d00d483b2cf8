"""Whether the tests notice small faults: ``python -m tests.bench.bench_mutation numerics --count 80``.

Draws faults (see `mutants`) from all modules of a package, seeded, plants one at a time and runs the tests that
execute the function it is in, quickest first. Prints those that no test notices, and the share that is noticed with
its 95 % interval (Wilson's). Every run is a process of its own, forked from one that has loaded the libraries;
nothing in the checkout is changed.

Which tests execute a function is found by running ``tests/PACKAGE`` once, with those of `ALSO` that use the package.
A fault outside all functions (a constant) gets the tests that execute any function of its module. ``--tests`` names
the tests to use instead, for a look at one module while its tests are written. The tests of one
fault may take ``--budget`` seconds of processor time as measured without it; what no test notices by then has
survived. A run that takes far more than it did without the fault has ended up in a loop, and counts as noticed.
"""

import argparse
import ast
import importlib.abc
import importlib.machinery
import importlib.util
import os
import pickle
import random
import resource
import signal
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import ModuleType

import pytest

from tests.bench.mutants import Mutant, first_line, mutants, outermost_functions, planted

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "templates_gen"
LIBRARIES = (
    "numpy",
    "scipy.interpolate",
    "scipy.optimize",
    "scipy.sparse.linalg",
    "scipy.linalg",
    "shapely",
    "reportlab.pdfgen.canvas",
    "ezdxf",
    "hypothesis",
    "pydantic",
)
EARLY = ("-W", "ignore::pytest.PytestAssertRewriteWarning")
"""Libraries with plugins of pytest are loaded before it starts."""

ALSO = {
    "geometry": ("at_boat", "templates/test_rebates.py", "templates/test_stem_profile.py"),
    "numerics": ("hull/test_fairness.py", "render/test_dxf_polylines.py"),
    "drawing": ("templates/test_label_clearance.py", "templates/test_bevels_gauges.py", "templates/test_rebates.py"),
    "paper": (
        "render/test_pdf_readback.py",
        "render/test_pdf_plan.py",
        "render/test_pdf_packed.py",
        "render/test_table_rooms.py",
    ),
}
"""Tests of other folders that use a package."""

LOOP = 10.0
"""s of processor time that a run may take beyond its budget before it counts as a loop."""

Function = tuple[str, int]
"""A file and the first line of an outermost function in it."""


@dataclass
class Run:
    """One test without any fault: how long it takes, s, and which functions it executes, its fixtures included.

    `kept` are functions that earlier tests have executed with a fixture that this test shares with them: what they
    return may be kept there, so that a fault in them may show here.
    """

    name: str
    seconds: float = 0.0
    functions: set[Function] = field(default_factory=set)
    kept: set[Function] = field(default_factory=set)


class Recorder:
    """A plugin of pytest that notes what every test executes."""

    def __init__(self) -> None:
        self.runs: list[Run] = []
        self.failed: list[str] = []
        self._fixtures: dict[str, set[Function]] = defaultdict(set)
        self._kept: dict[tuple[str, str], set[Function]] = defaultdict(set)
        self._seen: set[Function] = set()

    def note(self, function: Function) -> None:
        """Note that a function is executed."""
        self._seen.add(function)

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[object]) -> object:
        """Note what a fixture executes, for all tests that use it."""
        before, self._seen = self._seen, set()
        try:
            return (yield)
        finally:
            self._fixtures[fixturedef.argname] |= self._seen
            self._seen |= before

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> object:
        """Note what a test executes."""
        from tests import flow  # imported by now: before pytest starts nothing of the program may be

        flow.forget()
        self._seen, begun = set(), time.process_time()
        try:
            return (yield)
        finally:
            seconds, fixtures = time.process_time() - begun, getattr(item, "fixturenames", ())
            used = self._seen.union(*(self._fixtures[name] for name in fixtures))
            kept = [self._kept[item.nodeid.split("::")[0], name] for name in fixtures if name in self._fixtures]
            self.runs.append(Run(item.nodeid, seconds, used, set().union(*kept)))
            for each in kept:
                each |= self._seen

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Note a failure."""
        if report.failed:
            self.failed.append(report.nodeid)


class Watcher(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports the program so that each outermost function first notes that it is executed."""

    def __init__(self, note: Callable[[Function], None]) -> None:
        self._note = note

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """Answer for all modules of the program."""
        first, *rest = fullname.split(".")
        if first != PACKAGE.name:
            return None
        folder = PACKAGE.joinpath(*rest)
        if folder.is_dir():
            places = [str(folder)]
            return importlib.util.spec_from_file_location(
                fullname, folder / "__init__.py", loader=self, submodule_search_locations=places
            )
        return importlib.util.spec_from_file_location(fullname, folder.with_suffix(".py"), loader=self)

    def exec_module(self, module: ModuleType) -> None:
        """Run the module with its functions watched."""
        path = str(module.__file__)
        tree = ast.parse(Path(path).read_text(encoding="utf-8"))
        for function in outermost_functions(tree):
            note = ast.parse(f"__note__(({path!r}, {first_line(function)}))").body
            after = 1 if ast.get_docstring(function) is not None else 0
            function.body[after:after] = note
        module.__dict__["__note__"] = self._note
        exec(compile(ast.fix_missing_locations(tree), path, "exec"), module.__dict__)


class Planter(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module with a fault in it."""

    def __init__(self, name: str, path: Path, mutant: Mutant) -> None:
        self._name, self._path, self._mutant = name, path, mutant

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        """Answer for the one module only."""
        if fullname != self._name:
            return None
        return importlib.util.spec_from_file_location(fullname, self._path, loader=self)

    def exec_module(self, module: ModuleType) -> None:
        """Run the module with the fault."""
        tree = planted(self._mutant, self._path.read_text(encoding="utf-8"))
        exec(compile(tree, str(self._path), "exec"), module.__dict__)


def in_child(work: Callable[[], object], seconds: float | None = None) -> object:
    """Return what a piece of work returns in a process of its own; None if that fails or takes too much time."""
    with tempfile.TemporaryFile() as answer:
        child = os.fork()
        if not child:
            status = 1
            try:
                if seconds is not None:
                    resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 2))
                    signal.signal(signal.SIGXCPU, signal.SIG_DFL)
                quiet = os.open(os.devnull, os.O_RDWR)
                for stream in (0, 1, 2):
                    os.dup2(quiet, stream)
                pickle.dump(work(), answer)
                answer.flush()
                status = 0
            finally:
                os._exit(status)
        _, status = os.waitpid(child, 0)
        answer.seek(0)
        return pickle.load(answer) if status == 0 else None


def run_tests(names: Sequence[str], plugins: Sequence[object] = (), *options: str) -> int:
    """Return pytest's exit status for some tests, run in this process; hypothesis draws the same examples always."""
    settings = ["-q", "-p", "no:cacheprovider", "--hypothesis-seed=0", "--rootdir", str(ROOT), *EARLY]
    return int(pytest.main([*settings, *options, *names], plugins=plugins))


def baseline(folders: Sequence[str]) -> list[Run]:
    """Return every test of some folders or files, run without any fault.

    Raises
    ------
    RuntimeError
        When one fails.
    """

    def work() -> tuple[list[Run], list[str]]:
        recorder = Recorder()
        sys.meta_path.insert(0, Watcher(recorder.note))
        status = run_tests(folders, [recorder])
        return recorder.runs, recorder.failed or ([f"pytest ended with {status}"] if status else [])

    found = in_child(work)
    if not isinstance(found, tuple) or found[1]:
        raise RuntimeError(f"the tests fail without any fault: {found[1] if isinstance(found, tuple) else found}")
    runs: list[Run] = found[0]
    return runs


def suited(mutant: Mutant, runs: Sequence[Run], budget: float) -> list[Run]:
    """Return the tests that execute what a fault is in, quickest first, as many as the budget of seconds holds.

    Those that only see what other tests have left in a fixture come last.
    """
    path = str(path_of(mutant.module))

    def is_in(functions: set[Function]) -> bool:
        touched = {line for file, line in functions if file == path}
        return mutant.function in touched if mutant.function else bool(touched)

    ranked = [(not is_in(run.functions), run.seconds, run) for run in runs if is_in(run.functions | run.kept)]
    taken, spent = [], 0.0
    for _, seconds, run in sorted(ranked, key=lambda each: each[:2]):
        if spent + seconds <= budget:
            taken.append(run)
            spent += seconds
    return taken


def is_noticed(mutant: Mutant, chosen: Sequence[Run]) -> bool:
    """Return whether one of some tests fails once a fault is planted."""

    def work() -> int:
        sys.meta_path.insert(0, Planter(f"templates_gen.{mutant.module}", path_of(mutant.module), mutant))
        return run_tests([run.name for run in chosen], (), "-x", "--no-header", "--tb=no")

    allowed = 3 * sum(run.seconds for run in chosen) + LOOP
    return bool(chosen) and in_child(work, allowed) != 0


def path_of(module: str) -> Path:
    """Return the file of a module."""
    return PACKAGE.joinpath(*module.split(".")).with_suffix(".py")


def drawn(name: str, count: int, seed: int) -> list[Mutant]:
    """Return some of the faults that can be planted in a package or a module, drawn with a seed, in source order."""
    folder = PACKAGE.joinpath(*name.split("."))
    every = [
        mutant
        for path in sorted(folder.rglob("*.py") if folder.is_dir() else [path_of(name)])
        for mutant in mutants(
            ".".join(path.relative_to(PACKAGE).with_suffix("").parts), path.read_text(encoding="utf-8")
        )
    ]
    print(f"{name}: {len(every)} faults can be planted; {min(count, len(every))} drawn with seed {seed}", flush=True)
    chosen = random.Random(seed).sample(every, min(count, len(every)))
    return sorted(chosen, key=lambda one: (one.module, one.line, one.place, one.way))


def wilson(hits: int, count: int) -> tuple[float, float]:
    """Return the 95 % interval of a share (E. B. Wilson, J. Amer. Statist. Assoc. 22 (1927) 209)."""
    z, share = 1.96, hits / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z / (1 + z * z / count) * (share * (1 - share) / count + z * z / (4 * count * count)) ** 0.5
    return middle - half, middle + half


def survivors(chosen: Sequence[Mutant], runs: Sequence[Run], budget: float) -> Iterator[Mutant]:
    """Yield the faults that no test notices."""
    for mutant in chosen:
        tests = suited(mutant, runs, budget)
        if not is_noticed(mutant, tests):
            print(f"survived ({len(tests)} tests): {mutant.module}:{mutant.line}  {mutant.words}", flush=True)
            yield mutant


def main() -> None:
    """Print the survivors and the share that is noticed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("package", help="a folder of templates_gen, or one module of it: paper or paper.frames")
    parser.add_argument("--count", type=int, default=80, help="how many faults")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--budget", type=float, default=20.0, help="s of tests for a fault")
    parser.add_argument("--tests", nargs="*", help="files or folders of tests/ in place of all that use the package")
    given = parser.parse_args()
    for library in LIBRARIES:
        importlib.import_module(library)
    chosen = drawn(given.package, given.count, given.seed)
    package = given.package.split(".")[0]
    runs = baseline([str(ROOT / "tests" / name) for name in given.tests or (package, *ALSO.get(package, ()))])
    print(f"{len(runs)} tests, {sum(run.seconds for run in runs):.0f} s", flush=True)
    left = list(survivors(chosen, runs, given.budget))
    low, high = wilson(len(chosen) - len(left), len(chosen))
    share = 1 - len(left) / len(chosen)
    print(
        f"{given.package}: {share:.0%} noticed ({len(chosen) - len(left)} of {len(chosen)}; {low:.0%} to {high:.0%})"
    )


if __name__ == "__main__":
    main()
