"""Whatever stands on the command line: a message and an exit status, never a traceback."""

import random
from pathlib import Path

import pytest

from tests.commands.calls import LINE, call

#: Commands that simulate little or nothing, each with options whose values are spoilt.
SHAPES = (
    ("check", "--set", "--add"),
    ("explain", "--set", "--add"),
    (
        "run",
        "--only-replication",
        "--measure",
        "--precision",
        "--max-replications",
        "--seed",
        "--confidence",
        "--replications",
    ),
    ("compare", "--try", "--set", "--add", "--measure", "--precision", "--confidence"),
    ("mix", "--try", "--vary", "--target", "--rule", "--option", "--orders"),
    ("buffers", "--places", "--share", "--only", "--min-effect", "--worth", "--max-replications"),
    ("crew", "--only", "--response", "--call-at", "--min-effect"),
    ("rebalance", "--moves", "--to", "--keep", "--measure", "--min-effect", "--max-replications"),
    ("doubt", "--try", "--only", "--measure"),
    ("sweep", "--vary", "--list", "--latin", "--measure"),
    ("screen", "--vary", "--measure"),
    ("bottleneck", "--faster", "--only", "--measure"),
    ("warmup", "--window", "--set"),
    ("replay", "--from", "--for", "--replication", "--seed"),
    ("verify", "--set", "--replications"),
)
#: Commands that read a plant's table, with options likewise.
TABLES = (
    ("import", "--column", "--kind", "--sheet", "--takt", "--scenario"),
    ("fit", "--column", "--by", "--unit", "--only", "--shape", "--outliers", "--samples", "--into"),
)
VALUES = (
    "",
    " ",
    "-1",
    "0",
    "1e400",
    "nan",
    "inf",
    "1e-400",
    "99999999999999999999",
    "0x10",
    "1_0",
    "½",
    "٣",
    "5 s",
    "5 shifts",
    "1 week",
    "40%",
    "400%",
    "-5%",
    "%",
    "throughput:F4",
    "throughput",
    "line_stop:back:overrun:x",
    "line_stop:",
    ":",
    "::",
    "crew.trm.people = 6",
    "crew.two.people = 9",
    "crew = 3",
    "crew.two = 'x'",
    "takt = '1 s'",
    "takt = '0 s'",
    "takt",
    "=",
    "a = [",
    "option.rack.take = [0.1, 0.2]",
    "option.rack.take = 40%",
    "buffer.lane.capacity = [1, 2]",
    "buffer.lane.capacity = [1, 1]",
    "buffer.lane.capacity = [1, 'x']",
    "extends = 'line.toml'",
    "tasks = '../x.csv'",
    "orders.file = 'x.csv'",
    "rack 1 in 3",
    "rack 3 in 1",
    "roof 1 in 2",
    "name: ",
    ": takt = '66 s'",
    "x: takt = '66 s'; takt = '70 s'",
    "; ;",
    "add",
    "add takt = '3 s'",
    "add tool.gun.count = 1",
    "\x00",
    "\x1b[31m",
    "\u202e",
    "\ud800",
    "a" * 500,
    "[" * 200,
    "'" * 3,
    "two",
    "one",
    "lane",
    "B",
    "station.A",
    "lane,lane",
    "../..",
    "/",
    "model.plain.share = -1",
    "run.length = '1 s'",
    "run.replications = 0",
    "run.seed = -3",
    "station.B.task.rack.time = '1000000 h'",
    "flow = []",
    "flow = ['x']",
    "section.back.stations = ['B', 'Z']",
    "orders = { sequence = 'listed', list = ['plain+rock'] }",
)
#: Keeps every call short, and comes last.
SHORT = ("--replications", "1", "--workers", "1", "--quiet", "--dry-run")
NO_RUN = frozenset({"check", "explain", "replay", "verify"})


