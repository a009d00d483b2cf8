"""The number libraries run in one thread, as under the command line: pytest runs a worker on each core already."""

import os

from templates_gen.cli import ONE_THREAD

os.environ.setdefault(*ONE_THREAD)
