"""The page of a run, a question a file: what it makes, what stops it, where it waits, how sure we are."""
