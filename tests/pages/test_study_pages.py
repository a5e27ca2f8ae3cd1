"""The page of each question in a real browser: on a phone, in the dark, with everything unfolded."""

from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

import pytest

import linesim
from linesim import questions
from linesim.answers.document import Document
from linesim.report.page import study_page
from linesim.scenario import load_text
from tests.pages.conftest import kept
from tests.pages.opened import open_folds, opened, violations, wrong
from tests.unit.questions.sequence.test_sequence import LINE, LISTED
from tests.unit.report.small import small_scenario

if TYPE_CHECKING:
    from playwright.sync_api import Browser

#: Questions whose pages other tests open, and those whose answer no page is made of.
ELSEWHERE = ("run", "compare", "sweep", "check", "explain", "verify")
VARY = {"buffer.lane.capacity": [1, 3], "crew.belt.people": [1, 2]}
ASKED: Mapping[str, Callable[[], Document]] = MappingProxyType(
    {
        "screen": lambda: linesim.screen(small_scenario(), VARY, replications=3),
        "mix": lambda: linesim.mix(small_scenario(), tries=("more: option.rack.take = 0.6",), replications=3),
        "buffers": lambda: linesim.buffers(small_scenario(), places=6, max_replications=6),
        "warmup": lambda: linesim.warmup(small_scenario(), replications=5),
        "crew": lambda: linesim.crew(small_scenario(), only=("belt",), replications=3),
        "staff": lambda: linesim.staff(small_scenario(), people=4, most_staffings=4),
        "rebalance": lambda: linesim.rebalance(small_scenario(), moves=1, replications=3),
        "sequence": lambda: linesim.sequence(load_text(LINE + LISTED), max_replications=2),
        "bottleneck": lambda: linesim.bottleneck(small_scenario(), only=("K1", "P2"), replications=3),
        "doubt": lambda: linesim.doubt(small_scenario(), replications=3),
        "validate": lambda: linesim.validate(
            small_scenario(), {"jobs": [50, 53, 49, 55, 52]}, replications=3
        ),
        "fit": lambda: linesim.fit({"bolt": [20.0, 21.5, 23.0, 40.0], "look": [3.0, 3.5, 4.0]}, samples=19),
    }
)  # fmt: skip


def test_no_question_is_left_out() -> None:
    """Every question is opened here or elsewhere."""
    assert {*ASKED, *ELSEWHERE} == set(questions.NAMES)


@pytest.mark.parametrize("name", ASKED)
def test_the_page_of_a_question(browser: "Browser", axe: str, kept_pages: Path, name: str) -> None:
    """On a phone in the dark axe-core finds nothing; unfolded nothing is pale, sticks out or is cut off."""
    path = kept(kept_pages, f"{name}.html", lambda: study_page(ASKED[name](), None))
    with opened(browser, path, width=360, dark=True) as found:
        assert violations(found.page, axe) == []
        open_folds(found.page)
        assert wrong(found.page, "contrast", "headings", "tables", "sideways", "cut") == []
        assert found.complaints == [] and found.requests == []
