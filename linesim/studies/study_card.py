"""What a study simulated, and how: enough to get the same answer again, and no clock or host."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from linesim.studies.convergence import Convergence


@dataclass(frozen=True, slots=True)
class CaseCard:
    """One case of a study.

    Attributes:
        name: What the answer calls it.
        fingerprint: Digest of everything that determines its numbers, besides the seed.
        changes: Lines of TOML laid over the base.
        replications: How many of it finished.
    """

    name: str
    fingerprint: str
    changes: tuple[str, ...]
    replications: int


@dataclass(frozen=True, slots=True)
class StudyCard:
    """How a study was made.

    Attributes:
        title: Title of the base scenario.
        file: Name of its file, without folders; empty if it came from no file.
        seed: Seed of all draws.
        confidence: Confidence of the intervals, together where several are compared.
        cases: What was simulated.
        lost: Case and number of replications whose worker process died whenever they ran; normally none.
        versions: Versions of the program and of what can move a digit.
        convergences: How a figure became sharp in each case, if the number of replications followed from
            that.
    """

    title: str
    file: str
    seed: int
    confidence: float
    cases: tuple[CaseCard, ...]
    lost: tuple[tuple[str, int], ...]
    versions: tuple[tuple[str, str], ...]
    convergences: tuple[Convergence, ...] = ()

    def as_dict(self) -> dict[str, Any]:
        """Return the card as plain dictionaries, lists, texts and numbers."""
        return {
            "scenario": {"title": self.title, "file": self.file},
            "run": {
                "seed": self.seed,
                "confidence": self.confidence,
                "lost": [{"case": name, "replication": number} for name, number in self.lost],
                "versions": dict(self.versions),
            },
            "cases": [
                {
                    "case": case.name,
                    "fingerprint": case.fingerprint,
                    "changes": list(case.changes),
                    "replications": case.replications,
                }
                for case in self.cases
            ],
            **({"convergence": [one.as_dict() for one in self.convergences]} if self.convergences else {}),
        }
