"""Moves that leave the least work above what stations and crews can do, found by a program, as cases."""

from __future__ import annotations

import itertools
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from types import ModuleType
from typing import Any

import numpy as np

from linesim import special
from linesim.capacity.balance import Balance
from linesim.errors import WrongQuestionError
from linesim.plan.tables import FloatArray
from linesim.questions.rebalance.movable import Movable, Move, MovesCandidate, named, why_not
from linesim.runs.cases import Case
from linesim.scenario import Scenario

MOST_MIX = 120  #: Kinds of work at a station that the program tells apart, the commonest first.
A_MOVE_S = 0.02  #: A move that takes away less work above the windows than this, a job, is not made.
EFFORT = 10.0  #: Of one search, in the solver's own measure, about seconds; the same on every machine.
MOST_TWINS = 200  #: Ways to make the same moves with other tasks of the same kind that are barred with them.
FAR = 4.0  #: Spreads below a limit from which on a load is taken never to reach it.
_Z = (-2.0, -1.2, -0.6, 0.0, 0.6, 1.2, 2.0)  #: Where the expected excess is bounded from below, in spreads.
EACH = 3  #: Candidates of each number of moves.
FEW = 3  #: Up to so many moves there are `EACH` candidates of each number; beyond, one.
_SHARES = 1000  #: Weights of kinds of work are whole numbers that sum to this.


@dataclass(frozen=True, slots=True)
class Solution:
    """Tasks moved.

    Attributes:
        moves: Each moved task by number, and the number of its new station.
        above_s: Work that does not fit then [person-s a job].
        is_proved: Whether no other moves of as many tasks leave less, as far as the program sees it.
    """

    moves: tuple[tuple[int, int], ...]
    above_s: float
    is_proved: bool


def solver() -> ModuleType:
    """Return OR-Tools' constraint solver.

    Raises:
        WrongQuestionError: If it is not installed.
    """
    try:
        from ortools.sat.python import cp_model
    except ImportError:
        raise WrongQuestionError(
            "this question needs OR-Tools, which is not installed; install linesim with its extra: "
            "pip install 'linesim[levers]'."
        ) from None
    return cp_model


def solved(cp: Any, model: Any, effort: float, **parameters: int) -> tuple[Any, bool]:
    """Return the solver with what it found, None if that is nothing, and whether that is proved.

    Args:
        cp: OR-Tools' constraint solver.
        model: The program.
        effort: In the solver's own measure, about seconds.
        parameters: More of its parameters.
    """
    found = cp.CpSolver()
    found.parameters.num_workers = 1  # the same answer each time
    found.parameters.random_seed = 1
    found.parameters.max_deterministic_time = effort
    for name, value in parameters.items():
        setattr(found.parameters, name, value)
    status = found.solve(model)
    is_proved = status in (cp.OPTIMAL, cp.INFEASIBLE)
    return (found if status in (cp.OPTIMAL, cp.FEASIBLE) else None), is_proved


class MoveSearch:
    """Searches for moves; what was found once is not found again.

    Args:
        balance: The work.
        movable: Which tasks may move where.
    """

    def __init__(self, balance: Balance, movable: Movable) -> None:
        self.cp: Any = solver()
        self.balance, self.movable = balance, movable
        self.number = {post.station: s for s, post in enumerate(balance.posts)}
        self.targets = {
            t: [self.number[name] for name in movable.targets[t]] for t in movable.free if balance.is_done(t)
        }
        self.shifts = [
            {(t, s): balance.shift(c, t, s) for t, places in self.targets.items() for s in places
             if s != balance.at[t]}
            for c in range(len(balance.people))
        ]  # fmt: skip
        by_station = np.bincount(balance.at, weights=balance.variance @ balance.share)
        busy = by_station[np.bincount(balance.at) > 0]
        #: Spread of the work on a job at a station that has work, on average.
        self.usual_sd = float(np.sqrt(busy.mean())) if len(busy) else 0.0
        self._barred: list[dict[int, int]] = []
        self._last: dict[int, int] = {}
        self.twins = self._kinds()

    def best(self, moves: int | None, *, exactly: bool = False) -> Solution | None:
        """Return the moves that leave the least above, and are as few as do; None if there are none more.

        Args:
            moves: Most tasks that move; None for any number.
            exactly: Whether so many move and not fewer.
        """
        program = _Program(self, moves, exactly=exactly)
        for barred in self._barred:
            program.bar(barred)
        if self._last and moves is None:
            program.hint(self._last)
        found, is_proved = program.solve()
        if not found:
            return None
        self._last = found
        for alike in itertools.islice(self._alike(found), MOST_TWINS):
            self._barred.append(alike)
        return Solution(
            tuple(sorted(found.items())), round(self.balance.fit(self.placed(found)).total, 3), is_proved
        )

    def placed(self, moves: dict[int, int]) -> tuple[int, ...]:
        """Return where each task is done after moves."""
        return tuple(moves.get(t, s) for t, s in enumerate(self.balance.at))

    def _kinds(self) -> dict[int, tuple[int, ...]]:
        """Return for each task that may move those that are the same work at the same station."""
        plan = self.balance.plan
        groups: dict[Hashable, list[int]] = {}
        for t in self.targets:
            zone = int(plan.tasks.zone[t])
            room = -1 if zone < 0 else int(plan.equipment.zone_people[zone])
            tools, crews = (tuple(table[t].tolist()) for table in (plan.tasks.tools, plan.tasks.crews))
            key = (self.balance.at[t], self.balance.mean_s[t].tobytes(), int(plan.tasks.people[t]), room,
                   tools, crews)  # fmt: skip
            groups.setdefault(key, []).append(t)
        return {t: tuple(group) for group in groups.values() for t in group}

    def _alike(self, moves: dict[int, int]) -> Iterator[dict[int, int]]:
        """Yield moves and what they are with other tasks of the same kind."""
        tasks = list(moves)
        for chosen in itertools.product(*(self.twins[t] for t in tasks)):
            if len(set(chosen)) == len(chosen):
                yield {twin: moves[t] for twin, t in zip(chosen, tasks, strict=True)}


