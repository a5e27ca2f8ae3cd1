"""How far a long piece of work is: a line on stderr, only where somebody sits at a terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress(what: str, *, quiet: bool) -> Iterator[Callable[[int, int], None] | None]:
    """Yield what is to be told how many are done and of how many; None where nobody would see it.

    Args:
        what: What is counted, in the plural.
        quiet: Whether the user wants none.
    """
    if quiet or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(bar_width=24, style="dim", complete_style="none", finished_style="none"),
        MofNCompleteColumn(separator=" of "),
        TextColumn("{task.fields[rate]}"),
        TextColumn("left"),
        TimeRemainingColumn(compact=True),
        console=Console(stderr=True, highlight=False),
        transient=True,
    )
    with bar:
        task = bar.add_task(what, total=None, rate="")

        def tell(done: int, total: int) -> None:
            speed = bar.tasks[0].speed
            bar.update(task, completed=done, total=total, rate=f"{speed:.1f} a second" if speed else "")

        yield tell
