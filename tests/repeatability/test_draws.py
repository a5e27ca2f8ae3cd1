"""The same key gives the same numbers, whatever else is asked, added or changed; alternatives share luck."""

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linesim.draws.streams import stream_key
from linesim.plan.orders import PlannedOrders, PlannedPackage, PlannedSpacing
from linesim.scenario.shapes import Exponential, Gamma, Lognormal, Triangular, Uniform
from tests.luck import Luck, Sheet
from tests.statistical import assert_mean_agrees, assert_mean_differs
from tests.unit.draws.small import plan

SHAPES = (
    Lognormal(mean="60 s", cv=0.15),
    Gamma(mean="360 s", cv=0.8),
    Exponential(mean="10800 s"),
    Triangular(low="50 s", mode="58 s", high="90 s"),
    Lognormal(mean="66 s", cv=0.15),
)
ORDERS = PlannedOrders(
    "random", ("plain", "cab"), ("roof", "hitch", "radio"), (0.6, 0.4), ((0.3, 0.1), (0.2, 0.2), (0.5, 0.4)),
    packages=(PlannedPackage("sound", (0.1, 0.2), (1, 2)),),
)  # fmt: skip
MODES = {"robot.R1.jam": (2, 1), "section.cab.chain": (2, 1)}
LINE = plan(
    tasks=("K1.fit", "K1.test"), shapes=SHAPES, modes=MODES, supply=2, orders=ORDERS, faults=("K1.fit",)
)

ASKED = ["task", "attempt", "option time", "repair", "every", "lasts", "gap", "chance", "order"]


def ask(draws, what, row):
    """Return one draw of a kind."""
    return {
        "task": lambda: draws.task_ticks(0, row, 0, 0),
        "attempt": lambda: draws.task_ticks(1, row, 1, 3),
        "option time": lambda: draws.task_ticks(0, row, 0, 4),
        "repair": lambda: draws.repair_ticks("K1.fit", 1, row, 0),
        "every": lambda: draws.mode_every(0, row),
        "lasts": lambda: draws.mode_lasts(1, row),
        "gap": lambda: draws.gate_every("supply", row),
        "chance": lambda: draws.chance("fault", "K1.fit", row, 0),
        "order": lambda: draws.order(row),
    }[what]()


def everything(draws, rows=range(40)):
    """Return every kind of draw for some rows."""
    return {(what, row): ask(draws, what, row) for what in ASKED for row in rows}


def test_recorded_numbers():
    """The first numbers of a few streams are those recorded: on any machine, with any numpy.

    Recorded from this program; a change here changes every result of every scenario.
    """
    key = stream_key(1, 1, "task", "K1.fit", 0)
    assert f"{key:032x}" == "606e3c0b04909065c0d2a8e3ea772ca6"
    assert [int(number * 2**53) for number in map(Sheet(key).__getitem__, range(4))] == [
        6737453117587895,
        478625994052142,
        50808448795074,
        6276045857959883,
    ]
    draws = Luck(LINE, 1, 1)
    assert {what: [ask(draws, what, row) for row in range(4)] for what in ASKED[:-2]} == {
        "task": [65556, 46632, 40660, 64076],
        "attempt": [68947, 53050, 69252, 77823],
        "option time": [72111, 51295, 44726, 70483],
        "repair": [235311, 60233, 58759, 64422],
        "every": [11529518, 9863679, 18772425, 12968676],
        "lasts": [257989, 222994, 277779, 788774],
        "gap": [501641, 32674555, 19569987, 5685055],
    }
    assert [int(ask(draws, "chance", row) * 2**53) for row in range(4)] == [
        6712312966904157,
        7714704013532210,
        1604892333860080,
        69318538769378,
    ]
    assert [(o.model, o.options) for o in map(draws.order, range(12))] == [
        (0, 1),
        (0, 0),
        (0, 0),
        (0, 5),
        (0, 1),
        (1, 5),
        (1, 0),
        (0, 4),
        (1, 0),
        (0, 0),
        (1, 0),
        (0, 0),
    ]


