"""`linesim import`: what is shown, asked, kept and written."""

import io
from pathlib import Path

import pytest

from tests.commands.calls import Said, call
from tests.unit.intake.books import workbook
from tests.unit.intake.other_books import OTHER_FILES, WHOLE

PLAN = workbook(
    {"Plan": "Takt 60 s\nStn|Operation|Std. time (s)|CV|Remarks\nK1|set cab|45|10%|a\nK2|seat|50|10%|"}
)


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return an empty folder, to work in, with a plan beside it."""
    folder = tmp_path / "line"
    folder.mkdir()
    (tmp_path / "plan.xlsx").write_bytes(PLAN)
    monkeypatch.chdir(folder)
    return folder


def names(folder: Path) -> set[str]:
    """Return the names of the files of a folder."""
    return {path.name for path in folder.iterdir()}


def test_one_command_makes_a_line_that_runs(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--yes writes tables, map and a scenario that is right and runs, and says what comes next."""
    said = call(capsys, "import", "../plan.xlsx", "--yes")
    assert said.status == 0
    assert names(here) == {"tasks.csv", "line.toml", "line.import.toml"}
    assert "Std. time (s)  mean_s    45" in said.out and "Remarks        not read" in said.out
    assert 'row 1 above the headings: "Takt 60 s"' in said.out
    assert "line.toml: no errors; next: linesim check line.toml, linesim run line.toml" in said.err
    few = ("--replications", "2", "--workers", "1", "--quiet", "--set", 'run.length = "1 shift"')
    assert call(capsys, "check", "line.toml").status == 0
    assert "set-cab (set cab): 45 s" in call(capsys, "explain", "line.toml").out
    assert call(capsys, "run", "line.toml", *few).status == 0


def test_without_a_terminal_nothing_is_taken_for_granted(
    here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is not sure is shown, nothing is written, and --yes is named; --dry-run never writes."""
    said = call(capsys, "import", "../plan.xlsx")
    assert said.status == 2 and "confirm what was read with --yes" in said.err and "mean_s" in said.out
    assert call(capsys, "import", "../plan.xlsx", "--yes", "--dry-run").status == 0
    assert names(here) == set()


@pytest.mark.parametrize(("answer", "status"), [("y\n", 0), ("yes\n", 0), ("\n", 2), ("no\n", 2), ("", 2)])
def test_at_a_terminal_a_yes_is_asked(
    here: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    answer: str,
    status: int,
) -> None:
    """Where somebody sits at a terminal one yes is asked for all, and anything else writes nothing."""
    keys = io.StringIO(answer)
    keys.isatty = lambda: True  # type: ignore[method-assign]
    monkeypatch.setattr("sys.stdin", keys)
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    said = call(capsys, "import", "../plan.xlsx")
    assert (said.status, "Read it so? [y/N]" in said.out) == (status, True)
    assert ("tasks.csv" in names(here)) == (status == 0)


def test_next_week_needs_no_question(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file with the same headings is read without a word needed; its table is replaced only by --force."""
    assert call(capsys, "import", "../plan.xlsx", "--yes").status == 0
    line = (here / "line.toml").read_text(encoding="utf-8")
    (here.parent / "june.xlsx").write_bytes(
        workbook({"June": "Stn|Std. time (s)|Operation|CV|Remarks\nK1|44|set cab|10%|\nK2|51|seat|10%|b"})
    )
    said = call(capsys, "import", "../june.xlsx")
    assert said.status == 2 and "tasks.csv is already there" in said.err
    said = call(capsys, "import", "../june.xlsx", "--force")
    assert said.status == 0 and "as before" in said.out
    assert "K1,set-cab,set cab,44,0.1\n" in (here / "tasks.csv").read_text(encoding="utf-8")
    assert (here / "line.toml").read_text(encoding="utf-8") == line


def test_a_column_is_said(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--column says what a heading means, and the map keeps it; a wrong one is told."""
    (here.parent / "odd.csv").write_bytes(b"Ort;Was;Sek\nK1;Achse;45\n")
    words = ("import", "../odd.csv", "--column", "Ort=station", "--column", "Was=title")
    said = call(capsys, *words, "--column", "Sek=mean_s")
    assert said.status == 0, said.err
    assert 'Was = "title"' in (here / "line.import.toml").read_text(encoding="utf-8")
    said = call(capsys, *words, "--column", "Sek=seconds")
    assert said.status == 2 and "'seconds' is no column" in said.err
    assert call(capsys, "import", "../odd.csv", "--column", "nothing").status == 2


def test_other_tables_join_a_line_that_is_there(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Orders and shift records go beside a scenario that stands, untouched, with what to write into it."""
    (here.parent / "whole.xlsx").write_bytes(WHOLE.data)
    assert call(capsys, "import", "../whole.xlsx", "--yes").status == 0
    before = (here / "line.toml").read_text(encoding="utf-8")

    def taken(name: str, *words: str) -> Said:
        plant = next(one for one in OTHER_FILES if one.name == name)
        (here.parent / name).write_bytes(plant.data)
        return call(capsys, "import", f"../{name}", "--yes", *words)

    said = taken("shift-book.xlsx", "--column", "Tractors built=jobs")
    assert said.status == 0 and "next: linesim validate line.toml actuals.csv" in said.err
    said = taken("time-study.csv")
    assert said.status == 0 and "next: linesim fit times.csv" in said.err
    said = taken("orders.csv")
    assert 'line.toml does not read read-orders.csv yet: write file = "read-orders.csv"' in said.err
    assert (here / "line.toml").read_text(encoding="utf-8") == before


def test_stations_alone_wait_for_their_tasks(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A list of stations makes the scenario, and the tasks that come next fill it."""
    (here.parent / "stations.csv").write_bytes(b"Stn,Section,Operators\nK1,trim,2\nK2,trim,1\n")
    said = call(capsys, "import", "../stations.csv", "--yes")
    assert said.status == 0 and "line.toml waits for its tasks" in said.err
    said = call(capsys, "import", "../plan.xlsx", "--yes")
    assert said.status == 0 and "line.toml: no errors" in said.err


def test_a_source_is_never_written_over(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A table of the plant that is called like one of ours stays as it is, with --force too."""
    source = b"Station;Task;Time (s)\nK1;a;10\nTotal;;10\n"
    (here / "tasks.csv").write_bytes(source)
    said = call(capsys, "import", "tasks.csv", "--yes", "--force")
    assert said.status == 0 and (here / "tasks.csv").read_bytes() == source
    assert (here / "read-tasks.csv").read_text(encoding="utf-8") == "station,task,mean_s\nK1,a,10\n"
    assert 'tasks = "read-tasks.csv"' in (here / "line.toml").read_text(encoding="utf-8")


def test_what_does_not_fit_the_line_is_told(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Tasks at a station that the line does not have are told as check tells them, with exit status 2."""
    assert call(capsys, "import", "../plan.xlsx", "--yes").status == 0
    (here.parent / "more.csv").write_bytes(b"Stn,Operation,Std. time (s)\nK9,new work,10\n")
    said = call(capsys, "import", "../more.csv", "--force")
    assert said.status == 2 and "K9" in said.err and "tasks.csv:2" in said.err


def test_a_damaged_map_is_told(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A map that is no map is told before anything is read, and stays as it is."""
    (here / "line.import.toml").write_bytes(b"\xff")
    said = call(capsys, "import", "../plan.xlsx", "--yes")
    assert said.status == 2 and "the map is no UTF-8 text" in said.err and names(here) == {"line.import.toml"}
