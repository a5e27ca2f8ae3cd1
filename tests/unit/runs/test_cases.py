"""Cases see the same draws; their figures pair up by the number of the replication."""

import math
from statistics import fmean

import numpy as np
import pytest

from linesim.answers.measure import Measure
from linesim.answers.values import Change
from linesim.errors import LinesimError, LineStuck
from linesim.runs.case_runner import change_of
from linesim.runs.case_runs import charged
from linesim.runs.cases import Case, CaseRuns, run_cases
from linesim.runs.replicate import Replications
from linesim.runs.replication import Label, Replication
from linesim.runs.simulation import simulate
from linesim.scenario import load_text
from linesim.stats.comparisons import paired_difference
from tests.commands.calls import STUCK
from tests.unit.runs.shop import line

RATE = Measure("throughput")
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
    found = change_of(runs, "base", "more", RATE, 0.95)
    assert found.correlation is not None and found.correlation > 0.5


def test_a_difference_is_paired_and_corrected(runs: CaseRuns) -> None:
    """It equals the paired interval of the values, at the joint confidence of all comparisons."""
    ours, theirs = runs.values("more", "throughput"), runs.values("base", "throughput")
    levels = {"before": fmean(theirs), "after": fmean(ours)}
    found = change_of(runs, "base", "more", RATE, 0.95)
    assert found == Change.between(paired_difference(ours, theirs, 0.95), "jobs/h", **levels)
    three = change_of(runs, "base", "more", RATE, 0.94, 3)
    bonferroni = paired_difference(ours, theirs, 1 - 0.06 / 3)
    assert three == Change.between(bonferroni, "jobs/h", **levels, comparisons=3)
    assert (found.unit, found.mean) == ("jobs/h", bonferroni.interval.mean)


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
    found = change_of(runs, "base", "other", RATE, 0.95)
    assert (found.mean, found.n) == (1.5, 2)
    with pytest.raises(LinesimError, match="no replication gives throughput in both 'base' and 'other'"):
        change_of(runs.take([3]), "base", "other", RATE, 0.95)


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


PAID = (
    Label("own_stop", "segment", "", "min/shift"),
    Label("own_stop", "frame", "", "min/shift"),
    Label("line_stop", "frame", "", "min/shift"),
    Label("line_stop", "frame", "overrun", "min/shift"),
    Label("own_stop", "trim", "", "min/shift"),
    Label("line_stop", "trim", "", "min/shift"),
    Label("net_money", "segment", "", "EUR/shift"),
    Label("net_money", "segment", "jobs", "EUR/shift"),
    Label("net_money", "segment", "stops", "EUR/shift"),
)


def paid(frame: tuple[float, float], trim: tuple[float, float], jobs: float = 100.0) -> Replications:
    """Return one replication of two sections, each with its own minutes and all it stands, at 2 a minute."""
    own = frame[0] + trim[0]
    values = (own, frame[0], frame[1], frame[0], trim[0], trim[1], jobs - 2 * own, jobs, -2 * own)
    return Replications(PAID, (Replication(1, values, ()),))


@pytest.mark.parametrize(
    ("frame", "counted"),
    [
        ((30.0, 40.0), 0.0),  # as it is
        ((10.0, 20.0), -20.0),  # the own minutes are gone, nothing came in their place
        ((10.0, 40.0), 0.0),  # all that is gone is blocked now
        ((10.0, 35.0), -5.0),  # 15 of 20 minutes are blocked now
        ((10.0, 45.0), 0.0),  # it stands longer, and its own minutes are fewer
        ((10.0, 15.0), -20.0),  # blocked minutes go as well: they never cost anything
        ((38.0, 40.0), 0.0),  # own stops where it was blocked before
        ((38.0, 43.0), 3.0),  # of 8 own minutes 5 were blocked before
        ((38.0, 60.0), 8.0),  # blocked minutes come as well: they cost nothing
    ],
)
def test_minutes_that_replace_others_are_not_charged(frame: tuple[float, float], counted: float) -> None:
    """A stop is paid as far as its section stands longer or shorter: the middle one of 0 and both changes."""
    base = paid((30.0, 40.0), (7.0, 7.0))
    case = charged(2.0, paid(frame, (7.0, 7.0), jobs=103.0), base, 10.0)
    values = dict(zip(PAID, case.finished[0].values, strict=True))
    assert values[PAID[8]] == -2.0 * (37.0 + counted)
    assert values[PAID[6]] == 103.0 + values[PAID[8]]
    assert charged(2.0, case, base, 10.0) == case


def test_each_section_and_replication_is_charged_by_itself() -> None:
    """What one section gains pays for no other; without a price or its replication nothing changes."""
    base, case = paid((30.0, 40.0), (7.0, 20.0)), paid((10.0, 40.0), (12.0, 25.0))
    assert charged(2.0, case, base, 10.0).finished[0].values[8] == -2.0 * (37 + 0 + 5)
    assert charged(3.0, case, base, 10.0).finished[0].values[8] == -3.0 * (37 + 0 + 5)  # at its own price
    assert charged(None, case, base, 10.0) == case
    later = Replications(PAID, (Replication(2, case.finished[0].values, ()),))
    assert charged(2.0, later, base, 10.0) == later


def test_cases_are_charged_against_the_first() -> None:
    """In a study the first case is paid by its own minutes, and a case of the same content the same."""
    priced = line("cost = { margin_per_job = 10, stop_minute = 2, currency = 'EUR' }")
    runs = run_cases([Case("base", priced), Case("again", priced)], replications=2)
    assert (runs.values("again", "net_money") == runs.values("base", "net_money")).all()
    alone = simulate(priced, replications=2)
    assert list(runs.values("base", "net_money")) == list(alone.values("net_money"))


def test_the_card_of_runs_names_every_case() -> None:
    """Title of the base, seed, and fingerprint and changes of each case; no clock, no host."""
    cases = [Case("base", line()), Case("more", line("buffer.lane.capacity = 3"), ("lane = 3",))]
    card = run_cases(cases, replications=1).card(0.9, file="line.toml")
    assert (card.title, card.seed) == ("Two stations <in a row>", 11)
    assert [case.changes for case in card.cases] == [(), ("lane = 3",)]
    assert card.cases[0].fingerprint == line().fingerprint() != card.cases[1].fingerprint
