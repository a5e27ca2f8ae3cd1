"""What an instant leaves behind, worked out anew: rules look at what was touched alone, and miss nothing."""

from __future__ import annotations

from linesim.engine.instant import is_holding
from linesim.engine.offers import is_kept_empty
from linesim.engine.people import n_free_people
from linesim.engine.states import busy_state, idle_state, robot_state, section_state, station_state
from linesim.engine.tables import State
from linesim.engine.work import has_room, robots_ready, tools_free
from linesim.plan.tables import NONE


def check_settled(s: State) -> None:
    """Raise `AssertionError` if something could still begin, or is not what the accounts say.

    For tests: it looks at everything after every instant, which costs as much as the line itself.
    """
    w = s.w[0]
    now = f"at tick {w.now}"
    assert w.woken == w.look == w.changed_station == w.changed_crew == w.changed_robot == NONE, now
    for k, st in enumerate(s.stations):
        assert st.state == station_state(s, k), f"station {k} {now}"
        p = st.first_waiting
        while p != NONE:
            assert not could_start(s, p), f"piece {p} at station {k} {now}"
            p = s.pieces[p].next_waiting
    for c, crew in enumerate(s.crews):
        for o in range(crew.first, crew.first + crew.people):
            operator = s.operators[o]
            state = idle_state(s, c) if operator.is_free else busy_state(s, o)
            assert operator.state == state, f"operator {o} {now}"
    for r, robot in enumerate(s.robots):
        assert robot.state == robot_state(s, r), f"robot {r} {now}"
    for x, section in enumerate(s.sections):
        assert section.state == section_state(s, x), f"section {x} {now}"
    for k, carrier in enumerate(s.carriers):
        assert s.accounts[carrier.short].level == is_kept_empty(s, k), f"carrier {k} {now}"
    for b, bay in enumerate(s.bays):
        assert s.accounts[bay.holding].level == is_holding(s, b), f"bay {b} {now}"


def could_start(s: State, p: int) -> bool:
    """Return whether a piece that waits has all that it needs."""
    piece = s.pieces[p]
    st = s.stations[s.visits[piece.visit].station]
    return (
        st.first_disturbed == NONE
        and (piece.people > 0 or s.sections[st.section].is_on == 1)
        and robots_ready(s, p)
        and tools_free(s, p)
        and (piece.zone == NONE or has_room(s, p))
        and n_free_people(s, p) >= piece.people
    )
