"""The tests of linesim; a package, so that `tests.statistical` is found before any other `tests`."""
