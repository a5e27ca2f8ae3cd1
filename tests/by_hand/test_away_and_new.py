"""People who are away for a shift, and new ones who are slower at first, by hand."""

from itertools import pairwise

import pytest

from linesim.draws.draws import Draws
from linesim.errors import ScenarioError
from linesim.plan.build import build
from linesim.plan.people import curve_of
from linesim.plan.tables import LEARNT
from linesim.plan.words import O_OFF
from linesim.scenario import from_dict
from linesim.scenario.people import Learning
from tests.formulas.rework import learned_time
from tests.lines import Ran, lines, operators, run, run_tables, tables, trace
from tests.luck import sheet

#: Four people, one task each; shifts of ten minutes.
HALL = """
run = { shift = "10 min" }
section.hall = "free: A"
station.A.places = 4
station.A.task.fit = "70 s"
crew.hall = { people = 4, covers = ["A"], absence = 0.4 }
"""
SHIFTS, SHIFT = 8, 600


def drawn(name: str, replication: int = 1) -> list[bool]:
    """Return in which shifts the draws have a person away."""
    numbers = sheet(1, replication, "chance:away", name)
    return [numbers[shift] < 0.4 for shift in range(SHIFTS)]


def hall(people: int = 4) -> Ran:
    """Return the hall after eight shifts."""
    raw = tables(HALL, length=f"{SHIFTS * SHIFT} s")
    raw["crew"]["hall"]["people"] = people
    return run_tables(raw)


def test_who_is_away_ends_what_is_begun_and_leaves() -> None:
    """In each shift those are off duty whom the draws name, once the task that they had begun is ended."""
    ran = hall()
    off = {
        (event.time // 1000, event.who[0]): event.where == O_OFF
        for event in ran.events
        if event.what == "operator is"
    }
    for person in range(4):
        was_away = False
        for shift, is_away in enumerate(drawn(f"hall {person + 1}")):
            changes = {
                at: now for (at, who), now in off.items()
                if who == person and SHIFT * shift <= at < SHIFT * (shift + 1)
            }  # fmt: skip
            if is_away and not was_away:
                (left,) = [at for at, now in changes.items() if now]
                assert left - SHIFT * shift < 70
            elif is_away:
                assert not changes
            elif was_away:
                assert changes[SHIFT * shift] is False
            was_away = is_away
    assert any(drawn("hall 1")) and not all(drawn("hall 1"))


def test_one_person_more_changes_nobody_elses_luck() -> None:
    """The draws belong to person and shift: with a fifth person the first four are away when they were."""
    for person in range(4):
        name = f"hall {person + 1}"
        before, after = (operators(hall(people))[name].get("off", 0) for people in (4, 5))
        assert after == pytest.approx(before, abs=70 * SHIFTS)
    plans = [build(from_dict({**tables(HALL, length="1 h"), "crew": {"hall": {
        "people": n, "covers": ["A"], "absence": 0.4}}})) for n in (4, 5)]  # fmt: skip
    first = [Draws(plan, 1, 1).block(plan.columns.away, 0, 0, 64).tolist() for plan in plans]
    assert first[0] == first[1]


def test_a_crew_of_nobody_has_nobody_away() -> None:
    """A crew without people beside another that works there runs as if it were not there."""
    raw = tables(HALL, length="10 min")
    raw["crew"]["spare"] = {"people": 0, "covers": ["A"], "absence": 0.5}
    assert run_tables(raw).ledger.jobs_out == run(HALL, length="10 min").ledger.jobs_out


def test_a_crew_follows_the_shifts_of_its_calendar() -> None:
    """With two shifts a day and a night between them, a person is away for whole shifts of the calendar."""
    raw = tables(HALL, length="3 days")
    raw["calendar"] = {"day": {"shifts": ["06:00-06:10", "07:00-07:10"]}}
    raw["run"]["calendar"] = "day"
    raw["crew"]["hall"]["people"] = 1
    ran = run_tables(raw)
    begins = [day * 86_400 + hour * 3600 for day in range(3) for hour in (0, 1)]
    at_work = {event.time // 1000 for event in ran.events if event.what in ("task start", "task resume")}
    for begin, is_away in zip(begins, drawn("hall 1"), strict=False):
        begun = any(begin <= at < begin + SHIFT for at in at_work)
        # What was begun in the shift before is ended in the next one, be it by who was to be away.
        assert begun or is_away


NEW = """
[section.hall]
pacing = "free"
stations = ["A"]
[crew.hall]
people = {people}
covers = ["A"]
learning = {{ new = 1, first = 2.0, rate = 0.8, done = {done} }}
[station.A.task.fit]
time = "60 s"
people = {people}
"""


def test_a_new_person_learns_by_the_power_curve() -> None:
    """Twice as long at first, 20 % less with every doubling: 120, 96, 84.25, 76.8 s and so on, 60 s at last.

    Unit times of a learning curve of 80 %: 100, 80, 64, 51.2 at units 1, 2, 4, 8 (recomputed).
    """
    ran = run(NEW.format(people=1, done=0), jobs=10, length="900 s")
    ends = [0.0, *(event.time / 1000 for event in ran.events if event.what == "task end")]
    took = [after - before for before, after in pairwise(ends)]
    exact = [max(60.0, learned_time(120, 0.8, n)) for n in range(1, 11)]
    assert took == pytest.approx(exact, abs=0.5 * 60 / LEARNT + 0.001)
    assert [took[n] for n in (0, 1, 3, 7, 8)] == pytest.approx([120, 96, 76.8, 61.44, 60], abs=1e-9)


def test_what_was_done_before_the_run_counts() -> None:
    """Three times done before: the run begins with the fourth, 76.8 s."""
    ran = run(NEW.format(people=1, done=3), jobs=2, length="300 s")
    assert trace(ran, "task end")[0] == "76.8 task end #1 A.fit by hall 1"


def test_the_slowest_sets_the_pace_of_work_together() -> None:
    """Two at one task, one of them new: both take 120 s for the first and 96 s for the second."""
    ran = run(NEW.format(people=2, done=0), jobs=2, length="300 s")
    assert trace(ran, "task end") == lines(
        """
        120 task end #1 A.fit by hall 1, hall 2
        216 task end #2 A.fit by hall 1, hall 2
        """
    )


def test_the_curve_ends_where_a_task_takes_its_time() -> None:
    """The table holds every repetition that takes longer, in ten-thousandths, and is over then."""
    found = curve_of(Learning(new=1, first=2.0, rate=0.8))
    assert found == [round(LEARNT * learned_time(2, 0.8, n)) for n in range(1, 9)]
    assert learned_time(2, 0.8, 9) <= 1 < learned_time(2, 0.8, 8)
    assert curve_of(Learning(new=1, first=2.0, rate=0.8, done=6)) == found[6:]
    assert curve_of(Learning(new=1, first=2.0, rate=0.8, done=50)) == []


def test_learning_that_takes_for_ever_is_refused() -> None:
    """Three times as long at a rate of 98 % takes more than 20 000 repetitions to learn."""
    raw = tables(NEW.format(people=1, done=0))
    raw["crew"]["hall"]["learning"] |= {"first": 3.0, "rate": 0.98}
    with pytest.raises(ScenarioError, match="within 20000 repetitions"):
        from_dict(raw)
