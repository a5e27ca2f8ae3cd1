"""Calls for help by hand: when a station calls, who comes and goes off, what becomes of it."""

from tests.lines import Ran, counts, lines, operators, run, stations, stops, trace

#: One operator has 80 s of work in a takt of 60 s, in three tasks; the station calls after 30 s.
CALL = """
takt = "60 s"
[section.line]
pacing = "moving"
stations = ["A", "B"]
[station.A]
call_at = 0.5
[station.A.task]
one = { time = "40 s" }
two = { time = "20 s" }
three = { time = "20 s" }
[crew.a]
people = 1
covers = ["A"]
[crew.help]
people = 1
covers = ["A", "B"]
floater = true
response = "10 s"
"""

FLOATERS_BREAK = """
calendar = "floaters"
[calendar.day]
shifts = ["06:00-08:00"]
[calendar.floaters]
shifts = ["06:00-08:00"]
breaks = ["06:01-06:02"]
[run]
calendar = "day"
"""  #: Ends the table of the last crew: the floaters are off from 60 to 120 s.


def test_a_floater_comes_and_the_line_does_not_stop() -> None:
    """The station calls when what is left does not fit, and the floater counts as its crew from then on.

    At 30 the work left is 10 + 20 + 20 = 50 s for one person, and the limit is 30 s off: it calls. The
    floater is there at 40 and does the third task 40-60, while the operator does the second: both just in
    time.
    """
    ran = run(CALL, length="65 s", jobs=1)
    assert trace(ran, "call", "help", "task start", "task end", "stop") == lines(
        """
         0 task start #1 A.one by a 1
        30 call #1 A
        40 task end #1 A.one by a 1
        40 help #1 A by help 1
        40 task start #1 A.two by a 1
        40 task start #1 A.three by help 1
        60 task end #1 A.two by a 1
        60 task end #1 A.three by help 1
        """
    )
    assert stops(ran) == {}
    assert operators(ran) == {
        "a 1": {"working": 60, "waiting: job": 5},
        "help 1": {"waiting: job": 35, "walking": 10, "helping": 20},
    }
    for name, number in (("calls", 1), ("calls_answered", 1), ("call_response", 10_000)):
        assert counts(ran, name) == {"A": number}
    assert counts(ran, "calls_stopped") == {}
    # 10 s lie within every step, from 15 s on
    assert ran.ledger.call_within[0].tolist() == [1, 1, 1, 1, 1]


def test_a_floater_goes_on_to_the_next_task() -> None:
    """A floater who has done one task begins the next that waits, though nobody else has become free.

    At 40 the operator takes the second task (20 s), the floater the third and at 50 the fourth (20 s).
    """
    more = CALL.replace('three = { time = "20 s" }', 'three = { time = "10 s" }\nfour = { time = "20 s" }')
    ran = run(more, length="75 s", jobs=1)
    assert trace(ran, "task start", "stop", "restart") == lines(
        """
         0 task start #1 A.one by a 1
        40 task start #1 A.two by a 1
        40 task start #1 A.three by help 1
        50 task start #1 A.four by help 1
        60 stop A overrun
        70 restart line
        """
    )


def test_work_that_fits_calls_nobody() -> None:
    """A station whose remaining work fits its present staffing does not call; one second more and it does.

    At 30 the work left is 10 s of the first task and the rest; 20 + 20 with two operators make 50 in 2 x 30.
    """
    two = CALL.replace('people = 1\ncovers = ["A"]', 'people = 2\ncovers = ["A"]')
    assert counts(run(two, length="65 s", jobs=1), "calls") == {}
    short = CALL.replace('three = { time = "20 s" }', "")
    assert counts(run(short, length="65 s", jobs=1), "calls") == {}  # 10 + 20 = 30 s left for 30 s
    longer = short.replace('two = { time = "20 s" }', 'two = { time = "21 s" }')
    assert counts(run(longer, length="65 s", jobs=1), "calls") == {"A": 1}


def test_a_floater_who_comes_back_takes_what_waits() -> None:
    """A floater whose break falls into a call goes on with what waits there, though no other work ends then.

    Help 40-60 at the third task, off 60-120. The second task keeps the operator to 140; the fourth waits.
    """
    text = CALL.replace('two = { time = "20 s" }', 'two = { time = "100 s" }')
    text = text.replace('three = { time = "20 s" }', 'three = { time = "20 s" }\nfour = { time = "10 s" }')
    ran = run(text + FLOATERS_BREAK, length="150 s", jobs=1)
    assert trace(ran, "help", "task start")[1:] == lines(
        """
         40 help #1 A by help 1
         40 task start #1 A.two by a 1
         40 task start #1 A.three by help 1
        120 task start #1 A.four by help 1
        """
    )


