"""`fit`: what is proposed, the line to paste, and what is said of the times."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from linesim.answers.document import Document
from linesim.errors import WrongQuestionError
from linesim.plan.build import build
from linesim.questions.fit import fit
from linesim.questions.fit.candidates import candidate_of
from linesim.questions.fit.fitted import _cells_of, toml_of
from linesim.scenario import load_text
from linesim.scenario.shapes import Constant, Shape
from tests.documents.pages import ROOT
from tests.unit.draws.samples import figures, shape

TIMES = ROOT / "scenarios" / "features" / "times.csv"
LINE = """\
takt = "60 s"
flow = ["cell"]
[run]
length = "1 h"
[section.cell]
pacing   = "free"
stations = ["K1"]
"""


def drawn(kind: str, params: tuple[float, ...], n: int, seed: int = 3) -> list[float]:
    """Return times drawn from a shape, to a hundredth of a second."""
    times = shape(kind, params).quantile(np.random.Generator(np.random.Philox(seed)).random(n))
    return [round(float(t), 2) for t in times]


def pasted(line: str, folder: Path = ROOT) -> Shape:
    """Return the shape that a scenario has with a line of `fit` pasted into a task."""
    return build(load_text(f"{LINE}[station.K1.task.press]\npeople = 0\n{line}\n", folder)).shapes[0]


def proposed(answer: Document, task: str = "times", outliers: str = "with") -> tuple[str, str]:
    """Return the name of the shape that is proposed for a task, and its line."""
    row = answer.table("tasks").row(task, outliers)
    return str(row["shape"]), str(row["line"])


@pytest.fixture(scope="module")
def seats() -> Document:
    """Fit eighty lognormal times."""
    return fit(drawn("lognormal", (60.0, 0.2), 80), samples=59)


def test_a_lognormal_is_proposed_for_manual_work(seats: Document) -> None:
    """Skewed times get a lognormal of their mean and spread, with the shapes that fit as well."""
    row = seats.table("tasks").row("times", "with")
    assert row["shape"] == "lognormal"
    one = candidate_of(seats.table("shapes").row("times", "with", "lognormal"))
    assert one.mean_s == pytest.approx(np.mean(seats.table("times").column("time_s")), rel=0.01)
    assert (
        "Proposed: lognormal." in seats.sentences[1] and "the data can't tell it from" in seats.sentences[1]
    )
    assert "gamma" in seats.sentences[1] and "exponential" in seats.sentences[1]
    mean, cv = row["mean"], row["cv"]
    assert mean.low < 60 < mean.high and cv.low < 0.2 < cv.high  # type: ignore[union-attr]
    assert cv.method == "bootstrap (BCa)"  # type: ignore[union-attr]


SHAPES = [
    ("lognormal", (60.0, 0.2)), ("gamma", (60.0, 0.2)), ("erlang", (60.0, 4.0)), ("weibull", (300.0, 1.5)),
    ("normal", (60.0, 5.0)), ("triangular", (40.0, 50.0, 75.0)), ("pert", (40.0, 50.0, 1017.6)),
    ("uniform", (40.0, 75.0)), ("exponential", (10_800.0,)), ("constant", (48.0,)),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "params"), SHAPES)
def test_every_line_can_be_pasted(kind: str, params: tuple[float, ...]) -> None:
    """A scenario reads each line back as the shape it was written for, to four digits."""
    found = pasted(toml_of(shape(kind, params), source="times.csv, 80 times"))
    assert found.kind == kind
    assert figures(found) == pytest.approx(params, rel=1e-3)


@pytest.mark.parametrize(("kind", "params"), SHAPES)
def test_every_shape_can_stand_in_a_table(kind: str, params: tuple[float, ...], tmp_path: Path) -> None:
    """A task table reads each shape back with its mean and spread; an Erlang stands there as its gamma."""
    cells = {name: text for name, text in _cells_of(shape(kind, params)).items() if text}
    table = f"station,task,people,{','.join(cells)}\nK1,press,0,{','.join(cells.values())}\n"
    (tmp_path / "tasks.csv").write_text(table, encoding="utf-8")
    found = build(load_text(f'tasks = "tasks.csv"\n{LINE}', tmp_path)).shapes[0]
    wanted = shape(kind, params)
    assert found.kind == ("gamma" if kind == "erlang" else kind)
    assert (found.mean_s, found.sd_s) == pytest.approx((wanted.mean_s, wanted.sd_s), rel=1e-3)


def test_the_line_of_a_fit_gives_the_fitted_times(seats: Document) -> None:
    """The pasted line has mean and spread of what was fitted, and says that it was measured."""
    kind, line = proposed(seats)
    one = candidate_of(seats.table("shapes").row("times", "with", kind))
    found = pasted(line)
    assert (found.mean_s, found.sd_s) == pytest.approx((one.mean_s, one.sd_s), rel=1e-3)
    assert 'confidence = "measured"' in line


def test_times_of_two_kinds_are_taken_as_they_are() -> None:
    """No smooth shape fits the shipped times with their stuck jig: the column itself is proposed."""
    found = fit(TIMES, samples=59)
    kind, line = proposed(found, "fit-door")
    assert kind == "empirical" and 'file = "times.csv", column = "fit_door_s"' in line
    assert "No smooth shape fits" in found.sentences[1]
    assert sorted(found.table("times").column("time_s")) == sorted(pasted(line, TIMES.parent).values_s)  # type: ignore[type-var, attr-defined]
    assert any("5 different day" in text and "--by 'day'" in text for text in found.cautions)


def test_times_without_a_file_are_written_out() -> None:
    """Two humps given as a list come back as a list that a scenario reads."""
    times = drawn("normal", (50.0, 1.0), 30) + drawn("normal", (80.0, 1.0), 30)
    kind, line = proposed(fit(times, samples=19))
    assert kind == "empirical" and sorted(pasted(line).values_s) == sorted(times)  # type: ignore[attr-defined]


def test_few_times_tell_no_shape() -> None:
    """Five times get the usual shape with their mean and spread, as an estimate, and no goodness of fit."""
    found = fit([50.0, 52.0, 55.0, 61.0, 49.0])
    kind, line = proposed(found)
    assert len(found.table("shapes")) == 0 and kind == "lognormal"
    assert 'confidence = "estimated"' in line and "can't tell a shape" in found.sentences[-1]
    assert pasted(line).mean_s == pytest.approx(53.4, rel=1e-3)


def test_equal_times_are_constant() -> None:
    """Times that never vary, or of which there is one, are a constant time."""
    assert pasted(proposed(fit([48.0] * 20))[1]) == Constant(mean="48 s")
    assert pasted(proposed(fit([48.0]))[1]) == Constant(mean="48 s")


def test_long_times_are_said_in_their_unit() -> None:
    """Hours between failures are told and written in minutes or hours, and are exponential."""
    found = fit(drawn("exponential", (7200.0,), 60), shapes=["exponential", "weibull"], samples=59)
    assert proposed(found)[0] == "exponential"
    assert " min on average" in found.sentences[0] or " h on average" in found.sentences[0]
    assert any(" h by the shape" in text for text in found.sentences)
    assert set(found.table("shapes").column("shape")) == {"exponential", "weibull"}


def test_drifting_and_rounded_times_are_pointed_at() -> None:
    """Times that drift are called dependent, and a grid is told."""
    luck = np.random.Generator(np.random.Philox(2)).random(40)
    drifting = [round(50 + i / 2 + 4 * u) for i, u in enumerate(luck.tolist())]
    text = " ".join(fit(drifting, shapes=["normal"], samples=19).cautions)
    assert "alike (correlation" in text and "written to 1 s" in text


@pytest.mark.parametrize(
    ("times", "far"),
    [
        ((48, 51, 47, 50, 49, 52, 150, 48), [150]),  # a few of them
        ((48, 48, 48, 48, 48, 50, 48, 150), [150]),  # most of them alike
        ((48, 51, 47, 50, 49, 62), []),
        ((48, 51, 150), []),  # too few to say
    ],
)
def test_a_few_times_have_outliers_too(times: tuple[float, ...], far: list[float]) -> None:
    """Among six times or more one that lies very far off is named, whether or not the others are alike."""
    rows = fit(list(times), samples=19).table("times")
    assert [row["time_s"] for row in rows if row["outlier"]] == far


def test_outliers_are_named_and_left_to_the_user() -> None:
    """One of four minutes among minutes is named with what it changes, kept or left out as one says."""
    odd = [*drawn("normal", (60.0, 3.0), 30), 240.0]
    kept = fit(odd, shapes=["normal"], samples=39)
    assert "240 s lies far from the others: with it the mean is 67 " in kept.sentences[-1]
    assert "it counts in the line (--outliers leave-out takes it out)" in kept.sentences[-1]
    table = kept.table("tasks")
    assert proposed(kept)[0] == "empirical" and table.row("times", "with")["counts"] == "yes"
    out = fit(odd, shapes=["normal"], samples=39, outliers="leave-out")
    kind, line = proposed(out, outliers="without")
    assert kind == "normal" and pasted(line).mean_s == pytest.approx(np.mean(odd[:-1]), rel=1e-3)
    assert out.table("tasks").row("times", "without")["counts"] == "yes"
    assert [row["time_s"] for row in out.table("times") if row["outlier"]] == [240.0]
    assert fit(odd[:-1], shapes=["normal"], samples=19).table("tasks").column("outliers") == ("with",)


def test_each_task_is_fitted_by_itself(tmp_path: Path) -> None:
    """A study in one column gives the same as its tasks given alone, and nothing of two tasks together."""
    seat, door = drawn("lognormal", (60.0, 0.2), 30), drawn("gamma", (20.0, 0.3), 30, seed=4)
    rows = [f"{name};{k};{t}" for name, some in (("seat", seat), ("door", door)) for k, t in enumerate(some)]
    path = tmp_path / "study.csv"
    path.write_text("\n".join(["Element;Cycle;Time (s)", *sorted(rows)]), encoding="utf-8")
    whole = fit(path, samples=19)
    both = fit({"seat": seat, "door": door}, samples=19)
    for name, times in (("seat", seat), ("door", door)):
        row = whole.table("tasks").row(name, "with")
        assert row["mean"].mean == pytest.approx(np.mean(times))  # type: ignore[union-attr]
        assert row["shape"] == both.table("tasks").row(name, "with")["shape"]
    assert whole.sentences[0] == "2 tasks, 60 times; each task is fitted by itself."
    only = fit(path, samples=19, only=["door"])
    assert only.table("tasks").column("task") == ("door",)


def test_columns_are_fitted_each_by_itself(tmp_path: Path) -> None:
    """Two columns with a unit are two tasks; minutes are minutes, blanks are left out."""
    path = tmp_path / "times.csv"
    path.write_text("day,seat_min,door_s\n1,1.5,60\n2,,61\n3,0.5,\n", encoding="utf-8")
    found = fit(path)
    times = [(row["task"], row["time_s"]) for row in found.table("times")]
    assert times == [("seat", 90.0), ("seat", 30.0), ("door", 60.0), ("door", 61.0)]
    assert fit(path, column="door_s").table("times").column("time_s") == (60.0, 61.0)


def test_what_is_no_time_is_told(tmp_path: Path) -> None:
    """Words and negative figures among times are named and left out."""
    path = tmp_path / "times.csv"
    path.write_text("seat_s\n50\nlong\n-1\n52\n", encoding="utf-8")
    text = " ".join(fit(path).cautions)
    assert 'Row 3: "long" is no time' in text and 'Row 4: "-1" is no time' in text


@pytest.mark.parametrize(
    ("times", "how", "told"),
    [
        ([1.0, 2.0], {"shapes": ["beta"]}, "'beta'"), ([], {}, "at least one"), ([-1.0], {}, ">= 0"),
        ([1.0, 2.0], {"samples": 5}, "19 to 9999"), ([1.0] * 20_001, {}, "more than are needed"),
        ([1.0, 2.0], {"outliers": "drop"}, "one of keep, leave-out"),
    ],
)  # fmt: skip
def test_wrong_questions_are_told(times: list[float], how: dict[str, object], told: str) -> None:
    """Unknown shapes, no times, too many and impossible numbers of samples are refused."""
    with pytest.raises(WrongQuestionError, match=told):
        fit(times, **how)  # type: ignore[arg-type]


def test_the_answer_repeats_and_can_be_read_back(seats: Document) -> None:
    """The same times give the same JSON, from which the same answer is read; tables are files."""
    from linesim.questions.kept import answer_from

    again = fit([float(t) for t in seats.table("times").column("time_s")], samples=59)  # type: ignore[arg-type]
    assert again.to_json() == seats.to_json()
    assert set(seats.files()) == {"tasks.csv", "shapes.csv", "quantiles.csv", "times.csv", "fit.json"}
    back = answer_from(seats.as_dict())
    assert back.to_json() == seats.to_json()
