"""`verify`: checks of the installed program or of a line, as a table with their sources."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from linesim.answers.document import Document, Heading, Part, View, Words
from linesim.answers.table import Column, Table
from linesim.answers.values import Estimate
from linesim.errors import WrongQuestionError
from linesim.questions.verify import Verify
from linesim.runs.drive import drive_for
from linesim.runs.provenance import card_without_runs
from linesim.scenario import Scenario
from linesim.verification import program
from linesim.verification.bench import DIFFERS, FALSE_ALARM, FULL_TIMES, NOT_HERE, CheckBench, CheckRow
from linesim.verification.program import own_rows

_HOW = (
    "Intervals are Student's t over replications, so wide that a right program falls outside one in "
    "100,000 times. A check that would miss the smallest error it has to notice is too blind, and fails. "
    "Rows without an interval leave no room for luck: all their figures must be equal, where none is shown "
    "several of them (--json has all)."
)


def study(asked: Verify, scenario: Scenario | None) -> Document:
    """Return what was checked, and what came out.

    Raises:
        WrongQuestionError: If an option belongs to a scenario and there is none, or the other way round.
    """
    rows, seed = _program(asked) if scenario is None else _own(asked, scenario)
    title = "linesim, as it is installed here" if scenario is None else scenario.title
    made = [row for row in rows if row.verdict != NOT_HERE]
    failed = [row for row in made if row.is_failed]
    checks = _checks_table(rows)
    return asked.told(
        card_without_runs(title, asked.file, seed, 1 - FALSE_ALARM),
        (_outcome(made, failed), *map(_complaint, failed)),
        (checks, _figures_table(rows)),
        _parts(rows, checks),
        is_refusal=bool(failed),
    )


def _program(asked: Verify) -> tuple[list[CheckRow], int]:
    """Return the outcome of the checks of the installed program; each is a step."""
    if asked.replications is not None:
        raise WrongQuestionError("--replications belongs to a scenario; name its file.")
    seed = 1 if asked.seed is None else asked.seed
    drive = drive_for(asked.drive, asked.notice)
    bench = CheckBench(times=FULL_TIMES if asked.full else 1, seed=seed, drive=drive)
    whole, rows = len(program.known(full=asked.full)) + 1, []
    for row in program.rows(bench, full=asked.full):
        rows.append(row)
        if asked.progress is not None:
            asked.progress(len(rows), whole)
    return rows, seed


def _own(asked: Verify, scenario: Scenario) -> tuple[list[CheckRow], int]:
    """Return the outcome of the checks of a line; each run is a step, since one check may take hundreds."""
    if asked.full:
        raise WrongQuestionError(
            "--full belongs to the program; leave the file out, or write --replications."
        )
    if asked.replications == 1:
        raise WrongQuestionError("--replications 1 has no interval; write 2 or more.")
    seed = scenario.run.seed if asked.seed is None else asked.seed
    drive = drive_for(asked.drive, asked.notice)
    bench = CheckBench(seed=seed, progress=asked.progress, drive=drive)
    rows = list(own_rows(scenario, bench, asked.replications))
    bench.end()
    return rows, seed


def _outcome(made: Sequence[CheckRow], failed: Sequence[CheckRow]) -> str:
    if not made:
        return "No check applies."
    if failed:
        return f"{len(failed)} of {len(made)} checks failed: {'; '.join(row.what for row in failed)}."
    return f"All {len(made)} checks passed." if len(made) > 1 else "The one check passed."


def _complaint(row: CheckRow) -> str:
    if row.must_see is None:
        wrong = [k for k, pair in enumerate(zip(row.expected, row.found, strict=False)) if pair[0] != pair[1]]
        if not wrong:
            return f"{row.what}: {len(row.expected)} figures expected, {len(row.found)} found."
        k = wrong[0]
        return f"{row.what}: figure {k + 1} should be {row.expected[k]:.10g} and is {row.found[k]:.10g}."
    if row.sees is not None and row.sees > row.must_see and row.verdict != DIFFERS:
        return (
            f"{row.what}: errors below {row.sees:.3g} would not be noticed, and {row.must_see:.3g} has to "
            "be; run more replications."
        )
    return f"{row.what}: {row.found[0]:.8g} is not {row.expected[0]:.8g}, more than luck allows."


def _checks_table(rows: Sequence[CheckRow]) -> Table:
    """Return a row a check: a mean with its interval, or how many figures had to be equal."""
    columns = (
        Column("what", head="check"), Column("unit"), Column("expected", "number"),
        Column("found", "estimate", flat="mean=found low high n=replications",
               faces=("mean=found", "interval")),
        Column("equal", "count"), Column("figures", "count", "of"), Column("must_see", "number"),
        Column("sees", "number"), Column("margin", "number"), Column("verdict"), Column("source"),
    )  # fmt: skip
    return Table.of("checks", columns, map(_as_row, rows), "Every check; see `figures` for what was equal.")


def _as_row(row: CheckRow) -> dict[str, Any]:
    is_mean = row.must_see is not None
    single = len(row.expected) == len(row.found) == 1
    mean = row.found[0] if is_mean or single else None
    same = sum(a == b for a, b in zip(row.expected, row.found, strict=False))
    return {
        "what": row.what, "unit": row.unit, "expected": row.expected[0] if is_mean or single else None,
        "found": None if mean is None else Estimate(
            mean, row.low, row.high, n=row.replications or 1, method="Student t", unit=row.unit,
            confidence=1 - FALSE_ALARM,
        ),
        "equal": None if is_mean or not row.expected else same,
        "figures": None if is_mean or not row.expected else len(row.expected),
        "must_see": row.must_see, "sees": row.sees, "margin": row.margin, "verdict": row.verdict,
        "source": row.source,
    }  # fmt: skip


def _figures_table(rows: Sequence[CheckRow]) -> Table:
    """Return each figure of the checks that leave no room for luck."""

    def figures() -> Iterator[dict[str, Any]]:
        for row in rows:
            if row.must_see is None:
                for k in range(max(len(row.expected), len(row.found))):
                    wanted = row.expected[k] if k < len(row.expected) else None
                    came = row.found[k] if k < len(row.found) else None
                    yield {"what": row.what, "number": k + 1, "expected": wanted, "found": came}

    columns = (
        Column("what"), Column("number", "count"), Column("expected", "number"), Column("found", "number"),
    )  # fmt: skip
    return Table.of("figures", columns, figures(), "What had to be equal.", keys=("what", "number"))


def _parts(rows: Sequence[CheckRow], checks: Table) -> Iterator[Part]:
    shown = ("what", "expected", "found", "verdict")
    yield View(
        "checks", "What must come out, and what did",
        tuple(column for column in checks.columns if column.name in shown),
        checks.places(lambda row: row["verdict"] != NOT_HERE), note=_HOW,
    )  # fmt: skip
    left_out = [row for row in rows if row.verdict == NOT_HERE]
    if left_out:
        yield Heading("What does not apply, and why")
        yield Words(tuple(f"{row.what}: {row.source}" for row in left_out), hangs=True)
    sources: dict[str, list[str]] = {}
    for row in rows:
        if row.verdict != NOT_HERE:
            sources.setdefault(row.source, []).append(row.what)
    yield Heading("Where the expected figures come from")
    yield Words(tuple(f"{'; '.join(names)}: {source}" for source, names in sources.items()), hangs=True)
