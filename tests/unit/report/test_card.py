"""The decision of an answer: what is best in jobs, against the plan, in money; its card, its selectors."""

import json
import math
from dataclasses import replace

import pytest

from linesim.answers.decision import CaseChoice, CaseDecision
from linesim.answers.document import Document
from linesim.answers.measure import OUTPUT, Measure
from linesim.answers.values import Change, Estimate
from linesim.errors import LinesimError
from linesim.questions.compare import compare
from linesim.questions.decision import decision_of
from linesim.questions.sweep import sweep
from linesim.report.card import _first_sentence, card_of, chance_in_words, squares
from linesim.report.html import embedded
from linesim.report.page import card_page
from linesim.report.what_if import what_if
from tests.unit.report.small import small_result, small_scenario

PRICES = {"cost.margin_per_job": 90, "cost.operator_per_shift": 160, "cost.stop_minute": 20}


@pytest.fixture(scope="module")
def answer() -> Document:
    """Ask what another person and more places do to the small line, with prices."""
    line = small_scenario().replace(PRICES)
    more = {"crew.belt.people": 3, "buffer.lane.capacity": 5}
    cases = {"slow": {"takt": "75 s"}, "crew.belt.people = 3": more}
    return compare(line, cases, replications=4)


def decided(answer: Document) -> CaseDecision:
    """Return what an answer decides."""
    assert answer.decision is not None
    return answer.decision


def test_a_decision_says_what_the_tables_say(answer: Document) -> None:
    """Change, level and plan of a choice are those of the answer's own tables, and so is the verdict."""
    found = decided(answer)
    assert [one.name for one in found.choices] == ["slow", "crew.belt.people = 3"]
    assert found.best == "crew.belt.people = 3" and found.target == 55
    for one in found.choices:
        assert one.change == answer.table("differences").row(one.name, OUTPUT)["difference"]
        met = answer.table("levels").row(one.name, Measure("plan_met"))["mean"]
        assert isinstance(met, Estimate) and one.met is not None and one.met.mean == met.mean
    slow, more = (replace(found, best=one.name) for one in found.choices)
    assert slow.verdict == "worse" and slow.makes_plan == "no"
    assert more.verdict in ("better", "can't tell")


def test_other_prices_come_from_kept_moments(answer: Document) -> None:
    """Amounts kept of a choice give its net money at the file's prices, and the spread of it."""
    for one in decided(answer).choices:
        net, moments = one.worth(), one.moments
        assert isinstance(net, Change) and net.mean is not None and net.sd is not None and moments is not None
        by = (90.0, 1.0, -160.0, 1.0)
        assert sum(a * b for a, b in zip(by, moments.means, strict=True)) == pytest.approx(net.mean)
        spread = sum(by[i] * by[k] * moments.covariance[i][k] for i in range(4) for k in range(4))
        assert math.sqrt(max(0.0, spread)) == pytest.approx(net.sd, abs=1e-6)


def test_a_decision_survives_its_json(answer: Document) -> None:
    """Written and read back, a decision is the same, and so is the card made of it."""
    again = Document.from_dict(json.loads(answer.to_json()), answer.card)
    assert again.decision == answer.decision
    assert card_page(again) == card_page(answer)


def test_a_run_decides_about_the_plan() -> None:
    """A run has nothing to choose: it says whether its plan is made, and what would tell more."""
    found = decision_of(small_result(), small_scenario())
    assert found.chosen is None and found.verdict.startswith("plan: ")
    card = card_of(found, "What?", "It makes some.", ())
    assert card.chart is None and len(card.figures) == 1 and "replications" in card.surer
    assert what_if(found) is None


def estimate(mean: float, low: float | None = None, high: float | None = None) -> Estimate:
    """Return a share."""
    return Estimate(mean, low, high, n=5, unit="share")


