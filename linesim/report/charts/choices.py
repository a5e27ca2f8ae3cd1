"""What each choice makes against the line as it is and against the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linesim.answers.readable import in_words
from linesim.answers.wording import mean_text
from linesim.report.canvas import Pen, room_for
from linesim.report.figure import Figure, figure
from linesim.report.scale import Scale
from linesim.report.style import BLUE, INK, RULE, SMALL, VERMILLION, Paint
from linesim.report.table import estimated, numeric, table

if TYPE_CHECKING:
    from matplotlib.figure import Figure as Drawing

    from linesim.answers.decision import CaseChoice, CaseDecision

METHOD = "A dot chart with intervals (W. S. Cleveland, The Elements of Graphing Data, 1985)."
MOST_CHOICES = 5  #: Besides the line as it is.
_NOW, _BEST, _OTHER = Paint(BLUE, BLUE), Paint(VERMILLION, INK), Paint("#ffffff", INK)
_PITCH, _TOP, _FOOT = 30.0, 20.0, 34.0


def choices_chart(decision: CaseDecision) -> Figure | None:
    """Return the figure; None where nothing was compared.

    A dot chart (Cleveland): the line as it is first, then the choices, the best first.
    """
    if not decision.choices:
        return None
    sign = -1 if decision.measure.more_is_better else 1
    others = sorted(
        decision.choices, key=lambda one: (one.name != decision.best, sign * (one.makes.mean or 0.0))
    )
    shown = [decision.now, *others[:MOST_CHOICES]]
    left_out = len(others) - MOST_CHOICES
    label = decision.measure.label
    more = f" The best {MOST_CHOICES} of {len(others)} choices." if left_out > 0 else ""
    factor = decision.measure.scale
    lines = [(in_words(one.name), one) for one in shown]
    target = decision.target if decision.measure.measure == "jobs_per_shift" else None
    plan = f" The broken line is the plan, {target:g}." if target is not None else ""
    return figure(
        "choices",
        f"The choices: {label}",
        f"Dot: as it is; square: the best choice.{plan}{more}",
        table(
            f"The choices: {label}",
            ["choice", *numeric(label, "interval")],
            [(name, *estimated(one.makes)) for name, one in lines],
        ),
        METHOD,
        lambda width: _draw(width, lines, factor, target, label),
    )


def _draw(
    width: int, lines: list[tuple[str, CaseChoice]], factor: float, target: float | None, label: str
) -> Drawing:
    ends = [
        value * factor
        for _, one in lines
        for value in (one.makes.low, one.makes.mean, one.makes.high)
        if value is not None
    ]
    low, high = min(*ends, *([target] if target else [])), max(*ends, *([target] if target else []))
    rim = 0.08 * (high - low) or 1.0
    texts = [mean_text(one.makes) for _, one in lines]
    right = width - room_for(texts, SMALL) - 12
    scale = Scale(low - rim, high + rim, 8, right, marks=5 if width > 500 else 4)
    foot = _TOP + _PITCH * len(lines) + 4
    pen = Pen(width, foot + _FOOT)
    pen.axis_below(scale, foot, _TOP - 4, f"{label} (the axis does not begin at 0)")
    if target is not None:
        at = scale.at(target)
        pen.line((at, at), (12, foot), width=1.6, dashes=(4, 3))
        text = f"plan {target:g}"
        half = room_for([text], SMALL, bold=True) / 2
        pen.words(min(max(at, half), width - half), 6, text, side="center", size=SMALL, bold=True)
    for k, (name, one) in enumerate(lines):
        top = _TOP + _PITCH * k
        room = min(room_for([name], SMALL) + 6, right)
        pen.tint(0, top, room, 14, "#ffffff")
        pen.words(0, top + 8, name, size=SMALL, room=right)
        middle = top + 21
        pen.line((8, right), (middle, middle), colour=RULE, width=0.6)
        mean, near, far = (
            None if v is None else v * factor for v in (one.makes.mean, one.makes.low, one.makes.high)
        )
        if mean is None:
            continue
        if near is not None and far is not None and near < far:
            pen.whisker(scale.at(near), scale.at(far), middle)
        shape, paint = (("o", _NOW), ("s", _BEST))[k] if k < 2 else ("o", _OTHER)
        pen.marks((scale.at(mean),), (middle,), shape, 8, paint)
        pen.words(right + 8, middle, texts[k], size=SMALL, bold=k == 1)
    return pen.figure
