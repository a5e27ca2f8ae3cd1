"""Reading scenarios: layers, lines of `--set`, all problems at once, nothing to open afterwards."""

import pickle
from pathlib import Path

import pytest

from linesim.errors import ScenarioError
from linesim.scenario import Scenario, from_dict, load, load_text, read, read_text
from tests.unit.scenario.lines import BASE, base, problems


def test_text_and_file_and_tables_give_the_same(tmp_path: Path) -> None:
    """A scenario is the same from a file, its text, bytes with a byte-order mark, and tables."""
    (tmp_path / "line.toml").write_text(BASE, encoding="utf-8")
    whole = load(tmp_path / "line.toml")
    assert (
        whole
        == load(str(tmp_path / "line.toml"))
        == load_text(BASE)
        == load_text(b"\xef\xbb\xbf" + BASE.encode())
    )
    assert from_dict(whole.as_dict()) == whole


def test_tables_in_memory_are_left_as_they_were() -> None:
    """Reading tables does not change them."""
    raw = {"takt": "60 s", "flow": ["main"], "run": {"length": "1 h"}, "section": {}, "station": {}}
    raw["section"] = {"main": {"pacing": "moving", "stations": ["A1"]}}
    before = repr(raw)
    from_dict(raw)
    assert repr(raw) == before


def test_layers_lie_in_order(tmp_path: Path) -> None:
    """A scenario lies over what it extends, and the lines of `--set` lie on top, the last one uppermost."""
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / "base.toml").write_text(BASE, encoding="utf-8")
    (tmp_path / "mid.toml").write_text(
        'extends = "sub/base.toml"\n[crew.team]\npeople = 3\nwalk = "4 s"\n', encoding="utf-8"
    )
    (tmp_path / "top.toml").write_text('extends = "mid.toml"\n[crew.team]\npeople = 4\n', encoding="utf-8")
    assert load(tmp_path / "mid.toml").crew["team"].people == 3
    team = load(tmp_path / "top.toml").crew["team"]
    assert (team.people, team.walk.seconds, team.covers) == (4, 4, ("A1", "A2", "A3", "B1"))
    sets = ["crew.team.people = 5", "crew.team.people = 6", "crew = { team = { walk = '9 s' } }"]
    team = load(tmp_path / "top.toml", sets).crew["team"]
    assert (team.people, team.walk.seconds) == (6, 9)


def test_problems_name_the_layer_they_stand_in(tmp_path: Path) -> None:
    """A wrong value is shown in the file, or the line of `--set`, that wrote it last."""
    (tmp_path / "base.toml").write_text(BASE, encoding="utf-8")
    (tmp_path / "top.toml").write_text('extends = "base.toml"\n[crew.team]\npeople = -4\n', encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        load(tmp_path / "top.toml", ["buffer.lane.capacity = -1"])
    spots = [(Path(problem.file).name, problem.line, problem.place) for problem in caught.value.problems]
    assert spots == [("top.toml", 3, "crew.team.people"), ("--set", 1, "buffer.lane.capacity")]


def test_files_are_named_from_where_they_are_named(tmp_path: Path) -> None:
    """A table named by an extended scenario lies beside that scenario; the top one may name another."""
    (tmp_path / "sub").mkdir()
    text = BASE[: BASE.index("[station")]
    (tmp_path / "sub" / "base.toml").write_text('tasks = "tasks.csv"\n' + text, encoding="utf-8")
    (tmp_path / "sub" / "tasks.csv").write_text("station,task,mean_s\nA1,inner,1\n", encoding="utf-8")
    (tmp_path / "tasks.csv").write_text("station,task,mean_s\nA1,outer,1\n", encoding="utf-8")
    (tmp_path / "top.toml").write_text('extends = "sub/base.toml"\n', encoding="utf-8")
    assert list(load(tmp_path / "top.toml").station["A1"].task) == ["inner"]
    assert list(load(tmp_path / "top.toml", ['tasks = "tasks.csv"']).station["A1"].task) == ["outer"]
    files = [Path(file.name).name for file in read(tmp_path / "top.toml").files]
    assert files == ["top.toml", "base.toml", "tasks.csv"]


def test_a_scenario_in_another_folder_stays_in_its_own(tmp_path: Path) -> None:
    """An extended scenario below may not name files of the folder above."""
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / "base.toml").write_text('tasks = "../tasks.csv"\n' + BASE, encoding="utf-8")
    (tmp_path / "tasks.csv").write_text("station,task,mean_s\nA1,outer,1\n", encoding="utf-8")
    (tmp_path / "top.toml").write_text('extends = "sub/base.toml"\n', encoding="utf-8")
    with pytest.raises(ScenarioError, match="outside-folder"):
        load(tmp_path / "top.toml")


def test_a_missing_layer_is_the_only_problem(tmp_path: Path) -> None:
    """With a layer missing, nothing is said of what would follow from it."""
    (tmp_path / "top.toml").write_text('extends = "bse.toml"\ntakt = 5\n', encoding="utf-8")
    (tmp_path / "base.toml").write_text(BASE, encoding="utf-8")
    with pytest.raises(ScenarioError) as caught:
        load(tmp_path / "top.toml")
    (found,) = caught.value.problems
    assert (found.code, found.line) == ("no-file", 1)
    assert "base.toml" in found.message