def test_help_that_comes_too_late_turns_back() -> None:
    """A call that nobody answers before the job is done is closed, and counted as one that became a stop.

    Response 55 s: 30 to 85; the operator alone is done at 80, after a stop of 20 s.
    """
    ran = run(CALL.replace('response = "10 s"', 'response = "55 s"'), length="90 s", jobs=1)
    assert trace(ran, "call", "help", "stop", "restart") == lines(
        """
        30 call #1 A
        60 stop A overrun
        80 restart line
        """
    )
    assert operators(ran)["help 1"] == {"waiting: job": 40, "walking": 50}
    assert (counts(ran, "calls_answered"), counts(ran, "calls_stopped")) == ({}, {"A": 1})


def test_what_becomes_of_a_call_counts_where_the_call_does() -> None:
    """A call of the warm-up has no part in the counts, whatever becomes of it in the measured time.

    The call is at 30; help comes at 40, or turns back from a stop that begins at 60. With the warm-up over at
    25 or at 30, the call is measured and so is its end; over at 31, neither is.
    """
    late = CALL.replace('response = "10 s"', 'response = "55 s"')
    names = ("calls", "calls_answered", "call_response", "calls_stopped")

    def told(text: str, warm_up: int) -> list[dict[str, int]]:
        ran = run(text + f'[run]\nwarm_up = "{warm_up} s"\n', length=f"{90 - warm_up} s", jobs=1)
        assert trace(ran, "call") == ["30 call #1 A"]
        return [counts(ran, name) for name in names]

    assert [told(CALL, 25), told(CALL, 30)] == [[{"A": 1}, {"A": 1}, {"A": 10_000}, {}]] * 2
    assert [told(late, 25), told(late, 30)] == [[{"A": 1}, {}, {}, {"A": 1}]] * 2
    assert told(CALL, 31) == told(late, 31) == [{}, {}, {}, {}]


def test_a_floater_off_duty_waits_for_the_next_day() -> None:
    """Floaters off duty are not sent; one who is called before the break comes, and helps after it.

    The floaters' break is from 60 to 120 s. J1 calls at 30, help works 40-60. J2 calls at 90: nobody comes
    before 120, there at 130, when the operator is at the last task already.
    """
    ran = run(
        CALL + FLOATERS_BREAK,
        length="150 s",
        jobs=2,
    )
    assert trace(ran, "call", "help", "stop", "restart", "task start") == lines(
        """
          0 task start #1 A.one by a 1
         30 call #1 A
         40 help #1 A by help 1
         40 task start #1 A.two by a 1
         40 task start #1 A.three by help 1
         60 task start #2 A.one by a 1
         90 call #2 A
        100 task start #2 A.two by a 1
        120 task start #2 A.three by a 1
        120 stop A overrun
        130 help #2 A by help 1
        140 restart line
        """
    )
    # 30-40 and 120-130 on the way, 40-60 at work; 130-140 there with nothing left to take
    assert operators(ran)["help 1"] == {"waiting: job": 50, "walking": 20, "helping": 20, "off": 60}


def _paused() -> Ran:
    """Return a line whose floater goes off in the middle of a task."""
    text = CALL.replace('three = { time = "20 s" }', 'three = { time = "50 s" }')
    return run(
        text + FLOATERS_BREAK,
        length="160 s",
        jobs=1,
    )


def test_a_floater_who_goes_off_pauses_the_task() -> None:
    """A floater's task pauses in the floaters' break, and the section stands for it.

    Third task of 50 s: 40-60, pause to 120, 120-150. The section stands from 60 on, as waiting: at the limit
    the second task just ends and the third is paused.
    """
    ran = _paused()
    assert trace(ran, "task pause", "task resume", "task end", "stop", "restart")[1:] == lines(
        """
         60 task end #1 A.two by a 1
         60 task pause #1 A.three by help 1
         60 stop A waiting
        120 task resume #1 A.three by help 1
        150 task end #1 A.three by help 1
        150 restart line
        """
    )
    assert stops(ran) == {"A waiting": 90}
    assert stations(ran)["A"] == {"working": 90, "waiting: crew": 60, "starved": 10}
    assert operators(ran)["help 1"] == {"waiting: job": 40, "walking": 10, "helping": 50, "off": 60}
