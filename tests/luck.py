"""Single draws of a replication, read from the blocks that the engine asks for."""

from linesim.draws.draws import Draws
from linesim.draws.streams import StreamBits, stream_key, uniform
from linesim.plan.columns import name_key
from linesim.plan.plan import Plan


class Luck(Draws):
    """Draws of a plan, one by one and by name, in blocks of some ``rows``."""

    def __init__(self, plan: Plan, seed: int, replication: int, rows: int = 64) -> None:
        super().__init__(plan, seed, replication)
        self.plan, self.rows = plan, rows
        self.columns = {(column.key, column.shape): n for n, column in enumerate(plan.columns.all)}
        self.made: dict[tuple[int, int, int], list[int]] = {}

    def row(self, kind: str, name: str, shape: int, row: int, attempt: int = 0) -> int:
        """Return one row of what is drawn of ``name``: ticks, or a chance in units of 2**-53."""
        if shape >= 0 and self.constant(shape) >= 0:
            return self.constant(shape)
        at = self.columns[name_key(kind, name), shape], attempt, row // self.rows
        if at not in self.made:
            self.made[at] = self.block(*at, self.rows).tolist()
        return self.made[at][row % self.rows]

    def task_ticks(self, t: int, job: int, attempt: int, shape: int) -> int:
        """Return the ticks of task ``t`` on ``job`` by ``shape``; the first ``attempt`` is 0."""
        return self.row("task", self.plan.names.task[t], shape, job, attempt)

    def repair_ticks(self, name: str, shape: int, job: int, attempt: int) -> int:
        """Return the ticks in which fault ``name`` of ``job`` is put right at its ``attempt``."""
        return self.row("repair", name, shape, job, attempt)

    def mode_every(self, m: int, k: int) -> int:
        """Return the ticks before failure ``k`` of mode ``m``, counted from 0."""
        return self.row("every", self.plan.names.mode[m], int(self.plan.modes.every[m]), k)

    def mode_lasts(self, m: int, k: int) -> int:
        """Return the ticks that failure ``k`` of mode ``m`` lasts."""
        return self.row("lasts", self.plan.names.mode[m], int(self.plan.modes.lasts[m]), k)

    def gate_every(self, kind: str, k: int) -> int:
        """Return the ticks of gap ``k`` at a gate, ``"supply"`` or ``"removal"``."""
        return self.row("gap", kind, getattr(self.plan, kind).every, k)

    def chance(self, kind: str, name: str, job: int, attempt: int) -> float:
        """Return the number in [0, 1) that decides a yes or no."""
        return self.row("chance:" + kind, name, -1, job, attempt) * 2.0**-53


class Sheet:
    """The uniform numbers of one stream, read one by one: ``sheet[job]`` is that of ``job``.

    Args:
        key: 128-bit key, from `stream_key`.
    """

    def __init__(self, key: int) -> None:
        self._key = key

    def __getitem__(self, job: int) -> float:
        """Return the number of ``job``."""
        return float(uniform(StreamBits(job // 4 * 4, 4).of([self._key]))[0][job % 4])


def sheet(seed: int, replication: int, kind: str, name: str, attempt: int = 0) -> Sheet:
    """Return the numbers of ``(kind, name, attempt)`` in a replication; see `stream_key`."""
    return Sheet(stream_key(seed, replication, kind, name, attempt))
