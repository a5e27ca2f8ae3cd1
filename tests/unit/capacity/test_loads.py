"""Loads, variants and the ceiling, against lines that one can work out on paper."""

from collections import Counter

import pytest

from linesim.capacity.ceiling import limits
from linesim.capacity.loads import Loads, variant_name, variant_shares
from linesim.draws.mix import Mix
from linesim.draws.streams import Streams
from linesim.plan.build import build
from linesim.plan.plan import Plan
from linesim.scenario import load_text

HEAD = 'takt = "60 s"\nflow = ["only"]\n[run]\nlength = "1 shift"\n'


def plan_of(text: str) -> Plan:
    """Return the plan of a scenario whose head is given."""
    return build(load_text(HEAD + text))


MIXED = plan_of(
    """
[model.plain]
share = 3.0
[model.rich]
share = 1.0
[option.rack]
take = { plain = 0.2, rich = 0.5 }
[option.hook]
take  = 0.1
needs = ["rack"]
[section.only]
pacing   = "free"
stations = ["A", "B"]
[crew.one]
people = 1
covers = ["A", "B"]
[crew.two]
people = 2
covers = ["B"]
[tool.gun]
[robot.R.failure.jam]
every = { shape = "exponential", mean = "9 min" }
lasts = { shape = "exponential", mean = "1 min" }
[station.A.task.first]
time     = "10 s"
time_for = { rich = "30 s" }
[station.A.task.rack]
time    = "20 s"
options = ["rack"]
after   = ["first"]
[station.A.task.press]
robot = "R"
time  = "18 s"
[station.B.task.left]
people = 2
crew   = "two"
time   = "40 s"
tool   = "gun"
[station.B.task.right]
time  = "15 s"
fault = { chance = 0.2, found = "at once", tries = 2, repair = "1 s" }
"""
)


def test_variants_are_counted_exactly() -> None:
    """Rack on plain: 0.2, or with the hook, 1 - 0.8 * 0.9 = 0.28; hook 0.1; on rich 0.55 and 0.1."""
    shares = {variant_name(MIXED, order): share for order, share in variant_shares(MIXED)}
    assert shares == pytest.approx(
        {
            "plain": 0.75 * 0.72,
            "plain+rack": 0.75 * 0.18,
            "plain+rack+hook": 0.75 * 0.10,
            "rich": 0.25 * 0.45,
            "rich+rack": 0.25 * 0.45,
            "rich+rack+hook": 0.25 * 0.10,
        }
    )


def test_exact_shares_are_those_that_are_drawn() -> None:
    """With exclusions, needs and packages, each variant is as frequent among drawn jobs as its share says.

    20,000 jobs of a fixed seed; each of some ten counts may be off by 4.9 standard deviations, which luck
    alone does once in a million.
    """
    plan = plan_of(
        """
[model.plain]
[model.rich]
share = 0.4
[option.rack]
take = 0.3
[option.hook]
take     = 0.25
excludes = ["rack"]
[option.lamp]
take  = { plain = 0.2, rich = 0.6 }
needs = ["hook"]
[package.road]
take    = 0.15
options = ["lamp", "rack"]
[section.only]
pacing   = "free"
stations = ["A"]
[station.A.task.fit]
time   = "10 s"
people = 0
"""
    )
    jobs = 20_000
    mix = Mix(plan.orders, Streams(5, 1))
    drawn = Counter(mix[job] for job in range(jobs))
    shares = dict(variant_shares(plan))
    assert sum(shares.values()) == pytest.approx(1.0)
    assert set(drawn) <= {order for order, share in shares.items() if share > 0}
    for order, share in shares.items():
        assert abs(drawn[order] - jobs * share) <= 4.9 * (jobs * share * (1 - share)) ** 0.5 + 1e-9


def test_listed_orders_count_as_they_stand() -> None:
    """Three of four listed orders are a: its share is three quarters, whatever the models' shares say."""
    plan = plan_of(
        """
[model.a]
[model.b]
[orders]
sequence = "listed"
list = ["a", "a", "b", "a"]
[section.only]
pacing   = "free"
stations = ["A"]
[station.A.task.fit]
time   = "10 s"
people = 0
"""
    )
    assert {variant_name(plan, order): share for order, share in variant_shares(plan)} == {
        "a": 0.75,
        "b": 0.25,
    }


