"""The page as text: its sections and their order, its bytes, and what it lets a browser do."""

import base64
import dataclasses
import hashlib
import re
from html.parser import HTMLParser

import pytest

from linesim.answers.card import CaseCard, StudyCard
from linesim.answers.document import Document
from linesim.answers.table import Column, Table
from linesim.errors import LinesimError
from linesim.questions.fit import fit
from linesim.questions.run.answer import document_of
from linesim.report.page import run_contents, run_page, study_page
from linesim.report.parts import Facts, Fold, PageSection, figures_in, section
from linesim.report.sections.checklist import checklist
from linesim.report.table import PageCell, PageColumn, PageTable, folded
from tests.unit.report.small import renamed, small_result, small_told

#: The order that people are told to expect.
SECTIONS = [
    "answer", "makes", "stops", "waits", "fits", "people", "buffers", "quality", "bottlenecks", "sure",
    "assumed", "repeat", "checklist", "words", "beware",
]  # fmt: skip
#: The same for a study whose line is known.
STUDY_SECTIONS = [
    "answer", "compared", "line", "assumed", "repeat", "checklist", "words", "beware",
]  # fmt: skip
FIGURES = {
    "figure-strip", "figure-shifts", "figure-losses", "figure-waits", "figure-station-work",
    "figure-piles", "figure-operators", "figure-crew-time", "figure-buffers", "figure-bays",
    "figure-bay-hours", "figure-convergence", "figure-settling",
}  # fmt: skip


def test_figures_have_names_of_their_own() -> None:
    """Two figures of one name would share anchors and patterns: such a page is refused."""
    contents = run_contents(small_told())
    again = next(part for part in contents.sections if any(figures_in(part.parts)))
    with pytest.raises(LinesimError, match="two figures of a page are called 'shifts'"):
        dataclasses.replace(contents, sections=(*contents.sections, again))


class Read(HTMLParser):
    """What a page is made of: ids by element, attributes that load something, scripts, unclosed elements."""

    VOID = frozenset({"meta", "link", "br", "input", "img", "use", "path", "rect"})

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: dict[str, list[str]] = {}
        self.loads: list[str] = []
        self.scripts: list[str] = []
        self.open: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if found.get("id"):
            self.ids.setdefault(tag, []).append(found["id"] or "")
        self.loads += [
            v or ""
            for k, v in attrs
            if k in ("src", "href", "action", "data") and not (v or "").startswith("#")
        ]
        if tag == "script":
            self.scripts.append("")
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        pass

    def handle_endtag(self, tag: str) -> None:
        assert self.open, tag
        assert self.open[-1] == tag, f"</{tag}> closes <{self.open[-1]}>"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.open[-1:] == ["script"]:
            self.scripts[-1] += data


@pytest.fixture(scope="module")
def page() -> str:
    """Return the page of a run."""
    return run_page(small_told())


def test_sections_stand_in_their_order(page: str) -> None:
    """The page holds every section, the answer first and the cautions last, each once."""
    assert Read(page).ids["section"] == SECTIONS


def test_the_answer_stands_before_the_contents(page: str) -> None:
    """First come question and answer, what ranges are, and where the cautions stand; then the contents."""
    top, _, rest = page.partition("<nav")
    assert '<section id="answer"' in top and 'class="lead"' in top
    assert "Ranges are 95 % intervals." in top and "first read “Before anything is changed”" in top
    assert rest.index('href="#beware"') < rest.index('<section id="makes"')


def test_every_figure_is_there_with_its_numbers(page: str) -> None:
    """Every figure has a title, two widths of a described drawing, its table, and its published form."""
    assert set(Read(page).ids["figure"]) == FIGURES
    for figure in re.findall(r"<figure.*?</figure>", page, re.DOTALL):
        assert len(re.findall("<h3>.+</h3>", figure)) == 1
        assert len(re.findall('<svg class="drawing"[^>]* role="img"', figure)) == 2
        assert figure.count("<details>") == 1
        assert figure.count("<table") == 1
        assert re.search(r"How it is drawn: .*\d{4}", figure), figure[:80]


