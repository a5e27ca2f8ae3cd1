"""How a finished replication is written down, and how one sees that it is still what was written."""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from linesim.runs.replication import Label, Replication, Shift

if TYPE_CHECKING:
    from linesim.scenario import Scenario


class Made(NamedTuple):
    """What determines a replication, and nothing else does.

    Attributes:
        fingerprint: Digest of the scenario's content.
        seed: Seed of all draws.
        number: Which replication, counted from 1.
        program: Digest of the program.
    """

    fingerprint: str
    seed: int
    number: int
    program: str

    @property
    def key(self) -> str:
        """One digest of all of it, the key of the row."""
        return digest_of(json.dumps([self.fingerprint, str(self.seed), self.number, self.program]))


class StoredRow(NamedTuple):
    """A row of the table of replications.

    Attributes:
        key: Digest of what determines it.
        fingerprint: Digest of the scenario's content.
        seed: Seed as text: it may be larger than SQLite's numbers.
        number: Which replication.
        program: Digest of the program.
        figures: Digest of the names of its figures.
        data: Figures and shifts, packed.
        seconds: Time it took [s]; for estimates only.
        seal: Digest of everything else but the time, taken before packing.
    """

    key: str
    fingerprint: str
    seed: str
    number: int
    program: str
    figures: str
    data: bytes
    seconds: float
    seal: str


def digest_of(text: str) -> str:
    """Return the SHA-256 of a text."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def labels_text(labels: Sequence[Label]) -> str:
    """Return the names of figures as text; `labels_from` reads it back."""
    return json.dumps(labels, ensure_ascii=False, separators=(",", ":"))


def labels_from(text: str) -> tuple[Label, ...]:
    """Return names of figures from their text."""
    return tuple(Label(*label) for label in json.loads(text))


def row_for(made: Made, figures: str, replication: Replication, seconds: float) -> StoredRow:
    """Return the row of a finished replication."""
    text = _text(replication)
    seal = _seal(made, figures, text)
    packed = zlib.compress(text.encode("ascii"))
    return StoredRow(
        made.key,
        made.fingerprint,
        str(made.seed),
        made.number,
        made.program,
        figures,
        packed,
        seconds,
        seal,
    )


def replication_from(row: StoredRow) -> Replication:
    """Return the replication of a row.

    Raises:
        ValueError: If the row is not what was written.
    """
    made = Made(row.fingerprint, int(row.seed), row.number, row.program)
    try:
        text = zlib.decompress(row.data).decode("ascii")
    except (zlib.error, UnicodeDecodeError, TypeError) as error:
        raise ValueError(f"replication {row.number} cannot be unpacked") from error
    if made.key != row.key or _seal(made, row.figures, text) != row.seal:
        raise ValueError(f"replication {row.number} is not what was written")
    values, shifts = json.loads(text)
    return Replication(
        row.number, tuple(values), tuple(Shift(jobs, tuple(stops), rest) for jobs, stops, rest in shifts)
    )


def scenario_from(content: str, fingerprint: str) -> Scenario:
    """Return a scenario that was kept.

    Args:
        content: What it holds, as JSON.
        fingerprint: Digest that it must have.

    Raises:
        ValueError: If it is not what was written.
    """
    from linesim.errors import ScenarioError
    from linesim.scenario import from_dict

    try:
        scenario = from_dict(json.loads(content))
    except ScenarioError as error:
        raise ValueError(f"scenario {fingerprint[:12]} cannot be read") from error
    if scenario.fingerprint() != fingerprint:
        raise ValueError(f"scenario {fingerprint[:12]} is not what was written")
    return scenario


def _text(replication: Replication) -> str:
    """Return figures and shifts as text; numbers read back as exactly the same ones."""
    shifts = [[shift.jobs, shift.stop_min, shift.reworked] for shift in replication.shifts]
    return json.dumps([replication.values, shifts], separators=(",", ":"))


def _seal(made: Made, figures: str, text: str) -> str:
    return digest_of(json.dumps([made.key, figures, text]))
