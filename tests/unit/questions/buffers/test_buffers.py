"""`buffers`: answers that are known, in tables and in words."""

import json

import pytest

from linesim.answers.document import Document
from linesim.errors import WrongQuestionError
from linesim.questions.buffers import BuffersQuestion, buffers
from linesim.scenario import load_text
from tests.unit.questions.buffers.lines import LOOP, exponential, row

STEADY = row(["'600 s'"] * 3, [1, 3])
ROUGH = row([exponential(480), exponential(600), exponential(720)], [1, 1], length="3 shifts")


PRICES = """
[cost]
margin_per_job = 100
buffer_place_per_shift = 20
equipment = { B2 = 30 }
currency = "EUR"
"""


@pytest.fixture(scope="module")
def best() -> Document:
    """Split four places over two buffers, which have prices."""
    return buffers(load_text(ROUGH + PRICES), places=4, replications=7)


@pytest.fixture(scope="module")
def rough() -> Document:
    """Draw the curves of a line where places help."""
    return buffers(load_text(ROUGH))


def test_where_nothing_varies_no_place_brings_anything() -> None:
    """A line of equal, constant times makes 48 jobs a shift with any places, and the answer says so."""
    answer = buffers(load_text(STEADY))
    assert {point["level"].mean for point in answer.table("curve")} == {48.0}
    assert {step["gain"].mean for step in answer.table("steps")} == {0.0}
    said = " ".join(answer.sentences)
    assert said.startswith("The line makes 48 jobs a shift.")
    assert "B1: more places bring nothing that matters, even endless ones" in said
    assert "Its 3 places bring nothing that matters against none" in said
    # Two limits and the line as it is for each buffer, and for both together: nothing called for more.
    assert {len(answer.card.cases)} == {7}


def test_limits_enclose_the_curve(rough: Document) -> None:
    """None, now and endless places make ever more; the gain of all buffers bounds that of each."""
    curve = {(p["buffer"], p["places"]): p["level"].mean for p in rough.table("curve")}
    assert curve["", "least"] < curve["B1", "0"] < curve["", "now"] < curve["B1", "endless"]
    assert curve["B1", "endless"] <= curve["", "endless"]
    assert curve["B2", "endless"] <= curve["", "endless"]


def test_steps_add_up(rough: Document) -> None:
    """What single places add sums to what all of them do, as pairs of the same replications must."""
    steps = [s for s in rough.table("steps") if s["buffer"] == "B2"]
    whole = next(s for s in steps if s["from_places"] == "1" and s["to_places"] == "endless")
    start, total = "1", 0.0
    while start != "endless":
        step = next(s for s in steps if s["from_places"] == start and s is not whole)
        start, total = step["to_places"], total + step["gain"].mean
    assert total == pytest.approx(whole["gain"].mean)
    counted = next(s for s in steps if s["places_added"] == 2)
    assert counted["per_place"].mean == pytest.approx(counted["gain"].mean / 2)


def test_intervals_hold_together(rough: Document) -> None:
    """Every step counts all steps among its comparisons, and the sentence gives their number."""
    steps = rough.table("steps")
    assert {step["gain"].comparisons for step in steps} == {len(steps)}
    assert f"All {len(steps)} differences hold together with 95 % confidence." in rough.sentences


def test_the_most_promising_buffer_is_named_first(rough: Document) -> None:
    """The buffer before the slow machine brings more, and its sentence comes before the other's."""
    at = [i for name in ("B2", "B1") for i, text in enumerate(rough.sentences) if text.startswith(name)]
    assert at == sorted(at)
    assert "endless places would bring" in rough.sentences[at[0]]


def test_a_worth_of_a_place_turns_helps_into_pays() -> None:
    """With a price on places the verdict is whether they pay; a place that adds less does not."""
    answer = buffers(load_text(ROUGH), worth=50.0, only=["B1"])
    assert set(answer.table("steps").column("verdict")) == {"does not pay"}


