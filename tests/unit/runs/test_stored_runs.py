"""With a store nothing is run twice, what kills its worker is recorded, a full disk stops in order."""

from functools import partial
from pathlib import Path

import pytest

from linesim.errors import LinesimError, LineStuck
from linesim.runs.blocks import run_block
from linesim.runs.cases import Case, run_cases
from linesim.runs.spread import Errand, WorkSpread
from linesim.runs.store import Store
from linesim.runs.store_file import StudyFullError
from linesim.runs.workers import spread_over_workers
from linesim.scenario import load_text
from tests.commands.calls import STUCK
from tests.unit.runs.errands import deadly
from tests.unit.runs.shop import line

BASE = Case("base", line())
MORE = Case("more", line("buffer.lane.capacity = 3"))


class Told:
    """Counts what was run and remembers what was said."""

    def __init__(self) -> None:
        self.steps: list[tuple[int, int]] = []
        self.said: list[str] = []

    def progress(self, done: int, total: int) -> None:
        """Take note."""
        self.steps.append((done, total))


def opened(folder: Path) -> Store:
    """Return the store of a folder, for a program that never changes while the test runs."""
    return Store(folder, program="this one")


@pytest.mark.parametrize("workers", [1, 2])
def test_what_is_stored_is_not_run_again(tmp_path: Path, workers: int) -> None:
    """After three replications were kept, a study of five runs two of each case and equals a fresh one."""
    told = Told()
    with opened(tmp_path) as store:
        run_cases([BASE, MORE], replications=3, store=store, workers=workers)
        five = run_cases([BASE, MORE], replications=5, store=store, workers=workers, progress=told.progress)
        assert store.count() == 10
    assert told.steps[0] == (6, 10) and told.steps[-1] == (10, 10)
    assert five == run_cases([BASE, MORE], replications=5)


def test_nothing_is_simulated_when_all_is_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second time the figures come from the file alone."""
    with opened(tmp_path) as store:
        first = run_cases([BASE], store=store)
        monkeypatch.setattr("linesim.runs.spread.run_block", None)
        assert run_cases([BASE], store=store) == first


def test_what_came_before_a_failure_is_kept(tmp_path: Path) -> None:
    """A case that stands for good ends the study; the replications of the case before it are kept."""
    with opened(tmp_path) as store:
        with pytest.raises(LineStuck):
            run_cases([BASE, Case("corner", load_text(STUCK))], replications=2, store=store)
        assert store.count() == 2


def test_a_replication_that_kills_is_recorded_and_the_others_finish(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Replication 3 always kills: it is told, recorded, left out; next time it has one more chance, alone."""
    told = Told()
    how = {"replications": 5, "workers": 2, "drive": "simpy", "notice": told.said.append}
    monkeypatch.setattr("linesim.runs.runner.spread_over_workers", partial(spread_over_workers, work=deadly))
    with opened(tmp_path) as store:
        runs = run_cases([BASE], store=store, **how)  # type: ignore[arg-type]
        assert (runs.numbers, runs.lost) == ((1, 2, 4, 5), (("base", 3),))
        assert told.said == [
            "replication 3 of base is given up: its worker died each time it ran; the others go on"
        ]
        assert store.lost(BASE.scenario.fingerprint(), 11) == (3,)
        assert runs.result("base").run.lost == (3,)
        assert run_cases([BASE], store=store, **{**how, "workers": 1}) == runs  # type: ignore[arg-type]
        monkeypatch.setattr(
            "linesim.runs.runner.spread_over_workers", partial(spread_over_workers, work=run_block)
        )
        healed = run_cases([BASE], store=store, **how)  # type: ignore[arg-type]
        assert store.lost(BASE.scenario.fingerprint(), 11) == ()
    assert healed == run_cases([BASE], replications=5)


def test_nothing_left_of_a_case_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where every replication of a case kills its worker there is no answer."""
    monkeypatch.setattr("linesim.runs.runner.spread_over_workers", partial(spread_over_workers, work=deadly))
    with pytest.raises(LinesimError, match="all 2 replications of base ended with the death of their worker"):
        run_cases([BASE], numbers=[3, 6], workers=2, drive="simpy")


def test_a_full_disk_ends_a_study_in_order(tmp_path: Path) -> None:
    """The error is clear, what was kept stays, and with room again the study goes on to the same end."""
    with opened(tmp_path) as store:
        run_cases([BASE], replications=2, store=store)
        pages = store._connection.execute("PRAGMA page_count").fetchone()[0]
        store._connection.execute(f"PRAGMA max_page_count = {pages + 3}")
        with pytest.raises(StudyFullError, match="no room left"):
            run_cases([BASE], replications=40, store=store)
        kept = store.count()
        assert 2 < kept < 40
    with opened(tmp_path) as store:
        assert run_cases([BASE], replications=40, store=store) == run_cases([BASE], replications=40)


def test_deaths_of_an_earlier_attempt_leave_one_chance() -> None:
    """A job with two deaths behind it travels alone, waits for the others, and one more death is its last."""
    jobs = [Errand(0, number) for number in (1, 2, 3)]
    given_up: list[Errand] = []
    spread = WorkSpread(
        [b""], jobs, seed=1, hand_over=lambda *_: None, deaths={jobs[1]: 2}, give_up=given_up.append
    )
    assert spread.next_block(1) == (jobs[0],)
    assert not spread.may_start([(jobs[0],)], room=4)
    assert spread.may_start([], room=4)
    assert spread.next_block(1) == (jobs[1],)
    assert not spread.may_start([(jobs[1],)], room=4)
    spread.bury((jobs[1],))
    assert given_up == [jobs[1]] and spread.outcome() == (jobs[1],)