def test_station_loads_by_hand() -> None:
    """A: first, then the rack if there is one, by one person; the press beside it takes 18 s.

    Plain without rack 18 s (the press), with it 30 s; rich without 30 s, with it 50 s.
    """
    load = Loads(MIXED).stations[0]
    plain, rich = 0.72 * 18 + 0.28 * 30, 0.45 * 30 + 0.55 * 50
    assert load.cycle_s == pytest.approx(0.75 * plain + 0.25 * rich)
    assert (load.worst_s, load.worst) == (50.0, "rich+rack")
    assert [(name, share) for name, share, _ in load.by_model] == [
        ("plain", 0.75),
        ("rich", pytest.approx(0.25)),
    ]
    assert [cycle for _, _, cycle in load.by_model] == pytest.approx([plain, rich])
    assert load.work_s == pytest.approx(0.75 * (10 + 0.28 * 20) + 0.25 * (30 + 0.55 * 20))


def test_work_that_is_redone_counts_as_often_as_expected() -> None:
    """Right is redone at most twice, each time with chance 0.2: 15 s * (1 + 0.2 + 0.04) = 18.6 s."""
    loads = Loads(MIXED)
    assert loads.task_s[MIXED.names.task.index("B.right")] == pytest.approx(18.6)


def test_shared_work_is_split_by_people() -> None:
    """Right may be done by one (1 person) or two (2 people); left by two alone; all of A by one."""
    one, two = Loads(MIXED).crews
    a = Loads(MIXED).stations[0].work_s
    assert one.work_s == pytest.approx(a + 18.6 / 3)
    assert two.work_s == pytest.approx(80 + 18.6 * 2 / 3)
    assert two.share_of_takt == pytest.approx(two.work_s / 120)


def test_the_ceiling_lists_every_limit_by_hand() -> None:
    """Crew two can do 80 s with 2 people: 90 an hour; the robot 18 s with 10 % of failures: 180 an hour."""
    found = {(limit.what, limit.name): limit.jobs_per_hour for limit in limits(Loads(MIXED))}
    a = Loads(MIXED).stations[0].work_s
    assert found["crew", "two"] == pytest.approx(3600 * 2 / 80)
    assert found["crew", "one"] == pytest.approx(3600 / a)
    assert found["crew", "one+two"] == pytest.approx(3600 * 3 / (a + 80 + 18.6))
    assert found["robot", "R"] == pytest.approx(3600 / 18 * 0.9)  # up 9 min, down 1 min of running time
    assert found["tool", "gun"] == pytest.approx(3600 / 40)
    assert found["station", "B"] == pytest.approx(3600 / 40)
    assert list(found.values()) == sorted(found.values())


@pytest.mark.parametrize(
    ("section", "station", "expected"),
    [
        ('pacing = "indexed"\ntransfer = "8 s"', "", 3600 / (70 + 8)),
        ('pacing = "moving"', "", 3600 / 70),
        ('pacing = "moving"', "late = 0.3", 3600 * 2 / 70),
        ('pacing = "free"', "", 3600 / 70),
        ('pacing = "free"', "places = 2", 3600 * 2 / 70),
    ],
)
def test_what_a_station_lets_through_depends_on_the_pacing(
    section: str, station: str, expected: float
) -> None:
    """70 s of work: an indexed section then moves; a reach lets two jobs be in work, as two places do."""
    plan = plan_of(
        f"""
[section.only]
{section}
stations = ["A", "Z"]
[station.A]
{station}
[station.A.task.fit]
time   = "70 s"
people = 0
"""
    )
    found = {(limit.what, limit.name): limit.jobs_per_hour for limit in limits(Loads(plan))}
    assert found["station", "A"] == pytest.approx(expected)


def test_passing_on_has_no_station_limit() -> None:
    """Where open work travels on, a station holds nobody up and only the takt is left."""
    plan = plan_of(
        """
[section.only]
pacing   = "moving"
stations = ["A"]
[bay.corner]
section = "only"
rejoin  = "out"
[crew.all]
people = 2
covers = ["A", "corner"]
[station.A]
on_limit = "pass"
[station.A.task.fit]
time = "70 s"
"""
    )
    found = limits(Loads(plan))
    assert ("station", "A") not in {(limit.what, limit.name) for limit in found}
    assert (found[0].what, found[0].jobs_per_hour) == ("takt", 60)


def test_hours_of_a_crew_count_against_those_of_the_line() -> None:
    """A crew that works 4 of the line's 8 hours can do half."""
    plan = build(
        load_text(
            HEAD.replace("[run]", '[run]\ncalendar = "day"')
            + """
[calendar.day]
shifts = ["06:00-14:00"]
[calendar.half]
shifts = ["06:00-10:00"]
[section.only]
pacing   = "free"
stations = ["A"]
[crew.one]
people   = 1
covers   = ["A"]
calendar = "half"
[station.A.task.fit]
time = "30 s"
"""
        )
    )
    found = {(limit.what, limit.name): limit.jobs_per_hour for limit in limits(Loads(plan))}
    assert found["crew", "one"] == pytest.approx(60)
