"""Which program made a figure: a digest of versions and of the source that decides figures."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable

from linesim.runs.provenance import versions

#: Parts of the package that decide the figures of a replication.
DECIDING = (
    "special.py",
    "ticks.py",
    "scenario",
    "plan",
    "draws",
    "ledger",
    "engine",
    "measures",
    "runs/blocks.py",
    "runs/replication.py",
    "stats",
    "questions/bottleneck/periods.py",
    "questions/warmup/series.py",
)


def program_digest() -> str:
    """Return the digest of what decides a figure besides scenario, seed and number of the replication.

    The version alone would do for a released program. While one works on the program, the version
    stays and the figures change; the digest of the source keeps a study from mixing the two.
    """
    digest = hashlib.sha256(json.dumps(versions(), sort_keys=True).encode())
    root = files("linesim")
    for part in DECIDING:
        for name, source in _sources(root.joinpath(part), part):
            digest.update(f"\n{name} {len(source)}\n".encode())
            digest.update(source)
    return digest.hexdigest()


def _sources(place: Traversable, name: str) -> Iterator[tuple[str, bytes]]:
    """Yield name and content of each Python file, in the order of the names."""
    if place.is_file():
        yield name, place.read_bytes().replace(b"\r\n", b"\n")
    elif place.is_dir():
        for inner in sorted(place.iterdir(), key=lambda found: found.name):
            if inner.is_dir() or inner.name.endswith(".py"):
                yield from _sources(inner, f"{name}/{inner.name}")
