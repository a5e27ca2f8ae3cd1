"""How far a long piece of work is, on stderr: a line that moves on a terminal, now and then one elsewhere."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from linesim.commands.rate import Rate

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
