"""What a study will cost, said before it starts."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace

from linesim.answers.wording import count_of
from linesim.errors import LinesimError

START_SECONDS = 2.0  #: Until several workers are up.


@dataclass(frozen=True, slots=True)
class RunCost:
    """What replications will cost.

    Attributes:
        cases: Different lines to simulate.
        replications: Replications wanted, over all of them.
        stored: How many of them need not be run, because they are stored.
        each: Time of one of the others [s], on average.
        is_timed_now: Whether one was run to know that; else the time comes from stored ones.
        workers: How many run at a time, >= 1.
        is_most: Whether fewer may do.
    """

    cases: int
    replications: int
    stored: int
    each: float
    is_timed_now: bool
    workers: int
    is_most: bool = False

    @property
    def seconds(self) -> float:
        """How long it will take [s], if the workers have the processors for themselves."""
        missing = self.replications - self.stored
        if not missing:
            return 0.0
        at_once = min(self.workers, missing)
        return -(-missing // at_once) * self.each + (START_SECONDS if at_once > 1 else 0.0)

    def with_at_most(self, more: int) -> RunCost:
        """Return the cost if so many cases like these may follow, depending on the figures."""
        if not more:
            return self
        each = self.replications // self.cases
        return replace(
            self, cases=self.cases + more, replications=self.replications + more * each, is_most=True
        )

    def as_dict(self) -> dict[str, int | float | bool]:
        """Return the cost as plain numbers."""
        return {**asdict(self), "seconds": self.seconds}

    @property
    def sentences(self) -> tuple[str, ...]:
        """The cost in plain sentences."""
        most = "at most " if self.is_most else ""
        what = f"{most}{count_of(self.replications, 'replication')} of {count_of(self.cases, 'case')}"
        stored = f", {self.stored} of them stored" if self.stored else ""
        how = "timed once" if self.is_timed_now else "from stored ones"
        return (
            f"To run: {what}{stored}.",
            f"A replication takes {in_words(self.each)} ({how}); with {count_of(self.workers, 'worker')} "
            f"that is {most}about {in_words(self.seconds)}.",
        )


class CostOnly(LinesimError):  # noqa: N818 - an answer on its way out, not a fault
    """Raised instead of running anything, where only the cost was asked for."""

    def __init__(self, cost: RunCost) -> None:
        self.cost = cost
        super().__init__(" ".join(cost.sentences))

    def __reduce__(self) -> tuple[type[CostOnly], tuple[RunCost]]:
        """Keep the cost when it is copied."""
        return (type(self), (self.cost,))


def in_words(seconds: float) -> str:
    """Return a duration as people say it, two digits at most.

    Examples:
        >>> in_words(0.0042), in_words(2.71), in_words(48), in_words(130), in_words(5400), in_words(2.6e5)
        ('4 ms', '2.7 s', '48 s', '2.2 min', '1.5 h', '3 days')
    """
    if seconds < 1:
        return f"{max(1, round(1000 * seconds))} ms"
    for size, unit, until in ((1, "s", 60), (60, "min", 60), (3600, "h", 48)):
        number = seconds / size
        if round(number) < until:
            return f"{number:.1f} {unit}".replace(".0 ", " ") if number < 10 else f"{number:.0f} {unit}"
    return f"{seconds / 86_400:.0f} days"
