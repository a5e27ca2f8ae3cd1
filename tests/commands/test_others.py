"""`linesim check`, `explain`, `new`, `schema`."""

import json
import re
import tomllib
from pathlib import Path

import jsonschema
import pytest

from linesim.measures import DEFINITIONS, GLOSSARY
from linesim.scenario.loader import starter
from linesim.scenario.problems import codes
from tests.commands.calls import call


def test_check_sets_work_against_the_takt(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A's work is 50 s, or 58 s on a quarter of jobs, each redone in 5 of 100 cases: 54.6 s of 60, 91 %."""
    said = call(capsys, "check", line)
    assert said.status == 0 and said.err == ""
    row = next(row for row in said.out.splitlines() if row.split()[:1] == ["A"])
    assert row.split()[-2:] == ["91.0", "54.6"]  # (0.75 * 50 + 0.25 * 58) * 1.05 = 54.6
    assert "rich takes 60.9 s, 0.9 s more than the takt" in " ".join(said.out.split())  # 58 * 1.05


def test_check_names_the_ceiling_and_what_sets_it(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One job a takt of 60 s is the least of all limits: 60 an hour, 60 in a shift of an hour."""
    said = " ".join(call(capsys, "check", line).out.split())
    assert "At most 60.0 jobs an hour, 60 a shift, set by takt of back" in said
    assert "The plan asks for 55 a shift, which is within this ceiling" in said


def test_check_as_one_object(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--json holds loads, times by model, people and every limit, with all their digits."""
    tables = json.loads(call(capsys, "check", line, "--json").out)["tables"]
    station = next(row for row in tables["stations"] if row["station"] == "A")
    assert station["share_of_takt"] == pytest.approx(54.6 / 60)
    assert station["share_of_takt_heaviest"] == pytest.approx(60.9 / 60)
    assert [row["model rich"] for row in tables["models"] if row["station"] == "A"] == [
        pytest.approx(58 * 1.05)
    ]
    assert [(row["kind"], row["name"]) for row in tables["resources"]] == [("crew", "one"), ("crew", "two")]
    assert [row["jobs_per_hour"] for row in tables["limits"]][:1] == [60]


def test_check_tells_what_is_wrong_and_stops(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A wrong file is exit status 2, problems on stderr with place and mend, nothing on stdout."""
    line.write_text(line.read_text(encoding="utf-8").replace('takt  = "60 s"', "takt = 60"), encoding="utf-8")
    said = call(capsys, "check", line)
    assert (said.status, said.out) == (2, "")
    assert "line.toml:2: takt" in said.err and "[bare-number]" in said.err


def test_check_fits_eighty_columns(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """No line of the page is longer than 80 letters."""
    assert max(map(len, call(capsys, "check", line).out.splitlines())) <= 80


def test_explain_walks_along_the_line(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Guesses come first, then the line in its order, every task in a sentence."""
    said = call(capsys, "explain", line)
    assert said.status == 0
    text = " ".join(said.out.split())
    places = [
        text.index(part)
        for part in (
            "What is guessed",
            "front, a free section",
            "lane, a buffer",
            "back, a moving section",
            "People",
        )
    ]
    assert places == sorted(places)
    assert "fit: 50 s, ±30 % (lognormal), but 58 s, ±30 % (lognormal) for rich; 1 person." in text
    assert "rack: 20 s; 1 person; after bolt; only with rack." in text
    assert "It goes wrong in 5 % of cases; noticed at once and done again, up to 1 time" in text


def test_explain_says_what_is_given_up(scenarios: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A fault past mending is said to cost the job, found later or at once; supply is named once."""
    path = scenarios / "features" / "scrap.toml"
    text = " ".join(call(capsys, "explain", path).out.split())
    assert "It leaves crack in 3 % of cases; found at K2.leak-test; the job is given up." in text
    assert "It leaves leak in 8 % of cases; found at K2.leak-test; put right at seal in 180 s." in text
    crack = "station.K1.task.machine.fault.crack.found = 'at once'"
    text = " ".join(call(capsys, "explain", path, "--set", crack).out.split())
    assert "noticed at once and done again, up to 1 time; if it is wrong still, the job is given up." in text
    assert "set by supply: one job every 60.0 s" in " ".join(call(capsys, "check", path).out.split())


def test_explain_lists_guesses_first(scenarios: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Of the scenario on guesses, the marked inputs are read out with their ranges before anything else."""
    said = " ".join(call(capsys, "explain", scenarios / "features" / "guesses.toml").out.split())
    guessed = said.split("What is asked")[0]
    assert "station.K1.task.fit.time: 48 s, ±15 % (lognormal) [guess, 0.9 to 1.15 times that]" in guessed
    assert (
        "robot.R1.failure.jam.lasts: 6 min, ±80 % (lognormal) [estimated, maintenance book (invented)]"
        in guessed
    )


def test_explain_tells_estimates_of_one_sheet_together(
    scenarios: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Estimated times of one station and source share a line; their number is the number of the estimates."""
    said = " ".join(call(capsys, "explain", scenarios / "tractor" / "line.toml").out.split())
    estimates = said.split("What is asked")[0].split("Estimates, ")[1]
    assert "station.F6: times of 4 tasks [invented: method sheet]" in estimates
    shared = [int(n) for n in re.findall(r"times of (\d+) tasks", estimates)]
    alone = re.findall(r"\[estimated", estimates)
    assert int(estimates.split(",")[0]) == sum(shared) + len(alone)


def test_explain_says_what_a_name_means(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A measure, with a place or without, a code and a word are explained; another name gets the nearest."""
    measure = " ".join(call(capsys, "explain", "line_stop:back").out.split())
    assert DEFINITIONS["line_stop"].says in measure and "min/shift" in measure
    for code in ("unknown-tool", "[unknown-tool]"):
        assert codes()["unknown-tool"] in " ".join(call(capsys, "explain", code).out.split())
    word = next(iter(GLOSSARY))
    assert GLOSSARY[word] in " ".join(call(capsys, "explain", word).out.split())
    wrong = call(capsys, "explain", "linestop")
    assert (wrong.status, wrong.out) == (2, "")
    assert "'linestop' is no file, and neither a measure" in wrong.err and "line_stop" in wrong.err
    assert "no-file" in call(capsys, "explain", line.with_name("none.toml")).err


def test_explain_as_one_object(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--json holds every sentence with its chapter and depth, in the order of the walk."""
    rows = json.loads(call(capsys, "explain", line, "--json").out)["tables"]["walk"]
    task = next(row for row in rows if row["sentence"].startswith("rack: 20 s"))
    assert (task["chapter"], task["depth"]) == ("back, a moving section", 1)
    assert [row["place"] for row in rows if row["chapter"] == "What is asked"][:2] == [1, 2]


def test_explain_says_every_scenario(scenarios: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every shipped scenario can be read back, and each of its tasks is in what is said."""
    from linesim import load

    for path in sorted(scenarios.glob("*/*.toml")):
        said = call(capsys, "explain", path)
        assert said.status == 0, path
        scenario = load(path)
        for station in scenario.station.values():
            assert all(f"{task}: " in said.out for task in station.task), path


def test_new_writes_a_scenario_that_is_right(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The starter passes the check without a warning and says what to do next on stderr."""
    path = tmp_path / "start.toml"
    said = call(capsys, "new", path)
    assert (said.status, said.out) == (0, "")
    assert "linesim check" in said.err
    checked = call(capsys, "check", path)
    assert checked.status == 0 and checked.err == ""


def test_new_runs_and_something_happens(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The starter simulates, misses its plan now and then, and stops for more than one reason."""
    path = tmp_path / "start.toml"
    path.write_text(starter(), encoding="utf-8")
    words = ["--replications", "3", "--set", "run.length = '1 shift'", "--set", "run.warm_up = '1 h'"]
    found = json.loads(call(capsys, "run", path, "--json", "--quiet", "--workers", "1", *words).out)
    stops = {row["cause"] for row in found["measures"] if row["measure"] == "line_stop" and row["mean"]}
    assert len(stops - {""}) >= 3


def test_new_on_the_screen_is_the_same_text(capsys: pytest.CaptureFixture[str]) -> None:
    """`-` prints the starter instead of writing it."""
    assert call(capsys, "new", "-").out == starter()


def test_new_never_overwrites_by_accident(line: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file that is there stays as it is, unless --force is given."""
    before = line.read_text(encoding="utf-8")
    said = call(capsys, "new", line)
    assert said.status == 2 and "already there" in said.err
    assert line.read_text(encoding="utf-8") == before
    assert call(capsys, "new", line, "--force").status == 0
    assert line.read_text(encoding="utf-8") == starter()


def test_new_into_no_folder_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file in a folder that does not exist is refused with the folder's name."""
    said = call(capsys, "new", tmp_path / "nowhere" / "line.toml")
    assert said.status == 2 and "nowhere is no folder" in said.err


def test_schema_accepts_the_starter(capsys: pytest.CaptureFixture[str]) -> None:
    """The printed schema is one of 2020-12 and the starter satisfies it."""
    schema = json.loads(call(capsys, "schema").out)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(tomllib.loads(starter()))


@pytest.mark.parametrize("shell", ["bash", "zsh", "tcsh"])
def test_completion_knows_commands_and_options(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The text for each shell names the commands and their options."""
    said = call(capsys, "completion", shell)
    assert said.status == 0
    assert all(word in said.out for word in ("explain", "only-replication", "confidence"))
