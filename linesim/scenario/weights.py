"""Where a figure comes from and how well it is known; and chances, which are figures of their own."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from linesim.scenario.base import Record, Share, refuse

Confidence = Literal["measured", "estimated", "guess"]
Positive = Annotated[float, Field(strict=True, gt=0, le=1000)]


class Weighed(Record):
    """What may stand beside any time, chance or failure: where the figure comes from."""

    source: str | None = Field(
        None, description="Where the figure comes from, such as `time study, March`.", max_length=500
    )
    confidence: Confidence | None = Field(
        None,
        description="How well the figure is known: `measured`, `estimated` or `guess`; where nobody says, "
        "`doubt` takes it for an estimate.",
    )
    range: tuple[Positive, Positive] | None = Field(
        None,
        description="Lowest and highest factor on the figure that somebody would defend, such as `[0.8, "
        "1.3]`; read by studies of doubt.",
    )

    @model_validator(mode="after")
    def _range_in_order(self) -> Weighed:
        if self.range is not None and self.range[0] > self.range[1]:
            refuse("out-of-order", f"range {list(self.range)} runs downwards; write the lower factor first.")
        return self


class Chance(Weighed):
    """A chance from 0 to 1; a bare number is enough."""

    value: Share = Field(description="Chance, 0 to 1.")


def _open_chance(value: Any) -> Any:
    return {"value": value} if isinstance(value, int | float | str) and not isinstance(value, bool) else value


Odds = Annotated[Chance, BeforeValidator(_open_chance, json_schema_input_type=Share | Chance)]
"""A chance: a bare number, a share in percent (`"2%"`), or a table with `value`."""
