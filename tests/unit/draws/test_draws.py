"""What the engine asks of the draws."""

import numpy as np
import pytest

from linesim.draws import draws as draws_module
from linesim.draws.draws import DrawnBlock, _KeptBlocks, drawn
from linesim.draws.streams import to_ticks
from linesim.plan.orders import PlannedOrder
from linesim.scenario.shapes import Constant, Exponential, Gamma, Lognormal
from tests.luck import Luck, sheet
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
    faults=("K1.fit.leak", "K1.fit"),
)


def test_a_task_time_is_its_number_through_its_shape():
    """The ticks of a task are the stream's number through the quantile function, rounded once."""
    draws, stream = Luck(LINE, 5, 2), sheet(5, 2, "task", "K1.test", 1)
    numbers = [stream[job] for job in range(600)]
    expected = to_ticks(NORMAL_WORK.quantile(numbers)).tolist()
    assert [draws.task_ticks(1, job, 1, 0) for job in range(600)] == expected


def test_blocks_made_together_are_those_made_alone():
    """Whatever the shapes: the first blocks of all columns, made at once, are each column's own."""
    draws, n = Luck(LINE, 5, 3), len(LINE.columns.all)
    varying = [c for c in range(1, n) if (s := LINE.columns.all[c].shape) < 0 or draws.constant(s) < 0]
    together = Luck(LINE, 5, 4).blocks(varying, 0, 0, 64)
    for column, block in zip(varying, together, strict=True):
        assert block.tolist() == drawn([alone(column)])[0].tolist()
        assert not block.flags.writeable


def alone(column):
    """Return the first block of a column of replication 4 of the line, as nobody has drawn it yet."""
    found = LINE.columns.all[column]
    return DrawnBlock(5, 4, 0, 0, 64, found.key, LINE.shapes[found.shape] if found.shape >= 0 else None)


def test_repairs_failures_and_gaps_are_their_numbers_through_their_shapes():
    """Repairs go by fault, job and attempt; failures by mode and count; gaps by gate and count."""
    draws = Luck(LINE, 5, 2)

    def row(kind, name, place, shape, attempt=0):
        return int(to_ticks(shape.quantile(sheet(5, 2, kind, name, attempt)[place])))

    assert draws.repair_ticks("K1.fit.leak", 4, 17, 1) == row("repair", "K1.fit.leak", 17, REPAIR, 1)
    assert draws.mode_every(0, 300) == row("every", "robot.R1.jam", 300, RARE)
    assert draws.mode_lasts(0, 3) == row("lasts", "robot.R1.jam", 3, REPAIR)
    assert draws.gate_every("supply", 9) == row("gap", "supply", 9, RARE)
    assert draws.chance("fault", "K1.fit.leak", 8, 0) == sheet(5, 2, "chance:fault", "K1.fit.leak")[8]


def test_a_constant_time_is_not_drawn():
    """A shape without spread says its ticks beforehand; one with a spread does not."""
    draws = Luck(LINE, 1, 1)
    assert [draws.constant(shape) for shape in range(5)] == [-1, -1, 48000, -1, -1]


def test_all_times_of_a_task_come_from_one_number():
    """With the option that adds a quarter of work every job takes a quarter longer, none is redrawn."""
    draws = Luck(LINE, 1, 1)
    plain = np.array([draws.task_ticks(0, job, 0, 0) for job in range(500)])
    more = np.array([draws.task_ticks(0, job, 0, 1) for job in range(500)])
    np.testing.assert_allclose(more, plain * 1.25, atol=1.2)  # both rounded to the tick


def test_attempts_tasks_and_replications_differ():
    """A second attempt, another task, another replication and another seed each have other numbers."""
    times = {
        tuple(Luck(LINE, seed, replication).task_ticks(t, job, attempt, 0) for job in range(20))
        for seed, replication, t, attempt in [
            (1, 1, 0, 0), (1, 1, 0, 1), (1, 1, 1, 0), (1, 2, 0, 0), (2, 1, 0, 0),
        ]
    }  # fmt: skip
    assert len(times) == 5


