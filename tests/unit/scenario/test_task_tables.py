"""Task tables, tables of orders, columns of times: from cells to the scenario."""

import io
from pathlib import Path

import openpyxl
import pytest

from linesim.errors import Problem, ScenarioError
from linesim.scenario import Scenario, read
from linesim.scenario.cells import COLUMNS
from linesim.scenario.shapes import Constant, Empirical, Gamma, Lognormal, Pert, Triangular
from tests.unit.scenario.lines import BASE

LINE = BASE[: BASE.index("[station.A1")] + "[option.loader]\ntake = 0.2\n[tool.gun]\n[robot.R1]\n[robot.R2]\n"


def scenario_of(folder: Path, table: str | bytes, more: str = "", name: str = "tasks.csv") -> Scenario:
    """Return the small line with a task table."""
    (folder / name).write_bytes(table.encode() if isinstance(table, str) else table)
    (folder / "line.toml").write_text(f'tasks = "{name}"\n{LINE}{more}', encoding="utf-8")
    return read(folder / "line.toml").scenario


def problems_of(folder: Path, table: str | bytes, more: str = "", name: str = "tasks.csv") -> list[Problem]:
    """Return what is wrong with the small line and a task table."""
    with pytest.raises(ScenarioError) as caught:
        scenario_of(folder, table, more, name)
    return list(caught.value.problems)


def test_every_column_arrives(tmp_path: Path) -> None:
    """Each column of a task table ends up in the field that it names."""
    row = {
        "station": "A2", "task": "bolt", "low_s": "10", "mode_s": "12.5", "high_min": "0.5", "shape": "pert",
        "crew": "team",
        "people": "2", "robot": "R1;R2", "tool": "gun", "after": "A1.fit", "options": "loader",
        "models": "standard", "again": "yes", "fault_chance": "0.02", "fault_found": "B1",
        "fault_right": "B1", "fault_repair_min": "3", "fault_detect": "0.9", "source": "method sheet",
        "confidence": "estimated",
    }  # fmt: skip
    table = "station,task,mean_s\nA1,fit,50\n\n"
    (tmp_path / "more.csv").write_text(",".join(row) + "\n" + ",".join(row.values()) + "\n", encoding="utf-8")
    (tmp_path / "tasks.csv").write_text(table, encoding="utf-8")
    (tmp_path / "line.toml").write_text('tasks = ["tasks.csv", "more.csv"]\n' + LINE, encoding="utf-8")
    task = read(tmp_path / "line.toml").scenario.station["A2"].task["bolt"]
    assert isinstance(task.time, Pert)
    assert (task.time.low.seconds, task.time.mode.seconds, task.time.high.seconds) == (10, 12.5, 30)
    assert (task.crew, task.people, task.robot, task.tool) == (("team",), 2, ("R1", "R2"), ("gun",))
    assert (task.after, task.options, task.models, task.again) == (
        ("A1.fit",),
        ("loader",),
        ("standard",),
        True,
    )
    fault = task.fault["fault"]
    assert (fault.chance.value, fault.found, fault.right, fault.detect.value) == (0.02, "B1", "B1", 0.9)
    assert fault.repair is not None
    assert fault.repair.mean_s == 180
    assert (task.source, task.confidence) == ("method sheet", "estimated")


def test_blank_cells_mean_the_default(tmp_path: Path) -> None:
    """A row with station, task and time alone is a constant task for one person; with cv it is lognormal."""
    scenario = scenario_of(tmp_path, "station,task,mean_s,cv,people\nA1,fit,50,,\nA2,seal,20,0.1,\n")
    fit, seal = scenario.station["A1"].task["fit"], scenario.station["A2"].task["seal"]
    assert isinstance(fit.time, Constant)
    assert isinstance(seal.time, Lognormal)
    assert (fit.people, seal.time.cv, fit.fault) == (1, 0.1, {})


def test_times_of_one_model(tmp_path: Path) -> None:
    """A column of one model's times becomes its `time_for`, spread as the row is; blank is the row's time."""
    table = (
        "station,task,mean_s,mean_min_for_standard,mean_s_for_loader,cv,shape\n"
        "A1,fit,50,1.25,,0.2,gamma\nA2,seal,20,,30,,\n"
    )
    scenario = scenario_of(tmp_path, table)
    fit, seal = scenario.station["A1"].task["fit"], scenario.station["A2"].task["seal"]
    assert list(fit.time_for) == ["standard"] and list(seal.time_for) == ["loader"]
    other = fit.time_for["standard"]
    assert isinstance(other, Gamma) and (other.mean_s, other.cv) == (75, 0.2)
    assert isinstance(seal.time_for["loader"], Constant) and seal.time_for["loader"].mean_s == 30


