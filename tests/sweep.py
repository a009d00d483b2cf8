"""Cases that the test run leaves to `pytest -m sweep`: they show on more boats what the others show on few."""

from typing import Any

import pytest

sweep = pytest.mark.sweep


def more(*cases: Any) -> list[Any]:
    """Return cases of a parametrised test, tuples where it takes several values, marked for the sweep."""
    return [pytest.param(*(case if isinstance(case, tuple) else (case,)), marks=sweep) for case in cases]
