"""What stands in the way of a cluster is said in words."""

import sys

import pytest

from linesim.runs.blocks import Block
from linesim.runs.cases import Case, run_cases
from linesim.runs.cluster import ClusterError, ClusterMissingError, OtherProgramError, run_checked
from linesim.runs.program import program_digest
from tests.unit.runs.errands import count
from tests.unit.runs.shop import line


def test_a_missing_extra_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the library the message names the extra, and the exit status is that of a wrong input."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(ClusterMissingError, match=r"pip install 'linesim\[cluster\]'") as missing:
        run_cases([Case("base", line())], cluster="tcp://127.0.0.1:1")
    assert missing.value.status == 2


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nonsense://x", "127.0.0.1:notaport"])
def test_no_scheduler_is_told(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where nobody answers, or the address is none, the message says how to start a scheduler."""
    monkeypatch.setattr("linesim.runs.cluster.ANSWER_SECONDS", 0.3)
    with pytest.raises(ClusterError, match=r"no scheduler answers at .*; start one with: dask scheduler"):
        run_cases([Case("base", line())], cluster=address)


def test_a_worker_with_another_program_refuses() -> None:
    """A block that was sent by another version is not run; one of the same version is."""
    block = Block(b"", 7, (1, 2))
    assert run_checked(block, program_digest(), count) == count(block)
    with pytest.raises(OtherProgramError, match=r"another program \(linesim .*numpy"):
        run_checked(block, "an older one", count)
