"""Places with little room: a limit on files, which anybody may set; a disk, where the system gives one."""

import os
import resource
import shutil
import subprocess
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest


@dataclass(frozen=True)
class Tight:
    """A folder in which room runs out.

    Attributes:
        folder: The folder, with room for a study.
        leave: Leaves so many bytes of room, and takes the rest away.
    """

    folder: Path
    leave: Callable[[int], None]


@contextmanager
def limited(folder: Path) -> Iterator[Tight]:
    """Yield a folder in which no file can be written beyond a size, once room is taken away."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    folder.mkdir()
    try:
        yield Tight(folder, lambda room: resource.setrlimit(resource.RLIMIT_FSIZE, (room, hard)))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def as_root(*words: str) -> bool:
    """Run a command with the rights we have, or with those that sudo gives unasked; return whether it ran."""
    for before in ((), ("sudo", "-n")):
        if before and shutil.which(before[0]) is None:
            continue
        if subprocess.run([*before, *words], capture_output=True, check=False).returncode == 0:
            return True
    return False


@contextmanager
def small_disk(folder: Path) -> Iterator[Tight | None]:
    """Yield a disk of its own with 600 kB; None without the right to mount one."""
    folder.mkdir()
    owner = f"size=600k,uid={os.getuid()}"
    if not as_root("mount", "-t", "tmpfs", "-o", owner, "none", str(folder)):
        yield None
        return

    def leave(room: int) -> None:
        with (folder / "rest").open("ab", buffering=0) as file:
            for size in (4096, 1):
                while shutil.disk_usage(folder).free > room:
                    try:
                        file.write(b"x" * size)
                    except OSError:
                        break

    try:
        yield Tight(folder, leave)
    finally:
        assert as_root("umount", "--lazy", str(folder))


@pytest.fixture
def tight(tmp_path: Path) -> Iterator[tuple[Tight, ...]]:
    """Return the places with little room that there are here: at least one."""
    with ExitStack() as stack:
        disk = stack.enter_context(small_disk(tmp_path / "disk"))
        yield (stack.enter_context(limited(tmp_path / "limited")), *([disk] if disk else []))
