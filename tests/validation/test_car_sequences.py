"""Published lists of cars that can be built within spacing rules, and such that cannot.

Three lists of 100 cars of CSPLib problem 001 (licence CC BY 4.0), where the status of each is published:
4/72 can be built, 6/76 and 10/93 cannot. The ten cars of its specification are those of
`tests/validation/test_orders`.
"""

import numpy as np
import pytest

from linesim.draws.spacing import violations
from linesim.plan.orders import PlannedOrder, PlannedSpacing
from linesim.questions.sequence.program import Kept, keep_rules
from tests.validation.test_orders import CARS, RULES, SORTED, enumerated

#: How many cars of a kind, and which of the five options each has.
LISTS = {
    "4/72": (
        "6:10010 10:11100 2:11001 2:01100 8:00010 15:01000 1:01110 5:00110 2:10110 3:00100 "
        "2:10100 1:11101 8:01010 3:10011 10:10000 4:01001 4:00001 2:10001 4:11000 6:11010 1:10101 "
        "1:11111"
    ),
    "6/76": (
        "13:10000 8:00010 7:01000 1:10010 12:00100 5:01010 5:00110 6:01100 3:10001 12:11000 "
        "8:11010 2:10011 2:11100 1:01011 4:10100 4:01001 1:11011 2:10110 1:00001 1:11110 1:11001 "
        "1:01110"
    ),
    "10/93": (
        "7:10010 11:11000 1:01111 3:10100 15:01000 2:10110 8:01010 5:00100 3:00010 4:01110 "
        "5:10000 2:11101 6:01100 2:00101 2:01001 4:11110 3:10001 5:11010 2:11100 4:11001 1:10011 "
        "1:11011 1:01011 1:01101 2:00001"
    ),
}


def cars(text: str) -> list[PlannedOrder]:
    """Return the cars of a list, those of a kind together."""
    found = []
    for part in text.split():
        count, options = part.split(":")
        found += [PlannedOrder(0, sum(int(bit) << o for o, bit in enumerate(options)))] * int(count)
    return found


def is_kept(kept: Kept, orders: list[PlannedOrder]) -> bool:
    """Return whether a sequence holds every order of the list once and breaks no window."""
    assert kept.numbers is not None
    assert sorted(kept.numbers) == list(range(len(orders)))
    return not any(check.broken for check in violations([orders[i] for i in kept.numbers], RULES))


def test_ten_cars_get_one_of_the_six_orders() -> None:
    """Of 226 800 orders six keep the rules, by enumeration; the program gives one of them, from any list."""
    rows, feasible = enumerated()
    six = {tuple(row) for row in rows[feasible].tolist()}
    luck = np.random.default_rng(1)
    for _ in range(5):
        drawn = luck.permutation(SORTED).tolist()
        kept = keep_rules([CARS[kind] for kind in drawn], range(10), RULES, None)
        assert kept.numbers is not None
        assert tuple(drawn[i] for i in kept.numbers) in six


def test_a_hundred_cars_that_can_be_built() -> None:
    """An order is found for list 4/72, though half of its cars have option 0, at most 1 in 2."""
    orders = cars(LISTS["4/72"])
    assert len(orders) == 100
    assert is_kept(keep_rules(orders, range(100), RULES, None), orders)


@pytest.mark.parametrize(
    ("name", "first", "second"), [("6/76", RULES[0], RULES[2]), ("10/93", RULES[0], RULES[1])]
)
def test_a_hundred_cars_that_cannot_be_built(
    name: str, first: PlannedSpacing, second: PlannedSpacing
) -> None:
    """No order keeps the rules of lists 6/76 and 10/93: two of them alone cannot be kept, and they are named.

    Each of the two can be kept by itself, which is why counting proves nothing.
    """
    orders = cars(LISTS[name])
    assert len(orders) == 100
    kept = keep_rules(orders, range(100), RULES, None)
    assert kept.numbers is None
    for rule in RULES:
        assert (rule.name in kept.why) == (rule in (first, second))
    for rule in (first, second):
        assert keep_rules(orders, range(100), [rule], None).numbers is not None
