"""Jobs on their way: who was there at a death is suspected, and nobody is given up without a last chance."""

from linesim.runs.spread import Errand, WorkSpread

JOBS = [Errand(0, number) for number in range(1, 4)]


def spread(deaths: dict[Errand, int] | None = None) -> WorkSpread:
    """Return three jobs on their way."""
    return WorkSpread([b""], JOBS, seed=7, hand_over=lambda *_: None, deaths=deaths)


def test_nobody_is_given_up_who_was_not_alone() -> None:
    """Two that died together, then each beside the other by several workers, both have a last chance left."""
    found = spread()
    found.pending.clear()
    found.bury((JOBS[0], JOBS[1]))
    assert [found.next_block(1) for _ in range(2)] == [(JOBS[0],), (JOBS[1],)]
    found.bury((JOBS[0],), deaths=2)
    found.bury((JOBS[1],), deaths=2)
    assert list(found.pending) == JOBS[:2]
    assert found.outcome() == ()


def test_who_dies_alone_at_its_last_chance_is_given_up() -> None:
    """A job that saw two deaths runs alone; at the third it is lost, and told."""
    told: list[Errand] = []
    found = WorkSpread(
        [b""], JOBS, seed=7, hand_over=lambda *_: None, deaths={JOBS[1]: 2}, give_up=told.append
    )
    assert found.next_block(1) == (JOBS[0],)
    assert not found.may_start([(JOBS[0],)], room=5)
    assert found.next_block(1) == (JOBS[1],)
    found.bury((JOBS[1],))
    assert (found.outcome(), told) == ((JOBS[1],), [JOBS[1]])
    assert list(found.pending) == [JOBS[2]]


def test_who_saw_a_death_travels_alone() -> None:
    """Jobs that saw a death are sent one by one."""
    found = spread({JOBS[0]: 1})
    assert found.next_block(1) == (JOBS[0],)
