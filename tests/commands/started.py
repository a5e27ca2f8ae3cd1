"""Programs that a test starts and interrupts; none of them outlives its test."""

import os
import resource
import signal
import subprocess
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

from tests.commands.calls import environment


@contextmanager
def started(words: Sequence[str | Path], **extra: str) -> Iterator[subprocess.Popen[str]]:
    """Yield a program as it starts, in a process group of its own, its output in pipes.

    Whatever is left of the group at the end is killed, however the test went; where the tests themselves are
    killed, each process ends after two minutes of processor time.

    Args:
        words: Its command line.
        extra: What stands in its environment besides the usual.
    """
    run = subprocess.Popen(
        [str(word) for word in words],
        env=environment(extra),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (120, 120)),
    )
    try:
        yield run
    finally:
        with suppress(ProcessLookupError):
            os.killpg(run.pid, signal.SIGKILL)
        run.communicate()
