"""A disk of a few hundred kilobytes, where the system lets us have one."""

import os
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest


def as_root(*words: str) -> bool:
    """Run a command with the rights we have, or with those that sudo gives unasked; return whether it ran."""
    for before in ((), ("sudo", "-n")):
        if before and shutil.which(before[0]) is None:
            continue
        if subprocess.run([*before, *words], capture_output=True, check=False).returncode == 0:
            return True
    return False


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Return a folder on a disk of its own with 600 kB; needs the right to mount one."""
    place = tmp_path / "disk"
    place.mkdir()
    owner = f"size=600k,uid={os.getuid()}"
    if not as_root("mount", "-t", "tmpfs", "-o", owner, "none", str(place)):
        pytest.skip("no right to mount a small disk")
    try:
        yield place
    finally:
        assert as_root("umount", "--lazy", str(place))


@pytest.fixture
def fill_up() -> Callable[[Path], None]:
    """Return what takes the last free byte of a disk."""

    def fill(disk: Path) -> None:
        with (disk / "rest").open("wb", buffering=0) as file:
            for size in (4096, 1):
                try:
                    while True:
                        file.write(b"x" * size)
                except OSError:
                    continue

    return fill
