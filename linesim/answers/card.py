"""Where an answer comes from: what was simulated and how, and how sharp a figure became."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from typing import Any, NamedTuple

from linesim.answers.wording import listed
from linesim.measures import SEGMENT

AT_LEAST = 3  #: Replications before the first look.
CAP = 200  #: Replications of a case at most, unless somebody says otherwise.


@dataclass(frozen=True, slots=True)
class Goal:
    """Which figure has to be how sharp.

    Attributes:
        precision: Half the width of its interval as a share of its mean, > 0.
        measure: The figure; see `linesim.measures.DEFINITIONS`. Empty means jobs per shift, or jobs per
            hour where the run holds no whole shift.
        where: Where on the line.
        cause: Which state or cause.
        cap: Replications of a case at most, >= `AT_LEAST`.
        confidence: Confidence of the interval, between 0 and 1.
    """

    precision: float
    measure: str = ""
    where: str = SEGMENT
    cause: str = ""
    cap: int = CAP
    confidence: float = 0.95

    def __post_init__(self) -> None:
        """Refuse what cannot be reached or means nothing."""
        if not 0 < self.precision < 1:
            raise ValueError(f"precision must lie between 0 and 1, got {self.precision}")
        if self.cap < AT_LEAST:
            raise ValueError(f"cap must be >= {AT_LEAST}, got {self.cap}")
        if not 0 < self.confidence < 1:
            raise ValueError(f"confidence must lie between 0 and 1, got {self.confidence}")

    @property
    def figure(self) -> str:
        """The figure in words, such as ``line stop of cab (overrun)``."""
        where = "" if self.where == SEGMENT else f" of {self.where}"
        return f"{self.measure.replace('_', ' ')}{where}{f' ({self.cause})' if self.cause else ''}"


class Look(NamedTuple):
    """What a figure was known to be after some replications.

    Attributes:
        replications: How many give the figure so far.
        mean: Their mean.
        low: Lower bound of its interval, None while there is none.
        high: Upper bound.
        relative: Half the width as a share of the mean; None if there is none or the mean is 0.
    """

    replications: int
    mean: float
    low: float | None
    high: float | None
    relative: float | None


@dataclass(frozen=True, slots=True)
class Convergence:
    """How a figure became sharp.

    Attributes:
        case: Of which case.
        goal: What was wanted.
        enough: Replications that suffice: from there on, and for the look-ahead after it, the interval is
            narrow enough; None if the cap was reached before.
        looks: The figure after 1, 2, ... replications.
    """

    case: str
    goal: Goal
    enough: int | None
    looks: tuple[Look, ...]

    @property
    def sentence(self) -> str:
        """What came of it, in one sentence."""
        last, wanted = self.looks[-1], f"{100 * self.goal.precision:g} %"
        found = "unknown" if last.relative is None else f"{100 * last.relative:.2g} %"
        if self.enough is not None:
            return (
                f"{self.goal.figure} is known to ±{wanted} of its mean after {self.enough} replications "
                f"(±{found} after all {last.replications})."
            )
        return (
            f"{self.goal.figure} is known to ±{found} of its mean, not to ±{wanted} as asked: the cap of "
            f"{self.goal.cap} replications was reached."
        )

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain dictionaries, lists, texts and numbers."""
        return {
            "case": self.case,
            **asdict(self.goal),
            "enough": self.enough,
            "looks": [look._asdict() for look in self.looks],
        }

    @classmethod
    def from_dict(cls, raw: Mapping[str, Any]) -> Convergence:
        """Return it from what `as_dict` gives.

        Raises:
            KeyError, TypeError or ValueError: If it was not given by it.
        """
        goal = Goal(**{field.name: raw[field.name] for field in fields(Goal)})
        looks = tuple(Look(**look) for look in raw["looks"])
        if not looks:
            raise ValueError("looks must hold at least one look")
        for number in (goal.cap, *(look.replications for look in looks)):
            if not isinstance(number, int):
                raise TypeError(f"a number of replications is {number!r}")
        enough = raw["enough"]
        return cls(str(raw["case"]), goal, None if enough is None else int(enough), looks)


def convergences_in_words(found: Sequence[Convergence]) -> str:
    """Return whether a figure became as sharp as it had to be in every case; empty if nobody asked.

    Args:
        found: The cases of one study, all with the same goal.
    """
    if not found:
        return ""
    if len(found) == 1:
        said = found[0].sentence
        return said[0].upper() + said[1:]
    goal = found[0].goal
    figure = goal.figure[0].upper() + goal.figure[1:]
    wanted = f"±{100 * goal.precision:g} %"
    enough = [one.enough for one in found if one.enough is not None]
    blunt = [one.case for one in found if one.enough is None]
    if not blunt:
        least, most = min(enough), max(enough)
        after = f"{least}" if least == most else f"{least} to {most}"
        return (
            f"{figure} is known to {wanted} of its mean in each of the {len(found)} cases, after {after} "
            "replications."
        )
    return (
        f"{figure} is not known to {wanted} of its mean as asked in {len(blunt)} of {len(found)} cases "
        f"({listed(blunt)}): the cap of {goal.cap} replications was reached."
    )


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
        warnings: What `check` has to say about the lines that bears on the figures.
    """

    title: str
    file: str
    seed: int
    confidence: float
    cases: tuple[CaseCard, ...]
    lost: tuple[tuple[str, int], ...]
    versions: tuple[tuple[str, str], ...]
    convergences: tuple[Convergence, ...] = ()
    warnings: tuple[str, ...] = ()

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
            "warnings": list(self.warnings),
            **({"convergence": [one.as_dict() for one in self.convergences]} if self.convergences else {}),
        }

    @classmethod
    def from_dict(cls, raw: Mapping[str, Any]) -> StudyCard:
        """Return the card from an object that holds what `as_dict` gives.

        Raises:
            KeyError, TypeError or ValueError: If it was not given by it.
        """
        run, scenario = raw["run"], raw["scenario"]
        return cls(
            title=_text(scenario["title"]),
            file=_text(scenario["file"]),
            seed=int(run["seed"]),
            confidence=float(run["confidence"]),
            cases=tuple(
                CaseCard(
                    _text(case["case"]), _text(case["fingerprint"]), tuple(map(_text, case["changes"])),
                    int(case["replications"]),
                )
                for case in raw["cases"]
            ),
            lost=tuple((_text(one["case"]), int(one["replication"])) for one in run["lost"]),
            versions=tuple((str(name), _text(version)) for name, version in run["versions"].items()),
            convergences=tuple(map(Convergence.from_dict, raw.get("convergence", ()))),
            warnings=tuple(map(_text, raw.get("warnings", ()))),
        )  # fmt: skip


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(f"text expected, found {type(value).__name__}")
    return value
