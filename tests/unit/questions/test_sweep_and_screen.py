"""`sweep` and `screen`: effects whose size is known, designs that say what they do not see."""

import math
from pathlib import Path

import numpy as np
import pytest

from linesim.answers.document import Document
from linesim.answers.measure import Measure
from linesim.answers.values import Change, Estimate
from linesim.errors import WrongQuestionError
from linesim.questions.compare import compare
from linesim.questions.screen import screen
from linesim.questions.sweep import sweep
from linesim.questions.sweep.effects import Responses, amount_of, slopes, steps
from linesim.questions.varying import Factor, factor_of, grid, hypercube, two_level
from linesim.runs.cost import CostOnly
from linesim.scenario import Scenario, load_text
from linesim.stats.comparisons import joint_confidence
from linesim.stats.designs import main_effects
from linesim.stats.intervals import mean_interval
from tests.commands.calls import LINE
from tests.unit.questions.crew.lines import SHARED

#: Jobs come once a minute and meet nobody, so the lead time is that of their work: A's two tasks run side by
#: side (the longer one counts), B's follows.
CALM = """\
takt = "60 s"
flow = ["one"]
[run]
length = "1 h"
replications = 3
[supply]
every = "60 s"
[section.one]
pacing = "free"
stations = ["A", "B"]
[crew.all]
people = 3
covers = ["A", "B"]
[station.A.task.left]
time = "10 s"
[station.A.task.right]
time = "10 s"
[station.B.task.close]
time = "6 s"
"""
RATE = (Measure("throughput"), "jobs/h")
LEFT = "station.A.task.left.time"
RIGHT = "station.A.task.right.time"
CLOSE = "station.B.task.close.time"
GRID = (f"{LEFT} = ['10 s', '20 s']", f"{RIGHT} = ['5 s', '10 s', '30 s']")


def changes(found: Document, table: str, column: str) -> dict[tuple[object, ...], Change]:
    """Return the changes of a table by what tells its rows apart."""
    keys = found.table(table).keys or ("case",)
    known = {tuple(row[key] for key in keys): row[column] for row in found.table(table)}
    return {key: change for key, change in known.items() if isinstance(change, Change)}


def in_seconds(found: Document, table: str = "effects") -> dict[tuple[object, ...], float]:
    """Return effects on a time in minutes as seconds."""
    return {key: (one.mean or 0.0) * 60 for key, one in changes(found, table, "effect").items()}


@pytest.fixture(scope="module")
def calm() -> Scenario:
    """Return the line whose lead times are known."""
    return load_text(CALM)


def test_a_grid_holds_what_every_combination_makes(calm: Scenario) -> None:
    """The lead time of each combination is max(left, right) + close, exactly."""
    found = sweep(
        calm,
        [f"{LEFT} = ['10 s', '20 s']", f"{RIGHT} = ['5 s', '10 s', '30 s']"],
        measure="lead_time",
        seed=1,
    )
    for row in found.table("against_base"):
        left, right = (float(str(row[name]).split()[0]) for name in (LEFT, RIGHT))
        change = row["difference"]
        assert isinstance(change, Change) and change.after is not None
        assert change.after * 60 == pytest.approx(max(left, right) + 6)
    assert len(found.table("cases")) == 6 * 6  # cases × (lead time, jobs per shift … right first time)


def test_a_range_is_widened_until_the_best_lies_inside() -> None:
    """Net money is most with two people for two tasks: from four and three it goes on to two and one."""
    line = load_text(SHARED)
    found = sweep(line, ["crew.pair.people = [4, 3]"], measure="net_money", widen=5, replications=2)
    tried = [row["crew.pair.people"] for row in found.table("against_base")]
    assert tried == ["4", "3", "2", "1"]
    assert any("crew.pair.people was widened to 2 and 1." in text for text in found.sentences)
    assert not any("end of a range" in text for text in found.sentences)
    assert "crew.pair.people = 2" in found.sentences[0]
    once = sweep(line, ["crew.pair.people = [4, 3]"], measure="net_money", widen=1, replications=2)
    assert len(once.table("against_base")) == 3
    assert any("2 is the least that was tried" in text for text in once.sentences)


def test_a_range_of_times_is_widened_down_to_nothing(calm: Scenario) -> None:
    """The shorter the better: 9 and 6 s go on to 3 and 0 s, no further; a spread of points has no step."""
    found = sweep(calm, [f"{CLOSE} = ['9 s', '6 s']"], measure="lead_time", widen=9, replications=2)
    assert [row[CLOSE] for row in found.table("against_base")] == ["9 s", "6 s", "3 s", "0 s"]
    with pytest.raises(WrongQuestionError, match="latin hypercube has no step"):
        sweep(calm, [f"{CLOSE} = ['6 s', '9 s']"], latin=4, widen=2)
    with pytest.raises(CostOnly) as told:
        sweep(calm, [f"{CLOSE} = ['6 s', '9 s']"], widen=3, only_cost=True)
    cost = told.value.cost  # three replications of each; 6 s is the line as it is
    assert (cost.least, cost.replications) == (3 * 2, 3 * (2 + 3))


