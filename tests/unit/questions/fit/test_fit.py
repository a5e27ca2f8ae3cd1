"""`fit`: what is proposed, the line to paste, and what is said of the times."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from linesim.errors import ScenarioError, WrongQuestionError
from linesim.plan.build import build
from linesim.questions.fit import Fit, fit
from linesim.questions.fit.lines import toml_of
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
[station.K1.task.press]
people = 0
"""


def drawn(kind: str, params: tuple[float, ...], n: int, seed: int = 3) -> list[float]:
    """Return times drawn from a shape, to a hundredth of a second."""
    times = shape(kind, params).quantile(np.random.Generator(np.random.Philox(seed)).random(n))
    return [round(float(t), 2) for t in times]


def pasted(line: str, folder: Path = ROOT) -> Shape:
    """Return the shape that a scenario has with a line of `fit` pasted into a task."""
    return build(load_text(LINE + line + "\n", folder)).shapes[0]


@pytest.fixture(scope="module")
def seats() -> Fit:
    """Fit eighty lognormal times."""
    return fit(drawn("lognormal", (60.0, 0.2), 80), samples=59)


def test_a_lognormal_is_proposed_for_manual_work(seats: Fit) -> None:
    """Skewed times get a lognormal of their mean and spread, with the shapes that fit as well."""
    assert seats.proposal == "lognormal"
    one = seats.shapes[0]
    assert one.mean_s == pytest.approx(np.mean(seats.times_s), rel=0.01)
    assert (
        "Proposed: lognormal." in seats.sentences[1] and "the data can't tell it from" in seats.sentences[1]
    )
    assert "gamma" in seats.sentences[1] and "exponential" in seats.sentences[1]
    assert seats.mean.low is not None and seats.mean.low < 60 < (seats.mean.high or 0)
    assert seats.cv is not None and seats.cv.method == "bootstrap (BCa)"


@pytest.mark.parametrize(
    ("kind", "params"),
    [
        ("lognormal", (60.0, 0.2)), ("gamma", (60.0, 0.2)), ("erlang", (60.0, 4.0)),
        ("weibull", (300.0, 1.5)),
        ("normal", (60.0, 5.0)), ("triangular", (40.0, 50.0, 75.0)), ("pert", (40.0, 50.0, 1017.6)),
        ("uniform", (40.0, 75.0)), ("exponential", (10_800.0,)), ("constant", (48.0,)),
    ],
)  # fmt: skip
def test_every_line_can_be_pasted(kind: str, params: tuple[float, ...]) -> None:
    """A scenario reads each line back as the shape it was written for, to four digits."""
    found = pasted(toml_of(shape(kind, params), source="times.csv, 80 times"))
    assert found.kind == kind
    assert figures(found) == pytest.approx(params, rel=1e-3)


def test_the_line_of_a_fit_gives_the_fitted_times(seats: Fit) -> None:
    """The pasted line has mean and spread of what was fitted, and says that it was measured."""
    found = pasted(seats.line)
    assert (found.mean_s, found.sd_s) == pytest.approx(
        (seats.shapes[0].mean_s, seats.shapes[0].sd_s), rel=1e-3
    )
    assert 'confidence = "measured"' in seats.line


def test_times_of_two_kinds_are_taken_as_they_are() -> None:
    """No smooth shape fits the shipped times with their stuck jig: the column itself is proposed."""
    found = fit(TIMES, samples=59)
    assert found.proposal == "empirical" and found.column == "fit_door_s"
    assert "No smooth shape fits" in found.sentences[1]
    assert 'file = "times.csv", column = "fit_door_s"' in found.line
    assert sorted(found.times_s) == sorted(pasted(found.line, TIMES.parent).values_s)
    assert any("lie far from the others" in text for text in found.cautions)


def test_times_without_a_file_are_written_out() -> None:
    """Two humps given as a list come back as a list that a scenario reads."""
    times = drawn("normal", (50.0, 1.0), 30) + drawn("normal", (80.0, 1.0), 30)
    found = fit(times, samples=19)
    assert found.proposal == "empirical" and sorted(pasted(found.line).values_s) == sorted(times)


