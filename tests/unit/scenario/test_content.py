"""The fingerprint of a scenario, its tables, its schema and its reference."""

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from linesim.scenario import from_dict, load, load_text
from linesim.scenario.reference import json_schema, reference
from tests.unit.scenario.lines import BASE, base, problems

REFERENCE = Path(__file__).resolve().parents[3] / "scenarios" / "README.md"


@pytest.mark.parametrize(
    "sets",
    [
        'takt = "61 s"',
        "crew.team.people = 3",
        "target.jobs_per_shift = 400",
        'station.A1.task.fit.time = { mean = "50 s", cv = 0.1 }',
        'station.A1.task.fit.confidence = "guess"',
        "option.loader.take = 0.2",
        'run.length = "2 h"',
        'run.start = "full"',
        "calendar.day.shifts = ['06:00-14:00']",
    ],
)
def test_what_changes_the_fingerprint(sets: str) -> None:
    """Every value that decides or weighs a figure changes the fingerprint."""
    assert base(sets).fingerprint() != base().fingerprint()


@pytest.mark.parametrize(
    "sets",
    [
        'title = "x"',
        'note = "y"',
        'study.question = "z"',
        "run.seed = 9",
        "run.replications = 99",
        'takt = "1 min"',
        "station.A3 = {}",
        "crew.team.floater = false",
        'run.warm_up = "0 h"',
    ],
)
def test_what_leaves_the_fingerprint(sets: str) -> None:
    """Words, the seed, the number of replications, another unit and a default written out change nothing."""
    assert base(sets).fingerprint() == base().fingerprint()


def test_order_counts_only_where_it_means_something() -> None:
    """Stations, sections and buffers may stand in any order in the file; tasks and models may not."""
    text = BASE[: BASE.index("[section.main]")] + "\n".join(
        reversed(BASE[BASE.index("[section.main]") :].split("\n\n"))
    )
    assert load_text(text).fingerprint() == base().fingerprint()
    one, two = 'station.A1.task.a = { time = "1 s" }', 'station.A1.task.b = { time = "1 s" }'
    assert base(one, two).fingerprint() != base(two, one).fingerprint()
    assert (
        base("model.a = {}", "model.b = {}").fingerprint()
        != base("model.b = {}", "model.a = {}").fingerprint()
    )


def test_shifts_and_hours_differ_in_the_fingerprint() -> None:
    """Eight hours and one shift are not the same once nights lie between shifts."""
    assert base('run.length = "8 h"').fingerprint() != base('run.length = "1 shift"').fingerprint()


def test_a_change_is_in_the_fingerprint_that_was_asked_for_before() -> None:
    """What is kept of the content goes with a change: the fingerprint is that of the same line read anew."""
    line = base()
    before = line.fingerprint()
    changed = line.replace({"station.A1.late": 0.5, "takt": "50 s"})
    assert changed.fingerprint() == from_dict(changed.as_dict()).fingerprint() != before
    assert changed.replace({"station.A1.late": 0.0, "takt": "60 s"}).fingerprint() == before
    station = line.station["A1"]
    assert station.content_text != station.model_copy(update={"late": 0.5}).content_text


def test_files_do_not_enter_the_fingerprint(tmp_path: Path) -> None:
    """Tasks from a table and the same in the scenario have one fingerprint; a changed cell has another."""
    (tmp_path / "tasks.csv").write_text("station,task,mean_s\nA1,fit,50\nA2,seal,20\n", encoding="utf-8")
    text = 'tasks = "tasks.csv"\n' + BASE[: BASE.index("[station")]
    assert load_text(text, tmp_path).fingerprint() == base().fingerprint()
    (tmp_path / "tasks.csv").write_text("station,task,mean_s\nA1,fit,50\nA2,seal,20.001\n", encoding="utf-8")
    assert load_text(text, tmp_path).fingerprint() != base().fingerprint()


