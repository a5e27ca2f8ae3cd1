"""How fast long work goes, and how long it will go on."""

from __future__ import annotations


class Rate:
    """Counts what was done since the beginning; what was done before, or is wanted anew, does not count.

    Attributes:
        done: How many are done, those from before included.
        total: Of how many.
    """

    def __init__(self, now: float) -> None:
        """Begin at a moment [s]."""
        self.done, self.total = 0, 0
        self._began, self._now = now, now
        self._worked = 0
        self._has_begun = False

    def tell(self, done: int, total: int, now: float) -> None:
        """Take note of how many are done at a moment [s]."""
        is_same_list = self._has_begun and total == self.total and done >= self.done
        if is_same_list:
            self._worked += done - self.done
        self.done, self.total, self._now, self._has_begun = done, total, now, True

    @property
    def per_second(self) -> float | None:
        """How many are done a second [1/s]; None while that is not known."""
        spent = self._now - self._began
        return self._worked / spent if self._worked and spent > 0 else None

    @property
    def left_s(self) -> float | None:
        """How long what is left will take [s]; None while that is not known."""
        return None if self.per_second is None else (self.total - self.done) / self.per_second

    def in_words(self) -> str:
        """Return speed and time left, such as ``1.8 a second, 2.6 min left``; empty while not known."""
        from linesim.runs.cost import in_words

        speed, left = self.per_second, self.left_s
        if speed is None or left is None:
            return ""
        said = f"{speed:.2g} a second" if speed >= 0.5 else f"one in {in_words(1 / speed)}"
        if speed >= 100:
            said = f"{speed:.0f} a second"
        return said if self.done >= self.total else f"{said}, {in_words(left)} left"
