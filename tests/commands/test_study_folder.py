"""The folder of a study: the same command goes on, another one does not write over its tables."""

import json
import shutil
import sqlite3
from pathlib import Path

import pytest

from linesim.commands.running import InterruptedStudy
from linesim.runs.store_file import NAME
from tests.commands.calls import LINE, Said, call

CHANGE = ("--try", "buffer.lane.capacity = 3")
QUICK = ("--replications", "3", "--workers", "1", "--quiet")


def compare(capsys: pytest.CaptureFixture[str], line: Path, folder: Path, *words: str) -> Said:
    """Compare the line with a longer lane, with three replications, into a folder."""
    return call(capsys, "compare", line, *CHANGE, *QUICK, "--out", folder, *words)


def kept(folder: Path) -> int:
    """Return how many replications a study holds; 0 before there is a study, or a table in it."""
    if not (folder / NAME).exists():
        return 0
    connection = sqlite3.connect(folder / NAME)
    try:
        if not connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'replication'").fetchone():
            return 0
        return int(connection.execute("SELECT COUNT(*) FROM replication").fetchone()[0])
    finally:
        connection.close()


def files(folder: Path) -> dict[str, bytes]:
    """Return everything in a folder but the store."""
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.name != NAME}


def test_the_same_command_again_simulates_nothing(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The second time the answer comes from the store, is the same, and its files stay as they are."""
    folder = tmp_path / "study"
    first = compare(capsys, line, folder)
    before = files(folder)
    monkeypatch.setattr("linesim.runs.spread.run_block", None)
    again = compare(capsys, line, folder)
    assert (again.status, again.out, again.err) == (0, first.out, "")
    assert files(folder) == before and len(before) == 4


def test_tables_that_were_lost_come_back(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A table that was deleted is written again, the same."""
    folder = tmp_path / "study"
    compare(capsys, line, folder)
    before = files(folder)
    (folder / "levels.csv").unlink()
    assert compare(capsys, line, folder).status == 0
    assert files(folder) == before


def test_more_replications_use_those_that_are_there(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Another number is another command: refused over old tables; with --force only what is missing runs."""
    folder = tmp_path / "study"
    compare(capsys, line, folder)
    more = ("compare", line, *CHANGE, "--replications", "5", "--workers", "1", "--quiet", "--out", folder)
    refused = call(capsys, *more)
    assert refused.status == 2 and "not written by this command" in refused.err
    assert kept(folder) == 6
    cost = call(capsys, *more, "--dry-run")
    assert cost.out.startswith("To run: 10 replications of 2 cases, 6 of them stored.\n")
    assert call(capsys, *more, "--force").status == 0
    assert kept(folder) == 10


def test_a_table_that_somebody_edited_is_not_written_over(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Notes in a table of the study are refused before anything is simulated."""
    folder = tmp_path / "study"
    compare(capsys, line, folder)
    with (folder / "levels.csv").open("a", encoding="utf-8") as table:
        table.write("my note\n")
    said = compare(capsys, line, folder)
    assert said.status == 2 and "holds levels.csv, not written by this command" in said.err
    assert (folder / "levels.csv").read_text(encoding="utf-8").endswith("my note\n")


def test_a_changed_scenario_does_not_replace_the_answer(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same command on an edited file is refused with what to do, and --force then simulates nothing."""
    folder = tmp_path / "study"
    compare(capsys, line, folder)
    before = files(folder)
    line.write_text(LINE.replace('mean = "50 s"', 'mean = "51 s"'), encoding="utf-8")
    said = compare(capsys, line, folder)
    assert (said.status, said.out) == (2, "")
    assert "an input has changed since" in said.err and "--force" in said.err
    assert files(folder) == before and kept(folder) == 12
    assert compare(capsys, line, folder, "--force").status == 0
    assert files(folder) != before and kept(folder) == 12


def test_an_interrupted_study_says_how_to_go_on(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Ctrl-C after four replications: exit 130, they are kept, and the command given again does the rest."""
    folder = tmp_path / "study"
    from linesim.runs import spread

    run_block, left = spread.run_block, [4]

    def interrupted(block: spread.Block) -> spread.BlockResult:
        if not left[0]:
            raise KeyboardInterrupt
        left[0] -= 1
        return run_block(block)

    monkeypatch.setattr(spread, "run_block", interrupted)
    said = compare(capsys, line, folder)
    assert (said.status, said.out) == (130, "")
    assert said.err.startswith("interrupted; 4 finished replications are kept in ")
    assert said.err.endswith(": give the same command to go on\n")
    monkeypatch.setattr(spread, "run_block", run_block)
    assert compare(capsys, line, folder).status == 0
    assert compare(capsys, line, tmp_path / "whole").status == 0
    assert files(folder) == files(tmp_path / "whole")


def test_a_damaged_study_is_told(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A broken file ends the command with words, exit 1, and nothing on stdout."""
    folder = tmp_path / "study"
    compare(capsys, line, folder)
    whole = (folder / NAME).read_bytes()
    (folder / NAME).write_bytes(whole[: len(whole) // 2])
    said = compare(capsys, line, folder)
    assert (said.status, said.out) == (1, "")
    assert "is damaged, nothing in it is used" in said.err


def test_two_studies_merge(line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Merged, a run of five and the comparison's three share what they share, and nothing need be run."""
    compare(capsys, line, tmp_path / "a")
    call(capsys, "run", line, "--replications", "5", "--workers", "1", "--quiet", "--out", tmp_path / "b")
    said = call(capsys, "merge", tmp_path / "a", tmp_path / "b", "--into", tmp_path / "c", "--json")
    found = json.loads(said.out)
    assert found["replications"] == 8
    assert [(one["new"], one["shared"]) for one in found["merged"]] == [(6, 0), (2, 3)]
    shutil.rmtree(tmp_path / "b")
    dry = call(capsys, "run", line, "--replications", "5", "--quiet", "--dry-run", "--out", tmp_path / "c")
    assert dry.out == "To run: nothing; every replication is stored.\n"
    words = call(capsys, "merge", tmp_path / "a", "--into", tmp_path / "c").out
    assert "0 replications taken over, 6 were there already." in words
    assert call(capsys, "merge", tmp_path / "nowhere", "--into", tmp_path / "d").status == 2
    assert not (tmp_path / "d").exists()


def test_an_interrupt_that_goes_on_is_still_an_interrupt() -> None:
    """Whoever waits for Ctrl-C sees it, whatever message it carries."""
    assert issubclass(InterruptedStudy, KeyboardInterrupt)