def hostile(luck: random.Random, line: Path, folder: Path) -> list[str]:
    """Return one command line in which options have values that nobody should write."""
    name, *options = luck.choice(SHAPES)
    words = [name, str(line)]
    for option in luck.sample(options, luck.randint(1, min(3, len(options)))):
        words += [option, luck.choice(VALUES)] if luck.random() < 0.9 else [luck.choice(VALUES)]
    if name not in NO_RUN:
        words += SHORT if "--replications" not in words and "--precision" not in words else SHORT[2:]
    if name == "replay":
        words += ["--out", str(folder / "replay.html"), "--force", "--quiet"]
    if name == "verify":
        words.append("--full")  # belongs to the program, so that no check of a line is run
    return words


def of_table(luck: random.Random, table: Path) -> list[str]:
    """Return one command line about a table in which options have values that nobody should write."""
    name, *options = luck.choice(TABLES)
    words = [name, str(table), *(["--dry-run"] if name == "import" else ["--quiet"])]
    for option in luck.sample(options, luck.randint(1, 3)):
        words += [option, luck.choice((*VALUES, "Task=station", "Time=mean_s", "=", "A=", "Time"))]
    return words


def outcomes(
    capsys: pytest.CaptureFixture[str], line: Path, folder: Path, count: int, table: Path | None = None
) -> list[str]:
    """Return what is wrong with how hostile command lines end, about a line or about a table."""
    luck, wrong = random.Random(count), []
    for _ in range(count):
        words = hostile(luck, line, folder) if table is None else of_table(luck, table)
        try:
            said = call(capsys, *words)
        except Exception as error:  # what no command may let through
            wrong.append(f"{words}: {type(error).__name__} {error}")
            continue
        if said.status not in (0, 1, 2) or "Traceback" in said.err or (said.status and not said.err.strip()):
            wrong.append(f"{words}: {said.status} {said.err[:200]}")
    return wrong


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Return a line whose replication takes milliseconds."""
    path = tmp_path / "line.toml"
    path.write_text(LINE.replace('length       = "3 h"', 'length       = "10 min"'), encoding="utf-8")
    return path


def test_hostile_command_lines_end_with_a_message(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Three hundred command lines of slips and nonsense: exit status 0, 1 or 2, and a message if not 0."""
    assert outcomes(capsys, small, tmp_path, 300) == []


def test_hostile_words_about_tables_end_with_a_message(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same for a hundred about a plant's table, which stays the only file in its folder."""
    monkeypatch.chdir(tmp_path)
    table = tmp_path / "table.csv"
    table.write_text("Task,Time\nbolt,20\nbolt,22\nturn,30\n", encoding="utf-8")
    assert outcomes(capsys, table, tmp_path, 100, table) == []
    assert [path.name for path in tmp_path.iterdir()] == ["table.csv"]


@pytest.mark.slow
def test_five_thousand_hostile_command_lines(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same with five thousand."""
    assert outcomes(capsys, small, tmp_path, 5000) == []


def test_a_figure_that_is_not_there_is_told_before_more_is_run(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A place that has no such measure is refused with what there is."""
    said = call(
        capsys, "run", small, "--measure", "throughput:F4", "--precision", "1%", "--workers", "1", "--quiet"
    )
    assert said.status == 2 and "throughput" in said.err and "segment" in said.err


@pytest.mark.parametrize("kind", ["model", "option"])
def test_more_kinds_than_a_job_can_tell(
    kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """63 models or options are right, and 64 are refused with the limit."""
    for count, status in ((63, 0), (64, 2)):
        path = tmp_path / f"{count}.toml"
        body = "take = 0.01" if kind == "option" else ""
        text = LINE.replace("[model.plain]\nshare = 3.0\n[model.rich]\n[option.rack]\ntake = 0.5\n", "")
        text = text.replace('options = ["rack"]\n', "")
        text = text.replace('time_for = { rich = { mean = "58 s", cv = 0.3 } }\n', "")
        path.write_text(text + "".join(f"[{kind}.k{n}]\n{body}\n" for n in range(count)), encoding="utf-8")
        said = call(capsys, "check", path)
        assert said.status == status, said.err[:500]
        assert status == 0 or "the most is 63" in said.err
