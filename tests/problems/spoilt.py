"""Bytes and cells of tables with a few of them spoilt, everything by one `random.Random`."""

from __future__ import annotations

import random

from tests.problems.grown import NUMBERS, TIMES, WORDS


def flipped(data: bytes, luck: random.Random) -> bytes:
    """Return bytes with a few of them changed, lost, doubled or moved."""
    found = bytearray(data)
    for _ in range(luck.choice((1, 1, 2, 4, 8))):
        if not found:
            break
        at, other = luck.randrange(len(found)), luck.randrange(len(found))
        edit = luck.randrange(6)
        if edit == 0:
            found[at] ^= 1 << luck.randrange(8)
        elif edit == 1:
            found[at] = luck.randrange(256)
        elif edit == 2:
            del found[at : at + luck.randint(1, 12)]
        elif edit == 3:
            found[at:at] = found[other : other + luck.randint(1, 40)]
        elif edit == 4:
            found[at] = luck.choice(b'"[]{}=.,;\n\r\t#0123456789-es\x00\xff')
        else:
            del found[max(at, len(found) - 30) :]
    return bytes(found)


def changed_cells(data: bytes, luck: random.Random) -> bytes:
    """Return a CSV with a few cells, rows or headings changed."""
    rows = [line.split(",") for line in data.decode().splitlines()]
    for _ in range(luck.choice((1, 1, 2, 4))):
        row = luck.randrange(len(rows))
        if not rows[row]:
            continue
        cell = luck.randrange(len(rows[row]))
        edit = luck.randrange(6)
        if edit == 0:
            rows[row][cell] = str(luck.choice(NUMBERS))
        elif edit == 1:
            rows[row][cell] = luck.choice((*TIMES, *WORDS, "=1+1", '"', "a;b", "x" * 3000))
        elif edit == 2:
            other = luck.choice(rows)
            rows[row][cell] = luck.choice(other) if other else ""
        elif edit == 3:
            rows.insert(row, list(luck.choice(rows)))
        elif edit == 4:
            del rows[row][cell]
        else:
            rows[row].insert(cell, luck.choice(WORDS))
    return "\n".join(",".join(row) for row in rows).encode()
