"""What leaves the desk: report, card, workbook and the page of a study, as the commands make them."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from linesim.commands.report import told_of
from linesim.desk import view
from linesim.desk.session import DeskError
from linesim.desk.studies import tried
from linesim.questions.compare import Compare
from linesim.questions.kept import reopen
from linesim.questions.run import RunQuestion
from linesim.report.page import card_page, run_page, study_page
from linesim.runs.simulation import simulate

if TYPE_CHECKING:
    from linesim.answers.document import Document
    from linesim.desk.open_desk import OpenDesk

_POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')


def report(desk: OpenDesk) -> tuple[str, str]:
    """Return the page of the line with its changes and alternatives against the file, and its policy."""
    session = desk.session
    command = view.command_line(session)
    with desk.open_store() as store:
        result = simulate(session.base, file=session.path.name, store=store, **desk.how)
        told = told_of(session.base, result, command)
    if not view.tries_of(session):
        return locked(run_page(told))
    return locked(study_page(_compared(desk), told, command))


def workbook(desk: OpenDesk) -> bytes:
    """Return the same as a workbook."""
    from linesim.report.workbook import answer_workbook

    return answer_workbook(_answered(desk))


def card(desk: OpenDesk) -> tuple[str, str]:
    """Return the decision on one printed side, and its policy."""
    return locked(card_page(_answered(desk)))


def answer(desk: OpenDesk, name: str) -> tuple[str, str]:
    """Return the page of a study that was asked by a button, and its policy.

    Raises:
        DeskError: If it was not asked.
    """
    path = desk.folder / f"{name}.json"
    if name not in desk.answers or not path.is_file():
        raise DeskError("this was not asked yet.")
    command = desk.answers[name].command
    found = reopen(path)
    assert found.answer is not None
    told = None
    if found.scenario is not None and found.result is not None:
        told = told_of(found.scenario, found.result, command)
    return locked(study_page(found.answer, told, command))


def replay(desk: OpenDesk) -> tuple[str, str]:
    """Return the page of a shift, the line with its changes beside that of the file, and its policy.

    The command writes it, into the folder of the desk.
    """
    from linesim.commands import replay as command
    from linesim.commands.main import parser

    session, page = desk.session, desk.folder / "replay.html"
    words = ["replay", str(session.path), "--out", str(page), "--force", "--quiet"]
    words += ["--try", tried(session.edits)] if session.edits else []
    words += ["--drive", drive] if (drive := desk.how.get("drive")) else []
    command.main(parser("replay").parse_args(words))
    return locked(page.read_text(encoding="utf-8"))


def locked(html: str) -> tuple[str, str]:
    """Return a page with the policy for it: its own, and it reaches nobody, nor stands in another page."""
    own = _POLICY.search(html)
    assert own is not None, "every page has a policy"
    return html, f"{own[1]}; frame-ancestors 'none'; sandbox allow-scripts allow-downloads"


def _answered(desk: OpenDesk) -> Document:
    """Return what the changes and alternatives do; what the line makes where there is none."""
    if view.tries_of(desk.session):
        return _compared(desk)
    with desk.open_store() as store:
        asked = RunQuestion(file=desk.session.path.name, store=store, **desk.how)
        return asked.answer(desk.session.base)


def _compared(desk: OpenDesk) -> Document:
    session = desk.session
    with desk.open_store() as store:
        asked = Compare(tries=tuple(view.tries_of(session)), file=session.path.name, store=store, **desk.how)
        return asked.answer(session.base)
