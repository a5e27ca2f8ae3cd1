"""Sums of a ledger that must close with ==: every minute has one name, and no job is lost."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.plan.words import C_STOPPED

if TYPE_CHECKING:
    from linesim.ledger.ledger import Ledger
    from linesim.plan.plan import Plan


def open_sums(plan: Plan, ledger: Ledger) -> tuple[str, ...]:
    """Return what does not add up, in words; nothing for a right ledger."""
    clock, names, odd = ledger.end - ledger.start, plan.names, []
    for what, table, things in (
        ("section", ledger.section_state, names.section),
        ("station", ledger.station_state, names.station),
        ("operator", ledger.operator_state, names.operator),
        ("robot", ledger.robot_state, names.robot),
        ("buffer", ledger.buffer_level_clock, names.buffer),
    ):
        for name, row in zip(things, table, strict=True):
            if int(row.sum()) != clock or (row < 0).any():
                odd.append(f"{what} {name}: {int(row.sum())} ticks of {clock}")
    stood, booked = ledger.section_state[:, C_STOPPED], ledger.stop.sum(axis=(1, 2))
    for name, whole, parts in zip(names.section, stood.tolist(), booked.tolist(), strict=True):
        if whole != parts:
            odd.append(f"section {name}: stood {whole} ticks, causes add up to {parts}")
    came = ledger.inside_start + ledger.jobs_in
    went = ledger.jobs_out + ledger.jobs_scrapped + ledger.inside_end
    if came != went:
        odd.append(f"jobs: {came} came, {went} went or are inside")
    return tuple(odd)