def test_the_best_split_is_told_with_its_gain_and_its_promise(best: Document) -> None:
    """Four places: fewer after the fast machine, more before the slow one; told from fresh replications."""
    assert best.table("best").column("split") == ("1-3", "1-1")
    assert best.table("splits").row("1-3")["fate"] == "chosen"
    assert best.sentences[0].startswith("Best split of 4 places: 1 at B1 and 3 at B2. The line makes")
    assert "Against the present 2 places, 1 at B1 and 1 at B2, that is" in best.sentences[1]
    assert "all 5 were compared" in " ".join(best.sentences)
    used = max(split["makes"].n for split in best.table("splits"))
    assert max(case.replications for case in best.card.cases) > used


def test_the_table_of_splits_says_no_more_than_the_sentence(best: Document) -> None:
    """Of a split that was dropped the table says what was shown: that it is not better by what matters."""
    table = best.table("splits")
    assert set(table.column("fate")) <= {"chosen", "level", "not better"}
    assert "no other split makes 0.2 jobs a shift more" in " ".join(best.sentences)
    assert "surely not by 0.2" in table.says


def test_the_figure_of_the_best_split_says_where_it_comes_from(best: Document) -> None:
    """The sentence and the table of the decision have different replications, and both say so."""
    assert "in 7 replications that took no part in the choice" in best.sentences[0]
    assert "7 further replications that took no part" in best.table("splits").says


def test_the_best_split_is_told_in_money(best: Document) -> None:
    """Two places more at the buffer with a price of its own: the sentence has net money and its parts."""
    row = best.table("money").row("1-3")
    assert row["from_equipment"].mean == -60
    assert row["net"].mean == pytest.approx(row["from_jobs"].mean - 60)
    assert best.sentences[2].startswith("In money that is +EUR")
    assert best.sentences[2].endswith("from jobs and -EUR 60 from equipment.")


def test_the_present_split_may_be_the_best() -> None:
    """Where the places stand right the answer says so and compares it with nothing."""
    balanced = row([exponential(600)] * 3, [2, 2], length="3 shifts")
    answer = buffers(load_text(balanced), places=4)
    assert "That is how the places stand now." in answer.sentences
    assert len(answer.table("best")) == 1


def test_splits_that_differ_by_less_than_matters_are_not_ranked() -> None:
    """Mirror images do the same: the one that was not chosen is called level."""
    balanced = row([exponential(600)] * 3, [0, 0], length="3 shifts")
    answer = buffers(load_text(balanced), places=1, min_effect=2.0)
    assert any(text.startswith("Level with it, within what matters:") for text in answer.sentences)


def test_an_open_choice_says_what_it_would_take() -> None:
    """With too few replications nothing is promised, and the answer says how many it takes."""
    balanced = row([exponential(600)] * 3, [0, 0], length="1 shift")
    answer = buffers(load_text(balanced), places=1, min_effect=0.01, max_replications=10)
    said = " ".join(answer.sentences)
    assert "Can't tell between 2 splits after 10 replications: 0-1 and 1-0" in said
    assert "With 95 % confidence" not in said


def test_the_fewest_places_for_a_share() -> None:
    """The share found is reached on average, and with one place less it is not."""
    answer = buffers(load_text(ROUGH), share=0.85)
    enough, less = (answer.table("fewest").row(what) for what in ("fewest", "one less"))
    assert enough["share"].mean >= 0.85 > less["share"].mean
    assert less["places"] == enough["places"] - 1
    assert "85 % of what endless buffers would give" in answer.sentences[0]


@pytest.fixture(scope="module")
def priced() -> Document:
    """Draw the curves of the same line with prices."""
    return buffers(load_text(ROUGH + PRICES))