def test_few_times_tell_no_shape() -> None:
    """Five times get the usual shape with their mean and spread, as an estimate, and no goodness of fit."""
    found = fit([50.0, 52.0, 55.0, 61.0, 49.0])
    assert found.shapes == () and found.proposal == "lognormal"
    assert 'confidence = "estimated"' in found.line and "can't tell a shape" in found.sentences[-1]
    assert pasted(found.line).mean_s == pytest.approx(53.4, rel=1e-3)


def test_equal_times_are_constant() -> None:
    """Times that never vary are a constant time."""
    found = fit([48.0] * 20)
    assert found.proposal == "constant" and pasted(found.line) == Constant(mean="48 s")


def test_long_times_are_said_in_their_unit() -> None:
    """Hours between failures are told and written in minutes or hours, and are exponential."""
    found = fit(drawn("exponential", (7200.0,), 60), shapes=["exponential", "weibull"], samples=59)
    assert found.proposal == "exponential"
    assert " min on average" in found.sentences[0] or " h on average" in found.sentences[0]
    assert " h by the shape" in found.sentences[-1]
    assert {one.kind for one in found.shapes} == {"exponential", "weibull"}


def test_drifting_and_odd_times_are_pointed_at() -> None:
    """Times that drift are called dependent, one of four minutes among minutes is named, a grid is told."""
    luck = np.random.Generator(np.random.Philox(2)).random(40)
    drifting = [round(50 + i / 2 + 4 * u) for i, u in enumerate(luck.tolist())]
    text = " ".join(fit(drifting, shapes=["normal"], samples=19).cautions)
    assert "alike (correlation" in text and "written to 1 s" in text
    odd = [*drawn("normal", (60.0, 3.0), 30), 240.0]
    assert "240 s lies far from the others" in " ".join(fit(odd, shapes=["normal"], samples=19).cautions)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("seat_s,door_s\n50,60\n", "several columns of times; name one of 'seat_s' and 'door_s'"),
        ("seat\n50\n", "no column of times"),
    ],
)
def test_a_column_must_be_named_where_it_is_not_clear(tmp_path: Path, text: str, told: str) -> None:
    """Several columns with a unit, or none, are told with the headings that there are."""
    path = tmp_path / "times.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(WrongQuestionError, match=told):
        fit(path)


def test_units_of_the_heading_count(tmp_path: Path) -> None:
    """Minutes in the column are minutes; blanks are left out."""
    path = tmp_path / "times.csv"
    path.write_text("day,seat_min\n1,1.5\n2,\n3,0.5\n", encoding="utf-8")
    assert fit(path).times_s == (90.0, 30.0)


def test_wrong_questions_are_told(tmp_path: Path) -> None:
    """Words for times, unknown shapes, no times and impossible numbers of samples are refused."""
    path = tmp_path / "times.csv"
    path.write_text("seat_s\n50\nlong\n-1\n", encoding="utf-8")
    with pytest.raises(ScenarioError) as error:
        fit(path)
    assert [problem.code for problem in error.value.problems] == ["bad-number", "negative-time"]
    with pytest.raises(WrongQuestionError, match="'beta' is no shape"):
        fit([1.0, 2.0], shapes=["beta"])
    with pytest.raises(WrongQuestionError, match="at least one"):
        fit([])
    with pytest.raises(WrongQuestionError, match="19 to 9999"):
        fit([1.0, 2.0], samples=5)


def test_the_answer_repeats_and_carries_its_line(seats: Fit) -> None:
    """The same times give the same JSON, which holds the line; tables are the files of the command."""
    again = fit(list(seats.times_s), samples=59)
    assert again.to_json() == seats.to_json()
    assert json.loads(seats.to_json())["line"] == seats.line
    assert set(seats.files()) == {"data.csv", "shapes.csv", "quantiles.csv", "fit.json"}
