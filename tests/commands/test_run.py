"""`linesim run`: the page, the JSON object, the files, the options."""

import csv
import json
from pathlib import Path

import pytest

from tests.commands.calls import STUCK, call

NAMES = ("measures.csv", "replications.csv", "shifts.csv", "result.json")  #: What `--out` writes.


def test_the_page_answers_the_questions_in_order(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The page begins with title and answer; then what it makes, what stops it, where it waits, how sure."""
    said = call(capsys, "run", line, "--workers", "1")
    assert said.status == 0
    assert said.out.splitlines()[0] == "Two stations and a lane"
    heads = [
        "The line makes",
        "What does the line make?",
        "What stops it?",
        "Where does it wait?",
        "How sure is this?",
    ]
    places = [said.out.index(head) for head in heads]
    assert places == sorted(places)
    assert "A planning estimate" in said.out


def test_the_page_gives_mean_interval_and_range_of_a_shift(
    line: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Jobs a shift come with the interval of the mean, the range of a single shift and the plan."""
    said = " ".join(call(capsys, "run", line, "--workers", "1").out.split())
    object_ = json.loads(call(capsys, "run", line, "--workers", "1", "--json").out)
    rows = {(r["measure"], r["where"], r["cause"]): r for r in object_["measures"]}
    made = rows["jobs_per_shift", "segment", ""]
    assert f"The line makes {made['mean']:.1f} ({made['low']:.1f} to {made['high']:.1f}) jobs a shift" in said
    low, high = (rows[f"jobs_per_shift_{p}", "segment", ""]["mean"] for p in ("p10", "p90"))
    assert f"eight single shifts in ten make {low:.0f} to {high:.0f}" in said
    assert "The plan asks for 55" in said


def test_the_page_fits_eighty_columns(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Written to a pipe no line is longer than 80 letters, and there are no control codes."""
    said = call(capsys, "run", line, "--workers", "1")
    assert max(len(row) for row in said.out.splitlines()) <= 80
    assert "\x1b" not in said.out


def test_one_replication_has_no_interval_and_says_so(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With a single replication the page shows no range in brackets and says why."""
    said = call(capsys, "run", line, "--replications", "1")
    assert "no interval" in said.out
    assert " to " not in said.out.split("What stops it?")[1].split("Where does it wait?")[0]


def test_json_is_one_object_and_nothing_else(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Standard output holds one object with scenario, run and measures, and standard error nothing."""
    said = call(capsys, "run", line, "--json", "--workers", "1")
    found = json.loads(said.out)
    assert said.err == ""
    assert list(found) == ["schema_version", "scenario", "warnings", "run", "measures"]
    assert found["scenario"]["file"] == "line.toml"
    assert found["run"]["replications"] == 10 and found["run"]["seed"] == 5
    assert {"linesim", "python", "numpy", "simpy"} <= set(found["run"]["versions"])


def test_options_override_the_file(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Replications, seed, confidence and lines of TOML on the command line win over the file."""
    words = ["--replications", "3", "--seed", "11", "--confidence", "90%", "--set", "takt = '70 s'"]
    found = json.loads(call(capsys, "run", line, "--json", "--workers", "1", *words).out)
    run = found["run"]
    assert (run["replications"], run["seed"], run["confidence"]) == (3, 11, 0.9)
    assert found["scenario"]["changes"] == ["takt = '70 s'"]
    plain = json.loads(call(capsys, "run", line, "--json", "--workers", "1").out)
    assert plain["scenario"]["fingerprint"] != found["scenario"]["fingerprint"]


@pytest.mark.parametrize("text", ["0.9", "90", "90%"])
def test_confidence_is_read_as_share_or_percent(
    line: Path, capsys: pytest.CaptureFixture[str], text: str
) -> None:
    """0.9, 90 and 90% mean the same."""
    said = call(capsys, "run", line, "--json", "--replications", "2", "--workers", "1", "--confidence", text)
    assert json.loads(said.out)["run"]["confidence"] == 0.9


def test_out_writes_tables_that_agree_with_the_object(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The folder appears with all files; the CSV says what the JSON says; the JSON is what --json prints."""
    folder = tmp_path / "results" / "may"
    said = call(capsys, "run", line, "--json", "--workers", "1", "--out", folder)
    assert sorted(path.name for path in folder.iterdir()) == sorted([*NAMES, "study.sqlite"])
    assert (folder / "result.json").read_text(encoding="utf-8") == said.out
    found = json.loads(said.out)["measures"]
    with (folder / "measures.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["measure"] for row in rows] == [row["measure"] for row in found]
    assert [row["mean"] for row in rows] == ["" if r["mean"] is None else repr(r["mean"]) for r in found]


def test_out_keeps_every_replication_and_shift(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The mean of a measure is that of the replications' file; jobs per shift that of the shifts' file."""
    folder = tmp_path / "out"
    call(capsys, "run", line, "--workers", "1", "--out", folder)
    made = json.loads((folder / "result.json").read_text(encoding="utf-8"))["measures"]
    mean = next(row["mean"] for row in made if row["measure"] == "jobs_per_shift")
    with (folder / "shifts.csv").open(encoding="utf-8", newline="") as file:
        jobs = [int(row["jobs"]) for row in csv.DictReader(file)]
    assert len(jobs) == 10 * 3
    assert sum(jobs) / len(jobs) == pytest.approx(mean)
    with (folder / "replications.csv").open(encoding="utf-8", newline="") as file:
        values = [float(row["value"]) for row in csv.DictReader(file) if row["measure"] == "jobs_per_shift"]
    assert sum(values) / len(values) == pytest.approx(mean)


def test_out_never_overwrites_by_accident(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A folder that holds results is refused before anything is simulated, and taken with --force."""
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "measures.csv").write_text("mine", encoding="utf-8")
    (folder / "notes.txt").write_text("mine too", encoding="utf-8")
    said = call(capsys, "run", line, "--workers", "1", "--out", folder)
    assert (said.status, said.out) == (2, "")
    assert "measures.csv" in said.err and "--force" in said.err
    assert len(list(folder.iterdir())) == 2
    assert (folder / "measures.csv").read_text(encoding="utf-8") == "mine"
    assert call(capsys, "run", line, "--workers", "1", "--out", folder, "--force").status == 0
    assert (folder / "measures.csv").read_text(encoding="utf-8").startswith("measure,where")
    assert (folder / "notes.txt").read_text(encoding="utf-8") == "mine too"
    assert sorted(path.name for path in folder.iterdir()) == sorted([*NAMES, "notes.txt", "study.sqlite"])


def test_out_cannot_be_a_file(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file where a folder is wanted is told, exit status 2."""
    said = call(capsys, "run", line, "--workers", "1", "--out", line)
    assert said.status == 2 and "is a file" in said.err


def test_events_are_one_line_a_happening(
    line: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The log names what, where and who, in order of time, and the page stays as it was."""
    plain = call(capsys, "run", line, "--workers", "1").out
    log = tmp_path / "events.csv"
    assert call(capsys, "run", line, "--workers", "1", "--events", log).out == plain
    with log.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    times = [float(row["time_s"]) for row in rows]
    assert times == sorted(times)
    assert {"line-on", "line-off", "task start", "task end"} <= {row["what"] for row in rows}
    starts = [row for row in rows if row["what"] == "task start"]
    assert {row["task"] for row in starts} == {"A.fit", "B.bolt", "B.rack"}
    assert all(row["who"] for row in starts)


def test_a_line_that_cannot_move_fails_with_a_reason(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A deadlock is exit status 1 and a message with the replication, not a traceback and not a figure."""
    path = tmp_path / "stuck.toml"
    path.write_text(STUCK, encoding="utf-8")
    said = call(capsys, "run", path, "--workers", "1", "--quiet")
    assert (said.status, said.out) == (1, "")
    assert "can no longer move" in said.err and "in replication 1 of seed 1" in said.err


def test_warnings_go_to_stderr_and_quiet_keeps_them(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A warning about the scenario is on stderr; --quiet leaves it out; the answer is the same."""
    no_question = ["--add", "crew.idle = { people = 1 }", "--workers", "1"]
    loud, quiet = call(capsys, "run", line, *no_question), call(capsys, "run", line, *no_question, "--quiet")
    assert "warning" in loud.err and quiet.err == ""
    assert loud.out == quiet.out


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["--replications", "0"], "from 1 to 1000000"),
        (["--replications", "many"], "whole number"),
        (["--seed", "-1"], "from 0"),
        (["--confidence", "1"], "0.95 or 95%"),
        (["--workers", "0"], "from 1"),
        (["--only-replication", "0"], "from 1"),
        (["--replication", "3"], "unrecognized"),
        (["--set", "takt = 95"], "without a unit"),
        (["--set", "takt = "], "--set"),
    ],
)
def test_wrong_words_are_told(
    line: Path, capsys: pytest.CaptureFixture[str], words: list[str], part: str
) -> None:
    """A wrong option is exit status 2 with what was found and what is right, and nothing on stdout."""
    said = call(capsys, "run", line, *words)
    assert (said.status, said.out) == (2, "")
    assert part in said.err
    assert "Traceback" not in said.err
