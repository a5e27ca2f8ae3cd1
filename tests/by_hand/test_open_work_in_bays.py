"""Open work that bays do, by hand, and what is left in the end."""

from tests.lines import lines, run, stations, trace
from tests.luck import Luck

BAY = """
[section.line]
pacing = "moving"
stations = ["A", "B"]
[station.A]
on_limit = "pass"
[station.A.task.frame]
time = "13 s"
people = 0
[station.B.task.bolt]
time = "2 s"
people = 0
after = ["A.frame"]
[bay.rework]
section = "line"
waiting = 1
rejoin = "out"
[crew.r]
people = 1
covers = ["rework"]
"""

#: The put goes wrong, B finds it, the bay `first` sends the job back to A; the bay `last` does what is open.
LOOP = """
flow = ["pre", "lane", "line", "post"]
[section.pre]
pacing = "free"
stations = ["P"]
[section.line]
pacing = "moving"
stations = ["A", "B"]
[section.post]
pacing = "free"
stations = ["Z"]
[buffer.lane]
capacity = 1
[station.P.task.put]
time = "0 s"
people = 0
fault = "1 at B, first 5 s"
[station.A]
on_limit = "pass"
open_to = "last"
[station.A.task.weld]
time = "12 s"
people = 0
[station.A.task.seal]
time = "11 s"
people = 0
[station.Z.task.look]
time = "1 s"
people = 0
[bay.first]
section = "line"
rejoin = "lane"
[bay.last]
section = "post"
rejoin = "out"
[crew.r]
people = 1
covers = ["first", "last"]
"""


def test_a_bay_does_open_work_and_what_comes_after_it() -> None:
    """A bay puts right the sum of what is open: 3 s of the frame and the bolts of 2 s, 20 to 25."""
    ran = run(BAY, length="35 s", jobs=1)
    assert trace(ran, "open work", "bay in", "bay out", "line-off") == lines(
        """
        10 open work #1 A
        10 open work #1 B
        20 bay in #1 rework
        25 bay out #1 rework
        25 line-off #1
        """
    )
    assert stations(ran)["B"] == {"spare": 10, "starved": 25}
    assert (ran.ledger.escaped, ran.ledger.reworked, ran.ledger.first_time) == (0, 1, 0)
    assert ran.ledger.bay_working.tolist() == [5000]


def test_jobs_that_a_bay_has_done_at_one_moment_leave_at_that_moment() -> None:
    """J1 leaves 13 s of its frame, J2 3 s, both the bolts of 2 s: the bay has J1 20-35 and J2 30-35."""
    text = BAY.replace('time = "13 s"', 'time = "13 s"\ntime_for = { long = "23 s" }').replace(
        "waiting", "places"
    )
    ran = run(text.replace("places = 1", "places = 2").replace("people = 1", "people = 2"), length="40 s",
              jobs=["long", "short"])  # fmt: skip
    assert trace(ran, "bay in", "bay out", "line-off") == lines(
        """
        20 bay in #1 rework
        30 bay in #2 rework
        35 bay out #1 rework
        35 line-off #1
        35 bay out #2 rework
        35 line-off #2
        """
    )


def test_open_work_that_a_full_bay_sends_on_has_left() -> None:
    """A bay that is full and carries on lets the job leave with open work, and counts it.

    J1 in the bay's only place 20 to 25 + 20 s more of work; J2 comes at 30 and goes on.
    """
    text = BAY.replace('"13 s"', '"33 s"').replace("waiting = 1", 'on_full = "carry on"')
    ran = run(text, length="60 s", jobs=2)
    assert trace(ran, "bay in", "bay out", "line-off") == lines(
        """
        20 bay in #1 rework
        30 line-off #2
        45 bay out #1 rework
        45 line-off #1
        """
    )
    assert ran.ledger.bay_carried_on.tolist() == [1]
    assert (ran.ledger.jobs_out, ran.ledger.escaped, ran.ledger.out_of_sequence) == (2, 1, 1)


def test_a_second_pass_does_open_work_where_it_belongs() -> None:
    """A job that a bay sends upstream again does its open work at its own station, and once only.

    The weld (12 s) and the seal (11 s) are left at 10 with 2 s and 1 s, for the bay `last`; B finds the fault
    and sends the job to the bay `first` at the end of its section, which sends it back into the lane. On the
    second pass A does all of both again and leaves 3 s again: the bay `last` has 3 s to do, not 6.
    """
    ran = run(LOOP, length="90 s", jobs=1)
    # The put takes no time: the job is there for the mark of 0. Bay 20-25, on at the mark of 30, Z 50-51.
    assert trace(ran, "enter", "open work", "found", "bay in", "bay out", "line-off") == lines(
        """
         0 enter #1 P
         0 enter #1 A
        10 open work #1 A
        10 found #1 B P.put.fault
        10 enter #1 B
        20 bay in #1 first
        25 bay out #1 first
        30 enter #1 A
        40 open work #1 A
        40 enter #1 B
        50 enter #1 Z
        51 bay in #1 last
        54 bay out #1 last
        54 line-off #1
        """
    )


