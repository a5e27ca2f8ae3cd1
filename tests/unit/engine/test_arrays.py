"""Tables as arrays: what is written there is read there, by row and by field."""

from dataclasses import fields
from typing import Any

import pytest

from linesim.engine.arrays import Records
from linesim.engine.loop import RECORDS, is_record

KINDS = sorted({kind for _, kind in RECORDS if is_record(kind)}, key=lambda kind: str(kind.__name__))
FIRST = {"int": -(1 << 62), "Index": -(1 << 31), "float": -0.5}  #: the least of each, or a part of one


def values(kind: Any, add: int) -> dict[str, Any]:
    """Return another value for every field of a record."""
    return {field.name: FIRST[field.type] + n + add for n, field in enumerate(fields(kind))}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_every_field_of_every_row_has_a_place_of_its_own(kind: Any) -> None:
    """Rows read as the records they were made of, and stay so when others are written, added or moved."""
    rows = [values(kind, 100 * n) for n in range(3)]
    table = Records([kind(**row) for row in rows[:2]], kind)
    table.append(kind(**rows[2]))
    table.make_room(50)
    for name in rows[0]:
        rows[1][name] = -rows[1][name] - 1
        setattr(table[1], name, rows[1][name])
        assert [{name: getattr(row, name) for name in rows[0]} for row in table] == rows
    assert table.rows(3) == [tuple(row.values()) for row in rows]


def test_a_number_too_large_for_half_the_width_is_refused() -> None:
    """No number is cut off without a word where Python writes an index."""
    job = next(kind for kind in KINDS if kind.__name__ == "Job")
    table = Records([job()], job)
    with pytest.raises((OverflowError, ValueError)):
        table[0].variant = 1 << 31
    with pytest.raises(OverflowError):
        table.append(job(variant=1 << 31))
