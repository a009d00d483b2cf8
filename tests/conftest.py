"""What holds for all tests."""

import os

from hypothesis import settings

# The number libraries run in one thread, as under the command line: pytest runs a worker on each core already.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# How long an example takes says nothing on a machine that others use, too; `tests/bench` measures time.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
