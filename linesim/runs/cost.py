"""What a study will cost, said before it starts."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace

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
        least: Where figures decide how many are run, the fewest that do, 0 where nobody can say;
            ``replications`` is then the most that are to be expected. None where their number is known.
    """

    cases: int
    replications: int
    stored: int
    each: float
    is_timed_now: bool
    workers: int
    least: int | None = None

    @property
    def seconds(self) -> float:
        """How long it will take [s], if the workers have the processors for themselves."""
        return self._seconds(self.replications)

    @property
    def least_seconds(self) -> float:
        """How long the fewest take [s]."""
        return self._seconds(self.replications if self.least is None else self.least)

    def _seconds(self, count: int) -> float:
        missing = max(0, count - self.stored)
        if not missing:
            return 0.0
        at_once = min(self.workers, missing)
        return -(-missing // at_once) * self.each + (START_SECONDS if at_once > 1 else 0.0)

    def between(self, least: int, most: int) -> RunCost:
        """Return the cost of a study whose figures decide how many replications it takes."""
        most = max(least, most)
        return replace(self, replications=most, least=None if least == most else least)

    def as_dict(self) -> dict[str, int | float | bool | None]:
        """Return the cost as plain numbers."""
        return {**asdict(self), "seconds": self.seconds, "least_seconds": self.least_seconds}

    @property
    def sentences(self) -> tuple[str, ...]:
        """The cost in plain sentences."""
        from linesim.answers.wording import count_of  # with all that answers need

        what = f"{count_of(self.replications, 'replication')} of {count_of(self.cases, 'case')}"
        time = f"about {in_words(self.seconds)}"
        if self.least == 0:
            what, time = f"at most {what}", f"at most {time}"
        elif self.least is not None:
            what = f"{self.least} to {self.replications} replications, as the figures decide"
            least, most = in_words(self.least_seconds), in_words(self.seconds)
            time = f"about {least} to {most}" if least != most else f"about {most}"
        stored = f", {self.stored} of them stored" if self.stored else ""
        how = "timed once" if self.is_timed_now else "from stored ones"
        return (
            f"To run: {what}{stored}.",
            f"A replication takes {in_words(self.each)} ({how}); with {count_of(self.workers, 'worker')} "
            f"that is {time}.",
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
