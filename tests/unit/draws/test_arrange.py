"""Pools in sequence: the wish, the rules, and what happens where the rules can't hold."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linesim.draws.arrange import arrange, feasible_sequences, hardest, most_wished, wish
from linesim.draws.goals import Goals
from linesim.draws.orders import POOL, JobSequence
from linesim.draws.pool import NEVER, Pool
from linesim.draws.spacing import violations
from linesim.draws.streams import Streams
from linesim.plan.orders import PlannedOrder, PlannedSpacing
from tests.unit.draws.small import book


def jobs(text):
    """Return jobs by letters: a and b are models without, A and B with option 0."""
    return [PlannedOrder("ab".index(letter.lower()), int(letter.isupper())) for letter in text]


def text(orders):
    """Return jobs as letters."""
    return "".join("ab"[order.model].upper() if order.options & 1 else "ab"[order.model] for order in orders)


def rule(at_most, in_any, *, model=-1):
    """Return a rule for option 0, or for a model."""
    return PlannedSpacing("rule", model, -1 if model >= 0 else 0, at_most, in_any)


def broken(orders, spacings):
    """Return the number of broken windows over all rules."""
    return sum(check.broken for check in violations(orders, spacings))


def test_without_rules_the_order_as_drawn_stands():
    """Nothing moves where nothing asks for it."""
    assert text(arrange(jobs("aBbaAAb"), levelled=False)) == "aBbaAAb"


def test_levelled_without_rules_is_goal_chasing():
    """Models and options are spread evenly, whatever the order of the draw."""
    assert text(arrange(jobs("aaabbb"), levelled=True)) == "ababab"
    assert text(arrange(jobs("AAaaaaaa"), levelled=True)) == "aaAaaaAa"


def test_a_kept_rule_moves_as_little_as_it_must():
    """The next job as drawn comes unless it breaks the rule; those held back come as soon as they may."""
    assert text(arrange(jobs("AAabba"), levelled=False, spacings=[rule(1, 3)])) == "AabAba"
    assert text(arrange(jobs("abAbab"), levelled=False, spacings=[rule(1, 3)])) == "abAbab"


def test_the_look_ahead_starts_in_time():
    """Where the option needs every place it can get, it comes from the first place on, late draw or not."""
    assert text(arrange(jobs("aaaaAAA"), levelled=False, spacings=[rule(1, 3)])) == "AaaAaaA"


def test_a_pool_minds_the_jobs_before_it():
    """A rule reaches back over the border of the pool."""
    before = jobs("aA")
    assert text(arrange(jobs("AAaaaa"), levelled=False, spacings=[rule(1, 3)], before=before)) == "aaAaaA"
    assert text(arrange(jobs("Aa"), levelled=False, spacings=[rule(1, 2)], before=before)) == "aA"


def test_too_many_jobs_break_the_rule_as_little_as_greed_can():
    """Four of six at 1 in 2: three keep apart and the fourth breaks one window, the least possible."""
    found = arrange(jobs("AAAAaa"), levelled=False, spacings=[rule(1, 2)])
    least = min(broken(order, [rule(1, 2)]) for order in itertools.permutations(jobs("AAAAaa")))
    assert least == 1
    assert broken(found, [rule(1, 2)]) == least


def test_an_overfull_rule_does_not_drag_the_others_along():
    """With far too many of one option the rule of a model is still kept."""
    spacings = [rule(1, 3), rule(1, 2, model=1)]
    found = arrange(jobs("AAAAAAaabbbb"), levelled=False, spacings=spacings)
    checks = violations(found, spacings)
    assert checks[0].is_hopeless
    assert checks[1].broken == 0


small_pools = st.lists(st.sampled_from("aAbB"), min_size=1, max_size=7).map("".join)
small_rules = st.tuples(st.integers(1, 2), st.integers(2, 4), st.integers(1, 2), st.integers(2, 4))


@given(small_pools, small_rules, st.text("aAbB", max_size=3), st.booleans())
@settings(max_examples=150)
def test_small_pools_keep_the_rules_wherever_any_order_does(pool, numbers, front, levelled):
    """Against all permutations: if any order keeps the rules the arranged one does; nothing is lost."""
    p, q, p2, q2 = numbers
    spacings = [rule(p, q), rule(p2, q2, model=1)]
    before = jobs(front)

    def breaks(order):
        total = [*before, *order]
        # Windows that reach past the end of the pool count as far as they are filled, as does the start.
        return any(
            sum(marks[max(0, end - width) : end]) > most
            for marks, most, width in (
                ([o.options & 1 for o in total], p, q),
                ([o.model == 1 for o in total], p2, q2),
            )
            for end in range(len(before) + 1, len(total) + 1)
        )

    found = arrange(jobs(pool), levelled=levelled, spacings=spacings, before=before)
    assert sorted(text(found)) == sorted(pool)
    possible = [order for order in set(itertools.permutations(jobs(pool))) if not breaks(order)]
    assert breaks(found) == (not possible)
    # The complete search gives every sequence of classes once, and every one of them is possible.
    for rank in (most_wished, hardest):
        state = Pool(jobs(pool), spacings, before)
        sequences = [
            tuple(state.kinds[kind] for kind in sequence) for sequence in feasible_sequences(state, rank)
        ]
        classes = {tuple((o.options & 1, o.model == 1) for o in order) for order in possible}
        assert sorted(tuple((o.options & 1, o.model == 1) for o in s) for s in sequences) == sorted(classes)
        assert state.n_left == len(pool)
        assert not state.sequence


def test_a_search_that_gives_up_leaves_the_pool_as_it_was():
    """After its last try the search ends without a sequence and everything is back in the pool."""
    pool = Pool(jobs("AAAaaaaaa"), [rule(1, 3)], [])
    assert list(feasible_sequences(pool, most_wished, tries=5)) == []
    assert (pool.n_left, pool.sequence, sum(pool.left)) == (9, [], 9)


@pytest.mark.parametrize("sequence", ["random", "levelled"])
def test_long_sequences_keep_rules_that_leave_room(sequence):
    """Twenty pools with rules at two thirds of their room: no window is broken, not even over borders."""
    orders = book(
        shares=(0.6, 0.4), takes={"roof": 0.17, "hitch": 0.2, "camera": 0.22}, sequence=sequence,
        spacings=(
            PlannedSpacing("roof", -1, 0, 1, 3), PlannedSpacing("hitch", -1, 1, 2, 6),
            PlannedSpacing("camera", -1, 2, 2, 5),
            PlannedSpacing("short", 1, -1, 3, 5),
        ),
    )  # fmt: skip
    checks = JobSequence(orders, Streams(1, 1)).spacing_checks(20 * POOL)
    assert [check.windows for check in checks] == [1998, 1995, 1996, 1996]
    assert [check.broken for check in checks] == [0, 0, 0, 0]
    loose = book(shares=(0.6, 0.4), takes={"roof": 0.17, "hitch": 0.2, "camera": 0.22})
    drawn = JobSequence(loose, Streams(1, 1))
    as_drawn = violations((drawn[job] for job in range(20 * POOL)), orders.spacings)
    assert min(check.broken for check in as_drawn) > 50  # without the generator these rules would not hold


def test_pools_hold_what_was_drawn():
    """Arranging moves jobs within their pool and changes none."""
    takes = {"roof": 0.3, "hitch": 0.5}
    drawn = JobSequence(book(shares=(0.5, 0.5), takes=takes), Streams(4, 1))
    spaced = JobSequence(
        book(shares=(0.5, 0.5), takes=takes, sequence="levelled", spacings=(rule(1, 3),)), Streams(4, 1)
    )
    for first in range(0, 5 * POOL, POOL):
        pool = range(first, first + POOL)
        key = lambda order: (order.model, order.options)  # noqa: E731
        assert sorted((drawn[job] for job in pool), key=key) == sorted((spaced[job] for job in pool), key=key)


def test_order_of_reading_changes_no_job():
    """A sequence read backwards, far ahead, or twice gives the same jobs."""
    orders = book(takes={"roof": 0.3}, sequence="levelled", spacings=(rule(1, 3),))
    straight = JobSequence(orders, Streams(1, 1))
    expected = [straight[job] for job in range(900)]
    hopping = JobSequence(orders, Streams(1, 1))
    for job in (850, 20, 899, 400, 150, 0, 850):
        assert hopping[job] == expected[job]
    backwards = JobSequence(orders, Streams(1, 1))
    assert [backwards[job] for job in reversed(range(900))] == expected[::-1]


def test_a_rule_longer_than_a_pool_is_kept():
    """A rule over 250 in a row makes the pool longer and holds over its borders."""
    spacing = PlannedSpacing("rare", -1, 0, 2, 250)
    orders = book(takes={"rare": 0.003}, spacings=(spacing,))
    assert JobSequence(orders, Streams(2, 1)).spacing_checks(2000)[0].broken == 0


def test_listed_orders_repeat_or_end():
    """A list starts again after its last order, or nothing comes any more; rules do not move its jobs."""
    listed = tuple(jobs("aBA"))
    again = JobSequence(book(sequence="listed", listed=listed, spacings=(rule(1, 2),)), Streams(1, 1))
    assert text(again[job] for job in range(7)) == "aBAaBAa"
    assert again.spacing_checks(7)[0].first == (1, 4)
    once = JobSequence(
        book(sequence="listed", listed=listed, repeats=False, spacings=(rule(1, 2),)), Streams(1, 1)
    )
    assert [once[job] for job in (2, 3, 10**9)] == [listed[2], None, None]
    assert once.spacing_checks(100)[0].windows == 2
    with pytest.raises(IndexError, match="job must be >= 0, got -1"):
        once[-1]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 1), st.integers(0, 3)), min_size=1, max_size=12),
    st.integers(1, 2),
    st.integers(2, 4),
)
def test_levelling_counts_on_as_if_it_counted_anew(drawn, at_most, in_any):
    """However the search goes forth and back, kinds come in the order of costs worked out from nothing."""
    orders = [PlannedOrder(model, options) for model, options in drawn]
    spacings = [rule(at_most, in_any)]
    pools = [Pool(orders, spacings, []) for _ in range(2)]
    parts = [
        [*(int(kind.model == m) for m in range(2)), *(kind.options >> o & 1 for o in range(2))]
        for kind in pools[0].kinds
    ]
    goals = Goals(parts, list(pools[0].left))
    wish(pools[0])

    def count(kind, step):
        """Work out all costs anew."""
        rows = zip(goals.costs(pools[1].used), pools[1].left, strict=True)
        pools[1].costs[:] = [cost + NEVER * (left == 0) for cost, left in rows]

    pools[1].count = count
    pools[1].costs[:] = goals.costs(pools[1].used)
    for rank in (most_wished, hardest):
        found = [list(itertools.islice(feasible_sequences(pool, rank, tries=300), 40)) for pool in pools]
        assert found[0] == found[1]


def test_many_jobs_are_those_asked_for_one_by_one():
    """A run of jobs across pools, blocks and the end of a list is what its jobs are."""
    mixed = {"shares": (0.4, 0.6), "takes": {"roof": 0.3, "hitch": (0.5, 0.1)}}
    listed = {"sequence": "listed", "listed": tuple(jobs("abAB" * 50))}
    rest = ({}, {"sequence": "levelled"}, {"spacings": (rule(1, 3),)}, listed, {**listed, "repeats": False})
    for orders in (book(**mixed, **how) for how in rest):
        whole = JobSequence(orders, Streams(3, 1))
        alone = JobSequence(orders, Streams(3, 1))
        assert whole.orders(95, 330) == [alone[job] for job in range(95, 425)]
        assert whole.orders(0, 0) == []
