"""Floaters by hand: which of several calls they serve."""

from tests.lines import lines, run, trace


def test_a_floater_serves_the_call_nearest_its_limit() -> None:
    """Of two calls the floater answers the one nearest its limit first, then the other if it still stands.

    From 60 on both stations have 2 x 50 s and call, A with a limit at 120, B (late by half a takt) at 150.
    The floater is at A at 70, which is just in time, and free at 120. J2 at B calls then, but B's first
    call stands and is nearer its limit: help at 130 has nothing left to take. B stops 150-160. Then J2's
    call is answered.
    """
    ran = run(
        """
        takt = "60 s"
        section.line = "moving: A, B, rest"
        station.A.call_at = 0
        station.A.task.one = "50 s"
        station.A.task.two = "50 s"
        station.B.call_at = 0
        station.B.late = 0.5
        station.B.task.one = "50 s"
        station.B.task.two = "50 s"
        crew.a = "1: A"
        crew.b = "1: B"
        crew.help = { people = 1, covers = ["A", "B"], floater = true, response = "10 s" }
        """,
        length="175 s",
        jobs=2,
    )
    # J1 at A: called at 0, help at 10: one 0-50, two 10-60.
    assert trace(ran, "mark", "call", "help", "task start", "stop", "restart") == lines(
        """
          0 mark line
          0 task start #1 A.one by a 1
          0 call #1 A
         10 help #1 A by help 1
         10 task start #1 A.two by help 1
         60 mark line
         60 task start #2 A.one by a 1
         60 task start #1 B.one by b 1
         60 call #2 A
         60 call #1 B
         70 help #2 A by help 1
         70 task start #2 A.two by help 1
        110 task start #1 B.two by b 1
        120 mark line
        120 call #2 B
        130 help #1 B by help 1
        150 stop B overrun
        160 task start #2 B.one by b 1
        160 restart line
        170 help #2 B by help 1
        170 task start #2 B.two by help 1
        """
    )


def test_a_call_without_anybody_to_send_keeps_no_other_waiting() -> None:
    """Calls that other floaters can answer are answered, though a more urgent one must wait.

    At 120 all three stations call, with the same limit: the one furthest down first. C gets the only floater
    of B and C; B, which is next, gets nobody, and A its own.
    """
    work = "".join(
        f"""
        [station.{name}]
        call_at = 0
        [station.{name}.task]
        one = {{ time = "50 s" }}
        two = {{ time = "50 s" }}
        [crew.{name.lower()}]
        people = 1
        covers = ["{name}"]
        """
        for name in "ABC"
    )
    crews = "".join(
        f"""
        [crew.{name}]
        people = 1
        covers = {covers}
        floater = true
        response = "10 s"
        """
        for name, covers in (("first", '["A"]'), ("second", '["B", "C"]'))
    )
    section = '[section.line]\npacing = "moving"\nstations = ["A", "B", "C"]\n'
    ran = run('takt = "60 s"\n' + section + work + crews, length="140 s", jobs=3)
    assert trace(ran, "call", "help") == lines(
        """
          0 call #1 A
         10 help #1 A by first 1
         60 call #2 A
         60 call #1 B
         70 help #2 A by first 1
         70 help #1 B by second 1
        120 call #3 A
        120 call #2 B
        120 call #1 C
        130 help #3 A by first 1
        130 help #1 C by second 1
        """
    )


def test_a_floater_who_turned_back_starts_anew() -> None:
    """A floater whose call was closed on the way needs the whole response time for the next one.

    Response 55 s. J1 calls at A at 30, help is due at 85; the operator is done at 80 and the mark passes. At
    B, which calls at once, 2 x 50 s are due: help is there at 135, not at 85.
    """
    ran = run(
        """
        takt = "60 s"
        section.line = "moving: A, B"
        station.A.call_at = 0.5
        station.A.task.one = "40 s"
        station.A.task.two = "40 s"
        station.B.call_at = 0
        station.B.task.one = "50 s"
        station.B.task.two = "50 s"
        crew.a = "1: A"
        crew.b = "1: B"
        crew.help = { people = 1, covers = ["A", "B"], floater = true, response = "55 s" }
        """,
        length="140 s",
        jobs=1,
    )
    assert trace(ran, "mark", "call", "help") == lines(
        """
          0 mark line
         30 call #1 A
         80 mark line
         80 call #1 B
        135 help #1 B by help 1
        """
    )
