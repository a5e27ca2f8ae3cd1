"""Moving and indexed lines with published traces and published task networks."""

from collections.abc import Sequence

import pytest

from tests.formulas.precedence import Network, tails
from tests.lines import Tables, counts, lines, paced, run_tables, sections, stations, stops, trace

# A line stop, job by job

#: Six jobs (rows), three stations of one pitch, takt 60 s.
STOPS = ([55, 62, 58], [70, 50, 61], [48, 66, 59], [60, 60, 75], [52, 58, 57], [64, 49, 63])


def test_line_stop_trace() -> None:
    """Stops that coincide count once, to whoever began them, and are handed on when that one is done.

    Pitch k is max(60, times on the line): 60 70 60 66 60 75 60 63, 514 s in all, 34 s of them stopped; the
    overruns one by one are 41 s. By hand, mark by mark (limit 60 s after each):

    mark 0: J1 55 at S1. Mark 60: J2 70 at S1, J1 62 at S2. Limit 120: both are over it; S2, further down, is
    first and keeps the minutes until 122, then S1 until 130. Mark 130: 48, 50, 58, nobody over. Mark 190: J4
    60 (just in time), J3 66, J2 61. Limit 250: S3 to 251, then S2 to 256. Mark 256: 52, 60, 59. Mark 316: J6
    64, J5 58, J4 75. Limit 376: S3 to 391 all through, S1 until 380 beside it. Mark 391: J6 49, J5 57. Mark
    451: J6 63 at S3. Limit 511: S3 to 514.
    """
    ran = run_tables(paced(STOPS, takt=60, length=514.001))
    assert trace(ran, "mark", "stop", "restart", "line-off") == lines(
        """
          0 mark line
         60 mark line
        120 stop S2 overrun
        122 stop S1 overrun
        130 mark line
        130 restart line
        190 mark line
        190 line-off #1
        250 stop S3 overrun
        251 stop S2 overrun
        256 mark line
        256 line-off #2
        256 restart line
        316 mark line
        316 line-off #3
        376 stop S3 overrun
        391 mark line
        391 line-off #4
        391 restart line
        451 mark line
        451 line-off #5
        511 stop S3 overrun
        514 mark line
        514 line-off #6
        514 restart line
        """
    )
    assert stops(ran) == {"S1 overrun": 8, "S2 overrun": 7, "S3 overrun": 19}
    assert sections(ran) == {"line": {"running": 480.001, "stopped": 34}}
    assert counts(ran, "overruns") == {"S1": 2, "S2": 2, "S3": 3}
    assert counts(ran, "overload") == {"S1": 14_000, "S2": 8_000, "S3": 19_000}  # 41 s in all
    assert sum(account["working"] for account in stations(ran).values()) == sum(map(sum, STOPS))
    assert stations(ran) == {
        # Has a job from 0 to 391: works 349, spare 60-55 + 60-48 + 60-52, stopped 250-256 (its job was done
        # just in time) and 380-391. Empty then; from 511 to 514 no job could come: stopped, not starved.
        "S1": {"working": 349, "spare": 25, "stopped": 20, "starved": 120.001},
        # From 60 to 451: works 345, spare 10 + 2 + 11, stopped 122-130, 376-391, and empty 511-514.
        "S2": {"working": 345, "spare": 23, "stopped": 26, "starved": 120.001},
        # From 130 to 514: works 373, spare 2 + 1 + 3, stopped 251-256, and empty 120-130.
        "S3": {"working": 373, "spare": 6, "stopped": 15, "starved": 120.001},
    }
    assert ran.ledger.first_time == 6  # a job that stopped the line and was finished there left nothing open


# An operator who drifts

#: Heavy and basic jobs on a station that reaches 20 s past its border.
HEAVY, BASIC = 70, 52


