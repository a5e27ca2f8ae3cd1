"""A wrong scenario for every kind of problem: found alone, at its line, with a mend."""

import re
import tomllib
from pathlib import Path

import pytest

from linesim.errors import Problem, ScenarioError
from linesim.scenario import from_dict, read
from linesim.scenario.problems import codes

SAMPLES = Path(__file__).parent / "samples"
FOLDERS = tuple(sorted(path for path in SAMPLES.iterdir() if path.is_dir()))


def problems_of(folder: Path) -> tuple[Problem, ...]:
    """Return everything that is found in the sample of a folder."""
    sets, add = (
        path.read_text(encoding="utf-8").splitlines() if path.exists() else []
        for path in (folder / "sets.txt", folder / "add.txt")
    )
    try:
        if folder.name == "no-folder":
            with (folder / "line.toml").open("rb") as stream:
                from_dict(tomllib.load(stream))
            return ()
        return read(folder / "line.toml", sets, add=add).warnings
    except ScenarioError as error:
        return error.problems


def expected_spot(folder: Path) -> tuple[str, int | None] | None:
    """Return file and line that a sample names: in its second line, or by a mark at the line itself."""
    lines = {path.name: path.read_bytes().splitlines() for path in sorted(folder.glob("*.toml"))}
    if said := re.match(rb"# at ([^:]+):?(\d*)$", lines["line.toml"][1]):
        return said[1].decode(), int(said[2]) if said[2] else None
    for name, content in lines.items():
        for number, line in enumerate(content, start=1):
            if line.endswith(b"# here"):
                return name, number
    return None


def test_lists_of_codes_are_equal() -> None:
    """Every code has a paragraph and a sample, and there are no others."""
    assert sorted(codes()) == [folder.name for folder in FOLDERS]


def test_codes_read_as_paragraphs() -> None:
    """Every paragraph says something, on one line, and a warning says that it is one."""
    assert all("\n" not in says and "  " not in says for says in codes().values())
    assert all(len(says) > 30 and says.endswith(".") for says in codes().values())
    assert all(says.startswith("Warning: ") == (code in codes("warnings")) for code, says in codes().items())


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_sample_has_its_problem_and_no_other(folder: Path) -> None:
    """The sample of a code gives exactly that problem, as an error or a warning, whichever it is."""
    found = problems_of(folder)
    expected = "warning" if folder.name in codes("warnings") else "error"
    problems = [problem for problem in found if problem.severity == expected]
    assert [problem.code for problem in problems] == [folder.name], [p.rendered() for p in found]
    assert expected == "warning" or len(found) == 1
    assert not (expected == "error" and any(problem.severity == "warning" for problem in found))


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_sample_names_the_place(folder: Path) -> None:
    """The problem names the file and, where the sample marks one, the line."""
    (problem,) = [found for found in problems_of(folder) if found.code == folder.name]
    spot = expected_spot(folder)
    if spot is not None:
        assert (Path(problem.file).name, problem.line) == spot
    assert problem.rendered().startswith(problem.file)
    assert problem.rendered().endswith(f"[{folder.name}]")
    assert problem.message[-1] in ".?"
    assert "Traceback" not in problem.rendered()


def test_samples_name_their_place() -> None:
    """Only what concerns a scenario as a whole goes without a place."""
    assert {folder.name for folder in FOLDERS if expected_spot(folder) is None} == {
        "guesses",
        "no-folder",
        "no-question",
    }