def test_a_range_that_cannot_go_on_says_why(calm: Scenario) -> None:
    """A time below 0 cannot be, and the study that was run until then says so."""
    found = sweep(calm, [f"{CLOSE} = ['7 s', '4 s']"], measure="lead_time", widen=9, replications=2)
    assert [row[CLOSE] for row in found.table("against_base")] == ["7 s", "4 s", "1 s"]
    assert any('cannot be widened further: "-2 s" is negative' in text for text in found.sentences)


def test_steps_of_a_grid_are_averages_over_the_other_factors(calm: Scenario) -> None:
    """left 10 → 20 with right at 5, 10, 30 adds 10, 10 and 0 s: 6.67 s on average."""
    found = sweep(
        calm, [f"{LEFT} = ['10 s', '20 s']", f"{RIGHT} = ['5 s', '10 s', '30 s']"], measure="lead_time"
    )
    by_step = in_seconds(found)
    assert by_step[LEFT, "10 s", "20 s"] == pytest.approx(20 / 3)
    assert by_step[RIGHT, "5 s", "10 s"] == pytest.approx(0)
    assert by_step[RIGHT, "10 s", "30 s"] == pytest.approx((20 + 10) / 2)
    assert any("average over the others" in text for text in found.sentences)
    assert {one.comparisons for one in changes(found, "effects", "effect").values()} == {3}


def test_a_best_at_the_end_of_its_range_is_told_to_look_further(calm: Scenario) -> None:
    """The shortest of both times is best and the least tried; an end level with the next is none."""

    def told(found: Document) -> list[str]:
        return [text for text in found.sentences if "end of a range" in text]

    both = sweep(calm, [f"{LEFT} = ['10 s', '20 s']", f"{CLOSE} = ['6 s', '9 s']"], measure="lead_time")
    (said,) = told(both)
    assert f"{LEFT} = 10 s is the least that was tried" in said
    assert f"{CLOSE} = 6 s is the least" in said
    level = sweep(calm, [f"{LEFT} = ['20 s', '10 s', '5 s']"], measure="lead_time", replications=2)
    assert not told(level)  # 5 s is as good as 10 s
    plateau = sweep(calm, ["crew.all.people = [2, 3]"], measure="throughput", replications=2)
    assert not told(plateau)  # two people are as good as three: jobs come once a minute anyway
    none = sweep(calm, [f"{CLOSE} = ['0 s', '9 s']"], measure="lead_time", replications=2)
    assert not told(none)  # nothing is less than no time
    for without_order in (True, "quick"):
        with pytest.raises(ValueError, match=r"time|amounts"):
            amount_of(without_order)


def test_one_at_a_time_says_what_it_does_not_see(calm: Scenario) -> None:
    """Each change alone adds nothing or 10 s; the answer is labelled, with no effects of its own."""
    found = sweep(calm, [f"{LEFT} = ['20 s']", f"{RIGHT} = ['5 s']"], one_at_a_time=True, measure="lead_time")
    differences = changes(found, "against_base", "difference").values()
    assert [round((one.mean or 0.0) * 60, 6) for one in differences] == [10, 0]
    assert not len(found.table("effects"))
    assert any(text.startswith("One factor at a time: no interactions seen") for text in found.sentences)


def test_a_hypercube_recovers_a_straight_line(calm: Scenario) -> None:
    """close from 6 to 12 s adds exactly 6 s to the lead time, left below right adds nothing."""
    found = sweep(
        calm, [f"{CLOSE} = ['6 s', '12 s']", f"{LEFT} = ['2 s', '9 s']"],
        latin=6, measure="lead_time",
    )  # fmt: skip
    assert list(in_seconds(found).values()) == pytest.approx([6, 0], abs=1e-3)
    assert len(found.table("against_base")) == 6
    with pytest.raises(WrongQuestionError, match="tell 2 factors apart"):
        sweep(
            calm,
            [f"{CLOSE} = ['6 s', '12 s']", f"{LEFT} = ['2 s', '9 s']"],
            latin=2,
        )


def test_a_list_runs_its_rows(tmp_path: Path) -> None:
    """Each row is a case under its name, compared with the line as it is."""
    table = tmp_path / "cases.csv"
    table.write_text("case,takt,buffer.lane.capacity\nslow,66 s,\nroomy,,4\n", encoding="utf-8")
    found = sweep(load_text(LINE), table=table, replications=4)
    against = found.table("against_base")
    assert against.column("case") == ("slow", "roomy")
    assert changes(found, "against_base", "difference")["slow",].verdict == "lower"
    assert against.flat_columns[:3] == ("case", "takt", "buffer.lane.capacity")
    assert (against.row("slow")["takt"], against.row("slow")["buffer.lane.capacity"]) == ("66 s", None)
    assert any("ISO 11228-3" in caution for caution in found.cautions)


