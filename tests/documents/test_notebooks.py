"""The notebooks: they run from the first cell to the last, use public names only and hold no output."""

import re
from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

import linesim

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


def sources(path):
    """Return the text of every code cell."""
    return [cell.source for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "code"]


def test_the_three_questions_have_a_notebook():
    """There is a notebook for each of the three questions, one for the levers, one for whoever doubts."""
    assert {path.stem for path in NOTEBOOKS} == {"buffers", "extra_operator", "levers", "option_mix", "trust"}


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_notebooks_run(path):
    """A notebook runs without an error in a fresh process."""
    notebook = nbformat.read(path, as_version=4)
    NotebookClient(notebook, timeout=300, resources={"metadata": {"path": str(FOLDER)}}).execute()
    printed = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    assert printed
    drawn = [output for output in printed if "<svg" in output.get("data", {}).get("text/html", "")]
    assert bool(drawn) == ("linesim.drawings(" in "".join(sources(path)))
    assert not [
        output for output in printed if output.output_type == "error" or output.get("name") == "stderr"
    ]


def test_notebooks_that_ask_show_the_drawings():
    """Whoever asks a question in a notebook sees the drawings of its page there."""
    assert {path.stem for path in NOTEBOOKS if "linesim.drawings(" in "".join(sources(path))} == {
        "buffers", "extra_operator", "levers", "option_mix",
    }  # fmt: skip


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_notebooks_hold_no_output(path):
    """Outputs and counters are stripped, so that a notebook's history is its text."""
    for cell in nbformat.read(path, as_version=4).cells:
        if cell.cell_type == "code":
            assert cell.outputs == []
            assert cell.execution_count is None


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_notebooks_use_the_public_names_only(path):
    """Notebooks import linesim and nothing of its inside, and every name they use of it is public."""
    text = "\n".join(sources(path))
    assert set(re.findall(r"^(?:import|from) .*$", text, re.MULTILINE)) == {"import linesim"}
    assert set(re.findall(r"linesim\.(\w+)", text)) <= set(linesim.__all__)
