"""Files as plants keep them: what becomes of each, what is said of it, and what is asked once."""

import tomllib
from pathlib import Path

import pytest

from linesim.errors import WrongQuestionError
from linesim.intake.intake import Intake, import_file
from linesim.runs.simulation import simulate
from linesim.scenario import read
from tests.unit.intake.books import workbook
from tests.unit.intake.other_books import OTHER_FILES, WHOLE
from tests.unit.intake.task_books import TASK_FILES, PlantFile
from tests.unit.intake.time_books import TIME_FILES

every = pytest.mark.parametrize(
    "plant", [*TASK_FILES, *TIME_FILES, *OTHER_FILES], ids=lambda plant: plant.name
)


def taken(plant: PlantFile, kept: str = "") -> Intake:
    """Return what becomes of a file."""
    return import_file(plant.data, name=plant.name, kept=kept, **plant.how)


def said(part: str, texts: tuple[str, ...]) -> bool:
    """Return whether one of some sentences has a part, whatever its capitals."""
    return any(part.casefold() in text.casefold() for text in texts)


@every
def test_what_becomes_of_it(plant: PlantFile) -> None:
    """The tables are the expected ones to the letter, all doubts are told, and the changes that matter."""
    found = taken(plant)
    assert {name: found.files.get(name) for name in plant.files} == plant.files
    assert len(found.doubts) == len(plant.doubts), found.doubts
    assert [part for part in plant.doubts if not said(part, found.doubts)] == [], found.doubts
    assert [part for part in plant.changes if not said(part, found.changes)] == [], found.changes


@every
def test_the_map_answers_the_next_time(plant: PlantFile) -> None:
    """With the map that was kept, the same file raises no doubt about how it is read, and gives the same."""
    first = taken(plant)
    again = import_file(plant.data, name=plant.name, kept=first.map)
    assert again.files == first.files
    assert all(one.is_sure for table in again.tables for one in table.columns)
    assert not [text for text in again.doubts if "unit" in text or "is read" in text]
    assert again.map == first.map and tomllib.loads(first.map)


@every
def test_what_is_made_can_be_checked(plant: PlantFile, tmp_path: Path) -> None:
    """A scenario around the tables of a file is right as it stands."""
    found = taken(plant)
    for name, text in found.files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    assert ("line.toml" in found.files) == any(table.kind in ("tasks", "stations") for table in found.tables)
    if "tasks.csv" in found.files or "read-tasks.csv" in found.files:
        reading = read(tmp_path / "line.toml")
        assert {one.code for one in reading.warnings} <= {"unused-model"}, reading.warnings
        assert sum(len(station.task) for station in reading.scenario.station.values()) == sum(
            table.count for table in found.tables if table.kind == "tasks"
        )


def test_a_whole_line_runs_as_it_comes(tmp_path: Path) -> None:
    """Stations, work, orders of one workbook make a line with its takt, crews and reaches, which runs."""
    found = taken(WHOLE)
    for name, text in found.files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    line = read(tmp_path / "line.toml").scenario
    assert str(line.takt) == "100 s" and line.flow == ("frame-shop", "Trim")
    assert line.section["Trim"].stations == ("T10", "T20", "T30")
    assert {name: crew.people for name, crew in line.crew.items()} == {"F10": 2, "F20": 2, "T10": 3, "T20": 1}
    assert line.station["T10"].late == 0.25 and line.station["F10"].title == "Hang and turn frame"
    assert line.station["T10"].task["10"].title == "lower cab"
    assert [order.model for order in line.orders.jobs] == ["Orchard", "Field", "Field"]
    result = simulate(line.replace({"run.length": "1 shift"}), replications=1)
    assert result.table.query("measure == 'jobs_per_shift'")["mean"].iloc[0] > 200
    assert any("how the line moves" in text for text in found.guesses)
    assert not any("takt" in text for text in found.guesses)


def test_sections_may_stand_beside_the_tasks(tmp_path: Path) -> None:
    """A column such as Zone in a task table parts the stations into sections, in their order."""
    plant = next(one for one in TASK_FILES if one.name == "export.xlsx")
    for name, text in taken(plant).files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    line = read(tmp_path / "line.toml").scenario
    assert {name: section.stations for name, section in line.section.items()} == {"A": ("10",), "B": ("20",)}


def test_stations_alone_wait_for_their_tasks(tmp_path: Path) -> None:
    """A list of stations makes a line without work, which says so and is whole once the tasks have come."""
    text = b"Station,Section,Operators\nK1,trim,2\nK2,trim,1\n"
    found = import_file(text, name="stations.csv")
    assert list(found.files) == ["line.toml"]
    assert any("tasks.csv is missing" in one for one in found.guesses)
    (tmp_path / "line.toml").write_text(found.files["line.toml"], encoding="utf-8")
    (tmp_path / "tasks.csv").write_text("station,task,mean_s\nK1,set,50\nK2,bolt,40\n", encoding="utf-8")
    assert {name: crew.people for name, crew in read(tmp_path / "line.toml").scenario.crew.items()} == {
        "K1": 2, "K2": 1
    }  # fmt: skip


def test_next_week_asks_for_what_is_new_only() -> None:
    """A heading that the map does not know is asked for; the others are not, in whatever order they stand."""
    first = import_file(
        workbook({"A": "Stn|Operation|Std. min\nK1|bolt|1.5"}),
        name="a.xlsx",
        columns={"Std. min": "mean_min"},
    )
    book = workbook({"B": "new plan\nOperation|Std. min|Stn|Torque\nbolt|1.4|K1|80 Nm"})
    again = import_file(book, name="b.xlsx", kept=first.map)
    assert [one.heading for table in again.tables for one in table.columns if not one.is_sure] == ["Torque"]
    assert again.files["tasks.csv"] == "station,task,mean_min\nK1,bolt,1.4\n"
    assert not again.is_sure and import_file(book, name="b.xlsx", kept=again.map).is_sure


@pytest.mark.parametrize(
    ("kept", "told"),
    [
        ("not toml", "this is no map"),
        ("[tasks.columns]\nA = 'no-such'", "'no-such' is no column of tasks"),
        ("[tasks]\ndecimal = ';'", "write . or ,"),
        ("[people]", "is none of tasks"),
        ("hidden = 3", "write true or false"),
        ("[tasks]\ncolumns = 3", "is no column"),
        ("tasks = 3", "tasks has"),
    ],
)
def test_a_wrong_map_is_told(kept: str, told: str) -> None:
    """A map that was changed by hand into something else is refused with the place and the mend."""
    with pytest.raises(WrongQuestionError, match=told):
        import_file(b"Station,Task,Time (s)\nK1,a,1\n", name="a.csv", kept=kept)


@pytest.mark.parametrize(
    ("how", "told"),
    [
        ({"columns": {"Time": "mean_x"}}, "is no column of tasks"),
        ({"sheets": ["Nope"]}, 'no sheet "Nope"'),
        ({"takt": "soon"}, 'the takt is "soon"'),
        ({"kind": "orders"}, "no row of headings was found"),
    ],
)
def test_wrong_words_are_told(how: dict[str, object], told: str) -> None:
    """A column, sheet, takt or kind that cannot be is refused with what would be right."""
    with pytest.raises(WrongQuestionError, match=told):
        import_file(workbook({"A": "Station|Task|Time (s)\nK1|a|1"}), name="a.xlsx", **how)  # type: ignore[arg-type]
