"""Streams: keys without collisions, numbers by place alone, and the one rounding to ticks."""

import hashlib
import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linesim.draws.streams import MOST_TICKS, StreamBits, Streams, stream_key, to_ticks, uniform
from linesim.plan.columns import name_key
from tests.luck import Sheet

MASK = 2**64 - 1


def philox(counter: int, key: int) -> list[int]:
    """Return the four words of Philox4x64-10, written from the paper (Salmon and others, SC11, 2011)."""
    c = [counter >> 64 * i & MASK for i in range(4)]
    k = [key >> 64 * i & MASK for i in range(2)]
    for _ in range(10):
        a, b = c[0] * 0xD2E7470EE14C6C93, c[2] * 0xCA5A826395121157
        c = [(b >> 64) ^ c[1] ^ k[0], b & MASK, (a >> 64) ^ c[3] ^ k[1], a & MASK]
        k = [(k[0] + 0x9E3779B97F4A7C15) & MASK, (k[1] + 0xBB67AE8584CAA73B) & MASK]
    return c


def test_the_second_route_is_philox():
    """The plain Philox of this test gives the words that its authors publish for zero counter and key."""
    # Known answer of the authors' test vectors (philox4x64, 10 rounds, all zero); from memory, and it fits.
    assert [f"{word:016x}" for word in philox(0, 0)] == [
        "16554d9eca36314c", "db20fe9d672d0fdc", "d7e772cee186176b", "7e68b68aec7ba23b",
    ]  # fmt: skip


@pytest.mark.parametrize("job", [0, 1, 3, 4, 255, 256, 257, 10**6, 10**15])
def test_a_number_follows_from_key_and_job_alone(job):
    """Row j is word j mod 4 at counter j // 4 + 1, its upper 53 bits: any other program can make it too."""
    key = stream_key(7, 3, "task", "K1.fit")
    word = philox(job // 4 + 1, key)[job % 4]
    assert Sheet(key)[job] == (word >> 11) / 2**53


def test_the_key_is_a_hash_of_fixed_width_parts():
    """A key is the first half of SHA-256 over three numbers of 8 bytes and two hashes of 32."""
    parts = b"".join(n.to_bytes(8, "big") for n in (7, 3, 1))
    parts += hashlib.sha256(b"task").digest() + hashlib.sha256("Prüfstand.füllen".encode()).digest()
    expected = hashlib.sha256(parts).digest()[:16]
    assert stream_key(7, 3, "task", "Prüfstand.füllen", 1) == int.from_bytes(expected, "big")


def test_words_have_borders():
    """(1, 2) is not 1 + 2·2**32, a text that moves across a border is another text, nor do 0s vanish."""
    near = [
        (1, 2, "a", "bc", 0), (1 + 2 * 2**32, 0, "a", "bc", 0), (1 + 2 * 2**32, 2, "a", "bc", 0),
        (2, 1, "a", "bc", 0), (1, 2, "ab", "c", 0), (1, 2, "abc", "", 0), (1, 2, "", "abc", 0),
        (1, 0, "a", "bc", 2), (1, 2, "a", "bc", 1), (0, 1, "a", "bc", 2), (1, 2, "a", "bc\0", 0),
    ]  # fmt: skip
    assert len({stream_key(*parts) for parts in near}) == len(near)


@pytest.mark.parametrize("parts", [(-1, 1, 0), (2**64, 1, 0), (1, -1, 0), (1, 1, -1), (1, 1, 2**64)])
def test_numbers_outside_their_width_are_refused(parts):
    """A number that does not fit its 8 bytes is an error and never wraps round."""
    seed, replication, attempt = parts
    with pytest.raises(ValueError, match=r"must be >= 0 and < 2\*\*64"):
        stream_key(seed, replication, "task", "x", attempt)


@given(st.lists(st.integers(0, 2000), min_size=1, max_size=40), st.sampled_from([4, 8, 60, 256, 1024]))
def test_order_of_reading_and_block_size_change_nothing(jobs, block):
    """In whatever blocks and beside whatever streams it is read, row j is row j."""
    keys = [99, 2**127 + 5]
    for job in jobs:
        numbers = uniform(StreamBits(job // block * block, block).of(keys))
        assert numbers[:, job % block].tolist() == [Sheet(key)[job] for key in keys]


def test_streams_read_by_name():
    """The numbers of some names are those of their full keys, read one by one."""
    names = [("option", "roof"), ("package", "winter")]
    numbers = Streams(11, 4).numbers([name_key(*name) for name in names], 96, 16)
    assert numbers.shape == (2, 16)
    for row, name in zip(numbers, names, strict=True):
        sheet = Sheet(stream_key(11, 4, *name))
        assert row.tolist() == [sheet[job] for job in range(96, 112)]


def test_numbers_are_even_and_unrelated():
    """Numbers of a stream fill [0, 1) evenly, and neighbouring rows, names and replications are unrelated.

    Chi-square over 64 cells and correlations over 65 536 rows; each bound is passed by chance once in 10⁶.
    """
    n = 65_536
    columns = [
        uniform(StreamBits(0, n).of([stream_key(1, replication, "task", name, attempt)]))[0]
        for replication, name, attempt in itertools.product((1, 2), ("a", "b"), (0, 1))
    ]
    for column in columns:
        assert column.min() >= 0
        assert column.max() < 1
        cells = np.bincount((column * 64).astype(int), minlength=64)
        assert ((cells - n / 64) ** 2).sum() / (n / 64) < 131.0  # chi-square quantile, 63 df, 1 - 1e-6
    bound = 4.9 / np.sqrt(n)  # two-sided normal quantile of 1e-6
    for a, b in itertools.combinations(columns, 2):
        assert abs(np.corrcoef(a, b)[0, 1]) < bound
    for column in columns:
        assert abs(np.corrcoef(column[:-1], column[1:])[0, 1]) < bound


@pytest.mark.parametrize(
    ("seconds", "ticks"),
    [(0, 0), (0.0004, 0), (0.0006, 1), (19.2, 19200), (38.4, 38400), (57.6, 57600), (-3.0, 0), (0.0005, 0),
     (1e300, MOST_TICKS), (float("inf"), MOST_TICKS)],
)  # fmt: skip
def test_seconds_become_ticks(seconds, ticks):
    """Seconds are rounded to the nearest millisecond, never below 0, never past the longest time."""
    assert to_ticks([seconds]).tolist() == [ticks]
    assert to_ticks([seconds]).dtype == np.int64
