"""`run`: what the line makes, what stops it, where it waits, how sure that is."""
