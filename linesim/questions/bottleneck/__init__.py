"""What `bottleneck` can be asked."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass
from typing import Annotated, ClassVar

from linesim.questions.declare import MeasuredQuestion, Parameter, function_of


@dataclass(frozen=True)
class Bottleneck(MeasuredQuestion):
    """Say which station, crew or tool holds the line back, by the published methods side by side.

    The gain from speed is the yardstick; the other methods read the records of the line
    as it is. Where they name another station the answer says so, and why. Crews, tools and
    carriers are asked about by what one more of each brings.
    """

    name: ClassVar[str] = "bottleneck"
    asks: ClassVar[str] = "Which place holds the line up?"
    tables: ClassVar[tuple[str, ...]] = ("methods", "stations", "resources", "links")
    examples: ClassVar[tuple[tuple[str, str], ...]] = (
        (
            "linesim bottleneck scenarios/tractor/line.toml",
            "every station 5 % faster, one at a time, beside what the records say",
        ),
        (
            "linesim bottleneck line.toml --only T7 --only F5 --faster 10%",
            "what a tenth more speed at two stations would bring",
        ),
        (
            "linesim bottleneck line.toml --replications 20 --json",
            "more replications tell stations apart that fewer cannot; for programs",
        ),
    )

    only: Annotated[
        tuple[str, ...],
        Parameter("a station, or crew.NAME, tool.NAME, carrier.NAME, to ask about; may be repeated",
                  "NAME", by_default="all"),
    ] = ()  # fmt: skip
    _: KW_ONLY
    faster: Annotated[
        float,
        Parameter("by how much each station is made faster: every time is divided by 1 + this", "SHARE",
                  form="share", such="5% or 0.05", by_default="5%"),
    ] = 0.05  # fmt: skip


QUESTION = Bottleneck
bottleneck = function_of(Bottleneck)
