"""The library's settings for a file, whatever the surroundings say."""

import contextlib
import os
from collections.abc import Iterator

import reportlab.rl_config

_DATE = "SOURCE_DATE_EPOCH"
"""From this variable the library would take a date instead of the fixed one."""


@contextlib.contextmanager
def plain_streams() -> Iterator[None]:
    """Have streams written as bytes, not as text (a quarter smaller), and no date."""
    before = reportlab.rl_config.useA85
    date = os.environ.pop(_DATE, None)
    reportlab.rl_config.useA85 = 0
    try:
        yield
    finally:
        reportlab.rl_config.useA85 = before
        if date is not None:
            os.environ[_DATE] = date
