"""`python -m linesim` is the same as `linesim`."""

import sys

from linesim.commands.main import main

if __name__ == "__main__":
    sys.exit(main())
