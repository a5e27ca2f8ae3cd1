"""Candidates for a better balance: moves that a program finds, each as a line to simulate."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from linesim.answers.wording import count_of, listed
from linesim.capacity.balance import Balance
from linesim.errors import WrongQuestionError
from linesim.questions.rebalance.movable import Movable
from linesim.questions.rebalance.search import MoveSearch, Solution
from linesim.runs.cases import Case

if TYPE_CHECKING:
    from linesim.scenario import Scenario

EACH = 3  #: Candidates of each number of moves.
FEW = 3  #: Up to so many moves there are `EACH` candidates of each number; beyond, one.
_LONGEST = 3  #: Moves that stand in the name of a case.


@dataclass(frozen=True, slots=True)
class Move:
    """A task that moves.

    Attributes:
        task: Its name, ``station.task``.
        source, target: Where it is done, and where it is done then.
        crew_before, crew_after: Who may do it here and there.
        work_s: Its work [person-s a job], weighted by the mix.
    """

    task: str
    source: str
    target: str
    crew_before: str
    crew_after: str
    work_s: float

    def __str__(self) -> str:
        name = self.task.removeprefix(f"{self.source}.")
        return (
            f"{self.source}.{name} → {self.target}" if name != self.task else f"{self.task} → {self.target}"
        )


@dataclass(frozen=True, slots=True)
class MovesCandidate:
    """Moves that are simulated.

    Attributes:
        moves: The tasks that move.
        at: Where each task of the line is done then, by number.
        above_s: Work that does not fit then [person-s a job].
        is_proved: Whether the program has proved that none of as many moves leaves less, when it was found.
        case: The line with them.
    """

    moves: tuple[Move, ...]
    at: tuple[int, ...]
    above_s: float
    is_proved: bool
    case: Case

    @property
    def name(self) -> str:
        """What tables call it."""
        return self.case.name

    @property
    def count(self) -> int:
        """How many tasks move."""
        return len(self.moves)


class Candidates:
    """Finds candidates, those with the least work above first, one number of moves after the other.

    Attributes:
        balance: The work as it is.
        movable: What may move where.
    """

    def __init__(self, scenario: Scenario, balance: Balance, movable: Movable) -> None:
        """Look for what may move.

        Raises:
            WrongQuestionError: If OR-Tools is not there, or no task may move at all.
        """
        self.scenario, self.balance, self.movable = scenario, balance, movable
        self._search = MoveSearch(balance, movable)
        if not self._search.targets:
            raise WrongQuestionError(f"no task can move. {why_not(movable)}")

    def found(self, most: int | None) -> tuple[MovesCandidate, ...]:
        """Return the candidates with up to so many moves; None for as many as it takes.

        Raises:
            WrongQuestionError: If what comes before and after what leaves no single move.
        """
        found = list(self._of_few(FEW if most is None else most))
        if not found:
            raise WrongQuestionError(f"no task can move alone. {why_not(self.movable)}")
        if most is None and (whole := self._search.best(None)) is not None:
            found.append(self._candidate(whole))
        by_name = {one.name: one for one in found}
        return tuple(sorted(by_name.values(), key=lambda one: one.count))

    def _of_few(self, most: int) -> Iterator[MovesCandidate]:
        for count in range(1, most + 1):
            for _ in range(EACH if count <= FEW else 1):
                solution = self._search.best(count, exactly=True)
                if solution is None:
                    break
                yield self._candidate(solution)

    def _candidate(self, solution: Solution) -> MovesCandidate:
        posts, tasks = self.balance.posts, self.movable.tasks
        work = self.balance.mean_s @ self.balance.share
        moves = tuple(
            Move(tasks[t].full_name, tasks[t].at, posts[s].station, self._crew(t, tasks[t].at),
                 self._crew(t, posts[s].station), float(work[t]))
            for t, s in solution.moves
        )  # fmt: skip
        changes = {
            ("station", tasks[t].station, "task", tasks[t].name, "at"): posts[s].station
            for t, s in solution.moves
        }
        at = self._search.placed(dict(solution.moves))
        case = Case.changed(named(moves), self.scenario, changes)
        return MovesCandidate(moves, at, solution.above_s, solution.is_proved, case)

    def _crew(self, t: int, station: str) -> str:
        """Return who may do a task at a station."""
        crews = self.movable.tasks[t].task.crew or tuple(
            name for name, crew in self.scenario.crew.items() if station in crew.covers and not crew.floater
        )
        return "+".join(crews)


def named(moves: tuple[Move, ...]) -> str:
    """Return a name for a line with moves."""
    first = ", ".join(map(str, moves[:_LONGEST]))
    return first if len(moves) <= _LONGEST else f"{len(moves)} moves: {first} …"


def why_not(movable: Movable) -> str:
    """Return in words what keeps the tasks where they are, the commonest reasons first."""
    reasons: dict[str, list[str]] = {}
    for stay in movable.stays:
        reasons.setdefault(stay.why, []).append(stay.task)
    said = [
        f"{count_of(len(tasks), 'task')} ({listed(tasks[:2])}{' ...' if len(tasks) > 2 else ''}): {why}"
        for why, tasks in sorted(reasons.items(), key=lambda item: -len(item[1]))
    ]
    more = len(said) - 4
    return "; ".join(said[:4]) + (f"; and {count_of(more, 'other reason')}." if more > 0 else ".")