def test_the_answer_comes_first_with_its_interval(page: str) -> None:
    """The first large sentence says what the line makes, with an interval, under the question."""
    told = page[page.index('id="answer"') :]
    lead = re.search(r'<p class="lead">(.*?)</p>', told)
    assert lead
    assert re.fullmatch(
        r"The line makes [\d.]+ \([\d.]+ to [\d.]+\) jobs a shift; eight single .*", lead.group(1)
    )
    assert "Does it make 55 an hour?" in told[: lead.start()]


def test_the_page_is_well_formed(page: str) -> None:
    """Every element is closed in its order."""
    assert Read(page).open == []


def test_the_same_run_gives_the_same_bytes(page: str) -> None:
    """A page holds no clock, no chance and no machine: made again it is the same."""
    assert run_page(small_told()) == page
    assert not re.search(r"/(?:home|tmp|work|root)/", page)


def test_the_page_needs_nothing_else(page: str) -> None:
    """Nothing is loaded, and the policy would not allow it: default none, one script by its digest."""
    found = Read(page)
    assert found.loads == ["data:,"]
    policy = re.search(r'http-equiv="Content-Security-Policy" content="([^"]*)"', page)
    assert policy
    rules = dict(rule.strip().split(" ", 1) for rule in policy.group(1).split(";"))
    assert rules["default-src"] == "'none'"
    (script,) = found.scripts
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert rules["script-src"].replace("&#39;", "'") == f"'sha256-{digest}'"
    assert "http" not in script


def test_hostile_text_stays_text() -> None:
    """Markup in a title, a question, a note and names of things adds no element to the page."""
    evil = '"><script>hit()</script><img src=x onerror=hit()>'
    told = renamed(small_told(), {"K1": evil, "lane": evil, "belt": evil, "rework": evil, "gun": evil})
    result = dataclasses.replace(
        told.result,
        scenario=dataclasses.replace(told.result.scenario, title=evil, file=evil, changes=(evil,)),
    )
    told = dataclasses.replace(
        told, answer=document_of(told.plan, result), asked=(("Question", evil),), note=evil, command=evil
    )
    read = Read(run_page(told))
    assert len(read.scripts) == 1
    assert read.loads == ["data:,"]
    assert read.open == []


def test_one_replication_says_so() -> None:
    """A page of one replication shows no interval and says that it has none."""
    text = run_page(small_told(1))
    assert "has no interval" in text
    assert "figure-convergence" not in text


def test_a_page_is_small(page: str) -> None:
    """The page of a small line takes less than a quarter of a megabyte."""
    assert len(page.encode()) < 250_000


def card(*names: str) -> StudyCard:
    """Return the card of a study of cases."""
    cases = tuple(CaseCard(name, "0" * 64, (f"x = {name}",), 5) for name in names)
    return StudyCard("A line", "line.toml", 3, 0.95, cases, (), (("linesim", "0"),))


def test_any_study_has_a_page() -> None:
    """An answer that the page knows nothing of is shown with its sentences, tables and cautions."""
    columns = (Column("thing"), Column("size_mm", "number"))
    table = Table("odd_things", columns, (("<b>bolt</b>", 3.25), ("nut", None)))
    said, cautions = ("Odd things were found.",), ("Look <i>twice</i>.",)
    answer = Document("oddity", said, (table,), (), cautions, card("base"))
    text = study_page(answer, None)
    assert Read(text).ids["section"] == ["answer", "compared", "repeat", "words", "beware"]
    assert "Odd things were found." in text
    assert "&lt;b&gt;bolt&lt;/b&gt;" in text
    assert "size mm" in text
    assert "Look &lt;i&gt;twice&lt;/i&gt;." in text


def test_a_page_without_a_line_speaks_of_none() -> None:
    """Of measured times a page has lines to copy as they stand, no table of cases and no words of a line."""
    text = study_page(fit({"bolt": [20.0, 21.5, 23.0], "look": [3.0, 3.5, 4.0]}, samples=19), None)
    assert Read(text).ids["section"] == ["answer", "compared", "repeat", "beware"]
    assert text.count("<pre># ") == 2 and "fingerprint" not in text


def test_no_row_has_an_empty_heading() -> None:
    """A row whose first cell says nothing begins with an empty cell, not with a heading that says nothing."""
    table = Table("steps", (Column("buffer"), Column("adds", "number")), (("lane", 0.5), (None, 0.7)))
    text = study_page(Document("oddity", ("So it is.",), (table,), (), (), card("base")), None)
    assert re.search(r'<th scope="row"[^>]*>lane</th>', text)
    assert not re.search(r'<th scope="row"[^>]*>\s*</th>', text)