def test_money_of_places_splits_into_jobs_and_equipment(priced: Document, rough: Document) -> None:
    """Jobs at their margin less the price of each place, by name or of its kind: the sum of its parts."""
    assert not len(rough.table("money"))
    gains = {(s["buffer"], s["to_places"]): s["gain"].mean for s in rough.table("steps")
             if s["from_places"] == "1"}  # fmt: skip
    for buffer, price in (("B1", 20), ("B2", 30)):
        row = priced.table("money").row(f"{buffer} 2")
        assert row["from_equipment"].mean == -price
        assert row["from_jobs"].mean == pytest.approx(100 * gains[buffer, "2"])
        assert row["net"].mean == pytest.approx(row["from_jobs"].mean - price)
        assert row["net"].currency == "EUR"
    (said,) = [text for text in priced.sentences if text.startswith("B2")]
    assert "2 places would bring +EUR" in said and "from jobs and -EUR 30 from equipment." in said
    assert any("price of a place, at B1 and B2" in text for text in priced.cautions)


def test_endless_places_cost_what_the_present_ones_do(priced: Document) -> None:
    """Nobody pays for endless places: by net money they bring what their jobs do, told with the currency."""
    answer = buffers(load_text(ROUGH + PRICES), measure="net_money", only=["B2"])
    by_money, by_jobs = (
        one.table("steps").row("B2", "1", "endless")["gain"].mean for one in (answer, priced)
    )
    assert by_money == pytest.approx(100 * by_jobs)
    assert answer.sentences[0].startswith("The line makes EUR 3,")
    few = buffers(load_text(ROUGH + PRICES), places=2, measure="net_money", max_replications=10)
    assert "EUR 20 net money a shift" in " ".join(few.sentences)


def test_a_line_that_comes_to_a_stand_is_told_not_ranked() -> None:
    """Too few places in a loop stop the line for good: it makes nothing then, and a caution says why."""
    answer = buffers(load_text(LOOP))
    assert any(
        text.startswith("With 1 at lane the line comes to a stand for good") for text in answer.cautions
    )
    curve = {p["places"]: p["level"].mean for p in answer.table("curve") if p["buffer"] == "lane"}
    assert curve["1"] == 0
    assert curve["20"] > 200


def test_the_answer_is_the_same_with_workers() -> None:
    """Two processes give the same bytes as none."""
    scenario = load_text(row([exponential(600)] * 2, [1]))
    assert buffers(scenario, workers=2).to_json() == buffers(scenario).to_json()


def test_the_answer_can_be_read_by_programs_and_notebooks(rough: Document) -> None:
    """JSON holds every table, the notebook form is HTML, and the tables are frames."""
    known = json.loads(rough.to_json())
    assert known["study"] == "buffers"
    assert set(known["tables"]) == {"where", "curve", "steps", "money"}
    assert "<table>" in rough._repr_html_()
    assert list(rough.table("where").frame["buffer"]) == ["B1", "B2"]


def test_one_replication_makes_no_claim() -> None:
    """One replication has no interval, and the answer says that first things come first."""
    answer = buffers(load_text(ROUGH), replications=1, only=["B1"])
    assert answer.sentences[-1].startswith("One replication has no interval")
    assert {step["gain"].low for step in answer.table("steps")} == {None}


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"only": ["B9"]}, "'B9' is not a buffer"),
        ({"share": 1.5}, "a share such as 0.98"),
        ({"measure": "lead_time"}, "more is better"),
        ({"measure": "loudness"}, "names no measure"),
        ({"measure": "net_money", "share": 0.9}, "may be less than nothing"),
        ({"min_effect": 0.0}, "a number such as 0.5"),
    ],
)
def test_what_cannot_be_asked_is_told(asked: dict[str, object], says: str) -> None:
    """Wrong questions are refused with what would be right."""
    with pytest.raises(WrongQuestionError, match=says):
        buffers(load_text(STEADY), **asked)  # type: ignore[arg-type]


def test_places_that_must_be_there_are_counted() -> None:
    """Fewer places than rejoining jobs need are refused."""
    with pytest.raises(WrongQuestionError, match="0 places are too few"):
        buffers(load_text(LOOP), places=0)


def test_what_matters_is_a_round_number() -> None:
    """Half a percent of what the line makes, to one digit; what was asked for stays as it is."""
    asked = BuffersQuestion()
    assert asked.matters(118.4) == 0.6
    assert asked.matters(-5.78) == 0.03
    assert asked.matters(0) > 0
    assert BuffersQuestion(min_effect=0.25).matters(118.4) == 0.25
