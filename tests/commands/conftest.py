"""A scenario file for the tests of commands."""

from pathlib import Path

import pytest

from tests.commands.calls import LINE


@pytest.fixture
def line(tmp_path: Path) -> Path:
    """Return a small scenario in a folder of its own."""
    path = tmp_path / "line.toml"
    path.write_text(LINE, encoding="utf-8")
    return path
