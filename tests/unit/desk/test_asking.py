"""The answer that sharpens: looks, what they say, and that the last one is what `compare` says."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from linesim import compare
from linesim.answers.measure import OUTPUT
from linesim.desk.asking import FILE, Asker, Asking, Looked, Seen, Side, looks
from linesim.desk.view import answer_part
from linesim.runs.store import Store
from linesim.scenario import Scenario, load_text
from tests.commands.calls import LINE, STUCK
from tests.desks import Told

MORE = {"crew.one.people": 2, "station.A.places": 2}


@pytest.fixture(scope="module")
def line() -> Scenario:
    """Return a small line with prices."""
    prices = '[cost]\nmargin_per_job = 100\nstop_minute = 5\noperator_per_shift = 40\ncurrency = "EUR"\n'
    return load_text(LINE + prices)


class Asked:
    """An asker in its thread, and what it told."""

    def __init__(self, folder: Path) -> None:
        self.told = Told()
        self.asker = Asker({"workers": 1}, lambda: Store(folder), self.told.put)
        self.asker.start()

    def until_last(self, version: int) -> list[Looked]:
        """Return the looks of a version up to the last."""
        found: list[Looked] = []
        while not (found and found[-1].is_last):
            found.append(self.told.until(lambda one: isinstance(one, Looked) and one.version == version))
        return found

    def next_of(self, kind: type) -> object:
        """Return the next thing of a kind that is told."""
        return self.told.until(lambda one: isinstance(one, kind))


@pytest.fixture
def asked(tmp_path: Path) -> Iterator[Asked]:
    """Return an asker, ended with its test."""
    found = Asked(tmp_path)
    yield found
    found.asker.end()
    found.asker.join(20)
    assert not found.asker.is_alive()


def test_looks_grow_and_leave_the_costly_replication_for_later() -> None:
    """Looks have two, four, eight and all replications; the first leaves out replication 1."""
    assert [len(one) for one in looks(20)] == [2, 4, 8, 20]
    assert looks(20)[0] == (2, 3)
    assert [looks(n) for n in (1, 3)] == [((1,),), ((1, 2, 3),)]
    assert [len(one) for one in looks(8)] == [2, 4, 8]


def test_the_answer_sharpens_and_ends_as_compare_does(asked: Asked, line: Scenario) -> None:
    """Each look has more replications; the last says what `compare` says, to the last digit."""
    asked.asker.ask(Asking(1, line, None))
    base = asked.until_last(1)
    assert [look.done for look in base] == [2, 4, 8, 10]
    assert base[-1].estimate is not None and base[-1].estimate.n == 10 and not base[-1].figures
    asked.asker.ask(Asking(2, line, line.replace(MORE)))
    found = asked.until_last(2)
    assert [look.done for look in found] == [2, 4, 8, 10]
    answer = compare(line, {"more": MORE})
    row = answer.table("differences").row("more", OUTPUT)["difference"]
    last = found[-1].figures[0].difference
    assert (last.mean, last.low, last.high, last.n) == (row.mean, row.low, row.high, row.n)
    money = next(
        row["difference"] for row in answer.table("differences") if row["measure"].measure == "net_money"
    )
    assert found[-1].money[""].mean == pytest.approx(money.mean)
    assert found[-1].stops and all(one.measure.cause for one in found[-1].stops)


def test_looks_before_the_last_hold_together(asked: Asked, line: Scenario) -> None:
    """Intervals of the looks before the last are those of a joint confidence, the last is plain."""
    asked.asker.ask(Asking(1, line, line.replace(MORE)))
    found = asked.until_last(1)
    assert [round(look.figures[0].difference.confidence, 6) for look in found] == [
        *[round(1 - 0.05 / 3, 6)] * 3, 0.95
    ]  # fmt: skip


def test_what_is_there_is_told_at_once(asked: Asked, line: Scenario) -> None:
    """A line whose replications are all there is told by its last look alone."""
    asked.asker.ask(Asking(1, line, None))
    asked.until_last(1)
    asked.asker.ask(Asking(2, line, line.replace(MORE)))
    asked.until_last(2)
    for version, now in ((3, None), (4, line.replace(MORE))):
        asked.asker.ask(Asking(version, line, now))
        assert [look.done for look in asked.until_last(version)] == [10]


def test_an_answer_says_how_far_it_stands(asked: Asked, line: Scenario) -> None:
    """It is firm with one side left, settled with all replications, also where they cannot tell."""
    said = []
    for version, change in enumerate(({"takt": "45 s"}, {"station.B.late": 0.19})):
        asked.asker.ask(Asking(version, line, line.replace(change)))
        said.append([answer_part(one, is_changed=True) for one in asked.until_last(version)])
    firm, unclear = said
    assert "Firm: " in firm[2] and "Settled: these are all" in firm[3]
    assert all("Not settled: more follow" in one for one in unclear[:3])
    assert "Can&#39;t tell, between" in unclear[3] and "Settled, as far as" in unclear[3]


def test_another_change_is_asked_at_once(asked: Asked, line: Scenario) -> None:
    """What was asked before is left for what is asked now, and nothing of it is told afterwards."""
    for version in range(1, 6):
        asked.asker.ask(Asking(version, line, line.replace({"buffer.lane.capacity": version + 2})))
    asked.until_last(5)
    assert all(one.version == 5 for one in list(asked.told.queue) if isinstance(one, Looked))


def test_a_look_is_given_up_in_its_midst(
    asked: Asked, line: Scenario, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A look of hundred replications ends with the one after which something else is asked; all are kept."""
    long = line.replace({"run.replications": 100})
    real = Asker._go_on

    def go_on(self: Asker, done: int, total: int) -> None:
        if (done, total) == (12, 100):
            self.ask(Asking(2, long, long.replace(MORE)))
        real(self, done, total)

    monkeypatch.setattr(Asker, "_go_on", go_on)
    asked.asker.ask(Asking(1, long, None))
    asked.told.until(lambda one: isinstance(one, Looked) and one.version == 2)
    with Store(tmp_path) as store:
        assert len(store.get(long.fingerprint(), long.run.seed, range(1, 101)).replications) == 12


