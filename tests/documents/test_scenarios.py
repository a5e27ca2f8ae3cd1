"""The shipped scenarios load, say what they are, and do what their comments promise."""

import re
from pathlib import Path

import pytest

from tests.documents.pages import ROOT

SHIPPED = tuple(sorted((ROOT / "scenarios").rglob("*.toml")))
FEATURES = tuple(sorted((ROOT / "scenarios" / "features").glob("*.toml")))
TEXTBOOK = tuple(sorted((ROOT / "scenarios" / "textbook").glob("*.toml")))


def name(path: Path) -> str:
    """Return the path below the scenarios."""
    return str(path.relative_to(ROOT / "scenarios"))


def opening(path: Path) -> list[str]:
    """Return the comment lines at the top of a file."""
    lines = []
    for line in path.read_text(encoding="utf-8").splitlines():
        if not line.startswith("#"):
            break
        lines.append(line[1:].strip())
    return lines


@pytest.mark.parametrize("path", SHIPPED, ids=name)
def test_shipped_scenarios_load(path: Path) -> None:
    """Every shipped scenario loads, has a title, and becomes a plan."""
    import linesim
    from linesim.plan.build import build

    scenario = linesim.load(path)
    assert scenario.title
    plan = build(scenario)
    assert len(plan.names.station) == len(scenario.station)


@pytest.mark.parametrize("path", FEATURES, ids=name)
def test_features_say_what_to_see(path: Path) -> None:
    """A feature's file opens with two lines: what it is, and what to see in the result."""
    lines = opening(path)
    assert len(lines) == 2
    assert lines[1].startswith("See: ")


@pytest.mark.parametrize("path", TEXTBOOK, ids=name)
def test_textbook_lines_give_answer_and_source(path: Path) -> None:
    """A textbook line states its exact answer and where it comes from."""
    text = " ".join(opening(path))
    assert re.search(r"\bExact: .*\d", text)
    assert re.search(r"\bSource( of the (model|rule))?: ", text)


def test_demo_says_that_it_is_invented() -> None:
    """The tractor line says in its first lines and in its title that everything in it is invented."""
    path = ROOT / "scenarios" / "tractor" / "line.toml"
    assert "invented" in " ".join(opening(path))
    assert "invented" in path.read_text(encoding="utf-8").split("title", 1)[1].splitlines()[0]