def drifting(
    times: Sequence[float], *, length: float, walk_speed: float | None = None
) -> tuple[list[float], list[float]]:
    """Return start after entry and work left at the limit, by job, for one operator; takt 60 s [s]."""
    raw = paced([(t, 0) for t in times], takt=60, length=60 * len(times) + 200)
    raw["station"]["S2"] = {}
    raw["station"]["S1"]["task"]["work"] |= {"people": 1}
    raw["station"]["S1"] |= {"late": (length - 60) / 60, "on_limit": "pass", "open_to": "S2"}
    raw["crew"] = {"operator": {"people": 1, "covers": ["S1"]}}
    if walk_speed is not None:
        raw["crew"]["operator"]["walk_speed"] = walk_speed
    raw["crew"]["finisher"] = {"people": len(times), "covers": ["S2"]}
    ran = run_tables(raw)
    at_s1 = [e for e in ran.events if e.station == 0]
    entry = [e.time for e in at_s1 if e.what == "enter"]
    start = [e.time for e in at_s1 if e.what == "task start"]
    end = [e.time for e in at_s1 if e.what in ("task end", "task left")]
    left = [t - (e - s) / 1000 for t, s, e in zip(times, start, end, strict=True)]
    assert sum(left) == ran.ledger.overload[0] / 1000
    return [(s - e) / 1000 for s, e in zip(start, entry, strict=True)], left


@pytest.mark.parametrize(
    ("order", "starts", "left"),
    [
        ("HHBHHBBHBH", [0, 10, 20, 12, 20, 20, 12, 4, 14, 6], [0, 0, 0, 2, 10, 0, 0, 0, 0, 0]),
        ("HBHBHBHBHB", [0, 10, 2, 12, 4, 14, 6, 16, 8, 18], [0] * 10),
    ],
)
def test_displacement_of_an_operator(order: str, starts: list[float], left: list[float]) -> None:
    """An operator who walks back at once must start, and leave over, what the recursion says.

    s' = max(0, min(s + T, 80) - 60), left over max(0, s + T - 80); C. A. Yano, R. Rachamadugu, Management
    Science 37 (1991) 572-586 (citation from memory), recomputed by hand.
    """
    times = [HEAVY if letter == "H" else BASIC for letter in order]
    assert drifting(times, length=80) == (starts, left)


def test_displacement_of_eight_jobs() -> None:
    """Eight different jobs on a station of 85 s must leave over 16 s of the sixth only. By the same rule."""
    starts, left = drifting((70, 52, 75, 66, 58, 80, 45, 71), length=85)
    assert starts == [0, 10, 2, 17, 23, 21, 25, 10]
    assert left == [0, 0, 0, 0, 0, 16, 0, 0]


def test_walking_back_takes_time() -> None:
    """An operator who walks at five times the conveyor's speed meets the next job at 5/6 of the way back.

    s' = max(0, f - c w / (w + 1)) with f the finish, c = 60, w = 5: 50 s instead of 60. By hand: finishes 70,
    72, 85, 85, 85, 85, 80, 85 (cut at 85), starts 50 less.
    """
    starts, left = drifting((70, 52, 75, 66, 58, 80, 45, 71), length=85, walk_speed=5.0)
    assert starts == [0, 20, 22, 35, 35, 35, 35, 30]
    assert left == [0, 0, 12, 16, 8, 30, 0, 16]


# Task networks nobody here invented

#: Scholl, Data of Assembly Line Balancing Problems, TH Darmstadt, Schriften zur Quantitativen
#: Betriebswirtschaftslehre 16/93: times and direct precedence of Mitchell 1957, Jackson 1956, Mertens 1967.
MITCHELL = Network(
    (4, 3, 9, 5, 9, 4, 8, 7, 5, 1, 3, 1, 5, 3, 5, 3, 13, 5, 2, 3, 7),
    (
        (1, 2), (1, 3), (2, 21), (3, 4), (4, 5), (4, 21), (5, 6), (5, 7), (6, 8), (7, 8), (7, 14), (8, 9),
        (9, 10), (9, 11), (9, 12), (9, 13), (10, 15), (11, 15), (12, 15), (13, 17), (13, 18), (14, 19),
        (15, 16), (15, 18), (16, 17), (17, 20), (18, 19),
    ),
)  # fmt: skip
JACKSON = Network(
    (6, 2, 5, 7, 1, 2, 3, 6, 5, 5, 4),
    (
        (1, 2), (1, 3), (1, 4), (1, 5), (2, 6), (3, 7), (4, 7), (5, 7), (6, 8), (7, 9), (8, 10), (9, 11),
        (10, 11),
    ),
)  # fmt: skip
MERTENS = Network((1, 5, 4, 3, 5, 6, 5), ((1, 2), (1, 4), (2, 3), (2, 5), (4, 7), (5, 6)))