def test_what_was_run_is_not_run_again(asked: Asked, line: Scenario, tmp_path: Path) -> None:
    """A change asked a second time comes from what is kept, here and after another start."""
    changed = line.replace(MORE)
    asked.asker.ask(Asking(1, line, changed))
    asked.until_last(1)
    assert asked.asker.runs is not None
    run = asked.asker.runs.means.pace.run
    asked.asker.ask(Asking(2, line, changed))
    asked.until_last(2)
    assert asked.asker.runs.means.pace.run == run
    again = Asked(tmp_path)
    again.asker.ask(Asking(1, line, changed))
    again.until_last(1)
    assert again.asker.runs is not None and again.asker.runs.means.pace.run == 0
    again.asker.end()
    again.asker.join(20)


def test_a_long_session_does_not_grow(asked: Asked, line: Scenario, monkeypatch: pytest.MonkeyPatch) -> None:
    """After many changes only the last ones are at hand; an earlier one comes back from the store."""
    monkeypatch.setattr("linesim.desk.asking.MOST_CASES", 4)
    for version in range(1, 9):
        asked.asker.ask(Asking(version, line, line.replace({"buffer.lane.capacity": version + 2})))
        asked.until_last(version)
    assert asked.asker.runs is not None and len(asked.asker.runs.cases) <= 6
    run = asked.asker.runs.means.pace.run
    asked.asker.ask(Asking(9, line, line.replace({"buffer.lane.capacity": 3})))
    assert asked.until_last(9)[-1].done == 10
    assert asked.asker.runs.means.pace.run == run


def test_alternatives_stand_side_by_side(asked: Asked, line: Scenario) -> None:
    """The file and each alternative are told over the same replications, the differences held together."""
    kept = {"more people": line.replace(MORE), "more room": line.replace({"buffer.lane.capacity": 6})}
    asked.asker.ask(Asking(1, line, None, kept))
    sides = asked.next_of(tuple)
    assert isinstance(sides, tuple) and all(isinstance(side, Side) for side in sides)
    assert [side.name for side in sides] == [FILE, *kept]
    assert sides[0].change is None and sides[0].people == 3
    assert sides[1].people == 4 and sides[1].money is not None
    assert all(side.change.confidence == pytest.approx(0.975) for side in sides[1:])
    assert all(side.estimate.n == 10 for side in sides)


def test_the_line_as_it_is_seen(asked: Asked, line: Scenario) -> None:
    """What the drawing shows are the loads of the stations and the minutes of stop that begin there."""
    asked.asker.ask(Asking(1, line, None))
    seen = asked.next_of(Seen)
    assert isinstance(seen, Seen)
    assert seen.loads["A"].share_of_takt == pytest.approx(1.05 * 52 / 60, rel=0.05)  # a redo in 1 of 20
    assert seen.stop_min["B"] > 0


def test_what_one_should_hear_is_told(asked: Asked, line: Scenario, monkeypatch: pytest.MonkeyPatch) -> None:
    """What a command says meanwhile, such as that machine code is made first, is told here too."""

    def slow(asked_for: str | None, notice: Callable[[str], None]) -> str:
        notice("compiling the rules of the line, once")
        return "simpy"

    monkeypatch.setattr("linesim.runs.runner.drive_for", slow)
    asked.asker.ask(Asking(1, line, None))
    assert asked.next_of(str) == "compiling the rules of the line, once"
    assert asked.until_last(1)[-1].done == 10


def test_a_line_that_comes_to_a_stand_is_told(asked: Asked, line: Scenario) -> None:
    """A line that can never move again is an answer in words, and the next question is answered."""
    stuck = load_text(STUCK)
    asked.asker.ask(Asking(1, stuck, None))
    told = asked.next_of(Looked)
    assert isinstance(told, Looked) and "can no longer move" in told.failed
    asked.asker.ask(Asking(2, line, None))
    assert asked.until_last(2)[-1].estimate is not None
