"""A study read back from its folder: what was written comes back, anything else is refused."""

import json
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

from linesim.answers.card import Goal
from linesim.answers.document import Document
from linesim.answers.measure import Measure
from linesim.answers.values import Estimate
from linesim.questions.compare import compare
from linesim.questions.kept import NoStudyError, answer_from, reopen
from linesim.runs.simulation import simulate
from linesim.runs.store import Store
from tests.unit.report.small import small_scenario


def a_comparison(store: Store | None = None) -> Document:
    """Return a small comparison."""
    return compare(
        small_scenario(),
        {"more": {"buffer.lane.capacity": 5}},
        replications=2,
        file="small.toml",
        store=store,
    )


@lru_cache(maxsize=1)
def a_comparison_as_text() -> str:
    """Return what a small comparison writes."""
    return a_comparison().to_json()


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return the folder of a small comparison."""
    with Store(tmp_path) as store:
        answer = a_comparison(store)
    for name, text in answer.files().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_an_answer_comes_back_as_it_was() -> None:
    """Sentences, cautions, tables, cases and versions of an answer are the same after writing and reading."""
    answer = a_comparison()
    found = answer_from(json.loads(answer.to_json()))
    assert found.as_dict() == json.loads(answer.to_json())
    assert found.sentences == answer.sentences
    assert [(t.name, t.says) for t in found.tables_] == [(t.name, t.says) for t in answer.tables_]
    assert any(table.says for table in found.tables_)


def test_the_line_comes_back_with_its_replications(folder: Path) -> None:
    """The base of a kept study is the scenario it was, with the figures that were found."""
    found = reopen(folder)
    assert found.answer is not None
    assert found.scenario is not None
    assert found.scenario.fingerprint() == small_scenario().fingerprint()
    assert found.result is not None
    assert found.result.run.numbers == (1, 2)
    assert isinstance(found.answer, Document)
    level = found.answer.table("levels").row("small.toml", Measure("jobs_per_shift"))["mean"]
    assert isinstance(level, Estimate)
    assert found.result.row("jobs_per_shift").mean == level.mean


def test_replications_of_other_questions_stay_away(folder: Path) -> None:
    """A study that took two replications is told of with two, though the folder has kept more since."""
    with Store(folder) as store:
        compare(small_scenario(), {"other": {"buffer.lane.capacity": 1}}, replications=3, store=store)
    found = reopen(folder)
    assert found.result is not None
    assert found.result.run.numbers == (1, 2)


def test_an_answer_alone_is_enough(folder: Path) -> None:
    """Without the replications the answer is still there, and nothing is said of the line."""
    (folder / "study.sqlite").unlink()
    found = reopen(folder / "compare.json")
    assert found.answer is not None
    assert found.scenario is None
    assert found.result is None


def test_one_of_several_answers_must_be_named(folder: Path) -> None:
    """A folder with two answers is refused with both names; each of them can be opened."""
    (folder / "copy.json").write_bytes((folder / "compare.json").read_bytes())
    with pytest.raises(NoStudyError, match=r"several answers.*compare\.json.*copy\.json"):
        reopen(folder)
    assert reopen(folder / "copy.json").answer is not None


def test_a_changed_scenario_is_found_out(folder: Path) -> None:
    """A kept scenario that is not what was written is damage, not a line."""
    import sqlite3

    from linesim.runs.store_file import StudyDamagedError

    connection = sqlite3.connect(folder / "study.sqlite")
    connection.execute("UPDATE scenario SET content = replace(content, '62 s', '63 s')")
    connection.commit()
    connection.close()
    with pytest.raises(StudyDamagedError, match="not what was written"):
        reopen(folder)


@pytest.mark.parametrize(
    "text", ["", "no JSON", "[1, 2]", "{}", '{"run": {}, "scenario": {}, "study": "x"}', "[" * 100_000]
)
def test_what_is_no_answer_is_refused(tmp_path: Path, text: str) -> None:
    """A file that no study has written is refused in words, whatever it holds."""
    path = tmp_path / "odd.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(NoStudyError):
        reopen(path)


def _without(key: str) -> Callable[[dict[str, Any]], object]:
    return lambda document: document.pop(key)


@pytest.mark.parametrize(
    "spoil",
    [
        _without("sentences"),
        _without("cases"),
        lambda document: document["sentences"].append(7),
        lambda document: document["run"].update(seed="many"),
        lambda document: document["tables"]["levels"][0].update(mean={"a": 1}),
        lambda document: document["tables"]["levels"][0].pop("mean"),
        lambda document: document["cases"][0].update(fingerprint=None),
    ],
)
def test_a_spoiled_answer_is_refused(spoil: Callable[[dict[str, Any]], object]) -> None:
    """An answer in which something is missing or of another kind is refused in words."""
    document = json.loads(a_comparison_as_text())
    spoil(document)
    with pytest.raises(NoStudyError, match="cannot be read"):
        answer_from(document)


def test_a_place_without_an_answer_is_refused(tmp_path: Path) -> None:
    """A folder without an answer, and a place that is not there, are refused with what would be right."""
    with pytest.raises(NoStudyError, match="--out"):
        reopen(tmp_path)
    with pytest.raises(NoStudyError, match="neither a file nor a folder"):
        reopen(tmp_path / "nowhere")


def test_how_a_figure_became_sharp_comes_back(tmp_path: Path) -> None:
    """A study that ran until a figure was sharp, and a run that did, say so when they are read again."""
    goal = Goal(0.2, "throughput", cap=12)
    with Store(tmp_path) as store:
        answer = compare(
            small_scenario(), {"more": {"buffer.lane.capacity": 5}}, measure="throughput", precision=0.2,
            max_replications=12, store=store,
        )  # fmt: skip
        alone = simulate(small_scenario(), goal=goal, store=store)
    assert len(answer.card.convergences) == 2 and alone.convergence is not None
    (tmp_path / "compare.json").write_text(answer.to_json(), encoding="utf-8")
    (tmp_path / "run.json").write_text(json.dumps(alone.as_dict()), encoding="utf-8")
    study, run = reopen(tmp_path / "compare.json"), reopen(tmp_path / "run.json")
    assert study.answer is not None and study.result is not None and run.result is not None
    assert study.answer.card.convergences == answer.card.convergences
    assert study.result.convergence == answer.card.convergences[0]
    assert run.result.as_dict() == alone.as_dict()


@pytest.mark.parametrize(
    "spoil",
    [
        _without("run"),
        lambda document: document["run"].pop("numbers"),
        lambda document: document["scenario"].update(fingerprint=7),
        lambda document: document["convergence"].update(looks=[]),
        lambda document: document["convergence"].update(precision="sharp"),
        lambda document: document["convergence"]["looks"][0].pop("mean"),
        lambda document: document["convergence"]["looks"][0].update(replications="one"),
    ],
)
def test_a_spoiled_run_is_refused(tmp_path: Path, spoil: Callable[[dict[str, Any]], object]) -> None:
    """The same for a run, whose replications its folder keeps."""
    with Store(tmp_path) as store:
        document = simulate(small_scenario(), goal=Goal(0.2, cap=3), store=store).as_dict()
    spoil(document)
    (tmp_path / "run.json").write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(NoStudyError):
        reopen(tmp_path)
