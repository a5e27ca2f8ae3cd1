"""Key figures of ISO 22400-2 from one shift on the line.

Formulas read in the open ontology of the standard by Helmut-Schmidt-Universität Hamburg (ISO22400-2.owl);
availability, effectiveness and quality ratio also in the OPC UA Machine Tool specification, annex C.2.4. The
shift is invented; the figures are recomputed by hand.

The standard's availability is not MTBF/(MTBF + MTTR): waiting for parts and setting up lower it as well.
"""

import pytest

from linesim.plan.words import S_WORKING, STATION_STATES
from tests.formulas.key_figures import ShiftTimes, key_figures, rolled_yield
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.validation.lines import TICKS, Line, Raw, bare, constant, listed, tandem

MINUTE = 60 * TICKS
JOBS, BAD, REDONE = 440, 12, 10


def shift() -> Raw:
    """Return 480 min: a break of 30, four set-ups of 5, five waits for parts of 9, 440 jobs of 0.875."""
    raw = bare(8.5 * 3600)
    raw["calendar"] = {
        "day": {"shifts": ["00:00-08:00"], "breaks": ["04:00-04:30"]},
        # The conveyor runs on, or the job finished as the shift ends would stay where it is.
        "longer": {"shifts": ["00:00-08:15"], "breaks": ["04:00-04:30"]},
    }
    raw["run"]["calendar"] = "day"
    raw["flow"] = ["make", "queue", "check"]
    raw["section"] = {
        "make": {"pacing": "free", "stations": ["M"], "calendar": "longer"},
        "check": {"pacing": "free", "stations": ["T"], "calendar": "longer"},
    }
    raw["buffer"] = {"queue": {"capacity": 5}}
    raw["crew"] = {
        "one": {"people": 1, "covers": ["M"]},
        "fixer": {"people": 1, "covers": ["mend"]},
    }
    kinds = ["good"] * JOBS
    for k in range(BAD):
        kinds[21 + 30 * k] = "bad"
    for k in range(REDONE):
        kinds[25 + 30 * k] = "redo"
    for k in range(4):
        kinds[110 * k] = "first"  # good as well, but the machine is set up before it
    listed(raw, kinds)

    def fault(kind: str, right: str) -> Raw:
        return {"chance": 0.0, "chance_for": {kind: 1.0}, "found": "T.look", "right": right}

    raw["station"] = {
        "M": {
            "task": {
                "set-up": {"time": constant(300), "models": ["first"]},
                "work": {
                    "time": constant(52.5), "after": ["set-up"],
                    "fault": {
                        "wrong": fault("bad", "scrap"),
                        "rough": fault("redo", "mend") | {"repair": constant(1)},
                    },
                },
            },
            "disturbance": {"parts": {"every": 80, "lasts": constant(540), "per": "jobs"}},
        },
        "T": {"task": {"look": {"people": 0, "time": constant(0)}}},
    }  # fmt: skip
    raw["bay"] = {"mend": {"section": "check", "waiting": 5, "rejoin": "out"}}
    return raw


def test_key_figures_of_a_shift() -> None:
    """Times and quantities of the ledger give the figures of the standard that a hand calculation gives."""
    line = Line(shift())
    events, ledger = line.log()
    m = line.station("M")
    states = [*STATION_STATES, "waiting: parts"]
    spent = {state: int(t) for state, t in zip(states, ledger.station_state[m], strict=True) if t}
    set_up = line.plan.names.task.index("M.set-up")
    began = [e.time for e in events if e.what == "task start" and e.task == set_up]
    ended = [e.time for e in events if e.what == "task end" and e.task == set_up]
    setup = sum(ended) - sum(began)
    assert spent == {
        "working": 405 * MINUTE, "waiting: parts": 45 * MINUTE, "off": 45 * MINUTE, "starved": 15 * MINUTE,
    }  # fmt: skip
    assert setup == 20 * MINUTE
    assert ledger.working_time == 450 * MINUTE
    times = ShiftTimes(
        operation=480,
        planned_down=480 - ledger.working_time / MINUTE,
        setup=setup / MINUTE,
        delay=spent["waiting: parts"] / MINUTE,
        run_per_item=0.8,
        produced=int(ledger.station_jobs[m]),
        good=ledger.first_time,
        scrapped=ledger.jobs_scrapped,
        reworked=ledger.reworked,
        inspected=int(ledger.station_jobs[m]),
        good_first=ledger.first_time,
    )
    assert (times.produced, times.good, times.scrapped, times.reworked) == (440, 418, 12, 10)
    found = key_figures(times)
    assert (found.planned_busy, found.production) == (450, 385)
    assert found.production == (spent["working"] - setup) / MINUTE
    assert found.availability == pytest.approx(0.85555556, abs=5e-9)
    assert found.effectiveness == pytest.approx(0.91428571, abs=5e-9)
    assert found.quality_ratio == pytest.approx(0.95, abs=1e-12)
    assert found.oee == pytest.approx(0.74311111, abs=5e-9)
    assert found.oee == pytest.approx(0.8 * 418 / 450, abs=1e-12)  # PRI GQ / PBT
    assert found.net_equipment_effectiveness == pytest.approx(0.78171429, abs=5e-9)
    assert found.technical_efficiency == pytest.approx(0.89534884, abs=5e-9)
    assert found.setup_ratio == pytest.approx(0.04938272, abs=5e-9)
    assert found.scrap_ratio == pytest.approx(0.02727273, abs=5e-9)
    assert found.rework_ratio == pytest.approx(0.02272727, abs=5e-9)
    assert found.first_pass_yield == pytest.approx(0.95, abs=1e-12)


def test_the_standards_availability_is_another_word() -> None:
    """Without a single failure the standard's availability is below 1: set-up and waiting lower it."""
    ledger = Line(shift()).run()
    assert ledger.stop.sum() == 0
    assert ledger.robot_state.size == 0
    in_production = ledger.station_state[0, S_WORKING] - 20 * MINUTE
    assert in_production / ledger.working_time == pytest.approx(0.85555556, abs=5e-9)


def test_yields_roll_along_the_line() -> None:
    """Of jobs that five stations do right in 98, 95, 99, 97 and 92 % of cases, 82.25 % are so first time."""
    yields = (0.98, 0.95, 0.99, 0.97, 0.92)
    exact = rolled_yield(yields)
    assert exact == pytest.approx(0.82251616, abs=5e-9)
    raw = tandem([constant(1)] * 5, length=420, warm_up=20)
    for i, right in enumerate(yields):
        fault = {"chance": 1 - right, "found": "at once", "tries": 1000}
        raw["station"][f"M{i}"]["task"]["work"]["fault"] = fault
    found = [ledger.first_time / ledger.jobs_out for ledger in Line(raw).runs(40)]
    assert_mean_agrees(found, exact, must_see=0.03)
    assert_mean_differs(found, min(yields), must_see=0.03)  # as if only the worst station counted
    assert_mean_differs(found, rolled_yield(yields[:-1]), must_see=0.03)