def test_a_hundred_squares_are_a_hundred() -> None:
    """Full and open squares make a hundred; those within the interval are marked, no others."""
    found = squares(estimate(0.325, 0.214, 0.558))
    assert found.full.count("z") == 32 and found.rest.count("z") == 68
    assert found.marked.count("z") == 56 - 21
    assert found.says == "about 3 shifts in 10 (32 %, 21 to 56)"
    assert squares(estimate(0.5)).marked == ""


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "hardly any shift"),
        (0.1, "about 1 shift in 10"),
        (0.62, "about 6 shifts in 10"),
        (1.0, "nearly every shift"),
    ],
)
def test_a_chance_is_said_in_tens(share: float, words: str) -> None:
    """A chance is so many shifts in ten."""
    assert chance_in_words(estimate(share)) == words


@pytest.mark.parametrize(
    ("met", "makes"),
    [
        ((0.9, 0.7, 0.97), "yes"),
        ((0.2, 0.1, 0.4), "no"),
        ((0.5, 0.3, 0.7), "can't tell"),
        ((0.9,), "can't tell"),
    ],
)
def test_the_plan_is_made_in_most_shifts_or_not(met: tuple[float, ...], makes: str) -> None:
    """The plan is made where surely more than half of the shifts make it."""
    decision = CaseDecision(OUTPUT, CaseChoice("as it is", Estimate(100.0), met=estimate(*met)), target=100)
    assert decision.makes_plan == makes


def test_a_card_needs_a_decision() -> None:
    """An answer that decides nothing has no card, and says so."""
    line = small_scenario()
    found = replace(compare(line, {"two more": {"buffer.lane.capacity": 5}}, replications=2), decision=None)
    with pytest.raises(LinesimError, match="no card"):
        card_page(found)


FACTORS = ("buffer.lane.capacity = [1, 3]", "crew.belt.people = [1, 2]")


def test_selectors_hold_what_the_study_stored() -> None:
    """Behind the selectors lies each case of a grid; they begin with the line as it is."""
    answer = sweep(small_scenario(), FACTORS, replications=3)
    found = what_if(decided(answer))
    assert found is not None
    assert found.factors == (("places in lane", ("1", "3"), "3"), ("people in belt crew", ("1", "2"), "2"))
    data = json.loads(found.data)
    assert [case["levels"] for case in data["choices"]] == [["1", "1"], ["1", "2"], ["3", "1"], ["3", "2"]]
    changes = answer.table("against_base").column("difference")
    for case, change in zip(data["choices"], changes, strict=True):
        assert isinstance(change, Change) and change.mean is not None
        assert float(case["change"][0]) == pytest.approx(change.mean, abs=0.51)
        assert case["change"][1].endswith(change.verdict)
    low, high = data["span"]
    assert all(low <= end <= high for case in data["choices"] for end in case["at"])


def test_cases_that_are_no_grid_are_chosen_by_name() -> None:
    """Where not every combination was run, cases are chosen as a whole, in words."""
    found = what_if(decided(sweep(small_scenario(), FACTORS, one_at_a_time=True, replications=2)))
    assert found is not None
    ((name, cases, first),) = found.factors
    assert name == "choice" and len(cases) == 4 and first in cases
    assert "lane: 1 place" in cases
    assert json.loads(found.data)["factors"] == []


@pytest.mark.parametrize("text", ["</script><b>", "<!--", "&amp;", "a\u2028b", "\\", '"'])
def test_embedded_data_ends_nothing(text: str) -> None:
    """Data inside the page reads back as it was and holds no letter that could end its element."""
    found = embedded({"name": text})
    assert json.loads(found) == {"name": text}
    assert not set(found) & set("<>&\u2028\u2029")


def test_embedded_data_must_be_finite() -> None:
    """A number that JSON does not know is refused instead of breaking the page."""
    with pytest.raises(ValueError, match="JSON"):
        embedded(math.nan)


def test_a_caution_is_told_as_a_whole_sentence() -> None:
    """Of a long caution one side shows the first sentence, to its end, without the places in brackets."""
    caution = (
        "Who does how much work changes (people in cab crew): look into the load. Nothing here clears it."
    )
    assert _first_sentence(caution) == "Who does how much work changes: look into the load."