class _Program:
    """One constraint program: 1 ms of work is one unit."""

    def __init__(self, search: MoveSearch, moves: int | None, *, exactly: bool) -> None:
        self.search, self.cp, self.moves = search, search.cp, moves
        self.model: Any = self.cp.CpModel()
        balance, targets = search.balance, search.targets
        self.here: dict[tuple[int, int], Any] = {}
        for t, places in targets.items():
            for s in places:
                self.here[t, s] = self.model.new_bool_var(f"{t}@{s}")
            self.model.add_exactly_one(self.here[t, s] for s in places)
        self.stayed = {t: self.here[t, balance.at[t]] for t in targets}
        n_moved = len(targets) - sum(self.stayed.values())
        if moves is not None:
            self.model.add(n_moved <= moves)
        self.model.add(n_moved >= (moves if exactly and moves is not None else 1))
        self._order()
        costs = [cost for s in range(len(balance.posts)) if (cost := self._station(s)) is not None]
        costs += [cost for c in range(len(balance.people)) if (cost := self._crew(c)) is not None]
        self.model.minimize(sum(costs) + round(1000 * A_MOVE_S) * _SHARES * n_moved)

    def _order(self) -> None:
        """What comes before another task is done before it, or at the same station."""
        movable, balance = self.search.movable, self.search.balance

        def rank(t: int) -> Any:
            if t in self.search.targets:
                names = [balance.posts[s].station for s in self.search.targets[t]]
                places = zip(self.search.targets[t], names, strict=True)
                return sum(movable.rank(name) * self.here[t, s] for s, name in places)
            return movable.layout.rank.get(movable.tasks[t].at)

        for first, then in movable.before:
            if first in self.search.targets or then in self.search.targets:
                self.model.add(rank(first) <= rank(then))

    def _station(self, s: int) -> Any:
        """Return the work above at a station, as a variable; None where no task comes or goes."""
        balance, post = self.search.balance, self.search.balance.posts[s]
        coming = [t for t, places in self.search.targets.items() if s in places]
        if not coming:
            return None
        staying = [t for t, at in enumerate(balance.at) if at == s and t not in coming]
        work, weights = _mix(balance, coming, staying)
        each = balance.variance @ balance.share
        usual = self.search.usual_sd
        limit = post.hands * post.window_s
        if self.moves is not None and self._most(work, coming, s) < min(
            limit - FAR * usual, post.hands * post.takt_s
        ):
            return None
        # The spread as the tangent of the root of the variance, where the variance is the usual one.
        slope = 1 / (2 * usual) if usual > 1e-9 else 0.0
        spread = _whole(usual / 2 + slope * float(each[staying].sum())) + sum(
            _whole(slope * each[t]) * self.here[t, s] for t in coming
        )
        loads = [
            _whole(column[-1])
            + sum(_whole(part) * self.here[t, s] for t, part in zip(coming, column, strict=False))
            for column in work.T
        ]
        above = [
            int(weight) * self._excess(load, limit, spread, f"{s}")
            for load, weight in zip(loads, weights, strict=True)
        ]
        mean = sum(int(weight) * load for load, weight in zip(loads, weights, strict=True))
        cost = self._variable(f"above {s}")
        self.model.add(cost >= sum(above))
        self.model.add(cost >= mean - _SHARES * _whole(post.hands * post.takt_s))
        return cost

    def _most(self, work: FloatArray, coming: Sequence[int], s: int) -> float:
        """Return the most work on any job that a station can get by the moves."""
        assert self.moves is not None
        own = [k for k, t in enumerate(coming) if self.search.balance.at[t] == s]
        others = [k for k, t in enumerate(coming) if self.search.balance.at[t] != s]
        more = np.sort(work[others], axis=0)[-self.moves :].sum(axis=0)
        return float((work[-1] + work[own].sum(axis=0) + more).max())

    def _crew(self, c: int) -> Any:
        """Return the work above what a crew can do in a takt; None for crews of one station.

        Its spread is that of the present, and changes with each move as if it were the only one.
        """
        balance, its = self.search.balance, self.search.balance.crew_stations[c]
        places = {s for _, s in self.here if c in balance.posts[s].crews}
        if len(its) < 2 or not places:
            return None
        mean_now, variance_now = balance.crew_load(balance.at, c)
        sd = float(np.sqrt(variance_now))
        load: Any = _whole(mean_now)
        spread: Any = _whole(sd)
        for (t, s), here in self.here.items():
            mean_s, variance = self.search.shifts[c].get((t, s), (0.0, 0.0))
            if mean_s or variance:
                load += _whole(mean_s) * here
                spread += _whole(variance / (2 * sd) if sd > 1e-9 else 0.0) * here
        limit = balance.people[c] * balance.crew_takt_s(c)
        tallest = self._variable(f"tallest {c}")
        mean = balance.mean_s @ balance.share
        for s in its:
            self.model.add(tallest >= sum(
                _whole(balance.parts[c, s, t] * mean[t]) * self.here.get((t, s), 1)
                for t in range(len(balance.at))
                if (t, s) in self.here or (balance.at[t] == s and t not in self.search.targets)
            ))  # fmt: skip
        return _SHARES * self._excess(load, limit, spread, f"crew {c}") + tallest

    def _excess(self, load: Any, limit: float, spread: Any, name: str) -> Any:
        """Return a variable at least as large as the expected excess of a load, by planes from below.

        The excess of a normal load over a limit is convex in mean and spread together; its tangent plane
        where the load lies ``z`` spreads above the limit is ``Phi(z) (load - limit) + phi(z) spread``.
        """
        over = self._variable(f"over {name}")
        above = load - _whole(limit)
        self.model.add(over >= above)
        for z in _Z:
            chance, density = float(special.ndtr(z)), float(np.exp(-(z**2) / 2) / np.sqrt(2 * np.pi))
            self.model.add(1000 * over >= round(1000 * chance) * above + round(1000 * density) * spread)
        return over

    def _variable(self, name: str) -> Any:
        return self.model.new_int_var(0, 10**12, name)

    def hint(self, moves: dict[int, int]) -> None:
        """Begin the search with these moves and what lies near them."""
        for (t, s), here in self.here.items():
            self.model.add_hint(here, moves.get(t, self.search.balance.at[t]) == s)

    def bar(self, moves: dict[int, int]) -> None:
        """Ask for other moves than these; a station with the same crews is no other one."""
        posts = self.search.balance.posts
        made = [
            here for (t, s), here in self.here.items()
            if t in moves and s != self.search.balance.at[t] and posts[s].crews == posts[moves[t]].crews
        ]  # fmt: skip
        more = [1 - stayed for t, stayed in self.stayed.items() if t not in moves]
        self.model.add(sum(made) - sum(more) <= len(moves) - 1)

    def solve(self) -> tuple[dict[int, int], bool]:
        """Return the moves that were found, none if there are none, and whether nothing is better."""
        # Probing takes longer here than it saves.
        found, is_proved = solved(self.cp, self.model, EFFORT, cp_model_probing_level=0)
        home = self.search.balance.at
        moved = {
            t: s for (t, s), var in self.here.items() if s != home[t] and found and found.boolean_value(var)
        }
        return moved, is_proved


def _mix(balance: Balance, coming: Sequence[int], staying: Sequence[int]) -> tuple[FloatArray, FloatArray]:
    """Return the kinds of work that jobs can be at a station, and how common each is.

    Returns:
        A column a kind: work of each task that may be there, then of all that stay; and whole weights that
        sum to about `_SHARES`.
    """
    rows = np.vstack([balance.mean_s[list(coming)], balance.mean_s[list(staying)].sum(axis=0)])
    kinds, inverse = np.unique(rows.round(3), axis=1, return_inverse=True)
    weights = np.bincount(inverse.ravel(), weights=balance.share, minlength=kinds.shape[1])
    kept = np.sort(np.argsort(-weights, kind="stable")[:MOST_MIX])
    weights = weights[kept] / weights[kept].sum()
    return kinds[:, kept], np.maximum(1, np.round(_SHARES * weights))


def _whole(amount_s: float) -> int:
    return round(1000 * amount_s)


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
