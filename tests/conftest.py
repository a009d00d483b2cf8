"""What holds for all tests."""

import gc
import os
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

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

FIRST = (
    "test_page.py",
    "test_seeded_hulls.py",
    "test_fairness.py",
    "test_cli.py",
    "test_cli_lines.py",
    "test_notation_on_sheets.py",
    "test_cli_at_boat.py",
    "test_measure.py",
    "test_rakes.py",
    "test_offsets_findings.py",
    "test_router.py",
    "test_spiling.py",
    "test_shapes.py",
    "test_sides.py",
    "test_check_and_make.py",
    "test_at_boat.py",
    "test_one_plan.py",
)
"""The files that take longest, the longest first. Each file's tests run in one process, so that boats and made files
are shared; a long file that came last would leave the other processes without work."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Have the long files begin first; all else stays in its order."""
    rank = {name: number for number, name in enumerate(FIRST)}
    items.sort(key=lambda item: rank.get(Path(item.path).name, len(FIRST)))


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
