"""What to look into before buffers are built otherwise."""

from __future__ import annotations

from linesim.answers.wording import count_of, listed
from linesim.questions.buffers.bench import SplitBench
from linesim.questions.buffers.gaps import ENDLESS
from linesim.questions.buffers.sentences import stuck_sentences


def cautions(bench: SplitBench, *, with_curve: bool) -> tuple[str, ...]:
    """Return what a reader should know before acting on the answer.

    Args:
        bench: The line, with everything that was run.
        with_curve: Whether buffers without a place were looked at.
    """
    scenario, said = bench.scenario, list(stuck_sentences(bench.gaps, bench.stuck))
    travels = [gap.buffer for gap in bench.gaps if scenario.buffer[gap.buffer].travel.seconds > 0]
    if travels and with_curve:
        said.append(
            f"Without a place the sections hand over directly and the way through {listed(travels)} falls "
            "away: no place is another line, not only a place less. A longer buffer may take longer to pass; "
            "here its travel stays what the file says."
        )
    if scenario.carrier:
        loops = listed(
            [f"{name} ({count_of(loop.count, 'piece')})" for name, loop in scenario.carrier.items()]
        )
        said.append(f"Carriers bound what buffers in their loop can hold, however many places: {loops}.")
    if full := _ever_full(bench):
        said.append(f"Endless places were not endless: {listed(full)} was full at some moment.")
    said.append(
        "A place more holds a job more: more stock, a longer way through the line, and floor space that "
        "people and vehicles may need. None of it is in these figures."
    )
    return tuple(said)


def _ever_full(bench: SplitBench) -> list[str]:
    """Return the buffers that were full although their places stand for endless ones."""
    found = []
    for case in bench.runs.cases:
        for gap in bench.gaps:
            if case.scenario.buffer[gap.buffer].capacity < ENDLESS:
                continue
            numbers = bench.runs.numbers_of(case.name)
            if (bench.runs.values(case.name, "buffer_full", gap.buffer, numbers=numbers) > 0).any():
                found.append(gap.buffer)
    return list(dict.fromkeys(found))
