"""Streams of uniform numbers that belong to things, and the rounding of seconds to ticks."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linesim.plan.columns import name_key
from linesim.plan.tables import FloatArray, IntArray
from linesim.ticks import LONGEST_S, TICKS_PER_SECOND, ticks

BLOCK = 256  #: Rows drawn at a time; changes speed, never a number.
MOST_TICKS = ticks(LONGEST_S)  #: Longest time a draw may have, as for written times.

_KEPT = 2  #: Blocks a sheet remembers: the one in use and one for jobs that come late.
_STEP = 4  #: Numbers that Philox makes from one value of its counter.


def stream_key(seed: int, replication: int, kind: str, name: str, attempt: int = 0) -> int:
    """Return the 128-bit key of one stream.

    Every part is brought to a fixed width before the parts are joined (numbers to 8 bytes, texts to
    the 32 bytes of their own SHA-256), so no two different tuples are written alike: ``("ab", "c")``
    is not ``("a", "bc")``, and a seed of 1 beside a replication of 2 is not one long number.

    Args:
        seed: Seed of the run, 0 <= seed < 2**64.
        replication: Number of the replication, within the same limits.
        kind: What is drawn, such as ``"task"``.
        name: Whose it is, such as ``"K1.bolt-cab"``.
        attempt: 0 for the first time a job meets it, then 1, 2, …

    Raises:
        ValueError: If a number is outside its limits.
    """
    return joined_key(seed, replication, name_key(kind, name), attempt)


def joined_key(seed: int, replication: int, key: bytes, attempt: int) -> int:
    """Return the key of a stream of what ``key`` stands for: `linesim.plan.columns.name_key`."""
    for word, number in (("seed", seed), ("replication", replication), ("attempt", attempt)):
        if not 0 <= number < 2**64:
            raise ValueError(f"{word} must be >= 0 and < 2**64, got {number}")
    parts = [int(number).to_bytes(8, "big") for number in (seed, replication, attempt)]
    return int.from_bytes(hashlib.sha256(b"".join([*parts, key])).digest()[:16], "big")


def to_ticks(seconds: ArrayLike) -> IntArray:
    """Return times [s] as whole ticks of 1 ms, rounded to the nearest, halves to even.

    Below 0 becomes 0; above `MOST_TICKS` becomes `MOST_TICKS`.

    >>> to_ticks([0.0004, 57.6, -1.0])
    array([    0, 57600,     0])
    """
    rounded = np.rint(np.asarray(seconds, dtype=np.float64) * TICKS_PER_SECOND)
    return np.clip(rounded, 0, MOST_TICKS).astype(np.int64)


def raw_words(keys: Sequence[int], first: int, rows: int) -> NDArray[np.uint64]:
    """Return rows ``first`` to ``first + rows - 1`` of some streams, shape ``(keys, rows)``.

    Philox is a counter turned through a cipher: number ``i`` follows from key and ``i`` alone, so rows are
    reached in one step however far down they lie. Source: Salmon, Moraes, Dror, Shaw, "Parallel random
    numbers: as easy as 1, 2, 3", SC11 (2011). The raw words are what numpy never changes, which its
    `Generator` may.

    Args:
        keys: 128-bit keys, from `stream_key`.
        first: A multiple of 4.
        rows: How many.
    """
    words = np.empty((len(keys), rows), dtype=np.uint64)
    source = np.random.Philox(key=0)
    state = source.state
    counter, half = np.array([first // _STEP, 0, 0, 0], dtype=np.uint64), np.zeros(2, dtype=np.uint64)
    state["state"] = {"counter": counter, "key": half}
    for row, key in zip(words, keys, strict=True):
        half[0], half[1] = key & (2**64 - 1), key >> 64
        source.state = state  # setting it costs a third of making another
        row[:] = source.random_raw(rows)
    return words


def uniform(words: NDArray[np.uint64]) -> FloatArray:
    """Return words as multiples of 2**-53 in [0, 1): the upper 53 bits of each."""
    return (words >> np.uint64(11)).astype(np.float64) * 2.0**-53


class Sheet:
    """The uniform numbers of one stream, one row a job (or a count).

    ``sheet[job]`` does not depend on what was read before it. Two scenarios that share a seed
    therefore give job 17 the same number at the same task, whatever else differs between them
    (common random numbers). Only the last few blocks are kept.

    Args:
        key: 128-bit key, from `stream_key`.
        block: Rows drawn at a time, a positive multiple of 4.
    """

    __slots__ = ("_blocks", "_key", "_rows")

    def __init__(self, key: int, *, block: int = BLOCK) -> None:
        if block <= 0 or block % _STEP:
            raise ValueError(f"block must be a positive multiple of {_STEP}, got {block}")
        self._key = key
        self._rows = block
        self._blocks: dict[int, FloatArray] = {}

    def block(self, b: int) -> FloatArray:
        """Return rows ``b * block`` to ``(b + 1) * block - 1``, shape ``(block,)``, read-only."""
        if (kept := self._blocks.get(b)) is not None:
            return kept
        if b < 0:
            raise IndexError(f"block must be >= 0, got {b}")
        numbers = uniform(raw_words([self._key], b * self._rows, self._rows)[0])
        numbers.flags.writeable = False
        if len(self._blocks) >= _KEPT:
            del self._blocks[next(iter(self._blocks))]
        self._blocks[b] = numbers
        return numbers

    def __getitem__(self, job: int) -> float:
        """Return the number of ``job`` (counted from 0), in [0, 1)."""
        if job < 0:
            raise IndexError(f"job must be >= 0, got {job}")
        b, row = divmod(job, self._rows)
        return float(self.block(b)[row])


class Streams:
    """All streams of one replication.

    Args:
        seed: Seed of the run, 0 <= seed < 2**64.
        replication: Number of the replication, counted from 1.
        block: Rows that sheets draw at a time.
    """

    __slots__ = ("block", "replication", "seed")

    def __init__(self, seed: int, replication: int, *, block: int = BLOCK) -> None:
        self.seed = seed
        self.replication = replication
        self.block = block

    def sheet(self, kind: str, name: str, attempt: int = 0) -> Sheet:
        """Return the sheet of ``(kind, name, attempt)``; see `stream_key`."""
        return Sheet(stream_key(self.seed, self.replication, kind, name, attempt), block=self.block)
