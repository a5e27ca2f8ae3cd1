"""Every study is kept from its first replication on, whatever it notes down and however it goes on."""

import json
from pathlib import Path

import pytest

from linesim.runs import spread
from tests.commands.calls import Said, call
from tests.commands.test_study_folder import files, kept

#: Studies that note down more than the figures of a line -> replications that they run, of three each.
NOTING = {("warmup",): 3, ("bottleneck", "--only", "A"): 9}
#: Studies whose next step depends on figures.
STEPPING = (
    ("crew", "--only", "two", "--no-floater"),
    ("buffers", "--places", "3"),
    ("mix", "--try", "option.rack.take = 0.9"),
    ("doubt", "--try", "buffer.lane.capacity = 3"),
)
FEW = ("--replications", "3", "--workers", "1", "--quiet")


@pytest.fixture
def guessed(line: Path) -> Path:
    """Return the line with a short run and a time that is a guess."""
    task = "[station.B.task.bolt]\n"
    text = line.read_text(encoding="utf-8").replace('"3 h"', '"1 h"')
    line.write_text(text.replace(task, f"{task}confidence = 'guess'\n"), encoding="utf-8")
    return line


@pytest.mark.parametrize("words", [*NOTING, *STEPPING], ids=lambda words: words[0])
def test_a_study_is_counted_kept_and_taken_up_again(
    words: tuple[str, ...],
    guessed: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The cost is what is run; after Ctrl-C it ends as if undisturbed; a third time nothing is run."""
    name, *others = words

    def study(folder: str, *more: str) -> Said:
        return call(capsys, name, guessed, *others, *FEW, "--out", tmp_path / folder, *more)

    cost = json.loads(study("broken", "--dry-run", "--json").out)["cost"]
    whole = study("whole")
    n = kept(tmp_path / "whole")
    assert n > 2 and cost["stored"] == 0
    assert (cost["replications"] == n == NOTING[words]) if words in NOTING else cost["replications"] >= 3
    run_block, left = spread.run_block, [n - 1]

    def interrupted(block: spread.Block) -> spread.BlockResult:
        if not left[0]:
            raise KeyboardInterrupt
        left[0] -= 1
        return run_block(block)

    monkeypatch.setattr(spread, "run_block", interrupted)
    said = study("broken")
    assert (said.status, said.out) == (130, "") and "give the same command to go on" in said.err
    assert kept(tmp_path / "broken") == n - 1
    monkeypatch.setattr(spread, "run_block", run_block)
    ended = study("broken")
    assert ended == whole and whole.out and not whole.err
    assert files(tmp_path / "broken") == files(tmp_path / "whole")
    assert kept(tmp_path / "broken") == n
    monkeypatch.setattr(spread, "run_block", None)
    assert study("broken") == ended
    assert json.loads(study("broken", "--dry-run", "--json").out)["cost"]["replications"] == 0


def test_another_look_at_the_same_line_is_no_figure_of_it(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One folder keeps series, periods and figures of a line apart, and a run takes the figures alone."""
    for words in NOTING:
        assert call(capsys, *words[:1], line, *words[1:], *FEW, "--out", tmp_path / "one").status == 0
    cost = call(capsys, "run", line, *FEW, "--out", tmp_path / "one", "--dry-run")
    assert cost.out == "To run: nothing; every replication is stored.\n"
    alone = call(capsys, "run", line, *FEW, "--json")
    assert call(capsys, "run", line, *FEW, "--out", tmp_path / "one", "--json").out == alone.out
    assert kept(tmp_path / "one") == sum(NOTING.values())


def test_the_cost_of_a_mix_counts_the_rules_that_it_may_try(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With one option four cases at most: as it is, the new mix, without it, spaced; a named rule is sure."""
    words = ("mix", line, "--try", "option.rack.take = 0.4", *FEW)
    most = "To run: 9 to 12 replications, as the figures decide."
    assert call(capsys, *words, "--dry-run").out.startswith(most)
    assert call(capsys, *words, "--out", tmp_path / "out").status == 0
    assert kept(tmp_path / "out") == 12
    named = call(capsys, *words, "--rule", "rack 1 in 2", "--dry-run").out
    assert named.startswith("To run: 12 replications of 4 cases")
    none = call(capsys, *words, "--no-options", "--dry-run").out
    assert none.startswith("To run: 6 replications of 2 cases")