def test_times_of_nobody_are_told(tmp_path: Path) -> None:
    """A column of times of a model that is not there is told by its cell, and so is one time in two units."""
    table = "station,task,mean_s,mean_s_for_A,mean_min_for_A\nA1,fit,50,60,1\n"
    assert [one.code for one in problems_of(tmp_path, table)] == ["one-of", "unknown-option"]
    (problem,) = problems_of(tmp_path, table.replace("_for_A,mean_min_for_A", "_for_A,people"))
    assert (Path(problem.file).name, problem.line, problem.place) == (
        "tasks.csv",
        2,
        "row 2, mean_s_for_A",
    )
    assert "A" in problem.message


def test_rows_keep_their_order(tmp_path: Path) -> None:
    """Tasks stand in the order of the table, those of the scenario after them."""
    more = '[station.A1.task.z]\ntime = "1 s"\n[station.A1.task.b]\nsource = "changed"\n'
    scenario = scenario_of(tmp_path, "station,task,mean_s\nA1,c,1\nA2,x,1\nA1,b,1\nA1,a,1\n", more)
    assert list(scenario.station["A1"].task) == ["c", "b", "a", "z"]
    assert scenario.station["A1"].task["b"].source == "changed"


def test_the_scenario_lies_over_its_table(tmp_path: Path) -> None:
    """A task in the scenario changes its row: a mean keeps the row's cv, a shape replaces the time."""
    more = (
        '[station.A1.task.fit]\ntime.mean = "40 s"\n'
        '[station.A2.task.seal]\ntime = { shape = "triangular", low = "1 s", mode = "2 s", high = "4 s" }\n'
    )
    scenario = scenario_of(tmp_path, "station,task,mean_s,cv\nA1,fit,50,0.2\nA2,seal,20,0.1\n", more)
    fit, seal = scenario.station["A1"].task["fit"].time, scenario.station["A2"].task["seal"].time
    assert isinstance(fit, Lognormal)
    assert (fit.mean.seconds, fit.cv) == (40, 0.2)
    assert isinstance(seal, Triangular)


def test_problems_name_rows_and_columns(tmp_path: Path) -> None:
    """Everything wrong in a table is found at once, each with its line, row and column."""
    table = (
        "station,task,mean_s,people,tool,again,after\n"
        'A1,fit,"5,5",1,,,\n'
        "A1,grip,-3,1.5,gnu,maybe,\n"
        "A9,seal,20,0,,,\n"
        ",x,20,,,,\n"
        "A1,fit,20,,,,\n"
        "A2,tie,,1,,,A1.gone\n"
    )
    found = [(problem.line, problem.place, problem.code) for problem in problems_of(tmp_path, table)]
    assert found == [
        (2, "row 2, mean_s", "bad-number"),
        (3, "row 3, again", "wrong-kind"),
        (3, "row 3, mean_s", "negative-time"),
        (3, "row 3, people", "bad-number"),
        (3, "row 3, tool", "unknown-tool"),
        (4, "row 4, station", "unknown-station"),
        (5, "row 5, station", "missing-field"),
        (6, "row 6, task", "name-twice"),
        (7, "row 7, after", "unknown-task"),
        (7, "row 7, mean_s", "missing-field"),
    ]


def test_problems_name_cells_of_a_workbook(tmp_path: Path) -> None:
    """In a workbook, problems carry the address of the cell and no line."""
    book = openpyxl.Workbook()
    for row in (
        ["station", "task", "mean_s", "tool"],
        ["A1", "fit", "fast", None],
        ["A2", "seal", 20, "gnu"],
    ):
        book.active.append(row)
    stream = io.BytesIO()
    book.save(stream)
    found = problems_of(tmp_path, stream.getvalue(), name="tasks.xlsx")
    assert [(problem.line, problem.place, problem.code) for problem in found] == [
        (None, "cell C2", "bad-number"),
        (None, "cell D3", "unknown-tool"),
    ]
    assert all(problem.file.endswith("tasks.xlsx") for problem in found)


@pytest.mark.parametrize(
    ("heading", "code"),
    [
        ("station,task,mean,people", "unknown-column"),
        ("station,task,mean_s,mean_s", "name-twice"),
        ("station,mean_s", "missing-column"),
        ("station,task,people", "missing-column"),
        ("station,task,mean_s,,people", "unknown-column"),
    ],
)
def test_wrong_headings(tmp_path: Path, heading: str, code: str) -> None:
    """Unknown, double, missing and empty headings are refused in the row of headings."""
    found = problems_of(tmp_path, heading + "\n")
    assert code in {problem.code for problem in found if problem.line == 1}


def test_two_units_for_one_time(tmp_path: Path) -> None:
    """A time in seconds and in minutes is one time too many."""
    found = problems_of(tmp_path, "station,task,mean_s,mean_min\nA1,fit,50,1\n")
    assert [(problem.place, problem.code) for problem in found] == [("row 2, mean_min", "one-of")]


