"""How far a long piece of work is, on stderr, how fast it goes and how long it will go on."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager


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


EVERY_SECONDS = 30.0  #: Where stderr is no terminal, a line is written this often.

Tell = Callable[[int, int], None]
Notice = Callable[[str], None]


@contextmanager
def progress(what: str, *, quiet: bool) -> Iterator[Tell | None]:
    """Yield what is to be told how many are done and of how many; None where nobody wants to know.

    Args:
        what: What is counted, in the plural.
        quiet: Whether the user wants none.
    """
    with told(what, quiet=quiet) as (tell, _):
        yield tell


@contextmanager
def told(what: str, *, quiet: bool) -> Iterator[tuple[Tell | None, Notice]]:
    """Yield what is to be told of the progress, and of what a user should hear meanwhile.

    Args:
        what: What is counted, in the plural.
        quiet: Whether the user wants no progress; what goes wrong is told even so.
    """
    if quiet:
        yield None, _say
    elif sys.stderr.isatty():
        with _moving(what) as both:
            yield both
    else:
        yield _now_and_then(what), _say


def _say(text: str) -> None:
    print(text, file=sys.stderr, flush=True)


def _now_and_then(what: str) -> Tell:
    rate = Rate(time.monotonic())
    last = time.monotonic()

    def tell(done: int, total: int) -> None:
        nonlocal last
        now = time.monotonic()
        rate.tell(done, total, now)
        if now - last >= EVERY_SECONDS:
            last = now
            said = rate.in_words()
            _say(f"{done} of {total} {what}{f', {said}' if said else ''}")

    return tell


@contextmanager
def _moving(what: str) -> Iterator[tuple[Tell, Notice]]:
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    console = Console(stderr=True, highlight=False, markup=False)
    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(bar_width=24, style="dim", complete_style="none", finished_style="none"),
        MofNCompleteColumn(separator=" of "),
        TextColumn("{task.fields[rate]}"),
        console=console,
        transient=True,
    )
    with bar:
        task = bar.add_task(what, total=None, rate="")
        rate = Rate(time.monotonic())

        def tell(done: int, total: int) -> None:
            rate.tell(done, total, time.monotonic())
            bar.update(task, completed=done, total=total, rate=rate.in_words())

        yield tell, console.print
