"""How many of a crew are there: binomial, shift by shift, and what they make."""

import numpy as np

from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import Line, bare, constant

PEOPLE, AWAY, SHIFTS, REPLICATIONS = 5, 0.2, 20, 40


def present() -> np.ndarray:
    """Return how many were there, by replication and shift, from the jobs that each shift made.

    Each person has a place and makes a job in a tenth of a shift; the last ends as the shift does and leaves
    when the next one begins. So jobs are nine times the people and once those of the shift before.
    """
    raw = bare(0.0)
    raw["run"] |= {"length": f"{SHIFTS} shifts", "calendar": "day"}
    raw["calendar"] = {"day": {"shifts": [f"{hour:02}:00-{hour:02}:10" for hour in range(24)]}}
    raw["flow"], raw["section"] = ["hall"], {"hall": {"pacing": "free", "stations": ["A"]}}
    raw["station"] = {"A": {"places": PEOPLE, "task": {"fit": {"time": constant(60)}}}}
    raw["crew"] = {"hall": {"people": PEOPLE, "covers": ["A"], "absence": AWAY}}
    jobs = np.array([ledger.window_jobs for ledger in Line(raw).runs(REPLICATIONS)])
    found = np.zeros((REPLICATIONS, SHIFTS + 1))
    for shift in range(SHIFTS):
        found[:, shift + 1] = (jobs[:, shift] - found[:, shift]) / 9
    return found[:, 1:]


def test_who_is_there_is_binomial() -> None:
    """Mean n(1 - p), variance n p (1 - p), all there in (1 - p)^n of the shifts, each for itself."""
    found = present()
    assert set(np.unique(found)) <= set(range(PEOPLE + 1))
    mean, variance = PEOPLE * (1 - AWAY), PEOPLE * AWAY * (1 - AWAY)
    assert_mean_agrees(found.mean(axis=1), mean, must_see=0.3)
    assert_mean_differs(found.mean(axis=1), PEOPLE, must_see=0.3)
    assert_mean_agrees(((found - mean) ** 2).mean(axis=1), variance, must_see=0.5)
    assert_mean_agrees((found == PEOPLE).mean(axis=1), (1 - AWAY) ** PEOPLE, must_see=0.15)
    gaps = found - mean
    assert_mean_agrees((gaps[:, 1:] * gaps[:, :-1]).mean(axis=1), 0.0, must_see=0.4)
