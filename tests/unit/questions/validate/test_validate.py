"""`validate`: how often it is wrong, what it sees, and what it says of where to look."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest

from linesim.answers.document import Document
from linesim.answers.values import Estimate
from linesim.errors import WrongQuestionError
from linesim.questions.validate import validate
from linesim.questions.validate.judged import (
    ALIKE,
    CANT_TELL,
    JOBS,
    PLAUSIBLE,
    REWORKED,
    STEADY,
    STOPS,
    TOO_BAD,
    TOO_GOOD,
    WILD,
    RecordColumn,
    judge,
)
from linesim.report.document import document_pieces
from linesim.report.figure import Figure
from linesim.runs.simulation import simulate
from linesim.scenario import load_text
from tests.commands.calls import LINE

STUDIES = 1000


def records(values: np.ndarray, kind: str = JOBS) -> RecordColumn:
    """Return shift records of one figure."""
    shifts = tuple(f"shift {i}" for i in range(len(values)))
    return RecordColumn(kind, kind, "back" if kind == STOPS else "", tuple(values.tolist()), shifts)


def verdicts(
    off: float, *, spread: float = 4.0, kind: str = JOBS, seed: int = 3, shape: tuple[int, int] = (20, 5)
) -> list[tuple[str, str]]:
    """Return verdicts of invented studies: a line of 100 ± 4 against 25 shifts of a plant that is off."""
    luck = np.random.Generator(np.random.Philox(seed))
    found = []
    for _ in range(STUDIES):
        line = 100 + 4 * luck.standard_normal(shape)
        plant = 100 - off + spread * luck.standard_normal(25)
        judged = judge(records(plant, kind), line, within=0.001, confidence=0.95, comparisons=1)
        found.append((judged.verdict, judged.scatter))
    return found


def share(found: list[tuple[str, str]], place: int, *wanted: str) -> float:
    """Return how often one of some verdicts was given."""
    return float(np.mean([row[place] in wanted for row in found]))


def test_a_line_like_its_plant_is_rarely_called_off() -> None:
    """With no difference at all 5 % of studies are called off: of 1,000 at most 8.1 %, once in 100,000."""
    found = verdicts(0.0)
    assert 0.02 < share(found, 0, TOO_GOOD, TOO_BAD) < 0.081
    assert share(found, 1, STEADY, WILD) < 0.081


@pytest.mark.parametrize("shape", [(3, 1), (2, 3), (4, 5)])
def test_few_simulated_shifts_call_no_scatter_wrong(shape: tuple[int, int]) -> None:
    """With 3, 6 or 20 simulated shifts, too, at most 8.1 % of 1,000 right lines are called off."""
    assert share(verdicts(0.0, shape=shape), 1, STEADY, WILD) < 0.081


def test_a_line_that_is_off_is_seen_on_its_side() -> None:
    """A line that makes 4 jobs too many is too good; with 4 minutes of stop too many it is too bad."""
    assert share(verdicts(4.0), 0, TOO_GOOD) > 0.9
    assert share(verdicts(-4.0), 0, TOO_BAD) > 0.9
    assert share(verdicts(4.0, kind=STOPS), 0, TOO_BAD) > 0.9
    assert share(verdicts(-4.0, kind=REWORKED), 0, TOO_GOOD) > 0.9


def test_a_scatter_that_is_off_is_seen() -> None:
    """A plant that scatters three times as much makes the line too steady, a tenth as much too unsteady."""
    assert share(verdicts(0.0, spread=12.0), 1, STEADY) > 0.9
    assert share(verdicts(0.0, spread=0.4), 1, WILD) > 0.9


def test_what_does_not_matter_is_plausible_and_what_could_hide_is_told() -> None:
    """A sure difference of 1 % is plausible within 2 %; three wild shifts could hide anything."""
    steady = np.array([100.0, 100.2, 99.8, 100.1, 99.9] * 6)
    line = 101 + np.array([[0.1, -0.1, 0.0, 0.2, -0.2]] * 8) + np.linspace(-0.1, 0.1, 8)[:, None]
    judged = judge(records(steady), line, within=0.02, confidence=0.95, comparisons=1)
    assert judged.verdict == PLAUSIBLE and judged.difference.sign > 0
    few = judge(records(np.array([80.0, 100.0, 125.0])), line, within=0.02, confidence=0.95, comparisons=1)
    assert few.verdict == CANT_TELL and few.could_hide is not None and few.could_hide > 20


def test_one_shift_or_one_replication_tells_nothing() -> None:
    """Without a spread on either side there is no interval and no verdict."""
    line = np.array([[100.0, 101.0]])
    alone = judge(records(np.array([90.0] * 5)), line, within=0.02, confidence=0.95, comparisons=1)
    assert alone.difference.low is None and alone.verdict == CANT_TELL
    one = judge(
        records(np.array([90.0])), np.repeat(line, 3, axis=0), within=0.02, confidence=0.95, comparisons=1
    )
    assert one.verdict == CANT_TELL and one.scatter == ""


# The study


@pytest.fixture(scope="module")
def shifts() -> dict[str, list[float]]:
    """Return shifts of the small line of another seed, as a plant would have recorded them."""
    result = simulate(load_text(LINE), replications=12, seed=77)
    found = [shift for replication in result.replications for shift in replication.shifts]
    back = result.run.sections.index("back")
    return {
        "jobs": [shift.jobs for shift in found],
        "stop_min": [shift.stop_min[back] for shift in found],
        "reworked": [shift.reworked for shift in found],
    }


def said(answer: Document) -> str:
    """Return everything that an answer says."""
    return " ".join([*answer.sentences, *answer.cautions])


def test_a_line_against_its_own_shifts_is_plausible_and_never_valid(shifts: dict[str, list[float]]) -> None:
    """The same line with other luck is plausible in its output; the word valid is never used of it."""
    found = validate(load_text(LINE), {"jobs": shifts["jobs"]}, within=0.03)
    row = found.table("figures").row("jobs")
    assert (row["verdict"], row["scatter"]) == (PLAUSIBLE, ALIKE)
    assert "plausible in jobs a shift" in found.sentences[0] and "no proof" in found.sentences[0]
    assert not re.search(r"\bvalid\b", said(found))


def test_a_plant_that_makes_less_and_stops_more(shifts: dict[str, list[float]]) -> None:
    """Six jobs fewer and six minutes of stop more a shift: too good, and the minutes are turned into jobs."""
    plant = {
        "jobs": [jobs - 6 for jobs in shifts["jobs"]],
        "stop_min": [minutes + 6 for minutes in shifts["stop_min"]],
    }
    found = validate(load_text(LINE), plant, must_hold=True)
    assert found.is_refusal and set(found.table("figures").column("verdict")) == {TOO_GOOD}
    assert "jobs a shift too good and stop minutes in back too good" in found.sentences[0]
    text = said(found)
    assert "6 min are" in text or "5 min are" in text  # at a takt of a minute a minute is a job
    assert "Too few stops in back" in text


def test_output_that_agrees_for_the_wrong_reason_is_told(shifts: dict[str, list[float]]) -> None:
    """The same jobs but many more stop minutes: the answer warns of two errors that hide each other."""
    plant = {"jobs": shifts["jobs"], "stop_min": [minutes + 15 for minutes in shifts["stop_min"]]}
    found = validate(load_text(LINE), plant, within=0.03)
    assert found.table("figures").column("verdict") == (PLAUSIBLE, TOO_GOOD)
    assert "two errors may be hiding each other" in said(found)


def test_a_line_that_stops_too_much_is_shown_where(shifts: dict[str, list[float]]) -> None:
    """Fewer stops in the plant: the section's largest stop is named with its place and cause."""
    plant = {"stop_min": [minutes / 10 for minutes in shifts["stop_min"]]}
    found = validate(load_text(LINE), plant)
    assert not found.is_refusal and found.table("figures").row("stop_min")["verdict"] == TOO_BAD
    assert re.search(r"Too many stops in back: the largest are at (B|C|back)", said(found))


