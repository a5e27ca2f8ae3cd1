"""Cases see the same draws; their figures pair up by the number of the replication."""

import math

import numpy as np
import pytest

from linesim import simulate
from linesim.errors import LinesimError, LineStuck
from linesim.scenario import load_text
from linesim.stats import paired_difference
from linesim.studies.cases import Case, CaseRuns, difference, difference_row, run_cases
from linesim.studies.replicate import Replications
from linesim.studies.replication import Label, Replication
from tests.commands.calls import STUCK
from tests.unit.studies.shop import line

BASE = Case("base", line())
MORE = Case("more", line("buffer.lane.capacity = 3"), ("buffer.lane.capacity = 3",))


@pytest.fixture(scope="module")
def runs() -> CaseRuns:
    """Return four replications of the line with one place and with three."""
    return run_cases([BASE, MORE])


def test_the_base_says_how_many_and_which_seed(runs: CaseRuns) -> None:
    """Without arguments the first case's own number of replications and seed count."""
    assert (runs.numbers, runs.seed, runs.names) == ((1, 2, 3, 4), 11, ("base", "more"))


def test_a_case_is_what_simulating_it_alone_gives(runs: CaseRuns) -> None:
    """The result of a case among others equals that of the scenario simulated by itself."""
    assert runs.result("more") == simulate(MORE.scenario, changes=MORE.changes)


def test_cases_see_the_same_draws(runs: CaseRuns) -> None:
    """More places never cost output on common draws, and the two move together."""
    gain = runs.values("more", "throughput") - runs.values("base", "throughput")
    assert (gain >= 0).all() and gain.any()
    found = difference(runs, "base", "more", "throughput")
    assert found.correlation is not None and found.correlation > 0.5


def test_a_difference_is_paired_and_corrected(runs: CaseRuns) -> None:
    """It equals the paired interval of the values, at the joint confidence of all comparisons."""
    ours, theirs = runs.values("more", "throughput"), runs.values("base", "throughput")
    assert difference(runs, "base", "more", "throughput") == paired_difference(ours, theirs, 0.95)
    three = difference(runs, "base", "more", "throughput", confidence=0.94, comparisons=3)
    assert three == paired_difference(ours, theirs, 1 - 0.06 / 3)  # Bonferroni
    row = difference_row(runs, "base", "more", "throughput")
    assert (row.measure, row.unit, row.mean) == ("throughput", "jobs/h", three.interval.mean)


def test_equal_content_is_run_once() -> None:
    """Two cases of the same content share their replications."""
    done: list[tuple[int, int]] = []
    runs = run_cases([BASE, Case("again", line())], progress=lambda n, of: done.append((n, of)))
    assert done[-1] == (4, 4)
    assert runs.found["base"] == runs.found["again"]


def test_more_replications_leave_the_first_ones_alone(runs: CaseRuns) -> None:
    """Extending runs what is missing, and equals having asked for all at once."""
    done: list[tuple[int, int]] = []
    first = run_cases([BASE, MORE], progress=lambda n, of: done.append((n, of)))
    more = first.extend([5, 6])
    assert done[-5:] == [(0, 4), (1, 4), (2, 4), (3, 4), (4, 4)]
    assert more == run_cases([BASE, MORE], replications=6)
    assert first == runs


def test_some_cases_may_have_more(runs: CaseRuns) -> None:
    """Extending one case leaves the common numbers as they were; each case keeps its own."""
    some = runs.extend([5], ["more"])
    assert some.numbers == (1, 2, 3, 4)
    assert some.numbers_of("more") == (1, 2, 3, 4, 5)
    assert some.only(["more"]).numbers == (1, 2, 3, 4, 5)
    assert len(some.values("more", "throughput")) == 4
    assert len(some.values("more", "throughput", numbers=some.numbers_of("more"))) == 5
    assert some.row("more", "throughput").replications == 5
    assert [case.replications for case in some.card().cases] == [4, 5]


