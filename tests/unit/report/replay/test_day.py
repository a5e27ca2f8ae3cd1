"""Jobs made against the plan, the band over replications, moments of a day, and where two lines part."""

import numpy as np
import pytest

from linesim.plan.build import build
from linesim.report.replay.day import band, moments, planned
from linesim.report.replay.sides import Window, parting, side_of, window_of
from linesim.runs.trace import finished, watch
from linesim.scenario import from_dict
from linesim.stats.intervals import mean_interval
from tests.unit.report.replay.seen import seen
from tests.unit.report.small import small_scenario

HOUR = 3_600_000


def test_the_plan_comes_evenly_in_working_time() -> None:
    """The jobs of a shift stand at its end, half of them in the middle, and none are added in a break."""
    raw = {
        "takt": "60 s", "flow": ["belt"], "target": {"jobs_per_shift": 420},
        "run": {"calendar": "early", "length": "1 shift"},
        "calendar": {"early": {"days": ["mon"], "shifts": ["06:00-14:00"], "breaks": ["10:00-11:00"]}},
        "section": {"belt": {"pacing": "moving", "stations": ["K1"], "calendar": "early"}},
        "station": {"K1": {"task": {"set": {"time": "50 s", "people": 0}}}},
    }  # fmt: skip
    plan = build(from_dict(raw))
    curve = planned(plan, Window(0, 8 * HOUR, ()))
    assert [round(curve.by(hours * HOUR), 6) for hours in (0, 2, 4, 4.5, 5, 8)] == [
        0,
        120,
        240,
        240,
        240,
        420,
    ]
    assert curve.words == "planned"


def test_without_a_plan_it_is_one_a_takt() -> None:
    """Where nobody asks for a number, one job a takt of the slowest section is the measure."""
    plan = seen("textbook/line-stop-trace").watched.plan
    takt = max(plan.sections.takt.tolist())
    curve = planned(plan, Window(0, 10 * takt, ()))
    assert curve.by(10 * takt) == pytest.approx(10) and "takt" in curve.words


def test_the_band_is_the_interval_of_every_moment() -> None:
    """At each moment the band is the interval of the mean of what the replications have made by then."""
    made = [[10, 50, 90], [20, 60, 80], [10, 30, 100], [40, 60, 70], [5, 15, 25], [30, 60, 95]]
    window = Window(10, 106, ())
    found = band(made, window)
    assert (found["n"], found["at"][0], found["at"][-1]) == (6, 0, 96)
    counts = [sum(10 < t <= 58 for t in ticks) for ticks in made]
    expected = mean_interval(counts)
    assert expected.low is not None and expected.high is not None
    middle = found["at"].index(48)
    assert (found["mean"][middle], found["low"][middle], found["high"][middle]) == (
        round(float(np.mean(counts)), 1), round(max(0.0, expected.low), 1), round(expected.high, 1),
    )  # fmt: skip
    assert found["mean"][0] == 0


def test_finished_jobs_are_those_of_the_log() -> None:
    """What is kept of a replication for the band is what its whole log says, by either drive."""
    plan = build(small_scenario())
    until = plan.run.warm_up + HOUR
    off = [event.time for event in watch(plan, 5, 3, until=until).events if event.what == "line-off"]
    for drive in ("simpy", "compiled"):
        assert finished(plan, 5, 3, until=until, drive=drive) == off


def test_moments_of_a_day() -> None:
    """The worst stop, the moment furthest behind the plan and the longest wait are those of the record."""
    plan = build(small_scenario().replace({"target.jobs_per_shift": 60}))
    window = window_of(plan)
    side = side_of(watch(plan, 5, 1, until=window.end), window)
    worst, behind, wait = moments(side, window)
    own = [stop for stop in side.stops if not stop.is_passed_on]
    longest = max(own, key=lambda stop: stop.within(window.start, window.end))
    assert worst.tick == max(window.start, longest.begin) and "the worst stop" in worst.says
    off = [window.start, *side.finished(window)]
    missing = [(t - window.start) / 60_000 - made for made, t in enumerate([*off[1:], window.end])]
    assert f"{round(max(missing))} jobs fewer than planned" in behind.says
    gaps = [b - a for a, b in zip(off, [*off[1:], window.end], strict=True)]
    assert wait.tick == off[int(np.argmax(gaps))] and f"{max(gaps) / 60_000:.1f} min" in wait.says


def test_lines_with_one_luck_part_where_the_change_bites() -> None:
    """A line never parts from itself; with a slower task it parts when that task first ends otherwise."""
    scenario = small_scenario()
    plan, slower = build(scenario), build(scenario.replace({"station.K2.task.check.time.mean": "41 s"}))
    until = plan.run.warm_up + 60_000
    one, other = (watch(each, 5, 1, until=until) for each in (plan, slower))
    assert parting(one, watch(plan, 5, 1, until=until)) is None
    check = plan.names.task.index("K2.check")
    first = next(event.time for event in one.events if event.what == "task end" and event.task == check)
    assert parting(one, other) == first