def test_same_key_same_numbers():
    """Two sets of draws of the same seed and replication agree in everything."""
    assert everything(Luck(LINE, 7, 3)) == everything(Luck(LINE, 7, 3))


def test_a_fresh_interpreter_draws_the_same():
    """Another interpreter with another hash seed gives the same numbers: no built-in hash is in a key."""
    code = (
        "from tests.repeatability.test_draws import *; import sys; "
        "sys.stdout.write(repr(sorted(everything(Luck(LINE, 7, 3), range(5)).items())))"
    )
    shown = [
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": ":".join(sys.path)}, timeout=60,
        ).stdout
        for seed in ("1", "2")
    ]  # fmt: skip
    assert shown == [repr(sorted(everything(Luck(LINE, 7, 3), range(5)).items()))] * 2


@given(
    st.lists(st.tuples(st.sampled_from(ASKED), st.integers(0, 1500)), max_size=40),
    st.sampled_from([4, 64, 512]),
)
@settings(max_examples=60)
def test_order_of_asking_and_block_size_change_nothing(asked, block):
    """Any questions in any order, in any block size, get the answers of fresh draws asked only that."""
    draws = Luck(LINE, 2, 1, block)
    for what, row in asked:
        assert ask(draws, what, row) == ask(Luck(LINE, 2, 1), what, row)


def test_more_tasks_modes_and_shapes_change_no_other_number():
    """A task, a mode or a shape more, in another order in the file, leaves every other draw as it was."""
    larger = plan(
        tasks=("K0.new", "K1.test", "K1.fit"),
        shapes=(*SHAPES, Uniform(low="1 s", high="2 s")),
        modes={"robot.R2.jam": (2, 1), "section.cab.chain": (2, 1), "robot.R1.jam": (2, 1)},
        supply=2,
        orders=ORDERS,
    )
    before, after = Luck(LINE, 1, 1), Luck(larger, 1, 1)
    for row in range(300):
        assert before.task_ticks(0, row, 0, 0) == after.task_ticks(2, row, 0, 0)
        assert before.task_ticks(1, row, 2, 3) == after.task_ticks(1, row, 2, 3)
        assert before.mode_every(0, row) == after.mode_every(2, row)
        assert before.mode_lasts(1, row) == after.mode_lasts(1, row)
        assert before.order(row) == after.order(row)
        assert before.gate_every("supply", row) == after.gate_every("supply", row)


def orders_with(**changes):
    """Return the orders of the line with some fields changed."""
    fields = {name: getattr(ORDERS, name) for name in ORDERS.__slots__}
    return PlannedOrders(**{**fields, **changes})


def first_orders(orders, jobs=3000):
    """Return the first jobs of replication 1."""
    draws = Luck(plan(orders=orders), 1, 1)
    return [draws.order(job) for job in range(jobs)]


def test_another_take_rate_changes_that_option_alone():
    """With roof at 0.6 instead of 0.3 more jobs have a roof, none lost it, and nothing else moved."""
    base = first_orders(ORDERS)
    more = first_orders(orders_with(option_take=((0.6, 0.2), *ORDERS.option_take[1:])))
    for a, b in zip(base, more, strict=True):
        assert (a.model, a.options & ~1) == (b.model, b.options & ~1)
        assert a.options & 1 <= b.options & 1
    gained = sum(b.options & 1 for b in more) - sum(a.options & 1 for a in base)
    assert 0.18 < gained / len(base) < 0.26  # 0.6·0.3 + 0.4·0.1 = 0.22, four standard errors of 0.0076 wide


def test_an_option_or_package_more_changes_no_other():
    """A new option and a new package in front of the others leave model and other options of every job."""
    base = first_orders(ORDERS)
    larger = PlannedOrders(
        "random", ORDERS.model_names, ("winch", *ORDERS.option_names), ORDERS.model_share,
        ((0.5, 0.5), *ORDERS.option_take),
        packages=(PlannedPackage("new", (0.3, 0.3), (0,)), PlannedPackage("sound", (0.1, 0.2), (2, 3))),
    )  # fmt: skip
    for a, b in zip(base, first_orders(larger), strict=True):
        assert (a.model, a.options) == (b.model, b.options >> 1)


