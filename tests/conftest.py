"""What holds for all tests."""

import contextlib
import gc
import importlib
import os
import signal
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from hypothesis import settings
from xdist.scheduler import LoadScopeScheduling

ROOT = Path(__file__).resolve().parents[1]

# The number libraries run in one thread, as under the command line: pytest runs a worker on each core already.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# Where Python is asked to write no bytecode, the tests and the commands that they start keep it with pytest's cache.
if sys.dont_write_bytecode:
    sys.dont_write_bytecode = False
    sys.pycache_prefix = os.environ["PYTHONPYCACHEPREFIX"] = str(ROOT / ".pytest_cache" / "bytecode")
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

# A shell starts what runs in its background deaf to interruptions, and the commands under test would honour that.
if signal.getsignal(signal.SIGINT) == signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

# How long an example takes says nothing on a machine that others use, too; `tests/bench` measures time.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")

TOGETHER = {
    "look": "look",
    "stock": "stock",
    "book": "book",
    "shop": "book",
    "test_house.py": "test_architecture",
}
"""Folders and files whose tests run in one process: they share browsers, plans, orders of work, or parsed sources."""

FIRST = (
    *("look", "test_notation_on_sheets", "stock", "shapes/test_seeded_hulls", "test_cli_at_boat"),
    *("hull/test_fairness", "test_check_and_make", "book", "test_cli", "test_cli_lines", "at_boat/test_ends_out"),
    *("at_boat/test_spiling", "at_boat/test_sides", "report/test_offsets_findings", "at_boat/test_at_boat"),
    *("hull/test_half_boats", "at_boat/test_moulds", "templates/test_strake_words", "bench/test_same_sheets"),
    *("at_boat/test_simulated_hanging", "bench/test_bench_ink", "render/test_golden", "test_paper_budget"),
    *("report/test_lining_off_findings",),
)
"""The groups that take longest, in the usual run or in the sweep, the longest first.

The tests of a group run in one process, so that boats and made files are shared; a long group that came last would
leave the other processes without work.
"""


@cache
def group_of(file: str) -> str:
    """Return the name of the group of a file of tests, its path being from the checkout's root."""
    place = Path(file).relative_to("tests")
    return TOGETHER.get(place.parts[0], place.with_suffix("").as_posix())


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session: pytest.Session) -> None:
    """Have every other process load all tests from the last to the first, where all are run.

    pytest rewrites a file of tests and keeps it when it is first loaded. So two processes rewrite one half each, and
    read the other, where both would rewrite every file at the same time.
    """
    worker = getattr(session.config, "workerinput", {}).get("workerid", "gw0")
    if int(worker.removeprefix("gw")) % 2 and session.config.args == session.config.getini("testpaths"):
        for path in sorted((ROOT / "tests").rglob("test_*.py"), reverse=True):
            with contextlib.suppress(Exception, pytest.skip.Exception):  # collecting it says what is wrong
                importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Have the long groups begin first; all else stays in its order."""
    rank = {name: number for number, name in enumerate(FIRST)}
    items.sort(key=lambda item: rank.get(group_of(item.nodeid.partition("::")[0]), len(FIRST)))


class ByGroup(LoadScopeScheduling):  # type: ignore[misc]
    """Hands groups of tests to processes, one after another."""

    def _split_scope(self, nodeid: str) -> str:
        return group_of(nodeid.partition("::")[0])


def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> ByGroup:
    """Return what shares the tests out between processes."""
    return ByGroup(config, log)


def pytest_collection_finish() -> None:
    """Have the garbage collector look seldom, and never at the libraries and the tests themselves."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(50_000, 20, 50)


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Compute every boat anew in a test that may change the program."""
    from tests import flow

    flow.keep("monkeypatch" not in getattr(item, "fixturenames", ()))


@pytest.fixture(scope="module", autouse=True)
def kept_boats() -> Iterator[None]:
    """Let the commands that a file of tests runs in this process compute each boat once."""
    from tests import flow

    with flow.kept_boats():
        yield
