"""The pace that is asked for, before anything stands."""

from __future__ import annotations

from linesim.measures.output import TICKS_PER_HOUR
from linesim.plan.plan import Plan
from linesim.plan.tables import SECTION
from linesim.ticks import seconds


def gross_per_hour(plan: Plan) -> float:
    """Return the jobs per hour of the slowest takt of the main line, as if nothing ever stood."""
    flow = plan.flow
    takts = [int(plan.sections.takt[i]) for k, i in zip(flow.kind, flow.index, strict=True) if k == SECTION]
    return TICKS_PER_HOUR / max(takts)


def pace_in_words(plan: Plan) -> str:
    """Return the takt of each section as a sentence."""
    takts = {plan.names.section[i]: seconds(int(t)) for i, t in enumerate(plan.sections.takt.tolist())}
    if len(set(takts.values())) == 1:
        return f"Takt {next(iter(takts.values())):g} s in every section."
    return f"Takt: {', '.join(f'{name} {takt:g} s' for name, takt in takts.items())}."