def test_the_fingerprint_stays_the_same_from_version_to_version() -> None:
    """The fingerprint of the small line is a fixed number: stores of results are keyed by it."""
    assert base().fingerprint() == "a2af2a73ad9575d73091a21fcb132e83a4950abb4421d7ef9faf378c3f1094b8"


def test_shipped_scenarios_come_back_from_their_tables(scenarios: Path) -> None:
    """Every shipped scenario has all of its content in its tables, through JSON too, and no file names."""
    for file in sorted(scenarios.rglob("*.toml")):
        whole = load(file)
        tables = json.loads(json.dumps(whole.as_dict()))
        assert ".csv" not in json.dumps(tables), file
        again = from_dict(tables)
        assert again.fingerprint() == whole.fingerprint(), file
        assert again.as_dict() == whole.as_dict(), file


def test_a_station_may_be_called_like_a_key() -> None:
    """Names that are also keys of the language are names all the same."""
    text = BASE.replace("A1", "file").replace("A2", "tasks").replace("fit", "column")
    whole = load_text(text)
    assert from_dict(whole.as_dict()) == whole


def test_the_schema_is_one_and_knows_the_shipped_scenarios(scenarios: Path) -> None:
    """The schema is valid draft 2020-12 and accepts every shipped scenario that stands alone."""
    schema = json_schema()
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    for file in sorted(scenarios.rglob("*.toml")):
        raw = tomllib.loads(file.read_text(encoding="utf-8"))
        if "extends" not in raw:
            assert [error.message for error in validator.iter_errors(raw)] == [], file


@pytest.mark.parametrize(
    "sets",
    [
        "takt = 60",
        'takt = "60 sec"',
        "crew.team.people = -1",
        "crew.team.wlak = '1 s'",
        'section.main.pacing = "floating"',
        'station.A1.task.fit.time = { shape = "pert", mean = "5 s" }',
        'station.A1.task.fit.time = { low = "5 s", high = "6 s" }',
        "station.A1.task.fit.fault = { chance = 1.5 }",
    ],
)
def test_the_schema_refuses_what_the_program_refuses(sets: str) -> None:
    """What is wrong in itself is wrong for both."""
    whole = base().as_dict()
    raw = tomllib.loads(sets)
    for path in ("crew", "section", "station"):
        for name, table in raw.get(path, {}).items():
            for key, value in table.items():
                inner = whole[path][name]
                if key == "task":
                    inner, key, value = inner["task"]["fit"], *next(iter(value["fit"].items()))
                inner[key] = value
    whole.update({key: value for key, value in raw.items() if key == "takt"})
    assert list(jsonschema.Draft202012Validator(json_schema()).iter_errors(whole))
    assert problems(sets)


def test_the_reference_is_current(update_golden: bool) -> None:
    """The reference in the folder of scenarios is what the models say now."""
    if update_golden:
        REFERENCE.write_text(reference(), encoding="utf-8")
    assert REFERENCE.read_text(encoding="utf-8") == reference()


def test_every_field_is_described() -> None:
    """Every key of every table has a description of its own in the schema."""
    missing = [
        f"{table}.{key}"
        for table, schema in {"Scenario": json_schema(), **json_schema()["$defs"]}.items()
        for key, field in schema.get("properties", {}).items()
        if not field.get("description")
    ]
    assert missing == []


@pytest.mark.parametrize(
    "rule",
    [
        "Nobody walks between stations of the same job",
        "who is already at the job is taken first",
        "The order carries through a task that the job does not have",
        "work begun `early`, before the entry, is no part of it",
        "the first time not counted",
        "Nothing is kept for it before that",
        "A ring in which the bay hands straight to a section cannot be said",
    ],
)
def test_rules_that_decide_figures_stand_in_the_reference(rule: str) -> None:
    """What the line does where a user could expect something else is said where the field is described."""
    assert rule in " ".join(reference().split())