def test_a_value_that_is_there_already_is_the_line_as_it_is() -> None:
    """A point that changes nothing shows no difference in any replication."""
    found = sweep(load_text(LINE), {"buffer.lane.capacity": [2, 3]}, replications=3)
    first, _ = changes(found, "against_base", "difference").values()
    assert first.verdict == "the same"


def test_designs_that_cannot_be_are_refused(calm: Scenario) -> None:
    """Nothing to vary, a list beside factors, and no range for a hypercube."""
    with pytest.raises(WrongQuestionError, match="nothing is varied"):
        sweep(calm, [])
    with pytest.raises(WrongQuestionError, match="give the list"):
        sweep(calm, [f"{LEFT} = ['1 s']"], table="cases.csv")
    with pytest.raises(WrongQuestionError, match="not allowed with each other"):
        sweep(calm, [f"{LEFT} = ['1 s']"], latin=5, one_at_a_time=True)
    with pytest.raises(WrongQuestionError, match="two ends"):
        sweep(calm, [f"{LEFT} = ['1 s']"], latin=5)


# Screening


def test_screening_finds_main_effects_and_what_two_do_together(calm: Scenario) -> None:
    """max(left, right) + close at 10/20, 10/20 and 6/9 s: effects 5, 5 and 3 s, left × right -5 s."""
    found = screen(
        calm,
        [f"{LEFT} = ['10 s', '20 s']", f"{RIGHT} = ['10 s', '20 s']", f"{CLOSE} = ['6 s', '9 s']"],
        measure="lead_time",
    )
    effects = {key[0]: seconds for key, seconds in in_seconds(found).items()}
    assert effects == pytest.approx({LEFT: 5, RIGHT: 5, CLOSE: 3})
    assert found.table("effects").column("factor")[-1] == CLOSE
    pairs = {key[0]: seconds for key, seconds in in_seconds(found, "interactions").items()}
    assert pairs[f"{LEFT} × {RIGHT}"] == pytest.approx(-5)
    assert pairs[f"{LEFT} × {CLOSE}"] == pytest.approx(0)
    assert any(text.startswith("Not only the sum") for text in found.sentences)
    assert any(text.startswith("1. station.A.task") for text in found.sentences)


def test_five_factors_are_screened_in_sixteen_runs_without_mixing() -> None:
    """With noise the effects are those of the design worked out apart, corrected for their number."""
    lines = [
        "takt = ['58 s', '62 s']", "buffer.lane.capacity = [1, 3]", "crew.two.people = [1, 2]",
        "station.B.late = [0.1, 0.3]", "option.rack.take = [0.2, 0.6]",
    ]  # fmt: skip
    found = screen(load_text(LINE), lines, replications=4)
    design, _ = two_level([factor_of(line) for line in lines])
    assert len(design) == 16
    made = [row["mean"] for row in found.table("cases") if row["measure"] == Measure("jobs_per_shift")]
    table = np.array([[one.mean] for one in made if isinstance(one, Estimate)], dtype=float)
    by_hand = main_effects(design, table)
    by_name = {key[0]: one for key, one in changes(found, "effects", "effect").items()}
    names = [line.split(" =")[0] for line in lines]
    assert [by_name[name].mean for name in names] == pytest.approx([effect.mean for effect in by_hand])
    assert {one.confidence for one in by_name.values()} == {joint_confidence(0.95, 5)}
    assert by_name["buffer.lane.capacity"].verdict == "higher"
    sizes = [abs(one.mean or 0.0) for one in by_name.values()]
    assert sizes == sorted(sizes, reverse=True)
    assert any("16 runs of 5 factors" in text for text in found.sentences)


def test_where_nothing_matters_screening_says_so(calm: Scenario) -> None:
    """Tasks that are never the longer one have no effect, and no winner is named."""
    found = screen(calm, [f"{LEFT} = ['1 s', '2 s']", f"{RIGHT} = ['10 s', '10.0 s']"], measure="lead_time")
    assert found.sentences[0].startswith("No factor surely matters")


# The sums behind it, on numbers made up


