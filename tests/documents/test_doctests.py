"""The examples in docstrings are true."""

import doctest
import importlib

import pytest

from tests.house.tree import ROOT, package_modules, read_module

FLAGS = doctest.NORMALIZE_WHITESPACE | doctest.ELLIPSIS
WITH_EXAMPLES = tuple(
    module.name
    for module in (*package_modules(), *map(read_module, sorted((ROOT / "tests/formulas").glob("*.py"))))
    if ">>>" in module.path.read_text(encoding="utf-8") and module.path.name != "__main__.py"
)


def test_there_are_examples() -> None:
    """The package and the tests' formulas show examples in their docstrings."""
    assert len(WITH_EXAMPLES) >= 10


@pytest.mark.parametrize("name", WITH_EXAMPLES)
def test_examples_are_true(name: str) -> None:
    """Every example of a docstring prints what it says."""
    found = doctest.testmod(importlib.import_module(name), optionflags=FLAGS)
    assert found.attempted > 0
    assert found.failed == 0