def test_cases_can_be_added(runs: CaseRuns) -> None:
    """A later case runs the common numbers; a name that means another line is refused."""
    added = runs.add([Case("most", line("buffer.lane.capacity = 9"))])
    assert added.numbers_of("most") == (1, 2, 3, 4)
    with pytest.raises(ValueError, match="two cases are called 'more'"):
        runs.add([Case("more", line("buffer.lane.capacity = 9"))])


def test_taking_some_forgets_the_rest(runs: CaseRuns) -> None:
    """Runs with the first two replications equal a study of two."""
    assert runs.take([1, 2]) == run_cases([BASE, MORE], replications=2)


def by_hand(values: dict[str, dict[int, float | None]], lost: dict[str, tuple[int, ...]]) -> CaseRuns:
    """Return runs with one made-up figure."""
    found = {
        name: Replications(
            (Label("throughput", "segment", "", "jobs/h"),),
            tuple(Replication(number, (value,), ()) for number, value in given.items()),
            lost.get(name, ()),
        )
        for name, given in values.items()
    }
    return CaseRuns(tuple(Case(name, BASE.scenario) for name in values), 1, found)


def test_what_was_lost_or_not_given_does_not_spoil_the_pairs() -> None:
    """Replication 2 lost in one case and no figure in 3: only 1 and 4 are compared, each with itself."""
    runs = by_hand(
        {"base": {1: 10.0, 2: 99.0, 3: 12.0, 4: 13.0}, "other": {1: 11.0, 3: None, 4: 15.0}}, {"other": (2,)}
    )
    assert runs.numbers == (1, 3, 4)
    assert runs.lost == (("other", 2),)
    assert math.isnan(runs.values("other", "throughput")[1])
    found = difference(runs, "base", "other", "throughput")
    assert (found.interval.mean, found.interval.n) == (1.5, 2)
    with pytest.raises(LinesimError, match="no replication gives throughput of segment in both"):
        difference(runs.take([3]), "base", "other", "throughput")


def test_wrong_names_are_told(runs: CaseRuns) -> None:
    """Unknown cases, figures and replications are told with what there is."""
    with pytest.raises(KeyError, match="no case 'les'; there are base, more"):
        runs.values("les", "throughput")
    with pytest.raises(KeyError, match="'throughput' has no row for"):
        runs.values("more", "throughput", "A")
    with pytest.raises(KeyError, match="has no replication 7"):
        runs.values("more", "throughput", numbers=[7])


def test_wrong_arguments_are_refused() -> None:
    """No case, equal names, replications or workers below 1 are refused before anything runs."""
    with pytest.raises(ValueError, match="at least one case"):
        run_cases([])
    with pytest.raises(ValueError, match="two cases have the same name"):
        run_cases([BASE, BASE])
    with pytest.raises(ValueError, match="replications must be >= 1, got 0"):
        run_cases([BASE], replications=0)
    with pytest.raises(ValueError, match="workers must be >= 1, got 0"):
        run_cases([BASE], workers=0)
    with pytest.raises(ValueError, match="each >= 1"):
        run_cases([BASE], numbers=[0, 1])


@pytest.mark.parametrize("workers", [1, 2])
def test_a_line_that_stands_for_good_is_named(workers: int) -> None:
    """The error says of which case and replication it is, in this process and in others."""
    with pytest.raises(LineStuck) as stuck:
        run_cases([BASE, Case("corner", load_text(STUCK))], replications=2, workers=workers)
    assert stuck.value.__notes__ == ["in replication 1 of seed 11", "of corner"]


def test_values_are_plain_arrays(runs: CaseRuns) -> None:
    """Figures come as floats, one a replication, in the order of the numbers."""
    values = runs.values("base", "throughput")
    assert values.dtype == np.float64 and values.shape == (4,)
    assert (
        values[2] == runs.found["base"].finished[2].values[runs.found["base"].column("throughput", "segment")]
    )