def test_a_task_in_two_tables(tmp_path: Path) -> None:
    """The same task in two tables is refused where it comes second, naming the first."""
    (tmp_path / "other.csv").write_text("station,task,mean_s\nA1,fit,1\n", encoding="utf-8")
    (tmp_path / "tasks.csv").write_text("station,task,mean_s\nA1,fit,2\n", encoding="utf-8")
    (tmp_path / "line.toml").write_text('tasks = ["tasks.csv", "other.csv"]\n' + LINE, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        read(tmp_path / "line.toml")
    (found,) = caught.value.problems
    assert (Path(found.file).name, found.line, found.code) == ("other.csv", 2, "name-twice")
    assert "tasks.csv" in found.message


def test_measured_times_are_read(tmp_path: Path) -> None:
    """Measured times come in seconds whatever the unit of their column, blanks left out."""
    (tmp_path / "times.csv").write_text("n,fit_s,fit_min\n1,50,1\n2,,2\n3,52.5,\n", encoding="utf-8")
    more = '[station.A1.task.fit]\ntime = { shape = "empirical", file = "times.csv", column = "fit_%s" }\n'
    for unit, expected in (("s", (50, 52.5)), ("min", (60, 120))):
        (tmp_path / "line.toml").write_text(LINE + more % unit, encoding="utf-8")
        time = read(tmp_path / "line.toml").scenario.station["A1"].task["fit"].time
        assert isinstance(time, Empirical)
        assert time.values_s == expected
        assert time.mean_s == sum(expected) / 2


@pytest.mark.parametrize(
    ("time", "code"),
    [
        ('file = "times.csv", column = "fit"', "no-unit"),
        ('file = "times.csv", column = "fot_s"', "missing-column"),
        ('file = "times.csv", column = "empty_s"', "empty-table"),
        ('file = "times.csv", column = "text_s"', "bad-number"),
        ('file = "times.csv"', "missing-field"),
        ('file = "other.csv", column = "fit_s"', "no-file"),
        ('file = "times.csv", column = "good_s", values_s = [1.0]', "one-of"),
        ("values_s = []", "missing-field"),
    ],
)
def test_measured_times_that_cannot_be_read(tmp_path: Path, time: str, code: str) -> None:
    """A column without unit, content or existence gives one problem, and nothing else fails because of it."""
    (tmp_path / "times.csv").write_text("fit,empty_s,text_s,good_s\n50,,x,1\n", encoding="utf-8")
    text = LINE + f'[station.A1.task.fit]\ntime = {{ shape = "empirical", {time} }}\n'
    (tmp_path / "line.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        read(tmp_path / "line.toml")
    assert [problem.code for problem in caught.value.problems] == [code]


def test_orders_are_read(tmp_path: Path) -> None:
    """Orders come in file order; other columns, such as a number, are left alone."""
    (tmp_path / "orders.csv").write_text(
        "no,model,options\n7,standard,\n8,standard,loader\n", encoding="utf-8"
    )
    text = LINE + '[orders]\nsequence = "listed"\nfile = "orders.csv"\n'
    (tmp_path / "line.toml").write_text(text, encoding="utf-8")
    jobs = read(tmp_path / "line.toml").scenario.orders.jobs
    assert [(job.model, job.options) for job in jobs] == [("standard", ()), ("standard", ("loader",))]


@pytest.mark.parametrize(
    ("table", "code", "line"),
    [
        ("model,options\nstandrad,\n", "unknown-model", 2),
        ("model,options\nstandard,laoder\n", "unknown-option", 2),
        ("model,options\n,loader\n", "missing-field", 2),
        ("model,option\nstandard,loader\n", "missing-column", 1),
        ("model,options\n", "empty-table", None),
    ],
)
def test_wrong_orders(tmp_path: Path, table: str, code: str, line: int | None) -> None:
    """Wrong orders are named by their line in the table."""
    (tmp_path / "orders.csv").write_text(table, encoding="utf-8")
    text = LINE + '[orders]\nsequence = "listed"\nfile = "orders.csv"\n'
    (tmp_path / "line.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        read(tmp_path / "line.toml")
    found = [problem for problem in caught.value.problems if problem.code == code]
    assert len(found) == 1
    assert line is None or (Path(found[0].file).name, found[0].line) == ("orders.csv", line)


def test_supply_moments_are_read(tmp_path: Path) -> None:
    """Moments of supply come from the column `at_s` and must rise."""
    (tmp_path / "supply.csv").write_text("at_s\n0\n90\n", encoding="utf-8")
    (tmp_path / "line.toml").write_text(LINE + '[supply]\nfile = "supply.csv"\n', encoding="utf-8")
    assert read(tmp_path / "line.toml").scenario.supply.at_s == (0, 90)
    (tmp_path / "supply.csv").write_text("at_s\n90\n0\n", encoding="utf-8")
    with pytest.raises(ScenarioError, match="out-of-order"):
        read(tmp_path / "line.toml")


def test_columns_are_the_published_ones() -> None:
    """The headings of a task table are public and stay."""
    assert {
        "station", "task", "mean_s", "cv", "shape", "low_s", "mode_s", "high_s", "crew", "people", "robot",
        "tool", "zone", "after", "options", "unless", "models", "again", "fault_chance", "fault_found",
        "fault_tries", "fault_right", "fault_repair_s", "fault_detect", "source", "confidence",
    } <= set(COLUMNS)  # fmt: skip
