"""Moving lines with known times: where operators start, what is left over, and what stops the conveyor.

C. A. Yano and R. Rachamadugu, Management Science 37 (1991) 572-586; N. Boysen, M. Fliedner, A. Scholl, EJOR
192 (2009) 349-373; the sequencing rule: A. Bolat and C. A. Yano 1992 (citations from memory). Traces
recomputed by hand from s' = max(0, min(s + T, L) - c); all orders by enumeration.

A station as long as L in time of conveyor travel reaches L - c past its border; what is left at the limit
goes on to a finisher in an empty station further down, who never stops the line here.
"""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, floor

import pytest

from linesim.plan.words import BLOCKED, OVERRUN, STARVED
from linesim.questions.sequence.search import all_orders
from linesim.theory.departures import line_stop_pitches
from tests.formulas.drift import displacement_trace, moving_line
from tests.formulas.sequences import overload_over_orders, spacing_rule
from tests.validation.lines import TICKS, Line, Raw, by_job, constant, given, listed, paced, seconds_of

TAKT = 60.0


def closed(length: float, run: float, *, walk_speed: float | None = None) -> Raw:
    """Return one operator in a station of the given length [s of travel], then two stations for finishers."""
    raw = paced([constant(0), None, None], length=run)
    raw["station"]["S0"] |= {"late": (length - TAKT) / TAKT, "on_limit": "pass", "open_to": "S2"}
    raw["crew"] = {
        "one": {"people": 1, "covers": ["S0"]},
        "finishers": {"people": 1, "covers": ["S2"]},
    }
    if walk_speed is not None:
        raw["crew"]["one"]["walk_speed"] = walk_speed
    return raw


def staffed(raw: Raw) -> Raw:
    """Let the task at S0 need its operator."""
    raw["station"]["S0"]["task"]["work"]["people"] = 1
    return raw


def trace(times: Sequence[float], length: float, walk_speed: float | None = None):
    """Return the engine's starts, finishes and overloads of these jobs, in seconds after the border."""
    run = (len(times) + 3) * TAKT
    raw = staffed(given(["S0"], [[t] for t in times], closed(length, run, walk_speed=walk_speed)))
    line = Line(raw)
    events, ledger = line.log()
    s = line.station("S0")
    came, began = by_job(events, "enter", s), by_job(events, "task start", s)
    ended, let_go = by_job(events, "task end", s), by_job(events, "open work", s)
    starts = [began[j] - came[j] for j in range(len(times))]
    finishes = [min(ended.get(j, 1e9), let_go.get(j, 1e9)) - came[j] for j in range(len(times))]
    overloads = [b + t - e for b, t, e in zip(starts, times, finishes, strict=True)]
    assert ledger.overload[s] == round(sum(overloads) * TICKS)
    assert ledger.overruns[s] == ledger.unfinished[s] == sum(o > 0 for o in overloads)
    assert ledger.stop.sum() == 0
    return starts, finishes, overloads


HEAVY, BASIC = 70.0, 52.0


def times_of(kinds: str) -> list[float]:
    """Return the work contents of a string of H and B [s]."""
    return [HEAVY if kind == "H" else BASIC for kind in kinds]


@pytest.mark.parametrize(
    ("kinds", "starts", "overloads", "final"),
    [
        ("HHBHHBBHBH", [0, 10, 20, 12, 20, 20, 12, 4, 14, 6], [0, 0, 0, 2, 10, 0, 0, 0, 0, 0], 16),
        ("HBHBHBHBHB", [0, 10, 2, 12, 4, 14, 6, 16, 8, 18], [0] * 10, 10),
    ],
)
def test_displacement_of_two_kinds(kinds, starts, overloads, final):
    """The operator starts each job where the recursion says, and leaves over what does not fit."""
    times = times_of(kinds)
    found = trace([*times, 0.0], 80)  # one more job tells where the last one left the operator
    assert found[0] == pytest.approx([*starts, final], abs=1e-9)
    assert found[2] == pytest.approx([*overloads, 0], abs=1e-9)
    exact = displacement_trace(times, TAKT, 80)
    assert exact.starts == tuple(starts)
    assert exact.overloads == tuple(overloads)
    assert exact.final == final


EIGHT = (70, 52, 75, 66, 58, 80, 45, 71)


def test_displacement_of_eight_jobs():
    """Eight jobs in a station of 85 s start and finish where printed; only the sixth leaves 16 s."""
    starts, finishes, overloads = trace(EIGHT, 85)
    assert starts == pytest.approx([0, 10, 2, 17, 23, 21, 25, 10], abs=1e-9)
    assert finishes == pytest.approx([70, 62, 77, 83, 81, 85, 70, 81], abs=1e-9)
    assert overloads == pytest.approx([0, 0, 0, 0, 0, 16, 0, 0], abs=1e-9)
    assert displacement_trace(EIGHT, TAKT, 85).starts == tuple(starts)


def test_displacement_with_the_walk_back():
    """Walking back five times as fast as the conveyor, towards the next job, leaves 82 s of them over."""
    starts, _, overloads = trace(EIGHT, 85, walk_speed=5.0)
    assert starts == pytest.approx([0, 20, 22, 35, 35, 35, 35, 30], abs=1e-9)
    assert overloads == pytest.approx([0, 0, 12, 16, 8, 30, 0, 16], abs=1e-9)
    exact = displacement_trace(EIGHT, TAKT, 85, walk_speed=5)
    assert exact.starts == pytest.approx(starts, abs=1e-9)
    assert sum(overloads) == pytest.approx(82, abs=1e-9)


