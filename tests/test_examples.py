"""The examples in the docstrings are true."""

import doctest
import importlib

import pytest

from tests.test_architecture import package_sources

WITH_EXAMPLES = sorted(module for module, source in package_sources().items() if "    >>> " in source)


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_the_examples_of_a_module_are_true(name: str) -> None:
    found = doctest.testmod(importlib.import_module(f"templates_gen.{name.removesuffix('.__init__')}"))
    assert found.attempted > 0
    assert found.failed == 0


def test_lengths_directions_and_arcs_have_examples() -> None:
    assert {"units", "numerics.directions", "numerics.arcs"} <= set(WITH_EXAMPLES)
