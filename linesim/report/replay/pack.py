"""Rows of whole numbers as few letters as possible, which a page unpacks with what every browser has."""

from __future__ import annotations

import base64
import zlib
from collections.abc import Iterable
from typing import Any

ROW = True  #: Stands in a nest of lists and tables where a row of numbers was taken out.


def packed(value: Any) -> tuple[Any, str]:
    """Return a nest of lists and tables without its rows of whole numbers, and those as one text.

    A row is a list of whole numbers and nothing else; each leaves `ROW` in its place. Length and numbers
    follow each other in the order in which one walks the nest, each number in groups of seven bits, the
    lowest first, with its sign in the lowest bit (LEB128, zigzag); deflated (RFC 1950), in base 64.

    Examples:
        >>> packed({"a": [1, -2, 300], "b": [[], "c", 7]})[0]
        {'a': True, 'b': [[], 'c', 7]}
    """
    found = bytearray()
    rest = _taken(value, found)
    return rest, base64.b64encode(zlib.compress(bytes(found), 9)).decode("ascii")


def _taken(value: Any, found: bytearray) -> Any:
    if isinstance(value, dict):
        return {name: _taken(inner, found) for name, inner in value.items()}
    if not isinstance(value, list):
        return value
    if value and all(type(one) is int for one in value):
        found += _bytes([len(value), *value])
        return ROW
    return [_taken(inner, found) for inner in value]


def _bytes(numbers: Iterable[int]) -> bytes:
    found = bytearray()
    for number in numbers:
        rest = 2 * number if number >= 0 else -2 * number - 1
        while rest > 127:
            found.append(rest & 127 | 128)
            rest >>= 7
        found.append(rest)
    return bytes(found)