def test_chances_do_not_share_a_stream_with_times():
    """A chance called "task" or "repair" has other numbers than the times of that kind and name."""
    draws = Luck(LINE, 1, 1)
    for kind in ("task", "repair", "every"):
        assert draws.chance(kind, "K1.fit", 0, 0) != sheet(1, 1, kind, "K1.fit")[0]


def test_chances_lie_in_the_unit_interval():
    """Every chance is at least 0 and below 1, so a chance of 0 never happens and of 1 always does."""
    draws = Luck(LINE, 1, 1)
    numbers = [draws.chance("fault", "K1.fit.leak", job, 0) for job in range(2000)]
    assert 0 <= min(numbers) < 0.01
    assert 0.99 < max(numbers) < 1


@pytest.mark.parametrize(
    ("seed", "replication", "message"), [(-1, 1, "seed must be"), (1, 0, "replication must be >= 1, got 0")]
)
def test_wrong_settings_are_refused(seed, replication, message):
    """Seed and replication outside their limits are errors at once."""
    with pytest.raises(ValueError, match=message):
        Luck(LINE, seed, replication)


def test_memory_does_not_grow_with_the_run(monkeypatch):
    """However much is drawn, no more numbers are kept than there is room for, and the last ones are."""
    monkeypatch.setattr(draws_module, "_KEPT", 1000)
    kept = _KeptBlocks()
    made = [kept.get([alone(1)._replace(b=b)])[0] for b in range(40)]
    assert sum(map(len, kept._blocks.values())) == kept._size <= 1000
    assert kept.get([alone(1)._replace(b=39)])[0] is made[39]
    again = kept.get([alone(1)._replace(b=0)])[0]
    assert again is not made[0] and again.tolist() == made[0].tolist()


@pytest.mark.parametrize(
    ("jobs", "n_tasks", "bits"), [(10, 2, 6), (300, 2, 8), (9000, 2, 11), (9000, 1001, 9)]
)
def test_blocks_are_about_as_long_as_the_run(jobs, n_tasks, bits):
    """Short runs draw little; with thousands of tasks a block is short, so that they fit in memory."""
    names = tuple(f"K1.t{i}" for i in range(n_tasks))
    draws = Luck(plan(tasks=names, modes={"robot.R1.jam": (0, 0)}, jobs=jobs), 1, 1)
    assert draws.bits(1) == bits
    assert draws.bits(draws.plan.columns.bay) == 6  # failures are rare


def test_orders_come_through():
    """The draws hand on the job sequence and the checks of its spacing rules."""
    draws = Luck(LINE, 1, 1)
    assert {draws.order(job) for job in range(200)} == {PlannedOrder(m, o) for m in (0, 1) for o in (0, 1)}
    assert draws.spacing_checks(10) == ()


def test_blocks_of_many_columns_are_made_once(monkeypatch):
    """The first column asked for brings those beside it, a second attempt what is done again too."""
    line = plan(tasks=tuple(f"K1.t{n}" for n in range(300)), jobs=700, again=(4, 280, 281))
    made = []
    monkeypatch.setattr("linesim.draws.draws.drawn", lambda blocks: made.append(len(blocks)) or drawn(blocks))
    draws = Luck(line, 23, 7)
    rows = 1 << draws.bits(1)
    found = [draws.block(column, 0, 3, rows) for column in range(1, 301)]
    assert made == [255, 45 + 2]  # not the order, which is no draw; also the gaps of supply and removal
    asked = (4, 1), (281, 1), (4, 2), (5, 1)
    found += [draws.block(column, attempt, 3, rows) for column, attempt in asked]
    assert made[2:] == [3, 1, 1]
    for numbers, (column, attempt) in zip(found[-5:], ((300, 0), *asked), strict=True):
        again = drawn([draws._drawn_block(column, attempt, 3, rows)])
        assert numbers.tolist() == again[0].tolist()