def test_many_drawn_jobs_follow_the_recursion():
    """Two hundred jobs of any length start where the recursion says, walking or not."""
    times = [30 + (k * 37 % 61) for k in range(200)]  # 30 to 90 s, in no order
    for length, speed in ((60, None), (75, None), (100, None), (75, 3.0)):
        exact = displacement_trace(times, TAKT, length, walk_speed=speed or float("inf"))
        starts, finishes, overloads = trace(times, length, speed)
        assert starts == pytest.approx(exact.starts, abs=0.01)  # walks are rounded to 1 ms
        assert finishes == pytest.approx(exact.finishes, abs=0.01)
        assert overloads == pytest.approx(exact.overloads, abs=0.01)


def total_overload(kinds: Sequence[int], length: float) -> float:
    """Return the overload of an order of heavy (0) and basic (1) jobs [s]."""
    raw = closed(length, (len(kinds) + 3) * TAKT)
    task = {"people": 1, "time": constant(BASIC), "time_for": {"heavy": constant(HEAVY)}}
    raw["station"]["S0"]["task"] = {"work": task}
    line = Line(listed(raw, ["basic" if kind else "heavy" for kind in kinds]))
    return float(line.run().overload[line.station("S0")]) / TICKS


@pytest.mark.parametrize(
    ("length", "least", "at_least", "most", "mean"),
    [(70, 6, 4, 40, 22.22222222), (80, 0, 24, 30, 10.15873016)],  # recomputed: all 252 orders
)
def test_every_order_of_five_heavy_and_five_basic_jobs(length, least, at_least, most, mean):
    """Over all 252 orders the least, the most and the mean overload are the enumerated ones."""
    found = [total_overload(kinds, length) for kinds in all_orders((5, 5))]
    assert len(found) == 252
    assert (min(found), found.count(min(found)), max(found)) == (least, at_least, most)
    assert sum(found) / 252 == pytest.approx(mean, abs=5e-9)
    exact = overload_over_orders((HEAVY, BASIC), (5, 5), TAKT, length)
    assert (exact.least, exact.most) == (least, most)
    assert exact.mean == pytest.approx(mean, abs=5e-9)
    if length == 70:
        assert total_overload([int(kind == "B") for kind in "HBHBHBHBBH"], 70) == 6


@pytest.mark.parametrize(
    ("heavy", "basic", "length", "rule"),
    [(70, 52, 80, (2, 5)), (70, 50, 70, (1, 2)), (75, 50, 95, (2, 5))],
)
def test_spacing_that_never_overloads(heavy, basic, length, rule):
    """A sequence that keeps H_o heavy jobs in every N_o leaves nothing over; one heavy job more does."""
    h = floor((length - TAKT) / (heavy - TAKT))
    assert (
        (h, h + ceil(h * (heavy - TAKT) / (TAKT - basic))) == rule == spacing_rule(heavy, basic, TAKT, length)
    )

    def overload(at_most: int, in_any: int) -> int:
        raw = closed(length, 400 * TAKT)
        task = {"people": 1, "time": constant(basic), "time_for": {"heavy": constant(heavy)}}
        raw["station"]["S0"]["task"] = {"work": task}
        raw["option"] = {"heavy": {"take": 0.8 * rule[0] / rule[1]}}
        raw["orders"] = {
            "sequence": "random",
            "spacing": {"apart": {"of": "heavy", "at_most": at_most, "in_any": in_any}},
        }
        line = Line(raw)
        return int(line.run().overload[line.station("S0")])

    assert overload(*rule) == 0
    assert overload(rule[0] + 1, rule[1] + 1) > 0


STOPS = ((55, 62, 58), (70, 50, 61), (48, 66, 59), (60, 60, 75), (52, 58, 57), (64, 49, 63))


def test_line_stop_trace():
    """Six jobs on three stations pass marks 60, 70, 60, 66, 60, 75, 60, 63 s apart, 34 s of it stops.

    The single overruns add up to 41 s: two of them lie under a longer one, and a minute is counted once.
    """
    pitches = [60, 70, 60, 66, 60, 75, 60, 63]
    assert line_stop_pitches(STOPS, TAKT) == tuple(pitches)
    line = Line(given(["S0", "S1", "S2"], STOPS, paced([constant(0)] * 3, length=515)))
    events, ledger = line.log()
    marks = seconds_of(events, "mark")
    assert [b - a for a, b in pairwise(marks)][:8] == pitches
    assert seconds_of(events, "line-off")[-1] == 514
    assert ledger.stop.sum() == 34 * TICKS
    assert ledger.stop[:, :, [BLOCKED, STARVED]].sum() == 0
    assert ledger.stop[:, :, OVERRUN].sum() == 34 * TICKS
    assert ledger.overload.sum() == 41 * TICKS


def test_plain_kinematics():
    """At 0.1 m/s, 6 m apart, twelve stations of 6 m hold 12 jobs, pass 60 an hour and take 720 s each."""
    exact = moving_line(0.1, 6, 6, 12)
    assert (exact.jobs_per_hour, exact.transit_s, exact.jobs_on_line) == pytest.approx((60, 720, 12))
    ledger = Line(paced([None] * 12, length=7200, warm_up=1800, takt=6 / 0.1)).run()
    assert ledger.jobs_out == 120
    assert ledger.lead_time == 120 * 720 * TICKS
    assert ledger.job_time == 12 * 7200 * TICKS
