"""Exit statuses, the same for every command."""

DONE = 0
FAILED = 1  #: the run or a check failed
WRONG_INPUT = 2  #: the scenario, a file or the command line was wrong
INTERRUPTED = 130
