"""`screen`: which of many inputs matter, in few runs."""
