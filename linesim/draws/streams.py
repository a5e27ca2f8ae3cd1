"""Streams of uniform numbers that belong to things, and the rounding of seconds to ticks."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from linesim.plan.columns import name_key
from linesim.plan.tables import FloatArray, IntArray
from linesim.ticks import LONGEST_S, TICKS_PER_SECOND, ticks

MOST_TICKS = ticks(LONGEST_S)  #: Longest time a draw may have, as for written times.

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
    return int.from_bytes(hashlib.sha256(_numbers(seed, replication, attempt) + key).digest()[:16], "big")


@lru_cache(maxsize=64)
def _numbers(seed: int, replication: int, attempt: int) -> bytes:
    """Return what the keys of all streams of an attempt begin with."""
    for word, number in (("seed", seed), ("replication", replication), ("attempt", attempt)):
        if not 0 <= number < 2**64:
            raise ValueError(f"{word} must be >= 0 and < 2**64, got {number}")
    return b"".join(int(number).to_bytes(8, "big") for number in (seed, replication, attempt))


def to_ticks(seconds: ArrayLike) -> IntArray:
    """Return times [s] as whole ticks of 1 ms, rounded to the nearest, halves to even.

    Below 0 becomes 0; above `MOST_TICKS` becomes `MOST_TICKS`.

    >>> to_ticks([0.0004, 57.6, -1.0])
    array([    0, 57600,     0])
    """
    rounded = np.array(seconds, dtype=np.float64)
    rounded *= TICKS_PER_SECOND
    np.rint(rounded, out=rounded)
    return np.clip(rounded, 0, MOST_TICKS, out=rounded).astype(np.int64)


class StreamBits:
    """Rows ``first`` to ``first + rows - 1`` of some streams, as whole numbers of 53 bits.

    Philox is a counter turned through a cipher: number ``i`` follows from key and ``i`` alone, so rows are
    reached in one step however far down they lie. Source: Salmon, Moraes, Dror, Shaw, "Parallel random
    numbers: as easy as 1, 2, 3", SC11 (2011). The raw words are what numpy never changes, which its
    `Generator` may.

    Args:
        first: A multiple of 4.
        rows: How many.
    """

    __slots__ = ("_place", "_rows", "_source", "_state")

    def __init__(self, first: int, rows: int) -> None:
        self._rows = rows
        self._source = np.random.Philox(key=0)
        self._place: dict[str, list[int]] = {"counter": [first // _STEP, 0, 0, 0]}
        self._state: Any = {**self._source.state, "state": self._place, "buffer": [0] * _STEP}

    def of(self, keys: Sequence[int]) -> IntArray:
        """Return the upper 53 bits of the words of streams by their keys, shape ``(keys, rows)``."""
        words = np.empty((len(keys), self._rows), dtype=np.uint64)
        for row, key in zip(words, keys, strict=True):
            self._place["key"] = [key & (2**64 - 1), key >> 64]
            self._source.state = self._state  # setting it costs much less than making another
            row[:] = self._source.random_raw(self._rows)
        words >>= np.uint64(11)
        return words.view(np.int64)


def uniform(bits: IntArray) -> FloatArray:
    """Return whole numbers of 53 bits as multiples of 2**-53 in [0, 1)."""
    return np.multiply(bits, 2.0**-53, dtype=np.float64)


class Streams:
    """All streams of one replication.

    Args:
        seed: Seed of the run, 0 <= seed < 2**64.
        replication: Number of the replication, counted from 1.

    Raises:
        ValueError: If a number is outside its limits.
    """

    __slots__ = ("replication", "seed")

    def __init__(self, seed: int, replication: int) -> None:
        _numbers(seed, replication, 0)
        self.seed = seed
        self.replication = replication

    def numbers(self, names: Iterable[bytes], first: int, rows: int) -> FloatArray:
        """Return rows ``first`` to ``first + rows - 1`` of some streams, shape ``(names, rows)``.

        ``first`` is a multiple of 4. A number does not depend on what was read before it. Two scenarios
        that share a seed therefore give job 17 the same number at the same task, whatever else differs
        between them (common random numbers).

        Args:
            names: What is drawn and whose it is, from `linesim.plan.columns.name_key`.
            first: The first row.
            rows: How many.
        """
        keys = [joined_key(self.seed, self.replication, name, 0) for name in names]
        return uniform(StreamBits(first, rows).of(keys))