def test_odd_and_dependent_shifts_are_pointed_at(shifts: dict[str, list[float]]) -> None:
    """A half shift is named, drifting records are called dependent, few of them few."""
    drifting = [50 + 0.3 * i + (i % 3) for i in range(30)]
    assert "alike (correlation" in said(validate(load_text(LINE), {"jobs": drifting}, replications=2))
    found = validate(load_text(LINE), {"jobs": [50, 51, 49, 50, 52, 20]}, replications=2)
    assert "shift 6 (20)" in said(found) and "6 shifts of the plant are few" in said(found)


def test_wrong_questions_are_told() -> None:
    """A run without a whole shift and an impossible share are refused."""
    short = load_text(LINE.replace('length       = "3 h"', 'length       = "30 min"'))
    with pytest.raises(WrongQuestionError, match="no whole shift"):
        validate(short, {"jobs": [50, 51]}, replications=1)
    with pytest.raises(WrongQuestionError, match=r"within: found 0\.0; write a share such as 2%"):
        validate(load_text(LINE), {"jobs": [50, 51]}, within=0.0)


def test_the_answer_repeats_byte_for_byte(shifts: dict[str, list[float]]) -> None:
    """The same records, scenario and seed give the same JSON, and a row for every shift."""
    one, other = (validate(load_text(LINE), shifts, replications=3) for _ in range(2))
    assert one.to_json() == other.to_json()
    assert len(one.table("shifts")) == 3 * len(shifts["jobs"])
    assert set(one.files()) == {"figures.csv", "shifts.csv", "validate.json"}


def test_shifts_of_the_plant_are_counted_against_the_band(shifts: dict[str, list[float]]) -> None:
    """A drawing says how many of the plant's shifts lie within the range of simulated ones, ends included."""
    found = validate(load_text(LINE), {"jobs": shifts["jobs"]}, replications=3)
    row = found.table("figures").row("jobs")
    band = row["singles"]
    assert isinstance(band, Estimate) and band.low is not None and band.high is not None
    inside = sum(band.low <= jobs <= band.high for jobs in shifts["jobs"])
    assert row["plant_shifts_inside"] == inside > 0
    (drawn,) = (piece for piece in document_pieces(found) if isinstance(piece, Figure))
    assert f"jobs: {inside} of {len(shifts['jobs'])}" in drawn.says
    assert len(drawn.table.rows) == len(shifts["jobs"])
    again = Document.from_dict(json.loads(found.to_json()), found.card)
    assert [p for p in document_pieces(again) if isinstance(p, Figure)] == [drawn]