def test_a_study_page_tells_of_the_line_too() -> None:
    """Where the line is known, the page of a study has all that the page of a run tells of it, in folds."""
    table = Table("odd", (Column("thing"),), (("bolt",),))
    text = study_page(Document("oddity", ("So it is.",), (table,), (), (), card("base")), small_told())
    read = Read(text)
    assert read.ids["section"] == STUDY_SECTIONS
    assert set(read.ids["figure"]) == FIGURES
    line = text[text.index('<section id="line"') : text.index('<section id="assumed"')]
    assert "<figure" not in re.sub("<details>.*</details>", "", line, flags=re.DOTALL)


def test_how_an_answer_was_found_is_folded() -> None:
    """Sentences about draws and joint confidence stand behind a fold, and a long answer goes on in one."""
    said = ("It helps.", "Common draws: correlation 0.9.", *(f"More {k}." for k in range(8)))
    text = study_page(Document("oddity", said, (), (), (), card("base")), None)
    open_part = re.sub("<details>.*?</details>", "", text, flags=re.DOTALL)
    assert "It helps." in open_part and "More 4." in open_part
    assert "Common draws" in text and "Common draws" not in open_part
    assert "More 7." in text and "More 7." not in open_part


def test_the_checklist_is_filled_from_the_study() -> None:
    """Each item has a text; what the study knows is in it, what only its author knows is asked for."""
    found = checklist(small_told())
    assert found is not None
    (fold,) = (part for part in found.parts if isinstance(part, Fold))
    told = dict(pair for part in fold.parts if isinstance(part, Facts) for pair in part.pairs)
    numbers = [item.split(" ")[0] for item in told]
    assert " ".join(numbers) == (
        "1.1 1.2 1.3 2.1 2.2 2.3 2.4 2.5.1 2.5.2 2.5.3 2.5.4 2.5.5 3.1 3.2 3.3 3.4 4.1 4.2 4.3 5.1 5.2 5.3 "
        "5.4 6.1"
    )
    assert all(told.values())
    assert "Does it make 55 an hour?" in told["1.1 purpose"]
    assert small_result().scenario.fingerprint in told["3.3 inputs"]
    assert "maintenance book" in told["3.1 sources"] and "1 input is a guess" in told["3.4 assumptions"]
    assert "0.5 h of warm-up" in told["4.1 start"] and "4 replications" in told["4.3 estimation"]
    assert "crew belt, 2" in told["2.5.3 resources"] and "lane, 3 places" in told["2.5.4 queues"]
    asked = {item.split(" ")[0] for item, text in told.items() if "To be written" in text}
    assert {"3.2", "3.4", "5.4", "6.1"} <= asked
    changed = checklist(small_told(), [CaseCard("two", "0" * 64, ("x = 2",), 3)], "What if?")
    assert "two: x = 2" in str(changed) and "What if?" in str(changed)


def test_rows_of_zeros_and_the_rest_of_a_long_table_are_folded() -> None:
    """A table shows the rows that say something, the first of them where it is long; none is lost."""
    rows = [(f"r{k}", float(k % 2) * k) for k in range(12)]
    columns = (PageColumn("what"), PageColumn("n", is_number=True))
    cells = tuple((PageCell(name), PageCell(str(value), value)) for name, value in rows)
    found = folded(PageTable("T", columns, cells))
    assert [row[0].text for row in found.rows] == ["r1", "r3", "r5", "r7", "r9", "r11"]
    assert found.more is not None and found.more.caption == "6 rows of zeros"
    short = folded(PageTable("T", columns, cells), most=2)
    assert [row[0].text for row in short.rows] == ["r1", "r3"]
    assert short.more is not None and len(short.more.rows) == 10
    all_zero = PageTable("T", columns, tuple(row for row in cells if not row[1].value))
    assert folded(all_zero) == all_zero


def test_empty_sections_are_left_out() -> None:
    """A section with nothing to say does not appear; sentences, tables and figures find their places."""
    assert section("x", "X", None, "") is None
    found = section("x", "X", "One sentence.")
    assert isinstance(found, PageSection)
    assert [part.kind for part in found.parts] == ["words"]
