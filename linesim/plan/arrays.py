"""Read-only arrays and ragged tables: what every table of a plan is made of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

IntArray = NDArray[np.int64]
FloatArray = NDArray[np.float64]


def int_array(values: Iterable[int]) -> IntArray:
    """Return ``values`` as a read-only int64 array of shape ``(n,)``."""
    array = np.array(list(values), dtype=np.int64)
    array.flags.writeable = False
    return array


def float_array(values: Iterable[float]) -> FloatArray:
    """Return ``values`` as a read-only float64 array of shape ``(n,)``."""
    array = np.array(list(values), dtype=np.float64)
    array.flags.writeable = False
    return array


@dataclass(frozen=True, eq=False)
class Ragged:
    """A table whose rows differ in length, kept as two flat arrays.

    Row ``i`` is ``values[starts[i]:starts[i + 1]]``; ``starts`` has one entry more than
    there are rows.
    """

    starts: IntArray
    values: IntArray

    @classmethod
    def of(cls, rows: Sequence[Iterable[int]]) -> Ragged:
        """Return the ragged table of ``rows``."""
        lists = [list(row) for row in rows]
        ends = np.cumsum([0] + [len(row) for row in lists])
        return cls(int_array(int(e) for e in ends), int_array(v for row in lists for v in row))

    def __len__(self) -> int:
        return len(self.starts) - 1

    def __getitem__(self, row: int) -> IntArray:
        """Return row ``row``, shape ``(length of the row,)``."""
        return self.values[self.starts[row] : self.starts[row + 1]]

    def tolists(self) -> list[list[int]]:
        """Return the rows as lists of Python integers, for loops that run in Python."""
        values, starts = self.values.tolist(), self.starts.tolist()
        return [values[a:b] for a, b in pairwise(starts)]