def network_line(
    network: Network, groups: Sequence[Sequence[int]], *, takt: float, operators: int = 1, **section: object
) -> Tables:
    """Return a line whose stations do the tasks of ``groups``, in this order in the file."""
    home = {t: f"S{k + 1}" for k, group in enumerate(groups) for t in group}
    raw: Tables = {
        "title": "network", "takt": f"{takt:g} s", "flow": ["line"],
        "run": {"warm_up": f"{takt * len(groups):g} s", "length": f"{takt * 100:g} s", "replications": 1},
        "section": {"line": {"pacing": "moving", "stations": list(dict.fromkeys(home.values())), **section}},
        "station": {}, "crew": {},
    }  # fmt: skip
    for k, group in enumerate(groups):
        raw["crew"][f"crew{k + 1}"] = {"people": operators, "covers": [f"S{k + 1}"]}
        raw["station"][f"S{k + 1}"] = {
            "task": {
                f"t{t}": {
                    "time": f"{network.times[t - 1]:g} s",
                    "after": [f"{home[a]}.t{a}" for a, b in network.before if b == t],
                }
                for t in group
            }
        }
    return raw


BALANCES = {
    "Mitchell": (
        MITCHELL,
        ((1, 2, 3, 4), (5, 6, 7), (8, 9, 10, 11, 13), (12, 15, 16, 18, 21), (14, 17, 19, 20)),
        21,
    ),
    "Jackson": (JACKSON, ((1, 2, 6), (5, 8), (3, 10), (4, 7), (9, 11)), 10),
}  # fmt: skip


@pytest.mark.parametrize("pacing", ["moving", "indexed"])
@pytest.mark.parametrize("name", BALANCES)
def test_a_published_balance_runs_without_overruns(name: str, pacing: str) -> None:
    """Published optimal balances fit their takt to the second: no stop, and a job a takt."""
    network, groups, takt = BALANCES[name]
    ran = run_tables(network_line(network, groups, takt=takt, pacing=pacing))
    assert counts(ran, "overruns") == {}
    assert stops(ran) == {}
    assert ran.ledger.jobs_out == 100
    loads = [sum(network.times[t - 1] for t in group) for group in groups]
    assert [account["working"] for account in stations(ran).values()] == [100 * load for load in loads]


@pytest.mark.parametrize("name", BALANCES)
def test_a_takt_one_second_shorter_overruns(name: str) -> None:
    """With a takt one second shorter the fullest stations overrun every job by a second."""
    network, groups, takt = BALANCES[name]
    ran = run_tables(network_line(network, groups, takt=takt - 1))
    full = [f"S{k + 1}" for k, g in enumerate(groups) if sum(network.times[t - 1] for t in g) == takt]
    assert set(counts(ran, "overruns")) == set(full)
    assert sum(stops(ran).values()) == pytest.approx(100 * (takt - 1) / takt, abs=1)  # 1 s of every pitch
    assert ran.ledger.jobs_out == 100 * (takt - 1) // takt


@pytest.mark.parametrize(
    ("network", "starts"),
    [
        (MERTENS, (0, 1, 9, 1, 6, 11, 4)),  # by hand
        (JACKSON, (0, 6, 8, 6, 13, 13, 14, 15, 17, 21, 26)),  # by hand
    ],
)
def test_two_operators_at_one_job(network: Network, starts: tuple[float, ...]) -> None:
    """Two operators must start each task when the list rule says, where the file lists the most urgent first.

    The list rule takes the ready task with the longest chain ahead, ties to the lowest number; at one job
    our rule is file order.
    """
    chain = tails(network)
    urgent = sorted(range(1, len(network.times) + 1), key=lambda t: (-chain[t - 1], t))
    ran = run_tables(network_line(network, [urgent], takt=100, operators=2) | {"run": {"length": "100 s"}})
    begun = {ran.plan.names.task[e.task]: e.time / 1000 for e in ran.events if e.what == "task start"}
    assert tuple(begun[f"S1.t{t}"] for t in range(1, len(starts) + 1)) == starts