def test_spacing_rules_move_jobs_and_change_no_draw():
    """A rule puts the same drawn jobs in another sequence; task times by place in the sequence stay."""
    ruled = plan(
        shapes=SHAPES, modes=MODES, supply=2,
        orders=orders_with(spacings=(PlannedSpacing("roof", -1, 0, 1, 3),)),
    )  # fmt: skip
    base, spaced = Luck(LINE, 1, 1), Luck(ruled, 1, 1)
    key = lambda order: (order.model, order.options)  # noqa: E731
    assert sorted(map(base.order, range(300)), key=key) == sorted(map(spaced.order, range(300)), key=key)
    assert [base.order(j) for j in range(300)] != [spaced.order(j) for j in range(300)]
    assert [base.task_ticks(0, j, 0, 0) for j in range(300)] == [
        spaced.task_ticks(0, j, 0, 0) for j in range(300)
    ]


def test_keys_of_fixed_width_do_not_run_together():
    """Seed 1 with replication 2 has other numbers than seed 1 + 2·2**32 with any replication near."""
    one = everything(Luck(LINE, 1, 2), range(8))
    for seed, replication in ((1 + 2 * 2**32, 1), (1 + 2 * 2**32, 2), (2, 1), (1 + 2**32, 2)):
        other = everything(Luck(LINE, seed, replication), range(8))
        assert not [key for key in one if key[0] != "order" and one[key] == other[key]]


# Common random numbers. Exponential times of mean 1 and 1.2 by inversion: with independent numbers
# Var(D) = 1 + 1.44 = 2.44; with the same numbers the correlation is 1 and Var(D) = 0.2² = 0.04; with u and
# 1 - u it is 1 - π²/6 = -0.64493407 and Var(D) = 2.44 + 2·1.2·0.64493407 = 3.987842.
ANTITHETIC = 1 - np.pi**2 / 6


def test_correlation_of_common_and_antithetic_numbers_is_exact():
    """Over the whole unit interval the quantiles have correlation 1 with the same u, 1 - π²/6 with 1 - u."""
    u = (np.arange(2**21) + 0.5) / 2**21
    short, long = Exponential(mean="1 s"), Exponential(mean="1.2 s")
    x, y = short.quantile(u), long.quantile(u)
    np.testing.assert_allclose(y, 1.2 * x, rtol=1e-15)
    assert np.corrcoef(x, y)[0, 1] == pytest.approx(1, abs=1e-12)
    assert np.var(y - x) == pytest.approx(0.04, abs=1e-6)
    turned = long.quantile(1 - u)
    assert np.corrcoef(x, turned)[0, 1] == pytest.approx(ANTITHETIC, abs=1e-5)
    assert np.var(turned - x) == pytest.approx(3.987842, abs=5e-5)


def squared_differences(same_task):
    """Return the mean of D² over 20 jobs, per replication; D is the longer task less the shorter [s]."""
    line = plan(tasks=("K1.fit", "K2.fit"), shapes=(Exponential(mean="1 s"), Exponential(mean="1.2 s")))
    means = []
    for replication in range(1, 801):
        draws = Luck(line, 1, replication)
        d = [
            (draws.task_ticks(0 if same_task else 1, job, 0, 1) - draws.task_ticks(0, job, 0, 0)) / 1000
            for job in range(20)
        ]
        means.append(np.mean(np.square(d)))
    return means


def test_draws_of_two_alternatives_are_common():
    """The same task with mean 1.2 instead of 1 differs by E[D²] = 0.04 + 0.2² = 0.08; another by 2.48.

    The wrong twin draws the longer time from another task's stream, as a slip in the keys would.
    """
    common, other = squared_differences(True), squared_differences(False)
    assert_mean_agrees(common, 0.08, must_see=0.012)
    assert_mean_agrees(other, 2.48, must_see=0.4)
    assert_mean_differs(other, 0.08, must_see=0.4)
