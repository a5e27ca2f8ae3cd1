"""Equipment: robots and tools."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from linesim.engine.breakdowns import Mode
    from linesim.engine.jobs import Piece


class Robot:
    """Automatic equipment that one piece of work holds at a time."""

    __slots__ = ("down", "index", "is_on", "modes", "piece")

    def __init__(self, index: int) -> None:
        self.index = index
        self.piece: Piece | None = None
        self.is_on = True
        self.down = 0  #: failure modes under repair
        self.modes: list[Mode] = []

    @property
    def is_ready(self) -> bool:
        """Return whether it can take work."""
        return self.piece is None and self.down == 0 and self.is_on


class Tool:
    """Shared equipment, a few pieces alike."""

    __slots__ = ("free",)

    def __init__(self, count: int) -> None:
        self.free = count
