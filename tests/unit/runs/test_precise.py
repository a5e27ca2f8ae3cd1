"""Sequential replications stop where the rule on the values stops, whoever ran how many at a time."""

import numpy as np
import pytest

from linesim.answers.card import Convergence, Goal, Look, convergences_in_words
from linesim.errors import LinesimError
from linesim.runs.cases import Case, run_cases
from linesim.runs.precise import run_until_precise
from linesim.runs.simulation import simulate
from linesim.stats.precision import enough_replications
from tests.unit.runs.shop import line

GOAL = Goal(0.02, "throughput")
BASE = Case("base", line())
WIDE = Case("wide", line("station.A.task.fit.time.cv = 1.5"))


def test_it_stops_where_the_rule_stops() -> None:
    """The replications used are those after which the published rule, fed one by one, says enough."""
    result = simulate(BASE.scenario, goal=GOAL)
    many = np.array(simulate(BASE.scenario, replications=60).values("throughput"))
    used = next(n for n in range(1, 61) if enough_replications(many[:n], 0.02).enough is not None)
    found = enough_replications(many[:used], 0.02)
    assert result.convergence is not None
    assert (result.convergence.enough, len(result.replications)) == (found.enough, used)
    assert 3 < used < 60


def test_the_number_does_not_depend_on_what_was_there() -> None:
    """Starting from ten replications, or with several workers, the same are used."""
    fresh = run_cases([BASE], goal=GOAL)
    assert run_until_precise(run_cases([BASE], replications=10), GOAL) == fresh
    assert run_cases([BASE], goal=GOAL, workers=2) == fresh


def test_every_case_is_as_sharp_as_asked() -> None:
    """All cases get the replications of the one that needs most, and each tells how it became sharp."""
    goal = Goal(0.05, "throughput")
    both = run_cases([BASE, WIDE], goal=goal)
    alone = run_cases([WIDE], goal=goal)
    assert both.numbers == alone.numbers == both.numbers_of("base")
    assert [one.case for one in both.convergences] == ["base", "wide"]
    for one in both.convergences:
        assert one.enough is not None
        assert all((look.relative or 0) <= 0.05 for look in one.looks[one.enough - 1 : one.enough + 5])
        assert one.looks[-1].mean == pytest.approx(both.row(one.case, "throughput").mean)
    assert len(run_cases([BASE], goal=goal).numbers) < len(both.numbers)


def test_the_cap_is_kept_and_told() -> None:
    """Where the cap comes first all of it is used, and the sentence says what was reached."""
    result = simulate(BASE.scenario, goal=Goal(0.001, "throughput", cap=7))
    found = result.convergence
    assert found is not None and found.enough is None
    assert result.run.numbers == tuple(range(1, 8))
    assert "not to ±0.1 % as asked: the cap of 7 replications was reached" in found.sentence


def test_a_figure_that_never_varies_needs_three_and_the_look_ahead() -> None:
    """Without luck three replications are enough; five more look ahead."""
    constant = line('station.A.task.fit.time = "50 s"', 'station.B.task.bolt.time = "50 s"')
    found = simulate(constant, goal=Goal(0.01, "throughput")).convergence
    assert found is not None
    assert (found.enough, len(found.looks)) == (3, 8)


def test_without_a_figure_jobs_per_shift_count_or_per_hour() -> None:
    """A goal that names no figure means jobs per shift, and jobs per hour where no shift is whole."""
    whole = simulate(BASE.scenario, goal=Goal(0.05)).convergence
    none = simulate(line('run.shift = "9 h"'), goal=Goal(0.05)).convergence
    assert whole is not None and whole.goal.measure == "jobs_per_shift"
    assert none is not None and none.goal.measure == "throughput"


def test_a_figure_that_is_not_given_is_told() -> None:
    """A measure without values cannot become precise; of an unknown one it says what there is."""
    with pytest.raises(LinesimError, match="no replication gives jobs_per_shift"):
        simulate(line('run.shift = "9 h"'), goal=Goal(0.05, "jobs_per_shift"))
    with pytest.raises(LinesimError, match="no measure 'luck'"):
        simulate(BASE.scenario, goal=Goal(0.05, "luck"))


@pytest.mark.parametrize("wrong", [{"precision": 0.0}, {"precision": 1.0}, {"cap": 2}, {"confidence": 1.0}])
def test_goals_have_limits(wrong: dict[str, float]) -> None:
    """Precision and confidence lie between 0 and 1, the cap leaves room for a first look."""
    with pytest.raises(ValueError, match=f"{next(iter(wrong))} must"):
        Goal(**{"precision": 0.01, **wrong})


def test_a_goal_and_a_number_exclude_each_other() -> None:
    """Asking for a precision and for a number of replications is refused."""
    with pytest.raises(ValueError, match="give either it or their number"):
        simulate(BASE.scenario, goal=GOAL, replications=5)


def test_the_convergence_is_in_the_object() -> None:
    """The JSON object holds goal and every look; without a goal it has no such key."""
    found = simulate(BASE.scenario, goal=GOAL).as_dict()
    assert found["convergence"]["precision"] == 0.02
    assert len(found["convergence"]["looks"]) == found["run"]["replications"]
    assert "convergence" not in simulate(BASE.scenario).as_dict()


def test_several_cases_are_told_in_one_sentence() -> None:
    """All sharp: after how many replications; some not: which, and that the cap stopped them."""
    goal = Goal(0.01, "throughput", cap=40)
    looks = (Look(40, 50.0, 49.0, 51.0, 0.02),)
    sharp = [Convergence(case, goal, enough, looks) for case, enough in (("a", 12), ("b", 30))]
    blunt = Convergence("c", goal, None, looks)
    assert convergences_in_words([]) == ""
    assert convergences_in_words([blunt]) == blunt.sentence.replace("throughput", "Throughput", 1)
    assert convergences_in_words(sharp) == (
        "Throughput is known to ±1 % of its mean in each of the 2 cases, after 12 to 30 replications."
    )
    assert convergences_in_words([*sharp, blunt]) == (
        "Throughput is not known to ±1 % of its mean as asked in 1 of 3 cases (c): the cap of 40 "
        "replications was reached."
    )
