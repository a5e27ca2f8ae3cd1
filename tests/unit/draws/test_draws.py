"""What the engine asks of the draws."""

import numpy as np
import pytest

from linesim.draws.draws import Draws
from linesim.draws.streams import Streams, to_ticks
from linesim.plan.orders import Order
from linesim.scenario.shapes import Constant, Exponential, Gamma, Lognormal
from tests.unit.draws.small import book, plan

NORMAL_WORK = Lognormal(mean="60 s", cv=0.2)
MORE_WORK = Lognormal(mean="75 s", cv=0.2)
FIXED = Constant(mean="48.0004 s")
RARE = Exponential(mean="3600 s")
REPAIR = Gamma(mean="300 s", cv=0.5)
LINE = plan(
    shapes=(NORMAL_WORK, MORE_WORK, FIXED, RARE, REPAIR),
    modes={"robot.R1.jam": (3, 4), "station.K1.parts": (-1, 2)},
    supply=3,
    orders=book(shares=(0.5, 0.5), takes={"roof": 0.3}),
)


def test_a_task_time_is_its_number_through_its_shape():
    """The ticks of a task are the stream's number through the quantile function, rounded once."""
    draws, sheet = Draws(LINE, 5, 2), Streams(5, 2).sheet("task", "K1.test", 1)
    numbers = [sheet[job] for job in range(600)]
    expected = to_ticks(NORMAL_WORK.quantile(numbers)).tolist()
    assert [draws.task_ticks(1, job, 1, 0) for job in range(600)] == expected


def test_repairs_failures_and_gaps_are_their_numbers_through_their_shapes():
    """Repairs go by fault, job and attempt; failures by mode and count; gaps by gate and count."""
    draws, streams = Draws(LINE, 5, 2), Streams(5, 2)

    def row(kind, name, place, shape, attempt=0):
        return int(to_ticks(shape.quantile(streams.sheet(kind, name, attempt)[place])))

    assert draws.repair_ticks("K1.fit.leak", 4, 17, 1) == row("repair", "K1.fit.leak", 17, REPAIR, 1)
    assert draws.mode_every(0, 300) == row("every", "robot.R1.jam", 300, RARE)
    assert draws.mode_lasts(0, 3) == row("lasts", "robot.R1.jam", 3, REPAIR)
    assert draws.gate_every("supply", 9) == row("gap", "supply", 9, RARE)
    assert draws.chance("fault", "K1.fit.leak", 8, 0) == streams.sheet("chance:fault", "K1.fit.leak")[8]


def test_a_constant_time_is_not_drawn():
    """A shape without spread gives its ticks for every job and no stream is opened for it."""
    draws = Draws(LINE, 1, 1)
    assert {draws.task_ticks(0, job, 0, 2) for job in range(50)} == {48000}
    assert draws.mode_lasts(1, 0) == 48000
    assert draws.repair_ticks("leak", 2, 5, 0) == 48000
    assert not draws._sheets


def test_all_times_of_a_task_come_from_one_number():
    """With the option that adds a quarter of work every job takes a quarter longer, none is redrawn."""
    draws = Draws(LINE, 1, 1)
    plain = np.array([draws.task_ticks(0, job, 0, 0) for job in range(500)])
    more = np.array([draws.task_ticks(0, job, 0, 1) for job in range(500)])
    np.testing.assert_allclose(more, plain * 1.25, atol=1.2)  # both rounded to the tick


def test_attempts_tasks_and_replications_differ():
    """A second attempt, another task, another replication and another seed each have other numbers."""
    times = {
        tuple(Draws(LINE, seed, replication).task_ticks(t, job, attempt, 0) for job in range(20))
        for seed, replication, t, attempt in [
            (1, 1, 0, 0), (1, 1, 0, 1), (1, 1, 1, 0), (1, 2, 0, 0), (2, 1, 0, 0),
        ]
    }  # fmt: skip
    assert len(times) == 5


def test_chances_do_not_share_a_stream_with_times():
    """A chance called "task" or "repair" has other numbers than the times of that kind and name."""
    draws, streams = Draws(LINE, 1, 1), Streams(1, 1)
    for kind in ("task", "repair", "every"):
        assert draws.chance(kind, "K1.fit", 0, 0) != streams.sheet(kind, "K1.fit")[0]


def test_chances_lie_in_the_unit_interval():
    """Every chance is at least 0 and below 1, so a chance of 0 never happens and of 1 always does."""
    draws = Draws(LINE, 1, 1)
    numbers = [draws.chance("fault", "leak", job, 0) for job in range(2000)]
    assert 0 <= min(numbers) < 0.01
    assert 0.99 < max(numbers) < 1


def test_what_is_not_there_is_not_drawn():
    """A mode that counts jobs has no time between failures, an open gate no gap: asking is an error."""
    draws = Draws(LINE, 1, 1)
    with pytest.raises(ValueError, match=r"station\.K1\.parts: no shape is given for 'every'"):
        draws.mode_every(1, 0)
    with pytest.raises(ValueError, match="removal: no shape is given for 'gap'"):
        draws.gate_every("removal", 0)
    with pytest.raises(IndexError, match="must be >= 0"):
        draws.task_ticks(0, -1, 0, 0)


@pytest.mark.parametrize(
    ("seed", "replication", "block", "message"),
    [
        (-1, 1, 256, "seed must be"),
        (1, 0, 256, "replication must be >= 1, got 0"),
        (1, 1, 12, "block must be a power of two >= 4, got 12"),
        (1, 1, 2, "block must be a power of two"),
    ],
)
def test_wrong_settings_are_refused(seed, replication, block, message):
    """Seed, replication and block outside their limits are errors at once."""
    with pytest.raises(ValueError, match=message):
        Draws(LINE, seed, replication, block=block)


def test_memory_does_not_grow_with_the_run():
    """After 300 jobs and after 20 000 the same number of blocks is kept."""
    draws = Draws(LINE, 1, 1, block=16)

    def run(jobs):
        for job in jobs:
            draws.order(job)
            draws.chance("fault", "leak", job, 0)
            draws.repair_ticks("leak", 4, job, 0)
            for t in (0, 1):
                draws.task_ticks(t, job, 0, 0)
        kept = [len(draws._cells), sum(map(len, draws._held.values()))]
        kept += [sum(len(sheet._blocks) for sheet in draws._sheets.values())]
        return [*kept, sum(map(len, draws._chances.values())), len(draws._sequence._mix._blocks)]

    assert run(range(300)) == run(range(300, 20_000)) == [6, 6, 8, 2, 2]


def test_large_lines_use_short_blocks():
    """With thousands of tasks a block is short, so that ten thousand tasks fit in memory; numbers stay."""
    names = tuple(f"K1.t{i}" for i in range(1001))
    large = Draws(plan(tasks=names, shapes=(NORMAL_WORK,)), 1, 1)
    small = Draws(plan(tasks=names[:2], shapes=(NORMAL_WORK,)), 1, 1)
    assert [large.task_ticks(1, job, 0, 0) for job in range(300)] == [
        small.task_ticks(1, job, 0, 0) for job in range(300)
    ]
    assert {len(cell) for cell in large._cells.values()} == {64}


def test_orders_come_through():
    """The draws hand on the job sequence and the checks of its spacing rules."""
    draws = Draws(LINE, 1, 1)
    assert {draws.order(job) for job in range(200)} == {Order(m, o) for m in (0, 1) for o in (0, 1)}
    assert draws.spacing_checks(10) == ()
