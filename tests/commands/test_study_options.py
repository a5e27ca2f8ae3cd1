"""Precision, cost and cluster as a user asks for them."""

import argparse
import json
import sys
from pathlib import Path

import pytest

from linesim.commands.main import parser
from tests.commands.calls import call

ALONE = ("--workers", "1", "--quiet")


def test_a_precision_is_reached_and_told(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The run takes as many replications as the figure needs, the page says how sharp it became."""
    found = json.loads(
        call(capsys, "run", line, *ALONE, "--precision", "2%", "--measure", "throughput", "--json").out
    )
    row = next(row for row in found["measures"] if row["measure"] == "throughput")
    assert row["half_width"] / row["mean"] <= 0.02
    assert found["convergence"]["measure"] == "throughput"
    assert found["convergence"]["enough"] + 5 == found["run"]["replications"]
    page = call(capsys, "run", line, *ALONE, "--precision", "0.02", "--measure", "throughput").out
    assert "Throughput is known to ±2 % of its mean after" in " ".join(page.split())


def test_a_precision_out_of_reach_fails_and_says_so(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Where the cap comes first the answer is given, says what was reached, and the exit status is 1."""
    for words in (("run", line), ("compare", line, "--try", "buffer.lane.capacity = 3")):
        said = call(capsys, *words, *ALONE, "--precision", "0.01%", "--max-replications", "4")
        assert said.status == 1
        assert "the cap of 4 replications was reached" in " ".join(said.out.split())


def test_every_case_of_a_study_is_sharp(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A comparison with --precision tells of each case how its figure became sharp."""
    words = ("compare", line, "--try", "buffer.lane.capacity = 3", *ALONE, "--precision", "5%", "--json")
    found = json.loads(call(capsys, *words).out)
    assert [one["case"] for one in found["convergence"]] == [case["case"] for case in found["cases"]]
    assert {one["enough"] is not None for one in found["convergence"]} == {True}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--precision", "1%", "--replications", "5"), "leave --replications out"),
        (("--precision", "1%", "--only-replication", "5"), "leave --replications out"),
        (("--max-replications", "5"), "say how sharp, such as --precision 1%"),
        (
            ("--precision", "1%", "--max-replications", "2"),
            "--max-replications 2 is too few; write 3 or more",
        ),
        (("--precision", "1%", "--measure", "lukc"), "names no measure"),
        (("--precision", "100%"), "write a share such as 1%"),
        (("--precision", "sharp"), "write a share such as 1%"),
    ],
)
def test_options_that_do_not_fit_are_told(
    line: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], says: str
) -> None:
    """Wrong or contradicting options are exit status 2 with what would be right."""
    said = call(capsys, "run", line, *ALONE, *words)
    assert (said.status, said.out) == (2, "")
    assert says in " ".join(said.err.split())


def test_a_dry_run_says_the_cost_and_leaves_nothing(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Replications, cases and time are said, in words and as an object; no folder is made."""
    folder = tmp_path / "study"
    words = ("sweep", line, "--vary", "buffer.lane.capacity = [1, 3, 4]", "--dry-run", "--out", folder)
    said = call(capsys, *words, "--workers", "2")
    first, second = said.out.splitlines()
    assert (said.status, first) == (0, "To run: 40 replications of 4 cases.")
    assert second.startswith("A replication takes ") and "with 2 workers that is about" in second
    cost = json.loads(call(capsys, *words, "--json").out)["cost"]
    assert (cost["cases"], cost["replications"], cost["stored"]) == (4, 40, 0)
    assert not folder.exists()


STEPS = (
    ("buffers", "--replications", "4"),
    ("buffers", "--places", "3", "--replications", "4"),
    ("buffers", "--share", "90%", "--replications", "4"),
    ("crew", "--replications", "7"),
    ("mix", "--replications", "2"),
    ("doubt", "--only", "station.A", "--replications", "2"),
)


@pytest.mark.parametrize("words", STEPS, ids=" ".join)
def test_a_study_in_steps_takes_what_it_said(
    line: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...]
) -> None:
    """Where figures decide what comes next a range is told, and what is run lies within it."""
    name, *rest = words
    cost = json.loads(call(capsys, name, line, *rest, "--dry-run", "--json", *ALONE).out)["cost"]
    found = json.loads(call(capsys, name, line, *rest, "--json", *ALONE).out)
    took = sum(case["replications"] for case in found["cases"])
    assert (cost["least"] or cost["replications"]) <= took <= cost["replications"]
    assert cost["least_seconds"] <= cost["seconds"]


def test_a_cluster_without_its_library_is_told(
    line: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The message names the extra to install, exit status 2."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    said = call(capsys, "run", line, *ALONE, "--cluster", "tcp://127.0.0.1:8786")
    assert (said.status, said.out) == (2, "")
    assert "pip install 'linesim[cluster]'" in said.err


#: Options that say the same of every command that simulates a line.
SHARED = frozenset(
    ("--measure", "--precision", "--max-replications", "--replications", "--seed", "--confidence",
     "--workers", "--cluster", "--dry-run", "--set", "--add")
)  # fmt: skip
#: Words of options that were once used beside the ones above.
GONE = frozenset(("--on", "--matters"))


def test_an_option_has_one_meaning() -> None:
    """Every command reads a shared option's value in one form, and says nothing of it in another word."""
    (commands,) = (one.choices for one in parser()._actions if isinstance(one, argparse._SubParsersAction))
    forms: dict[str, set[tuple[object, ...]]] = {}
    for command in commands.values():
        for option in command._actions:
            for flag in option.option_strings:
                assert flag not in GONE, f"{command.prog} {flag}"
                if flag in SHARED:
                    first = " ".join((option.help or "").replace(" with --precision", "").split()[:5])
                    forms.setdefault(flag, set()).add((option.metavar, type(option), first))
    # `verify` and `fit` have no line, or other numbers; `import` simulates nothing; a `replay` has a band.
    told_apart = {"--replications": 3, "--seed": 2, "--dry-run": 2}
    for flag, found in forms.items():
        assert len(found) <= told_apart.get(flag, 1), (flag, found)