def test_steps_by_hand() -> None:
    """Two factors, two replications, every average worked out on paper."""
    factors = [Factor(("a",), (1, 2)), Factor(("b",), (1, 2))]
    table = np.array([[1.0, 2.0], [3.0, 5.0], [11.0, 13.0], [17.0, 19.0]])  # a1b1, a1b2, a2b1, a2b2
    a, b = steps(factors, grid(factors), Responses(*RATE, table, 0.95))
    assert a.effect.mean == pytest.approx(((14 - 2) + (16 - 3.5)) / 2)
    assert b.effect.mean == pytest.approx(((10 - 6) + (12 - 7.5)) / 2)
    expected = mean_interval([12.0, 12.5], joint_confidence(0.95, 2))
    assert (a.effect.low, a.effect.high) == (expected.low, expected.high)


def test_slopes_cover_a_noisy_line() -> None:
    """Of 300 made-up studies of y = 3 a - 2 b + luck, some 95 % have both slopes in their intervals.

    Binomial with p >= 0.95: fewer than 0.90 * 300 would come by chance once in more than 1,000 studies.
    """
    factors = [Factor(("a",), (0.0, 1.0)), Factor(("b",), (10.0, 20.0))]
    points = hypercube(factors, 8, seed=2)
    place = np.array([[a, (b - 10) / 10] for (_, a), (_, b) in (point.levels for point in points)])
    luck = np.random.Generator(np.random.Philox(11))
    inside = 0
    for _ in range(300):
        common = luck.standard_normal(6)  # what all points of a replication share
        table = (place @ [3.0, -2.0])[:, None] + common + 0.5 * luck.standard_normal((8, 6))
        a, b = (one.effect for one in slopes(factors, points, Responses(*RATE, table, 0.95)))
        assert a.low is not None and a.high is not None and b.low is not None and b.high is not None
        inside += a.low <= 3 <= a.high and b.low <= -2 <= b.high
    assert inside >= 270
    assert math.isclose(
        slopes(factors, points, Responses(*RATE, (place @ [3.0, -2.0])[:, None], 0.95))[0].effect.mean or 0.0,
        3.0,
    )


#: Two stations of a moving section, slow enough to stop it; people and minutes of stop have a price.
PRICED = """\
takt = "60 s"
flow = ["line"]
[run]
length = "2 h"
shift = "1 h"
replications = 3
[section.line]
pacing = "moving"
stations = ["A", "B"]
[crew.a]
people = 1
covers = ["A"]
[crew.b]
people = 1
covers = ["B"]
[station.A.task.fit]
time = { mean = "55 s", cv = 0.2 }
crew = "a"
[station.B.task.test]
time = { mean = "55 s", cv = 0.2 }
crew = "b"
[cost]
margin_per_job = 10
stop_minute = 5
operator_per_shift = 40
currency = "EUR"
"""
CREWS = ("crew.a.people = [1, 2]", "crew.b.people = [1, 2]")


def test_effects_on_money_are_told_in_money() -> None:
    """A second person in each crew changes nothing but the wages here: 40 less in every design."""
    line = load_text(PRICED)
    by_steps = sweep(line, CREWS, measure="net_money")
    by_contrasts = screen(line, CREWS, measure="net_money")
    for found in (by_steps, by_contrasts):
        effects = list(changes(found, "effects", "effect").values())
        assert [(one.mean, one.low, one.high) for one in effects] == [(-40, -40, -40)] * 2
        assert {(one.unit, one.currency) for one in effects} == {("EUR/shift", "EUR")}
        assert "EUR 40 less net money a shift (each time)" in " ".join(found.sentences)
    by_points = sweep(line, CREWS, latin=5, measure="net_money")
    assert {one.currency for one in changes(by_points, "effects", "effect").values()} == {"EUR"}


def test_stops_of_a_screen_are_paid_against_the_line_as_it_is() -> None:
    """Screen and sweep count priced stops against the same line, and so find the same effects."""
    line = load_text(PRICED)
    times = tuple(f"station.{place}.time.mean = ['50 s', '58 s']" for place in ("A.task.fit", "B.task.test"))
    found = screen(line, times, measure="net_money")
    assert found.card.cases[0].name == "as it is"
    grid_of = changes(sweep(line, times, measure="net_money"), "effects", "effect")
    for key, one in changes(found, "effects", "effect").items():
        assert one.mean == pytest.approx(grid_of[key].mean)
    assert "as it is" not in found.table("cases").column("case")
    without = screen(line, times, measure="throughput")
    assert len(without.card.cases) == len(found.card.cases) - 1


def test_a_comparison_by_money_is_told_in_money() -> None:
    """Compare gives net money with its currency, and its parts as rows that add up to it."""
    found = compare(load_text(PRICED), {"more": {"crew.a.people": 2}}, measure="net_money")
    gain = {
        row["measure"].cause: row["difference"].mean
        for row in found.table("differences")
        if row["measure"].measure == "net_money"
    }
    assert gain == {"": -40, "jobs": 0, "stops": 0, "people": -40}
    assert "EUR 40 less net money a shift (each time)" in found.sentences[0]
