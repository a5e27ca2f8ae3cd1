"""The search for the best split, on figures without luck whose best is known."""

from collections.abc import Callable, Sequence

import numpy as np
import pytest

from linesim.plan.tables import FloatArray
from linesim.questions.buffers.search import ALL_UP_TO, BestSplit, SplitSearch
from linesim.questions.buffers.splits import ENDLESS, Split, all_splits


class Known:
    """A bench whose figures are a formula: no luck, nothing is run."""

    def __init__(self, makes: Callable[[Split], float], present: Split, least: Split = ()) -> None:
        self.makes, self.present = makes, present
        self.least = least or tuple(0 for _ in present)
        self.gaps = present
        self.seen: set[Split] = set()

    def ask(self, splits: Sequence[Split], _numbers: Sequence[int]) -> None:
        self.seen.update(splits)

    def quick(self, split: Split) -> float:
        self.seen.add(split)
        return self.makes(split)

    def value(self, split: Split, numbers: Sequence[int]) -> FloatArray:
        self.seen.add(split)
        return np.full(len(numbers), self.makes(split))

    def table(self, splits: Sequence[Split], numbers: Sequence[int]) -> FloatArray:
        return np.column_stack([self.value(split, numbers) for split in splits])

    def pays(self, split: Split) -> tuple[float, ...]:
        assert split in self.seen, "where places pay is known of what was run"
        return tuple(1 / (n + 3) ** 2 for n in split)

    def further(self, count: int) -> tuple[int, ...]:
        return tuple(range(101, 101 + count))


def search(bench: Known) -> SplitSearch:
    """Return a search over known figures."""
    return SplitSearch(bench)  # type: ignore[arg-type]


def best_split(bench: Known, total: int, *, every: bool = False) -> BestSplit:
    """Return the best split, to a promise that any difference breaks."""
    return search(bench).best(total, matters=0.001, error=0.05, most=None, every=every)


def hill(*weights: float) -> Callable[[Split], float]:
    """Return a figure to which each place of a buffer adds less than the one before."""

    def makes(split: Split) -> float:
        return 100 - sum(w / (n + 1) for w, n in zip(weights, split, strict=True))

    return makes


@pytest.mark.parametrize("start", [(0, 0, 12), (12, 0, 0), (4, 4, 4), (0, 12, 0)])
def test_the_walk_climbs_to_the_top_from_anywhere(start: Split) -> None:
    """Where each place adds less than the one before, the walk ends at the best split of all."""
    makes = hill(1, 9, 3)
    best = max(all_splits(12, (0, 0, 0)), key=makes)
    bench = Known(makes, start)
    assert search(bench).walk(start) == best
    assert len(bench.seen) < 40 < len(list(all_splits(12, (0, 0, 0))))


def test_the_best_split_of_many_is_found_by_looking_at_some() -> None:
    """Of 455 splits the search looks at a few dozen, and says at how many."""
    makes = hill(2, 5.3, 1.1, 3.2)
    bench = Known(makes, (3, 3, 3, 3))
    found = best_split(bench, 12)
    assert found.split == max(all_splits(12, (0,) * 4), key=makes)
    assert not found.is_of_all
    assert found.out_of == 455
    assert found.looked_at == len(bench.seen) < 60
    assert found.choice.is_made


def test_few_splits_are_all_compared() -> None:
    """Up to twenty splits all are candidates; with `every` however many there are."""
    makes = hill(2, 5)
    few = best_split(Known(makes, (3, 3)), 6)
    assert few.is_of_all
    assert len(few.candidates) == 7 <= ALL_UP_TO
    all_of_them = best_split(Known(hill(2, 5, 1), (3, 3, 3)), 9, every=True)
    assert all_of_them.is_of_all
    assert len(all_of_them.candidates) == 55
    assert few.split == max(all_splits(6, (0, 0)), key=makes)


def test_no_buffer_gets_fewer_than_it_must_have() -> None:
    """A buffer that must keep a place keeps it even if it brings nothing."""
    found = best_split(Known(hill(5, 0), (3, 3), least=(0, 1)), 6)
    assert found.split == (5, 1)


def test_the_last_step_goes_on_from_a_better_neighbour() -> None:
    """If the few replications of the walk mislead, the choice with the promise moves on to the top."""
    makes = hill(1, 9, 3)

    class Misled(Known):
        def quick(self, split: Split) -> float:
            super().quick(split)
            return 1.0 if split == (5, 5, 5) else 0.0

    found = best_split(Misled(makes, (5, 5, 5)), 15)
    assert found.split == max(all_splits(15, (0, 0, 0)), key=makes)


def ceiling(split: Split) -> float:
    """Return a figure that endless places bring to 100."""
    return 100 - sum(w / (n + 1) for w, n in zip((2, 8), split, strict=True) if n < ENDLESS)


@pytest.mark.parametrize("share", [0.91, 0.95, 0.97, 0.985])
def test_the_fewest_places_are_the_fewest(share: float) -> None:
    """No split with fewer places reaches the share; with one place less none does, and the answer says so."""
    found = search(Known(ceiling, (3, 3))).fewest(share, 4, 0.95)
    enough = [total for total in range(60) if max(map(ceiling, all_splits(total, (0, 0)))) >= share * 100]
    assert found.enough.total == enough[0]
    assert found.enough.verdict == "reaches it"
    assert found.one_less is not None
    assert found.one_less.total == enough[0] - 1
    assert found.one_less.verdict == "falls short"
    assert found.sure == found.enough
    assert found.numbers == (101, 102, 103, 104)


def test_no_place_may_be_enough() -> None:
    """Where no place already reaches the share, the fewest is none, and there is no one less."""
    found = search(Known(ceiling, (3, 3))).fewest(0.9, 4, 0.95)
    assert found.enough.split == (0, 0)
    assert found.one_less is None