def test_everything_wrong_is_said_at_once() -> None:
    """Slips of the pen, wrong kinds, wrong numbers and broken rules come together, in file order."""
    text = (
        BASE.replace('takt = "60 s"', "takt = 60")
        .replace("capacity = 2", "capacity = -2")
        .replace('"A3", "B1"]', '"A3", "B1", "B9"]')
        .replace('time = "20 s"', 'time = "20 s"\ntool = "gnu"\nafter = "gone"\nzoen = "left"')
    )
    found = [(problem.line, problem.place, problem.code) for problem in problems(text=text)]
    assert found == [
        (1, "takt", "bare-number"),
        (17, "buffer.lane.capacity", "out-of-range"),
        (21, "crew.team.covers[5]", "unknown-place"),
        (27, "station.A2.task.seal.tool", "unknown-tool"),
        (28, "station.A2.task.seal.after", "unknown-task"),
        (29, "station.A2.task.seal.zoen", "unknown-key"),
    ]


@pytest.mark.parametrize(
    "key", ["takt", "flow", "run", "section", "station", "buffer", "crew", "model", "option"]
)
def test_what_follows_from_a_wrong_value_is_not_said(key: str) -> None:
    """A table of the wrong kind is the only problem, although much else then has nothing to refer to."""
    text = "" if key in ("takt", "flow") else "[option.loader]\ntake = 0.2\n[model.a]\n"
    more = (
        '[station.A3.task.x]\ntime = "1 s"\ncrew = "team"\nafter = "A1.fit"\n'
        'options = "loader"\nmodels = "a"\n'
    )
    found = problems(f"{key} = [5]", text=BASE + (more if text else "") + text)
    assert [(problem.file, problem.place.partition("[")[0]) for problem in found] == [("scenario.toml", key)]


def test_a_section_without_pacing_hides_nothing_and_invents_nothing() -> None:
    """A missing pacing is said once, and not followed by rules of a pacing that was never chosen."""
    text = BASE.replace('pacing = "moving"\n', "").replace(
        "[station.A1.", "[station.A2]\nlate = 0.2\n[station.A1."
    )
    assert [problem.code for problem in problems(text=text)] == ["missing-field"]


def test_a_scenario_is_complete() -> None:
    """Every station has its table in line order, one model stands for none, the only calendar holds."""
    scenario = base("calendar.day = { shifts = ['06:00-14:00'] }")
    assert list(scenario.station) == ["A1", "A2", "A3", "B1"]
    assert list(scenario.model) == ["standard"]
    assert scenario.run.calendar == "day"
    assert base().run.calendar is None


def test_shifts_are_as_long_as_the_calendar_says() -> None:
    """A duration in shifts takes the first shift of the run's calendar, or `run.shift`, or 8 hours."""
    assert base('run.length = "2 shifts"').run.length.seconds == 2 * 8 * 3600
    assert base('run.length = "2 shifts"', 'run.shift = "7.5 h"').run.length.seconds == 2 * 7.5 * 3600
    with_calendar = base('run.length = "2 shifts"', "calendar.day.shifts = ['22:00-04:00', '06:00-14:00']")
    assert with_calendar.run.length.seconds == 2 * 6 * 3600


def test_open_work_goes_to_the_first_bay_downstream() -> None:
    """A station that passes work on names its bay after reading: the first that stands downstream."""
    bays = (
        'bay.far = { section = "trim", rejoin = "out" }',
        'bay.near = { section = "main", rejoin = "out" }',
        "crew.team.covers = ['A1', 'A2', 'A3', 'B1', 'near', 'far']",
    )
    scenario = base(*bays, 'station.A2.on_limit = "pass"', 'station.B1.on_limit = "pass"')
    assert (scenario.station["A2"].open_to, scenario.station["B1"].open_to) == ("near", "far")


def test_a_scenario_cannot_be_changed() -> None:
    """Fields and tables of a scenario refuse changes."""
    scenario = base()
    with pytest.raises(ValueError, match="frozen"):
        scenario.takt = scenario.run.length
    with pytest.raises(TypeError, match="cannot be changed"):
        scenario.crew["team"] = scenario.crew["team"]
    with pytest.raises(TypeError, match="cannot be changed"):
        scenario.crew.clear()


def test_a_scenario_survives_the_way_to_another_process(scenarios: Path) -> None:
    """Scenarios, and the errors about them, are equal after pickling; no file is needed to unpack them."""
    whole = load(scenarios / "tractor" / "line.toml")
    again: Scenario = pickle.loads(pickle.dumps(whole))
    assert again == whole
    assert hash(again) == hash(whole)
    assert again.fingerprint() == whole.fingerprint()
    error = ScenarioError(problems("takt = 5"))
    assert pickle.loads(pickle.dumps(error)).problems == error.problems


def test_a_scenario_reads_back_from_its_repr() -> None:
    """The repr of a scenario builds the same scenario."""
    import linesim.scenario as room
    from linesim.scenario import line, models, people, run, shapes, work
    from linesim.scenario.base import Chance, Named
    from linesim.ticks import Duration

    names = {"Named": Named, "Duration": Duration, "Chance": Chance, "room": room}
    for module in (line, models, people, run, shapes, work):
        names.update({name: thing for name, thing in vars(module).items() if isinstance(thing, type)})
    whole = base(
        'robot.R1.failure.jam = { every = "2 h", lasts = { mean = "3 min", cv = 0.5 } }', "tool.gun.count = 2"
    )
    assert eval(repr(whole), names) == whole


def test_warnings_come_with_the_scenario() -> None:
    """What is only worth saying does not refuse a scenario and is not said beside errors."""
    reading = read_text(BASE, sets=["run.replications = 3"], add=["tool.gun = {}"])
    assert {(warning.code, warning.place) for warning in reading.warnings} == {
        ("no-question", "study.question"),
        ("unused-tool", "tool.gun"),
        ("few-replications", "run.replications"),
    }
    assert all(warning.severity == "warning" for warning in reading.warnings)
    assert {problem.severity for problem in problems("tool.gun = {}", "takt = 5")} == {"error"}