def test_a_second_pass_leaves_open_work_of_other_stations_alone() -> None:
    """What P left open before the loop, 2 s of its plug, the bay `last` does beside the 3 s of A.

    P works 0 to 10; A and B 10 to 30, where the job leaves for the bay `first`, 30 to 35; again 40 to 60.
    """
    early = """
        [station.P]
        on_limit = "pass"
        open_to = "last"
        [station.P.task.plug]
        time = "12 s"
        people = 0
        """
    ran = run(LOOP.replace('"free"', '"moving"', 1) + early, length="90 s", jobs=1)
    assert trace(ran, "open work", "bay in", "bay out") == lines(
        """
        10 open work #1 P
        20 open work #1 A
        30 bay in #1 first
        35 bay out #1 first
        50 open work #1 A
        61 bay in #1 last
        66 bay out #1 last
        """
    )


#: What A leaves goes to the bay `near`, what B leaves to the bay `far` at the end of the line, and C is last.
TWO_BAYS = """
flow = ["line", "lane", "post"]
[section.line]
pacing = "moving"
stations = ["A", "B", "C"]
[section.post]
pacing = "free"
stations = ["Z"]
[buffer.lane]
capacity = 1
[station.A]
on_limit = "pass"
open_to = "near"
[station.B]
on_limit = "pass"
open_to = "far"
[station.A.task.one]
time = "12 s"
people = 0
[station.B.task.two]
time = "13 s"
people = 0
[station.C.task.three]
time = "1 s"
people = 0
after = ["A.one", "B.two"]
[bay.near]
section = "line"
rejoin = "lane"
[bay.far]
section = "post"
rejoin = "out"
[crew.r]
people = 1
covers = ["near", "far"]
"""


def test_what_comes_after_open_work_goes_to_the_furthest_of_its_places() -> None:
    """The third task comes after both: it is done in the further bay, where the last of them is done.

    Near: 2 s of the first task, 30-32. Far: 3 s of the second and the third, 1 s: 32-36.
    """
    ran = run(TWO_BAYS, length="50 s", jobs=1)
    assert trace(ran, "open work", "bay in", "bay out") == lines(
        """
        10 open work #1 A
        20 open work #1 B
        20 open work #1 C
        30 bay in #1 near
        32 bay out #1 near
        32 bay in #1 far
        36 bay out #1 far
        """
    )


def test_what_goes_along_takes_along_what_comes_after_it() -> None:
    """A chain goes along as a whole, in whichever order the file names its tasks.

    The fourth task comes after the third, the third after the first, of which 2 s are left for the near bay.
    """
    chain = TWO_BAYS.replace("[station.C.task.three]", '[station.C.task.four]\ntime = "5 s"\npeople = 0\n'
                             'after = ["three"]\n[station.C.task.three]')  # fmt: skip
    ran = run(chain.replace(', "B.two"]', "]").replace('"13 s"', '"3 s"'), length="50 s", jobs=1)
    assert trace(ran, "bay in", "bay out") == ["30 bay in #1 near", "38 bay out #1 near"]


def test_what_a_bay_has_done_is_done_for_what_comes_after_it() -> None:
    """Work further down that comes after open work begins once a bay has done that: the look at Z, 32-33."""
    look = '[station.Z.task.look]\ntime = "1 s"\npeople = 0\nafter = ["A.one"]\n'
    text = TWO_BAYS.replace('"13 s"', '"3 s"').replace("[bay.near]", look + "[bay.near]")
    ran = run(text.replace('after = ["A.one", "B.two"]\n', ""), length="50 s", jobs=1)
    assert trace(ran, "bay out", "line-off") == ["32 bay out #1 near", "33 line-off #1"]


def test_work_that_goes_along_takes_the_time_it_would_have_taken() -> None:
    """The third task, never begun at its station, takes its first drawn time in the bay."""
    drawn = TWO_BAYS.replace('"1 s"', '{ shape = "uniform", low = "1 s", high = "9 s" }')
    ran = run(drawn, length="50 s", jobs=1)
    names = ran.plan.names
    task, bay = names.task.index("C.three"), names.bay.index("far")
    shape = ran.plan.tasks.time_shape.tolists()[task][0]
    first = next(event.job for event in ran.events if event.what == "line-on")
    ticks = Luck(ran.plan, 1, 1).task_ticks(task, first, 0, shape)
    assert ran.ledger.bay_working[bay] == 3000 + ticks


def test_open_work_that_a_bay_did_not_manage_leaves_open() -> None:
    """A bay without success leaves the work open: the job is finished, not reworked."""
    ran = run(BAY.replace("waiting = 1", "success = 0"), length="35 s", jobs=1)
    assert trace(ran, "bay in", "bay out", "line-off") == lines(
        """
        20 bay in #1 rework
        25 bay out #1 rework
        25 line-off #1
        """
    )
    ledger = ran.ledger
    assert (ledger.escaped, ledger.reworked, ledger.first_time) == (1, 0, 0)
    assert (ledger.bay_jobs[0], ledger.bay_good[0]) == (1, 0)
