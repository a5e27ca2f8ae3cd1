"""What a line can be staffed with: how many people each crew may have, and the line with so many."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from linesim.capacity.ceiling import CrewDesk, desk_of
from linesim.capacity.loads import Loads
from linesim.errors import ScenarioError, WrongQuestionError
from linesim.plan.build import build
from linesim.plan.people import costs_of_one
from linesim.questions.crew.hands import Barred, NewFloater, check_response, crews_asked, floater_for
from linesim.questions.staff import Staff
from linesim.runs.cases import Case
from linesim.scenario import Scenario

NOW = "as it is"
ROOM = 4  #: So many more than it has or needs on paper a crew may have, where nobody says.
MOST_FLOATERS = 2  #: New floaters that a crew may have.
Heads = tuple[int, ...]  #: How many people each post has, in their order.


@dataclass(frozen=True, slots=True)
class StaffPost:
    """A crew, or a floater that may be added, and how many people it may have.

    Attributes:
        crew: Its name, in the scenario too.
        now: People at present.
        least, most: Limits.
        cost: What one person costs in an average shift: money, or 1 and more with premiums.
        why_least: What stands against fewer than the least.
        desk: What its work asks for on paper; None for a new floater.
        new: The floater that it would be; None for a crew of the file.
    """

    crew: str
    now: int
    least: int
    most: int
    cost: float
    why_least: str = ""
    desk: CrewDesk | None = None
    new: NewFloater | None = None

    @property
    def on_paper(self) -> int:
        """Where the search begins: what its work asks for within the limits; as now where paper is silent."""
        wanted = self.now if self.desk is None or not self.desk.mean else self.desk.people
        return max(self.least, min(self.most, wanted))


class Staffings:
    """Every staffing that is allowed, each as a line.

    Attributes:
        scenario: The line as it is.
        posts: The crews of the file in their order, then new floaters.
        now: The staffing at present.
    """

    def __init__(self, scenario: Scenario, posts: tuple[StaffPost, ...]) -> None:
        self.scenario, self.posts = scenario, posts
        self.now: Heads = tuple(post.now for post in posts)

    @property
    def is_priced(self) -> bool:
        """Whether a cost is money; else it is people on an average shift."""
        return self.scenario.cost.operator_per_shift is not None

    @property
    def on_paper(self) -> Heads:
        """The staffing of the desk calculation."""
        return tuple(post.on_paper for post in self.posts)

    @property
    def fullest(self) -> Heads:
        """As many people as there may be."""
        return tuple(post.most for post in self.posts)

    def cost(self, heads: Heads) -> float:
        """Return what the people cost in an average shift."""
        return round(sum(n * post.cost for n, post in zip(heads, self.posts, strict=True)), 6)

    def name(self, heads: Heads) -> str:
        """Return what answers call a staffing: what is other than now."""
        gaps = zip(self.posts, heads, strict=True)
        return ", ".join(f"{p.crew} {n - p.now:+d}" for p, n in gaps if n != p.now) or NOW

    def case(self, heads: Heads) -> Case:
        """Return the line with a staffing.

        Raises:
            ScenarioError: If some work cannot be done with it.
        """
        changes: dict[tuple[str, ...], Any] = {}
        add: dict[tuple[str, ...], Any] = {}
        for post, n in zip(self.posts, heads, strict=True):
            if post.new is not None and n:
                add["crew", post.crew] = {**post.new.crew, "people": n}
                changes |= post.new.calls
            elif n != post.now:
                changes["crew", post.crew, "people"] = n
        if not (changes or add):
            return Case(NOW, self.scenario)
        return Case.changed(self.name(heads), self.scenario, changes, add=add)

    def moved(self, heads: Heads, *steps: tuple[int, int]) -> Heads | None:
        """Return a staffing with people more at some posts; None where a limit stands against it.

        Args:
            heads: The staffing.
            steps: Place of a post, and people more.
        """
        new = list(heads)
        for place, more in steps:
            new[place] += more
        inside = all(p.least <= n <= p.most for p, n in zip(self.posts, new, strict=True))
        return tuple(new) if inside else None

    def spread(self, people: int) -> Heads:
        """Return so many people spread on paper: each next one where there is most work for each.

        Raises:
            WrongQuestionError: If the limits do not allow so many.
        """
        heads = [post.least for post in self.posts]
        most = sum(post.most for post in self.posts)
        if not sum(heads) <= people <= most:
            raise WrongQuestionError(
                f"{people} people cannot be: the crews need {sum(heads)} at least and may have {most} at "
                f"most ({', '.join(f'{p.crew} {p.least} to {p.most}' for p in self.posts)})."
            )
        for post, place in ((p, k) for k, p in enumerate(self.posts) if p.desk and not p.desk.mean):
            heads[place] += max(0, min(post.on_paper - post.least, people - sum(heads)))  # not known on paper
        while sum(heads) < people:
            open_ones = [k for k, post in enumerate(self.posts) if heads[k] < post.most]
            heads[max(open_ones, key=lambda k: (self._need(k, heads[k]), -k))] += 1
        return tuple(heads)

    def _need(self, place: int, people: int) -> float:
        desk = self.posts[place].desk
        return -1.0 if desk is None else desk.peak / max(people, 0.5)

    def within(self, cost: float, most: int) -> list[Heads] | None:
        """Return every staffing that costs no more; None if there are more than ``most``."""
        found: list[Heads] = []
        left = [post.least * post.cost for post in self.posts]

        def walk(begun: Heads, spent: float) -> Iterator[Heads]:
            if len(begun) == len(self.posts):
                yield begun
                return
            post, rest = self.posts[len(begun)], sum(left[len(begun) + 1 :])
            for n in range(post.least, post.most + 1):
                if spent + n * post.cost + rest > cost + 1e-6:
                    return
                yield from walk((*begun, n), spent + n * post.cost)

        for heads in walk((), 0.0):
            if len(found) == most:
                return None
            found.append(heads)
        return found


def staffings_of(asked: Staff, scenario: Scenario) -> Staffings:
    """Return the staffings that are allowed, by the limits of the question and of the work.

    Raises:
        WrongQuestionError: If there is no such crew, or limits contradict each other.
    """
    crews = crews_asked(scenario, ())
    crews_asked(scenario, (*asked.keep, *(least := _limits(asked.least)), *(most := _limits(asked.most))))
    check_response(asked.response)
    wage = scenario.cost.operator_per_shift
    costs = costs_of_one(scenario, 1.0 if wage is None else wage)
    # With one person in each crew that has nobody, so that work can be laid to it.
    changes = {("crew", n, "people"): 1 for n, crew in scenario.crew.items() if not crew.people}
    desks = dict(zip(crews, desk_of(Loads(build(scenario.replace(changes)))), strict=True))
    posts = []
    for crew in crews:
        now = scenario.crew[crew].people
        if crew in asked.keep:
            posts.append(StaffPost(crew, now, now, now, costs[crew], "it is kept as it is", desks[crew]))
            continue
        highest = most.get(crew, max(now, desks[crew].people) + ROOM)
        lowest, why = _least(scenario, crew, least.get(crew, 0))
        if lowest > highest:
            raise WrongQuestionError(
                f"crew {crew}: at most {highest} cannot be, it needs {lowest} at least"
                f"{f': {why}' if why else ''}."
            )
        posts.append(StaffPost(crew, now, lowest, highest, costs[crew], why, desks[crew]))
    if not asked.no_floater:
        posts += _floaters(asked, scenario, costs)
    return Staffings(scenario, tuple(posts))


def _floaters(asked: Staff, scenario: Scenario, costs: Mapping[str, float]) -> Iterator[StaffPost]:
    """Yield a post for each crew that may have a floater and whose stations have none."""
    helped = {place for crew in scenario.crew.values() if crew.floater for place in crew.covers}
    for name, crew in scenario.crew.items():
        if crew.floater or name in asked.keep:
            continue
        new = floater_for(scenario, name, response=asked.response)
        if not isinstance(new, Barred) and not helped & set(new.crew["covers"]):
            yield StaffPost(new.name, 0, 0, MOST_FLOATERS, costs[name], new=new)


def _least(scenario: Scenario, crew: str, asked: int) -> tuple[int, str]:
    """Return the least people that a crew can have, all others as they are, and what stands against fewer."""
    found = max(asked, scenario.crew[crew].people)
    while found > asked:
        try:
            scenario.replace({("crew", crew, "people"): found - 1})
        except ScenarioError as error:
            first = error.problems[0]
            return found, f"{first.place}: {first.message}".rstrip(".")
        found -= 1
    return found, ""


def _limits(given: Mapping[str, int] | tuple[str, ...]) -> dict[str, int]:
    """Return limits by crew, as options or Python give them.

    Raises:
        WrongQuestionError: If one is no limit.
    """
    if isinstance(given, Mapping):
        pairs = [(str(crew), str(people)) for crew, people in given.items()]
    else:
        pairs = [(crew.strip(), people.strip()) for crew, _, people in (one.partition("=") for one in given)]
    for crew, people in pairs:
        if not (people.isascii() and people.isdigit()) or len(people) > 6:
            raise WrongQuestionError(f"{crew}={people} is no limit; write a crew and a whole number: trim=5.")
    return {crew: int(people) for crew, people in pairs}
